//! How the rain of a year grows with height among gauges of a region, where they show that it does.
//!
//! ln(annual rain) = a + g h, least squares over the gauges. It is used only with at least [`LEAST_GAUGES`] gauges whose heights span 300 m,
//! when leaving each gauge out in turn has at most half the squared error with it that it has without it, and with g from -10 % to +30 % each
//! 100 m: a few gauges always lie near some line, and a line through noise takes a site on a hill to any rain at all. (Of four or five
//! gauges whose rain differs by 10 % at random, one set in seven has some smaller error with a line, over 100 m of height.) Limits are ours.
//! That rain grows with height on a slope is WMO-No. 168's.

use serde::Serialize;
use series::math;

/// Fewest gauges.
const LEAST_GAUGES: usize = 4;
/// Least span of their heights, m.
const LEAST_SPAN: f64 = 300.0;
/// Greatest share of the squared error that may be left.
const ERROR_LEFT: f64 = 0.5;
/// Furthest that a site may lie above the highest or below the lowest gauge to be followed, m.
const BEYOND: f64 = 100.0;
/// Least and greatest gradient, 1/m.
const BELIEVED: (f64, f64) = (-0.001, 0.003);

/// Growth of the rain with height.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HeightGradient {
    /// Of the logarithm of the annual rain, 1/m.
    pub per_metre: f64,
    /// Lowest and highest gauge, m.
    pub heights: (f64, f64),
    /// Root of the mean squared error of the logarithm when each gauge in turn is left out, without and with the gradient.
    pub error_without: f64,
    /// As above, with it.
    pub error_with: f64,
}

impl HeightGradient {
    /// The straight line through (height, logarithm of the rain); nothing for heights that do not differ.
    pub(crate) fn line(points: &[(f64, f64)]) -> Option<f64> {
        let n = points.len() as f64;
        let (x, y) = points.iter().fold((0.0, 0.0), |sums, point| (sums.0 + point.0 / n, sums.1 + point.1 / n));
        let (xx, xy) = points.iter().fold((0.0, 0.0), |sums, point| {
            let off = point.0 - x;
            (sums.0 + off * off, sums.1 + off * (point.1 - y))
        });
        (xx > 0.0).then(|| xy / xx)
    }

    /// Of gauges at heights in metres with these logarithms of annual rain. `from_others` makes the estimate for one gauge out of values at
    /// all the others.
    pub(crate) fn new(heights: &[f64], logarithms: &[f64], from_others: impl Fn(usize, &[f64]) -> f64) -> Option<Self> {
        let n = heights.len();
        let ends = ends(heights.iter().copied());
        if n < LEAST_GAUGES || ends.1 - ends.0 < LEAST_SPAN {
            return None;
        }
        let points: Vec<(f64, f64)> = heights.iter().copied().zip(logarithms.iter().copied()).collect();
        let per_metre = Self::line(&points)?;
        let (mut without, mut with) = (0.0, 0.0);
        for out in 0..n {
            let others: Vec<(f64, f64)> = points.iter().enumerate().filter(|(at, _)| *at != out).map(|(_, point)| *point).collect();
            let among = self::ends(others.iter().map(|point| point.0));
            let slope = Self::line(&others)?;
            let plain = from_others(out, logarithms) - logarithms[out];
            let moved: Vec<f64> =
                points.iter().map(|point| point.1 + slope * (followed(heights[out], among) - followed(point.0, among))).collect();
            let moved = from_others(out, &moved) - logarithms[out];
            without += plain * plain / n as f64;
            with += moved * moved / n as f64;
        }
        let found = Self { per_metre, heights: ends, error_without: without.sqrt(), error_with: with.sqrt() };
        let believed = (BELIEVED.0..=BELIEVED.1).contains(&per_metre);
        (believed && with <= ERROR_LEFT * without).then_some(found)
    }

    /// Whether a height lies among those of the gauges, or within 100 m of them.
    pub fn reaches(&self, height: f64) -> bool {
        followed(height, self.heights) == height
    }

    /// The rain at one height over that at another, neither followed further than 100 m beyond the gauges.
    pub fn ratio(&self, at: f64, from: f64) -> f64 {
        math::exp(self.per_metre * (followed(at, self.heights) - followed(from, self.heights)))
    }
}

/// Least and greatest.
fn ends(heights: impl Iterator<Item = f64>) -> (f64, f64) {
    heights.fold((f64::INFINITY, f64::NEG_INFINITY), |ends, height| (ends.0.min(height), ends.1.max(height)))
}

/// A height, no further than 100 m beyond those of gauges.
fn followed(height: f64, (lowest, highest): (f64, f64)) -> f64 {
    height.clamp(lowest - BEYOND, highest + BEYOND)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The mean of the others.
    fn mean_of_others(out: usize, values: &[f64]) -> f64 {
        let sum: f64 = values.iter().enumerate().filter(|(at, _)| *at != out).map(|(_, value)| value).sum();
        sum / (values.len() - 1) as f64
    }

    #[test]
    fn the_line_is_that_of_a_reference_library() {
        // scipy 1.17 stats.linregress([100, 250, 400, 700], numpy.log([800, 870, 1020, 1180])).slope
        let points: Vec<(f64, f64)> =
            [(100.0, 800.0), (250.0, 870.0), (400.0, 1020.0), (700.0, 1180.0)].map(|(h, mm): (f64, f64)| (h, math::ln(mm))).to_vec();
        let slope = HeightGradient::line(&points).unwrap();
        assert!((slope - 0.000_664_614_025_675_110_3).abs() < 1e-15, "{slope}");
        assert_eq!(HeightGradient::line(&[(3.0, 1.0), (3.0, 2.0)]), None);
    }

    #[test]
    fn a_gradient_is_used_where_leaving_a_gauge_out_speaks_for_it() {
        let heights = [100.0, 250.0, 400.0, 700.0];
        let grows: Vec<f64> = heights.iter().map(|h| math::ln(800.0) + 0.0005 * h).collect();
        let found = HeightGradient::new(&heights, &grows, mean_of_others).unwrap();
        // By hand: the highest is followed to 500 m and comes out 0.0005 x 200 too low, the lowest to 150 m and 0.0005 x 50 too high.
        assert!((found.per_metre - 0.0005).abs() < 1e-12 && (found.error_with - ((0.01_f64 + 0.000_625) / 4.0).sqrt()).abs() < 1e-9);
        assert!(found.error_without > found.error_with);
        // 5 % each 100 m; at most 100 m beyond the highest gauge.
        assert!((found.ratio(500.0, 400.0) - 1.051_271_096_376_024).abs() < 1e-12, "exp(0.05), from a table");
        assert_eq!(found.ratio(5000.0, 100.0), found.ratio(800.0, 100.0));
        assert!(found.reaches(800.0) && !found.reaches(801.0) && found.reaches(0.0) && !found.reaches(-1.0));
        // No rule in the rain: nothing. Three gauges: nothing. All on one level: nothing. Too steep: nothing.
        assert_eq!(HeightGradient::new(&heights, &[7.0, 6.8, 7.1, 6.9], mean_of_others), None);
        assert_eq!(HeightGradient::new(&heights[..3], &grows[..3], mean_of_others), None);
        assert_eq!(HeightGradient::new(&[100.0, 200.0, 300.0, 399.0], &grows, mean_of_others), None);
        let steep: Vec<f64> = heights.iter().map(|h| 0.01 * h).collect();
        assert_eq!(HeightGradient::new(&heights, &steep, mean_of_others), None);
    }
}
