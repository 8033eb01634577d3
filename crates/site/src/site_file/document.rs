//! The whole file as a tree with places, and its sections.

use super::findings::{Findings, nearest, quoted};
use super::schema::{SECTIONS, TOP, keys_of, sections_with};
use super::section::{Section, described};
use super::{FORMAT, LARGEST, MOST_SECTIONS};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Parses the TOML. Its faults are reported one a line, and then there is no tree.
pub(super) fn tree<'a>(text: &'a str, findings: &mut Findings) -> Option<Spanned<DeTable<'a>>> {
    if text.len() > LARGEST {
        let message = format!("found {} bytes, expected a site file of at most {LARGEST}", text.len());
        findings.error("site-file-too-large", &(0..0), message);
        return None;
    }
    let (tree, faults) = DeTable::parse_recoverable(text);
    if faults.is_empty() {
        return Some(tree);
    }
    let mut last = 0;
    for fault in faults {
        let span = fault.span().unwrap_or(0..0);
        let (line, _) = findings.place(span.start);
        if line != last {
            let message = format!("not TOML: {}", quoted(fault.message()));
            findings.error("toml-syntax", &span, message);
            last = line;
        }
    }
    None
}

/// The tree's top.
pub(super) struct Document<'a> {
    top: &'a DeTable<'a>,
}

impl<'a> Document<'a> {
    /// The document; unknown sections and stray keys are reported here.
    pub(super) fn new(top: &'a DeTable<'a>, findings: &mut Findings) -> Self {
        for (key, value) in top {
            let name = key.get_ref().as_ref();
            if TOP.contains(&name) || SECTIONS.iter().any(|section| section.name == name) {
                continue;
            }
            let table = value.get_ref().is_table()
                || matches!(value.get_ref(), DeValue::Array(list) if list.iter().any(|one| one.get_ref().is_table()));
            let known = SECTIONS.iter().map(|section| section.name);
            let elsewhere = sections_with(name);
            let (what, hint) = if table {
                let near = nearest(name, known.clone());
                let hint = near.map_or_else(
                    || format!("expected one of {}", known.collect::<Vec<_>>().join(", ")),
                    |near| format!("did you mean {near:?}?"),
                );
                ("section", hint)
            } else if !elsewhere.is_empty() {
                ("key", format!("it belongs in {}", elsewhere.join(" or ")))
            } else {
                let near = nearest(name, TOP.iter().copied());
                (
                    "key",
                    near.map_or_else(
                        || "expected only format before the first section".to_owned(),
                        |near| format!("did you mean {near:?}?"),
                    ),
                )
            };
            findings.error("key-unknown", &key.span(), format!("found the unknown {what} \"{}\"; {hint}", quoted(name)));
        }
        Self { top }
    }

    /// `format`, the version that the file is written in.
    pub(super) fn format(&self, findings: &mut Findings) -> Option<u32> {
        let expected = format!("format = {FORMAT} before the first section");
        let Some(value) = self.top.get("format") else {
            findings.error("key-missing", &(0..0), format!("format is missing; expected {expected}"));
            return None;
        };
        let known =
            matches!(value.get_ref(), DeValue::Integer(integer) if u32::from_str_radix(integer.as_str(), integer.radix()) == Ok(FORMAT));
        if known {
            return Some(FORMAT);
        }
        let message = format!("format: found {}, expected {expected}: this program reads no other", described(findings, value));
        findings.error("format-unknown", &value.span(), message);
        None
    }

    /// A section that stands at most once.
    pub(super) fn once(&self, name: &str, required: bool, findings: &mut Findings) -> Section<'a> {
        let Some((key, value)) = self.top.get_key_value(name) else {
            if required {
                let keys = keys_of(name).join(", ");
                findings.error("section-missing", &(0..0), format!("[{name}] is missing; expected a section with {keys}"));
            }
            return Section::absent(name);
        };
        if let DeValue::Table(table) = value.get_ref() {
            return Section::new(findings, name, None, table, value.span());
        }
        let message = format!("{name}: found {}, expected a section [{name}]", described(findings, value));
        findings.error("value-wrong-type", &key.span(), message);
        Section::absent(name)
    }

    /// A section that may stand several times.
    pub(super) fn each(&self, name: &str, required: bool, findings: &mut Findings) -> Vec<Section<'a>> {
        let Some((key, value)) = self.top.get_key_value(name) else {
            if required {
                let keys = keys_of(name).join(", ");
                findings.error("section-missing", &(0..0), format!("[[{name}]] is missing; expected at least one, with {keys}"));
            }
            return Vec::new();
        };
        let list = match value.get_ref() {
            DeValue::Array(list) if !list.is_empty() => list,
            _ => {
                let message = format!(
                    "{name}: found {}, expected a section [[{name}]] in double brackets, because there may be several",
                    described(findings, value)
                );
                findings.error("value-wrong-type", &key.span(), message);
                return Vec::new();
            }
        };
        if list.len() > MOST_SECTIONS {
            let message = format!("found {} sections [[{name}]], expected at most {MOST_SECTIONS}", list.len());
            findings.error("sections-too-many", &key.span(), message);
        }
        let mut sections = Vec::new();
        for (at, one) in list.iter().enumerate().take(MOST_SECTIONS) {
            if let DeValue::Table(table) = one.get_ref() {
                sections.push(Section::new(findings, name, Some(at + 1), table, one.span()));
            } else {
                let message = format!("{name}: found {}, expected a section [[{name}]]", described(findings, one));
                findings.error("value-wrong-type", &one.span(), message);
            }
        }
        sections
    }
}
