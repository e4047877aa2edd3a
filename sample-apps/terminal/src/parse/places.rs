//! Strings by their place: "4", "3a", "1,3-5", "all"; or by their note: "A", "e", "E1".

use fallaway::measure::{Fret, Note, StringPlace};
use fallaway::record::InstrumentSpec;
use fallaway_text::{List, Phrase, errors, names};

use crate::messages::parse as say;

/// Which strings a phrase names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Strings {
    /// Every string.
    All,
    /// These, in the order given.
    These(Vec<StringPlace>),
}

/// Reads a list of strings; none if the word does not look like one.
///
/// # Errors
/// For a list that runs backwards or names a string that no instrument has.
pub fn strings(word: &str) -> Result<Option<Strings>, Phrase> {
    if word == "all" {
        return Ok(Some(Strings::All));
    }
    let looks_like_a_list = word.starts_with(|c: char| c.is_ascii_digit())
        && word.chars().all(|c| c.is_ascii_digit() || c.is_ascii_lowercase() || ",-".contains(c));
    if !looks_like_a_list {
        return Ok(None);
    }
    let mut places = Vec::new();
    for part in word.split(',').filter(|part| !part.is_empty()) {
        match part.split_once('-') {
            Some((first, last)) => {
                let (first, last) = (number(first)?, number(last)?);
                let span: Vec<u8> = if first <= last {
                    (first..=last).collect()
                } else {
                    (last..=first).rev().collect()
                };
                for course in span {
                    places
                        .push(StringPlace::course(course).map_err(|error| errors::value(&error))?);
                }
            }
            None => places.push(string(part)?),
        }
    }
    if places.is_empty() { Ok(None) } else { Ok(Some(Strings::These(places))) }
}

/// Reads one string, "4" or "3a".
///
/// # Errors
/// For anything else.
pub fn string(word: &str) -> Result<StringPlace, Phrase> {
    word.parse().map_err(|error| errors::name(&error).without_field())
}

/// A list in which strings stand for their notes, with their numbers instead.
///
/// # Errors
/// For a note that no string has, or several: then which they are.
pub fn numbered(text: &str, spec: &InstrumentSpec) -> Result<String, Phrase> {
    let parts = text.split(',').map(|part| {
        // As it is shown: "1 (G)".
        let part = part.trim();
        let labelled = part.strip_suffix(')').and_then(|part| part.split_once(" ("));
        let part = labelled.map_or(part, |(number, _)| number.trim());
        Ok(by_note(part, spec)?.map_or_else(|| part.to_owned(), |place| place.to_string()))
    });
    Ok(parts.collect::<Result<Vec<_>, Phrase>>()?.join(","))
}

/// One string by its place or its note.
///
/// # Errors
/// As [`string`] and [`numbered`].
pub fn string_of(word: &str, spec: &InstrumentSpec) -> Result<StringPlace, Phrase> {
    string(&numbered(word, spec)?)
}

/// The string that is tuned to a note; `None` for a word that names no note. A small letter alone is the
/// highest of several, as players write it: "e" and "E". A small "a" alone is a word.
fn by_note(word: &str, spec: &InstrumentSpec) -> Result<Option<StringPlace>, Phrase> {
    let Some(first) = word.chars().next() else { return Ok(None) };
    let small = first.is_ascii_lowercase();
    let written = format!("{}{}", first.to_ascii_uppercase(), word.get(1..).unwrap_or_default());
    let exact: Option<Note> = written.parse().ok();
    let class: Option<Note> =
        if exact.is_some() { None } else { format!("{written}4").parse().ok() };
    let Some(note) = exact.or(class).filter(|_| word != "a") else { return Ok(None) };
    let is_meant = |tuned: &Note| match exact {
        Some(exact) => tuned.number() == exact.number(),
        None => tuned.number() % 12 == note.number() % 12,
    };
    let found: Vec<StringPlace> =
        spec.tuning.iter().filter(|(_, tuned)| is_meant(tuned)).map(|(place, _)| *place).collect();
    let shown = |places: &[StringPlace]| {
        List::comma(places.iter().map(|place| names::string_label(spec, *place)))
    };
    match found.as_slice() {
        [one] => Ok(Some(*one)),
        [highest, ..] if small && exact.is_none() => Ok(Some(*highest)),
        [] => Err(say::no_string_with(word, shown(&spec.places()))),
        several => Err(say::strings_with(word, shown(several))),
    }
}

fn number(word: &str) -> Result<u8, Phrase> {
    word.parse().map_err(|_| say::not_string(word))
}

/// Reads frets, "3", "3-6" or "open"; the lower one first.
///
/// # Errors
/// For anything else.
pub fn frets(text: &str) -> Result<(Fret, Fret), Phrase> {
    let one = |text: &str| match text {
        "open" => Ok(Fret::OPEN),
        number => Fret::new(number.parse().map_err(|_| say::not_frets(text))?)
            .map_err(|error| errors::value(&error)),
    };
    let (from, to) = text.split_once('-').unwrap_or((text, text));
    let (from, to) = (one(from)?, one(to)?);
    Ok((from.min(to), from.max(to)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn courses(word: &str) -> Vec<String> {
        match strings(word) {
            Ok(Some(Strings::These(places))) => places.iter().map(StringPlace::to_string).collect(),
            other => panic!("{word}: {other:?}"),
        }
    }

    #[test]
    fn lists_and_spans() {
        assert_eq!(courses("4"), ["4"]);
        assert_eq!(courses("1,3-5"), ["1", "3", "4", "5"]);
        assert_eq!(courses("5-3"), ["5", "4", "3"]);
        assert_eq!(courses("3a,3b"), ["3a", "3b"]);
        assert_eq!(strings("all"), Ok(Some(Strings::All)));
        assert_eq!(strings("down"), Ok(None));
        assert_eq!(strings("1/4"), Ok(None));
    }

    #[test]
    fn strings_by_their_notes() {
        let templates = fallaway::record::templates();
        let spec = &templates.iter().find(|one| one.id == "guitar-6").unwrap().spec;
        let found = |word: &str| numbered(word, spec).map_err(|error| error.to_string());
        for (word, number) in [
            ("A", "5"),
            ("e", "1"),
            ("E2", "6"),
            ("b", "2"),
            ("D,G", "4,3"),
            ("1-3", "1-3"),
            ("a", "a"),
        ] {
            assert_eq!(found(word).as_deref(), Ok(number), "{word}");
        }
        assert!(found("E").unwrap_err().contains("1 (E)"), "{:?}", found("E"));
        assert!(found("C").unwrap_err().contains("6 (E)"), "{:?}", found("C"));
        assert_eq!(found("all").as_deref(), Ok("all"));
    }

    #[test]
    fn strings_that_no_instrument_has() {
        assert!(strings("0").is_err());
        assert!(strings("99").is_err());
        assert!(strings("300").is_err());
        assert!(string("é").is_err());
    }
}
