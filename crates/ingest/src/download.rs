//! The archive: station lists and records brought from the agencies' public addresses and kept on this machine.
//!
//! * [`PRODUCTS`](crate::agencies::PRODUCTS): the table of what can be brought, from where, on what terms;
//! * [`Request`]: a station of a product, or a product's lists;
//! * [`Archive`]: the files on this machine, each with a sidecar that says where it came from and what it must be;
//! * [`Source`]: the agencies themselves, or a mirror of theirs;
//! * [`Downloader`]: brings what is requested, a file at a time or several hosts at once, and says what became of each.
//!
//! What holds whatever happens on the way (a cut, a stall, a lie about length, another file in the middle, the power):
//!
//! * the file in its place is the old one whole or the new one whole, and its sidecar says which, or the file counts as unverified and is
//!   brought anew;
//! * nothing takes its place that is a web page, another product, a damaged or swollen archive, or shorter than was announced.
//!
//! Nothing here reads a clock or prints: the [`Caller`] lends its clock and is told what happens.

mod archive;
mod checks;
mod client;
mod connections;
mod downloader;
mod fault;
mod fetch;
mod folder_page;
mod mirror_folder;
mod pace;
mod part;
mod request;
mod retry;
mod settings;
mod sidecar;
mod source;
mod transfer;

pub use archive::Archive;
pub use downloader::{Brought, Downloader, Outcome};
pub use fault::Fault;
pub use request::{Request, Wanted};
pub use settings::{Caller, Event, Settings};
pub use sidecar::Sidecar;
pub use source::Source;
