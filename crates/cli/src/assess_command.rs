//! `rainworth assess`: the whole job for one site. Files are opened here, and nowhere below `ingest`.

use crate::arguments::{Answers, AssessArguments, Sheet};
use crate::failure::{self, Failure};
use crate::output_folder::{self, Kind};
use crate::read_records::read_records;
use crate::read_site::read_site;
use crate::today::today;
use crate::{archive_files, diagnostic_text, missing_file, output, template_folder};
use anyhow::Context;
use assess::{Inputs, assess};
use ingest::{Reader, StationList, StationRecord};
use report::{ReportOptions, Stationery};
use series::{Diagnostics, Severity};
use site::site_file::{RecordSource, SiteFile};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// At most so many characters are named one by one.
const GLYPHS_NAMED: usize = 12;

/// Reads, assesses, writes the folder.
pub(crate) fn run(arguments: &AssessArguments) -> Result<ExitCode, Failure> {
    let mut diagnostics = Diagnostics::default();
    match job(arguments, &mut diagnostics) {
        Ok(code) => Ok(code),
        Err(failure) => Err(failure.with(diagnostics)),
    }
}

fn job(arguments: &AssessArguments, diagnostics: &mut Diagnostics) -> Result<ExitCode, Failure> {
    let out = &arguments.out;
    output_folder::refuse_inputs_inside(out, &[&arguments.site])?;
    output_folder::check(out, Kind::Assessment)?;
    let stationery = stationery(arguments.templates.as_deref(), out)?;
    let mut site = read_site(&arguments.site, "nothing was written", diagnostics)?;
    let base = archive_files::base_of(&arguments.site);
    let known = archive_files::named_by(&arguments.site, &mut site.records, &arguments.folder)?;
    output_folder::refuse_inputs_inside(out, &inputs(&site, &base))?;
    refuse_missing(&site, &arguments.site, &base, diagnostics)?;
    official(&mut site, &arguments.site, &base, diagnostics)?;
    let mut records = records(&site, &base, arguments.answers, diagnostics)?;
    archive_files::note_origins(&mut records, &known);
    if let Some(list) = &site.records.station_list {
        let list = base.join(list);
        let (stations, found) = StationList::read(&list).map_err(|error| Failure::Job(error.into()))?;
        diagnostics.extend(found);
        diagnostics.extend(stations.place(&list.display().to_string(), &mut records));
    }
    // The findings of the record that leads come with it; those of the others are theirs.
    let prepared_on = arguments.prepared_on.or(site.site.prepared_on).unwrap_or_else(today);
    let assessment = assess(Inputs { site: &site, records: &records, diagnostics, prepared_on }).map_err(|error| {
        diagnostics.push(error.diagnostic(&arguments.site.display().to_string()));
        Failure::Job(error.into())
    })?;
    let options = ReportOptions { stationery, paper: arguments.paper.map(Sheet::paper) };
    let made = report::files(&assessment, &options).context("the report could not be made; nothing was written")?;
    output_folder::write(out, Kind::Assessment, &made.files)?;
    output::say(&diagnostic_text::brief(&assessment.diagnostics));
    output::say(&missing_glyphs(&made.missing_glyphs));
    output::say(&format!("report: {} (on screen), {} (on paper)\n", out.join("report.html").display(), out.join("report.pdf").display()));
    let fault = (arguments.strict && assessment.diagnostics.worst() >= Some(Severity::Warning)).then_some(failure::STRICT);
    if arguments.json {
        let definitions = report::Definitions::load().map_err(|error| Failure::Job(error.into()))?;
        failure::answer(&report::report_json(&assessment, &definitions, options.stationery.own()), fault)?;
    }
    Ok(failure::code(fault))
}

/// The shipped stationery, with a folder of the caller's own laid over it.
fn stationery(folder: Option<&Path>, out: &Path) -> Result<Stationery, Failure> {
    let Some(folder) = folder else { return Ok(Stationery::shipped()) };
    output_folder::refuse_inputs_inside(out, &[folder])?;
    let files = template_folder::read(folder)?;
    let laid = Stationery::shipped().overlaid(files);
    Ok(laid.with_context(|| format!("the template folder {} cannot be used; nothing was written", folder.display()))?)
}

