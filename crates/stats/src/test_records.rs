//! Records that the tests of several files share: real ones where RAINWORTH_DATA is set, and small ones printed in CHECKS.md.

use series::{DailySeries, DailyTemperature, Day, Reading, Station, days_in_month};

/// A number to so many parts of what is expected.
pub(crate) fn close(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "found {found}, expected {expected}");
}

/// CHECKS A2 (data S5): Fort Collins CO 1997, `mmdd:hundredths of an inch`, all other days 0.
pub(crate) const FORT_COLLINS_1997: &str = "\
0108:1 0110:16 0111:20 0112:18 0116:1 0123:2 0127:14 0206:3 0211:13 0212:5 0213:1 0218:1 0223:14 0226:8 0228:1 0304:17 0313:7 0314:9 0315:12 0324:5 \
0402:18 0404:11 0405:6 0409:9 0410:17 0411:1 0416:11 0423:3 0424:211 0425:3 0426:10 0429:1 0502:1 0514:7 0515:6 0516:8 0519:3 0521:2 0522:62 0523:1 \
0525:2 0526:3 0528:16 0529:15 0530:4 0531:3 0601:5 0602:118 0603:1 0606:23 0607:5 0608:10 0609:12 0610:54 0612:15 0613:26 0614:19 0615:1 0616:1 0617:2 \
0624:5 0704:4 0705:16 0708:1 0719:3 0722:3 0727:18 0728:154 0729:463 0730:7 0731:2 0805:32 0806:226 0809:6 0810:86 0811:11 0816:7 0817:74 0818:3 0819:8 \
0821:1 0826:40 0829:17 0901:13 0902:1 0904:1 0907:1 0911:1 0914:1 0918:9 0919:66 0920:61 0921:1 0922:18 0923:31 0926:2 1008:1 1012:5 1024:77 1025:87 \
1109:24 1110:9 1111:13 1202:9 1203:7 1224:1 1225:4";

/// CHECKS B1 (data S5): annual maxima of daily rain, Fort Collins CO 1900-1999, hundredths of an inch.
pub(crate) const FORT_COLLINS_MAXIMA: [f64; 100] = [
    239., 232., 434., 85., 302., 174., 170., 121., 193., 168., 148., 116., 132., 132., 144., 183., 223., 96., 298., 97., 116., 146., 84.,
    230., 138., 170., 117., 115., 132., 125., 156., 124., 189., 193., 71., 176., 105., 93., 354., 60., 151., 160., 219., 142., 117., 87.,
    223., 215., 108., 354., 213., 306., 169., 184., 71., 98., 96., 218., 176., 121., 161., 321., 102., 269., 98., 271., 95., 212., 151.,
    136., 240., 162., 71., 110., 285., 215., 103., 443., 185., 199., 115., 134., 297., 187., 203., 146., 94., 129., 162., 112., 348., 95.,
    249., 103., 181., 152., 135., 463., 183., 241.,
];

/// CHECKS A4.3: volume of the Nile at Aswan 1871-1970, 10^8 m3 a year (checks/data/nile.csv).
pub(crate) const NILE: [f64; 100] = [
    1120., 1160., 963., 1210., 1160., 1160., 813., 1230., 1370., 1140., 995., 935., 1110., 994., 1020., 960., 1180., 799., 958., 1140.,
    1100., 1210., 1150., 1250., 1260., 1220., 1030., 1100., 774., 840., 874., 694., 940., 833., 701., 916., 692., 1020., 1050., 969., 831.,
    726., 456., 824., 702., 1120., 1100., 832., 764., 821., 768., 845., 864., 862., 698., 845., 744., 796., 1040., 759., 781., 865., 845.,
    944., 984., 897., 822., 1010., 771., 676., 649., 846., 812., 742., 801., 1040., 860., 874., 848., 890., 744., 749., 838., 1050., 918.,
    986., 797., 923., 975., 815., 1020., 906., 901., 1170., 912., 746., 919., 718., 714., 740.,
];

/// CHECKS B3 (data S16): North Cascades, 19 sites: n, mean (in), t, t3, t4, t5 (checks/data/hw1997_cascades.csv).
pub(crate) const CASCADES: [(usize, f64, f64, f64, f64, f64); 19] = [
    (98, 19.685, 0.1209, 0.0488, 0.1433, -0.000_4),
    (59, 62.58, 0.0915, 0.0105, 0.1569, 0.002),
    (90, 40.852, 0.1124, 0.0614, 0.1541, -0.0058),
    (61, 46.045, 0.1032, 0.0417, 0.1429, -0.0022),
    (65, 45.021, 0.0967, -0.0134, 0.1568, 0.0173),
    (86, 31.042, 0.1328, -0.0176, 0.1206, 0.0235),
    (78, 80.143, 0.1008, 0.0943, 0.1967, 0.0856),
    (72, 41.305, 0.1143, 0.0555, 0.121, 0.0487),
    (67, 30.585, 0.1107, 0.0478, 0.1371, 0.0316),
    (99, 32.932, 0.1179, 0.0492, 0.09, 0.0225),
    (49, 17.56, 0.1308, 0.094, 0.1273, 0.0352),
    (61, 69.518, 0.1119, -0.0429, 0.0927, -0.0061),
    (69, 47.653, 0.1018, 0.0435, 0.1446, -0.0056),
    (73, 102.501, 0.1025, 0.0182, 0.1047, -0.0221),
    (70, 52.413, 0.1054, -0.0224, 0.1664, 0.0035),
    (66, 79.696, 0.1174, 0.0124, 0.1317, -0.0176),
    (59, 44.643, 0.1115, -0.0346, 0.1032, 0.0083),
    (74, 58.655, 0.1003, 0.0446, 0.145, -0.0379),
    (82, 39.024, 0.1046, 0.0128, 0.1583, 0.0443),
];

