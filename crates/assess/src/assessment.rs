//! The assessment: one site, its records, and every fact that follows. A plain value: it can be printed, saved and compared.

use crate::alternative_facts::{coefficient_ends, without_shortage};
use crate::climate_facts::{Climate, ClimateRule, climate, months_of_years};
use crate::error::Error;
use crate::facts::Facts;
use crate::gauge_stock::{GaugeStock, Twin};
use crate::lead_doubts::{self, LeadDoubt, lead_doubts};
use crate::left_out::{AnswerQuestion, GaugeAnswer, gauge_answers};
use crate::neighbour_choice::{NeighbourChoice, NoSay, Wishes};
use crate::other_days::{SiteDaysWay, other_days, unfilled_years};
use crate::prepared_records::Prepared;
use crate::record_summary::RecordSummary;
use crate::records_at_hand::RecordsAtHand;
use crate::replay_facts::{Replay, great_rains, replay_driest};
use crate::site_facts::{self, SiteResult, target_tanks};
use crate::site_run::{Frost, SiteRun, site_run};
use crate::spell_facts::{Spells, season_spell, spells};
use crate::station_choice::{ACCEPTED_YEAR_MISSING_SHARE, Place, Standing, StationChoice, Wanted, choose, far_away, leading_by_rule};
use crate::store_facts::{SizeUnit, StoreQuestion, StoreResult, store};
use crate::storm_facts::{Storms, storms};
use crate::supply_facts::{AgainstRanges, supply};
use crate::who_is_asked::asked;
use crate::{gauge_facts, rain_record, record_facts};
use ingest::StationRecord;
use rayon::prelude::*;
use series::{Day, Diagnostics, Fact, Period, Withheld};
use site::losses::{CollectedRun, collect};
use site::site_file::SiteFile;
use site::{DailyWater, WaterAccount, WinterRule};
use stats::{DrySpellRule, Filling, MonthRule, NormalsRule, SiteGauges, TotalSpread, YearRule};

/// What an assessment is made from.
#[derive(Debug, Clone, Copy)]
pub struct Inputs<'a> {
    /// The site file.
    pub site: &'a SiteFile,
    /// The records, with the places of their stations where a station list gave them.
    pub records: &'a [StationRecord],
    /// What was found in the site file and the records' files.
    pub diagnostics: &'a Diagnostics,
    /// The day that the report bears.
    pub prepared_on: Day,
}

/// Fewest years that a headline rests on (common practice, no source): the worst of fewer says too little of bad years.
pub const HEADLINE_NEEDS_YEARS: u32 = 10;

/// A site and all that is known of it.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// The site file.
    pub site: SiteFile,
    /// The day that the report bears.
    pub prepared_on: Day,
    /// The records and which of them leads.
    pub choice: StationChoice,
    /// Why each of the records, in the order of the choice, has no say at the site; nothing for the lead and those that are asked.
    pub not_asked: Vec<Option<NoSay>>,
    /// The gauges that are asked, and what they say of the site's amounts.
    pub neighbours: NeighbourChoice,
    /// What each gauge says of the answer, and what comes out where it is left out; the lead first.
    pub answers: Vec<GaugeAnswer>,
    /// What speaks against the lead although it is the best at hand.
    pub doubts: Vec<LeadDoubt>,
    /// Every fact.
    pub facts: Facts,
    /// The lead gauge's months.
    pub climate: Option<Climate>,
    /// The lead gauge's dry spells.
    pub spells: Spells,
    /// The lead gauge's great rains.
    pub storms: Storms,
    /// The run of days of the balance.
    pub run: SiteRun,
    /// What became of the rain on the roofs.
    pub collected: CollectedRun,
    /// The proposed store and other sizes.
    pub store: StoreResult,
    /// Where all the rain of the run went; nothing where no headline is given.
    pub account: Option<WaterAccount>,
    /// The driest twelve months.
    pub replay: Option<Replay>,
    /// What follows from the site alone.
    pub result: SiteResult,
    /// Where the roofs' effective coefficients lie against the ranges published for their coverings.
    pub against_range: AgainstRanges,
    /// Whether there is money to show.
    pub has_money: bool,
    /// What was found in the site file and the records.
    pub diagnostics: Diagnostics,
}

