//! Diagnostics as a terminal shows them: the line, the place underlined, notes and what was done.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use series::{Diagnostic, Diagnostics, Severity};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Columns of a note's lines: a terminal's 80 less the margin and the word before them.
const NOTE_WIDTH: usize = 70;

/// How many of one kind are shown whole before the rest is only counted.
const SHOWN: usize = 5;

/// The list in short: the first few warnings and errors of a kind, notes by their first, those of a record by their number alone. For commands whose subject is not
/// the record itself.
pub(crate) fn brief(diagnostics: &Diagnostics) -> String {
    let of_a_record = |first: &Diagnostic| first.severity == Severity::Note && first.file.to_lowercase().ends_with(".dly");
    in_order(diagnostics, |first, count| of_a_record(first).then(|| format!("note[{}]: {count} in {}\n", first.id, first.file)))
}

/// Every kind's first few findings whole and the rest as a count, in the order in which they were found: of one file the order of its lines.
/// A kind for which `instead` has a text is told by that alone.
fn in_order(diagnostics: &Diagnostics, instead: impl Fn(&Diagnostic, usize) -> Option<String>) -> String {
    let mut text = String::new();
    let mut told: BTreeMap<&str, usize> = BTreeMap::new();
    for diagnostic in &diagnostics.list {
        let (id, count) = (diagnostic.id, diagnostics.count(diagnostic.id));
        let before = told.entry(id).or_default();
        *before += 1;
        if *before == 1
            && let Some(short) = instead(diagnostic, count)
        {
            text.push_str(&short);
            // None of this kind is told whole.
            *before = usize::MAX / 2;
            continue;
        }
        // Notes are many and alike: one shows the kind.
        let shown = if diagnostic.severity == Severity::Note { 1 } else { SHOWN };
        if *before <= shown {
            text.push_str(&one(diagnostic));
            text.push('\n');
        }
        if *before == shown && count > shown {
            let _ = writeln!(text, "... and {} more of {id} (all with --json, up to {} of a kind)\n", count - shown, Diagnostics::KEPT);
        }
    }
    text
}

/// A list of notes that each matter by their own name: a line for each that is kept whole, the rest as a count.
pub(crate) fn each(notes: &Diagnostics) -> String {
    let mut text = String::new();
    for note in &notes.list {
        let _ = writeln!(text, "{}[{}]: {} ({}): {}", note.severity, note.id, note.message, note.file, note.done);
    }
    if notes.total() > notes.list.len() {
        let _ = writeln!(text, "... and {} more", notes.total() - notes.list.len());
    }
    text
}

/// The list as text, the first few of each kind whole and the rest as a count; nothing for an empty list.
pub(crate) fn text(diagnostics: &Diagnostics) -> String {
    in_order(diagnostics, |_, _| None)
}

/// The lists of several records as one, so that what was found in thousands of stations is told once; in `short`, one of each kind.
pub(crate) fn of_records(lists: &[&Diagnostics], short: bool) -> String {
    let mut kinds: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for list in lists {
        for (id, count) in &list.counts {
            let (all, records) = kinds.entry(id).or_default();
            *all += count;
            *records += 1;
        }
    }
    let mut text = String::new();
    for (id, (count, records)) in kinds {
        let mut kept = lists.iter().flat_map(|list| &list.list).filter(|diagnostic| diagnostic.id == id).peekable();
        // Notes are many and alike: one shows the kind.
        let shown = if short || kept.peek().is_some_and(|first| first.severity == Severity::Note) { 1 } else { SHOWN };
        for diagnostic in kept.take(shown) {
            text.push_str(&one(diagnostic));
            text.push('\n');
        }
        if count > shown {
            let stations = if records > 1 { format!(", in {records} stations") } else { String::new() };
            let kept = Diagnostics::KEPT;
            let _ = writeln!(text, "... and {} more of {id}{stations} (all with --json, up to {kept} of a kind)\n", count - shown);
        }
    }
    text
}

