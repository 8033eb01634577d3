//! One section of a site file and the typed reading of its keys: every fault goes to the findings, and reading goes on.
//!
//! A reader of a key gives `None` both when the key is missing and when its value could not be used; in the second case an
//! error has been found, so that the file as a whole is refused.

use super::findings::{Findings, nearest, quoted};
use super::model::Typed;
use super::schema::{keys_of, sections_with};
use series::{Day, Quantity};
use std::collections::BTreeSet;
use std::ops::{Range, RangeInclusive};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A TOML value with its place.
pub(super) type Value<'a> = Spanned<DeValue<'a>>;

/// Longest text, in characters.
pub(super) const LONGEST_TEXT: usize = 200;

/// Greatest number of a quantity in its stored unit: products of a few such numbers stay finite.
const GREATEST: f64 = 1e12;

/// A table of the file.
pub(super) struct Section<'a> {
    entries: Option<&'a DeTable<'a>>,
    /// `roof[2]` for the second `[[roof]]`.
    path: String,
    /// The header, where missing keys are reported.
    span: Range<usize>,
}

impl<'a> Section<'a> {
    /// A section that stands in the file. Its unknown keys are reported here.
    pub(super) fn new(findings: &mut Findings, name: &str, number: Option<usize>, table: &'a DeTable<'a>, span: Range<usize>) -> Self {
        let path = number.map_or_else(|| name.to_owned(), |number| format!("{name}[{number}]"));
        let header = if number.is_some() { format!("[[{name}]]") } else { format!("[{name}]") };
        for key in table.keys() {
            if !keys_of(name).contains(&key.get_ref().as_ref()) {
                unknown_key(findings, key.get_ref(), &key.span(), &header, keys_of(name));
            }
        }
        Self { entries: Some(table), path, span }
    }

    /// A section that the file does not have: every key is missing.
    pub(super) fn absent(name: &str) -> Self {
        Self { entries: None, path: name.to_owned(), span: 0..0 }
    }

    pub(super) fn is_absent(&self) -> bool {
        self.entries.is_none()
    }

    pub(super) fn span(&self) -> &Range<usize> {
        &self.span
    }

    /// The full name of a key, such as `roof[2].plan_area`.
    pub(super) fn path_of(&self, key: &str) -> String {
        format!("{}.{key}", self.path)
    }

    pub(super) fn has(&self, key: &str) -> bool {
        self.get(key).is_some()
    }

    pub(super) fn get(&self, key: &str) -> Option<&'a Value<'a>> {
        self.entries?.get(key)
    }

    /// The value's place, or the header's when the key is missing.
    pub(super) fn span_of(&self, key: &str) -> Range<usize> {
        self.get(key).map_or_else(|| self.span.clone(), Spanned::span)
    }

    /// The key's own place, for a fault that is about the key and not about its value.
    pub(super) fn span_of_key(&self, key: &str) -> Range<usize> {
        self.entries.and_then(|table| table.get_key_value(key)).map_or_else(|| self.span.clone(), |(key, _)| key.span())
    }

    /// Reports a key that must be there.
    pub(super) fn require(&self, findings: &mut Findings, key: &str, expected: &str) {
        // Of a missing section the section itself is reported.
        if !self.is_absent() && !self.has(key) {
            findings.error("key-missing", &self.span, format!("{} is missing; expected {expected}", self.path_of(key)));
        }
    }

    /// Reports a value of another kind than expected.
    pub(super) fn wrong_type(&self, findings: &mut Findings, key: &str, value: &Value, expected: &str) {
        let message = format!("{}: found {}, expected {expected}", self.path_of(key), described(findings, value));
        findings.error("value-wrong-type", &value.span(), message);
    }

    /// A text: 1 to [`LONGEST_TEXT`] characters, none of them invisible.
    pub(super) fn text(&self, findings: &mut Findings, key: &str) -> Option<Typed<String>> {
        self.text_of(findings, key, self.get(key)?)
    }

