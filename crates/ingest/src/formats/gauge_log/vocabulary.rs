//! The words that a log is written in: English, and the few that a log needs in German, French, Spanish, Dutch and Portuguese (from memory).
//!
//! All in lower case and without accents, as [`folded`] makes them; a field is held against them in the same form.

/// Lower case, and the letters of these languages without their accents.
pub(super) fn folded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars().flat_map(char::to_lowercase) {
        match letter {
            '\u{e0}'..='\u{e5}' => out.push('a'),
            '\u{e7}' => out.push('c'),
            '\u{e8}'..='\u{eb}' => out.push('e'),
            '\u{ec}'..='\u{ef}' => out.push('i'),
            '\u{f1}' => out.push('n'),
            '\u{f2}'..='\u{f6}' => out.push('o'),
            '\u{f9}'..='\u{fc}' => out.push('u'),
            '\u{df}' => out.push_str("ss"),
            other => out.push(other),
        }
    }
    out
}

/// Lower-case words and numbers of a text; everything else parts them.
pub(super) fn words(text: &str) -> Vec<String> {
    folded(text).split(|c: char| !c.is_alphanumeric() && c != '"').filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

pub(super) fn has(words: &[String], any: &[&str]) -> bool {
    words.iter().any(|word| any.contains(&word.as_str()))
}

/// The rain itself.
#[rustfmt::skip]
pub(super) const RAIN: &[&str] = &[
    "rain", "rainfall", "rains", "precip", "precipitation", "prec", "prcp", "pcp", "ppt", "pluviometry",
    "regen", "regenmenge", "regenhohe", "niederschlag", "niederschlage", "niederschlagsmenge", "niederschlagshohe",
    "pluie", "pluies", "precipitations", "pluviometrie",
    "lluvia", "lluvias", "precipitacion", "precipitaciones", "pluviometria",
    "neerslag", "regenval", "regenhoeveelheid",
    "chuva", "chuvas", "precipitacao", "pluviosidade",
];
pub(super) const DATE: &[&str] = &["date", "dates", "datum", "fecha", "data"];
pub(super) const TIME: &[&str] = &["time", "hour", "uhrzeit", "heure", "hora", "tijd", "tijdstip"];
pub(super) const NOTE: &[&str] = &[
    "note",
    "notes",
    "remark",
    "remarks",
    "comment",
    "comments",
    "bemerkung",
    "bemerkungen",
    "anmerkung",
    "notiz",
    "kommentar",
    "remarque",
    "remarques",
    "commentaire",
    "nota",
    "notas",
    "comentario",
    "observaciones",
    "opmerking",
    "opmerkingen",
    "observacoes",
];
pub(super) const DAYS: &[&str] = &["days", "tage", "tagen", "jours", "dias", "dagen"];
pub(super) const DAY: &[&str] = &["day", "tag", "jour", "dia", "dag"];
pub(super) const MONTH: &[&str] = &["month", "monat", "mois", "mes", "maand"];
pub(super) const YEAR: &[&str] = &["year", "jahr", "annee", "an", "ano", "jaar"];
pub(super) const FIRST: &[&str] = &["first", "erster", "premier", "primer", "eerste", "primeiro"];
pub(super) const LAST: &[&str] = &["last", "letzter", "dernier", "ultimo", "laatste"];
pub(super) const STATION: &[&str] = &["station", "site", "gauge", "location", "messstelle", "poste", "estacion", "estacao"];

pub(super) const UNIT: &[&str] = &["unit", "units", "einheit", "unite", "unidad", "eenheid", "unidade"];
pub(super) const DECIMAL: &[&str] = &["decimal", "decimals", "dezimal", "dezimalzeichen", "decimale", "decimaal"];
pub(super) const COMMA: &[&str] = &["comma", "komma", "virgule", "coma", "virgula"];
pub(super) const POINT: &[&str] = &["point", "dot", "period", "punkt", "punto", "punt", "ponto"];
/// What stands before the hour of reading.
pub(super) const READ: &[&str] =
    &["read", "reading", "abgelesen", "ablesung", "releve", "lu", "leido", "lectura", "afgelezen", "aflezing", "lido", "leitura"];
pub(super) const NOON: &[&str] = &["noon", "midday", "mittag", "mittags", "midi", "mediodia", "middag"];
pub(super) const MIDNIGHT: &[&str] = &["midnight", "mitternacht", "minuit", "medianoche", "middernacht"];
/// Beginnings of words that make a depth an estimate.
pub(super) const ESTIMATED: &[&str] = &["estim", "geschatzt", "geschat"];

/// Words of a dry day that somebody looked at. German "null" is also what programs write for nothing at all, so it is no zero.
#[rustfmt::skip]
pub(super) const DRY: &[&str] = &[
    "nil", "dry", "zero", "no rain", "no rainfall",
    "trocken", "kein regen", "kein niederschlag",
    "sec", "pas de pluie", "aucune pluie",
    "seco", "sin lluvia", "no llovio",
    "droog", "geen regen", "geen neerslag",
    "sem chuva", "nao choveu",
];
pub(super) const TRACE: &[&str] =
    &["t", "tr", "trace", "traces", "spur", "spuren", "traza", "trazas", "inapreciable", "ip", "spoor", "traco", "tracos", "vestigios"];

/// Words and codes for no reading. "None" is what programs write for nothing at all, so it is no zero.
#[rustfmt::skip]
pub(super) const NOT_READ: &[&str] = &[
    "-", "--", "\u{2013}", "\u{2014}", ".", "?", "x", "m", "na", "n/a", "nan", "null", "none",
    "-99", "-99.9", "-999", "-999.9", "-9999",
    "missing", "missed", "lost", "broken", "spilt", "spilled", "spoilt", "spoiled", "away", "absent", "not read", "no reading", "unread",
    "frozen", "leaking", "leaked", "blocked", "fault", "faulty", "damaged", "stolen", "overflow", "overflowed", "unknown",
    "fehlt", "defekt", "kaputt", "verreist", "urlaub", "abwesend", "nicht gelesen", "nicht abgelesen", "gefroren", "verschuttet", "ubergelaufen",
    "manquant", "manque", "casse", "gele", "en panne", "non lu", "non releve",
    "falta", "ausente", "roto", "averiado", "helado", "sin dato", "sin datos", "no leido",
    "ontbreekt", "kapot", "afwezig", "weg", "vakantie", "bevroren", "niet gelezen", "niet afgelezen",
    "quebrado", "avariado", "congelado", "sem dados", "nao lido",
];

/// Small numbers in words, from two on.
#[rustfmt::skip]
const NUMBERS: &[[&str; 6]] = &[
    ["two", "zwei", "deux", "dos", "twee", "dois"],
    ["three", "drei", "trois", "tres", "drie", "tres"],
    ["four", "vier", "quatre", "cuatro", "vier", "quatro"],
    ["five", "funf", "cinq", "cinco", "vijf", "cinco"],
    ["six", "sechs", "six", "seis", "zes", "seis"],
    ["seven", "sieben", "sept", "siete", "zeven", "sete"],
];

/// What may stand beside a number of days in a note without changing what it says.
#[rustfmt::skip]
const BESIDE_DAYS: &[&str] = &[
    "total", "sum", "together", "of", "over", "for", "all",
    "summe", "zusammen", "uber", "von", "aus",
    "somme", "cumul", "ensemble", "sur", "de", "en", "pour",
    "suma", "juntos", "som", "samen", "van", "soma", "em", "acumulado", "acumulada",
];

/// The number of days, two to 31, that a note says a depth covers, where it says nothing else: `2 days`, `Summe aus 3 Tagen`, `2-day total`.
pub(super) fn days_of_note(note: &str) -> Option<i32> {
    let all = words(note);
    let told: Vec<&str> = all.iter().map(String::as_str).filter(|word| !BESIDE_DAYS.contains(word)).collect();
    let [number, unit] = told.as_slice() else { return None };
    let spelt = || NUMBERS.iter().zip(2..).find(|(names, _)| names.contains(number)).map(|(_, number)| number);
    let number = number.parse::<i32>().ok().or_else(spelt)?;
    ((2..=31).contains(&number) && (DAYS.contains(unit) || DAY.contains(unit))).then_some(number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_without_accents_and_capitals() {
        assert_eq!(folded("Pr\u{e9}cipita\u{e7}\u{e3}o \u{dc}BER Stra\u{df}e"), "precipitacao uber strasse");
        for list in
            [RAIN, DATE, TIME, NOTE, DAYS, DAY, MONTH, YEAR, STATION, UNIT, DECIMAL, COMMA, POINT, READ, DRY, TRACE, NOT_READ, BESIDE_DAYS]
        {
            assert!(list.iter().all(|word| folded(word) == *word), "{list:?}");
        }
    }

    #[test]
    fn no_word_says_two_things() {
        for word in DRY {
            assert!(!TRACE.contains(word) && !NOT_READ.contains(word), "{word}");
        }
        assert!(TRACE.iter().all(|word| !NOT_READ.contains(word)));
    }

    #[test]
    fn a_note_may_say_over_how_many_days_a_depth_is() {
        for (note, days) in [
            ("2 Tage", Some(2)),
            ("two days together", Some(2)),
            ("Summe aus 3 Tagen", Some(3)),
            ("2-day total", Some(2)),
            ("cumul de 4 jours", Some(4)),
            ("tres d\u{ed}as", Some(3)),
            ("som van 2 dagen", Some(2)),
            ("acumulado em 2 dias", Some(2)),
            ("1 day", None),
            ("2 days of heavy rain", None),
            ("away for two days", None),
            ("40 days", None),
            ("2", None),
            ("", None),
        ] {
            assert_eq!(days_of_note(note), days, "{note}");
        }
    }
}
