//! How long is waited before a try is repeated.
//!
//! Exponential with full jitter: a time drawn uniformly between nothing and a bound that doubles with each repeat, so that many clients that failed
//! together do not come back together. A server's `Retry-After` (RFC 9110, section 10.2.3: seconds, or a date) is waited in full, with the jitter of the first
//! repeat on top.

use super::settings::Settings;
use std::hash::{BuildHasher, RandomState};
use std::time::{Duration, SystemTime};

/// Whether an answer may be another one a little later (RFC 9110, section 15; 429 RFC 6585, section 4).
pub(crate) fn may_pass(status: u16) -> bool {
    matches!(status, 408 | 429 | 500 | 502 | 503 | 504)
}

/// The wait that a `Retry-After` asks for.
pub(crate) fn retry_after(value: &str, now: SystemTime) -> Option<Duration> {
    let value = value.trim();
    if !value.is_empty() && value.bytes().all(|byte| byte.is_ascii_digit()) {
        // What no number holds is too long in any case.
        return Some(Duration::from_secs(value.parse().unwrap_or(u64::MAX)));
    }
    let at = httpdate::parse_http_date(value).ok()?;
    Some(at.duration_since(now).unwrap_or_default())
}

/// The wait before a repeat, the first of which is 0.
pub(crate) fn wait(repeat: u32, settings: &Settings) -> Duration {
    let bound = settings.first_wait.saturating_mul(1_u32.checked_shl(repeat).unwrap_or(u32::MAX)).min(settings.longest_wait);
    bound.mul_f64(share())
}

/// A number from 0 to 1 that differs from call to call. It decides nothing but how long is waited, so it is not seeded.
fn share() -> f64 {
    // The keys come from the system's randomness, once a thread, and are changed with each.
    (RandomState::new().hash_one(0_u8) >> 11) as f64 / (1_u64 << 53) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_server_may_ask_for_seconds_or_a_date() {
        // RFC 9110, section 5.6.7: the same second in the three forms of an HTTP-date.
        let now = SystemTime::UNIX_EPOCH + Duration::from_secs(784_111_777);
        let sixty_before = now - Duration::from_mins(1);
        for date in ["Sun, 06 Nov 1994 08:49:37 GMT", "Sunday, 06-Nov-94 08:49:37 GMT", "Sun Nov  6 08:49:37 1994"] {
            assert_eq!(retry_after(date, sixty_before), Some(Duration::from_mins(1)), "{date}");
            assert_eq!(retry_after(date, now + Duration::from_secs(1)), Some(Duration::ZERO));
        }
        assert_eq!(retry_after(" 120 ", now), Some(Duration::from_mins(2)));
        assert_eq!(retry_after("99999999999999999999", now), Some(Duration::from_secs(u64::MAX)));
        for other in ["", "soon", "-1", "1.5"] {
            assert_eq!(retry_after(other, now), None, "{other}");
        }
    }

    #[test]
    fn the_wait_doubles_up_to_its_bound_and_is_never_longer() {
        let settings = Settings { first_wait: Duration::from_secs(1), longest_wait: Duration::from_secs(10), ..Settings::default() };
        for (repeat, bound) in [(0, 1), (1, 2), (2, 4), (3, 8), (4, 10), (40, 10)] {
            let waits: Vec<Duration> = (0..200).map(|_| wait(repeat, &settings)).collect();
            assert!(waits.iter().all(|wait| *wait <= Duration::from_secs(bound)), "{repeat}");
            // Of 200 uniform draws the greatest lies in the upper half but once in 2^200.
            assert!(waits.iter().max() > Some(&Duration::from_millis(bound * 500)), "{repeat}");
            assert!(waits.iter().min() < Some(&Duration::from_millis(bound * 500)), "{repeat}");
        }
    }

    #[test]
    fn what_may_pass_is_tried_again_and_no_other() {
        let passing: Vec<u16> = (100..600).filter(|status| may_pass(*status)).collect();
        assert_eq!(passing, [408, 429, 500, 502, 503, 504]);
    }
}
