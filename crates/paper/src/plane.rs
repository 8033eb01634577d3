//! What charts and drawings share of the plane: strokes against rectangles, and how a coordinate is written in SVG.

/// A place: right, down.
pub(crate) type Point = (f64, f64);
/// A stroke from place to place.
pub(crate) type Segment = (Point, Point);

/// The part of a stroke that lies inside a rectangle (left, top, right, bottom), edges included, as two shares of it (the clipping of
/// Liang and Barsky, 1984).
pub(crate) fn share_inside(&(left, top, right, bottom): &(f64, f64, f64, f64), &((x0, y0), (x1, y1)): &Segment) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (run, room) in [(x0 - x1, x0 - left), (x1 - x0, right - x0), (y0 - y1, y0 - top), (y1 - y0, bottom - y0)] {
        if run == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if run < 0.0 {
            from = from.max(room / run);
        } else {
            to = to.min(room / run);
        }
    }
    (from <= to).then_some((from, to))
}

/// A coordinate: at most so many decimals, no trailing zeros, never "-0"; what is not finite is 0.
pub(crate) fn coordinate(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{value:.decimals$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_worked_by_hand() {
        let rectangle = (10.0, 10.0, 20.0, 20.0);
        assert_eq!(share_inside(&rectangle, &((0.0, 15.0), (40.0, 15.0))), Some((0.25, 0.5)));
        assert_eq!(share_inside(&rectangle, &((12.0, 12.0), (13.0, 13.0))), Some((0.0, 1.0)));
        assert_eq!(share_inside(&rectangle, &((0.0, 15.0), (9.0, 15.0))), None);
        assert_eq!(share_inside(&rectangle, &((0.0, 25.0), (25.0, 50.0))), None);
    }

    #[test]
    fn coordinates_are_short_and_finite() {
        let written: Vec<String> = [1.0, 0.126, -0.001, f64::NAN, -12.5].iter().map(|value| coordinate(*value, 2)).collect();
        assert_eq!(written, ["1", "0.13", "0", "0", "-12.5"]);
    }
}
