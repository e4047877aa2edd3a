//! Words of the options into quantities.

use fallaway::measure::{Amount, Dimension, Length, parse_amount};
use fallaway::mechanics::units::mm;
use fallaway::mechanics::uom::si::f64::Force;
use fallaway::mechanics::uom::si::force::newton;
use fallaway_text::{Phrase, errors};

use crate::error::{Error, Outcome};
use crate::messages::parse as say;

impl From<fallaway::mechanics::Error> for Error {
    /// What the mathematics refuses is a number that was given.
    fn from(error: fallaway::mechanics::Error) -> Self {
        Self::Usage(errors::formula(&error).phrase())
    }
}

/// An option with what is wrong with it.
pub fn wrong(option: &str, why: impl Into<Phrase>) -> Error {
    Error::Usage(say::option(option, why.into()))
}

/// A number with its unit.
pub fn amount(option: &str, text: &str, dimension: Dimension) -> Outcome<Amount> {
    parse_amount(text, None, dimension).map_err(|error| wrong(option, errors::reading(&error)))
}

/// A length, "34 in".
pub fn length(option: &str, words: &[String]) -> Outcome<Length> {
    let text = words.join(" ");
    // Nothing is nothing in every unit.
    if text.trim() == "0" {
        return Ok(mm(0.0));
    }
    let amount = amount(option, &text, Dimension::Length)?;
    amount.length().ok_or_else(|| wrong(option, say::length_needed()))
}

/// A length if one was given.
pub fn length_if(option: &str, words: &[String]) -> Outcome<Option<Length>> {
    if words.is_empty() { Ok(None) } else { length(option, words).map(Some) }
}

/// Splits a list; a unit that stands apart, or behind the last number, is that of all numbers before
/// it that have none.
pub fn split(words: &[String], bare_zero: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut open = 0;
    let text = words.join(" ");
    for word in text.replace(';', " ").split_whitespace() {
        let is_unit = !word.contains(|c: char| c.is_ascii_digit());
        let unit_at = word.find(|c: char| c.is_alphabetic() || "\"″%°".contains(c));
        let unit = if is_unit { Some(word) } else { unit_at.and_then(|at| word.get(at..)) };
        if !is_unit {
            found.push(word.to_owned());
        }
        if let Some(unit) = unit {
            let until = if is_unit { found.len() } else { found.len().saturating_sub(1) };
            for bare in found.iter_mut().take(until).skip(open) {
                // A fraction is one of an inch.
                if !bare.contains('/') {
                    *bare = format!("{bare} {unit}");
                }
            }
            open = found.len();
        }
    }
    for bare in &mut found {
        if bare == "0" {
            bare.push_str(bare_zero);
        }
    }
    found
}

/// Lengths, "1.6 1.6 1.8 mm" or "4/64 5/64".
pub fn lengths(option: &str, words: &[String]) -> Outcome<Vec<Length>> {
    split(words, " mm").iter().map(|one| length(option, std::slice::from_ref(one))).collect()
}

/// One value for all, or one for each.
pub fn for_each<T: Copy>(option: &str, values: &[T], count: usize) -> Outcome<Vec<T>> {
    match values {
        [one] => Ok(vec![*one; count]),
        several if several.len() == count => Ok(several.to_vec()),
        several => Err(wrong(option, say::one_or_each(several.len(), count))),
    }
}

/// Forces, "170 155 N".
pub fn forces(option: &str, words: &[String]) -> Outcome<Vec<Force>> {
    split(words, " N")
        .iter()
        .map(|one| amount(option, one, Dimension::Force).map(|a| Force::new::<newton>(a.number())))
        .collect()
}

/// One force.
pub fn force(option: &str, words: &[String]) -> Outcome<Force> {
    match forces(option, words)?.as_slice() {
        [one] => Ok(*one),
        several => Err(wrong(option, say::one_force(several.len()))),
    }
}
