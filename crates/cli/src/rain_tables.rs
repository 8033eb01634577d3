//! `rainworth rain ... --out DIR`: the tables of many stations, in little memory.
//!
//! Rows are written as the stations come, in the order of the files, so that four thousand stations take no more memory than one thousand.
//! Two kinds of files ask for more:
//!
//! * files that each hold a part of a record (a year of a station or of the world, a month of a country) go through the [`Spool`] and come
//!   last;
//! * a station that was met in two files all the same takes the rows of its joined record: what was written for it is left out when the tables
//!   are put together, and the files concerned are read again.
//!
//! No two records have the same name in the tables: those of one station in several formats bear the format behind the station's id.

use crate::arguments::RainArguments;
use crate::failure::{self, Failure};
use crate::output_folder::{self, FreshFolder, Kind};
use crate::read_records::{FilesRead, read_records};
use crate::spool::Spool;
use crate::table_draft::Draft;
use crate::table_names::{self, Apart, Whose};
use crate::{diagnostic_text, output, passed_over};
use anyhow::Context;
use assess::RainTableRule;
use indicatif::ProgressBar;
use ingest::{Folder, Reader, StationRecord, Wanted};
use rayon::prelude::*;
use serde::Serialize;
use series::{Diagnostic, Diagnostics, Severity};
use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap, HashSet};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Files that are read before their rows are written: enough to keep every core busy, little enough to stay small.
const BATCH: usize = 64;

/// Text of files that hold parts of records in a batch, whose stations are held until they are spooled; at least one file is read.
const BATCH_BYTES: u64 = 16 << 20;

/// Bytes of text to a byte of a packed file, about: daily records pack 5 to 15 to 1.
const PACKED: u64 = 10;

/// The tables.
const TABLES: [&str; 3] = ["monthly.csv", "stations.csv", "records.csv"];

/// What was written, for `--json`.
#[derive(Serialize)]
struct Summary<'a> {
    /// Records in the tables.
    stations: usize,
    files: usize,
    files_not_read: usize,
    /// What of the folder was no station file.
    passed_over: Vec<passed_over::Told>,
    out: String,
    diagnostics: &'a Diagnostics,
}

/// Writes the tables of all files, or of all station files of a folder.
pub(crate) fn write(arguments: &RainArguments, out: &Path, rule: RainTableRule) -> Result<ExitCode, Failure> {
    output_folder::refuse_inputs_inside(out, &arguments.paths)?;
    output_folder::check(out, Kind::RainTables)?;
    let Folder { files, passed_over } = match arguments.paths.as_slice() {
        [folder] if folder.is_dir() => ingest::look_through(folder).map_err(|error| Failure::Job(error.into()))?,
        files => Folder { files: files.to_vec(), ..Folder::default() },
    };
    output_folder::refuse_inputs_inside(out, &files)?;
    let mut fresh = FreshFolder::beside(out, Kind::RainTables)?;
    let targets = [fresh.path_of(TABLES[0])?, fresh.path_of(TABLES[1])?, fresh.path_of(TABLES[2])?];
    let mut tables = Tables::new(rule, arguments.answers.rain_alone(), &targets)?;
    tables.read(&files)?;
    if tables.read.not_read == tables.read.files {
        let given = arguments.paths.iter().map(|path| path.display().to_string()).collect::<Vec<_>>().join(", ");
        let error = match tables.read.fault() {
            Some(fault) => anyhow::anyhow!("{fault} ({given}); nothing was written"),
            None => anyhow::anyhow!("no station file in {given}; nothing was written"),
        };
        output::say(&passed_over::text(&passed_over));
        return Err(Failure::Job(error).with(tables.read.diagnostics));
    }
    let (stations, mut read, left_out) = tables.put_together(&files)?;
    fresh.put_in_place()?;
    output::say(&diagnostic_text::brief(&read.diagnostics));
    output::say(&diagnostic_text::each(&left_out));
    output::say(&passed_over::text(&passed_over));
    let many = |count: usize, what: &str| format!("{count} {what}{}", if count == 1 { "" } else { "s" });
    let (made, of, lost) = (many(stations, "record"), many(read.files, "file"), many(read.not_read, "file"));
    output::say(&format!("{made} from {of}, {lost} not read: {}\n", out.display()));
    let fault = read.fault();
    if arguments.json {
        read.diagnostics.extend(left_out);
        let (files, files_not_read) = (read.files, read.not_read);
        let (passed_over, out) = (passed_over::told(&passed_over), out.display().to_string());
        let summary = Summary { stations, files, files_not_read, passed_over, out, diagnostics: &read.diagnostics };
        failure::answer(&summary, fault.as_deref())?;
    }
    Ok(failure::code(fault.as_deref()))
}

