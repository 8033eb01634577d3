//! How wide a text is, before anything draws it: sums of advance widths of a Helvetica-metric sans serif (the metrics
//! that Arial and Liberation Sans share), in thousandths of the type size. Kerning is left out, so the estimate is never
//! short by more than a hair.
//!
//! Source of the widths: Adobe Core 14 AFM files, Helvetica, character metrics (WX), printable ASCII; the test compares
//! them with sums worked by hand from the same file.

/// Advance widths of U+0020 to U+007E.
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, // space to /
    556, 556, 556, 556, 556, 556, 556, 556, 556, 556, // digits
    278, 278, 584, 584, 584, 556, 1015, // : to @
    667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, // A to M
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, // N to Z
    278, 278, 278, 469, 556, 333, // [ to `
    556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, // a to m
    556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, // n to z
    334, 260, 334, 584, // { to ~
];

/// Width of one character in thousandths of the type size.
fn advance(character: char) -> u16 {
    let code = u32::from(character);
    match code {
        0xA0 => WIDTHS[0],
        0x20..=0x7E => WIDTHS[(code - 0x20) as usize],
        0x300..=0x36F | 0x200B..=0x200F | 0xFE00..=0xFE0F => 0,
        // Letters with marks are as wide as the letter; 0.72 em is the widest common one.
        0xC0..=0xDD => 722,
        0xB0 => 400,
        0xB2 | 0xB3 | 0xB9 => 333,
        0x2009 | 0x202F => 200,
        // Long dash and ellipsis; scripts and pictures as wide as high.
        0x2014 | 0x2026 | 0x1100..=0x11FF | 0x2E80..=0xD7AF | 0xF900..=0xFAFF | 0xFF00..=0xFF60 | 0x1_F000.. => 1000,
        _ => 600,
    }
}

/// Width of `text` at type size `size`, in the unit of `size`.
pub fn width(text: &str, size: f64) -> f64 {
    let units: u64 = text.chars().map(|character| u64::from(advance(character))).sum();
    units as f64 * size / 1000.0
}

/// `text` cut with an ellipsis where it is wider than `room`.
pub fn fit(text: &str, size: f64, room: f64) -> String {
    if width(text, size) <= room {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut used = width("…", size);
    for character in text.chars() {
        used += f64::from(advance(character)) * size / 1000.0;
        if used > room {
            break;
        }
        out.push(character);
    }
    let mut out = out.trim_end().to_owned();
    out.push('…');
    out
}

/// `text` broken at spaces into lines of at most `room`; a word wider than that gets a line of its own and is cut.
pub fn wrap(text: &str, size: f64, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if width(line, size) + width(" ", size) + width(word, size) <= room => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(fit(word, size, room)),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Adobe Core 14 AFM, Helvetica: W 944, a 556, t 278, e 556, r 333 -> 2667; digits 556 each.
    #[test]
    fn widths_are_those_of_the_metrics_file() {
        assert_eq!(width("Water", 1000.0), 2667.0);
        assert_eq!(width("2024", 10.0), 22.24);
        assert_eq!(width("", 10.0), 0.0);
        assert_eq!(width("日本", 10.0), 20.0);
    }

    #[test]
    fn a_cut_text_fits_and_says_so() {
        let cut = fit("a long label that does not fit", 10.0, 60.0);
        assert!(cut.ends_with('…') && width(&cut, 10.0) <= 60.0, "{cut}");
        assert_eq!(fit("short", 10.0, 60.0), "short");
    }

    #[test]
    fn lines_break_at_spaces() {
        let lines = wrap("one two three four", 10.0, 50.0);
        assert!(lines.len() > 1 && lines.iter().all(|line| width(line, 10.0) <= 50.0));
        assert_eq!(lines.join(" "), "one two three four");
        assert!(wrap("  ", 10.0, 50.0).is_empty());
    }
}
