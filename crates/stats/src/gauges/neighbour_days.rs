//! A neighbour's days in the place of the lead gauge's: whole gaps from one neighbour, and the pattern of a multi-day total.
//!
//! A gap takes the first neighbour, in the order given, that has a depth of its own on every day of it; where none has, the gap is cut at
//! the ends of months and each piece takes the first that has it whole. What no neighbour has is left to the same season of another year.
//! So a run of wet or dry days inside a piece is one that really fell, at one gauge. Each depth is multiplied by the ratio of the two gauges
//! in that calendar month.
//!
//! A multi-day total is shared out as the first neighbour's depths on its days are, where that neighbour has all of them and any rain.
//!
//! A gap of over ten years takes none, as with other years' days (`donors.rs`).

use crate::donors::LONGEST_GAP;
use crate::usable_days::UsableDays;
use series::{DailySeries, Day, Depth, Period, days_in_month};

/// A gauge that may stand in for the lead gauge.
#[derive(Debug, Clone, Copy)]
pub struct NeighbourGauge<'a> {
    /// Its record.
    pub series: &'a DailySeries,
    /// The lead gauge's rain over this one's, January to December.
    pub ratios: [f64; 12],
    /// Days added to a date of the lead gauge for this one's of the same rain.
    pub days_later: i32,
}

/// The neighbours, ready to be asked.
#[derive(Debug)]
pub(crate) struct NeighbourDays<'a> {
    gauges: Vec<(NeighbourGauge<'a>, UsableDays)>,
}

impl<'a> NeighbourDays<'a> {
    pub(crate) fn new(gauges: &[NeighbourGauge<'a>]) -> Self {
        Self { gauges: gauges.iter().map(|gauge| (*gauge, UsableDays::new(gauge.series))).collect() }
    }

    /// Which neighbour, by its place in the list, stands in for each day of a gap.
    pub(crate) fn fill(&self, gap: Period) -> Vec<Option<usize>> {
        if self.gauges.is_empty() || gap.days() > LONGEST_GAP {
            return vec![None; gap.days()];
        }
        if let Some(whole) = self.having(gap) {
            return vec![Some(whole); gap.days()];
        }
        let mut found = Vec::with_capacity(gap.days());
        while found.len() < gap.days() {
            let first = gap.first.plus(found.len() as i32);
            let (year, month, date) = first.ymd();
            let last = first.plus((days_in_month(year, month) - date) as i32).min(gap.last);
            let piece = Period::new(first, last);
            found.extend(std::iter::repeat_n(self.having(piece), piece.days()));
        }
        found
    }

    /// The neighbour's depth on a day of the lead gauge, as the lead would have it; nothing where it has none.
    pub(crate) fn depth(&self, neighbour: usize, day: Day) -> Option<Depth> {
        let (gauge, _) = self.gauges.get(neighbour)?;
        let depth = gauge.series.reading(day.plus(gauge.days_later)).depth()?;
        Some(Depth::new(depth as f64 / 1000.0 * gauge.ratios[day.month() as usize - 1]))
    }

    /// Parts, with the sum 1, in which a neighbour's rain fell on the days of a total, and which neighbour's.
    pub(crate) fn shares(&self, total: Period) -> Option<(usize, Vec<f64>)> {
        (0..self.gauges.len()).filter(|&neighbour| self.has(neighbour, total)).find_map(|neighbour| {
            let depths: Vec<f64> = total.iter().map(|day| self.depth(neighbour, day).map_or(0.0, Depth::get)).collect();
            let sum: f64 = depths.iter().sum();
            (sum > 0.0).then(|| (neighbour, depths.into_iter().map(|depth| depth / sum).collect()))
        })
    }

    fn having(&self, period: Period) -> Option<usize> {
        (0..self.gauges.len()).find(|&neighbour| self.has(neighbour, period))
    }

    fn has(&self, neighbour: usize, period: Period) -> bool {
        let (gauge, usable) = &self.gauges[neighbour];
        usable.whole(period.first.plus(gauge.days_later), period.days())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use series::{Reading, Station};

    fn day(text: &str) -> Day {
        text.parse().unwrap()
    }

    fn record(first: &str, readings: Vec<Reading>) -> DailySeries {
        DailySeries::new(Station::default(), day(first), readings)
    }

    fn gauge(series: &DailySeries) -> NeighbourGauge<'_> {
        NeighbourGauge { series, ratios: [2.0; 12], days_later: 0 }
    }

    #[test]
    fn a_gap_is_one_neighbours_or_is_cut_at_the_ends_of_months() {
        // The first neighbour lacks 3 February, the second has February alone.
        let mut readings = vec![Reading::measured(1000); 90];
        readings[33] = Reading::MISSING;
        let (first, second) = (record("2001-01-01", readings), record("2001-02-01", vec![Reading::measured(3000); 28]));
        let days = NeighbourDays::new(&[gauge(&first), gauge(&second)]);
        let fill = |from: &str, to: &str| days.fill(Period::new(day(from), day(to)));
        assert_eq!(fill("2001-01-20", "2001-01-31"), vec![Some(0); 12]);
        let cut = fill("2001-01-30", "2001-03-02");
        assert_eq!(cut, [vec![Some(0); 2], vec![Some(1); 28], vec![Some(0); 2]].concat());
        assert_eq!(fill("2001-02-02", "2001-02-04"), vec![Some(1); 3]);
        assert_eq!(fill("2001-03-30", "2001-04-02"), [Some(0), Some(0), None, None], "only March is there whole");
        assert_eq!(days.depth(1, day("2001-02-03")), Some(Depth::new(6.0)));
        assert_eq!(fill("1980-01-01", "2001-01-31"), vec![None; Period::new(day("1980-01-01"), day("2001-01-31")).days()]);
    }

    #[test]
    fn a_total_is_shared_as_a_neighbours_rain_fell() {
        let wet = record("2001-01-01", [0, 3000, 0, 1000].map(Reading::measured).to_vec());
        let dry = record("2001-01-01", vec![Reading::measured(0); 9]);
        let late = NeighbourGauge { days_later: 1, ..gauge(&wet) };
        let total = Period::new(day("2001-01-02"), day("2001-01-04"));
        assert_eq!(NeighbourDays::new(&[gauge(&dry), gauge(&wet)]).shares(total), Some((1, vec![0.75, 0.0, 0.25])));
        let earlier = Period::new(day("2001-01-01"), day("2001-01-03"));
        assert_eq!(NeighbourDays::new(&[late]).shares(earlier), Some((0, vec![0.75, 0.0, 0.25])));
        assert_eq!(NeighbourDays::new(&[gauge(&dry)]).shares(total), None);
        assert_eq!(NeighbourDays::new(&[gauge(&wet)]).shares(Period::new(day("2001-01-02"), day("2001-01-05"))), None);
    }
}
