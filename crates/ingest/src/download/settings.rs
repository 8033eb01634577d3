//! How patient the client is, and what its caller lends it.

use std::time::{Duration, SystemTime};

/// How long is waited and how often it is tried.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Longest time until a server has taken the connection.
    pub connect: Duration,
    /// Longest time without a byte.
    pub stall: Duration,
    /// How often a try is repeated that may yet work.
    pub repeats: u32,
    /// Longest wait before the first repeat; it doubles with each.
    pub first_wait: Duration,
    /// Longest wait before any repeat; a server that asks for more is left alone.
    pub longest_wait: Duration,
    /// Connections to one host at a time.
    pub connections: usize,
    /// Further root certificates, PEM, beside those of the system.
    pub certificates: Option<Vec<u8>>,
    /// What the client calls itself: name and version.
    pub user_agent: String,
}

impl Default for Settings {
    /// Our choice: half a minute for a connection, a minute without a byte, five repeats of 1 to 16 seconds, two minutes if a server asks for them,
    /// two connections.
    fn default() -> Self {
        Self {
            connect: Duration::from_secs(30),
            stall: Duration::from_mins(1),
            repeats: 5,
            first_wait: Duration::from_secs(1),
            longest_wait: Duration::from_mins(2),
            connections: 2,
            certificates: None,
            user_agent: concat!("rainworth/", env!("CARGO_PKG_VERSION")).to_owned(),
        }
    }
}

/// What the caller lends: its clock and its ear. Used from several threads.
pub trait Caller: Sync {
    /// The time now: printed in sidecars, and what a server's dates are held against.
    fn now(&self) -> SystemTime;

    /// Something happened on the way.
    fn event(&self, event: Event<'_>);
}

/// What happens on the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Event<'a> {
    /// A body begins to come.
    Begun {
        /// The place in the archive.
        path: &'a str,
        /// Bytes that are there already.
        have: u64,
        /// All its bytes, where the server says so.
        length: Option<u64>,
    },
    /// More of it came.
    Received {
        /// The place in the archive.
        path: &'a str,
        /// So many bytes.
        bytes: u64,
    },
    /// It is waited before the next try.
    Waiting {
        /// The place in the archive, or the address of a page.
        path: &'a str,
        /// So long.
        wait: Duration,
        /// Why.
        why: &'a str,
    },
    /// Another process is at the same file.
    InUse {
        /// The place in the archive.
        path: &'a str,
    },
    /// The file is done with, one way or the other.
    Done {
        /// The place in the archive.
        path: &'a str,
    },
}
