//! The plan: what to turn, by how much, which way, in which order, and why.

use fallaway::advice::hazard;
use fallaway::advice::{compare, plan};
use fallaway::record::InstrumentSpec;
use fallaway_text::{LengthOf, Phrase, names, plan as text, plan_page};

use crate::estimate;
use crate::mirror::mirror;
use crate::numbers::count;
use crate::observe::{
    self, Context, InterventionKind, Measurand, MeasurandKind, SeenReading, Wanted,
};
use crate::turns::{Turn, TurnedScrew, turn};
use crate::voice::{say, sentence, sentences};
use crate::{
    AdjustedPart, Basis, EntryId, Estimate, Instrument, Location, Moment, Quantity, Result,
    SettledBy, SetupId, SetupName, StepId, StringPlace,
};

mirror! {
    /// The steps of the chain of work, in its order: each disturbs those after it.
    StepKind = plan::StepKind {
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
        /// Read the nut; it is cut or filled only when relief and action are final.
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
}

mirror! {
    /// Which way a part goes.
    PartWay = plan::PartWay {
        /// A string sharper.
        TuneUp,
        /// A string flatter.
        TuneDown,
        /// More relief: a deeper bow of the neck.
        MoreRelief,
        /// Less relief: a straighter neck.
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
}

mirror! {
    /// What a compared number rests on.
    RestsOn = compare::RestsOn {
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
    WhyNot = plan::WhyNot {
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
        /// The instrument has no such string, fret or gap.
        NoSuchPlace,
        /// The bridge does not float, or not on posts, by what is written.
        BridgeStands,
    }
}

mirror! {
    /// Why to look at a screw before it is turned again.
    WhyLook = plan::WhyLook {
        /// So many turns in a row that the readings did not show.
        Unseen,
        /// The readings tell the opposite of the direction that is written down.
        AgainstWritten,
        /// More travel is asked for than height screws usually have.
        BeyondTravel,
    }
}

mirror! {
    /// Why to stop: this is for a qualified repairer.
    StopReason = plan::StopReason {
        /// The rod moved the neck against the direction known for it.
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
        /// The plain string would be stressed near what its wire bears.
        Stress,
    }
}

mirror! {
    /// What can harm the instrument or a person.
    Hazard = hazard::Hazard {
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
        /// Posts of a floating bridge under full pull.
        KnifeEdges,
        /// Springs under load, and the screws that hold them.
        Springs,
        /// On a floating bridge each change moves all.
        FloatingRepeat,
        /// Work that cannot be undone.
        Irreversible,
        /// Files, blades and sharp ends.
        SharpTools,
        /// A shim, or a slot that is filled.
        ShimOrFill,
        /// Frets that are levelled, or a board that is planed.
        BoardLevelled,
        /// For a repairer.
        Repairer,
        /// For a clinician.
        Clinician,
        /// Pole pieces: which of them are turned, and how far.
        PolePieces,
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
    /// What can do harm, as data, for an icon of the app's own.
    pub hazard: Hazard,
    /// The caution in a sentence or two.
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
    /// What is written down when it was turned, as `done` does: a saddle of several strings by the first of
    /// them. Give it back in an `Adjustment` where something else was done.
    pub part: AdjustedPart,
    /// Which screw, with all strings that it moves.
    pub screw: TurnedScrew,
    /// The same in words: "truss rod", "saddle 3 (D)".
    pub text: String,
    /// How many screws are turned alike.
    pub count: u32,
    /// How far and which way, up to the next reading.
    pub turn: Turn,
    /// Whether it is a test: which way the screw works is not known yet.
    pub is_test: bool,
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
    pub travel: Option<Estimate>,
    /// What to turn up to the next reading; empty for work without a screw.
    pub moves: Vec<ScrewMove>,
    /// What will then be read, in the notation of the tool that was used; a forecast. `None` for a try
    /// whose direction is not known.
    pub expect: Option<Estimate>,
    /// How far off it will still be: wanted minus expected.
    pub left_over: Option<Estimate>,
    /// What is to be measured again after it.
    pub again: Vec<MeasurandKind>,
    /// The strings whose action this relief explains: the rod is turned for them, not their saddles.
    pub explains: Vec<StringPlace>,
}

/// A reading against a target.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct AgainstTarget {
    /// What was read, in the way in which the target is written.
    pub read: Estimate,
    /// What is wanted.
    pub wanted: Estimate,
    /// Read minus wanted.
    pub off: Estimate,
    /// How far off is still fine, in the same unit.
    pub tolerance: f64,
    /// What `read` rests on.
    pub rests_on: RestsOn,
}

/// What a step comes to.
#[allow(clippy::large_enum_variant, reason = "it crosses by value once")]
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum StepVerdict {
    /// Within tolerance: leave it alone.
    Fine,
    /// Beyond the tolerance, but not beyond what the reading can tell.
    Same,
    /// Off its target, and the least turn passes it: it is set no finer, and left as it stands.
    NoCloser,
    /// To be adjusted.
    Adjust {
        /// What to do.
        work: StepWork,
    },
    /// Not read today.
    Measure,
    /// Read today, but something has been done drift.
    MeasureAgain {
        /// What was done since.
        intervention: InterventionKind,
        /// The entry of the history that says so; `None` where no record stands behind it.
        entry: Option<EntryId>,
    },
    /// A second reading with another tool, before anything that cannot be undone.
    MeasureWithAnother,
    /// The tool is coarser than the tolerance: a reading with a finer one.
    MeasureFiner,
    /// Readings that differ beyond their uncertainties with nothing done between: take a third.
    Disagree {
        /// The readings that differ.
        readings: Vec<SeenReading>,
    },
    /// This reading and its forecast hardly go together: read again before anything is turned.
    ReadAgain {
        /// What should have been read.
        forecast: Estimate,
    },
    /// A screw is to be looked at before it is turned again; the sentences say why.
    LookAtScrew {
        /// The screw that is to be looked at.
        screw: TurnedScrew,
        /// The same in words: "saddle 3 (D)".
        text: String,
        /// What makes it suspect, as data.
        why: WhyLook,
    },
    /// People wrote two targets apart; nothing is advised until one is settled on.
    TwoValues {
        /// The targets, each as somebody wrote it.
        values: Vec<Wanted>,
    },
    /// It has to wait for an earlier step.
    Wait {
        /// The kind of the step that comes first.
        after: StepKind,
        /// Of what; `None` for a step of the instrument as a whole.
        of: Option<Measurand>,
        /// What will be read with the relief at its target and everything else untouched: a forecast.
        forecast: Option<Estimate>,
    },
    /// It does not apply.
    NotApplicable {
        /// Why it does not apply, as data.
        why: WhyNot,
    },
    /// Stop; this is for a qualified repairer.
    Stop {
        /// What was seen that stops the work, as data.
        why: StopReason,
    },
    /// Somebody tried today and could not: the plan goes on without it. Crossing `tried.entry` out has
    /// it asked for again.
    CouldNot {
        /// Who tried, and why it did not work.
        tried: NotDone,
    },
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// Something to know of the numbers of a step; the step's sentences say it.
#[allow(clippy::large_enum_variant, reason = "it crosses by value once")]
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum StepRemark {
    /// The record does not show that the strings were at pitch when this was read.
    TuningNotNoted,
    /// Another reading was taken in another posture, and does not count here.
    OtherPosture {
        /// The reading that does not count.
        reading: SeenReading,
    },
    /// Two other readings outvoted this one, or one that its forecast bears out.
    Outvoted {
        /// The one that is left out.
        reading: SeenReading,
    },
    /// The reading is of another way, and converted.
    ConvertedFrom {
        /// As it was read.
        reading: SeenReading,
    },
    /// A move sideways changes the height over the frets by this much.
    SidewaysLifts {
        /// Up is above zero.
        by: Estimate,
    },
    /// The last reading, of an earlier visit.
    LastTime {
        /// The last reading before this visit.
        reading: SeenReading,
    },
    /// How much of an action that is off the relief explains.
    Explains {
        /// Of which string, and how much.
        part: DriftPart,
    },
    /// The string lies on the frets: its reading is a bound, not a value.
    OnTheFrets,
    /// The string was turned up and down, and its tool tells no nearer: it is left so.
    ToAndFro {
        /// How many turns.
        turns: u32,
    },
    /// One turn told the opposite of the direction that is written down.
    AgainstWritten,
    /// The rod was turned in a row without the readings showing it.
    RodUnseen {
        /// By how many eighths of a turn.
        eighths: u32,
    },
    /// The row of string undersides against the board.
    Row {
        /// The arc of the strings and that of the board.
        row: RowOfUndersides,
    },
    /// At an earlier visit somebody tried and could not.
    CouldNotBefore {
        /// Who tried, and why it did not work.
        tried: NotDone,
    },
    /// What came after this app was built: the sentences say it.
    Newer,
}

/// A note that something could not be done.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct NotDone {
    /// The entry that says so.
    pub entry: EntryId,
    /// Why it could not be done, in the words of whoever tried.
    pub reason: String,
    /// Who tried, if that was said.
    pub by: Option<String>,
    /// When, by their clock.
    pub at: Moment,
}

impl From<&fallaway::advice::observe::NotDone> for NotDone {
    fn from(tried: &fallaway::advice::observe::NotDone) -> Self {
        Self {
            entry: tried.entry.into(),
            reason: tried.reason.clone(),
            by: tried.by.clone(),
            at: tried.at.into(),
        }
    }
}

/// An arc through the undersides of the strings, against the board's.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct RowOfUndersides {
    /// Radius through the undersides in mm; `None` where they lie flat or hollow.
    pub radius_mm: Option<f64>,
    /// The smallest radius that the readings allow, in mm; `None` where even that is flat or hollow.
    pub least_radius_mm: Option<f64>,
    /// The largest; `None` where they may lie flat or hollow.
    pub most_radius_mm: Option<f64>,
    /// Radius of the board in mm.
    pub board_radius_mm: f64,
    /// By how much more the strings in the middle stand over the board than the outer ones.
    pub middle: Estimate,
}

impl From<&plan::RowOfUndersides> for RowOfUndersides {
    fn from(row: &plan::RowOfUndersides) -> Self {
        Self {
            radius_mm: row.radius_mm,
            least_radius_mm: row.least_mm,
            most_radius_mm: row.most_mm,
            board_radius_mm: row.board_mm,
            middle: estimate::known(row.middle, Basis::Computed),
        }
    }
}

/// One step of the plan.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PlanStep {
    /// Its id, the same in every plan until something changes that the step rests on: `done`,
    /// `did_otherwise` and `could_not` take it.
    pub id: StepId,
    /// Which link of the chain of work it is.
    pub kind: StepKind,
    /// Of which quantity; `None` for a step of the instrument as a whole.
    pub quantity: Option<Quantity>,
    /// The same in words, as `quantity_label`.
    pub quantity_text: Option<String>,
    /// Which string or side; `None` for a step of the instrument as a whole.
    pub location: Option<Location>,
    /// The same in words, as `location_label`.
    pub location_text: Option<String>,
    /// What the step is, in words: "action: string 4 (E), open over 12".
    pub title: String,
    /// What it comes to.
    pub verdict: StepVerdict,
    /// The same in a few words: "fine", "measure again".
    pub verdict_text: String,
    /// Whether nothing is left to do at it.
    pub settled: bool,
    /// What settles it: what is to be written down for it.
    pub settled_by: SettledBy,
    /// What is to be measured next, once it is done: what it disturbs, in the order of the work.
    pub then_measure: Vec<Measurand>,
    /// The reading that it goes by.
    pub seen: Option<SeenReading>,
    /// The target that it works toward; `None` if nobody set one.
    pub target: Option<Wanted>,
    /// Reading and target compared; `None` where either is missing.
    pub compared: Option<AgainstTarget>,
    /// What else to know of its numbers.
    pub remarks: Vec<StepRemark>,
    /// What is behind it, and what to do, a sentence each, in the order in which to show them.
    pub sentences: Vec<String>,
    /// What can harm; show it with the step.
    pub cautions: Vec<Caution>,
}

/// A fact of the instrument, by its key in the record.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct NamedFact {
    /// Its key, as the call that takes a fact back takes it: "scale", "tuning/4".
    pub key: String,
    /// In words: "scale length".
    pub text: String,
}

