//! A site file read from disk.

use crate::failure::Failure;
use anyhow::Context;
use series::{Diagnostics, Severity};
use site::site_file::{self, SiteFile};
use std::path::Path;

/// Reads a site file; what is found in it goes to the diagnostics. `consequence` says of a file that cannot be used what was not done.
pub(crate) fn read_site(path: &Path, consequence: &str, diagnostics: &mut Diagnostics) -> Result<SiteFile, Failure> {
    let name = path.display().to_string();
    let bytes = std::fs::read(path).with_context(|| format!("the site file {name} cannot be read"))?;
    let text = String::from_utf8(bytes).with_context(|| format!("the site file {name} is not UTF-8 text"))?;
    match site_file::parse(&text, &name) {
        Ok((site, found)) => {
            diagnostics.extend(found);
            Ok(site)
        }
        Err(found) => {
            let faults = found.list.iter().filter(|diagnostic| diagnostic.severity == Severity::Error).count();
            diagnostics.extend(found);
            Err(Failure::Job(anyhow::anyhow!(
                "the site file {name} cannot be used ({faults} {}); {consequence}",
                if faults == 1 { "fault" } else { "faults" }
            )))
        }
    }
}
