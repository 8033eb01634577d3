//! The regularised incomplete gamma function, both tails, and the standard gamma variate of a chance.
//!
//! P(a, x) = 1/Gamma(a) times the integral of t^(a-1) e^-t from 0 to x; Q = 1 - P. Below x = a + 1 by the series
//! x^a e^-x / Gamma(a+1) (1 + x/(a+1) + x^2/((a+1)(a+2)) + ...), above it by the continued fraction
//! x^a e^-x / Gamma(a) 1/(x+1-a- 1(1-a)/(x+3-a- 2(2-a)/(x+5-a- ...))), by Lentz's recurrence.
//! Source: Abramowitz & Stegun (1964), 6.5.29 and 6.5.31. No unit; a above 0, x not below 0.

use series::math;

/// P and Q, each with all its digits where it is the smaller.
pub(crate) fn tails(a: f64, x: f64) -> (f64, f64) {
    if x <= 0.0 {
        return (0.0, 1.0);
    }
    if x == f64::INFINITY {
        return (1.0, 0.0);
    }
    let front = math::exp(a * math::ln(x) - x - math::ln_gamma(a));
    if x < a + 1.0 {
        let (mut term, mut sum, mut n) = (1.0 / a, 1.0 / a, a);
        // The terms fall once n is above x, within about 10 sqrt(a) of them.
        for _ in 0..100_000 {
            n += 1.0;
            term *= x / n;
            sum += term;
            if term < sum * 1e-17 {
                break;
            }
        }
        let below = (front * sum).clamp(0.0, 1.0);
        (below, 1.0 - below)
    } else {
        let tiny = 1e-300;
        let mut b = x + 1.0 - a;
        let (mut c, mut d) = (1.0 / tiny, 1.0 / b);
        let mut fraction = d;
        for i in 1..100_000 {
            let i = f64::from(i);
            let numerator = -i * (i - a);
            b += 2.0;
            let below = numerator * d + b;
            d = 1.0 / if below.abs() < tiny { tiny } else { below };
            let above = b + numerator / c;
            c = if above.abs() < tiny { tiny } else { above };
            fraction *= d * c;
            if (d * c - 1.0).abs() < 1e-16 {
                break;
            }
        }
        let above = (front * fraction).clamp(0.0, 1.0);
        (1.0 - above, above)
    }
}

/// The x with P(a, x) = `below` and Q(a, x) = `above` (the smaller one decides), found by Newton's steps in ln x inside a bracket.
pub(crate) fn variate(a: f64, below: f64, above: f64) -> f64 {
    if below <= 0.0 {
        return 0.0;
    }
    if above <= 0.0 {
        return f64::INFINITY;
    }
    let lower = below <= above;
    let wanted = math::ln(if lower { below } else { above });
    // P(a, x) < x^a / Gamma(a+1), so the root lies above the first end; P grows with x, and Q(a, x) < 1e-320 at the other.
    let (mut low, mut high) = ((math::ln(below) + math::ln_gamma(a + 1.0)) / a, math::ln(a + 800.0 + 40.0 * a.sqrt()));
    if low < -700.0 {
        return 0.0;
    }
    let mut u = if a < 1.0 { low } else { math::ln(a) };
    for _ in 0..200 {
        u = u.clamp(low, high);
        let x = math::exp(u);
        let (p, q) = tails(a, x);
        let found = if lower { p } else { q };
        // Positive where x is too great.
        let error = if lower { math::ln(found) - wanted } else { wanted - math::ln(found) };
        if error > 0.0 {
            high = high.min(u);
        } else {
            low = low.max(u);
        }
        // d ln P / d ln x, and - d ln Q / d ln x, are the density times x over the tail.
        let slope = math::exp(a * u - x - math::ln_gamma(a)) / found;
        let newton = u - error / slope;
        let next = if newton > low && newton < high { newton } else { f64::midpoint(low, high) };
        if (next - u).abs() <= 1e-15 * u.abs().max(1e-3) {
            return math::exp(next);
        }
        u = next;
    }
    math::exp(u)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn scipy_agrees() {
        // scipy 1.17.1: scipy.special.gammainc(a, x) and gammaincc(a, x).
        for (a, x, p, q) in [
            (0.01, 0.5, 0.994_373_243_806_032_6, 0.005_626_756_193_967_183),
            (0.5, 1e-6, 0.001_128_378_790_969_237_3, 0.998_871_621_209_030_7),
            (0.5, 3.0, 0.985_694_121_564_570_4, 0.014_305_878_435_429_641),
            (5.0, 1.0, 0.003_659_846_827_343_713, 0.996_340_153_172_656_3),
            (5.0, 20.0, 0.999_983_055_256_069_9, 1.694_474_393_006_737e-5),
            (100.0, 80.0, 0.017_108_313_035_133_1, 0.982_891_686_964_866_8),
            (100.0, 130.0, 0.997_249_591_632_693_4, 0.002_750_408_367_306_518),
            (10_000.0, 10_100.0, 0.841_348_750_447_179_6, 0.158_651_249_552_820_37),
        ] {
            let (below, above) = tails(a, x);
            assert!((below / p - 1.0).abs() < 1e-10 && (above / q - 1.0).abs() < 1e-10, "{a} {x}: {below} {above}");
            assert!((variate(a, p, q) / x - 1.0).abs() < 1e-9, "{a} {x}: {}", variate(a, p, q));
        }
        // By hand: P(1, x) = 1 - exp(-x).
        assert!((tails(1.0, 2.0).1 / math::exp(-2.0) - 1.0).abs() < 1e-14);
        assert_eq!((tails(2.0, 0.0), tails(2.0, f64::INFINITY)), ((0.0, 1.0), (1.0, 0.0)));
        assert_eq!((variate(2.0, 0.0, 1.0), variate(2.0, 1.0, 0.0)), (0.0, f64::INFINITY));
    }

    proptest! {
        #[test]
        fn a_variate_has_its_chance(ln_a in -4.0..11.0f64, chance in 1e-6..1.0f64) {
            let a = math::exp(ln_a);
            let x = variate(a, chance, 1.0 - chance);
            prop_assume!(x > 0.0);
            let (below, above) = tails(a, x);
            prop_assert!((below - chance).abs() < 1e-9 * chance.max(1e-3) && (below + above - 1.0).abs() < 1e-15, "{a} {x} {below}");
        }
    }
}
