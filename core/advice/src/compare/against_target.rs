//! A reading against a target.

use crate::observe::{Bound, Estimate};

/// A tolerance below what the finest tools read is met by them all the same, in mm.
const FINEST_MM: f64 = 0.02;

/// What a number rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RestsOn {
    /// Read, in the very way in which the target is written.
    Reading,
    /// Read in another way and converted by the model of the neck.
    Converted,
    /// Read at another place of the instrument.
    ElsewhereOnInstrument,
}

/// A reading against a target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgainstTarget {
    /// What was read, in the way in which the target is written.
    pub read: Estimate,
    /// What is wanted.
    pub wanted: Estimate,
    /// How far off is still fine, in the same unit.
    pub tolerance: f64,
    /// What `read` rests on.
    pub rests_on: RestsOn,
}

impl AgainstTarget {
    /// How far off: read minus wanted.
    pub fn off(&self) -> Estimate {
        self.read.minus(self.wanted)
    }

    /// Whether a value's standard uncertainty is larger than the tolerance it is held against: such a reading
    /// neither passes a target nor confirms what is to be cut.
    pub fn is_coarse(&self) -> bool {
        self.read.bound == Bound::Value
            && self.read.standard_uncertainty > self.tolerance.max(FINEST_MM)
    }
}
