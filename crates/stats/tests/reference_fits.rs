//! Seeded samples through general-purpose reference libraries: fits by L-moments against lmoments3, chances against its distributions,
//! maximum likelihood against scipy.
//!
//! Needs RAINWORTH_REFERENCE: a Python with numpy, scipy and lmoments3. Tolerances: CHECKS B1.6 to B1.10.

use stats::{
    Distribution, GeneralizedLogistic, GeneralizedNormal, GeneralizedPareto, LMoments, LikelyExtremeValue, LikelyPareto, PearsonTypeThree,
};
use std::fmt::Write as _;
use std::process::{Command, Stdio};
use testkit::draws::Draws;

const CHANCES: [f64; 7] = [0.01, 0.1, 0.5, 0.8, 0.9, 0.98, 0.99];

/// A line a sample in; a line a sample out: seven quantiles of each family, then for the likelihoods scipy's log-likelihood at its own
/// estimate and at ours, for maxima and for excesses over 0.
const SCRIPT: &str = r"
import sys, warnings
import numpy as np
from scipy import stats
import lmoments3.distr as ld
warnings.simplefilter('ignore')
p = [0.01, 0.1, 0.5, 0.8, 0.9, 0.98, 0.99]
for line in sys.argv[1].strip().split('\n'):
    likely, values = line.split('|')
    x = np.array([float(v) for v in values.split()])
    out = []
    for d in (ld.glo, ld.gno, ld.pe3, ld.gpa):
        out += list(d(**d.lmom_fit(x)).ppf(p))
    if likely.strip():
        xi, alpha, k, a, s = [float(v) for v in likely.split()]
        out.append(np.sum(stats.genextreme.logpdf(x, *stats.genextreme.fit(x))))
        out.append(np.sum(stats.genextreme.logpdf(x, k, xi, alpha)))
        out.append(np.sum(stats.genpareto.logpdf(x, *stats.genpareto.fit(x, floc=0))))
        out.append(np.sum(stats.genpareto.logpdf(x, -s, 0, a)))
    print(*[repr(float(v)) for v in out])
";

#[test]
fn seeded_samples_agree_with_the_reference_libraries() {
    let Some(python) = testkit::reference_python() else { return };
    let mut draws = Draws::new(20_261_128);
    let samples: Vec<Vec<f64>> = (0..24)
        .map(|case| {
            let n = [20, 30, 60, 150][case / 4 % 4];
            (0..n)
                .map(|_| match case % 4 {
                    0 => 40.0 + draws.exponential(15.0),
                    1 => 30.0 * draws.lognormal_factor(0.4),
                    2 => draws.pareto_excess(12.0, 0.15),
                    _ => 10.0 + 50.0 * draws.uniform(),
                })
                .collect()
        })
        .collect();
    // An even spread has no top of the likelihood below k = 1, and the first kind no excess near 0: the likelihoods are for the others.
    let likely: Vec<Option<(LikelyExtremeValue, LikelyPareto)>> = samples
        .iter()
        .enumerate()
        .map(|(case, sample)| {
            (case % 4 == 2).then(|| (LikelyExtremeValue::fit(sample).unwrap(), LikelyPareto::above(0.0, sample).unwrap()))
        })
        .collect();
    let mut job = String::new();
    for (sample, likely) in samples.iter().zip(&likely) {
        if let Some((maxima, excesses)) = likely {
            let (a, b) = (maxima.distribution, excesses.distribution);
            write!(job, "{} {} {} {} {}", a.location, a.scale, a.shape, b.scale, b.shape).unwrap();
        }
        job.push('|');
        for value in sample {
            write!(job, " {value}").unwrap();
        }
        job.push('\n');
    }
    let output = Command::new(python).args(["-c", SCRIPT, &job]).stdin(Stdio::null()).env("PYTHONDONTWRITEBYTECODE", "1").output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let answers = String::from_utf8(output.stdout).unwrap();
    assert_eq!(answers.lines().count(), samples.len());
    for (case, (line, sample)) in answers.lines().zip(&samples).enumerate() {
        let numbers: Vec<f64> = line.split(' ').map(|number| number.parse().unwrap()).collect();
        let moments = LMoments::of(sample).unwrap();
        let fits: [(&dyn Distribution, f64); 4] = [
            (&GeneralizedLogistic::fit(&moments).unwrap(), 1e-8),
            (&GeneralizedNormal::fit(&moments).unwrap(), 1e-6),
            (&PearsonTypeThree::fit(&moments).unwrap(), 1e-5),
            (&GeneralizedPareto::fit(&moments).unwrap(), 1e-8),
        ];
        for ((fit, relative), expected) in fits.into_iter().zip(numbers.chunks(7)) {
            for (chance, expected) in CHANCES.into_iter().zip(expected) {
                let found = fit.quantile(chance).unwrap();
                // A quantile near 0 is held against the sample's spread.
                assert!((found - expected).abs() <= relative * expected.abs().max(moments.l2), "case {case}: {found} against {expected}");
                assert!((fit.cumulative(found).unwrap() - chance).abs() < 1e-8, "case {case}: {chance}");
            }
        }
        if let Some((maxima, excesses)) = &likely[case] {
            let [theirs, ours, their_excesses, our_excesses] = numbers[28..] else { panic!("{line}") };
            for (found, ours, theirs) in [(maxima.log_likelihood, ours, theirs), (excesses.log_likelihood, our_excesses, their_excesses)] {
                // The same number from scipy's density, and no less than what scipy's own search found.
                assert!((found - ours).abs() <= 1e-9 * ours.abs(), "case {case}: {found} {ours}");
                assert!(found >= theirs - 1e-9 * theirs.abs(), "case {case}: {found} {theirs}");
            }
        }
    }
}
