//! What the tests of several crates share, and the maker of the sample data.
//!
//! - [`record_builder`]: text of small station files in the GHCN-Daily layout, byte-exact, for tests;
//! - [`environment`]: where the real records, a reference Python and a browser are, or one line saying that they are not there;
//! - [`valley`]: the invented valley of `sample-data`, made from a seed;
//! - [`cpu_time`]: processor time of a piece of work, for benches;
//! - `server` (a feature): a server on loopback that misbehaves as it is told;
//! - [`draws`]: seeded draws whose stream is fixed by a named algorithm.
//!
//! Nothing here depends on the crates under test, so that a wrong reader and a wrong writer cannot agree by sharing code.

pub mod cpu_time;
pub mod draws;
pub mod environment;
pub mod record_builder;
#[cfg(feature = "server")]
pub mod server;
pub mod valley;

pub use environment::{accessibility_rules, browser, data_dir, reference_python};
pub use record_builder::DlyText;
