//! Relief and action in an air that is named, and what to pack for.

use fallaway_measure::Quantity;

use super::response;
use super::season::{self, SeasonLearned, moisture};
use super::value::Interval;
use crate::neck::StringModel;
use crate::observe::{
    COVERAGE, Estimate, EventKind, Input, InterventionKind, Measurand, MeasurandKind, Observation,
    ReadingIndex, TODAY_S, disturbs,
};
use crate::turns::{HandTurn, TurnDirection};

/// An air to forecast for.
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastClimate {
    /// What it is called: "January", "the tour".
    pub name: String,
    /// Temperature in degrees Celsius; `None` for a room's.
    pub temperature_c: Option<f64>,
    /// Relative humidity in percent, 0 to 100.
    pub humidity_percent: f64,
}

/// A string's action in an air.
#[derive(Debug, Clone, PartialEq)]
pub struct ActionForecast {
    /// Which, and how it is read.
    pub measurand: Measurand,
    /// The reading it starts from.
    pub from: Observation,
    /// What it will be with the saddle untouched.
    pub expect: Estimate,
}

/// What to expect in one air, once the wood has followed.
#[derive(Debug, Clone, PartialEq)]
pub struct ClimateForecast {
    /// The air that was asked for, with its name.
    pub air: ForecastClimate,
    /// Moisture content that the wood comes to, in percent.
    pub moisture_percent: f64,
    /// Relief in mm, with an interval that holds 95 % of the time.
    pub relief: Interval,
    /// The air is drier or damper than the record has seen.
    pub beyond_record: bool,
    /// What would bring the relief back to its target, to the nearest eighth; `None` without a target.
    pub pack: Option<HandTurn>,
    /// Whether that is for more relief.
    pub more_relief: bool,
    /// What each string's action will be there, with the saddles untouched.
    pub action: Vec<ActionForecast>,
}

/// What to expect in other climates, of relief and of each string's action.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// What it rests on.
    pub season: SeasonLearned,
    /// Relief that is wanted, in mm.
    pub target_mm: Option<f64>,
    /// For each air, in the order given.
    pub there: Vec<ClimateForecast>,
}

/// Why there is no forecast.
#[derive(Debug, Clone, PartialEq)]
pub enum NoForecast {
    /// No relief was ever read near a noted climate.
    NothingLearned,
    /// An air that no forecast can be made for.
    ForecastClimate {
        /// The name that was given to it.
        name: String,
        /// Its temperature in degrees Celsius.
        temperature_c: f64,
        /// Its relative humidity in percent.
        humidity_percent: f64,
    },
}

/// Relief and action to expect in each of the airs, with rod, strings and saddles as they are now.
///
/// # Errors
///
/// [`NoForecast`].
pub fn forecast(input: &Input<'_>, airs: &[ForecastClimate]) -> Result<Forecast, NoForecast> {
    let bench = ReadingIndex::new(input);
    let season = season::learn(&bench).map_err(|()| NoForecast::NothingLearned)?;
    let target_state = input.target_state(season.way).and_then(|w| w.settled());
    let target_mm = target_state.and_then(|g| Estimate::of_amount(g.wanted)).map(|k| k.value);
    let rod = response::rod(&bench);
    let actions = actions(&bench, &season);
    let mut there = Vec::new();
    for air in airs {
        let refused = || NoForecast::ForecastClimate {
            name: air.name.clone(),
            temperature_c: air.temperature_c.unwrap_or(season::ROOM_C),
            humidity_percent: air.humidity_percent,
        };
        let moisture = moisture(air.temperature_c, air.humidity_percent).ok_or_else(refused)?;
        let found = season.model.at(moisture).ok_or_else(refused)?;
        let need = target_mm.map_or(0.0, |t| t - found.value);
        let direction =
            rod.lessens.map(|less: TurnDirection| if need < 0.0 { less } else { less.reversed() });
        let pack = target_mm.map(|_| HandTurn::nearest(need / rod.mm_per_turn, direction));
        let (low, high) = season.seen_percent;
        there.push(ClimateForecast {
            air: air.clone(),
            moisture_percent: moisture,
            relief: Interval { value: found.value, low: found.low, high: found.high },
            // A percentage point beyond is no other climate.
            beyond_record: moisture < low - 1.0 || moisture > high + 1.0,
            pack,
            more_relief: need > 0.0,
            action: actions
                .iter()
                .map(|a| a.there(found.value, (found.high - found.low) / 2.0 / COVERAGE))
                .collect(),
        });
    }
    Ok(Forecast { season, target_mm, there })
}