impl Assessment {
    /// Why no headline is given, where none is: snow cannot be told from rain, or the run holds too few whole years.
    pub fn headline_withheld(&self) -> Option<Withheld> {
        let years = self.run.accepted_years.len() as u32;
        if self.run.snow.withholds() {
            Some(Withheld::SnowUnknown)
        } else if years < HEADLINE_NEEDS_YEARS {
            Some(Withheld::TooFewYears { have: years, need: HEADLINE_NEEDS_YEARS })
        } else {
            None
        }
    }
}

/// Makes the assessment.
///
/// # Errors
/// When no record can be used, or the named station is not among them.
pub fn assess(inputs: Inputs) -> Result<Assessment, Error> {
    let file = inputs.site;
    let elevation = file.site.elevation.as_ref().map(|typed| typed.value.get());
    let place = Place { latitude: file.site.latitude, longitude: file.site.longitude, elevation };
    let at_hand = RecordsAtHand::new(inputs.records, &file.records.gauges);
    let mut choice = chosen(inputs, &at_hand, place)?;
    let mut not_asked = asked(&choice, &at_hand, file.records.period);
    let (stock, twins) = GaugeStock::new(prepared(inputs, &at_hand, &not_asked, &mut choice)).without_twins();
    for twin in &twins {
        not_asked[twin.candidate] = Some(NoSay::SameGauge);
    }
    let id = choice.leading().summary.station.id.clone();
    let Some(Prepared { record, .. }) = stock.records.first() else {
        return Err(Error::NoSuchStation { named: id, found: String::new(), place: (0, 0) });
    };
    // It speaks of the period that the site file names; the record sheet of the whole record.
    let rain = &record.rain;

    let mut facts = Facts::default();
    record_facts::records(&choice, &mut facts);
    let rule = ClimateRule { months: MonthRule::Whole, normals: NormalsRule::default(), period: file.records.normals };
    let climate = climate(rain, rule, &mut facts);
    if let Some(climate) = &climate {
        months_of_years(climate, &id, &mut facts);
    }
    let threshold_micrometres = (file.records.wet_day.get() * 1000.0).round() as i64;
    let spells = spells(rain, DrySpellRule { threshold_micrometres, ..DrySpellRule::default() }, &mut facts);
    let storms = storms(rain, YearRule::default(), &mut facts);
    rain_record::snow(rain, &record.temperature, &mut facts);

    let rests = file.winter.rule != WinterRule::InUse;
    let frost = Frost { latitude: file.site.latitude, elevation, stated: file.surroundings.frost, rests };
    let no_run = |why| Error::NoRun { station: id.clone(), why };
    let wishes =
        Wishes { stand_in: file.records.use_neighbours, amounts: !file.records.amounts_as_measured, undercatch: file.records.undercatch };
    let beside: Vec<usize> = (1..stock.records.len()).collect();
    let neighbours = NeighbourChoice::new(&stock, 0, &beside, place, wishes);
    gauge_facts::neighbours(&neighbours, &id, &mut facts);
    let standing_in = neighbours.standing_in(&stock);
    let factors = neighbours.factors.map(|factor| factor * wishes.caught());
    let gauges = SiteGauges { neighbours: &standing_in, factors, ..SiteGauges::alone(&record.rain, &record.temperature) };
    let filling = Filling { seed: file.records.seed, spread: TotalSpread::Even };
    let run = site_run(gauges, filling, file.records.period, frost).map_err(no_run)?;
    record_facts::filling(&run, &id, &mut facts);
    gauge_facts::from_neighbours(&run, &id, &mut facts);

    let (roofs, demands) = (file.roofs(), file.demands());
    let mut result = site_facts::site(file, &mut facts)?;
    let collected = collect(&run.rain, &roofs, file.collection, file.winter.melt_credit)?;
    let against_range = supply(&run, &collected, &roofs, &id, &mut facts);
    let water = DailyWater::new(run.rain.period().first, collected.to_store(), &demands, file.winter.rule)?;
    let (filled, _) = run.filled_and_spread(run.rain.period());
    let question = StoreQuestion {
        water: &water,
        size: result.usable,
        target: file.targets.volumetric_reliability,
        recent: run.recent().map(|period| (period, run.filled_and_spread(period).0)),
        excluded_years: &run.excluded_years,
        record: &id,
        filled,
        unit: SizeUnit::of(file.site.units),
    };
    let store = store(question, &mut facts)?;
    let way = SiteDaysWay { site: file, gauges, filling, frost, wishes };
    other_days(way, &run, result.usable, &id, &mut facts)?;
    if filled > 0 {
        unfilled_years(&run, &store.trace, &id, &mut facts);
    }
    let question = AnswerQuestion { site: file, usable: result.usable, stock: &stock, filling, frost, wishes };
    let answers = if stock.records.len() > 1 { gauge_answers(question)? } else { Vec::new() };
    gauge_facts::answers(&answers, &mut facts);
    without_shortage(file, &water, filled, &id, &mut facts)?;
    coefficient_ends(file, &run, result.usable, &id, &mut facts)?;
    let account = Some(WaterAccount::new(collected.total, &store.trace.summary));
    let replay = replay_driest(&run, &store.trace, &id, &mut facts)?;
    great_rains(&roofs, file.collection, result.usable, &mut facts)?;
    let has_money = site_facts::money(file, &mut facts);

    // The findings of the record that leads belong to the report; those of the others stand with them in `choice`.
    let mut diagnostics = inputs.diagnostics.clone();
    diagnostics.extend(record.diagnostics.clone());
    let years = run.accepted_years.len();
    let doubts = lead_doubts(choice.leading(), years, elevation, &neighbours);
    let of_records = at_hand.findings.iter().cloned().chain(at_hand.rule_of_lead(&id)).chain(twins.iter().map(Twin::finding));
    let of_lead = far_away(&choice, place).into_iter().chain(lead_doubts::findings(choice.leading(), years, &doubts));
    for finding in of_records.chain(of_lead) {
        diagnostics.push(finding);
    }
    season_spell(&spells, &mut facts, &id);
    result.target_fit = target_tanks(file, store.target, &mut facts)?;
    let mut assessment = Assessment {
        site: file.clone(),
        prepared_on: inputs.prepared_on,
        choice,
        not_asked,
        neighbours,
        answers,
        doubts,
        facts,
        climate,
        spells,
        storms,
        run,
        collected,
        store,
        account,
        replay,
        result,
        against_range,
        has_money,
        diagnostics,
    };
    if let Some(why) = assessment.headline_withheld() {
        withhold(&mut assessment.facts, &why);
        assessment.account = None;
    }
    Ok(assessment)
}

