//! The sheets of `report.pdf` against those that were looked at: the words of each, and how dark each part of each is.
//!
//! A snapshot, for layout alone: it holds no number to be right, and says only that a sheet is no longer the one that a person looked at.
//! After looking at the new sheets, `RAINWORTH_LOOKED_AT=1 cargo test -p tests --test golden_sheets` takes them for the next time.
//!
//! Darkness: the sheet is drawn at 25 dots an inch in grey and cut into squares of 10 dots (10 mm); the mean ink of a square is a digit from
//! 0 (bare) to 9. Tolerance: between two versions of the drawing program a digit may move by one anywhere, and by more in one square
//! in two hundred; a line of text that moves by a line changes some twenty.

use std::fmt::Write;
use std::fs;
use std::path::PathBuf;
use tests::command::run;
use tests::folders::{repository, sample, text, with_file};
use tests::poppler::{collapsed, poppler, sheets};

const DOTS_AN_INCH: &str = "25";
const SQUARE: usize = 10;
/// One square in so many may differ by more than one digit.
const ONE_IN: usize = 200;

fn golden(name: &str) -> PathBuf {
    repository().join("tests/golden").join(name)
}

/// Compares with what was kept, or keeps it when somebody has looked.
fn compare(name: &str, now: &str, same: impl Fn(&str, &str) -> Result<(), String>) {
    let file = golden(name);
    if std::env::var_os("RAINWORTH_LOOKED_AT").is_some() {
        fs::create_dir_all(file.parent().unwrap()).unwrap();
        fs::write(&file, now).unwrap();
        return;
    }
    let kept = fs::read_to_string(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    if let Err(why) = same(&kept, now) {
        panic!("{}: {why}; look at the sheets, then set RAINWORTH_LOOKED_AT", file.display());
    }
}

/// A sheet as rows of digits.
fn ink(picture: &[u8]) -> Vec<String> {
    // Portable grey map (netpbm, `man 5 pgm`): P5, width, height, largest value, one byte a dot.
    let mut fields = picture.splitn(4, |byte| byte.is_ascii_whitespace());
    let number = |field: Option<&[u8]>| -> usize { std::str::from_utf8(field.unwrap()).unwrap().parse().unwrap() };
    assert_eq!(fields.next(), Some(&b"P5"[..]));
    let (width, height) = (number(fields.next()), number(fields.next()));
    let dots = fields.next().unwrap().split_at(4).1;
    assert_eq!(dots.len(), width * height, "one byte a dot, after the largest value of 255");
    let square = |row: usize, column: usize| {
        let (mut sum, mut count) = (0, 0);
        for y in row * SQUARE..((row + 1) * SQUARE).min(height) {
            for x in column * SQUARE..((column + 1) * SQUARE).min(width) {
                sum += 255 - usize::from(dots[y * width + x]);
                count += 1;
            }
        }
        // Text of a paragraph covers about a fifth of its ground: the scale ends at half.
        char::from(b'0' + u8::try_from((sum * 18 / (255 * count)).min(9)).unwrap())
    };
    (0..height.div_ceil(SQUARE)).map(|row| (0..width.div_ceil(SQUARE)).map(|column| square(row, column)).collect()).collect()
}

fn same_ink(kept: &str, now: &str) -> Result<(), String> {
    let (kept, now): (Vec<&str>, Vec<&str>) = (kept.split("\n\n").collect(), now.split("\n\n").collect());
    if kept.len() != now.len() {
        return Err(format!("{} sheets were {}", now.len(), kept.len()));
    }
    for (sheet, (kept, now)) in (1..).zip(kept.iter().zip(&now)) {
        if kept.len() != now.len() {
            return Err(format!("sheet {sheet} has another size"));
        }
        let far = kept.bytes().zip(now.bytes()).filter(|(kept, now)| kept.abs_diff(*now) > 1).count();
        if far * ONE_IN > kept.len() {
            return Err(format!("sheet {sheet}: {far} of {} squares have another darkness", kept.len()));
        }
    }
    Ok(())
}

#[test]
fn sheets_are_those_that_were_looked_at() {
    for (name, paper) in [("nursery", "a4"), ("orchard", "letter")] {
        let (place, file) = with_file("site.toml", sample(&format!("{name}.toml")));
        let out = place.path().join("out");
        let ran = run(&["assess", text(&file), "--out", text(&out), "--paper", paper]);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        assert!(!ran.stderr.contains("U+FFFD"), "our own words have a glyph each: {}", ran.stderr);
        let pdf = out.join("report.pdf");
        let Some(sheets) = sheets(text(&pdf)) else { return };
        let mut words = String::new();
        let mut darkness = Vec::new();
        for (number, sheet) in (1_usize..).zip(&sheets) {
            writeln!(words, "== {number}").unwrap();
            for line in sheet.lines().map(collapsed).filter(|line| !line.is_empty()) {
                writeln!(words, "{line}").unwrap();
            }
            let one = number.to_string();
            let arguments = ["-r", DOTS_AN_INCH, "-gray", "-f", &one, "-l", &one, text(&pdf)];
            let Some(picture) = poppler("pdftoppm", &arguments) else { return };
            darkness.push(ink(&picture).join("\n"));
        }
        compare(&format!("{name}-{paper}.words.txt"), &words, |kept, now| {
            let differing = kept.lines().zip(now.lines()).find(|(kept, now)| kept != now);
            match differing {
                Some((kept, now)) => Err(format!("{now:?} was {kept:?}")),
                None if kept.len() != now.len() => Err("the end differs".to_owned()),
                None => Ok(()),
            }
        });
        compare(&format!("{name}-{paper}.ink.txt"), &darkness.join("\n\n"), same_ink);
    }
}

#[test]
fn a_moved_line_is_seen_and_a_shade_is_not() {
    let kept = ["00000000000000000000", "02222222222222222220", "00000000000000000000"].join("\n");
    let shade = kept.replace('2', "3");
    let moved = ["00000000000000000000", "00000000000000000000", "02222222222222222220"].join("\n");
    assert!(same_ink(&kept, &kept).is_ok() && same_ink(&kept, &shade).is_ok());
    assert!(same_ink(&kept, &moved).is_err() && same_ink(&kept, &format!("{kept}\n\n{kept}")).is_err());
}
