//! What the templates see of the record that leads.

use super::ContextMaker;
use assess::{Reason, RecordCaution, RecordSummary, TermsOfRecords, terms_of_records};
use minijinja::{Value, context};
use series::{DayDefinition, DayLabel};

/// So many records of one source are named one by one.
const RECORDS_NAMED: usize = 12;

/// So many files of the leading record are named one by one.
const FILES_SHOWN: usize = 12;

impl ContextMaker<'_> {
    /// The leading record: whose, which files, which 24 hours.
    pub(super) fn station(&self) -> Value {
        let leading = self.assessment.choice.leading();
        let summary = &leading.summary;
        let name = if summary.station.name.is_empty() { &summary.station.id } else { &summary.station.name };
        let above = leading.height_difference_m.map_or("", |difference| if difference < 0.0 { "below" } else { "above" });
        // Only the files' own names: a path tells where somebody lives.
        let own_name = |file: &str| file.rsplit(['/', '\\']).next().unwrap_or_default().to_owned();
        let files = &summary.source.files;
        let shown = files.iter().take(FILES_SHOWN).map(|one| {
            let origin = one.origin.as_ref();
            context! {
                name => own_name(&one.file),
                sha256 => one.sha256.clone(),
                brought_on => origin.map(|origin| origin.fetched_at.split('T').next().unwrap_or_default().to_owned()),
                // A folder's path tells where somebody lives too.
                address => origin.filter(|origin| !origin.url.starts_with("file:")).map(|origin| origin.url.clone()),
            }
        });
        let more = files.len().saturating_sub(FILES_SHOWN);
        let more_files = if more > 0 { self.words.with("label", "more_files", &[("files", &more.to_string())]) } else { String::new() };
        context! {
            name => name,
            id_beside => if *name == summary.station.id { String::new() } else { format!(" ({})", summary.station.id) },
            id_note => self.id_note(summary),
            file => own_name(&summary.source.file),
            files => shown.collect::<Vec<_>>(),
            more_files => more_files,
            format => summary.source.format.clone(),
            sha256 => summary.source.sha256.clone(),
            above_or_below => above,
            day_in_words => self.day_in_words(summary.day_definition),
        }
    }

    /// What is odd in the numbering of the leading record's agency; empty where nothing is.
    fn id_note(&self, summary: &RecordSummary) -> String {
        let rain_gauge_of_knmi = summary.source.format.starts_with("KNMI") && summary.station.id.ends_with("_N");
        if rain_gauge_of_knmi { self.words.get("id_note", "knmi") } else { String::new() }
    }

    /// Which 24 hours a date of the leading record means.
    fn day_in_words(&self, day: DayDefinition) -> String {
        let dated = match day.label {
            DayLabel::FirstDay => "first_day",
            DayLabel::LastDay => "last_day",
            DayLabel::Unknown => "label_unknown",
        };
        let dated = self.words.get("day", dated);
        match day.start_hour {
            Some(hour) => self.words.with("day", "hour", &[("hour", &format!("{hour:02}")), ("dated", &dated)]),
            None if day.label == DayLabel::Unknown => self.words.get("day", "unknown"),
            None => self.words.with("day", "hour_unknown", &[("dated", &dated)]),
        }
    }

    /// What a careful person should know of the leading record, and which of its tables there are.
    pub(super) fn know(&self) -> Value {
        let choice = &self.assessment.choice;
        let summary = &choice.leading().summary;
        let has = |id: &str| summary.to_know.iter().any(|caution| caution.id() == id);
        let names = |months: &[u32]| months.iter().map(|month| self.words.get("month", &month.to_string())).collect::<Vec<_>>().join(", ");
        let (mut never, mut seldom) = (String::new(), String::new());
        for caution in &summary.to_know {
            match caution {
                RecordCaution::MonthsNeverObserved { months } => never = names(months),
                RecordCaution::MonthsSeldomObserved { months } => seldom = names(months),
                _ => {}
            }
        }
        let rounded = summary.sheet.depth_step.is_some_and(|step| step.rounded_to_mm.is_some());
        context! {
            findings => summary.to_know.iter().filter_map(|caution| self.finding(caution)).collect::<Vec<_>>(),
            quality => self.quality(),
            great_days => !summary.sheet.great_days.is_empty() && summary.extent.is_gauge(),
            step_rounded => rounded,
            any => !summary.to_know.is_empty(),
            areal_mean => has("areal_mean"),
            extent_unknown => has("extent_unknown"),
            day_definition_unknown => has("day_definition_unknown"),
            position_unknown => has("position_unknown"),
            months_never => never,
            months_seldom => seldom,
            years_not_whole => !summary.sheet.years_not_whole().is_empty(),
            gaps => summary.sheet.gaps > 0,
            flags => !summary.sheet.flags.is_empty(),
            others => choice.candidates.len() > 1,
        }
    }

    /// A finding of the reader: what stands before and after its count, and the fact of the count, where it has one.
    fn finding(&self, caution: &RecordCaution) -> Option<Value> {
        let RecordCaution::Finding { id, told, .. } = caution else { return None };
        let phrase = self.words.get("finding", id);
        let (before, after) = phrase.split_once("{count}").unwrap_or((&phrase, ""));
        // The counts of findings of the whole record stand in what the reader tells.
        let told = told.as_ref().map(|told| format!(" ({told}.)")).unwrap_or_default();
        let count = (before != phrase && told.is_empty()).then(|| format!("record.finding.count/finding={id}"));
        Some(context! { before => before, count => count, after => format!("{after}{told}") })
    }

    /// The years that the normals speak of.
    pub(super) fn normals(&self) -> Value {
        let years = self.assessment.climate.as_ref().map(|climate| (climate.normals.first_year, climate.normals.last_year));
        let (first, last) = years.unwrap_or_default();
        context! { first_year => first.to_string(), last_year => last.to_string() }
    }

    /// The days that the record's statistics speak of.
    pub(super) fn record(&self) -> Value {
        let period = self.assessment.spells.all.period;
        let day = |day: Option<series::Day>| day.map(|day| day.to_string()).unwrap_or_default();
        let yearly = self.assessment.facts.get("spell.longest_of_year.median");
        let count = |count: Option<usize>| count.unwrap_or(0).to_string();
        context! {
            first_day => day(period.map(|period| period.first)),
            last_day => day(period.map(|period| period.last)),
            spell_years => count(yearly.and_then(|fact| fact.n)),
            spell_years_left_out => count(yearly.and_then(|fact| fact.missing)),
        }
    }

    /// Who publishes such records and on what terms, each source once.
    pub(super) fn published(&self) -> Vec<Value> {
        let of_source = |source: &TermsOfRecords| {
            let names = source.records.iter().take(RECORDS_NAMED).cloned().collect::<Vec<_>>().join(", ");
            let records = match source.records.len().saturating_sub(RECORDS_NAMED) {
                0 => names,
                more => self.words.with("label", "more_records", &[("names", &names), ("more", &more.to_string())]),
            };
            let Some(terms) = source.terms else { return context! { records => records, agency => "" } };
            context! {
                records => records,
                agency => terms.agency_name.clone(),
                product => terms.name.clone(),
                terms => terms.terms.clone(),
                attribution => terms.attribution.clone(),
                read_on => terms.read_on.clone(),
            }
        };
        terms_of_records(&self.assessment.choice).iter().map(of_source).collect()
    }

    /// Why the leading record leads.
    pub(super) fn choice(&self) -> Value {
        let reason = match self.assessment.choice.reason {
            Reason::Named => "named",
            Reason::NearestWithYears(_) => "nearest",
            Reason::FirstWithYears(_) => "first",
            Reason::MostYears => "most_years",
        };
        context! { reason => reason }
    }
}
