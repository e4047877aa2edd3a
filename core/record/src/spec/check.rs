//! What the value of a fact may be.

use std::fmt::Display;

use fallaway_measure::{Amount, Dimension, Fret, InstrumentFamily, Limit, Note, StringPlace, Unit};

use super::{
    BoardCurve, BridgeSpec, Fact, FretsSpec, Handedness, HeightBy, JointFretSpec, NeckJoint,
    NutKind, RodKind, RodSpec, ScaleLength, ScrewSpec, StringSpec, Stringing,
};

/// A fact that no instrument has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpecError {
    /// Which fact.
    pub fact: Fact,
    /// Which part of it, if it has several.
    pub part: Option<&'static str>,
    /// What was given.
    pub value: String,
    /// What would be accepted.
    pub accepted: String,
}

impl std::error::Error for SpecError {}

impl Display for SpecError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { fact, part, value, accepted } = self;
        let name = part.unwrap_or_else(|| fact.word());
        write!(f, "{name} {value} is not accepted; accepted: {accepted}")
    }
}

type Checked = Result<(), SpecError>;

/// What a value may be. `()` is the rule of a type that says enough by itself.
pub(super) trait Rule<T> {
    fn check(&self, fact: Fact, value: &T) -> Checked;
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
    fn check(&self, fact: Fact, value: &String) -> Checked {
        text(fact, None, value, self.0)
    }
    fn example(&self) -> Option<String> {
        Some("blue five".to_owned())
    }
}

impl Rule<u8> for Limit {
    fn check(&self, fact: Fact, value: &u8) -> Checked {
        count(fact, None, *value, *self)
    }
    fn example(&self) -> Option<u8> {
        Some(self.most() as u8)
    }
}

/// An amount within limits. One of a unit that only a newer version knows is kept as it is.
impl Rule<Amount> for Limit {
    fn check(&self, fact: Fact, value: &Amount) -> Checked {
        amount(fact, None, Some(*value), *self)
    }
    fn example(&self) -> Option<Amount> {
        let of = |unit: &Unit| Amount::decimal(self.most() as i64, 0, *unit).ok();
        Unit::KNOWN.iter().filter_map(of).find(|most| self.takes(*most))
    }
    fn dimension(&self) -> Option<Dimension> {
        self.example().map(Amount::dimension)
    }
}

impl Rule<Vec<u8>> for () {
    fn check(&self, fact: Fact, value: &Vec<u8>) -> Checked {
        let odd = value.is_empty()
            || value.len() > MAX_COURSES
            || value.iter().any(|strings| !(1..=MAX_MEMBERS).contains(strings));
        let given = || match value.as_slice() {
            [] => "(none)".to_owned(),
            _ => value.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "),
        };
        refuse(fact, None, odd.then(given), || {
            format!("1 to {MAX_COURSES} courses of 1 to {MAX_MEMBERS} strings")
        })
    }
    fn example(&self) -> Option<Vec<u8>> {
        Some(vec![1; 5])
    }
}

impl Rule<StringSpec> for () {
    fn check(&self, fact: Fact, value: &StringSpec) -> Checked {
        let StringSpec { gauge, construction: _, core, unit_weight, pack_tension, name } = value;
        amount(fact, Some("gauge"), *gauge, Limit::StringGauge)?;
        amount(fact, Some("core"), *core, Limit::CoreDiameter)?;
        amount(fact, Some("tension"), *pack_tension, Limit::Tension)?;
        let weight = unit_weight.map(|weight| weight.value).filter(|value| value.digits() <= 0);
        refuse(fact, Some("unit weight"), weight, || "a number above zero".to_owned())?;
        let mut name = name.iter();
        name.try_for_each(|name| text(fact, Some("name of a string"), name, MAX_STRING_NAME))
    }
    fn example(&self) -> Option<StringSpec> {
        let gauge = Amount::decimal(45, 3, Unit::Inch).ok();
        Some(StringSpec { gauge, ..StringSpec::default() })
    }
}

