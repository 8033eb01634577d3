//! The words of a report: names, reasons, cautions and labels, from `reports/feasibility/en/words.toml`, with the few that
//! differ in the United States laid over them.

use crate::Error;
use serde::Deserialize;
use series::Withheld;
use site::site_file::Locale;
use std::collections::BTreeMap;

const ENGLISH: &str = include_str!("../../../reports/feasibility/en/words.toml");
const UNITED_STATES: &str = include_str!("../../../reports/feasibility/en-US/words.toml");

/// Words by group and key.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub(crate) struct Words(BTreeMap<String, BTreeMap<String, String>>);

impl Words {
    pub(crate) fn load(locale: Locale) -> Result<Self, Error> {
        let read = |file, text| toml::from_str::<Self>(text).map_err(|error| Error::Wording { file, message: error.to_string() });
        let mut words = read("feasibility/en/words.toml", ENGLISH)?;
        if locale == Locale::EnUs {
            for (group, changes) in read("feasibility/en-US/words.toml", UNITED_STATES)?.0 {
                words.0.entry(group).or_default().extend(changes);
            }
        }
        Ok(words)
    }

    /// A word; the key itself, in brackets, where there is none, so that a hole is seen (a test looks for it).
    pub(crate) fn get(&self, group: &str, key: &str) -> String {
        self.0.get(group).and_then(|words| words.get(key)).cloned().unwrap_or_else(|| format!("[{group}.{key}]"))
    }

    /// A word with `{name}` replaced.
    pub(crate) fn with(&self, group: &str, key: &str, values: &[(&str, &str)]) -> String {
        values.iter().fold(self.get(group, key), |text, (name, value)| text.replace(&format!("{{{name}}}"), value))
    }

    /// Why a value is not given, in words.
    pub(crate) fn withheld(&self, why: &Withheld) -> String {
        let number = |n: &u32| n.to_string();
        match why {
            Withheld::TooFewYears { have, need } => {
                self.with("withheld", "too_few_years", &[("have", &number(have)), ("need", &number(need))])
            }
            Withheld::BeyondTheRecord { have, longest } => {
                self.with("withheld", "beyond_the_record", &[("have", &number(have)), ("longest", &number(longest))])
            }
            Withheld::NothingAccepted => self.get("withheld", "nothing_accepted"),
            Withheld::NoSolution => self.get("withheld", "no_solution"),
            Withheld::NoOfficialIntensity => self.get("withheld", "no_official_intensity"),
            Withheld::SnowUnknown => self.get("withheld", "snow_unknown"),
            Withheld::Resting => self.get("withheld", "resting"),
            Withheld::Never => self.get("withheld", "never"),
            Withheld::NotWithinAYear => self.get("withheld", "not_within_a_year"),
            Withheld::NoDemand => self.get("withheld", "no_demand"),
            Withheld::NotGiven { key } => self.with("withheld", "not_given", &[("key", key)]),
        }
    }
}