    /// A text in a list or under a key.
    pub(super) fn text_of(&self, findings: &mut Findings, key: &str, value: &Value) -> Option<Typed<String>> {
        let DeValue::String(text) = value.get_ref() else {
            self.wrong_type(findings, key, value, "a text in quotes");
            return None;
        };
        if findings.is_unquoted(&value.span()) {
            let found = quoted(findings.slice(&value.span()));
            let message = format!("not TOML: {}: found {found} without quotes, expected it in quotes", self.path_of(key));
            findings.error("toml-syntax", &value.span(), message);
            return None;
        }
        let fault = if text.trim().is_empty() {
            Some("an empty text".to_owned())
        } else if text.chars().nth(LONGEST_TEXT).is_some() {
            Some(format!("a text of {} characters", text.chars().count()))
        } else {
            text.chars().find(|&c| is_unprintable(c)).map(|c| format!("the invisible character U+{:04X}", u32::from(c)))
        };
        if let Some(found) = fault {
            let expected = format!("1 to {LONGEST_TEXT} printable characters on one line");
            findings.error("text-unusable", &value.span(), format!("{}: found {found}, expected {expected}", self.path_of(key)));
            return None;
        }
        let (line, column) = findings.place(value.span().start);
        let text = text.trim().to_owned();
        Some(Typed { value: text.clone(), text, line, column })
    }

    /// A quantity in quotes with its unit.
    pub(super) fn quantity<Q: Quantity>(&self, findings: &mut Findings, key: &str) -> Option<Typed<Q>> {
        self.quantity_of(findings, key, self.get(key)?)
    }

    /// A quantity in a list or under a key.
    pub(super) fn quantity_of<Q: Quantity>(&self, findings: &mut Findings, key: &str, value: &Value) -> Option<Typed<Q>> {
        let typed = match value.get_ref() {
            DeValue::String(_) => self.text_of(findings, key, value)?,
            // A bare number lacks its unit, and the quantity's own error says so.
            DeValue::Integer(_) | DeValue::Float(_) => {
                let text = quoted(findings.slice(&value.span()));
                Typed { value: text.clone(), text, line: 0, column: 0 }
            }
            _ => {
                self.wrong_type(findings, key, value, &format!("{} in quotes, such as {:?}", Q::NAME, Q::EXAMPLE));
                return None;
            }
        };
        match Q::parse(&typed.value) {
            Ok(quantity) if quantity.value().abs() <= GREATEST => {
                Some(Typed { value: quantity, text: typed.text, line: typed.line, column: typed.column })
            }
            Ok(_) => {
                self.out_of_range(findings, key, &value.span(), &typed.text, "a number of a size that can be reckoned with");
                None
            }
            Err(error) => {
                findings.error("quantity-unreadable", &value.span(), format!("{}: {error}", self.path_of(key)));
                None
            }
        }
    }

    /// A quantity above zero, or of zero too.
    fn checked<Q: Quantity>(&self, findings: &mut Findings, key: &str, zero: bool) -> Option<Typed<Q>> {
        let typed = self.quantity::<Q>(findings, key)?;
        let number = typed.value.value();
        if number > 0.0 || (zero && number == 0.0) {
            return Some(typed);
        }
        let expected = format!("{} {}", Q::NAME, if zero { "of zero or more" } else { "above zero" });
        self.out_of_range(findings, key, &self.span_of(key), &typed.text, &expected);
        None
    }

    /// A quantity above zero.
    pub(super) fn above_zero<Q: Quantity>(&self, findings: &mut Findings, key: &str) -> Option<Typed<Q>> {
        self.checked(findings, key, false)
    }

    /// A quantity of zero or more.
    pub(super) fn zero_or_more<Q: Quantity>(&self, findings: &mut Findings, key: &str) -> Option<Typed<Q>> {
        self.checked(findings, key, true)
    }

    /// Reports a value outside what it can be.
    pub(super) fn out_of_range(&self, findings: &mut Findings, key: &str, span: &Range<usize>, found: &str, expected: &str) {
        let message = format!("{}: found {}, expected {expected}", self.path_of(key), quoted(found));
        findings.error("value-out-of-range", span, message);
    }

