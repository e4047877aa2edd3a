//! What this instrument, and those who read it, have taught: how its relief answers the rod and the
//! seasons, how well each reader repeats a reading with each tool, and how far readers lie apart.
//!
//! Each lesson says how many observations it rests on, the estimate and its interval, where it started
//! from, and what was left out and why.

mod forecast;
mod pull;
pub(crate) mod readers;
mod season;
pub mod touch;
mod words;

use std::fmt;

use fallaway_mechanics::learn::rod::{PRIOR_FACTOR, PRIOR_MEDIAN_MM};

use fallaway_record::State;

use crate::bench::{Bench, Done};
use crate::deed::DeedKind;
use crate::input::{Input, What};
use crate::learn;
use crate::thing::Class;

pub use forecast::{ActionThere, Air, Forecast, NoForecast, There, forecast};
pub use pull::{PullLesson, pull};
pub use readers::{Apart, Reader, Repeats};
pub use season::Season;
pub use touch::PlayerTouch;
pub use words::{forecast_sentences, sentences};

/// A number with the interval in which it lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Within {
    /// The number.
    pub value: f64,
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
}

/// What was learned of one number.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// How many observations it rests on.
    pub observations: usize,
    /// The estimate with its interval: 68 % for the rod's response, which is not symmetric, else 95 %.
    pub estimate: Within,
    /// What was thought before any observation, with the same kind of interval.
    pub prior: Within,
    /// What was left out.
    pub excluded: Vec<Excluded>,
}

/// An observation that was left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Excluded {
    /// The position of its entry.
    pub event: usize,
    /// Why.
    pub why: Exclusion,
}

/// Why an observation teaches nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Exclusion {
    /// Nobody wrote down how far the rod was turned.
    TurnsUnwritten,
    /// The relief was not read before it, with nothing else between.
    NotReadBefore,
    /// The relief was not read after it, with nothing else between.
    NotReadAfter,
    /// Something else was done between the two readings.
    DoneBetween(DeedKind),
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

impl fmt::Display for Exclusion {
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
                let within = touch::prior();
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

/// Everything learned.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// Size of the rod's response in mm of relief a turn.
    pub rod: Lesson,
    /// Which way the rod turns for less relief, if shown or written.
    pub less_relief: Option<crate::hand::Direction>,
    /// How relief follows the seasons; `None` without a reading of relief near a noted climate.
    pub season: Option<Season>,
    /// Each reader with each kind of tool.
    pub readers: Vec<Reader>,
    /// How relief answers the pull of the strings; `None` unless the strings' data were given
    /// ([`learned_with`]).
    pub pull: Option<PullLesson>,
    /// Each player's touch; empty unless the strings' data were given ([`learned_with`]).
    pub touch: Vec<PlayerTouch>,
}

/// What the record teaches.
pub fn learned(input: &Input<'_>) -> Learned {
    let bench = Bench::new(input);
    let response = learn::rod(&bench);
    Learned {
        rod: rod(&bench, &response),
        less_relief: response.lessens,
        season: season::learn(&bench).ok(),
        readers: readers::learn(&bench),
        pull: None,
        touch: Vec::new(),
    }
}

/// What the record teaches, players' touch included: it needs gauges and notes, which `state` holds.
/// `input` is that of the same record.
pub fn learned_with(input: &Input<'_>, state: &State) -> Learned {
    Learned { pull: Some(pull(input, state)), touch: touch::learn(input, state), ..learned(input) }
}

/// How hard each player plays, alone.
pub fn touches(input: &Input<'_>, state: &State) -> Vec<PlayerTouch> {
    touch::learn(input, state)
}

fn rod(bench: &Bench<'_>, response: &learn::Response) -> Lesson {
    let spread = |median: f64, ln_sd: f64| Within {
        value: median,
        low: median * (-ln_sd).exp(),
        high: median * ln_sd.exp(),
    };
    let mut excluded = Vec::new();
    for done in bench.deeds.iter().filter(|d| d.deed.kind == DeedKind::Rod) {
        let paired = response.pairs.iter().position(|p| p.deeds.contains(&done.event));
        let why = match paired {
            Some(pair) if response.outvoted.contains(&pair) => Exclusion::Outvoted,
            Some(_) => continue,
            None => unpaired(bench, done),
        };
        excluded.push(Excluded { event: done.event, why });
    }
    Lesson {
        observations: response.pairs.len() - response.outvoted.len(),
        estimate: spread(response.mm_per_turn, response.ln_sd),
        prior: spread(PRIOR_MEDIAN_MM, PRIOR_FACTOR.ln()),
        excluded,
    }
}

/// Why a turn of the rod has no reading before and after it to learn from.
fn unpaired(bench: &Bench<'_>, done: &Done) -> Exclusion {
    if done.deed.turns.is_none_or(|t| !t.is_finite() || t == 0.0) {
        return Exclusion::TurnsUnwritten;
    }
    let is_relief = |&i: &usize| match bench.input.events.get(i) {
        Some(e) if !e.struck => match &e.what {
            What::Pass(p) => Class::of(p.quantity) == Some(Class::Relief),
            _ => false,
        },
        _ => false,
    };
    let Some(before) = (0..done.event).rev().find(is_relief) else {
        return Exclusion::NotReadBefore;
    };
    let Some(after) = (done.event..bench.input.events.len()).find(is_relief) else {
        return Exclusion::NotReadAfter;
    };
    let other = bench.deeds.iter().find(|d| {
        let between = d.event > before && d.event < after && d.event != done.event;
        let useless = d.deed.kind != DeedKind::Rod || d.deed.turns.is_none();
        between
            && useless
            && crate::stale::again(d.deed.kind, &bench.input.facts).contains(&Class::Relief)
    });
    if let Some(other) = other {
        return Exclusion::DoneBetween(other.deed.kind);
    }
    let at = |i: usize| bench.input.events.get(i).map_or(0, |e| e.at.unix_s);
    if (at(after) - at(before)).abs() > learn::PAIR_S {
        return Exclusion::TooFarApart;
    }
    Exclusion::NotAlike
}
