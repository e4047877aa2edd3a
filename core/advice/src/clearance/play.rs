//! How it is played: how hard, which way, where, and where the force comes from.

use fallaway_measure::Length;
use fallaway_mechanics::envelope::Touch;
use fallaway_mechanics::pluck::PluckDirection;
use fallaway_mechanics::units::mm;
use uom::si::f64::Force;
use uom::si::force::newton;

/// Median of what is thought of a touch before anything is learned, in N: an ordinary finger stroke
/// (common practice, no source).
pub(crate) const PRIOR_NEWTON: f64 = 1.5;

/// From which sides a touch is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TouchBounds {
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

/// Where the force of a touch comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ForceFrom {
    /// Assumed: an ordinary finger stroke (common practice, no source).
    Assumed,
    /// Whoever asks named it.
    Given,
    /// Learned from one player's clean numbers and buzz notes.
    Learned {
        /// How many observations it was learned from.
        observations: usize,
        /// Low end of the interval that holds 95 %, in N.
        low_newton: f64,
        /// High end, in N.
        high_newton: f64,
        /// From which sides the observations hold it.
        sides: TouchBounds,
    },
}

/// How it is played.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TouchUsed {
    /// How hard, and which way.
    pub touch: Touch,
    /// Where the force comes from.
    pub touch_from: ForceFrom,
    /// Where it is plucked, from the saddle.
    pub from_saddle: Length,
    /// Margin that has to stay, for the lowest action.
    pub spare: Length,
}

impl TouchUsed {
    /// A finger that pushes the string toward the board with this vertical force in newton, 100 mm
    /// from the saddle, nothing to spare.
    pub fn with_force(force_newton: f64) -> Self {
        let force = Force::new::<newton>(force_newton);
        Self {
            touch: Touch { force, direction: PluckDirection::TowardBoard },
            touch_from: ForceFrom::Given,
            from_saddle: mm(100.0),
            spare: mm(0.0),
        }
    }

    /// The touch that is assumed where nothing better is known: 1.5 N (common practice, no source).
    pub fn assumed() -> Self {
        Self { touch_from: ForceFrom::Assumed, ..Self::with_force(PRIOR_NEWTON) }
    }
}

/// Whether a string stays clean under a touch that is known to lie in an interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UnderTouch {
    /// Clean, even at the high end of the interval.
    Clean,
    /// It touches, even at the low end.
    Touches,
    /// It depends on where in its interval the touch lies.
    CannotBeTold,
}

/// Whether a string that allows so much stays clean.
pub(super) fn under_touch(allowed_newton: Option<f64>, play: TouchUsed) -> UnderTouch {
    // A string that lies on a fret allows nothing.
    let allowed = allowed_newton.unwrap_or(0.0);
    let force = play.touch.force.get::<newton>();
    let (low, high) = match play.touch_from {
        ForceFrom::Learned { low_newton, high_newton, .. } => (low_newton, high_newton),
        ForceFrom::Assumed | ForceFrom::Given => (force, force),
    };
    if high <= allowed {
        UnderTouch::Clean
    } else if low > allowed {
        UnderTouch::Touches
    } else {
        UnderTouch::CannotBeTold
    }
}
