//! One request to a server: encryption, redirects, patience, and what an answer means.
//!
//! HTTP/1.1 over TLS by rustls with ring; the roots are those of the system, and what the caller adds. Redirects are followed here and not by the
//! library: at most five, and never to another scheme, so that nothing that begins encrypted ends in the open.

use super::connections::{Connections, Taken};
use super::fault::{Again, Failed, Fault, NOT_THERE};
use super::pace::Pace;
use super::retry;
use super::settings::{Caller, Event, Settings};
use super::source::Source;
use reqwest::blocking::Response;
use reqwest::header::{ACCEPT_ENCODING, DATE, HeaderMap, HeaderName, HeaderValue, LOCATION, RETRY_AFTER};
use reqwest::{Certificate, StatusCode, Url};
use std::io::Read;
use std::time::Duration;

/// Most redirects of one request.
const MOST_REDIRECTS: usize = 5;
/// Largest page that names are looked for on.
const MOST_PAGE_BYTES: u64 = 16 << 20;

/// The page that names the files is not to be had.
const NAMES_UNKNOWN: &str = "download-names-unknown";
/// What to do about it.
const HIDDEN_FOLDER: &str =
    "a mirror's server has to show what is in its folders; where it does not, copy the mirror and name its folder with --mirror";

/// A server that cannot be reached.
const NO_CONNECTION: &str = "download-no-connection";

/// Makes requests.
#[derive(Debug)]
pub(crate) struct Client {
    http: reqwest::blocking::Client,
    connections: Connections,
    pub(crate) settings: Settings,
}

/// A server's answer, with the connection that it comes over.
pub(crate) struct Answer<'a> {
    response: Response,
    address: Url,
    stall: Duration,
    pace: Pace,
    caller: &'a dyn Caller,
    _taken: Taken<'a>,
}

impl Client {
    pub(crate) fn new(source: &Source, settings: Settings) -> Result<Self, Fault> {
        // The first in a process stays; another one here would be the same.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let roots = roots(&settings)?;
        let mut builder = reqwest::blocking::Client::builder()
            .user_agent(&settings.user_agent)
            .redirect(reqwest::redirect::Policy::none())
            .retry(reqwest::retry::never())
            .referer(false)
            .http1_only()
            .connect_timeout(settings.connect)
            .timeout(settings.stall)
            .pool_max_idle_per_host(settings.connections);
        if source.is_this_machine() {
            builder = builder.no_proxy();
        }
        // Without encryption no root is needed, and a machine without any would be refused for nothing.
        builder = if source.is_plain() { builder.tls_certs_only(roots) } else { builder.tls_certs_merge(roots) };
        let http = builder.build().map_err(|error| {
            if settings.certificates.is_some() {
                return unusable_certificates(deepest(&error));
            }
            Fault::new("download-not-possible", "this machine", deepest(&error))
                .expected("root certificates of the system, to know a server by")
                .advice("install them (package ca-certificates), or name a PEM file with --certificates")
        })?;
        Ok(Self { http, connections: Connections::new(settings.connections), settings })
    }

    /// Asks for an address and follows where it leads; the answer may be any that is no redirect.
    pub(crate) fn get<'a>(&'a self, address: &Url, headers: &HeaderMap, caller: &'a dyn Caller) -> Result<Answer<'a>, Failed> {
        let mut here = address.clone();
        for _ in 0..=MOST_REDIRECTS {
            let taken = self.connections.take(host(&here));
            // As it is stored, so that its length and its parts are those of the file.
            let request = self.http.get(here.clone()).header(ACCEPT_ENCODING, "identity").headers(headers.clone());
            let response = request.send().map_err(|error| self.not_reached(&error, &here))?;
            let Some(next) = redirect(&response) else {
                let (stall, pace) = (self.settings.stall, Pace::from(caller.now()));
                return Ok(Answer { response, address: here, stall, pace, caller, _taken: taken });
            };
            here = follow(&here, &next)?;
        }
        Err(Failed::for_good(
            Fault::new(
                "download-redirected-too-often",
                address.as_str(),
                format!("more than {MOST_REDIRECTS} redirects, the last to {here}"),
            )
            .expected("the file")
            .advice("the server leads in a circle: tell whoever keeps it, or use a --mirror"),
        ))
    }

