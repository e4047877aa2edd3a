//! Strings by their place: "4", "3a", "1,3-5", "all".

use fallaway::measure::{Fret, StringPlace};
use fallaway_text::{Phrase, errors};

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
    fn strings_that_no_instrument_has() {
        assert!(strings("0").is_err());
        assert!(strings("99").is_err());
        assert!(strings("300").is_err());
        assert!(string("é").is_err());
    }
}
