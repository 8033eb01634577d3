//! Readers of tables behind a preamble.
#![no_main]

use std::sync::LazyLock;

static FAMILY: LazyLock<Vec<&'static ingest::formats::Format>> = LazyLock::new(|| ingest_fuzz::family("tables_with_preambles"));

libfuzzer_sys::fuzz_target!(|data: &[u8]| ingest_fuzz::read_as(&FAMILY, data));
