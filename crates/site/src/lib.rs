//! The site: its file, roof, losses, demand and store; the daily balance, sizing and replay. Pure: it takes series, never a path.
//!
//! The way of the water is the order of the modules: [`rain_run`] on [`roof`]s, through [`losses`], becomes [`daily_water`]; the
//! [`balance`] runs it over a [`store`]; [`reliability`], [`storage_curve`], [`driest_year`] and the rest read it off.

pub mod balance;
pub mod base_load;
pub mod cautions;
mod chamber;
pub mod collection;
pub mod constants;
pub mod daily_water;
pub mod demand;
pub mod driest_year;
pub mod error;
pub mod fit;
pub mod footprint;
pub mod full_tank;
pub mod ground;
mod kernel;
pub mod losses;
pub mod one_storm;
pub mod rain_run;
pub mod reliability;
pub mod roof;
pub mod sequent_peak;
pub mod site_file;
pub mod spin_up;
pub mod storage_curve;
pub mod store;
pub mod surroundings;
#[cfg(test)]
mod test_data;
pub mod volume_limit;
pub mod water_account;
pub mod water_path;

pub use balance::{BalanceDay, BalanceSummary, BalanceTrace, ReleaseRule};
pub use cautions::{Caution, CautionReason, CautionSite, RaisedCaution};
pub use collection::{Collection, FirstFlush, FirstFlushEmptying};
pub use daily_water::DailyWater;
pub use demand::Demand;
pub use error::SiteError;
pub use fit::Fit;
pub use ground::GroundPoint;
pub use losses::{CollectedRun, Losses, RoofDay};
pub use rain_run::{RainDay, RainRun};
pub use reliability::Reliability;
pub use roof::{Covering, Evidence, MaterialConcern, PublishedRange, Roof, RunoffCoefficient};
pub use storage_curve::{CurvePoint, Measure};
pub use store::{Shape, Space, Store};
pub use surroundings::{OfficialIntensity, OfficialTableFile, Surroundings, WinterRule};
pub use water_account::WaterAccount;
pub use water_path::{FlowCheck, NotAssessable, PathPart, PathRow};
