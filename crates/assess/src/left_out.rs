//! How much the answer hangs on the gauge: what each gauge alone would say, and what comes out for a gauge when it is left out.
//!
//! **Alone**: a gauge's own record as it measured, without neighbours and factors, over the roofs, losses and demand of the site.
//!
//! **Left out**: a gauge is taken for the site and its record put aside. The others give the series there by the same rules as at the site: one
//! leads, the rest stand in for it and weigh in the amounts. What comes out is laid beside what the gauge measured: the rain of years and
//! months, wet days, dry spells, greatest days ([`stats::transfer_error`]), and the share that the store would have met over the years that
//! both have. The error at the gauges is the best sign there is of the error at the roof.

use crate::answer_from::share_met;
use crate::gauge_stock::GaugeStock;
use crate::neighbour_choice::{NeighbourChoice, REACH_KM, Wishes};
use crate::site_run::{Frost, SiteRun, site_run};
use crate::station_choice::{ACCEPTED_YEAR_MISSING_SHARE, Place, Standing, leading_by_rule};
use ingest::distance_km;
use rayon::prelude::*;
use serde::Serialize;
use series::{DailyTemperature, Period, Volume, Withheld};
use site::SiteError;
use site::site_file::SiteFile;
use stats::{Filling, Pair, SiteGauges, TransferError, transfer_error};

/// Share of a gauge's days that its own temperatures have to cover.
const OWN_TEMPERATURES: f64 = 0.9;
/// Fewest years that an answer rests on.
const ANSWER_NEEDS_YEARS: u32 = crate::assessment::HEADLINE_NEEDS_YEARS;

/// What is asked of every gauge.
#[derive(Debug, Clone, Copy)]
pub(crate) struct AnswerQuestion<'a> {
    pub(crate) site: &'a SiteFile,
    pub(crate) usable: Volume,
    /// The site's leading gauge first.
    pub(crate) stock: &'a GaugeStock,
    pub(crate) filling: Filling,
    pub(crate) frost: Frost,
    pub(crate) wishes: Wishes,
}

/// What a gauge says.
#[derive(Debug, Clone, Serialize)]
pub struct GaugeAnswer {
    /// The station.
    pub id: String,
    /// Its run of the balance; nothing where it has none.
    pub period: Option<Period>,
    /// Whole enough years of that run.
    pub years: usize,
    /// Share of the demand that the store would have met by its record alone.
    pub alone: Result<f64, Withheld>,
    /// What came out for it when it was left out.
    pub left_out: Result<LeftOut, Withheld>,
}

/// A gauge left out.
#[derive(Debug, Clone, Serialize)]
pub struct LeftOut {
    /// The gauge that led then.
    pub lead: String,
    /// Kilometres to it.
    pub lead_distance_km: f64,
    /// The rain that came out beside what was measured.
    pub rain: Result<TransferError, Withheld>,
    /// The share met by its own record and by what came out, over the same years.
    pub share_met: Result<Pair, Withheld>,
    /// The years of that.
    pub share_met_years: usize,
}

/// The answers of all gauges that were prepared, the site's lead among them, in their order.
///
/// # Errors
/// When a volume has no meaning.
pub(crate) fn gauge_answers(question: AnswerQuestion) -> Result<Vec<GaugeAnswer>, SiteError> {
    let answers: Vec<_> = (0..question.stock.records.len()).into_par_iter().map(|at| gauge_answer(question, at)).collect();
    // The first fault in their order, whoever was done first.
    answers.into_iter().collect()
}

/// A gauge's place, and the gauge that leads there without it.
#[derive(Debug, Clone, Copy)]
struct LeadWithout {
    place: Place,
    lead: usize,
    distance_km: f64,
}

/// A gauge's run as it measured, and the share met over the whole of it.
type OwnRun<'a> = (&'a Result<SiteRun, Withheld>, &'a Result<f64, Withheld>);

fn gauge_answer(question: AnswerQuestion, at: usize) -> Result<GaugeAnswer, SiteError> {
    let own = question.alone(at);
    let (period, years) = own.as_ref().map_or((None, 0), |run| (Some(run.rain.period()), run.accepted_years.len()));
    let alone = match &own {
        Err(why) => Err(why.clone()),
        Ok(run) => enough(years).and(question.share_met(run, run.rain.period())?),
    };
    let left_out = match question.lead_without(at) {
        None => Err(Withheld::NothingAccepted),
        Some(without) => Ok(question.left_out(at, (&own, &alone), without)?),
    };
    Ok(GaugeAnswer { id: question.stock.records[at].id().to_owned(), period, years, alone, left_out })
}

fn enough(years: usize) -> Result<(), Withheld> {
    let have = years as u32;
    if have < ANSWER_NEEDS_YEARS { Err(Withheld::TooFewYears { have, need: ANSWER_NEEDS_YEARS }) } else { Ok(()) }
}

