//! The plan: the chain of work as a list of steps, each with what was read, what is wanted, and what
//! to do about it.

use fallaway_measure::{Amount, StringPlace};
use fallaway_record::{Adjustment, EntryId};

use crate::compare::{AgainstTarget, DriftPart, SetupDrift};
use crate::hazard::Hazard;
use crate::learn::ScrewResponse;
use crate::observe::{
    Estimate, InterventionKind, Measurand, MeasurandKind, NotDone, Observation, TurnedScrew, Wanted,
};
use crate::turns::HandTurn;

/// The steps of the chain of work, in its order: each disturbs those after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StepKind {
    /// Say what is wanted: nobody has set a target yet.
    Targets,
    /// Bring the strings to pitch.
    Tune,
    /// Relief, with the truss rod.
    Relief,
    /// How the board falls away toward its end. No screw moves it.
    FallAway,
    /// Height of a floating bridge over the body, with its posts.
    BridgeHeight,
    /// Tilt of a floating bridge, with the spring claw.
    BridgeTilt,
    /// Read the nut. It is cut or filled only when relief and action are final.
    Nut,
    /// String spacing at the bridge.
    Spacing,
    /// Saddle height, from the highest-pitched string to the lowest.
    Action,
    /// Whether the row of string undersides follows the curve of the board.
    Radius,
    /// Pickup height: the gap from a string down to pole or cover.
    Pickup,
    /// Saddles fore and aft.
    Intonation,
    /// Tune, play every note, write the final numbers down.
    AsLeft,
}

impl StepKind {
    /// The word of the trade.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Targets => "targets",
            Self::Tune => "tune",
            Self::Relief => "relief",
            Self::FallAway => "fall-away",
            Self::BridgeHeight => "bridge height",
            Self::BridgeTilt => "bridge tilt",
            Self::Nut => "nut",
            Self::Spacing => "spacing",
            Self::Action => "action",
            Self::Radius => "radius",
            Self::Pickup => "pickup height",
            Self::Intonation => "intonation",
            Self::AsLeft => "as left",
        }
    }

    /// What working on the step does to the instrument. Looking does nothing.
    pub const fn intervention(self) -> Option<InterventionKind> {
        match self {
            Self::Tune => Some(InterventionKind::Tuning),
            Self::Relief => Some(InterventionKind::Rod),
            Self::Spacing => Some(InterventionKind::SaddleSideways),
            Self::BridgeHeight | Self::Action => Some(InterventionKind::SaddleHeight),
            Self::BridgeTilt => Some(InterventionKind::Spring),
            Self::Pickup => Some(InterventionKind::Pickup),
            Self::Intonation => Some(InterventionKind::SaddleForeAft),
            Self::Targets | Self::FallAway | Self::Nut | Self::Radius | Self::AsLeft => None,
        }
    }
}

/// Where the size of a move comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SizeFrom {
    /// The advance of the screw's thread and the model of the neck.
    Thread {
        /// Advance in mm a turn.
        pitch_mm: f64,
    },
    /// What this instrument has shown.
    Learned {
        /// In how many observations.
        observations: usize,
    },
    /// A usual size: nothing learned yet.
    Usual,
    /// Nothing: neither thread nor response is known.
    Unknown,
}

/// A screw to turn.
#[derive(Debug, Clone, PartialEq)]
pub struct ScrewMove {
    /// The screw, with all strings that it moves.
    pub screw: TurnedScrew,
    /// How many screws are turned alike.
    pub count: u8,
    /// How far and which way, up to the next reading.
    pub turn: HandTurn,
    /// Where the size comes from.
    pub size_from: SizeFrom,
}

