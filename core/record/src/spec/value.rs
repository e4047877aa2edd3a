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
    /// An amount.
    Amount(Amount)
    /// A count.
    Count(u8)
    /// Whether.
    YesNo(bool)
    /// Some of the strings.
    Places(Vec<StringPlace>)
    /// A family of instruments.
    Family(InstrumentFamily)
    /// Strings in each course.
    Courses(Vec<u8>)
    /// A note.
    Note(Note)
    /// A string.
    String(StringSpec)
    /// Scale length.
    Scale(ScaleLength)
    /// Frets.
    Frets(FretsSpec)
    /// A joint fret.
    JointFret(JointFretSpec)
    /// Curve of a board.
    Board(BoardCurve)
    /// A kind of nut.
    Nut(NutKind)
    /// A bridge.
    Bridge(BridgeSpec)
    /// A screw.
    Screw(ScrewSpec)
    /// A truss rod.
    Rod(RodSpec)
    /// A neck joint.
    NeckJoint(NeckJoint)
    /// A hand.
    Handedness(Handedness)
    /// An order of strings.
    Stringing(Stringing)
}
