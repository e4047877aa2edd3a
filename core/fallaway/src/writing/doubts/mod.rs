//! What to ask a person before something is written: where a slip of the finger, of the unit or of the
//! order is likely. What cannot be is refused elsewhere; what is only unusual is asked about, and kept.
//!
//! What is usual is common practice without a source.

mod air;
mod facts;
mod lengths;
mod turns;

use fallaway_measure::{Amount, Decimal, Unit};
use fallaway_text::Phrase;

use crate::error::{Error, Result};
use crate::writing::write_options::{Accept, Doubt};

pub(crate) use air::of_air;
pub(crate) use facts::of_facts;
pub(crate) use lengths::{Lengths, of_pass};
pub use turns::is_against_the_known_way;
pub(crate) use turns::of_adjustment;

impl Accept {
    /// Asks about those that the person has not answered yet.
    ///
    /// # Errors
    /// [`Error::Unsure`] with them.
    pub(crate) fn settles(&self, field: impl Into<Phrase>, doubts: Vec<Doubt>) -> Result<()> {
        let doubts = self.left(doubts);
        if doubts.is_empty() { Ok(()) } else { Err(Error::Unsure { field: field.into(), doubts }) }
    }
}

/// A number as people read it.
fn amount(number: f64, unit: Unit) -> Option<Amount> {
    Some(Amount::Decimal { value: Decimal::nearest(number)?, unit })
}
