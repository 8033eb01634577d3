//! Tests of the standardised precipitation index.

use super::*;
use crate::monthly::MonthRefusal;
use proptest::prelude::*;

/// CHECKS A3.2 (data S8): Wichita, July 1980-2011, mm.
const JULY: [f64; 32] = [
    12., 32.3, 14.3, 98., 7.6, 100.9, 86.8, 54.3, 23.2, 103.3, 43.7, 67.5, 121.2, 157.8, 149.8, 109.4, 101., 149.9, 131.3, 88.5, 93.1,
    31.7, 49.8, 12., 175., 110.5, 54.9, 103., 97.1, 90.3, 70.5, 36.8,
];

/// CHECKS A3.3: Wichita, January 1980-2011, mm; one without rain.
const JANUARY: [f64; 32] = [
    46.3, 6.4, 42.8, 42.3, 5.1, 6.7, 0., 35.4, 13., 20.1, 43.9, 14.7, 17.1, 28.6, 0.9, 11.3, 2.7, 9.1, 26.5, 34.3, 23.5, 37.4, 28.4, 3.,
    46.8, 80.7, 2.9, 30.7, 9., 2.1, 10.7, 8.6,
];

fn total(year: i32, month: u32, millimetres: f64) -> MonthlyTotal {
    let usable = series::days_in_month(year, month);
    MonthlyTotal { year, month, micrometres: (millimetres * 1000.0).round() as i64, usable, covered: 0, missing: 0, refused: None }
}

/// January and July as given, from 1980 on; every other month has 10 mm.
fn two_months(january: &[f64], july: &[f64]) -> Vec<MonthlyTotal> {
    (1980..)
        .zip(january.iter().zip(july))
        .flat_map(|(year, (&january, &july))| {
            (1..=12).map(move |month| {
                let depth = match month {
                    1 => january,
                    7 => july,
                    _ => 10.0,
                };
                total(year, month, depth)
            })
        })
        .collect()
}

fn index(found: &StandardisedPrecipitation, year: i32, month: u32) -> Result<f64, Withheld> {
    found.months.iter().find(|at| (at.year, at.month) == (year, month)).unwrap().index.clone()
}

#[test]
fn ten_sums_by_the_fit_alone() {
    // CHECKS A3.1 (COMPUTED scipy).
    let sums = [30., 45., 60., 20., 80., 55., 40., 100., 35., 65.];
    let fit = SeasonalFit { n: 10, zeros: 0, gamma: GammaDistribution::fit(&sums).unwrap() };
    let expected = [-1.033_03, -0.214_69, 0.434_17, -1.757_48, 1.149_71, 0.231_32, -0.463_23, 1.757_28, -0.734_01, 0.626_14];
    for (sum, expected) in sums.into_iter().zip(expected) {
        assert!((fit.index(sum) - expected).abs() < 0.5e-5 + 1e-12, "{sum}");
    }
}

#[test]
fn wichita_july_and_january() {
    let found = standardised_precipitation(&two_months(&JANUARY, &JULY), 1);
    // CHECKS A3.2 and A3.3 (COMPUTED; whole series of checks/oracles_out.json "A.SPI m7 values" and "A.SPI m1 values").
    let july = found.fits[6].clone().unwrap();
    assert!((july.gamma.shape / 2.158_633_839 - 1.0).abs() < 1e-9 && (july.gamma.scale / 37.313_820_22 - 1.0).abs() < 1e-9);
    let january = found.fits[0].clone().unwrap();
    assert_eq!((january.n, january.zeros, january.share_of_zeros()), (32, 1, 1.0 / 32.0));
    assert!((january.gamma.shape / 1.256_969_477 - 1.0).abs() < 1e-9 && (january.gamma.scale / 17.733_384_13 - 1.0).abs() < 1e-9);
    let in_july = [
        -1.8825, -0.9239, -1.7292, 0.5231, -2.255, 0.5685, 0.3387, -0.3084, -1.2714, 0.6055, -0.5772, -0.0204, 0.8651, 1.3276, 1.2328,
        0.697, 0.5701, 1.234, 1.0007, 0.3677, 0.4442, -0.9444, -0.4176, -1.8825, 1.5215, 0.7132, -0.2943, 0.6009, 0.5088, 0.3979, 0.0396,
        -0.778,
    ];
    let in_january = [
        1.2333, -0.7532, 1.1242, 1.1082, -0.9032, -0.7213, -1.8627, 0.8737, -0.1957, 0.223, 1.1591, -0.084, 0.0602, 0.6127, -1.6373,
        -0.3174, -1.2549, -0.4939, 0.5242, 0.8338, 0.3896, 0.9444, 0.6044, -1.2035, 1.2485, 2.1081, -1.2203, 0.6971, -0.5026, -1.3668,
        -0.3631, -0.5378,
    ];
    for (year, (july, january)) in (1980..).zip(in_july.into_iter().zip(in_january)) {
        assert!((index(&found, year, 7).unwrap() - july).abs() < 0.5e-4 + 1e-9, "July {year}");
        assert!((index(&found, year, 1).unwrap() - january).abs() < 0.5e-4 + 1e-9, "January {year}");
    }
    // Every other month has the same sum each year.
    assert_eq!((index(&found, 1990, 3), found.fits[2].clone()), (Err(Withheld::NoSolution), Err(Withheld::NoSolution)));
    // The jackknife of July 1993 and January 1994 with numpy and scipy 1.17.1 (the same formula, gamma.cdf and norm.ppf).
    assert!((found.standard_error(1993, 7).unwrap() - 0.159_802_908_967_352_33).abs() < 1e-9);
    assert!((found.standard_error(1994, 1).unwrap() - 0.428_465_518_606_028_6).abs() < 1e-9);
    assert_eq!(found.standard_error(1986, 1), Err(Withheld::NoSolution), "without that January, none is without rain");
    assert_eq!((found.standard_error(1990, 3), found.standard_error(1900, 1)), (Err(Withheld::NoSolution), Err(Withheld::NothingAccepted)));
}

