//! Logarithm, exponential, power, gamma, error function and angles, from the `libm` crate only.
//!
//! The standard library calls the machine's own C library, whose last bit depends on its version and on the vector unit it
//! finds. `libm` is compiled in, so the same inputs give the same bytes on every machine. Clippy forbids the others.

/// Natural logarithm.
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Logarithm to base 10.
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// Exponential.
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// `x` to the power `y`.
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// The gamma function.
pub fn gamma(x: f64) -> f64 {
    libm::tgamma(x)
}

/// exp(x) - 1, with all its digits where x is small.
pub fn exp_m1(x: f64) -> f64 {
    libm::expm1(x)
}

/// ln(1 + x), with all its digits where x is small.
pub fn ln_1p(x: f64) -> f64 {
    libm::log1p(x)
}

/// Natural logarithm of the absolute value of the gamma function.
pub fn ln_gamma(x: f64) -> f64 {
    libm::lgamma(x)
}

/// The error function.
pub fn erf(x: f64) -> f64 {
    libm::erf(x)
}

/// 1 less the error function, with all its digits where x is large.
pub fn erfc(x: f64) -> f64 {
    libm::erfc(x)
}

/// The angle of the point (`x`, `y`) in radians, above -pi and up to pi.
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Sine of an angle in radians.
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine of an angle in radians.
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}