/// One string's action against the setup.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DriftPart {
    /// How the action was read.
    pub quantity: Quantity,
    /// Of which string.
    pub location: Location,
    /// By how much it is off the setup.
    pub change: Estimate,
    /// How much of that the change of relief makes, by the model of the neck.
    pub explained: Estimate,
    /// What the relief does not explain: `change` minus `explained`.
    pub remainder: Estimate,
    /// Whether what is left lies beyond the tolerance and what the readings can tell.
    pub tells: bool,
}

/// Where the remainder points.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum PointsAt {
    /// Nothing is left beyond what the readings can tell.
    NothingLeft,
    /// All strings alike: neck joint, bridge, posts.
    Common,
    /// One string, alone or unlike the others, which are alike: its saddle screw, a worn fret or slot.
    OneString {
        /// The string that moved unlike the others.
        place: StringPlace,
    },
    /// It cannot be told.
    CannotBeTold,
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// What moved since the setup, and how much of it the relief explains.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SetupDrift {
    /// Whether the targets were taken from what a visit left: then it has moved since. Else it may never
    /// have stood there.
    pub was_there: bool,
    /// By how much the relief is off the setup.
    pub relief: Estimate,
    /// The action of each string against the setup.
    pub parts: Vec<DriftPart>,
    /// Where the rest points.
    pub points_at: PointsAt,
    /// The same, a sentence each, without the cautions; empty if nothing moved beyond what was read.
    pub sentences: Vec<String>,
    /// What can harm whoever follows it there.
    pub cautions: Vec<Caution>,
}

