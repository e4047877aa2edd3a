//! What was adjusted, in the words of the hand: "rod 1/8 cw", "saddle 4 down 1/4 ccw",
//! "saddle 3 back 0.5 mm", "pickup 1 bass up 1/2 cw", "nut 5 filed".

use fallaway::measure::{Amount, Dimension, Side, StringPlace, parse_amount};
use fallaway::record::{AdjustedPart, Adjustment, InstrumentSpec};

use fallaway_text::{Phrase, Word, errors};

use super::places::{self, Strings};
use super::turns::{self, Count, Sense};
use crate::messages::parse::{self as say, adjust_accepted as accepted};
use crate::voice;

/// What a person can say was adjusted; the first word of the phrase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Rod,
    Saddle,
    Intonation,
    Nut,
    Post,
    Springs,
    Pickup,
    Pole,
    Neck,
    Frets,
    Bridge,
    Other,
}

/// Which way something went, as the eye saw it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Up,
    Down,
    /// The saddle away from the nut: a longer string.
    Back,
    /// The saddle toward the nut: a shorter string.
    Forward,
    /// Sideways toward one side.
    Toward(Side),
    /// A nut slot made deeper.
    Filed,
    /// A nut slot filled.
    Filled,
}

impl Way {
    const fn word(self) -> Word {
        Word(match self {
            Self::Up => "up",
            Self::Down => "down",
            Self::Back => "back",
            Self::Forward => "forward",
            Self::Toward(Side::Bass) => "bass",
            Self::Toward(Side::Treble) => "treble",
            Self::Filed => "filed",
            Self::Filled => "filled",
        })
    }

    /// Whether the record counts a move this way as below zero (see [`Adjustment::amount`]).
    const fn is_negative(self) -> bool {
        matches!(self, Self::Down | Self::Forward | Self::Toward(Side::Bass) | Self::Filed)
    }
}

/// What was adjusted, as it was said.
#[derive(Debug, Clone, PartialEq)]
pub struct Adjusted {
    /// What goes into the record.
    pub adjustments: Vec<Adjustment>,
    /// Whether the eye saw it go up or back, if it was said which way.
    pub more: Option<bool>,
}

/// Reads a phrase. `courses` are the strings that "all" means.
///
/// # Errors
/// For a word that means nothing here, or a phrase that leaves open what was done; the text says
/// what would be accepted.
pub fn adjustments(
    phrase: &[String],
    note: Option<&str>,
    courses: &[StringPlace],
) -> Result<Adjusted, Phrase> {
    let text = phrase.join(" ").to_lowercase();
    let words: Vec<&str> = text.split_whitespace().collect();
    let Some((first, rest)) = words.split_first() else { return Err(accepted()) };
    let part = part(first).ok_or_else(|| say::not_adjustable(first, accepted()))?;
    let details = Details::read(part, rest)?;
    let more = details.way.map(|way| !way.is_negative());
    Ok(Adjusted { adjustments: details.adjustments(part, note, courses)?, more })
}

/// The words with strings by their numbers where they stand for their notes.
///
/// # Errors
/// As [`places::numbered`].
pub fn with_numbers(words: &[String], spec: &InstrumentSpec) -> Result<Vec<String>, Phrase> {
    // A string is shown as "4 (E)".
    let is_label = |word: &str| word.starts_with('(') && word.ends_with(')');
    let words = words.iter().flat_map(|word| word.split_whitespace());
    let mut words: Vec<String> = words.filter(|word| !is_label(word)).map(str::to_owned).collect();
    // As the plan says it: the bass post.
    if let [side, post, ..] = words.as_mut_slice()
        && self::side(&side.to_lowercase()).is_some()
        && part(&post.to_lowercase()) == Some(Part::Post)
    {
        std::mem::swap(side, post);
    }
    let first = words.first().and_then(|word| part(&word.to_lowercase()));
    if first == Some(Part::Pole)
        && spec.pickups == Some(1)
        && !words.iter().any(|word| is_pickup(&word.to_lowercase()))
    {
        words.extend(["pickup".to_owned(), "1".to_owned()]);
    }
    if !matches!(first, Some(Part::Saddle | Part::Nut | Part::Intonation | Part::Pole)) {
        return Ok(words);
    }
    let named = words.iter().enumerate().map(|(at, word)| match at {
        0 => Ok(word.clone()),
        _ => places::numbered(word, spec),
    });
    named.collect()
}

fn is_pickup(word: &str) -> bool {
    part(word) == Some(Part::Pickup)
}

