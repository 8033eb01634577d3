//! Packed files as agencies ship them: gzip (RFC 1952) and zip archives (APPNOTE.TXT 6.3.10).
//!
//! What comes out is bounded twice: by a size, and by a ratio to what went in, so that a small hostile file cannot fill the memory. Daily
//! records pack 5 to 15 to 1; deflate can reach 1032 to 1 (zlib's technical notes, from memory).

use crate::Error;
use flate2::bufread::{DeflateDecoder, MultiGzDecoder};
use std::borrow::Cow;
use std::io::{BufRead, Cursor, Read};

/// Most plain bytes a packed byte is believed to hold.
pub(crate) const MOST_RATIO: u64 = 250;
/// Plain bytes that are let through whatever the ratio.
pub(crate) const RATIO_FREE_BYTES: u64 = 4 << 20;
/// Most members of an archive; the largest known archives of station files hold some ten thousands.
pub(crate) const MOST_MEMBERS: usize = 100_000;
/// Most plain bytes that the heads of all members together may have, by which it is known what they are.
pub(crate) const MOST_HEAD_BYTES: usize = 400 << 20;
/// The shortest and the longest head of a member.
const HEADS: [usize; 2] = [4 << 10, 64 << 10];

/// Bytes of a member's head in an archive of so many: as many as a format may need to be known by, fewer where there are more than 6,400 members.
/// With these, all heads together take at most [`MOST_HEAD_BYTES`].
pub(crate) fn head_bytes(members: usize) -> usize {
    (MOST_HEAD_BYTES / members.max(1)).clamp(HEADS[0], HEADS[1])
}

/// How a file is packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Packing {
    Plain,
    Gzip,
    Zip,
}

/// The packing, by the first bytes.
pub(crate) fn packing(bytes: &[u8]) -> Packing {
    if bytes.starts_with(b"\x1F\x8B") {
        Packing::Gzip
    } else if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
        Packing::Zip
    } else {
        Packing::Plain
    }
}

/// The most that `packed` bytes may become, under a limit of the caller's.
pub(crate) fn most_bytes(packed: u64, limit: u64) -> u64 {
    packed.saturating_mul(MOST_RATIO).max(RATIO_FREE_BYTES).min(limit)
}

/// The whole text of a gzip file, of one member or several, put into `plain`.
pub(crate) fn gunzip(file: &str, packed: &[u8], limit: u64, plain: &mut Vec<u8>) -> Result<(), Error> {
    let most = most_bytes(packed.len() as u64, limit);
    if gunzip_at_once(packed, most.min(MOST_AT_ONCE), plain) {
        return Ok(());
    }
    plain.clear();
    let taken = MultiGzDecoder::new(packed).take(most + 1).read_to_end(plain);
    finish(file, "gzip", taken, plain, most)
}

/// Texts up to this size are unpacked in one go, which is half as fast again.
pub(crate) const MOST_AT_ONCE: u64 = 24 << 20;

/// How a member of a gzip file begins: two bytes of identification, and the only method there is (RFC 1952, section 2.3.1).
const MEMBER_HEAD: &[u8] = b"\x1F\x8B\x08";

/// The text of a gzip file of one member, if it is no longer than `most`; no for any other file, also for a damaged one, of which the slower way
/// says what is wrong.
fn gunzip_at_once(packed: &[u8], most: u64, plain: &mut Vec<u8>) -> bool {
    let Some(&[a, b, c, d, e, f, g, h]) = packed.last_chunk::<8>() else { return false };
    let (check, size) = (u32::from_le_bytes([a, b, c, d]), u32::from_le_bytes([e, f, g, h]));
    if u64::from(size) > most {
        return false;
    }
    plain.resize(size as usize, 0);
    // Of several members only the first is unpacked, and its size and checksum are not those that end the file. The checksum is worked out again only where
    // something like the head of a further member is in sight, which is one file in ten.
    let perhaps_several = packed.get(1..).is_some_and(|rest| memchr::memmem::find(rest, MEMBER_HEAD).is_some());
    let unpacked = libdeflater::Decompressor::new().gzip_decompress(packed, plain);
    unpacked == Ok(size as usize) && (!perhaps_several || libdeflater::crc32(plain) == check)
}

