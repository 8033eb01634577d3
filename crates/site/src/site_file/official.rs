//! `[official]`: the design intensity of an official table, as the owner read it off or as it stands in the table's file. The path stays
//! text: the caller reads the file.

use super::findings::{Findings, quoted};
use super::model::{OfficialFromTable, Typed};
use super::section::Section;
use crate::OfficialIntensity;
use series::Intensity;

/// The owner's value, or what is asked of a table's file.
pub(super) fn read(section: &Section, findings: &mut Findings) -> (Option<Typed<OfficialIntensity>>, Option<OfficialFromTable>) {
    if section.is_absent() {
        return (None, None);
    }
    let duration = minutes(section, findings);
    if duration.as_ref().is_some_and(|typed| typed.value > 60.0) {
        section.unlikely(findings, "duration", "a gutter answers within minutes, and flows from a longer duration come out too small");
    }
    section.require(findings, "duration", "the duration that the table gives it for, such as \"5 min\"");
    section.require(findings, "return_period", "the return period in years that the table gives it for, such as 20");
    let years = section.number_in(findings, "return_period", 1.0..=1000.0, "a return period in years, from 1 to 1000");
    let years = years.map(|value| {
        let span = section.span_of("return_period");
        let (line, column) = findings.place(span.start);
        Typed { value, text: findings.slice(&span).to_owned(), line, column }
    });
    if section.has("table") {
        for key in ["intensity", "source"] {
            if section.has(key) {
                section.contradiction(
                    findings,
                    &["table", key],
                    "give one of them: the table's file says both the intensity and its source",
                );
            }
        }
        let (table, read_on) = (section.text(findings, "table"), section.date(findings, "read_on"));
        let asked = table.zip(duration).zip(years);
        let asked = asked.map(|((table, duration_minutes), return_period_years)| OfficialFromTable {
            table,
            duration_minutes,
            return_period_years,
            read_on,
        });
        return (None, asked);
    }
    (by_owner(section, duration, years, findings), None)
}

fn by_owner(
    section: &Section,
    duration: Option<Typed<f64>>,
    years: Option<Typed<f64>>,
    findings: &mut Findings,
) -> Option<Typed<OfficialIntensity>> {
    let intensity = "the rain intensity of an official table, such as \"75 mm/h\" or \"2.9 in/h\", or table = \"FILE.csv\"";
    section.require(findings, "intensity", intensity);
    section.require(findings, "source", "where the value was read: the table's name and address");
    let intensity = section.above_zero::<Intensity>(findings, "intensity");
    if intensity.as_ref().is_some_and(|typed| !(5.0..=800.0).contains(&typed.value.get())) {
        section.unlikely(findings, "intensity", "short design rains of official tables are between about 5 and 800 mm/h");
    }
    let source = section.text(findings, "source");
    let read_on = section.date(findings, "read_on");
    if !section.has("read_on") {
        let message = "official.read_on is missing: a desk cannot tell how old the value is".to_owned();
        findings.note("official-undated", section.span(), message, "the report leaves the date blank");
    }
    let Typed { value, text, line, column } = intensity?;
    let value = OfficialIntensity::from_official_table(value, duration?.value, years?.value, source?.value, read_on);
    Some(Typed { value, text, line, column })
}

/// A duration in minutes, from `"5 min"` or `"1 h"`.
fn minutes(section: &Section, findings: &mut Findings) -> Option<Typed<f64>> {
    let Typed { value: text, line, column, .. } = section.text(findings, "duration")?;
    let (number, factor) = if let Some(number) = text.strip_suffix("min") {
        (number, 1.0)
    } else if let Some(number) = text.strip_suffix('h') {
        (number, 60.0)
    } else {
        ("", 1.0)
    };
    let plain = number.trim();
    let digits = plain.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
    let minutes = plain.parse::<f64>().ok().filter(|_| digits).map(|number| number * factor);
    let known = minutes.filter(|minutes| (1.0..=1440.0).contains(minutes));
    if known.is_none() {
        let message = format!("official.duration: found \"{}\", expected a duration in min or h, such as \"5 min\"", quoted(&text));
        findings.error("quantity-unreadable", &section.span_of("duration"), message);
    }
    Some(Typed { value: known?, text, line, column })
}
