//! Single facts about the instrument: keys, values, and what is accepted.

use fallaway_measure::{A4_HZ, Amount, Dimension, Family, Fret, Note, Place};
use minicbor::{Decode, Decoder};

use super::{
    Board, Bridge, Frets, Handedness, HeightBy, JointFret, NeckJoint, NutKind, Rod, Scale, Screw,
    ScrewPlace, StringSpec, Stringing,
};
use crate::place;

/// One fact that a person would regard as one; one register of the record.
#[derive(Debug, Clone, PartialEq)]
pub enum SpecField {
    /// What its people call it (`name`).
    Name(String),
    /// Anything that identifies it (`about`).
    About(String),
    /// Its family (`family`).
    Family(Family),
    /// Strings in each course, from the treble side (`courses`).
    Courses(Vec<u8>),
    /// The note of a string (`tuning/4`).
    Tuning(Place, Note),
    /// What string is fitted (`string/4`).
    Strings(Place, StringSpec),
    /// Scale length (`scale`).
    Scale(Scale),
    /// Frets (`frets`).
    Frets(Frets),
    /// Where the neck stops bending (`joint-fret`).
    JointFret(JointFret),
    /// Curve of the board (`board`).
    Board(Board),
    /// What holds the strings at the head end (`nut`).
    Nut(NutKind),
    /// Centre to centre of the outer strings at the nut (`nut-spread`).
    NutSpread(Amount),
    /// The same at the bridge (`bridge-spread`).
    BridgeSpread(Amount),
    /// The bridge (`bridge`).
    Bridge(Bridge),
    /// A screw or nut (`screw/rod`).
    Screw(ScrewPlace, Screw),
    /// The truss rod (`rod`).
    Rod(Rod),
    /// How the neck is attached (`neck-joint`).
    NeckJoint(NeckJoint),
    /// How many pickups (`pickups`).
    Pickups(u8),
    /// For which hand it is built (`handedness`).
    Handedness(Handedness),
    /// Order of the strings (`stringing`).
    Stringing(Stringing),
    /// Frequency of A4 (`a4`).
    A4(Amount),
    /// Whether it has no head (`headless`).
    Headless(bool),
    /// Strings that run under a tree at the head (`trees`).
    Trees(Vec<Place>),
}

/// A fact that no instrument has.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what} {value} is not accepted; accepted: {accepted}")]
pub struct SpecError {
    /// Which fact.
    pub what: &'static str,
    /// What was given.
    pub value: String,
    /// What would be accepted.
    pub accepted: String,
}

/// Most characters of a name.
const MAX_NAME: usize = 64;
/// Most characters of any other text.
const MAX_TEXT: usize = 2_000;
/// Most courses.
const MAX_COURSES: usize = Place::MAX_COURSE as usize;
/// Most strings in a course.
const MAX_MEMBERS: u8 = 6;
/// Most pickups.
const MAX_PICKUPS: u8 = 8;

impl SpecField {
    /// The key under which the fact stands.
    pub fn key(&self) -> String {
        match self {
            Self::Name(_) => "name".to_owned(),
            Self::About(_) => "about".to_owned(),
            Self::Family(_) => "family".to_owned(),
            Self::Courses(_) => "courses".to_owned(),
            Self::Tuning(place, _) => format!("tuning/{place}"),
            Self::Strings(place, _) => format!("string/{place}"),
            Self::Scale(_) => "scale".to_owned(),
            Self::Frets(_) => "frets".to_owned(),
            Self::JointFret(_) => "joint-fret".to_owned(),
            Self::Board(_) => "board".to_owned(),
            Self::Nut(_) => "nut".to_owned(),
            Self::NutSpread(_) => "nut-spread".to_owned(),
            Self::BridgeSpread(_) => "bridge-spread".to_owned(),
            Self::Bridge(_) => "bridge".to_owned(),
            Self::Screw(place, _) => format!("screw/{}", place.word()),
            Self::Rod(_) => "rod".to_owned(),
            Self::NeckJoint(_) => "neck-joint".to_owned(),
            Self::Pickups(_) => "pickups".to_owned(),
            Self::Handedness(_) => "handedness".to_owned(),
            Self::Stringing(_) => "stringing".to_owned(),
            Self::A4(_) => "a4".to_owned(),
            Self::Headless(_) => "headless".to_owned(),
            Self::Trees(_) => "trees".to_owned(),
        }
    }

