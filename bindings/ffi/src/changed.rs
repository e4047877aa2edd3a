//! What changed between two occasions: neck, twist, joint, each saddle, each nut slot.

use fallaway::advice::{compare, learn};

use crate::estimate;
use crate::learned::LearnedValue;
use crate::numbers::count;
use crate::observe::{Context, InterventionKind, Measurand, SeenReading};
use crate::plan::{Caution, but_cautions, cautions};
use crate::{
    Basis, EntryId, Estimate, Instrument, Posture, Result, SetupId, StringPlace, ToolKind, VisitId,
};

/// One side of a comparison.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum Occasion {
    /// What a visit found: its readings up to the first intervention that disturbs each.
    AsFound {
        /// The entry that opened the visit.
        visit: VisitId,
    },
    /// What a visit left: its readings that nothing done in it disturbed afterwards.
    AsLeft {
        /// The entry that opened the visit.
        visit: VisitId,
    },
    /// The targets of a setup, each anywhere within its tolerance.
    Setup {
        /// The setup, as `setups` lists it.
        setup: SetupId,
    },
    /// The readings that stand today.
    Today,
}

impl Occasion {
    pub(crate) fn typed(self) -> fallaway::Occasion {
        match self {
            Self::AsFound { visit } => fallaway::Occasion::AsFound(visit.0),
            Self::AsLeft { visit } => fallaway::Occasion::AsLeft(visit.0),
            Self::Setup { setup } => fallaway::Occasion::Setup(setup.0),
            Self::Today => fallaway::Occasion::Today,
        }
    }
}

/// A part of the instrument.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum InstrumentPart {
    /// The bow of the neck in the middle of the board; its change is a change of relief.
    Neck,
    /// The bow on the bass side less that on the treble side, as relief.
    Twist,
    /// The neck tilting at the joint; its change is what that makes at the saddles.
    Joint,
    /// A string's height at the saddle: its saddle, or, on all strings alike, joint, bridge or posts.
    Saddle {
        /// The string that lies on the saddle.
        place: StringPlace,
    },
    /// The height of a string at the nut: its slot, or a worn first fret.
    NutSlot {
        /// The string in the slot.
        place: StringPlace,
    },
    /// The mean height of all strings at the saddle: what joint, bridge or posts move alike.
    Heights,
    /// What came after this app was built: show the text beside it.
    Newer,
}

pub use fallaway::advice::compare::{HowSure, PartVerdict};

/// How sure it is that a part moved.
#[uniffi::remote(Enum)]
pub enum HowSure {
    /// 20 to 1 and above.
    Moved,
    /// From 2 to 1.
    MostLikely,
}

/// What can be said of a part.
#[uniffi::remote(Enum)]
pub enum PartVerdict {
    /// It moved; the sign of the change says which way.
    Moved,
    /// It did not move beyond what was read.
    NotBeyondRead,
    /// The readings do not tell.
    CannotBeTold,
}

/// Something that was noted between the two sides.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct NotedIntervention {
    /// The entry of the history that says so, for `entry`; `None` where no record stands behind it.
    pub entry: Option<EntryId>,
    /// What was done.
    pub kind: InterventionKind,
    /// To which strings; empty for all, or where strings do not matter.
    pub places: Vec<StringPlace>,
    /// In words: "the truss rod was turned".
    pub text: String,
}

/// What happened to one part.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PartChange {
    /// Which part of the instrument.
    pub part: InstrumentPart,
    /// Whether it moved, as far as the readings tell.
    pub verdict: PartVerdict,
    /// After minus before, with its standard uncertainty.
    pub change: Estimate,
    /// Low end of the interval in mm; `None` where the readings leave it open. All intervals of a
    /// comparison together hold at least 95 % of the time.
    pub low_mm: Option<f64>,
    /// High end of the interval in mm.
    pub high_mm: Option<f64>,
    /// The one reading that would tell most, if the part cannot be told.
    pub would_tell: Option<Measurand>,
    /// What was noted between that moves such a part: positions in `noted`.
    pub noted: Vec<u32>,
    /// The one reading without which nothing would be said to have moved: a slip in it would show
    /// nowhere else.
    pub rests_on_one: Option<SeenReading>,
}

/// What most likely happened to one part.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LikelyChange {
    /// Which part of the instrument.
    pub part: InstrumentPart,
    /// After minus before, with its standard uncertainty.
    pub change: Estimate,
    /// The odds that it moved, against all that says that it did not: 4.0 is 4 to 1. At most 999.
    pub odds: f64,
    /// The odds in a word: `Moved` from 20 to 1.
    pub how_sure: HowSure,
    /// The reading that is wrong if it did not move.
    pub against: Option<SeenReading>,
    /// What to read now to be sure; `None` if nothing that can be read decides.
    pub decide: Option<Measurand>,
    /// With a finer tool: the change is within a mark of this one.
    pub another_tool: bool,
    /// The same in words: "most likely the saddle of string 3 moved, by about +0.80 mm (4 to 1 against ...)".
    pub text: String,
}

/// How far two readers, each with a kind of tool, lie apart.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ReaderBias {
    /// One of the readers; `None` for readings that do not say by whom.
    pub first_by: Option<String>,
    /// With what kind of tool.
    pub first_tool: Option<ToolKind>,
    /// The other reader; `None` for readings that do not say by whom.
    pub second_by: Option<String>,
    /// With what kind of tool.
    pub second_tool: Option<ToolKind>,
    /// What the second reads more than the first, in mm.
    pub more_mm: LearnedValue,
}

