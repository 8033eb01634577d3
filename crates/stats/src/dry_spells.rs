//! A catalogue of dry spells: when each began and ended, what ended it, and what the gaps leave open.
//!
//! A dry day has a depth of its own below the threshold (1.0 mm unless said otherwise, ETCCDI). A spell is a longest run of dry days. It is
//! **never joined over a gap** and never cut at New Year (CHECKS H16). A spell beside a gap, a multi-day total or an end of the record is
//! censored on that side: it lasted at least its days and at most what the gaps would allow if all of their days were dry (H17:
//! `d d d ? d d w`: 3 at least, 6 at most).
//!
//! Multi-day totals of known length: where the whole depth is below the threshold every day of it was dry, and counts so (an option). Where
//! the depth is at least days x threshold, one of its days at least was wet, so the bound stops inside it. Otherwise its days may be dry.

use crate::kaplan_meier::SurvivalCurve;
use crate::placed_totals::{PlacedTotal, placed_totals};
use serde::Serialize;
use series::{DailySeries, Day, Kind, Period, Reading};

/// What counts as dry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub struct DrySpellRule {
    /// A day of less is dry, micrometres.
    pub threshold_micrometres: i64,
    /// Whether the days of a multi-day total whose whole depth is below the threshold are dry days.
    pub small_totals_are_dry: bool,
}

impl Default for DrySpellRule {
    fn default() -> Self {
        Self { threshold_micrometres: Reading::WET_DAY_MICROMETRES, small_totals_are_dry: true }
    }
}

/// What lies beside a spell, before or after.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Edge {
    /// A wet day of this depth: the spell is whole on this side.
    WetDay {
        /// Its depth.
        micrometres: i64,
    },
    /// A missing or rejected day.
    Gap,
    /// A multi-day total of this depth; when known.
    MultiDayTotal {
        /// The whole depth.
        micrometres: i64,
    },
    /// The record begins or ends here.
    EndOfRecord,
}

/// One dry spell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct DrySpell {
    /// First to last dry day.
    pub period: Period,
    /// Dry days: the spell lasted at least so long.
    pub days: u32,
    /// How long it lasted at most, with every day of the gaps beside it dry; nothing when they reach an end of the record.
    pub at_most: Option<u32>,
    /// What lies before.
    pub began: Edge,
    /// What ended it.
    pub ended: Edge,
}

impl DrySpell {
    /// Whether its beginning was seen: a wet day lies before it.
    pub fn began_in_sight(&self) -> bool {
        matches!(self.began, Edge::WetDay { .. })
    }

    /// Whether its end was seen: a wet day ended it.
    pub fn ended_in_sight(&self) -> bool {
        matches!(self.ended, Edge::WetDay { .. })
    }

    /// Whether its length is exact.
    pub fn is_whole(&self) -> bool {
        self.began_in_sight() && self.ended_in_sight()
    }
}

/// Which year a spell belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SpellYear {
    /// The year of its first day.
    First,
    /// The year of its last day.
    Last,
}

/// The longest spell of a year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct LongestOfYear {
    /// Which year.
    pub year: i32,
    /// The spell, the earliest of equals.
    pub spell: DrySpell,
    /// Whether no spell of that year can have been longer.
    pub certain: bool,
}

/// The dry spells of a record, in order; they neither touch nor overlap, and hold every dry day once.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrySpells {
    /// What counts as dry.
    pub rule: DrySpellRule,
    /// The record's calendar.
    pub period: Option<Period>,
    /// The spells.
    pub spells: Vec<DrySpell>,
}

impl DrySpells {
    /// The spell with the most dry days in a row, whole or not; the earliest of equals.
    pub fn longest(&self) -> Option<&DrySpell> {
        self.spells.iter().fold(None, |best: Option<&DrySpell>, spell| best.filter(|best| best.days >= spell.days).or(Some(spell)))
    }

    /// Share of spells that last longer than a length (Kaplan-Meier). Spells whose end was not seen enter as right-censored; spells
    /// whose beginning was not seen are left out, since neither their length nor their age when first seen is known.
    pub fn survival(&self) -> SurvivalCurve {
        SurvivalCurve::of(self.spells.iter().filter(|spell| spell.began_in_sight()).map(|spell| (spell.days, spell.ended_in_sight())))
    }

    /// The longest spell of every year that has one, whole and uncut, in order of years.
    pub fn longest_by_year(&self, belongs: SpellYear) -> Vec<LongestOfYear> {
        let year = |spell: &DrySpell| match belongs {
            SpellYear::First => spell.period.first.year(),
            SpellYear::Last => spell.period.last.year(),
        };
        self.spells
            .chunk_by(|a, b| year(a) == year(b))
            .filter_map(|spells| {
                let first = *spells.first()?;
                let spell = spells.iter().fold(first, |best, &spell| if spell.days > best.days { spell } else { best });
                let certain = spells.iter().all(|other| other.at_most.is_some_and(|most| most <= spell.days));
                Some(LongestOfYear { year: year(&first), spell, certain })
            })
            .collect()
    }
}

