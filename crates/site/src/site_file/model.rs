//! What a site file holds once it is read: the site's own types, and the text and place of what was typed.
//!
//! Stored units are those of `series` (mm, m2, L, m, kg, mm/h). Money is a plain number in the file's own currency.

use crate::{Collection, Demand, GroundPoint, OfficialIntensity, Roof, Space, Store, Surroundings, WinterRule};
use series::{Area, DateOrder, Day, Depth, DepthUnit, Length, Period, UnitSystem, Volume};

/// A value with the text that it was read from and the place of that text.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Typed<T> {
    /// The value in its stored unit.
    pub value: T,
    /// What was typed, such as `"700 ft2"` (without the quotes); of two keys both, such as `"8 m x 4 m"`.
    pub text: String,
    /// Line, from 1.
    pub line: u32,
    /// Column, from 1, in characters.
    pub column: u32,
}

/// A default that was taken because the site file does not give the value. Reports print every one.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Assumption {
    /// Spelt-out identifier, such as `dead-volume`.
    pub id: &'static str,
    /// The key that would replace it, such as `store[1].dead`.
    pub key: String,
    /// The value taken, with its unit, in the site's system of units.
    pub value_text: String,
}

/// Language and spelling of a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize)]
pub enum Locale {
    /// British English.
    #[default]
    #[serde(rename = "en-GB")]
    EnGb,
    /// American English.
    #[serde(rename = "en-US")]
    EnUs,
}

/// How far the project has come. Most desks want to be asked before anything is bought (TRADE section 2).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Nothing has been bought yet.
    NotPurchased,
    /// The site file does not say.
    #[default]
    NotStated,
    /// Bought, not built.
    Purchased,
    /// Built.
    Built,
}

/// `[site]`: which place, and how its report speaks.
#[derive(Debug, Clone, PartialEq)]
pub struct Identity {
    /// As the owner calls it; no person's name and no address is asked for.
    pub name: String,
    /// Degrees north, -90 to 90.
    pub latitude: f64,
    /// Degrees east, -180 to 180.
    pub longitude: f64,
    /// Height above sea level.
    pub elevation: Option<Typed<Length>>,
    /// Units of the pages.
    pub units: UnitSystem,
    /// Language of the pages.
    pub locale: Locale,
    /// The date that the pages carry; never read from a clock here.
    pub prepared_on: Option<Day>,
    /// How far the project has come.
    pub stage: Stage,
    /// What the money is called, such as `EUR`.
    pub currency: Option<String>,
}

/// What of a site file says where and when, although the rest may not be written yet.
#[derive(Debug, Clone, PartialEq)]
pub struct SitePlace {
    /// `[site]`.
    pub site: Identity,
    /// `period` of `[records]`.
    pub period: Option<Period>,
}

/// Where the station files are. Paths are text, relative to the site file; this crate opens none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RecordSource {
    /// All station files of a folder.
    Folder(String),
    /// These files.
    Files(Vec<String>),
}

/// `[records]`: which records are used, and how.
#[derive(Debug, Clone, PartialEq)]
pub struct Records {
    /// Where they are.
    pub source: RecordSource,
    /// A station list that gives names and positions.
    pub station_list: Option<String>,
    /// The gauge whose daily pattern leads; otherwise the program chooses and says so.
    pub station: Option<Typed<String>>,
    /// Whole years to use; otherwise all.
    pub period: Option<Period>,
    /// Whole years of the normals; otherwise all that are used.
    pub normals: Option<Period>,
    /// A day with at least this depth is a wet day.
    pub wet_day: Depth,
    /// Seed of the draws that fill gaps.
    pub seed: u64,
    /// The unit of rain in files that do not name theirs.
    pub depth_unit: Option<DepthUnit>,
    /// The order of the dates in files that leave it open.
    pub date_order: Option<DateOrder>,
    /// Whether the other gauges fill the gaps of the one that leads and tell how its multi-day totals fell.
    pub use_neighbours: bool,
    /// Whether the leading gauge's depths are taken for the site's as they are, instead of by the site's amounts.
    pub amounts_as_measured: bool,
    /// Share of the rain that the gauge misses by wind and wetting, 0 to 0.5; 0 when nothing is corrected.
    pub undercatch: f64,
    /// Every `[[gauge]]`.
    pub gauges: Vec<GaugeRule>,
}

