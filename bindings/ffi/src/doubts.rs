//! Which value of several is meant, and what looks like a slip about it.

use crate::mirror::mirror;
use crate::numbers::count;
use crate::voice::say;
use crate::{Entered, Location, Quantity};

mirror! {
    /// Why a value looks like a slip.
    WhyDoubted = fallaway::WhyDoubted {
        /// It lies outside of what is usual.
        Unusual,
        /// Several values that were given together run the other way, as if counted from the wrong side.
        WrongOrder,
        /// A screw was turned further than in one go.
        TurnedFar,
        /// A part was moved further than in one go.
        MovedFar,
        /// The part moved against the way in which its screw is known to work.
        AgainstScrew,
    }
}

/// One value that looks like a slip: a reading, a target, a fact, something turned, the air.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Doubt {
    /// The same whenever that value is doubted; what a call that accepts it goes by.
    pub id: String,
    /// What was read or is wanted, and which way; nothing if it is about something else.
    pub quantity: Option<Quantity>,
    /// Where it was read or is wanted.
    pub location: Option<Location>,
    /// What was given, as it is shown: "60 thou".
    pub given: String,
    /// Why it looks wrong, with what is usual.
    pub reason: String,
    /// The same as data.
    pub why: WhyDoubted,
    /// From where it is usual, if that is an amount.
    #[uniffi(default = None)]
    pub usual_low: Option<Entered>,
    /// Up to where it is usual, in the same unit; `None` if it is no amount.
    #[uniffi(default = None)]
    pub usual_high: Option<Entered>,
    /// In which of the entries that were given together, counted from 1, if it was one of several.
    #[uniffi(default = None)]
    pub entry: Option<u32>,
}

impl From<&fallaway::Doubt> for Doubt {
    fn from(doubt: &fallaway::Doubt) -> Self {
        Self {
            id: doubt.id(),
            quantity: doubt.quantity().map(Quantity::from),
            location: doubt.location().map(Location::from),
            given: say(&doubt.given),
            reason: say(&doubt.reason),
            why: doubt.why.into(),
            usual_low: doubt.usual.map(|(low, _)| low.into()),
            usual_high: doubt.usual.map(|(_, high)| high.into()),
            entry: doubt.entry.map(count),
        }
    }
}

/// One value of several that were given together: where it stands.
#[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Record)]
pub struct Cell {
    /// Which of them, counted from 1; in a table its row.
    pub position: Option<u32>,
    /// Where on the instrument it was read.
    pub location: Option<Location>,
    /// In which of the entries that were given, counted from 1.
    #[uniffi(default = None)]
    pub entry: Option<u32>,
    /// In which column of a table, by its heading.
    #[uniffi(default = None)]
    pub column: Option<String>,
}

impl From<fallaway::Cell> for Cell {
    fn from(cell: fallaway::Cell) -> Self {
        Self {
            position: cell.position.map(count),
            location: cell.location.map(Location::from),
            entry: cell.entry.map(count),
            column: cell.column,
        }
    }
}
