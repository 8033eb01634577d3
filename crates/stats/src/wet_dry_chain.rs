//! Wet and dry days as a Markov chain of order one: a plain model to check dry spells against.
//!
//! p01 is the share of dry days (below 1.0 mm) that a wet day follows, p11 that of wet days. Only pairs of days that both have a depth of their own
//! count. If a day depended on the one before it alone: share of wet days = p01 / (1 + p01 - p11); mean dry spell = 1 / p01 days, mean wet
//! spell = 1 / (1 - p11) days; chance that a spell that began lasts at least L days = (1 - p01)^(L - 1). Real dry seasons outlast this
//! model: where the catalogue holds more long spells than it says, the spells stand and the model does not.
//!
//! Source: Gabriel & Neumann (1962), Quarterly Journal of the Royal Meteorological Society 88, 90-95; CHECKS A6.

use serde::Serialize;
use series::{DailySeries, Withheld, math};

/// A fitted chain.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct WetDryChain {
    /// Pairs of days of which the first was dry.
    pub after_dry: usize,
    /// Pairs of days of which the first was wet.
    pub after_wet: usize,
    /// p01, above 0 and up to 1.
    pub wet_after_dry: f64,
    /// p11, 0 to below 1.
    pub wet_after_wet: f64,
}

impl WetDryChain {
    /// The chain of a record.
    ///
    /// # Errors
    /// [`Withheld::NoUsableDay`] without two usable days in a row; [`Withheld::NoRain`] when no wet day follows or precedes another;
    /// [`Withheld::NoSolution`] when the days never change from dry to wet, or never from wet to dry.
    pub fn of(series: &DailySeries) -> Result<Self, Withheld> {
        // By whether the day before and the day itself are wet.
        let mut pairs = [[0_usize; 2]; 2];
        for two in series.readings().windows(2) {
            if let (Some(before), Some(after)) = (two[0].is_wet(), two[1].is_wet()) {
                pairs[usize::from(before)][usize::from(after)] += 1;
            }
        }
        let [[dry_dry, dry_wet], [wet_dry, wet_wet]] = pairs;
        let (after_dry, after_wet) = (dry_dry + dry_wet, wet_dry + wet_wet);
        if after_dry + after_wet == 0 {
            Err(Withheld::NoUsableDay)
        } else if dry_wet + wet_dry + wet_wet == 0 {
            Err(Withheld::NoRain)
        } else if dry_wet == 0 || wet_dry == 0 {
            Err(Withheld::NoSolution)
        } else {
            let (wet_after_dry, wet_after_wet) = (dry_wet as f64 / after_dry as f64, wet_wet as f64 / after_wet as f64);
            Ok(Self { after_dry, after_wet, wet_after_dry, wet_after_wet })
        }
    }

    /// The share of wet days that the chain settles at, 0 to 1.
    pub fn share_of_wet_days(&self) -> f64 {
        self.wet_after_dry / (1.0 + self.wet_after_dry - self.wet_after_wet)
    }

    /// Mean length of a dry spell, days.
    pub fn mean_dry_spell(&self) -> f64 {
        1.0 / self.wet_after_dry
    }

    /// Mean length of a wet spell, days.
    pub fn mean_wet_spell(&self) -> f64 {
        1.0 / (1.0 - self.wet_after_wet)
    }

    /// Chance that a dry spell which began lasts at least so many days; 1 for a day or none.
    pub fn dry_spell_reaches(&self, days: u32) -> f64 {
        math::pow(1.0 - self.wet_after_dry, f64::from(days.saturating_sub(1)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{DrySpellRule, dry_spells};
    use series::{Day, Reading, Station};

    #[test]
    fn fort_collins() {
        // CHECKS A6.4 (COMPUTED): p01, p11, share of wet days; A6.5: mean dry spell 8.5509 by the chain, 8.5489 observed, P(L >= 14) 0.1985332.
        let Some(rain) = crate::test_records::fort_collins() else { return };
        let found = WetDryChain::of(&rain).unwrap();
        assert!((found.wet_after_dry - 0.116_946_189_2).abs() < 0.5e-10 && (found.wet_after_wet - 0.359_233_634_9).abs() < 0.5e-10);
        assert!((found.share_of_wet_days() - 0.154_341_100_1).abs() < 0.5e-10);
        assert!((found.mean_dry_spell() - 8.5509).abs() < 0.5e-4);
        assert!((found.dry_spell_reaches(14) - 0.198_533_2).abs() < 0.5e-7);
        let spells = dry_spells(&rain, DrySpellRule::default()).spells;
        let observed = spells.iter().map(|spell| f64::from(spell.days)).sum::<f64>() / spells.len() as f64;
        assert!((observed - 8.5489).abs() < 0.5e-4);
    }

    #[test]
    fn pairs_by_hand_and_records_without_a_chain() {
        let of = |text: &str| {
            let readings = text
                .chars()
                .map(|c| match c {
                    'w' => Reading::measured(1000),
                    'd' => Reading::measured(999),
                    _ => Reading::MISSING,
                })
                .collect();
            WetDryChain::of(&DailySeries::new(Station::default(), Day::first_of_year(2001), readings))
        };
        // Pairs: dd dw ww wd, then nothing over the gap, then dw.
        let found = of("ddwwd?dw").unwrap();
        assert_eq!((found.after_dry, found.after_wet, found.wet_after_dry, found.wet_after_wet), (3, 2, 2.0 / 3.0, 0.5));
        assert_eq!((found.mean_wet_spell(), found.dry_spell_reaches(0), found.dry_spell_reaches(1)), (2.0, 1.0, 1.0));
        assert_eq!((of(""), of("d?w?d"), of("dddd")), (Err(Withheld::NoUsableDay), Err(Withheld::NoUsableDay), Err(Withheld::NoRain)));
        assert_eq!((of("wwww"), of("dddw")), (Err(Withheld::NoSolution), Err(Withheld::NoSolution)));
    }
}
