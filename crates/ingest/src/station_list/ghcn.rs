//! `ghcnd-stations.txt`: the stations of GHCN-Daily.
//!
//! Layout (GHCN-Daily readme 3.26, section IV): columns 1-11 id, 13-20 latitude, 22-30 longitude, 32-37 elevation in metres
//! (missing -999.9), 39-40 state, 42-71 name, 73-75, 77-79 and 81-85 network flags, which are not read.

use super::{Fault, Gathered, Layout, lines, position};
use crate::finding::{Findings, Line};
use crate::{content, fields};
use series::{Severity, Station};

pub(crate) const LAYOUT: Layout = Layout {
    name: "a list of the GHCN-Daily stations (ghcnd-stations.txt)",
    found_in: |bytes| {
        // A list may begin with a spoilt line.
        lines(content::first_lines(bytes, 20)).any(|line| looks_like_a_line(line.text))
    },
    read,
    last_line_stands: false,
};

fn read(bytes: &[u8], gathered: &mut Gathered<'_>) {
    for line in lines(bytes) {
        match station(line.text) {
            Ok(station) => gathered.station(station, line, &LAYOUT),
            Err(fault) => tell(&mut gathered.findings, line, fault),
        }
    }
}

/// Tells a line that is no station.
pub(crate) fn tell(findings: &mut Findings<'_>, line: Line<'_>, (column, span, what): Fault) {
    findings.at("station-line-unreadable", Severity::Warning, line, (column, span), || {
        let found = String::from_utf8_lossy(fields::columns(line.text, column as usize, (column + span) as usize - 1));
        (format!("found {found:?}, expected {what}"), "The station is left out of the list.")
    });
}

/// The position of a line's station, and its height where it is known: all that can make a line unreadable.
pub(crate) fn place(line: &[u8]) -> Result<((f64, f64), Option<f64>), Fault> {
    let position = position(line)?;
    let elevation = if fields::is_blank(fields::columns(line, 32, 37)) {
        None
    } else {
        let metres = fields::decimal(line, 32, 37).ok_or((32, 6, "an elevation in metres, or -999.9 where it is not known"))?;
        // From the Dead Sea shore to the top of the world, with room; -999.9 and its kind mean "not known".
        Some(metres).filter(|metres| (-500.0..=9000.0).contains(metres))
    };
    Ok((position, elevation))
}

/// The station of a line.
pub(crate) fn station(line: &[u8]) -> Result<Station, Fault> {
    let ((latitude, longitude), elevation) = place(line)?;
    Ok(Station {
        id: fields::text(line, 1, 11),
        name: fields::text(line, 42, 71),
        latitude: Some(latitude),
        longitude: Some(longitude),
        elevation,
    })
}

/// Whether a line could stand in the list.
fn looks_like_a_line(line: &[u8]) -> bool {
    line.get(11) == Some(&b' ') && station(line).is_ok()
}
