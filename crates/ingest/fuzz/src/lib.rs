//! What must hold of whatever a reader makes of any bytes.
//!
//! A reader may find faults and may refuse the file; it may not panic, overflow, hang or fill the memory, and what it gives must add up. The last two are
//! watched by libFuzzer's own limits (run.sh).

use ingest::formats::{FORMATS, Format, Input};
use ingest::{StationRecord, Wanted};

/// The formats whose names hold one of these words.
pub fn family(words: &[&str]) -> Vec<&'static Format> {
    FORMATS.iter().filter(|format| words.iter().any(|word| format.name.contains(word))).collect()
}

/// Reads bytes as one of the formats, chosen by the first byte, whatever its sniff says of them.
pub fn read_as(formats: &[&'static Format], data: &[u8]) {
    let Some((&choice, bytes)) = data.split_first() else { return };
    let Some(format) = formats.get(usize::from(choice) % formats.len().max(1)) else { return };
    let input = Input { name: "fuzzed", bytes, sha256: "", companions: &[] };
    let _ = (format.read)(input, wanted(choice), &mut check);
}

/// Reads bytes as the program does: unpacked, sniffed, read.
pub fn read_any(data: &[u8]) {
    let Some((&choice, bytes)) = data.split_first() else { return };
    let _ = ingest::read_bytes("fuzzed", bytes, wanted(choice), &mut check);
    let _ = ingest::StationList::read_bytes("fuzzed", bytes);
    let _ = ingest::Inventory::read_bytes("fuzzed", bytes);
}

fn wanted(choice: u8) -> Wanted {
    Wanted { temperatures: choice & 0x80 != 0, ..Wanted::default() }
}

/// What must hold of a record.
fn check(record: StationRecord) {
    let rain = &record.rain;
    let c = rain.counts();
    assert_eq!(c.calendar, c.measured + c.trace + c.accumulated + c.rejected + c.missing);
    assert_eq!(c.calendar, rain.period().map_or(0, series::Period::days));
    assert!(rain.readings().iter().all(|reading| reading.depth().is_none_or(|depth| depth >= 0)));
    if let Some(period) = rain.period() {
        assert!(rain.reading(period.first).is_usable() && rain.reading(period.last).is_usable());
        assert!(rain.total_micrometres() >= 0);
    }
    assert!(record.diagnostics.list.len() <= record.diagnostics.total());
    for finding in &record.diagnostics.list {
        assert!(!finding.message.is_empty() && finding.message.len() < 10_000 && !finding.done.is_empty());
    }
    for (day, _) in rain.days() {
        let _ = rain.provenance.place(day);
    }
}
