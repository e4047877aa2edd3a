//! Names of tools, places and quantities, read back from the form in which they are shown.

use std::str::FromStr;

use thiserror::Error;

use crate::{
    Dimension, Fret, InstrumentFamily, Location, Quantity, ReadingError, Side, StringPlace, Tool,
    ToolKind, ValueError, parse_amount,
};

/// A text that names nothing of the kind that was wanted.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum NameError {
    /// Not of the form in which such things are named.
    #[error("{text:?} names no {what}; accepted: {accepted}")]
    Unknown {
        /// The text, shortened to forty characters.
        text: String,
        /// What was wanted.
        what: &'static str,
        /// What would be accepted.
        accepted: &'static str,
    },
    /// A number in it is out of its limits.
    #[error(transparent)]
    Value(#[from] ValueError),
    /// The graduation of a tool cannot be read.
    #[error("graduation: {0}")]
    Graduation(#[from] ReadingError),
}

const TOOLS: &str = "rule 1/64, rule 1/32, rule 0.5 mm, feeler 0.01 mm, feeler 1 thou, \
                     caliper 0.02 mm, dial 0.01 mm, tuner 1 cent, tuner 0.1 cent, or one of these \
                     kinds with another graduation";
const PLACES: &str = "the number of a string, 1 on the treble side; with a letter in a course, 3a";
const LOCATIONS: &str = "whole, the number of a string, bass side, treble side";
const QUANTITIES: &str = "gap open over 12, gap stopped at 1 over 24, relief 1 to 24, \
                          relief 1 to 24 at 8, fall-away 12 to 16 at 24, pitch, intonation at 12, spacing at bridge, \
                          spacing at nut, pickup 1 gap stopped at 24, bridge height at post, \
                          bridge height at tail";

fn unknown(text: &str, what: &'static str, accepted: &'static str) -> NameError {
    NameError::Unknown { text: text.chars().take(40).collect(), what, accepted }
}

/// The form in which tools are shown: `rule 1/64`, `feeler 1 thou`, `tuner 0.1 cent`.
///
/// ```
/// use fallaway_measure::Tool;
/// assert_eq!("rule 1/64".parse(), Ok(Tool::RULE_64));
/// assert_eq!("caliper 0.05 mm".parse::<Tool>()?.to_string(), "caliper 0.05 mm");
/// assert!("rule".parse::<Tool>().is_err());
/// # Ok::<(), fallaway_measure::NameError>(())
/// ```
impl FromStr for Tool {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        let fail = || unknown(text, "tool", TOOLS);
        let (kind, rest) = text.trim().split_once(' ').ok_or_else(fail)?;
        let (kind, rest) = match kind {
            "rule" => (ToolKind::SteelRule, rest),
            "feeler" => (ToolKind::Feeler, rest),
            "caliper" => (ToolKind::Caliper, rest),
            "dial" => (ToolKind::DialGauge, rest),
            "tuner" => (ToolKind::Tuner, rest),
            "tool" => {
                let (number, rest) = rest.split_once(' ').ok_or_else(fail)?;
                (ToolKind::from_number(whole(number).ok_or_else(fail)?), rest)
            }
            _ => return Err(fail()),
        };
        // A rule in 64ths.
        let divided = rest.strip_suffix("ths").or_else(|| rest.strip_suffix("nds"));
        let divided = divided.map(|digits| format!("1/{digits}"));
        let rest = divided.as_deref().unwrap_or(rest);
        let dimension = dimension_of(rest);
        let graduation = parse_amount(rest, None, dimension)?;
        Ok(Tool::new(kind, graduation)?)
    }
}

/// What a graduation measures, by the unit at its end; without a unit it is a length.
fn dimension_of(text: &str) -> Dimension {
    let units = [
        ("cent", Dimension::Interval),
        ("cents", Dimension::Interval),
        ("Hz", Dimension::Frequency),
        ("%", Dimension::Share),
        ("°C", Dimension::Temperature),
        ("°F", Dimension::Temperature),
        ("N", Dimension::Force),
        ("turn", Dimension::Rotation),
        ("°", Dimension::Rotation),
    ];
    if text.contains("unit") {
        return Dimension::Other;
    }
    units.iter().find(|(unit, _)| text.ends_with(unit)).map_or(Dimension::Length, |(_, d)| *d)
}

/// A whole number of plain digits.
fn whole<N: FromStr>(text: &str) -> Option<N> {
    let plain = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if plain { text.parse().ok() } else { None }
}

/// From its short form: `4`, or `3a` for a string of a course.
impl FromStr for StringPlace {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        let fail = || unknown(text, "string", PLACES);
        let trimmed = text.trim();
        let digits = trimmed.trim_end_matches(|c: char| c.is_ascii_lowercase());
        let mut letters = trimmed.chars().skip(digits.len());
        let member = letters.next();
        if letters.next().is_some() {
            return Err(fail());
        }
        // A number of any size gets the message with the limits.
        let course: u64 = whole(digits).ok_or_else(fail)?;
        Ok(StringPlace::new(u8::try_from(course).unwrap_or(u8::MAX), member)?)
    }
}

