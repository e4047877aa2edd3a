//! The board under the strings, and where strings lie across it.

use fallaway::measure::Length;
use fallaway::mechanics::board::{
    Centre, StringPath, bend, crown_drop as drop_at, crown_under, fit_arc, gap, hump, hump_profile,
    saddle_height_for, sideways,
};
use fallaway::mechanics::spacing::{SpreadBy, describe, lay, lay_at, moves, offsets};
use fallaway::mechanics::units::{as_mm, as_per_mm, mm};
use fallaway_text::{Computed, Word};
use serde_json::{Value, json};

use super::super::answer::{Reply, rounded};
use super::given;
use super::ground::Ground;
use super::numbers::{both, mm_to, signed, way};
use crate::cli::calc::{
    BendArgs, CrownDropArgs, HumpArgs, SaddleHeightsArgs, SaddleRadiusArgs, SidewaysArgs,
    SpacingArgs, UndersideArgs,
};
use crate::error::{Error, Outcome};
use crate::messages::calc as say;
use crate::render::{TableCell, TextTable};
use crate::voice::in_order;

/// How far the board falls away.
pub fn crown_drop(ground: &Ground, args: &CrownDropArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("crown-drop");
    let radius = if let Some(radius) = given::length_if("radius", &args.radius)? {
        radius
    } else {
        let known = ground.facts().and_then(|facts| facts.board_radius_mm);
        answer.rests_on(say::fact_radius());
        mm(known.ok_or_else(|| given::missing("radius", "12 in"))?)
    };
    let mut fields = Vec::new();
    for offset in given::lengths("offset", &args.offset)? {
        let drop = drop_at(radius, offset)?;
        let inch = Computed::plain(as_mm(drop) / 25.4, 4);
        answer.lead(say::crown_drop(both(offset), mm_to(drop, 3), inch));
        fields
            .push(json!({ "offset_mm": rounded(as_mm(offset)), "drop_mm": rounded(as_mm(drop)) }));
    }
    answer.number("radius_mm", as_mm(radius));
    answer.put("drops", fields);
    answer.rests_on(say::basis_crown(both(radius)));
    Ok(answer)
}

/// The hump under each string.
pub fn hump_of(ground: &Ground, args: &HumpArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("hump");
    let surface = ground.surface(&args.board, &mut answer)?;
    let paths = ground.paths(&args.board, None, &mut answer)?;
    let mut table = TextTable::headed(&say::head_hump());
    let mut fields = Vec::new();
    for (index, path) in paths.iter().enumerate() {
        let found = hump(&surface, path)?;
        let profile: Vec<f64> =
            hump_profile(&surface, path)?.iter().map(|h| rounded(as_mm(*h))).collect();
        table.row([
            TableCell::from((index + 1).to_string()),
            mm_to(-found.gap, 3).into(),
            found.fret.to_string().into(),
        ]);
        fields.push(json!({
            "string": index + 1,
            "hump_mm": rounded(-as_mm(found.gap)),
            "at_fret": found.fret,
            "crowns_over_line_mm": profile,
        }));
    }
    answer.table(table.by_string());
    answer.put("strings", fields);
    answer.say(say::hump_hint());
    answer.rests_on(say::basis_board());
    Ok(answer)
}

/// Saddle heights for wanted gaps.
pub fn saddle_heights(ground: &Ground, args: &SaddleHeightsArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("saddle-heights");
    let gaps = in_order(given::lengths("gap", &args.gap)?);
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
    let mut table = TextTable::headed(&say::head_saddle_heights());
    let mut fields = Vec::new();
    for (index, (height, gap)) in heights.iter().zip(&gaps).enumerate() {
        table.row([
            TableCell::from((index + 1).to_string()),
            both(*gap).into(),
            mm_to(*height, 3).into(),
            signed(*height - lowest).into(),
        ]);
        fields.push(json!({
            "string": index + 1,
            "gap_mm": rounded(as_mm(*gap)),
            "saddle_height_mm": rounded(as_mm(*height)),
            "over_lowest_mm": rounded(as_mm(*height - lowest)),
        }));
    }
    answer.table(table.by_string());
    answer.put("strings", fields);
    if paths.len() >= 3 {
        let points: Vec<_> = paths.iter().map(StringPath::saddle_offset).zip(heights).collect();
        let fit = fit_arc(&points, Centre::Free, mm(0.0))?;
        let board = match paths.first() {
            Some(path) => surface.radius_at(path.scale())?,
            None => None,
        };
        let arc = fit.radius.map(|radius| say::saddles_arc(both(radius)));
        answer.lead(arc.unwrap_or_else(say::saddles_flat));
        answer.put("saddle_row_radius_mm", fit.radius.map(|r| rounded(as_mm(r))));
        answer.put("board_radius_at_saddle_mm", board.map(|r| rounded(as_mm(r))));
        if let Some(board) = board {
            answer.say(say::board_carried(both(board)));
        }
    }
    answer.say(say::gaps_way(way(place)));
    answer.rests_on(say::basis_board());
    Ok(answer)
}

