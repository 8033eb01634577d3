//! The words of `rainworth download`.

use ingest::download::{Brought, Outcome, Product};
use std::fmt::Write;
use std::path::Path;

/// What became of a copy that could not be brought up to date.
pub(crate) const KEPT: &str = "The copy that the archive has is kept.";
/// What became of a record of which one part is not there.
pub(crate) const OTHER_PART: &str = "Another part of the record is there.";

/// What became of a file that is missing.
pub(crate) fn missing(one: &Brought) -> &'static str {
    if exists(&one.file) {
        "The file in the archive, which is not what its sidecar says, is left as it is and not used."
    } else {
        "Nothing of it is in the archive."
    }
}

fn exists(file: &Path) -> bool {
    file.symlink_metadata().is_ok()
}

/// What became of a file, in a word.
pub(crate) fn outcome(one: &Brought) -> &'static str {
    match &one.outcome {
        Outcome::Fetched => "fetched",
        Outcome::Unchanged => "unchanged",
        Outcome::BroughtByAnother => "fetched-by-another-process",
        Outcome::FromArchive => "in-archive",
        Outcome::Kept(_) => "kept",
        Outcome::Missing(fault) if fault.is_not_there() => "not-there",
        Outcome::Missing(_) => "refused",
    }
}

/// A line a file: what became of it, its bytes, where it lies.
pub(crate) fn files(brought: &[Brought]) -> String {
    let sizes: Vec<String> =
        brought.iter().map(|one| one.sidecar.as_ref().map_or("-".to_owned(), |sidecar| sidecar.size.to_string())).collect();
    let words = brought.iter().map(|one| outcome(one).len()).max().unwrap_or(0);
    let width = sizes.iter().map(String::len).max().unwrap_or(0);
    let mut text = String::new();
    for (one, size) in brought.iter().zip(sizes) {
        let _ = writeln!(text, "{:<words$}  {size:>width$}  {}", outcome(one), one.file.display());
    }
    text
}

/// The terms of use of the products.
pub(crate) fn terms(products: &[&Product]) -> String {
    let mut text = String::new();
    for product in products {
        let _ = writeln!(
            text,
            "{}: {}\n  terms: {} ({})\n  to be named as: {}",
            product.id, product.agency_name, product.terms, product.terms_read_on, product.attribution
        );
    }
    text
}

/// Every product, a paragraph each.
pub(crate) fn products(products: &[Product]) -> String {
    let mut text = String::new();
    for product in products {
        let _ = writeln!(text, "{}\n  {}: {}", product.id, product.agency_name, product.name);
        if let Some(rule) = &product.station {
            let years = if product.by_year() { "; the years with --years" } else { "" };
            let _ = writeln!(text, "  station: {}{years}", rule.in_words());
        }
        let _ = writeln!(text, "  terms: {} ({})", product.terms, product.terms_read_on);
        let lists = product.lists.iter().map(|file| (&file.address, &file.read_on));
        for (address, read_on) in lists.chain(product.record.iter().map(|file| (&file.address, &file.read_on))) {
            let _ = writeln!(text, "  {address} ({read_on})");
        }
    }
    text
}
