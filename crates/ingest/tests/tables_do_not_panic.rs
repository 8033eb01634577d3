//! Headings of NCEI's daily tables and of gauge logs over rows of anything: no panic, and every day of the calendar is accounted for.

// Clippy sees a helper beside the tests as no test.
#![allow(clippy::unwrap_used)]

use ingest::{DateOrder, DepthUnit, StationRecord, Wanted, read_bytes};
use proptest::prelude::*;

const HEADINGS: [&str; 9] = [
    "STATION,NAME,DATE,PRCP,PRCP_ATTRIBUTES,MDPR,DAPR,TMAX",
    "STATION,STATION_NAME,DATE,PRCP,Measurement Flag,Quality Flag,Source Flag,Time of Observation",
    "STATION,DATE,LATITUDE,LONGITUDE,ELEVATION,NAME,PRCP,PRCP_ATTRIBUTES",
    "STATION,DATE,LATITUDE,LONGITUDE,ELEVATION,NAME,TEMP,DEWP,MAX,MIN,PRCP,PRCP_ATTRIBUTES,FRSHTT",
    "date (day/month/year),rain (mm),days,note",
    "first day;last day;rain (in)",
    "month\tday\tyear\train\ttime",
    "# unit: mm\ndate: day/month/year\n\ndate,rain",
    "",
];

fn field() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => (1590..2310i32, 0..14u32, 0..33u32).prop_map(|(y, m, d)| format!("{y}-{m:02}-{d:02}")),
        2 => (0..33u32, 0..14u32, 1590..2310i32).prop_map(|(d, m, y)| format!("{d}/{m}/{y}")),
        4 => (-9999..9999i32).prop_map(|n| n.to_string()),
        4 => (0..3000i32).prop_map(|n| format!("{}.{:02}", n / 100, n % 100)),
        1 => Just("\",,0,0700\"".to_owned()),
        1 => Just("T".to_owned()),
        1 => Just("XX000000001".to_owned()),
        1 => Just("2024-03-01 to 2024-03-05".to_owned()),
        1 => Just("2024-03-01T09:00".to_owned()),
        2 => Just(String::new()),
        2 => ".{0,12}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn rows_of_anything(heading in 0..HEADINGS.len(), rows in proptest::collection::vec(proptest::collection::vec(field(), 0..14), 0..20), answered in any::<bool>()) {
        let delimiter = [",", ";", "\t"].into_iter().max_by_key(|mark| HEADINGS[heading].matches(mark).count()).unwrap();
        let rows: Vec<String> = rows.iter().map(|row| row.join(delimiter)).collect();
        let text = format!("{}\n{}\n", HEADINGS[heading], rows.join("\n"));
        let wanted = Wanted {
            temperatures: true,
            depth_unit: answered.then_some(DepthUnit::Inch),
            date_order: answered.then_some(DateOrder::MonthDayYear),
        };
        let mut records: Vec<StationRecord> = Vec::new();
        let _ = read_bytes("x.csv", text.as_bytes(), wanted, &mut records);
        for record in &records {
            let c = record.rain.counts();
            prop_assert_eq!(c.calendar, c.measured + c.trace + c.accumulated + c.rejected + c.missing);
        }
    }

    #[test]
    fn cut_and_altered_tables(at in 0..600usize, byte in any::<u8>()) {
        let text = "date (day/month/year);rain (mm);days;read at 09:00\n01/03/2024;1,5;\n02/03/2024;T;\n15/03/2024;9,0;3\n16/03/2024;broken;\n"
            .repeat(4);
        let mut bytes = text.into_bytes();
        let at = at % bytes.len();
        bytes[at] = byte;
        let _ = read_bytes("x.csv", &bytes, Wanted::default(), &mut Vec::new());
        let _ = read_bytes("x.csv", &bytes[..at], Wanted::default(), &mut Vec::new());
    }
}
