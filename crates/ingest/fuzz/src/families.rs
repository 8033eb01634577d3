//! Which reader is tried by which target: each format by a word of its name, in one family only.
//!
//! The test `samples.rs` of the readers holds this table against the table of formats, so that no new format is left out.

/// The targets and the words by which their formats are known.
pub const FAMILIES: [(&str, &[&str]); 7] = [
    ("fixed_columns", &["GHCN-Daily station file", "archive daily file", "HadUKP"]),
    ("ghcn_rows", &["GHCN-Daily file of rows"]),
    ("american_tables", &["NCEI access", "Climate Data Online", "Global Summary"]),
    ("semicolon_tables", &["DWD", "Meteo-France", "MeteoSwiss", "SMHI", "HidroWeb"]),
    ("tables_with_preambles", &["ECA&D", "KNMI", "Met Eireann", "MIDAS", "Hong Kong"]),
    ("plain_tables", &["daily CSV", "IDCJAC0009", "IMGW"]),
    ("own_log", &["gauge log"]),
];
