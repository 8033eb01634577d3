//! Several gauges about a site: days of one gauge at a time, gaps from neighbours, the site's amounts, each gauge left out.
//!
//! Expected values: CHECKS H6 (drizzle of averaged gauges) and counts and sums taken here from the station files themselves, by the columns
//! that the readme of GHCN-Daily gives, without the program's readers.

use series::{DailySeries, DailyTemperature, Day, Depth, Period, Reading, Station};
use stats::{Filling, NeighbourGauge, SiteGauges, site_series};
use std::collections::BTreeMap;
use std::fs;
use tempfile::TempDir;
use tests::command::{Ran, run};
use tests::folders::{repository, sample, text};
use tests::page::Page;
use tests::report::Report;

fn hundred_years() -> Period {
    Period::of_years(1600, 2299)
}

fn by_station(name: &str) -> Option<DailySeries> {
    let path = testkit::data_dir()?.join("ghcnd-by-station").join(name);
    let mut found: Vec<ingest::StationRecord> = Vec::new();
    ingest::read_file(&path, ingest::Wanted::default(), &mut found).unwrap();
    found.pop().map(|record| record.rain)
}

#[test]
fn one_gauge_at_a_time_makes_no_drizzle() {
    // CHECKS H6: Altura and Hokah, 3,027 common days: wet days (1 mm) 23.9 and 22.5 %, days with rain 28.6 and 26.5 %; the mean of both, day by
    // day, 25.7 and 35.3 %; greatest days 290.8 and 383.5, of the mean 337.1 mm.
    let (Some(altura), Some(hokah)) = (by_station("USC00210146.csv.gz"), by_station("USC00213808.csv.gz")) else { return };
    let both: Vec<(Day, [f64; 3])> = altura
        .days()
        .filter_map(|(day, reading)| {
            let (one, other) = (reading.depth()? as f64 / 1000.0, hokah.reading(day).depth()? as f64 / 1000.0);
            Some((day, [one, other, 0.5 * (one + other)]))
        })
        .collect();
    assert_eq!(both.len(), 3027);
    let share = |of: usize, least: f64| both.iter().filter(|day| day.1[of] >= least).count() as f64 / both.len() as f64;
    let greatest = |of: usize| both.iter().fold(0.0, |most: f64, day| most.max(day.1[of]));
    for (of, wet, rainy, most) in [(0, 0.239, 0.286, 290.8), (1, 0.225, 0.265, 383.5), (2, 0.257, 0.353, 337.1)] {
        let near = |found: f64, expected: f64, within: f64| assert!((found - expected).abs() <= within, "{of}: {found} {expected}");
        near(share(of, 1.0), wet, 0.000_5);
        near(share(of, 0.001), rainy, 0.000_5);
        near(greatest(of), most, 0.051);
    }
    // One week in ten is taken from Altura, and Hokah fills it. The days at the site must rain as one gauge does: within H7's 2 % (relative).
    let (first, last) = (both[0].0, both[both.len() - 1].0);
    let at = |day: Day| both.binary_search_by_key(&day, |one| one.0).ok().map(|at| both[at].1[0]);
    let gappy = Period::new(first, last).iter().map(|day| match at(day) {
        Some(depth) if day.since(first) % 70 >= 7 => Reading::measured((depth * 1000.0).round() as i32),
        _ => Reading::MISSING,
    });
    let gappy = DailySeries::new(Station::default(), first, gappy.collect());
    let neighbours = [NeighbourGauge { series: &hokah, ratios: [1.0; 12], days_later: 0 }];
    let none = DailyTemperature::new();
    let gauges = SiteGauges { neighbours: &neighbours, ..SiteGauges::alone(&gappy, &none) };
    let site = site_series(gauges, Filling::default(), hundred_years()).unwrap();
    assert!(site.counts.from_neighbours > 200, "{:?}", site.counts);
    let depths: Vec<f64> = both.iter().filter_map(|day| site.day(day.0)?.depth.map(Depth::get)).collect();
    let rainy = |least: f64| depths.iter().filter(|depth| **depth >= least).count() as f64 / depths.len() as f64;
    assert!((rainy(1.0) / 0.239 - 1.0).abs() < 0.02 && (rainy(0.001) / 0.286 - 1.0).abs() < 0.02, "{} {}", rainy(1.0), rainy(0.001));
}

