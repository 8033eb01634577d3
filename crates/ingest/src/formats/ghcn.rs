//! What the flags of the Global Historical Climatology Network mean, the same in each of its layouts.
//!
//! Source: GHCN-Daily readme 3.26, section III. A quality flag rejects the value, which is kept for the record sheet; the measurement flag T
//! is a trace, P a presumed zero, B and D a depth made of two or four shorter readings.

use crate::believed::{self, MOST_MICROMETRES};
use crate::decimal::millimetres;
use crate::finding::{Findings, Line};
use series::{Day, Qualifier, Reading, Rejection, Severity};

/// A day's value and its flags: where each stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Flagged<'a> {
    pub(super) line: Line<'a>,
    pub(super) day: Day,
    /// Column and width of the value, of its measurement flag, of its quality flag.
    pub(super) value: (u32, u32),
    pub(super) measurement: (u32, u32),
    pub(super) quality: (u32, u32),
}

/// The reading of tenths of a millimetre whose flags leave nothing to tell: no quality flag, and a measurement flag that fits the value.
#[inline]
pub(super) fn common(measurement: u8, quality: u8, tenths: i32) -> Option<Reading> {
    if quality != b' ' || !(0..=MOST_MICROMETRES / 100).contains(&tenths) {
        return None;
    }
    let depth = || tenths.checked_mul(100).map(Reading::measured);
    match measurement {
        b' ' => depth(),
        b'T' if tenths == 0 => Some(Reading::TRACE),
        b'P' if tenths == 0 => Some(Reading::measured(0).qualified(Qualifier::PresumedZero.into())),
        b'B' | b'D' => Some(depth()?.qualified(Qualifier::MadeOfParts.into())),
        _ => None,
    }
}

/// The reading that a depth with a measurement and a quality flag is (a blank for none), with what is to be told of it. Of a day without
/// a special flag: [`Reading::measured`].
pub(super) fn reading(at: &Flagged<'_>, micrometres: i64, measurement: u8, quality: u8, findings: &mut Findings<'_>) -> Reading {
    let day = at.day;
    if quality != b' ' {
        findings.flagged(at.line, at.quality, micrometres, day, quality, failed_check(quality));
        return Reading::rejected(believed::held(micrometres), Rejection::QualityFlag(quality));
    }
    let depth = || millimetres(micrometres);
    if !believed::is_of_a_day(micrometres) {
        findings.at("value-impossible", Severity::Warning, at.line, at.value, || {
            (format!("found {} mm on {day}, expected a depth from 0 to 2000 mm, or -9999", depth()), "The value is rejected.")
        });
        return Reading::rejected(believed::held(micrometres), Rejection::Impossible);
    }
    let measured = Reading::measured(believed::held(micrometres));
    match measurement {
        b' ' => measured,
        b'B' | b'D' => measured.qualified(Qualifier::MadeOfParts.into()),
        b'P' if micrometres == 0 => measured.qualified(Qualifier::PresumedZero.into()),
        b'P' => {
            findings.at("presumed-zero-with-depth", Severity::Note, at.line, at.value, || {
                (format!("found {} mm presumed zero on {day}, expected 0", depth()), "The depth is read as measured.")
            });
            measured
        }
        b'T' => {
            if micrometres != 0 {
                findings.at("trace-with-depth", Severity::Note, at.line, at.value, || {
                    (format!("found a trace of {} mm on {day}, expected a trace to be 0", depth()), "The day is a trace, 0 mm.")
                });
            }
            Reading::TRACE
        }
        _ => {
            findings.at("measurement-flag-unknown", Severity::Note, at.line, at.measurement, || {
                let letter = char::from(measurement);
                (
                    format!("found the measurement flag {letter} on {day}, expected blank, B, D, P or T for precipitation"),
                    "The value is read.",
                )
            });
            measured
        }
    }
}

/// What a quality flag says (readme 3.26, section III, QFLAG1).
pub(super) fn failed_check(quality: u8) -> &'static str {
    match quality {
        b'D' => "failed the duplicate check",
        b'G' => "failed the gap check",
        b'I' => "failed the internal consistency check",
        b'K' => "failed the streak or frequent-value check",
        b'L' => "failed the check on the length of a multi-day period",
        b'M' => "failed the megaconsistency check",
        b'N' => "failed the naught check",
        b'O' => "failed the climatological outlier check",
        b'R' => "failed the lagged range check",
        b'S' => "failed the spatial consistency check",
        b'T' => "failed the temporal consistency check",
        b'W' => "too warm for snow",
        b'X' => "failed the bounds check",
        b'Z' => "flagged by an investigation of the archive",
        _ => "a letter that the readme does not list",
    }
}
