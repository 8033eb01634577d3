//! Stations that come in parts, one or many to a file: kept in a temporary file until the last part is there.
//!
//! A year of the world's gauges is one file, and a station's record is spread over all of them. To hold a century of every station would
//! take tens of gigabytes; so each part is written behind the last one, and only where it stands is remembered (24 bytes). When all
//! files are read, one station after the other is put together. The temporary file has no name and goes with the process.

use anyhow::Context;
use ingest::StationRecord;
use series::{DailySeries, DailyTemperature, Day, DayDefinition, Diagnostics, Extent, Kind, Provenance, Reading, SourceFile, Station};
use std::collections::HashMap;
use std::fs::File;
use std::io::{BufWriter, Read, Seek, SeekFrom, Write};
use std::path::PathBuf;

/// Where a part stands.
#[derive(Debug, Clone, Copy)]
struct Part {
    first: Day,
    /// Bytes behind the first one.
    days: u32,
    at: u64,
    /// Number of the file that it came from; of two parts that state a day the one of the earlier file goes first.
    file: u32,
    /// Whether a multi-day total in it covers days before it.
    reaches_back: bool,
}

impl Part {
    /// Days from an earlier day to the one behind its last; a day itself cannot lie behind 2299-12-31.
    fn end_since(&self, earlier: Day) -> i32 {
        self.first.since(earlier) + self.days as i32
    }
}

#[derive(Debug)]
struct Spooled {
    /// As the first part has it.
    station: Station,
    format: String,
    day_definition: DayDefinition,
    extent: Extent,
    alike: bool,
    /// The file in which it was met first.
    file: u32,
    parts: Vec<Part>,
}

/// The parts of all stations.
#[derive(Debug)]
pub(crate) struct Spool {
    out: BufWriter<File>,
    length: u64,
    stations: Vec<Spooled>,
    places: HashMap<(String, String), usize>,
    bytes: Vec<u8>,
}

impl Spool {
    pub(crate) fn new() -> anyhow::Result<Self> {
        let file = tempfile::tempfile().context("cannot make a temporary file")?;
        Ok(Self {
            out: BufWriter::with_capacity(1 << 18, file),
            length: 0,
            stations: Vec::new(),
            places: HashMap::new(),
            bytes: Vec::new(),
        })
    }

    /// Keeps a part of a station's rain.
    pub(crate) fn add(&mut self, rain: &DailySeries, file: u32) -> anyhow::Result<()> {
        let key = (rain.station.id.clone(), rain.provenance.format.clone());
        let place = *self.places.entry(key).or_insert_with_key(|(id, format)| {
            let (station, format) = (Station { id: id.clone(), ..rain.station.clone() }, format.clone());
            let (day_definition, extent) = (rain.day_definition, rain.extent);
            self.stations.push(Spooled { station, format, day_definition, extent, alike: true, file, parts: Vec::new() });
            self.stations.len() - 1
        });
        if let Some(period) = rain.period().filter(|_| rain.outside().is_empty() && 8 * rain.counts().missing < rain.readings().len()) {
            // A year with few gaps, as most are.
            let mut bytes = std::mem::take(&mut self.bytes);
            bytes.clear();
            rain.readings().iter().for_each(|reading| bytes.extend_from_slice(&reading.to_bytes()));
            let reaches_back = rain.multi_day_totals().any(|total| total.period().is_some_and(|days| days.first < period.first));
            let written = self.write(place, period.first, &bytes, reaches_back, file);
            self.bytes = bytes;
            written?;
        } else {
            self.add_runs(rain, place, file)?;
        }
        let station = &mut self.stations[place];
        station.alike &= (station.day_definition, station.extent) == (rain.day_definition, rain.extent);
        Ok(())
    }