/// Whose record it is: station id and format, by its number among those that were met. Records that share it are one record.
type Key = (Box<str>, usize);

/// What one station adds to the tables, or why it adds nothing.
struct Rows {
    id: String,
    format: String,
    /// The station's name in the tables: its id, for a file that has none its name in words, else the file's.
    named: String,
    /// Which of the files.
    file: usize,
    tables: [Vec<u8>; 3],
    left_out: Option<Diagnostic>,
    found: Diagnostics,
}

/// What one file adds to the tables.
struct Part {
    rows: Vec<Rows>,
    read: FilesRead,
}

/// What was written for a station so far. An archive has a hundred thousand of them, so it is kept small.
struct Written {
    key: Key,
    /// The station's name in the tables, where it is not the id.
    named: Option<Box<str>>,
    file: usize,
    /// Bytes in the drafts.
    ranges: [Range<u64>; 3],
    left_out: Option<Box<Diagnostic>>,
}

impl Written {
    fn named(&self) -> &str {
        self.named.as_deref().unwrap_or(&self.key.0)
    }
}

/// The tables while files are read.
struct Tables {
    rule: RainTableRule,
    wanted: Wanted,
    drafts: [Draft; 3],
    formats: Vec<String>,
    written: Vec<Written>,
    spool: Option<Spool>,
    read: FilesRead,
}

thread_local! {
    /// One warm buffer for each worker, over all its files.
    static READER: RefCell<Reader> = RefCell::new(Reader::without_checksum());
}

impl Tables {
    fn new(rule: RainTableRule, wanted: Wanted, [monthly, stations, records]: &[PathBuf; 3]) -> anyhow::Result<Self> {
        let drafts = [
            Draft::new(monthly, report::MONTHLY_HEAD)?,
            Draft::new(stations, &report::stations_head())?,
            Draft::new(records, &report::records_head())?,
        ];
        Ok(Self { rule, wanted, drafts, formats: Vec::new(), written: Vec::new(), spool: None, read: FilesRead::default() })
    }

    fn read(&mut self, files: &[PathBuf]) -> anyhow::Result<()> {
        // Draws on standard error, and only if that is a terminal.
        let progress = ProgressBar::new(files.len() as u64);
        let (in_parts, whole): (Vec<_>, Vec<_>) = files.iter().enumerate().partition(|(_, file)| ingest::holds_parts(file));
        for batch in whole.chunks(BATCH) {
            let (rule, wanted) = (self.rule, self.wanted);
            let parts: Vec<anyhow::Result<Part>> = batch.par_iter().map(|(number, file)| part(*number, file, rule, wanted)).collect();
            progress.inc(batch.len() as u64);
            for part in parts {
                let part = part?;
                self.read.add(part.read);
                part.rows.into_iter().try_for_each(|rows| self.append(rows))?;
            }
        }
        let mut in_parts = in_parts.as_slice();
        while let [one, ..] = in_parts {
            let mut bytes = text_size(one.1);
            let fits = |(_, file): &&(usize, &PathBuf)| {
                bytes += text_size(file);
                bytes <= BATCH_BYTES
            };
            let more = in_parts[1..].iter().take(BATCH - 1).take_while(fits).count();
            let (batch, rest) = in_parts.split_at(1 + more);
            self.spool(batch)?;
            progress.inc(batch.len() as u64);
            in_parts = rest;
        }
        progress.finish_and_clear();
        Ok(())
    }

    /// Reads files that hold parts of records into the spool. A large file is alone in its batch and goes there station by station, so
    /// that it is never whole in memory.
    fn spool(&mut self, batch: &[(usize, &PathBuf)]) -> anyhow::Result<()> {
        let wanted = self.wanted;
        let spool = match &mut self.spool {
            Some(spool) => spool,
            empty => empty.insert(Spool::new()?),
        };
        if let [(number, file)] = batch {
            let (mut found, mut fault) = (Diagnostics::default(), Ok(()));
            let mut sink = |record: StationRecord| {
                if fault.is_ok() {
                    fault = spool.add(&record.rain, *number as u32);
                }
                found.extend(record.diagnostics);
            };
            let read = READER.with_borrow_mut(|reader| read_records(reader, &[file], wanted, &mut sink));
            self.read.add(read);
            self.read.diagnostics.extend(found);
            return fault;
        }
        let parts: Vec<(Vec<StationRecord>, FilesRead)> = batch
            .par_iter()
            .map(|(_, file)| {
                let mut records = Vec::new();
                let read = READER.with_borrow_mut(|reader| read_records(reader, &[file], wanted, &mut records));
                (records, read)
            })
            .collect();
        for ((number, _), (records, read)) in batch.iter().zip(parts) {
            self.read.add(read);
            for record in records {
                spool.add(&record.rain, *number as u32)?;
                self.read.diagnostics.extend(record.diagnostics);
            }
        }
        Ok(())
    }

