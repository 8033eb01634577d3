//! At what hour the days of a file end: the one that most of its rows state; each other one is told with how many rows state it.

use crate::delimited::Row;
use crate::finding::{Findings, Line, shown};
use crate::{fields, observation_time};
use series::{Day, DayDefinition, DayLabel, Severity};
use std::collections::BTreeMap;

/// Texts that are told apart; a file of more has no hour.
const MOST_TEXTS: usize = 100;

/// Where a text was met first, and how often.
struct Met {
    count: usize,
    line: u32,
    columns: (u32, u32),
    day: Day,
}

/// The texts of the column `ob_end_ctime`, such as `900`.
#[derive(Default)]
pub(super) struct EndHours {
    texts: BTreeMap<Vec<u8>, Met>,
}

impl EndHours {
    pub(super) fn add(&mut self, row: &Row<'_, '_>, at: usize, day: Day) {
        let text = row.get(at);
        if let Some(met) = self.texts.get_mut(text) {
            met.count += 1;
        } else if self.texts.len() < MOST_TEXTS {
            self.texts.insert(text.to_vec(), Met { count: 1, line: row.line.number, columns: row.columns(at), day });
        }
    }

    /// The definition of the day by the hour that most rows state, the earlier of equals; the others are told.
    pub(super) fn definition(&self, findings: &mut Findings<'_>) -> DayDefinition {
        let readable = self.texts.iter().filter_map(|(text, met)| Some((clock(text)?, met)));
        let mut counts: BTreeMap<u16, usize> = BTreeMap::new();
        readable.for_each(|(clock, met)| *counts.entry(clock).or_default() += met.count);
        // A day that ends at 24 hours is the calendar day.
        let Some((&most, _)) = counts.iter().rev().max_by_key(|(_, count)| **count) else {
            return DayDefinition { start_hour: None, label: DayLabel::LastDay };
        };
        for (text, met) in self.texts.iter().filter(|(text, _)| clock(text) != Some(most)) {
            let Met { count, line, columns, day } = met;
            findings.at("observation-hour-differs", Severity::Note, Line { number: *line, text: b"" }, *columns, || {
                let rows = if *count == 1 { "1 row".to_owned() } else { format!("{count} rows") };
                (
                    format!("found the end of the day at {:?} in {rows}, first of {day}; expected {most:04} as in most rows", shown(text)),
                    "The values are read under their dates.",
                )
            });
        }
        observation_time::definition_of(most)
    }
}

/// Hours and minutes as one number.
fn clock(text: &[u8]) -> Option<u16> {
    fields::whole(text).filter(|clock| *clock <= 2400 && clock % 100 < 60).map(|clock| clock as u16)
}
