//! The tables over many stations against those of a general-purpose data library on the same invented archive.
//!
//! Needs RAINWORTH_REFERENCE (a Python with numpy, pandas and pyarrow) and RAINWORTH_DATA, beside whose folder stand the bench scripts:
//! `gen_archive.py` makes the archive, `peer_pandas.py` computes the job of `spec.py`, `compare.py` judges.

use std::process::Command;
use testkit::{data_dir, reference_python};
use tests::command::run;
use tests::folders::text;
use tests::python::finish;

#[test]
fn the_tables_of_an_archive_agree_with_a_peer() {
    let (Some(python), Some(data)) = (reference_python(), data_dir()) else { return };
    let bench = data.join("../bench");
    let place = tempfile::tempdir().unwrap();
    let (archive, theirs, ours) = (place.path().join("archive"), place.path().join("theirs"), place.path().join("ours"));
    finish(Command::new(&python).arg(bench.join("gen_archive.py")).arg(&archive).args(["--stations", "20", "--formats", "dly"]));
    finish(Command::new(&python).arg(bench.join("peer_pandas.py")).arg(&archive).arg(&theirs));
    let counting = ["--month-missing", "3", "--year-days", "350", "--normal-share", "0"];
    let folder = archive.join("dly");
    let mut arguments = vec!["rain", text(&folder), "--out", text(&ours)];
    arguments.extend(counting);
    let ran = run(&arguments);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let said = finish(Command::new(&python).arg(bench.join("compare.py")).arg(&theirs).arg(&ours));
    assert!(said.starts_with("ok ") && said.contains("20 stations"), "{said}");
    for table in ["monthly.csv", "stations.csv"] {
        let head = |folder: &std::path::Path| std::fs::read_to_string(folder.join(table)).unwrap().lines().next().map(str::to_owned);
        assert_eq!(head(&ours), head(&theirs), "{table}");
    }
}
