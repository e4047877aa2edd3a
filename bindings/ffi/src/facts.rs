//! Every fact about the instrument, one by one and as a whole.

use fallaway::measure::{self, Amount, Dimension, Note};
use fallaway::record::spec::{self, Fact};
use fallaway::text::facts::called;

use crate::given::small;
use crate::spec::{
    BoardCurve, BridgeSpec, FittedString, FretsSpec, Handedness, InstrumentFamily, JointFretSpec,
    NeckJoint, NutKind, PlacedScrew, RodSpec, ScaleLength, Stringing, TunedString,
};
use crate::{Entered, Moment, Result, StringPlace};

/// Declares every fact as it crosses: its variant with the value, the record's fact, and the field
/// of the whole in which it stands.
macro_rules! facts {
    ($(
        $(#[$doc:meta])*
        $Variant:ident { $value:ident: $Value:ty } = $Fact:ident($($part:ident),+) in $field:ident: $Field:ty;
    )+) => {
        /// What the instrument is, as far as it was written down.
        #[derive(Debug, Clone, Default, PartialEq, uniffi::Record)]
        pub struct InstrumentSpec {
            $( $(#[$doc])* pub $field: $Field, )+
            /// Every string by its place, from the treble side.
            pub places: Vec<StringPlace>,
            /// Frequency of A4 in hertz: 440 (ISO 16:1975) if nothing else is set.
            pub a4_hz: f64,
            /// Names of facts that only a newer version understands; they are kept.
            pub newer_facts: Vec<String>,
        }

        impl InstrumentSpec {
            fn put(&mut self, field: SpecField) {
                match field {
                    $( SpecField::$Variant { $value } => self.$field.put($value), )+
                }
            }
        }

        /// One fact that a person would regard as one, to be set. Two people may write the same fact
        /// apart: then it is contested until somebody settles it.
        #[derive(Debug, Clone, PartialEq, uniffi::Enum)]
        pub enum SpecField {
            $( $(#[$doc])* $Variant {
                /// What the fact is: as the record has it, or as it is to be set.
                $value: $Value,
            }, )+
        }

        impl From<spec::SpecField> for SpecField {
            fn from(field: spec::SpecField) -> Self {
                match field {
                    $( spec::SpecField::$Fact($($part),+) => {
                        Self::$Variant { $value: Crosses::of(($($part),+)) }
                    } )+
                }
            }
        }

        impl SpecField {
            #[allow(unused_parens, reason = "a value is one or two parts")]
            pub(crate) fn typed(self) -> Result<spec::SpecField> {
                Ok(match self {
                    $( Self::$Variant { $value } => {
                        let ($($part),+) = $value.into_core(Fact::$Fact)?;
                        spec::SpecField::$Fact($($part),+)
                    } )+
                })
            }
        }
    };
}

facts! {
    /// What its people call it, in 1 to 64 characters.
    Name { text: String } = Name(text) in name: Option<String>;
    /// Anything that identifies it, in 1 to 2000 characters.
    About { text: String } = About(text) in about: Option<String>;
    /// Its family, for the ranges that are usual.
    Family { family: InstrumentFamily } = Family(family) in family: Option<InstrumentFamily>;
    /// Strings in each course, from the treble side: [1, 1, 1, 1] is a four-string; 1 to 48 courses
    /// of 1 to 6 strings.
    Courses { strings: Vec<u32> } = Courses(strings) in courses: Vec<u32>;
    /// The note of a string.
    Tuning { tuned: TunedString } = Tuning(place, note) in tuning: Vec<TunedString>;
    /// What string is fitted somewhere.
    FittedAt { fitted: FittedString } = Strings(place, string) in strings: Vec<FittedString>;
    /// Scale length: one for all, fanned, or string by string.
    Scale { length: ScaleLength } = Scale(scale) in scale: Option<ScaleLength>;
    /// How many frets, and how high their crowns stand.
    Frets { frets: FretsSpec } = Frets(frets) in frets: Option<FretsSpec>;
    /// Where the neck stops bending.
    JointFret { joint: JointFretSpec } = JointFret(joint) in joint_fret: Option<JointFretSpec>;
    /// Curve of the board across the strings.
    Board { curve: BoardCurve } = Board(board) in board: Option<BoardCurve>;
    /// What holds the strings at the head end.
    Nut { kind: NutKind } = Nut(kind) in nut: Option<NutKind>;
    /// Centre to centre of the outer strings at the nut.
    NutSpread { width: Entered } = NutSpread(width) in nut_spread: Option<Entered>;
    /// Centre to centre of the outer strings at the bridge.
    BridgeSpread { width: Entered } = BridgeSpread(width) in bridge_spread: Option<Entered>;
    /// How the bridge is built: what its height screws move, whether it floats, how intonation is
    /// set.
    Bridge { bridge: BridgeSpec } = Bridge(bridge) in bridge: Option<BridgeSpec>;
    /// A screw or nut, with what a clockwise turn does as far as the instrument has shown it.
    Screw { placed: PlacedScrew } = Screw(place, screw) in screws: Vec<PlacedScrew>;
    /// The truss rod.
    Rod { rod: RodSpec } = Rod(rod) in rod: Option<RodSpec>;
    /// How the neck is attached.
    Joint { joint: NeckJoint } = NeckJoint(joint) in neck_joint: Option<NeckJoint>;
    /// How many pickups, 0 to 8; 1 is nearest the bridge.
    Pickups { count: u32 } = Pickups(count) in pickups: Option<u32>;
    /// How many springs hold a floating bridge, 0 to 8.
    Springs { count: u32 } = Springs(count) in springs: Option<u32>;
    /// For which hand it is built.
    BuiltFor { hand: Handedness } = Handedness(hand) in handedness: Option<Handedness>;
    /// Order of the strings.
    Strung { order: Stringing } = Stringing(order) in stringing: Option<Stringing>;
    /// Frequency of A4, 380 Hz to 500 Hz; 440 Hz in ISO 16:1975.
    A4 { frequency: Entered } = A4(frequency) in a4: Option<Entered>;
    /// Whether it has no head.
    Headless { yes: bool } = Headless(yes) in headless: Option<bool>;
    /// Strings that run under a tree at the head; none, if it is known that there is none.
    Trees { places: Vec<StringPlace> } = Trees(places) in trees: Option<Vec<StringPlace>>;
}

impl From<&spec::InstrumentSpec> for InstrumentSpec {
    fn from(spec: &spec::InstrumentSpec) -> Self {
        let mut whole = Self {
            places: spec.places().into_iter().map(StringPlace::from).collect(),
            a4_hz: spec.a4_hz(),
            newer_facts: spec.newer.keys().cloned().collect(),
            ..Self::default()
        };
        spec.fields().into_iter().for_each(|field| whole.put(field.into()));
        whole
    }
}

/// A field of the whole: one value, or one for each place.
trait Part<T> {
    fn put(&mut self, value: T);
}

impl<T> Part<T> for Option<T> {
    fn put(&mut self, value: T) {
        *self = Some(value);
    }
}

impl<T> Part<T> for Vec<T> {
    fn put(&mut self, value: T) {
        self.push(value);
    }
}

impl Part<Self> for Vec<u32> {
    fn put(&mut self, value: Self) {
        *self = value;
    }
}

/// A value both ways.
trait Crosses<T>: Sized {
    fn of(value: T) -> Self;
    fn into_core(self, fact: Fact) -> Result<T>;
}

/// Values that cross as they are, or with the conversions that they have.
macro_rules! crosses {
    ($( $Value:ty = $Typed:ty, $typed:expr; )+) => {
        $( impl Crosses<$Typed> for $Value {
            fn of(value: $Typed) -> Self {
                value.into()
            }
            fn into_core(self, _: Fact) -> Result<$Typed> {
                $typed(self)
            }
        } )+
    };
}

crosses! {
    String = String, Ok;
    bool = bool, Ok;
    InstrumentFamily = measure::InstrumentFamily, |family: Self| Ok(family.into());
    TunedString = (measure::StringPlace, Note), |tuned: Self| tuned.typed();
    FittedString = (measure::StringPlace, spec::StringSpec), |fitted: Self| fitted.typed();
    ScaleLength = spec::ScaleLength, |scale: Self| scale.typed();
    FretsSpec = spec::FretsSpec, |frets: Self| frets.typed();
    JointFretSpec = spec::JointFretSpec, Self::typed;
    BoardCurve = spec::BoardCurve, |board: Self| board.typed();
    NutKind = spec::NutKind, Self::typed;
    BridgeSpec = spec::BridgeSpec, |bridge: Self| bridge.typed();
    PlacedScrew = (spec::ScrewPlace, spec::ScrewSpec), Self::typed;
    RodSpec = spec::RodSpec, Self::typed;
    NeckJoint = spec::NeckJoint, Self::typed;
    Handedness = spec::Handedness, Self::typed;
    Stringing = spec::Stringing, Self::typed;
}

impl Crosses<Amount> for Entered {
    fn of(value: Amount) -> Self {
        value.into()
    }
    fn into_core(self, fact: Fact) -> Result<Amount> {
        let dimension = fact.dimension().unwrap_or(Dimension::Other);
        self.amount(called(fact), dimension)
    }
}

impl Crosses<u8> for u32 {
    fn of(value: u8) -> Self {
        value.into()
    }
    fn into_core(self, fact: Fact) -> Result<u8> {
        small(called(fact), self)
    }
}

impl Crosses<Vec<u8>> for Vec<u32> {
    fn of(value: Vec<u8>) -> Self {
        value.into_iter().map(u32::from).collect()
    }
    fn into_core(self, fact: Fact) -> Result<Vec<u8>> {
        self.into_iter().map(|count| Crosses::into_core(count, fact)).collect()
    }
}

impl Crosses<Vec<measure::StringPlace>> for Vec<StringPlace> {
    fn of(value: Vec<measure::StringPlace>) -> Self {
        value.into_iter().map(StringPlace::from).collect()
    }
    fn into_core(self, _: Fact) -> Result<Vec<measure::StringPlace>> {
        self.iter().map(StringPlace::typed).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fact_crosses_both_ways() {
        let mut core = spec::InstrumentSpec::default();
        for fact in Fact::ALL {
            let field = fact.example().unwrap();
            assert_eq!(SpecField::from(field.clone()).typed(), Ok(field.clone()));
            core.set(field);
        }
        let whole = InstrumentSpec::from(&core);
        let again =
            core.fields().into_iter().fold(InstrumentSpec::default(), |mut whole, field| {
                whole.put(field.into());
                whole
            });
        let (places, a4_hz) = (whole.places.clone(), core.a4_hz());
        assert_eq!((places.len(), whole.tuning.len()), (5, 1));
        assert_eq!(InstrumentSpec { places, a4_hz, ..again }, whole);
    }
}

/// When a fact was written, and by whom.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct FactWritten {
    /// The fact, by its key, such as "scale" or "tuning/4": what `unset_spec` takes.
    pub key: String,
    /// When: as was said, or by the device's clock.
    pub at: Moment,
    /// Who, where somebody said so; with the device in brackets where it could be taken for another one.
    pub by: Option<String>,
    /// The device that wrote it, by the name it gave itself.
    pub device: String,
}

impl From<fallaway::FactWritten> for FactWritten {
    fn from(written: fallaway::FactWritten) -> Self {
        let fallaway::FactWritten { key, at, by, device } = written;
        Self { key, at: at.into(), by, device }
    }
}