/// Which way a part goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartWay {
    /// A string sharper.
    TuneUp,
    /// A string flatter.
    TuneDown,
    /// More relief: the rod looser on a one-way rod.
    MoreRelief,
    /// Less relief: the rod tighter on a one-way rod.
    LessRelief,
    /// The saddle up.
    Raise,
    /// The saddle down.
    Lower,
    /// The bridge up, at a post.
    BridgeUp,
    /// The bridge down, at a post.
    BridgeDown,
    /// The rear edge of the bridge up: less pull of the springs.
    TailUp,
    /// The rear edge of the bridge down: more pull of the springs.
    TailDown,
    /// The pickup nearer to the strings.
    PickupUp,
    /// The pickup further from the strings.
    PickupDown,
    /// The saddle away from the neck: a longer string.
    Lengthen,
    /// The saddle toward the neck: a shorter string.
    Shorten,
    /// Two strings further apart.
    Apart,
    /// Two strings closer together.
    Together,
    /// The nut slot deeper.
    CutSlot,
    /// The nut slot filled, or a shim under the nut.
    FillSlot,
    /// Off the underside of a saddle that has no screws.
    TakeOff,
    /// A shim under a saddle that has no screws.
    Shim,
}

impl PartWay {
    /// Whether material comes off, which cannot be undone.
    pub const fn takes_away(self) -> bool {
        matches!(self, Self::CutSlot | Self::TakeOff)
    }
}

/// What to do.
#[derive(Debug, Clone, PartialEq)]
pub struct StepWork {
    /// Which way the part goes.
    pub way: PartWay,
    /// How far the part goes (rod: the relief), without sign, in all; `None` where only a direction
    /// is known.
    pub travel: Option<Estimate>,
    /// What to turn, up to the next reading.
    pub moves: Vec<ScrewMove>,
    /// What will then be read, in the way in which the target is written; `None` for a try whose
    /// direction is not known.
    pub expect: Option<Estimate>,
    /// The same in the notation of the tool that was used.
    pub expect_shown: Option<Amount>,
    /// How far off it will still be: wanted minus expected.
    pub left_over: Option<f64>,
    /// What is to be measured again after it.
    pub again: Vec<MeasurandKind>,
    /// It is done for these strings' action, which the relief explains.
    pub explains: Vec<StringPlace>,
    /// Other strings that it moves along without anything to turn back, and what they will then read: those on
    /// a saddle that is shimmed.
    pub lifts: Vec<(StringPlace, Estimate)>,
}

/// Why a step does not apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyNot {
    /// Nobody set a target, so there is nothing to compare with.
    NoTarget,
    /// A fret carries the strings.
    ZeroFret,
    /// Clamps hold the strings: height by shims under the nut.
    LockingNut,
    /// Neither a target nor a reading, and nothing that asks for one.
    NothingAsked,
    /// The board is flat, or its radius or the spread of the strings is unwritten.
    NoRadius,
    /// The instrument has no such string, fret or pickup; spacing is read to the next lower string, which
    /// the last has not.
    NoSuchPlace,
    /// The bridge does not float, or not on posts, by what is written.
    BridgeStands,
}

/// Why to look at a screw before it is turned again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyLook {
    /// So many turns in a row that the readings did not show.
    Unseen,
    /// The readings tell the opposite of the direction that is written down.
    AgainstWritten,
    /// More travel is asked for than height screws usually have.
    BeyondTravel,
}

/// Why to stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopReason {
    /// The rod moved the neck against the direction that it had shown, or that is written down.
    RodWrongWay,
    /// The rod was turned and the relief did not answer.
    RodNoResponse,
    /// One side wants more relief, the other less: a twisted neck.
    Twisted,
    /// Relief is off and there is no rod.
    NoRod,
    /// The board rises toward its end.
    BoardRises,
    /// The board falls away otherwise than wanted, and no screw moves its end.
    BoardEnd,
    /// The string would be stressed beyond [`stress_limit`](fallaway_mechanics::strings::guards::stress_limit).
    Stress,
}

