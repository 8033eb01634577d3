//! A server on loopback that answers as it is told, also wrongly: bodies cut short, stalled, dribbled, longer or shorter than announced.
//!
//! Own code on [`TcpListener`], since a library for servers would not send what is no HTTP. One request a connection, a thread each, plain or over
//! TLS with a certificate authority made for this one server.

mod answer;
mod encryption;

pub use answer::{Answer, Step};

use encryption::Encryption;
use std::cell::Cell;
use std::io::{BufRead, BufReader, Read, Result, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// A request that came.
#[derive(Debug, Clone)]
pub struct Asked {
    /// Its path, with what follows a question mark.
    pub path: String,
    /// How many requests for this path came before it.
    pub before: usize,
    headers: Vec<(String, String)>,
}

impl Asked {
    /// A header; its name in any case.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, value)| value.as_str())
    }
}

type Handler = dyn Fn(&Asked) -> Answer + Send + Sync;

/// What its threads share.
struct Shared {
    handler: Box<Handler>,
    asked: Mutex<Vec<Asked>>,
    stop: AtomicBool,
    now: AtomicUsize,
    most: AtomicUsize,
}

/// The server; it ends when dropped.
pub struct Server {
    address: SocketAddr,
    shared: Arc<Shared>,
    root: Option<String>,
}

impl Server {
    /// A server without encryption.
    ///
    /// # Errors
    /// Where the system gives no port.
    pub fn plain(handler: impl Fn(&Asked) -> Answer + Send + Sync + 'static) -> Result<Self> {
        Self::start(Box::new(handler), None)
    }

    /// A server with encryption, whose certificate only its own authority vouches for.
    ///
    /// # Errors
    /// Where the system gives no port, or no certificate can be made.
    pub fn encrypted(handler: impl Fn(&Asked) -> Answer + Send + Sync + 'static) -> Result<Self> {
        Self::start(Box::new(handler), Some(Encryption::new()?))
    }

    fn start(handler: Box<Handler>, encryption: Option<Encryption>) -> Result<Self> {
        let listener = TcpListener::bind("127.0.0.1:0")?;
        let address = listener.local_addr()?;
        let shared = Arc::new(Shared {
            handler,
            asked: Mutex::default(),
            stop: AtomicBool::new(false),
            now: AtomicUsize::new(0),
            most: AtomicUsize::new(0),
        });
        let root = encryption.as_ref().map(|encryption| encryption.root.clone());
        let (for_all, encryption) = (shared.clone(), encryption.map(Arc::new));
        std::thread::spawn(move || {
            for stream in listener.incoming() {
                if for_all.stop.load(Ordering::SeqCst) {
                    return;
                }
                let (Ok(stream), shared, encryption) = (stream, for_all.clone(), encryption.clone()) else { continue };
                std::thread::spawn(move || {
                    // A client that goes away in the middle is what many tests are about.
                    let _ = shared.serve(stream, encryption.as_deref());
                });
            }
        });
        Ok(Self { address, shared, root })
    }

    /// Its address, with a slash at the end.
    pub fn url(&self) -> String {
        let scheme = if self.root.is_some() { "https" } else { "http" };
        format!("{scheme}://{}/", self.address)
    }

    /// The root certificate that vouches for it, as PEM; empty for a plain one.
    pub fn root(&self) -> &str {
        self.root.as_deref().unwrap_or_default()
    }

    /// All requests until now.
    pub fn asked(&self) -> Vec<Asked> {
        self.shared.asked.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The most requests that were being answered at a time.
    pub fn most_at_a_time(&self) -> usize {
        self.shared.most.load(Ordering::SeqCst)
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.shared.stop.store(true, Ordering::SeqCst);
        // Wakes the thread that waits for a connection.
        let _ = TcpStream::connect(self.address);
    }
}

impl Shared {
    fn serve(&self, stream: TcpStream, encryption: Option<&Encryption>) -> Result<()> {
        // Nobody is waited for longer than a test may take.
        stream.set_read_timeout(Some(Duration::from_secs(30)))?;
        stream.set_write_timeout(Some(Duration::from_secs(30)))?;
        stream.set_nodelay(true)?;
        match encryption {
            None => self.talk(stream),
            Some(encryption) => encryption.over(stream).and_then(|stream| self.talk(stream)),
        }
    }

    fn talk(&self, stream: impl Read + Write) -> Result<()> {
        let mut stream = BufReader::new(stream);
        let Some(mut asked) = request(&mut stream)? else { return Ok(()) };
        {
            let mut all = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
            asked.before = all.iter().filter(|other| other.path == asked.path).count();
            all.push(asked.clone());
        }
        let now = self.now.fetch_add(1, Ordering::SeqCst) + 1;
        self.most.fetch_max(now, Ordering::SeqCst);
        // Before its last bytes, since behind them the client may be at its next request already.
        let answered = Cell::new(false);
        let answer = || {
            if !answered.replace(true) {
                self.now.fetch_sub(1, Ordering::SeqCst);
            }
        };
        let done = (self.handler)(&asked).send(stream.get_mut(), &self.stop, answer);
        answer();
        done
    }
}

/// Reads a request up to the blank line.
fn request(stream: &mut impl BufRead) -> Result<Option<Asked>> {
    let mut line = String::new();
    stream.read_line(&mut line)?;
    let Some(path) = line.split(' ').nth(1).map(str::to_owned) else { return Ok(None) };
    let mut headers = Vec::new();
    loop {
        line.clear();
        if stream.read_line(&mut line)? == 0 || line.trim().is_empty() {
            return Ok(Some(Asked { path, before: 0, headers }));
        }
        if let Some((name, value)) = line.split_once(':') {
            headers.push((name.trim().to_owned(), value.trim().to_owned()));
        }
    }
}
