//! The map of the gauges about the site.

use super::ChartMaker;
use paper::ChartDrawing;
use paper::chart::{Label, MapPlace, MapWords, Marks, PlaceMap};
use series::Unit;

/// The most gauges on the map, the leading one among them: more would cover one another.
const MOST_GAUGES: usize = 16;

/// The map reaches at least so far, km or miles: of gauges at the site itself a finer map would say nothing.
const LEAST_REACH: f64 = 1.0;

impl ChartMaker<'_> {
    /// The nearest gauges whose place is known, and the one that leads; no map where no gauge has a place.
    pub(super) fn station_map(&self) -> Option<ChartDrawing> {
        let choice = &self.assessment.choice;
        let placed = || choice.candidates.iter().enumerate().filter(|(_, candidate)| candidate.east_north_km().is_some());
        let mut shown: Vec<usize> = placed().map(|(at, _)| at).take(MOST_GAUGES).collect();
        if choice.leading().east_north_km().is_some() && !shown.contains(&choice.leads) {
            shown.pop();
            shown.push(choice.leads);
        }
        // The leading gauge is named first, then the nearest.
        shown.sort_by_key(|at| (*at != choice.leads, *at));
        let left_out = choice.candidates.len() - shown.len();
        let distance = |km: f64| self.style.shown(km, Unit::Kilometre).0;
        let place = |at: &usize| {
            let candidate = &choice.candidates[*at];
            let (east, north) = candidate.east_north_km()?;
            let station = &candidate.summary.station;
            let name = if station.name.is_empty() { &station.id } else { &station.name };
            Some(MapPlace {
                east: distance(east),
                north: distance(north),
                name: name.clone(),
                note: self.note(&station.id, candidate.height_difference_m),
                leads: *at == choice.leads,
            })
        };
        let places: Vec<MapPlace> = shown.iter().filter_map(place).collect();
        if places.is_empty() {
            return None;
        }
        let mut about = self.about("station_map", "station_map", &[], &[("count", &places.len().to_string())]);
        let caption = match left_out {
            0 => self.word("station_map_caption"),
            _ => format!("{} {}", self.word("station_map_caption"), self.word("station_map_left_out")),
        };
        about.caption = vec![paper::Inline::Text(caption)];
        let map = PlaceMap {
            about,
            places,
            reaches: LEAST_REACH,
            words: MapWords {
                centre: self.word("station_map_site"),
                leading: self.word("station_map_leads"),
                other: self.word("station_map_other"),
                unit: self.style.unit_name(Unit::Kilometre),
                north: self.word("station_map_north"),
                unnamed: self.word("station_map_unnamed"),
            },
            marks: Marks::default(),
        };
        Some(map.draw(self.font))
    }

    /// Distance and height of a gauge.
    fn note(&self, station: &str, height_difference: Option<f64>) -> Label {
        let distance = self.whole(&format!("record.distance/station={station}"));
        let height = self.whole(&format!("record.height_difference/station={station}"));
        let key = match height_difference {
            None => "station_map_note",
            Some(difference) if difference > 0.0 => "station_map_note_higher",
            Some(difference) if difference < 0.0 => "station_map_note_lower",
            Some(_) => "station_map_note_level",
        };
        self.label(key, &[("distance", distance), ("height", height)], &[])
    }
}
