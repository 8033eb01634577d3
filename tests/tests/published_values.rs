//! Published check values through the crates' public doors, from bytes of a station file to the number.
//!
//! Every value stands in the table of check values under its id (CHECKS A to H), with its own source and grade there.

use ingest::{StationRecord, Wanted, read_bytes, read_file};
use series::{Area, DailySeries, Day, Depth, Length, Mass, Reading, Station, Volume};
use site::balance::balance;
use site::base_load::base_load;
use site::losses::collect;
use site::{Collection, Covering, DailyWater, RainRun, ReleaseRule, Roof, RunoffCoefficient, Shape, Store};
use stats::{
    Distribution, DrySpellRule, GeneralizedExtremeValue, Gumbel, LMoments, MonthRule, NormalsRule, YearRule, annual_maxima, dry_spells,
    monthly_totals, normals, storms,
};
use std::path::Path;
use testkit::{DlyText, data_dir};

fn close(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs(), "{found} against {expected}");
}

fn from_file(folder: &Path, id: &str) -> DailySeries {
    let mut records: Vec<StationRecord> = Vec::new();
    read_file(&folder.join(format!("ghcnd-dly/{id}.dly")), Wanted::default(), &mut records).unwrap();
    records.pop().unwrap().rain
}

fn from_text(text: &DlyText) -> DailySeries {
    let mut records: Vec<StationRecord> = Vec::new();
    read_bytes("test.dly", text.to_text().as_bytes(), Wanted::default(), &mut records).unwrap();
    records.pop().unwrap().rain
}

#[test]
fn months_and_normals_of_a_record_with_weekend_totals() {
    let Some(folder) = data_dir() else { return };
    let rain = from_file(&folder, "USC00043761");
    // CHECKS H8 (COMPUTED, on the public record): valid months 747 if every day must be measured, 913 if a total of known length inside
    // the month counts; the annual normal 1255.4 against 1303.0 mm (one digit printed).
    let rule = NormalsRule { required_share: 0.0, ..NormalsRule::default() };
    for (months, valid, annual) in [(MonthRule::AtMostMissing(0), 747, 1255.4), (MonthRule::Whole, 913, 1303.0)] {
        let totals = monthly_totals(&rain, months);
        assert_eq!(totals.iter().filter(|total| total.accepted()).count(), valid);
        assert!((normals(&totals, 1900, 2020, rule).annual.unwrap() - annual).abs() <= 0.05);
    }
}

#[test]
fn normals_of_fort_collins_through_a_station_file() {
    let Some(folder) = data_dir() else { return };
    // CHECKS A2.7 (COMPUTED, data S5): normals 1961-90, mm, from inches. A station file holds tenths of a millimetre, so each wet day may be
    // off by 0.05 mm; the sum of those halves over thirty Januaries bounds the January.
    let expected = [10.770, 9.754, 34.400, 44.839, 68.351, 50.190, 44.941, 32.190, 33.359, 24.562, 18.085, 12.929];
    let table = std::fs::read_to_string(folder.join("textbook/extRemes_Fort.csv")).unwrap();
    let mut text = DlyText::new("XXT00000001");
    let mut wet = [0_u32; 12];
    for line in table.lines().skip(1) {
        let cell: Vec<f64> = line.split(',').map(|cell| cell.trim_matches('"').parse().unwrap()).collect();
        let (month, day, year) = (cell[2] as u32, cell[3] as u32, cell[4] as i32);
        if !(1961..=1990).contains(&year) {
            continue;
        }
        text = text.rain_mm((year, month, day), cell[5] * 25.4);
        wet[month as usize - 1] += u32::from(cell[5] > 0.0);
    }
    let found = normals(&monthly_totals(&from_text(&text), MonthRule::Whole), 1961, 1990, NormalsRule::default());
    for (month, (expected, wet)) in (1..).zip(expected.into_iter().zip(wet)) {
        let bound = 0.05 * f64::from(wet) / 30.0 + 0.000_5;
        let mean = found.monthly_mean(month).unwrap();
        assert!((mean - expected).abs() <= bound, "month {month}: {mean} against {expected}, bound {bound}");
    }
    let bound = 0.05 * f64::from(wet.iter().sum::<u32>()) / 30.0 + 0.000_05;
    assert!((found.annual.unwrap() - 384.3697).abs() <= bound);
}

