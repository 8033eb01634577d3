//! What the flags of the Global Historical Climatology Network mean, the same in each of its layouts.
//!
//! Source: GHCN-Daily readme 3.26, section III. A quality flag rejects the value, which is kept for the record sheet; the measurement flag T
//! is a trace, P a presumed zero, B and D a depth made of two or four shorter readings.

use crate::decimal::millimetres;
use crate::fields;
use crate::finding::{Findings, Line};
use series::{Day, DayDefinition, DayLabel, Qualifier, Reading, Rejection, Severity};

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
    if quality != b' ' || tenths < 0 {
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

/// The hour of observation over a whole record.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct ObservationHour {
    first: Option<[u8; 4]>,
    other: Option<[u8; 4]>,
    without: bool,
}

impl ObservationHour {
    /// The time of observation of one rain value, HHMM or nothing.
    #[inline]
    pub(super) fn add(&mut self, time: &[u8]) {
        match <[u8; 4]>::try_from(time) {
            Err(_) => self.without = true,
            Ok(time) if self.first.is_none_or(|first| first == time) => self.first = Some(time),
            Ok(time) => self.other = Some(time),
        }
    }

    /// The day that follows where the hour is the same all over: the 24 hours end then on the date given, and a day that ends at 24 hours is
    /// the calendar day (readme of the by-station files: the time of observation is local). Hours that change are told.
    pub(super) fn day_definition(&self, findings: &mut Findings<'_>) -> DayDefinition {
        let clock = |time: [u8; 4]| {
            Some((fields::whole(&time[..2])?, fields::whole(&time[2..])?)).filter(|(hour, minute)| *hour <= 24 && *minute < 60)
        };
        let Some((hour, minute)) = self.first.and_then(clock) else { return DayDefinition::default() };
        if let Some((other_hour, other_minute)) = self.other.and_then(clock) {
            findings.whole("observation-hour-changes", Severity::Note, || {
                (
                    format!("found observations at {hour:02}:{minute:02} and at {other_hour:02}:{other_minute:02}, expected one hour for the whole record"),
                    "Which 24 hours a date means is taken as not known.",
                )
            });
            return DayDefinition::default();
        }
        if self.without {
            return DayDefinition::default();
        }
        match hour % 24 {
            0 => DayDefinition { start_hour: Some(0), label: DayLabel::FirstDay },
            hour => DayDefinition { start_hour: Some(hour as u8), label: DayLabel::LastDay },
        }
    }
}

/// The reading that a depth with a measurement and a quality flag is (a blank for none), with what is to be told of it. Of a day without
/// a special flag: [`Reading::measured`].
pub(super) fn reading(at: &Flagged<'_>, micrometres: i32, measurement: u8, quality: u8, findings: &mut Findings<'_>) -> Reading {
    let day = at.day;
    if quality != b' ' {
        findings.flagged(at.line, at.quality, micrometres, day, quality, failed_check(quality));
        return Reading::rejected(micrometres, Rejection::QualityFlag(quality));
    }
    let depth = || millimetres(i64::from(micrometres));
    if micrometres < 0 {
        findings.at("value-impossible", Severity::Warning, at.line, at.value, || {
            (format!("found {} mm on {day}, expected a depth of 0 mm or more, or -9999", depth()), "The value is rejected.")
        });
        return Reading::rejected(micrometres, Rejection::Impossible);
    }
    let measured = Reading::measured(micrometres);
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