#[test]
fn wichita_over_3_and_12_months() {
    // The whole record of checks/data/wichita_monthly.csv, 1980 to October 2011, with numpy and scipy 1.17.1: rolling sums by calendar month,
    // Thom's fit, gamma.cdf, norm.ppf. The file lies with CHECKS, beside the records.
    let Some(path) = testkit::data_dir().map(|data| data.join("../checks/data/wichita_monthly.csv")).filter(|path| path.exists()) else {
        println!("skipped: no ../checks/data/wichita_monthly.csv beside RAINWORTH_DATA");
        return;
    };
    let text = std::fs::read_to_string(path).unwrap();
    let totals: Vec<MonthlyTotal> = text
        .lines()
        .skip(1)
        .map(|line| {
            let fields: Vec<f64> = line.split(',').map(|field| field.parse().unwrap_or(f64::NAN)).collect();
            total(fields[0] as i32, fields[1] as u32, fields[2])
        })
        .collect();
    for (scale, month, expected) in [
        (3, 1, [0.418_348, 1.710_234, -0.974_93]),
        (3, 7, [0.599_982, 1.335_66, -0.703_937]),
        (12, 1, [-0.639_57, 0.548_088, -0.497_076]),
        (12, 7, [-0.012_111, 1.135_155, -1.416_175]),
        (24, 1, [-0.828_308, -0.167_692, 0.151_597]),
        (24, 7, [0.152_303, 1.145_367, -0.940_65]),
    ] {
        let found = standardised_precipitation(&totals, scale);
        for (year, expected) in [1983, 1993, 2011].into_iter().zip(expected) {
            assert!((index(&found, year, month).unwrap() - expected).abs() < 1e-6, "{scale} {year} {month}");
        }
    }
}

#[test]
fn short_dry_and_broken_records() {
    let short = standardised_precipitation(&two_months(&JANUARY[..29], &JULY[..29]), 1);
    assert_eq!(index(&short, 1985, 7), Err(Withheld::TooFewYears { have: 29, need: 30 }));
    let dry = standardised_precipitation(&two_months(&[0.0; 40], &[0.0; 40]), 1);
    assert_eq!(index(&dry, 1985, 7), Err(Withheld::NoRain));
    let mut once = [0.0; 40];
    once[5] = 12.0;
    let once = standardised_precipitation(&two_months(&once, &once), 1);
    assert_eq!(index(&once, 1985, 7), Err(Withheld::TooFewYears { have: 1, need: 10 }));
    let mut totals = two_months(&JANUARY, &JULY);
    totals[12 * 5 + 4].refused = Some(MonthRefusal::DaysMissing);
    let broken = standardised_precipitation(&totals, 3);
    assert_eq!(index(&broken, 1985, 7), Err(Withheld::NothingAccepted), "May is missing");
    assert_eq!(broken.months[1].micrometres, None, "the record begins inside the sum");
    assert!(index(&broken, 1986, 7).is_ok());
    assert!(standardised_precipitation(&[], 0).months.is_empty());
    assert_eq!(standardised_precipitation(&[], 99).scale, 24);
}

proptest! {
    #[test]
    fn an_index_is_finite_and_rises_with_the_sum(
        sums in proptest::collection::vec(prop_oneof![Just(0.0), 0.1..300.0_f64, 1e-3..1e6_f64], 30..60),
        scale in 1..13_u32,
    ) {
        let totals = two_months(&sums, &sums);
        let found = standardised_precipitation(&totals, scale);
        for month in &found.months {
            if let Ok(index) = month.index {
                prop_assert!(index.abs() <= INDEX_LIMIT);
            }
        }
        for fit in found.fits.iter().flatten() {
            let rising: Vec<f64> = (0..200).map(|i| fit.index(f64::from(i) * 3.0)).collect();
            prop_assert!(rising.windows(2).all(|pair| pair[0] <= pair[1] + 1e-9));
        }
    }
}
