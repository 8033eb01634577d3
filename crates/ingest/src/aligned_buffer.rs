//! Bytes in memory that stays warm, at an address that the system copies to fast.
//!
//! A cached file is copied from the kernel's pages into ours, and on the machines this was measured on that takes four times as long when the address is no
//! multiple of 32, which what the allocator gives never is (DEVELOPERS.md, "What reading costs").

use std::io::{ErrorKind, Read};
use std::ops::{Deref, DerefMut};

/// Bytes: a cache line.
pub(crate) const ALIGNMENT: usize = 64;
/// Room that is made at a time where nothing tells how much will come.
const ROOM: usize = 64 << 10;

/// A buffer whose first byte has an address that is a multiple of [`ALIGNMENT`]. It only grows.
#[derive(Debug, Default)]
pub(crate) struct AlignedBuffer {
    memory: Vec<u8>,
    origin: usize,
}

impl AlignedBuffer {
    /// Makes it at least that long; what it holds stays, and zeros stand behind.
    pub(crate) fn grow(&mut self, length: usize) {
        if self.len() >= length {
            return;
        }
        let mut memory = vec![0; length + ALIGNMENT];
        let origin = memory.as_ptr().align_offset(ALIGNMENT).min(ALIGNMENT);
        if let Some(kept) = memory.get_mut(origin..origin + self.len()) {
            kept.copy_from_slice(self);
        }
        memory.truncate(origin + length);
        *self = Self { memory, origin };
    }

    /// Reads behind the first `filled` bytes until the source ends or `most` bytes are there; gives how many are.
    pub(crate) fn fill(&mut self, mut filled: usize, most: usize, source: &mut impl Read) -> std::io::Result<usize> {
        while filled < most {
            if self.len() == filled {
                self.grow((2 * filled).max(ROOM));
            }
            let end = self.len().min(most);
            match source.read(&mut self[filled..end]) {
                Ok(0) => break,
                Ok(got) => filled += got,
                Err(fault) if fault.kind() == ErrorKind::Interrupted => {}
                Err(fault) => return Err(fault),
            }
        }
        Ok(filled)
    }
}

impl Deref for AlignedBuffer {
    type Target = [u8];

    fn deref(&self) -> &[u8] {
        self.memory.get(self.origin..).unwrap_or_default()
    }
}

impl DerefMut for AlignedBuffer {
    fn deref_mut(&mut self) -> &mut [u8] {
        self.memory.get_mut(self.origin..).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_it_holds_stays_and_stands_aligned() {
        let text: Vec<u8> = (0..300_001_u32).map(|i| i as u8).collect();
        let mut buffer = AlignedBuffer::default();
        assert!(buffer.is_empty());
        let filled = buffer.fill(0, 1000, &mut text.as_slice()).unwrap();
        assert_eq!((filled, &buffer[..filled]), (1000, &text[..1000]));
        let filled = buffer.fill(filled, usize::MAX, &mut &text[1000..]).unwrap();
        assert_eq!((filled, &buffer[..filled]), (text.len(), text.as_slice()));
        buffer.grow(1 << 20);
        assert_eq!((buffer.len(), &buffer[..filled]), (1 << 20, text.as_slice()));
        assert_eq!(buffer.as_ptr().align_offset(ALIGNMENT), 0);
    }

    #[test]
    fn a_fault_of_the_source_is_told() {
        struct Broken;
        impl Read for Broken {
            fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
                Err(ErrorKind::PermissionDenied.into())
            }
        }
        let fault = AlignedBuffer::default().fill(0, 10, &mut Broken).unwrap_err();
        assert_eq!(fault.kind(), ErrorKind::PermissionDenied);
    }
}
