//! Logs as people write them.

use super::*;
use crate::date_order::DateOrder;
use crate::decimal::DepthUnit;
use crate::{StationRecord, formats, read_bytes};
use series::{Day, Kind};

fn answered(text: &str, wanted: Wanted) -> Result<StationRecord, Error> {
    let mut records = Vec::new();
    read_bytes("folder/garden.csv", text.as_bytes(), wanted, &mut records)?;
    Ok(records.pop().unwrap())
}

fn log(text: &str) -> Result<StationRecord, Error> {
    answered(text, Wanted::default())
}

fn asks(text: &str, word: &str) {
    let error = log(text).unwrap_err();
    assert_eq!(error.id(), "file-leaves-a-question", "{error}");
    assert!(error.to_string().contains(word), "{word}: {error}");
}

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

#[test]
fn the_heading_says_all() {
    let record = log("date (day/month/year), rain (mm), read at 09:00\n01/02/2024,5.5\n02/02/2024,0\n").unwrap();
    assert_eq!(record.rain.reading(day("2024-02-01")).depth(), Some(5500));
    assert_eq!(record.rain.period().unwrap().last, day("2024-02-02"));
    let definition = record.rain.day_definition;
    assert_eq!((definition.start_hour, definition.label), (Some(9), DayLabel::LastDay));
    assert_eq!((record.rain.station.id.as_str(), record.rain.provenance.format.as_str()), ("garden", NAME));
    let place = record.rain.provenance.place(day("2024-02-02")).unwrap();
    assert_eq!((place.line, place.column), (3, 12));
}

#[test]
fn lines_before_the_table_say_the_same() {
    let text = "# name: Invented garden\n# unit: inches\n# date: month/day/year\n# read at: 7 am\n# dated: day before\n# latitude: 44.5\n# longitude: -36\n\nday\train\n2/1/2024\t0.25\n2/2/2024\tT\n";
    let record = log(text).unwrap();
    assert_eq!(record.rain.reading(day("2024-02-01")).depth(), Some(6350));
    assert_eq!(record.rain.reading(day("2024-02-02")).kind(), Kind::Trace);
    let definition = record.rain.day_definition;
    assert_eq!((definition.start_hour, definition.label), (Some(7), DayLabel::FirstDay));
    assert_eq!((record.rain.station.name.as_str(), record.rain.station.position()), ("Invented garden", Some((44.5, -36.0))));
}

#[test]
fn words_of_depth() {
    let text = "date;rain (mm);note\n2024-03-01;nil;\n2024-03-02;dry;\n2024-03-03;trace;\n2024-03-04;;\n2024-03-05;-;\n2024-03-06;broken;\n\
                2024-03-07;2,5;estimated\n2024-03-08;-1;\n2024-03-09;9000;\n2024-03-10;wet;\n2024-03-11;<0,2;\n2024-03-12;0,2 in;\n2024-03-13;0\n";
    let record = log(text).unwrap();
    let c = record.rain.counts();
    assert_eq!((c.calendar, c.measured, c.trace, c.missing, c.rejected, c.estimated), (13, 5, 2, 3, 3, 1));
    assert_eq!(record.rain.total_micrometres(), 2500 + 5080);
    let count = |id| record.diagnostics.count(id);
    assert_eq!((count("reading-not-made"), count("value-impossible"), count("value-unreadable")), (2, 2, 1));
}

#[test]
fn depths_over_several_days() {
    let record =
        log("date,rain (mm),days\n2024-03-01,1.0,\n2024-03-04,6.0,3\n2024-03-05,2.0,1\n2024-03-09,9.0,?\n2024-03-10,0,1\n").unwrap();
    let totals: Vec<_> = record.rain.multi_day_totals().map(|total| (total.days, total.micrometres)).collect();
    assert_eq!((totals, record.rain.counts().measured), (vec![(Some(3), 6000), (None, 9000)], 3));
    let record = log("first day,last day,rain (mm)\n2024-03-01,2024-03-01,1\n2024-03-02,2024-03-04,6\n2024-03-05,2024-03-05,0\n").unwrap();
    assert_eq!(record.rain.multi_day_totals().next().unwrap().days, Some(3));
    let record = log("date,rain (mm)\n2024-03-01,1\n2024-03-02 to 2024-03-04,6\n2024-03-05,0\n").unwrap();
    assert_eq!(record.rain.multi_day_totals().next().unwrap().days, Some(3));
    asks("from date,to date,rain (mm)\n2024-03-01,2024-03-03,1\n", "first day");
}

