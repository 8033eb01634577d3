//! Every section and every key of a site file: the one list that unknown keys are measured against.
//!
//! `sample-data/SITE-FILE.md` explains each; a test holds the two together.

/// A section's name, whether it may stand several times (`[[roof]]`), and its keys.
pub(super) struct SectionKeys {
    pub(super) name: &'static str,
    pub(super) repeated: bool,
    pub(super) keys: &'static [&'static str],
}

const fn once(name: &'static str, keys: &'static [&'static str]) -> SectionKeys {
    SectionKeys { name, repeated: false, keys }
}

const fn repeated(name: &'static str, keys: &'static [&'static str]) -> SectionKeys {
    SectionKeys { name, repeated: true, keys }
}

/// Keys before the first section.
pub(super) const TOP: &[&str] = &["format"];

pub(super) const SECTIONS: &[SectionKeys] = &[
    once("site", &["name", "latitude", "longitude", "elevation", "units", "locale", "prepared_on", "stage", "currency"]),
    once(
        "records",
        &[
            "folder",
            "files",
            "station_list",
            "station",
            "period",
            "normals",
            "wet_day",
            "seed",
            "depth_unit",
            "date_order",
            "use_neighbours",
            "amounts_as_measured",
            "undercatch",
        ],
    ),
    repeated("gauge", &["id", "days_later", "left_out"]),
    once("official", &["intensity", "table", "duration", "return_period", "source", "read_on"]),
    repeated(
        "roof",
        &[
            "name",
            "plan_area",
            "length",
            "width",
            "covering",
            "runoff_coefficient",
            "coefficient_is",
            "wetting_loss",
            "outline",
            "gutter",
            "downpipe",
            "eaves_height",
        ],
    ),
    once(
        "collection",
        &[
            "screen_share_passed",
            "first_flush",
            "first_flush_depth",
            "first_flush_drains_per_day",
            "first_flush_empties_after_dry_days",
            "screen_place",
            "screen_height",
            "first_flush_place",
            "first_flush_diameter",
            "first_flush_bottom_height",
            "first_flush_top_height",
        ],
    ),
    repeated(
        "store",
        &[
            "name",
            "nominal",
            "dead",
            "above_overflow",
            "count",
            "diameter",
            "length",
            "width",
            "height",
            "footprint",
            "empty_mass",
            "buried",
            "floor_height",
            "outlet_height",
            "overflow_height",
            "places",
            "length_along",
            "overflow_path",
            "outfall_height",
        ],
    ),
    once("space", &["length", "width", "height"]),
    repeated("demand", &["name", "per_day", "area", "depth_per_week", "by_month", "months", "weekdays"]),
    once("supply", &["top_up", "tariff_per_m3", "tariff_per_1000_gal", "sewer_per_m3", "sewer_per_1000_gal", "pump", "source"]),
    repeated("cost", &["item", "amount", "every_years"]),
    once("targets", &["volumetric_reliability"]),
    once(
        "surroundings",
        &[
            "basement",
            "slope",
            "downhill_neighbour",
            "well_distance",
            "septic_distance",
            "boundary_distance",
            "foundation_distance",
            "frost",
        ],
    ),
    once("plan", &["bearing_of_top", "boundary"]),
    repeated("building", &["name", "outline"]),
    repeated("mark", &["name", "place"]),
    once("winter", &["store_rests_from", "store_rests_to", "melt_credit"]),
];

/// The keys of a section.
pub(super) fn keys_of(section: &str) -> &'static [&'static str] {
    SECTIONS.iter().find(|one| one.name == section).map_or(&[], |one| one.keys)
}

/// The sections that have a key, as they are written.
pub(super) fn sections_with(key: &str) -> Vec<String> {
    let with = SECTIONS.iter().filter(|section| section.keys.contains(&key));
    with.map(|section| if section.repeated { format!("[[{}]]", section.name) } else { format!("[{}]", section.name) }).collect()
}
