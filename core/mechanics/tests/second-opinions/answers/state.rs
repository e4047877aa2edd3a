//! The state behind readings, and what changed between two visits.

use fallaway_mechanics::Uncertain;
use fallaway_mechanics::conversions::StringGeometry;
use fallaway_mechanics::neck::Joint;
use fallaway_mechanics::state::{self, Model, SharedOffset, StateString, Value, What};
use fallaway_mechanics::string_line::GapPlace;
use fallaway_mechanics::units::{as_mm, as_per_mm, mm};
use serde::Deserialize;
use serde_json::json;
use uom::si::angle::radian;

use crate::Answer;
use crate::neck::way;

/// One string.
#[derive(Deserialize)]
struct OneString {
    scale: f64,
    frets: usize,
    joint: (f64, f64),
    compensation: f64,
    offsets: Vec<f64>,
    across: f64,
}

/// One reading: a relief way, a place or a held place; a value with its uncertainty; an offset (its
/// number and size) if it is shared.
#[derive(Deserialize)]
struct OneReading {
    string: usize,
    relief: Option<(usize, usize, Option<usize>)>,
    gap: Option<(usize, usize)>,
    held: Option<(usize, usize)>,
    read: Option<(f64, f64)>,
    between: Option<(f64, f64)>,
    shared: Option<(u32, f64)>,
}

fn what(reading: &OneReading) -> Result<What, &'static str> {
    match (reading.relief, reading.gap, reading.held) {
        (Some(relief), None, None) => Ok(What::Relief(way(relief))),
        (None, Some((m, j)), None) => Ok(What::Gap(GapPlace::new(m, j))),
        (None, None, Some((held, over))) => Ok(What::GapHeld { held, over }),
        _ => Err("a reading is of one thing"),
    }
}

fn readings(asked: &[OneReading]) -> Result<Vec<state::StateReading>, Box<dyn std::error::Error>> {
    asked
        .iter()
        .map(|reading| {
            let value = match (reading.read, reading.between) {
                (Some((value, u)), None) => Value::Read(Uncertain::new(mm(value), mm(u))?),
                (None, Some((low, high))) => Value::Between(mm(low), mm(high)),
                _ => return Err("a reading has one value".into()),
            };
            let shared =
                reading.shared.map(|(id, u)| SharedOffset { id, standard_uncertainty: mm(u) });
            let plain = state::StateReading::new(what(reading)?, reading.string, value);
            Ok(state::StateReading { shared, ..plain })
        })
        .collect()
}

fn model(strings: &[OneString]) -> fallaway_mechanics::Result<Model> {
    Model::new(
        strings
            .iter()
            .map(|string| StateString {
                geometry: StringGeometry {
                    scale: mm(string.scale),
                    frets: string.frets,
                    joint: Joint { fret: string.joint.0, standard_uncertainty: string.joint.1 },
                    compensation: mm(string.compensation),
                    crown_offsets: string.offsets.iter().copied().map(mm).collect(),
                },
                across: string.across,
            })
            .collect(),
    )
}

/// One visit, and readings that were not taken (their values do not matter).
#[derive(Deserialize)]
pub struct One {
    strings: Vec<OneString>,
    readings: Vec<OneReading>,
    predict: Vec<OneReading>,
}

pub fn estimate(question: &One) -> Answer {
    let solved = state::estimate(&model(&question.strings)?, &readings(&question.readings)?)?;
    let pair = |e: Uncertain<_>| [as_mm(e.value), as_mm(e.standard_uncertainty)];
    let (treble, bass) = solved.curvatures()?;
    let curvature = |e: Uncertain<_>| [as_per_mm(e.value), as_per_mm(e.standard_uncertainty)];
    let tilt = solved.tilt()?;
    let (mut saddles, mut nuts, mut heights) = (Vec::new(), Vec::new(), Vec::new());
    for string in 0..question.strings.len() {
        saddles.push(pair(solved.saddle(string)?));
        nuts.push(pair(solved.nut(string)?));
        heights.push(pair(solved.string_height(string)?));
    }
    let mut predicted = Vec::new();
    for reading in &question.predict {
        predicted.push(pair(solved.predict(what(reading)?, reading.string)?));
    }
    Ok(json!({
        "curvatures": [curvature(treble), curvature(bass)],
        "tilt": [tilt.value.get::<radian>(), tilt.standard_uncertainty.get::<radian>()],
        "saddles": saddles, "nuts": nuts, "heights": heights, "predicted": predicted,
        "contradictions": solved
            .contradictions()
            .iter()
            .map(|c| (c.reading, c.normalised_residual))
            .collect::<Vec<_>>(),
    }))
}

/// Two visits.
#[derive(Deserialize)]
pub struct Two {
    strings: Vec<OneString>,
    before: Vec<OneReading>,
    after: Vec<OneReading>,
}

pub fn compare(question: &Two) -> Answer {
    let model = model(&question.strings)?;
    let compared =
        state::compare(&model, &readings(&question.before)?, &readings(&question.after)?, &[])?;
    let parts: Vec<_> = compared
        .parts
        .iter()
        .map(|p| {
            json!({
                "part": format!("{:?}", p.part),
                "change": [as_mm(p.change.value), as_mm(p.change.standard_uncertainty)],
                "verdict": format!("{:?}", p.verdict),
            })
        })
        .collect();
    Ok(json!({ "parts": parts, "coverage_factor": compared.coverage_factor }))
}
