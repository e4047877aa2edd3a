//! The value of a fact by its type, for whoever says, shows or carries it.

use fallaway_measure::{Amount, InstrumentFamily, Note, StringPlace};

use super::{
    BoardCurve, BridgeSpec, FretsSpec, Handedness, JointFretSpec, NeckJoint, NutKind, RodSpec,
    ScaleLength, ScrewSpec, StringSpec, Stringing,
};

macro_rules! values {
    ($( $(#[$doc:meta])* $Variant:ident($Value:ty) )+) => {
        /// The value of a fact. Several facts share a type: what knows the types knows every fact.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub enum FactValue<'a> {
            $( $(#[$doc])* $Variant(&'a $Value), )+
        }

        $( impl<'a> From<&'a $Value> for FactValue<'a> {
            fn from(value: &'a $Value) -> Self {
                Self::$Variant(value)
            }
        } )+
    };
}

values! {
    /// Words of a person.
    Text(String)
    /// An amount with its unit, as it was entered.
    Amount(Amount)
    /// A count, such as a number of pickups.
    Count(u8)
    /// Yes or no.
    YesNo(bool)
    /// Some of the strings.
    Places(Vec<StringPlace>)
    /// A family of instruments.
    Family(InstrumentFamily)
    /// Strings in each course.
    Courses(Vec<u8>)
    /// The note that a string is tuned to.
    Note(Note)
    /// A string as it was bought: gauge, wind, core, weight, as far as known.
    String(StringSpec)
    /// Scale length: one for all, fanned, or string by string.
    Scale(ScaleLength)
    /// How many frets, and how high their crowns stand.
    Frets(FretsSpec)
    /// A joint fret.
    JointFret(JointFretSpec)
    /// Curve of a board.
    Board(BoardCurve)
    /// A kind of nut.
    Nut(NutKind)
    /// How a bridge is built.
    Bridge(BridgeSpec)
    /// A screw or nut: thread, key, and what a clockwise turn does.
    Screw(ScrewSpec)
    /// A truss rod.
    Rod(RodSpec)
    /// A neck joint.
    NeckJoint(NeckJoint)
    /// For which hand it is built.
    Handedness(Handedness)
    /// An order of strings.
    Stringing(Stringing)
}
