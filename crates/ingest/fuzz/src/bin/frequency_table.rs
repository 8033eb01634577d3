//! Tables of design rain.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    let _ = ingest::read_frequency_table_bytes("fuzzed", data);
});
