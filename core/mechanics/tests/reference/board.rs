//! Form "board": crown drop, string paths, saddle rows, sideways moves and bends.
//!
//! Tolerances: 2e-4 mm for all lengths; 2e-4 for ratios. The gaps in the file are those of a
//! middle string that reads 2 mm stopped at 1 over the last fret, unless its inputs name
//! `action_g_1_N_mm`.

use fallaway_mechanics::board::{
    Centre, StringPath, Surface, bend, crown_drop, crown_under, fit_arc, gap, hump,
    saddle_height_for, sideways,
};
use fallaway_mechanics::error::Result as Computed;
use fallaway_mechanics::frets::position;
use fallaway_mechanics::string_line::GapPlace;
use fallaway_mechanics::units::{as_mm, inches as inches_of, mm};
use uom::si::f64::Length;

use crate::fields::Fields;
use crate::form::Form;
use crate::{Report, Tolerance, Unreadable};

/// Lengths.
const MM: Tolerance = Tolerance::Absolute(2e-4, "mm");
/// Ratios of radii and spreads.
const RATIO: Tolerance = Tolerance::Absolute(2e-4, "1");
/// Fret numbers.
const EXACT: Tolerance = Tolerance::Absolute(0.0, "fret");

/// The form.
#[derive(Debug)]
pub struct Board;

impl Form for Board {
    fn name(&self) -> &'static str {
        "board"
    }

    fn recognises(&self, file: &Fields<'_>) -> bool {
        file.keys().any(|k| k == "boards" || k == "drop" || k == "sideways")
    }

    fn check(&self, file: &Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
        file.remark("about");
        file.remark("conventions");
        for drop in file.objects("drop")? {
            check_drop(drop, report)?;
        }
        let mut boards = Vec::new();
        for board in file.objects("boards")? {
            boards.push(check_board(board, report)?);
        }
        for moved in file.objects("sideways")? {
            check_moved(moved, &boards, report)?;
        }
        Ok(())
    }
}

fn length(
    report: &mut Report,
    quantity: &str,
    fields: &Fields<'_>,
    key: &str,
    computed: Computed<Length>,
) -> Result<(), Unreadable> {
    let expected = fields.number(key)?;
    report.compare_result(quantity, fields.path_of(key), expected, computed.map(as_mm), MM);
    Ok(())
}

fn ratio(
    report: &mut Report,
    quantity: &str,
    fields: &Fields<'_>,
    key: &str,
    computed: f64,
) -> Result<(), Unreadable> {
    let expected = fields.number(key)?;
    report.compare_result(quantity, fields.path_of(key), expected, Computed::Ok(computed), RATIO);
    Ok(())
}

/// Compares a list of lengths, one per string.
fn row(
    report: &mut Report,
    quantity: &str,
    fields: &Fields<'_>,
    key: &str,
    computed: &[Computed<Length>],
) -> Result<(), Unreadable> {
    let expected = fields.numbers(key)?;
    if expected.is_empty() {
        return Ok(());
    }
    if expected.len() != computed.len() {
        return Err(fields.wrong(key, "a list with one number per string"));
    }
    for (index, (expected, computed)) in expected.iter().zip(computed).enumerate() {
        report.compare_result(
            quantity,
            format!("{}[{index}]", fields.path_of(key)),
            Some(*expected),
            computed.clone().map(as_mm),
            MM,
        );
    }
    Ok(())
}

fn check_drop(drop: Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    let inches = drop.number("radius_in")?;
    let radius = drop.number("radius_mm")?.or_else(|| inches.map(|r| r * 25.4));
    if let Some(inches) = inches {
        ratio(report, "radius in mm and in", &drop, "radius_mm", as_mm(inches_of(inches)))?;
    }
    let offset = mm(drop.need_number("y_mm")?);
    let computed = match radius {
        Some(r) => crown_drop(mm(r), offset),
        None => Ok(mm(0.0)),
    };
    length(report, "crown drop", &drop, "drop_mm", computed)?;
    drop.finish(report);
    Ok(())
}

/// One board, as later entries refer to it.
struct Known {
    id: String,
    scale: f64,
    frets: usize,
    surface: Surface,
    paths: Vec<StringPath>,
    /// Height of a middle string's saddle over the spine.
    top: Length,
}

