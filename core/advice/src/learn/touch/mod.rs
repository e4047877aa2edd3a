//! How hard each player plays, from numbers that played clean and from notes that buzzed.
//!
//! The force is that of the clearance model (`fallaway_mechanics::clearance`), at right angles to the
//! board, a finger 100 mm from the saddle: what the model gets wrong about a string is in it, and goes
//! out again where the same model uses it. It is no measurement of a hand.

mod estimate;
mod observe;
mod player;

pub use estimate::{BoundSide, PRIOR_FACTOR, TouchBound, estimate, prior, sides};
pub(super) use observe::learn;
pub use player::{PlayerTouch, TouchHeard, TouchObserved};
