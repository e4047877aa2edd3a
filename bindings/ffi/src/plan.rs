//! The plan: what to turn, by how much, which way, in which order, and why.

use fallaway::advice::compare::{
    AgainstTarget as Compared, PointsAt as Points, RestsOn as Rests, SetupDrift as Since,
};
use fallaway::advice::hazard::Hazard as Danger;
use fallaway::advice::plan::{
    PartWay as Way, PlanStep as Step, Remark, RowOfUndersides as Row, ScrewMove as Move,
    SizeFrom as Reckoned, StepKind as Kind, StepVerdict as Verdict, StepWork as Adjust,
    StopReason as Stop, WhyNot as Why,
};
use fallaway::advice::turns::{Direction, HandTurn as Turn};
use fallaway::record::Spec;
use fallaway_text::{plan as text, plan_page};

use crate::known::{self, Context, DeedKind, ReadingClass, SeenReading, Wanted, sentence};
use crate::mirror::mirror;
use crate::{Basis, Figure, Instrument, Quantity, Result, Spot, StringPlace};

mirror! {
    /// Which way to turn, as seen from the tool.
    closed TurnDirection = Direction {
        /// With the hands of a clock.
        Clockwise,
        /// Against them.
        Anticlockwise,
    }
}

impl From<TurnDirection> for Direction {
    fn from(direction: TurnDirection) -> Self {
        match direction {
            TurnDirection::Clockwise => Self::Clockwise,
            TurnDirection::Anticlockwise => Self::Anticlockwise,
        }
    }
}

mirror! {
    /// The steps of the chain of work, in its order: each disturbs those after it.
    StepKind = Kind {
        /// Bring the strings to pitch.
        Tune,
        /// Relief, with the truss rod.
        Relief,
        /// Read the nut; it is cut or filled only when relief and action are final.
        Nut,
        /// String spacing at the bridge.
        Spacing,
        /// Saddle height, from the highest-pitched string to the lowest.
        Action,
        /// Whether the row of string undersides follows the curve of the board.
        Radius,
        /// Pickup height.
        Pickup,
        /// Saddles fore and aft.
        Intonation,
        /// Tune, play every note, write the final numbers down.
        AsLeft,
    }
}

mirror! {
    /// Which way a part goes.
    PartWay = Way {
        /// A string sharper.
        TuneUp,
        /// A string flatter.
        TuneDown,
        /// More relief.
        MoreRelief,
        /// Less relief.
        LessRelief,
        /// The saddle up.
        Raise,
        /// The saddle down.
        Lower,
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
    }
}

mirror! {
    /// What a compared number rests on.
    RestsOn = Rests {
        /// Read in the very way in which the target is written.
        Reading,
        /// Read in another way and converted by the model of the neck.
        Converted,
        /// Read at another place of the instrument.
        ElsewhereOnInstrument,
    }
}

mirror! {
    /// Why a step does not apply.
    WhyNot = Why {
        /// Nobody set a target.
        NoTarget,
        /// A fret carries the strings.
        ZeroFret,
        /// Clamps hold the strings: height by shims under the nut.
        LockingNut,
        /// Neither a target nor a reading, and nothing that asks for one.
        NothingAsked,
        /// The board is flat, or its radius or the spread of the strings is unwritten.
        NoRadius,
    }
}

mirror! {
    /// Why to stop: this is for a qualified repairer.
    StopReason = Stop {
        /// The rod moved the neck against the direction known for it.
        RodWrongWay,
        /// The rod was turned and the relief did not answer.
        RodNoResponse,
        /// One side wants more relief, the other less: a twisted neck.
        Twisted,
        /// Relief is off and there is no rod.
        NoRod,
        /// The nut slot is too low: filling or a new nut.
        NutTooLow,
        /// The plain string would be stressed beyond 1.8 GPa.
        Stress,
    }
}

mirror! {
    /// What can harm the instrument or a person.
    Hazard = Danger {
        /// Which way the rod works is not known.
        RodTry,
        /// At most a quarter turn of the rod between two readings.
        RodQuarter,
        /// When to stop turning a rod.
        RodStop,
        /// A rod that works both ways has a dead zone.
        RodDeadZone,
        /// The neck settles for a while.
        NeckSettles,
        /// A screw that binds.
        ScrewBinds,
        /// Both screws of a saddle alike.
        ScrewsAlike,
        /// Neck screws only with slack strings.
        NeckScrewsSlack,
        /// A locking nut.
        LockingNut,
        /// Strings, springs and eyes.
        Eyes,
        /// On a floating bridge each change moves all.
        FloatingRepeat,
        /// Work that cannot be undone.
        Irreversible,
        /// Files, blades and sharp ends.
        SharpTools,
        /// For a repairer.
        Repairer,
        /// For a clinician.
        Clinician,
        /// A pickup that is too near pulls the pitch.
        PickupNear,
        /// The tension rises by more than a tenth.
        TensionRise,
        /// A string would be stressed near breaking.
        Stress,
    }
}