impl Known {
    fn last(&self) -> GapPlace {
        GapPlace::stopped_at_1_over(self.frets)
    }

    /// The saddle heights of a row with this radius (flat for `None`).
    fn on_radius(&self, radius: Option<Length>) -> Vec<Computed<Length>> {
        self.paths
            .iter()
            .map(|path| match radius {
                Some(r) => Ok(self.top - crown_drop(r, path.saddle_offset())?),
                None => Ok(self.top),
            })
            .collect()
    }
}

fn read_board(board: &Fields<'_>, report: &mut Report) -> Result<Computed<Known>, Unreadable> {
    let inputs = board.need_object("inputs")?;
    let scale = inputs.need_number("scale_mm")?;
    let frets = inputs.need_count("frets")?;
    let at_nut = inputs.number("r_nut_mm")?;
    let at_last = inputs.number("r_lastfret_mm")?;
    let nut = inputs.numbers("y_nut")?;
    let saddle = inputs.numbers("y_saddle")?;
    let action = inputs.number("action_g_1_N_mm")?.unwrap_or(2.0);
    inputs.finish(report);
    if nut.is_empty() || nut.len() != saddle.len() {
        return Err(inputs_wrong(board));
    }
    let id = board.text("id").to_owned();
    let known = || {
        let last = position(mm(scale), frets)?;
        let surface = match (at_nut, at_last) {
            (Some(a), Some(b)) => Surface::compound((mm(0.0), mm(a)), (last, mm(b)))?,
            (Some(r), None) | (None, Some(r)) => Surface::cylinder(mm(r))?,
            (None, None) => Surface::flat(),
        };
        let paths = nut
            .iter()
            .zip(&saddle)
            .map(|(n, s)| StringPath::new(mm(scale), frets, mm(*n), mm(*s)))
            .collect::<Computed<Vec<_>>>()?;
        let middle = StringPath::new(mm(scale), frets, mm(0.0), mm(0.0))?;
        let top =
            saddle_height_for(&surface, &middle, GapPlace::stopped_at_1_over(frets), mm(action))?;
        Ok(Known { id, scale, frets, surface, paths, top })
    };
    Ok(known())
}

fn inputs_wrong(board: &Fields<'_>) -> Unreadable {
    board.wrong("inputs", "y_nut and y_saddle with one number per string")
}

/// A radius, where `None` (flat) cannot be compared with a number.
fn round(radius: Computed<Option<Length>>) -> Computed<Length> {
    radius.map(|r| r.unwrap_or(mm(f64::INFINITY)))
}

fn check_board(board: Fields<'_>, report: &mut Report) -> Result<Option<Known>, Unreadable> {
    let known = match read_board(&board, report)? {
        Ok(known) => known,
        Err(error) => {
            report.refused(format!("{}: {error}", board.path()));
            board.remark("outputs");
            board.finish(report);
            return Ok(None);
        }
    };
    let outputs = board.need_object("outputs")?;
    let last = position(mm(known.scale), known.frets);
    let at_saddle = known.surface.radius_at(mm(known.scale));
    length(
        report,
        "radius along the board",
        &outputs,
        "r_at_saddle_extrapolated_mm",
        round(at_saddle.clone()),
    )?;
    for key in outputs.keys() {
        if let Some(fret) = key
            .strip_prefix("r_at_")
            .and_then(|k| k.strip_suffix("_mm"))
            .and_then(|k| k.parse().ok())
        {
            let at = position(mm(known.scale), fret).and_then(|x| known.surface.radius_at(x));
            length(report, "radius along the board", &outputs, key, round(at))?;
        }
    }
    let strings = outputs.objects("strings")?;
    if !strings.is_empty() && strings.len() != known.paths.len() {
        return Err(outputs.wrong("strings", "one entry per string"));
    }
    for (string, path) in strings.into_iter().zip(&known.paths) {
        check_string(&known, string, path, report)?;
    }
    let radius_at_last = last.clone().and_then(|x| known.surface.radius_at(x));
    if let Some(gaps) = outputs.object("g_1_N_with_saddle_radius")? {
        for (key, radius) in [
            ("extrapolated", at_saddle),
            ("last_fret", radius_at_last.clone()),
            ("nut", known.surface.radius_at(mm(0.0))),
        ] {
            let computed: Vec<_> = match radius {
                Ok(radius) => known
                    .on_radius(radius)
                    .into_iter()
                    .zip(&known.paths)
                    .map(|(h, path)| gap(&known.surface, path, known.last(), h?))
                    .collect(),
                Err(error) => vec![Err(error); known.paths.len()],
            };
            row(report, "gap over a saddle row", &gaps, key, &computed)?;
        }
        gaps.finish(report);
    }
    check_equal_gaps(&known, &outputs, report)?;
    if let Some(cone) = outputs.object("cone_condition")? {
        check_cone(&known, &cone, last, radius_at_last, report)?;
        cone.finish(report);
    }
    outputs.finish(report);
    board.finish(report);
    Ok(Some(known))
}

