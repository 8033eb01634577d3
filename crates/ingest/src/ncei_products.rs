//! Products of the US National Centers for Environmental Information that look like their daily tables and are none: monthly, yearly
//! and hourly tables, and climate normals. They are known by the columns and by how the dates are written.
//!
//! Sources: the headings of the Global Summary of the Month and of the Year (a date of year and month, or of a year alone; NCEI,
//! GSOM-GSOY documentation), of Local Climatological Data and Global Hourly (a date with a time and a REPORT_TYPE), of Hourly
//! Precipitation Data (HPCP) and of the older monthly summaries (TPCP); the columns from memory but for the GSOM file at hand.

use crate::delimited::{Heading, Rows};
use crate::{content, majority};
use std::cell::Cell;

/// What a date field of a table stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Span {
    Day,
    Month,
    Year,
    Hour,
    Other,
}

/// The span of a date by its shape alone.
pub(crate) fn span(field: &[u8]) -> Span {
    let field = field.trim_ascii();
    let shape: Vec<u8> = field.iter().take(20).map(|byte| if byte.is_ascii_digit() { b'9' } else { *byte }).collect();
    match shape.as_slice() {
        b"99999999" | b"9999-99-99" => Span::Day,
        b"9999-99" | b"999999" => Span::Month,
        b"9999" => Span::Year,
        [day @ .., b' ' | b'T', b'9', b'9', b':', b'9', b'9'] | [day @ .., b' ' | b'T', b'9', b'9', b':', b'9', b'9', b':', b'9', b'9']
            if matches!(day, b"99999999" | b"9999-99-99") =>
        {
            let midnight = field[day.len() + 1..].iter().all(|byte| matches!(byte, b'0' | b':'));
            if midnight { Span::Day } else { Span::Hour }
        }
        _ => Span::Other,
    }
}

/// The heading of a table with commas, and for what most of its first rows stand: an hour if half of them do, since a table of hours
/// has midnights too.
pub(crate) fn heading_and_span(bytes: &[u8]) -> (Heading, Option<Span>) {
    let mut rows = Rows::new(content::first_lines(bytes, majority::ROWS + 1), b',');
    let heading = rows.next_row().map(|row| Heading::of(&row)).unwrap_or_default();
    let Some(date) = heading.find("DATE") else { return (heading, None) };
    let (seen, hours) = (Cell::new(0), Cell::new(0));
    let found = majority::commonest(&mut rows, |row| {
        let span = span(row.get(date));
        seen.set(seen.get() + 1);
        hours.set(hours.get() + usize::from(span == Span::Hour));
        Some(span)
    });
    let of_hours = 2 * hours.get() >= seen.get();
    (heading, found.map(|found| if of_hours { Span::Hour } else { found }))
}

