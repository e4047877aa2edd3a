//! What can be read or wanted: a quantity at a place, and the class of the quantity by which the
//! chain of work treats it.

use fallaway_measure::{Fret, Location, Quantity, StringPlace};

/// A quantity at a place: one target, one thing to read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Measurand {
    /// What is read, and which way.
    pub quantity: Quantity,
    /// Which string or side, or the whole instrument.
    pub location: Location,
}

/// How the chain of work treats a quantity. Two quantities of one class are disturbed by the same
/// interventions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum MeasurandKind {
    /// The open string against the wanted note.
    Pitch,
    /// The gap between the crowns and a straight line.
    Relief,
    /// How far the board falls away toward its end, under a straight edge.
    FallAway,
    /// The bridge plate over the body, at a post.
    BridgeHeight,
    /// The rear edge of the bridge plate over the body.
    BridgeTail,
    /// The open string over fret 1.
    NutOpen,
    /// Held down above: the string stopped at a fret, read over a lower one. Tells the slot.
    NutHeld,
    /// The open string over a fret beyond the first.
    ActionOpen,
    /// Stopped at a fret, read over a higher one.
    ActionStopped,
    /// String to pole or cover.
    PickupGap,
    /// Stopped note against open note, up to fret 5.
    IntonationNearNut,
    /// Stopped note against open note, above fret 5.
    Intonation,
    /// Centre to centre at the bridge.
    SpacingBridge,
    /// Centre to centre at the nut.
    SpacingNut,
}

/// Up to this fret a cut nut slot is heard in the intonation (common practice, no source).
pub(crate) const NEAR_NUT: u8 = 5;

impl MeasurandKind {
    /// The kind of a quantity; `None` for one that this version does not know, and for a gap over
    /// the very fret at which the string is stopped.
    pub fn of(quantity: Quantity) -> Option<Self> {
        Some(match quantity {
            Quantity::Pitch => Self::Pitch,
            Quantity::Relief { .. } => Self::Relief,
            Quantity::FallAway { .. } => Self::FallAway,
            Quantity::Gap { stopped, over } if stopped.is_open() => {
                if over.number() <= 1 {
                    Self::NutOpen
                } else {
                    Self::ActionOpen
                }
            }
            Quantity::Gap { stopped, over } if stopped > over => Self::NutHeld,
            Quantity::Gap { stopped, over } if stopped < over => Self::ActionStopped,
            Quantity::PickupGap { .. } => Self::PickupGap,
            Quantity::Intonation { fret } if fret.number() <= NEAR_NUT => Self::IntonationNearNut,
            Quantity::Intonation { .. } => Self::Intonation,
            Quantity::SpacingBridge => Self::SpacingBridge,
            Quantity::SpacingNut => Self::SpacingNut,
            Quantity::BridgeHeight => Self::BridgeHeight,
            Quantity::BridgeTail => Self::BridgeTail,
            _ => return None,
        })
    }

    /// Whether it is one of the two ways of reading action.
    pub const fn is_action(self) -> bool {
        matches!(self, Self::ActionOpen | Self::ActionStopped)
    }

    /// Whether it is one of the two nut readings.
    pub const fn is_nut(self) -> bool {
        matches!(self, Self::NutOpen | Self::NutHeld)
    }

    /// The word of the trade.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pitch => "pitch",
            Self::Relief => "relief",
            Self::FallAway => "fall-away",
            Self::NutOpen | Self::NutHeld => "nut",
            Self::ActionOpen | Self::ActionStopped => "action",
            Self::PickupGap => "pickup gap",
            Self::IntonationNearNut | Self::Intonation => "intonation",
            Self::SpacingBridge => "spacing at the bridge",
            Self::SpacingNut => "spacing at the nut",
            Self::BridgeHeight => "bridge height",
            Self::BridgeTail => "bridge tail",
        }
    }
}

impl Measurand {
    /// A quantity of one string.
    pub const fn string(quantity: Quantity, place: StringPlace) -> Self {
        Self { quantity, location: Location::Course(place) }
    }

    /// A quantity of the instrument as a whole.
    pub const fn whole(quantity: Quantity) -> Self {
        Self { quantity, location: Location::Whole }
    }

    /// The class of its quantity; `None` as [`MeasurandKind::of`] has it.
    pub fn kind(self) -> Option<MeasurandKind> {
        MeasurandKind::of(self.quantity)
    }

    /// Its string, if it belongs to one.
    pub const fn place(self) -> Option<StringPlace> {
        match self.location {
            Location::Course(place) => Some(place),
            _ => None,
        }
    }
}

/// The gap of a string stopped at `stopped` over `over`; `None` beyond the highest fret there is.
pub fn gap(stopped: u8, over: u8) -> Option<Quantity> {
    Some(Quantity::Gap { stopped: Fret::new(stopped).ok()?, over: Fret::new(over).ok()? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_follow_where_the_string_is_held() {
        assert_eq!(MeasurandKind::of(gap(0, 1).unwrap()), Some(MeasurandKind::NutOpen));
        assert_eq!(MeasurandKind::of(gap(3, 1).unwrap()), Some(MeasurandKind::NutHeld));
        assert_eq!(MeasurandKind::of(gap(0, 12).unwrap()), Some(MeasurandKind::ActionOpen));
        assert_eq!(MeasurandKind::of(gap(1, 24).unwrap()), Some(MeasurandKind::ActionStopped));
        assert_eq!(MeasurandKind::of(gap(5, 5).unwrap()), None);
    }
}
