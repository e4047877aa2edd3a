//! The board under the strings, and where strings lie across it.

use fallaway::measure::Length;
use fallaway::mechanics::board::{
    Centre, StringPath, bend, crown_drop as drop_at, crown_under, fit_arc, gap, hump, hump_profile,
    saddle_height_for, sideways,
};
use fallaway::mechanics::spacing::{Spread, describe, lay, lay_at, moves, offsets};
use fallaway::mechanics::units::{as_mm, as_per_mm, mm};
use serde_json::{Value, json};

use super::super::answer::{Answer, both, plain, rounded, signed};
use super::super::clearance::way_words;
use super::given;
use super::ground::Ground;
use crate::cli::calc::{
    BendArgs, CrownDropArgs, HumpArgs, SaddleHeightsArgs, SaddleRadiusArgs, SidewaysArgs,
    SpacingArgs, UndersideArgs,
};
use crate::error::{Error, Outcome};
use crate::render::Table;

const BOARD_MODEL: &str = "model: crowns on arcs of the given radius, strings straight from nut to \
    saddle, neck straight";

/// How far the board falls away.
pub fn crown_drop(ground: &Ground, args: &CrownDropArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("crown-drop");
    let radius = if let Some(radius) = given::length_if("radius", &args.radius)? {
        radius
    } else {
        let known = ground.facts().and_then(|facts| facts.board_radius_mm);
        answer.rests_on("the board's radius at the last fret, a fact of the instrument");
        mm(known.ok_or_else(|| given::missing("radius", "12 in"))?)
    };
    let mut fields = Vec::new();
    for offset in given::lengths("offset", &args.offset)? {
        let drop = drop_at(radius, offset)?;
        answer.lead(format!(
            "At {} from the middle the board lies {} mm ({} in) lower than in the middle.",
            both(offset),
            plain(as_mm(drop), 3),
            plain(as_mm(drop) / 25.4, 4)
        ));
        fields
            .push(json!({ "offset_mm": rounded(as_mm(offset)), "drop_mm": rounded(as_mm(drop)) }));
    }
    answer.number("radius_mm", as_mm(radius));
    answer.put("drops", fields);
    answer.rests_on(format!(
        "model: an arc of {}: radius less the root of its square less that of the offset",
        both(radius)
    ));
    Ok(answer)
}

/// The hump under each string.
pub fn hump_of(ground: &Ground, args: &HumpArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("hump");
    let surface = ground.surface(&args.board, &mut answer)?;
    let paths = ground.paths(&args.board, None, &mut answer)?;
    let mut table = Table::new(["string", "hump", "at fret"]);
    let mut fields = Vec::new();
    for (index, path) in paths.iter().enumerate() {
        let found = hump(&surface, path)?;
        let profile: Vec<f64> =
            hump_profile(&surface, path)?.iter().map(|h| rounded(as_mm(*h))).collect();
        table.row([
            (index + 1).to_string(),
            format!("{} mm", plain(-as_mm(found.gap), 3)),
            found.fret.to_string(),
        ]);
        fields.push(json!({
            "string": index + 1,
            "hump_mm": rounded(-as_mm(found.gap)),
            "at_fret": found.fret,
            "crowns_over_line_mm": profile,
        }));
    }
    answer.table(table);
    answer.put("strings", fields);
    answer.say("A hump works like a back-bow of that size under its string: a straight neck needs that much relief there to lie level.");
    answer.rests_on(BOARD_MODEL);
    Ok(answer)
}