#[test]
fn missing_days_and_the_share_of_years() {
    // CHECKS A1.1 and A1.5 (READ S1, WMO-No. 1203): January 7-9 and February 1-5 missing: no total for either.
    // CHECKS A1.6: 24 of 30 years give a normal, 23 do not. A1.7: the annual normal is the sum of the twelve.
    let month_of = |mut text: DlyText, year: i32, month: u32, gone: &[u32]| {
        for day in 1..=series::days_in_month(year, month) {
            if !gone.contains(&day) {
                text = text.rain_mm((year, month, day), f64::from(month) / 10.0);
            }
        }
        text
    };
    for (kept, given) in [(24, true), (23, false)] {
        let mut text = DlyText::new("XXT00000001");
        for year in 1991..=2020 {
            for month in 1..=12 {
                let gone: &[u32] = match month {
                    1 if year - 1991 >= kept => &[7, 8, 9],
                    2 if year - 1991 >= kept => &[1, 2, 3, 4, 5],
                    _ => &[],
                };
                text = month_of(text, year, month, gone);
            }
        }
        let totals = monthly_totals(&from_text(&text), MonthRule::Whole);
        assert_eq!(totals.iter().filter(|total| !total.accepted()).count(), 2 * (30 - kept as usize));
        let found = normals(&totals, 1991, 2020, NormalsRule::default());
        assert_eq!((found.monthly_mean(1).is_ok(), found.monthly_mean(3).is_ok(), found.annual.is_ok()), (given, true, given));
        // By hand: March has 31 days of 0.3 mm.
        close(found.monthly_mean(3).unwrap(), 9.3, 1e-12);
        if given {
            let sum: f64 = (1..=12).map(|month| found.monthly_mean(month).unwrap()).sum();
            close(found.annual.unwrap(), sum, 1e-12);
        }
    }
}

#[test]
fn the_longest_dry_spell_is_not_cut_at_new_year() {
    let Some(folder) = data_dir() else { return };
    // CHECKS H16 (COMPUTED, on the public record): Death Valley's longest is 273 days, ending 1970-11-28.
    let found = dry_spells(&from_file(&folder, "USC00042319"), DrySpellRule::default());
    let longest = found.longest().unwrap();
    assert_eq!((longest.days, longest.period.last.to_string().as_str()), (273, "1970-11-28"));
    // CHECKS H17: `d d d ? d d w` is at least 3, at most 6, censored.
    let text = DlyText::new("XXT00000001")
        .rain_run_mm((2001, 12, 28), &[Some(5.0), Some(0.0), Some(0.0), Some(0.9), None, Some(0.0), Some(0.0), Some(1.0)]);
    let found = dry_spells(&from_text(&text), DrySpellRule::default());
    let first = found.spells[0];
    assert_eq!((first.days, first.at_most, first.is_whole()), (3, Some(6), false));
}

/// CHECKS B1: annual maxima of Fort Collins, 1900-1999, hundredths of an inch (Katz et al. 2002; data S5).
const MAXIMA: [i32; 100] = [
    239, 232, 434, 85, 302, 174, 170, 121, 193, 168, 148, 116, 132, 132, 144, 183, 223, 96, 298, 97, 116, 146, 84, 230, 138, 170, 117, 115,
    132, 125, 156, 124, 189, 193, 71, 176, 105, 93, 354, 60, 151, 160, 219, 142, 117, 87, 223, 215, 108, 354, 213, 306, 169, 184, 71, 98,
    96, 218, 176, 121, 161, 321, 102, 269, 98, 271, 95, 212, 151, 136, 240, 162, 71, 110, 285, 215, 103, 443, 185, 199, 115, 134, 297, 187,
    203, 146, 94, 129, 162, 112, 348, 95, 249, 103, 181, 152, 135, 463, 183, 241,
];

