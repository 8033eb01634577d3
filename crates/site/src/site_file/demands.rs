//! `[[demand]]`: litres on each day that water is drawn, by month and weekday.
//!
//! `area` and `depth_per_week`: A m2 x d mm = A d litres a week, shared evenly among the weekdays on which it is drawn.

use super::findings::{Findings, quoted};
use super::model::Typed;
use super::section::{Section, Value, described};
use crate::Demand;
use series::{Area, Depth, Volume};
use toml::de::DeValue;

const MONTHS: [&str; 12] =
    ["january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"];
const WEEKDAYS: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];

/// One demand.
pub(super) fn read(section: &Section, number: usize, findings: &mut Findings) -> Option<Typed<Demand>> {
    let name = section.text(findings, "name").map_or_else(|| format!("Demand {number}"), |text| text.value);
    let months = named::<12>(section, "months", &MONTHS, true, findings);
    let weekdays = named::<7>(section, "weekdays", &WEEKDAYS, false, findings);
    let per_day = section.zero_or_more::<Volume>(findings, "per_day");
    let area = section.zero_or_more::<Area>(findings, "area");
    let depth = section.zero_or_more::<Depth>(findings, "depth_per_week");
    let by_month = by_month(section, findings);
    let by_area = section.has("area") || section.has("depth_per_week");
    let ways = [section.has("per_day"), by_area, section.has("by_month")].into_iter().filter(|&given| given).count();
    let one_way = "per_day, or area with depth_per_week, or by_month";
    if ways == 0 {
        section.require(findings, "per_day", &format!("{one_way}, such as \"120 L\""));
        return None;
    }
    if ways > 1 {
        section.contradiction(findings, &["per_day", "area", "depth_per_week", "by_month"], &format!("give {one_way}"));
        return None;
    }
    if section.has("by_month") && section.has("months") {
        section.contradiction(findings, &["by_month", "months"], "write \"0 L\" in by_month for a month without demand");
        return None;
    }
    if by_area {
        section.require(findings, "area", "the area that is watered, because depth_per_week is given");
        section.require(findings, "depth_per_week", "the depth that it gets a week, such as \"20 mm\", because area is given");
    }
    if depth.as_ref().is_some_and(|depth| depth.value.get() > 100.0) {
        section.unlikely(findings, "depth_per_week", "gardens are given 10 to 50 mm a week");
    }
    let (months, weekdays) = (months?, weekdays?);
    let (key, daily, text) = if let Some(daily) = by_month {
        ("by_month", daily, "by month".to_owned())
    } else if let Some(per_day) = per_day {
        ("per_day", months.map(|drawn| if drawn { per_day.value } else { Volume::ZERO }), format!("{} a day", per_day.text))
    } else {
        let (area, depth) = (area?, depth?);
        let depths = months.map(|drawn| if drawn { depth.value } else { Depth::ZERO });
        // It refuses nothing that has come so far: every number is finite and at least zero, and a weekday is named.
        let bed = Demand::for_bed(&name, area.value, depths, weekdays).ok()?;
        ("area", bed.daily_by_month, format!("{} a week on {}", depth.text, area.text))
    };
    if daily.iter().any(|volume| !volume.get().is_finite()) {
        section.out_of_range(findings, key, &section.span_of(key), &text, "a demand that can be reckoned with");
        return None;
    }
    if daily.iter().any(|volume| volume.get() > 100_000.0) {
        section.unlikely(findings, key, "more than 100 m3 a day is hardly meant: is it another unit?");
    }
    let (line, column) = findings.place(section.span_of(key).start);
    Some(Typed { value: Demand { name, daily_by_month: daily, weekdays }, text, line, column })
}

fn by_month(section: &Section, findings: &mut Findings) -> Option<[Volume; 12]> {
    let expected = "a list of 12 volumes a day, January first, such as [\"0 L\", \"0 L\", ...]";
    let list = section.list(findings, "by_month", 12, expected)?;
    if list.len() != 12 {
        let message = format!("{}: found a list of {}, expected {expected}", section.path_of("by_month"), list.len());
        findings.error("value-out-of-range", &section.span_of("by_month"), message);
        return None;
    }
    let mut daily = [Volume::ZERO; 12];
    let mut whole = true;
    for (month, value) in daily.iter_mut().zip(list) {
        match section.quantity_of::<Volume>(findings, "by_month", value) {
            Some(typed) if typed.value.get() >= 0.0 => *month = typed.value,
            Some(typed) => {
                section.out_of_range(findings, "by_month", &value.span(), &typed.text, "a volume of zero or more");
                whole = false;
            }
            None => whole = false,
        }
    }
    whole.then_some(daily)
}

/// Which of a few named things a list names; all of them when the list is missing. A name may be cut to three letters.
fn named<const N: usize>(
    section: &Section,
    key: &str,
    names: &[&'static str; N],
    numbers: bool,
    findings: &mut Findings,
) -> Option<[bool; N]> {
    if !section.has(key) {
        return Some([true; N]);
    }
    let number = if numbers { format!(", or numbers from 1 to {N}") } else { String::new() };
    let expected = format!("a list of 1 to {N} names, such as [\"{}\", \"{}\"]{number}", &names[0][..3], names[1]);
    let list = section.list(findings, key, N, &expected)?;
    let mut chosen = [false; N];
    let mut whole = true;
    for value in list {
        let at = position(value, names, numbers);
        if let Some(slot) = at.and_then(|at| chosen.get_mut(at)) {
            *slot = true;
        } else {
            whole = false;
            let found = described(findings, value);
            let message = format!("{}: found {}, expected {expected}", section.path_of(key), quoted(&found));
            findings.error("choice-unknown", &value.span(), message);
        }
    }
    whole.then_some(chosen)
}

fn position(value: &Value, names: &[&'static str], numbers: bool) -> Option<usize> {
    match value.get_ref() {
        DeValue::String(text) => names.iter().position(|name| name.eq_ignore_ascii_case(text) || name[..3].eq_ignore_ascii_case(text)),
        DeValue::Integer(integer) if numbers => {
            let number = usize::from_str_radix(integer.as_str(), integer.radix()).ok()?;
            number.checked_sub(1)
        }
        _ => None,
    }
}

/// Reports a site on which nothing is ever drawn.
pub(super) fn something_is_drawn(demands: &[(&Section, Option<Typed<Demand>>)], findings: &mut Findings) {
    let Some((first, _)) = demands.first() else { return };
    // Of a demand with faults we cannot tell.
    let nothing = demands
        .iter()
        .all(|(_, demand)| demand.as_ref().is_some_and(|demand| demand.value.daily_by_month.iter().all(|volume| volume.get() == 0.0)));
    if nothing {
        let message = "found no demand above zero in any month; expected at least one, because a store that nobody draws from has no use";
        findings.error("demand-zero", first.span(), message.to_owned());
    }
}
