//! Readers of one line a month in fixed columns.
#![no_main]

use std::sync::LazyLock;

static FAMILY: LazyLock<Vec<&'static ingest::formats::Format>> = LazyLock::new(|| ingest_fuzz::family("fixed_columns"));

libfuzzer_sys::fuzz_target!(|data: &[u8]| ingest_fuzz::read_as(&FAMILY, data));