    /// Warns of a value that is hardly meant.
    pub(super) fn unlikely(&self, findings: &mut Findings, key: &str, why: &str) {
        let found = quoted(findings.slice(&self.span_of(key)));
        findings.warning("value-unlikely", &self.span_of(key), format!("{}: found {found}; {why}", self.path_of(key)));
    }

    /// A number without quotes.
    pub(super) fn number(&self, findings: &mut Findings, key: &str, expected: &str) -> Option<f64> {
        let value = self.get(key)?;
        let number = match value.get_ref() {
            DeValue::Integer(_) | DeValue::Float(_) => number_of(value.get_ref()),
            _ => {
                self.wrong_type(findings, key, value, &format!("{expected}, without quotes"));
                return None;
            }
        };
        if number.is_none() {
            let found = findings.slice(&value.span());
            self.out_of_range(findings, key, &value.span(), found, expected);
        }
        number
    }

    /// A number within bounds.
    pub(super) fn number_in(&self, findings: &mut Findings, key: &str, range: RangeInclusive<f64>, expected: &str) -> Option<f64> {
        let number = self.number(findings, key, expected)?;
        if range.contains(&number) {
            return Some(number);
        }
        let span = self.span_of(key);
        let found = findings.slice(&span);
        self.out_of_range(findings, key, &span, found, expected);
        None
    }

    /// A share, 0 to 1. A share written in percent is told how to be written.
    pub(super) fn share(&self, findings: &mut Findings, key: &str) -> Option<f64> {
        let share = self.number(findings, key, "a share from 0 to 1")?;
        if (0.0..=1.0).contains(&share) {
            return Some(share);
        }
        let span = self.span_of(key);
        let found = findings.slice(&span);
        let hint = if share > 1.0 && share <= 100.0 { format!("; if it is a percentage, write {}", share / 100.0) } else { String::new() };
        self.out_of_range(findings, key, &span, found, &format!("a share from 0 to 1{hint}"));
        None
    }

    /// A whole number within bounds.
    pub(super) fn integer(&self, findings: &mut Findings, key: &str, range: RangeInclusive<i64>) -> Option<i64> {
        let value = self.get(key)?;
        let expected = format!("a whole number from {} to {}", range.start(), range.end());
        let DeValue::Integer(integer) = value.get_ref() else {
            self.wrong_type(findings, key, value, &format!("{expected}, without quotes"));
            return None;
        };
        let number = i64::from_str_radix(integer.as_str(), integer.radix()).ok().filter(|number| range.contains(number));
        if number.is_none() {
            let found = findings.slice(&value.span());
            self.out_of_range(findings, key, &value.span(), found, &expected);
        }
        number
    }

    /// `true` or `false`.
    pub(super) fn flag(&self, findings: &mut Findings, key: &str) -> Option<bool> {
        let value = self.get(key)?;
        if let DeValue::Boolean(flag) = value.get_ref() {
            return Some(*flag);
        }
        self.wrong_type(findings, key, value, "true or false, without quotes");
        None
    }

    /// A calendar day, with quotes or without.
    pub(super) fn date(&self, findings: &mut Findings, key: &str) -> Option<Day> {
        let value = self.get(key)?;
        let text = match value.get_ref() {
            DeValue::Datetime(_) => findings.slice(&value.span()).to_owned(),
            DeValue::String(_) => self.text_of(findings, key, value)?.value,
            _ => {
                self.wrong_type(findings, key, value, "a calendar day, such as 2024-06-30");
                return None;
            }
        };
        match text.parse() {
            Ok(day) => Some(day),
            Err(error) => {
                findings.error("date-unreadable", &value.span(), format!("{}: {error}", self.path_of(key)));
                None
            }
        }
    }

