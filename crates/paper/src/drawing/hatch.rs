//! Hatches of areas of any outline, as strokes cut by arithmetic (a `<pattern>` would be drawn as a picture by some
//! printers), with the places of words left free. All in mm.

use super::Fill;
use super::labels::{Rectangle, Segment};

type Point = (f64, f64);

/// Distance between two lines of a hatch, mm.
fn spacing(fill: Fill) -> f64 {
    match fill {
        Fill::None => f64::INFINITY,
        Fill::Rising | Fill::Falling => 2.4,
        Fill::Crossed => 2.0,
        Fill::Level => 1.1,
    }
}

/// The strokes of a hatch inside an outline, none of them inside one of the rectangles.
pub(super) fn strokes(fill: Fill, outline: &[Point], free: &[Rectangle]) -> Vec<Segment> {
    let directions: &[(f64, f64)] = match fill {
        Fill::None => &[],
        // Lines along which across * x + along * y stays the same; y grows downwards.
        Fill::Rising => &[(1.0, 1.0)],
        Fill::Falling => &[(1.0, -1.0)],
        Fill::Crossed => &[(1.0, 1.0), (1.0, -1.0)],
        Fill::Level => &[(0.0, 1.0)],
    };
    let mut out = Vec::new();
    for &(across, along) in directions {
        let long = (across * across + along * along).sqrt();
        let value = |&(x, y): &Point| (across * x + along * y) / long;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for point in outline {
            low = low.min(value(point));
            high = high.max(value(point));
        }
        let step = spacing(fill);
        if !(high - low).is_finite() || (high - low) / step > 2000.0 {
            continue;
        }
        let mut at = (libm::floor(low / step) + 1.0) * step;
        while at < high {
            let mut ends: Vec<Point> = Vec::new();
            for (i, &from) in outline.iter().enumerate() {
                let to = outline[(i + 1) % outline.len()];
                let (a, b) = (value(&from), value(&to));
                if (a > at) != (b > at) {
                    let share = (at - a) / (b - a);
                    ends.push((from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1)));
                }
            }
            ends.sort_by(|a, b| (a.0 * along - a.1 * across).total_cmp(&(b.0 * along - b.1 * across)));
            for pair in ends.chunks_exact(2) {
                cut((pair[0], pair[1]), free, &mut out);
            }
            at += step;
        }
    }
    out
}

/// The parts of a stroke outside all rectangles.
fn cut(stroke: Segment, free: &[Rectangle], out: &mut Vec<Segment>) {
    let mut parts = vec![(0.0_f64, 1.0_f64)];
    for rectangle in free {
        let Some((from, to)) = rectangle.inside(&stroke) else { continue };
        parts = parts.into_iter().flat_map(|(a, b)| [(a, b.min(from)), (a.max(to), b)]).filter(|(a, b)| b > a).collect();
    }
    let ((x0, y0), (x1, y1)) = stroke;
    let at = |share: f64| (x0 + share * (x1 - x0), y0 + share * (y1 - y0));
    out.extend(parts.into_iter().map(|(a, b)| (at(a), at(b))));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strokes_stay_inside_and_leave_words_free() {
        let l = [(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (20.0, 20.0), (20.0, 40.0), (0.0, 40.0)];
        let words = Rectangle { left: 4.0, top: 4.0, right: 16.0, bottom: 8.0 };
        for fill in [Fill::Rising, Fill::Falling, Fill::Crossed, Fill::Level] {
            let found = strokes(fill, &l, &[words]);
            assert!(found.len() > 10, "{fill:?}");
            for ((x0, y0), (x1, y1)) in found {
                let (x, y) = (f64::midpoint(x0, x1), f64::midpoint(y0, y1));
                assert!((x <= 20.01 || y <= 20.01) && x >= 0.0 && y >= 0.0 && x <= 40.0 && y <= 40.0, "{fill:?} {x} {y}");
                assert!(!(x > 4.0 && x < 16.0 && y > 4.0 && y < 8.0), "{fill:?} {x} {y}");
            }
        }
        assert!(strokes(Fill::None, &l, &[]).is_empty());
        assert!(strokes(Fill::Level, &[(0.0, f64::NAN), (1.0, 1.0), (2.0, 0.0)], &[]).len() < 10);
    }
}