    /// Each run of days with no more than a month between them as a part of its own.
    fn add_runs(&mut self, rain: &DailySeries, place: usize, file: u32) -> anyhow::Result<()> {
        let mut run: Option<(Day, Vec<u8>, bool)> = None;
        for (day, reading) in rain.stated() {
            let reaches_back =
                |first: Day| matches!(reading.kind(), Kind::Accumulated { days: Some(days) } if day.since(first) + 1 < i32::from(days));
            match &mut run {
                Some((first, bytes, back)) if day.since(*first) as usize - bytes.len() / 8 < 32 => {
                    while bytes.len() / 8 < day.since(*first) as usize {
                        bytes.extend_from_slice(&Reading::MISSING.to_bytes());
                    }
                    bytes.extend_from_slice(&reading.to_bytes());
                    *back |= reaches_back(*first);
                }
                _ => {
                    if let Some((first, bytes, back)) = run.replace((day, reading.to_bytes().to_vec(), reaches_back(day))) {
                        self.write(place, first, &bytes, back, file)?;
                    }
                }
            }
        }
        run.map_or(Ok(()), |(first, bytes, back)| self.write(place, first, &bytes, back, file))
    }

    fn write(&mut self, place: usize, first: Day, bytes: &[u8], reaches_back: bool, file: u32) -> anyhow::Result<()> {
        self.out.write_all(bytes).context("cannot write to the temporary file")?;
        let part = Part { first, days: (bytes.len() / 8) as u32, at: self.length, file, reaches_back };
        self.stations[place].parts.push(part);
        self.length += bytes.len() as u64;
        Ok(())
    }

    /// Gives one whole station after the other, by id, and from how many files it comes. `files` are the names of the files by their
    /// numbers, for findings.
    pub(crate) fn finish(self, files: &[PathBuf], mut take: impl FnMut(StationRecord, usize) -> anyhow::Result<()>) -> anyhow::Result<()> {
        let Self { out, mut stations, .. } = self;
        let mut file = out.into_inner().context("cannot write to the temporary file")?;
        stations.sort_by(|a, b| (&a.station.id, &a.format).cmp(&(&b.station.id, &b.format)));
        let mut bytes = Vec::new();
        for mut station in stations {
            station.parts.sort_by_key(|part| part.file);
            let file_count = station.parts.chunk_by(|one, next| one.file == next.file).count().max(1);
            station.parts.sort_by_key(|part| (part.first, part.file));
            let follow = station.parts.windows(2).all(|two| two[0].end_since(two[1].first) <= 0);
            let whole = follow && station.alike && !station.parts.iter().any(|part| part.reaches_back);
            let mut record =
                if whole { one_after_the_other(&station, &mut file, &mut bytes)? } else { joined(&station, files, &mut file, &mut bytes)? };
            if record.rain.provenance.sources.is_empty() {
                record.rain.provenance.sources.push(source(files, station.file));
            }
            take(record, file_count)?;
        }
        Ok(())
    }
}

/// Parts that share nothing, laid one behind the other.
fn one_after_the_other(station: &Spooled, file: &mut File, bytes: &mut Vec<u8>) -> anyhow::Result<StationRecord> {
    let first = station.parts.first().map_or_else(|| Day::first_of_year(1600), |part| part.first);
    let days = station.parts.last().map_or(0, |part| part.end_since(first)) as usize;
    let mut readings = vec![Reading::MISSING; days];
    for part in &station.parts {
        let at = part.first.since(first) as usize;
        fill(part, file, bytes, &mut readings[at..at + part.days as usize])?;
    }
    Ok(record(station, first, readings))
}

/// Parts that share days or totals, joined as records are.
fn joined(station: &Spooled, files: &[PathBuf], file: &mut File, bytes: &mut Vec<u8>) -> anyhow::Result<StationRecord> {
    let mut parts = station.parts.clone();
    parts.sort_by_key(|part| part.file);
    let mut records = Vec::new();
    for part in &parts {
        let mut readings = vec![Reading::MISSING; part.days as usize];
        fill(part, file, bytes, &mut readings)?;
        let mut one = record(station, part.first, readings);
        one.rain.provenance.sources.push(source(files, part.file));
        records.push(one);
    }
    Ok(ingest::join(records).pop().unwrap_or_else(|| record(station, Day::first_of_year(1600), Vec::new())))
}

