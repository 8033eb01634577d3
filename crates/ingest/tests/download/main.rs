//! The archive client against a real server on loopback that misbehaves, over plain HTTP and over TLS with an authority of its own. The records are
//! invented; what an answer may mean is RFC 9110's. The real process, killed in the middle, is in `cli/tests/download`.

#![cfg(feature = "download")]
// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod answers;
mod bench;
mod links_and_parts;
mod mirrors;
mod packed;
mod parts;
mod real_files;
mod redirects;
