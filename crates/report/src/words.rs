//! The words of a report: names, reasons, cautions and labels, from `reports/feasibility/en/words.toml`, with the few that
//! differ in the United States laid over them.

use crate::Error;
use serde::{Deserialize, Serialize};
use series::Withheld;
use site::site_file::Locale;
use std::collections::BTreeMap;

const ENGLISH: &str = include_str!("../../../reports/feasibility/en/words.toml");
const UNITED_STATES: &str = include_str!("../../../reports/feasibility/en-US/words.toml");

/// Words by group and key.
#[derive(Debug, Clone, Deserialize, Serialize)]
#[serde(transparent)]
pub(crate) struct Words(BTreeMap<String, BTreeMap<String, String>>);

impl Words {
    /// The words of a locale, with those of a file of one's own laid over them.
    pub(crate) fn load(locale: Locale, own: Option<&str>) -> Result<Self, Error> {
        let read = |file: &str, text| toml::from_str::<Self>(text).map_err(|error| wording(file, &error));
        let mut words = read("feasibility/en/words.toml", ENGLISH)?;
        if locale == Locale::EnUs {
            words.lay_over(read("feasibility/en-US/words.toml", UNITED_STATES)?);
        }
        if let Some(own) = own {
            let own = read("words.toml", own)?;
            words.refuse_unknown(&own)?;
            words.lay_over(own);
        }
        Ok(words)
    }

    fn lay_over(&mut self, over: Self) {
        for (group, changes) in over.0 {
            self.0.entry(group).or_default().extend(changes);
        }
    }

    /// A word under a key that nothing asks for would never be printed: a slip of the pen.
    fn refuse_unknown(&self, own: &Self) -> Result<(), Error> {
        let known = |group: &str, key: &str| self.0.get(group).is_some_and(|words| words.contains_key(key));
        let unknown =
            own.0.iter().flat_map(|(group, words)| words.keys().map(move |key| (group, key))).find(|(group, key)| !known(group, key));
        let Some((group, key)) = unknown else { return Ok(()) };
        let wanted = format!("{group}.{key}");
        let all = self.0.iter().flat_map(|(group, words)| words.keys().map(move |key| format!("{group}.{key}")));
        let near = all.max_by(|a, b| strsim::jaro_winkler(&wanted, a).total_cmp(&strsim::jaro_winkler(&wanted, b)));
        Err(Error::Stationery {
            file: "words.toml".to_owned(),
            line: None,
            found: format!("the key {wanted}"),
            expected: near.map(|near| format!("a key that the report has; the nearest is {near}")).unwrap_or_default(),
        })
    }

    /// The words as the text of a file.
    pub(crate) fn to_toml(&self) -> Result<String, Error> {
        toml::to_string(self).map_err(|error| Error::Wording { file: "words.toml".to_owned(), message: error.to_string() })
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

fn wording(file: &str, error: &toml::de::Error) -> Error {
    Error::Wording { file: file.to_owned(), message: error.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_ones_own_lie_over_those_of_the_locale() {
        let words = Words::load(Locale::EnUs, Some("[month]\n7 = \"Hay month\"\n")).unwrap();
        assert_eq!(words.get("month", "7"), "Hay month");
        assert_eq!(words.get("month", "8"), "August");
    }

    #[test]
    fn a_key_that_nothing_asks_for_is_refused_with_the_nearest() {
        let error = Words::load(Locale::EnGb, Some("[mont]\n7 = \"x\"\n")).unwrap_err().to_string();
        assert!(error.contains("mont.7") && error.contains("month.7"), "{error}");
        let error = Words::load(Locale::EnGb, Some("[month]\n7 = 3\n")).unwrap_err().to_string();
        assert!(error.contains("line 2"), "{error}");
    }
}
