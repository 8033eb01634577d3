//! A file from a server into its part: from the beginning, from where it was cut, or not at all because nothing has changed.
//!
//! RFC 9110: conditional requests in section 13 (`If-None-Match`, `If-Modified-Since`, `If-Range`), ranges in section 14, 206 and 416 in section 15.

use super::archive::Locked;
use super::client::{Answer, Client};
use super::fault::{Failed, Fault};
use super::part::{Part, Whole};
use super::request::Wanted;
use super::settings::{Caller, Event};
use super::sidecar::Sidecar;
use crate::Reader;
use reqwest::header::{
    CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_RANGE, DATE, ETAG, HeaderMap, HeaderName, HeaderValue, IF_MODIFIED_SINCE, IF_NONE_MATCH,
    IF_RANGE, LAST_MODIFIED, RANGE, TRANSFER_ENCODING,
};
use reqwest::{StatusCode, Url};
use std::time::Duration;

/// Bytes that are taken at a time.
const BLOCK: usize = 64 << 10;

/// A validator longer than this is not kept: it would make a sidecar that is not read. Real ones have some 40 bytes (our choice).
const MOST_VALIDATOR_BYTES: usize = 1024;

/// What came.
#[derive(Debug)]
pub(crate) enum Came {
    /// Nothing: the archive's copy is the server's.
    Unchanged,
    /// All of it, as far as the server tells. It is neither synced nor looked at.
    Whole(Part),
}

/// One file that is to be brought from one address.
pub(crate) struct Transfer<'a> {
    pub(crate) client: &'a Client,
    pub(crate) caller: &'a dyn Caller,
    pub(crate) wanted: &'a Wanted,
    pub(crate) address: &'a Url,
    pub(crate) locked: &'a Locked,
    /// The sidecar of the copy that is there and is what it must be.
    pub(crate) known: Option<&'a Sidecar>,
}

impl Transfer<'_> {
    /// Brings it, in as many tries as it takes and may take.
    pub(crate) fn bring(&self) -> Result<Came, Fault> {
        self.client.try_again(self.address, &self.wanted.path, self.caller, || self.once())
    }

    fn once(&self) -> Result<Came, Failed> {
        let left = Part::left(&self.locked.entry, self.address.as_str())?;
        match left {
            Some(part) if part.is_whole() => self.confirm(part),
            Some(part) => self.go_on(part),
            None => self.begin(),
        }
    }

    /// Asks for the whole, if it is another one than is known.
    fn begin(&self) -> Result<Came, Failed> {
        let mut headers = HeaderMap::new();
        // Validators are the server's own: those of another address say nothing of this one.
        let known = self.known.filter(|known| known.url == self.address.as_str());
        if let Some(known) = known {
            put(&mut headers, IF_NONE_MATCH, known.etag.as_deref());
            put(&mut headers, IF_MODIFIED_SINCE, known.last_modified.as_deref());
        }
        let answer = self.client.get(self.address, &headers, self.caller)?;
        match answer.status() {
            StatusCode::OK => self.receive_anew(answer),
            StatusCode::NOT_MODIFIED if !headers.is_empty() => Ok(Came::Unchanged),
            _ => Err(answer.refused(&self.wanted.expected_in_words())),
        }
    }

    /// A part that is whole was left by a process that ended before it looked at it. It is taken if the server has no other version by now.
    fn confirm(&self, part: Part) -> Result<Came, Failed> {
        let mut headers = HeaderMap::new();
        put(&mut headers, IF_NONE_MATCH, part.whole.etag.as_deref());
        put(&mut headers, IF_MODIFIED_SINCE, part.whole.last_modified.as_deref());
        let answer = self.client.get(self.address, &headers, self.caller)?;
        match answer.status() {
            StatusCode::NOT_MODIFIED => Ok(Came::Whole(part)),
            StatusCode::OK => {
                drop(part);
                self.receive_anew(answer)
            }
            _ => Err(answer.refused(&self.wanted.expected_in_words())),
        }
    }

    /// Asks for what is still to come, if the rest is of the same file as the part; else for the whole.
    fn go_on(&self, mut part: Part) -> Result<Came, Failed> {
        let mut headers = HeaderMap::new();
        put(&mut headers, RANGE, Some(&format!("bytes={}-", part.have)));
        put(&mut headers, IF_RANGE, part.whole.validator.as_deref());
        let answer = self.client.get(self.address, &headers, self.caller)?;
        match answer.status() {
            // The file has changed, or the server knows no ranges.
            StatusCode::OK => {
                drop(part);
                self.receive_anew(answer)
            }
            StatusCode::PARTIAL_CONTENT => {
                let told = answer.header(CONTENT_RANGE).unwrap_or_default();
                // A server that was asked by its tag has to name it again (RFC 9110, section 15.3.7).
                let asked_by_tag = part.whole.validator == part.whole.etag;
                let other_tag = answer.header(ETAG).map_or(asked_by_tag, |tag| Some(tag) != part.whole.etag.as_deref());
                match content_range(told) {
                    Some((first, total))
                        if first == part.have
                            && (total.is_none() || part.whole.length.is_none() || total == part.whole.length)
                            && !other_tag =>
                    {
                        part.whole.length = part.whole.length.or(total);
                        self.receive(answer, part)
                    }
                    _ => self
                        .start_over(&part, format!("a part with the range {told:?}{}", if other_tag { " of another version" } else { "" })),
                }
            }
            StatusCode::RANGE_NOT_SATISFIABLE => self.start_over(&part, format!("the answer {}", StatusCode::RANGE_NOT_SATISFIABLE)),
            _ => Err(answer.refused(&self.wanted.expected_in_words())),
        }
    }

    /// What is there is of no use with what the server says: the next try begins anew.
    fn start_over(&self, part: &Part, found: String) -> Result<Came, Failed> {
        Part::discard(&self.locked.entry)?;
        let expected = match part.whole.length {
            Some(length) => format!("the bytes from {} on of {length}", part.have),
            None => format!("the bytes from {} on", part.have),
        };
        Err(Failed::for_now(Fault::new("download-wrong-range", self.address.as_str(), found).expected(expected)))
    }

    fn receive_anew(&self, answer: Answer<'_>) -> Result<Came, Failed> {
        if let Some(coding) = answer.header(CONTENT_ENCODING).filter(|coding| !matches!(*coding, "" | "identity" | "gzip" | "x-gzip")) {
            let fault = Fault::new("download-unknown-coding", self.address.as_str(), format!("a body in the coding {coding:?}"));
            return Err(Failed::for_good(fault.expected("the file as it is, or in gzip")));
        }
        let part = Part::begin(&self.locked.entry, self.whole(&answer))?;
        self.receive(answer, part)
    }

    /// What the headers say of the file.
    fn whole(&self, answer: &Answer<'_>) -> Whole {
        let text = |name: HeaderName| answer.header(name).filter(|text| text.len() <= MOST_VALIDATOR_BYTES).map(str::to_owned);
        let (etag, last_modified) = (text(ETAG), text(LAST_MODIFIED));
        let strong = etag.clone().filter(|tag| tag.starts_with('"'));
        let strong_date = || last_modified.clone().filter(|changed| is_strong(changed, answer.header(DATE)));
        let chunked = answer.header(TRANSFER_ENCODING).is_some_and(|coding| coding.to_ascii_lowercase().ends_with("chunked"));
        let length = answer.header(CONTENT_LENGTH).and_then(|length| length.parse().ok()).filter(|_| !chunked);
        let validator = strong.or_else(strong_date);
        Whole { validator, etag, last_modified, length, framed: chunked || length.is_some(), ..Whole::of(self.address.as_str()) }
    }

    fn receive(&self, mut answer: Answer<'_>, mut part: Part) -> Result<Came, Failed> {
        let path = self.wanted.path.as_str();
        self.caller.event(Event::Begun { path, have: part.have, length: part.whole.length });
        let mut block = vec![0; BLOCK];
        loop {
            if part.have.max(part.whole.length.unwrap_or(0)) > Reader::MOST_BYTES {
                let found = part.whole.length.map_or("more".to_owned(), |length| format!("{length}"));
                Part::discard(&self.locked.entry)?;
                let fault = Fault::new("download-too-large", self.address.as_str(), format!("{found} bytes"));
                return Err(Failed::for_good(fault.expected(format!("at most {} bytes", Reader::MOST_BYTES))));
            }
            match answer.read(&mut block)? {
                0 => break,
                got => {
                    part.add(&block[..got], &self.locked.entry)?;
                    self.caller.event(Event::Received { path, bytes: got as u64 });
                }
            }
        }
        match part.whole.length {
            Some(length) if part.have != length => {
                let fault = Fault::new("download-cut-short", self.address.as_str(), format!("{} bytes", part.have));
                if part.have > length {
                    Part::discard(&self.locked.entry)?;
                }
                Err(Failed::for_now(fault.expected(format!("{length} bytes, as announced"))))
            }
            _ => Ok(Came::Whole(part)),
        }
    }
}

