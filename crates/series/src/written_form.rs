//! How a table writes depths and dates, where the table itself does not say: what a person is asked, and the words of the answer.
//!
//! The words are ours; the command line and the site file share them.

/// The unit in which a file states rain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum DepthUnit {
    /// 1 mm.
    Millimetre,
    /// 0.1 mm.
    TenthOfMillimetre,
    /// 10 mm.
    Centimetre,
    /// 25.4 mm.
    Inch,
    /// 0.254 mm, the "point" of gauges in Australia before 1974.
    HundredthOfInch,
}

impl std::fmt::Display for DepthUnit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Millimetre => "millimetres",
            Self::TenthOfMillimetre => "tenths of a millimetre",
            Self::Centimetre => "centimetres",
            Self::Inch => "inches",
            Self::HundredthOfInch => "hundredths of an inch",
        })
    }
}

impl DepthUnit {
    /// The words of an answer.
    pub const WORDS: &'static [(&'static str, Self)] = &[
        ("mm", Self::Millimetre),
        ("tenths-of-mm", Self::TenthOfMillimetre),
        ("in", Self::Inch),
        ("hundredths-of-in", Self::HundredthOfInch),
    ];

    /// Micrometres of one of it; the inch is 25.4 mm exactly (ISO 80000-3:2019, from memory).
    pub fn micrometres(self) -> i64 {
        match self {
            Self::Millimetre => 1000,
            Self::TenthOfMillimetre => 100,
            Self::Centimetre => 10_000,
            Self::Inch => 25_400,
            Self::HundredthOfInch => 254,
        }
    }
}

/// In which order a file writes day, month and year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DateOrder {
    /// `2024-03-31`.
    YearMonthDay,
    /// `31/03/2024`.
    DayMonthYear,
    /// `03/31/2024`.
    MonthDayYear,
}

impl std::fmt::Display for DateOrder {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::YearMonthDay => "year/month/day",
            Self::DayMonthYear => "day/month/year",
            Self::MonthDayYear => "month/day/year",
        })
    }
}

impl DateOrder {
    /// The words of an answer.
    pub const WORDS: &'static [(&'static str, Self)] =
        &[("day-month-year", Self::DayMonthYear), ("month-day-year", Self::MonthDayYear), ("year-month-day", Self::YearMonthDay)];
}