/// The plan of an instrument.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Plan {
    /// The setup whose targets are meant; `None` if the instrument has none.
    pub setup: Option<SetupName>,
    /// All steps, in the order of the chain of work.
    pub steps: Vec<PlanStep>,
    /// The position in `steps` of the one to do next: show it first, the rest folded. `None` if
    /// everything is settled.
    pub next_step: Option<u32>,
    /// That step and those that are done in one go with it, by their ids: `done_together` takes them.
    pub now: Vec<StepId>,
    /// What moved since the setup; `None` without a relief that was read against a target.
    pub drift: Option<SetupDrift>,
    /// Facts of the instrument that people wrote two values for: the plan does without them.
    pub contested_facts: Vec<NamedFact>,
    /// The whole as plain text: the next step in full, the others in a line each.
    pub text: String,
}

#[uniffi::export]
impl Instrument {
    /// What to turn, by how much, which way, in which order and why, to bring the instrument to a
    /// setup (`None`: the default one). It goes by today's readings, with all numbers and
    /// sentences: one call shows the screen.
    ///
    /// # Errors
    /// `NotFound` for a setup that the instrument does not have; when the record cannot be read;
    /// `Closed`.
    #[uniffi::method(default(setup = None))]
    pub fn plan(&self, setup: Option<SetupId>) -> Result<Plan> {
        Ok(Plan::of(&self.inner().plan(setup.as_ref().map(|id| &id.0))?))
    }
}