    fn append(&mut self, rows: Rows) -> anyhow::Result<()> {
        let [monthly, stations, records] = &mut self.drafts;
        let ranges = [monthly.append(&rows.tables[0])?, stations.append(&rows.tables[1])?, records.append(&rows.tables[2])?];
        self.read.diagnostics.extend(rows.found);
        let named = (rows.named != rows.id).then(|| rows.named.into_boxed_str());
        let key = self.key(rows.id, &rows.format);
        self.written.push(Written { key, named, file: rows.file, ranges, left_out: rows.left_out.map(Box::new) });
        Ok(())
    }

    fn key(&mut self, id: String, format: &str) -> Key {
        let known = self.formats.iter().position(|known| known == format).unwrap_or_else(|| {
            self.formats.push(format.to_owned());
            self.formats.len() - 1
        });
        (id.into_boxed_str(), known)
    }

    /// Finishes the tables; gives how many stations are in them, what was read, and which stations are left out.
    fn put_together(mut self, files: &[PathBuf]) -> anyhow::Result<(usize, FilesRead, Diagnostics)> {
        if let Some(spool) = self.spool.take() {
            let rule = self.rule;
            // Parts that hold nothing usable alone were told by their files; what counts is the whole.
            spool.finish(files, |record, count| self.append(rows_of(record, usize::MAX, count, rule)?))?;
        }
        let joined = self.joined(files)?;
        if !joined.is_empty() {
            let keys = joined.iter().map(|rows| self.key(rows.id.clone(), &rows.format)).collect();
            self.take_out(&keys)?;
            joined.into_iter().try_for_each(|rows| self.append(rows))?;
        }
        self.tell_apart(files)?;
        for draft in &mut self.drafts {
            draft.finish()?;
        }
        let mut left_out = Diagnostics::default();
        let count = self.written.iter().filter(|one| one.left_out.is_none()).count();
        self.written.into_iter().filter_map(|one| one.left_out).for_each(|why| left_out.push(*why));
        Ok((count, self.read, left_out))
    }

    /// Takes the rows of these records out of the tables.
    fn take_out(&mut self, keys: &HashSet<Key>) -> anyhow::Result<()> {
        let (gone, mut kept): (Vec<_>, Vec<_>) = std::mem::take(&mut self.written).into_iter().partition(|one| keys.contains(&one.key));
        for (i, draft) in self.drafts.iter_mut().enumerate() {
            draft.change(gone.iter().map(|one| (one.ranges[i].clone(), ())), |_, ()| Vec::new())?;
            let (mut before, mut taken) = (gone.iter().map(|one| &one.ranges[i]).peekable(), 0);
            for one in &mut kept {
                let range = &mut one.ranges[i];
                while let Some(gone) = before.next_if(|gone| gone.end <= range.start) {
                    taken += gone.end - gone.start;
                }
                *range = range.start - taken..range.end - taken;
            }
        }
        self.written = kept;
        Ok(())
    }

    /// Gives records that would have one name in the tables names of their own, and tells of each such station.
    fn tell_apart(&mut self, files: &[PathBuf]) -> anyhow::Result<()> {
        let in_tables: Vec<&Written> = self.written.iter().filter(|one| one.left_out.is_none()).collect();
        let whose = |one: &Written| Whose {
            named: one.named().to_owned(),
            format: self.formats[one.key.1].clone(),
            file: files.get(one.file).map(|file| file.display().to_string()).unwrap_or_default(),
        };
        let whose: Vec<Whose> = in_tables.iter().map(|one| whose(one)).collect();
        let Apart { names, findings } = table_names::apart(&whose);
        self.read.diagnostics.extend(findings);
        if names.is_empty() {
            return Ok(());
        }
        for (i, draft) in self.drafts.iter_mut().enumerate() {
            let ranges = names.iter().map(|(place, name)| (in_tables[*place].ranges[i].clone(), (in_tables[*place].named(), name)));
            draft.change(ranges, |rows, (from, to)| report::renamed_rows(rows, from, to))?;
        }
        Ok(())
    }