/// A whole record whose greatest day of each year is that of the list: 254 micrometres are a hundredth of an inch, exactly.
fn record_of_maxima() -> DailySeries {
    let first = Day::new(1900, 1, 1).unwrap();
    let mut readings = vec![Reading::measured(0); Day::new(2000, 1, 1).unwrap().since(first) as usize];
    for (year, hundredths) in (1900..).zip(MAXIMA) {
        readings[Day::new(year, 7, 1).unwrap().since(first) as usize] = Reading::measured(hundredths * 254);
    }
    DailySeries::new(Station::named_only("XXT00000001"), first, readings)
}

#[test]
fn the_hundred_maxima_of_fort_collins() {
    let maxima = annual_maxima(&record_of_maxima(), YearRule::default());
    let inches: Vec<f64> = maxima.depths().iter().map(|depth| depth / 25.4).collect();
    assert_eq!(inches.len(), 100);
    let moments = LMoments::of(&inches).unwrap();
    // CHECKS B1.1 (COMPUTED): unbiased probability-weighted moments b0 to b4.
    for (found, expected) in moments.weighted.into_iter().zip([1.7567, 1.099_325_253, 0.825_422_799_4, 0.669_891_529_4, 0.568_031_818_8]) {
        close(found, expected, 1e-9);
    }
    // CHECKS B1.2 (R lmom 3.2 = lmoments3 1.0.8): l1, l2, t3, t4, t5, to 1e-9.
    let found = [moments.l1, moments.l2, moments.t3, moments.t4.unwrap(), moments.t5.unwrap()];
    for (found, expected) in found.into_iter().zip([1.7567, 0.441_950_505_05, 0.256_330_245_33, 0.159_179_897_91, 0.080_687_986_03]) {
        close(found, expected, 1e-9);
    }
    // CHECKS B1.3: exact root; R lmom agrees to 2e-6.
    let gev = GeneralizedExtremeValue::fit(&moments).unwrap();
    for (found, expected) in [(gev.location, 1.353_680_047), (gev.scale, 0.556_834_824_3), (gev.shape, -0.130_124_671_6)] {
        close(found, expected, 2e-6);
    }
    // CHECKS B1.4 and B1.5: quantiles at these return periods; relative 2e-6, and 1e-8 for Gumbel.
    let gumbel = Gumbel::fit(&moments).unwrap();
    close(gumbel.location, 1.388_667_406, 1e-8);
    close(gumbel.scale, 0.637_599_802, 1e-8);
    let years = [2.0, 5.0, 10.0, 25.0, 50.0, 100.0, 200.0];
    let of_gev = [1.562_712, 2.275_980, 2.809_532, 3.562_631, 4.184_524, 4.860_761, 5.598_489];
    let of_gumbel = [1.622_355_972, 2.345_028_845, 2.823_501_169, 3.428_052_218, 3.876_542_722, 4.321_721_642, 4.765_276_180];
    for (years, (gev_depth, gumbel_depth)) in years.into_iter().zip(of_gev.into_iter().zip(of_gumbel)) {
        close(gev.at_return_period(years).unwrap(), gev_depth, 2e-6);
        close(gumbel.at_return_period(years).unwrap(), gumbel_depth, 1e-8);
    }
    // The issue: at the site to T <= 2n. 100 years carry 200 and no more.
    let (_, fit) = storms(&record_of_maxima(), 1, YearRule::default()).remove(0);
    let fit = fit.unwrap();
    close(fit.depth(200.0).unwrap() / 25.4, 5.598_489, 2e-6);
    assert!(fit.depth(201.0).is_err());
}

