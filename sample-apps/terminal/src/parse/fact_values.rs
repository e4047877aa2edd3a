//! Values of facts, in the words that set them: read and shown by type.

use std::fmt::Display;

use fallaway::measure::{
    Amount, Dimension, Fret, InstrumentFamily, Reading, StringPlace, parse_amount, parse_pass,
};
use fallaway::mechanics::screws::Thread;
use fallaway::mechanics::units::as_mm;
use fallaway::record::spec::{
    BoardCurve, BridgeSpec, Clockwise, Fact, FactValue, Handedness, HeightBy, InstrumentSpec,
    IntonationBy, JointFretSpec, NeckJoint, NutKind, RodAccess, RodKind, RodSpec, ScaleLength,
    StringConstruction, Stringing, ThreadSpec,
};
use fallaway_text::{Phrase, errors};

use super::places::{self, Strings};
use crate::messages::parse as say;
use crate::voice;

/// A value that is read from words; `spec` is what is known of the instrument.
pub(super) trait ReadFact: Sized {
    fn read(value: &str, fact: Fact, spec: &InstrumentSpec) -> Result<Self, Phrase>;
}

impl ReadFact for String {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        Ok(value.to_owned())
    }
}

impl ReadFact for Amount {
    fn read(value: &str, fact: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        parse_amount(value, None, fact.dimension().unwrap_or(Dimension::Length))
            .map_err(|error| errors::reading(&error))
    }
}

impl ReadFact for u8 {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        number(value)
    }
}

impl ReadFact for bool {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        match value {
            "yes" => Ok(true),
            "no" => Ok(false),
            other => Err(say::not_this(other)),
        }
    }
}

impl ReadFact for Vec<StringPlace> {
    fn read(value: &str, _: Fact, spec: &InstrumentSpec) -> Result<Self, Phrase> {
        match places::strings(&places::numbered(value, spec)?)? {
            Some(Strings::These(places)) => Ok(places),
            Some(Strings::All) => Ok(spec.places()),
            None => Err(say::not_strings(value)),
        }
    }
}

impl ReadFact for Vec<u8> {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        value.split_whitespace().map(number).collect()
    }
}

impl ReadFact for InstrumentFamily {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        value.parse().map_err(|error| errors::name(&error).without_field())
    }
}

impl ReadFact for ScaleLength {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        match lengths(value)?.as_slice() {
            [one] => Ok(Self::Same(*one)),
            // Nobody fans a board the other way: the longer one is the lowest string's.
            [one, other] => {
                let mm = |length: &Amount| length.length().map(as_mm);
                let (bass, treble) = if mm(one) < mm(other) { (other, one) } else { (one, other) };
                Ok(Self::Fanned { bass: *bass, treble: *treble })
            }
            other => Err(say::lengths_given(other.len())),
        }
    }
}

impl ReadFact for JointFretSpec {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        let (fret, by) = match value.split_once(['±', '+']) {
            Some((fret, by)) => (fret, Some(number(by.trim_start_matches('-').trim())?)),
            None => (value, None),
        };
        let fret = Fret::new(number(fret.trim())?).map_err(|error| errors::value(&error))?;
        let usual = Self::usual(fret);
        Ok(Self { uncertain_by: by.unwrap_or(usual.uncertain_by), ..usual })
    }
}

impl ReadFact for BoardCurve {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        if value == "flat" {
            return Ok(Self::Flat);
        }
        match lengths(value)?.as_slice() {
            [radius] => Ok(Self::Cylinder(*radius)),
            [nut, last_fret] => Ok(Self::Compound { nut: *nut, last_fret: *last_fret }),
            other => Err(say::lengths_given(other.len())),
        }
    }
}

/// Choices are read by the words that describe them.
macro_rules! choices {
    ($( $Choice:ty ),+) => {
        $( impl ReadFact for $Choice {
            fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
                choice(value, Self::KNOWN)
            }
        } )+
    };
}

choices!(NutKind, NeckJoint, Handedness, Stringing, StringConstruction);

