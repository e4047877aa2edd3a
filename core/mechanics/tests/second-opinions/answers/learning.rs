//! Regressions and what is learned from a record.

use fallaway_mechanics::Uncertain;
use fallaway_mechanics::learn::student::two_sided;
use fallaway_mechanics::learn::{
    Coefficient, DataPoint, ReliefVisit, RodPair, learn_season, regress, rod_response,
};
use fallaway_mechanics::units::{as_mm, mm};
use serde::Deserialize;
use serde_json::json;
use uom::si::f64::{Force, Ratio};
use uom::si::force::newton;
use uom::si::ratio::percent;

use crate::Answer;

/// Priors (mean, standard deviation), observations (x, y, uncertainty), and a further observation.
#[derive(Deserialize)]
pub struct Regression {
    priors: Vec<(f64, f64)>,
    observations: Vec<(Vec<f64>, f64, f64)>,
    at: Vec<f64>,
    u: f64,
    coverage: f64,
}

pub fn regression(question: &Regression) -> Answer {
    let priors: Vec<_> = question
        .priors
        .iter()
        .map(|(mean, sd)| Coefficient { mean: *mean, standard_deviation: *sd })
        .collect();
    let observations: Vec<_> = question
        .observations
        .iter()
        .map(|(x, y, u)| DataPoint { x: x.clone(), y: *y, standard_uncertainty: *u })
        .collect();
    let learned = regress(&priors, &observations)?;
    let count = priors.len();
    let predicted = learned.predict(&question.at, question.u, question.coverage)?;
    Ok(json!({
        "mean": (0..count).map(|k| learned.mean(k)).collect::<Vec<_>>(),
        "covariance": (0..count)
            .map(|k| (0..count).map(|l| learned.covariance(k, l)).collect::<Vec<_>>())
            .collect::<Vec<_>>(),
        "scatter": learned.scatter(),
        "predicted": [predicted.value, predicted.low, predicted.high],
    }))
}

/// Quantile of Student's t.
#[derive(Deserialize)]
pub struct Student {
    coverage: f64,
    degrees: f64,
}

pub fn student(question: &Student) -> Answer {
    Ok(json!(two_sided(question.coverage, question.degrees)?))
}

/// Visits: relief, its uncertainty, moisture in percent, turns so far, tension. A climate asked for.
#[derive(Deserialize)]
pub struct Season {
    visits: Vec<(f64, f64, f64, f64, f64)>,
    moisture: f64,
    turns: f64,
    tension: f64,
    coverage: f64,
}

pub fn season(question: &Season) -> Answer {
    let visits = question
        .visits
        .iter()
        .map(|(relief, u, moisture, turns, tension)| {
            Ok(ReliefVisit {
                relief: Uncertain::new(mm(*relief), mm(*u))?,
                moisture: Ratio::new::<percent>(*moisture),
                rod_turns: *turns,
                tension: Force::new::<newton>(*tension),
            })
        })
        .collect::<fallaway_mechanics::Result<Vec<_>>>()?;
    let learned = learn_season(&visits)?;
    let forecast = learned.forecast(
        Ratio::new::<percent>(question.moisture),
        question.turns,
        Force::new::<newton>(question.tension),
        question.coverage,
    )?;
    let slope = learned.per_percent();
    Ok(json!({
        "per_percent": [as_mm(slope.value), as_mm(slope.standard_uncertainty)],
        "forecast": [as_mm(forecast.relief), as_mm(forecast.low), as_mm(forecast.high)],
    }))
}

/// Pairs: turns, change of relief, its uncertainty.
#[derive(Deserialize)]
pub struct Rod {
    pairs: Vec<(f64, f64, f64)>,
}

pub fn rod(question: &Rod) -> Answer {
    let pairs = question
        .pairs
        .iter()
        .map(|(turns, change, u)| {
            Ok(RodPair { turns: *turns, change: Uncertain::new(mm(*change), mm(*u))? })
        })
        .collect::<fallaway_mechanics::Result<Vec<_>>>()?;
    let learned = rod_response(&pairs)?;
    Ok(json!({
        "per_turn": learned.per_turn.map(as_mm),
        "raises": learned.raises,
    }))
}
