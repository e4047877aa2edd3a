//! Crowns, relief, gaps, conversions.

use fallaway_mechanics::Uncertain;
use fallaway_mechanics::conversions::{self, LineReadings, NutWay, StringGeometry};
use fallaway_mechanics::crowns;
use fallaway_mechanics::neck::{Joint, NeckLine, ReliefWay};
use fallaway_mechanics::string_line::{GapPlace, StringLine, saddle_factor};
use fallaway_mechanics::units::{as_mm, as_per_mm, mm, per_mm};
use serde::Deserialize;
use serde_json::json;
use uom::si::angle::radian;
use uom::si::f64::Angle;

use crate::Answer;

/// A neck and a string over it. `ways`: from, to, and the fret at which relief is read, if named;
/// `places`: stopped, over; `held`: held down at, over.
#[derive(Deserialize)]
pub struct Neck {
    scale: f64,
    frets: usize,
    joint: f64,
    curvature: f64,
    tilt: f64,
    /// Each crown's own deviation; none for level frets.
    offsets: Vec<f64>,
    compensation: f64,
    saddle: f64,
    nut: f64,
    ways: Vec<(usize, usize, Option<usize>)>,
    places: Vec<(usize, usize)>,
    held: Vec<(usize, usize)>,
}

pub fn way(way: (usize, usize, Option<usize>)) -> ReliefWay {
    ReliefWay { from: way.0, to: way.1, at: way.2 }
}

pub fn neck(question: &Neck) -> Answer {
    let mut neck = NeckLine::new(mm(question.scale), question.frets, question.joint)?
        .with_curvature(per_mm(question.curvature))?
        .with_tilt(Angle::new::<radian>(question.tilt))?;
    if !question.offsets.is_empty() {
        neck =
            neck.with_crown_offsets(&question.offsets.iter().copied().map(mm).collect::<Vec<_>>())?;
    }
    let compensation = mm(question.compensation);
    let line = StringLine::new(neck.clone(), compensation, mm(question.saddle), mm(question.nut))?;
    let (mut x, mut crowns) = (Vec::new(), Vec::new());
    for fret in 0..=question.frets {
        x.push(as_mm(neck.position(fret)?));
        crowns.push(as_mm(neck.crown(fret)?));
    }
    let mut reliefs = Vec::new();
    for asked in &question.ways {
        let relief = neck.relief(way(*asked))?;
        let curvature = neck.curvature_for_relief(relief.gap, way(*asked))?;
        reliefs.push(json!({
            "gap": as_mm(relief.gap),
            "fret": relief.fret,
            "curvature_back": as_per_mm(curvature),
        }));
    }
    let (mut gaps, mut factors, mut held) = (Vec::new(), Vec::new(), Vec::new());
    for (stopped, over) in &question.places {
        let place = GapPlace::new(*stopped, *over);
        gaps.push(as_mm(line.gap(place)?));
        factors.push(saddle_factor(&neck, compensation, place)?);
    }
    for (at, over) in &question.held {
        held.push(as_mm(line.gap_held(*at, *over)?));
    }
    Ok(json!({
        "x": x, "crowns": crowns, "reliefs": reliefs, "gaps": gaps, "factors": factors, "held": held,
    }))
}

/// One way of reading turned into another; every reading with its standard uncertainty.
#[derive(Deserialize)]
pub struct Converted {
    scale: f64,
    frets: usize,
    joint: (f64, f64),
    compensation: f64,
    relief: (f64, f64),
    action: (f64, f64),
    action_place: (usize, usize),
    /// Open over 1.
    nut: (f64, f64),
    wanted: Vec<(usize, usize)>,
}

pub fn converted(question: &Converted) -> Answer {
    let read = |(value, u): (f64, f64)| Uncertain::new(mm(value), mm(u));
    let geometry = StringGeometry {
        compensation: mm(question.compensation),
        ..StringGeometry::level(
            mm(question.scale),
            question.frets,
            Joint { fret: question.joint.0, standard_uncertainty: question.joint.1 },
        )
    };
    let readings = LineReadings {
        relief: read(question.relief)?,
        relief_way: ReliefWay::largest(question.frets),
        action: read(question.action)?,
        action_place: GapPlace::new(question.action_place.0, question.action_place.1),
        nut: read(question.nut)?,
        nut_way: NutWay::OpenOver1,
    };
    let pair = |e: Uncertain<_>| [as_mm(e.value), as_mm(e.standard_uncertainty)];
    let gaps = question
        .wanted
        .iter()
        .map(|(m, j)| Ok(pair(conversions::gap(&geometry, &readings, GapPlace::new(*m, *j))?)))
        .collect::<fallaway_mechanics::Result<Vec<_>>>()?;
    Ok(json!({
        "gaps": gaps,
        "held": pair(conversions::nut(&geometry, &readings, NutWay::HeldAt3Over1)?),
        "saddle": pair(conversions::saddle_height(&geometry, &readings)?),
    }))
}

/// Three crowns at a time under a straight edge.
#[derive(Deserialize)]
pub struct Rocking {
    x: Vec<f64>,
    z: Vec<f64>,
}

pub fn rocking(question: &Rocking) -> Answer {
    let all = |values: &[f64]| values.iter().copied().map(mm).collect::<Vec<_>>();
    let checks = crowns::rocking(&all(&question.x), &all(&question.z), mm(0.03))?;
    Ok(json!(checks.iter().map(|c| as_mm(c.above)).collect::<Vec<_>>()))
}
