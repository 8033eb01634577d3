//! Records, statistics and site joined into one value: the [`Assessment`], made of facts.
//!
//! No file is opened and no clock is read here: the command gives the bytes' records and the date. One file an idea:
//! `station_choice` (which gauge leads), `neighbour_choice` (which others have a say), `left_out` (what each says of the answer), `climate_facts`, `spell_facts`, `storm_facts` (the rain), `site_run` (the days of the
//! balance), `supply_facts`, `store_facts`, `replay_facts` (what comes of it), `site_facts` (what needs no rain), `official_table` (a design rain out of a table), `assessment` (the join).

mod alternative_facts;
mod answer_from;
mod assessment;
mod climate_facts;
mod depth_step;
mod error;
mod facts;
mod gauge_facts;
mod gauge_stock;
mod great_days;
mod lead_doubts;
mod left_out;
mod neighbour_choice;
mod official_table;
mod other_days;
mod prepared_records;
mod quality_facts;
mod quality_tests;
mod rain_record;
mod rain_tables;
mod record_cautions;
mod record_facts;
mod record_gaps;
mod record_months;
mod record_sheet;
mod record_sheet_facts;
mod record_summary;
mod record_years;
mod records_at_hand;
mod replay_facts;
mod site_facts;
mod site_run;
mod spell_facts;
mod station_choice;
mod store_facts;
mod storm_facts;
mod supply_facts;
mod terms_of_records;
#[cfg(test)]
mod test_records;
#[cfg(test)]
mod tests;
mod weighty_findings;
mod who_is_asked;

pub use assessment::{Assessment, HEADLINE_NEEDS_YEARS, Inputs, assess};
pub use climate_facts::{Climate, ClimateRule};
pub use depth_step::DepthStep;
pub use error::Error;
pub use facts::Facts;
pub use great_days::{GREAT_DAYS, GreatDay, RejectedDay};
pub use lead_doubts::{FAR_FROM_SITE_KM, HEIGHT_APART_M, LeadDoubt, SHORT_YEARS};
pub use left_out::{GaugeAnswer, LeftOut};
pub use neighbour_choice::{GaugeBeside, NeighbourChoice, NoSay, REACH_KM};
pub use official_table::official_from_table;
pub use quality_tests::quality_of;
pub use rain_record::{RainRecord, rain_record};
pub use rain_tables::{RainTableRule, StationRow, StationTables, station_tables};
pub use record_cautions::RecordCaution;
pub use record_gaps::Gap;
pub use record_months::MonthOfRecord;
pub use record_sheet::{FOLD_FROM_YEARS, OneTotal, QualityFlag, RecordSheet};
pub use record_summary::{GreatestDay, MultiDayTotals, RecordSummary, Source};
pub use record_years::{MeanYear, YearsOfRecord};
pub use replay_facts::Replay;
pub use site_facts::SiteResult;
pub use site_run::{Frost, SiteRun, SnowKnowledge};
pub use spell_facts::{LENGTHS, Spells};
pub use station_choice::{Candidate, Reason, StationChoice};
pub use store_facts::{RULE, StoreResult, TargetOutcome};
pub use storm_facts::{LONGEST_STORM, RETURN_PERIODS, Storms};
pub use supply_facts::{AgainstRanges, LOSSES};
pub use terms_of_records::{TermsOfRecords, terms_of_records};
pub use weighty_findings::weighty_kinds;