/// The radius through the undersides.
pub fn underside_radius(ground: &Ground, args: &UndersideArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("underside-radius");
    let tool = given::tool("tool", &args.tool)?;
    let gaps = given::readings("gaps", &args.gaps, tool.as_ref())?;
    let surface = ground.surface(&args.board, &mut answer)?;
    let paths = ground.paths(&args.board, Some(gaps.len()), &mut answer)?;
    if paths.len() != gaps.len() {
        return Err(given::wrong("gaps", say::gaps_count(gaps.len(), paths.len())));
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
    let arc = fit.radius.map(|radius| say::undersides_arc(over, both(radius)));
    answer.lead(arc.unwrap_or_else(|| say::undersides_flat(over)));
    let bound = |curvature: f64| (curvature > 1e-4).then(|| 1.0 / curvature);
    let (small, large) = (bound(as_per_mm(high)), bound(as_per_mm(low)));
    match (small, large) {
        (Some(small), Some(large)) => {
            answer.say(say::radius_between(both(mm(small)), both(mm(large))));
        }
        (Some(small), None) => answer.say(say::radius_from(both(mm(small)))),
        _ => answer.say(say::radius_flat()),
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
            answer.say(say::board_there(both(board), Word(if same { "yes" } else { "no" })));
        }
    }
    answer.rests_on(say::basis_gaps(mm_to(uncertainty, 3)));
    answer.rests_on(say::basis_circle());
    Ok(answer)
}

fn one_path(paths: &[StringPath], string: usize) -> Outcome<&StringPath> {
    string
        .checked_sub(1)
        .and_then(|index| paths.get(index))
        .ok_or_else(|| given::wrong("string", say::no_string(string.to_string(), paths.len())))
}

/// A saddle moved sideways.
pub fn sideways_move(ground: &Ground, args: &SidewaysArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("sideways");
    let surface = ground.surface(&args.board, &mut answer)?;
    let paths = ground.paths(&args.board, None, &mut answer)?;
    let path = one_path(&paths, args.string)?;
    let shift = given::length("shift", &args.shift)?;
    let place = Ground::way(&args.way, ground.frets(args.board.frets, &mut answer)?)?;
    let change = sideways(&surface, path, place, shift)?;
    let which = Word(if as_mm(shift) < 0.0 { "toward" } else { "away" });
    let (by, change_said) = (both(shift.abs()), mm_to(change, 3).signed());
    answer.lead(say::sideways(args.string, by, which, way(place), change_said));
    answer.number("gap_change_mm", as_mm(change));
    answer.number("shift_mm", as_mm(shift));
    answer.say(say::sideways_hint());
    answer.rests_on(say::basis_board());
    Ok(answer)
}

/// A bend.
pub fn bend_of(ground: &Ground, args: &BendArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("bend");
    let surface = ground.surface(&args.board, &mut answer)?;
    let paths = ground.paths(&args.board, None, &mut answer)?;
    let path = one_path(&paths, args.string)?;
    let push = given::length("push", &args.push)?;
    let action = given::length("gap", &args.gap)?;
    let place = Ground::way(&args.way, ground.frets(args.board.frets, &mut answer)?)?;
    if place.stopped == 0 {
        return Err(given::wrong("stopped", say::bend_stopped()));
    }
    let height = saddle_height_for(&surface, path, place, action)?;
    let found = bend(&surface, path, args.bent_at, push, height)?;
    answer.lead(say::bend(
        args.string,
        args.bent_at,
        both(push),
        mm_to(found.smallest.1, 3),
        found.smallest_at,
        mm_to(found.smallest.0, 3),
    ));
    let mut table = TextTable::headed(&say::head_bend());
    let mut fields = Vec::new();
    for (what, pair) in [
        (say::bend_next(), found.next),
        (say::bend_smallest(), found.smallest),
        (say::bend_last(), found.last),
    ] {
        let place = what.to_string();
        table.row([TableCell::from(what), mm_to(pair.0, 3).into(), mm_to(pair.1, 3).into()]);
        fields.push(json!({ "where": place, "before_mm": rounded(as_mm(pair.0)), "during_mm": rounded(as_mm(pair.1)) }));
    }
    answer.table(table);
    answer.put("gaps", fields);
    answer.put("smallest_at_fret", found.smallest_at);
    if as_mm(found.smallest.1) <= 0.0 {
        answer.say(say::bend_chokes());
    }
    answer.rests_on(say::basis_board());
    answer.rests_on(say::basis_bend());
    // The height has to give back the action that was asked for.
    answer.number("action_mm", as_mm(gap(&surface, path, place, height)?));
    Ok(answer)
}

