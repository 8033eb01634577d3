//! One day's reading of a rain gauge, in eight bytes, exact.
//!
//! The depth is an integer of micrometres: 0.1 mm is 100 and 0.01 in is 254, so both scales in use are exact, sums are
//! exact, and a threshold of 1.0 mm is met by 1000 and missed by 999. The kinds are kept apart from reader to page: a trace
//! is not dry and not wet, a multi-day total is not a day's rain, a rejected value is not missing, and missing is not zero.

use serde::Serialize;
use std::fmt;

/// What one day's reading is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A depth for this one day, zero included.
    Measured,
    /// Rain too small to measure; counts as a usable day of 0 mm.
    Trace,
    /// The last day of a total over several days (this one included); `None` when the source gives no length.
    Accumulated {
        /// Days that the total covers, at least 2, where known.
        days: Option<u16>,
    },
    /// A day without a reading of its own that a later multi-day total of known length covers.
    WithinTotal,
    /// No value.
    Missing,
    /// A value that its own source, or the reader, does not accept. The depth is kept for the record sheet.
    Rejected(Rejection),
}

/// Why a value was not accepted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Rejection {
    /// The source's own quality flag, with its letter.
    QualityFlag(u8),
    /// The field does not read as a number.
    Unreadable,
    /// A number that no rain depth can be: negative, or beyond the field's range.
    Impossible,
    /// A quality test of ours found it wrong.
    QualityTest,
}

impl fmt::Display for Rejection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::QualityFlag(letter) => write!(f, "quality flag {}", char::from(*letter)),
            Self::Unreadable => f.write_str("unreadable"),
            Self::Impossible => f.write_str("impossible value"),
            Self::QualityTest => f.write_str("quality test"),
        }
    }
}

/// Something to know about a value that is accepted all the same. Counted apart and printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Qualifier {
    /// Nothing was reported and the archive took it for zero.
    PresumedZero = 1,
    /// The source estimated it.
    Estimated = 2,
    /// Put together from shorter readings, such as two of twelve hours.
    MadeOfParts = 4,
}

impl Qualifier {
    /// Its name, as in JSON.
    pub fn id(self) -> &'static str {
        match self {
            Self::PresumedZero => "presumed_zero",
            Self::Estimated => "estimated",
            Self::MadeOfParts => "made_of_parts",
        }
    }
}

/// A set of [`Qualifier`]s.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Qualifiers(u8);

impl Qualifiers {
    /// None of them.
    pub const NONE: Self = Self(0);

    /// The set with one more.
    #[must_use]
    pub fn with(self, qualifier: Qualifier) -> Self {
        Self(self.0 | qualifier as u8)
    }

    /// Whether it holds that one.
    pub fn has(self, qualifier: Qualifier) -> bool {
        self.0 & qualifier as u8 != 0
    }
}

impl From<Qualifier> for Qualifiers {
    fn from(qualifier: Qualifier) -> Self {
        Self::NONE.with(qualifier)
    }
}

/// One day's reading: kind, depth in micrometres, qualifiers. Eight bytes.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Reading {
    micrometres: i32,
    code: Code,
    qualifiers: Qualifiers,
    /// Days of a multi-day total (0: unknown), or the reason of a rejection.
    detail: u16,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[repr(u8)]
enum Code {
    // The two kinds of usable days come first.
    Measured,
    Trace,
    Accumulated,
    WithinTotal,
    Missing,
    Rejected,
}

impl Reading {
    /// Wet-day threshold of the ETCCDI indices: 1.0 mm, in micrometres.
    pub const WET_DAY_MICROMETRES: i64 = 1000;

    /// No value.
    pub const MISSING: Self = Self { micrometres: 0, code: Code::Missing, qualifiers: Qualifiers::NONE, detail: 0 };
    /// Too little to measure.
    pub const TRACE: Self = Self { code: Code::Trace, ..Self::MISSING };
    /// Covered by a later multi-day total of known length.
    pub const WITHIN_TOTAL: Self = Self { code: Code::WithinTotal, ..Self::MISSING };