fn part(word: &str) -> Option<Part> {
    Some(match word {
        "rod" | "truss" | "trussrod" | "truss-rod" => Part::Rod,
        "saddle" | "saddles" => Part::Saddle,
        "nut" | "slot" | "slots" => Part::Nut,
        "post" | "posts" => Part::Post,
        "intonation" => Part::Intonation,
        "spring" | "springs" | "claw" => Part::Springs,
        "pickup" | "pickups" => Part::Pickup,
        "pole" | "poles" | "polepiece" | "pole-piece" => Part::Pole,
        "neck" | "joint" | "shim" => Part::Neck,
        "fret" | "frets" => Part::Frets,
        "bridge" => Part::Bridge,
        "other" => Part::Other,
        _ => return None,
    })
}

/// The rest of the phrase, sorted.
#[derive(Default)]
struct Details {
    strings: Option<Strings>,
    pickup: Option<u8>,
    side: Option<Side>,
    way: Option<Way>,
    count: Option<Count>,
    sense: Option<Sense>,
    amount: Option<Amount>,
}

impl Details {
    fn read(part: Part, words: &[&str]) -> Result<Self, Phrase> {
        let mut found = Self::default();
        let mut rest = words;
        while let Some((word, after)) = rest.split_first() {
            rest = after;
            if matches!(
                *word,
                "a" | "an"
                    | "of"
                    | "the"
                    | "by"
                    | "to"
                    | "toward"
                    | "turn"
                    | "turns"
                    | "string"
                    | "strings"
                    | "height"
                    | "rod"
                    | "side"
                    | "screw"
                    | "claw"
            ) {
                continue;
            }
            if part == Part::Neck && *word == "shim" || part == Part::Pole && *word == "piece" {
                continue;
            }
            if part == Part::Pole
                && is_pickup(word)
                && let Some(number) = rest.first().and_then(|number| number.parse::<u8>().ok())
            {
                once(&mut found.pickup, number, word)?;
                rest = rest.get(1..).unwrap_or_default();
                continue;
            }
            let has_strings =
                matches!(part, Part::Saddle | Part::Nut | Part::Intonation | Part::Pole);
            if has_strings
                && found.strings.is_none()
                && let Some(strings) = places::strings(word)?
            {
                found.strings = Some(strings);
            } else if part == Part::Pickup
                && found.pickup.is_none()
                && let Ok(number) = word.parse::<u8>()
            {
                found.pickup = Some(number);
            } else if let Some(sense) = turns::sense(word)? {
                once(&mut found.sense, sense, word)?;
            } else if let Some((amount, taken)) = length(word, rest) {
                once(&mut found.amount, amount, word)?;
                rest = rest.get(taken..).unwrap_or_default();
            } else if let Some((count, taken)) = turns::take(&[&[*word], rest].concat())? {
                once(&mut found.count, count, word)?;
                rest = rest.get(taken - 1..).unwrap_or_default();
            } else if let Some(side) = side(word)
                && matches!(part, Part::Post | Part::Pickup)
            {
                once(&mut found.side, side, word)?;
            } else if let Some(way) = way(word) {
                once(&mut found.way, way, word)?;
            } else {
                return Err(say::no_detail(word, accepted()));
            }
        }
        Ok(found)
    }

    fn adjustments(
        self,
        part: Part,
        note: Option<&str>,
        courses: &[StringPlace],
    ) -> Result<Vec<Adjustment>, Phrase> {
        let turns = match (self.count, self.sense) {
            (Some(count), Some(sense)) => Some(count.turned(sense)?),
            (None, Some(sense)) => {
                let clockwise = sense == Sense::Clockwise;
                return Err(say::how_far(Word(if clockwise { "cw" } else { "ccw" })));
            }
            _ => None,
        };
        // Turns of which nobody noted the sense say nothing to the record's arithmetic; they are
        // kept as the words they are.
        let unsensed = self.count.filter(|_| self.sense.is_none());
        if let (Some(count), Part::Rod | Part::Springs) = (unsensed, part) {
            return Err(say::which_sense(count.phrase()));
        }
        let amount = match (self.amount, self.way) {
            (Some(_), None)
                if !matches!(part, Part::Neck | Part::Other | Part::Bridge | Part::Frets) =>
            {
                return Err(say::which_way());
            }
            (Some(amount), Some(way)) if way.is_negative() => Some(negative(amount)?),
            (amount, _) => amount,
        };
        let mut said: Vec<String> = Vec::new();
        // Of a pole piece the eye sees the way, and nobody looks which way the screw went.
        let by_eye = unsensed.filter(|_| part == Part::Pole && amount.is_none()).zip(self.way);
        if let Some((count, way)) = by_eye {
            said.push(voice::say(&say::went_by(way.word(), count.phrase())));
        } else if amount.is_none()
            && let Some(way) = self.way
        {
            said.push(voice::say(&say::went(way.word())));
        }
        if let (Some(count), None) = (unsensed, by_eye) {
            said.push(voice::say(&say::sense_not_noted(count.phrase())));
        }
        let mut text = said.join(" ");
        if let Some(note) = note.map(str::trim).filter(|note| !note.is_empty()) {
            text = if text.is_empty() {
                note.to_owned()
            } else {
                voice::say(&say::noted(text.into(), note))
            };
        }
        let whats = self.whats(part, courses)?;
        let note = (!text.is_empty()).then_some(text);
        if note.is_none() && turns.is_none() && amount.is_none() {
            let needs_more = !matches!(part, Part::Frets);
            if needs_more {
                return Err(say::what_done(accepted()));
            }
        }
        Ok(whats
            .into_iter()
            .map(|what| Adjustment { what, turns, amount, note: note.clone() })
            .collect())
    }