#[test]
fn what_the_file_leaves_open_is_asked() {
    asks("date,rain\n2024-03-01,5\n", "millimetres or inches");
    asks("date,rain (mm)\n01/02/2024,5\n03/02/2024,1\n", "which order");
    asks("date,rain (mm)\n1/2/24,5\n3/2/24,1\n", "four digits");
    asks("date (dd/mm/yyyy),rain (mm)\n1/13/2024,5\n1/14/2024,1\n", "show month/day/year");
    asks("date;rain (mm)\n2024-03-01;1,5\n2024-03-02;1.5\n", "decimal mark");
    asks("date,rain (mm)\n2024-03-01,1,5\n2024-03-02,0,5\n", "semicolons");
    asks("2024-03-01,1,5\n2024-03-02,0,5\n", "semicolons");
    asks("# unit: inches\ndate,rain (mm)\n2024-03-01,5\n", "two units");
    asks("date,rain (mm),rain (in)\n2024-03-01,25.4,1\n", "more than one column");
    asks("date,time,rain (mm)\n2024-03-01,09:00,1\n2024-03-01,21:00,2\n2024-03-02,09:00,1\n2024-03-02,21:00,2\n", "several readings");
    asks("gauge,date,rain (mm)\nA,2024-03-01,1\nB,2024-03-02,2\n", "more than one gauge");
}