fn source(files: &[PathBuf], number: u32) -> SourceFile {
    let file = files.get(number as usize).map_or_else(String::new, |file| file.display().to_string());
    SourceFile::new(&file, "")
}

fn fill(part: &Part, file: &mut File, bytes: &mut Vec<u8>, readings: &mut [Reading]) -> anyhow::Result<()> {
    bytes.resize(part.days as usize * 8, 0);
    file.seek(SeekFrom::Start(part.at)).and_then(|_| file.read_exact(bytes)).context("cannot read the temporary file")?;
    for (slot, bytes) in readings.iter_mut().zip(bytes.as_chunks::<8>().0) {
        *slot = Reading::from_bytes(*bytes);
    }
    Ok(())
}

fn record(station: &Spooled, first: Day, readings: Vec<Reading>) -> StationRecord {
    let mut rain = DailySeries::new(station.station.clone(), first, readings);
    if station.alike {
        (rain.day_definition, rain.extent) = (station.day_definition, station.extent);
    }
    rain.provenance = Provenance { format: station.format.clone(), ..Provenance::default() };
    StationRecord { rain, temperature: DailyTemperature::new(), diagnostics: Diagnostics::default() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ingest::{Wanted, read_bytes};
    use testkit::DlyText;

    fn whole() -> String {
        let mut text = DlyText::new("XXT00000001").rain_run_mm((2000, 11, 1), &vec![Some(1.5); 200]);
        // A total over New Year, and one inside a year.
        for day in [(2000, 12, 31), (2001, 1, 1), (2001, 1, 2), (2001, 2, 3)] {
            text = text.missing(day);
        }
        text.value((2001, 1, 2), "MDPR", 90).value((2001, 1, 2), "DAPR", 3).value((2001, 2, 4), "PRCP", 0).to_text()
    }

    fn read(text: &str) -> StationRecord {
        let mut records = Vec::new();
        read_bytes("x.dly", text.as_bytes(), Wanted::default(), &mut records).unwrap();
        records.pop().unwrap()
    }

    #[test]
    fn a_station_in_parts_is_the_station_whole() {
        let text = whole();
        let year = |year: &str| text.split_inclusive('\n').filter(|line| &line[11..15] == year).collect::<String>();
        let expected = read(&text).rain;
        assert_eq!(expected.multi_day_totals().count(), 1);
        for order in [["2000", "2001"], ["2001", "2000"]] {
            let mut spool = Spool::new().unwrap();
            for (file, part) in order.iter().enumerate() {
                spool.add(&read(&year(part)).rain, file as u32).unwrap();
            }
            let mut records = Vec::new();
            spool
                .finish(&[], |record, files| {
                    assert_eq!(files, 2);
                    records.push(record);
                    Ok(())
                })
                .unwrap();
            assert_eq!(records.len(), 1);
            assert_eq!(records[0].rain.readings(), expected.readings());
            assert_eq!(records[0].rain.period(), expected.period());
        }
    }

    #[test]
    fn the_first_and_the_last_day_that_there_can_be_take_two_parts() {
        let text = DlyText::new("XXT00000001").rain_mm((1600, 1, 1), 1.0).rain_mm((2299, 12, 31), 2.0).to_text();
        let mut spool = Spool::new().unwrap();
        spool.add(&read(&text).rain, 0).unwrap();
        assert_eq!((spool.stations[0].parts.len(), spool.length), (2, 16));
        let mut totals = Vec::new();
        spool
            .finish(&[], |record, _| {
                totals.push(record.rain.total_micrometres());
                Ok(())
            })
            .unwrap();
        assert_eq!(totals, [3000]);
    }
}