/// The first bytes of a gzip file's text, from its first bytes; as many as can be had.
pub(crate) fn gunzip_head(packed: &[u8], wanted: usize) -> Vec<u8> {
    let mut head = Vec::new();
    // The packed head ends in the middle of the stream, which is no fault here.
    let _ = MultiGzDecoder::new(packed).take(wanted as u64).read_to_end(&mut head);
    head
}

/// The first bytes of a file's text, from its first bytes; nothing of an archive, whose members are not in order.
pub(crate) fn plain_head(head: &[u8], wanted: usize) -> Cow<'_, [u8]> {
    match packing(head) {
        Packing::Plain => Cow::Borrowed(head),
        Packing::Gzip => Cow::Owned(gunzip_head(head, wanted)),
        Packing::Zip => Cow::Borrowed(&[]),
    }
}

/// The first bytes of an archive's first member, from the archive's own first bytes: enough to guess what an archive holds without reading it
/// (APPNOTE.TXT 6.3.10, section 4.3.7: local file header of 30 bytes, method at 8, lengths of name and extra field at 26 and 28).
pub(crate) fn first_member_head(head: &[u8], wanted: usize) -> Option<Vec<u8>> {
    let number = |at: usize| Some(usize::from(u16::from_le_bytes(*head.get(at..)?.first_chunk()?)));
    let data = head.get(30 + number(26)? + number(28)?..)?;
    let mut plain = Vec::new();
    // The head may end in the middle of the member, which is no fault here.
    let _ = match number(8)? {
        0 => data.take(wanted as u64).read_to_end(&mut plain),
        8 => DeflateDecoder::new(data).take(wanted as u64).read_to_end(&mut plain),
        _ => return None,
    };
    Some(plain)
}

/// Plain text from a gzip stream of any length, bounded by [`MOST_RATIO`].
pub(crate) fn gunzip_stream<R: BufRead>(packed: R) -> impl Read {
    MultiGzDecoder::new(packed)
}

/// A zip archive in memory.
pub(crate) struct Archive<'a> {
    file: &'a str,
    members: zip::ZipArchive<Cursor<&'a [u8]>>,
    left: u64,
}

impl<'a> Archive<'a> {
    /// Opens an archive; all its members together may become `limit` bytes.
    pub(crate) fn open(file: &'a str, packed: &'a [u8], limit: u64) -> Result<Self, Error> {
        // Before the list of members is made: each has an entry of the central directory (APPNOTE.TXT 6.3.10, section 4.3.12).
        if memchr::memmem::find_iter(packed, b"PK\x01\x02").nth(MOST_MEMBERS).is_some() {
            return Err(Error::WrongProduct {
                file: file.to_owned(),
                found: format!("a zip archive of more than {MOST_MEMBERS} members"),
                expected: "fewer, such as an archive of station files has: unpack it, or take the files in parts".to_owned(),
            });
        }
        let archive = zip::ZipArchive::new(Cursor::new(packed)).map_err(|source| damaged(file, "zip", &source))?;
        Ok(Self { file, members: archive, left: most_bytes(packed.len() as u64, limit) })
    }

    /// How many members there are.
    pub(crate) fn len(&self) -> usize {
        self.members.len()
    }

    /// The name of a member, for a message; nothing for a folder.
    pub(crate) fn name(&self, place: usize) -> Option<String> {
        let name = self.members.name_for_index(place)?.ok()?;
        (!name.ends_with('/')).then(|| name.chars().map(|c| if c.is_control() { '.' } else { c }).take(200).collect())
    }

