//! What is turned, how far and which way.

use fallaway::advice::observe as screws;
use fallaway::advice::turns;
use fallaway::text::plan as text;

use crate::voice::{self, say};
use crate::{Side, StringPlace};

pub use fallaway::advice::turns::TurnDirection;

/// Which way to turn, as seen from the tool.
#[uniffi::remote(Enum)]
pub enum TurnDirection {
    /// With the hands of a clock.
    Clockwise,
    /// Against the hands of a clock.
    Anticlockwise,
}

/// How far to turn, in eighths, and which way.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Turn {
    /// How many eighths of a turn; 0 means less than an eighth.
    pub eighths: u32,
    /// Which way; `None` if nobody knows yet, or there is nothing to turn.
    pub direction: Option<TurnDirection>,
    /// In the hand's words: "a quarter turn clockwise".
    pub text: String,
}

/// A screw, or several of one part that are turned alike.
#[derive(Debug, Clone, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum TurnedScrew {
    /// The truss rod.
    Rod,
    /// The height of a saddle.
    SaddleHeight {
        /// The strings that it carries.
        places: Vec<StringPlace>,
    },
    /// A post of the bridge.
    BridgePost {
        /// At which side.
        side: Side,
    },
    /// The screws of the spring claw, all alike.
    SpringClaw,
    /// A saddle fore and aft.
    SaddlePosition {
        /// The string that it carries.
        place: StringPlace,
    },
    /// The height of a pickup.
    PickupHeight {
        /// Which; 1 is nearest the bridge.
        pickup: u32,
        /// At which side, if it has a screw at each.
        side: Option<Side>,
    },
    /// What came after this app was built: show the text beside it.
    Newer,
}

impl From<&screws::TurnedScrew> for TurnedScrew {
    fn from(screw: &screws::TurnedScrew) -> Self {
        match screw {
            screws::TurnedScrew::Rod => Self::Rod,
            screws::TurnedScrew::SaddleHeight(places) => {
                Self::SaddleHeight { places: places.iter().copied().map(Into::into).collect() }
            }
            screws::TurnedScrew::BridgePost(side) => Self::BridgePost { side: *side },
            screws::TurnedScrew::SpringClaw => Self::SpringClaw,
            screws::TurnedScrew::SaddlePosition(place) => {
                Self::SaddlePosition { place: (*place).into() }
            }
            screws::TurnedScrew::Pickup { pickup, side } => {
                Self::PickupHeight { pickup: (*pickup).into(), side: *side }
            }
        }
    }
}

pub(crate) fn turn(turn: turns::HandTurn) -> Turn {
    Turn { eighths: turn.eighths.into(), direction: turn.direction, text: say(&text::turn(turn)) }
}

/// A number of eighths in the hand's words: "1/4 turn".
#[uniffi::export]
pub fn turns_text(eighths: u32) -> String {
    voice::elsewhere();
    let eighths = u16::try_from(eighths).unwrap_or(u16::MAX);
    say(&text::turn(turns::HandTurn { eighths, direction: None, is_trial: false }))
}
