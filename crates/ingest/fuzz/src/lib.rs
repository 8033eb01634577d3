//! What must hold of whatever a reader makes of any bytes.
//!
//! A reader may find faults and may refuse the file; it may not panic, overflow, hang or fill the memory, and what it gives must add up. The last two are
//! watched by libFuzzer's own limits (run.sh).

mod check;
mod families;

pub use check::check;
pub use families::FAMILIES;
use ingest::Wanted;
use ingest::formats::{FORMATS, Format, Input};

/// The formats of a target's family.
///
/// # Panics
/// If there is no such family, or a format of the table of readers is in none.
pub fn family(target: &str) -> Vec<&'static Format> {
    let of = |words: &[&str]| FORMATS.iter().filter(|format| words.iter().any(|word| format.name.contains(word))).collect::<Vec<_>>();
    let all: usize = FAMILIES.iter().map(|(_, words)| of(words).len()).sum();
    assert_eq!(all, FORMATS.len(), "families.rs leaves a format out, or has one twice");
    FAMILIES.iter().find(|(name, _)| *name == target).map(|(_, words)| of(words)).expect("a family of that name")
}

/// Reads bytes as one of the formats, chosen by the first byte, whatever its sniff says of them.
pub fn read_as(formats: &[&'static Format], data: &[u8]) {
    let Some((&choice, bytes)) = data.split_first() else { return };
    let Some(format) = formats.get(usize::from(choice) % formats.len().max(1)) else { return };
    let input = Input { name: "fuzzed", bytes, sha256: "", companions: &ingest::formats::Companions::default() };
    let _ = (format.read)(input, wanted(choice), &mut |record| check(&record));
}

/// Reads bytes as the program does: unpacked, sniffed, read.
pub fn read_any(data: &[u8]) {
    let Some((&choice, bytes)) = data.split_first() else { return };
    let _ = ingest::read_bytes("fuzzed", bytes, wanted(choice), &mut |record| check(&record));
    let _ = ingest::StationList::read_bytes("fuzzed", bytes);
    let _ = ingest::Inventory::read_bytes("fuzzed", bytes);
    // A list with itself for an inventory: whatever stands in it is one of the two.
    let _ = ingest::catalogue::Catalogue::read_bytes(("fuzzed", bytes.to_vec()), Some(("fuzzed", bytes)));
}

fn wanted(choice: u8) -> Wanted {
    Wanted { temperatures: choice & 0x80 != 0, ..Wanted::default() }
}
