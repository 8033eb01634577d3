//! Seeded draws: xoshiro256++ (Blackman & Vigna 2019) with our own mapping to a bound, so that no library release changes a result.

use rand_core::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

/// A seeded source of whole numbers.
#[derive(Debug, Clone)]
pub(crate) struct Draws(Xoshiro256PlusPlus);

impl Draws {
    pub(crate) fn new(seed: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// Uniform among 0 .. `bound` - 1 without bias (Lemire 2019: the high half of word x bound, rejecting the short first interval);
    /// 0 when the bound is 0.
    pub(crate) fn below(&mut self, bound: usize) -> usize {
        let bound = bound as u64;
        if bound == 0 {
            return 0;
        }
        let threshold = bound.wrapping_neg() % bound;
        loop {
            let product = u128::from(self.0.next_u64()) * u128::from(bound);
            if product as u64 >= threshold {
                return (product >> 64) as usize;
            }
        }
    }

    /// Uniform above 0 and below 1: the middle of one of 2^52 equal steps.
    pub(crate) fn uniform(&mut self) -> f64 {
        const STEPS: f64 = (1_u64 << 52) as f64;
        ((self.0.next_u64() >> 12) as f64 + 0.5) / STEPS
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stream_is_xoshiro256_plus_plus() {
        // First word of the state {1, 2, 3, 4} by hand: rotl(1 + 4, 23) + 1 = 5 x 2^23 + 1 (xoshiro256plusplus.c, public domain).
        let mut seed = [0_u8; 32];
        (1_u8..=4).zip(seed.chunks_mut(8)).for_each(|(word, bytes)| bytes[0] = word);
        assert_eq!(Xoshiro256PlusPlus::from_seed(seed).next_u64(), 5 * (1 << 23) + 1);
    }

    #[test]
    fn draws_are_even_and_below_their_bound() {
        let mut draws = Draws::new(3);
        let mut counts = [0_u32; 7];
        (0..35_000).for_each(|_| counts[draws.below(7)] += 1);
        // Four standard deviations of a binomial count of mean 5000 (65.5).
        assert!(counts.iter().all(|count| count.abs_diff(5000) < 262), "{counts:?}");
        assert_eq!((draws.below(0), draws.below(1)), (0, 0));
        let (mut sum, mut tenth) = (0.0, 0);
        for _ in 0..35_000 {
            let uniform = draws.uniform();
            assert!(uniform > 0.0 && uniform < 1.0);
            sum += uniform;
            tenth += u32::from(uniform < 0.1);
        }
        // Four standard deviations: of the mean sqrt(1 / 12 / n) = .00154, of the count sqrt(.09 n) = 56.1.
        assert!((sum / 35_000.0 - 0.5).abs() < 0.0062 && tenth.abs_diff(3500) < 225);
    }
}
