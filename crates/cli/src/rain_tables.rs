//! `rainworth rain ... --out DIR`: the tables of many stations, in little memory.
//!
//! Rows are written as the stations come, in the order of the files, so that four thousand stations take no more memory than one thousand.
//! Two kinds of files ask for more:
//!
//! * files that each hold a part of a record (a year of a station or of the world, a month of a country) go through the [`Spool`] and come
//!   last;
//! * a station that was met in two files all the same takes the rows of its joined record: what was written for it is left out when the tables
//!   are put together, and the files concerned are read again.

use crate::arguments::RainArguments;
use crate::failure::{self, Failure};
use crate::output_folder::{self, FreshFolder, Kind};
use crate::read_records::{FilesRead, read_records};
use crate::spool::Spool;
use crate::{diagnostic_text, output};
use anyhow::Context;
use assess::RainTableRule;
use indicatif::ProgressBar;
use ingest::{Reader, StationRecord, Wanted};
use rayon::prelude::*;
use serde::Serialize;
use series::{Diagnostic, Diagnostics, Severity};
use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap, HashSet};
use std::fs::File;
use std::io::{BufReader, BufWriter, Read, Write};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Files that are read before their rows are written: enough to keep every core busy, little enough to stay small.
const BATCH: usize = 64;

/// The same of files that hold parts of records, whose stations are held until they are spooled; at least one is read.
const BATCH_BYTES: u64 = 16 << 20;

/// The two tables.
const TABLES: [&str; 2] = ["monthly.csv", "stations.csv"];

/// What was written, for `--json`.
#[derive(Serialize)]
struct Summary<'a> {
    /// Stations in the tables.
    stations: usize,
    files: usize,
    files_not_read: usize,
    out: String,
    diagnostics: &'a Diagnostics,
}

/// Writes the tables of all files, or of all station files of a folder.
pub(crate) fn write(arguments: &RainArguments, out: &Path, rule: RainTableRule) -> Result<ExitCode, Failure> {
    output_folder::refuse_inputs_inside(out, &arguments.paths)?;
    output_folder::check(out, Kind::RainTables)?;
    let files = match arguments.paths.as_slice() {
        [folder] if folder.is_dir() => ingest::station_files(folder).map_err(|error| Failure::Job(error.into()))?,
        files => files.to_vec(),
    };
    output_folder::refuse_inputs_inside(out, &files)?;
    let mut fresh = FreshFolder::beside(out, Kind::RainTables)?;
    let targets = [fresh.path_of(TABLES[0])?, fresh.path_of(TABLES[1])?];
    let mut tables = Tables::new(rule, arguments.answers.rain_alone(), &targets)?;
    tables.read(&files)?;
    if tables.read.not_read == tables.read.files {
        let given = arguments.paths.iter().map(|path| path.display().to_string()).collect::<Vec<_>>().join(", ");
        let error = match tables.read.fault() {
            Some(fault) => anyhow::anyhow!("{fault} ({given}); nothing was written"),
            None => anyhow::anyhow!("no station file in {given}; nothing was written"),
        };
        return Err(Failure::Job(error).with(tables.read.diagnostics));
    }
    let (stations, mut read, left_out) = tables.put_together(&files)?;
    fresh.put_in_place()?;
    output::say(&diagnostic_text::brief(&read.diagnostics));
    output::say(&diagnostic_text::each(&left_out));
    output::say(&format!("{stations} stations from {} files, {} files not read: {}\n", read.files, read.not_read, out.display()));
    let fault = read.fault();
    if arguments.json {
        read.diagnostics.extend(left_out);
        let (files, files_not_read) = (read.files, read.not_read);
        let summary = Summary { stations, files, files_not_read, out: out.display().to_string(), diagnostics: &read.diagnostics };
        failure::answer(&summary, fault.as_deref())?;
    }
    Ok(failure::code(fault.as_deref()))
}

/// Whose record it is: station id and format. Records that share it are one record.
type Key = (String, String);

