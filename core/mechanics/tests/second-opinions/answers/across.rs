//! Across the strings: arcs, boards, bridges.

use fallaway_mechanics::Uncertain;
use fallaway_mechanics::board::{
    Centre, StringPath, Surface, crown_under, fit_arc, gap, hump_profile, saddle_height_for,
    sideways,
};
use fallaway_mechanics::bridge::Bridge as Levers;
use fallaway_mechanics::floating::{Floating as Balance, FloatingString, Spring, newtons_per_mm};
use fallaway_mechanics::screws::{Screw, TurnRounding};
use fallaway_mechanics::spacing::{SpreadBy, lay};
use fallaway_mechanics::string_line::GapPlace;
use fallaway_mechanics::units::{as_mm, as_per_mm, mm};
use serde::Deserialize;
use serde_json::json;
use uom::si::angle::radian;
use uom::si::f64::Force;
use uom::si::force::newton;

use crate::Answer;

/// Undersides (offset, height); the arc's middle, or none if it is to be found.
#[derive(Deserialize)]
pub struct Arc {
    points: Vec<(f64, f64)>,
    centre: Option<f64>,
    u: f64,
}

pub fn arc(question: &Arc) -> Answer {
    let points: Vec<_> = question.points.iter().map(|(y, z)| (mm(*y), mm(*z))).collect();
    let centre = question.centre.map_or(Centre::Free, |at| Centre::At(mm(at)));
    let fit = fit_arc(&points, centre, mm(question.u))?;
    Ok(json!({
        "curvature": as_per_mm(fit.curvature.value),
        "u": as_per_mm(fit.curvature.standard_uncertainty),
        "radius": fit.radius.map(as_mm),
        "top": as_mm(fit.top),
        "centre": as_mm(fit.centre),
        "rms": as_mm(fit.rms),
    }))
}

/// A board whose radius is linear in x, given at two places (x, radius), and a string's path.
#[derive(Deserialize)]
pub struct Board {
    scale: f64,
    frets: usize,
    radii: [(f64, f64); 2],
    nut: f64,
    saddle: f64,
    height: f64,
    shift: f64,
    place: (usize, usize),
}

pub fn board(question: &Board) -> Answer {
    let [a, b] = question.radii.map(|(x, r)| (mm(x), mm(r)));
    let surface = Surface::compound(a, b)?;
    let path =
        StringPath::new(mm(question.scale), question.frets, mm(question.nut), mm(question.saddle))?;
    let place = GapPlace::new(question.place.0, question.place.1);
    let crowns = (1..=question.frets)
        .map(|fret| Ok(as_mm(crown_under(&surface, &path, fret)?)))
        .collect::<fallaway_mechanics::Result<Vec<_>>>()?;
    let profile: Vec<f64> = hump_profile(&surface, &path)?.into_iter().map(as_mm).collect();
    let rest = gap(&surface, &path, place, mm(question.height))?;
    Ok(json!({
        "crowns": crowns,
        "profile": profile,
        "gap": as_mm(rest),
        "height_back": as_mm(saddle_height_for(&surface, &path, place, rest)?),
        "sideways": as_mm(sideways(&surface, &path, place, mm(question.shift))?),
    }))
}

/// Strings across a width, between margins.
#[derive(Deserialize)]
pub struct Spacing {
    width: f64,
    margins: (f64, f64),
    gauges: Vec<f64>,
    equal_gaps: bool,
}

pub fn spacing(question: &Spacing) -> Answer {
    let spread = if question.equal_gaps { SpreadBy::EqualGaps } else { SpreadBy::EqualCentres };
    let gauges: Vec<_> = question.gauges.iter().copied().map(mm).collect();
    let margins = (mm(question.margins.0), mm(question.margins.1));
    let layout = lay(mm(question.width), margins, &gauges, spread)?;
    Ok(json!({
        "centres": layout.centres.iter().map(|c| as_mm(*c)).collect::<Vec<_>>(),
        "gaps": layout.gaps.iter().map(|g| as_mm(*g)).collect::<Vec<_>>(),
    }))
}

/// A bridge on two posts, or with saddles shared by so many strings each; wanted rises.
#[derive(Deserialize)]
pub struct Bridge {
    posts: Option<[f64; 2]>,
    strings: Vec<f64>,
    shared: Vec<usize>,
    wanted: Vec<Option<f64>>,
}

pub fn bridge(question: &Bridge) -> Answer {
    let screw = Screw::default();
    let bridge = match question.posts {
        Some(posts) => Levers::two_posts(
            posts.map(mm),
            &question.strings.iter().copied().map(mm).collect::<Vec<_>>(),
            screw,
        )?,
        None => Levers::shared_saddles(&question.shared, screw)?,
    };
    let wanted: Vec<_> =
        question.wanted.iter().map(|w| w.map(|height| Uncertain::exact(mm(height)))).collect();
    let solved = bridge.solve(&wanted, TurnRounding::Nearest)?;
    Ok(json!({
        "advances": solved.screws.iter().map(|s| as_mm(s.advance)).collect::<Vec<_>>(),
        "gives": solved.strings.iter().map(|s| as_mm(s.gives)).collect::<Vec<_>>(),
    }))
}

/// A floating bridge: springs (stiffness N/mm, arm), strings (stiffness, arm, reach).
#[derive(Deserialize)]
pub struct Floating {
    springs: Vec<(f64, f64)>,
    strings: Vec<(f64, f64, f64)>,
    added: Vec<f64>,
    wanted: Vec<f64>,
    within: f64,
}

pub fn floating(question: &Floating) -> Answer {
    let springs: Vec<_> = question
        .springs
        .iter()
        .map(|(k, arm)| Spring { stiffness: newtons_per_mm(*k), arm: mm(*arm) })
        .collect();
    let strings: Vec<_> = question
        .strings
        .iter()
        .map(|(k, arm, reach)| FloatingString {
            stiffness: newtons_per_mm(*k),
            arm: mm(*arm),
            reach: mm(*reach),
        })
        .collect();
    let forces =
        |values: &[f64]| values.iter().map(|v| Force::new::<newton>(*v)).collect::<Vec<_>>();
    let bridge = Balance::new(&springs, &strings)?;
    let settled = bridge.pull(&forces(&question.added))?;
    let wanted = forces(&question.wanted);
    let (added, after) = bridge.added_for(&wanted)?;
    Ok(json!({
        "angle": settled.angle.get::<radian>(),
        "tensions": settled.tensions.iter().map(Force::get::<newton>).collect::<Vec<_>>(),
        "heights": settled.heights.iter().map(|h| as_mm(*h)).collect::<Vec<_>>(),
        "added_for": added.iter().map(Force::get::<newton>).collect::<Vec<_>>(),
        "angle_after": after.angle.get::<radian>(),
        "anchor": as_mm(bridge.anchor_for(&wanted)?),
        "rounds": bridge.rounds(&wanted, Force::new::<newton>(question.within))?,
    }))
}
