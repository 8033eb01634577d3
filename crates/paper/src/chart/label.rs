//! Words in a drawing, with the facts whose numbers stand in them.

use serde::Serialize;

use crate::document::Number;

/// Words, and the numbers in them that belong to a fact, in the order of the words. The drawing names them beside the text
/// (`data-fact`, `data-value`), so that a test can hold every printed number against its source.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Label {
    /// What is printed.
    pub words: String,
    /// The facts whose numbers stand in it; each one's `text` is a part of the words.
    pub numbers: Vec<Number>,
}

impl Label {
    /// A label that is a fact's number alone.
    pub fn of(number: Number) -> Self {
        Label { words: number.text.clone(), numbers: vec![number] }
    }

    /// Words with a fact's number in them.
    pub fn with(words: impl Into<String>, numbers: Vec<Number>) -> Self {
        Label { words: words.into(), numbers }
    }

    /// Whether nothing is printed.
    pub fn is_empty(&self) -> bool {
        self.words.is_empty()
    }
}

impl From<String> for Label {
    fn from(words: String) -> Self {
        Label { words, numbers: Vec::new() }
    }
}

impl From<&str> for Label {
    fn from(words: &str) -> Self {
        Label::from(words.to_owned())
    }
}
