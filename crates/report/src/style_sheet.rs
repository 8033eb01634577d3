//! A style sheet of somebody else's: it may change how the page looks and may not make it fetch anything.
//!
//! Whatever in CSS can name an address is refused: `@import`, `@font-face`, `@namespace`, `url()` and the functions that take an address as a
//! string (CSS Images Level 4: `image()`, `image-set()`, `cross-fade()`; CSS Values Level 5: `src()`). So are escapes (`\75 rl(` is `url(`, CSS
//! Syntax Level 3 section 4.3.7), and `<`, which could end the element that the sheet stands in. A page also tells the browser to fetch
//! nothing; this check tells the writer of the sheet why.

use crate::error::Error;

const REFUSED: [(&str, &str); 11] = [
    ("@import", "the whole sheet in this one file"),
    ("@font-face", "a font that the reader's machine has, by `font-family`"),
    ("@namespace", "a sheet without name spaces"),
    ("@charset", "UTF-8, which needs no word"),
    ("url(", "a sheet that fetches nothing"),
    ("src(", "a sheet that fetches nothing"),
    ("image(", "a sheet that fetches nothing"),
    ("image-set(", "a sheet that fetches nothing"),
    ("cross-fade(", "a sheet that fetches nothing"),
    ("\\", "characters written out, not escaped"),
    ("<", "a sheet without `<`"),
];

/// Refuses a sheet that could make a page fetch something.
///
/// # Errors
/// [`Error::Stationery`] with the line of the first such place.
pub(crate) fn check(file: &str, text: &str) -> Result<(), Error> {
    // Comments count too: a word in one harms nothing, but a sheet without it reads as harmless to everybody.
    let lower = text.to_ascii_lowercase();
    let first = REFUSED.iter().filter_map(|(word, expected)| Some((lower.find(word)?, word, expected))).min_by_key(|(at, ..)| *at);
    let Some((at, word, expected)) = first else { return balanced(file, text) };
    Err(Error::Stationery {
        file: file.to_owned(),
        line: Some(text.bytes().take(at).filter(|byte| *byte == b'\n').count() + 1),
        found: format!("`{word}`"),
        expected: (*expected).to_owned(),
    })
}

/// Refuses a sheet whose braces do not close: a browser would pass over everything behind the slip without a word.
fn balanced(file: &str, text: &str) -> Result<(), Error> {
    let mut open: Vec<usize> = Vec::new();
    let mut quote = None;
    let mut rest = text;
    let mut line = 1;
    while let Some(character) = rest.chars().next() {
        let skipped = if quote.is_none() && rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |end| end + 2)
        } else {
            character.len_utf8()
        };
        match (character, quote) {
            _ if skipped > character.len_utf8() => {}
            (_, Some(end)) if character == end || character == '\n' => quote = None,
            ('"' | '\'', None) => quote = Some(character),
            ('{', None) => open.push(line),
            ('}', None) if open.pop().is_none() => return Err(brace(file, line, "`}` without its `{`")),
            _ => {}
        }
        line += rest[..skipped].bytes().filter(|byte| *byte == b'\n').count();
        rest = &rest[skipped..];
    }
    open.pop().map_or(Ok(()), |line| Err(brace(file, line, "`{` without its `}`")))
}

fn brace(file: &str, line: usize, found: &str) -> Error {
    Error::Stationery {
        file: file.to_owned(),
        line: Some(line),
        found: found.to_owned(),
        expected: "a pair of braces for each rule".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shipped_sheet_fetches_nothing() {
        check("style.css", include_str!("../../../reports/feasibility/style.css")).unwrap();
    }

    #[test]
    fn braces_come_in_pairs() {
        for (sheet, told) in [("\nbody{color:black", "line 2: found `{`"), ("p{}\n\n}", "line 3: found `}`")] {
            assert!(check("style.css", sheet).unwrap_err().to_string().contains(told));
        }
        check("style.css", "/* } */ p::before { content: \"}\" }").unwrap();
    }

    #[test]
    fn addresses_in_every_spelling_are_refused_with_their_line() {
        let sheets = [
            "\n@import 'a.css';",
            "\n@IMPORT url(a.css);",
            "\nbody{background:URL(https://example.org/a.png)}",
            "\nbody{background:u\\72l(a.png)}",
            "\nbody{background:image-set('a.png' 1x)}",
            "\nbody{background:src('a.png')}",
            "\n@font-face{font-family:a;src:local(a)}",
            "\n</style><script>",
        ];
        for sheet in sheets {
            let error = check("style.css", sheet).unwrap_err().to_string();
            assert!(error.starts_with("style.css, line 2: "), "{error}");
        }
    }
}
