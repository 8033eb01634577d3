//! The quality number MESQL of a value (CEDA, `QC_J_flags.html`).

use crate::delimited::Row;
use crate::fields;
use crate::finding::shown;
use crate::station_days::StationDays;
use series::{Day, Severity};

/// The digits MES of the quality number.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Quality {
    pub(super) marker: u8,
    pub(super) estimate: u8,
    status: u8,
}

impl Quality {
    /// Whether the value is of several days.
    pub(super) fn accumulates(self) -> bool {
        matches!(self.marker, 2 | 3)
    }

    fn of(field: &[u8]) -> Option<Self> {
        let number = fields::whole(field).filter(|number| *number < 100_000)?;
        let digit = |place: u32| (number / 10_u32.pow(place) % 10) as u8;
        Some(Self { marker: digit(4), estimate: digit(3), status: digit(2) })
    }
}

/// The quality of a row's value, with what has to be told of it.
pub(super) fn quality(row: &Row<'_, '_>, at: usize, day: Day, days: &mut StationDays<'_>) -> Option<Quality> {
    let quality = Quality::of(row.get(at));
    match &quality {
        None => days.findings.at("quality-flag-unknown", Severity::Note, row.line, row.columns(at), || {
            (format!("found the quality number {:?} on {day}, expected up to five digits", shown(row.get(at))), "The value is read.")
        }),
        Some(found) if found.marker > 3 => days.findings.at("quality-flag-unknown", Severity::Note, row.line, row.columns(at), || {
            (
                format!("found the quality marker {} on {day}, expected 0, 1 (trace), 2 (accumulation) or 3 (both)", found.marker),
                "The value is read.",
            )
        }),
        Some(found) if found.status > 0 => days.findings.at("quality-status-set", Severity::Note, row.line, row.columns(at), || {
            (
                format!(
                    "found the quality status {} on {day} (a remark on the value, such as a reason to suspect it); expected none",
                    found.status
                ),
                "The value is read: the office keeps values that it suspects.",
            )
        }),
        Some(_) => {}
    }
    quality
}
