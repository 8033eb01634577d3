//! The site file: what a person can measure with a tape, read off a bill or decide, as TOML with every quantity in quotes
//! with its unit (DESIGN section 5).
//!
//! The text is parsed once to a tree with places; then every section is read by small typed readers that go on after a
//! fault, so that **all** faults come out together, in the order of the file. Faults in the TOML itself come alone, because
//! what follows them cannot be trusted; only a value without its quotes (`top_up = yes`) is told among the others. Every default that is taken is in [`SiteFile::assumptions`].
//!
//! # The sections
//!
//! `!` marks what must be there; `sample-data/SITE-FILE.md` explains every key.
//!
//! | section | keys |
//! |---|---|
//! | (before all) | `format` ! = 1 |
//! | `[site]` ! | `name` !, `latitude` !, `longitude` !, `elevation`, `units`, `locale`, `prepared_on`, `stage`, `currency` |
//! | `[records]` ! | `folder` or `files` !, `station_list`, `station`, `period`, `normals`, `wet_day`, `seed`, `depth_unit`, `date_order`, `use_neighbours`, `amounts_as_measured`, `undercatch` |
//! | `[[gauge]]` | `id` !, `days_later` or `left_out` ! |
//! | `[official]` | `intensity` and `source`, or `table` !, `duration` !, `return_period` !, `read_on` |
//! | `[[roof]]` ! | `plan_area` or `length` and `width` !, `covering` !, `name`, `runoff_coefficient`, `coefficient_is`, `wetting_loss`, `outline`, `gutter`, `downpipe`, `eaves_height` |
//! | `[collection]` | `screen_share_passed`, `first_flush` or `first_flush_depth`, `first_flush_drains_per_day` or `first_flush_empties_after_dry_days`, `screen_place`, `screen_height`, `first_flush_place`, `first_flush_diameter`, `first_flush_bottom_height`, `first_flush_top_height` |
//! | `[[store]]` ! | `nominal` !, `name`, `dead`, `above_overflow`, `count`, `diameter` and `height` or `length`, `width` and `height`, `footprint`, `empty_mass`, `buried`, `floor_height`, `outlet_height`, `overflow_height`, `places`, `length_along`, `overflow_path`, `outfall_height` |
//! | `[space]` | `length`, `width`, `height` |
//! | `[[demand]]` ! | `per_day` or `area` and `depth_per_week` or `by_month` !, `name`, `months`, `weekdays` |
//! | `[supply]` | `top_up`, `tariff_per_m3` or `tariff_per_1000_gal`, `sewer_per_m3` or `sewer_per_1000_gal`, `pump`, `source` |
//! | `[[cost]]` | `item` !, `amount` !, `every_years` |
//! | `[targets]` | `volumetric_reliability` |
//! | `[surroundings]` | `basement`, `slope`, `downhill_neighbour`, `well_distance`, `septic_distance`, `boundary_distance`, `foundation_distance`, `frost` |
//! | `[plan]` | `bearing_of_top`, `boundary` |
//! | `[[building]]` | `outline` !, `name` |
//! | `[[mark]]` | `name` !, `place` ! |
//! | `[winter]` | `store_rests_from` and `store_rests_to`, `melt_credit` |
//!
//! # Limits
//!
//! 1 MiB of text; 50 sections of a kind; texts of 200 characters without control characters. No text makes it panic.

mod around;
mod collecting;
mod demands;
mod document;
mod findings;
mod identity;
mod layout;
mod model;
mod money;
mod official;
mod records;
mod roofs;
mod schema;
mod section;
mod stores;
#[cfg(test)]
mod tests;
mod unquoted;

pub use model::{
    Assumption, Building, Cost, GaugeRule, GroundMark, GroundPlan, Identity, LengthAlong, Locale, OfficialFromTable, PartsLayout,
    RecordSource, Records, RoofEntry, RoofLayout, SiteFile, SitePlace, Stage, StoreEntry, StoreLayout, Supply, Targets, Typed, Winter,
};

