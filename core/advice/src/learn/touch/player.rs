//! What is known of one player's touch.

use fallaway_measure::StringPlace;
use fallaway_record::{EntryId, Moment};

use super::estimate::{BoundSide, TouchBound};
use crate::clearance::{ForceFrom, TouchBounds, TouchUsed};
use crate::learn::value::LearnedValue;
use crate::observe::Observation;

/// What was heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TouchHeard {
    /// No note of this string up to this fret buzzed.
    Clean {
        /// The highest fret that counts as played.
        to: u8,
    },
    /// These frets buzzed.
    Buzz {
        /// The lowest; 0 is open, and does not count.
        from: u8,
        /// The highest fret that buzzed.
        to: u8,
    },
}

/// One observation of a touch: what was heard, at which numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct TouchObserved {
    /// Its entry: the note of the buzz, or the entry that says that the player was
    /// at the instrument while the numbers stood.
    pub entry: EntryId,
    /// When that was, by the writer's clock.
    pub at: Moment,
    /// The string that was played.
    pub place: StringPlace,
    /// What was heard.
    pub heard: TouchHeard,
    /// What it says of the force, in N.
    pub bound: TouchBound,
    /// The relief it rests on.
    pub relief: Observation,
    /// The action it rests on.
    pub action: Observation,
}

/// How hard one player plays.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayerTouch {
    /// The player, by the name that the entries carry.
    pub by: String,
    /// Force at right angles to the board in N, with the interval that holds 95 %; the prior it
    /// started from, and what was left out.
    pub force: LearnedValue,
    /// From which sides it is held.
    pub sides: TouchBounds,
    /// What it rests on, in the order of the record.
    pub observed: Vec<TouchObserved>,
}

impl PlayerTouch {
    /// The observation that holds it most tightly from a side.
    pub fn tightest(&self, side: BoundSide) -> Option<&TouchObserved> {
        let of = self.observed.iter().filter(|o| o.bound.side == side);
        let by = |a: &&TouchObserved, b: &&TouchObserved| a.bound.newton.total_cmp(&b.bound.newton);
        match side {
            BoundSide::AtMost => of.min_by(by),
            BoundSide::AtLeast => of.max_by(by),
        }
    }
}

impl TouchUsed {
    /// The touch of a player, as learned; [`Self::assumed`] if nothing was.
    pub fn learned(touch: &PlayerTouch) -> Self {
        if touch.sides == TouchBounds::Neither {
            return Self::assumed();
        }
        let force = &touch.force;
        Self {
            touch_from: ForceFrom::Learned {
                observations: force.observations,
                low_newton: force.estimate.low,
                high_newton: force.estimate.high,
                sides: touch.sides,
            },
            ..Self::with_force(force.estimate.value)
        }
    }
}
