//! Files as the agencies publish them, on a mirror in a folder: what is looked at before a file takes its place lets every real one through.

use crate::bench::Listener;
use ingest::download::{Archive, Downloader, Outcome, Request, Settings, Source};
use std::fs;
use std::path::Path;

/// A real file, what is asked for, and where a mirror has it.
const FILES: [(&str, &str, &str); 12] = [
    ("ghcnd-dly/USW00094728.dly", "ghcn-daily:USW00094728", "ncei/ghcn-daily/all/USW00094728.dly"),
    ("ghcnd-dly/USC00043761.dly", "ghcn-daily:USC00043761", "ncei/ghcn-daily/all/USC00043761.dly"),
    ("ghcnd-by-station/USC00213808.csv.gz", "ghcn-daily-rows:USC00213808", "ncei/ghcn-daily/by_station/USC00213808.csv.gz"),
    ("gsod/01001099999.csv", "gsod:01001099999", "ncei/gsod/2001/01001099999.csv"),
    ("dwd-kl/tageswerte_KL_00011_akt.zip", "dwd-kl:11", "dwd/kl/recent/tageswerte_KL_00011_akt.zip"),
    ("met-eireann/dly532.csv", "met-eireann:532", "met-eireann/dly532.csv"),
    ("met-eireann/dly3704.csv", "met-eireann:3704", "met-eireann/dly3704.csv"),
    ("smhi/smhi-opendata_5_53430_20251023_141246_rain_Lund.csv", "smhi:53430", "smhi/parameter-5/corrected-archive/53430.csv"),
    ("meteo-france/Q_34_latest-2024-2025_RR-T-Vent.csv.gz", "meteo-france:34", "meteo-france/quot/Q_34_latest-2024-2025_RR-T-Vent.csv.gz"),
    ("hko/daily_HKO_RF_ALL.csv", "hko:HKO", "hko/rainfall/daily_HKO_RF_ALL.csv"),
    ("ghcnd-meta/ghcnd-stations_gm.txt", "ghcn-daily", "ncei/ghcn-daily/ghcnd-stations.txt"),
    ("dwd-kl/KL_Tageswerte_Beschreibung_Stationen.txt", "dwd-kl", "dwd/kl/historical/KL_Tageswerte_Beschreibung_Stationen.txt"),
];

#[test]
fn every_real_file_is_taken() {
    let Some(data) = testkit::data_dir() else { return };
    let place = tempfile::tempdir().unwrap();
    let (mirror, archive) = (place.path().join("mirror"), place.path().join("archive"));
    for (file, _, path) in FILES {
        let to = mirror.join(path);
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::copy(data.join(file), to).unwrap();
    }
    for (file, asked, path) in FILES {
        let request = if asked.contains(':') { Request::station(asked, Some(2001..=2001)) } else { Request::lists(asked) }.unwrap();
        let downloader = Downloader::new(Archive::in_folder(&archive), Source::Folder(mirror.clone()), Settings::default()).unwrap();
        let brought = downloader.bring(&[request], &Listener::default());
        let one = brought.iter().find(|one| one.path == path).unwrap_or_else(|| panic!("{file}: {brought:#?}"));
        assert_eq!(one.outcome, Outcome::Fetched, "{file}");
        assert_eq!(one.sidecar.as_ref().unwrap().sha256, ingest::checksum_of(&fs::read(Path::new(&data).join(file)).unwrap()), "{file}");
    }
}