/// The radius at the saddle.
pub fn saddle_radius(ground: &Ground, args: &SaddleRadiusArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("saddle-radius");
    let surface = ground.surface(&args.board, &mut answer)?;
    let scale = ground.scale(&args.board.scale, None, &mut answer)?;
    let radius = surface.radius_at(scale)?;
    answer.lead(match radius {
        Some(radius) => say::saddle_radius(both(radius)),
        None => say::saddle_radius_flat(),
    });
    answer.put("radius_at_saddle_mm", radius.map(|r| rounded(as_mm(r))));
    answer.say(say::saddle_radius_hint());
    answer.rests_on(say::basis_radius());
    Ok(answer)
}

/// Where strings lie across nut or bridge.
pub fn spacing(ground: &Ground, args: &SpacingArgs) -> Outcome<Reply> {
    let mut answer = Reply::new("spacing");
    let width = given::length("width", &args.width)?;
    let gauges = match in_order(given::lengths("gauges", &args.gauges)?) {
        given if given.is_empty() => {
            answer.rests_on(say::fact_gauges());
            ground
                .gauges()
                .ok_or_else(|| given::missing_each("gauges", "0.045 0.065 0.085 0.105 in"))?
        }
        given => given,
    };
    let spread = match args.equal.as_str() {
        "gaps" | "edges" => SpreadBy::EqualGaps,
        "centres" | "centers" => SpreadBy::EqualCentres,
        other => return Err(given::not_among("equal", other, "gaps, centres")),
    };
    let found = match in_order(given::lengths("found", &args.found)?) {
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
        return Err(Error::Usage(say::spacing_missing()));
    };
    let off = offsets(layout, width)?;
    let to_move = match (&found, &wanted) {
        (Some(found), Some(wanted)) => Some(moves(found, wanted)?),
        _ => None,
    };
    let mut table = TextTable::headed(&say::head_spacing());
    let mut fields: Vec<Value> = Vec::new();
    for (index, (centre, off)) in layout.centres.iter().zip(&off).enumerate() {
        let next = layout.gaps.get(index);
        let step = to_move.as_ref().and_then(|m| m.get(index));
        table.row([
            TableCell::from((index + 1).to_string()),
            both(*centre).into(),
            signed(*off).into(),
            next.map(|gap| mm_to(*gap, 2)).into(),
            step.map(|by| signed(*by)).into(),
        ]);
        fields.push(json!({
            "string": index + 1,
            "centre_mm": rounded(as_mm(*centre)),
            "from_middle_mm": rounded(as_mm(*off)),
            "gap_to_next_mm": next.map(|g| rounded(as_mm(*g))),
            "move_mm": step.map(|m| rounded(as_mm(*m))),
        }));
    }
    answer.table(table.by_string());
    answer.put("strings", fields);
    answer.put(
        "margins_mm",
        vec![rounded(as_mm(layout.margins.0)), rounded(as_mm(layout.margins.1))],
    );
    let (first, last) = layout.margins;
    answer.say(say::spacing_margins(both(first), both(last)));
    answer.rests_on(say::basis_spacing());
    Ok(answer)
}

#[cfg(test)]
mod tests {
    use fallaway::mechanics::string_line::GapPlace;

    use super::*;

    #[test]
    fn a_string_that_is_not_there() {
        let path = StringPath::new(mm(650.0), 20, mm(0.0), mm(0.0)).unwrap();
        assert!(one_path(&[path], 0).is_err());
        assert!(one_path(&[path], 1).is_ok());
        assert!(one_path(&[path], 2).is_err());
        assert_eq!(way(GapPlace::new(0, 12)).to_string(), "open, over 12");
    }
}