/// The lead and the gauges that are asked, without the days that their quality tests reject and within the years that are wanted, the lead
/// first and then the nearest first. Their sheets in `choice` are made from the whole tested records and hold the findings; the other records
/// enter no number and are not tested. Where the tests take so much from the lead that the rule would have another of them lead, that one does.
fn prepared(inputs: Inputs, at_hand: &RecordsAtHand, not_asked: &[Option<NoSay>], choice: &mut StationChoice) -> Vec<Prepared> {
    let period = inputs.site.records.period;
    let places: Vec<usize> = (0..choice.candidates.len()).filter(|at| not_asked[*at].is_none()).collect();
    let prepare = |at: &usize| {
        let id = &choice.candidates[*at].summary.station.id;
        let sources = &choice.candidates[*at].summary.source.files;
        let is_its = |record: &&&StationRecord| record.rain.station.id == *id && record.rain.provenance.sources == *sources;
        let record = Prepared::new(*at, at_hand.records.iter().find(is_its)?, at_hand);
        let summary = RecordSummary::of(&record.record, Some(inputs.prepared_on), Some(record.quality.clone()));
        let accepted_years = stats::accepted_years(&record.record.rain, ACCEPTED_YEAR_MISSING_SHARE);
        let standing = Standing::of(&record.record.rain, &accepted_years, period);
        Some((record.cut_to(period), summary, accepted_years, standing))
    };
    // In the order of the places, whoever is done first.
    let made: Vec<_> = places.par_iter().filter_map(prepare).collect();
    let (mut records, mut standings) = (Vec::new(), Vec::new());
    for (record, summary, accepted_years, standing) in made {
        let candidate = &mut choice.candidates[record.candidate];
        (candidate.accepted_years, candidate.summary) = (accepted_years, summary);
        records.push(record);
        standings.push(standing);
    }
    if inputs.site.records.station.is_none()
        && let Some((leads, reason)) = leading_by_rule(&standings)
        && records[leads].candidate != choice.leads
    {
        choice.lead_with(records[leads].candidate, reason);
    }
    // The lead before the others, whose order stays.
    records.sort_by_key(|record| record.candidate != choice.leads);
    if let Some(lead) = records.first_mut() {
        lead.days_later = None;
    }
    records
}

