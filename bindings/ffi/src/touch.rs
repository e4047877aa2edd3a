//! How it is played.

use fallaway::advice::clearance;
use fallaway::mechanics::envelope;
use fallaway::mechanics::units::mm;

use crate::{Instrument, Result};

pub use fallaway::mechanics::pluck::PluckDirection;

/// Which way the string is displaced before it is let go.
#[uniffi::remote(Enum)]
pub enum PluckDirection {
    /// Pushed toward the board: an ordinary finger stroke.
    TowardBoard,
    /// Pulled away from the board: a snap.
    AwayFromBoard,
}

/// How it is played.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Touch {
    /// The part of the force at right angles to the board in N, 0 to 50; 0.5 is light, 2 hard.
    /// `None`: as it was learned of the player, else what is usually assumed.
    #[uniffi(default = None)]
    pub force_n: Option<f64>,
    /// Which way the string is displaced before it is let go.
    pub direction: PluckDirection,
    /// Middle of the finger or pick from the saddle in mm, 10 to 1500.
    #[uniffi(default = 100.0)]
    pub from_saddle_mm: f64,
    /// Margin that has to stay, for the lowest clean action, in mm.
    #[uniffi(default = 0.0)]
    pub spare_mm: f64,
}

impl Touch {
    /// The same, with the force of `usual` where none is given.
    pub(crate) fn play(self, usual: clearance::TouchUsed) -> clearance::TouchUsed {
        let given = self.force_n.map_or(usual, clearance::TouchUsed::with_force);
        clearance::TouchUsed {
            touch: envelope::Touch { direction: self.direction, ..given.touch },
            from_saddle: mm(self.from_saddle_mm),
            spare: mm(self.spare_mm),
            ..given
        }
    }

    /// The same on an instrument, by what was learned of a player.
    pub(crate) fn play_on(
        self,
        instrument: &Instrument,
        player: Option<&str>,
    ) -> Result<clearance::TouchUsed> {
        let usual = match self.force_n {
            Some(_) => clearance::TouchUsed::assumed(),
            None => instrument.inner().play_of(player)?,
        };
        Ok(self.play(usual))
    }
}

pub use fallaway::advice::clearance::TouchBounds;

/// From which sides a touch is held by what was observed.
#[uniffi::remote(Enum)]
pub enum TouchBounds {
    /// From neither: nothing was observed.
    Neither,
    /// From above only: it played clean, and never buzzed.
    AtMost,
    /// From below only: it buzzed, and no number is known to be clean.
    AtLeast,
    /// From both sides.
    Both,
    /// A buzz tells of more than a clean number allows.
    Contradict,
}