    /// Tries until it works, or cannot work, or has been tried often enough.
    pub(crate) fn try_again<T>(
        &self,
        address: &Url,
        path: &str,
        caller: &dyn Caller,
        mut once: impl FnMut() -> Result<T, Failed>,
    ) -> Result<T, Fault> {
        let mut repeat = 0;
        loop {
            let Failed { fault, again } = match once() {
                Ok(value) => {
                    self.connections.set_out_of_reach(host(address), false);
                    return Ok(value);
                }
                Err(failed) => failed,
            };
            let fault = *fault;
            let least = match again {
                Again::No => return Err(fault),
                Again::Yes => Duration::ZERO,
                Again::After(least) => least,
            };
            let longest = self.settings.longest_wait;
            if least > longest {
                let advice = format!(
                    "the server asks to be left alone for {} s, longer than is waited here ({} s): try later",
                    least.as_secs(),
                    longest.as_secs()
                );
                return Err(fault.advice(advice));
            }
            // A thousand files of a host that cannot be reached are not tried six times each.
            let no_connection = fault.id == NO_CONNECTION;
            if repeat == self.settings.repeats || no_connection && self.connections.is_out_of_reach(host(address)) {
                self.connections.set_out_of_reach(host(address), no_connection);
                let advice =
                    if repeat == 0 { "tried once: try later".to_owned() } else { format!("tried {} times: try later", repeat + 1) };
                return Err(if fault.advice.is_empty() {
                    fault.advice(advice)
                } else {
                    Fault { advice: format!("{} ({advice})", fault.advice), ..fault }
                });
            }
            let jitter = retry::wait(if least.is_zero() { repeat } else { 0 }, &self.settings);
            let _pause = (!least.is_zero()).then(|| self.connections.hold_off(host(address)));
            let why = fault.found.as_str();
            caller.event(Event::Waiting { path, wait: least + jitter, why });
            std::thread::sleep(least + jitter);
            repeat += 1;
        }
    }

    /// A page of names as text. Where there is no such page, nobody knows which files there are.
    pub(crate) fn page(&self, address: &Url, caller: &dyn Caller) -> Result<String, Fault> {
        let page = self.try_again(address, address.as_str(), caller, || {
            let mut answer = self.get(address, &HeaderMap::new(), caller)?;
            if answer.status() != StatusCode::OK {
                let Failed { fault, again } = answer.refused("the page that names the files");
                let unknown = |fault: Fault| Fault { id: NAMES_UNKNOWN, ..fault }.advice(HIDDEN_FOLDER);
                let fault = if again == Again::No { Box::new(unknown(*fault)) } else { fault };
                return Err(Failed { fault, again });
            }
            let (mut page, mut block) = (Vec::new(), vec![0; 1 << 16]);
            loop {
                match answer.read(&mut block)? {
                    0 => return Ok(String::from_utf8_lossy(&page).into_owned()),
                    got => page.extend_from_slice(&block[..got]),
                }
                if page.len() as u64 > MOST_PAGE_BYTES {
                    let fault = Fault::new("download-too-large", address.as_str(), format!("more than {MOST_PAGE_BYTES} bytes"));
                    return Err(Failed::for_good(fault.expected("a page of names")));
                }
            }
        });
        caller.event(Event::Done { path: address.as_str() });
        page
    }

    fn not_reached(&self, error: &reqwest::Error, address: &Url) -> Failed {
        let certificate = sources(error).any(|source| matches!(tls_error(source), Some(rustls::Error::InvalidCertificate(_))));
        if certificate {
            let fault = Fault::new(
                "download-certificate-refused",
                address.as_str(),
                format!("a certificate that does not hold ({})", deepest(error)),
            );
            return Failed::for_good(
                fault.expected("one that a root certificate of this system vouches for").advice(
                    "behind a proxy of a school or firm, name its root certificate with --certificates; look at this machine's date",
                ),
            );
        }
        let found = if error.is_timeout() && error.is_connect() {
            format!("no connection within {} s", self.settings.connect.as_secs_f64())
        } else if error.is_timeout() {
            format!("no answer for {} s", self.settings.stall.as_secs_f64())
        } else {
            format!("no connection ({})", deepest(error))
        };
        let fault = Fault::new(NO_CONNECTION, address.as_str(), found).expected("an answer");
        Failed::for_now(fault.advice("look at the network; --offline uses what the archive has"))
    }
}