    /// The first bytes of a member.
    pub(crate) fn head(&mut self, place: usize, wanted: usize) -> Result<Vec<u8>, Error> {
        let mut head = Vec::new();
        let member = self.members.by_index(place).map_err(|source| damaged(self.file, "zip", &source))?;
        member.take(wanted as u64).read_to_end(&mut head).map_err(|source| damaged(self.file, "zip", &source))?;
        Ok(head)
    }

    /// A member's whole text, put into `plain`.
    pub(crate) fn read(&mut self, place: usize, plain: &mut Vec<u8>) -> Result<(), Error> {
        plain.clear();
        let member = self.members.by_index(place).map_err(|source| damaged(self.file, "zip", &source))?;
        let taken = member.take(self.left + 1).read_to_end(plain);
        finish(self.file, "zip", taken, plain, self.left)?;
        self.left -= plain.len() as u64;
        Ok(())
    }
}

fn finish(file: &str, kind: &'static str, taken: std::io::Result<usize>, plain: &mut Vec<u8>, most: u64) -> Result<(), Error> {
    if let Err(source) = taken {
        return Err(damaged(file, kind, &source));
    }
    if plain.len() as u64 > most {
        *plain = Vec::new();
        return Err(Error::UnpacksTooLarge { file: file.to_owned(), most });
    }
    Ok(())
}

pub(crate) fn damaged(file: &str, kind: &'static str, why: &dyn std::fmt::Display) -> Error {
    Error::Damaged { file: file.to_owned(), kind, why: why.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::{Compression, write::GzEncoder};
    use std::io::Write;

    fn gzip(text: &[u8]) -> Vec<u8> {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
        encoder.write_all(text).unwrap();
        encoder.finish().unwrap()
    }

    #[test]
    fn members_of_a_gzip_file_are_joined() {
        // RFC 1952 section 2.2: members simply follow one another. These are of one size, so that it cannot tell them apart.
        let packed = [gzip(b"one\n"), gzip(b"two\n")].concat();
        let mut plain = Vec::new();
        gunzip("x.gz", &packed, 1 << 20, &mut plain).unwrap();
        assert_eq!(plain, b"one\ntwo\n");
        for text in [&b""[..], b"one\n", &vec![b'x'; 100_000]] {
            gunzip("x.gz", &gzip(text), 1 << 20, &mut plain).unwrap();
            assert_eq!(plain, text);
        }
        assert_eq!(gunzip_head(&packed[..=packed.len() / 2], 3), b"one");
    }

    #[test]
    fn a_cut_or_altered_file_is_damaged() {
        let packed = gzip(&b"a line of text\n".repeat(100));
        let mut plain = Vec::new();
        assert_eq!(gunzip("x", &packed[..packed.len() - 9], 1 << 20, &mut plain).unwrap_err().id(), "file-damaged");
        let mut altered = packed.clone();
        let crc = altered.len() - 6;
        altered[crc] ^= 1;
        assert_eq!(gunzip("x", &altered, 1 << 20, &mut plain).unwrap_err().id(), "file-damaged");
    }

    #[test]
    fn the_heads_of_all_members_are_bounded() {
        for members in [0, 1, 100, 6400, 6401, 20_000, MOST_MEMBERS] {
            assert!(members * head_bytes(members) <= MOST_HEAD_BYTES, "{members}");
        }
        assert_eq!((head_bytes(1), head_bytes(MOST_MEMBERS)), (64 << 10, (400 << 20) / MOST_MEMBERS));
    }

    #[test]
    fn a_bomb_is_stopped() {
        let packed = gzip(&vec![b'0'; 64 << 20]);
        let mut plain = Vec::new();
        let error = gunzip("x", &packed, 1 << 30, &mut plain).unwrap_err();
        assert_eq!((error.id(), plain.capacity()), ("file-unpacks-too-large", 0));
        assert!((packed.len() as u64) * MOST_RATIO < 64 << 20);
    }
}