/// Where the work on an instrument stands, for a row of a list.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct WorkState {
    /// What the plan for the default setup asks for next; `None` if nothing is left.
    pub next: Option<StepKind>,
    /// The same in a word or two: "relief".
    pub next_text: Option<String>,
    /// Whether something is written that is not part of a change yet: it can still be erased.
    pub is_drafted: bool,
    /// How much has not been delivered yet, as `unsent` counts; 0 while nobody else is there.
    pub unsent: u32,
}

#[uniffi::export]
impl Instrument {
    /// What is next, whether a draft is open, and what is unsent. It loads the record: ask for the rows that
    /// are seen.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn work_state(&self) -> Result<WorkState> {
        let state = self.inner().work_state()?;
        Ok(WorkState {
            next: state.next.map(StepKind::from),
            next_text: state.next.map(|kind| say(&text::kind(kind))),
            is_drafted: state.is_drafted,
            unsent: count(state.unsent),
        })
    }
}

impl Plan {
    pub(crate) fn of(found: &fallaway::PlanView) -> Self {
        let context = Context::of(&found.spec);
        let voice = crate::voice::voice();
        let text = found.text(&voice);
        let steps = plan_page::in_order(&found.plan, &voice);
        let next = found.plan.next_step();
        let next = steps.iter().position(|one| next.is_some_and(|next| std::ptr::eq(*one, next)));
        let now = plan_page::steps_in_order(plan_page::now(&found.plan), &voice);
        let named = |key: &String| NamedFact {
            key: key.clone(),
            text: crate::voice::say(&plan_page::fact(key, &found.spec)),
        };
        Self {
            setup: found.setup.clone().map(SetupName::from),
            steps: steps.into_iter().map(|one| context.step(one, found.id(one))).collect(),
            now: now.into_iter().map(|one| found.id(one).into()).collect(),
            next_step: next.and_then(|next| u32::try_from(next).ok()),
            drift: found.plan.drift.as_ref().map(|drift| context.drift(drift)),
            contested_facts: found.plan.contested_facts.iter().map(named).collect(),
            text,
        }
    }
}

pub(crate) fn caution(danger: hazard::Hazard) -> Caution {
    Caution { hazard: danger.into(), text: sentence(&fallaway_text::cautions::text(danger)) }
}

