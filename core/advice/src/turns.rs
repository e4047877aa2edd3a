//! Turns in the hand's words: eighths, clockwise or counter-clockwise as seen from the tool.

pub use fallaway_mechanics::screws::TurnDirection;

/// The way of a number of turns: clockwise above zero; `None` for zero or what is no number.
pub(crate) fn direction_of(turns: f64) -> Option<TurnDirection> {
    if turns > 0.0 {
        Some(TurnDirection::Clockwise)
    } else if turns < 0.0 {
        Some(TurnDirection::Anticlockwise)
    } else {
        None
    }
}

/// +1 clockwise, -1 anticlockwise.
pub fn sign(direction: TurnDirection) -> f64 {
    match direction {
        TurnDirection::Clockwise => 1.0,
        TurnDirection::Anticlockwise => -1.0,
    }
}

/// A turn to make, up to the next reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct HandTurn {
    /// How many eighths; 0 means less than an eighth.
    pub eighths: u16,
    /// Which way; `None` for a test that may go either way.
    pub direction: Option<TurnDirection>,
    /// A test: which way the screw works is not known yet, and the next reading shows it.
    pub is_trial: bool,
}

impl HandTurn {
    /// So many eighths one way.
    pub const fn new(eighths: u16, direction: TurnDirection) -> Self {
        Self { eighths, direction: Some(direction), is_trial: false }
    }

    /// So many eighths that show which way a screw works.
    pub const fn trial(eighths: u16) -> Self {
        Self { eighths, direction: None, is_trial: true }
    }

    /// So many turns that show which way a screw works, up to the next eighth; from one turn on up to the next half.
    pub fn trial_of(turns: f64) -> Self {
        let eighths = (turns.abs() * 8.0 - 1e-9).ceil().max(1.0);
        let eighths = if eighths > 8.0 { (eighths / 4.0).ceil() * 4.0 } else { eighths };
        // A saturating cast, as below.
        Self::trial(eighths as u16)
    }

    /// The nearest number of eighths to a number of turns, either sign; a test without a direction.
    pub fn nearest(turns: f64, direction: Option<TurnDirection>) -> Self {
        // A saturating cast: nobody turns 8,191 turns.
        let eighths = (turns.abs() * 8.0).round() as u16;
        Self { eighths, direction, is_trial: direction.is_none() }
    }

    /// The number of turns, without direction; less than an eighth counts as a sixteenth.
    pub fn turns(self) -> f64 {
        if self.eighths == 0 { 1.0 / 16.0 } else { f64::from(self.eighths) / 8.0 }
    }
}
