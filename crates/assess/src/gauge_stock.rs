//! The gauges that are asked, and what every two of them have in common, worked out once: the site, and each gauge that is left out, need it.

use crate::prepared_records::Prepared;
use ingest::distance_km;
use series::{Diagnostic, Severity, Withheld};
use stats::{DayAlignment, GaugeRatios, PatternAgreement};

/// Two records nearer than this whose days agree better than this are of one gauge (ours).
const ONE_GAUGE_KM: f64 = 0.5;
const ONE_GAUGE_CORRELATION: f64 = 0.99;

/// What two gauges have in common, seen from the first.
#[derive(Debug, Clone)]
pub(crate) struct GaugePair {
    /// How the second's dates lie beside the first's.
    pub(crate) alignment: DayAlignment,
    /// How alike their days are.
    pub(crate) agreement: Result<PatternAgreement, Withheld>,
    /// The first's rain over the second's.
    pub(crate) ratios: Result<GaugeRatios, Withheld>,
}

/// A gauge that is another one under a second name.
#[derive(Debug)]
pub(crate) struct Twin {
    /// Its place among the candidates.
    pub(crate) candidate: usize,
    id: String,
    kept: String,
}

impl Twin {
    /// The same as a finding.
    pub(crate) fn finding(&self) -> Diagnostic {
        let message = format!("found {} where {} stands, and the same depths day by day", self.id, self.kept);
        Diagnostic::new("gauge-twice", Severity::Warning, message).done("It is taken for the same gauge and has no say of its own.")
    }
}

/// The gauges, and every pair of them.
#[derive(Debug)]
pub(crate) struct GaugeStock {
    /// The leading gauge of the site first.
    pub(crate) records: Vec<Prepared>,
    /// Of each gauge with all behind it.
    pairs: Vec<Vec<GaugePair>>,
}

impl GaugeStock {
    pub(crate) fn new(records: Vec<Prepared>) -> Self {
        let with_later =
            |one: usize| (one + 1..records.len()).map(|other| GaugePair::new(&records[0], &records[one], &records[other])).collect();
        let pairs = (0..records.len()).map(with_later).collect();
        Self { records, pairs }
    }

    /// Leaves out gauges that stand where another one does and agree with it day by day: they are the same one, and would weigh twice.
    pub(crate) fn without_twins(self) -> (Self, Vec<Twin>) {
        let mut kept: Vec<usize> = Vec::new();
        let mut twins = Vec::new();
        for at in 0..self.records.len() {
            match kept.iter().find(|&&before| self.are_one(before, at)) {
                Some(&before) => {
                    let (twin, kept) = (&self.records[at], &self.records[before]);
                    twins.push(Twin { candidate: twin.candidate, id: twin.id().to_owned(), kept: kept.id().to_owned() });
                }
                None => kept.push(at),
            }
        }
        if twins.is_empty() {
            return (self, twins);
        }
        let records = self.records.into_iter().enumerate().filter(|(at, _)| kept.contains(at)).map(|(_, record)| record).collect();
        (Self::new(records), twins)
    }

    fn are_one(&self, one: usize, other: usize) -> bool {
        let position = |at: usize| self.records[at].record.rain.station.position();
        let near = position(one).zip(position(other)).is_none_or(|(one, other)| distance_km(one, other) < ONE_GAUGE_KM);
        near && self.pair(one, other).agreement.is_ok_and(|agreement| agreement.correlation > ONE_GAUGE_CORRELATION)
    }

    /// What two different gauges have in common, seen from the first.
    pub(crate) fn pair(&self, one: usize, other: usize) -> GaugePair {
        if one < other { self.pairs[one][other - one - 1].clone() } else { self.pairs[other][one - other - 1].turned() }
    }
}

impl GaugePair {
    fn new(lead: &Prepared, one: &Prepared, other: &Prepared) -> Self {
        // What the site file states of a gauge is against the site's lead; between two others the difference counts, that of a gauge of which
        // nothing is stated being what the records say.
        let stated = (one.days_later.is_some() || other.days_later.is_some()).then(|| other.offset_to(lead) - one.offset_to(lead));
        let (one, other) = (&one.record.rain, &other.record.rain);
        let alignment = DayAlignment::of(one.day_definition, other.day_definition, stated);
        Self { alignment, agreement: PatternAgreement::new(one, other, alignment), ratios: GaugeRatios::new(one, other, alignment) }
    }

    fn turned(&self) -> Self {
        Self {
            alignment: self.alignment.turned(),
            agreement: self.agreement.clone(),
            ratios: self.ratios.as_ref().map(GaugeRatios::inverse).map_err(Clone::clone),
        }
    }
}
