//! An answer and how it is sent: a head, and a body in steps.

use super::Asked;
use std::fmt::Write as _;
use std::io::{Result, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// One step of a body on its way.
#[derive(Debug, Clone)]
pub enum Step {
    /// These bytes.
    Bytes(Vec<u8>),
    /// Nothing for so long.
    Pause(Duration),
    /// Nothing, until the client goes or the server ends.
    Stall,
}

/// An answer. Its length is announced as it is, unless told otherwise; the connection ends behind it.
#[derive(Debug, Clone)]
pub struct Answer {
    status: u16,
    headers: Vec<(String, String)>,
    announced: Announced,
    steps: Vec<Step>,
}

#[derive(Debug, Clone, Copy)]
enum Announced {
    Truth,
    Length(usize),
    Nothing,
}

impl Answer {
    /// A status and a body.
    pub fn new(status: u16, body: impl Into<Vec<u8>>) -> Self {
        Self { status, headers: Vec::new(), announced: Announced::Truth, steps: vec![Step::Bytes(body.into())] }
    }

    /// A file as a good server gives it: 304 to one who has it, a part to one who asks for a part of the same version, else the whole.
    pub fn file(asked: &Asked, body: &[u8], tag: &str) -> Self {
        if asked.header("if-none-match") == Some(tag) {
            return Self::new(304, "").header("ETag", tag).announcing_nothing();
        }
        let first = asked.header("range").and_then(|range| range.strip_prefix("bytes=")?.strip_suffix('-')?.parse::<usize>().ok());
        let same = asked.header("if-range").is_none_or(|known| known == tag);
        match first.filter(|_| same) {
            Some(first) if first < body.len() => Self::new(206, &body[first..])
                .header("ETag", tag)
                .header("Content-Range", &format!("bytes {first}-{}/{}", body.len() - 1, body.len())),
            Some(_) => Self::new(416, "").header("Content-Range", &format!("bytes */{}", body.len())),
            None => Self::new(200, body).header("ETag", tag),
        }
    }

    /// With one header more.
    #[must_use]
    pub fn header(mut self, name: &str, value: &str) -> Self {
        self.headers.push((name.to_owned(), value.to_owned()));
        self
    }

    /// Announcing this length, whatever comes.
    #[must_use]
    pub fn announcing(self, length: usize) -> Self {
        Self { announced: Announced::Length(length), ..self }
    }

    /// Announcing neither length nor chunks: the end of the connection is the end.
    #[must_use]
    pub fn announcing_nothing(self) -> Self {
        Self { announced: Announced::Nothing, ..self }
    }

    /// Only the first bytes of the body, whose true length is announced, then this.
    #[must_use]
    pub fn but_after(self, bytes: usize, then: Step) -> Self {
        let body = self.body();
        let announced = match self.announced {
            Announced::Truth => Announced::Length(body.len()),
            other => other,
        };
        let head = body[..bytes.min(body.len())].to_vec();
        Self { announced, steps: vec![Step::Bytes(head), then], ..self }
    }

    /// The body so many bytes at a time, with a pause between them.
    #[must_use]
    pub fn dribbling(self, bytes: usize, pause: Duration) -> Self {
        let body = self.body();
        let steps = body.chunks(bytes.max(1)).flat_map(|chunk| [Step::Pause(pause), Step::Bytes(chunk.to_vec())]).collect();
        Self { announced: Announced::Length(body.len()), steps, ..self }
    }

    fn body(&self) -> Vec<u8> {
        let bytes = self.steps.iter().filter_map(|step| if let Step::Bytes(bytes) = step { Some(bytes.as_slice()) } else { None });
        bytes.collect::<Vec<_>>().concat()
    }

    /// Sends it; `before_last` is called before the last of its body.
    pub(super) fn send(&self, stream: &mut impl Write, stop: &AtomicBool, before_last: impl FnOnce()) -> Result<()> {
        let mut head = format!("HTTP/1.1 {} x\r\nConnection: close\r\n", self.status);
        let length = match self.announced {
            Announced::Truth => Some(self.body().len()),
            Announced::Length(length) => Some(length),
            Announced::Nothing => None,
        };
        if let Some(length) = length {
            let _ = write!(head, "Content-Length: {length}\r\n");
        }
        for (name, value) in &self.headers {
            let _ = write!(head, "{name}: {value}\r\n");
        }
        stream.write_all((head + "\r\n").as_bytes())?;
        stream.flush()?;
        let mut before_last = Some(before_last);
        for (number, step) in (1..).zip(&self.steps) {
            if let Some(before_last) = before_last.take_if(|_| number == self.steps.len()) {
                before_last();
            }
            match step {
                Step::Bytes(bytes) => {
                    stream.write_all(bytes)?;
                    stream.flush()?;
                }
                Step::Pause(pause) => std::thread::sleep(*pause),
                Step::Stall => {
                    while !stop.load(Ordering::SeqCst) {
                        std::thread::sleep(Duration::from_millis(20));
                    }
                }
            }
        }
        Ok(())
    }
}
