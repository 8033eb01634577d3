//! The rows of the tables of gauges: what say each record has at the site and why, how its dates are taken, and the other ways in which the
//! days at the site could have been made.

use crate::table_rows::{RowMaker, TableRow};
use assess::{GaugeBeside, NoSay};
use series::Station;
use stats::DayAlignment;

/// The ways of the fillings table: the word, and the fact of the share met.
const FILLINGS: [(&str, &str); 5] = [
    ("as_used", "store.reliability.volume"),
    ("without_neighbours", "store.reliability.volume.without_neighbours"),
    ("amounts_as_measured", "store.reliability.volume.amounts_as_measured"),
    ("totals_on_last_day", "store.reliability.volume.totals_on_last_day"),
    ("undercatch_left", "store.reliability.volume.undercatch_left"),
];

impl RowMaker<'_> {
    /// The gauges that are asked.
    pub(crate) fn beside(&self) -> Vec<TableRow> {
        let rows = self.assessment.neighbours.beside.iter().map(|beside| {
            let fills = match &beside.stands_in {
                Ok(()) => self.words.get("fills", "yes"),
                Err(why) => self.words.get("fills", no_say_key(why)),
            };
            TableRow::new(&beside.id)
                .with("name", self.name_of(&beside.id))
                .with("dates", self.dates(beside.alignment))
                .with("fills", fills)
        });
        rows.collect()
    }

    /// The gauges with an answer of their own, the lead first.
    pub(crate) fn gauge_answers(&self) -> Vec<TableRow> {
        let rows = self.assessment.answers.iter().map(|answer| {
            let lead = answer.left_out.as_ref().map(|found| found.lead.clone()).unwrap_or_default();
            TableRow::new(&answer.id).with("name", self.name_of(&answer.id)).with("id", &answer.id).with("lead", lead)
        });
        rows.collect()
    }

    /// The ways in which the days at the site could have been made, the one that was taken first.
    pub(crate) fn fillings(&self) -> Vec<TableRow> {
        let facts = &self.assessment.facts;
        let there = FILLINGS.iter().filter(|(_, fact)| facts.get(fact).is_some());
        there.map(|(word, fact)| TableRow::new(fact).with("name", self.words.get("filling", word))).collect()
    }

    /// What say a record has at the site.
    pub(crate) fn say(&self, place: usize) -> String {
        let choice = &self.assessment.choice;
        if place == choice.leads {
            return self.words.get("say", "leads");
        }
        if let Some(why) = self.assessment.not_asked.get(place).and_then(Option::as_ref) {
            return self.no_say(why);
        }
        let id = &choice.candidates[place].summary.station.id;
        let Some(beside) = self.assessment.neighbours.beside.iter().find(|beside| beside.id == *id) else { return String::new() };
        self.say_of(beside)
    }

    fn say_of(&self, beside: &GaugeBeside) -> String {
        match (&beside.stands_in, &beside.weight) {
            (Ok(()), Ok(_)) => self.words.get("say", "both"),
            (Ok(()), Err(_)) => self.words.get("say", "stands_in"),
            (Err(_), Ok(_)) => self.words.get("say", "weight"),
            (Err(why), Err(_)) => self.no_say(why),
        }
    }

    fn no_say(&self, why: &NoSay) -> String {
        match why {
            NoSay::TooFewYears { have, need } => {
                self.words.with("say", "too_few_years", &[("have", &have.to_string()), ("need", &need.to_string())])
            }
            other => self.words.get("say", no_say_key(other)),
        }
    }

    fn dates(&self, alignment: DayAlignment) -> String {
        // A neighbour that dates the same rain later is taken earlier.
        let moved = |days: i32| self.words.get("alignment", &format!("{}_{}", if days > 0 { "earlier" } else { "later" }, days.abs()));
        match alignment {
            DayAlignment::NotTold => self.words.get("alignment", "as_dated"),
            DayAlignment::Stated { days_later: 0 } => self.words.get("alignment", "stated_same"),
            DayAlignment::Stated { days_later } => self.words.with("alignment", "stated", &[("move", &moved(days_later))]),
            DayAlignment::Told { days_later: 0, hours_shared: 24 } => self.words.get("alignment", "same"),
            DayAlignment::Told { days_later: 0, hours_shared } => {
                self.words.with("alignment", "shared", &[("hours", &hours_shared.to_string())])
            }
            DayAlignment::Told { days_later, hours_shared } => {
                self.words.with("alignment", "moved", &[("move", &moved(days_later)), ("hours", &hours_shared.to_string())])
            }
        }
    }

    /// The name of a station, else its id.
    fn name_of(&self, id: &str) -> String {
        let mut stations = self.assessment.choice.candidates.iter().map(|candidate| &candidate.summary.station);
        let named = |station: &&Station| station.id == *id && !station.name.is_empty();
        stations.find(named).map_or_else(|| id.to_owned(), |station| station.name.clone())
    }
}

/// The key of a reason in the wording files.
fn no_say_key(why: &NoSay) -> &'static str {
    match why {
        NoSay::LeftOut => "left_out",
        NoSay::NotWanted => "not_wanted",
        NoSay::ArealMean => "areal_mean",
        NoSay::OutOfReach => "out_of_reach",
        NoSay::OthersNearer => "others_nearer",
        NoSay::TooFewYears { .. } => "too_few_years",
        NoSay::Unlike => "unlike",
        NoSay::OtherRain => "other_rain",
        NoSay::NoPlace => "no_place",
        NoSay::SameGauge => "same_gauge",
    }
}
