//! Round scales and their bars. A ratio of 100 means that 1 m is drawn 10 mm long.
//!
//! Metric ratios are those of ISO 5455:1979 (from memory: 1, 2 and 5 times a power of ten); US customary ones are the
//! architect's and engineer's scales (common practice, no source): 1/8 in = 1 ft is 1:96, because a foot has twelve inches.

use serde::Serialize;

/// A round scale.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Scale {
    /// How often the drawing goes into the thing.
    pub ratio: f64,
    /// The scale in words.
    pub words: &'static str,
    /// Unit of the scale bar, m, and its name.
    pub unit: (f64, &'static str),
}

const fn metric(ratio: f64, words: &'static str) -> Scale {
    Scale { ratio, words, unit: (1.0, "m") }
}

const fn customary(ratio: f64, words: &'static str) -> Scale {
    Scale { ratio, words, unit: (0.3048, "ft") }
}

/// Metric scales for plans, the largest drawing first.
pub const METRIC: &[Scale] = &[
    metric(100.0, "1:100"),
    metric(200.0, "1:200"),
    metric(500.0, "1:500"),
    metric(1000.0, "1:1000"),
    metric(2000.0, "1:2000"),
    metric(5000.0, "1:5000"),
    metric(10_000.0, "1:10000"),
    metric(20_000.0, "1:20000"),
];

/// Metric scales for elevations: 1:50 comes first.
pub const METRIC_LARGE: &[Scale] = &[metric(50.0, "1:50"), METRIC[0], METRIC[1], METRIC[2], METRIC[3]];

/// US customary scales for plans.
pub const US_CUSTOMARY: &[Scale] = &[
    customary(96.0, "1/8 in = 1 ft"),
    customary(192.0, "1/16 in = 1 ft"),
    customary(384.0, "1/32 in = 1 ft"),
    customary(600.0, "1 in = 50 ft"),
    customary(1200.0, "1 in = 100 ft"),
    customary(2400.0, "1 in = 200 ft"),
    customary(6000.0, "1 in = 500 ft"),
    customary(12_000.0, "1 in = 1000 ft"),
    customary(24_000.0, "1 in = 2000 ft"),
];

/// US customary scales for elevations: 1/4 in = 1 ft comes first.
pub const US_CUSTOMARY_LARGE: &[Scale] =
    &[customary(48.0, "1/4 in = 1 ft"), US_CUSTOMARY[0], US_CUSTOMARY[1], US_CUSTOMARY[2], US_CUSTOMARY[3]];

/// Longest scale bar, mm.
const LONGEST_BAR: f64 = 60.0;

/// A scale bar: fields of one round length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScaleBar {
    /// Length of a field in the scale's unit: 1, 2 or 5 times a power of ten.
    pub field: f64,
    /// Number of fields, 4 or 5.
    pub fields: u32,
    /// Length of a field on paper, mm.
    pub field_mm: f64,
}

impl Scale {
    /// A length in m on paper, mm.
    pub fn mm(&self, metres: f64) -> f64 {
        metres * 1000.0 / self.ratio
    }

    /// A length on paper in mm, m.
    pub fn metres(&self, mm: f64) -> f64 {
        mm * self.ratio / 1000.0
    }

    /// The longest bar of at least four round fields that has room.
    pub fn bar(&self) -> ScaleBar {
        let lengths = (-2..=4).flat_map(|power| [1.0, 2.0, 5.0].map(|digit| digit * libm::pow(10.0, f64::from(power))));
        let field = lengths.filter(|length| 4.0 * self.mm(length * self.unit.0) <= LONGEST_BAR).fold(0.01, f64::max);
        let field_mm = self.mm(field * self.unit.0);
        // So many fields that the bar can be held to a ruler: a whole number of centimetres or of quarter inches.
        let mark = if self.unit.1 == "ft" { 25.4 / 4.0 } else { 10.0 };
        let even = |fields: u32| {
            let marks = field_mm * f64::from(fields) / mark;
            field_mm * f64::from(fields) <= LONGEST_BAR && (marks - libm::round(marks)).abs() < 1e-6
        };
        let fields = [5, 4].into_iter().find(|&fields| even(fields)).unwrap_or(4);
        ScaleBar { field, fields, field_mm }
    }