    /// The rows of stations that were met in several files, from their joined records. The files of a station are read once more: those that hold nothing
    /// else one station at a time, and all others together.
    fn joined(&self, files: &[PathBuf]) -> anyhow::Result<Vec<Rows>> {
        let mut met: HashMap<&Key, BTreeSet<usize>> = HashMap::new();
        let mut stations_of_file: HashMap<usize, usize> = HashMap::new();
        let mut again: HashSet<&Key> = HashSet::new();
        for written in self.written.iter().filter(|written| !written.key.0.is_empty()) {
            let first = met.entry(&written.key).or_default();
            if !first.is_empty() {
                again.insert(&written.key);
            }
            first.insert(written.file);
            *stations_of_file.entry(written.file).or_default() += 1;
        }
        met.retain(|key, _| again.contains(key));
        let alone = |of: &BTreeSet<usize>| of.iter().all(|file| stations_of_file.get(file) == Some(&1));
        let (mut alone, together): (Vec<_>, Vec<_>) = met.into_iter().partition(|(_, of)| alone(of));
        alone.sort_unstable();
        let groups = alone.into_iter().map(|(key, of)| (HashSet::from([key]), of));
        let all = together.into_iter().fold((HashSet::new(), BTreeSet::new()), |(mut keys, mut all), (key, of)| {
            keys.insert(key);
            all.extend(of);
            (keys, all)
        });
        let groups: Vec<(HashSet<&Key>, BTreeSet<usize>)> = groups.chain([all]).collect();
        let rows: Vec<anyhow::Result<Vec<Rows>>> = groups.par_iter().map(|(keys, of)| self.joined_of(keys, of, files)).collect();
        rows.into_iter().try_fold(Vec::new(), |mut all, rows| {
            all.extend(rows?);
            Ok(all)
        })
    }

    /// The same of these stations, from these files.
    fn joined_of(&self, keys: &HashSet<&Key>, of: &BTreeSet<usize>, files: &[PathBuf]) -> anyhow::Result<Vec<Rows>> {
        let wanted: HashSet<(&str, &str)> = keys.iter().map(|(id, format)| (&**id, self.formats[*format].as_str())).collect();
        let mut records: Vec<StationRecord> = Vec::new();
        let mut sink = |record: StationRecord| {
            if wanted.contains(&(record.rain.station.id.as_str(), record.rain.provenance.format.as_str())) {
                // Whatever is wrong with a file was told when it was read first.
                records.push(StationRecord { diagnostics: Diagnostics::default(), ..record });
            }
        };
        let of: Vec<&PathBuf> = of.iter().filter_map(|number| files.get(*number)).collect();
        READER.with_borrow_mut(|reader| read_records(reader, &of, self.wanted, &mut sink));
        let joined = ingest::join(records).into_iter();
        joined
            .map(|record| {
                let count = record.rain.provenance.sources.len();
                rows_of(record, usize::MAX, count, self.rule)
            })
            .collect()
    }
}

/// About how long the text of a file is.
fn text_size(file: &Path) -> u64 {
    let packed = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("gz") || ending.eq_ignore_ascii_case("zip"));
    std::fs::metadata(file).map_or(0, |data| data.len()) * if packed { PACKED } else { 1 }
}

fn part(number: usize, file: &Path, rule: RainTableRule, wanted: Wanted) -> anyhow::Result<Part> {
    let (mut rows, mut fault) = (Vec::new(), Ok(()));
    let mut sink = |record: StationRecord| match rows_of(record, number, 1, rule) {
        Ok(one) => rows.push(one),
        Err(error) => fault = Err(error),
    };
    let read = READER.with_borrow_mut(|reader| read_records(reader, &[file], wanted, &mut sink));
    fault?;
    Ok(Part { rows, read })
}

/// The rows of a record that comes from `count` files, if it is one file's from the one with this number.
fn rows_of(record: StationRecord, file: usize, count: usize, rule: RainTableRule) -> anyhow::Result<Rows> {
    let rain = &record.rain;
    let named = [&rain.station.id, &rain.station.name].into_iter().find(|name| !name.is_empty());
    let named = named.map_or_else(|| rain.provenance.file().to_owned(), Clone::clone);
    let (id, format) = (rain.station.id.clone(), rain.provenance.format.clone());
    let mut rows = Rows { id, format, named, file, tables: Default::default(), left_out: None, found: record.diagnostics };
    if let Some(mut tables) = assess::station_tables(rain, rule) {
        tables.row.station.clone_from(&rows.named);
        rows.tables = [
            report::monthly_rows(&tables),
            report::station_rows(&tables.row).context(TABLES[1])?,
            report::record_rows(&tables.row, rain, count).context(TABLES[2])?,
        ];
    } else {
        let message = format!("station {} has no usable day of rain; expected at least one", rows.named);
        let finding = Diagnostic::new("station-without-rain", Severity::Note, message)
            .in_file(rain.provenance.file())
            .done("the station is left out of the tables");
        rows.left_out = Some(finding);
    }
    Ok(rows)
}