fn check_equal_gaps(
    known: &Known,
    outputs: &Fields<'_>,
    report: &mut Report,
) -> Result<(), Unreadable> {
    let middle = StringPath::new(mm(known.scale), known.frets, mm(0.0), mm(0.0));
    let wanted = middle.and_then(|path| gap(&known.surface, &path, known.last(), known.top));
    let relative: Vec<Computed<Length>> = known
        .paths
        .iter()
        .map(|path| {
            let wanted = wanted.clone()?;
            Ok(saddle_height_for(&known.surface, path, known.last(), wanted)? - known.top)
        })
        .collect();
    row(
        report,
        "saddle heights for equal gaps",
        outputs,
        "saddle_height_rel_to_spine_for_equal_g_1_N",
        &relative,
    )?;
    let points: Computed<Vec<_>> = known
        .paths
        .iter()
        .zip(relative)
        .map(|(path, height)| Ok((path.saddle_offset(), height?)))
        .collect();
    let fit = points.and_then(|points| fit_arc(&points, Centre::At(mm(0.0)), mm(0.0)));
    length(
        report,
        "radius through the saddles",
        outputs,
        "best_fit_saddle_radius_mm",
        round(fit.clone().map(|f| f.radius)),
    )?;
    length(report, "left over by the fitted radius", outputs, "best_fit_rms_mm", fit.map(|f| f.rms))
}

fn check_cone(
    known: &Known,
    cone: &Fields<'_>,
    last: Computed<Length>,
    radius_at_last: Computed<Option<Length>>,
    report: &mut Report,
) -> Result<(), Unreadable> {
    let spread = |x: Length| -> Computed<f64> {
        let (Some(a), Some(b)) = (known.paths.first(), known.paths.last()) else {
            return Ok(f64::NAN);
        };
        Ok(as_mm(a.offset_at(x)? - b.offset_at(x)?).abs())
    };
    let computed = (|| {
        let last = last?;
        let nut = known.surface.radius_at(mm(0.0))?;
        let spreads = (spread(mm(0.0))?, spread(last)?, spread(mm(known.scale))?);
        let radii = match (nut, radius_at_last?) {
            (Some(nut), Some(at_last)) => {
                let ideal =
                    Surface::cone_under(nut, mm(spreads.0), mm(spreads.2), mm(known.scale))?;
                Some((
                    at_last.value / nut.value,
                    ideal.radius_at(last)?,
                    ideal.radius_at(mm(known.scale))?,
                ))
            }
            _ => None,
        };
        Computed::Ok((spreads.1 / spreads.0, radii))
    })();
    match computed {
        Ok((spreads, radii)) => {
            ratio(report, "ratio of spreads", cone, "spread_ratio_lastfret_over_nut", spreads)?;
            if let Some((radius_ratio, at_last, at_saddle)) = radii {
                ratio(report, "ratio of radii", cone, "radius_ratio", radius_ratio)?;
                length(
                    report,
                    "radius of the cone",
                    cone,
                    "r_lastfret_required_for_straight_paths_mm",
                    round(Ok(at_last)),
                )?;
                length(
                    report,
                    "radius of the cone",
                    cone,
                    "r_saddle_required_mm",
                    round(Ok(at_saddle)),
                )?;
            }
        }
        Err(error) => report.refused(format!("{}: {error}", cone.path())),
    }
    Ok(())
}

/// The fret that a key such as "y_fret12", "drop_N" or "drop_nut" speaks of.
fn fret_of(key: &str, prefix: &str, last: usize) -> Option<usize> {
    match key.strip_prefix(prefix)? {
        "N" => Some(last),
        "nut" => Some(0),
        digits => digits.parse().ok(),
    }
}

