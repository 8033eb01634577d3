//! Packed files as agencies ship them: gzip (RFC 1952) and zip archives (APPNOTE.TXT 6.3.10).
//!
//! What comes out is bounded twice: by a size, and by a ratio to what went in, so that a small hostile file cannot fill the memory. Daily
//! records pack 5 to 15 to 1; deflate can reach 1032 to 1 (zlib's technical notes, from memory).

use crate::Error;
use flate2::bufread::{DeflateDecoder, GzDecoder, MultiGzDecoder};
use std::borrow::Cow;
use std::cell::Cell;
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

/// The whole text of a gzip file, of one member or several, put into `plain`; gives how many zero bytes stand behind the members.
pub(crate) fn gunzip(file: &str, packed: &[u8], limit: u64, plain: &mut Vec<u8>) -> Result<u64, Error> {
    let most = most_bytes(packed.len() as u64, limit);
    if gunzip_at_once(packed, most.min(MOST_AT_ONCE), plain) {
        return Ok(0);
    }
    plain.clear();
    let padding = Cell::new(0);
    let taken = gunzip_stream(packed, &padding).take(most + 1).read_to_end(plain);
    finish(file, "gzip", taken, plain, most)?;
    Ok(padding.get())
}

/// Texts up to this size are unpacked in one go, which is half as fast again.
pub(crate) const MOST_AT_ONCE: u64 = 24 << 20;

/// How a member of a gzip file begins: two bytes of identification, and the only method there is (RFC 1952, section 2.3.1).
const MEMBER_HEAD: &[u8] = b"\x1F\x8B\x08";

/// The text of a gzip file of one member, if it is no longer than `most`; no for any other file, also for a damaged one, of which the slower way
/// says what is wrong.
fn gunzip_at_once(packed: &[u8], most: u64, plain: &mut Vec<u8>) -> bool {
    // Of several members only the first would be unpacked, and the last may have its size and its checksum. What looks like a further head may
    // as well be packed text, which the slower way reads alike: one file in ten.
    if packed.get(1..).is_none_or(|rest| memchr::memmem::find(rest, MEMBER_HEAD).is_some()) {
        return false;
    }
    let Some(&size) = packed.last_chunk::<4>() else { return false };
    let size = u32::from_le_bytes(size);
    // The size of an empty text may be zeros behind the member.
    if size == 0 || u64::from(size) > most {
        return false;
    }
    plain.resize(size as usize, 0);
    libdeflater::Decompressor::new().gzip_decompress(packed, plain) == Ok(size as usize)
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

/// Plain text from a gzip stream of any length, one member after the other; `padding` counts the zero bytes behind members, which are passed over
/// as gzip's own program does (from memory): tapes and block devices fill their last block so.
pub(crate) fn gunzip_stream<R: BufRead>(packed: R, padding: &Cell<u64>) -> Members<'_, R> {
    Members { member: Some(GzDecoder::new(packed)), padding }
}

/// The members of a gzip stream; none is left at its end.
pub(crate) struct Members<'a, R> {
    member: Option<GzDecoder<R>>,
    padding: &'a Cell<u64>,
}

impl<R: BufRead> Read for Members<'_, R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if into.is_empty() {
            return Ok(0);
        }
        while let Some(member) = &mut self.member {
            let got = member.read(into)?;
            if got > 0 {
                return Ok(got);
            }
            let Some(mut packed) = self.member.take().map(GzDecoder::into_inner) else { break };
            loop {
                let ahead = packed.fill_buf()?;
                if ahead.is_empty() {
                    return Ok(0);
                }
                let zeros = ahead.iter().take_while(|byte| **byte == 0).count();
                let ended = zeros == ahead.len();
                self.padding.set(self.padding.get() + zeros as u64);
                packed.consume(zeros);
                if !ended {
                    break;
                }
            }
            self.member = Some(GzDecoder::new(packed));
        }
        Ok(0)
    }
}

/// A zip archive in memory.
pub(crate) struct Archive<'a> {
    file: &'a str,
    members: zip::ZipArchive<Cursor<&'a [u8]>>,
    /// Plain bytes that may still be taken, from members that are whole and from those that fail.
    left: u64,
}

impl<'a> Archive<'a> {
    /// Opens an archive; all its members together may become `limit` bytes, those that fail included. Members that together are longer than the
    /// file lie over one another, so that a few packed bytes would be unpacked again and again: such an archive is none that an agency makes.
    pub(crate) fn open(file: &'a str, packed: &'a [u8], limit: u64) -> Result<Self, Error> {
        // Before the list of members is made: each has an entry of the central directory (APPNOTE.TXT 6.3.10, section 4.3.12).
        if memchr::memmem::find_iter(packed, b"PK\x01\x02").nth(MOST_MEMBERS).is_some() {
            return Err(Error::WrongProduct {
                file: file.to_owned(),
                found: format!("a zip archive of more than {MOST_MEMBERS} members"),
                expected: "fewer, such as an archive of station files has: unpack it, or take the files in parts".to_owned(),
            });
        }
        let mut archive = zip::ZipArchive::new(Cursor::new(packed)).map_err(|source| damaged(file, "zip", &source))?;
        let size = packed.len() as u64;
        let mut together = 0_u64;
        for place in 0..archive.len() {
            // What is wrong with a member is told when it is read.
            together = together.saturating_add(archive.by_index_raw(place).map_or(0, |member| member.compressed_size().min(size)));
        }
        if together > size {
            let why = format!("its members lie over one another: {together} packed bytes in a file of {size}");
            return Err(damaged(file, "zip", &why));
        }
        Ok(Self { file, members: archive, left: most_bytes(packed.len() as u64, limit) })
    }