/// A caution. Show it where it stands.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Caution {
    /// Which.
    pub hazard: Hazard,
    /// In words.
    pub text: String,
}

/// Turns to make, up to the next reading.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct HandTurn {
    /// How many eighths of a turn; 0 means less than an eighth.
    pub eighths: u32,
    /// Which way; `None` while this instrument has not shown it: a try.
    pub direction: Option<TurnDirection>,
    /// In the hand's words: "a quarter turn clockwise".
    pub text: String,
}

/// Where the size of a turn comes from.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Enum)]
pub enum SizeFrom {
    /// The advance of the screw's thread and the model of the neck.
    Thread {
        /// Advance in mm a turn.
        pitch_mm: f64,
    },
    /// What this instrument has shown.
    Learned {
        /// In how many observations.
        observations: u32,
    },
    /// A usual size (common practice, no source): nothing learned yet.
    Usual,
    /// Nothing: neither thread nor response is known.
    Unknown,
    /// What came after this app was built.
    Newer,
}

/// A screw to turn.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ScrewMove {
    /// Which: "truss rod", "saddle 3 (D)".
    pub screw: String,
    /// How many screws are turned alike.
    pub count: u32,
    /// How far and which way.
    pub turn: HandTurn,
    /// Where the size comes from.
    pub size_from: SizeFrom,
}

/// What to do at a step.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StepWork {
    /// Which way the part goes.
    pub way: PartWay,
    /// How far the part goes in all (rod: the relief), without sign; `None` where only a direction is
    /// known.
    pub travel: Option<Figure>,
    /// What to turn up to the next reading; empty for work without a screw.
    pub moves: Vec<ScrewMove>,
    /// What will then be read, in the notation of the tool that was used; a forecast. `None` for a try
    /// whose direction is not known.
    pub expect: Option<Figure>,
    /// How far off it will still be: wanted minus expected.
    pub left_over: Option<Figure>,
    /// What is to be measured again after it.
    pub again: Vec<ReadingClass>,
    /// The strings whose action this relief explains: the rod is turned for them, not their saddles.
    pub explains: Vec<StringPlace>,
}

/// A reading against a target.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct AgainstTarget {
    /// What was read, in the way in which the target is written.
    pub read: Figure,
    /// What is wanted.
    pub wanted: Figure,
    /// Read minus wanted.
    pub off: Figure,
    /// How far off is still fine, in the same unit.
    pub tolerance: f64,
    /// What `read` rests on.
    pub rests_on: RestsOn,
}

/// What a step comes to.
#[allow(clippy::large_enum_variant, reason = "it crosses by value once")]
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum StepVerdict {
    /// Within tolerance.
    Fine,
    /// Beyond the tolerance, but not beyond what the reading can tell.
    Same,
    /// To be adjusted.
    Adjust {
        /// What to do.
        work: StepWork,
    },
    /// Not read today.
    Measure,
    /// Read today, but something has been done since.
    MeasureAgain {
        /// What was done.
        deed: DeedKind,
        /// Its entry.
        entry: Option<String>,
    },
    /// A second reading with another tool, before anything that cannot be undone.
    MeasureWithAnother,
    /// Readings that differ beyond their uncertainties with nothing done between: take a third.
    Disagree {
        /// All of them.
        readings: Vec<SeenReading>,
    },
    /// People wrote two targets apart; nothing is advised until one is settled on.
    TwoValues {
        /// All of them.
        values: Vec<Wanted>,
    },
    /// It has to wait for an earlier step.
    Wait {
        /// Which step.
        after: StepKind,
        /// What will be read with the relief at its target and everything else untouched: a forecast.
        forecast: Option<Figure>,
    },
    /// It does not apply.
    NotApplicable {
        /// Why.
        why: WhyNot,
    },
    /// Stop; this is for a qualified repairer.
    Stop {
        /// Why.
        why: StopReason,
    },
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// An arc through the undersides of the strings, against the board's.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct RowOfUndersides {
    /// Radius through the undersides in mm; `None` where they lie flat or hollow.
    pub radius_mm: Option<f64>,
    /// Radius of the board in mm.
    pub board_radius_mm: f64,
    /// By how much more the strings in the middle stand over the board than the outer ones.
    pub middle: Figure,
}

impl From<&Row> for RowOfUndersides {
    fn from(row: &Row) -> Self {
        Self {
            radius_mm: row.radius_mm,
            board_radius_mm: row.board_mm,
            middle: known::known(row.middle, Basis::Computed),
        }
    }
}