    fn whats(&self, part: Part, courses: &[StringPlace]) -> Result<Vec<AdjustedPart>, Phrase> {
        let strings = || match &self.strings {
            Some(Strings::All) => Ok(courses.to_vec()),
            Some(Strings::These(places)) => Ok(places.clone()),
            None => Err(say::which_string(accepted())),
        };
        Ok(match part {
            Part::Rod => vec![AdjustedPart::Rod],
            Part::Springs => vec![AdjustedPart::Springs],
            Part::Neck => vec![AdjustedPart::Neck],
            Part::Frets => vec![AdjustedPart::Frets],
            Part::Bridge => vec![AdjustedPart::Bridge],
            Part::Other => vec![AdjustedPart::Elsewhere],
            Part::Post => match self.side {
                Some(side) => vec![AdjustedPart::BridgePost(side)],
                None => vec![
                    AdjustedPart::BridgePost(Side::Bass),
                    AdjustedPart::BridgePost(Side::Treble),
                ],
            },
            Part::Pickup => match self.pickup {
                Some(pickup) => vec![AdjustedPart::Pickup { pickup, side: self.side }],
                None => {
                    return Err(say::which_pickup());
                }
            },
            Part::Pole => {
                let Some(pickup) = self.pickup else { return Err(say::which_pickup_pole()) };
                let pole = |place| AdjustedPart::Pole { pickup, place };
                strings()?.into_iter().map(pole).collect()
            }
            Part::Nut if self.strings.is_none() => vec![AdjustedPart::Nut],
            Part::Nut => strings()?.into_iter().map(AdjustedPart::NutSlot).collect(),
            Part::Intonation => strings()?.into_iter().map(AdjustedPart::SaddlePosition).collect(),
            Part::Saddle => {
                let adjusted: fn(StringPlace) -> AdjustedPart = match self.way {
                    Some(Way::Back | Way::Forward) => AdjustedPart::SaddlePosition,
                    Some(Way::Toward(_)) => AdjustedPart::SaddleSideways,
                    _ => AdjustedPart::SaddleHeight,
                };
                strings()?.into_iter().map(adjusted).collect()
            }
        })
    }
}

fn once<T>(slot: &mut Option<T>, value: T, word: &str) -> Result<(), Phrase> {
    match slot.replace(value) {
        None => Ok(()),
        Some(_) => Err(say::twice(word)),
    }
}

fn side(word: &str) -> Option<Side> {
    match word {
        "bass" => Some(Side::Bass),
        "treble" => Some(Side::Treble),
        _ => None,
    }
}

fn way(word: &str) -> Option<Way> {
    Some(match word {
        "up" | "raise" | "raised" | "higher" => Way::Up,
        "down" | "lower" | "lowered" => Way::Down,
        "back" | "backward" | "backwards" | "away" => Way::Back,
        "forward" | "forwards" => Way::Forward,
        "filed" | "deeper" | "cut" => Way::Filed,
        "filled" => Way::Filled,
        _ => return side(word).map(Way::Toward),
    })
}

/// A length with its unit, in one word or two; how many words of `after` it took.
fn length(word: &str, after: &[&str]) -> Option<(Amount, usize)> {
    if !word.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
        return None;
    }
    let unit = after.first().filter(|w| matches!(**w, "mm" | "in" | "inch" | "thou" | "\""));
    let (text, taken) = match unit {
        Some(unit) => (format!("{word} {unit}"), 1),
        None if word.ends_with(|c: char| c.is_ascii_digit() || c == '.') => return None,
        None => (word.to_owned(), 0),
    };
    let amount = parse_amount(&text, None, Dimension::Length).ok()?;
    Some((amount, taken))
}

