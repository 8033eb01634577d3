//! A record's days as depths for a daily balance: multi-day totals of known length spread over the days they cover.
//!
//! Where a neighbour measured the days, the total falls as the neighbour's rain did. Without one there are two ways, and a report prints both
//! (DESIGN section 6): equal shares, or all on the last day. The whole depth is kept. A total of unknown length, or one that covers a day with a reading of its own, cannot be spread: its days are gaps.

use crate::gauges::NeighbourDays;
use crate::placed_totals::placed_totals;
use serde::Serialize;
use series::{DailySeries, Depth, Kind, Period};

/// How a multi-day total falls on its days where no neighbour tells.
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
    /// A share of a total, and the neighbour whose pattern it has.
    SpreadTotal(Depth, Option<usize>),
    Gap,
}

/// Every day of the record's calendar, in order.
pub(crate) fn spread(series: &DailySeries, how: TotalSpread, neighbours: &NeighbourDays<'_>) -> Vec<Known> {
    let Some(calendar) = series.period() else { return Vec::new() };
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
        let last_day = calendar.first.plus(total.last as i32);
        let covered = Period::new(last_day.plus(1 - i32::from(total.days)), last_day);
        if let Some((neighbour, shares)) = neighbours.shares(covered) {
            let before = usize::from(total.days) - (total.last + 1 - total.first);
            for (day, share) in days[total.first..=total.last].iter_mut().zip(&shares[before..]) {
                *day = Known::SpreadTotal(depth_of(whole * share), Some(neighbour));
            }
            continue;
        }
        let even = whole / f64::from(total.days);
        let (each, end) = match how {
            TotalSpread::Even => (even, even),
            TotalSpread::LastDay => (0.0, whole),
        };
        days[total.first..total.last].fill(Known::SpreadTotal(depth_of(each), None));
        days[total.last] = Known::SpreadTotal(depth_of(end), None);
    }
    days
}

fn depth_of(micrometres: f64) -> Depth {
    Depth::new(micrometres / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gauges::NeighbourGauge;
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
            spread(&series, how, &NeighbourDays::new(&[]))
                .into_iter()
                .map(|day| match day {
                    Known::Measured(depth) | Known::SpreadTotal(depth, _) => depth.get(),
                    Known::Trace => 0.0,
                    Known::Gap => -1.0,
                })
                .collect::<Vec<_>>()
        };
        // The second total claims a day that ends the first, the third has no length: both are gaps.
        assert_eq!(depths(TotalSpread::Even), [0.0, 3.0, 3.0, 3.0, -1.0, -1.0, 0.0]);
        assert_eq!(depths(TotalSpread::LastDay), [0.0, 0.0, 0.0, 9.0, -1.0, -1.0, 0.0]);
    }

    #[test]
    fn a_neighbour_tells_how_a_total_fell() {
        let first = "2001-01-01".parse().unwrap();
        let within = Reading::WITHIN_TOTAL;
        let readings = vec![Reading::measured(0), within, within, Reading::accumulated(8000, Some(3)), Reading::measured(0)];
        let series = DailySeries::new(Station::default(), first, readings);
        // The neighbour has half of its rain on the first of the three days, a quarter on each of the others.
        let beside = DailySeries::new(Station::default(), first, [0, 2000, 1000, 1000].map(Reading::measured).to_vec());
        let gauge = NeighbourGauge { series: &beside, ratios: [1.0; 12], days_later: 0 };
        let share = |mm: f64| Known::SpreadTotal(Depth::new(mm), Some(0));
        let dry = Known::Measured(Depth::ZERO);
        for how in [TotalSpread::Even, TotalSpread::LastDay] {
            assert_eq!(spread(&series, how, &NeighbourDays::new(&[gauge])), [dry, share(4.0), share(2.0), share(2.0), dry]);
        }
    }
}
