//! Seeded draws: xoshiro256++ (Blackman & Vigna 2019) with our own mapping from its words to numbers.
//!
//! The stream is fixed by the named algorithm and by the formulas below, so that a new release of a library cannot change the bytes of the
//! sample data. Every draw takes a fixed number of words except [`Draws::below`], which rejects. Logarithms and angles come from `libm`,
//! whose results do not depend on the machine.

use rand_core::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

/// A seeded source of numbers.
#[derive(Debug, Clone)]
pub struct Draws(Xoshiro256PlusPlus);

impl Draws {
    /// A source whose state is spread from `seed` by SplitMix64, as the authors of xoshiro advise.
    pub fn new(seed: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// The next word of the stream.
    pub fn word(&mut self) -> u64 {
        self.0.next_u64()
    }

    /// Uniform in [0, 1): the upper 53 bits of one word, times 2^-53.
    pub fn uniform(&mut self) -> f64 {
        (self.word() >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Whether an event of this probability happens (one word, whatever the probability).
    pub fn chance(&mut self, probability: f64) -> bool {
        self.uniform() < probability
    }

    /// Uniform among 0 .. `bound`-1, without bias: the high half of word x bound, rejecting the short first interval (Lemire 2019).
    /// A bound of 0 gives 0.
    pub fn below(&mut self, bound: u64) -> u64 {
        if bound == 0 {
            return 0;
        }
        let threshold = bound.wrapping_neg() % bound;
        loop {
            let product = u128::from(self.word()) * u128::from(bound);
            if product as u64 >= threshold {
                return (product >> 64) as u64;
            }
        }
    }

    /// Exponential with this mean: -mean ln(1-u).
    pub fn exponential(&mut self, mean: f64) -> f64 {
        -mean * libm::log(1.0 - self.uniform())
    }

    /// Standard normal by Box and Muller (1958); the second of each pair is not kept, so that a draw is always two words.
    pub fn normal(&mut self) -> f64 {
        let radius = libm::sqrt(-2.0 * libm::log(1.0 - self.uniform()));
        radius * libm::cos(2.0 * core::f64::consts::PI * self.uniform())
    }

    /// A factor of mean 1 and log-standard-deviation `sigma`: exp(sigma z - sigma^2 / 2).
    pub fn lognormal_factor(&mut self, sigma: f64) -> f64 {
        libm::exp(sigma * self.normal() - 0.5 * sigma * sigma)
    }

    /// Excess by the generalised Pareto distribution: scale ((1-u)^-shape - 1) / shape, for shape > 0 (a tail heavier than exponential).
    pub fn pareto_excess(&mut self, scale: f64, shape: f64) -> f64 {
        scale * (libm::pow(1.0 - self.uniform(), -shape) - 1.0) / shape
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stream_is_xoshiro256_plus_plus() {
        // The algorithm of xoshiro256plusplus.c (Blackman & Vigna, public domain), worked for the state {1, 2, 3, 4} in exact integer
        // arithmetic outside this library; the first word by hand: rotl(1 + 4, 23) + 1 = 5 x 2^23 + 1.
        let mut seed = [0_u8; 32];
        for (place, word) in [1_u64, 2, 3, 4].into_iter().enumerate() {
            seed[place * 8..place * 8 + 8].copy_from_slice(&word.to_le_bytes());
        }
        let mut draws = Draws(Xoshiro256PlusPlus::from_seed(seed));
        let expected: [u64; 10] = [
            41_943_041,
            58_720_359,
            3_588_806_011_781_223,
            3_591_011_842_654_386,
            9_228_616_714_210_784_205,
            9_973_669_472_204_895_162,
            14_011_001_112_246_962_877,
            12_406_186_145_184_390_807,
            15_849_039_046_786_891_736,
            10_450_023_813_501_588_000,
        ];
        assert_eq!(expected.map(|_| draws.word()), expected);
    }

    #[test]
    fn draws_stay_in_their_ranges_and_have_their_moments() {
        let mut draws = Draws::new(7);
        let n = 40_000;
        let mut counts = [0_u32; 7];
        let (mut normal, mut square, mut exponential, mut factor, mut excess) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for _ in 0..n {
            counts[draws.below(7) as usize] += 1;
            let u = draws.uniform();
            assert!((0.0..1.0).contains(&u));
            let z = draws.normal();
            normal += z;
            square += z * z;
            exponential += draws.exponential(3.0);
            factor += draws.lognormal_factor(0.4);
            excess += draws.pareto_excess(10.0, 0.1);
        }
        let mean = |sum: f64| sum / f64::from(n);
        // Means known in closed form; margins are four standard errors of the mean at n = 40 000.
        assert!(counts.iter().all(|count| (f64::from(*count) - f64::from(n) / 7.0).abs() < 4.0 * 70.0));
        assert!(mean(normal).abs() < 4.0 / 200.0);
        assert!((mean(square) - 1.0).abs() < 4.0 * 1.415 / 200.0);
        assert!((mean(exponential) - 3.0).abs() < 4.0 * 3.0 / 200.0);
        assert!((mean(factor) - 1.0).abs() < 4.0 * 0.42 / 200.0);
        // Generalised Pareto: mean scale / (1 - shape), deviation mean / sqrt(1 - 2 shape).
        let expected = 10.0 / 0.9;
        assert!((mean(excess) - expected).abs() < 4.0 * expected / libm::sqrt(0.8) / 200.0);
    }

    #[test]
    fn a_bound_of_zero_or_one_gives_zero() {
        let mut draws = Draws::new(1);
        assert_eq!((draws.below(0), draws.below(1)), (0, 0));
    }
}
