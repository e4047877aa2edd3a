//! What may be said beside anything that is written.

use fallaway::Accept;

use crate::mirror::mirror;
use crate::{Entered, Location, Moment, Quantity, Result};

/// When something happened and who did it; what is not said is as usual: now, and whoever is at the
/// device.
#[derive(Debug, Clone, Default, PartialEq, uniffi::Record)]
pub struct WriteOptions {
    /// When it happened, if not now: a page of a notebook, a reading of yesterday. It belongs to the
    /// visit of that time.
    #[uniffi(default = None)]
    pub at: Option<Moment>,
    /// Who read it or did it, 1 to 64 characters.
    #[uniffi(default = None)]
    pub by: Option<String>,
    /// The doubts that the person has answered with yes, as the error `Unsure` named them. Any other
    /// is asked about.
    #[uniffi(default = [])]
    pub accept: Vec<Doubt>,
}

impl WriteOptions {
    pub(crate) fn typed(self) -> Result<fallaway::WriteOptions> {
        Ok(fallaway::WriteOptions {
            at: self.at.map(Moment::typed).transpose()?,
            by: self.by,
            accept: Accept::These(self.accept.into_iter().map(|doubt| doubt.id).collect()),
        })
    }
}

/// The options of a call that may have none.
pub(crate) fn typed(options: Option<WriteOptions>) -> Result<fallaway::WriteOptions> {
    options.unwrap_or_default().typed()
}

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
    /// To where.
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
            given: crate::voice::say(&doubt.given),
            reason: crate::voice::say(&doubt.reason),
            why: doubt.why.into(),
            usual_low: doubt.usual.map(|(low, _)| low.into()),
            usual_high: doubt.usual.map(|(_, high)| high.into()),
            entry: doubt.entry.map(crate::workshop::count),
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
            position: cell.position.map(crate::workshop::count),
            location: cell.location.map(Location::from),
            entry: cell.entry.map(crate::workshop::count),
            column: cell.column,
        }
    }
}