/// What one station adds to the tables, or why it adds nothing.
struct Rows {
    key: Key,
    /// Which of the files.
    file: usize,
    tables: [Vec<u8>; 2],
    left_out: Option<Diagnostic>,
    found: Diagnostics,
}

/// What one file adds to the tables.
struct Part {
    rows: Vec<Rows>,
    read: FilesRead,
}

/// What was written for a station so far.
struct Written {
    key: Key,
    file: usize,
    /// Bytes in the two drafts.
    ranges: [Range<u64>; 2],
    left_out: Option<Diagnostic>,
}

/// The tables while files are read.
struct Tables {
    rule: RainTableRule,
    wanted: Wanted,
    drafts: [Draft; 2],
    written: Vec<Written>,
    spool: Option<Spool>,
    read: FilesRead,
}

thread_local! {
    /// One warm buffer for each worker, over all its files.
    static READER: RefCell<Reader> = RefCell::new(Reader::without_checksum());
}

impl Tables {
    fn new(rule: RainTableRule, wanted: Wanted, [monthly, stations]: &[PathBuf; 2]) -> anyhow::Result<Self> {
        let drafts = [Draft::new(monthly, report::MONTHLY_HEAD)?, Draft::new(stations, &report::stations_head())?];
        Ok(Self { rule, wanted, drafts, written: Vec::new(), spool: None, read: FilesRead::default() })
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
            let size = |file: &Path| std::fs::metadata(file).map_or(0, |data| data.len());
            let mut bytes = size(one.1);
            let fits = |(_, file): &&(usize, &PathBuf)| {
                bytes += size(file);
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
        let [monthly, stations] = &mut self.drafts;
        let ranges = [monthly.append(&rows.tables[0])?, stations.append(&rows.tables[1])?];
        self.read.diagnostics.extend(rows.found);
        self.written.push(Written { key: rows.key, file: rows.file, ranges, left_out: rows.left_out });
        Ok(())
    }

    /// Finishes the tables; gives how many stations are in them, what was read, and which stations are left out.
    fn put_together(mut self, files: &[PathBuf]) -> anyhow::Result<(usize, FilesRead, Diagnostics)> {
        if let Some(spool) = self.spool.take() {
            let rule = self.rule;
            // Parts that hold nothing usable alone were told by their files; what counts is the whole.
            spool.finish(files, |record| self.append(rows_of(record, usize::MAX, rule)?))?;
        }
        let joined = self.joined(files)?;
        if !joined.is_empty() {
            let again: HashSet<&Key> = joined.iter().map(|rows| &rows.key).collect();
            let (taken_out, kept): (Vec<_>, Vec<_>) =
                std::mem::take(&mut self.written).into_iter().partition(|one| again.contains(&one.key));
            for (i, draft) in self.drafts.iter_mut().enumerate() {
                draft.take_out(taken_out.iter().map(|one| one.ranges[i].clone()))?;
            }
            self.written = kept;
            joined.into_iter().try_for_each(|rows| self.append(rows))?;
        }
        let [mut monthly, mut stations] = self.drafts;
        monthly.finish()?;
        stations.finish()?;
        let mut left_out = Diagnostics::default();
        let count = self.written.iter().filter(|one| one.left_out.is_none()).count();
        self.written.into_iter().filter_map(|one| one.left_out).for_each(|why| left_out.push(why));
        Ok((count, self.read, left_out))
    }

    /// The rows of stations that were met in several files, from their joined records.
    fn joined(&self, files: &[PathBuf]) -> anyhow::Result<Vec<Rows>> {
        let mut met: HashMap<&Key, usize> = HashMap::new();
        for written in self.written.iter().filter(|written| !written.key.0.is_empty()) {
            *met.entry(&written.key).or_default() += 1;
        }
        met.retain(|_, times| *times > 1);
        if met.is_empty() {
            return Ok(Vec::new());
        }
        let concerned: BTreeSet<usize> =
            self.written.iter().filter(|written| met.contains_key(&written.key)).map(|written| written.file).collect();
        let mut records: Vec<StationRecord> = Vec::new();
        let mut sink = |record: StationRecord| {
            if met.contains_key(&key(&record)) {
                records.push(record);
            }
        };
        let concerned: Vec<&PathBuf> = concerned.into_iter().filter_map(|number| files.get(number)).collect();
        // Whatever is wrong with a file was told when it was read first.
        read_records(&mut Reader::without_checksum(), &concerned, self.wanted, &mut sink);
        ingest::join(records).into_iter().map(|record| rows_of(record, usize::MAX, self.rule)).collect()
    }
}

fn part(number: usize, file: &Path, rule: RainTableRule, wanted: Wanted) -> anyhow::Result<Part> {
    let (mut rows, mut fault) = (Vec::new(), Ok(()));
    let mut sink = |record: StationRecord| match rows_of(record, number, rule) {
        Ok(one) => rows.push(one),
        Err(error) => fault = Err(error),
    };
    let read = READER.with_borrow_mut(|reader| read_records(reader, &[file], wanted, &mut sink));
    fault?;
    Ok(Part { rows, read })
}

fn key(record: &StationRecord) -> Key {
    (record.rain.station.id.clone(), record.rain.provenance.format.clone())
}

fn rows_of(record: StationRecord, file: usize, rule: RainTableRule) -> anyhow::Result<Rows> {
    let mut rows = Rows { key: key(&record), file, tables: [Vec::new(), Vec::new()], left_out: None, found: record.diagnostics };
    if let Some(tables) = assess::station_tables(&record.rain, rule) {
        rows.tables[0] = report::monthly_rows(&tables);
        rows.tables[1] = report::station_rows(&tables.row).context("stations.csv")?;
    } else {
        let message = format!("station {} has no usable day of rain; expected at least one", record.rain.station.id);
        let finding = Diagnostic::new("station-without-rain", Severity::Note, message)
            .in_file(record.rain.provenance.file())
            .done("the station is left out of the tables");
        rows.left_out = Some(finding);
    }
    Ok(rows)
}

/// A table as it grows.
struct Draft {
    path: PathBuf,
    out: BufWriter<File>,
    length: u64,
}

impl Draft {
    fn new(path: &Path, head: &str) -> anyhow::Result<Self> {
        let file = File::create(path).with_context(|| format!("cannot write {}", path.display()))?;
        let mut draft = Self { path: path.to_owned(), out: BufWriter::with_capacity(1 << 18, file), length: 0 };
        draft.append(head.as_bytes())?;
        Ok(draft)
    }

