//! The rows of each table: a key that its facts carry, and the texts that are no numbers.

use crate::definitions::Definitions;
use crate::number_text::NumberStyle;
use crate::words::Words;
use assess::{Assessment, Candidate, GreatDay, QualityFlag, RecordSheet, YearsOfRecord};
use series::{Quantity, Station, Unit};
use site::{Covering, Fit, PathPart, RunoffCoefficient};
use stats::Edge;
use std::collections::BTreeMap;
use std::fmt::Display;

/// So many warnings of a kind are told one by one.
const WARNINGS_SHOWN: usize = 5;

/// One row: its key, its texts by name, and whether it is a sum of the others.
#[derive(Debug, Clone, Default)]
pub(crate) struct TableRow {
    pub(crate) key: String,
    pub(crate) text: BTreeMap<String, String>,
    pub(crate) total: bool,
}

impl TableRow {
    pub(crate) fn new(key: impl Display) -> Self {
        Self { key: format!("{key}"), ..Self::default() }
    }

    pub(crate) fn with(mut self, name: &str, text: impl Into<String>) -> Self {
        self.text.insert(name.to_owned(), text.into());
        self
    }

    fn sum(self) -> Self {
        Self { total: true, ..self }
    }
}

/// What rows are made from.
pub(crate) struct RowMaker<'a> {
    pub(crate) assessment: &'a Assessment,
    pub(crate) words: &'a Words,
    pub(crate) style: &'a NumberStyle,
    pub(crate) definitions: &'a Definitions,
}