/// Saddle heights for wanted gaps.
pub fn saddle_heights(ground: &Ground, args: &SaddleHeightsArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("saddle-heights");
    let gaps = given::lengths("gap", &args.gap)?;
    let count = if gaps.len() > 1 { Some(gaps.len()) } else { None };
    let surface = ground.surface(&args.board, &mut answer)?;
    let paths = ground.paths(&args.board, count, &mut answer)?;
    let gaps = given::for_each("gap", &gaps, paths.len())?;
    let place = Ground::way(&args.way, ground.frets(args.board.frets, &mut answer)?)?;
    let heights: Vec<Length> = paths
        .iter()
        .zip(&gaps)
        .map(|(path, gap)| Ok(saddle_height_for(&surface, path, place, *gap)?))
        .collect::<Outcome<_>>()?;
    let lowest = heights.iter().copied().reduce(Length::min).unwrap_or(mm(0.0));
    let mut table = Table::new([
        "string",
        "wanted gap",
        "saddle over the board's middle line",
        "over the lowest",
    ]);
    let mut fields = Vec::new();
    for (index, (height, gap)) in heights.iter().zip(&gaps).enumerate() {
        table.row([
            (index + 1).to_string(),
            both(*gap),
            format!("{} mm", plain(as_mm(*height), 3)),
            signed(*height - lowest),
        ]);
        fields.push(json!({
            "string": index + 1,
            "gap_mm": rounded(as_mm(*gap)),
            "saddle_height_mm": rounded(as_mm(*height)),
            "over_lowest_mm": rounded(as_mm(*height - lowest)),
        }));
    }
    answer.table(table);
    answer.put("strings", fields);
    if paths.len() >= 3 {
        let points: Vec<_> = paths.iter().map(StringPath::saddle_offset).zip(heights).collect();
        let fit = fit_arc(&points, Centre::Free, mm(0.0))?;
        let board = match paths.first() {
            Some(path) => surface.radius_at(path.scale())?,
            None => None,
        };
        say_radius(&mut answer, "the saddles", fit.radius);
        answer.put("saddle_row_radius_mm", fit.radius.map(|r| rounded(as_mm(r))));
        answer.put("board_radius_at_saddle_mm", board.map(|r| rounded(as_mm(r))));
        if let Some(board) = board {
            answer
                .say(format!("The board's own radius, carried on to the saddle: {}.", both(board)));
        }
    }
    answer.say(format!("Gaps {}.", way_words(place)));
    answer.rests_on(BOARD_MODEL);
    Ok(answer)
}

fn say_radius(answer: &mut Answer, what: &str, radius: Option<Length>) {
    answer.lead(match radius {
        Some(radius) => format!("The arc through {what} has a radius of {}.", both(radius)),
        None => format!("The row of {what} is flat or hollow."),
    });
}

/// The radius through the undersides.
pub fn underside_radius(ground: &Ground, args: &UndersideArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("underside-radius");
    let tool = given::tool("tool", &args.tool)?;
    let gaps = given::readings("gaps", &args.gaps, tool.as_ref())?;
    let surface = ground.surface(&args.board, &mut answer)?;
    let paths = ground.paths(&args.board, Some(gaps.len()), &mut answer)?;
    if paths.len() != gaps.len() {
        return Err(Error::usage(format!("--gaps: {} given, {} strings", gaps.len(), paths.len())));
    }
    let frets = ground.frets(args.board.frets, &mut answer)?;
    let over = args.over.unwrap_or(frets);
    let mut points = Vec::new();
    for (path, gap) in paths.iter().zip(&gaps) {
        points.push((path.offset_at_fret(over)?, crown_under(&surface, path, over)? + gap.value));
    }
    let uncertainty = gaps.iter().map(|g| g.standard_uncertainty).fold(mm(0.0), Length::max);
    let fit = fit_arc(&points, Centre::Free, uncertainty)?;
    let (low, high) = fit.curvature.interval(2.0);
    say_radius(&mut answer, &format!("the undersides over fret {over}"), fit.radius);
    let bound = |curvature: f64| (curvature > 1e-4).then(|| 1.0 / curvature);
    let (small, large) = (bound(as_per_mm(high)), bound(as_per_mm(low)));
    match (small, large) {
        (Some(small), Some(large)) => answer.say(format!(
            "As far as the readings can tell it lies between {} and {}.",
            both(mm(small)),
            both(mm(large))
        )),
        (Some(small), None) => answer.say(format!(
            "As far as the readings can tell it is {} or more, up to flat.",
            both(mm(small))
        )),
        _ => answer.say("The readings cannot tell it from flat."),
    }
    answer.put("radius_mm", fit.radius.map(|r| rounded(as_mm(r))));
    answer.put("radius_from_mm", small.map(rounded));
    answer.put("radius_to_mm", large.map(rounded));
    answer.number("rms_mm", as_mm(fit.rms));
    if let Some(path) = paths.first() {
        let from_nut = fallaway::mechanics::frets::position(path.scale(), over)?;
        let board = surface.radius_at(from_nut)?;
        answer.put("board_radius_mm", board.map(|r| rounded(as_mm(r))));
        if let Some(board) = board {
            let same =
                small.is_none_or(|s| as_mm(board) >= s) && large.is_none_or(|l| as_mm(board) <= l);
            answer.say(format!(
                "The board there has {}: the row of strings {}.",
                both(board),
                if same {
                    "follows it, as far as the readings can tell"
                } else {
                    "does not follow it"
                }
            ));
        }
    }
    answer.rests_on(format!(
        "the gaps as given, standard uncertainty {} mm each",
        plain(as_mm(uncertainty), 3)
    ));
    answer.rests_on(
        "a circle through the undersides, least squares; between: twice the standard uncertainty",
    );
    Ok(answer)
}