/// What changed between two occasions, part by part, and what most likely did it.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct WhatChanged {
    /// What most likely happened, the surest first; empty where nothing is likely by 2 to 1.
    pub likely: Vec<LikelyChange>,
    /// Each part, the neck first.
    pub parts: Vec<PartChange>,
    /// All strings moved alike at the saddle: that points to the joint, the bridge or its posts.
    pub common: bool,
    /// Readings that contradict others; while there are any, the intervals are wider.
    pub contradicting: Vec<SeenReading>,
    /// Readings that two others outvoted: left out.
    pub outvoted: Vec<SeenReading>,
    /// What was done between, as noted.
    pub noted: Vec<NotedIntervention>,
    /// Readers of the one side and of the other who are not the same: what is known of how far they lie
    /// apart is taken into account.
    pub readers: Vec<ReaderBias>,
    /// The posture before, if the two sides were read in two postures; such readings are not compared.
    pub posture_before: Option<Posture>,
    /// The posture after, if so.
    pub posture_after: Option<Posture>,
    /// How many readings it rests on before.
    pub readings_before: u32,
    /// How many readings it rests on after.
    pub readings_after: u32,
    /// The same, a sentence each, in the order in which to show them, without the cautions.
    pub sentences: Vec<String>,
    /// What can harm whoever follows it.
    pub cautions: Vec<Caution>,
}

#[uniffi::export]
impl Instrument {
    /// What changed from one occasion to another: neck, joint, each saddle, each nut slot, with a
    /// verdict for each. One side at most is a setup.
    ///
    /// Of all parts together, at most 5 % of comparisons call one moved that did not.
    ///
    /// # Errors
    /// `NotFound` for a setup or visit that the instrument does not have; `BadInput` when one side has
    /// no readings, or the instrument lacks a fact that the model needs; when the record cannot be
    /// read; `Closed`.
    pub fn what_changed(&self, before: Occasion, after: Occasion) -> Result<WhatChanged> {
        Ok(WhatChanged::of(&self.inner().what_changed(&before.typed(), &after.typed())?))
    }
}

impl WhatChanged {
    pub(crate) fn of(told: &fallaway::Explanation<compare::WhatChanged>) -> Self {
        let context = Context::of(&told.spec);
        let found = &told.facts;
        let (before, after) = found.readings;
        Self {
            likely: found.likely.iter().map(|one| context.likely(one)).collect(),
            parts: found.parts.iter().map(|change| context.part(change)).collect(),
            common: found.common,
            contradicting: context.all_seen(&found.contradicting),
            outvoted: context.all_seen(&found.outvoted),
            noted: found
                .noted
                .iter()
                .map(|noted| NotedIntervention {
                    entry: Some(noted.entry.into()),
                    kind: noted.kind.into(),
                    places: noted.places.iter().copied().map(Into::into).collect(),
                    text: crate::voice::say(&fallaway_text::plan::done(noted.kind)),
                })
                .collect(),
            readers: found.readers.iter().map(Context::apart).collect(),
            posture_before: found.postures_differ.map(|(before, _)| before.into()),
            posture_after: found.postures_differ.map(|(_, after)| after.into()),
            readings_before: count(before),
            readings_after: count(after),
            sentences: but_cautions(&told.sentences, &found.cautions),
            cautions: cautions(&found.cautions),
        }
    }
}

fn part(part: compare::InstrumentPart) -> InstrumentPart {
    match part {
        compare::InstrumentPart::Neck => InstrumentPart::Neck,
        compare::InstrumentPart::Twist => InstrumentPart::Twist,
        compare::InstrumentPart::Joint => InstrumentPart::Joint,
        compare::InstrumentPart::Saddle(place) => InstrumentPart::Saddle { place: place.into() },
        compare::InstrumentPart::Nut(place) => InstrumentPart::NutSlot { place: place.into() },
        compare::InstrumentPart::Heights => InstrumentPart::Heights,
    }
}

impl Context<'_> {
    fn likely(&self, one: &compare::LikelyChange) -> LikelyChange {
        LikelyChange {
            part: part(one.part),
            change: estimate::known(one.change, Basis::Computed),
            odds: one.odds,
            how_sure: one.how_sure,
            against: one.against.as_ref().map(|seen| self.seen(seen)),
            decide: one.decide.map(|measurand| self.to_read(measurand)),
            another_tool: one.another_tool,
            text: crate::voice::say(&fallaway_text::changed::likely(one, self.spec)),
        }
    }

    fn part(&self, change: &compare::PartChange) -> PartChange {
        PartChange {
            part: part(change.part),
            verdict: change.verdict,
            change: estimate::known(change.change, Basis::Computed),
            low_mm: change.interval_mm.map(|(low, _)| low),
            high_mm: change.interval_mm.map(|(_, high)| high),
            would_tell: change.would_tell.map(|measurand| self.to_read(measurand)),
            noted: change.noted.iter().copied().map(count).collect(),
            rests_on_one: change.rests_on_one.as_ref().map(|seen| self.seen(seen)),
        }
    }

    fn apart(apart: &learn::ReaderBias) -> ReaderBias {
        ReaderBias {
            first_by: apart.a.0.clone(),
            first_tool: apart.a.1.map(Into::into),
            second_by: apart.b.0.clone(),
            second_tool: apart.b.1.map(Into::into),
            more_mm: Self::lesson(&apart.more),
        }
    }
}
