//! What the value of a fact may be.

use fallaway_measure::{
    Amount, Decimal, Dimension, Fret, InstrumentFamily, Limit, Note, StringPlace, Unit,
};

use super::{
    BoardCurve, BridgeSpec, FretsSpec, Handedness, HeightBy, JointFretSpec, NeckJoint, NutKind,
    RodKind, RodSpec, ScaleLength, ScrewSpec, StringSpec, Stringing,
};

/// Why a value is none that an instrument has.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FactFault {
    /// An amount outside its limits.
    #[error("{given} is outside {}", limit.range())]
    Amount {
        /// What was given.
        given: Amount,
        /// The limits that it is outside of, with their unit.
        limit: Limit,
    },
    /// A count outside its limits.
    #[error("{given} is outside {}", limit.range())]
    Count {
        /// What was given.
        given: u8,
        /// The limits that it is outside of.
        limit: Limit,
    },
    /// A text that is empty, only spaces, or too long.
    #[error("{found} characters; accepted are 1 to {most}, not only spaces")]
    Text {
        /// How many characters it has.
        found: usize,
        /// How many are accepted.
        most: usize,
    },
    /// No courses, too many, or too many strings in one.
    #[error("accepted are 1 to {courses} courses of 1 to {strings} strings")]
    Courses {
        /// Most courses that an instrument may have.
        courses: usize,
        /// Most strings in a course.
        strings: u8,
    },
    /// A unit weight that is not above zero.
    #[error("the unit weight {given} is not above zero")]
    UnitWeight {
        /// What was given.
        given: Decimal,
    },
    /// More frets than there are numbers for.
    #[error("{given} frets; accepted are 0 (fretless) to {most}")]
    Frets {
        /// What was given.
        given: u8,
        /// Most frets that a board may have.
        most: u8,
    },
    /// No shared saddles, or one that carries no string.
    #[error("a shared saddle without strings")]
    SaddleWithoutStrings,
    /// Bytes that could not be made.
    #[error("it cannot be written: {reason}")]
    NotWritten {
        /// What the encoder says.
        reason: String,
    },
}

type Checked = Result<(), FactFault>;

/// What a value may be. `()` is the rule of a type that says enough by itself.
pub(super) trait Rule<T> {
    fn check(&self, value: &T) -> Checked;
    /// A value that the rule accepts, for tests.
    fn example(&self) -> Option<T>;
    /// Of what an amount has to be.
    fn dimension(&self) -> Option<Dimension> {
        None
    }
}

/// At most so many characters.
pub(super) struct Characters(pub usize);

/// Most courses.
const MAX_COURSES: usize = StringPlace::MAX_COURSE as usize;
/// Most strings in a course.
const MAX_MEMBERS: u8 = 6;
/// Most characters of the name of a string.
const MAX_STRING_NAME: usize = 64;

impl Rule<String> for Characters {
    fn check(&self, value: &String) -> Checked {
        text(value, self.0)
    }
    fn example(&self) -> Option<String> {
        Some("blue five".to_owned())
    }
}

impl Rule<u8> for Limit {
    fn check(&self, value: &u8) -> Checked {
        count(*value, *self)
    }
    fn example(&self) -> Option<u8> {
        Some(self.most() as u8)
    }
}

/// An amount within limits. One of a unit that only a newer version knows is kept as it is.
impl Rule<Amount> for Limit {
    fn check(&self, value: &Amount) -> Checked {
        amount(Some(*value), *self)
    }
    fn example(&self) -> Option<Amount> {
        self.ends().map(|(_, most)| most)
    }
    fn dimension(&self) -> Option<Dimension> {
        self.example().map(Amount::dimension)
    }
}

impl Rule<Vec<u8>> for () {
    fn check(&self, value: &Vec<u8>) -> Checked {
        let odd = value.is_empty()
            || value.len() > MAX_COURSES
            || value.iter().any(|strings| !(1..=MAX_MEMBERS).contains(strings));
        let fault = FactFault::Courses { courses: MAX_COURSES, strings: MAX_MEMBERS };
        refuse(odd.then_some(fault))
    }
    fn example(&self) -> Option<Vec<u8>> {
        Some(vec![1; 5])
    }
}

impl Rule<StringSpec> for () {
    fn check(&self, value: &StringSpec) -> Checked {
        let StringSpec { gauge, construction: _, core, unit_weight, pack_tension, name } = value;
        amount(*gauge, Limit::StringGauge)?;
        amount(*core, Limit::CoreDiameter)?;
        amount(*pack_tension, Limit::Tension)?;
        let weight = unit_weight.map(|weight| weight.value).filter(|value| value.digits() <= 0);
        refuse(weight.map(|given| FactFault::UnitWeight { given }))?;
        name.iter().try_for_each(|name| text(name, MAX_STRING_NAME))
    }
    fn example(&self) -> Option<StringSpec> {
        let gauge = Amount::decimal(45, 3, Unit::Inch).ok();
        Some(StringSpec { gauge, ..StringSpec::default() })
    }
}

