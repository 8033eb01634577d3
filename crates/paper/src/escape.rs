//! The one place where text becomes markup: HTML text and attributes, SVG (XML) text and attributes, CSS strings.
//!
//! HTML and XML share one escape, so that a chart can stand inside a page and as a file of its own. Characters that
//! XML 1.0 does not allow (section 2.2: control characters other than tab and line ends, U+FFFE, U+FFFF) become U+FFFD.

use std::fmt::Write;

/// Appends `text` to `out` as HTML or XML text; it may stand in an element or in a quoted attribute.
pub(crate) fn push(out: &mut String, text: &str) {
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' => out.push(character),
            '\r' => out.push('\n'),
            '\u{0}'..='\u{1F}' | '\u{7F}'..='\u{9F}' | '\u{FFFE}' | '\u{FFFF}' => {
                out.push('\u{FFFD}');
            }
            _ => out.push(character),
        }
    }
}

/// `text` as a quoted CSS string. Everything but ASCII letters, digits and spaces is written as a code point, so nothing
/// in it can end the string, the rule or the style element.
pub(crate) fn css_string(text: &str) -> String {
    let mut out = String::from("\"");
    for character in text.chars() {
        if character.is_ascii_alphanumeric() || character == ' ' {
            out.push(character);
        } else if character.is_control() {
            out.push(' ');
        } else {
            let _ = write!(out, "\\{:X} ", u32::from(character));
        }
    }
    out.push('"');
    out
}

/// `name` as the value of an `id`: ASCII letters, digits, `-` stay; all else becomes `_` and its code point, so that
/// different names stay different.
pub(crate) fn id(name: &str) -> String {
    let mut out = String::with_capacity(name.len());
    for character in name.chars() {
        if character.is_ascii_alphanumeric() || character == '-' {
            out.push(character);
        } else {
            let _ = write!(out, "_{:x}", u32::from(character));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(text: &str) -> String {
        let mut out = String::new();
        push(&mut out, text);
        out
    }

    #[test]
    fn markup_becomes_text() {
        assert_eq!(text("<b a=\"1\" c='2'>&amp;"), "&lt;b a=&quot;1&quot; c=&#39;2&#39;&gt;&amp;amp;");
    }

    /// XML 1.0, section 2.2: NUL and most control characters may not stand in a document, not even escaped.
    #[test]
    fn characters_outside_xml_are_replaced() {
        assert_eq!(text("a\u{0}b\u{1B}c\u{FFFE}\n\t"), "a\u{FFFD}b\u{FFFD}c\u{FFFD}\n\t");
    }

    /// CSS Syntax 3, section 4.3.7: an escape is up to six hexadecimal digits and one space.
    #[test]
    fn a_css_string_cannot_be_left() {
        let css = css_string("a\"}</style>\\\nb");
        assert_eq!(css, "\"a\\22 \\7D \\3C \\2F style\\3E \\5C  b\"");
    }

    #[test]
    fn ids_of_different_names_differ() {
        assert_ne!(id("a.b"), id("a-b"));
        assert_eq!(id("a-b"), "a-b");
    }
}