    /// Whether no more may be taken of it.
    pub(crate) fn is_used_up(&self) -> bool {
        self.left == 0
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

    /// A member's whole text, put into `plain`, if it has no more than `most` bytes. What was taken counts towards the limit of the archive, also
    /// where the member turns out to be damaged or too large.
    pub(crate) fn read(&mut self, place: usize, most: u64, plain: &mut Vec<u8>) -> Result<(), Error> {
        plain.clear();
        let most = most.min(self.left);
        let member = self.members.by_index(place).map_err(|source| damaged(self.file, "zip", &source))?;
        let taken = member.take(most + 1).read_to_end(plain);
        self.left = self.left.saturating_sub(plain.len() as u64);
        finish(self.file, "zip", taken, plain, most)
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
    fn members_between_two_of_one_text_are_not_lost() {
        // The first and the last member have one size and one checksum.
        let packed = [gzip(b"one\n"), gzip(b"two\n"), gzip(b"three\n"), gzip(b"one\n")].concat();
        let mut plain = Vec::new();
        assert_eq!(gunzip("x.gz", &packed, 1 << 20, &mut plain).unwrap(), 0);
        assert_eq!(plain, b"one\ntwo\nthree\none\n");
    }

    #[test]
    fn zeros_behind_the_members_are_counted_and_other_bytes_are_damage() {
        let mut plain = Vec::new();
        for text in [&b""[..], b"one\n", &vec![b'x'; 70_000]] {
            for zeros in [1, 3, 4, 8, 512, 100_000] {
                let packed = [gzip(text), vec![0; zeros]].concat();
                assert_eq!((gunzip("x.gz", &packed, 1 << 20, &mut plain).unwrap(), plain.as_slice()), (zeros as u64, text));
            }
        }
        let between = [gzip(b"one\n"), vec![0; 20], gzip(b"two\n")].concat();
        assert_eq!((gunzip("x.gz", &between, 1 << 20, &mut plain).unwrap(), plain.as_slice()), (20, &b"one\ntwo\n"[..]));
        for behind in [&b"more"[..], b"\0\0more"] {
            let packed = [&gzip(b"one\n"), behind].concat();
            assert_eq!(gunzip("x.gz", &packed, 1 << 20, &mut plain).unwrap_err().id(), "file-damaged");
        }
    }

    #[test]
    fn what_a_failed_member_unpacked_to_counts() {
        // Ten members of 3 MiB each, stored, of which the checksum is wrong: 12 MiB may be taken of them, and a byte of each member more.
        let (size, limit) = (3 << 20, 12 << 20);
        let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
        let stored = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
        for member in 0..10_u8 {
            writer.start_file(member.to_string(), stored).unwrap();
            writer.write_all(&vec![b'a' + member; size]).unwrap();
        }
        let mut packed = writer.finish().unwrap().into_inner();
        for member in 0..10_u8 {
            let run = memchr::memmem::find(&packed, &[b'a' + member; 64]).unwrap();
            packed[run + 100] = b'#';
        }
        let mut archive = Archive::open("x.zip", &packed, limit).unwrap();
        let (mut plain, mut ids) = (Vec::new(), Vec::new());
        for member in 0..10 {
            ids.push(archive.read(member, u64::MAX, &mut plain).unwrap_err().id());
        }
        // Four members of 3 MiB are 12 MiB.
        assert_eq!((&ids[..4], archive.left), (&["file-damaged"; 4][..], 0));
        assert!(ids[4..].iter().all(|id| *id == "file-unpacks-too-large"), "{ids:?}");
    }

    #[test]
    fn members_that_lie_over_one_another_are_refused() {
        // One member of 4,000 bytes; its entry of the central directory, 46 bytes and its name (APPNOTE.TXT 6.3.10, section 4.3.12), three times.
        let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
        let stored = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
        writer.start_file("a", stored).unwrap();
        writer.write_all(&[b'x'; 4000]).unwrap();
        let whole = writer.finish().unwrap().into_inner();
        let directory = memchr::memmem::find(&whole, b"PK\x01\x02").unwrap();
        let end = memchr::memmem::find(&whole, b"PK\x05\x06").unwrap();
        let mut packed = whole[..directory].to_vec();
        for name in [b'a', b'b', b'c'] {
            let mut entry = whole[directory..end].to_vec();
            entry[46] = name;
            packed.extend(entry);
        }
        let mut last = whole[end..].to_vec();
        // Section 4.3.16: entries here and in all, then the size of the directory.
        (last[8], last[10]) = (3, 3);
        last[12..16].copy_from_slice(&(3 * (end - directory) as u32).to_le_bytes());
        packed.extend(last);
        let error = Archive::open("x.zip", &packed, 1 << 30).err().unwrap();
        assert!(error.id() == "file-damaged" && error.to_string().contains("lie over one another: 12000 packed bytes"), "{error}");
        assert_eq!(Archive::open("x.zip", &whole, 1 << 30).unwrap().len(), 1);
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
