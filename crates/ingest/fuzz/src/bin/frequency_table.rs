//! Tables of design rain.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| {
    let _ = ingest::frequency_table("fuzzed", data);
});
