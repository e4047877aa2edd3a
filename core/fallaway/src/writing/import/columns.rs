//! What the columns of a table are, by their headings, in English and German.

use fallaway_measure::{Fret, Location, Quantity, StringPlace, Tool};
use fallaway_record::InstrumentSpec;

/// A column that says something of the whole row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum About {
    Date,
    Visit,
    By,
    Quantity,
    Place,
    Value,
    Unit,
    Tool,
    Phase,
    Note,
    Temperature,
    Humidity,
    Hours,
}

/// What stands under a heading.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Column {
    /// Something about the row.
    About(About),
    /// What was read at a place, in a row that says which quantity.
    At(Location),
    /// What was read of a quantity: one number, or a line for all strings.
    Of { quantity: Quantity, tool: Option<Tool>, unit: Option<String> },
    /// Nothing that is known here.
    Unknown,
    /// Passed over, as was asked for.
    Ignored,
}

const WORDS: &[(About, &[&str])] = &[
    (About::Date, &["date", "day", "when", "datum", "tag", "zeitpunkt"]),
    (About::Visit, &["visit", "purpose", "termin", "anlass"]),
    (About::By, &["by", "who", "reader", "von", "wer"]),
    (About::Quantity, &["quantity", "what", "größe", "messgröße", "was"]),
    (About::Place, &["place", "string", "location", "ort", "saite"]),
    (About::Value, &["value", "values", "reading", "readings", "wert", "werte", "messwert"]),
    (About::Unit, &["unit", "einheit"]),
    (About::Tool, &["tool", "werkzeug"]),
    (About::Phase, &["phase", "zustand"]),
    (About::Note, &["note", "notes", "remark", "notiz", "bemerkung"]),
    (About::Temperature, &["temperature", "temperatur"]),
    (About::Humidity, &["humidity", "luftfeuchte", "feuchte"]),
    (About::Hours, &["hours", "hours there", "stunden"]),
];

impl Column {
    /// What stands under a heading.
    pub(super) fn of(heading: &str, spec: &InstrumentSpec) -> Self {
        let plain = plain(heading);
        let about = WORDS.iter().find(|(_, words)| words.contains(&plain.as_str()));
        if let Some((about, _)) = about {
            return Self::About(*about);
        }
        let number = ["string ", "saite "].iter().find_map(|word| plain.strip_prefix(word));
        if let Ok(place) = number.unwrap_or(&plain).parse::<StringPlace>() {
            return Self::At(Location::Course(place));
        }
        let (words, with) = match plain.split_once(['(', '[']) {
            Some((words, with)) => (words.trim(), with.trim_end_matches([')', ']']).trim()),
            None => (plain.as_str(), ""),
        };
        let Some(quantity) = quantity(words, spec) else { return Self::Unknown };
        let tool = with.parse::<Tool>().ok();
        let unit = (tool.is_none() && !with.is_empty()).then(|| with.to_owned());
        Self::Of { quantity, tool, unit }
    }
}

fn plain(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").to_lowercase()
}