fn negative(amount: Amount) -> Result<Amount, Phrase> {
    parse_amount(&format!("-{amount}"), None, Dimension::Length)
        .map_err(|error| errors::reading(&error))
}

#[cfg(test)]
mod tests {
    use fallaway::record::Turns;

    use super::*;

    fn courses() -> Vec<StringPlace> {
        (1..=5).map(|course| StringPlace::course(course).unwrap()).collect()
    }

    fn read(text: &str) -> Result<Vec<Adjustment>, Phrase> {
        adjustments(&[text.to_owned()], None, &courses()).map(|read| read.adjustments)
    }

    fn one(text: &str) -> Adjustment {
        let mut all = read(text).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert_eq!(all.len(), 1, "{text}");
        all.remove(0)
    }

    #[test]
    fn the_rod() {
        for text in ["rod 1/8 cw", "rod an eighth clockwise", "truss rod 1/8 turn cw"] {
            let found = one(text);
            assert_eq!(found.what, AdjustedPart::Rod, "{text}");
            assert_eq!(found.turns.map(Turns::value), Some(0.125), "{text}");
            assert_eq!(found.note, None, "{text}");
        }
        assert!(read("rod 1/8").unwrap_err().to_string().contains("cw"));
        assert!(read("rod cw").unwrap_err().to_string().contains("how far"));
        assert!(read("rod tighten 1/8").unwrap_err().to_string().contains("clockwise"));
    }

    #[test]
    fn saddles() {
        let found = one("saddle 4 down 1/4 ccw");
        assert_eq!(found.what, AdjustedPart::SaddleHeight(StringPlace::course(4).unwrap()));
        assert_eq!(found.turns.map(Turns::value), Some(-0.25));
        assert_eq!(found.note.as_deref(), Some("down"));

        let found = one("saddle 4 down 1/4");
        assert_eq!(found.turns, None);
        assert_eq!(found.note.as_deref(), Some("down 1/4 turn, cw or ccw not noted"));

        let found = one("saddle 3 back 0.5 mm");
        assert_eq!(found.what, AdjustedPart::SaddlePosition(StringPlace::course(3).unwrap()));
        assert_eq!(found.amount.map(|a| a.to_string()).as_deref(), Some("0.5 mm"));
        let found = one("saddle 3 down 0.2mm");
        assert_eq!(found.amount.map(|a| a.to_string()).as_deref(), Some("-0.2 mm"));
        let found = one("saddle 2 toward bass 1/64 in");
        assert_eq!(found.what, AdjustedPart::SaddleSideways(StringPlace::course(2).unwrap()));

        assert_eq!(read("saddles all up 1/8 cw").unwrap().len(), 5);
        assert_eq!(read("saddles 1,3-5 up 1 1/2 turns cw").unwrap().len(), 4);
        assert!(read("saddle down 1/4").unwrap_err().to_string().contains("which string"));
        assert!(read("saddle 4").unwrap_err().to_string().contains("what was done"));
        assert!(read("saddle 4 up down 1/4").unwrap_err().to_string().contains("twice"));
    }

    #[test]
    fn other_parts() {
        assert_eq!(one("nut 5 filed").what, AdjustedPart::NutSlot(StringPlace::course(5).unwrap()));
        let found = one("pickup 1 bass up 1/2 cw");
        assert_eq!(found.what, AdjustedPart::Pickup { pickup: 1, side: Some(Side::Bass) });
        let found = one("pole 3 1/4 up pickup 2");
        let place = StringPlace::course(3).unwrap();
        assert_eq!(found.what, AdjustedPart::Pole { pickup: 2, place });
        assert_eq!((found.turns, found.note.as_deref()), (None, Some("up by 1/4 turn")));
        let found = one("pole piece 3 of pickup 1 1/8 ccw");
        assert_eq!(found.turns.map(Turns::value), Some(-0.125));
        assert!(read("pole 3 1/4 up").unwrap_err().to_string().contains("which pickup"));
        assert_eq!(one("post treble down 1/4 ccw").what, AdjustedPart::BridgePost(Side::Treble));
        assert_eq!(one("frets").what, AdjustedPart::Frets);
        assert_eq!(one("neck shim 0.5 mm").what, AdjustedPart::Neck);
    }

    #[test]
    fn nonsense_is_named_with_what_would_be_accepted() {
        let refusal = read("flux capacitor 3").unwrap_err().to_string();
        assert!(refusal.contains("flux") && refusal.contains("rod 1/8 cw"), "{refusal}");
        assert!(read("saddle 4 downish 1/4").unwrap_err().to_string().contains("downish"));
        assert!(read("saddle 4 down 1/7").unwrap_err().to_string().contains("eighths"));
        assert!(read("").is_err());
    }
}