/// What a step comes to.
#[derive(Debug, Clone, PartialEq)]
pub enum StepVerdict {
    /// Within tolerance: leave it alone.
    Fine,
    /// Beyond the tolerance, but not beyond what the reading can tell.
    Same,
    /// Off its target, and the least turn passes it: it is set no finer, and left as it stands.
    NoCloser,
    /// To be adjusted.
    Adjust(Box<StepWork>),
    /// Not read today.
    Measure,
    /// Read today, but something has been done since.
    MeasureAgain {
        /// What was done.
        intervention: InterventionKind,
        /// The entry that says so.
        entry: EntryId,
    },
    /// A second reading, with another tool, before anything that cannot be undone.
    MeasureWithAnother,
    /// The tool is coarser than the tolerance: a reading with a finer one.
    MeasureFiner,
    /// Readings that differ beyond their uncertainties with nothing done between.
    Disagree {
        /// All of them.
        readings: Vec<Observation>,
    },
    /// This reading and its forecast, from the reading before and what was turned since, cannot both be
    /// true: read again before anything is turned.
    ReadAgain {
        /// What should have been read.
        forecast: Estimate,
    },
    /// The turns of a screw have not told which way it works, or tell the opposite of what is written:
    /// look at it, and write it down.
    LookAtScrew {
        /// The screw that is to be looked at.
        screw: TurnedScrew,
        /// What makes it suspect.
        why: WhyLook,
    },
    /// People wrote two targets apart. The plan does not choose.
    TwoValues {
        /// All of them.
        values: Vec<Wanted>,
    },
    /// It has to wait for an earlier step.
    Wait {
        /// The kind of the step that comes first.
        after: StepKind,
        /// Of which thing.
        of: Option<Measurand>,
        /// What will be read with the relief at its target and everything else untouched: a
        /// forecast.
        forecast: Option<Estimate>,
    },
    /// It does not apply.
    NotApplicable {
        /// Why it does not apply.
        why: WhyNot,
    },
    /// Somebody tried today and could not: the plan goes on without it.
    CouldNot {
        /// What, and why.
        tried: NotDone,
    },
    /// Stop; this is for a qualified repairer.
    Stop {
        /// What was seen that stops the work.
        why: StopReason,
    },
}

impl StepVerdict {
    /// Whether nothing is left to do at the step.
    pub const fn settled(&self) -> bool {
        matches!(self, Self::Fine | Self::Same | Self::NotApplicable { .. })
    }

    /// Whether something is left to do at the step that can be done.
    pub const fn is_open(&self) -> bool {
        !self.settled() && !matches!(self, Self::CouldNot { .. } | Self::NoCloser)
    }

    /// What to do, if it is to adjust.
    pub fn adjust(&self) -> Option<&StepWork> {
        match self {
            Self::Adjust(adjust) => Some(adjust),
            _ => None,
        }
    }
}

/// Something a person should know of the numbers of a step.
#[derive(Debug, Clone, PartialEq)]
pub enum StepRemark {
    /// The record does not show that the strings were at pitch when this was read.
    TuningNotNoted,
    /// Others were read in another posture, and do not count here.
    OtherPosture(Observation),
    /// Two other readings outvoted it, or one that its forecast bears out.
    Outvoted(Observation),
    /// The reading is of another way, and converted.
    ConvertedFrom(Observation),
    /// A move sideways changes the height over the frets by this much.
    SidewaysLifts(Estimate),
    /// The last reading, of an earlier visit.
    LastTime(Observation),
    /// How much of an action that is off the relief explains.
    Explains(DriftPart),
    /// The string lies on the frets: its reading is a bound, not a value.
    OnTheFrets,
    /// One turn told the opposite of the direction that is written down.
    AgainstWritten,
    /// The string was turned up and down so many times, and its tool tells no nearer: it is left so.
    ToAndFro {
        /// How many turns.
        turns: u16,
    },
    /// The rod was turned by so many eighths in a row without the readings showing it.
    RodUnseen {
        /// How many eighths.
        eighths: u16,
    },
    /// The row of string undersides against the board.
    Row(RowOfUndersides),
    /// At an earlier visit somebody tried and could not.
    CouldNotBefore(NotDone),
}

