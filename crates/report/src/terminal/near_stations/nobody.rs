//! The page where no station is ranked: what is near all the same, who would be the nearest, and what to look at.

use super::super::lengths::place_in_words;
use super::super::wrapped;
use super::{Page, named, years};
use ingest::Slip;
use ingest::catalogue::{Candidate, NearestElsewhere};
use std::fmt::Write;

impl Page<'_> {
    pub(super) fn nobody(&self, text: &mut String) {
        let counts = self.nearby.counts;
        let within = self.lengths.distance_with_unit(self.nearby.search.within_km);
        let these = if self.nearby.wanted_years.is_some() { " with rain in these years" } else { "" };
        wrapped(text, "", &format!("No station within {within}{these}."));
        if counts.without_rain > 0 {
            wrapped(text, "", &format!("Without rain by the inventory: {}.", super::stations(counts.without_rain)));
        }
        if let Some(nearest) = self.nearby.without_wanted_years.first() {
            wrapped(text, "", &format!("With rain in other years only: {}.", super::stations(counts.without_wanted_years)));
            text.push('\n');
            self.table(text, &self.nearby.without_wanted_years);
            text.push('\n');
            if let Some(call) = other_years(nearest) {
                let _ = writeln!(text, "Where the years of the nearest serve: {call}");
            }
        }
        let (own, slips): (Vec<_>, Vec<_>) = self.nearby.elsewhere.iter().partition(|one| one.slip.is_none());
        match own.first() {
            Some(nearest) => self.nearest(text, nearest),
            None => wrapped(text, "", "No station of the list has rain in these years at all."),
        }
        for slip in slips {
            self.slip(text, slip);
        }
    }

    /// The nearest station that would be ranked, and how to see it.
    fn nearest(&self, text: &mut String, nearest: &NearestElsewhere) {
        let one = &nearest.candidate;
        let span = one.rain_years.map(|rain| format!(", rain {}", years(rain.first, rain.last))).unwrap_or_default();
        wrapped(text, "", &format!("The nearest that would count is {}, {}{span}.", named(one), self.where_it_is(one)));
        let reach = self.lengths.reach_that_holds(one.distance_km);
        wrapped(
            text,
            "",
            &format!("To look as far: --within \"{reach}\". So far away a gauge says little of a roof; look at the coordinates first."),
        );
    }

    fn slip(&self, text: &mut String, slip: &NearestElsewhere) {
        let what = match slip.slip {
            Some(Slip::Exchanged) => "With latitude and longitude exchanged",
            Some(Slip::LongitudeSign) => "With the longitude's other sign (east for west)",
            Some(Slip::LatitudeSign) => "With the latitude's other sign (north for south)",
            None => return,
        };
        let place = (slip.latitude_degrees, slip.longitude_degrees);
        let away = self.lengths.distance_with_unit(slip.candidate.distance_km);
        let line = format!(
            "{what} the place would be {}, and {} {away} away. If that is meant: --near={},{}",
            place_in_words(place),
            named(&slip.candidate),
            place.0,
            place.1
        );
        wrapped(text, "", &line);
    }
}

fn other_years(one: &Candidate) -> Option<String> {
    one.rain_years.map(|rain| format!("--years {}-{}", rain.first, rain.last))
}