impl RowMaker<'_> {
    /// The rows of that name; nothing for an unknown name, which a test catches.
    pub(crate) fn rows(&self, name: &str) -> Vec<TableRow> {
        match name {
            "roofs" => self.roofs(),
            "stores" => {
                let sum = TableRow::new("all").with("name", self.words.get("label", "all")).sum();
                self.stores().into_iter().chain((self.assessment.site.stores.len() > 1).then_some(sum)).collect()
            }
            "stores_only" => self.stores(),
            "months" => self.months(),
            "months_and_year" => {
                let year = TableRow::new("year").with("name", self.words.get("month", "year")).sum();
                self.months().into_iter().chain([year]).collect()
            }
            "candidates" => self.candidates(),
            "beside" => self.beside(),
            "gauge_answers" => self.gauge_answers(),
            "fillings" => self.fillings(),
            "days" => self.days(),
            "record_years" => self.years_of_record(&self.sheet().rows_by_year()),
            "years_not_whole" => self.years_of_record(&self.sheet().years_not_whole()),
            "great_days" => self.great_days(),
            "gaps" => (1..=self.sheet().longest_gaps.len()).map(TableRow::new).collect(),
            "flags" => self.flags(),
            "other_records" => self.other_records(),
            "diagnostics" => self.diagnostics(),
            "spells" => self.spells(),
            "sizes" => self.sizes(),
            "store" => self.defined(&STORE_ROWS),
            "money" => self.defined(&MONEY_ROWS),
            "replay" => self.replay(),
            "return_periods" => assess::RETURN_PERIODS.iter().map(|years| TableRow::new(years).with("name", years.to_string())).collect(),
            "flows" => self.flows(),
            "assumptions" => self.assumptions(),
            "surroundings" => self.surroundings(),
            _ => Vec::new(),
        }
    }

    fn roofs(&self) -> Vec<TableRow> {
        let roofs = self.assessment.site.roofs();
        let rows = (1..).zip(&roofs).map(|(number, roof)| {
            let kind = match roof.runoff_coefficient {
                RunoffCoefficient::Event(_) => "event",
                RunoffCoefficient::Annual(_) => "annual",
            };
            let range = roof.covering.published_range().map(|range| format!("{:.2} to {:.2}", range.low, range.high));
            TableRow::new(number)
                .with("name", &roof.name)
                .with("covering", self.words.get("covering", covering_key(roof.covering)))
                .with("coefficient", self.words.get("coefficient", kind))
                .with("range", range.unwrap_or_default())
        });
        let sum = TableRow::new("all").with("name", self.words.get("label", "all")).sum();
        rows.chain((roofs.len() > 1).then_some(sum)).collect()
    }

    fn stores(&self) -> Vec<TableRow> {
        (1..)
            .zip(self.assessment.site.stores.iter().zip(&self.assessment.result.fits))
            .map(|(number, (entry, fit))| {
                let mass = entry.store.empty_mass.map(|mass| self.style.number(mass.value(), Unit::Kilogram).whole());
                TableRow::new(number)
                    .with("name", &entry.store.name)
                    .with("tank", mass.unwrap_or_else(|| self.words.get("label", "mass_not_given")))
                    .with("fit", self.fit(fit))
            })
            .collect()
    }

    fn fit(&self, fit: &Fit) -> String {
        match fit {
            Fit::Fits { along_length, along_width, .. } => {
                self.words.with("fit", "fits", &[("along", &along_length.to_string()), ("across", &along_width.to_string())])
            }
            Fit::DoesNotFit { too_high: true } => self.words.get("fit", "too_high"),
            Fit::DoesNotFit { too_high: false } => self.words.get("fit", "too_wide"),
            Fit::CannotTell { needs } => self.words.with("fit", "cannot_tell", &[("needs", &needs.join(", "))]),
        }
    }

    fn months(&self) -> Vec<TableRow> {
        let demands = self.assessment.site.demands();
        (1..=12_usize)
            .map(|month| {
                let drawn: Vec<&str> = demands
                    .iter()
                    .filter(|demand| demand.daily_by_month.get(month - 1).is_some_and(|volume| volume.get() > 0.0))
                    .map(|demand| demand.name.as_str())
                    .collect();
                let normals = self.assessment.climate.as_ref().and_then(|climate| climate.normals.months.get(month - 1));
                TableRow::new(month)
                    .with("name", self.words.get("month", &month.to_string()))
                    .with("demands", drawn.join(", "))
                    .with("n", normals.map(|sample| sample.n.to_string()).unwrap_or_default())
            })
            .collect()
    }

    fn candidates(&self) -> Vec<TableRow> {
        let choice = &self.assessment.choice;
        let rows = choice.candidates.iter().enumerate().map(|(place, candidate)| {
            let station = &candidate.summary.station;
            let year = |day: Option<series::Day>| day.map(|day| day.year().to_string()).unwrap_or_default();
            let (first, last) = (year(candidate.summary.first_day), year(candidate.summary.last_day));
            TableRow::new(&station.id)
                .with("name", self.station_name(station))
                .with("id", &station.id)
                .with("years", self.words.with("label", "years_span", &[("first", &first), ("last", &last)]))
                .with("say", self.say(place))
        });
        rows.collect()
    }

    /// The name of a station beside its id: nothing where no record has another, else that this one's is not told.
    fn station_name(&self, station: &Station) -> String {
        let named = |station: &Station| !station.name.is_empty() && station.name != station.id;
        if named(station) {
            station.name.clone()
        } else if self.assessment.choice.candidates.iter().any(|candidate| named(&candidate.summary.station)) {
            self.words.get("label", "not_told")
        } else {
            String::new()
        }
    }

    fn great_days(&self) -> Vec<TableRow> {
        let row = |(rank, great): (usize, &GreatDay)| {
            let flags: Vec<String> = great.qualifiers.iter().map(|qualifier| self.words.get("qualifier", qualifier.id())).collect();
            let flags = if flags.is_empty() { self.words.get("qualifier", "none") } else { flags.join("; ") };
            let doubt = great.doubt.map(|test| self.words.get("doubt", test.id())).unwrap_or_default();
            TableRow::new(rank).with("flags", flags).with("doubt", doubt)
        };
        if self.assessment.choice.leading().summary.extent.is_gauge() {
            (1..).zip(&self.sheet().great_days).map(row).collect()
        } else {
            Vec::new()
        }
    }

    fn sheet(&self) -> &RecordSheet {
        &self.assessment.choice.leading().summary.sheet
    }

    fn years_of_record(&self, years: &[YearsOfRecord]) -> Vec<TableRow> {
        let name = |years: &YearsOfRecord| match (years.first_year, years.last_year) {
            (first, last) if first == last => first.to_string(),
            (first, last) => self.words.with("label", "years_span", &[("first", &first.to_string()), ("last", &last.to_string())]),
        };
        years.iter().map(|years| TableRow::new(years.key()).with("name", name(years))).collect()
    }

    fn flags(&self) -> Vec<TableRow> {
        let row = |flag: &QualityFlag| {
            let letter = flag.letter.escape_default().to_string();
            TableRow::new(&letter).with("letter", &letter).with("meaning", &flag.meaning)
        };
        self.sheet().flags.iter().map(row).collect()
    }

    fn other_records(&self) -> Vec<TableRow> {
        let choice = &self.assessment.choice;
        let others = choice.candidates.iter().enumerate().filter(|(place, _)| *place != choice.leads);
        let row = |(_, candidate): (usize, &Candidate)| {
            let station = &candidate.summary.station;
            let to_know: Vec<String> = candidate.summary.to_know.iter().map(|caution| self.words.get("to_know", caution.id())).collect();
            TableRow::new(&station.id).with("id", &station.id).with("to_know", to_know.join("; "))
        };
        others.map(row).collect()
    }

    fn days(&self) -> Vec<TableRow> {
        let kinds = ["measured", "trace", "accumulated", "rejected", "missing", "calendar", "presumed_zero", "estimated", "made_of_parts"];
        let there = kinds.into_iter().filter(|kind| self.assessment.facts.get(&format!("record.{kind}")).is_some());
        there.map(|kind| TableRow::new(kind).with("name", self.words.get("days", kind))).collect()
    }

    /// A row for each of a few warnings of a kind, which differ in what they name; else the first of a kind, with how many there are.
    fn diagnostics(&self) -> Vec<TableRow> {
        let found = &self.assessment.diagnostics;
        let row = |diagnostic: &series::Diagnostic, count: usize| {
            // Only the file's own name: a path tells where somebody lives.
            let file = diagnostic.file.rsplit(['/', '\\']).next().unwrap_or_default();
            let place = match (diagnostic.line, diagnostic.column) {
                (Some(line), Some(column)) => format!("{file}, line {line}, column {column}"),
                (Some(line), None) => format!("{file}, line {line}"),
                _ => file.to_owned(),
            };
            let row = TableRow::new(diagnostic.id).with("count", count.to_string()).with("message", &diagnostic.message);
            row.with("place", place).with("done", &diagnostic.done)
        };
        let rows = found.counts.iter().flat_map(|(id, count)| {
            let kind: Vec<_> = found.list.iter().filter(|diagnostic| diagnostic.id == *id).collect();
            let each = *count <= WARNINGS_SHOWN && kind.first().is_some_and(|first| first.severity >= series::Severity::Warning);
            let (taken, of_each) = if each { (kind.len(), 1) } else { (1, *count) };
            kind.into_iter().take(taken).map(|diagnostic| row(diagnostic, of_each)).collect::<Vec<_>>()
        });
        rows.collect()
    }

    fn spells(&self) -> Vec<TableRow> {
        let rows = (1..).zip(&self.assessment.spells.longest).map(|(rank, spell)| {
            let ended = match spell.ended {
                Edge::WetDay { micrometres } => {
                    let depth = self.style.number(series::Depth::from_micrometres(micrometres).get(), Unit::Millimetre).whole();
                    self.words.with("ended", "wet_day", &[("depth", &depth)])
                }
                Edge::Gap => self.words.get("ended", "gap"),
                Edge::MultiDayTotal { .. } => self.words.get("ended", "multi_day_total"),
                Edge::EndOfRecord => self.words.get("ended", "end_of_record"),
            };
            let seen = match (spell.is_whole(), spell.at_most) {
                (true, _) => self.words.get("label", "seen_whole"),
                (false, Some(most)) => self.words.with("label", "at_least_at_most", &[("most", &most.to_string())]),
                (false, None) => self.words.get("label", "at_least"),
            };
            TableRow::new(rank).with("ended", ended).with("seen", seen)
        });
        rows.collect()
    }

    /// The round sizes, the proposed one, and the one that reaches the target.
    fn sizes(&self) -> Vec<TableRow> {
        if self.assessment.headline_withheld().is_some() {
            return Vec::new();
        }
        let store = &self.assessment.store;
        let (proposed, target) = (self.assessment.result.usable, store.target);
        let rows = store.curve.iter().filter_map(|point| {
            let size = point.sums.size;
            let remarks = [(size == proposed, "proposed"), (Some(size) == target, "target")];
            let remarks: Vec<String> =
                remarks.into_iter().filter(|(there, _)| *there).map(|(_, key)| self.words.get("label", key)).collect();
            let shown = !remarks.is_empty() || store.round_sizes.contains(&size);
            shown.then(|| TableRow::new(size.get()).with("remark", remarks.join(", ")))
        });
        rows.collect()
    }

    /// A row for each fact, with its title and formula.
    fn defined(&self, ids: &[&str]) -> Vec<TableRow> {
        let rows = ids.iter().filter_map(|id| {
            let definition = self.definitions.get(id)?;
            self.assessment.facts.get(id)?;
            Some(TableRow::new(id).with("name", &definition.title).with("meaning", &definition.formula))
        });
        rows.collect()
    }

    fn replay(&self) -> Vec<TableRow> {
        let Some(replay) = &self.assessment.replay else { return Vec::new() };
        let months = replay.months.iter().map(|(year, month)| {
            let name = format!("{} {year}", self.words.get("month", &month.to_string()));
            TableRow::new(format!("{year:04}-{month:02}")).with("name", name)
        });
        months.chain([TableRow::new("all").with("name", self.words.get("label", "all")).sum()]).collect()
    }

    fn flows(&self) -> Vec<TableRow> {
        let official = self.assessment.site.official.is_some();
        let rows = (1..).zip(&self.assessment.result.path).map(|(number, row)| {
            let key = match row.part {
                PathPart::Gutter => "gutter",
                PathPart::Downpipe => "downpipe",
                PathPart::Overflow => "overflow",
                PathPart::Link => "link",
            };
            let name = [self.words.get("part", key), row.of.clone().unwrap_or_default()].join(" ");
            let state = self.words.get("label", if official { "computed" } else { "not_assessable" });
            TableRow::new(number).with("name", name.trim().to_owned()).with("state", state)
        });
        rows.collect()
    }

    fn surroundings(&self) -> Vec<TableRow> {
        let around = &self.assessment.site.surroundings;
        let said = |stated: Option<bool>| match stated {
            Some(true) => self.words.get("label", "yes"),
            Some(false) => self.words.get("label", "no"),
            None => self.words.get("label", "not_stated"),
        };
        let distance = |stated: Option<series::Length>| {
            stated.map_or_else(|| self.words.get("label", "not_stated"), |length| self.style.number(length.value(), Unit::Metre).whole())
        };
        let rows = [
            ("basement", said(around.basement)),
            ("slope", said(around.slope)),
            ("downhill_neighbour", said(around.downhill_neighbour)),
            ("frost", said(around.frost)),
            ("foundation_distance", distance(around.foundation_distance)),
            ("boundary_distance", distance(around.boundary_distance)),
            ("well_distance", distance(around.well_distance)),
            ("septic_distance", distance(around.septic_distance)),
        ];
        let row =
            |(key, stated): (&str, String)| TableRow::new(key).with("name", self.words.get("surroundings", key)).with("stated", stated);
        rows.into_iter().map(row).collect()
    }

    fn assumptions(&self) -> Vec<TableRow> {
        let rows = self.assessment.site.assumptions.iter();
        rows.map(|taken| TableRow::new(taken.id).with("key", &taken.key).with("value", &taken.value_text)).collect()
    }
}