/// An arc through the undersides of the strings, against the board's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RowOfUndersides {
    /// Radius through the undersides in mm; `None` where they lie flat or hollow.
    pub radius_mm: Option<f64>,
    /// The smallest radius that the readings allow; `None` where even that is flat or hollow.
    pub least_mm: Option<f64>,
    /// The largest; `None` where they may lie flat or hollow.
    pub most_mm: Option<f64>,
    /// Radius of the board in mm.
    pub board_mm: f64,
    /// By how much more the strings in the middle stand over the board than the outer ones.
    pub middle: Estimate,
}

/// What is to be written down for a step.
#[derive(Debug, Clone, PartialEq)]
pub enum SettledBy {
    /// Nothing: nothing is left to do at it, or it waits for another step.
    Nothing,
    /// What was turned or moved.
    Adjustments {
        /// As it is proposed, up to the next reading.
        adjustments: Vec<Adjustment>,
        /// The turns are a test that may go either way: whoever turns says which way it went.
        either_way: bool,
    },
    /// A note that these strings were brought to pitch (all, if none is named), or a reading of pitch.
    Tuning {
        /// The strings to bring to pitch; empty means all.
        strings: Vec<StringPlace>,
    },
    /// A reading of each of these.
    Readings {
        /// What is to be read, and where.
        of: Vec<Measurand>,
    },
    /// The final numbers: a pass of at least one of these that is marked as left, with nothing done
    /// after it.
    AsLeft {
        /// What has a target, or else what was read today.
        of: Vec<Measurand>,
    },
    /// A target that is to be written first.
    Target,
    /// A choice between the targets that people wrote apart.
    Choice,
    /// Which way a screw works, as a fact of the instrument.
    ScrewFact {
        /// The screw whose direction is to be written down.
        screw: TurnedScrew,
    },
    /// Nothing that is done at the bench: it is for a qualified repairer.
    Repairer,
}

/// One step of the plan: one thing to do, to measure, or to leave alone.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanStep {
    /// Which link of the chain of work it is.
    pub kind: StepKind,
    /// Of what; `None` for a step of the instrument as a whole.
    pub measurand: Option<Measurand>,
    /// The target, if there is one and it is one.
    pub target: Option<Wanted>,
    /// The reading it goes by.
    pub seen: Option<Observation>,
    /// Reading and target compared; `None` where either is missing.
    pub compared: Option<AgainstTarget>,
    /// What it comes to.
    pub verdict: StepVerdict,
    /// What can harm.
    pub cautions: Vec<Hazard>,
    /// What else to know.
    pub remarks: Vec<StepRemark>,
    /// What settles it: what is to be written down for it.
    pub settled_by: SettledBy,
    /// What is to be measured next, once it is done: what it disturbs, in the order of the work.
    pub then_measure: Vec<Measurand>,
}

impl PlanStep {
    pub(crate) fn new(kind: StepKind, measurand: Option<Measurand>, verdict: StepVerdict) -> Self {
        Self {
            kind,
            measurand,
            target: None,
            seen: None,
            compared: None,
            verdict,
            cautions: Vec::new(),
            remarks: Vec::new(),
            settled_by: SettledBy::Nothing,
            then_measure: Vec::new(),
        }
    }

    /// The string it is about.
    pub fn place(&self) -> Option<StringPlace> {
        self.measurand.and_then(Measurand::place)
    }
}

/// The plan: what to turn, how far, in which order, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// All steps, in the order of the chain of work.
    pub steps: Vec<PlanStep>,
    /// The position of the step to do next; `None` if everything is settled.
    pub next: Option<usize>,
    /// What moved since the setup, and how much of it the relief explains.
    pub drift: Option<SetupDrift>,
    /// How relief answers the rod, as far as is known.
    pub rod: ScrewResponse,
    /// Facts of the instrument that people wrote two values for.
    pub contested_facts: Vec<String>,
}

impl Plan {
    /// The step to do next.
    pub fn next_step(&self) -> Option<&PlanStep> {
        self.steps.get(self.next?)
    }
}
