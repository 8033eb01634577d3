//! Known faults, put into a sound record: what goes wrong with records in archives, as TRADE and MANIFEST name it.

use series::{DailySeries, Day, Period, Reading};
use stats::QualityTest::{self, *};
use testkit::draws::Draws;

/// A kind of fault.
pub(crate) struct Fault {
    /// In words, for the table.
    pub(crate) name: &'static str,
    /// Least share found: gauge alone and with neighbours under invented skies, gauge alone in real records.
    pub(crate) least: [f64; 3],
    /// Any of these finds it.
    pub(crate) tests: &'static [QualityTest],
    /// Puts it in and says where; nothing when the record has no place for it.
    pub(crate) inject: fn(&mut Days, &mut Draws) -> Option<Vec<Period>>,
}

/// A record that faults are put into: depths in micrometres, nothing on days without one.
pub(crate) struct Days {
    first: Day,
    depths: Vec<Option<i32>>,
}

impl Days {
    pub(crate) fn of(series: &DailySeries) -> Self {
        let depths = series.readings().iter().map(|reading| reading.depth().map(|depth| depth as i32)).collect();
        Self { first: series.period().unwrap().first, depths }
    }

    pub(crate) fn series(self, like: &DailySeries) -> DailySeries {
        let readings = self.depths.into_iter().map(|depth| depth.map_or(Reading::MISSING, Reading::measured)).collect();
        DailySeries::new(like.station.clone(), self.first, readings)
    }

    fn day(&self, at: usize) -> Day {
        self.first.plus(at as i32)
    }

    fn index(&self, day: Day) -> usize {
        day.since(self.first) as usize
    }

    fn last_year(&self) -> i32 {
        self.day(self.depths.len() - 1).year()
    }

    /// Whole years in a row, drawn; by index.
    fn years(&self, years: i32, draws: &mut Draws) -> std::ops::Range<usize> {
        let (first, last) = (self.first.plus(364).year(), self.last_year() - years);
        let year = first + draws.below((last - first).max(1) as u64) as i32;
        self.index(Day::first_of_year(year))..self.index(Day::last_of_year(year + years - 1)) + 1
    }

    fn over(&self, range: &std::ops::Range<usize>) -> Vec<Period> {
        vec![Period::new(self.day(range.start), self.day(range.end - 1))]
    }

    /// A day that answers, drawn.
    fn any(&self, draws: &mut Draws, answers: impl Fn(&Self, usize) -> bool) -> Option<usize> {
        let all: Vec<usize> = (40..self.depths.len() - 400).filter(|&at| answers(self, at)).collect();
        if all.is_empty() { None } else { Some(all[draws.below(all.len() as u64) as usize]) }
    }

    fn is_wet(&self, at: usize, least_mm: i32) -> bool {
        self.depths[at].is_some_and(|depth| depth >= least_mm * 1000)
    }

    /// The first day of a month drawn among those whose days all have a depth and of which so many are wet.
    fn month(&self, draws: &mut Draws, wet: usize) -> Option<std::ops::Range<usize>> {
        let at = self.any(draws, |days, at| {
            days.day(at).day_of_month() == 1
                && days.depths[at..at + 31].iter().all(Option::is_some)
                && (at..at + 28).filter(|&at| days.is_wet(at, 1)).count() >= wet
        })?;
        let (year, month, _) = self.day(at).ymd();
        Some(at..at + series::days_in_month(year, month) as usize)
    }

    fn scale(&mut self, range: std::ops::Range<usize>, factor: f64) -> Vec<Period> {
        // An archive keeps tenths of a millimetre.
        let slip = |depth: i32| ((f64::from(depth) * factor / 100.0).round() as i32) * 100;
        self.depths[range.clone()].iter_mut().for_each(|depth| *depth = depth.map(slip));
        self.over(&range)
    }

    fn round(&mut self, range: std::ops::Range<usize>, step: i32) -> Vec<Period> {
        let to_step = |depth: i32| {
            let exact = (depth + step / 2) / step * step;
            (exact + 50) / 100 * 100
        };
        self.depths[range.clone()].iter_mut().for_each(|depth| *depth = depth.map(to_step));
        self.over(&range)
    }
}

fn weekends(days: &mut Days, draws: &mut Draws, years: i32, share: f64) -> Option<Vec<Period>> {
    let range = days.years(years, draws);
    for sunday in range.clone().filter(|&at| days.day(at).weekday() == 6).collect::<Vec<_>>() {
        if !draws.chance(share) || sunday < 1 || sunday + 1 >= days.depths.len() {
            continue;
        }
        if let [Some(saturday), Some(sun), Some(monday)] = [sunday - 1, sunday, sunday + 1].map(|at| days.depths[at]) {
            (days.depths[sunday - 1], days.depths[sunday], days.depths[sunday + 1]) = (Some(0), Some(0), Some(saturday + sun + monday));
        }
    }
    Some(days.over(&range))
}