impl Answer<'_> {
    pub(crate) fn status(&self) -> StatusCode {
        self.response.status()
    }

    /// A header as text; nothing where it is not there or no text.
    pub(crate) fn header(&self, name: HeaderName) -> Option<&str> {
        self.response.headers().get(name).and_then(|value| value.to_str().ok()).map(str::trim)
    }

    /// The next bytes of the body; 0 at its end.
    pub(crate) fn read(&mut self, block: &mut [u8]) -> Result<usize, Failed> {
        let got = self.response.read(block).map_err(|error| {
            let inner = error.get_ref().and_then(|inner| inner.downcast_ref::<reqwest::Error>());
            let found = match inner {
                Some(inner) if inner.is_timeout() => format!("no byte for {} s", self.stall.as_secs_f64()),
                Some(inner) => format!("an answer that was cut short ({})", deepest(inner)),
                None => format!("an answer that was cut short ({error})"),
            };
            Failed::for_now(Fault::new("download-cut-short", self.address.as_str(), found).expected("the whole file"))
        })?;
        self.pace.add(got, self.caller.now(), self.stall, self.address.as_str())?;
        Ok(got)
    }

    /// What an answer means that brings nothing.
    pub(crate) fn refused(&self, expected: &str) -> Failed {
        let status = self.status();
        let found = format!("the answer {status}");
        let fault = |id| Fault::new(id, self.address.as_str(), found.clone()).expected(expected);
        match status.as_u16() {
            404 | 410 => Failed::for_good(
                fault(NOT_THERE).advice("look whether the station is in the list (--lists), or whether the address has moved"),
            ),
            code if retry::may_pass(code) => {
                // By the server's own clock, where it tells it: this machine's may be far off.
                let now = self.header(DATE).and_then(|date| httpdate::parse_http_date(date).ok()).unwrap_or_else(|| self.caller.now());
                let after = self.header(RETRY_AFTER).and_then(|value| retry::retry_after(value, now));
                Failed { fault: Box::new(fault("download-server-busy")), again: after.map_or(Again::Yes, Again::After) }
            }
            _ => Failed::for_good(
                fault("download-refused").advice("the address may have moved, or may not be given to everybody; use a --mirror"),
            ),
        }
    }
}

/// The root certificates that the caller adds.
fn roots(settings: &Settings) -> Result<Vec<Certificate>, Fault> {
    let Some(pem) = &settings.certificates else { return Ok(Vec::new()) };
    match Certificate::from_pem_bundle(pem) {
        Ok(roots) if roots.is_empty() => Err(unusable_certificates("no certificate".to_owned())),
        Ok(roots) => Ok(roots),
        Err(error) => Err(unusable_certificates(deepest(&error))),
    }
}

fn unusable_certificates(found: String) -> Fault {
    Fault::new("certificates-unusable", "--certificates", found).expected("root certificates in PEM form (-----BEGIN CERTIFICATE-----)")
}

/// Where an answer leads.
fn redirect(response: &Response) -> Option<String> {
    let leads = matches!(response.status().as_u16(), 301 | 302 | 303 | 307 | 308);
    let location = response.headers().get(LOCATION).filter(|_| leads)?;
    Some(String::from_utf8_lossy(HeaderValue::as_bytes(location)).into_owned())
}

fn follow(here: &Url, location: &str) -> Result<Url, Failed> {
    let refused = |found: String| {
        Failed::for_good(
            Fault::new("download-redirect-refused", here.as_str(), found)
                .expected(format!("a redirect that stays with {}", here.scheme()))
                .advice("the address may have moved; a mirror can be named by its new address with --mirror"),
        )
    };
    let next = here.join(location).map_err(|error| refused(format!("a redirect to {location:?} ({error})")))?;
    if next.scheme() == here.scheme() { Ok(next) } else { Err(refused(format!("a redirect to {next}"))) }
}

fn host(address: &Url) -> &str {
    address.host_str().unwrap_or_default()
}

/// An error and what it comes from.
fn sources<'a>(error: &'a reqwest::Error) -> impl Iterator<Item = &'a (dyn std::error::Error + 'static)> {
    std::iter::successors(Some(error as &(dyn std::error::Error + 'static)), |error| error.source())
}

/// The error of the encryption, which may lie within several of input and output that hide it from their sources.
fn tls_error<'a>(error: &'a (dyn std::error::Error + 'static)) -> Option<&'a rustls::Error> {
    match error.downcast_ref::<std::io::Error>() {
        Some(outer) => outer.get_ref().and_then(|inner| tls_error(inner)),
        None => error.downcast_ref::<rustls::Error>(),
    }
}

/// What lies at the bottom of an error.
fn deepest(error: &reqwest::Error) -> String {
    sources(error).last().map(ToString::to_string).unwrap_or_default()
}