/// A string's last action, with the relief that was read with it.
struct Start {
    from: Observation,
    relief: Estimate,
    per_relief: f64,
    per_relief_u: f64,
}

impl Start {
    fn there(&self, relief: f64, u: f64) -> ActionForecast {
        let change = relief - self.relief.value;
        let u = (self.per_relief * u.hypot(self.relief.standard_uncertainty))
            .hypot(self.per_relief_u * change)
            .hypot(self.from.known.standard_uncertainty);
        let value = self.from.known.value + self.per_relief * change;
        ActionForecast {
            measurand: self.from.measurand,
            from: self.from.clone(),
            expect: Estimate::mm(value, u),
        }
    }
}

/// Each string's last action that nothing but rod and season has disturbed, with a relief read on the
/// same day in the same state. From one side of a number no number is forecast.
fn actions(bench: &ReadingIndex<'_>, season: &SeasonLearned) -> Vec<Start> {
    let input = bench.input;
    let mut starts = Vec::new();
    for string in &input.facts.strings {
        let Some(from) = last_action(bench, string.place) else { continue };
        let model = string.scale_mm.and_then(|scale| StringModel::new(scale, &input.facts));
        let Some(model) = model else { continue };
        let ratio = model.per_relief(from.measurand.quantity, season.way.quantity);
        let Some((ratio, relief)) = ratio.zip(relief_with(bench, season.way, &from)) else {
            continue;
        };
        starts.push(Start {
            from,
            relief: relief.known,
            per_relief: ratio.value,
            per_relief_u: ratio.standard_uncertainty,
        });
    }
    starts
}

fn last_action(
    bench: &ReadingIndex<'_>,
    place: fallaway_measure::StringPlace,
) -> Option<Observation> {
    let input = bench.input;
    let (index, entry) = input.events.iter().enumerate().rev().find(|(_, e)| {
        let EventKind::Pass(pass) = &e.what else { return false };
        let read = pass.readings.iter().any(|r| {
            Measurand { quantity: pass.quantity, location: r.location }.place() == Some(place)
        });
        !e.retracted
            && read
            && MeasurandKind::of(pass.quantity).is_some_and(MeasurandKind::is_action)
    })?;
    let EventKind::Pass(pass) = &entry.what else { return None };
    let seen = bench.seen(index, Measurand::string(pass.quantity, place))?;
    if !seen.is_value() {
        return None;
    }
    // What rod and season do is in the forecast; anything else makes the reading history.
    let still = bench.interventions.iter().all(|d| {
        matches!(d.intervention.kind, InterventionKind::Rod | InterventionKind::Season)
            || input.causality.precedes(d.event, index)
            || !disturbs(&d.intervention, seen.measurand, &input.facts)
    });
    still.then_some(seen)
}

/// The relief that was read nearest to a reading, with nothing between that moves it.
fn relief_with(bench: &ReadingIndex<'_>, way: Measurand, of: &Observation) -> Option<Observation> {
    let input = bench.input;
    (0..input.events.len())
        .filter(|&i| input.events.get(i).is_some_and(|e| !e.retracted))
        .filter(|&i| matches!(way.quantity, Quantity::Relief { .. }) && i != of.event)
        .filter_map(|i| bench.seen(i, way))
        .filter(Observation::is_value)
        .filter(|s| (s.at.unix_s - of.at.unix_s).abs() <= TODAY_S)
        .filter(|s| {
            let (first, last) = (s.event.min(of.event), s.event.max(of.event));
            !bench.interventions.iter().any(|d| {
                d.event > first && d.event < last && disturbs(&d.intervention, way, &input.facts)
            })
        })
        .min_by_key(|s| s.event.abs_diff(of.event))
}
