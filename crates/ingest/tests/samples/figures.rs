//! What each sample holds, counted by hand from its lines: one line a station.
//!
//! `days` are those from the first to the last with a usable value, and what they are; `total` and `greatest` are of single days that are
//! usable, in millimetres (an inch is 25.4 mm). A finding without a number was made once. What a flag becomes is the readers' own documentation.

/// A sample: file, a word of its format's name, findings of the file as a whole, and its stations.
pub(crate) type Figures = (&'static str, &'static str, &'static str, &'static [&'static str]);

#[rustfmt::skip]
pub(crate) const FIGURES: &[Figures] = &[
    ("ghcn-daily.dly", "GHCN-Daily station file", "", &[
        // PRCP of January: 0 12 T P 55B 38D . 999G [90 over 9-11] 254 7 . 3Q 5T 6P -5 1x 40(MDPR alone) . 70L(MDPR) 0 11 T 0 21 0 0 0 46;
        // of February: 18 0 102, 24 days without, 9; a 5 on the thirtieth.
        // 1.2+5.5+3.8+25.4+0.7+0.3+0.6+1.1+2.1+4.6 + 1.8+10.2+0.9 = 58.2
        "XXT00000001; 59 days: 21 measured, 3 trace, 4 in totals, 4 rejected, 27 missing; 1 presumed zero, 2 made of parts; total 58.2, greatest 25.4 on 2001-01-12; day unknown; \
         day-that-never-was, measurement-flag-unknown, presumed-zero-with-depth, reading-flagged, temperature-flagged, temperature-implausible, \
         total-flagged, total-length-without-total, total-of-unknown-length, trace-with-depth, value-impossible, value-unreadable",
    ]),
    ("ghcn-rows.csv", "GHCN-Daily file of rows", "day-that-never-was, line-unreadable", &[
        // 12 T P 33B 8D 777G . [60 over 8-10] 4Q -3 x 0 150: 1.2+3.3+0.8+0.4+15.0 = 20.7
        "XXT00000001; 15 days: 7 measured, 1 trace, 3 in totals, 3 rejected, 1 missing; 1 presumed zero, 2 made of parts; total 20.7, greatest 15 on 2001-03-15; day from 7, dated LastDay; \
         measurement-flag-unknown, reading-flagged, temperature-flagged, value-impossible, value-unreadable",
        "XXT00000002; 4 days: 3 measured, 1 missing; total 0.5, greatest 0.5 on 2001-03-02; day unknown",
    ]),
    ("hong-kong.csv", "Hong Kong", "", &[
        // 0.0 5.5 T | *** 2.5# 12.0 x -1.0 0.0 31.4 T 0.2 . 4.8
        "HKO Hong Kong Observatory; 14 days: 8 measured, 2 trace, 2 rejected, 2 missing; 1 estimated; total 56.4, greatest 31.4 on 1900-03-07; day from 0, dated FirstDay; \
         day-incomplete, day-that-never-was, line-unreadable, value-impossible, value-unreadable",
    ]),
    ("canada.csv", "daily CSV", "", &[
        // 5.0 T M 1.2E [C L 9.0A] 4.0A C C 12.0F L x -1 2.0Q . 3.0^ 0.5T 0.0: both C before F are traces; 5.0+1.2+12.0+2.0+3.0 = 23.2
        "000XX01 INVENTED OMBREL FORD, LOWER at 44.5 -36; 19 days: 6 measured, 4 trace, 4 in totals, 3 rejected, 2 missing; 3 estimated; total 23.2, greatest 12 on 2001-01-11; day unknown; \
         accumulated-and-estimated, day-incomplete, day-that-never-was, days-not-reviewed, precipitation-flag-unknown, reading-flagged, total-of-unknown-length, trace-with-depth, \
         value-impossible, value-unreadable",
    ]),
    ("canada-older.csv", "daily CSV", "", &[
        // 1.6 0.0 T [C 7.2A] 0.4E M 0.2
        "000XX02 INVENTED OMBREL PASS at 44.51 -36.02, 1150 m; 8 days: 4 measured, 1 trace, 2 in totals, 1 missing; 1 estimated; total 2.2, greatest 1.6 on 2015-01-01; day unknown; days-not-reviewed",
    ]),
    ("canada-archive.dly", "archive daily file", "", &[
        // January: thirty zeros and 10.0. February: 12 T [L 300A] -5 0x 20E C 150F . C 254 3^ 4Q 1T 0, eleven without, 7; a 9 on the thirtieth.
        // March: 20.0. 10.0 + 1.2+2.0+15.0+25.4+0.3+0.4+0.7 + 20.0 = 75.0
        "0XX0001; 60 days: 40 measured, 3 trace, 2 in totals, 3 rejected, 12 missing; 3 estimated; total 75, greatest 25.4 on 2001-02-12; day unknown; \
         accumulated-and-estimated, day-incomplete, day-that-never-was, precipitation-flag-unknown, reading-flagged, temperature-implausible, trace-with-depth, \
         value-impossible, value-unreadable",
    ]),
    ("bureau-of-meteorology.csv", "IDCJAC0009", "", &[
        // 0.4 0.0 [12.6 over 4-6] -1 .2 7.0(many) . 25.0 x 1.0S 5.0(0 days) 0.0
        "000001; 14 days: 6 measured, 5 in totals, 2 rejected, 1 missing; total 26.6, greatest 25 on 2001-01-11; day from 9, dated LastDay; \
         day-that-never-was, days-not-reviewed, quality-flag-unknown, row-cut-short, total-of-unknown-length 2, value-impossible, value-unreadable",
    ]),
    ("meteo-france.csv", "Meteo-France", "row-cut-short", &[
        // 0.2 88.0(2) 0.0 15.4 . 0.0(7) x -2.0 3.6
        "99000001 OMBREL LE PRE at 44.5 -36, 182 m; 9 days: 5 measured, 3 rejected, 1 missing; total 19.2, greatest 15.4 on 2024-01-04; day from 7, dated FirstDay; \
         quality-flag-unknown, reading-flagged, temperature-flagged, temperature-implausible, value-impossible, value-unreadable",
        "99000002 OMBREL LE GUE at 44.5412 -36.0735, 236 m; 4 days: 3 measured, 1 missing; total 3, greatest 2 on 2024-01-02; day from 7, dated FirstDay; day-that-never-was",
    ]),
    ("meteo-france-order.csv", "Meteo-France", "", &[
        // 10,4 0,0 . 0,6 x 22,2 1,0 0,0 0,0 5,2 0,0 0,2 . 0,0
        "99000003; 14 days: 11 measured, 1 rejected, 2 missing; total 39.6, greatest 22.2 on 2024-06-20; day from 7, dated FirstDay; value-unreadable",
    ]),
    ("hidroweb.csv", "HidroWeb", "line-unreadable", &[
        // November: 1,0 and 29 zeros, a value on the thirty-first. December: 5,4 0,3(level 2) [30,0 over 3-5] 9,0(4) 1,0(2) 7,0(3) -1 2,0(9) 0,0 x,
        // eighteen without, 4,0. January: 12,5 0,0. 1.0 + 5.4+0.3+1.0+2.0+4.0 + 12.5 = 26.2
        "00099999; 63 days: 38 measured, 4 in totals, 3 rejected, 18 missing; 1 estimated; total 26.2, greatest 12.5 on 2012-01-01; day from 7, dated LastDay; \
         day-that-never-was, quality-flag-unknown, reading-flagged, second-report-differs, total-of-unknown-length, value-impossible, value-unreadable",
    ]),
    ("imgw-o_d.csv", "IMGW", "days-without-a-row, row-cut-short", &[
        // 5.6 .0(9) .0(8) .0() | .7(3) 12.4 x -1.0 .0(9) 3.1(9)
        "999180020 DOLINA GÓRNA; 11 days: 6 measured, 1 trace, 2 rejected, 2 missing; total 21.8, greatest 12.4 on 2020-01-07; day from 7, dated Unknown; \
         precipitation-flag-unknown 2, value-impossible, value-unreadable",
        "999180030 ŁĄKA; 4 days: 4 measured; total 1.4, greatest 1 on 2020-01-01; day from 7, dated Unknown; day-that-never-was",
    ]),
    ("imgw-k_d.csv", "IMGW", "", &[
        // 2.4 0 T (8) .3 0 10.2 0 0 1.1 (8) 0 .6 0 4.4
        "999180010 DOLINA DOLNA; 15 days: 12 measured, 1 trace, 2 missing; total 19, greatest 10.2 on 2001-01-07; day from 7, dated Unknown",
    ]),
    ("smhi.csv", "SMHI", "", &[
        // 0.0 3.4 12.1Y . 2.0R x -1.0 0.6Q 0.0Y 0.2 . 8.8
        "99001 Ombrelängen at 44.5 -36, 182 m; 12 days: 7 measured, 3 rejected, 2 missing; total 25.1, greatest 12.1 on 2001-06-03; day from 7, dated FirstDay; \
         day-begins-at-several-hours, day-that-never-was, days-not-reviewed, quality-flag-unknown, reading-flagged, row-cut-short, station-moved, value-impossible, value-unreadable",
    ]),
    ("met-eireann.csv", "Met Eireann", "", &[
        // 12.2 0.0(2) 0.2(3) 2.0(4) 0.0(6) 0.1(1) . 1.0(9) 0.3(5) x -1 0.0 . 20.5
        " INVENTED OMBREL MEADOW at 44.5 -36, 182 m; 14 days: 8 measured, 2 trace, 2 rejected, 2 missing; 2 estimated, 1 made of parts; total 36.3, greatest 20.5 on 1986-01-14; day from 0, dated FirstDay; \
         day-that-never-was, line-unreadable, precipitation-flag-unknown, value-impossible, value-unreadable",
    ]),
    ("met-eireann-rain.csv", "Met Eireann", "", &[
        // 0.1(8) 9.4 0.0 . 1.2 0.0 3.3 0.2
        " INVENTED OMBREL (FORD) at 44.541 -36.074, 236 m; 8 days: 7 measured, 1 missing; 1 estimated; total 14.2, greatest 9.4 on 1954-01-02; day from 9, dated Unknown; precipitation-flag-unknown",
    ]),
    ("ncei-access.csv", "NCEI access", "day-that-never-was", &[
        // 12 T P 55B 38D . 999G [90 over 8-10] 254 3Q -5 x 0 7A 70L . 21 0: 1.2+5.5+3.8+25.4+0.3+2.1 = 38.3
        "XXT00000003 INVENTED OMBREL MEADOW, XX at 44.5 -36, 182 m; 20 days: 9 measured, 1 trace, 4 in totals, 4 rejected, 2 missing; 1 presumed zero, 2 made of parts; total 38.3, greatest 25.4 on 2001-05-11; day unknown; \
         measurement-flag-unknown, reading-flagged, temperature-flagged, total-flagged, total-length-without-total, total-of-unknown-length, value-impossible, value-unreadable",
    ]),
    ("climate-data-online.csv", "Climate Data Online", "", &[
        // inches: 0.22 T P [0.42 over 4-5] 9.11G 0.35A 0.01 . 1.30 0 x 0.05B 0 0.02: 1.60 in = 40.64 mm; 1.30 in = 33.02 mm
        "XXT00000004 INVENTED OMBREL SCHOOL, XX at 44.4586 -35.9318, 311 m; 15 days: 8 measured, 1 trace, 3 in totals, 2 rejected, 1 missing; 1 presumed zero, 1 made of parts; total 40.64, greatest 33.02 on 2001-01-10; day from 7, dated LastDay; \
         reading-flagged, total-of-unknown-length, unit-recognised, value-unreadable",
    ]),
    ("climate-data-online-older.csv", "Climate Data Online", "", &[
        // tenths of a millimetre: 38 T -9999 127 0 999G 5
        "XXT00000005 INVENTED OMBREL QUARRY XX at 44.48 -36.05, 397 m; 7 days: 4 measured, 1 trace, 1 rejected, 1 missing; total 17, greatest 12.7 on 2001-01-04; day unknown; \
         observation-hour-varies, reading-flagged, unit-recognised",
        "XXT00000006 INVENTED OMBREL PASS XX; 7 days: 6 measured, 1 missing; total 5.9, greatest 4.4 on 2001-01-04; day unknown; observation-hour-unknown, unit-recognised",
    ]),
    ("global-summary-of-the-day.csv", "Global Summary", "", &[
        // inches: six of 0.10 (A to F), 1.25G 0H 0I 99.99 -0.01 0.x0 0.10Q 0.10I 0.10G: 2.05 in = 52.07 mm; 1.25 in = 31.75 mm
        "00000099999 INVENTED OMBREL MEADOW, XX at 44.5 -36, 182 m; 15 days: 10 measured, 2 rejected, 3 missing; 5 estimated, 4 made of parts; total 52.07, greatest 31.75 on 2001-01-07; day unknown; \
         attribute-flag-unknown, day-incomplete 5, nothing-reported 2, observation-hour-unknown, value-impossible, value-unreadable",
    ]),
    ("dwd-climate.txt", "DWD", "row-cut-short", &[
        // 0.4 0.0(7) -999 1.0(0) 0.0(5) 12.6(8) 0.0 -2.0 x | 3.0 0.0(1) 0.0 5.5 0.2
        "99901; 15 days: 9 measured, 2 trace, 2 rejected, 2 missing; total 22.7, greatest 12.6 on 2001-01-06; day from 7, dated FirstDay; \
         day-that-never-was, precipitation-as-snow 2, precipitation-form-differs, precipitation-form-unknown, quality-level-unchecked, temperature-implausible, value-impossible, value-unreadable",
    ]),
    ("dwd-rain.txt", "DWD", "", &[
        // 9.0 0.0 -999 0.0(1) 2.2 3.1(7) 0.0 0.4 0.0 14.8 0.0 0.0 1.7 0.0
        "99902; 14 days: 12 measured, 1 trace, 1 missing; total 31.2, greatest 14.8 on 1949-01-10; day from 7, dated FirstDay; precipitation-as-snow",
    ]),
    ("ecad-blended.txt", "ECA&D", "row-cut-short", &[
        // 12 -9999 30(1) 5 5(7) 250 0 -5 x 0
        "99927 INVENTED VALLEY, OMBREL MEADOW; 10 days: 6 measured, 3 rejected, 1 missing; total 27.2, greatest 25 on 2001-01-06; day unknown; \
         day-that-never-was, quality-flag-unknown, reading-flagged, series-of-several-sources, value-impossible, value-unreadable",
    ]),
    ("ecad-source.txt", "ECA&D", "", &[
        // 0 15 0 8 -9999 0 101 0 0 3
        "99928; 10 days: 9 measured, 1 missing; total 12.7, greatest 10.1 on 2001-02-07; day unknown",
    ]),
    ("knmi-gauge.txt", "KNMI", "line-unreadable", &[
        // 0 12 . -1 3 x 105 0 20
        "9831_N; 9 days: 6 measured, 2 rejected, 1 missing; total 14, greatest 10.5 on 1951-01-07; day from 9, dated LastDay; day-that-never-was, value-impossible, value-unreadable",
    ]),
    ("knmi-station.txt", "KNMI", "", &[
        // -1(trace) . 104 0 . 37
        "9249 OMBREL AAN ZEE at 44.5 -36, 182 m; 6 days: 3 measured, 1 trace, 2 missing; total 14.1, greatest 10.4 on 2018-01-03; day from 1, dated FirstDay",
        // 0 -2 5
        "9250 OMBREL VELD at 44.541 -36.074, -2.4 m; 3 days: 2 measured, 1 rejected; total 0.5, greatest 0.5 on 2018-01-03; day from 1, dated FirstDay; temperature-implausible, value-impossible",
    ]),
    ("meteoswiss.csv", "MeteoSwiss", "row-cut-short", &[
        // 0.7 - x 32767 0 12.9 -0.5 0.1 0 0 2.2 0
        "XOM; 12 days: 8 measured, 2 rejected, 2 missing; total 15.9, greatest 12.9 on 1953-07-07; day from 7, dated FirstDay; \
         day-that-never-was, temperature-implausible, value-impossible, value-unreadable",
    ]),
    ("meteoswiss-open-data.csv", "MeteoSwiss", "", &[
        // 0.7 . 0 4.4 0 11.2 . 0.3 0 0 2.1 0 0 0.6
        "XOM; 14 days: 12 measured, 2 missing; total 19.3, greatest 11.2 on 2024-02-05; day from 7, dated FirstDay",
    ]),
    ("hadukp-months.txt", "HadUKP", "", &[
        // A year of zeros but 0.60, 3.70, 12.73, 0.11; one day -99.99, an x, 2001.0; August is cut short; a value on 29 February 1931.
        "HadUKP Invented Ombrel Valley (mean of an area); 365 days: 331 measured, 2 rejected, 32 missing; total 17.14, greatest 12.73 on 1931-03-05; day from 9, dated FirstDay; \
         areal-mean, day-that-never-was, line-unreadable, value-impossible, value-unreadable",
    ]),
    ("hadukp-days.txt", "HadUKP", "", &[
        // 0.00 1.25 0.00 -99.99 3.40 0.00 15.20 0.00 0.10 0.00 0.00 2.05
        "HadUKP Invented Ombrel Valley (mean of an area); 12 days: 11 measured, 1 missing; total 22, greatest 15.2 on 2001-01-07; day from 9, dated FirstDay; \
         areal-mean, day-that-never-was, line-unreadable",
    ]),
    ("midas-open.csv", "MIDAS", "", &[
        // 1.7(NCM before SSER's 1.8) T 0.4(1209) 0.6(SSER; NCM -1) NA 0 [9.0 over 7-9] 4.0(M 2) 3.0(M 3: both) x 22.4: 1.7+0.4+0.6+22.4 = 25.1
        "99838 invented-ombrel-meadow at 44.5 -36, 182 m; 13 days: 5 measured, 1 trace, 5 in totals, 1 rejected, 1 missing; 1 estimated; total 25.1, greatest 22.4 on 1991-01-13; day from 9, dated LastDay; \
         day-that-never-was, observation-hour-differs, quality-status-set, row-cut-short, second-report-differs 2, several-reports, total-of-unknown-length 2, \
         value-impossible, value-unreadable",
    ]),
    ("gauge-log.csv", "gauge log", "", &[
        // nil dry trace . - broken 2,5(estimated) -1 9000 wet <0,2 0,2 in(5.08) 0 [6,0 over 14-16] 9,0(?) 12,4
        "invented-garden INVENTED OMBREL GARDEN at 44.5 -36, 190 m; 21 days: 6 measured, 2 trace, 4 in totals, 3 rejected, 6 missing; 1 estimated; total 19.98, greatest 12.4 on 2024-03-21; day from 9, dated LastDay; \
         date-of-reading-taken, day-that-never-was, log-read-as, reading-not-made 2, total-of-unknown-length, value-impossible 2, value-unreadable",
    ]),
];
