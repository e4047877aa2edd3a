//! What was done to the instrument, as the chain of work sees it.

use fallaway_measure::{Side, StringPlace};

/// What kind of thing was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InterventionKind {
    /// Strings were changed.
    Strings,
    /// The instrument was tuned to other notes than before.
    Tuning,
    /// The truss rod was turned.
    Rod,
    /// The air changed by a season's step, and the wood had time to follow.
    Season,
    /// A nut slot was cut or filled, or the nut replaced.
    Nut,
    /// A saddle was moved sideways.
    SaddleSideways,
    /// A saddle, or a post under several, was raised or lowered.
    SaddleHeight,
    /// A saddle was moved toward or away from the neck.
    SaddleForeAft,
    /// A spring of a floating bridge was changed.
    Spring,
    /// Frets were levelled, dressed or replaced.
    Frets,
    /// The neck was taken off or shimmed.
    Neck,
    /// A saddle or the bridge was replaced.
    Bridge,
    /// A pickup was moved.
    Pickup,
    /// Something that only a newer version knows: it may have moved anything.
    Unknown,
}

impl InterventionKind {
    /// Every kind, each once.
    pub const ALL: [Self; 14] = [
        Self::Strings,
        Self::Tuning,
        Self::Rod,
        Self::Season,
        Self::Nut,
        Self::SaddleSideways,
        Self::SaddleHeight,
        Self::SaddleForeAft,
        Self::Spring,
        Self::Frets,
        Self::Neck,
        Self::Bridge,
        Self::Pickup,
        Self::Unknown,
    ];
}

/// Something that was done, or that the plan advises to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Intervention {
    /// What kind of thing was done.
    pub kind: InterventionKind,
    /// To which strings; empty for all, or where strings do not matter.
    pub places: Vec<StringPlace>,
    /// To which pickup, if to one.
    pub pickup: Option<u8>,
    /// To which post of the bridge, if to one.
    pub post: Option<Side>,
    /// How many turns were made, clockwise positive; `None` if nobody wrote it down.
    pub turns: Option<f64>,
}

impl Intervention {
    /// Something done to all strings, or to none in particular.
    pub const fn whole(kind: InterventionKind) -> Self {
        Self { kind, places: Vec::new(), pickup: None, post: None, turns: None }
    }

    /// The rod, turned.
    pub const fn rod(turns: Option<f64>) -> Self {
        Self { kind: InterventionKind::Rod, places: Vec::new(), pickup: None, post: None, turns }
    }

    /// Something done to one string.
    pub fn string(kind: InterventionKind, place: StringPlace, turns: Option<f64>) -> Self {
        Self { kind, places: vec![place], pickup: None, post: None, turns }
    }

    /// Whether it was done to this string.
    pub fn touches(&self, place: StringPlace) -> bool {
        self.places.is_empty() || self.places.contains(&place)
    }
}
