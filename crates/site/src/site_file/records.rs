//! `[records]`: which rain records are used. Paths stay text.

use super::findings::Findings;
use super::model::{GaugeRule, RecordSource, Records};
use super::section::Section;
use series::{DateOrder, Depth, DepthUnit, Period, Quantity, UnitSystem};

/// Most files in `files`.
const MOST_FILES: usize = 50;
/// ETCCDI: a wet day has at least 1 mm (DESIGN section 6).
const WET_DAY: Depth = Depth::new(1.0);
/// Seed taken when none is given: any fixed number does, and this one is ours.
pub(super) const SEED: u64 = 20_240_630;
/// Greatest share that a gauge may be said to miss, and the greatest that is usual of rain (Sevruk 1982, WMO-No. 589; from memory).
const MOST_UNDERCATCH: f64 = 0.5;
const LIKELY_UNDERCATCH: f64 = 0.15;
/// Furthest that a gauge's dates may be said to be off, days.
const MOST_DAYS_LATER: i64 = 2;

/// `[records]`.
pub(super) fn read(section: &Section, units: UnitSystem, findings: &mut Findings) -> Option<Records> {
    let source = source(section, findings);
    let station_list = section.text(findings, "station_list").map(|text| text.value);
    let station = section.text(findings, "station");
    let period = years(section, "period", findings);
    let normals = years(section, "normals", findings);
    if let (Some(period), Some(normals)) = (period, normals)
        && period.overlap(normals) != Some(normals)
    {
        let message = format!("records.normals: found {normals}, expected years within records.period, {period}");
        findings.error("keys-contradict", &section.span_of("normals"), message);
    }
    if let Some(years) = normals.map(|normals| normals.last.year() - normals.first.year() + 1)
        && years != 30
    {
        // WMO-No. 1203 (from memory): normals are of 30 years.
        let message = format!("records.normals: found {years} years; climatological normals are usually of 30 years");
        findings.note("normals-not-thirty-years", &section.span_of("normals"), message, super::findings::AS_WRITTEN);
    }
    let depth_unit = section.choice(findings, "depth_unit", DepthUnit::WORDS);
    let date_order = section.choice(findings, "date_order", DateOrder::WORDS);
    let wet_day = section.above_zero::<Depth>(findings, "wet_day").map(|typed| typed.value);
    if wet_day.is_some_and(|depth| depth.get() > 25.0) {
        section.unlikely(findings, "wet_day", "a wet day is usually one with at least 1 mm");
    }
    if !section.has("wet_day") {
        findings.assume("wet-day", section.path_of("wet_day"), shown(WET_DAY, units));
    }
    let seed = section.integer(findings, "seed", 0..=i64::MAX).map(i64::cast_unsigned);
    if !section.has("seed") {
        findings.assume("seed", section.path_of("seed"), SEED.to_string());
    }
    let use_neighbours = section.flag(findings, "use_neighbours").unwrap_or(true);
    let amounts_as_measured = section.flag(findings, "amounts_as_measured").unwrap_or(false);
    let undercatch = section.number_in(findings, "undercatch", 0.0..=MOST_UNDERCATCH, "a share from 0 to 0.5, such as 0.05").unwrap_or(0.0);
    if undercatch > LIKELY_UNDERCATCH {
        section.unlikely(findings, "undercatch", "of rain a gauge usually misses 2 to 15 %; only of snow more");
    }
    for (id, key, value) in [
        ("use-neighbours", "use_neighbours", "true"),
        ("amounts-as-measured", "amounts_as_measured", "false"),
        ("undercatch", "undercatch", "0"),
    ] {
        if !section.has(key) {
            findings.assume(id, section.path_of(key), value);
        }
    }
    Some(Records {
        source: source?,
        station_list,
        station,
        period,
        normals,
        wet_day: wet_day.unwrap_or(WET_DAY),
        seed: seed.unwrap_or(SEED),
        use_neighbours,
        amounts_as_measured,
        undercatch,
        gauges: Vec::new(),
        depth_unit,
        date_order,
    })
}

/// One `[[gauge]]`.
pub(super) fn gauge(section: &Section, findings: &mut Findings) -> Option<GaugeRule> {
    section.require(findings, "id", "the station's identifier, as `rainworth record` prints it");
    if !section.has("days_later") && !section.has("left_out") {
        section.require(
            findings,
            "days_later",
            "how many days later this gauge dates the same rain than the leading one, -2 to 2, or left_out = true",
        );
    }
    let id = section.text(findings, "id");
    let days_later = section.integer(findings, "days_later", -MOST_DAYS_LATER..=MOST_DAYS_LATER).map(|days| days as i32);
    let left_out = section.flag(findings, "left_out").unwrap_or(false);
    if left_out && section.has("days_later") {
        section.contradiction(findings, &["days_later", "left_out"], "give one of them");
    }
    Some(GaugeRule { id: id?, days_later, left_out })
}

fn source(section: &Section, findings: &mut Findings) -> Option<RecordSource> {
    let folder = section.text(findings, "folder").map(|text| RecordSource::Folder(text.value));
    let list = section.list(findings, "files", MOST_FILES, "a list of 1 to 50 file names, such as [\"stations/XX0INVENT01.dly\"]");
    let files = list.map(|list| list.iter().filter_map(|value| section.text_of(findings, "files", value)).map(|text| text.value).collect());
    match (section.has("folder"), section.has("files")) {
        (true, true) => {
            section.contradiction(findings, &["folder", "files"], "give one of them");
            None
        }
        (false, false) => {
            section.require(findings, "folder", "the folder of the station files, such as \"stations\", or files = [...]");
            None
        }
        _ => folder.or(files.map(RecordSource::Files)),
    }
}

/// Years such as `"1981-2024"`.
pub(super) fn years(section: &Section, key: &str, findings: &mut Findings) -> Option<Period> {
    let text = section.text(findings, key)?.value;
    let read = text.split_once('-').and_then(|(first, last)| Some((year(first)?, year(last)?)));
    if let Some((first, last)) = read
        && (1600..=2299).contains(&first)
        && (first..=2299).contains(&last)
    {
        return Some(Period::of_years(first, last));
    }
    let span = section.span_of(key);
    section.out_of_range(findings, key, &span, &text, "a first and a last year from 1600 to 2299, such as \"1981-2024\"");
    None
}

fn year(text: &str) -> Option<i32> {
    let text = text.trim();
    (text.len() == 4 && text.bytes().all(|byte| byte.is_ascii_digit())).then(|| text.parse().ok()).flatten()
}

/// A value in the site's units, to at most four decimals.
pub(super) fn shown<Q: Quantity>(value: Q, units: UnitSystem) -> String {
    let (number, unit) = value.shown(units);
    let mut text = format!("{number:.4}");
    text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    format!("{text} {unit}")
}
