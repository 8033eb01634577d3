//! How slowly a body may come: a server that lets a byte fall now and then never stalls, and would hold the file's lock for ever.

use super::fault::{Failed, Fault};
use std::time::{Duration, SystemTime};

/// Fewest bytes a second (our choice): a tenth of what a telephone line carried.
const LEAST_A_SECOND: u64 = 100;
/// Over so many times the longest time without a byte (our choice), so that a pause that may be is none too many.
const STALLS: u32 = 5;

/// The bytes since a time.
#[derive(Debug)]
pub(crate) struct Pace {
    since: SystemTime,
    bytes: u64,
}

impl Pace {
    pub(crate) fn from(now: SystemTime) -> Self {
        Self { since: now, bytes: 0 }
    }

    /// More bytes came. A clock that is set back lengthens the time that is looked at, and nothing else.
    pub(crate) fn add(&mut self, bytes: usize, now: SystemTime, stall: Duration, place: &str) -> Result<(), Failed> {
        self.bytes += bytes as u64;
        let Ok(time) = now.duration_since(self.since) else { return Ok(()) };
        if time < stall * STALLS {
            return Ok(());
        }
        if (self.bytes as f64) < time.as_secs_f64() * LEAST_A_SECOND as f64 {
            let fault = Fault::new("download-too-slow", place, format!("{} bytes in {:.0} s", self.bytes, time.as_secs_f64()));
            return Err(Failed::for_now(fault.expected(format!("at least {LEAST_A_SECOND} bytes a second"))));
        }
        *self = Self::from(now);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_body_may_pause_and_may_not_drip() {
        let (start, stall) = (SystemTime::UNIX_EPOCH + Duration::from_secs(1000), Duration::from_mins(1));
        let at = |seconds: u64| SystemTime::UNIX_EPOCH + Duration::from_secs(1000 + seconds);
        let mut pace = Pace::from(start);
        // 300 s at 100 bytes a second are 30,000 bytes.
        assert!(pace.add(1, at(299), stall, "x").is_ok());
        assert!(pace.add(29_999, at(300), stall, "x").is_ok());
        assert!(pace.add(29_998, at(599), stall, "x").is_ok());
        let failed = pace.add(1, at(600), stall, "x").unwrap_err();
        assert!(failed.fault.to_string().contains("29999 bytes in 300 s"), "{}", failed.fault);
        // The clock is set back.
        assert!(Pace::from(at(600)).add(1, at(0), stall, "x").is_ok());
    }
}