/// Says which characters the PDF cannot show; empty when there are none.
fn missing_glyphs(missing: &BTreeSet<char>) -> String {
    if missing.is_empty() {
        return String::new();
    }
    let codes: Vec<String> = missing.iter().take(GLYPHS_NAMED).map(|character| format!("U+{:04X}", u32::from(*character))).collect();
    let more = if missing.len() > GLYPHS_NAMED { ", ..." } else { "" };
    format!(
        "report.pdf shows U+FFFD in place of {} that its font does not have ({}{more}); report.html shows {}\n",
        if missing.len() == 1 { "a character".to_owned() } else { format!("{} characters", missing.len()) },
        codes.join(", "),
        if missing.len() == 1 { "it" } else { "them" },
    )
}

/// All that the site file names: what it is, how it is named there, and where that is.
fn named<'a>(site: &'a SiteFile, base: &Path) -> Vec<(&'static str, &'a str, PathBuf)> {
    let sources: Vec<(&'static str, &'a String)> = match &site.records.source {
        RecordSource::Folder(folder) => vec![("record folder", folder)],
        RecordSource::Files(files) => files.iter().map(|file| ("record file", file)).collect(),
    };
    let list = site.records.station_list.iter().map(|list| ("station list", list));
    let table = site.official_table.iter().map(|wanted| ("official table", &wanted.table.value));
    sources.into_iter().chain(list).chain(table).map(|(what, name)| (what, name.as_str(), base.join(name))).collect()
}

fn inputs(site: &SiteFile, base: &Path) -> Vec<PathBuf> {
    named(site, base).into_iter().map(|(_, _, path)| path).collect()
}

/// Tells everything that the site file names and that is not there, before anything is read.
fn refuse_missing(site: &SiteFile, file: &Path, base: &Path, diagnostics: &mut Diagnostics) -> Result<(), Failure> {
    let site_file = file.display().to_string();
    let found: Vec<_> =
        named(site, base).iter().filter_map(|(what, name, path)| missing_file::finding(&site_file, what, name, path)).collect();
    let Some(first) = found.first() else { return Ok(()) };
    let near = first.notes.first().map(|note| format!(" ({note})")).unwrap_or_default();
    let more = if found.len() > 1 { format!(", and {} more", found.len() - 1) } else { String::new() };
    let error = anyhow::anyhow!("{}{near}{more}; nothing was written", first.message);
    for finding in found {
        diagnostics.push(finding);
    }
    Err(Failure::Job(error))
}

/// Takes the official intensity from the table's file, where the site file names one.
fn official(site: &mut SiteFile, file: &Path, base: &Path, diagnostics: &mut Diagnostics) -> Result<(), Failure> {
    let Some(wanted) = &site.official_table else { return Ok(()) };
    let name = file.display().to_string();
    let table = ingest::read_frequency_table(&base.join(&wanted.table.value)).map_err(|error| {
        diagnostics.push(error.diagnostic());
        Failure::Job(anyhow::Error::from(error).context("the official table cannot be read; nothing was written"))
    })?;
    let (intensity, elsewhere) = assess::official_from_table(&table, wanted, &site.site).map_err(|error| {
        diagnostics.push(error.diagnostic(&name));
        Failure::Job(anyhow::Error::from(error).context("the official table cannot be used; nothing was written"))
    })?;
    if let Some(finding) = elsewhere {
        diagnostics.push(finding.in_file(&name).at_line(wanted.table.line));
    }
    site.official = Some(intensity);
    Ok(())
}

fn records(site: &SiteFile, base: &Path, answers: Answers, diagnostics: &mut Diagnostics) -> Result<Vec<StationRecord>, Failure> {
    let files: Vec<PathBuf> = match &site.records.source {
        RecordSource::Folder(folder) => ingest::station_files(&base.join(folder)).map_err(|error| Failure::Job(error.into()))?,
        RecordSource::Files(files) => files.iter().map(|file| base.join(file)).collect(),
    };
    let mut records = Vec::new();
    let answers =
        Answers { depth_unit: answers.depth_unit.or(site.records.depth_unit), date_order: answers.date_order.or(site.records.date_order) };
    let read = read_records(&mut Reader::new(), &files, answers.wanted(), &mut records);
    diagnostics.extend(read.diagnostics);
    if records.is_empty() {
        return Err(Failure::Job(anyhow::anyhow!("none of the {} record files could be read; nothing was written", read.files)));
    }
    if read.not_read > 0 && matches!(site.records.source, RecordSource::Files(_)) {
        return Err(Failure::Job(anyhow::anyhow!(
            "{} of the record files that the site file names could not be read; nothing was written",
            read.not_read
        )));
    }
    Ok(ingest::join(records))
}
