//! Readings, numbers and places as advice refers to them.

use std::cell::RefCell;
use std::collections::HashMap;

use fallaway::advice::observe;
use fallaway::record::InstrumentSpec;
use fallaway_text::{LengthOf, plan as text};

use crate::estimate::of_reading;
use crate::mirror::mirror;
use crate::numbers::count;
use crate::voice::sentence;
use crate::{EntryId, Estimate, Location, Moment, Posture, Quantity, ReadingKind, Tool};

mirror! {
    /// How the chain of work treats a quantity: those of one class are disturbed by the same interventions.
    MeasurandKind = observe::MeasurandKind {
        /// The open string against the wanted note.
        Pitch,
        /// The gap between the crowns and a straight line.
        Relief,
        /// How far the board falls away toward its end, under a straight edge.
        FallAway,
        /// The bridge plate over the body, at a post.
        BridgeHeight,
        /// The rear edge of the bridge plate over the body.
        BridgeTail,
        /// The open string over fret 1.
        NutOpen,
        /// Held down above, read over a lower fret: tells the slot.
        NutHeld,
        /// The open string over a fret beyond the first.
        ActionOpen,
        /// Stopped at a fret, read over a higher one.
        ActionStopped,
        /// String to pole or cover.
        PickupGap,
        /// Stopped note against open note, up to fret 5.
        IntonationNearNut,
        /// Stopped note against open note, above fret 5.
        Intonation,
        /// Centre to centre at the bridge.
        SpacingBridge,
        /// Centre to centre at the nut.
        SpacingNut,
    }
}

mirror! {
    /// What kind of thing was done to the instrument.
    InterventionKind = observe::InterventionKind {
        /// Strings were changed.
        Strings,
        /// It was tuned to other notes than before.
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
    } newer observe::InterventionKind::Unknown
}

/// A quantity at a place, to be read.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Measurand {
    /// What to read, and which way.
    pub quantity: Quantity,
    /// Which string or side to read, or the whole instrument.
    pub location: Location,
    /// In words: "string 4 (E), stopped at 3 over 1".
    pub text: String,
}

/// A reading that advice rests on.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SeenReading {
    /// The entry that holds it, as `history` names it; `None` where the advice was not made from a
    /// record.
    pub entry: Option<EntryId>,
    /// What was read, and which way.
    pub quantity: Quantity,
    /// Of which string or side, or of the whole instrument.
    pub location: Location,
    /// What was read, as it was written, with what a reading like it can tell.
    pub value: Estimate,
    /// What kind of reading it is: a bound is only one side.
    pub kind: ReadingKind,
    /// With which tool; `None` if that was not said.
    pub tool: Option<Tool>,
    /// How the instrument was held; `None` if that was not said.
    pub posture: Option<Posture>,
    /// Who read it; `None` if that was not said.
    pub by: Option<String>,
    /// When, by the reader's clock.
    pub at: Moment,
    /// Whether the record shows that it was at pitch.
    pub tuned: bool,
    /// How its reader repeats a reading with that kind of tool, if the record shows it: then the
    /// uncertainty of `value` is that one.
    pub repeats: Option<Repeatability>,
    /// All that in one sentence.
    pub text: String,
}

/// How a reader with a kind of tool repeats a reading.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct Repeatability {
    /// From how many repeated readings.
    pub observations: u32,
    /// The standard deviation of one reading over what its tool states.
    pub over_stated: f64,
}

/// A target as somebody wrote it.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Wanted {
    /// The value wanted, as it was written.
    pub value: Estimate,
    /// How far off is still fine.
    pub tolerance: Estimate,
    /// The posture for which it holds; `None`: any.
    pub posture: Option<Posture>,
    /// Who wrote it; `None` if that was not said.
    pub by: Option<String>,
    /// When it was written, by their clock; `None` if the record does not tell.
    pub at: Option<Moment>,
}

/// What advice is worked out against: names of strings.
pub(crate) struct Context<'a> {
    pub spec: &'a InstrumentSpec,
    /// What was said already: many steps ask for the same things.
    said: RefCell<HashMap<observe::Measurand, Measurand>>,
}

impl<'a> Context<'a> {
    pub fn of(spec: &'a InstrumentSpec) -> Self {
        Self { spec, said: RefCell::default() }
    }
}

impl Context<'_> {
    pub fn to_read(&self, measurand: observe::Measurand) -> Measurand {
        let say = || Measurand {
            quantity: measurand.quantity.into(),
            location: measurand.location.into(),
            text: crate::voice::say(&text::measurand(measurand, self.spec)),
        };
        self.said.borrow_mut().entry(measurand).or_insert_with(say).clone()
    }

    pub fn seen(&self, seen: &observe::Observation) -> SeenReading {
        SeenReading {
            entry: Some(seen.entry.into()),
            quantity: seen.measurand.quantity.into(),
            location: seen.measurand.location.into(),
            value: Estimate {
                standard_uncertainty: Some(seen.known.standard_uncertainty),
                ..of_reading(seen.reading, seen.tool, seen.measurand.quantity.into())
            },
            kind: seen.reading.into(),
            repeats: seen.repeats.map(|repeats| Repeatability {
                observations: count(repeats.observations),
                over_stated: repeats.over_stated,
            }),
            tool: seen.tool.map(Tool::from),
            posture: seen.posture.map(Into::into),
            by: seen.by.clone(),
            at: seen.at.into(),
            tuned: seen.tuned,
            text: sentence(&text::read(seen, None, self.spec)),
        }
    }

    pub fn all_seen(&self, seen: &[observe::Observation]) -> Vec<SeenReading> {
        seen.iter().map(|one| self.seen(one)).collect()
    }
}

pub(crate) fn wanted(goal: &observe::Wanted, of: LengthOf) -> Wanted {
    Wanted {
        value: Estimate::entered(goal.wanted, of),
        tolerance: Estimate::entered(goal.tolerance, of),
        posture: goal.posture.map(Into::into),
        by: goal.by.clone(),
        at: goal.at.map(Into::into),
    }
}