/// One step of the plan.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PlanStep {
    /// Which.
    pub kind: StepKind,
    /// Of which quantity; `None` for a step of the instrument as a whole.
    pub quantity: Option<Quantity>,
    /// Where.
    pub spot: Option<Spot>,
    /// What the step is, in words: "action: string 4 (E), open over 12".
    pub title: String,
    /// What it comes to.
    pub verdict: StepVerdict,
    /// The same in a few words: "fine", "measure again".
    pub verdict_text: String,
    /// Whether nothing is left to do at it.
    pub settled: bool,
    /// The reading that it goes by.
    pub seen: Option<SeenReading>,
    /// The target.
    pub target: Option<Wanted>,
    /// Both together.
    pub compared: Option<AgainstTarget>,
    /// The row of string undersides, at the step that looks at it.
    pub row: Option<RowOfUndersides>,
    /// What is behind it, and what to do, a sentence each, in the order in which to show them.
    pub sentences: Vec<String>,
    /// What can harm; show it with the step.
    pub cautions: Vec<Caution>,
}

/// One string's action against the setup.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SincePart {
    /// How the action was read.
    pub quantity: Quantity,
    /// Where.
    pub spot: Spot,
    /// By how much it is off the setup.
    pub change: Figure,
    /// How much of that the change of relief makes, by the model of the neck.
    pub explained: Figure,
    /// What is left.
    pub remainder: Figure,
    /// Whether what is left lies beyond the tolerance and what the readings can tell.
    pub tells: bool,
}

/// Where the remainder points.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum PointsAt {
    /// Nothing is left beyond what the readings can tell.
    Nowhere,
    /// All strings alike: neck joint, bridge, posts.
    Common,
    /// One string: its saddle screw, a worn fret or slot.
    OneString {
        /// Which.
        place: StringPlace,
    },
    /// It cannot be told.
    CannotBeTold,
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// What moved since the setup, and how much of it the relief explains.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SinceSetup {
    /// By how much the relief is off the setup.
    pub relief: Figure,
    /// Each string's action.
    pub parts: Vec<SincePart>,
    /// Where the rest points.
    pub points_at: PointsAt,
    /// The same, a sentence each; empty if nothing moved beyond what was read.
    pub sentences: Vec<String>,
    /// What can harm whoever follows it there.
    pub cautions: Vec<Caution>,
}

/// The plan of an instrument.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Plan {
    /// The setup whose targets are meant; `None` if the instrument has none.
    pub setup: Option<String>,
    /// All steps, in the order of the chain of work.
    pub steps: Vec<PlanStep>,
    /// The position in `steps` of the one to do next: show it first, the rest folded. `None` if
    /// everything is settled.
    pub next_step: Option<u32>,
    /// What moved since the setup; `None` without a relief that was read against a target.
    pub since: Option<SinceSetup>,
    /// Facts of the instrument that people wrote two values for: the plan does without them.
    pub contested_facts: Vec<String>,
    /// The whole as plain text: the next step in full, the others in a line each.
    pub text: String,
}

#[uniffi::export]
impl Instrument {
    /// What to turn, by how much, which way, in which order and why, to bring the instrument to a
    /// setup (by id or name; `None`: the first one). It goes by today's readings, with all numbers and
    /// sentences: one call shows the screen.
    ///
    /// # Errors
    /// `NotFound` for a setup that the instrument does not have; when the record cannot be read;
    /// `Closed`.
    #[uniffi::method(default(setup = None))]
    pub fn plan(&self, setup: Option<String>) -> Result<Plan> {
        let found = self.inner.plan(setup.as_deref())?;
        let context = Context { spec: &found.spec };
        let text = found.text(&crate::voice::voice());
        Ok(Plan {
            setup: found.setup.clone(),
            steps: found.plan.steps.iter().map(|step| context.step(step)).collect(),
            next_step: found.plan.next.and_then(|next| u32::try_from(next).ok()),
            since: found.plan.drift.as_ref().map(|since| context.since(since)),
            contested_facts: found.plan.contested_facts,
            text,
        })
    }
}

pub(crate) fn caution(danger: Danger) -> Caution {
    Caution { hazard: danger.into(), text: sentence(&fallaway_text::cautions::text(danger)) }
}

pub(crate) fn cautions(dangers: &[Danger]) -> Vec<Caution> {
    dangers.iter().copied().map(caution).collect()
}

pub(crate) fn hand_turn(turn: Turn) -> HandTurn {
    HandTurn {
        eighths: turn.eighths.into(),
        direction: turn.direction.map(Into::into),
        text: crate::voice::say(&text::turn(turn)),
    }
}