fn one_day(days: &mut Days, at: usize, depth: i32) -> Option<Vec<Period>> {
    days.depths[at] = Some(depth);
    Some(vec![Period::new(days.day(at), days.day(at))])
}

const DAY_TESTS: &[QualityTest] = &[AbsoluteLimit, GapInMonth, SpatialOutlier, ClimatologicalOutlier, OutOfSeason, FarAboveNext];

/// All kinds.
pub(crate) const FAULTS: [Fault; 27] = [
    Fault {
        name: "a day of 2,500 mm",
        least: [0.9, 0.9, 0.9],
        tests: &[AbsoluteLimit],
        inject: |days, draws| {
            let at = days.any(draws, |days, at| days.depths[at].is_some())?;
            one_day(days, at, 2_500_000)
        },
    },
    Fault {
        name: "a day of 999.9 mm",
        least: [0.9, 0.9, 0.9],
        tests: DAY_TESTS,
        inject: |days, draws| {
            let at = days.any(draws, |days, at| days.depths[at].is_some())?;
            one_day(days, at, 999_900)
        },
    },
    Fault {
        name: "a day of 20 to 40 mm times ten",
        least: [0.8, 0.8, 0.4],
        tests: DAY_TESTS,
        inject: |days, draws| times_ten(days, draws, 20, 40),
    },
    Fault {
        name: "a day of 10 to 20 mm times ten",
        least: [0.0, 0.2, 0.1],
        tests: DAY_TESTS,
        inject: |days, draws| times_ten(days, draws, 10, 20),
    },
    Fault {
        name: "120 mm on a dry day between dry days",
        least: [0.0, 0.9, 0.0],
        tests: DAY_TESTS,
        inject: |days, draws| {
            let at = days.any(draws, |days, at| (at - 1..=at + 1).all(|at| days.depths[at] == Some(0)))?;
            one_day(days, at, 120_000)
        },
    },
    Fault {
        name: "a great day (30 mm and more) written as 0",
        least: [0.0, 0.0, 0.0],
        tests: &[SpatialOutlier],
        inject: |days, draws| {
            let at = days.any(draws, |days, at| days.is_wet(at, 30))?;
            one_day(days, at, 0)
        },
    },
    Fault {
        name: "a month copied to another",
        least: [0.9, 0.9, 0.9],
        tests: &[RepeatedMonths],
        inject: |days, draws| {
            let (from, to) = (days.month(draws, 4)?, days.month(draws, 0)?);
            let length = from.len().min(to.len());
            if from == to {
                return None;
            }
            days.depths.copy_within(from.start..from.start + length, to.start);
            Some([days.over(&from), days.over(&to)].concat())
        },
    },
    Fault {
        name: "a year copied to another",
        least: [0.9, 0.9, 0.9],
        tests: &[RepeatedMonths],
        inject: |days, draws| {
            let (from, to) = (days.years(1, draws), days.years(1, draws));
            let length = from.len().min(to.len());
            if from == to {
                return None;
            }
            days.depths.copy_within(from.start..from.start + length, to.start);
            Some([days.over(&from), days.over(&to)].concat())
        },
    },
    Fault {
        name: "a depth repeated on seven days running",
        least: [0.9, 0.9, 0.9],
        tests: &[IdenticalStreak],
        inject: |days, draws| repeated(days, draws, 7),
    },
    Fault {
        name: "a depth repeated on four days running",
        least: [0.9, 0.9, 0.7],
        tests: &[IdenticalStreak],
        inject: |days, draws| repeated(days, draws, 4),
    },
    Fault {
        name: "a great depth on six of ten rainy days",
        least: [0.9, 0.9, 0.9],
        tests: &[FrequentValue],
        inject: |days, draws| {
            let at = days.any(draws, |days, at| days.is_wet(at, 25))?;
            let depth = days.depths[at];
            let rainy: Vec<usize> = (at..days.depths.len()).filter(|&at| days.depths[at].is_some_and(|depth| depth > 0)).take(10).collect();
            for &at in rainy.iter().step_by(2) {
                days.depths[at] = depth;
            }
            days.depths[rainy[9]] = depth;
            Some(days.over(&(at..rainy[9] + 1)))
        },
    },
    Fault { name: "two years times 10", least: [0.9, 0.9, 0.9], tests: &[UnitSlip], inject: |days, draws| slip(days, draws, 2, 10.0) },
    Fault { name: "two years over 10", least: [0.9, 0.9, 0.9], tests: &[UnitSlip], inject: |days, draws| slip(days, draws, 2, 0.1) },
    Fault { name: "two years times 25.4", least: [0.9, 0.9, 0.9], tests: &[UnitSlip], inject: |days, draws| slip(days, draws, 2, 25.4) },
    Fault {
        name: "two years over 25.4",
        least: [0.9, 0.9, 0.9],
        tests: &[UnitSlip],
        inject: |days, draws| slip(days, draws, 2, 1.0 / 25.4),
    },
    Fault { name: "two years times 2.54", least: [0.0, 0.9, 0.3], tests: &[UnitSlip], inject: |days, draws| slip(days, draws, 2, 2.54) },
    Fault {
        name: "two years over 2.54",
        least: [0.0, 0.9, 0.3],
        tests: &[UnitSlip],
        inject: |days, draws| slip(days, draws, 2, 1.0 / 2.54),
    },
    Fault {
        name: "a month with 10 wet days or more written as 0",
        least: [0.4, 0.9, 0.4],
        tests: &[ImpossibleZeros],
        inject: |days, draws| {
            let month = days.month(draws, 10)?;
            days.depths[month.clone()].fill(Some(0));
            Some(days.over(&month))
        },
    },
    Fault {
        name: "untagged weekend totals, every week of five years",
        least: [0.9, 0.9, 0.9],
        tests: &[UntaggedTotals],
        inject: |days, draws| weekends(days, draws, 5, 1.0),
    },
    Fault {
        name: "untagged weekend totals, every other week of ten years",
        least: [0.9, 0.9, 0.9],
        tests: &[UntaggedTotals],
        inject: |days, draws| weekends(days, draws, 10, 0.5),
    },
    Fault {
        name: "untagged weekend totals, every week of one year",
        least: [0.9, 0.9, 0.9],
        tests: &[UntaggedTotals],
        inject: |days, draws| weekends(days, draws, 1, 1.0),
    },
    Fault {
        name: "dates a day late for three years",
        least: [0.0, 0.9, 0.0],
        tests: &[DayShift],
        inject: |days, draws| {
            let range = days.years(3, draws);
            days.depths[range.clone()].rotate_right(1);
            Some(days.over(&range))
        },
    },
    Fault {
        name: "five years read to 1 mm",
        least: [0.9, 0.9, 0.9],
        tests: &[CoarseRounding],
        inject: |days, draws| {
            let range = days.years(5, draws);
            Some(days.round(range, 1000))
        },
    },
    Fault {
        name: "five years read to 0.1 in",
        least: [0.9, 0.9, 0.9],
        tests: &[CoarseRounding],
        inject: |days, draws| {
            let range = days.years(5, draws);
            Some(days.round(range, 2540))
        },
    },
    Fault {
        name: "five years without depths below 1 mm",
        least: [0.9, 0.9, 0.9],
        tests: &[CoarseRounding],
        inject: |days, draws| {
            let range = days.years(5, draws);
            days.depths[range.clone()].iter_mut().for_each(|depth| *depth = depth.map(|depth| if depth < 1000 { 0 } else { depth }));
            Some(days.over(&range))
        },
    },
    Fault {
        name: "30 % less rain from a year in the middle half on",
        least: [0.9, 0.9, 0.9],
        tests: &[ChangePoint],
        inject: |days, draws| change(days, draws, 0.70),
    },
    Fault {
        name: "15 % less rain from a year in the middle half on",
        least: [0.0, 0.9, 0.2],
        tests: &[ChangePoint],
        inject: |days, draws| change(days, draws, 0.85),
    },
];

/// A day of so many to so many mm times ten.
fn times_ten(days: &mut Days, draws: &mut Draws, least: i32, most: i32) -> Option<Vec<Period>> {
    let at = days.any(draws, |days, at| days.is_wet(at, least) && !days.is_wet(at, most))?;
    let depth = days.depths[at]? * 10;
    one_day(days, at, depth)
}

/// The depth of a rainy day on so many days running.
fn repeated(days: &mut Days, draws: &mut Draws, length: usize) -> Option<Vec<Period>> {
    let at = days.any(draws, |days, at| days.is_wet(at, 1))?;
    let depth = days.depths[at];
    days.depths[at..at + length].fill(depth);
    Some(days.over(&(at..at + length)))
}

fn slip(days: &mut Days, draws: &mut Draws, years: i32, factor: f64) -> Option<Vec<Period>> {
    let range = days.years(years, draws);
    Some(days.scale(range, factor))
}

fn change(days: &mut Days, draws: &mut Draws, factor: f64) -> Option<Vec<Period>> {
    let quarter = days.depths.len() as u64 / 4;
    let year = days.day((quarter + draws.below(2 * quarter)) as usize).year();
    let range = days.index(Day::first_of_year(year))..days.depths.len();
    Some(days.scale(range, factor))
}
