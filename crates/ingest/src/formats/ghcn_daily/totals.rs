//! MDPR and DAPR: totals over several days and how many days each covers, read from their lines and put among the single days.
//! What a pair of them is: [`crate::formats::ghcn_totals`]; where it goes: [`crate::multi_day_totals`].

use super::lines::MonthLine;
use super::month::{Cell, each_cell};
use super::rain::MICROMETRES;
use crate::finding::Findings;
use crate::formats::ghcn_totals::{self, Amount, Paired};
use crate::multi_day_totals::{self, Total};
use series::{Day, Kind, Reading};

/// All values of MDPR or of DAPR, in the order of time; one of the element's unit is `unit` of ours.
fn stated<'a>(bytes: &'a [u8], (element, unit): (&str, i32), lines: &[MonthLine], findings: &mut Findings<'_>) -> Vec<Amount<'a>> {
    let mut all = Vec::new();
    each_cell(bytes, element, lines, findings, |place, cell, _| {
        let (value, quality) = match cell {
            Cell::Number { value, quality, .. } => (Some(i64::from(value * unit)), quality),
            Cell::Unreadable => (None, b' '),
        };
        let (value_columns, quality_columns) = (place.value(), place.quality_flag());
        all.push(Amount { day: place.day(), value, quality, line: place.line, value_columns, quality_columns });
    });
    all
}

/// Put the totals into their places; `readings` begins with `first` and holds the single days already.
pub(super) fn read(bytes: &[u8], [totals, lengths]: [&[MonthLine]; 2], first: Day, readings: &mut [Reading], findings: &mut Findings<'_>) {
    let totals = stated(bytes, ("MDPR", MICROMETRES), totals, findings);
    let lengths = stated(bytes, ("DAPR", 1), lengths, findings);
    for (total, paired) in ghcn_totals::pair(&totals, &lengths, findings) {
        let Some(last) = usize::try_from(total.day.since(first)).ok().filter(|last| *last < readings.len()) else { continue };
        match paired {
            Paired::Rejected(rejected) if readings[last].kind() == Kind::Missing => readings[last] = rejected,
            Paired::Rejected(_) => {}
            Paired::Accepted(micrometres, days) => {
                let total = Total { last: total.day, micrometres, days, line: total.line, columns: total.value_columns };
                multi_day_totals::put(first, readings, &total, findings);
            }
        }
    }
}
