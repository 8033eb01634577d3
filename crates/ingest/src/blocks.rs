//! Text that is too long to hold, in blocks of whole lines.

use crate::Error;
use crate::aligned_buffer::{ALIGNMENT, AlignedBuffer};
use std::io::Read;

/// Bytes of a block; it stays in a core's cache while its lines are read.
const BLOCK: usize = 256 << 10;
/// A longer line is handed on in pieces, so that no line can fill the memory.
const MOST_LINE: usize = 1 << 20;

/// Gives one block of whole lines after the other.
pub(crate) trait Blocks {
    /// The next block; nothing at the end. Only the last one may end without a line feed, and a piece of a line of over one mebibyte.
    fn next_block(&mut self) -> Result<Option<&[u8]>, Error>;
}

/// A whole text as its only block.
pub(crate) struct Whole<'a>(pub(crate) Option<&'a [u8]>);

impl Blocks for Whole<'_> {
    fn next_block(&mut self) -> Result<Option<&[u8]>, Error> {
        Ok(self.0.take())
    }
}

/// Blocks of what a reader gives, up to `most` bytes in all.
pub(crate) struct Streamed<'a, R> {
    file: &'a str,
    source: R,
    most: u64,
    taken: u64,
    buffer: AlignedBuffer,
    /// Where the kept beginning of the next block stands.
    rest: std::ops::Range<usize>,
    ended: bool,
    damage: fn(&str, &std::io::Error) -> Error,
}

impl<'a, R: Read> Streamed<'a, R> {
    /// `damage` says what a fault of the source means.
    pub(crate) fn new(file: &'a str, source: R, most: u64, damage: fn(&str, &std::io::Error) -> Error) -> Self {
        Self { file, source, most, taken: 0, buffer: AlignedBuffer::default(), rest: 0..0, ended: false, damage }
    }
}

impl<R: Read> Blocks for Streamed<'_, R> {
    fn next_block(&mut self) -> Result<Option<&[u8]>, Error> {
        // What is kept ends where the next bytes are best put.
        let start = self.rest.len().next_multiple_of(ALIGNMENT) - self.rest.len();
        self.buffer.grow(start + self.rest.len());
        self.buffer.copy_within(self.rest.clone(), start);
        let mut filled = start + self.rest.len();
        let end = loop {
            if self.buffer.len() < filled + BLOCK / 2 {
                self.buffer.grow(filled.max(BLOCK / 2) + BLOCK / 2);
            }
            let got = if self.ended {
                0
            } else {
                self.source.read(&mut self.buffer[filled..]).or_else(|fault| match fault.kind() {
                    std::io::ErrorKind::Interrupted => Ok(usize::MAX),
                    _ => Err((self.damage)(self.file, &fault)),
                })?
            };
            if got == usize::MAX {
                continue;
            }
            self.ended |= got == 0;
            self.taken += got as u64;
            if self.taken > self.most {
                return Err(Error::UnpacksTooLarge { file: self.file.to_owned(), most: self.most });
            }
            filled += got;
            if self.ended {
                break filled;
            }
            if filled >= BLOCK / 2 {
                if let Some(last) = memchr::memrchr(b'\n', &self.buffer[start..filled]) {
                    break start + last + 1;
                }
                if filled > MOST_LINE {
                    break filled;
                }
            }
        };
        self.rest = end..filled;
        Ok((end > start).then_some(&self.buffer[start..end]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{Cursor, Error as Fault};

    fn fault(file: &str, fault: &Fault) -> Error {
        Error::Damaged { file: file.to_owned(), kind: "test", why: fault.to_string() }
    }

    #[test]
    fn blocks_put_together_are_the_text_and_end_with_lines() {
        let text: Vec<u8> = (0..200_000).flat_map(|i: u32| format!("line {i}\n").into_bytes()).chain(*b"no end").collect();
        let mut blocks = Streamed::new("x", Cursor::new(&text), u64::MAX, fault);
        let (mut whole, mut count) = (Vec::new(), 0);
        while let Some(block) = blocks.next_block().unwrap() {
            assert!(block.ends_with(b"\n") || block.ends_with(b"no end"));
            whole.extend_from_slice(block);
            count += 1;
        }
        assert!(count > 5);
        assert_eq!(whole, text);
    }

    #[test]
    fn an_endless_line_does_not_fill_the_memory() {
        let mut blocks = Streamed::new("x", std::io::repeat(b'x').take(50 << 20), u64::MAX, fault);
        while let Some(block) = blocks.next_block().unwrap() {
            assert!(block.len() <= MOST_LINE + 2 * BLOCK);
        }
        let mut endless = Streamed::new("x", std::io::repeat(b'\n'), 10 << 20, fault);
        let error = loop {
            match endless.next_block() {
                Err(error) => break error,
                Ok(block) => assert!(block.is_some()),
            }
        };
        assert_eq!(error.id(), "file-unpacks-too-large");
    }
}