/// The sample's station files in a folder of their own, that of the meadow changed.
struct Valley {
    place: TempDir,
}

impl Valley {
    fn new(change: impl Fn(&str) -> Option<String>) -> Self {
        let place = tempfile::tempdir().unwrap();
        fs::create_dir(place.path().join("gauges")).unwrap();
        for number in 1..=5 {
            let name = format!("XX0INVENT0{number}.dly");
            let mut lines = fs::read_to_string(repository().join("sample-data/stations").join(&name)).unwrap();
            if number == 1 {
                lines = lines.lines().filter_map(&change).map(|line| line + "\n").collect();
            }
            fs::write(place.path().join("gauges").join(name), lines).unwrap();
        }
        Self { place }
    }

    /// The nursery in that valley, its lines changed by `site`.
    fn assess(&self, site: impl Fn(&str) -> String) -> (Ran, Option<(Report, Page)>) {
        let lines: Vec<String> = sample("nursery.toml")
            .lines()
            .map(|line| match line.split_once(" = ").map_or("", |(key, _)| key) {
                "folder" => format!("folder = {:?}", text(&self.place.path().join("gauges"))),
                _ => line.to_owned(),
            })
            .collect();
        let file = self.place.path().join("site.toml");
        fs::write(&file, site(&lines.join("\n"))).unwrap();
        let out = self.place.path().join("out");
        let ran = run(&["assess", text(&file), "--out", text(&out)]);
        let made = (ran.code == 0).then(|| {
            let page = Page::parse(&fs::read_to_string(out.join("report.html")).unwrap());
            let report = Report::read(&out);
            for (id, value) in page.facts() {
                report.holds(id, value).unwrap();
            }
            (report, page)
        });
        (ran, made)
    }

    fn report(&self, site: impl Fn(&str) -> String) -> (Report, Page) {
        let (ran, made) = self.assess(site);
        made.unwrap_or_else(|| panic!("{}", ran.stderr))
    }
}

fn as_it_is(line: &str) -> Option<String> {
    Some(line.to_owned())
}

/// Days of the sample's period, from 1981 on, with a depth, tenths of a millimetre, by the columns of the readme: 22-26, 30-34, ...; a quality flag two columns behind.
fn days_of(name: &str) -> BTreeMap<(i32, u32, u32), i64> {
    let lines = fs::read_to_string(repository().join("sample-data/stations").join(name)).unwrap();
    let mut found = BTreeMap::new();
    for line in lines.lines().filter(|line| &line[17..21] == "PRCP" && &line[11..15] >= "1981") {
        let (year, month): (i32, u32) = (line[11..15].parse().unwrap(), line[15..17].parse().unwrap());
        for date in 1..=series::days_in_month(year, month) {
            let at = 13 + 8 * date as usize;
            let depth: i64 = line[at..at + 5].trim().parse().unwrap();
            if depth >= 0 && line.as_bytes()[at + 6] == b' ' {
                found.insert((year, month, date), depth);
            }
        }
    }
    found
}

