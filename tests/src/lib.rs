//! Tests of the whole from outside, and what they share: the built command, the sample sites, a page taken apart.
//!
//! - [`command`]: build and call `rainworth`;
//! - [`folders`]: the repository's folders, temporary copies of the samples, the bytes of a tree;
//! - [`page`]: tags, facts and visible text of an HTML page, by a small scan;
//! - [`poppler`]: printed sheets read back;
//! - [`report`]: the facts of a `report.json`;
//! - [`python`]: short scripts for a reference interpreter.

pub mod command;
pub mod folders;
pub mod page;
pub mod poppler;
pub mod python;
pub mod report;
