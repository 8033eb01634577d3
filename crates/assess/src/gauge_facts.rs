//! The facts of the gauges beside the lead: what each has in common with it, its say at the site, what it alone says of the answer, and the
//! error where it was left out.

use crate::climate_facts::given;
use crate::facts::Facts;
use crate::left_out::GaugeAnswer;
use crate::neighbour_choice::{GaugeBeside, NeighbourChoice, NoSay};
use crate::site_run::SiteRun;
use series::{Fact, FactId, Unit, Withheld};
use stats::Pair;

/// Adds what each gauge has in common with the lead, and the site's factors.
pub(crate) fn neighbours(choice: &NeighbourChoice, lead: &str, facts: &mut Facts) {
    for beside in &choice.beside {
        of_gauge(beside, facts);
    }
    for (month, factor) in (1..).zip(choice.factors) {
        facts.add(Fact::number(FactId::new("site.factor").key("month", month), Unit::Ratio, factor).from_record(lead));
    }
    let ends = choice.factors.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |ends, &factor| (ends.0.min(factor), ends.1.max(factor)));
    facts.add(Fact::number(FactId::new("site.factor.least"), Unit::Ratio, ends.0).from_record(lead));
    facts.add(Fact::number(FactId::new("site.factor.most"), Unit::Ratio, ends.1).from_record(lead));
    if let Some(amounts) = &choice.amounts {
        facts.add(Fact::number(FactId::new("gauge.weight").key("station", lead), Unit::Share, amounts.weights[0]).from_record(lead));
        if let Some(gradient) = amounts.gradient {
            let each_100_m = series::math::exp(100.0 * gradient.per_metre) - 1.0;
            facts.add(Fact::number(FactId::new("site.height_gradient"), Unit::Share, each_100_m));
        }
    }
}

fn of_gauge(beside: &GaugeBeside, facts: &mut Facts) {
    let key = |name: &str| FactId::new(&format!("gauge.{name}")).key("station", &beside.id);
    let mut add = |fact: Fact| facts.add(fact.from_record(&beside.id));
    let agreement = beside.agreement.as_ref();
    add(given(key("correlation"), Unit::Ratio, agreement.map(|found| found.correlation).map_err(Clone::clone)));
    add(given(key("common_days"), Unit::Day, agreement.map(|found| found.common_days as f64).map_err(Clone::clone)));
    let ratios = beside.ratios.as_ref();
    add(given(key("rain_over_lead"), Unit::Ratio, ratios.map(|found| 1.0 / found.annual).map_err(Clone::clone)));
    match &beside.weight {
        Ok(weight) => add(Fact::number(key("weight"), Unit::Share, *weight)),
        Err(NoSay::TooFewYears { have, need }) => {
            add(Fact::withheld(key("weight"), Unit::Share, Withheld::TooFewYears { have: *have, need: *need }));
        }
        Err(_) => {}
    }
}

/// Adds how much of what was filled and spread came from neighbours.
pub(crate) fn from_neighbours(run: &SiteRun, record: &str, facts: &mut Facts) {
    let period = run.rain.period();
    let (filled, spread) = run.from_neighbours(period);
    let of = |fact: Fact| fact.during(Some(period)).from_record(record).over(period.days(), 0);
    facts.add(of(Fact::number(FactId::new("record.filled.neighbours"), Unit::Day, filled as f64)));
    facts.add(of(Fact::number(FactId::new("record.spread.neighbours"), Unit::Day, spread as f64)));
}

