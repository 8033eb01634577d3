//! What speaks against the leading gauge although it is the best at hand: it is too far, too high or low, or its run is too short.
//!
//! Limits are house rules, no source: beyond 40 km a storm at the gauge is often none at the roof; 200 m of height change the rain by a tenth
//! or a fifth in many places; a drought that comes once in twenty years is likely to be missing from fewer years than that.

use crate::neighbour_choice::NeighbourChoice;
use crate::station_choice::{Candidate, FAR_KM};
use serde::Serialize;
use series::{Diagnostic, Severity};

/// Beyond this the gauge is called far, km.
pub const FAR_FROM_SITE_KM: f64 = 40.0;
/// Beyond this difference it is called high or low, m.
pub const HEIGHT_APART_M: f64 = 200.0;
/// A run with fewer accepted years is called short.
pub const SHORT_YEARS: usize = 20;

/// Something that speaks against the leading gauge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LeadDoubt {
    /// It is far.
    Far,
    /// It stands far above or below the site, and nothing shows how rain grows with height here.
    Height,
    /// Its record is short.
    Short,
}

/// What speaks against the lead, whose run has so many accepted years, for a site of this height.
pub(crate) fn lead_doubts(lead: &Candidate, years: usize, site_height: Option<f64>, neighbours: &NeighbourChoice) -> Vec<LeadDoubt> {
    let gradient = neighbours.amounts.as_ref().and_then(|amounts| amounts.gradient);
    let height_is_followed = gradient.zip(site_height).is_some_and(|(gradient, height)| gradient.reaches(height));
    let mut doubts = Vec::new();
    if lead.distance_km.is_some_and(|distance| distance > FAR_FROM_SITE_KM) {
        doubts.push(LeadDoubt::Far);
    }
    if lead.height_difference_m.is_some_and(|metres| metres.abs() > HEIGHT_APART_M) && !height_is_followed {
        doubts.push(LeadDoubt::Height);
    }
    if years < SHORT_YEARS {
        doubts.push(LeadDoubt::Short);
    }
    doubts
}

/// The same as findings. A gauge beyond 100 km has a finding of its own (`gauge-far-away`).
pub(crate) fn findings(lead: &Candidate, years: usize, doubts: &[LeadDoubt]) -> Vec<Diagnostic> {
    let id = &lead.summary.station.id;
    let warning =
        |kind, message| Diagnostic::new(kind, Severity::Warning, message).done("it is used all the same: the report says so on page one");
    let finding = |doubt: &LeadDoubt| match doubt {
        LeadDoubt::Far => {
            let distance = lead.distance_km.filter(|distance| *distance <= FAR_KM)?;
            Some(warning(
                "gauge-far",
                format!("the leading gauge, {id}, is {distance:.1} km from the site; expected at most {FAR_FROM_SITE_KM} km"),
            ))
        }
        LeadDoubt::Height => {
            let apart = lead.height_difference_m?;
            let side = if apart < 0.0 { "below" } else { "above" };
            Some(warning(
                "gauge-height",
                format!("the leading gauge, {id}, stands {:.0} m {side} the site; expected at most {HEIGHT_APART_M} m", apart.abs()),
            ))
        }
        LeadDoubt::Short => Some(warning(
            "gauge-short",
            format!("the leading gauge, {id}, has {years} years that are whole enough; expected at least {SHORT_YEARS}"),
        )),
    };
    doubts.iter().filter_map(finding).collect()
}
