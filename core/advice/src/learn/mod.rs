//! What this instrument, and those who read it, have taught: how its relief answers the rod and the
//! seasons, how well each reader repeats a reading with each tool, and how far readers lie apart.
//!
//! Each lesson says how many observations it rests on, the estimate and its interval, where it started
//! from, and what was left out and why.

pub(crate) mod follow;
mod forecast;
pub(crate) mod readers;
pub(crate) mod response;
pub(crate) mod rod_way;
mod screws;
mod season;
mod tension;
pub mod touch;
mod value;

use std::collections::HashMap;

use fallaway_mechanics::learn::rod::{PRIOR_FACTOR, PRIOR_MEDIAN_MM};

use fallaway_record::{EntryId, State};

pub use follow::ResponsePair;
pub use forecast::{
    ActionForecast, ClimateForecast, Forecast, ForecastClimate, NoForecast, forecast,
};
pub use readers::{ReaderBias, ReaderLearned};
pub use response::{CLAW_MM, ScrewResponse};
pub use screws::ScrewLearned;
pub(crate) use season::moisture_mm;
pub use season::{ClimateLack, SeasonLearned};
pub use tension::{TensionLearned, tension};
pub use touch::PlayerTouch;
pub use value::{Interval, LearnedValue, LeftOut, WhyLeftOut};

use crate::observe::{
    Done, EventKind, Input, InterventionKind, MeasurandKind, ReadingIndex, again,
};

/// Everything that the record of one instrument has taught.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// Size of the rod's response in mm of relief a turn.
    pub rod: LearnedValue,
    /// Which way the rod turns for less relief, if shown or written.
    pub less_relief: Option<crate::turns::TurnDirection>,
    /// Which way every other kind of screw works; empty unless asked of the plan
    /// ([`screws_learned`](crate::plan::screws_learned)).
    pub screws: Vec<ScrewLearned>,
    /// How relief follows the seasons; `None` without a reading of relief near a noted climate.
    pub season: Option<SeasonLearned>,
    /// What the climates that were noted lack, if nothing was learned of the seasons for want of it.
    pub season_lacks: Option<ClimateLack>,
    /// Each reader with each kind of tool.
    pub readers: Vec<ReaderLearned>,
    /// How relief answers the pull of the strings; `None` unless the strings' data were given
    /// ([`learned_with`]).
    pub tension: Option<TensionLearned>,
    /// Each player's touch; empty unless the strings' data were given ([`learned_with`]).
    pub touch: Vec<PlayerTouch>,
}

/// What the record teaches.
pub fn learned(input: &Input<'_>) -> Learned {
    let bench = ReadingIndex::new(input);
    let response = response::rod(&bench);
    let season = season::learn(&bench).ok();
    Learned {
        rod: rod(&bench, &response),
        less_relief: response.lessens,
        screws: Vec::new(),
        season_lacks: season.is_none().then(|| season::lacking(&bench)).flatten(),
        season,
        readers: readers::learn(&bench),
        tension: None,
        touch: Vec::new(),
    }
}

/// What the record teaches, players' touch included: it needs gauges and notes, which `state` holds.
/// `input` is that of the same record.
pub fn learned_with(input: &Input<'_>, state: &State) -> Learned {
    Learned {
        tension: Some(tension(input, state)),
        touch: touch::learn(input, state, None),
        ..learned(input)
    }
}

/// How hard each player plays, alone.
pub fn touches(input: &Input<'_>, state: &State) -> Vec<PlayerTouch> {
    touch::learn(input, state, None)
}

/// As [`touches`], without what was noted of buzzes of one string: who asks why it buzzes is not to be
/// told that it is played as hard as makes it buzz.
pub fn touches_without(
    input: &Input<'_>,
    state: &State,
    string: fallaway_measure::StringPlace,
) -> Vec<PlayerTouch> {
    touch::learn(input, state, Some(string))
}

fn rod(bench: &ReadingIndex<'_>, response: &ScrewResponse) -> LearnedValue {
    let spread = |median: f64, ln_sd: f64| Interval {
        value: median,
        low: median * (-ln_sd).exp(),
        high: median * ln_sd.exp(),
    };
    let mut excluded = Vec::new();
    let paired: HashMap<EntryId, usize> = response
        .pairs
        .iter()
        .enumerate()
        .flat_map(|(at, pair)| pair.interventions.iter().map(move |entry| (*entry, at)))
        .collect();
    for done in bench.interventions.iter().filter(|d| d.intervention.kind == InterventionKind::Rod)
    {
        let why = match paired.get(&done.entry) {
            Some(pair) if response.outvoted.contains(pair) => WhyLeftOut::Outvoted,
            Some(_) => continue,
            None => unpaired(bench, done),
        };
        excluded.extend(bench.input.events.get(done.event).map(|e| LeftOut::new(e, why)));
    }
    LearnedValue {
        observations: response.pairs.len() - response.outvoted.len(),
        estimate: spread(response.mm_per_turn, response.ln_sd),
        prior: spread(PRIOR_MEDIAN_MM, PRIOR_FACTOR.ln()),
        excluded,
    }
}

/// Why a turn of the rod has no reading before and after it to learn from.
fn unpaired(bench: &ReadingIndex<'_>, done: &Done) -> WhyLeftOut {
    if done.intervention.turns.is_none_or(|t| !t.is_finite() || t == 0.0) {
        return WhyLeftOut::TurnsUnwritten;
    }
    let is_relief = |&i: &usize| match bench.input.events.get(i) {
        Some(e) if !e.retracted => match &e.what {
            EventKind::Pass(p) => MeasurandKind::of(p.quantity) == Some(MeasurandKind::Relief),
            _ => false,
        },
        _ => false,
    };
    let Some(before) = (0..done.event).rev().find(is_relief) else {
        return WhyLeftOut::NotReadBefore;
    };
    let Some(after) = (done.event..bench.input.events.len()).find(is_relief) else {
        return WhyLeftOut::NotReadAfter;
    };
    let other = bench.interventions.iter().find(|d| {
        let between = d.event > before && d.event < after && d.event != done.event;
        let useless =
            d.intervention.kind != InterventionKind::Rod || d.intervention.turns.is_none();
        between
            && useless
            && again(d.intervention.kind, &bench.input.facts).contains(&MeasurandKind::Relief)
    });
    if let Some(other) = other {
        return WhyLeftOut::DoneBetween(other.intervention.kind);
    }
    let at = |i: usize| bench.input.events.get(i).map_or(0, |e| e.at.unix_s);
    if (at(after) - at(before)).abs() > follow::PAIR_S {
        return WhyLeftOut::TooFarApart;
    }
    WhyLeftOut::NotAlike
}
