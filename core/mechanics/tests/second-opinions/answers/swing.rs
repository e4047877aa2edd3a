//! Partials, plucks, envelopes, clearance.

use fallaway_mechanics::clearance::{
    Played, SwingingString, best_relief, clearance as margins, lowest_clean_action, touch_allowed,
};
use fallaway_mechanics::envelope::{Method, PluckedString, SwingModel, Touch, UnitEnvelope};
use fallaway_mechanics::neck::{NeckLine, ReliefWay};
use fallaway_mechanics::pluck::{
    Pluck as Pulled, PluckDirection, cheap_depth, ideal_depth, static_depth,
    travelling_wave_extremes,
};
use fallaway_mechanics::stiff_string::{ratio_exact, ratio_formula};
use fallaway_mechanics::string_line::{GapPlace, StringLine};
use fallaway_mechanics::units::{as_mm, mm, per_mm};
use serde::Deserialize;
use serde_json::json;
use uom::si::f64::{Force, Frequency, Time};
use uom::si::force::newton;
use uom::si::frequency::hertz;
use uom::si::time::second;

use crate::Answer;
use crate::strings::ends;

/// One partial of a stiff string.
#[derive(Deserialize)]
pub struct Partial {
    b: f64,
    q: u32,
    ends: String,
}

pub fn partial(question: &Partial) -> Answer {
    let ends = ends(&question.ends)?;
    Ok(json!({
        "exact": ratio_exact(question.b, question.q, ends)?,
        "formula": ratio_formula(question.b, question.q, ends)?,
    }))
}

/// A pluck of an ideal string; places are distances from the saddle.
#[derive(Deserialize)]
pub struct Pluck {
    length: f64,
    from_saddle: f64,
    tension: f64,
    force: f64,
    k: f64,
    places: Vec<f64>,
}

pub fn pluck(question: &Pluck) -> Answer {
    let pluck = Pulled {
        stopped_length: mm(question.length),
        from_saddle: mm(question.from_saddle),
        tension: Force::new::<newton>(question.tension),
        force: Force::new::<newton>(question.force),
    };
    let (mut toward, mut away, mut cheap, mut waves) = (vec![], vec![], vec![], vec![]);
    for place in &question.places {
        toward.push(as_mm(ideal_depth(&pluck, PluckDirection::TowardBoard, mm(*place))?));
        away.push(as_mm(ideal_depth(&pluck, PluckDirection::AwayFromBoard, mm(*place))?));
        cheap.push(as_mm(cheap_depth(&pluck, mm(*place), question.k)?));
        waves.push(travelling_wave_extremes(
            question.from_saddle / question.length,
            place / question.length,
        )?);
    }
    Ok(json!({
        "depth": as_mm(static_depth(&pluck)?),
        "toward": toward, "away": away, "cheap": cheap, "waves": waves,
    }))
}

/// A string over level frets, its swing and its touch.
#[derive(Deserialize)]
pub struct Swing {
    scale: f64,
    frets: usize,
    hz: f64,
    inharmonicity: f64,
    from_saddle: f64,
    tension: f64,
    force: f64,
    away: bool,
    /// None: the modes with these settings; else the closed form with this factor.
    factor: Option<f64>,
    periods: u32,
    finger: f64,
    decay: f64,
    modes: u32,
    steps: u32,
}

impl Swing {
    fn unit(&self) -> fallaway_mechanics::Result<UnitEnvelope> {
        let string = PluckedString {
            scale: mm(self.scale),
            frets: self.frets,
            frequency: Frequency::new::<hertz>(self.hz),
            inharmonicity: self.inharmonicity,
            from_saddle: mm(self.from_saddle),
        };
        let method = match self.factor {
            Some(factor) => Method::ClosedForm { factor },
            None => Method::Modes(SwingModel {
                periods: self.periods,
                finger: mm(self.finger),
                decay_time: Time::new::<second>(self.decay),
                modes: self.modes,
                steps: self.steps,
                grid: None,
            }),
        };
        UnitEnvelope::compute(&string, method)
    }

    fn touch(&self) -> Touch {
        Touch { force: Force::new::<newton>(self.force), direction: self.direction() }
    }

    fn direction(&self) -> PluckDirection {
        if self.away { PluckDirection::AwayFromBoard } else { PluckDirection::TowardBoard }
    }
}

/// Depths of a swing over places (stopped, over).
#[derive(Deserialize)]
pub struct Envelope {
    swing: Swing,
    places: Vec<(usize, usize)>,
}

pub fn envelope(question: &Envelope) -> Answer {
    let swing = &question.swing;
    let unit = swing.unit()?;
    let tension = Force::new::<newton>(swing.tension);
    let depths = question
        .places
        .iter()
        .map(|(m, j)| Ok(as_mm(unit.depth(GapPlace::new(*m, *j), swing.touch(), tension)?)))
        .collect::<fallaway_mechanics::Result<Vec<_>>>()?;
    Ok(json!(depths))
}

/// A string at rest and its swing: margins, lowest action read at 1 over the last fret, best relief.
#[derive(Deserialize)]
pub struct Clearance {
    swing: Swing,
    joint: f64,
    curvature: f64,
    offsets: Vec<f64>,
    saddle: f64,
    nut: f64,
    first: usize,
    spare: f64,
    between: (f64, f64),
}

pub fn clearance(question: &Clearance) -> Answer {
    let swing = &question.swing;
    let neck = NeckLine::new(mm(swing.scale), swing.frets, question.joint)?
        .with_curvature(per_mm(question.curvature))?
        .with_crown_offsets(&question.offsets.iter().copied().map(mm).collect::<Vec<_>>())?;
    let line = StringLine::new(neck, mm(0.0), mm(question.saddle), mm(question.nut))?;
    let envelope = swing.unit()?;
    let string = SwingingString {
        line: &line,
        envelope: &envelope,
        tension: Force::new::<newton>(swing.tension),
    };
    let played = Played { first: question.first, last: swing.frets - 1 };
    let read = GapPlace::stopped_at_1_over(swing.frets);
    let all = margins(&string, swing.touch(), played)?;
    let lowest = lowest_clean_action(&string, swing.touch(), played, read, mm(question.spare))?;
    let best = best_relief(
        &string,
        swing.touch(),
        played,
        read,
        ReliefWay::largest(swing.frets),
        (mm(question.between.0), mm(question.between.1)),
    )?;
    let force = touch_allowed(&string, swing.direction(), played)?.force;
    let margins: Vec<_> = all
        .margins
        .iter()
        .map(|m| (m.place.stopped, m.place.over, as_mm(m.depth), as_mm(m.margin)))
        .collect();
    Ok(json!({
        "margins": margins,
        "smallest": as_mm(all.smallest.margin),
        "lowest": { "action": as_mm(lowest.action), "saddle": as_mm(lowest.saddle_height) },
        "best": {
            "relief": as_mm(best.relief),
            "action": as_mm(best.action),
            "good": [as_mm(best.good.0), as_mm(best.good.1)],
        },
        "touch": force.get::<newton>(),
    }))
}