fn one_path(paths: &[StringPath], string: usize) -> Outcome<&StringPath> {
    string.checked_sub(1).and_then(|index| paths.get(index)).ok_or_else(|| {
        Error::usage(format!(
            "--string: there is no string {string}; accepted: 1 to {}",
            paths.len()
        ))
    })
}

/// A saddle moved sideways.
pub fn sideways_move(ground: &Ground, args: &SidewaysArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("sideways");
    let surface = ground.surface(&args.board, &mut answer)?;
    let paths = ground.paths(&args.board, None, &mut answer)?;
    let path = one_path(&paths, args.string)?;
    let shift = given::length("shift", &args.shift)?;
    let place = Ground::way(&args.way, ground.frets(args.board.frets, &mut answer)?)?;
    let change = sideways(&surface, path, place, shift)?;
    let which = if as_mm(shift) < 0.0 { "toward the middle" } else { "away from the middle" };
    answer.lead(format!(
        "Moving the saddle of string {} by {} {which}, height kept, changes its gap {} by {} mm.",
        args.string,
        both(shift.abs()),
        way_words(place),
        plain(as_mm(change), 3)
    ));
    answer.number("gap_change_mm", as_mm(change));
    answer.number("shift_mm", as_mm(shift));
    answer.say("Do spacing before action, or read the action again.");
    answer.rests_on(BOARD_MODEL);
    Ok(answer)
}

/// A bend.
pub fn bend_of(ground: &Ground, args: &BendArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("bend");
    let surface = ground.surface(&args.board, &mut answer)?;
    let paths = ground.paths(&args.board, None, &mut answer)?;
    let path = one_path(&paths, args.string)?;
    let push = given::length("push", &args.push)?;
    let action = given::length("gap", &args.gap)?;
    let place = Ground::way(&args.way, ground.frets(args.board.frets, &mut answer)?)?;
    if place.stopped == 0 {
        return Err(Error::usage(
            "--stopped: the nut is not part of this model; accepted: 1 and above",
        ));
    }
    let height = saddle_height_for(&surface, path, place, action)?;
    let found = bend(&surface, path, args.bent_at, push, height)?;
    answer.lead(format!(
        "String {} stopped at {} and pushed by {} comes as near as {} mm, over fret {} ({} mm before the bend).",
        args.string,
        args.bent_at,
        both(push),
        plain(as_mm(found.smallest.1), 3),
        found.smallest_at,
        plain(as_mm(found.smallest.0), 3),
    ));
    let mut table = Table::new(["gap", "before", "during"]);
    let mut fields = Vec::new();
    for (what, pair) in [
        ("over the next fret", found.next),
        ("smallest", found.smallest),
        ("over the last fret", found.last),
    ] {
        let cell = |l: Length| format!("{} mm", plain(as_mm(l), 3));
        table.row([what.to_owned(), cell(pair.0), cell(pair.1)]);
        fields.push(json!({ "where": what, "before_mm": rounded(as_mm(pair.0)), "during_mm": rounded(as_mm(pair.1)) }));
    }
    answer.table(table);
    answer.put("gaps", fields);
    answer.put("smallest_at_fret", found.smallest_at);
    if as_mm(found.smallest.1) <= 0.0 {
        answer.say("It would lie on the fret: the note chokes.");
    }
    answer.rests_on(BOARD_MODEL);
    answer.rests_on("gaps at rest: the swing of the string is not in them");
    // The height has to give back the action that was asked for.
    answer.number("action_mm", as_mm(gap(&surface, path, place, height)?));
    Ok(answer)
}

