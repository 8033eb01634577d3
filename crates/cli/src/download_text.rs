//! The words of `rainworth download`.

use ingest::agencies::Product;
use ingest::download::{Brought, Outcome};
use report::terminal::wrapped;
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

/// What a site file names and nobody was asked for.
pub(crate) fn not_asked(names: &[String]) -> String {
    let mut text = String::new();
    for name in names {
        wrapped(&mut text, "not asked for: ", &format!("{name}: no PRODUCT:STATION of the archive"));
    }
    text
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
        Outcome::Missing(_) => "not-brought",
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
        wrapped(&mut text, "", &format!("{}: {}", product.id, product.terms.agency_name));
        use_of(&mut text, product);
    }
    text
}

fn use_of(text: &mut String, product: &Product) {
    wrapped(text, "  terms: ", &format!("{} ({})", product.terms.terms, product.terms.read_on));
    wrapped(text, "  to be named as: ", &product.terms.attribution);
}

/// Every product, a paragraph each.
pub(crate) fn products(products: &[Product]) -> String {
    let mut text = String::new();
    for product in products {
        let _ = writeln!(text, "{}", product.id);
        wrapped(&mut text, "  ", &format!("{}: {}", product.terms.agency_name, product.name));
        if let Some(rule) = &product.station {
            let years = if product.by_year() { "; the years with --years" } else { "" };
            wrapped(&mut text, "  station: ", &format!("{}{years}", rule.in_words()));
        }
        use_of(&mut text, product);
        let lists = product.lists.iter().map(|file| (&file.address, &file.read_on));
        for (address, read_on) in lists.chain(product.record.iter().map(|file| (&file.address, &file.read_on))) {
            // An address is not broken: it is there to be copied.
            let _ = writeln!(text, "  {address}\n    {read_on}");
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use ingest::agencies::PRODUCTS;

    #[test]
    fn nothing_but_addresses_is_wider_than_a_terminal() {
        let all: Vec<&Product> = PRODUCTS.iter().collect();
        for text in [products(&PRODUCTS), terms(&all)] {
            let lines = text.lines().filter(|line| !line.contains("https://"));
            assert!(lines.clone().count() > 50 && lines.clone().all(|line| line.chars().count() <= 80), "{text}");
        }
    }
}
