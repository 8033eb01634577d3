//! What the templates see: texts, switches, and four functions over the facts.
//!
//! `fact(ID)` prints a fact's number with its unit (or, where it is withheld, why); `has(ID)` tells whether there is a number or date;
//! `low(ID)` and `high(ID)` print the ends of its band. A template cannot print any other number: `paper` refuses it.

mod lists;
mod of_gauges;
mod of_quality;
mod of_record;

use crate::definitions::Definitions;
use crate::drawings::Drawings;
use crate::number_text::NumberStyle;
use crate::stationery::OwnFile;
use crate::table_plan::TablePlan;
use crate::words::Words;
use assess::{Assessment, SnowKnowledge, TargetOutcome};
use minijinja::{Error, ErrorKind, Value, context};
use paper::{Number, number_value};
use series::{FactValue, Unit, UnitSystem, Withheld};
use site::site_file::Stage;
use site::{Fit, WinterRule};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// From this share of the precipitation on frozen days on, a store that stays in use through winter is warned of on page one (common
/// practice, no source).
const FROST_SHARE: f64 = 0.02;

/// A balance that ends more years before the report than this is said to (common practice, no source).
const LONG_AGO_YEARS: i32 = 10;

/// How often the record's source notes snow.
const SNOW_NOTED: &str = "record.finding.count/finding=precipitation-as-snow";

/// Facts of the answer under other fillings of the record.
const OTHER_FILLINGS: [&str; 4] = [
    "store.reliability.volume.without_neighbours",
    "store.reliability.volume.amounts_as_measured",
    "store.reliability.volume.totals_on_last_day",
    "store.reliability.volume.undercatch_left",
];

/// What a context is made from.
pub(crate) struct ContextMaker<'a> {
    pub(crate) assessment: &'a Assessment,
    pub(crate) words: &'a Words,
    pub(crate) style: &'a NumberStyle,
    pub(crate) definitions: &'a Definitions,
    pub(crate) plans: &'a BTreeMap<String, TablePlan>,
    pub(crate) drawings: &'a Drawings,
    pub(crate) own: &'a [OwnFile],
    /// Characters that the faces of the printed sheets do not have.
    pub(crate) missing_glyphs: &'a BTreeSet<char>,
}

/// A fact as templates print it.
struct Printable {
    value: Value,
    given: bool,
    band: Option<(Value, Value)>,
}