/// Adds what each gauge says alone, and what came out where it was left out.
pub(crate) fn answers(answers: &[GaugeAnswer], facts: &mut Facts) {
    for answer in answers {
        let of = |fact: Fact| fact.during(answer.period).from_record(&answer.id);
        let key = |name: &str| FactId::new(name).key("station", &answer.id);
        facts.add(of(given(key("alone.reliability"), Unit::Share, answer.alone.clone())));
        facts.add(of(Fact::number(key("alone.years"), Unit::Year, answer.years as f64)));
        left_out(answer, facts);
    }
    let alone: Vec<f64> = answers.iter().filter_map(|answer| answer.alone.as_ref().ok().copied()).collect();
    if alone.len() > 1 {
        let ends = alone.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |ends, &share| (ends.0.min(share), ends.1.max(share)));
        facts.add(Fact::number(FactId::new("alone.gauges"), Unit::Count, alone.len() as f64));
        facts.add(Fact::number(FactId::new("alone.reliability.least"), Unit::Share, ends.0));
        facts.add(Fact::number(FactId::new("alone.reliability.most"), Unit::Share, ends.1));
    }
    let errors: Vec<f64> = answers
        .iter()
        .filter_map(|answer| answer.left_out.as_ref().ok()?.share_met.as_ref().ok())
        .map(|pair| (pair.estimated - pair.measured).abs())
        .collect();
    let of_lead = |answer: &GaugeAnswer| answer.left_out.as_ref().ok().map(|found| found.lead_distance_km);
    let distances: Vec<f64> = answers.iter().filter_map(of_lead).collect();
    if !distances.is_empty() {
        let (least, most) = distances.iter().fold((f64::INFINITY, 0.0_f64), |ends, &km| (ends.0.min(km), ends.1.max(km)));
        facts.add(Fact::number(FactId::new("left_out.lead_distance.least"), Unit::Kilometre, least));
        facts.add(Fact::number(FactId::new("left_out.lead_distance.most"), Unit::Kilometre, most));
    }
    if !errors.is_empty() {
        facts.add(Fact::number(FactId::new("left_out.gauges"), Unit::Count, errors.len() as f64));
        let mean = errors.iter().sum::<f64>() / errors.len() as f64;
        facts.add(Fact::number(FactId::new("left_out.share_met.mean_error"), Unit::Share, mean));
        let worst = errors.iter().copied().fold(0.0, f64::max);
        facts.add(Fact::number(FactId::new("left_out.share_met.worst_error"), Unit::Share, worst));
    }
}

fn left_out(answer: &GaugeAnswer, facts: &mut Facts) {
    let key = |name: &str| FactId::new(&format!("left_out.{name}")).key("station", &answer.id);
    let mut add = |fact: Fact| facts.add(fact.from_record(&answer.id));
    let found = answer.left_out.as_ref();
    let rain = found.map_err(Clone::clone).and_then(|found| found.rain.as_ref().map_err(Clone::clone));
    let share_met = found.map_err(Clone::clone).and_then(|found| found.share_met.as_ref().map_err(Clone::clone));
    if let Ok(found) = found {
        add(Fact::number(key("lead_distance"), Unit::Kilometre, found.lead_distance_km));
    }
    add(given(key("days"), Unit::Day, rain.clone().map(|rain| rain.days as f64)));
    add(given(key("bias"), Unit::Share, rain.clone().map(stats::TransferError::bias)));
    add(given(key("month_error"), Unit::Share, rain.clone().map(|rain| rain.month_error)));
    let mut pair = |name: &str, unit, pair: Result<Pair, Withheld>| {
        add(given(key(&format!("{name}.measured")), unit, pair.clone().map(|pair| pair.measured)));
        add(given(key(&format!("{name}.estimated")), unit, pair.map(|pair| pair.estimated)));
    };
    pair("wet_days", Unit::Share, rain.clone().map(|rain| rain.wet_days));
    let of_years = rain.and_then(|rain| rain.of_years.as_ref().map_err(Clone::clone));
    pair("dry_spell", Unit::Day, of_years.clone().map(|years| years.dry_spell_days));
    pair("greatest_day", Unit::Millimetre, of_years.map(|years| years.greatest_day_mm));
    pair("share_met", Unit::Share, share_met.copied());
}
