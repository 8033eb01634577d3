//! What minijinja would accept and a template may not have: found before anything is rendered, by a scan of the source.

use super::{MARK_CLOSE, MARK_OPEN, line_of};
use crate::error::{Fault, one_of};

const STATEMENTS: [&str; 11] = ["if", "elif", "else", "endif", "for", "endfor", "set", "with", "endwith", "include", "do"];

/// Finds marks, capturing statements, operators that make text, and written lists and maps, with the line.
pub(super) fn check_source(source: &str) -> Result<(), (usize, Fault)> {
    if let Some(at) = source.find([MARK_OPEN, MARK_CLOSE]) {
        let fault = Fault::new("the private-use character U+E000 or U+E001", "text without private-use characters");
        return Err((line_of(source, at), fault));
    }
    let mut at = 0;
    while let Some(start) = next_tag(source, at) {
        let rest = &source[start..];
        if rest.starts_with("<!--") {
            match rest.find("-->") {
                Some(end) => at = start + end + 3,
                None => return Ok(()), // minijinja says so, with the place
            }
            continue;
        }
        let close = if rest.starts_with("{%") { "%}" } else { "}}" };
        let Some((inside, length)) = tag_body(&rest[2..], close) else {
            return Ok(());
        };
        check_tag(&inside, close == "%}").map_err(|fault| (line_of(source, start), fault))?;
        at = start + 2 + length;
    }
    Ok(())
}

fn next_tag(source: &str, from: usize) -> Option<usize> {
    ["{{", "{%", "<!--"].iter().filter_map(|open| source[from..].find(open)).min().map(|at| at + from)
}

/// The tag's inside with the contents of its strings left out, and its length with the closing delimiter.
fn tag_body(text: &str, close: &str) -> Option<(String, usize)> {
    let mut inside = String::new();
    let mut quote = None;
    let mut escaped = false;
    for (at, character) in text.char_indices() {
        match quote {
            Some(_) if escaped => escaped = false,
            Some(_) if character == '\\' => escaped = true,
            Some(open) if character == open => quote = None,
            Some(_) => {}
            None if text[at..].starts_with(close) => return Some((inside, at + close.len())),
            None => {
                if character == '"' || character == '\'' {
                    quote = Some(character);
                }
                inside.push(character);
            }
        }
    }
    None
}

fn check_tag(inside: &str, is_statement: bool) -> Result<(), Fault> {
    let body = inside.trim_matches(['-', '+']).trim();
    if let Some(operator) = body.chars().find(|character| ['~', '+', '*'].contains(character)) {
        return Err(Fault::new(format!("the operator `{operator}`"), "values written one after the other, each in its own {{ }}"));
    }
    if !is_statement {
        return Ok(());
    }
    let word = body.split(|character: char| !character.is_ascii_alphanumeric()).next().unwrap_or("");
    let binds = ["set", "with", "do"].contains(&word);
    if let Some(bracket) = body.chars().find(|character| binds && ['[', '{'].contains(character)) {
        return Err(Fault::new(
            format!("`{bracket}` in a `{word}`"),
            "a name that the report gives, its parts after a point (`site.name`)",
        ));
    }
    let captures = (word == "set" && !body.contains('=')) || (word == "for" && body.split_whitespace().any(|part| part == "recursive"));
    if captures || !STATEMENTS.contains(&word) {
        let known = STATEMENTS.iter().copied();
        return Err(Fault::new(format!("the statement `{body}`"), format!("{} (nothing that captures output)", one_of(known))));
    }
    Ok(())
}