/// What is said, without the cautions, which stand beside it.
pub(crate) fn but_cautions(said: &[Phrase], dangers: &[hazard::Hazard]) -> Vec<String> {
    let cautions: Vec<Phrase> =
        dangers.iter().map(|one| fallaway_text::cautions::text(*one)).collect();
    sentences(said.iter().filter(|one| !cautions.contains(one)))
}

pub(crate) fn cautions(dangers: &[hazard::Hazard]) -> Vec<Caution> {
    dangers.iter().copied().map(caution).collect()
}

fn screw_move(moved: &plan::ScrewMove, spec: &InstrumentSpec) -> ScrewMove {
    ScrewMove {
        part: moved.screw.part().map_or(AdjustedPart::Elsewhere, AdjustedPart::from),
        screw: (&moved.screw).into(),
        text: crate::voice::say(&text::screw(&moved.screw, spec)),
        count: moved.count.into(),
        turn: turn(moved.turn),
        is_test: moved.turn.is_trial,
        size_from: match moved.size_from {
            plan::SizeFrom::Thread { pitch_mm } => SizeFrom::Thread { pitch_mm },
            plan::SizeFrom::Learned { observations } => {
                SizeFrom::Learned { observations: u32::try_from(observations).unwrap_or(u32::MAX) }
            }
            plan::SizeFrom::Usual => SizeFrom::Usual,
            plan::SizeFrom::Unknown => SizeFrom::Unknown,
        },
    }
}

fn work(adjust: &plan::StepWork, spec: &InstrumentSpec) -> StepWork {
    let computed = |value| estimate::known(value, Basis::Computed);
    StepWork {
        way: adjust.way.into(),
        travel: adjust.travel.map(computed),
        moves: adjust.moves.iter().map(|moved| screw_move(moved, spec)).collect(),
        expect: adjust.expect.map(|expect| match adjust.expect_shown {
            Some(shown) => estimate::in_notation(shown, expect),
            None => computed(expect),
        }),
        left_over: adjust
            .left_over
            .zip(adjust.expect)
            .map(|(left, expect)| estimate::bare(left, expect.scale)),
        again: adjust.again.iter().copied().map(Into::into).collect(),
        explains: adjust.explains.iter().copied().map(Into::into).collect(),
    }
}

/// What a step's numbers are of.
fn of(step: &plan::PlanStep) -> LengthOf {
    step.measurand.map(|measurand| measurand.quantity.into()).unwrap_or_default()
}

fn drift_part(part: &compare::DriftPart) -> DriftPart {
    let computed = |value| estimate::known(value, Basis::Computed);
    DriftPart {
        quantity: part.measurand.quantity.into(),
        location: part.measurand.location.into(),
        change: computed(part.change),
        explained: computed(part.explained),
        remainder: computed(part.remainder),
        tells: part.tells,
    }
}

fn compared(compared: &compare::AgainstTarget) -> AgainstTarget {
    AgainstTarget {
        read: estimate::known(compared.read, Basis::Measured),
        wanted: estimate::known(compared.wanted, Basis::Measured),
        off: estimate::known(compared.off(), Basis::Computed),
        tolerance: compared.tolerance,
        rests_on: compared.rests_on.into(),
    }
}