    /// A depth for this one day, in micrometres; a negative one is rejected as impossible.
    pub fn measured(micrometres: i32) -> Self {
        if micrometres < 0 {
            return Self::rejected(micrometres, Rejection::Impossible);
        }
        Self { micrometres, code: Code::Measured, ..Self::MISSING }
    }

    /// A total over several days ending on this one; lengths under two days are held to be unknown.
    pub fn accumulated(micrometres: i32, days: Option<u16>) -> Self {
        if micrometres < 0 {
            return Self::rejected(micrometres, Rejection::Impossible);
        }
        let detail = days.filter(|&days| days >= 2).unwrap_or(0);
        Self { micrometres, code: Code::Accumulated, detail, ..Self::MISSING }
    }

    /// A value that is not accepted.
    pub fn rejected(micrometres: i32, why: Rejection) -> Self {
        let detail = match why {
            Rejection::QualityFlag(letter) => u16::from(letter),
            Rejection::Unreadable => 0x100,
            Rejection::Impossible => 0x200,
            Rejection::QualityTest => 0x300,
        };
        Self { micrometres, code: Code::Rejected, detail, ..Self::MISSING }
    }

    /// Its eight bytes, for a temporary file; [`Reading::from_bytes`] gives it back.
    pub fn to_bytes(self) -> [u8; 8] {
        let [a, b, c, d] = self.micrometres.to_le_bytes();
        let [e, f] = self.detail.to_le_bytes();
        [a, b, c, d, self.code as u8, self.qualifiers.0, e, f]
    }

    /// The reading that these bytes are; bytes that are none are a missing one.
    pub fn from_bytes(bytes: [u8; 8]) -> Self {
        let [a, b, c, d, code, qualifiers, e, f] = bytes;
        let code = match code {
            0 => Code::Measured,
            1 => Code::Trace,
            2 => Code::Accumulated,
            3 => Code::WithinTotal,
            5 => Code::Rejected,
            _ => return Self::MISSING,
        };
        Self {
            micrometres: i32::from_le_bytes([a, b, c, d]),
            code,
            qualifiers: Qualifiers(qualifiers & 7),
            detail: u16::from_le_bytes([e, f]),
        }
    }

    /// The same reading with these qualifiers.
    #[must_use]
    pub fn qualified(self, qualifiers: Qualifiers) -> Self {
        Self { qualifiers, ..self }
    }

    /// What it is.
    pub fn kind(self) -> Kind {
        match self.code {
            Code::Measured => Kind::Measured,
            Code::Trace => Kind::Trace,
            Code::Accumulated => Kind::Accumulated { days: (self.detail != 0).then_some(self.detail) },
            Code::WithinTotal => Kind::WithinTotal,
            Code::Missing => Kind::Missing,
            Code::Rejected => Kind::Rejected(match self.detail {
                0x100 => Rejection::Unreadable,
                0x200 => Rejection::Impossible,
                0x300 => Rejection::QualityTest,
                letter => Rejection::QualityFlag(letter as u8),
            }),
        }
    }

    /// Its qualifiers.
    pub fn qualifiers(self) -> Qualifiers {
        self.qualifiers
    }

    /// The day's own depth in micrometres, for a usable day: measured, or trace as 0. Nothing else has one.
    pub fn depth(self) -> Option<i64> {
        match self.code {
            Code::Measured => Some(i64::from(self.micrometres)),
            Code::Trace => Some(0),
            _ => None,
        }
    }

    /// The same for long sums, without a branch: 1 and the depth for a usable day, 0 and 0 for any other.
    #[inline]
    pub fn counted(self) -> (u32, i32) {
        let usable = u32::from(self.code as u8 <= Code::Trace as u8);
        (usable, self.micrometres & -(usable as i32))
    }

