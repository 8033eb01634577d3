//! Values that were written without the quotes they need, such as `top_up = yes` or `plan_area = 64 m2`.
//!
//! TOML cannot read on behind such a value, so that it would hide every other fault of the file. A copy of the text with the value in quotes, as
//! long as before so that every place stays where it was, is read instead; the value itself is reported by whoever reads its key. The
//! file is refused either way.

use super::findings::Findings;
use std::ops::Range;
use toml::de::{DeTable, Error};

/// Rounds of putting values in quotes: a fault may hide another.
const ROUNDS: usize = 5;

/// The text with every such value in quotes, and their places; nothing where there are none.
pub(super) fn in_quotes(text: &str, findings: &Findings) -> Option<(String, Vec<Range<usize>>)> {
    if text.len() > super::LARGEST {
        return None;
    }
    let mut patched = text.to_owned();
    let mut places: Vec<Range<usize>> = Vec::new();
    for _ in 0..ROUNDS {
        let (_, faults) = DeTable::parse_recoverable(&patched);
        let found: Vec<Range<usize>> = faults.iter().filter_map(|fault| value_of_line(&patched, fault, findings)).collect();
        if found.is_empty() {
            break;
        }
        for place in found {
            if !places.contains(&place) {
                let quoted = format!("\"{}\"", "x".repeat(place.len() - 2));
                patched.replace_range(place.clone(), &quoted);
                places.push(place);
            }
        }
    }
    (!places.is_empty()).then_some((patched, places))
}

/// Where the value of the faulty line stands, if the line is `key = value` with a value that is plain words.
fn value_of_line(text: &str, fault: &Error, findings: &Findings) -> Option<Range<usize>> {
    let line = findings.line_at(fault.span()?.start);
    let shown = text.get(line.clone())?;
    let (key, rest) = shown.split_once('=')?;
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
    if key.trim().is_empty() || !key.trim().chars().all(plain) {
        return None;
    }
    let value = rest.split('#').next().unwrap_or_default();
    let trimmed = value.trim();
    let marks = |c: char| c.is_control() || matches!(c, '"' | '\'' | '[' | ']' | '{' | '}' | '=');
    if trimmed.len() < 2 || trimmed.contains(marks) {
        return None;
    }
    let start = line.start + key.len() + 1 + (value.len() - value.trim_start().len());
    Some(start..start + trimmed.len())
}