use document::Document;
use findings::Findings;
use section::{Section, unlike_names};
use series::Diagnostics;

/// Most bytes of a site file.
pub const LARGEST: usize = 1 << 20;
/// Most sections of one kind, such as `[[roof]]`.
pub const MOST_SECTIONS: usize = 50;
/// The one version of the format.
pub const FORMAT: u32 = 1;

/// Reads a site file. `file` is its name for messages; nothing is opened.
///
/// # Errors
/// All faults in the order of the file, when at least one of them is an error; otherwise warnings and notes come with the
/// site file.
pub fn parse(text: &str, file: &str) -> Result<(SiteFile, Diagnostics), Diagnostics> {
    let mut findings = Findings::new(text, file);
    let site_file = match unquoted::in_quotes(text, &findings) {
        None => read(text, &mut findings),
        Some((patched, places)) => {
            findings.note_unquoted(places);
            read(&patched, &mut findings);
            findings.tell_unquoted();
            None
        }
    };
    let refused = findings.has_errors();
    if site_file.is_none() && !refused {
        // Every reader that gives nothing has found an error; this keeps the promise if one ever forgets.
        findings.error("site-file-unreadable", &(0..0), "the site file could not be read".to_owned());
    }
    let (diagnostics, assumptions) = findings.finish();
    match site_file {
        Some(site_file) if !refused => Ok((SiteFile { assumptions, ..site_file }, diagnostics)),
        _ => Err(diagnostics),
    }
}

/// Where a site is, of a file that need not be finished: its `[site]`, and the years of its `[records]`. What else is missing is not asked for.
///
/// # Errors
/// All faults of these sections and of the file's form in the order of the file, when at least one of them is an error.
pub fn parse_place(text: &str, file: &str) -> Result<(SitePlace, Diagnostics), Diagnostics> {
    let mut findings = Findings::new(text, file);
    let place = document::tree(text, &mut findings).and_then(|tree| {
        let document = Document::new(tree.get_ref(), &mut findings);
        document.format(&mut findings)?;
        let identity = document.once("site", true, &mut findings);
        let units = identity::units(&identity, &mut findings);
        let site = identity::read(&identity, units, &mut findings);
        let period = records::years(&document.once("records", false, &mut findings), "period", &mut findings);
        Some(SitePlace { site: site?, period })
    });
    let refused = findings.has_errors();
    let (diagnostics, _) = findings.finish();
    match place {
        Some(place) if !refused => Ok((place, diagnostics)),
        _ => Err(diagnostics),
    }
}

