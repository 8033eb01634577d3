//! What most of the first rows of a table are: one odd field must not decide for a whole file.

use crate::delimited::{Row, Rows};

/// Rows that are looked at.
pub(crate) const ROWS: usize = 1000;

/// The commonest answer of the next [`ROWS`] rows; of equally common ones the first given. A row may have none.
pub(crate) fn commonest<T: PartialEq>(rows: &mut Rows<'_>, of: impl Fn(&Row<'_, '_>) -> Option<T>) -> Option<T> {
    let mut counts: Vec<(T, usize)> = Vec::new();
    for _ in 0..ROWS {
        let Some(row) = rows.next_row() else { break };
        let Some(answer) = of(&row) else { continue };
        match counts.iter_mut().find(|(known, _)| *known == answer) {
            Some((_, count)) => *count += 1,
            None => counts.push((answer, 1)),
        }
    }
    // Of equals the last one is taken, so they are turned round.
    counts.into_iter().rev().max_by_key(|(_, count)| *count).map(|(answer, _)| answer)
}

/// How many digits a field has that is digits throughout; 0 for any other. Dates of months, days, hours and minutes differ by it.
pub(crate) fn digits(field: &[u8]) -> usize {
    if field.iter().all(u8::is_ascii_digit) { field.len() } else { 0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_commonest_answer_is_taken() {
        let lengths =
            |text: &str| commonest(&mut Rows::new(text.as_bytes(), b','), |row| Some(digits(row.get(0))).filter(|count| *count > 0));
        assert_eq!(lengths("123\n12\n12\n1\n"), Some(2));
        assert_eq!(lengths("123\n12\n"), Some(3), "the first of equals");
        assert_eq!((lengths("x\n\n"), lengths("")), (None, None));
        // A thousand rows and no more.
        let text = "1\n".repeat(501) + &"12\n".repeat(5000);
        assert_eq!(lengths(&text), Some(1));
    }
}
