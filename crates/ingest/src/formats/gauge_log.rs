//! A person's own gauge log: a date and a depth a line, as a spreadsheet or a text editor saves it. The layout is our own.
//!
//! * Commas, semicolons or tabs between the columns; quotes as in RFC 4180; lines that begin with `#` are comments.
//! * A heading names the columns and, behind the names, what is needed to read them:
//!   `date (day/month/year), rain (mm), read at 09:00`. Year, month and day may have a column each. Without a heading there are two columns,
//!   date and depth.
//! * The same may stand before the table, one a line, also as comments: `unit: mm`, `date: day/month/year`, `read at: 09:00`, `dated: day of
//!   reading` (or `day before`), `decimal: comma`, `name:`, `id:`, `latitude:`, `longitude:`, `elevation:`.
//! * A column `days` is the number of days that a depth covers, up to and with its date; `first day` and `last day`, or `2024-03-01 to
//!   2024-03-03` in the date, say the same, and so does a note that is nothing but a number of days (`2 days`, `2 Tage`). A column `note` is
//!   looked at for the word "estimated".
//! * Depths: a number, also with its unit (`5 mm`); `T`, `trace` and `<0.1` are a trace; `nil`, `dry`, `zero`, `no rain` are 0, measured.
//!   Blank is missing. Words of a gauge that was not read (`broken`, `away`, `lost`, …), a dash, and codes of nines (-999, and 999 or 9999 where
//!   no day has so much) are missing, and told.
//! * Of two readings of a day the first stands and the other is told with both lines and depths; where more than one day of twenty has
//!   a second one that differs, it is asked what they are.
//! * A row may end before the columns behind its depth; one with dates or numbers behind the last column is not read, and told.
//! * The same few words in German, French, Spanish, Dutch and Portuguese (`vocabulary.rs`).
//!
//! What the file does not say is recognised where the values leave no doubt (a day above 12 settles the order of the date, and so do
//! points, `01.02.2024`, which stand behind the day; a comma in the depths is the decimal mark where no point stands), and asked for
//! otherwise, all at once: the unit always, since every depth is possible in every unit.
//! [`Wanted`] can carry the answer. A reading bears the date on which the gauge was read, unless the log says otherwise (common practice,
//! no source).
//!
//! This is the weakest of all formats: it is at most [`Confidence::Possible`].

use super::{Confidence, Format, Input};
use crate::observation_time;
use crate::station_days::StationDays;
use crate::{Error, FileSummary, Sink, Wanted, content};
use layout::{Fault, Layout};
use series::{DayDefinition, DayLabel, Diagnostics, Severity, Station};
use std::path::Path;
use survey::Survey;

mod depth;
mod layout;
mod rows;
mod statements;
mod survey;
#[cfg(test)]
mod tests;
mod vocabulary;

const NAME: &str = "gauge log";

pub(super) const FORMAT: Format = Format::new(NAME, &["csv", "tsv"], sniff, read);

/// A heading that says all, for a question.
const HEADING: &str = "`date (day/month/year), rain (mm), read at 09:00`";

fn sniff(bytes: &[u8]) -> Confidence {
    let head = content::first_lines(bytes, 200);
    match layout::find(head) {
        Err(Fault::NoTable) => Confidence::No,
        _ => Confidence::Possible,
    }
}

