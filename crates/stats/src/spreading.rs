//! A record's days as depths for a daily balance: multi-day totals of known length spread over the days they cover.
//!
//! Without a neighbour's pattern there are two ways, and a report prints both (DESIGN section 6): equal shares, or all on the last day. The
//! whole depth is kept. A total of unknown length, or one that covers a day with a reading of its own, cannot be spread: its days are gaps.

use crate::placed_totals::placed_totals;
use serde::Serialize;
use series::{DailySeries, Depth, Kind};

/// How a multi-day total falls on its days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TotalSpread {
    /// In equal shares.
    #[default]
    Even,
    /// All on the last day, nothing on those before.
    LastDay,
}

/// A day's depth before gaps are filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Known {
    Measured(Depth),
    Trace,
    SpreadTotal(Depth),
    Gap,
}

/// Every day of the record's calendar, in order.
pub(crate) fn spread(series: &DailySeries, how: TotalSpread) -> Vec<Known> {
    let readings = series.readings();
    let mut days: Vec<Known> = readings
        .iter()
        .map(|reading| match reading.kind() {
            Kind::Trace => Known::Trace,
            _ => reading.depth().map_or(Known::Gap, |depth| Known::Measured(depth_of(depth as f64))),
        })
        .collect();
    // A total that reaches back before the record keeps its share of the days inside.
    for total in placed_totals(readings) {
        let whole = total.micrometres as f64;
        let even = whole / f64::from(total.days);
        let (each, end) = match how {
            TotalSpread::Even => (even, even),
            TotalSpread::LastDay => (0.0, whole),
        };
        days[total.first..total.last].fill(Known::SpreadTotal(depth_of(each)));
        days[total.last] = Known::SpreadTotal(depth_of(end));
    }
    days
}

fn depth_of(micrometres: f64) -> Depth {
    Depth::new(micrometres / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Reading, Station};

    #[test]
    fn the_whole_depth_is_kept_either_way() {
        let within = Reading::WITHIN_TOTAL;
        let readings = vec![
            Reading::measured(0),
            within,
            within,
            Reading::accumulated(9000, Some(3)),
            Reading::accumulated(8000, Some(2)),
            Reading::accumulated(7000, None),
            Reading::TRACE,
        ];
        let series = DailySeries::new(Station::default(), "2001-01-01".parse().unwrap(), readings);
        let depths = |how| {
            spread(&series, how)
                .into_iter()
                .map(|day| match day {
                    Known::Measured(depth) | Known::SpreadTotal(depth) => depth.get(),
                    Known::Trace => 0.0,
                    Known::Gap => -1.0,
                })
                .collect::<Vec<_>>()
        };
        // The second total claims a day that ends the first, the third has no length: both are gaps.
        assert_eq!(depths(TotalSpread::Even), [0.0, 3.0, 3.0, 3.0, -1.0, -1.0, 0.0]);
        assert_eq!(depths(TotalSpread::LastDay), [0.0, 0.0, 0.0, 9.0, -1.0, -1.0, 0.0]);
    }
}
