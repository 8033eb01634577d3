//! The gauges that are asked, and what every two of them have in common, worked out once: the site, and each gauge that is left out, need it.

use crate::prepared_records::Prepared;
use series::Withheld;
use stats::{DayAlignment, GaugeRatios, PatternAgreement};

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
        let with_later = |one: usize| (one + 1..records.len()).map(|other| GaugePair::new(&records[one], &records[other])).collect();
        let pairs = (0..records.len()).map(with_later).collect();
        Self { records, pairs }
    }

    /// What two different gauges have in common, seen from the first.
    pub(crate) fn pair(&self, one: usize, other: usize) -> GaugePair {
        if one < other { self.pairs[one][other - one - 1].clone() } else { self.pairs[other][one - other - 1].turned() }
    }
}

impl GaugePair {
    fn new(one: &Prepared, other: &Prepared) -> Self {
        // What the site file states is later than the leading gauge of the site; between two others the difference counts.
        let stated = match (one.days_later, other.days_later) {
            (None, None) => None,
            (one, other) => Some(other.unwrap_or(0) - one.unwrap_or(0)),
        };
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