fn read(input: Input<'_>, wanted: Wanted, sink: &mut dyn Sink) -> Result<FileSummary, Error> {
    let layout = layout::find(input.bytes).map_err(|fault| refusal(input.name, &fault))?;
    let survey = Survey::of(input, &layout);
    let reading = survey.decide(input.name, &layout, wanted)?;
    let station = Station { id: id_of(input.name, &layout), ..layout.stated.station.clone() };
    let mut days = StationDays::new(input, station, DayDefinition::default());
    days.findings.whole("log-read-as", Severity::Note, || (reading.why.clone(), "The log is read in that way."));
    if !layout.unread.is_empty() {
        days.findings.whole("columns-not-read", Severity::Note, || {
            (format!("found columns beside the date and the rain: {}", layout.unread.join(", ")), "These columns are not read.")
        });
    }
    rows::each(input, &layout, |row| rows::read(input, row, &layout, &reading, &mut days));
    let (of_days, differing) = days.days_and_second_values();
    if let Some(question) = survey::second_readings(input.name, (of_days, differing)) {
        return Err(question);
    }
    if differing > 0 {
        days.findings.whole("days-stated-twice", Severity::Warning, || {
            (
                format!("found a second reading with another depth on {differing} of {of_days} days; expected one line a day"),
                "The first reading of each day stands. If the gauge was emptied twice, write the sum; if one corrects the other, leave that one.",
            )
        });
    }
    days.day_definition = day_definition(&layout, &mut days);
    sink.station(days.record(input, NAME));
    Ok(FileSummary { format: NAME, stations: 1, diagnostics: Diagnostics::default() })
}

/// The identifier that the log states, or the file's name without folder and ending.
fn id_of(file: &str, layout: &Layout) -> String {
    if layout.stated.station.id.is_empty() {
        Path::new(file).file_stem().map_or_else(|| file.to_owned(), |stem| stem.to_string_lossy().into_owned())
    } else {
        layout.stated.station.id.clone()
    }
}

fn refusal(file: &str, fault: &Fault) -> Error {
    let question = |found: String, question: String| Error::OpenQuestion { file: file.to_owned(), found, question, further: Vec::new() };
    match fault {
        Fault::NoTable => Error::WrongProduct {
            file: file.to_owned(),
            found: "no table of a gauge log".to_owned(),
            expected: format!("a heading such as {HEADING}, and a line a day"),
        },
        Fault::NoDate(heading) => Error::WrongProduct {
            file: file.to_owned(),
            found: format!("a table with rain and no dates of days (heading {heading:?})"),
            expected: format!("a column with the date of each day, under a heading such as {HEADING}"),
        },
        Fault::SeveralDepths(names) => question(
            format!("found more than one column that may be the day's rain: {names}"),
            "which one is it? Leave only that one, or name the others otherwise".to_owned(),
        ),
        Fault::OpenRange(names) => question(
            format!("found two columns of dates: {names}"),
            "are both days within the depth? Name them `first day` and `last day` if so; else keep the day of reading as `date` and the \
             number of days as `days`"
                .to_owned(),
        ),
        Fault::NoRows(heading) => Error::WrongProduct {
            file: file.to_owned(),
            found: format!("the heading of a log ({heading:?}) and no rows"),
            expected: "a line a day below it, with a date and a depth".to_owned(),
        },
        Fault::ColumnsWithoutHeading(count, delimiter) => {
            let between = match delimiter {
                b'\t' => "tabs",
                b';' => "semicolons",
                _ => "commas",
            };
            let comma = if *delimiter == b',' { "; if a comma is the decimal mark, put semicolons between the columns" } else { "" };
            question(
                format!("found {count} columns, with {between} between them, without a heading"),
                format!("which is the depth? Write a line above them that names each, such as {HEADING}{comma}"),
            )
        }
    }
}

/// From the stated hour, or from the times of the rows.
fn day_definition(layout: &Layout, days: &mut StationDays<'_>) -> DayDefinition {
    let mut definition = match layout.stated.time {
        Some(time) => observation_time::definition_of(time),
        None => days.observation_times.definition(&mut days.findings),
    };
    match layout.stated.label {
        Some(label) => definition.label = label,
        None if definition.label == DayLabel::LastDay => days.findings.whole("date-of-reading-taken", Severity::Note, || {
            (
                "the log says when the gauge is read, and not which date a reading bears".to_owned(),
                "A reading is taken to bear the date on which it was made; write `dated: day before` where it is otherwise.",
            )
        }),
        None => {}
    }
    definition
}