impl ContextMaker<'_> {
    /// Everything that the templates of the report use.
    pub(crate) fn context(&self) -> Value {
        let facts = Arc::new(self.printables());
        let find = |facts: &Arc<BTreeMap<String, Printable>>| {
            let facts = Arc::clone(facts);
            move |id: &str| facts.get(id).map(|p| (p.value.clone(), p.given, p.band.clone()))
        };
        // An id may be put together from what the site file says: the template's own words tell it, never the id.
        let unknown = || Error::new(ErrorKind::InvalidOperation, "there is no fact of that id in this assessment");
        let no_band = || Error::new(ErrorKind::InvalidOperation, "the fact has no band");
        let (of, has, low, high) = (find(&facts), find(&facts), find(&facts), find(&facts));
        context! {
            fact => Value::from_function(move |id: String| of(&id).map(|found| found.0).ok_or_else(unknown)),
            has => Value::from_function(move |id: String| has(&id).is_some_and(|found| found.1)),
            low => Value::from_function(move |id: String| low(&id).and_then(|found| found.2).map(|band| band.0).ok_or_else(no_band)),
            high => Value::from_function(move |id: String| high(&id).and_then(|found| found.2).map(|band| band.1).ok_or_else(no_band)),
            spelling => context! { neighbour => self.words.get("spelling", "neighbour"), neighbour_first => self.words.get("spelling", "neighbour_first") },
            site => self.site(),
            answer => self.answer(),
            station => self.station(),
            choice => self.choice(),
            published => self.published(),
            beside => self.beside(),
            doubts => self.doubts(),
            normals => self.normals(),
            record => self.record(),
            know => self.know(),
            flags => self.flags(),
            drawings => self.drawings(),
            official => self.official(),
            page_one => self.cautions(true),
            cautions => self.cautions(false),
            unknowns => self.unknowns(),
            definitions => self.definition_list(),
            sources => self.sources(),
            missing_glyphs => self.missing_glyphs(),
            own_stationery => self.own.iter().map(|file| context! { name => file.name.clone(), sha256 => file.sha256.clone() }).collect::<Vec<_>>(),
        }
    }

    fn printables(&self) -> BTreeMap<String, Printable> {
        let facts = self.assessment.facts.iter().map(|fact| {
            let id = fact.id.to_string();
            let number =
                |fact_id: String, value: f64| number_value(Number { fact: fact_id, value, text: self.style.of(fact, value).whole() });
            let (value, given) = match &fact.value {
                FactValue::Number(value) => (number(id.clone(), *value), true),
                FactValue::Date(day) => (Value::from(day.to_string()), true),
                FactValue::Withheld(why) => (Value::from(self.words.withheld(why)), false),
            };
            let band = fact.band.as_ref().map(|band| (number(format!("{id}#low"), band.low), number(format!("{id}#high"), band.high)));
            (id, Printable { value, given, band })
        });
        facts.collect()
    }

    fn site(&self) -> Value {
        let site = &self.assessment.site.site;
        let stage = match site.stage {
            Stage::NotPurchased => "not_purchased",
            Stage::NotStated => "not_stated",
            Stage::Purchased => "purchased",
            Stage::Built => "built",
        };
        let half = |positive: bool, yes: &str, no: &str| self.words.get("label", if positive { yes } else { no });
        let place = self.words.with(
            "label",
            "place",
            &[
                ("latitude", &format!("{:.2}", site.latitude.abs())),
                ("north", &half(site.latitude >= 0.0, "north", "south")),
                ("longitude", &format!("{:.2}", site.longitude.abs())),
                ("east", &half(site.longitude >= 0.0, "east", "west")),
            ],
        );
        let records = &self.assessment.site.records;
        context! {
            name => site.name.clone(),
            stage => stage,
            place => place,
            elevation => site.elevation.as_ref().map(|typed| typed.text.clone()),
            prepared_on => self.assessment.prepared_on.to_string(),
            rounding => self.words.get("label", match site.units {
                UnitSystem::Metric => "rounding_metric",
                UnitSystem::UsCustomary => "rounding_us_customary",
            }),
            seed => records.seed.to_string(),
            rest_from => self.rest().0,
            rest_to => self.rest().1,
            wet_day => self.style.number(records.wet_day.get(), Unit::Millimetre).whole(),
        }
    }

    /// The first and last day of the winter rest; empty where the store stays in use.
    fn rest(&self) -> (String, String) {
        let WinterRule::Rests { from, to } = self.assessment.site.winter.rule else { return <(String, String)>::default() };
        let day = |(month, day): (u32, u32)| {
            let month = self.words.get("month", &month.to_string());
            self.words.with("label", "rest_day", &[("day", &day.to_string()), ("month", &month)])
        };
        (day(from), day(to))
    }

    fn answer(&self) -> Value {
        let assessment = self.assessment;
        let period = assessment.run.rain.period();
        let rests = assessment.site.winter.rule != WinterRule::InUse;
        let target = match assessment.store.target_outcome(assessment.site.targets.volumetric_reliability, rests) {
            TargetOutcome::Reached => "met",
            TargetOutcome::LargerStore => "size",
            TargetOutcome::TooLittleRain => "none_rain",
            TargetOutcome::WinterRest => "none_rest",
            TargetOutcome::WrongTimes => "none_timing",
        };
        let kind = match assessment.headline_withheld() {
            None => "given",
            Some(Withheld::SnowUnknown) if assessment.run.snow == SnowKnowledge::StatedFrost => "withheld_frost",
            Some(Withheld::SnowUnknown) => "withheld_snow",
            Some(_) => "withheld_years",
        };
        let band = assessment.facts.get("store.reliability.volume").and_then(|fact| fact.band.clone());
        let bracket = band.is_some_and(|band| self.style.number(band.low, Unit::Share) != self.style.number(band.high, Unit::Share));
        let snow = assessment.facts.number("snow.share").unwrap_or(0.0);
        let frost = assessment.site.surroundings.frost == Some(true) || snow >= FROST_SHARE;
        let target_fit = match &assessment.result.target_fit {
            Some(Fit::Fits { .. }) => self.words.get("label", "tanks_fit"),
            Some(Fit::DoesNotFit { .. }) => self.words.get("label", "tanks_do_not_fit"),
            _ => String::new(),
        };
        context! {
            kind => kind,
            rests_through_frost => assessment.run.snow == SnowKnowledge::RestsThroughFrost,
            snow_in_spite => assessment.run.snow == SnowKnowledge::NoFrost && assessment.facts.get(SNOW_NOTED).is_some(),
            frost_unrested => assessment.site.winter.rule == WinterRule::InUse && frost && snow > 0.0,
            target_fit => target_fit,
            needs_years => assess::HEADLINE_NEEDS_YEARS.to_string(),
            bracket => bracket,
            first_year => period.first.year().to_string(),
            last_year => period.last.year().to_string(),
            ended_long_ago => assessment.prepared_on.year() - period.last.year() > LONG_AGO_YEARS,
            windows_differ => assessment.store.windows_differ,
            target => target,
        }
    }

    fn flags(&self) -> Value {
        let assessment = self.assessment;
        let space = assessment.site.space;
        let any = |id: &str| assessment.facts.number(id).is_some_and(|count| count > 0.0);
        context! {
            filled => any("record.filled"),
            filled_by_neighbours => any("record.filled.neighbours"),
            filled_by_years => assessment.facts.number("record.filled") > assessment.facts.number("record.filled.neighbours"),
            spread => any("record.spread"),
            spread_by_neighbours => any("record.spread.neighbours"),
            spread_evenly => assessment.facts.number("record.spread") > assessment.facts.number("record.spread.neighbours"),
            other_fillings => assessment.headline_withheld().is_none() && assessment.facts.iter().any(|fact| OTHER_FILLINGS.contains(&fact.id.method())),
            coefficient_above_range => assessment.against_range.above,
            coefficient_below_range => assessment.against_range.below,
            rests => assessment.site.winter.rule != WinterRule::InUse,
            has_map => assessment.choice.candidates.iter().any(|candidate| candidate.east_north_km().is_some()),
            does_not_fit => assessment.result.fits.iter().any(|fit| matches!(fit, Fit::DoesNotFit { .. })),
            far_away => assessment.diagnostics.count("gauge-far-away") > 0,
            has_diagnostics => !assessment.diagnostics.is_empty(),
            official => assessment.site.official.is_some(),
            official_table => assessment.site.official.as_ref().is_some_and(|official| official.value.table_file.is_some()),
            has_space => space.length.is_some() || space.width.is_some() || space.height.is_some(),
            money => assessment.has_money,
            has_assumptions => !assessment.site.assumptions.is_empty(),
            temperatures => assessment.run.series.has_temperature,
        }
    }

    /// Which drawings there are, and what is missing on each.
    fn drawings(&self) -> Value {
        let missing = |id: &str| self.drawings.not_drawn.get(id).cloned().unwrap_or_default();
        let drawn = |id: &str| self.drawings.drawn.contains_key(id);
        context! {
            plan => drawn("plan"),
            plan_whole => self.drawings.whole.contains("plan"),
            elevation_whole => self.drawings.whole.contains("elevation"),
            plan_missing => missing("plan"),
            elevation => drawn("elevation"),
            elevation_missing => missing("elevation"),
        }
    }

    fn official(&self) -> Value {
        let Some(typed) = &self.assessment.site.official else { return context! {} };
        let official = &typed.value;
        let read_on = official.read_on.map(|day| self.words.with("label", "read_on", &[("day", &day.to_string())]));
        let source = [Some(official.source.clone()), read_on].into_iter().flatten().collect::<Vec<_>>().join(", ");
        let table = official.table_file.as_ref();
        let as_maximum = table.and_then(|table| table.annual_maximum_return_period_years);
        context! {
            file => table.map(|table| table.file.clone()),
            sha256 => table.map(|table| table.sha256.clone()),
            as_annual_maximum => as_maximum.map(|years| self.words.with("label", "years_return", &[("years", &format!("{years:.1}"))])),
            text => typed.text.clone(),
            duration => self.words.with("label", "minutes", &[("minutes", &official.duration_minutes.to_string())]),
            return_period => self.words.with("label", "years_return", &[("years", &official.return_period_years.to_string())]),
            source => source,
        }
    }

    /// Ids of the tables that the report has.
    pub(crate) fn table_ids(&self) -> impl Iterator<Item = &String> {
        self.plans.keys()
    }
}
