//! The facts of the dry spells: how many, how long, the longest with its dates, and how often one lasts.

use crate::facts::Facts;
use series::{DailySeries, Day, Fact, FactId, Unit, Withheld};
use stats::{DrySpell, DrySpellRule, DrySpells, SpellYear};

/// Lengths in days whose share is given.
pub const LENGTHS: [u32; 8] = [5, 7, 10, 14, 21, 28, 42, 56];

/// How many of the longest spells are listed.
pub(crate) const LISTED: usize = 10;

/// The spells of a record, and the longest of them by length (the earlier of equals first).
#[derive(Debug, Clone)]
pub struct Spells {
    /// All, in order of time.
    pub all: DrySpells,
    /// The longest, longest first, at most [`LISTED`].
    pub longest: Vec<DrySpell>,
}

/// Finds the spells and adds their facts.
pub(crate) fn spells(rain: &DailySeries, rule: DrySpellRule, facts: &mut Facts) -> Spells {
    let all = stats::dry_spells(rain, rule);
    let (period, id) = (rain.period(), rain.station.id.as_str());
    let censored = all.spells.iter().filter(|spell| !spell.is_whole()).count();
    let of_record = |fact: Fact| fact.during(period).from_record(id).over(all.spells.len(), censored);
    facts.add(of_record(Fact::number(FactId::new("spell.count"), Unit::Count, all.spells.len() as f64)));
    facts.add(of_record(Fact::number(FactId::new("spell.censored"), Unit::Count, censored as f64)));

    let mut longest = all.spells.clone();
    longest.sort_by(|a, b| b.days.cmp(&a.days).then(a.period.first.cmp(&b.period.first)));
    longest.truncate(LISTED);
    for (spell, rank) in longest.iter().zip(1..) {
        let key = |method: &str| FactId::new(method).key("rank", rank);
        let length = Fact::number(key("spell.length"), Unit::Day, f64::from(spell.days));
        let most = spell.at_most.filter(|&most| most > spell.days).map(f64::from);
        facts.add(of_record(match most {
            Some(most) => length.with_band(f64::from(spell.days), most, "at-least-and-at-most"),
            None => length,
        }));
        facts.add(of_record(Fact::date(key("spell.first_day"), spell.period.first)));
        facts.add(of_record(Fact::date(key("spell.last_day"), spell.period.last)));
    }
    if longest.is_empty() {
        facts.add(of_record(Fact::withheld(FactId::new("spell.length").key("rank", 1), Unit::Day, Withheld::NothingAccepted)));
    }

    let survival = all.survival();
    for length in LENGTHS {
        let id_of = FactId::new("spell.share_longer").key("days", length);
        facts.add(of_record(match survival.exceeding(length) {
            Some(share) => Fact::number(id_of, Unit::Share, share),
            None => Fact::withheld(id_of, Unit::Share, Withheld::NothingAccepted),
        }));
    }
    yearly_longest(&all, rain, facts);
    Spells { all, longest }
}

/// The median and the range of the longest spell of each year, over years in which it is certain.
fn yearly_longest(all: &DrySpells, rain: &DailySeries, facts: &mut Facts) {
    let yearly = all.longest_by_year(SpellYear::Last);
    let certain: Vec<f64> = yearly.iter().filter(|of_year| of_year.certain).map(|of_year| f64::from(of_year.spell.days)).collect();
    let uncertain = yearly.len() - certain.len();
    let id = FactId::new("spell.longest_of_year.median");
    let fact = match stats::median(&certain) {
        Ok(median) => Fact::number(id, Unit::Day, median),
        Err(_) => Fact::withheld(id, Unit::Day, Withheld::NothingAccepted),
    };
    facts.add(fact.during(rain.period()).from_record(&rain.station.id).over(certain.len(), uncertain));
}

/// The months in which at least half as much is asked for as in the thirstiest one, and the longest dry spell most of whose days lie in them.
pub(crate) fn season_spell(spells: &Spells, facts: &mut Facts, id: &str) {
    let demand: Vec<f64> = (1..=12).map(|month| facts.number(&format!("demand.month/month={month}")).unwrap_or(0.0)).collect();
    let most = demand.iter().copied().fold(0.0, f64::max);
    let in_season = |day: Day| demand.get(day.month() as usize - 1).is_some_and(|asked| most > 0.0 && *asked >= 0.5 * most);
    let season = spells.all.spells.iter().filter(|spell| {
        let inside = spell.period.iter().filter(|day| in_season(*day)).count();
        2 * inside >= spell.period.days()
    });
    // The earliest of equals.
    let Some(longest) = season.reduce(|best, next| if next.days > best.days { next } else { best }) else { return };
    let of = |fact: Fact| fact.during(spells.all.period).from_record(id);
    facts.add(of(Fact::number(FactId::new("spell.season.length"), Unit::Day, f64::from(longest.days))));
    facts.add(of(Fact::date(FactId::new("spell.season.first_day"), longest.period.first)));
    facts.add(of(Fact::date(FactId::new("spell.season.last_day"), longest.period.last)));
}
