//! Seeded samples through scipy: Sen's slope and interval, tau, the rank-sum test, the standardised index by Thom's fit.
//!
//! Needs RAINWORTH_REFERENCE: a Python with numpy and scipy. Tolerance: CHECKS "Default tolerances", exact formula, relative 1e-9; of the
//! index, which lies about 0, 1e-8.

use stats::{MonthlyTotal, YearValue, mann_kendall, rank_sum, sen_slope, standardised_precipitation};
use std::io::Write;
use std::process::{Command, Stdio};
use testkit::draws::Draws;

/// One sample a line comes in, one line of numbers goes out: tau, slope, its ends at 0.9, chance of the rank sum of the halves, then the index of each
/// value by H = q + (1 - q) G, G of Thom's shape and scale.
const SCRIPT: &str = r"
import sys
import numpy as np
from scipy import stats
for line in sys.stdin:
    x = np.array([float(v) for v in line.split()])
    t = np.arange(len(x))
    slope = stats.theilslopes(x, t, 0.9)
    half = len(x) // 2
    u = stats.mannwhitneyu(x[:half], x[len(x) - half:], alternative='two-sided', method='asymptotic')
    above = x[x > 0]
    q = 1 - len(above) / len(x)
    a = np.log(above.mean()) - np.log(above).mean()
    shape = (1 + np.sqrt(1 + 4 * a / 3)) / (4 * a)
    index = stats.norm.ppf(q + (1 - q) * stats.gamma.cdf(x, shape, scale=above.mean() / shape))
    out = [stats.kendalltau(t, x).statistic, slope.slope, slope.low_slope, slope.high_slope, u.pvalue] + list(np.clip(index, -3, 3))
    print(' '.join(repr(float(v)) for v in out))
";

/// Thirty to ninety values with ties, some of them 0, some with a trend; tenths.
fn samples() -> Vec<Vec<f64>> {
    let mut draws = Draws::new(20_261_128);
    (0..24)
        .map(|case| {
            let trend = [0.0, 0.4, -0.2][case % 3];
            (0..30 + 5 * (case % 13))
                .map(|i| {
                    let dry = draws.chance([0.0, 0.2][case % 2]);
                    let depth = 20.0 + trend * i as f64 + draws.exponential(25.0);
                    if dry { 0.0 } else { depth.max(0.1).round().max(1.0) + if case % 4 == 0 { 0.5 } else { 0.0 } }
                })
                .collect()
        })
        .collect()
}

fn close(what: &str, found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1e-3), "{what}: {found} against {expected}");
}

#[test]
fn seeded_samples_agree_with_scipy() {
    let Some(python) = testkit::reference_python() else { return };
    let samples = samples();
    let mut child = Command::new(python).args(["-c", SCRIPT]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let lines: Vec<String> = samples.iter().map(|sample| sample.iter().map(f64::to_string).collect::<Vec<_>>().join(" ")).collect();
    child.stdin.take().unwrap().write_all((lines.join("\n") + "\n").as_bytes()).unwrap();
    let answer = String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap();
    assert_eq!(answer.lines().count(), samples.len());
    for (sample, line) in samples.iter().zip(answer.lines()) {
        let expected: Vec<f64> = line.split(' ').map(|number| number.parse().unwrap()).collect();
        let years: Vec<YearValue> = (1900..).zip(sample).map(|(year, &value)| YearValue { year, value }).collect();
        close("tau", mann_kendall(&years).unwrap().tau, expected[0]);
        let slope = sen_slope(&years, 0.9).unwrap();
        close("slope", slope.slope, expected[1]);
        close("lower end", slope.low, expected[2]);
        close("upper end", slope.high, expected[3]);
        let half = sample.len() / 2;
        close("rank sum", rank_sum(&sample[..half], &sample[sample.len() - half..]).unwrap().chance, expected[4]);
        // The sample as the Julys of a record.
        let totals: Vec<MonthlyTotal> = (1900..)
            .zip(sample)
            .flat_map(|(year, &depth)| (1..=12).map(move |month| (year, month, if month == 7 { depth } else { 10.0 })))
            .map(|(year, month, depth)| MonthlyTotal {
                year,
                month,
                micrometres: (depth * 1000.0).round() as i64,
                usable: series::days_in_month(year, month),
                covered: 0,
                missing: 0,
                refused: None,
            })
            .collect();
        let found = standardised_precipitation(&totals, 1);
        let julys = found.months.iter().filter(|at| at.month == 7);
        for (july, &expected) in julys.zip(&expected[5..]) {
            let index = july.index.clone().unwrap();
            assert!((index - expected).abs() < 1e-8, "{} {index} against {expected}", july.year);
        }
        assert_eq!(expected.len(), 5 + sample.len());
    }
}
