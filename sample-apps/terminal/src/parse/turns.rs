//! Turns of a screw or nut: "1/8", "a quarter turn clockwise", "1 1/2 turns ccw", "45°".

use fallaway::record::Turns;
use fallaway_text::{Phrase, Word};

use crate::messages::parse as say;

/// Which way a screw or nut was turned, as seen from the tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sense {
    /// Clockwise.
    Clockwise,
    /// Anticlockwise.
    Anticlockwise,
}

/// The sense that a word names.
///
/// # Errors
/// For words that mean another sense on another screw.
pub fn sense(word: &str) -> Result<Option<Sense>, Phrase> {
    Ok(Some(match word {
        "cw" | "clockwise" => Sense::Clockwise,
        "ccw" | "acw" | "anticlockwise" | "anti-clockwise" | "counterclockwise"
        | "counter-clockwise" => Sense::Anticlockwise,
        "tighten" | "tightened" | "tighter" | "loosen" | "loosened" | "looser" | "left"
        | "right" => {
            return Err(say::tighten(word));
        }
        _ => return Ok(None),
    }))
}

/// Some turns, without a sense: an exact ratio of whole numbers, above zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Count {
    top: u32,
    bottom: u32,
}

/// More turns than a person makes in one go.
const MOST: u32 = 40;

impl Count {
    /// `top/bottom` turns.
    ///
    /// # Errors
    /// For zero, for more than 40 turns.
    pub fn new(top: u32, bottom: u32) -> Result<Self, Phrase> {
        if top == 0 || bottom == 0 {
            return Err(say::no_turn());
        }
        if u64::from(top) > u64::from(MOST) * u64::from(bottom) {
            return Err(say::many_turns(MOST));
        }
        let common = divisor(top, bottom);
        Ok(Self { top: top / common, bottom: bottom / common })
    }

    /// "1/8 turn", "1 1/2 turns".
    pub fn phrase(self) -> Phrase {
        let Self { top, bottom } = self;
        match (top, bottom) {
            (1, 1) => say::turns("1".to_owned(), Word("one")),
            (top, 1) => say::turns(top.to_string(), Word("many")),
            _ if top > bottom => {
                say::turns(format!("{} {}/{bottom}", top / bottom, top % bottom), Word("many"))
            }
            _ => say::turns(format!("{top}/{bottom}"), Word("part")),
        }
    }

    /// The turns as the record keeps them.
    ///
    /// # Errors
    /// For a part of a turn that has no exact decimal.
    pub fn turned(self, sense: Sense) -> Result<Turns, Phrase> {
        // Thirty-seconds and every smaller number of places are whole hundred-thousandths.
        let scaled = u64::from(self.top) * 100_000;
        let bottom = u64::from(self.bottom);
        let exact = (scaled % bottom == 0).then_some(scaled / bottom);
        let sign = if sense == Sense::Clockwise { "" } else { "-" };
        exact
            .and_then(|n| format!("{sign}{}.{:05}", n / 100_000, n % 100_000).parse().ok())
            .ok_or_else(|| say::inexact_turns(self.phrase()))
    }
}

/// Takes turns from the front of `words`: the turns and how many words they took. None if the
/// first word is no number of turns.
///
/// # Errors
/// For a number that cannot be turns.
pub fn take(words: &[&str]) -> Result<Option<(Count, usize)>, Phrase> {
    let Some(first) = words.first() else { return Ok(None) };
    let second = words.get(1).copied();
    if let Some(degrees) = first.strip_suffix('°').or_else(|| first.strip_suffix("deg")) {
        let degrees: u32 = degrees.parse().map_err(|_| say::not_angle(first))?;
        return Ok(Some((Count::new(degrees, 360)?, 1)));
    }
    if let (Ok(degrees), Some("deg" | "degrees" | "°")) = (first.parse::<u32>(), second) {
        return Ok(Some((Count::new(degrees, 360)?, 2)));
    }
    if let Some((top, bottom)) = fraction(first)? {
        return Ok(Some((Count::new(top, bottom)?, 1)));
    }
    if let Some((top, bottom)) = decimal(first) {
        // "1 1/2": a whole number and a part.
        if bottom == 1
            && let Some(part) = second.map(fraction).transpose()?.flatten()
            && part.0 < part.1
            && top <= MOST
        {
            return Ok(Some((Count::new(top * part.1 + part.0, part.1)?, 2)));
        }
        return Ok(Some((Count::new(top, bottom)?, 1)));
    }
    if let Some(count) = counted(first) {
        if let Some(bottom) = second.and_then(part) {
            return Ok(Some((Count::new(count, bottom)?, 2)));
        }
        return Ok(Some((Count::new(count, 1)?, 1)));
    }
    if let Some((count, bottom)) =
        first.split_once('-').and_then(|(c, p)| Some((counted(c)?, part(p)?)))
    {
        return Ok(Some((Count::new(count, bottom)?, 1)));
    }
    match part(first) {
        Some(bottom) => Ok(Some((Count::new(1, bottom)?, 1))),
        None => Ok(None),
    }
}

