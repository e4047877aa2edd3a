//! What is read, and in which way.

use std::fmt;

use crate::{Dimension, Limit, ValueError};

/// A fret by its number; 0 is the nut or the open string, depending on the use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fret(u8);

impl Fret {
    /// The highest fret number.
    pub const MAX: u8 = Limit::Fret.most() as u8;
    /// The nut, or an open string.
    pub const OPEN: Fret = Fret(0);

    /// A fret.
    ///
    /// # Errors
    /// [`ValueError::OutOfRange`] above [`Self::MAX`].
    pub fn new(number: u8) -> Result<Self, ValueError> {
        if number > Self::MAX {
            return Err(ValueError::OutOfRange {
                what: "fret",
                value: number.to_string(),
                low: 0,
                high: i64::from(Self::MAX),
            });
        }
        Ok(Self(number))
    }

    /// Its number, counted from the nut; 0 for an open string.
    pub const fn number(self) -> u8 {
        self.0
    }

    /// Whether it is the nut or the open string.
    pub const fn is_open(self) -> bool {
        self.0 == 0
    }
}

impl fmt::Display for Fret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// The family of an instrument, for the ranges that are usual.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum InstrumentFamily {
    /// Electric bass: ranges that are usual for long, heavy strings.
    Bass,
    /// Electric guitar: ranges that are usual for light strings.
    Guitar,
    /// Any other fretted instrument, or one that a newer version names.
    Other(u16),
}

impl InstrumentFamily {
    /// The number that stands for the family on disk and on the wire, for ever.
    pub const fn number(self) -> u16 {
        match self {
            Self::Bass => 1,
            Self::Guitar => 2,
            Self::Other(number) => number,
        }
    }

    /// The family with this number; 0 is "some other fretted instrument".
    pub const fn from_number(number: u16) -> Self {
        match number {
            1 => Self::Bass,
            2 => Self::Guitar,
            other => Self::Other(other),
        }
    }
}

impl fmt::Display for InstrumentFamily {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Bass => "bass",
            Self::Guitar => "guitar",
            Self::Other(_) => "fretted instrument",
        })
    }
}

/// What is read, and in which way: readings taken in different ways are different quantities.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    /// From the string's underside to the crown of a fret. Action and nut readings are both gaps.
    Gap {
        /// Where the string is stopped; [`Fret::OPEN`] for an open string.
        stopped: Fret,
        /// The fret over which the gap is read.
        over: Fret,
    },
    /// Gap between the crowns and a straight line (the string stopped at both ends, or a straight
    /// edge). Signed: a back-bow is below zero.
    Relief {
        /// Where the line begins.
        from: Fret,
        /// Where it ends.
        to: Fret,
        /// Where the gap is read; the largest gap if not named.
        at: Option<Fret>,
    },
    /// How far the board falls away toward its end: a straight edge lies on the crowns from one fret to
    /// another, and the gap under it is read at a fret beyond. Signed: a board that rises is below zero.
    FallAway {
        /// Where the straight edge begins.
        from: Fret,
        /// The last fret that it rests on, about where the body begins.
        to: Fret,
        /// Where the gap is read, commonly the last fret.
        at: Fret,
    },
    /// The open string against the wanted note, in cents.
    Pitch,
    /// The stopped note against the open one of the same minute, same partial, in cents.
    Intonation {
        /// Where the string is stopped.
        fret: Fret,
    },
    /// At the bridge, centre to centre, from this string to the next lower one.
    SpacingBridge,
    /// At the nut, centre to centre, from this string to the next lower one.
    SpacingNut,
    /// From the string's underside to the pole or cover of a pickup.
    PickupGap {
        /// The pickup; 1 is nearest the bridge.
        pickup: u8,
        /// Where the string is stopped, commonly the last fret.
        stopped: Fret,
    },
    /// On a bridge that floats on two posts: from the top of the body to the edge of the bridge plate at
    /// a post, always the same edge.
    BridgeHeight,
    /// On a bridge that floats: from the top of the body to the rear edge of the bridge plate. Beside
    /// [`Self::BridgeHeight`] it tells the tilt.
    BridgeTail,
    /// Written by a newer version, by its number. Keep the bytes it came in: it cannot be encoded.
    Other(u32),
}

impl Quantity {
    /// The gap under a string stopped at a fret (0: open), over another: action and nut readings.
    ///
    /// ```
    /// use fallaway_measure::Quantity;
    /// assert_eq!(Quantity::gap(1, 24)?.to_string(), "gap stopped at 1 over 24");
    /// # Ok::<(), fallaway_measure::ValueError>(())
    /// ```
    ///
    /// # Errors
    /// [`ValueError::OutOfRange`] for a fret above [`Fret::MAX`], [`ValueError::NoGap`] where the
    /// string is stopped at the very fret.
    pub fn gap(stopped: u8, over: u8) -> Result<Self, ValueError> {
        if stopped == over {
            return Err(ValueError::NoGap { fret: over });
        }
        Ok(Self::Gap { stopped: Fret::new(stopped)?, over: Fret::new(over)? })
    }