    /// The value that stands under [`SpecField::key`].
    ///
    /// # Errors
    /// None today: every field of this version encodes. The type leaves room.
    pub fn encode(&self) -> Result<Vec<u8>, SpecError> {
        let written = match self {
            Self::Name(text) | Self::About(text) => minicbor::to_vec(text),
            Self::Family(family) => minicbor::to_vec(family),
            // An array of numbers, not a byte string.
            Self::Courses(courses) => minicbor::to_vec(courses),
            Self::Tuning(_, note) => minicbor::to_vec(note),
            Self::Strings(_, string) => minicbor::to_vec(string),
            Self::Scale(scale) => minicbor::to_vec(scale),
            Self::Frets(frets) => minicbor::to_vec(frets),
            Self::JointFret(joint) => minicbor::to_vec(joint),
            Self::Board(board) => minicbor::to_vec(board),
            Self::Nut(nut) => minicbor::to_vec(nut),
            Self::NutSpread(amount) | Self::BridgeSpread(amount) | Self::A4(amount) => {
                minicbor::to_vec(amount)
            }
            Self::Bridge(bridge) => minicbor::to_vec(bridge),
            Self::Screw(_, screw) => minicbor::to_vec(screw),
            Self::Rod(rod) => minicbor::to_vec(rod),
            Self::NeckJoint(joint) => minicbor::to_vec(joint),
            Self::Pickups(count) => minicbor::to_vec(count),
            Self::Handedness(hand) => minicbor::to_vec(hand),
            Self::Stringing(stringing) => minicbor::to_vec(stringing),
            Self::Headless(headless) => minicbor::to_vec(headless),
            Self::Trees(trees) => minicbor::to_vec(trees),
        };
        written.map_err(|error| SpecError {
            what: "value",
            value: error.to_string(),
            accepted: "what this version can write".to_owned(),
        })
    }

    /// Reads the value under a key. `None` if this version does not understand it to the last byte:
    /// then a newer version wrote it, and it is kept as it is.
    pub fn decode(key: &str, value: &[u8]) -> Option<Self> {
        fn read<'b, T: Decode<'b, ()>>(value: &'b [u8]) -> Option<T> {
            Decoder::new(value).decode().ok()
        }
        let field = match key.split_once('/') {
            None => match key {
                "name" => Self::Name(read(value)?),
                "about" => Self::About(read(value)?),
                "family" => Self::Family(read(value)?),
                "courses" => Self::Courses(read(value)?),
                "scale" => Self::Scale(read(value)?),
                "frets" => Self::Frets(read(value)?),
                "joint-fret" => Self::JointFret(read(value)?),
                "board" => Self::Board(read(value)?),
                "nut" => Self::Nut(read(value)?),
                "nut-spread" => Self::NutSpread(read(value)?),
                "bridge-spread" => Self::BridgeSpread(read(value)?),
                "bridge" => Self::Bridge(read(value)?),
                "rod" => Self::Rod(read(value)?),
                "neck-joint" => Self::NeckJoint(read(value)?),
                "pickups" => Self::Pickups(read(value)?),
                "handedness" => Self::Handedness(read(value)?),
                "stringing" => Self::Stringing(read(value)?),
                "a4" => Self::A4(read(value)?),
                "headless" => Self::Headless(read(value)?),
                "trees" => Self::Trees(read(value)?),
                _ => return None,
            },
            Some(("tuning", at)) => Self::Tuning(place::parse(at)?, read(value)?),
            Some(("string", at)) => Self::Strings(place::parse(at)?, read(value)?),
            Some(("screw", at)) => {
                let at = ScrewPlace::KNOWN.into_iter().find(|place| place.word() == at)?;
                Self::Screw(at, read(value)?)
            }
            Some(_) => return None,
        };
        let same = field.check().is_ok() && field.encode().as_deref() == Ok(value);
        same.then_some(field)
    }