/// CHECKS B2.5 (data S15): annual maxima of the sea level at Port Pirie 1923-1987, m (checks/data/port_pirie.csv).
pub(crate) const PORT_PIRIE: [f64; 65] = [
    4.03, 3.83, 3.65, 3.88, 4.01, 4.08, 4.18, 3.80, 4.36, 3.96, 3.98, 4.69, 3.85, 3.96, 3.85, 3.93, 3.75, 3.63, 3.57, 4.25, 3.97, 4.05,
    4.24, 4.22, 3.73, 4.37, 4.06, 3.71, 3.96, 4.06, 4.55, 3.79, 3.89, 4.11, 3.85, 3.86, 3.86, 4.21, 4.01, 4.11, 4.24, 3.96, 4.21, 3.74,
    3.85, 3.88, 3.66, 4.11, 3.71, 4.18, 3.90, 3.78, 3.91, 3.72, 4.00, 3.66, 3.62, 4.33, 4.55, 3.75, 4.08, 3.90, 3.88, 3.94, 4.33,
];

/// CHECKS B1, tiny hand series.
pub(crate) const TINY: [f64; 10] = [12., 18., 22., 25., 31., 35., 42., 55., 61., 99.];

/// Values of years in a row.
pub(crate) fn by_year(first: i32, values: &[f64]) -> Vec<crate::YearValue> {
    (first..).zip(values).map(|(year, &value)| crate::YearValue { year, value }).collect()
}

/// A whole year of inch readings from its rainy days.
pub(crate) fn sparse_year(year: i32, text: &str) -> DailySeries {
    let first = Day::first_of_year(year);
    let mut readings = vec![Reading::measured(0); Day::last_of_year(year).since(first) as usize + 1];
    for entry in text.split_whitespace() {
        let (date, hundredths) = entry.split_once(':').unwrap();
        let day = Day::new(year, date[..2].parse().unwrap(), date[2..].parse().unwrap()).unwrap();
        readings[day.since(first) as usize] = Reading::measured(hundredths.parse::<i32>().unwrap() * 254);
    }
    DailySeries::new(Station::default(), first, readings)
}

/// Fort Collins CO, every day of 1900-1999, exact from hundredths of an inch (`textbook/extRemes_Fort.csv`).
pub(crate) fn fort_collins() -> Option<DailySeries> {
    let path = testkit::data_dir()?.join("textbook/extRemes_Fort.csv");
    let text = std::fs::read_to_string(&path).unwrap();
    let readings = text
        .lines()
        .skip(1)
        .enumerate()
        .map(|(i, line)| {
            let fields: Vec<f64> = line.split(',').map(|field| field.trim_matches('"').parse().unwrap()).collect();
            assert_eq!(Day::new(fields[4] as i32, fields[2] as u32, fields[3] as u32), Some(Day::first_of_year(1900).plus(i as i32)));
            Reading::measured((fields[5] * 100.0).round() as i32 * 254)
        })
        .collect();
    Some(DailySeries::new(Station::named_only("fort-collins"), Day::first_of_year(1900), readings))
}

/// A station of `ghcnd-dly`, read as the readme of GHCN-Daily describes its fields (element, value, measurement and quality flag).
pub(crate) fn ghcn(id: &str) -> Option<(DailySeries, DailyTemperature)> {
    let path = testkit::data_dir()?.join("ghcnd-dly").join(format!("{id}.dly"));
    let text = std::fs::read_to_string(&path).unwrap();
    let base = Day::first_of_year(1700);
    let mut rain = vec![Reading::MISSING; Day::last_of_year(2100).since(base) as usize];
    let (mut depths, mut lengths) = (std::collections::BTreeMap::new(), std::collections::BTreeMap::new());
    let mut temperature = DailyTemperature::new();
    for line in text.lines() {
        let (year, month) = (line[11..15].parse().unwrap(), line[15..17].parse().unwrap());
        for date in 1..=days_in_month(year, month) {
            let at = 21 + (date as usize - 1) * 8;
            let value: i32 = line[at..at + 5].trim().parse().unwrap();
            let flags = &line.as_bytes()[at + 5..at + 8];
            if value == -9999 || flags[1] != b' ' {
                continue;
            }
            let day = Day::new(year, month, date).unwrap();
            let i = day.since(base) as usize;
            match &line[17..21] {
                "PRCP" => rain[i] = if flags[0] == b'T' { Reading::TRACE } else { Reading::measured(value * 100) },
                "MDPR" => drop(depths.insert(i, value * 100)),
                "DAPR" => drop(lengths.insert(i, value as u16)),
                "TMAX" => temperature.set_greatest(day, value as i16),
                "TMIN" => temperature.set_least(day, value as i16),
                _ => {}
            }
        }
    }
    for (i, depth) in depths {
        let days = lengths.get(&i).copied();
        rain[i] = Reading::accumulated(depth, days);
        for before in &mut rain[i + 1 - usize::from(days.unwrap_or(1).max(1))..i] {
            if *before == Reading::MISSING {
                *before = Reading::WITHIN_TOTAL;
            }
        }
    }
    Some((DailySeries::new(Station::named_only(id), base, rain), temperature))
}

/// Days of seeded made-up rain, a third of them rainy, depths in tenths of a millimetre with a long tail; micrometres.
pub(crate) fn seeded_depths(seed: u64, days: usize) -> Vec<i32> {
    let mut draws = testkit::draws::Draws::new(seed);
    (0..days).map(|_| if draws.chance(0.33) { 100 * (draws.exponential(60.0).round() as i32 + 1) } else { 0 }).collect()
}