#[test]
fn amounts_of_the_site_are_those_of_the_gauges_by_distance() {
    // Without the quarry, of whose record the quality tests take days away: of the others they take none.
    let valley = Valley::new(as_it_is);
    fs::remove_file(valley.place.path().join("gauges/XX0INVENT05.dly")).unwrap();
    let (report, page) = valley.report(|site| site.replace("elevation = \"330 m\"\n", ""));
    let number = |id: &str| report.number(id).unwrap_or_else(|| panic!("{id}"));
    let lead = days_of("XX0INVENT01.dly");
    // Without the site's height nothing can follow heights: the factor is sum w r with w = d^-2 over their sum.
    let distance = |station: u32| number(&format!("record.distance/station=XX0INVENT0{station}"));
    let raw: Vec<f64> = (1..=4).map(|station| 1.0 / (distance(station) * distance(station))).collect();
    let sum: f64 = raw.iter().sum();
    let mut january = raw[0] / sum;
    for station in 2..=4_u32 {
        let theirs = days_of(&format!("XX0INVENT0{station}.dly"));
        // Days in common, and the sums of both, by calendar month.
        let mut months = [(0_i64, 0_i64, 0_i64); 12];
        for (day, own) in &lead {
            if let Some(depth) = theirs.get(day) {
                let month = &mut months[day.1 as usize - 1];
                *month = (month.0 + 1, month.1 + own, month.2 + depth);
            }
        }
        let ratio =
            |of: &[usize]| of.iter().map(|at| months[*at].2).sum::<i64>() as f64 / of.iter().map(|at| months[*at].1).sum::<i64>() as f64;
        // 30 months of days in common are 913; nine tenths of that 822.
        january += raw[station as usize - 1] / sum * if months[0].0 > 822 { ratio(&[0]) } else { ratio(&[11, 0, 1]) };
        let year = |of: fn(&(i64, i64, i64)) -> i64| months.iter().map(|month| of(month) as f64 / month.0 as f64).sum::<f64>();
        let found = number(&format!("gauge.rain_over_lead/station=XX0INVENT0{station}"));
        let expected = year(|month| month.2) / year(|month| month.1);
        assert!((found - expected).abs() < 1e-12, "{station}: {found} {expected}");
    }
    let found = number("site.factor/month=1");
    assert!((found - january).abs() < 1e-12, "{found} {january}");
    assert!(report.number("site.height_gradient").is_none() && page.text.contains("multiplied by the factor of their month"));
}

#[test]
fn a_month_that_the_lead_lacks_is_a_neighbours_and_nothing_else_changes() {
    // July 2003 of the meadow is taken away: 31 days more than the sample's own gaps.
    let gap = |line: &str| (!line[11..].starts_with("200307PRCP")).then(|| line.to_owned());
    let whole = Valley::new(as_it_is).report(str::to_owned).0;
    let valley = Valley::new(gap);
    let (report, page) = valley.report(str::to_owned);
    let days = |report: &Report, id: &str| report.number(id).unwrap() as i64;
    assert_eq!(days(&report, "record.filled") - days(&whole, "record.filled"), 31);
    assert_eq!(days(&report, "record.filled.neighbours") - days(&whole, "record.filled.neighbours"), 31);
    assert!(page.text.contains("a neighbour's depth of the same date was taken"), "words of the filling");
    assert!(report.number("store.reliability.volume.without_neighbours").is_some());
    // By the site file, other years fill instead.
    let (alone, page) = valley.report(|site| site.replace("[records]\n", "[records]\nuse_neighbours = false\n"));
    assert_eq!((days(&alone, "record.filled.neighbours"), days(&alone, "record.filled")), (0, days(&report, "record.filled")));
    assert!(alone.number("store.reliability.volume.without_neighbours").is_none());
    assert!(page.text.contains("no: not wanted"));
}