/// What such a table is, when it is no daily one.
pub(crate) fn other_product(bytes: &[u8]) -> Option<&'static str> {
    let (heading, span) = heading_and_span(bytes);
    if !heading.has(&["STATION", "DATE"]) {
        return None;
    }
    let begins = |words: &[&str]| {
        (0..heading.len()).any(|place| words.iter().any(|word| heading.name(place).starts_with(word.to_ascii_lowercase().as_bytes())))
    };
    if begins(&["DLY-", "MLY-", "ANN-", "HLY-", "DJF-", "MTD-", "YTD-"]) {
        return Some("a table of NCEI climate normals (means of thirty years, no record)");
    }
    if heading.find("HPCP").is_some() || heading.find("QPCP").is_some() {
        return Some("a table of NCEI hourly precipitation");
    }
    if begins(&["HourlyPrecipitation", "HourlyDryBulb"]) {
        return Some("a table of NCEI Local Climatological Data (hourly)");
    }
    if heading.find("REPORT_TYPE").is_some() || span == Some(Span::Hour) {
        return Some("a table of NCEI hourly observations");
    }
    match span {
        Some(Span::Year) => Some("the yearly product of NCEI (Global Summary of the Year or alike), not the daily one"),
        Some(Span::Month) => Some("the monthly product of NCEI (Global Summary of the Month or alike), not the daily one"),
        _ if heading.find_any(&["TPCP", "EMXP", "MNTM"]).is_some() => {
            Some("the monthly product of NCEI (monthly summaries), not the daily one")
        }
        _ if heading.find_any(&["PRCP", "MDPR"]).is_none() && begins(&["TMAX", "TMIN", "TAVG", "TOBS", "SNOW", "SNWD", "AWND", "WT0"]) => {
            Some("a daily table of NCEI without precipitation (no column PRCP)")
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_tells_what_a_row_stands_for() {
        for (text, expected) in [
            ("20240131", Span::Day),
            (" 2024-01-31", Span::Day),
            ("2024-01-31T00:00:00", Span::Day),
            ("20240131 00:00", Span::Day),
            ("20240131 01:00", Span::Hour),
            ("2024-01-31T23:59:00", Span::Hour),
            ("2024-01", Span::Month),
            ("202401", Span::Month),
            ("2024", Span::Year),
            ("1/31/2024", Span::Other),
            ("", Span::Other),
        ] {
            assert_eq!(span(text.as_bytes()), expected, "{text}");
        }
    }

    #[test]
    fn one_odd_date_makes_no_other_product() {
        let table = |dates: &[&str]| {
            let rows: Vec<String> = dates.iter().map(|date| format!("X,Y,{date},12\n")).collect();
            format!("STATION,NAME,DATE,PRCP\n{}", rows.concat())
        };
        let days = ["2010-01-01", "2010-01-02", "2010-01-03"];
        for odd in ["2010-01-04T07:00:00", "20100104 13:00", "2010-01", "2010", ""] {
            for at in 0..=3 {
                let mut dates = days.to_vec();
                dates.insert(at, odd);
                assert_eq!(other_product(table(&dates).as_bytes()), None, "{odd} at {at}");
            }
        }
        // A day of hours has one midnight.
        let hours = ["2010-01-01T00:00", "2010-01-01T01:00", "2010-01-01T02:00"];
        assert_eq!(other_product(table(&hours).as_bytes()), Some("a table of NCEI hourly observations"));
    }

    #[test]
    fn each_other_product_is_named() {
        for (text, word) in [
            ("\"STATION\",\"DATE\",\"LATITUDE\",\"PRCP\"\n\"USW00094728\",\"2023-01\",\"40.8\",\"111.5\"\n", "monthly"),
            ("\"STATION\",\"DATE\",\"LATITUDE\",\"PRCP\"\n\"USW00094728\",\"2023\",\"40.8\",\"1211.5\"\n", "yearly"),
            ("STATION,STATION_NAME,DATE,EMXP,TPCP\nCOOP:200230,X,20100101,20,310\n", "monthly"),
            ("STATION,STATION_NAME,DATE,HPCP\nCOOP:200230,X,20100101 01:00,10\n", "hourly precipitation"),
            (
                "\"STATION\",\"DATE\",\"SOURCE\",\"REPORT_TYPE\",\"WND\"\n\"7\",\"2020-01-01T00:51:00\",\"7\",\"FM-15\",\"x\"\n",
                "hourly observations",
            ),
            ("\"STATION\",\"DATE\",\"REPORT_TYPE\",\"HourlyPrecipitation\"\n\"7\",\"2020-01-01T00:51:00\",\"FM-15\",\"0\"\n", "Local"),
            ("STATION,NAME,DATE,DLY-PRCP-25PCTL\nX,Y,20100101,1\n", "normals"),
            ("STATION,NAME,DATE,TMAX\nX,Y,2010-01-01,12\n", "without precipitation"),
        ] {
            assert!(other_product(text.as_bytes()).is_some_and(|what| what.contains(word)), "{text}: {:?}", other_product(text.as_bytes()));
        }
        for text in ["STATION,NAME,DATE,PRCP\nX,Y,2010-01-01,12\n", "a,b\n1,2\n", "", "DATE,PRCP\n2010-01,5\n"] {
            assert_eq!(other_product(text.as_bytes()), None, "{text}");
        }
    }
}