/// The facts of the store's own table, in order.
const STORE_ROWS: [&str; 15] = [
    "store.reliability.volume",
    "store.reliability.time",
    "store.inflow_a_year",
    "store.demand_a_year",
    "store.supplied_a_year",
    "store.spilled_a_year",
    "store.not_taken_a_year",
    "store.spill_share",
    "store.spill_days_a_year",
    "store.short_days_a_year",
    "store.no_water_days_a_year",
    "store.longest_short_run",
    "store.longest_short_run.first_day",
    "store.longest_short_run.last_day",
    "store.first_year.reliability",
];

/// The facts of the money table, in order.
const MONEY_ROWS: [&str; 6] =
    ["money.water_value_a_year", "money.upkeep_a_year", "money.cost", "money.outlay", "money.grants", "money.years_to_repay"];

/// The key of a covering in the wording files.
fn covering_key(covering: Covering) -> &'static str {
    match covering {
        Covering::Metal => "metal",
        Covering::Tile => "tile",
        Covering::Slate => "slate",
        Covering::AsphaltShingle => "asphalt_shingle",
        Covering::FlatMembrane => "flat_membrane",
        Covering::FlatGravel => "flat_gravel",
        Covering::Green => "green",
        Covering::TimberShake => "timber_shake",
        Covering::AsbestosCement => "asbestos_cement",
        Covering::Other => "other",
    }
}
