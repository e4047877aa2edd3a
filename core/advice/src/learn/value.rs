//! What was learned of one number: how many observations it rests on, the estimate with its interval,
//! where it started from, and what was left out and why.

use std::fmt;

use fallaway_record::{EntryId, Moment};

use crate::observe::{Event, InterventionKind, Observation};

/// A number with the interval in which it lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The number.
    pub value: f64,
    /// Low end.
    pub low: f64,
    /// High end.
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
    /// Its entry.
    pub entry: EntryId,
    /// When, by the writer's clock.
    pub at: Moment,
    /// Why.
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
    /// The touch it tells of is lighter or harder than any that is reckoned with.
    TouchBeyond {
        /// That touch, in N.
        newton: f64,
    },
}

impl fmt::Display for WhyLeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TurnsUnwritten => f.write_str("nobody wrote down how far it was turned"),
            Self::NotReadBefore => f.write_str("the relief was not read before it"),
            Self::NotReadAfter => f.write_str("the relief was not read after it"),
            Self::DoneBetween(kind) => write!(f, "between the two readings {kind}"),
            Self::TooFarApart => f.write_str("more than three days between the two readings"),
            Self::NotAlike => f.write_str(
                "the readings before and after were not taken alike, or not in the knowledge of it",
            ),
            Self::Outvoted => f.write_str("more observations tell the other direction"),
            Self::AnotherWay => f.write_str("read in another way, place or posture than most"),
            Self::NoClimate => {
                f.write_str("no air was noted near it in which it had stood for a day")
            }
            Self::ClimateBeyond => {
                f.write_str("the noted air is beyond what the moisture of wood is known for")
            }
            Self::Bound => f.write_str("only one side of a value was read"),
            Self::StandsApart => {
                f.write_str("it stands apart from all others: perhaps misread or mistyped")
            }
            Self::ActionUnread => f.write_str("the action of that string was not read"),
            Self::ReliefUnread => f.write_str("the relief was not read"),
            Self::ReadLongFromIt => {
                f.write_str("relief and action were not read within two weeks of it")
            }
            Self::StringsUnknown => f.write_str(
                "gauge, note, scale or frets of that string at that time are not written down",
            ),
            Self::OpenString => f.write_str("of an open string the nut slot may be the cause"),
            Self::OthersFirst => f.write_str(
                "by the clearance model notes that were not named would touch before those that \
                 were: another cause than the touch",
            ),
            Self::LiesOnFret => {
                f.write_str("by the readings the string lies on a fret without being played")
            }
            Self::TouchBeyond { newton } => {
                let within = super::touch::prior();
                write!(
                    f,
                    "by the clearance model it tells of {newton:.1} N, beyond the {:.1} N to {:.1} N \
                     that are reckoned with (common practice, no source): perhaps another cause",
                    within.low, within.high
                )
            }
        }
    }
}
