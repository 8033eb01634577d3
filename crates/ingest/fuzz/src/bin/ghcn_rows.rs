//! Readers of one line a value, of very many stations.
#![no_main]

use std::sync::LazyLock;

static FAMILY: LazyLock<Vec<&'static ingest::formats::Format>> = LazyLock::new(|| ingest_fuzz::family("ghcn_rows"));

libfuzzer_sys::fuzz_target!(|data: &[u8]| ingest_fuzz::read_as(&FAMILY, data));
