//! A place as a person types it: `44.9,-93.2`, `44.9 -93.2`, `44.9N 93.2W`. Degrees with a decimal point, latitude first.

const EXPECTED: &str = "degrees north and degrees east with a decimal point, such as 44.9,-93.2 or \"44.9N 93.2W\"";

/// Which way a number counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Axis {
    North,
    East,
}

/// A place on the earth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct TypedPlace {
    /// Degrees north, -90 to 90.
    pub(crate) latitude: f64,
    /// Degrees east, -180 to 180.
    pub(crate) longitude: f64,
}

impl std::str::FromStr for TypedPlace {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let parts: Vec<&str> = text.split([',', ';', ' ', '\t']).filter(|part| !part.is_empty()).collect();
        let [one, other] = match parts.as_slice() {
            [one, other] => [*one, *other],
            // `44.9 N 93.2 W`, the letters apart.
            [one, letter, other, another] if is_letter(letter) && is_letter(another) => {
                return format!("{one}{letter} {other}{another}").parse();
            }
            [_, _, _, _] => {
                return Err(format!("found {text:?}, four numbers: write a point for decimals; expected {EXPECTED}"));
            }
            _ => return Err(format!("found {text:?}, expected {EXPECTED}")),
        };
        let part = |part: &str| degrees(part).ok_or_else(|| format!("found {part:?} in {text:?}, expected {EXPECTED}"));
        let ((first, first_axis), (second, second_axis)) = (part(one)?, part(other)?);
        let (latitude, longitude) = match (first_axis, second_axis) {
            (Some(Axis::East), None | Some(Axis::North)) | (None, Some(Axis::North)) => (second, first),
            (Some(axis), Some(same)) if axis == same => {
                return Err(format!("found {text:?}, two numbers of one direction; expected {EXPECTED}"));
            }
            _ => (first, second),
        };
        within(text, latitude, longitude)
    }
}

fn is_letter(text: &str) -> bool {
    matches!(text, "N" | "S" | "E" | "W" | "n" | "s" | "e" | "w")
}

/// A number of degrees, with what a letter behind it says.
fn degrees(part: &str) -> Option<(f64, Option<Axis>)> {
    let (number, letter) = match part.char_indices().next_back() {
        Some((at, letter)) if letter.is_ascii_alphabetic() => (&part[..at], Some(letter.to_ascii_uppercase())),
        _ => (part, None),
    };
    let number = number.strip_suffix('\u{b0}').unwrap_or(number);
    let plain = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b'+'));
    let value: f64 = number.parse().ok().filter(|_| plain)?;
    let (axis, sign) = match letter {
        None => return Some((value, None)),
        Some('N') => (Axis::North, 1.0),
        Some('S') => (Axis::North, -1.0),
        Some('E') => (Axis::East, 1.0),
        Some('W') => (Axis::East, -1.0),
        Some(_) => return None,
    };
    // A sign and a letter would be a question.
    (!number.starts_with(['-', '+'])).then_some((sign * value, Some(axis)))
}

fn within(text: &str, latitude: f64, longitude: f64) -> Result<TypedPlace, String> {
    let place = TypedPlace { latitude, longitude };
    match (latitude.abs() <= 90.0, longitude.abs() <= 180.0) {
        (true, true) => Ok(place),
        (true, false) if longitude > 180.0 && longitude <= 360.0 => Err(format!(
            "found {text:?}, a longitude counted to 360; expected degrees east from -180 to 180: --near={latitude},{}",
            round(longitude - 360.0)
        )),
        (false, _) if latitude.abs() <= 180.0 && longitude.abs() <= 90.0 => Err(format!(
            "found {text:?}, a latitude of {latitude}; expected degrees north from -90 to 90. The two look exchanged: --near={longitude},{latitude}"
        )),
        (false, _) => Err(format!("found {text:?}, a latitude of {latitude}; expected degrees north from -90 to 90")),
        (true, false) => Err(format!("found {text:?}, a longitude of {longitude}; expected degrees east from -180 to 180")),
    }
}

/// Without the last digits that a subtraction leaves.
fn round(degrees: f64) -> f64 {
    (degrees * 1e9).round() / 1e9
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<(f64, f64), String> {
        text.parse::<TypedPlace>().map(|place| (place.latitude, place.longitude))
    }

    #[test]
    fn a_place_is_read_as_it_is_typed() {
        let texts = [
            "44.9,-93.2",
            "44.9, -93.2",
            " 44.9 -93.2 ",
            "44.9N 93.2W",
            "93.2W,44.9n",
            "44.9 N, 93.2 W",
            "44.9\u{b0}N 93.2\u{b0}W",
            "44.9;-93.2",
        ];
        for text in texts {
            assert_eq!(read(text), Ok((44.9, -93.2)), "{text}");
        }
        assert_eq!((read("-90,0"), read("90S 180E"), read("-33.9,180")), (Ok((-90.0, 0.0)), Ok((-90.0, 180.0)), Ok((-33.9, 180.0))));
    }

    #[test]
    fn a_place_that_cannot_be_is_answered_with_what_may_be_meant() {
        for (text, words) in [
            ("-93.2,44.9", "--near=44.9,-93.2"),
            ("44.9,266.8", "--near=44.9,-93.2"),
            ("44,9,-93,2", "write a point for decimals"),
            ("44.9N 93.2N", "two numbers of one direction"),
            ("-44.9S 93.2W", "\"-44.9S\""),
            ("144.9,193.2", "a latitude of 144.9"),
            ("44.9,500", "a longitude of 500"),
            ("44.9", "expected degrees north"),
            ("1,2,3", "expected degrees north"),
            ("nan,inf", "\"nan\""),
            ("44.9,1e1", "\"1e1\""),
            ("44.9X 3", "\"44.9X\""),
            ("", "expected degrees north"),
            ("\u{b0},\u{b0}", "expected degrees north"),
        ] {
            let error = read(text).unwrap_err();
            assert!(error.contains(words), "{text}: {error}");
        }
    }
}