fn check_string(
    known: &Known,
    string: Fields<'_>,
    path: &StringPath,
    report: &mut Report,
) -> Result<(), Unreadable> {
    for key in string.keys() {
        if let Some(fret) = fret_of(key, "y_fret", known.frets) {
            length(report, "string path", &string, key, path.offset_at_fret(fret))?;
        } else if let Some(fret) = fret_of(key, "drop_", known.frets) {
            let drop = crown_under(&known.surface, path, fret).map(|z| -z);
            length(report, "crown drop along a string", &string, key, drop)?;
        }
    }
    length(report, "string path", &string, "y_nut", Ok(path.nut_offset()))?;
    length(report, "string path", &string, "y_saddle", Ok(path.saddle_offset()))?;
    let at_saddle = known
        .surface
        .radius_at(mm(known.scale))
        .and_then(|r| r.map_or(Ok(mm(0.0)), |r| crown_drop(r, path.saddle_offset())));
    length(
        report,
        "crown drop along a string",
        &string,
        "drop_at_saddle_on_extrapolated_radius",
        at_saddle,
    )?;
    let hump = hump(&known.surface, path);
    length(
        report,
        "hump",
        &string,
        "max_dev_from_chord_1_N_mm",
        hump.clone().map(|h| h.gap.abs()),
    )?;
    report.compare_result(
        "fret of the hump",
        string.path_of("dev_fret"),
        string.number("dev_fret")?,
        hump.map(|h| h.fret as f64),
        EXACT,
    );
    string.finish(report);
    Ok(())
}

/// The outer string with its saddle on the board's radius, moved sideways or bent.
fn check_moved(
    moved: Fields<'_>,
    boards: &[Option<Known>],
    report: &mut Report,
) -> Result<(), Unreadable> {
    moved.remark("kind");
    let id = moved.text("id");
    let known = boards.iter().flatten().find(|b| b.id == id);
    let Some((known, path)) = known.and_then(|k| Some((k, k.paths.first()?))) else {
        report.refused(format!("{}: no board \"{id}\" could be computed", moved.path()));
        moved.finish(report);
        return Ok(());
    };
    let height = known
        .surface
        .radius_at(mm(known.scale))
        .map(|radius| known.on_radius(radius))
        .and_then(|row| row.into_iter().next().unwrap_or(Ok(known.top)));
    if let Some(shift) = moved.number("dy_mm")? {
        let before = height.and_then(|h| gap(&known.surface, path, known.last(), h));
        let change = sideways(&known.surface, path, known.last(), mm(shift));
        length(report, "sideways move", &moved, "g_1_N_before", before.clone())?;
        length(
            report,
            "sideways move",
            &moved,
            "g_1_N_after",
            before.and_then(|b| Ok(b + change?)),
        )?;
        length(
            report,
            "sideways move, local rule",
            &moved,
            "local_rule_dz",
            path.drop_change(&known.surface, known.frets, mm(shift)),
        )?;
    } else {
        let push = moved.need_number("bend_mm")?;
        let stopped = moved.need_count("m")?;
        let clearance = height.and_then(|h| bend(&known.surface, path, stopped, mm(push), h));
        let of = |pick: fn(&fallaway_mechanics::board::BendClearance) -> Length| {
            clearance.as_ref().map(pick).map_err(Clone::clone)
        };
        length(report, "bend", &moved, "gap_next_fret_before", of(|b| b.next.0))?;
        length(report, "bend", &moved, "gap_next_fret_after", of(|b| b.next.1))?;
        length(report, "bend", &moved, "min_gap_before", of(|b| b.smallest.0))?;
        length(report, "bend", &moved, "min_gap_after", of(|b| b.smallest.1))?;
        length(report, "bend", &moved, "action_at_N_before", of(|b| b.last.0))?;
        length(report, "bend", &moved, "action_at_N_after", of(|b| b.last.1))?;
        report.compare_result(
            "fret of the smallest gap in a bend",
            moved.path_of("fret_of_min_after"),
            moved.number("fret_of_min_after")?,
            clearance.map(|b| b.smallest_at as f64),
            EXACT,
        );
    }
    moved.finish(report);
    Ok(())
}