/// A `[[gauge]]`: what somebody who knows says of one of the records.
#[derive(Debug, Clone, PartialEq)]
pub struct GaugeRule {
    /// The station.
    pub id: Typed<String>,
    /// How many days later it dates the same rain than the leading gauge, -2 to 2.
    pub days_later: Option<i32>,
    /// It is read and listed, and nothing is made of it.
    pub left_out: bool,
}

/// `[official]` with `table`: which value of which table file is meant.
#[derive(Debug, Clone, PartialEq)]
pub struct OfficialFromTable {
    /// The file, relative to the site file.
    pub table: Typed<String>,
    /// Duration in minutes.
    pub duration_minutes: Typed<f64>,
    /// Return period in years, of the table's own series.
    pub return_period_years: Typed<f64>,
    /// When the owner fetched the table.
    pub read_on: Option<Day>,
}

/// A `[[roof]]`.
#[derive(Debug, Clone, PartialEq)]
pub struct RoofEntry {
    /// The roof.
    pub roof: Roof,
    /// Its plan area as typed, or the length and width that make it.
    pub plan_area: Typed<Area>,
    /// Where it stands.
    pub layout: RoofLayout,
}

/// A `[[store]]`.
#[derive(Debug, Clone, PartialEq)]
pub struct StoreEntry {
    /// The store.
    pub store: Store,
    /// Nominal volume of one tank as typed.
    pub nominal: Typed<Volume>,
    /// Dead volume of one tank as typed, where it is given.
    pub dead: Option<Typed<Volume>>,
    /// Volume above the overflow of one tank as typed, where it is given.
    pub above_overflow: Option<Typed<Volume>>,
    /// Height of one tank, from its shape or as given.
    pub height: Option<Length>,
    /// Whether it lies in the ground, where the file says.
    pub buried: Option<bool>,
    /// Height of the tank's floor above the ground beside it.
    pub floor_height: Option<Typed<Length>>,
    /// Height of the outlet above the same ground.
    pub outlet_height: Option<Typed<Length>>,
    /// Height of the overflow above the same ground.
    pub overflow_height: Option<Typed<Length>>,
    /// Where it stands.
    pub layout: StoreLayout,
}

/// Where a roof stands; lists are empty where the file does not say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RoofLayout {
    /// Its corners as seen from above, eaves included.
    pub outline: Vec<GroundPoint>,
    /// The way of its gutter.
    pub gutter: Vec<GroundPoint>,
    /// Where its downpipe comes down.
    pub downpipe: Option<GroundPoint>,
    /// Height of the roof's edge at the gutter above the ground.
    pub eaves_height: Option<Typed<Length>>,
}

/// Which way the length of a tank that is a box lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LengthAlong {
    /// From left to right on the page.
    #[default]
    Right,
    /// Up the page.
    Up,
}

impl LengthAlong {
    /// The four corners of a box about its middle.
    pub fn rectangle(self, middle: GroundPoint, length: Length, width: Length) -> [GroundPoint; 4] {
        let (length, width) = (length.get() / 2.0, width.get() / 2.0);
        let (across, along) = match self {
            Self::Right => (length, width),
            Self::Up => (width, length),
        };
        [(-across, -along), (across, -along), (across, along), (-across, along)]
            .map(|(right, up)| GroundPoint::new(middle.right + right, middle.up + up))
    }
}

/// Where a store stands; lists are empty where the file does not say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StoreLayout {
    /// The middle of each tank.
    pub places: Vec<GroundPoint>,
    /// Which way the length of a box lies.
    pub length_along: LengthAlong,
    /// The way of the overflow, from the store to where it runs out.
    pub overflow_path: Vec<GroundPoint>,
    /// Height of that place above the ground beside the store; below zero where it lies lower.
    pub outfall_height: Option<Typed<Length>>,
}

/// Where screen and first flush are.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PartsLayout {
    /// Where the screen is, from above.
    pub screen_place: Option<GroundPoint>,
    /// Its height above the ground.
    pub screen_height: Option<Typed<Length>>,
    /// Where the first-flush chamber stands.
    pub first_flush_place: Option<GroundPoint>,
    /// Its outer diameter.
    pub first_flush_diameter: Option<Typed<Length>>,
    /// Height of its lower end above the ground.
    pub first_flush_bottom_height: Option<Typed<Length>>,
    /// Height of its upper end.
    pub first_flush_top_height: Option<Typed<Length>>,
}