fn one(diagnostic: &Diagnostic) -> String {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let title = level.primary_title(&diagnostic.message).id(diagnostic.id);
    let group = match (&diagnostic.text, diagnostic.line) {
        (Some(source), Some(line)) => {
            let span = span_in_bytes(source, diagnostic.column, diagnostic.span);
            title.element(
                Snippet::source(source.as_str())
                    .line_start(line as usize)
                    .path(diagnostic.file.as_str())
                    .annotation(AnnotationKind::Primary.span(span)),
            )
        }
        _ => Group::with_title(title),
    };
    let mut group = group;
    if diagnostic.text.is_none() && !diagnostic.file.is_empty() {
        let place = match (diagnostic.line, diagnostic.column) {
            (Some(line), Some(column)) => format!("at {}:{line}:{column}", diagnostic.file),
            (Some(line), None) => format!("at {}:{line}", diagnostic.file),
            _ => format!("in {}", diagnostic.file),
        };
        group = group.element(Level::NOTE.message(place));
    }
    for note in &diagnostic.notes {
        group = group.element(Level::NOTE.message(broken(note)));
    }
    if !diagnostic.done.is_empty() {
        group = group.element(Level::HELP.with_name("done").message(broken(&diagnostic.done)));
    }
    format!("{}\n", Renderer::styled().render(&[group]))
}

/// A long note broken between words, so that its lines stay under one another.
fn broken(note: &str) -> String {
    let (mut text, mut row) = (String::new(), 0);
    for word in note.split(' ') {
        let length = word.chars().count();
        if row > 0 {
            let over = row + 1 + length > NOTE_WIDTH;
            text.push(if over { '\n' } else { ' ' });
            row = if over { 0 } else { row + 1 };
        }
        text.push_str(word);
        row += length;
    }
    text
}

/// Columns count characters from 1; the renderer wants bytes from 0.
fn span_in_bytes(source: &str, column: Option<u32>, span: Option<u32>) -> std::ops::Range<usize> {
    let byte_of = |character: usize| source.char_indices().nth(character).map_or(source.len(), |(byte, _)| byte);
    let start = column.map_or(0, |column| column.saturating_sub(1) as usize);
    let length = span.map_or_else(|| source.chars().count().saturating_sub(start), |span| span as usize);
    byte_of(start)..byte_of(start.saturating_add(length))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_place_is_underlined_under_its_line_number() {
        let mut diagnostics = Diagnostics::default();
        diagnostics.push(
            Diagnostic::new("value-unreadable", Severity::Warning, "found \"  1x0\", expected a whole number of tenths of a millimetre")
                .in_file("a.dly")
                .at_line(48_213)
                .at_columns(5, 3)
                .with_text("PRCP1x0  ")
                .done("the day is rejected"),
        );
        let shown = anstream::adapter::strip_str(&text(&diagnostics)).to_string();
        assert!(shown.contains("a.dly:48213:5") && shown.contains("    ^^^") && shown.contains("value-unreadable"), "{shown}");
    }

    #[test]
    fn a_long_note_is_broken_between_words() {
        let mut diagnostics = Diagnostics::default();
        let note = format!("also open: {}", "which is it? ".repeat(20).trim_end());
        diagnostics.push(Diagnostic::new("x", Severity::Error, "m").in_file("a.csv").note(note.clone()));
        let shown = anstream::adapter::strip_str(&text(&diagnostics)).to_string();
        assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}");
        let words = |text: &str| text.split_whitespace().filter(|word| *word != "|").map(str::to_owned).collect::<Vec<_>>();
        assert!(words(&shown).windows(words(&note).len()).any(|some| some == words(&note)), "{shown}");
    }

    #[test]
    fn findings_of_many_stations_are_told_once() {
        let mut list = Diagnostics::default();
        list.push(Diagnostic::new("date-odd", Severity::Warning, "found rain dated 1700-01-01").in_file("a.csv"));
        let lists = vec![&list; 900];
        for (short, shown) in [(true, 1), (false, SHOWN)] {
            let text = anstream::adapter::strip_str(&of_records(&lists, short)).to_string();
            assert_eq!(text.matches("found rain dated").count(), shown, "{text}");
            assert!(text.contains(&format!("{} more of date-odd, in 900 stations", 900 - shown)), "{text}");
        }
    }

    #[test]
    fn a_column_past_the_end_of_a_line_is_no_panic() {
        for (column, span) in [(900, 3), (1, 900), (3, 0)] {
            let mut diagnostics = Diagnostics::default();
            diagnostics.push(Diagnostic::new("x", Severity::Error, "m").at_line(1).at_columns(column, span).with_text("aé"));
            assert!(!text(&diagnostics).is_empty());
        }
    }
}