fn read(text: &str, findings: &mut Findings) -> Option<SiteFile> {
    let tree = document::tree(text, findings)?;
    let document = Document::new(tree.get_ref(), findings);
    let format = document.format(findings);
    let identity = document.once("site", true, findings);
    let units = identity::units(&identity, findings);
    let site = identity::read(&identity, units, findings);
    let records = records::read(&document.once("records", true, findings), units, findings);
    let gauges = document.each("gauge", false, findings);
    let gauge_rules: Vec<GaugeRule> = gauges.iter().filter_map(|section| records::gauge(section, findings)).collect();
    let named_station = records.as_ref().and_then(|records| records.station.as_ref());
    for (rule, section) in gauge_rules.iter().zip(&gauges) {
        if named_station.is_some_and(|station| station.value == rule.id.value) {
            let message =
                format!("gauge.id: found {:?}, which records.station names as the leading gauge; expected another", rule.id.value);
            findings.error("keys-contradict", &section.span_of("id"), message);
        }
    }
    unlike_names(findings, gauge_rules.iter().map(|rule| rule.id.value.as_str()).zip(gauges.iter().map(|one| one.span_of("id"))));
    let (official, official_table) = official::read(&document.once("official", false, findings), findings);

    let sections = document.each("roof", true, findings);
    let roofs: Vec<_> = numbered(&sections, |section, number| roofs::read(section, number, units, findings));
    unlike_names(findings, named(&roofs, |entry| &entry.roof.name));
    let whole = roofs.iter().all(|(_, entry)| entry.is_some());
    let roofs: Vec<RoofEntry> = roofs.into_iter().filter_map(|(_, entry)| entry).collect();

    let section = document.once("collection", false, findings);
    let (collection, first_flush) = collecting::read(&section, (&roofs, whole), units, findings);
    let parts = layout::parts(&section, collection.first_flush, units, findings);
    let buildings = document.each("building", false, findings);
    let marks = document.each("mark", false, findings);
    let plan = layout::plan(&document.once("plan", false, findings), &buildings, &marks, findings);
    unlike_names(findings, plan.buildings.iter().map(|one| one.name.as_str()).zip(buildings.iter().map(|one| one.span_of("name"))));

    let sections = document.each("store", true, findings);
    let stores: Vec<_> = numbered(&sections, |section, number| stores::read(section, number, units, findings));
    let around = document.once("surroundings", false, findings);
    let surroundings = around::surroundings(&around, findings);
    layout::agree(&plan, &stores, (&around, &surroundings), units, findings);
    unlike_names(findings, named(&stores, |entry| &entry.store.name));
    let space = stores::space(&document.once("space", false, findings), findings);
    stores::fit(space, &stores, units, findings);
    let whole = whole && stores.iter().all(|(_, entry)| entry.is_some());
    let stores: Vec<StoreEntry> = stores.into_iter().filter_map(|(_, entry)| entry).collect();

    let sections = document.each("demand", true, findings);
    let demands: Vec<_> = numbered(&sections, |section, number| demands::read(section, number, findings));
    unlike_names(findings, named(&demands, |demand| &demand.value.name));
    demands::something_is_drawn(&demands, findings);
    let whole = whole && demands.iter().all(|(_, demand)| demand.is_some());
    let demands: Vec<_> = demands.into_iter().filter_map(|(_, demand)| demand).collect();

    let supply = money::supply(&document.once("supply", false, findings), findings);
    let sections = document.each("cost", false, findings);
    let costs: Vec<Cost> = sections.iter().filter_map(|section| money::cost(section, findings)).collect();
    let whole = whole && costs.len() == sections.len();
    let targets = money::targets(&document.once("targets", false, findings), findings);
    let winter = around::winter(&document.once("winter", false, findings), (&around, surroundings.frost), findings);

    let site = site?;
    if site.currency.is_none() && (!costs.is_empty() || supply.tariff_per_m3.is_some() || supply.sewer_per_m3.is_some()) {
        let message = "site.currency is missing, and the file gives prices".to_owned();
        findings.note("currency-missing", identity.span(), message, "money is printed without the name of a currency");
    }
    let whole = whole && gauge_rules.len() == gauges.len();
    let (format, records) = (format?, Records { gauges: gauge_rules, ..records? });
    whole.then(|| SiteFile {
        format,
        site,
        records,
        official,
        official_table,
        roofs,
        collection,
        first_flush,
        parts,
        plan,
        stores,
        space,
        demands,
        supply,
        costs,
        targets,
        surroundings,
        winter,
        assumptions: Vec::new(),
    })
}

/// Each section with what was read from it.
fn numbered<'s, 'a, T>(sections: &'s [Section<'a>], mut read: impl FnMut(&Section<'a>, usize) -> T) -> Vec<(&'s Section<'a>, T)> {
    sections.iter().enumerate().map(|(at, section)| (section, read(section, at + 1))).collect()
}

/// The name of each entry that could be read, with its place.
fn named<'n, T>(entries: &'n [(&Section, Option<T>)], name: impl Fn(&'n T) -> &'n String) -> Vec<(&'n str, std::ops::Range<usize>)> {
    entries.iter().filter_map(|(section, entry)| Some((name(entry.as_ref()?).as_str(), section.span_of("name")))).collect()
}
