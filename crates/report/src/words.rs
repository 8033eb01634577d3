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
            words.refuse_other_foot(&own)?;
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

    /// The foot says what the paper is not, and whether its wording was changed: of all words these are not the maker's to choose.
    fn refuse_other_foot(&self, own: &Self) -> Result<(), Error> {
        let other = own.0.get("foot").and_then(|words| words.iter().find(|(key, word)| self.get("foot", key) != **word));
        let Some((key, _)) = other else { return Ok(()) };
        Err(Error::Stationery {
            file: "words.toml".to_owned(),
            line: None,
            found: format!("other words for foot.{key}"),
            expected: "the shipped ones: the foot of every sheet says what the paper is not".to_owned(),
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

    /// A word with `{name}` replaced. What is put in is never read again: a store may be called "{count}".
    pub(crate) fn with(&self, group: &str, key: &str, values: &[(&str, &str)]) -> String {
        let filled = |piece: Piece| match piece {
            Piece::Text(text) => text.to_owned(),
            Piece::Name(name) => {
                values.iter().find(|(known, _)| *known == name).map_or_else(|| format!("{{{name}}}"), |(_, value)| (*value).to_owned())
            }
        };
        pieces(&self.get(group, key)).into_iter().map(filled).collect()
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
            Withheld::ArealMean => self.get("withheld", "areal_mean"),
            Withheld::NoSolution => self.get("withheld", "no_solution"),
            Withheld::NoOfficialIntensity => self.get("withheld", "no_official_intensity"),
            Withheld::SnowUnknown => self.get("withheld", "snow_unknown"),
            Withheld::Resting => self.get("withheld", "resting"),
            Withheld::Never => self.get("withheld", "never"),
            Withheld::NotWithinAYear => self.get("withheld", "not_within_a_year"),
            Withheld::NoDemand => self.get("withheld", "no_demand"),
            Withheld::NoUsableDay => self.get("withheld", "no_usable_day"),
            Withheld::NoRain => self.get("withheld", "no_rain"),
            Withheld::NotGiven { key } => {
                // What a reader of the paper understands goes before the key's own name.
                let named = self.0.get("not_given").and_then(|words| words.get(&key.replace('.', "_")));
                named.cloned().unwrap_or_else(|| self.with("withheld", "not_given", &[("key", key)]))
            }
        }
    }
}

/// A part of a phrase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Piece<'a> {
    /// Words as they are.
    Text(&'a str),
    /// What stands between `{` and `}`.
    Name(&'a str),
}

/// The parts of a phrase in their order.
pub(crate) fn pieces(phrase: &str) -> Vec<Piece<'_>> {
    let mut found = Vec::new();
    let mut rest = phrase;
    while let Some((before, (name, after))) = rest.split_once('{').and_then(|(before, after)| Some((before, after.split_once('}')?))) {
        found.extend([Piece::Text(before), Piece::Name(name)]);
        rest = after;
    }
    found.push(Piece::Text(rest));
    found
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
    fn what_is_put_into_a_phrase_is_never_read_again() {
        let words = Words::load(Locale::EnGb, None).unwrap();
        let filled = words.with("drawing", "tanks", &[("name", "Gap {count} {height}"), ("count", "2")]);
        assert_eq!(filled, "Gap {count} {height} (2 tanks)");
        assert_eq!(pieces("a {b} c}{d"), [Piece::Text("a "), Piece::Name("b"), Piece::Text(" c}{d")]);
    }

    #[test]
    fn a_key_that_nothing_asks_for_is_refused_with_the_nearest() {
        let error = Words::load(Locale::EnGb, Some("[mont]\n7 = \"x\"\n")).unwrap_err().to_string();
        assert!(error.contains("mont.7") && error.contains("month.7"), "{error}");
        let error = Words::load(Locale::EnGb, Some("[month]\n7 = 3\n")).unwrap_err().to_string();
        assert!(error.contains("line 2"), "{error}");
    }
}
