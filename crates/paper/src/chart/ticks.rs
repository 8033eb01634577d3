//! Round numbers for an axis: steps of 1, 2 or 5 times a power of ten (P. Heckbert, "Nice numbers for graph labels",
//! Graphics Gems, 1990), and for a logarithmic axis 1, 2, 5 in every decade. A tick is a whole number of steps written in
//! decimal, so its value and its label are exact.

use serde::Serialize;

/// A tick: its value and its label.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    /// Where it stands.
    pub value: f64,
    /// What is printed, with the decimal and group marks asked for.
    pub label: String,
}

/// How a number is written: the same in a chart as in the text around it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Marks {
    /// Between whole number and fraction.
    pub decimal: char,
    /// Between groups of three digits, from 1,000 on.
    pub group: char,
}

impl Default for Marks {
    /// As in English: `1,234.5`.
    fn default() -> Self {
        Marks { decimal: '.', group: ',' }
    }
}

/// Ticks on a linear axis from `low` to `high`, at most `most` of them (at least two are made). With `widen`, the first
/// tick is at or below `low` and the last at or above `high`; without, all lie inside.
/// Nothing comes of bounds that are not finite or not in order.
pub fn linear(low: f64, high: f64, most: usize, widen: bool, marks: Marks) -> Vec<Tick> {
    let span = high - low;
    if !(low.is_finite() && high.is_finite() && span > 0.0 && span.is_finite()) {
        return Vec::new();
    }
    let least_step = span / (most.max(2) - 1) as f64;
    if least_step <= 0.0 {
        return Vec::new(); // a span too small to divide
    }
    let mut exponent = libm::floor(libm::log10(least_step)) as i32 - 1;
    let mut mantissa = 1;
    let step = loop {
        let step = decimal(mantissa, exponent);
        let room = if widen { ticks_widened(low, high, step) } else { span / step + 1.0 };
        if room <= most.max(2) as f64 || exponent > 308 {
            break step;
        }
        (mantissa, exponent) = match mantissa {
            1 => (2, exponent),
            2 => (5, exponent),
            _ => (1, exponent + 1),
        };
    };
    // A hair of slack, so that a bound which is itself a round number is one.
    let slack = 1e-9;
    let (first, last) = if widen {
        (libm::floor(low / step + slack), libm::ceil(high / step - slack))
    } else {
        (libm::ceil(low / step - slack), libm::floor(high / step + slack))
    };
    if !(first.abs() < 1e15 && last.abs() < 1e15) {
        return Vec::new();
    }
    (first as i64..=last as i64)
        .map(|count| {
            let units = count * mantissa;
            Tick { value: decimal(units, exponent), label: label(units, exponent, marks) }
        })
        .collect()
}

fn ticks_widened(low: f64, high: f64, step: f64) -> f64 {
    libm::ceil(high / step - 1e-9) - libm::floor(low / step + 1e-9) + 1.0
}

/// Ticks 1, 2, 5 of every decade inside `low` to `high` (both above zero); only 1 where there are over `most`.
pub fn logarithmic(low: f64, high: f64, most: usize, marks: Marks) -> Vec<Tick> {
    if !(low > 0.0 && high > low && high.is_finite()) {
        return Vec::new();
    }
    let first = libm::floor(libm::log10(low)) as i32;
    let last = libm::ceil(libm::log10(high)) as i32;
    let inside = |mantissas: &[i64]| -> Vec<Tick> {
        (first..=last)
            .flat_map(|exponent| mantissas.iter().map(move |&mantissa| (mantissa, exponent)))
            .map(|(mantissa, exponent)| Tick { value: decimal(mantissa, exponent), label: label(mantissa, exponent, marks) })
            .filter(|tick| tick.value >= low * (1.0 - 1e-9) && tick.value <= high * (1.0 + 1e-9))
            .collect()
    };
    let all = inside(&[1, 2, 5]);
    if all.len() <= most { all } else { inside(&[1]) }
}

/// `units` times ten to `exponent`, correctly rounded (through the decimal parser).
fn decimal(units: i64, exponent: i32) -> f64 {
    format!("{units}e{exponent}").parse().unwrap_or(0.0)
}

fn label(units: i64, exponent: i32, marks: Marks) -> String {
    let mut digits = units.unsigned_abs().to_string();
    let mut fraction = String::new();
    if exponent >= 0 {
        if units != 0 {
            digits.extend(std::iter::repeat_n('0', exponent as usize));
        }
    } else {
        let places = exponent.unsigned_abs() as usize;
        if digits.len() <= places {
            digits = format!("{}{digits}", "0".repeat(places + 1 - digits.len()));
        }
        fraction = digits.split_off(digits.len() - places);
        if units == 0 {
            fraction.clear();
        }
    }
    let mut out = String::new();
    if units < 0 {
        out.push('−');
    }
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(marks.group);
        }
        out.push(digit);
    }
    if !fraction.is_empty() {
        out.push(marks.decimal);
        out.push_str(&fraction);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(ticks: &[Tick]) -> Vec<&str> {
        ticks.iter().map(|tick| tick.label.as_str()).collect()
    }

    /// Heckbert 1990, the worked case of the text: 105 to 543 is labelled 100, 200, … 600.
    #[test]
    fn the_published_case() {
        let ticks = linear(105.0, 543.0, 6, true, Marks::default());
        assert_eq!(labels(&ticks), ["100", "200", "300", "400", "500", "600"]);
    }

    #[test]
    fn values_are_exact_decimals() {
        let ticks = linear(0.0, 0.3, 4, true, Marks { decimal: ',', group: '\u{A0}' });
        assert_eq!(labels(&ticks), ["0", "0,1", "0,2", "0,3"]);
        assert_eq!(ticks[3].value, 0.3);
        let ticks = linear(-20.0, 20_000.0, 3, true, Marks::default());
        assert!(ticks.len() <= 3 && ticks[0].value <= -20.0, "{ticks:?}");
    }

    #[test]
    fn thousands_are_grouped_from_four_digits() {
        let english = |units, exponent| label(units, exponent, Marks::default());
        assert_eq!([english(1, 3), english(12, 3), english(-5, 6), english(999, 0)], ["1,000", "12,000", "−5,000,000", "999"]);
        assert_eq!(english(-5, -2), "−0.05");
        assert_eq!(english(12_345_678, -4), "1,234.5678", "a fraction is never grouped");
        assert_eq!(label(12_345, -1, Marks { decimal: ',', group: '\u{A0}' }), "1\u{A0}234,5");
    }

    #[test]
    fn decades() {
        assert_eq!(labels(&logarithmic(1.0, 20.0, 9, Marks::default())), ["1", "2", "5", "10", "20"]);
        assert_eq!(labels(&logarithmic(1.0, 1000.0, 5, Marks::default())), ["1", "10", "100", "1,000"]);
        assert!(logarithmic(0.0, 10.0, 5, Marks::default()).is_empty());
    }

    #[test]
    fn bounds_without_a_span_give_nothing() {
        for (low, high) in [(1.0, 1.0), (2.0, 1.0), (f64::NAN, 1.0), (0.0, f64::INFINITY), (f64::MIN, f64::MAX)] {
            assert!(linear(low, high, 5, true, Marks::default()).is_empty());
        }
        // The smallest and largest spans end, too.
        for high in [f64::MIN_POSITIVE, 5e-324, 1e308] {
            let _ = linear(0.0, high, 5, true, Marks::default());
        }
    }
}
