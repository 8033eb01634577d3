//! Names of records in the tables: no two alike.
//!
//! A gauge may be there in two formats (an archive's station file and the agency's own). Their rows are two records of one station, and a
//! program that joins the tables by the station's name must not take them for one.

use series::{Diagnostic, Diagnostics, Severity};
use std::collections::{BTreeMap, BTreeSet};

/// A record in the tables.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Whose {
    /// The name that it has so far.
    pub(crate) named: String,
    /// Format in words.
    pub(crate) format: String,
    /// Its file, where it is one.
    pub(crate) file: String,
}

/// New names for records that would share one.
#[derive(Debug, Default)]
pub(crate) struct Apart {
    /// Place in the list and name, in order.
    pub(crate) names: Vec<(usize, String)>,
    /// One for each name that was shared.
    pub(crate) findings: Diagnostics,
}

/// Names records apart: by their format, and where that is the same too by their file and at last by a number.
pub(crate) fn apart(records: &[Whose]) -> Apart {
    let mut by_name: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (place, record) in records.iter().enumerate() {
        by_name.entry(&record.named).or_default().push(place);
    }
    let mut taken: BTreeSet<String> = by_name.keys().map(|name| (*name).to_owned()).collect();
    by_name.retain(|_, places| places.len() > 1);
    let mut apart = Apart::default();
    for (named, places) in by_name {
        let one_each = |of: fn(&Whose) -> &str| {
            let mut all: Vec<&str> = places.iter().map(|place| of(&records[*place])).collect();
            all.sort_unstable();
            all.windows(2).all(|two| two[0] != two[1])
        };
        let (by_format, by_file) = (one_each(|record| &record.format), one_each(|record| &record.file));
        let names = places.iter().zip(1..).map(|(&place, number)| {
            let record = &records[place];
            let what = match (by_format, by_file) {
                (true, _) => record.format.clone(),
                (_, true) => format!("{}, {}", record.format, record.file),
                _ => format!("{}, {number}", record.format),
            };
            // An id may hold anything, also what would be the name of another record.
            let numbered = (2..).map(|again| format!("{named} ({what}, {again})"));
            let name = std::iter::once(format!("{named} ({what})")).chain(numbered).find(|name| taken.insert(name.clone()));
            (place, name.unwrap_or_default())
        });
        let names: Vec<(usize, String)> = names.collect();
        let quoted = names.iter().map(|(_, name)| format!("{name:?}")).collect::<Vec<_>>().join(", ");
        let message = format!("found {} records of station {named}; expected one, by which its rows are known", places.len());
        let finding = Diagnostic::new("station-in-several-records", Severity::Warning, message)
            .in_file(records[places[0]].file.clone())
            .done(format!("Each has rows of its own in the tables, as {quoted}."));
        apart.findings.push(finding);
        apart.names.extend(names);
    }
    apart.names.sort_unstable();
    apart
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn records_of_one_name_are_told_apart() {
        let whose = |named: &str, format: &str, file: &str| Whose { named: named.into(), format: format.into(), file: file.into() };
        let records = [
            whose("A", "one", "a"),
            whose("B", "one", "b"),
            whose("A", "other", "a"),
            whose("C", "one", "c"),
            whose("C", "one", "d"),
            whose("D", "one", ""),
            whose("D", "one", ""),
            whose("A (one)", "log", "e"),
        ];
        let apart = apart(&records);
        let names: Vec<(usize, &str)> = apart.names.iter().map(|(place, name)| (*place, name.as_str())).collect();
        let expected = [(0, "A (one, 2)"), (2, "A (other)"), (3, "C (one, c)"), (4, "C (one, d)"), (5, "D (one, 1)"), (6, "D (one, 2)")];
        assert_eq!((names, apart.findings.count("station-in-several-records")), (expected.to_vec(), 3));
    }
}
