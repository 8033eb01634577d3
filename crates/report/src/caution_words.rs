//! The cautions in words: title and text of each, by the key of its kind in the wording tables.

use crate::context::ContextMaker;
use minijinja::{Value, context};
use series::Unit;
use site::cautions::CautionReason;
use site::roof::MaterialConcern;
use site::{Caution, RaisedCaution};

impl ContextMaker<'_> {
    /// Those of page one, or all.
    pub(crate) fn cautions(&self, page_one: bool) -> Vec<Value> {
        let chosen = self.assessment.result.cautions.iter().filter(|raised| !page_one || raised.page_one);
        let texts = chosen.map(|raised| {
            let (title, text) = self.caution(raised);
            context! { title => title, text => text }
        });
        texts.collect()
    }

    fn caution(&self, raised: &RaisedCaution) -> (String, String) {
        let key = caution_key(raised.caution);
        let ratio = match raised.reason {
            CautionReason::HeightToWidth { ratio } => self.style.number(ratio, Unit::Ratio).digits,
            _ => String::new(),
        };
        let text = match raised.reason {
            CautionReason::Material { concern } => self.words.get("caution_text", &format!("{key}-{}", concern_key(concern))),
            _ => self.words.with("caution_text", key, &[("ratio", &ratio)]),
        };
        let text = match raised.reason {
            CautionReason::SiteFileSilent => [text, self.words.get("label", "silent")].join(" "),
            _ => text,
        };
        (self.words.get("caution_title", key), text)
    }
}

fn caution_key(caution: Caution) -> &'static str {
    match caution {
        Caution::OverflowNearBasement => "overflow-near-basement",
        Caution::OverflowOnSlope => "overflow-on-slope",
        Caution::OverflowAboveNeighbour => "overflow-above-neighbour",
        Caution::Overflow => "overflow",
        Caution::NotForDrinking => "not-for-drinking",
        Caution::CrossConnection => "cross-connection",
        Caution::TankWeight => "tank-weight",
        Caution::SlenderTank => "slender-tank",
        Caution::Children => "children",
        Caution::ConfinedSpace => "confined-space",
        Caution::SecondHandTank => "second-hand-tank",
        Caution::Light => "light",
        Caution::Mosquito => "mosquito",
        Caution::Frost => "frost",
        Caution::Electricity => "electricity",
        Caution::Heights => "heights",
        Caution::RoofMaterial => "roof-material",
        Caution::BuriedTank => "buried-tank",
        Caution::WellOrSeptic => "well-or-septic",
        Caution::WaterLaw => "water-law",
        Caution::Vegetables => "vegetables",
        Caution::Maintenance => "maintenance",
        Caution::PastRain => "past-rain",
        Caution::NotADesign => "not-a-design",
    }
}

fn concern_key(concern: MaterialConcern) -> &'static str {
    match concern {
        MaterialConcern::Lead => "lead",
        MaterialConcern::Asbestos => "asbestos",
        MaterialConcern::TreatedTimber => "treated_timber",
        MaterialConcern::Bitumen => "bitumen",
    }
}