/// A `[[building]]`: walls where they stand on the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Building {
    /// As the owner calls it.
    pub name: String,
    /// Its corners.
    pub outline: Vec<GroundPoint>,
}

/// A `[[mark]]`: something that a plan should show, such as a well or a tree.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundMark {
    /// As the owner calls it.
    pub name: String,
    /// Where it stands.
    pub place: GroundPoint,
}

/// `[plan]` with all buildings and marks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct GroundPlan {
    /// Degrees clockwise from north in which the top of the page looks.
    pub bearing_of_top: Option<f64>,
    /// The property boundary: a closed outline, or one side of two corners; empty where the file does not say.
    pub boundary: Vec<GroundPoint>,
    /// Every `[[building]]`.
    pub buildings: Vec<Building>,
    /// Every `[[mark]]`.
    pub marks: Vec<GroundMark>,
}

/// `[supply]`: the mains beside the rain, and what they cost.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Supply {
    /// Whether the mains make up what the store cannot give.
    pub top_up: bool,
    /// Price of mains water for a cubic metre.
    pub tariff_per_m3: Option<f64>,
    /// Sewer charge for a cubic metre of mains water, where garden water pays it.
    pub sewer_per_m3: Option<f64>,
    /// Whether a pump draws from the store.
    pub pump: bool,
    /// Where the prices were read.
    pub source: Option<String>,
}

/// A `[[cost]]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Cost {
    /// What for.
    pub item: String,
    /// How much, in the file's currency.
    pub amount: f64,
    /// Paid again after so many years; otherwise once.
    pub every_years: Option<f64>,
}

/// `[targets]`: what the owner wants to reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Targets {
    /// Share of the demanded volume that the store should give, over 0 to 1.
    pub volumetric_reliability: f64,
}

/// `[winter]`: what the store and the snow do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winter {
    /// Whether the store rests.
    pub rule: WinterRule,
    /// Share of snow that is counted as inflow when it melts, 0 to 1.
    pub melt_credit: f64,
}

/// A site file, read and found without errors.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteFile {
    /// Version of the file's format.
    pub format: u32,
    /// `[site]`.
    pub site: Identity,
    /// `[records]`.
    pub records: Records,
    /// `[official]`, with the intensity's typed text and place.
    pub official: Option<Typed<OfficialIntensity>>,
    /// `[official]` with a table's file, which the caller reads to put the value into [`SiteFile::official`].
    pub official_table: Option<OfficialFromTable>,
    /// Every `[[roof]]`, at least one.
    pub roofs: Vec<RoofEntry>,
    /// `[collection]`.
    pub collection: Collection,
    /// First-flush volume or depth as typed (the value is the volume).
    pub first_flush: Option<Typed<Volume>>,
    /// Where screen and first flush are.
    pub parts: PartsLayout,
    /// `[plan]`, `[[building]]` and `[[mark]]`.
    pub plan: GroundPlan,
    /// Every `[[store]]`, at least one.
    pub stores: Vec<StoreEntry>,
    /// `[space]`; every length `None` when the file does not say.
    pub space: Space,
    /// Every `[[demand]]`, at least one, with what was typed.
    pub demands: Vec<Typed<Demand>>,
    /// `[supply]`.
    pub supply: Supply,
    /// Every `[[cost]]`.
    pub costs: Vec<Cost>,
    /// `[targets]`.
    pub targets: Targets,
    /// `[surroundings]`.
    pub surroundings: Surroundings,
    /// `[winter]`.
    pub winter: Winter,
    /// Every default that was taken, in the order of this list of sections.
    pub assumptions: Vec<Assumption>,
}

impl SiteFile {
    /// The roofs alone.
    pub fn roofs(&self) -> Vec<Roof> {
        self.roofs.iter().map(|entry| entry.roof.clone()).collect()
    }

    /// The stores alone.
    pub fn stores(&self) -> Vec<Store> {
        self.stores.iter().map(|entry| entry.store.clone()).collect()
    }

    /// The demands alone.
    pub fn demands(&self) -> Vec<Demand> {
        self.demands.iter().map(|demand| demand.value.clone()).collect()
    }

    /// Plan area of all roofs, m2.
    pub fn plan_area(&self) -> Area {
        self.roofs.iter().map(|entry| entry.roof.plan_area).sum()
    }
}
