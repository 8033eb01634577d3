//! A roof face: its plan area, covering and losses, and what is published about coverings.
//!
//! Published ranges of the runoff coefficient: CHECKS C2. Where a range was read in a source its grade is
//! [`Evidence::Read`]; where it is recalled, [`Evidence::Memory`]; where nobody's figure stands behind it,
//! [`Evidence::CommonPractice`]. Default coefficient: the middle of the range, rounded down to a twentieth.
//! Default wetting losses: common practice, no source.

use crate::error::{SiteError, quantity, share};
use series::{Area, Depth};

/// What a roof is covered with. Each has a published range of runoff coefficients (CHECKS C2).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Covering {
    /// Corrugated or standing-seam metal.
    Metal,
    /// Clay or concrete tiles.
    Tile,
    /// Slate.
    Slate,
    /// Asphalt (bitumen) shingles.
    AsphaltShingle,
    /// A smooth flat membrane.
    FlatMembrane,
    /// A flat roof with gravel.
    FlatGravel,
    /// A planted roof.
    Green,
    /// Timber shakes or shingles.
    TimberShake,
    /// Asbestos cement.
    AsbestosCement,
    /// Anything else: the site file must give its own coefficient.
    Other,
}

/// What share of the rain a roof sheds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RunoffCoefficient {
    /// Of the rain that is left after the wetting loss, event by event; first flush and screen are charged on their own.
    Event(f64),
    /// Of the whole year's rain, every loss included: switches the other losses off (CHECKS H12).
    Annual(f64),
}

/// One roof face or one roof.
#[derive(Debug, Clone, PartialEq)]
pub struct Roof {
    /// As the owner calls it.
    pub name: String,
    /// Horizontal projection, never the sloping area.
    pub plan_area: Area,
    /// Its covering.
    pub covering: Covering,
    /// What share it sheds.
    pub runoff_coefficient: RunoffCoefficient,
    /// Depth that wets the covering on each day with rain and never runs off.
    pub wetting_loss: Depth,
}

/// How well a published figure is known to us.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Evidence {
    /// Seen in the source.
    Read,
    /// Recalled; the source was not seen.
    Memory,
    /// Usual in the trade; no source stands behind it.
    CommonPractice,
}

/// A range of runoff coefficients with its source.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct PublishedRange {
    /// Lower end, a share.
    pub low: f64,
    /// Upper end, a share.
    pub high: f64,
    /// Where the range comes from.
    pub source: &'static str,
    /// How well that is known.
    pub evidence: Evidence,
}

/// Where a share lies against a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AgainstRange {
    /// Below its lower end.
    Below,
    /// In it, ends included.
    Inside,
    /// Above its upper end.
    Above,
}

impl PublishedRange {
    /// Where a share lies against this range, ends included.
    pub fn place(&self, value: f64) -> AgainstRange {
        if value < self.low {
            AgainstRange::Below
        } else if value > self.high {
            AgainstRange::Above
        } else {
            AgainstRange::Inside
        }
    }
}

/// What in or on a roof can harm water or people (TRADE section 6, row 4; CHECKS G "roof materials").
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum MaterialConcern {
    /// Lead flashings or lead paint, found on many pitched roofs.
    Lead,
    /// Asbestos fibres.
    Asbestos,
    /// Preservative in treated timber.
    TreatedTimber,
    /// Bitumen or tar.
    Bitumen,
}

impl Covering {
    /// Every covering, in the order of the type.
    pub const ALL: [Self; 10] = [
        Self::Metal,
        Self::Tile,
        Self::Slate,
        Self::AsphaltShingle,
        Self::FlatMembrane,
        Self::FlatGravel,
        Self::Green,
        Self::TimberShake,
        Self::AsbestosCement,
        Self::Other,
    ];

    /// The range of its runoff coefficient, or nothing for [`Covering::Other`].
    pub fn published_range(self) -> Option<PublishedRange> {
        let (low, high, source, evidence) = match self {
            // CHECKS C2, READ S32.
            Self::Metal => (0.7, 0.9, "Rainwater Harvesting Trainers' Manual, chapter 3, catchments", Evidence::Read),
            Self::Tile => (0.8, 0.9, "Rainwater Harvesting Trainers' Manual, chapter 3, catchments", Evidence::Read),
            // CHECKS C2, MEMORY.
            Self::Slate => (0.75, 0.95, "BS 8515, pitched tiled roof", Evidence::Memory),
            Self::AsphaltShingle => (0.8, 0.9, "DIN 1989 (pitched hard roof, 0.8) to TWDB (asphalt shingle, 0.9)", Evidence::Memory),
            Self::FlatMembrane => (0.5, 0.8, "BS 8515 (flat smooth, 0.5) to DIN 1989 (flat without gravel, 0.8)", Evidence::Memory),
            Self::FlatGravel => (0.4, 0.85, "BS 8515 (flat with gravel, 0.4) to TWDB (tar and gravel, 0.85)", Evidence::Memory),
            Self::Green => (0.3, 0.5, "DIN 1989 (intensive, 0.3) to DIN 1989 (extensive, 0.5)", Evidence::Memory),
            // TRADE section 4: nothing published for these two was found; the range over all roofs stands in.
            Self::TimberShake | Self::AsbestosCement => {
                (0.6, 0.95, "range over all roof coverings; none found for this one", Evidence::CommonPractice)
            }
            Self::Other => return None,
        };
        Some(PublishedRange { low, high, source, evidence })
    }

