//! What was learned of one number: how many observations it rests on, the estimate with its interval,
//! where it started from, and what was left out and why.

use fallaway_record::{EntryId, Moment};

use crate::observe::{Event, InterventionKind, Observation};

/// A number with the interval in which it lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The best estimate; it need not be the middle of the interval.
    pub value: f64,
    /// Low end of the interval, in the same unit.
    pub low: f64,
    /// High end of the interval, in the same unit.
    pub high: f64,
}

/// What was learned of one number.
#[derive(Debug, Clone, PartialEq)]
pub struct LearnedValue {
    /// How many observations it rests on.
    pub observations: usize,
    /// The estimate with its interval: 68 % for the rod's response, which is not symmetric, else 95 %.
    pub estimate: Interval,
    /// What was thought before any observation, with the same kind of interval.
    pub prior: Interval,
    /// What was left out.
    pub excluded: Vec<LeftOut>,
}

/// An observation that was left out.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// The entry of the observation.
    pub entry: EntryId,
    /// When, by the writer's clock.
    pub at: Moment,
    /// Why it teaches nothing.
    pub why: WhyLeftOut,
}

impl LeftOut {
    pub(crate) fn new(event: &Event<'_>, why: WhyLeftOut) -> Self {
        Self { entry: event.entry, at: event.at, why }
    }
}

impl Observation {
    pub(crate) fn left_out(&self, why: WhyLeftOut) -> LeftOut {
        LeftOut { entry: self.entry, at: self.at, why }
    }
}

/// Why an observation teaches nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WhyLeftOut {
    /// Nobody wrote down how far the rod was turned.
    TurnsUnwritten,
    /// The relief was not read before it, with nothing else between.
    NotReadBefore,
    /// The relief was not read after it, with nothing else between.
    NotReadAfter,
    /// Something else was done between the two readings.
    DoneBetween(InterventionKind),
    /// More than three days lie between the two readings.
    TooFarApart,
    /// The two readings were not taken alike, or not in the knowledge of what was done.
    NotAlike,
    /// More observations tell the other direction.
    Outvoted,
    /// Read in another way, place or posture than most.
    AnotherWay,
    /// No climate was noted near it in which the instrument had stood for a day.
    NoClimate,
    /// The noted climate is beyond what the moisture of wood is known for.
    ClimateBeyond,
    /// Only one side of a value was read.
    Bound,
    /// It stands apart from all others: perhaps misread or mistyped.
    StandsApart,
    /// The action of the string was not read.
    ActionUnread,
    /// The relief was not read.
    ReliefUnread,
    /// The readings that stand were taken more than two weeks before or after it.
    ReadLongFromIt,
    /// Gauge, note, scale or frets of the string at that time are not written.
    StringsUnknown,
    /// Only the open string: its slot in the nut may be the cause.
    OpenString,
    /// By the clearance model notes that were not named would touch before those that were.
    OthersFirst,
    /// By the readings the string lies on a fret without being played.
    LiesOnFret,
    /// The touch it tells of is lighter or harder than any that the model allows for.
    TouchBeyond {
        /// That touch, in N.
        newton: f64,
    },
}