/// The dry spells of a record.
pub fn dry_spells(series: &DailySeries, rule: DrySpellRule) -> DrySpells {
    let readings = series.readings();
    let Some(period) = series.period() else { return DrySpells { rule, period: None, spells: Vec::new() } };
    let states = states(readings, rule);
    let (before, after) = reaches(&states);
    let mut spells = Vec::new();
    let mut at = 0;
    for run in states.chunk_by(|a, b| (*a == State::Dry) == (*b == State::Dry)) {
        let (from, to) = (at, at + run.len());
        at = to;
        if run[0] != State::Dry {
            continue;
        }
        let days = run.len() as u32;
        let at_most = before[from].zip(after[to]).map(|(before, after)| before + days + after);
        let began = from.checked_sub(1).map_or(Edge::EndOfRecord, |i| edge(readings, i));
        let ended = if to < readings.len() { edge(readings, to) } else { Edge::EndOfRecord };
        let day = |i: usize| -> Day { period.first.plus(i as i32) };
        spells.push(DrySpell { period: Period::new(day(from), day(to - 1)), days, at_most, began, ended });
    }
    DrySpells { rule, period: Some(period), spells }
}

/// What is known of a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Dry,
    Wet,
    Unknown,
    /// Inside a total of which one day at least was wet, from which index to which.
    OneIsWet {
        first: usize,
        last: usize,
    },
}

fn states(readings: &[Reading], rule: DrySpellRule) -> Vec<State> {
    let mut states: Vec<State> = readings
        .iter()
        .map(|reading| match reading.depth() {
            Some(depth) if depth < rule.threshold_micrometres => State::Dry,
            Some(_) => State::Wet,
            None => State::Unknown,
        })
        .collect();
    // A total that reaches back before the record covers the days that are left of it.
    for total in placed_totals(readings) {
        let PlacedTotal { first, last, days, micrometres } = total;
        let state = if micrometres < rule.threshold_micrometres {
            if rule.small_totals_are_dry { State::Dry } else { State::Unknown }
        } else if micrometres >= i64::from(days).saturating_mul(rule.threshold_micrometres) && total.is_inside() {
            State::OneIsWet { first, last }
        } else {
            State::Unknown
        };
        states[first..=last].fill(state);
    }
    states
}

/// For each place between two days, how many days before it and after it can be dry without a break; nothing when up to an end of the record.
fn reaches(states: &[State]) -> (Vec<Option<u32>>, Vec<Option<u32>>) {
    let n = states.len();
    let (mut before, mut after) = (vec![None; n + 1], vec![None; n + 1]);
    for i in 0..n {
        before[i + 1] = match states[i] {
            State::Wet => Some(0),
            State::OneIsWet { first, .. } => Some((i - first) as u32),
            State::Dry | State::Unknown => before[i].map(|days: u32| days + 1),
        };
    }
    for i in (0..n).rev() {
        after[i] = match states[i] {
            State::Wet => Some(0),
            State::OneIsWet { last, .. } => Some((last - i) as u32),
            State::Dry | State::Unknown => after[i + 1].map(|days: u32| days + 1),
        };
    }
    (before, after)
}