    /// Whether it is a usable day below a depth in micrometres; no for a day that is not usable. Without a branch.
    #[inline]
    #[allow(clippy::needless_bitwise_bool)] // Two comparisons take no longer than the branch that would save one.
    pub fn is_below(self, micrometres: i32) -> bool {
        (self.code as u8 <= Code::Trace as u8) & (self.micrometres < micrometres)
    }

    /// The number as it stood in the file, whatever became of it: also a multi-day total's or a rejected one.
    pub fn stated_micrometres(self) -> i64 {
        i64::from(self.micrometres)
    }

    /// Measured or trace.
    pub fn is_usable(self) -> bool {
        matches!(self.code, Code::Measured | Code::Trace)
    }

    /// Whether it is a usable day of at least 1.0 mm; nothing for a day that is not usable.
    pub fn is_wet(self) -> Option<bool> {
        self.depth().map(|depth| depth >= Self::WET_DAY_MICROMETRES)
    }
}

impl fmt::Debug for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?} {} um", self.kind(), self.micrometres)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_is_eight_bytes() {
        assert_eq!(size_of::<Reading>(), 8);
    }

    #[test]
    fn the_wet_day_threshold_is_exact_for_both_scales() {
        // CHECKS A1.8 and A2 trap: 0.9 mm dry, 1.0 mm wet; 0.03 in (0.762 mm) dry, 0.04 in (1.016 mm) wet.
        for (micrometres, wet) in [(900, false), (1000, true), (3 * 254, false), (4 * 254, true)] {
            assert_eq!(Reading::measured(micrometres).is_wet(), Some(wet));
        }
        assert_eq!(Reading::TRACE.is_wet(), Some(false));
        assert_eq!(Reading::MISSING.is_wet(), None);
    }

    #[test]
    fn every_kind_survives_packing() {
        for reading in [
            Reading::measured(7),
            Reading::measured(0),
            Reading::TRACE,
            Reading::MISSING,
            Reading::WITHIN_TOTAL,
            Reading::accumulated(9, None),
        ] {
            assert_eq!(reading.counted(), (u32::from(reading.is_usable()), reading.depth().unwrap_or(0) as i32));
        }
        for why in [Rejection::QualityFlag(b'G'), Rejection::Unreadable, Rejection::Impossible, Rejection::QualityTest] {
            let reading = Reading::rejected(1_286_300, why);
            assert_eq!((reading.kind(), reading.depth(), reading.stated_micrometres()), (Kind::Rejected(why), None, 1_286_300));
        }
        assert_eq!(Reading::accumulated(5000, Some(3)).kind(), Kind::Accumulated { days: Some(3) });
        let estimated = Reading::measured(100).qualified(Qualifiers::NONE.with(Qualifier::Estimated).with(Qualifier::MadeOfParts));
        let rejected = Reading::rejected(1_286_300, Rejection::QualityTest);
        for reading in [estimated, rejected, Reading::TRACE, Reading::MISSING, Reading::WITHIN_TOTAL, Reading::accumulated(7, Some(400))] {
            assert_eq!(Reading::from_bytes(reading.to_bytes()), reading);
        }
        assert_eq!(Reading::from_bytes([0xFF; 8]), Reading::MISSING);
        for days in [None, Some(0), Some(1)] {
            assert_eq!(Reading::accumulated(5000, days).kind(), Kind::Accumulated { days: None });
        }
        assert_eq!(Reading::accumulated(5000, Some(3)).depth(), None);
        assert_eq!(Reading::measured(-1).kind(), Kind::Rejected(Rejection::Impossible));
        let presumed = Reading::measured(0).qualified(Qualifier::PresumedZero.into());
        assert!(presumed.qualifiers().has(Qualifier::PresumedZero) && !presumed.qualifiers().has(Qualifier::Estimated));
    }
}