impl Rule<ScaleLength> for () {
    fn check(&self, fact: Fact, value: &ScaleLength) -> Checked {
        let length = |length: &Amount| amount(fact, None, Some(*length), Limit::ScaleLength);
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
    fn check(&self, fact: Fact, value: &FretsSpec) -> Checked {
        let many = Some(value.count).filter(|count| *count > Fret::MAX);
        let accepted = || format!("0 (fretless) to {}", Fret::MAX);
        refuse(fact, Some("number of frets"), many, accepted)?;
        amount(fact, Some("fret height"), value.height, Limit::FretHeight)
    }
    fn example(&self) -> Option<FretsSpec> {
        Some(FretsSpec::count(24))
    }
}

impl Rule<BoardCurve> for () {
    fn check(&self, fact: Fact, value: &BoardCurve) -> Checked {
        let radius =
            |radius: &Amount| amount(fact, Some("radius"), Some(*radius), Limit::BoardRadius);
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
    fn check(&self, fact: Fact, value: &BridgeSpec) -> Checked {
        match &value.height {
            HeightBy::OwnSaddles { screws } => {
                count(fact, Some("screws of a saddle"), *screws, Limit::SaddleScrews)
            }
            HeightBy::SharedSaddles(saddles) => {
                let empty = saddles.is_empty() || saddles.iter().any(Vec::is_empty);
                let given = empty.then_some("without strings");
                let accepted = || "saddles with strings".to_owned();
                refuse(fact, Some("shared saddles"), given, accepted)
            }
            HeightBy::TwoPosts | HeightBy::Fixed => Ok(()),
        }
    }
    fn example(&self) -> Option<BridgeSpec> {
        let height = HeightBy::OwnSaddles { screws: 2 };
        Some(BridgeSpec { height, floating: false, intonation: None, sideways: None })
    }
}

impl Rule<ScrewSpec> for () {
    fn check(&self, fact: Fact, value: &ScrewSpec) -> Checked {
        let pitch = value.thread.as_ref().and_then(|thread| thread.pitch);
        amount(fact, Some("thread pitch"), pitch, Limit::ThreadPitch)
    }
    fn example(&self) -> Option<ScrewSpec> {
        Some(ScrewSpec { key: Some("5 mm hex".to_owned()), ..ScrewSpec::default() })
    }
}

/// Types of which every value is a fact that an instrument can have.
macro_rules! any {
    ($( $Value:ty: $example:expr; )+) => {
        $( impl Rule<$Value> for () {
            fn check(&self, _: Fact, _: &$Value) -> Checked {
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
    JointFretSpec: Fret::new(17).ok().map(JointFretSpec::usual);
    NutKind: Some(NutKind::Slotted);
    RodSpec: Some(RodSpec { kind: RodKind::OneWay, access: None });
    NeckJoint: Some(NeckJoint::BoltOn);
    Handedness: Some(Handedness::Right);
    Stringing: Some(Stringing::Usual);
    bool: Some(true);
    Vec<StringPlace>: Some(StringPlace::course(1).into_iter().collect());
}

fn refuse<T: Display>(
    fact: Fact,
    part: Option<&'static str>,
    wrong: Option<T>,
    accepted: impl FnOnce() -> String,
) -> Checked {
    wrong.map_or(Ok(()), |value| {
        Err(SpecError { fact, part, value: value.to_string(), accepted: accepted() })
    })
}

fn text(fact: Fact, part: Option<&'static str>, text: &str, most: usize) -> Checked {
    let count = text.chars().count();
    let wrong = (text.trim().is_empty() || count > most).then(|| {
        if count > most { format!("of {count} characters") } else { "(empty)".to_owned() }
    });
    refuse(fact, part, wrong, || format!("1 to {most} characters, not only spaces"))
}

fn count(fact: Fact, part: Option<&'static str>, count: u8, limit: Limit) -> Checked {
    let odd = limit.check_count(usize::from(count)).is_err().then_some(count);
    refuse(fact, part, odd, || limit.range())
}

fn amount(fact: Fact, part: Option<&'static str>, amount: Option<Amount>, limit: Limit) -> Checked {
    let wrong =
        amount.filter(|amount| amount.dimension() != Dimension::Other && !limit.takes(*amount));
    refuse(fact, part, wrong, || limit.range())
}