impl AnswerQuestion<'_> {
    fn km_between(&self, one: usize, other: usize) -> Option<f64> {
        let position = |at: usize| self.stock.records[at].record.rain.station.position();
        Some(distance_km(position(one)?, position(other)?))
    }

    /// The others by their distance from a gauge, those in reach.
    fn others(&self, at: usize) -> Vec<(usize, f64)> {
        let mut others: Vec<(usize, f64)> = (0..self.stock.records.len())
            .filter(|other| *other != at)
            .filter_map(|other| Some((other, self.km_between(at, other)?)))
            .filter(|(_, distance)| *distance <= REACH_KM)
            .collect();
        others.sort_by(|a, b| a.1.total_cmp(&b.1));
        others
    }

    /// The place of a gauge, and which leads when it is left out; nothing without a place or another gauge.
    fn lead_without(&self, at: usize) -> Option<LeadWithout> {
        let station = &self.stock.records[at].record.rain.station;
        let (latitude, longitude) = station.position()?;
        let place = Place { latitude, longitude, elevation: station.elevation };
        let others = self.others(at);
        let standings: Vec<Standing> = others
            .iter()
            .map(|(other, _)| {
                let rain = &self.stock.records[*other].record.rain;
                Standing::of(rain, &stats::accepted_years(rain, ACCEPTED_YEAR_MISSING_SHARE), self.site.records.period)
            })
            .collect();
        leading_by_rule(&standings).map(|(leads, _)| LeadWithout { place, lead: others[leads].0, distance_km: others[leads].1 })
    }

    /// Temperatures for a gauge: its own where they cover nine tenths of its days, else those of the site's lead where that has more, so that
    /// snow is told alike.
    fn temperature(&self, at: usize) -> &DailyTemperature {
        let own = &self.stock.records[at].record;
        let of_lead = &self.stock.records[0].record.temperature;
        let whole = own.temperature.days_with_mean() as f64 >= OWN_TEMPERATURES * own.rain.counts().usable() as f64;
        if whole || own.temperature.days_with_mean() >= of_lead.days_with_mean() { &own.temperature } else { of_lead }
    }

    /// A gauge as it measured: nothing filled by others, nothing corrected.
    fn alone(&self, at: usize) -> Result<SiteRun, Withheld> {
        let gauges = SiteGauges::alone(&self.stock.records[at].record.rain, self.temperature(at));
        site_run(gauges, self.filling, self.site.records.period, self.frost)
    }

    /// Withheld where snow cannot be told from rain, as the headline is.
    fn share_met(&self, run: &SiteRun, period: Period) -> Result<Result<f64, Withheld>, SiteError> {
        if run.snow.withholds() {
            return Ok(Err(Withheld::SnowUnknown));
        }
        match run.rain.cut_to(period) {
            Some(rain) => share_met(self.site, &rain, &self.site.roofs(), self.usable),
            None => Ok(Err(Withheld::NothingAccepted)),
        }
    }

    fn left_out(&self, at: usize, (own, alone): OwnRun, without: LeadWithout) -> Result<LeftOut, SiteError> {
        let LeadWithout { place, lead, distance_km } = without;
        let measured = &self.stock.records[at].record.rain;
        let rest: Vec<usize> = self.others(at).into_iter().map(|(other, _)| other).filter(|other| *other != lead).collect();
        // The gauge caught what it caught: nothing is corrected on either side.
        let wishes = Wishes { undercatch: 0.0, ..self.wishes };
        let choice = NeighbourChoice::new(self.stock, lead, &rest, place, wishes);
        let neighbours = choice.standing_in(self.stock);
        let gauges = SiteGauges {
            lead: &self.stock.records[lead].record.rain,
            temperature: self.temperature(lead),
            neighbours: &neighbours,
            factors: choice.factors,
        };
        let estimated = site_run(gauges, self.filling, self.site.records.period, self.frost);
        let rain = estimated.as_ref().map_err(Clone::clone).and_then(|run| {
            let days_later = self.stock.pair(at, lead).alignment.days_later();
            transfer_error(measured, &run.series, days_later)
        });
        let (share_met, share_met_years) = match (own, &estimated) {
            (Ok(own), Ok(estimated)) => self.compare((own, alone), estimated)?,
            (Err(why), _) | (_, Err(why)) => (Err(why.clone()), 0),
        };
        let lead = self.stock.records[lead].id().to_owned();
        Ok(LeftOut { lead, lead_distance_km: distance_km, rain, share_met, share_met_years })
    }

    /// The share met by two runs over the days that both have, and the years whole enough in both.
    fn compare(
        &self,
        (own, alone): (&SiteRun, &Result<f64, Withheld>),
        estimated: &SiteRun,
    ) -> Result<(Result<Pair, Withheld>, usize), SiteError> {
        let Some(period) = own.rain.period().overlap(estimated.rain.period()) else {
            return Ok((enough(0).and(Err(Withheld::NothingAccepted)), 0));
        };
        let years = own.accepted_years.iter().filter(|year| estimated.accepted_years.contains(year)).count();
        if let Err(why) = enough(years) {
            return Ok((Err(why), years));
        }
        let measured = if period == own.rain.period() { alone.clone() } else { self.share_met(own, period)? };
        let estimated = self.share_met(estimated, period)?;
        Ok((measured.and_then(|measured| Ok(Pair { measured, estimated: estimated? })), years))
    }
}
