//! Seeded samples through general-purpose reference libraries: L-moments and fits by lmoments3, distributions by scipy, quantiles by numpy.
//!
//! Needs RAINWORTH_REFERENCE: a Python with numpy, scipy and lmoments3. Tolerances: CHECKS, B1 and "Default tolerances".

use serde_json::{Value, json};
use stats::{Distribution, GeneralizedExtremeValue, Gumbel, LMoments, QuantileDefinition, quantile};
use testkit::draws::Draws;
use testkit::reference_python;
use tests::python::script;

const RETURN_PERIODS: [f64; 6] = [2.0, 5.0, 10.0, 25.0, 50.0, 100.0];
const PROBABILITIES: [f64; 7] = [0.0, 0.01, 0.1, 0.5, 0.9, 0.99, 1.0];

/// The k of scipy's `genextreme` is called c; lmoments3 gives the same.
const SCRIPT: &str = r"
import json, sys
import numpy as np
from scipy import stats
import lmoments3 as lm
import lmoments3.distr as ld
job = json.load(open(sys.argv[1]))
p = 1 - 1 / np.array(job['return_periods'])
out = []
for x in job['samples']:
    x = np.array(x)
    l1, l2, t3, t4, t5 = lm.lmom_ratios(x, nmom=5)
    k, xi, alpha = job['gev'][len(out)]
    a, b = job['gumbel'][len(out)]
    out.append(dict(
        moments=[l1, l2, t3, t4, t5],
        gev=stats.genextreme.ppf(p, k, xi, alpha).tolist(),
        gumbel=stats.gumbel_r.ppf(p, a, b).tolist(),
        gev_mean=float(stats.genextreme.mean(k, xi, alpha)),
        gumbel_fit=[l2 / np.log(2), l1 - np.euler_gamma * l2 / np.log(2)],
        type7=np.quantile(x, job['probabilities'], method='linear').tolist(),
        type8=np.quantile(x, job['probabilities'], method='median_unbiased').tolist()))
for x, o in zip(job['samples'], out):
    f = ld.gev.lmom_fit(x)
    o['gev_fit'] = [float(f['c']), float(f['loc']), float(f['scale'])]
json.dump(out, sys.stdout)
";

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
}

fn close(what: &str, found: &[f64], expected: &[f64], relative: f64) {
    assert_eq!(found.len(), expected.len(), "{what}");
    for (found, expected) in found.iter().zip(expected) {
        assert!((found - expected).abs() <= relative * expected.abs().max(1e-3), "{what}: {found} against {expected}");
    }
}

#[test]
fn seeded_samples_agree_with_the_reference_libraries() {
    let Some(python) = reference_python() else { return };
    // Shapes from a bounded tail to a heavy one, sizes from 5 to 150.
    let mut draws = Draws::new(20_261_125);
    let samples: Vec<Vec<f64>> = (0..24)
        .map(|case| {
            let n = [5, 8, 13, 30, 60, 150][case % 6];
            (0..n)
                .map(|_| match case % 4 {
                    0 => 40.0 + draws.exponential(15.0),
                    1 => 30.0 * draws.lognormal_factor(0.4),
                    2 => 20.0 + draws.pareto_excess(12.0, 0.15),
                    _ => 10.0 + 50.0 * draws.uniform(),
                })
                .collect()
        })
        .collect();
    let moments: Vec<LMoments> = samples.iter().map(|sample| LMoments::of(sample).unwrap()).collect();
    let gev: Vec<GeneralizedExtremeValue> = moments.iter().map(|moments| GeneralizedExtremeValue::fit(moments).unwrap()).collect();
    let gumbel: Vec<Gumbel> = moments.iter().map(|moments| Gumbel::fit(moments).unwrap()).collect();
    let job = json!({
        "samples": samples, "return_periods": RETURN_PERIODS, "probabilities": PROBABILITIES,
        "gev": gev.iter().map(|fit| [fit.shape, fit.location, fit.scale]).collect::<Vec<_>>(),
        "gumbel": gumbel.iter().map(|fit| [fit.location, fit.scale]).collect::<Vec<_>>(),
    });
    let (_keep, file) = tests::folders::with_file("job.json", job.to_string());
    let answer: Value = serde_json::from_str(&script(&python, SCRIPT, file.to_str().unwrap())).unwrap();
    assert_eq!(answer.as_array().unwrap().len(), samples.len());
    for (case, found) in answer.as_array().unwrap().iter().enumerate() {
        let (moments, gev, gumbel) = (&moments[case], &gev[case], &gumbel[case]);
        // CHECKS B1.2: 1e-9. Ratios near zero are compared by 1e-9 x 1e-3 at the least.
        let ours = [moments.l1, moments.l2, moments.t3, moments.t4.unwrap(), moments.t5.unwrap()];
        let theirs = numbers(&found["moments"]);
        close("l1, l2", &ours[..2], &theirs[..2], 1e-9);
        for (ours, theirs) in ours[2..].iter().zip(&theirs[2..]) {
            assert!((ours - theirs).abs() <= 1e-9, "case {case}: ratio {ours} against {theirs}");
        }
        let at = |fit: &dyn Fn(f64) -> f64| RETURN_PERIODS.map(fit);
        // Exact formula: relative 1e-9.
        close("GEV quantiles", &at(&|years| gev.at_return_period(years).unwrap()), &numbers(&found["gev"]), 1e-9);
        close("Gumbel quantiles", &at(&|years| gumbel.at_return_period(years).unwrap()), &numbers(&found["gumbel"]), 1e-9);
        // The fitted distribution has the sample's own mean, by scipy's formula for it.
        close("mean of the fitted GEV", &[moments.l1], &[found["gev_mean"].as_f64().unwrap()], 1e-9);
        // Hosking (1990): scale l2 / ln 2, location l1 - 0.5772 x scale, of their moments.
        close("Gumbel fit", &[gumbel.scale, gumbel.location], &numbers(&found["gumbel_fit"]), 1e-8);
        // lmoments3 solves for the shape by an approximation and Newton steps that stop at 1e-6 (CHECKS B1.3 compares codes at 2e-6 of
        // shapes of 0.13; as an absolute difference that is 1e-6 where a shape is near zero).
        let theirs = numbers(&found["gev_fit"]);
        assert!((gev.shape - theirs[0]).abs() <= 2e-6 * gev.shape.abs().max(0.5), "case {case}: shape {} against {}", gev.shape, theirs[0]);
        close("GEV location and scale", &[gev.location, gev.scale], &theirs[1..], 2e-6);
        // Hyndman & Fan (1996), definitions 7 and 8.
        for (definition, key) in [(QuantileDefinition::Type7, "type7"), (QuantileDefinition::Type8, "type8")] {
            let ours = PROBABILITIES.map(|p| quantile(&samples[case], p, definition).unwrap());
            close(key, &ours, &numbers(&found[key]), 1e-9);
        }
    }
}
