//! The half-years of a record, January to June and July to December: the epochs in which dates or units are looked for.

use super::working_days::WorkingDays;

/// A half-year by the places of its days.
#[derive(Debug, Clone, Copy)]
pub(crate) struct HalfYear {
    /// 0 for January to June, 1 for July to December.
    pub(crate) half: usize,
    pub(crate) start: usize,
    pub(crate) end: usize,
}

/// All of them in order; those at the ends may be short.
pub(crate) fn half_years(days: &WorkingDays) -> Vec<HalfYear> {
    let same = |a: &super::working_days::MonthSpan, b: &super::working_days::MonthSpan| a.year == b.year && (a.month > 6) == (b.month > 6);
    let of = days.months.chunk_by(same);
    of.map(|months| HalfYear { half: usize::from(months[0].month > 6), start: months[0].start, end: months[months.len() - 1].end })
        .collect()
}
