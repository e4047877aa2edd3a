//! How hard each player plays, from numbers that played clean and from notes that buzzed.
//!
//! The force is that of the clearance model (`fallaway_mechanics::clearance`), at right angles to the
//! board, a finger 100 mm from the saddle: what the model gets wrong about a string is in it, and goes
//! out again where the same model uses it. It is no measurement of a hand.

mod estimate;
mod observe;

use fallaway_measure::Place;

use super::Lesson;
use crate::bench::Seen;

pub use estimate::{Bound, PRIOR_FACTOR, PRIOR_NEWTON, Side, estimate, prior, sides};
pub(super) use observe::learn;

/// From which sides a touch is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sides {
    /// From neither: nothing was observed.
    Neither,
    /// Bounded from above only: it played clean, and never buzzed.
    AtMost,
    /// Bounded from below only: it buzzed, and no number is known to be clean.
    AtLeast,
    /// Bounded from both sides.
    Both,
    /// A buzz tells of more than a clean number allows: the interval covers both.
    Contradict,
}

/// What was heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heard {
    /// No note of this string up to this fret buzzed.
    Clean {
        /// The highest fret that counts as played.
        to: u8,
    },
    /// These frets buzzed.
    Buzz {
        /// The lowest; 0 is open, and does not count.
        from: u8,
        /// The highest.
        to: u8,
    },
}

/// One observation.
#[derive(Debug, Clone, PartialEq)]
pub struct Observed {
    /// The position of its entry: the note of the buzz, or the entry that says that the player was
    /// at the instrument while the numbers stood.
    pub event: usize,
    /// The string.
    pub place: Place,
    /// What was heard.
    pub heard: Heard,
    /// What it says of the force, in N.
    pub bound: Bound,
    /// The relief it rests on.
    pub relief: Seen,
    /// The action it rests on.
    pub action: Seen,
}

/// How hard one player plays.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayerTouch {
    /// Who.
    pub by: String,
    /// Force at right angles to the board in N, with the interval that holds 95 %; the prior it
    /// started from, and what was left out.
    pub force: Lesson,
    /// From which sides it is held.
    pub sides: Sides,
    /// What it rests on, in the order of the record.
    pub observed: Vec<Observed>,
}

impl PlayerTouch {
    /// The observation that holds it most tightly from a side.
    pub fn tightest(&self, side: Side) -> Option<&Observed> {
        let of = self.observed.iter().filter(|o| o.bound.side == side);
        let by = |a: &&Observed, b: &&Observed| a.bound.newton.total_cmp(&b.bound.newton);
        match side {
            Side::AtMost => of.min_by(by),
            Side::AtLeast => of.max_by(by),
        }
    }
}