fn edge(readings: &[Reading], i: usize) -> Edge {
    match readings[i].kind() {
        Kind::Measured | Kind::Trace => Edge::WetDay { micrometres: readings[i].depth().unwrap_or(0) },
        Kind::Accumulated { .. } => Edge::MultiDayTotal { micrometres: readings[i].stated_micrometres() },
        Kind::WithinTotal => readings[i..]
            .iter()
            .find(|reading| reading.kind() != Kind::WithinTotal)
            .filter(|reading| matches!(reading.kind(), Kind::Accumulated { .. }))
            .map_or(Edge::Gap, |total| Edge::MultiDayTotal { micrometres: total.stated_micrometres() }),
        Kind::Missing | Kind::Rejected(_) => Edge::Gap,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use series::Station;

    /// d dry, w wet (5 mm), ? missing, t trace; `.` within a total and a digit its end: the whole depth in mm, over the dots before it.
    fn series(text: &str) -> DailySeries {
        let mut dots = 0;
        let readings = text
            .chars()
            .filter(|c| *c != ' ')
            .map(|c| {
                dots = if c == '.' { dots + 1 } else { dots };
                match c {
                    'd' => Reading::measured(900),
                    'w' => Reading::measured(5000),
                    't' => Reading::TRACE,
                    '.' => Reading::WITHIN_TOTAL,
                    '?' => Reading::MISSING,
                    depth => {
                        let days = std::mem::take(&mut dots) + 1;
                        Reading::accumulated(depth.to_digit(10).unwrap() as i32 * 1000, Some(days))
                    }
                }
            })
            .collect();
        DailySeries::new(Station::default(), "2001-01-01".parse().unwrap(), readings)
    }

    fn bounds(text: &str) -> Vec<(u32, Option<u32>)> {
        dry_spells(&series(text), DrySpellRule::default()).spells.iter().map(|spell| (spell.days, spell.at_most)).collect()
    }

    #[test]
    fn a_gap_inside_a_dry_run_is_an_interval() {
        // CHECKS H17: `d d d ? d d w`: at least 3, at most 6, censored.
        let found = dry_spells(&series("w ddd ? dd w"), DrySpellRule::default());
        let first = found.spells[0];
        assert_eq!((first.days, first.at_most, first.ended, first.is_whole()), (3, Some(6), Edge::Gap, false));
        assert_eq!(found.spells[1].began, Edge::Gap);
        let curve = found.survival();
        assert_eq!((curve.n, curve.censored), (1, 1), "the second part began out of sight");
        assert_eq!(bounds("ddd ? dd w"), [(3, None), (2, None)], "the record may begin inside it");
    }

    #[test]
    fn multi_day_totals_bound_a_spell() {
        // 9 mm over 3 days: one day at least had 3 mm; 2 mm over 3 days may be .7 each; below 1 mm all were dry.
        assert_eq!(bounds("w dd ..9 dd w"), [(2, Some(4)), (2, Some(4))]);
        assert_eq!(bounds("w dd ..2 dd w"), [(2, Some(7)), (2, Some(7))]);
        assert_eq!(bounds("w dd ..0 dd w"), [(7, Some(7))]);
        let strict = DrySpellRule { small_totals_are_dry: false, ..DrySpellRule::default() };
        assert_eq!(dry_spells(&series("w dd ..0 dd w"), strict).spells.len(), 2);
        let ended = dry_spells(&series("w dd ..9 dd w"), DrySpellRule::default()).spells[0].ended;
        assert_eq!(ended, Edge::MultiDayTotal { micrometres: 9000 });
    }

    #[test]
    fn both_sides_of_a_whole_spell() {
        let found = dry_spells(&series("w dtd w d"), DrySpellRule::default());
        let wet = Edge::WetDay { micrometres: 5000 };
        assert_eq!((found.spells[0].days, found.spells[0].began, found.spells[0].ended), (3, wet, wet), "a trace day is dry");
        assert_eq!((found.spells[1].ended, found.spells[1].at_most), (Edge::EndOfRecord, None));
        assert_eq!(found.longest().unwrap().days, 3);
        assert!(dry_spells(&DailySeries::default(), DrySpellRule::default()).longest().is_none());
    }

    #[test]
    fn fort_collins_uncut() {
        // CHECKS H16: uncut, mean of the longest of each year 42.56 (a spell belongs to the year in which it ends), longest 121 d from 1905-10-31.
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let found = dry_spells(&rain, DrySpellRule::default());
        let by_year = found.longest_by_year(SpellYear::Last);
        assert_eq!(by_year.len(), 100);
        let mean = by_year.iter().map(|year| f64::from(year.spell.days)).sum::<f64>() / 100.0;
        assert!((mean - 42.56).abs() < 1e-9);
        let longest = found.longest().unwrap();
        assert_eq!((longest.days, longest.period.first.to_string().as_str()), (121, "1905-10-31"));
    }

    #[test]
    fn longest_at_death_valley_and_oxford() {
        // CHECKS H16: Death Valley's longest 273 d, ending 1970-11-28.
        let Some((rain, _)) = crate::test_records::ghcn("USC00042319") else { return };
        let found = dry_spells(&rain, DrySpellRule::default());
        let longest = found.longest().unwrap();
        assert_eq!((longest.days, longest.period.last.to_string().as_str()), (273, "1970-11-28"));
        // CHECKS, lesson figures: Oxford since 1991, 48 d, 2 June to 19 July 2018.
        let (rain, _) = crate::test_records::ghcn("UK000056225").unwrap();
        let found = dry_spells(&rain.cut_to(Period::of_years(1991, 2025)), DrySpellRule::default());
        let longest = found.longest().unwrap();
        assert_eq!((longest.days, longest.period.to_string().as_str()), (48, "2018-06-02 to 2018-07-19"));
    }

    proptest! {
        #[test]
        fn spells_never_overlap_and_hold_every_dry_day_once(text in "[dwt?.029]{1,300}") {
            let rain = series(&text);
            let rule = DrySpellRule { small_totals_are_dry: false, ..DrySpellRule::default() };
            let found = dry_spells(&rain, rule);
            let mut held = 0;
            let mut last: Option<Day> = None;
            for spell in &found.spells {
                prop_assert!(last.is_none_or(|last| spell.period.first > last.plus(1)), "they do not even touch");
                prop_assert_eq!(spell.period.days(), spell.days as usize);
                prop_assert!(spell.at_most.is_none_or(|most| most >= spell.days));
                prop_assert!(!spell.is_whole() || spell.at_most == Some(spell.days));
                prop_assert!(rain.within(spell.period).all(|(_, reading)| reading.is_wet() == Some(false)));
                held += spell.period.days();
                last = Some(spell.period.last);
            }
            prop_assert_eq!(held, rain.readings().iter().filter(|reading| reading.is_wet() == Some(false)).count());
            let counted = crate::counted_dry_runs(&rain, 1000);
            prop_assert_eq!((counted.runs, counted.days), (found.spells.len(), held));
        }
    }
}
