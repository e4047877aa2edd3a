//! What is read, where, and when.

use fallaway::measure;
use fallaway::record;

/// A moment by the clock of the device that wrote it. Clocks lie: what was written after seeing
/// something comes after it, whatever its clock said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Record)]
pub struct Moment {
    /// Seconds since 1970-01-01T00:00:00Z, without leap seconds.
    pub unix_s: i64,
    /// Minutes east of UTC at that place, -1080 to 1080.
    pub offset_min: i32,
}

impl From<record::Moment> for Moment {
    fn from(at: record::Moment) -> Self {
        Self { unix_s: at.unix_s, offset_min: i32::from(at.offset_min) }
    }
}

/// A string by its place: courses are numbered from the treble side, 1 to 48; the strings of a
/// course that has several are lettered.
#[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Record)]
pub struct StringPlace {
    /// The course, 1 on the treble side.
    pub course: u32,
    /// The letter within a course of several strings, "a" to "z"; `None` for the only string of a
    /// course, or the course as a whole.
    #[uniffi(default = None)]
    pub letter: Option<String>,
}

impl From<measure::StringPlace> for StringPlace {
    fn from(place: measure::StringPlace) -> Self {
        Self {
            course: u32::from(place.number()),
            letter: place.member().map(|letter| letter.to_string()),
        }
    }
}

pub use fallaway::measure::Side;

/// A side of the instrument.
#[uniffi::remote(Enum)]
pub enum Side {
    /// The side of the lowest string.
    Bass,
    /// The side of the highest string.
    Treble,
}

/// Where on the instrument.
#[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum Location {
    /// The instrument as a whole, or the middle of the neck.
    Whole,
    /// One string or course.
    OneString {
        /// The string, or the course as a whole.
        place: StringPlace,
    },
    /// One side, where bass and treble side are read apart: a pickup, a post, the neck.
    OneSide {
        /// The bass side or the treble side.
        side: Side,
    },
    /// Written by a newer version; it can be shown, not written.
    Newer {
        /// Its number in the record format.
        number: u32,
    },
}

impl From<measure::Location> for Location {
    fn from(location: measure::Location) -> Self {
        match location {
            measure::Location::Course(place) => Self::OneString { place: place.into() },
            measure::Location::Side(side) => Self::OneSide { side },
            measure::Location::Other(number) => Self::Newer { number },
            measure::Location::Whole => Self::Whole,
        }
    }
}

/// What is read, and in which way: readings taken in different ways are different quantities.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum Quantity {
    /// From the string's underside to the crown of a fret. Action and nut readings are both gaps.
    Gap {
        /// Where the string is stopped; 0 for an open string.
        stopped_fret: u32,
        /// The fret over which the gap is read, 1 to 36.
        over_fret: u32,
    },
    /// Gap between the crowns and a straight line (the string stopped at both ends, or a straight
    /// edge). A back-bow is below zero.
    Relief {
        /// Where the line begins, commonly 1.
        from_fret: u32,
        /// The fret at which the line ends: the last one, or the one at the body.
        to_fret: u32,
        /// Where the gap is read; `None`: where it is largest.
        at_fret: Option<u32>,
    },
    /// How far the board falls away toward its end: the gap under a straight edge that lies on the crowns
    /// from one fret to another, read at a fret beyond. A board that rises is below zero.
    FallAway {
        /// Where the straight edge begins.
        from_fret: u32,
        /// The last fret that it rests on, about where the body begins.
        to_fret: u32,
        /// Where the gap is read, commonly the last fret.
        at_fret: u32,
    },
    /// The open string against the wanted note, in cents.
    Pitch,
    /// The stopped note against the open one of the same minute, same partial, in cents.
    Intonation {
        /// Where the string is stopped.
        stopped_fret: u32,
    },
    /// At the bridge, centre to centre, from this string to the next lower one.
    SpacingBridge,
    /// At the nut, centre to centre, from this string to the next lower one.
    SpacingNut,
    /// From the string's underside to the pole or cover of a pickup.
    PickupGap {
        /// The pickup; 1 is nearest the bridge.
        pickup: u32,
        /// Where the string is stopped, commonly the last fret; 0 for an open string.
        stopped_fret: u32,
    },
    /// On a bridge that floats on two posts: from the top of the body to the edge of the bridge plate at
    /// a post, one value for each side.
    BridgeHeight,
    /// On a bridge that floats: from the top of the body to the rear edge of the bridge plate.
    BridgeTail,
    /// Written by a newer version; it can be shown, not written.
    Newer {
        /// Its number in the record format.
        number: u32,
    },
}

impl From<measure::Quantity> for Quantity {
    fn from(quantity: measure::Quantity) -> Self {
        use measure::Quantity as Typed;
        let fret = |fret: measure::Fret| u32::from(fret.number());
        match quantity {
            Typed::Gap { stopped, over } => {
                Self::Gap { stopped_fret: fret(stopped), over_fret: fret(over) }
            }
            Typed::Relief { from, to, at } => {
                Self::Relief { from_fret: fret(from), to_fret: fret(to), at_fret: at.map(fret) }
            }
            Typed::FallAway { from, to, at } => {
                Self::FallAway { from_fret: fret(from), to_fret: fret(to), at_fret: fret(at) }
            }
            Typed::Pitch => Self::Pitch,
            Typed::Intonation { fret: at } => Self::Intonation { stopped_fret: fret(at) },
            Typed::SpacingBridge => Self::SpacingBridge,
            Typed::SpacingNut => Self::SpacingNut,
            Typed::PickupGap { pickup, stopped } => {
                Self::PickupGap { pickup: u32::from(pickup), stopped_fret: fret(stopped) }
            }
            Typed::BridgeHeight => Self::BridgeHeight,
            Typed::BridgeTail => Self::BridgeTail,
            Typed::Other(number) => Self::Newer { number },
        }
    }
}
