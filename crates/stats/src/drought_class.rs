//! The seven classes of a standardised index, from extremely wet to extremely dry.
//!
//! 2 or more, 1.5, 1, above -1 (near normal), above -1.5, above -2, and -2 or less. If the index is normally distributed, 2.3 % of the months
//! lie beyond 2 on either side, 6.7 % beyond 1.5, 16 % beyond 1. Source: McKee, Doesken & Kleist (1993); CHECKS A3.5.

use serde::Serialize;

/// A class of the index.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DroughtClass {
    /// -2 or less.
    ExtremelyDry,
    /// Above -2 up to -1.5.
    SeverelyDry,
    /// Above -1.5 up to -1.
    ModeratelyDry,
    /// Between -1 and 1.
    NearNormal,
    /// 1 to below 1.5.
    ModeratelyWet,
    /// 1.5 to below 2.
    VeryWet,
    /// 2 or more.
    ExtremelyWet,
}

impl DroughtClass {
    /// The class of an index; nothing of one that is not finite.
    pub fn of(index: f64) -> Option<Self> {
        if !index.is_finite() {
            return None;
        }
        Some(match index {
            index if index >= 2.0 => Self::ExtremelyWet,
            index if index >= 1.5 => Self::VeryWet,
            index if index >= 1.0 => Self::ModeratelyWet,
            index if index > -1.0 => Self::NearNormal,
            index if index > -1.5 => Self::ModeratelyDry,
            index if index > -2.0 => Self::SeverelyDry,
            _ => Self::ExtremelyDry,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::normal::chance_below;

    #[test]
    fn the_classes_and_their_shares() {
        // CHECKS A3.5 (READ S9, S10).
        use DroughtClass::{ExtremelyDry, ExtremelyWet, ModeratelyDry, ModeratelyWet, NearNormal, SeverelyDry, VeryWet};
        for (index, class) in [
            (2.0, ExtremelyWet),
            (1.99, VeryWet),
            (1.5, VeryWet),
            (1.49, ModeratelyWet),
            (1.0, ModeratelyWet),
            (0.99, NearNormal),
            (-0.99, NearNormal),
            (-1.0, ModeratelyDry),
            (-1.49, ModeratelyDry),
            (-1.5, SeverelyDry),
            (-1.99, SeverelyDry),
            (-2.0, ExtremelyDry),
            (-3.0, ExtremelyDry),
        ] {
            assert_eq!(DroughtClass::of(index), Some(class), "{index}");
        }
        assert_eq!(DroughtClass::of(f64::NAN), None);
        for (beyond, percent) in [(2.0, 2.3), (1.5, 6.7), (1.0, 16.0)] {
            assert!((100.0 * chance_below(-beyond) - percent).abs() < 0.5, "{beyond}");
        }
    }
}