    fn append(&mut self, rows: &[u8]) -> anyhow::Result<Range<u64>> {
        self.out.write_all(rows).with_context(|| format!("cannot write {}", self.path.display()))?;
        let from = self.length;
        self.length += rows.len() as u64;
        Ok(from..self.length)
    }

    /// Writes the table anew without these ranges, which are in order.
    fn take_out(&mut self, ranges: impl Iterator<Item = Range<u64>>) -> anyhow::Result<()> {
        let beside = self.path.with_extension("without");
        let mut shorter = Self::new(&beside, "")?;
        self.finish()?;
        let copied = File::open(&self.path).and_then(|whole| {
            let mut whole = BufReader::with_capacity(1 << 18, whole);
            let mut at = 0;
            for range in ranges {
                shorter.length += std::io::copy(&mut whole.by_ref().take(range.start - at), &mut shorter.out)?;
                whole.seek_relative((range.end - range.start) as i64)?;
                at = range.end;
            }
            shorter.length += std::io::copy(&mut whole, &mut shorter.out)?;
            std::fs::rename(&beside, &self.path)
        });
        copied.with_context(|| format!("cannot write {}", self.path.display()))?;
        shorter.path.clone_from(&self.path);
        *self = shorter;
        Ok(())
    }

    fn finish(&mut self) -> anyhow::Result<()> {
        self.out.flush().with_context(|| format!("cannot write {}", self.path.display()))
    }
}