#[test]
fn the_tiny_series() {
    // CHECKS B1, "Tiny hand series" (R lmom = own); printed digits.
    let moments = LMoments::of(&[12.0, 18.0, 22.0, 25.0, 31.0, 35.0, 42.0, 55.0, 61.0, 99.0]).unwrap();
    for (found, expected) in moments.weighted.into_iter().zip([40.0, 27.244_444_44, 21.361_111_11, 17.852_380_95]) {
        close(found, expected, 1e-9);
    }
    close(moments.l2, 14.488_888_89, 1e-9);
    close(moments.t3, 0.324_386_503_1, 1e-9);
    close(moments.t4.unwrap(), 0.217_243_645_9, 1e-9);
    let gev = GeneralizedExtremeValue::fit(&moments).unwrap();
    for (found, expected) in [
        (gev.location, 26.066_522),
        (gev.scale, 16.138_936),
        (gev.shape, -0.226_991_9),
        (gev.at_return_period(10.0).unwrap(), 73.464_73),
        (gev.at_return_period(100.0).unwrap(), 156.968_27),
    ] {
        close(found, expected, 2e-6);
    }
    close(Gumbel::fit(&moments).unwrap().at_return_period(10.0).unwrap(), 74.973_969_76, 1e-8);
}

fn roof(area: f64, share: f64) -> Roof {
    Roof {
        name: "roof".to_owned(),
        plan_area: Area::new(area),
        covering: Covering::Other,
        runoff_coefficient: RunoffCoefficient::Annual(share),
        wetting_loss: Depth::new(0.0),
    }
}

/// Yield of a roof from a year of even rain with an annual coefficient, L.
fn annual_yield(rain_mm: f64, area: f64, share: f64) -> f64 {
    let run = RainRun::without_snow(Day::new(2001, 1, 1).unwrap(), &vec![Depth::new(rain_mm / 365.0); 365]).unwrap();
    collect(&run, &[roof(area, share)], Collection::OPEN, 0.0).unwrap().total.to_store.get()
}

#[test]
fn units_of_yield() {
    // CHECKS C1.1 (COMPUTED; "0.62" READ S28): 1 in on 1 ft2 is 144/231 US gal. C1.2 (READ S29): 1 mm on 1 m2 is 1 L.
    let (square_foot, litres_a_gallon) = (0.3048 * 0.3048, 3.785_411_784);
    close(annual_yield(25.4, square_foot, 1.0) / litres_a_gallon, 144.0 / 231.0, 1e-9);
    close(annual_yield(1.0, 1.0, 1.0), 1.0, 1e-9);
    // CHECKS C1.3 (READ S28): 400 ft2 and 1 in give 248 gal with the rounded 0.62 a square foot.
    let gallons = annual_yield(25.4, 400.0 * square_foot, 1.0) / litres_a_gallon;
    close(gallons / 400.0, 0.62, 0.005 / 0.62);
    assert!((gallons - 248.0).abs() <= 400.0 * 0.005);
    close(Volume::new(annual_yield(1000.0, 1.0, 1.0)).get(), 1000.0, 1e-9);
}

#[test]
fn the_enhealth_table() {
    // CHECKS C1.4 and C1.5 (enHealth 2011, appendix B; READ S30): run-off = A x (rain - B) x roof area, A 0.8, B 24 mm a year. Our losses
    // know no loss of so much a year, so B comes off the rain first and A is an annual coefficient: the table's own arithmetic.
    let formula = |rain: f64, area: f64| annual_yield(rain - 24.0, area, 0.8);
    close(formula(750.0, 200.0), 116_160.0, 1e-9);
    let roofs = [100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0];
    let table: [(f64, [f64; 7]); 10] = [
        (150.0, [10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0]),
        (200.0, [13.0, 21.0, 27.0, 35.0, 42.0, 53.0, 70.0]),
        (250.0, [18.0, 27.0, 36.0, 45.0, 54.0, 72.0, 90.0]),
        (300.0, [22.0, 33.0, 44.0, 55.0, 66.0, 88.0, 110.0]),
        (400.0, [30.0, 45.0, 60.0, 75.0, 90.0, 120.0, 150.0]),
        (500.0, [38.0, 57.0, 76.0, 95.0, 114.0, 152.0, 191.0]),
        (600.0, [46.0, 69.0, 92.0, 115.0, 138.0, 184.0, 230.0]),
        (800.0, [62.0, 93.0, 124.0, 155.0, 186.0, 248.0, 310.0]),
        (1000.0, [78.0, 117.0, 156.0, 195.0, 234.0, 312.0, 390.0]),
        (1200.0, [94.0, 141.0, 188.0, 235.0, 282.0, 377.0, 470.0]),
    ];
    // Cells whose printed kilolitres are not what the table's formula gives (CHECKS C1.5).
    let misprints = [(200.0, 100.0), (200.0, 200.0), (200.0, 400.0)];
    for (rain, row) in table {
        for (area, kilolitres) in roofs.into_iter().zip(row) {
            let off = (formula(rain, area) / 1000.0 - kilolitres).abs();
            assert_eq!(off > 1.0, misprints.contains(&(rain, area)), "{rain} mm on {area} m2: off by {off} kL");
        }
    }
}