impl Rule<ScaleLength> for () {
    fn check(&self, value: &ScaleLength) -> Checked {
        let length = |length: &Amount| amount(Some(*length), Limit::ScaleLength);
        match value {
            ScaleLength::Same(all) => length(all),
            ScaleLength::Fanned { bass, treble } => length(bass).and_then(|()| length(treble)),
            ScaleLength::Each(strings) => strings.iter().try_for_each(|(_, one)| length(one)),
        }
    }
    fn example(&self) -> Option<ScaleLength> {
        Amount::decimal(34, 0, Unit::Inch).ok().map(ScaleLength::Same)
    }
}

impl Rule<FretsSpec> for () {
    fn check(&self, value: &FretsSpec) -> Checked {
        let many = Some(value.count).filter(|count| *count > Fret::MAX);
        refuse(many.map(|given| FactFault::Frets { given, most: Fret::MAX }))?;
        amount(value.height, Limit::FretHeight)
    }
    fn example(&self) -> Option<FretsSpec> {
        Some(FretsSpec::count(24))
    }
}

impl Rule<BoardCurve> for () {
    fn check(&self, value: &BoardCurve) -> Checked {
        let radius = |radius: &Amount| amount(Some(*radius), Limit::BoardRadius);
        match value {
            BoardCurve::Flat => Ok(()),
            BoardCurve::Cylinder(all) => radius(all),
            BoardCurve::Compound { nut, last_fret } => radius(nut).and_then(|()| radius(last_fret)),
        }
    }
    fn example(&self) -> Option<BoardCurve> {
        Amount::decimal(12, 0, Unit::Inch).ok().map(BoardCurve::Cylinder)
    }
}

impl Rule<BridgeSpec> for () {
    fn check(&self, value: &BridgeSpec) -> Checked {
        match &value.height {
            HeightBy::OwnSaddles { screws } => count(*screws, Limit::SaddleScrews),
            HeightBy::SharedSaddles(saddles) => {
                let empty = saddles.is_empty() || saddles.iter().any(Vec::is_empty);
                refuse(empty.then_some(FactFault::SaddleWithoutStrings))
            }
            HeightBy::TwoPosts | HeightBy::Fixed => Ok(()),
        }
    }
    fn example(&self) -> Option<BridgeSpec> {
        let height = HeightBy::OwnSaddles { screws: 2 };
        Some(BridgeSpec { height, floating: false, intonation: None, sideways: None, posts: None })
    }
}

impl Rule<JointFretSpec> for () {
    fn check(&self, value: &JointFretSpec) -> Checked {
        count(value.uncertain_by, Limit::JointUncertainty)
    }
    fn example(&self) -> Option<JointFretSpec> {
        Fret::new(17).ok().map(JointFretSpec::usual)
    }
}

impl Rule<ScrewSpec> for () {
    fn check(&self, value: &ScrewSpec) -> Checked {
        let pitch = value.thread.as_ref().and_then(|thread| thread.pitch);
        amount(pitch, Limit::ThreadPitch)
    }
    fn example(&self) -> Option<ScrewSpec> {
        Some(ScrewSpec { key: Some("5 mm hex".to_owned()), ..ScrewSpec::default() })
    }
}

/// Types of which every value is a fact that an instrument can have.
macro_rules! any {
    ($( $Value:ty: $example:expr; )+) => {
        $( impl Rule<$Value> for () {
            fn check(&self, _: &$Value) -> Checked {
                Ok(())
            }
            fn example(&self) -> Option<$Value> {
                $example
            }
        } )+
    };
}

any! {
    InstrumentFamily: Some(InstrumentFamily::Bass);
    Note: Note::new(28);
    NutKind: Some(NutKind::Slotted);
    RodSpec: Some(RodSpec { kind: RodKind::OneWay, access: None });
    NeckJoint: Some(NeckJoint::BoltOn);
    Handedness: Some(Handedness::Right);
    Stringing: Some(Stringing::Usual);
    bool: Some(true);
    Vec<StringPlace>: Some(StringPlace::course(1).into_iter().collect());
}

fn refuse(fault: Option<FactFault>) -> Checked {
    fault.map_or(Ok(()), Err)
}

fn text(text: &str, most: usize) -> Checked {
    let found = text.chars().count();
    let wrong = text.trim().is_empty() || found > most;
    refuse(wrong.then_some(FactFault::Text { found, most }))
}

fn count(given: u8, limit: Limit) -> Checked {
    let odd = limit.check_count(usize::from(given)).is_err();
    refuse(odd.then_some(FactFault::Count { given, limit }))
}

fn amount(amount: Option<Amount>, limit: Limit) -> Checked {
    let wrong =
        amount.filter(|amount| amount.dimension() != Dimension::Other && !limit.takes(*amount));
    refuse(wrong.map(|given| FactFault::Amount { given, limit }))
}
