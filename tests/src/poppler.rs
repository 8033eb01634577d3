//! Printed sheets read back with poppler's programs (`pdftotext`, `pdfinfo`, `pdftoppm`), where they are there.

use std::process::{Command, Stdio};

/// Standard output of one of the programs; nothing, after one line, where it is not there.
///
/// # Panics
/// When the program refuses the file.
pub fn poppler(program: &str, arguments: &[&str]) -> Option<Vec<u8>> {
    match Command::new(program).args(arguments).stdin(Stdio::null()).output() {
        Ok(output) => {
            assert!(output.status.success(), "{program}: {}", String::from_utf8_lossy(&output.stderr));
            Some(output.stdout)
        }
        Err(_) => {
            eprintln!("skipped: there is no {program} to read the printed pages with");
            None
        }
    }
}

/// The same as text.
pub fn poppler_text(program: &str, arguments: &[&str]) -> Option<String> {
    poppler(program, arguments).map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
}

/// The text of each sheet.
pub fn sheets(pdf: &str) -> Option<Vec<String>> {
    let all = poppler_text("pdftotext", &["-layout", pdf, "-"])?;
    Some(all.trim_end_matches('\u{c}').split('\u{c}').map(str::to_owned).collect())
}

/// White space collapsed, apostrophes straight.
pub fn collapsed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").replace('\u{2019}', "'")
}