#[test]
fn the_hand_case_of_both_release_rules() {
    // CHECKS C4, hand case (Jenkins 1978, Fewkes & Butler 2000; READ S36, restated): S 1000 L, V0 200, D 150 L/d. Exact.
    let volumes = |list: &[f64]| list.iter().copied().map(Volume::new).collect::<Vec<_>>();
    let inflow = [0.0, 500.0, 0.0, 0.0, 900.0, 0.0, 0.0, 0.0, 1200.0, 0.0, 0.0, 0.0];
    let first = Day::new(2001, 1, 1).unwrap();
    let water = DailyWater::from_series(first, volumes(&inflow), volumes(&[150.0; 12]), vec![false; 12]).unwrap();
    type Row = (ReleaseRule, [f64; 12], [f64; 12], [f64; 12]);
    let rows: [Row; 2] = [
        (
            ReleaseRule::YieldAfterSpillage,
            [150.0, 50.0, 150.0, 150.0, 150.0, 150.0, 150.0, 150.0, 150.0, 150.0, 150.0, 150.0],
            [0.0, 0.0, 0.0, 0.0, 100.0, 0.0, 0.0, 0.0, 600.0, 0.0, 0.0, 0.0],
            [50.0, 500.0, 350.0, 200.0, 850.0, 700.0, 550.0, 400.0, 850.0, 700.0, 550.0, 400.0],
        ),
        (
            ReleaseRule::YieldBeforeSpillage,
            [150.0; 12],
            [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 450.0, 0.0, 0.0, 0.0],
            [50.0, 400.0, 250.0, 100.0, 850.0, 700.0, 550.0, 400.0, 1000.0, 850.0, 700.0, 550.0],
        ),
    ];
    for (rule, supplied, spilled, level) in rows {
        let trace = balance(&water, Volume::new(1000.0), rule, Volume::new(200.0)).unwrap();
        let column = |of: fn(&site::BalanceDay) -> Volume| trace.days.iter().map(|day| of(day).get()).collect::<Vec<_>>();
        assert_eq!(column(|day| day.supplied), supplied);
        assert_eq!(column(|day| day.spilled), spilled);
        assert_eq!(column(|day| day.level), level);
        assert_eq!(trace.summary.worst_residual, Volume::ZERO);
    }
}

#[test]
fn the_pressure_under_a_tank() {
    // CHECKS E20 (COMPUTED): 2 m of water and a tank of 100 kg, 1.5 m across: 20.132939 kPa; the water alone 19.577996.
    let tank = |mass: Option<f64>| Store {
        name: "tank".to_owned(),
        nominal: Volume::new(std::f64::consts::PI / 4.0 * 1.5 * 1.5 * 2.0 * 1000.0),
        dead: Volume::ZERO,
        above_overflow: Volume::ZERO,
        count: 1,
        shape: Some(Shape::Cylinder { diameter: Length::new(1.5), height: Length::new(2.1) }),
        empty_mass: mass.map(Mass::new),
        footprint: None,
    };
    for (mass, expected) in [(Some(100.0), 20.132_939), (None, 19.577_996)] {
        let pressure = base_load(&tank(mass)).unwrap().contact_pressure.unwrap().get();
        assert!((pressure - expected).abs() <= 5e-7, "{pressure}");
    }
}
