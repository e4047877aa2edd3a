//! What a comparison is asked, and what it answers.

use std::fmt;

use fallaway_measure::{Amount, StringPlace};
pub use fallaway_mechanics::state::PartVerdict;
use fallaway_record::{EntryId, Posture};

use crate::compare::{AgainstTarget, Judgement};
use crate::hazard::Hazard;
use crate::learn::ReaderBias;
use crate::observe::{Estimate, Input, InterventionKind, Measurand, Observation};

/// One side of a comparison. Visits are named by the entry that opened them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ComparedAt {
    /// What a visit found: its readings up to the first intervention that disturbs each.
    AsFound(EntryId),
    /// What a visit left: its readings that nothing done in it disturbed afterwards.
    AsLeft(EntryId),
    /// The targets that were taken from what a visit left, each anywhere within its tolerance. What was typed
    /// in is what somebody wants: see [`WhatChanged::wishes`].
    Setup,
    /// The readings that stand today.
    Today,
}

/// A part of the instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InstrumentPart {
    /// The bow of the neck in the middle of the board; its change is a change of relief.
    Neck,
    /// The bow on the bass side less that on the treble side, as relief.
    Twist,
    /// The neck tilting at the joint; its change is what that makes at the saddles.
    Joint,
    /// A string's height at the saddle, over the line of the neck: its saddle, or, on all strings
    /// alike, joint, bridge or posts.
    Saddle(StringPlace),
    /// The height of a string at the nut, over the crowns: its slot, or a worn first fret.
    Nut(StringPlace),
    /// The mean height of all strings at the saddle: what joint, bridge or posts move alike.
    Heights,
}

/// Something that was noted between the two sides.
#[derive(Debug, Clone, PartialEq)]
pub struct NotedIntervention {
    /// The entry that says so.
    pub entry: EntryId,
    /// What was done.
    pub kind: InterventionKind,
    /// To which strings; empty for all, or where strings do not matter.
    pub places: Vec<StringPlace>,
}

/// What happened to one part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartChange {
    /// Which part of the instrument.
    pub part: InstrumentPart,
    /// After minus before, in mm, with its standard uncertainty.
    pub change: Estimate,
    /// The interval in mm; `None` where the readings leave it open. All intervals of a comparison together
    /// hold at least 95 % of the time.
    pub interval_mm: Option<(f64, f64)>,
    /// Whether it moved, as far as the readings tell.
    pub verdict: PartVerdict,
    /// The one reading that would tell most, if the part cannot be told.
    pub would_tell: Option<Measurand>,
    /// What was noted between that moves such a part: positions in [`WhatChanged::noted`].
    pub noted: Vec<usize>,
    /// For a part that moved: the one reading that shows it, if it is one. For a part that cannot be
    /// told: the reading that is wrong if the part is still, and right if it moved (or the other way
    /// round).
    pub rests_on_one: Option<Observation>,
}

impl PartChange {
    /// Its interval in mm, if the readings tell whether it moved.
    pub fn told(&self) -> Option<(f64, f64)> {
        self.interval_mm.filter(|_| self.verdict != PartVerdict::CannotBeTold)
    }
}

/// How sure it is that a part moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HowSure {
    /// 20 to 1 and above.
    Moved,
    /// From 2 to 1.
    MostLikely,
}

/// What most likely happened to one part.
#[derive(Debug, Clone, PartialEq)]
pub struct LikelyChange {
    /// Which part of the instrument.
    pub part: InstrumentPart,
    /// After minus before, in mm.
    pub change: Estimate,
    /// The odds that it moved, against all that says that it did not; at most [`MOST_ODDS`].
    pub odds: f64,
    /// The odds in a word: `Moved` from 20 to 1.
    pub how_sure: HowSure,
    /// The reading that is wrong if it did not move.
    pub against: Option<Observation>,
    /// What to read now to be sure; `None` if nothing that can be read decides.
    pub decide: Option<Measurand>,
    /// With another tool: the change is within a mark of this one, whose rounding is the same each time.
    pub another_tool: bool,
}

/// How a thing stands against a target that was typed in.
#[derive(Debug, Clone, PartialEq)]
pub struct AgainstWish {
    /// What is wanted of.
    pub measurand: Measurand,
    /// The target, as it was written.
    pub wanted: Amount,
    /// The reading that is held against it.
    pub seen: Observation,
    /// Both, with what was known before the reading.
    pub compared: AgainstTarget,
    /// What they come to.
    pub judgement: Judgement,
}

/// Odds above this are not told apart.
pub const MOST_ODDS: f64 = 999.0;