/// `bass side`, `treble side`; the word "side" may be left out.
impl FromStr for Side {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        match text.trim() {
            "bass" | "bass side" => Ok(Self::Bass),
            "treble" | "treble side" => Ok(Self::Treble),
            _ => Err(unknown(text, "side", "bass side, treble side")),
        }
    }
}

/// `whole`, a string, a side.
impl FromStr for Location {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        let trimmed = text.trim();
        if trimmed == "whole" {
            return Ok(Self::Whole);
        }
        if let Ok(side) = trimmed.parse() {
            return Ok(Self::Side(side));
        }
        if let Some(number) = trimmed.strip_prefix("location ").and_then(whole) {
            return Ok(Self::Other(number));
        }
        match trimmed.parse() {
            Ok(place) => Ok(Self::Course(place)),
            Err(error @ NameError::Value(_)) => Err(error),
            Err(_) => Err(unknown(text, "location", LOCATIONS)),
        }
    }
}

/// From its word: `bass`, `guitar`, `other`.
impl FromStr for InstrumentFamily {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        match text.trim() {
            "bass" => Ok(Self::Bass),
            "guitar" => Ok(Self::Guitar),
            "other" => Ok(Self::Other(0)),
            _ => Err(unknown(text, "family", "bass, guitar, other")),
        }
    }
}

/// A number from 0 to 36.
impl FromStr for Fret {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        let number: u64 = whole(text.trim())
            .ok_or_else(|| unknown(text, "fret", "a whole number, 0 for the nut"))?;
        Ok(Fret::new(u8::try_from(number).unwrap_or(u8::MAX))?)
    }
}

/// The form in which quantities are shown: `gap stopped at 1 over 24`, `relief 1 to 24`, `pitch`.
///
/// ```
/// use fallaway_measure::{Fret, Quantity};
/// let action: Quantity = "gap open over 12".parse()?;
/// assert_eq!(action, Quantity::Gap { stopped: Fret::OPEN, over: Fret::new(12)? });
/// # Ok::<(), fallaway_measure::NameError>(())
/// ```
impl FromStr for Quantity {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        let fail = || unknown(text, "quantity", QUANTITIES);
        // No quantity has more than six words; more are looked at only to be refused.
        let words: Vec<&str> = text.split(' ').filter(|word| !word.is_empty()).take(8).collect();
        Ok(match words.as_slice() {
            ["gap", "open", "over", over] => Self::Gap { stopped: Fret::OPEN, over: over.parse()? },
            ["gap", "stopped", "at", stopped, "over", over] => {
                Self::Gap { stopped: stopped.parse()?, over: over.parse()? }
            }
            ["relief", from, "to", to] => {
                Self::Relief { from: from.parse()?, to: to.parse()?, at: None }
            }
            ["relief", from, "to", to, "at", at] => {
                Self::Relief { from: from.parse()?, to: to.parse()?, at: Some(at.parse()?) }
            }
            ["fall-away", from, "to", to, "at", at] => {
                Self::FallAway { from: from.parse()?, to: to.parse()?, at: at.parse()? }
            }
            ["pitch"] => Self::Pitch,
            ["intonation", "at", fret] => Self::Intonation { fret: fret.parse()? },
            ["spacing", "at", "bridge"] => Self::SpacingBridge,
            ["spacing", "at", "nut"] => Self::SpacingNut,
            ["bridge", "height", "at", "post"] => Self::BridgeHeight,
            ["bridge", "height", "at", "tail"] => Self::BridgeTail,
            ["pickup", pickup, "gap", "open"] => {
                Self::PickupGap { pickup: whole(pickup).ok_or_else(fail)?, stopped: Fret::OPEN }
            }
            ["pickup", pickup, "gap", "stopped", "at", stopped] => Self::PickupGap {
                pickup: whole(pickup).ok_or_else(fail)?,
                stopped: stopped.parse()?,
            },
            ["quantity", number] => Self::Other(whole(number).ok_or_else(fail)?),
            _ => return Err(fail()),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refusals_name_what_is_accepted() {
        for (text, wanted) in [
            ("49", "1 to 48"),
            ("0", "1 to 48"),
            ("99999999999", "1 to 48"),
            ("3ab", "treble"),
            ("٣", "treble"),
            ("", "treble"),
            ("+4", "treble"),
        ] {
            let refused = text.parse::<StringPlace>().unwrap_err().to_string();
            assert!(refused.contains(wanted), "{text:?}: {refused}");
        }
        let refused = "gap open over 99".parse::<Quantity>().unwrap_err().to_string();
        assert!(refused.contains("0 to 36"), "{refused}");
        let refused = "yardstick".parse::<Tool>().unwrap_err().to_string();
        assert!(refused.contains("rule 1/64"), "{refused}");
        let refused = "rule 0 mm".parse::<Tool>().unwrap_err().to_string();
        assert!(refused.contains("greater than zero"), "{refused}");
        let refused = "rule 1/0".parse::<Tool>().unwrap_err().to_string();
        assert!(refused.contains("1/0 in"), "{refused}");
    }
}