fn chosen(inputs: Inputs, at_hand: &RecordsAtHand, place: Place) -> Result<StationChoice, Error> {
    let records = &inputs.site.records;
    let named = records.station.as_ref().map(|typed| typed.value.as_str());
    let choice = choose(at_hand, place, Wanted { named, period: records.period }, inputs.prepared_on);
    let of = |record: &&StationRecord| {
        record.rain.period().map(|period| (record.rain.station.id.clone(), period, has_day_in(record, records.period)))
    };
    let there: Vec<(String, Period, bool)> = at_hand.records.iter().filter_map(of).collect();
    // The one that the site file names, or all of them.
    let all_outside = match named {
        Some(named) => there.iter().any(|(id, ..)| id == named) && there.iter().all(|(id, _, inside)| id != named || !inside),
        None => !there.is_empty() && there.iter().all(|(_, _, inside)| !inside),
    };
    if at_hand.in_use().next().is_none() && !there.is_empty() {
        return Err(Error::AllLeftOut);
    }
    if let Some(period) = records.period.filter(|_| all_outside) {
        let found: Vec<String> = there.iter().map(|(id, own, _)| format!("{id} {own}")).collect();
        return Err(Error::NoneInPeriod { named: named.map(str::to_owned), period, found: found.join(", ") });
    }
    choice.ok_or_else(|| match (named, &records.station) {
        (Some(named), Some(typed)) if !there.is_empty() => {
            let found: Vec<&str> = inputs.records.iter().map(|record| record.rain.station.id.as_str()).collect();
            Error::NoSuchStation { named: named.to_owned(), found: found.join(", "), place: (typed.line, typed.column) }
        }
        _ => Error::NoRain { files: inputs.records.len().to_string() },
    })
}

/// Whether a record has a usable day in a period.
fn has_day_in(record: &StationRecord, period: Option<Period>) -> bool {
    period.is_none_or(|period| record.rain.within(period).any(|(_, reading)| reading.is_usable()))
}

/// Methods whose value rests on the run of the balance.
const REST_ON_THE_RUN: [&str; 13] = [
    "alone.reliability",
    "left_out.share_met",
    "supply.",
    "store.",
    "curve.",
    "target.size",
    "target.tanks",
    "year.",
    "sequent_peak.",
    "replay.",
    "roof.effective",
    "money.",
    "one_storm.",
];
/// Of those, the ones that do not: they come from the site file, or from no record at all.
const FROM_THE_SITE: [&str; 8] = [
    "store.usable",
    "store.usable_of_one",
    "store.nominal",
    "store.nominal.total",
    "store.dead",
    "store.above_overflow",
    "store.count",
    "store.gain_step",
];

/// Where no headline can be given, nothing that rests on the run of the balance is.
fn withhold(facts: &mut Facts, why: &Withheld) {
    let depends = |fact: &&Fact| {
        let method = fact.id.method();
        REST_ON_THE_RUN.iter().any(|stem| method.starts_with(stem)) && !FROM_THE_SITE.contains(&method)
    };
    let withheld: Vec<Fact> = facts
        .iter()
        .filter(depends)
        .map(|fact| Fact { value: series::FactValue::Withheld(why.clone()), band: None, ..fact.clone() })
        .collect();
    facts.extend(withheld);
}
