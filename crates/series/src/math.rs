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

/// Natural logarithm of the gamma function, for arguments above 0.
pub fn ln_gamma(x: f64) -> f64 {
    libm::lgamma(x)
}

/// The complementary error function.
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
