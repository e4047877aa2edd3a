//! Scale, frets, board, nut, rod and neck joint.

use fallaway_measure::{Amount, Fret, StringPlace};
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

use crate::numbered::numbered;

/// Scale length: nut to saddle without compensation, per string.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ScaleLength {
    /// The same for every string.
    Same(Amount),
    /// Fanned frets: the lowest and the highest string; those between are spread evenly.
    Fanned {
        /// Scale of the lowest string.
        bass: Amount,
        /// Scale of the highest string.
        treble: Amount,
    },
    /// String by string.
    Each(Vec<(StringPlace, Amount)>),
}

/// `[1, amount]`, `[2, bass, treble]`, `[3, [[place, amount], ...]]`.
impl<C> Encode<C> for ScaleLength {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        match self {
            Self::Same(amount) => e.array(2)?.u8(1)?.encode(amount)?.ok(),
            Self::Fanned { bass, treble } => e.array(3)?.u8(2)?.encode(bass)?.encode(treble)?.ok(),
            Self::Each(strings) => e.array(2)?.u8(3)?.encode(strings)?.ok(),
        }
    }
}

impl<'b, C> Decode<'b, C> for ScaleLength {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        match (d.array()?, d.u8()?) {
            (Some(2), 1) => Ok(Self::Same(d.decode()?)),
            (Some(3), 2) => Ok(Self::Fanned { bass: d.decode()?, treble: d.decode()? }),
            (Some(2), 3) => Ok(Self::Each(d.decode()?)),
            _ => Err(decode::Error::message("a scale of a newer version")),
        }
    }
}

/// The frets of the board, taken together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct FretsSpec {
    /// How many; 0 for a fretless board.
    #[n(0)]
    pub count: u8,
    /// Height of a crown over the board.
    #[n(1)]
    pub height: Option<Amount>,
}

impl FretsSpec {
    /// A board with this many frets.
    pub const fn count(count: u8) -> Self {
        Self { count, height: None }
    }

    /// Whether the board has none.
    pub const fn is_fretless(self) -> bool {
        self.count == 0
    }
}

/// Where the neck stops bending.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct JointFretSpec {
    /// The first fret over the body.
    #[n(0)]
    pub fret: Fret,
    /// How many frets the true place may lie to either side.
    #[n(1)]
    pub uncertain_by: u8,
}

impl JointFretSpec {
    /// A joint fret with the usual doubt of two frets (common practice, no source).
    pub const fn usual(fret: Fret) -> Self {
        Self { fret, uncertain_by: 2 }
    }
}

/// Curve of the board across the strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoardCurve {
    /// No curve: the crowns lie in a plane.
    Flat,
    /// One radius all along.
    Cylinder(Amount),
    /// The radius grows evenly from the nut to the last fret.
    Compound {
        /// Radius at the nut.
        nut: Amount,
        /// Radius at the last fret.
        last_fret: Amount,
    },
}

/// `[1]`, `[2, radius]`, `[3, nut, last fret]`.
impl<C> Encode<C> for BoardCurve {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        match self {
            Self::Flat => e.array(1)?.u8(1)?.ok(),
            Self::Cylinder(radius) => e.array(2)?.u8(2)?.encode(radius)?.ok(),
            Self::Compound { nut, last_fret } => {
                e.array(3)?.u8(3)?.encode(nut)?.encode(last_fret)?.ok()
            }
        }
    }
}

impl<'b, C> Decode<'b, C> for BoardCurve {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        match (d.array()?, d.u8()?) {
            (Some(1), 1) => Ok(Self::Flat),
            (Some(2), 2) => Ok(Self::Cylinder(d.decode()?)),
            (Some(3), 3) => Ok(Self::Compound { nut: d.decode()?, last_fret: d.decode()? }),
            _ => Err(decode::Error::message("a board of a newer version")),
        }
    }
}

numbered! {
    /// What holds the strings at the head end.
    NutKind {
        /// A plain nut with a slot for each string.
        Slotted = 1, "slotted nut";
        /// A zero fret; the slots behind it only guide.
        ZeroFret = 2, "zero fret";
        /// Locking: unlock it before tuning.
        Locking = 3, "locking nut";
        /// A nut whose front edge is shaped string by string for intonation.
        Compensated = 4, "compensated nut";
        /// A nut with rollers, which turn as the string moves.
        Roller = 5, "roller nut";
    }
}

numbered! {
    /// The kind of truss rod.
    RodKind {
        /// No adjustable rod.
        Absent = 1, "no adjustable rod";
        /// One-way: only works against string pull.
        OneWay = 2, "one-way rod";
        /// Two-way, with a dead zone in between in which nothing happens.
        TwoWay = 3, "two-way rod";
    }
}

numbered! {
    /// Where the rod is adjusted.
    RodAccess {
        /// At the head.
        Head = 1, "at the head";
        /// At the body end.
        Heel = 2, "at the heel";
    }
}

/// The truss rod. Which way it turns to do what is in its [`crate::spec::ScrewSpec`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct RodSpec {
    /// Which ways the rod works.
    #[n(0)]
    pub kind: RodKind,
    /// Where it is adjusted.
    #[n(1)]
    pub access: Option<RodAccess>,
}

numbered! {
    /// How the neck is attached.
    NeckJoint {
        /// Screwed into a pocket.
        BoltOn = 1, "bolt-on";
        /// Set in and glued.
        Glued = 2, "glued";
        /// The neck runs through the body.
        Through = 3, "neck-through";
    }
}

numbered! {
    /// For which hand the instrument is built.
    Handedness {
        /// The bass side is on the left, seen from the front with the head up.
        Right = 1, "right-handed";
        /// The bass side is on the right, seen from the front with the head up.
        Left = 2, "left-handed";
    }
}

numbered! {
    /// The order of the strings for the hand for which the instrument is built.
    Stringing {
        /// As usual: the lowest string is uppermost when it is played.
        Usual = 1, "usual stringing";
        /// The other way round.
        Reversed = 2, "reversed stringing";
    }
}
