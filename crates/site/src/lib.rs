//! The site: its file, roof, losses, demand and store; the daily balance, sizing and replay. Pure: it takes series, never a path.

pub mod collection;
pub mod demand;
pub mod roof;
pub mod site_file;
pub mod store;
pub mod surroundings;

pub use collection::{Collection, FirstFlush, FirstFlushEmptying};
pub use demand::Demand;
pub use roof::{Covering, Roof, RunoffCoefficient};
pub use store::{Shape, Space, Store};
pub use surroundings::{OfficialIntensity, Surroundings, WinterRule};
