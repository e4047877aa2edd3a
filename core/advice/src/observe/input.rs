//! What the plan is made from: the instrument, what is wanted, and what people noted, in an order in
//! which causes come before what they caused.

use std::borrow::Cow;

use fallaway_measure::{Amount, Quantity, Tool};
use fallaway_record::{CouldNot, EntryId, FretFinding, Moment, PassReading, Posture};

use super::facts::Facts;
use super::intervention::Intervention;
use super::measurand::Measurand;

/// A reading outside a visit, or in one that has ended, is of today for this long: 16 hours.
pub const TODAY_S: i64 = 16 * 3600;
/// A reading in a visit that is still open is of today for this long: a week on the bench.
pub(crate) const BENCH_S: i64 = 7 * 24 * 3600;

/// What was noted.
#[derive(Debug, Clone, PartialEq)]
pub enum EventKind<'a> {
    /// A visit began.
    VisitOpened,
    /// A visit ended.
    VisitEnded,
    /// Readings of one quantity, with one tool, across strings.
    Pass(ObservedPass<'a>),
    /// Something was done.
    Done(Intervention),
    /// Tuned to pitch.
    Tuned,
    /// The air around the instrument.
    Climate {
        /// Temperature in degrees Celsius.
        temperature_c: Option<f64>,
        /// Relative humidity in percent.
        humidity_percent: Option<f64>,
        /// How many hours the instrument had been in it.
        hours_there: Option<f64>,
    },
    /// Something could not be done.
    CouldNot {
        /// The part that would not move, or what could not be read.
        what: CouldNot,
        /// Why it could not be done, in the words of whoever tried.
        reason: &'a str,
    },
    /// What was found at a fret.
    Fret(&'a FretFinding),
    /// A remark, a photo, a buzz: nothing that the plan uses.
    Other,
}

/// Readings of one quantity, with one tool.
#[derive(Debug, Clone, PartialEq)]
pub struct ObservedPass<'a> {
    /// What was read, and which way.
    pub quantity: Quantity,
    /// The tool that was used; `None` if that was not said.
    pub tool: Option<Tool>,
    /// How the instrument lay.
    pub posture: Option<Posture>,
    /// Whether it says how long ago the strings were tuned.
    pub says_tuned: bool,
    /// Whether it is what the visit left.
    pub as_left: bool,
    /// What was seen, where.
    pub readings: Cow<'a, [PassReading]>,
}

/// One entry of the record.
#[derive(Debug, Clone, PartialEq)]
pub struct Event<'a> {
    /// The id of the entry.
    pub entry: EntryId,
    /// When, by the writer's clock.
    pub at: Moment,
    /// By whom: a free label, such as "tech".
    pub by: Option<Cow<'a, str>>,
    /// The position, in the list of events, of the entry that opened its visit.
    pub visit: Option<usize>,
    /// Crossed out: kept, shown, never used.
    pub retracted: bool,
    /// What was noted.
    pub what: EventKind<'a>,
}

/// One value that somebody wants.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The wanted value, as written.
    pub wanted: Amount,
    /// How far off is still fine, either way.
    pub tolerance: Amount,
    /// The posture it is meant for.
    pub posture: Option<Posture>,
    /// Who wrote it: a free label.
    pub by: Option<String>,
    /// When it was written, by the writer's clock; `None` if the record does not tell.
    pub at: Option<Moment>,
    /// Whether it was taken from what a visit left: then the instrument once stood there.
    pub taken: bool,
}

/// What is wanted of one thing: one value, or several that people wrote apart.
#[derive(Debug, Clone, PartialEq)]
pub struct TargetState {
    /// The thing that is to read so.
    pub measurand: Measurand,
    /// All values that this version understands.
    pub values: Vec<Wanted>,
    /// The values differ, or one of them removes the target: nobody has settled it, and the plan does
    /// not choose.
    pub contested: bool,
}

impl TargetState {
    /// The one value, if it is one.
    pub fn settled(&self) -> Option<&Wanted> {
        self.values.first().filter(|_| !self.contested)
    }
}

/// Which entry was written in the knowledge of which.
pub trait Causality {
    /// Whether `earlier` is in the past of `later`: its writer knew of it. Positions in the list of
    /// events; false for two that were written apart.
    fn precedes(&self, earlier: usize, later: usize) -> bool;
}

/// Everything written on one device, in order.
#[derive(Debug, Clone, Copy, Default)]
pub struct InOrder;

impl Causality for InOrder {
    fn precedes(&self, earlier: usize, later: usize) -> bool {
        earlier < later
    }
}

/// Everything the plan is made from.
#[derive(Clone)]
pub struct Input<'a> {
    /// What is written of the instrument, as far as the plan needs it.
    pub facts: Facts,
    /// What is wanted.
    pub targets: Vec<TargetState>,
    /// What was noted; an entry comes after all that it knew of.
    pub events: Vec<Event<'a>>,
    /// Which entry knew of which.
    pub causality: &'a dyn Causality,
    /// The present, in seconds since 1970 (UTC).
    pub now_unix_s: i64,
}

impl std::fmt::Debug for Input<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Input")
            .field("facts", &self.facts)
            .field("wishes", &self.targets)
            .field("events", &self.events)
            .field("now_unix_s", &self.now_unix_s)
            .finish_non_exhaustive()
    }
}

impl Input<'_> {
    /// What is wanted of a thing.
    pub fn target_state(&self, measurand: Measurand) -> Option<&TargetState> {
        self.targets.iter().find(|w| w.measurand == measurand)
    }

    /// Where an entry stands among the events.
    pub(crate) fn position(&self, entry: EntryId) -> Option<usize> {
        self.events.iter().position(|e| e.entry == entry)
    }
}