fn screw_move(moved: &Move, spec: &Spec) -> ScrewMove {
    ScrewMove {
        screw: crate::voice::say(&text::screw(&moved.screw, spec)),
        count: moved.count.into(),
        turn: hand_turn(moved.turn),
        size_from: match moved.size_from {
            Reckoned::Thread { pitch_mm } => SizeFrom::Thread { pitch_mm },
            Reckoned::Learned { observations } => {
                SizeFrom::Learned { observations: u32::try_from(observations).unwrap_or(u32::MAX) }
            }
            Reckoned::Usual => SizeFrom::Usual,
            Reckoned::Unknown => SizeFrom::Unknown,
        },
    }
}

fn work(adjust: &Adjust, spec: &Spec) -> StepWork {
    let computed = |value| known::known(value, Basis::Computed);
    StepWork {
        way: adjust.way.into(),
        travel: adjust.travel.map(computed),
        moves: adjust.moves.iter().map(|moved| screw_move(moved, spec)).collect(),
        expect: adjust.expect.map(|expect| match adjust.expect_shown {
            Some(shown) => known::in_notation(shown, expect),
            None => computed(expect),
        }),
        left_over: adjust
            .left_over
            .zip(adjust.expect)
            .map(|(left, expect)| known::bare(left, expect.scale)),
        again: adjust.again.iter().copied().map(Into::into).collect(),
        explains: adjust.explains.iter().copied().map(Into::into).collect(),
    }
}

fn compared(compared: &Compared) -> AgainstTarget {
    AgainstTarget {
        read: known::known(compared.read, Basis::Measured),
        wanted: known::known(compared.wanted, Basis::Measured),
        off: known::known(compared.off(), Basis::Computed),
        tolerance: compared.tolerance,
        rests_on: compared.rests_on.into(),
    }
}

impl Context<'_> {
    fn step(&self, step: &Step) -> PlanStep {
        let said = text::step(step, self.spec);
        PlanStep {
            kind: step.kind.into(),
            quantity: step.measurand.map(|measurand| measurand.quantity.into()),
            spot: step.measurand.map(|measurand| measurand.location.into()),
            title: crate::voice::say(&said.title),
            verdict: self.verdict(&step.verdict),
            verdict_text: crate::voice::say(&said.verdict),
            settled: step.verdict.settled(),
            seen: step.seen.as_ref().map(|seen| self.seen(seen)),
            target: step.target.as_ref().map(known::wanted),
            compared: step.compared.as_ref().map(compared),
            row: step.remarks.iter().find_map(|remark| match remark {
                Remark::Row(row) => Some(row.into()),
                _ => None,
            }),
            sentences: said.sentences().map(sentence).collect(),
            cautions: cautions(&step.cautions),
        }
    }

    fn verdict(&self, verdict: &Verdict) -> StepVerdict {
        match verdict {
            Verdict::Fine => StepVerdict::Fine,
            Verdict::Same => StepVerdict::Same,
            Verdict::Adjust(adjust) => StepVerdict::Adjust { work: work(adjust, self.spec) },
            Verdict::Measure => StepVerdict::Measure,
            Verdict::MeasureAgain { intervention, entry } => StepVerdict::MeasureAgain {
                deed: (*intervention).into(),
                entry: Some(entry.to_string()),
            },
            Verdict::MeasureWithAnother => StepVerdict::MeasureWithAnother,
            Verdict::Disagree { readings } => {
                StepVerdict::Disagree { readings: self.all_seen(readings) }
            }
            Verdict::TwoValues { values } => {
                StepVerdict::TwoValues { values: values.iter().map(known::wanted).collect() }
            }
            Verdict::Wait { after, forecast, .. } => StepVerdict::Wait {
                after: (*after).into(),
                forecast: forecast.map(|value| known::known(value, Basis::Computed)),
            },
            Verdict::NotApplicable { why } => StepVerdict::NotApplicable { why: (*why).into() },
            Verdict::Stop { why } => StepVerdict::Stop { why: (*why).into() },
        }
    }

    fn since(&self, since: &Since) -> SinceSetup {
        let computed = |value| known::known(value, Basis::Computed);
        SinceSetup {
            relief: computed(since.relief),
            parts: since
                .parts
                .iter()
                .map(|part| SincePart {
                    quantity: part.measurand.quantity.into(),
                    spot: part.measurand.location.into(),
                    change: computed(part.change),
                    explained: computed(part.explained),
                    remainder: computed(part.remainder),
                    tells: part.tells,
                })
                .collect(),
            points_at: match &since.points_at {
                Points::Nowhere => PointsAt::Nowhere,
                Points::Common => PointsAt::Common,
                Points::OneString(place) => PointsAt::OneString { place: (*place).into() },
                Points::CannotBeTold => PointsAt::CannotBeTold,
            },
            sentences: plan_page::drift_sentences(since, self.spec).iter().map(sentence).collect(),
            cautions: cautions(&since.cautions),
        }
    }
}
