//! Readers of a person's own log, where all must be recognised.
#![no_main]

use std::sync::LazyLock;

static FAMILY: LazyLock<Vec<&'static ingest::formats::Format>> = LazyLock::new(|| ingest_fuzz::family("own_log"));

libfuzzer_sys::fuzz_target!(|data: &[u8]| ingest_fuzz::read_as(&FAMILY, data));