/// What changed between two occasions, part by part, and what most likely did it.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatChanged {
    /// The occasion that it starts from.
    pub from: ComparedAt,
    /// The occasion that it goes to.
    pub to: ComparedAt,
    /// What most likely happened, the surest first; empty where nothing is likely by 2 to 1.
    pub likely: Vec<LikelyChange>,
    /// Each part, the neck first.
    pub parts: Vec<PartChange>,
    /// All strings moved alike at the saddle: that points to the joint, the bridge or its posts.
    pub common: bool,
    /// Readings that contradict others, of both sides or of the visits around. Those that are surely
    /// wrong count for nothing; while others are left, the intervals are wider.
    pub contradicting: Vec<Observation>,
    /// Readings that two others outvoted: left out.
    pub outvoted: Vec<Observation>,
    /// How many readings were left aside, because one occasion has more than four of one thing: of
    /// each the one to go by and the last others count.
    pub left_aside: usize,
    /// What was done between, as noted.
    pub noted: Vec<NotedIntervention>,
    /// The two sides were read in these two postures, and such readings are not compared.
    pub postures_differ: Option<(Posture, Posture)>,
    /// How many readings it rests on, before and after.
    pub readings: (usize, usize),
    /// Readers of the one side and of the other who are not the same: what is known of how far they lie
    /// apart is taken into account. Without observations it is what such readers usually may.
    pub readers: Vec<ReaderBias>,
    /// Where one side is a setup: its targets that were typed in. There was no such state from which something
    /// could have moved; so this is how the other side stands against them.
    pub wishes: Vec<AgainstWish>,
    /// What can harm whoever follows it.
    pub cautions: Vec<Hazard>,
}

impl WhatChanged {
    /// A comparison with nothing but wishes: no part of it moved.
    pub(super) fn only_wishes(from: ComparedAt, to: ComparedAt, wishes: Vec<AgainstWish>) -> Self {
        Self {
            from,
            to,
            likely: Vec::new(),
            parts: Vec::new(),
            common: false,
            contradicting: Vec::new(),
            outvoted: Vec::new(),
            left_aside: 0,
            noted: Vec::new(),
            postures_differ: None,
            readings: (0, wishes.len()),
            readers: Vec::new(),
            wishes,
            cautions: Vec::new(),
        }
    }

    /// The parts that moved.
    pub fn moved(&self) -> impl Iterator<Item = &PartChange> {
        self.parts.iter().filter(|p| p.verdict == PartVerdict::Moved)
    }

    /// What happened to a part.
    pub fn part(&self, part: InstrumentPart) -> Option<&PartChange> {
        self.parts.iter().find(|p| p.part == part)
    }
}

/// Why two sides cannot be compared.
#[derive(Debug, Clone, PartialEq)]
pub enum CannotCompare {
    /// A fact of the instrument is unwritten, or two values were written for it.
    Unwritten {
        /// Which: "strings", "scale length", "frets".
        fact: &'static str,
    },
    /// No visit was opened by the entry at this position, or it was crossed out.
    NoSuchVisit {
        /// The entry that was named as a visit.
        visit: EntryId,
    },
    /// One side has no reading (or target) of relief, action or nut that stands.
    NothingRead {
        /// The side without readings.
        side: ComparedAt,
    },
    /// The model refused the numbers.
    Refused(fallaway_mechanics::Error),
}

impl fmt::Display for CannotCompare {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unwritten { fact } => {
                write!(f, "the instrument's {fact} must be written down (one value) to compare")
            }
            Self::NoSuchVisit { visit } => {
                write!(f, "no visit was opened by entry {visit}")
            }
            Self::NothingRead { side: ComparedAt::Setup } => {
                f.write_str("the setup has no target of relief, action or nut")
            }
            Self::NothingRead { .. } => {
                f.write_str("one side has no reading of relief, action or nut that stands")
            }
            Self::Refused(error) => write!(f, "the readings cannot be compared: {error}"),
        }
    }
}

impl std::error::Error for CannotCompare {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Refused(error) => Some(error),
            _ => None,
        }
    }
}

impl From<fallaway_mechanics::Error> for CannotCompare {
    fn from(error: fallaway_mechanics::Error) -> Self {
        Self::Refused(error)
    }
}

/// Whether an intervention moves a part.
pub(super) fn moves(
    intervention: &NotedIntervention,
    part: InstrumentPart,
    input: &Input<'_>,
) -> bool {
    let touches = |place: StringPlace| {
        intervention.places.is_empty()
            || intervention.places.iter().any(|&p| input.facts.moved_with(p).contains(&place))
    };
    match (intervention.kind, part) {
        (InterventionKind::Unknown, _)
        | (
            InterventionKind::Rod
            | InterventionKind::Season
            | InterventionKind::Strings
            | InterventionKind::Tuning,
            InstrumentPart::Neck | InstrumentPart::Twist,
        )
        | (
            InterventionKind::Neck,
            InstrumentPart::Joint | InstrumentPart::Heights | InstrumentPart::Saddle(_),
        )
        | (
            InterventionKind::Frets,
            InstrumentPart::Neck | InstrumentPart::Twist | InstrumentPart::Nut(_),
        )
        | (
            InterventionKind::Bridge | InterventionKind::Spring,
            InstrumentPart::Heights | InstrumentPart::Saddle(_),
        ) => true,
        (InterventionKind::SaddleHeight, InstrumentPart::Saddle(place)) => touches(place),
        (InterventionKind::Nut, InstrumentPart::Nut(place)) => {
            intervention.places.is_empty() || intervention.places.contains(&place)
        }
        _ => false,
    }
}