impl ReadFact for BridgeSpec {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        let mut words: Vec<&str> = value.split_whitespace().collect();
        let before = words.len();
        words.retain(|word| *word != "floating");
        let floating = words.len() < before;
        // Saddles of their own, and posts under all of them: the last word says so.
        let posts = words.len() > 1 && words.last() == Some(&"posts");
        if posts {
            words.pop();
        }
        let height = match words.as_slice() {
            ["own"] => HeightBy::OwnSaddles { screws: 2 },
            ["own", screws] => HeightBy::OwnSaddles { screws: number(screws)? },
            ["posts"] => HeightBy::TwoPosts,
            ["fixed"] => HeightBy::Fixed,
            ["shared", groups @ ..] if !groups.is_empty() => HeightBy::SharedSaddles(
                groups
                    .iter()
                    .map(|group| match places::strings(group)? {
                        Some(Strings::These(places)) => Ok(places),
                        _ => Err(say::not_strings(group)),
                    })
                    .collect::<Result<_, Phrase>>()?,
            ),
            _ => return Err(say::not_this(value)),
        };
        let intonation = match &height {
            HeightBy::SharedSaddles(_) => Some(IntonationBy::SharedSaddles),
            HeightBy::Fixed => Some(IntonationBy::Fixed),
            _ => Some(IntonationBy::OwnSaddles),
        };
        Ok(Self { height, floating, intonation, sideways: None, posts: posts.then_some(true) })
    }
}

impl ReadFact for RodSpec {
    fn read(value: &str, _: Fact, _: &InstrumentSpec) -> Result<Self, Phrase> {
        let (kind, access) = match value.split_once(' ') {
            Some((kind, access)) => (kind, Some(access)),
            None => (value, None),
        };
        let access = match access {
            None => None,
            Some("head" | "at the head") => Some(RodAccess::Head),
            Some("heel" | "at the heel") => Some(RodAccess::Heel),
            Some(other) => return Err(say::not_this(other)),
        };
        Ok(Self { kind: choice(kind, RodKind::KNOWN)?, access })
    }
}