#[test]
fn all_that_is_open_is_asked_at_once_in_the_log_s_own_words() {
    let error = log("Wann;Regen\n01/02/2024;1,5\n03/02/2024;1.5\n").unwrap_err();
    let Error::OpenQuestion { further, .. } = &error else { panic!("{error}") };
    assert_eq!(further.len(), 2, "{error}");
    let text = error.to_string();
    for words in ["`Wann (day/month/year)`", "\"01/02/2024\"", "decimal mark", "`Regen (mm)`", "--depth-unit", "--date-order"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert_eq!(error.diagnostic().notes.len(), 2);
    // Nothing is said of a heading where there is none, and of commas where there are semicolons.
    let error = log("01/02/2024;5\n03/02/2024;1\n").unwrap_err().to_string();
    assert!(error.contains("`unit: mm`") && error.contains("`date: day/month/year`") && !error.contains("in the heading"), "{error}");
    let error = log("2024-03-01;5;x\n2024-03-02;0;y\n").unwrap_err().to_string();
    assert!(error.contains("3 columns, with semicolons") && !error.contains("decimal mark"), "{error}");
}

#[test]
fn a_heading_alone_has_no_rows() {
    for text in ["date,rain (mm)\n", "Datum;Regen\n\n", "unit: mm\nday\train\n# nothing yet\n"] {
        let error = log(text).unwrap_err();
        assert!(error.id() == "file-is-another-product" && error.to_string().contains("no rows"), "{error}");
    }
}

#[test]
fn logs_in_five_more_languages_say_the_same() {
    // By hand: 1.5 mm, a trace, a measured 0, missing and told, 6 mm over two days, 2 mm estimated.
    let of = |head: &str, [trace, dry, away, days, estimated]: [&str; 5]| {
        let rows =
            ["1,5;", &format!("{trace};"), &format!("{dry};"), &format!("{away};"), "", &format!("6,0;{days}"), &format!("2;{estimated}")];
        let rows = (1..).zip(rows).filter(|(_, row)| !row.is_empty());
        rows.fold(format!("{head}\n"), |text, (day, row)| text + &format!("{day:02}.03.2024;{row}\n"))
    };
    for text in [
        of("Einheit: mm\nDatum;Regen;Bemerkung;abgelesen um 7 Uhr", ["Spur", "trocken", "verreist", "2 Tage", "gesch\u{e4}tzt"]),
        of("Date;Pluie (mm);Remarques;relev\u{e9} \u{e0} 7h00", ["traces", "sec", "non relev\u{e9}", "cumul sur 2 jours", "estim\u{e9}"]),
        of(
            "unidad: mm\nFecha;Lluvia;Observaciones;le\u{ed}do a las 7:00",
            ["traza", "no llovi\u{f3}", "averiado", "2 d\u{ed}as", "estimado"],
        ),
        of("Datum;Neerslag (mm);Opmerking;afgelezen om 7 uur", ["spoor", "droog", "kapot", "som van 2 dagen", "geschat"]),
        of(
            "Data;Chuva (mm);Observa\u{e7}\u{f5}es;lido \u{e0}s 7h",
            ["tra\u{e7}o", "n\u{e3}o choveu", "sem dados", "dois dias", "estimado"],
        ),
    ] {
        let record = log(&text).unwrap();
        let counts = record.rain.counts();
        assert_eq!((counts.measured, counts.trace, counts.accumulated, counts.missing, counts.estimated), (3, 1, 2, 1, 1), "{text}");
        assert_eq!((record.rain.total_micrometres(), record.rain.day_definition.start_hour), (3500, Some(7)), "{text}");
        assert_eq!(record.rain.period().unwrap().first, day("2024-03-01"), "{text}");
        assert_eq!(record.rain.multi_day_totals().map(|total| (total.days, total.micrometres)).collect::<Vec<_>>(), [(Some(2), 6000)]);
        let count = |id| record.diagnostics.count(id);
        assert_eq!((count("days-told-by-note"), count("reading-not-made")), (1, 1), "{text}");
    }
}

#[test]
fn points_between_mean_the_day_first_and_an_answer_goes_before() {
    let text = "date;rain (mm)\n01.02.2024;5\n3.2.2024;1\n";
    assert_eq!(log(text).unwrap().rain.period().unwrap().first, day("2024-02-01"));
    let order = Wanted { date_order: Some(DateOrder::MonthDayYear), ..Wanted::default() };
    assert_eq!(answered(text, order).unwrap().rain.period().unwrap().first, day("2024-01-02"));
    asks("date;rain (mm)\n01.02.24;5\n3.2.24;1\n", "which century");
}

#[test]
fn answers_and_values_settle_it() {
    let inch = Wanted { depth_unit: Some(DepthUnit::Inch), ..Wanted::default() };
    assert_eq!(answered("date,rain\n2024-03-01,5\n", inch).unwrap().rain.total_micrometres(), 127_000);
    assert_eq!(answered("date,rain (mm)\n2024-03-01,5\n", inch).unwrap().rain.total_micrometres(), 5000, "the file goes before");
    let order = Wanted { date_order: Some(DateOrder::DayMonthYear), ..Wanted::default() };
    assert_eq!(answered("date,rain (mm)\n01/02/2024,5\n", order).unwrap().rain.period().unwrap().first, day("2024-02-01"));
    assert_eq!(log("date,rain (mm)\n01/02/2024,5\n13/02/2024,5\n").unwrap().rain.period().unwrap().first, day("2024-02-01"));
    // No unit is needed where it makes no difference, and no heading where there are two columns.
    assert_eq!(log("date,rain\n2024-03-01,0\n2024-03-02,nil\n").unwrap().rain.counts().measured, 2);
    assert_eq!(log("2024-03-01,5 mm\n2024-03-02,0.1in\n").unwrap().rain.total_micrometres(), 7540);
    assert_eq!(log("Unit: mm\n\n3 March 2024;5,5\n4 March 2024;0\n").unwrap().rain.total_micrometres(), 5500);
    let record = log("date,rain (mm)\n2024-03-01 09:00,1\n2024-03-02 09:00,2\n").unwrap();
    assert_eq!(record.rain.day_definition.start_hour, Some(9));
}

#[test]
fn a_table_of_daily_summaries_names_its_station_and_units() {
    let text = "\"INVENTED PLACE, XX US (XX000000001)\"\n\"Date\",\"TAVG (Degrees Fahrenheit)\",\"PRCP (Inches)\",\"SNOW (Inches)\"\n\
                \"2024-03-01\",\"\",\"0.25\",\"0.0\"\n\"2024-03-02\",\"\",\"\",\"\"\n\"2024-03-03\",\"\",\"T\",\"\"\n";
    let record = log(text).unwrap();
    assert_eq!((record.rain.station.id.as_str(), record.rain.station.name.as_str()), ("XX000000001", "INVENTED PLACE, XX US"));
    let counts = record.rain.counts();
    assert_eq!((record.rain.total_micrometres(), counts.trace, counts.missing), (6350, 1, 1));
}

#[test]
fn of_two_readings_of_a_day_the_first_stands_and_it_is_told() {
    // Thirty days of 0.2 mm and more lines for the seventh of them (hand count).
    let days = (1..=30).map(|day| format!("2022-04-{day:02},0.2\n")).collect::<Vec<_>>().concat();
    let record = log(&format!("date,rain (mm)\n{days}2022-04-07,5.3\n2022-04-08,0.2\n")).unwrap();
    assert_eq!((record.rain.total_micrometres(), record.rain.counts().measured), (6000, 30));
    let of = |id| record.diagnostics.list.iter().find(|found| found.id == id).unwrap();
    let found = of("day-stated-twice");
    assert_eq!((found.line, record.diagnostics.count("day-stated-again")), (Some(32), 1));
    assert!(["5.3 mm", "line 8", "0.2 mm"].iter().all(|words| found.message.contains(words)), "{}", found.message);
    assert!(of("days-stated-twice").message.contains("1 of 30 days"));
    // More than one day of twenty is asked, whether the lines follow one another or not.
    for second in ["2022-04-07,5.3\n2022-04-09,5.3\n", "2022-04-30,5.3\n2022-04-30,1\n"] {
        asks(&format!("date,rain (mm)\n{days}{second}"), "2 of 3");
    }
    // The same lines twice are one log.
    let twice = log(&format!("date,rain (mm)\n{days}{days}")).unwrap();
    assert_eq!((twice.rain.counts().measured, twice.diagnostics.count("day-stated-again")), (30, 30));
    let record = log(&format!("date,rain (mm)\n{days}2022-05-01,x7\n2022-05-01,7.7\n")).unwrap();
    assert_eq!(record.rain.reading(day("2022-05-01")).depth(), Some(7700));
    assert_eq!(log("date,rain (mm)\n2022-05-01,-7\n2022-05-01,7.7\n").unwrap().rain.total_micrometres(), 7700);
}

#[test]
fn a_row_cut_short_or_run_into_the_next_is_told() {
    let text = "date;rain (mm);note\n2024-03-01;1;\n2024-03-02;2;wet; then dry\n2024-03-03;3;2024-03-04;4;\n2024-03-05;\"5\n2024-03-06;6;\"cloudy\n";
    let record = log(&format!("{text}2024-03-07;7;\n2024-03-08;1")).unwrap();
    let told: Vec<_> = record.diagnostics.list.iter().filter_map(|found| Some((found.id, found.line?))).collect();
    assert_eq!(told, [("row-too-long", 4), ("row-cut-short", 5), ("last-row-shorter", 8)]);
    assert_eq!(record.rain.total_micrometres(), 17_000);
    // A last line without a line end is common, and so is a table whose rows all end with the depth.
    for text in ["date,rain (mm)\n2024-03-01,1\n2024-03-02,12", "date,rain (mm),note\n2024-03-01,1\n2024-03-02,12"] {
        assert_eq!(log(text).unwrap().diagnostics.count("last-row-shorter"), 0);
    }
}

#[test]
fn nines_are_a_code_and_other_columns_are_named() {
    let record = log("date,rain (mm),snow (cm),note,read at 09:00\n2024-03-01,1,12,,\n2024-03-02,999,13,,\n2024-03-03,0,,,\n").unwrap();
    let counts = record.rain.counts();
    assert_eq!((counts.measured, counts.missing, counts.rejected), (2, 1, 0));
    assert_eq!(record.diagnostics.count("code-for-missing"), 1);
    let columns = record.diagnostics.list.iter().find(|found| found.id == "columns-not-read").unwrap();
    assert!(columns.message.ends_with(": snow (cm)"), "{}", columns.message);
    let text = "date (day/month/year);rain (mm);days;note;read at 09:00\n28/03/2031;4,5;;;\n";
    assert_eq!(log(text).unwrap().diagnostics.count("columns-not-read"), 0);
    assert_eq!(log("year,month,day,rain (mm),time\n2024,3,1,5,9:00\n").unwrap().diagnostics.count("columns-not-read"), 0);
}

#[test]
fn a_log_of_totals_alone_says_that_days_are_needed() {
    let record = log("date;rain (mm);days\n2021-01-07;14;7\n2021-01-14;3;7\n2021-01-21;0;7\n").unwrap();
    let found = record.diagnostics.list.iter().find(|found| found.id == "totals-only").unwrap();
    for words in ["3 multi-day totals", "2021-01-07 to 2021-01-21", "17.0 mm"] {
        assert!(found.message.contains(words), "{}", found.message);
    }
    assert!(found.done.contains("Give daily readings"));
}

#[test]
fn other_tables_are_no_logs() {
    let claims = |text: &str| formats::choose(text.as_bytes()).map(|format| format.name);
    for text in [
        "name,n,mean,t\n350304,98,19.685,0.1209\n",
        "date,temperature\n2024-03-01,5\n",
        "Rain at the farm, date of the first line 2019\nnothing else\n",
        "a list\nof words\n",
        "STATION,DATE,PRCP\nX,2024-03,5\n",
    ] {
        assert_eq!(claims(text), None, "{text}");
    }
    let error = log("day,rain_mm\n1,0\n2,2.3\n").unwrap_err();
    assert_eq!(error.id(), "file-is-another-product");
    assert!(error.to_string().contains("no dates"), "{error}");
}