#[test]
fn the_answer_of_each_gauge_stands_beside_what_comes_out_without_it() {
    let (report, page) = Valley::new(as_it_is).report(str::to_owned);
    let number = |id: String| report.number(&id);
    let (mut least, mut most, mut errors) = (1.0_f64, 0.0_f64, Vec::new());
    for station in 1..=5 {
        let alone = number(format!("alone.reliability/station=XX0INVENT0{station}")).unwrap();
        (least, most) = (least.min(alone), most.max(alone));
        let of = |end: &str| number(format!("left_out.share_met.{end}/station=XX0INVENT0{station}")).unwrap();
        errors.push((of("measured") - of("estimated")).abs());
    }
    assert_eq!((report.number("alone.reliability.least"), report.number("alone.reliability.most")), (Some(least), Some(most)));
    let mean = errors.iter().sum::<f64>() / 5.0;
    assert!((report.number("left_out.share_met.mean_error").unwrap() - mean).abs() < 1e-12);
    assert!(page.text.contains("Each gauge left out: its rain, and what came out of the others"));
    // Wet days of the meadow as measured, of the period: 10 tenths of a millimetre and more. All its days can be compared, since others have them.
    let meadow: Vec<i64> = days_of("XX0INVENT01.dly").into_values().collect();
    let wet = meadow.iter().filter(|depth| **depth >= 10).count() as f64 / meadow.len() as f64;
    let of = |name: &str| report.number(&format!("left_out.{name}/station=XX0INVENT01")).unwrap();
    let compared = of("days");
    assert!(compared > 0.9 * meadow.len() as f64 && compared <= meadow.len() as f64, "{compared} of {}", meadow.len());
    assert!((of("wet_days.measured") - wet).abs() < 0.005, "{wet}");
    // A gauge that the site file leaves out has no say.
    let (without, page) = Valley::new(as_it_is).report(|site| site.to_owned() + "\n[[gauge]]\nid = \"XX0INVENT04\"\nleft_out = true\n");
    assert!(without.number("alone.reliability/station=XX0INVENT04").is_none() && page.text.contains("left out by the site file"));
    assert_eq!(without.number("alone.gauges"), Some(4.0));
}

#[test]
fn a_gauge_that_is_left_out_leads_nothing_and_a_rule_of_nobody_is_told() {
    let valley = Valley::new(as_it_is);
    let rule = |id: &str| format!("\n[[gauge]]\nid = \"{id}\"\nleft_out = true\n");
    let unnamed = |site: &str| site.replace("station = \"XX0INVENT01\"\n", "");
    let (report, _) = valley.report(unnamed);
    assert!(report.number("gauge.weight/station=XX0INVENT01").is_some());
    let (report, page) = valley.report(|site| unnamed(site) + &rule("XX0INVENT01"));
    assert!(report.number("alone.reliability/station=XX0INVENT01").is_none() && page.text.contains("left out by the site file"));
    // The site file cannot name a gauge and leave it out.
    let told = |ran: Ran| (ran.code, ran.stderr.split_whitespace().collect::<Vec<_>>().join(" "));
    let (code, stderr) = told(valley.assess(|site| site.to_owned() + &rule("XX0INVENT01")).0);
    assert!(code == 1 && stderr.contains("records.station names as the leading gauge"), "{stderr}");
    let (code, stderr) = told(valley.assess(|site| site.to_owned() + &rule("XX0INVENT0X")).0);
    assert!(code == 0 && stderr.contains("gauge.id: found \"XX0INVENT0X\", and no record that was read is its"), "{stderr}");
}

#[test]
fn a_gauge_under_two_names_weighs_once() {
    let valley = Valley::new(as_it_is);
    let (once, _) = valley.report(str::to_owned);
    // The school's record again, under an id that no list has: its place is not known, and its days are the same.
    let school = fs::read_to_string(valley.place.path().join("gauges/XX0INVENT03.dly")).unwrap().replace("XX0INVENT03", "XX0INVENT09");
    fs::write(valley.place.path().join("gauges/XX0INVENT09.dly"), school).unwrap();
    let (twice, _) = valley.report(str::to_owned);
    for id in ["site.factor/month=1", "store.reliability.volume", "left_out.month_error/station=XX0INVENT03", "alone.gauges"] {
        assert_eq!(once.number(id), twice.number(id), "{id}");
    }
}

