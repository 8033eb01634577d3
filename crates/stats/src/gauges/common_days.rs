//! The days on which two gauges both have a depth of their own, dates moved as an alignment says.

use super::DayAlignment;
use series::DailySeries;

/// Depths of the two on such a day, micrometres, with the place of the lead's reading.
#[derive(Debug, Clone, Copy)]
pub(crate) struct CommonDay {
    pub(crate) at: usize,
    pub(crate) lead: i64,
    pub(crate) other: i64,
}

/// Them in the order of the lead's record.
pub(crate) fn common_days<'a>(
    lead: &'a DailySeries,
    other: &'a DailySeries,
    alignment: DayAlignment,
) -> impl Iterator<Item = CommonDay> + 'a {
    let firsts = lead.period().zip(other.period());
    // Index of the other's reading that stands beside the lead's first.
    let shift = firsts.map_or(0, |(own, theirs)| own.first.plus(alignment.days_later()).since(theirs.first));
    let (from, to) = ((-shift).max(0) as usize, shift.max(0) as usize);
    let pairs = lead.readings().iter().enumerate().skip(from).zip(other.readings().iter().skip(to));
    pairs.filter_map(|((at, one), other)| Some(CommonDay { at, lead: one.depth()?, other: other.depth()? }))
}