/// A quantity by the word of the trade, read in the usual way of this instrument, or with its frets
/// ("action 1 24", "relief 1 to 24", "intonation 12"), or as it is shown ("gap open over 12").
pub(super) fn quantity(text: &str, spec: &InstrumentSpec) -> Option<Quantity> {
    let plain = plain(text);
    if let Ok(quantity) = plain.parse::<Quantity>() {
        return Some(quantity);
    }
    let separated = plain.replace(['/', '-', ','], " ");
    let words =
        separated.split_whitespace().filter(|word| !["to", "at", "bis", "an"].contains(word));
    let (mut name, mut numbers, mut open) = (String::new(), Vec::new(), false);
    for word in words {
        if let Ok(number) = word.parse::<u8>() {
            numbers.push(number);
        } else if word == "open" || word == "leer" {
            open = true;
        } else {
            if !name.is_empty() {
                name.push(' ');
            }
            name.push_str(word);
        }
    }
    let last = spec.last_fret().map(Fret::number);
    match (name.as_str(), numbers.as_slice()) {
        ("action" | "saitenlage", []) if open => Quantity::gap(0, 12).ok(),
        ("action" | "saitenlage", [over]) if open => Quantity::gap(0, *over).ok(),
        ("action" | "saitenlage", []) => Quantity::gap(1, last?).ok(),
        ("action" | "saitenlage", [over]) => Quantity::gap(1, *over).ok(),
        ("action" | "gap" | "saitenlage", [stopped, over]) => Quantity::gap(*stopped, *over).ok(),
        ("relief" | "halskrümmung", []) => Quantity::relief(1, last?).ok(),
        ("relief" | "halskrümmung", [from, to]) => Quantity::relief(*from, *to).ok(),
        ("relief" | "halskrümmung", [from, to, at]) => Quantity::relief_at(*from, *to, *at).ok(),
        ("fall away" | "fallaway" | "griffbrettabfall", []) => spec.usual_fall_away(),
        ("fall away" | "fallaway" | "griffbrettabfall", [from, to, at]) => {
            Quantity::fall_away(*from, *to, *at).ok()
        }
        ("nut" | "sattel", []) if open => Quantity::gap(0, 1).ok(),
        ("nut" | "sattel", []) => Some(Quantity::nut()),
        ("pitch" | "tuning" | "stimmung" | "tonhöhe", []) => Some(Quantity::Pitch),
        ("intonation" | "oktavreinheit", []) => Quantity::intonation(12).ok(),
        ("intonation" | "oktavreinheit", [fret]) => Quantity::intonation(*fret).ok(),
        ("spacing" | "saitenabstand", []) => Some(Quantity::SpacingBridge),
        ("nut spacing" | "saitenabstand sattel", []) => Some(Quantity::SpacingNut),
        ("bridge height" | "steghöhe", []) => Some(Quantity::BridgeHeight),
        ("bridge tail" | "steghinterkante", []) => Some(Quantity::BridgeTail),
        ("pickup" | "tonabnehmer", [pickup]) => {
            Quantity::pickup_gap(*pickup, if open { 0 } else { last? }).ok()
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use fallaway_record::spec::templates;

    #[test]
    fn headings_and_words_of_the_trade_in_both_languages() {
        let spec = templates().iter().find(|one| one.id == "bass-4").unwrap().spec.clone();
        let last = spec.last_fret().unwrap().number();
        assert_eq!(Column::of(" Datum ", &spec), Column::About(About::Date));
        let fourth = Location::Course(StringPlace::course(4).unwrap());
        assert_eq!(Column::of("String 4", &spec), Column::At(fourth));
        assert_eq!(Column::of("4", &spec), Column::At(fourth));
        assert_eq!(Column::of("mood", &spec), Column::Unknown);
        assert_eq!(
            Column::of("Relief (feeler 1 thou)", &spec),
            Column::Of {
                quantity: Quantity::relief(1, last).unwrap(),
                tool: Some(Tool::FEELER_THOU),
                unit: None
            }
        );
        for (text, wanted) in [
            ("action", Quantity::gap(1, last)),
            ("Saitenlage 1/12", Quantity::gap(1, 12)),
            ("action open", Quantity::gap(0, 12)),
            ("gap stopped at 1 over 24", Quantity::gap(1, 24)),
            ("relief 1 to 15", Quantity::relief(1, 15)),
            ("relief 1 to 15 at 7", Quantity::relief_at(1, 15, 7)),
            ("fall-away 12 to 16 at 20", Quantity::fall_away(12, 16, 20)),
            ("intonation 12", Quantity::intonation(12)),
            ("pickup 2 open", Quantity::pickup_gap(2, 0)),
            ("nut", Ok(Quantity::nut())),
        ] {
            assert_eq!(quantity(text, &spec), wanted.ok(), "{text}");
        }
        assert_eq!(quantity("Griffbrettabfall", &spec), spec.usual_fall_away());
        assert!(spec.usual_fall_away().is_some());
        assert_eq!(quantity("action 5 5", &spec), None);
        assert_eq!(quantity("yardstick", &spec), None);
    }
}