/// The radius at the saddle.
pub fn saddle_radius(ground: &Ground, args: &SaddleRadiusArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("saddle-radius");
    let surface = ground.surface(&args.board, &mut answer)?;
    let scale = ground.scale(&args.board.scale, None, &mut answer)?;
    let radius = surface.radius_at(scale)?;
    answer.lead(match radius {
        Some(radius) => {
            format!("The board's radius, carried on to the saddle, is {}.", both(radius))
        }
        None => "The board is flat, and stays flat to the saddle.".to_owned(),
    });
    answer.put("radius_at_saddle_mm", radius.map(|r| rounded(as_mm(r))));
    answer.say("Saddles on that very arc leave the outer strings low; saddle-heights gives the heights for equal gaps.");
    answer.rests_on("model: the radius grows evenly along the board");
    Ok(answer)
}

/// Where strings lie across nut or bridge.
pub fn spacing(ground: &Ground, args: &SpacingArgs) -> Outcome<Answer> {
    let mut answer = Answer::new("spacing");
    let width = given::length("width", &args.width)?;
    let gauges = match given::lengths("gauges", &args.gauges)? {
        given if given.is_empty() => {
            answer.rests_on("gauges, facts of the instrument");
            ground.gauges().ok_or_else(|| given::missing("gauges", "0.045 0.065 0.085 0.105 in"))?
        }
        given => given,
    };
    let spread = match args.equal.as_str() {
        "gaps" | "edges" => Spread::EqualGaps,
        "centres" | "centers" => Spread::EqualCentres,
        other => {
            return Err(Error::usage(format!("--equal: \"{other}\"; accepted: gaps, centres")));
        }
    };
    let found = match given::lengths("found", &args.found)? {
        none if none.is_empty() => None,
        centres => Some(describe(width, &centres, &gauges)?),
    };
    let wanted = if !args.between.is_empty() {
        Some(lay_at(width, given::length("between", &args.between)?, &gauges)?)
    } else if !args.margins.is_empty() {
        let margins = given::for_each("margins", &given::lengths("margins", &args.margins)?, 2)?;
        match margins.as_slice() {
            [first, last] => Some(lay(width, (*first, *last), &gauges, spread)?),
            _ => None,
        }
    } else {
        None
    };
    let Some(layout) = wanted.as_ref().or(found.as_ref()) else {
        return Err(Error::usage("give --margins, --between or --found"));
    };
    let off = offsets(layout, width)?;
    let to_move = match (&found, &wanted) {
        (Some(found), Some(wanted)) => Some(moves(found, wanted)?),
        _ => None,
    };
    let mut table = Table::new([
        "string",
        "centre from the edge",
        "from the middle",
        "free gap to the next",
        "move by",
    ]);
    let mut fields: Vec<Value> = Vec::new();
    for (index, (centre, off)) in layout.centres.iter().zip(&off).enumerate() {
        let next = layout.gaps.get(index);
        let step = to_move.as_ref().and_then(|m| m.get(index));
        table.row([
            (index + 1).to_string(),
            both(*centre),
            signed(*off),
            next.map(|g| format!("{} mm", plain(as_mm(*g), 2))).unwrap_or_default(),
            step.map(|m| signed(*m)).unwrap_or_default(),
        ]);
        fields.push(json!({
            "string": index + 1,
            "centre_mm": rounded(as_mm(*centre)),
            "from_middle_mm": rounded(as_mm(*off)),
            "gap_to_next_mm": next.map(|g| rounded(as_mm(*g))),
            "move_mm": step.map(|m| rounded(as_mm(*m))),
        }));
    }
    answer.table(table);
    answer.put("strings", fields);
    answer.put(
        "margins_mm",
        vec![rounded(as_mm(layout.margins.0)), rounded(as_mm(layout.margins.1))],
    );
    answer.say(format!(
        "From the edges: {} beside the highest string, {} beside the lowest.",
        both(layout.margins.0),
        both(layout.margins.1)
    ));
    answer.rests_on("width and gauges as given; centres and edges by addition, no model");
    Ok(answer)
}

#[cfg(test)]
mod tests {
    use fallaway::mechanics::string_line::Place;

    use super::*;

    #[test]
    fn a_string_that_is_not_there() {
        let path = StringPath::new(mm(650.0), 20, mm(0.0), mm(0.0)).unwrap();
        assert!(one_path(&[path], 0).is_err());
        assert!(one_path(&[path], 1).is_ok());
        assert!(one_path(&[path], 2).is_err());
        assert_eq!(way_words(Place::new(0, 12)), "open over 12");
    }
}