/// Puts a header where there is something to say.
fn put(headers: &mut HeaderMap, name: HeaderName, value: Option<&str>) {
    if let Some(value) = value.and_then(|value| HeaderValue::from_str(value).ok()) {
        headers.insert(name, value);
    }
}

/// First byte and size of the whole of a `Content-Range` (RFC 9110, section 14.4): `bytes 3-9/10`, or `/*` where the size is not known.
fn content_range(text: &str) -> Option<(u64, Option<u64>)> {
    let (range, total) = text.strip_prefix("bytes ")?.trim().split_once('/')?;
    let (first, last) = range.split_once('-')?;
    let (first, last): (u64, u64) = (first.parse().ok()?, last.parse().ok()?);
    let total = if total == "*" { None } else { Some(total.parse::<u64>().ok()?) };
    (first <= last && total.is_none_or(|total| last < total)).then_some((first, total))
}

/// Whether a date of last change holds for every byte: the answer was made at least a second later.
fn is_strong(changed: &str, made: Option<&str>) -> bool {
    let at = |text: &str| httpdate::parse_http_date(text).ok();
    let (Some(changed), Some(made)) = (at(changed), made.and_then(at)) else { return false };
    made.duration_since(changed).is_ok_and(|between| between >= Duration::from_secs(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_content_range_is_read_or_refused() {
        // RFC 9110, section 14.4: its examples, and what it calls invalid.
        assert_eq!(content_range("bytes 42-1233/1234"), Some((42, Some(1234))));
        assert_eq!(content_range("bytes 42-1233/*"), Some((42, None)));
        for wrong in ["", "bytes */1234", "bytes 5-4/10", "bytes 3-10/10", "items 3-9/10", "bytes 3-9", "bytes a-9/10"] {
            assert_eq!(content_range(wrong), None, "{wrong:?}");
        }
    }

    #[test]
    fn a_date_is_strong_a_second_later() {
        let changed = "Sun, 06 Nov 1994 08:49:37 GMT";
        assert!(is_strong(changed, Some("Sun, 06 Nov 1994 08:49:38 GMT")));
        assert!(!is_strong(changed, Some(changed)) && !is_strong(changed, None) && !is_strong("yesterday", Some(changed)));
    }
}