    /// The whole bar, and its length on paper, in words.
    pub fn bar_in_words(&self) -> (String, String) {
        let bar = self.bar();
        let whole = bar.field_mm * f64::from(bar.fields);
        let paper = if self.unit.1 == "ft" { format!("{} in", round(whole / 25.4)) } else { format!("{} mm", round(whole)) };
        (format!("{} {}", round(bar.field * f64::from(bar.fields)), self.unit.1), paper)
    }
}

/// To four decimals, without zeros at the end.
pub(super) fn round(value: f64) -> f64 {
    libm::round(value * 1e4) / 1e4
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 10 m at 1:100 are 100 mm; 1 ft = 304.8 mm (exact), and at 1/8 in = 1 ft it is 25.4 / 8 mm.
    #[test]
    fn lengths_on_paper() {
        assert!((METRIC[0].mm(10.0) - 100.0).abs() < 1e-9);
        for (scale, inches) in
            [(US_CUSTOMARY_LARGE[0], 0.25), (US_CUSTOMARY[0], 0.125), (US_CUSTOMARY[1], 0.0625), (US_CUSTOMARY[2], 0.03125)]
        {
            assert!((scale.mm(0.3048) - 25.4 * inches).abs() < 1e-9, "{scale:?}");
        }
        for (scale, feet) in US_CUSTOMARY[3..].iter().zip([50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0]) {
            assert!((scale.mm(feet * 0.3048) - 25.4).abs() < 1e-9, "{scale:?}");
            assert!(scale.words.contains(&format!("1 in = {feet} ft")));
        }
        for scale in METRIC.iter().chain(METRIC_LARGE) {
            assert_eq!(scale.words, format!("1:{}", scale.ratio));
        }
    }

    #[test]
    fn bars_are_round_and_have_room() {
        for scale in METRIC.iter().chain(METRIC_LARGE).chain(US_CUSTOMARY).chain(US_CUSTOMARY_LARGE) {
            let bar = scale.bar();
            let whole = bar.field_mm * f64::from(bar.fields);
            assert!((24.0..=LONGEST_BAR).contains(&whole), "{scale:?} {bar:?}");
            let mut digit = bar.field;
            while digit >= 9.99 {
                digit /= 10.0;
            }
            while digit < 0.99 {
                digit *= 10.0;
            }
            assert!([1.0, 2.0, 5.0].iter().any(|one| (digit - one).abs() < 1e-9), "{bar:?}");
        }
        let bar = METRIC[0].bar();
        assert_eq!((bar.field, bar.fields), (1.0, 5));
        assert!((bar.field_mm - 10.0).abs() < 1e-9);
        // By hand, none longer than 60 mm: 5 m at 1:100; 8 ft at 1/4 in, 10 ft at 1/8 in, 20 ft at 1/16 in to the foot.
        for (scale, bar, paper) in [
            (METRIC[0], "5 m", "50 mm"),
            (METRIC_LARGE[0], "2.5 m", "50 mm"),
            (METRIC[1], "10 m", "50 mm"),
            (US_CUSTOMARY_LARGE[0], "8 ft", "2 in"),
            (US_CUSTOMARY[0], "10 ft", "1.25 in"),
            (US_CUSTOMARY[1], "20 ft", "1.25 in"),
            (US_CUSTOMARY[4], "200 ft", "2 in"),
        ] {
            assert_eq!(scale.bar_in_words(), (bar.to_owned(), paper.to_owned()));
        }
    }

    #[test]
    fn scales_grow_coarser() {
        for list in [METRIC, METRIC_LARGE, US_CUSTOMARY, US_CUSTOMARY_LARGE] {
            assert!(list.windows(2).all(|pair| pair[0].ratio < pair[1].ratio));
        }
    }
}
