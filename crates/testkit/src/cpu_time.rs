//! Processor time of a piece of work, in seconds, all threads of this process together: on a machine that others use too it is the
//! fair number, where the clock on the wall is not.

use rustix::time::{ClockId, clock_gettime};

/// Processor time of this process so far, s.
pub fn now() -> f64 {
    let time = clock_gettime(ClockId::ProcessCPUTime);
    // Whole seconds of a process stay far below 2^53.
    #[allow(clippy::cast_precision_loss)]
    let seconds = time.tv_sec as f64 + time.tv_nsec as f64 / 1e9;
    seconds
}

/// Best and worst processor time of `runs` runs, s, after one that is not counted.
pub fn best_and_worst<T>(runs: usize, mut work: impl FnMut() -> T) -> (f64, f64) {
    std::hint::black_box(work());
    let times = (0..runs).map(|_| {
        let start = now();
        std::hint::black_box(work());
        now() - start
    });
    times.fold((f64::INFINITY, 0.0), |(best, worst), time| (time.min(best), time.max(worst)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_takes_time_and_the_best_is_not_above_the_worst() {
        let (best, worst) = best_and_worst(3, || (0..200_000_u64).fold(0, |sum, n| sum ^ n.wrapping_mul(n)));
        assert!(0.0 <= best && best <= worst && worst < 60.0);
        assert!(now() > 0.0);
    }
}