#[test]
fn height_beyond_what_the_gauges_show_is_warned_of() {
    let (report, page) = Valley::new(as_it_is).report(|site| site.replace("elevation = \"330 m\"", "elevation = \"3330 m\""));
    // The gauges show growth with height, up to the pass at 1,150 m and no further than 1,250 m.
    assert!(report.number("site.height_gradient").is_some());
    assert!(page.text.contains("no gauges show how rain changes with height here"));
    let (_, page) = Valley::new(as_it_is).report(|site| site.replace("elevation = \"330 m\"", "elevation = \"700 m\""));
    assert!(!page.text.contains("no gauges show how rain changes with height here"));
}

#[test]
fn undercatch_is_off_unless_stated_and_then_plain_division() {
    let valley = Valley::new(as_it_is);
    let measured = |site: &str| site.replace("[records]\n", "[records]\namounts_as_measured = true\n");
    let (off, _) = valley.report(measured);
    let (on, page) = valley.report(|site| measured(site).replace("[records]\n", "[records]\nundercatch = 0.1\n"));
    let rain = |report: &Report| report.number("supply.rain").unwrap();
    assert!((rain(&on) / rain(&off) - 1.0 / 0.9).abs() < 1e-9);
    assert_eq!(off.number("rain.annual.normal"), on.number("rain.annual.normal"), "statistics are the record's own");
    assert_eq!(on.number("store.reliability.volume.undercatch_left"), off.number("store.reliability.volume"));
    assert!(off.number("store.reliability.volume.amounts_as_measured").is_none());
    assert!(page.text.contains("divided by one less 10%"), "words of the undercatch");
}

#[test]
fn what_speaks_against_the_best_gauge_stands_on_page_one() {
    // Half a degree of latitude is 56 km: beyond 40, within 100.
    let (report, page) = Valley::new(as_it_is).report(|site| site.replace("latitude = 44.482", "latitude = 44.0"));
    let first = page.text.split("How sure this is").next().unwrap();
    assert!(first.contains("The gauge that leads is not a good one for this site") && first.contains("away: a storm there"), "{first}");
    assert!(report.number("record.distance").unwrap() > 50.0);
    // On a mountain, with one gauge alone nothing tells how rain grows with height.
    let alone = Valley::new(as_it_is);
    for number in 2..=5 {
        fs::remove_file(alone.place.path().join(format!("gauges/XX0INVENT0{number}.dly"))).unwrap();
    }
    let (_, page) = alone.report(|site| site.replace("elevation = \"330 m\"", "elevation = \"1330 m\""));
    assert!(page.text.contains("no gauges show how rain changes with height here"));
    assert!(page.text.contains("No other gauge has a say here"));
    // Fifteen years are a short record.
    let short = Valley::new(|line: &str| (line[11..15].parse::<i32>().unwrap() >= 2010).then(|| line.to_owned()));
    for number in 2..=5 {
        fs::remove_file(short.place.path().join(format!("gauges/XX0INVENT0{number}.dly"))).unwrap();
    }
    let (_, page) = short.report(str::to_owned);
    assert!(page.text.contains("droughts that come once in twenty years are likely not in it"));
    let (_, page) = Valley::new(as_it_is).report(str::to_owned);
    assert!(!page.text.contains("not a good one for this site"));
}

#[test]
fn years_that_no_record_has_are_told_with_those_that_it_has() {
    let valley = Valley::new(as_it_is);
    let of_1890 =
        |site: &str| site.replace("period = \"1981-2024\"\n", "period = \"1890-1920\"\n").replace("normals = \"1991-2020\"\n", "");
    let (ran, _) = valley.assess(|site| of_1890(site).replace("station = \"XX0INVENT01\"\n", ""));
    assert_eq!(ran.code, 1);
    let told = ran.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("records.period: found 1890-01-01 to 1920-12-31, and no record has a usable day in it"), "{told}");
    assert!((1..=5).all(|number| told.contains(&format!("XX0INVENT0{number} 19"))), "{told}");
    let (ran, _) = valley.assess(of_1890);
    let told = ran.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(ran.code == 1 && told.contains("the record of XX0INVENT01 has no usable day in it"), "{told}");
}