    /// The event coefficient that is taken when the site file gives none: the middle of the published range, rounded down
    /// to a twentieth. Nothing for [`Covering::Other`], which needs its own.
    pub fn default_runoff_coefficient(self) -> Option<f64> {
        match self {
            Self::Metal => Some(0.8),
            Self::Tile | Self::Slate | Self::AsphaltShingle => Some(0.85),
            Self::FlatMembrane => Some(0.65),
            Self::FlatGravel => Some(0.6),
            Self::Green => Some(0.4),
            Self::TimberShake | Self::AsbestosCement => Some(0.75),
            Self::Other => None,
        }
    }

    /// The wetting loss that is taken when the site file gives none. Common practice, no source: 0.5 mm on hard pitched
    /// coverings and on anything else, 1 mm on a flat membrane and on timber, 2 mm on gravel, 5 mm on a planted roof.
    pub fn default_wetting_loss(self) -> Depth {
        Depth::new(match self {
            Self::Metal | Self::Tile | Self::Slate | Self::AsphaltShingle | Self::AsbestosCement | Self::Other => 0.5,
            Self::FlatMembrane | Self::TimberShake => 1.0,
            Self::FlatGravel => 2.0,
            Self::Green => 5.0,
        })
    }

    /// What to look out for on such a roof. Lead stands beside every pitched covering, for its flashings and paint.
    pub fn material_concerns(self) -> &'static [MaterialConcern] {
        match self {
            Self::Metal | Self::Tile | Self::Slate => &[MaterialConcern::Lead],
            Self::AsphaltShingle => &[MaterialConcern::Lead, MaterialConcern::Bitumen],
            Self::FlatMembrane | Self::FlatGravel => &[MaterialConcern::Bitumen],
            Self::Green => &[],
            Self::TimberShake => &[MaterialConcern::Lead, MaterialConcern::TreatedTimber],
            Self::AsbestosCement => &[MaterialConcern::Lead, MaterialConcern::Asbestos],
            Self::Other => &[MaterialConcern::Lead, MaterialConcern::Asbestos, MaterialConcern::TreatedTimber, MaterialConcern::Bitumen],
        }
    }
}

impl RunoffCoefficient {
    /// The share itself, event or annual.
    pub fn share(self) -> f64 {
        match self {
            Self::Event(share) | Self::Annual(share) => share,
        }
    }
}

impl Roof {
    /// Whether every number of it has a meaning.
    ///
    /// # Errors
    /// On a plan area or wetting loss below zero or not finite, and on a coefficient outside 0 to 1.
    pub fn check(&self) -> Result<(), SiteError> {
        quantity("roof plan area", self.plan_area.get())?;
        quantity("wetting loss", self.wetting_loss.get())?;
        share("runoff coefficient", self.runoff_coefficient.share())?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_that_were_read_are_those_of_the_source() {
        // CHECKS C2 (READ S32): roof tiles 0.8-0.9, corrugated metal 0.7-0.9.
        let range = |covering: Covering| covering.published_range().map(|r| (r.low, r.high, r.evidence));
        assert_eq!(range(Covering::Tile), Some((0.8, 0.9, Evidence::Read)));
        assert_eq!(range(Covering::Metal), Some((0.7, 0.9, Evidence::Read)));
        assert_eq!(range(Covering::Other), None);
    }

    #[test]
    fn every_default_lies_in_its_range_by_the_stated_rule() {
        // CHECKS C2: "defaults must lie inside".
        for covering in Covering::ALL {
            let (range, default) = (covering.published_range(), covering.default_runoff_coefficient());
            assert_eq!(range.is_some(), default.is_some(), "{covering:?}");
            if let (Some(range), Some(default)) = (range, default) {
                assert_eq!(range.place(default), AgainstRange::Inside, "{covering:?}");
                let middle = f64::midpoint(range.low, range.high);
                assert!(default <= middle + 1e-12 && middle - default < 0.05, "{covering:?}");
            }
            assert!(covering.default_wetting_loss().get() > 0.0);
        }
    }

    #[test]
    fn asbestos_timber_and_bitumen_are_named() {
        // CHECKS G "roof materials" (READ S76).
        assert!(Covering::AsbestosCement.material_concerns().contains(&MaterialConcern::Asbestos));
        assert!(Covering::TimberShake.material_concerns().contains(&MaterialConcern::TreatedTimber));
        assert!(Covering::AsphaltShingle.material_concerns().contains(&MaterialConcern::Bitumen));
        assert!(Covering::Tile.material_concerns().contains(&MaterialConcern::Lead));
    }

    #[test]
    fn a_roof_that_cannot_be_is_refused() {
        let roof = |area: f64, share: f64, wetting: f64| Roof {
            name: "shed".to_owned(),
            plan_area: Area::new(area),
            covering: Covering::Metal,
            runoff_coefficient: RunoffCoefficient::Event(share),
            wetting_loss: Depth::new(wetting),
        };
        assert!(roof(50.0, 0.85, 0.5).check().is_ok());
        for (area, share, wetting) in [(-1.0, 0.8, 0.5), (f64::NAN, 0.8, 0.5), (50.0, 1.01, 0.5), (50.0, f64::NAN, 0.5), (50.0, 0.8, -0.1)]
        {
            assert!(roof(area, share, wetting).check().is_err());
        }
    }
}
