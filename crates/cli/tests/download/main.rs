//! The archive client against a real server on loopback that misbehaves, over plain HTTP and over TLS with an authority of its own, and the real
//! process killed in the middle. The records are invented; what an answer may mean is RFC 9110's.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod answers;
mod bench;
mod command;
mod killed;
mod packed;
mod parts;
mod redirects;