    /// Checks the fact by itself.
    ///
    /// # Errors
    /// [`SpecError`] with what would be accepted.
    pub fn check(&self) -> Result<(), SpecError> {
        match self {
            Self::Name(name) => text("name", name, MAX_NAME),
            Self::About(about) => text("description", about, MAX_TEXT),
            Self::Courses(courses) => check_courses(courses),
            Self::Strings(_, string) => {
                check_amount("gauge", string.gauge, Dimension::Length)?;
                check_amount("core", string.core, Dimension::Length)?;
                check_amount("tension", string.pack_tension, Dimension::Force)?;
                let weight = string.unit_weight.filter(|weight| weight.value.digits() <= 0);
                refuse("unit weight", weight.map(|weight| weight.value), "a number above zero")?;
                string.name.as_ref().map_or(Ok(()), |name| text("name of a string", name, MAX_NAME))
            }
            Self::Scale(scale) => match scale {
                Scale::Same(amount) => check_amount("scale", Some(*amount), Dimension::Length),
                Scale::Fanned { bass, treble } => {
                    check_amount("scale", Some(*bass), Dimension::Length)?;
                    check_amount("scale", Some(*treble), Dimension::Length)
                }
                Scale::Each(strings) => strings.iter().try_for_each(|(_, amount)| {
                    check_amount("scale", Some(*amount), Dimension::Length)
                }),
            },
            Self::Frets(frets) => {
                let many = Some(frets.count).filter(|count| *count > Fret::MAX);
                refuse("number of frets", many, &format!("0 (fretless) to {}", Fret::MAX))?;
                check_amount("fret height", frets.height, Dimension::Length)
            }
            Self::Board(board) => match board {
                Board::Flat => Ok(()),
                Board::Cylinder(radius) => check_amount("radius", Some(*radius), Dimension::Length),
                Board::Compound { nut, last_fret } => {
                    check_amount("radius", Some(*nut), Dimension::Length)?;
                    check_amount("radius", Some(*last_fret), Dimension::Length)
                }
            },
            Self::NutSpread(amount) => {
                check_amount("spread at the nut", Some(*amount), Dimension::Length)
            }
            Self::BridgeSpread(amount) => {
                check_amount("spread at the bridge", Some(*amount), Dimension::Length)
            }
            Self::A4(amount) => {
                check_amount("A4", Some(*amount), Dimension::Frequency)?;
                let odd = Some(amount).filter(|a4| !A4_HZ.contains(&a4.number()));
                refuse("A4", odd, "380 Hz to 500 Hz")
            }
            Self::Bridge(bridge) => match &bridge.height {
                HeightBy::OwnSaddles { screws } => {
                    let odd = Some(screws).filter(|screws| !(1..=4).contains(*screws));
                    refuse("screws of a saddle", odd, "1 to 4")
                }
                HeightBy::SharedSaddles(saddles) => {
                    let empty = saddles.is_empty() || saddles.iter().any(Vec::is_empty);
                    refuse(
                        "shared saddles",
                        empty.then_some("without strings"),
                        "saddles with strings",
                    )
                }
                HeightBy::TwoPosts | HeightBy::Fixed => Ok(()),
            },
            Self::Screw(_, screw) => {
                let pitch = screw.thread.as_ref().and_then(|thread| thread.pitch);
                check_amount("thread pitch", pitch, Dimension::Length)
            }
            Self::Pickups(count) => {
                let many = Some(count).filter(|count| **count > MAX_PICKUPS);
                refuse("number of pickups", many, &format!("0 to {MAX_PICKUPS}"))
            }
            Self::Family(_)
            | Self::Tuning(..)
            | Self::JointFret(_)
            | Self::Nut(_)
            | Self::Rod(_)
            | Self::NeckJoint(_)
            | Self::Handedness(_)
            | Self::Stringing(_)
            | Self::Headless(_)
            | Self::Trees(_) => Ok(()),
        }
    }
}

fn refuse<T: std::fmt::Display>(
    what: &'static str,
    wrong: Option<T>,
    accepted: &str,
) -> Result<(), SpecError> {
    match wrong {
        None => Ok(()),
        Some(value) => {
            Err(SpecError { what, value: value.to_string(), accepted: accepted.to_owned() })
        }
    }
}

fn text(what: &'static str, text: &str, most: usize) -> Result<(), SpecError> {
    let count = text.chars().count();
    let wrong = (text.trim().is_empty() || count > most).then(|| {
        if count > most { format!("of {count} characters") } else { "(empty)".to_owned() }
    });
    refuse(what, wrong, &format!("1 to {most} characters, not only spaces"))
}

fn check_courses(courses: &[u8]) -> Result<(), SpecError> {
    let odd = courses.is_empty()
        || courses.len() > MAX_COURSES
        || courses.iter().any(|strings| !(1..=MAX_MEMBERS).contains(strings));
    refuse(
        "courses",
        odd.then(|| match courses {
            [] => "(none)".to_owned(),
            _ => courses.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "),
        }),
        &format!("1 to {MAX_COURSES} courses of 1 to {MAX_MEMBERS} strings"),
    )
}

fn check_amount(
    what: &'static str,
    amount: Option<Amount>,
    wanted: Dimension,
) -> Result<(), SpecError> {
    let wrong = amount.filter(|amount| {
        let known = amount.dimension() != Dimension::Other;
        known && (amount.dimension() != wanted || amount.sign() != std::cmp::Ordering::Greater)
    });
    refuse(what, wrong, &format!("{wanted} above zero"))
}