    /// One of a few words.
    pub(super) fn choice<T: Copy>(&self, findings: &mut Findings, key: &str, words: &[(&'static str, T)]) -> Option<T> {
        let value = self.get(key)?;
        self.choice_of(findings, key, value, words)
    }

    /// One of a few words, in a list or under a key.
    pub(super) fn choice_of<T: Copy>(&self, findings: &mut Findings, key: &str, value: &Value, words: &[(&'static str, T)]) -> Option<T> {
        let text = self.text_of(findings, key, value)?.value;
        if let Some((_, chosen)) = words.iter().find(|(word, _)| word.eq_ignore_ascii_case(&text)) {
            return Some(*chosen);
        }
        let all = words.iter().map(|(word, _)| format!("\"{word}\"")).collect::<Vec<_>>().join(", ");
        let hint =
            nearest(&text, words.iter().map(|(word, _)| *word)).map_or_else(String::new, |near| format!("; did you mean \"{near}\"?"));
        let message = format!("{}: found \"{}\", expected one of {all}{hint}", self.path_of(key), quoted(&text));
        findings.error("choice-unknown", &value.span(), message);
        None
    }

    /// A list of at most so many values.
    pub(super) fn list(&self, findings: &mut Findings, key: &str, most: usize, expected: &str) -> Option<&'a [Value<'a>]> {
        let value = self.get(key)?;
        let DeValue::Array(list) = value.get_ref() else {
            self.wrong_type(findings, key, value, expected);
            return None;
        };
        if list.is_empty() || list.len() > most {
            let message = format!("{}: found a list of {}, expected {expected}", self.path_of(key), list.len());
            findings.error("value-out-of-range", &value.span(), message);
            return None;
        }
        Some(list)
    }

    /// Reports two or more keys that say the same thing, at the later of them.
    pub(super) fn contradiction(&self, findings: &mut Findings, keys: &[&str], instead: &str) {
        let Some(last) = keys.iter().filter(|key| self.has(key)).map(|key| self.span_of_key(key)).max_by_key(|span| span.start) else {
            return;
        };
        let given: Vec<&str> = keys.iter().copied().filter(|key| self.has(key)).collect();
        findings.error("keys-contradict", &last, format!("{}: found {} together; {instead}", self.path, given.join(" and ")));
    }
}

/// Reports an unknown key, and what may be meant.
pub(super) fn unknown_key(findings: &mut Findings, key: &str, span: &Range<usize>, section: &str, known: &[&'static str]) {
    let elsewhere = sections_with(key);
    let hint = if let Some(near) = nearest(key, known.iter().copied()) {
        format!("did you mean {near:?}?")
    } else if elsewhere.is_empty() {
        format!("expected one of {}", known.join(", "))
    } else {
        format!("it belongs in {}", elsewhere.join(" or "))
    };
    findings.error("key-unknown", span, format!("{section}: found the unknown key \"{}\"; {hint}", quoted(key)));
}

/// Reports names that stand twice, because a page could not tell the two apart.
pub(super) fn unlike_names<'n>(findings: &mut Findings, names: impl IntoIterator<Item = (&'n str, Range<usize>)>) {
    let mut seen = BTreeSet::new();
    for (name, span) in names {
        if !seen.insert(name.to_lowercase()) {
            findings.error(
                "name-repeated",
                &span,
                format!("found the name \"{}\" a second time; expected a name of its own", quoted(name)),
            );
        }
    }
}

fn is_unprintable(c: char) -> bool {
    // Control characters, marks that turn the direction of writing, and the private-use area.
    c.is_control()
        || matches!(c, '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}' | '\u{E000}'..='\u{F8FF}')
}

/// A finite number.
fn number_of(value: &DeValue) -> Option<f64> {
    match value {
        DeValue::Integer(integer) => i64::from_str_radix(integer.as_str(), integer.radix()).ok().map(|number| number as f64),
        DeValue::Float(float) => float.as_str().parse::<f64>().ok().filter(|number| number.is_finite()),
        _ => None,
    }
}

/// A value in words, for a message.
pub(super) fn described(findings: &Findings, value: &Value) -> String {
    let text = || quoted(findings.slice(&value.span()));
    match value.get_ref() {
        DeValue::String(_) => format!("the text {}", text()),
        DeValue::Integer(_) | DeValue::Float(_) => format!("the number {}", text()),
        DeValue::Boolean(_) => text(),
        DeValue::Datetime(_) => format!("the date or time {}", text()),
        DeValue::Array(list) => format!("a list of {}", list.len()),
        DeValue::Table(_) => "a table".to_owned(),
    }
}
