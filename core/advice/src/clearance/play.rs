//! How it is played: how hard, which way, where, and where the force comes from.

use fallaway_measure::Length;
use fallaway_mechanics::envelope::Touch;
use fallaway_mechanics::pluck::Direction;
use fallaway_mechanics::units::mm;
use uom::si::f64::Force;
use uom::si::force::newton;

use crate::learned::PlayerTouch;
use crate::learned::touch::{PRIOR_NEWTON, Sides};

/// Where the force of a touch comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TouchFrom {
    /// Assumed: an ordinary finger stroke (common practice, no source).
    Assumed,
    /// Whoever asks named it.
    Given,
    /// Learned from one player's clean numbers and buzz notes.
    Learned {
        /// From how many.
        observations: usize,
        /// Low end of the interval that holds 95 %, in N.
        low_newton: f64,
        /// High end, in N.
        high_newton: f64,
        /// From which sides the observations hold it.
        sides: Sides,
    },
}

/// How it is played.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Play {
    /// How hard, and which way.
    pub touch: Touch,
    /// Where the force comes from.
    pub touch_from: TouchFrom,
    /// Where it is plucked, from the saddle.
    pub from_saddle: Length,
    /// Margin that has to stay, for the lowest action.
    pub spare: Length,
}

impl Play {
    /// A finger that pushes the string toward the board with this vertical force in newton, 100 mm
    /// from the saddle, nothing to spare.
    pub fn with_force(force_newton: f64) -> Self {
        let force = Force::new::<newton>(force_newton);
        Self {
            touch: Touch { force, direction: Direction::TowardBoard },
            touch_from: TouchFrom::Given,
            from_saddle: mm(100.0),
            spare: mm(0.0),
        }
    }

    /// The touch that is assumed where nothing better is known: 1.5 N (common practice, no source).
    pub fn assumed() -> Self {
        Self { touch_from: TouchFrom::Assumed, ..Self::with_force(PRIOR_NEWTON) }
    }

    /// The touch of a player, as learned; [`Self::assumed`] if nothing was.
    pub fn learned(touch: &PlayerTouch) -> Self {
        if touch.sides == Sides::Neither {
            return Self::assumed();
        }
        let force = &touch.force;
        Self {
            touch_from: TouchFrom::Learned {
                observations: force.observations,
                low_newton: force.estimate.low,
                high_newton: force.estimate.high,
                sides: touch.sides,
            },
            ..Self::with_force(force.estimate.value)
        }
    }

    /// The force and what it rests on: "1.5 N at right angles to the board, assumed (common practice,
    /// no source)".
    pub fn text(&self) -> String {
        let force = self.touch.force.get::<newton>();
        let from = match self.touch_from {
            TouchFrom::Assumed => "assumed (common practice, no source)".to_owned(),
            TouchFrom::Given => "as given".to_owned(),
            TouchFrom::Learned { observations, low_newton, high_newton, sides } => {
                let noun = if observations == 1 { "observation" } else { "observations" };
                let sides = match sides {
                    Sides::AtMost => ", bounded from above only",
                    Sides::AtLeast => ", bounded from below only",
                    Sides::Contradict => ", which contradict each other",
                    Sides::Neither | Sides::Both => "",
                };
                format!(
                    "between {low_newton:.2} N and {high_newton:.2} N, learned from {observations} \
                     {noun} of this player{sides}"
                )
            }
        };
        format!("{force:.2} N at right angles to the board, {from}")
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

impl UnderTouch {
    /// In words.
    pub const fn text(self) -> &'static str {
        match self {
            Self::Clean => "clean",
            Self::Touches => "touches",
            Self::CannotBeTold => "cannot be told",
        }
    }
}

/// Whether a string that allows so much stays clean.
pub(super) fn under_touch(allowed_newton: Option<f64>, play: Play) -> UnderTouch {
    // A string that lies on a fret allows nothing.
    let allowed = allowed_newton.unwrap_or(0.0);
    let force = play.touch.force.get::<newton>();
    let (low, high) = match play.touch_from {
        TouchFrom::Learned { low_newton, high_newton, .. } => (low_newton, high_newton),
        TouchFrom::Assumed | TouchFrom::Given => (force, force),
    };
    if high <= allowed {
        UnderTouch::Clean
    } else if low > allowed {
        UnderTouch::Touches
    } else {
        UnderTouch::CannotBeTold
    }
}