/// A value in the words that set it; of frets how many, of a string its gauge, of a screw its key.
pub(super) fn shown(value: FactValue<'_>) -> String {
    let places = |places: &[StringPlace]| {
        places.iter().map(StringPlace::to_string).collect::<Vec<_>>().join(",")
    };
    match value {
        FactValue::Text(text) => text.clone(),
        FactValue::Amount(amount) => amount.to_string(),
        FactValue::Count(count) => count.to_string(),
        FactValue::YesNo(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        FactValue::Places(strings) => places(strings),
        FactValue::Family(family) => family.to_string(),
        FactValue::Courses(courses) => {
            courses.iter().map(u8::to_string).collect::<Vec<_>>().join(" ")
        }
        FactValue::Note(note) => note.to_string(),
        FactValue::String(string) => {
            string.gauge.map(|gauge| gauge.to_string()).unwrap_or_default()
        }
        FactValue::Scale(ScaleLength::Same(length)) => length.to_string(),
        FactValue::Scale(ScaleLength::Fanned { bass, treble }) => format!("{bass} {treble}"),
        FactValue::Scale(ScaleLength::Each(strings)) => {
            let each = strings.iter().map(|(place, length)| format!("{place}={length}"));
            each.collect::<Vec<_>>().join(" ")
        }
        FactValue::Frets(frets) => frets.count.to_string(),
        FactValue::JointFret(joint) => format!("{} ± {}", joint.fret, joint.uncertain_by),
        FactValue::Board(BoardCurve::Flat) => "flat".to_owned(),
        FactValue::Board(BoardCurve::Cylinder(radius)) => radius.to_string(),
        FactValue::Board(BoardCurve::Compound { nut, last_fret }) => format!("{nut} {last_fret}"),
        FactValue::Nut(kind) => kind.to_string(),
        FactValue::Bridge(bridge) => {
            let height = match &bridge.height {
                HeightBy::OwnSaddles { screws } => format!("own {screws}"),
                HeightBy::SharedSaddles(saddles) => {
                    let groups = saddles.iter().map(|saddle| places(saddle));
                    format!("shared {}", groups.collect::<Vec<_>>().join(" "))
                }
                HeightBy::TwoPosts => "posts".to_owned(),
                HeightBy::Fixed => "fixed".to_owned(),
            };
            let posts = if bridge.posts == Some(true) { " posts" } else { "" };
            let floating = if bridge.floating { " floating" } else { "" };
            format!("{height}{posts}{floating}")
        }
        FactValue::Screw(screw) => screw.key.clone().unwrap_or_default(),
        FactValue::Rod(rod) => match rod.access {
            Some(access) => format!("{}, {access}", rod.kind),
            None => rod.kind.to_string(),
        },
        FactValue::NeckJoint(joint) => joint.to_string(),
        FactValue::Handedness(hand) => hand.to_string(),
        FactValue::Stringing(order) => order.to_string(),
    }
}

pub(super) fn number(value: &str) -> Result<u8, Phrase> {
    value.parse().map_err(|_| say::not_whole(value))
}

pub(super) fn length(value: &str) -> Result<Amount, Phrase> {
    parse_amount(value, None, Dimension::Length).map_err(|error| errors::reading(&error))
}

/// Up to two lengths: `34 in`, `35 in 33 in`, `35 33 in`.
fn lengths(value: &str) -> Result<Vec<Amount>, Phrase> {
    if let Ok(one) = parse_amount(value, None, Dimension::Length) {
        return Ok(vec![one]);
    }
    amounts(value, 2).or_else(|_| length(value).map(|one| vec![one]))
}

pub(super) fn amounts(value: &str, count: usize) -> Result<Vec<Amount>, Phrase> {
    let read = parse_pass(value, None, Dimension::Length, count, None)
        .map_err(|error| errors::pass(&error))?;
    read.into_iter()
        .map(|reading| match reading {
            Some(Reading::Value(amount)) => Ok(amount),
            _ => Err(say::not_lengths(value, count)),
        })
        .collect()
}

/// One value for each string, in the person's order, or `5=A0` for some.
pub(super) fn each<T>(
    value: &str,
    spec: &InstrumentSpec,
    read: impl Fn(&str) -> Result<T, Phrase>,
) -> Result<Vec<(StringPlace, T)>, Phrase> {
    let words: Vec<&str> = value.split_whitespace().collect();
    if words.iter().any(|word| word.contains('=')) {
        return words
            .into_iter()
            .map(|word| {
                let (place, value) =
                    word.split_once('=').ok_or_else(|| say::no_string_named(word))?;
                Ok((places::string(place)?, read(value)?))
            })
            .collect();
    }
    let all = spec.places();
    if all.len() != words.len() {
        return Err(say::count_of_strings(words.len(), all.len()));
    }
    voice::in_order(all)
        .into_iter()
        .zip(words)
        .map(|(place, word)| Ok((place, read(word)?)))
        .collect()
}

/// The member whose description begins with the word.
pub(super) fn choice<T: Copy + Display>(word: &str, known: &[T]) -> Result<T, Phrase> {
    let wanted = word.to_lowercase();
    known
        .iter()
        .copied()
        .find(|member| {
            let shown = member.to_string();
            shown == wanted
                || shown.split([' ', '-']).next() == Some(&wanted)
                || shown.starts_with(&format!("{wanted} "))
        })
        .ok_or_else(|| say::not_this(word))
}

pub(super) fn thread(value: &str) -> Result<ThreadSpec, Phrase> {
    // A designation begins with its system's sign; anything else has to be a pitch.
    if value.starts_with(['M', 'm', '#']) {
        let known = Thread::named(&value.replace(' ', ""))
            .map_err(|error| errors::formula(&error).without_field())?;
        return Ok(ThreadSpec { designation: known.designation().map(str::to_owned), pitch: None });
    }
    Ok(ThreadSpec { designation: None, pitch: Some(length(value)?) })
}

/// What a clockwise turn gives.
pub(super) fn clockwise(value: &str) -> Result<Clockwise, Phrase> {
    match value {
        "more" | "up" => Ok(Clockwise::More),
        "less" | "down" => Ok(Clockwise::Less),
        other => Err(say::not_this(other)),
    }
}

pub(super) fn clockwise_shown(clockwise: Clockwise) -> String {
    match clockwise {
        Clockwise::More => "more".to_owned(),
        Clockwise::Less => "less".to_owned(),
        other @ Clockwise::Other(_) => other.to_string(),
    }
}