fn divisor(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { divisor(b, a % b) }
}

fn fraction(word: &str) -> Result<Option<(u32, u32)>, Phrase> {
    let word = match word {
        "½" => "1/2",
        "¼" => "1/4",
        "¾" => "3/4",
        "⅛" => "1/8",
        "⅜" => "3/8",
        other => other,
    };
    let Some((top, bottom)) = word.split_once('/') else { return Ok(None) };
    let (Ok(top), Ok(bottom)) = (top.parse::<u32>(), bottom.parse::<u32>()) else {
        return Ok(None);
    };
    if !matches!(bottom, 2 | 4 | 8 | 16 | 32) {
        return Err(say::parts_of_turn(word));
    }
    if top > MOST * bottom {
        return Err(say::many_turns(MOST));
    }
    Ok(Some((top, bottom)))
}

fn decimal(word: &str) -> Option<(u32, u32)> {
    let (whole, places) = match word.split_once(['.', ',']) {
        Some((whole, places)) => (whole, places),
        None => (word, ""),
    };
    let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit());
    if whole.len() + places.len() == 0
        || whole.len() > 4
        || places.len() > 3
        || !digits(whole)
        || !digits(places)
    {
        return None;
    }
    let bottom = 10_u32.pow(places.len() as u32);
    let whole: u32 = if whole.is_empty() { 0 } else { whole.parse().ok()? };
    let places: u32 = if places.is_empty() { 0 } else { places.parse().ok()? };
    Some((whole * bottom + places, bottom))
}

fn counted(word: &str) -> Option<u32> {
    Some(match word {
        "one" => 1,
        "two" => 2,
        "three" => 3,
        "four" => 4,
        _ => return None,
    })
}

fn part(word: &str) -> Option<u32> {
    Some(match word {
        "half" | "halves" => 2,
        "quarter" | "quarters" => 4,
        "eighth" | "eighths" => 8,
        "sixteenth" | "sixteenths" => 16,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn taken(text: &str) -> Result<Option<(Count, usize)>, Phrase> {
        take(&text.split(' ').collect::<Vec<_>>())
    }

    #[test]
    fn the_ways_in_which_people_say_turns() {
        for (text, top, bottom, words) in [
            ("1/8", 1, 8, 1),
            ("quarter turn", 1, 4, 1),
            ("three quarters", 3, 4, 2),
            ("three-quarters", 3, 4, 1),
            ("1 1/2 turns", 3, 2, 2),
            ("0.25", 1, 4, 1),
            (".5", 1, 2, 1),
            ("0,5", 1, 2, 1),
            ("2 cw", 2, 1, 1),
            ("45°", 1, 8, 1),
            ("90 degrees", 1, 4, 2),
            ("⅛", 1, 8, 1),
            ("two turns", 2, 1, 1),
        ] {
            let wanted = (Count::new(top, bottom).unwrap(), words);
            assert_eq!(taken(text), Ok(Some(wanted)), "{text}");
        }
        assert_eq!(taken("down"), Ok(None));
    }

    #[test]
    fn what_cannot_be_turns_is_refused_with_what_would_be_accepted() {
        assert!(taken("0").unwrap_err().to_string().contains("1/8"));
        assert!(taken("1/7").unwrap_err().to_string().contains("eighths"));
        assert!(taken("99").unwrap_err().to_string().contains("40"));
        assert!(taken("4000000000/2").unwrap_err().to_string().contains("40"));
    }

    #[test]
    fn tightening_is_not_a_direction() {
        assert!(sense("tighten").unwrap_err().to_string().contains("clockwise"));
        assert_eq!(sense("ccw"), Ok(Some(Sense::Anticlockwise)));
    }

    #[test]
    fn kept_exactly_and_with_their_sense() {
        let kept = |top, bottom, sense| Count::new(top, bottom).unwrap().turned(sense);
        assert_eq!(kept(1, 8, Sense::Clockwise).unwrap().value(), 0.125);
        assert_eq!(kept(12, 8, Sense::Anticlockwise).unwrap().value(), -1.5);
        assert_eq!(kept(1, 32, Sense::Clockwise).unwrap().value(), 0.03125);
        assert!(kept(10, 360, Sense::Clockwise).is_err());
        assert_eq!(Count::new(12, 8).unwrap().phrase().to_string(), "1 1/2 turns");
    }
}