    /// The gap at the nut as it is usually read: stopped at 3, over 1 (common practice, no source).
    pub const fn nut() -> Self {
        Self::Gap { stopped: Fret(3), over: Fret(1) }
    }

    /// The relief between two frets, where it is largest.
    ///
    /// # Errors
    /// [`ValueError::OutOfRange`] for a fret above [`Fret::MAX`], [`ValueError::Backwards`] unless
    /// `to` lies beyond `from`.
    pub fn relief(from: u8, to: u8) -> Result<Self, ValueError> {
        if from >= to {
            return Err(ValueError::Backwards { from, to });
        }
        Ok(Self::Relief { from: Fret::new(from)?, to: Fret::new(to)?, at: None })
    }

    /// The relief between two frets, read at one in between.
    ///
    /// # Errors
    /// As [`Self::relief`].
    pub fn relief_at(from: u8, to: u8, at: u8) -> Result<Self, ValueError> {
        Self::relief(from, to)?;
        Ok(Self::Relief { from: Fret::new(from)?, to: Fret::new(to)?, at: Some(Fret::new(at)?) })
    }

    /// The fall-away under a straight edge on the crowns from one fret to another, read at a fret beyond.
    ///
    /// ```
    /// use fallaway_measure::Quantity;
    /// assert_eq!(Quantity::fall_away(12, 16, 24)?.to_string(), "fall-away 12 to 16 at 24");
    /// assert!(Quantity::fall_away(12, 24, 16).is_err());
    /// # Ok::<(), fallaway_measure::ValueError>(())
    /// ```
    ///
    /// # Errors
    /// [`ValueError::OutOfRange`] for a fret above [`Fret::MAX`], [`ValueError::Backwards`] unless
    /// the three frets rise.
    pub fn fall_away(from: u8, to: u8, at: u8) -> Result<Self, ValueError> {
        for (from, to) in [(from, to), (to, at)] {
            if from >= to {
                return Err(ValueError::Backwards { from, to });
            }
        }
        Ok(Self::FallAway { from: Fret::new(from)?, to: Fret::new(to)?, at: Fret::new(at)? })
    }

    /// The note stopped at a fret against the open one, in cents.
    ///
    /// # Errors
    /// [`ValueError::OutOfRange`] for a fret above [`Fret::MAX`].
    pub fn intonation(fret: u8) -> Result<Self, ValueError> {
        Ok(Self::Intonation { fret: Fret::new(fret)? })
    }

    /// The gap between a string stopped at a fret and a pickup, 1 being nearest the bridge.
    ///
    /// # Errors
    /// [`ValueError::OutOfRange`] for a fret above [`Fret::MAX`].
    pub fn pickup_gap(pickup: u8, stopped: u8) -> Result<Self, ValueError> {
        Ok(Self::PickupGap { pickup, stopped: Fret::new(stopped)? })
    }

    /// What readings of this quantity measure.
    pub const fn dimension(self) -> Dimension {
        match self {
            Self::Gap { .. }
            | Self::Relief { .. }
            | Self::FallAway { .. }
            | Self::SpacingBridge
            | Self::SpacingNut
            | Self::PickupGap { .. }
            | Self::BridgeHeight
            | Self::BridgeTail => Dimension::Length,
            Self::Pitch | Self::Intonation { .. } => Dimension::Interval,
            Self::Other(_) => Dimension::Other,
        }
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Gap { stopped: Fret::OPEN, over } => write!(f, "gap open over {over}"),
            Self::Gap { stopped, over } => write!(f, "gap stopped at {stopped} over {over}"),
            Self::Relief { from, to, at: None } => write!(f, "relief {from} to {to}"),
            Self::Relief { from, to, at: Some(at) } => write!(f, "relief {from} to {to} at {at}"),
            Self::FallAway { from, to, at } => write!(f, "fall-away {from} to {to} at {at}"),
            Self::Pitch => f.write_str("pitch"),
            Self::Intonation { fret } => write!(f, "intonation at {fret}"),
            Self::SpacingBridge => f.write_str("spacing at bridge"),
            Self::SpacingNut => f.write_str("spacing at nut"),
            Self::PickupGap { pickup, stopped: Fret::OPEN } => {
                write!(f, "pickup {pickup} gap open")
            }
            Self::PickupGap { pickup, stopped } => {
                write!(f, "pickup {pickup} gap stopped at {stopped}")
            }
            Self::BridgeHeight => f.write_str("bridge height at post"),
            Self::BridgeTail => f.write_str("bridge height at tail"),
            Self::Other(number) => write!(f, "quantity {number}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn constructors_refuse_what_cannot_be_read() {
        assert_eq!(Quantity::gap(5, 5), Err(ValueError::NoGap { fret: 5 }));
        assert_eq!(Quantity::relief(12, 12), Err(ValueError::Backwards { from: 12, to: 12 }));
        assert!(Quantity::gap(1, 37).is_err() && Quantity::intonation(37).is_err());
        let relief = Quantity::relief_at(1, 24, 7).unwrap();
        assert_eq!(relief.to_string(), "relief 1 to 24 at 7");
        assert_eq!(Quantity::nut(), Quantity::gap(3, 1).unwrap());
    }
}