impl Context<'_> {
    fn step(&self, step: &plan::PlanStep, id: fallaway::StepId) -> PlanStep {
        let said = text::step(step, self.spec);
        PlanStep {
            id: id.into(),
            kind: step.kind.into(),
            quantity: step.measurand.map(|measurand| measurand.quantity.into()),
            quantity_text: step
                .measurand
                .map(|measurand| crate::voice::say(&names::quantity(measurand.quantity))),
            location: step.measurand.map(|measurand| measurand.location.into()),
            location_text: step.measurand.map(|measurand| measurand.location.to_string()),
            title: crate::voice::say(&said.title),
            verdict: self.verdict(step),
            verdict_text: crate::voice::say(&said.verdict),
            settled: step.verdict.settled(),
            settled_by: self.settled_by(&step.settled_by),
            then_measure: self.all_to_read(&step.then_measure),
            seen: step.seen.as_ref().map(|seen| self.seen(seen)),
            target: step.target.as_ref().map(|goal| observe::wanted(goal, of(step))),
            compared: step.compared.as_ref().map(compared),
            remarks: step.remarks.iter().map(|remark| self.remark(remark)).collect(),
            sentences: sentences(said.sentences()),
            cautions: cautions(&step.cautions),
        }
    }

    fn verdict(&self, step: &plan::PlanStep) -> StepVerdict {
        match &step.verdict {
            plan::StepVerdict::Fine => StepVerdict::Fine,
            plan::StepVerdict::Same => StepVerdict::Same,
            plan::StepVerdict::NoCloser => StepVerdict::NoCloser,
            plan::StepVerdict::Adjust(adjust) => {
                StepVerdict::Adjust { work: work(adjust, self.spec) }
            }
            plan::StepVerdict::Measure => StepVerdict::Measure,
            plan::StepVerdict::MeasureAgain { intervention, entry } => StepVerdict::MeasureAgain {
                intervention: (*intervention).into(),
                entry: Some((*entry).into()),
            },
            plan::StepVerdict::MeasureWithAnother => StepVerdict::MeasureWithAnother,
            plan::StepVerdict::MeasureFiner => StepVerdict::MeasureFiner,
            plan::StepVerdict::Disagree { readings } => {
                StepVerdict::Disagree { readings: self.all_seen(readings) }
            }
            plan::StepVerdict::ReadAgain { forecast } => {
                StepVerdict::ReadAgain { forecast: estimate::known(*forecast, Basis::Computed) }
            }
            plan::StepVerdict::LookAtScrew { screw, why } => StepVerdict::LookAtScrew {
                screw: screw.into(),
                text: crate::voice::say(&text::screw(screw, self.spec)),
                why: (*why).into(),
            },
            plan::StepVerdict::TwoValues { values } => {
                let values = values.iter().map(|goal| observe::wanted(goal, of(step)));
                StepVerdict::TwoValues { values: values.collect() }
            }
            plan::StepVerdict::Wait { after, of, forecast } => StepVerdict::Wait {
                after: (*after).into(),
                of: of.map(|of| self.to_read(of)),
                forecast: forecast.map(|value| estimate::known(value, Basis::Computed)),
            },
            plan::StepVerdict::NotApplicable { why } => {
                StepVerdict::NotApplicable { why: (*why).into() }
            }
            plan::StepVerdict::Stop { why } => StepVerdict::Stop { why: (*why).into() },
            plan::StepVerdict::CouldNot { tried } => StepVerdict::CouldNot { tried: tried.into() },
        }
    }

    fn remark(&self, remark: &plan::StepRemark) -> StepRemark {
        match remark {
            plan::StepRemark::TuningNotNoted => StepRemark::TuningNotNoted,
            plan::StepRemark::OtherPosture(seen) => {
                StepRemark::OtherPosture { reading: self.seen(seen) }
            }
            plan::StepRemark::Outvoted(seen) => StepRemark::Outvoted { reading: self.seen(seen) },
            plan::StepRemark::ConvertedFrom(seen) => {
                StepRemark::ConvertedFrom { reading: self.seen(seen) }
            }
            plan::StepRemark::SidewaysLifts(by) => {
                StepRemark::SidewaysLifts { by: estimate::known(*by, Basis::Computed) }
            }
            plan::StepRemark::LastTime(seen) => StepRemark::LastTime { reading: self.seen(seen) },
            plan::StepRemark::Explains(part) => StepRemark::Explains { part: drift_part(part) },
            plan::StepRemark::OnTheFrets => StepRemark::OnTheFrets,
            plan::StepRemark::ToAndFro { turns } => StepRemark::ToAndFro { turns: (*turns).into() },
            plan::StepRemark::AgainstWritten => StepRemark::AgainstWritten,
            plan::StepRemark::RodUnseen { eighths } => {
                StepRemark::RodUnseen { eighths: (*eighths).into() }
            }
            plan::StepRemark::Row(row) => StepRemark::Row { row: row.into() },
            plan::StepRemark::CouldNotBefore(tried) => {
                StepRemark::CouldNotBefore { tried: tried.into() }
            }
        }
    }

    fn drift(&self, drift: &compare::SetupDrift) -> SetupDrift {
        SetupDrift {
            was_there: drift.was_there,
            relief: estimate::known(drift.relief, Basis::Computed),
            parts: drift.parts.iter().map(drift_part).collect(),
            points_at: match &drift.points_at {
                compare::PointsAt::NothingLeft => PointsAt::NothingLeft,
                compare::PointsAt::Common => PointsAt::Common,
                compare::PointsAt::OneString(place) => {
                    PointsAt::OneString { place: (*place).into() }
                }
                compare::PointsAt::CannotBeTold => PointsAt::CannotBeTold,
            },
            sentences: but_cautions(&plan_page::drift_sentences(drift, self.spec), &drift.cautions),
            cautions: cautions(&drift.cautions),
        }
    }
}
