//! The whole way in: unpack, sniff, read; station lists too.
#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| ingest_fuzz::read_any(data));
