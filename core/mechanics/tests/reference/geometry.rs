//! Form "geometry": neck curvature, relief, gaps, conversions, response to a changed relief.
//!
//! Tolerances: lengths 2e-4 mm; saddle moves per unit of action 2e-4 (mm for each mm); curvatures
//! and radii of curvature 5e-4 relative (that much curvature is 1.5e-4 mm of a relief of 0.3 mm).

use fallaway_mechanics::error::Result as Computed;
use fallaway_mechanics::neck::{NeckLine, ReliefWay};
use fallaway_mechanics::string_line::{GapPlace, NutReading, StringLine, saddle_factor};
use fallaway_mechanics::units::{as_mm, as_per_mm, mm, per_mm};
use uom::si::f64::Length;

use crate::fields::Fields;
use crate::form::Form;
use crate::{Report, Tolerance, Unreadable};

/// Lengths.
const MM: Tolerance = Tolerance::Absolute(2e-4, "mm");
/// Saddle move per unit of action.
const PER_MM: Tolerance = Tolerance::Absolute(2e-4, "mm per mm");
/// Curvatures in 1/mm and radii of curvature in m; the floor is a relief far below a micrometre.
const CURVATURE: Tolerance = Tolerance::Relative { part: 5e-4, floor: 1e-8 };
/// Fret numbers.
const EXACT: Tolerance = Tolerance::Absolute(0.0, "fret");

/// The form.
#[derive(Debug)]
pub struct Geometry;

impl Form for Geometry {
    fn name(&self) -> &'static str {
        "geometry"
    }

    fn recognises(&self, file: &Fields<'_>) -> bool {
        file.keys().any(|k| k == "inverse_cases" || k == "fanned_single_curvature")
            || file.objects("cases").is_ok_and(|cases| {
                cases.first().is_some_and(|case| {
                    case.object("inputs")
                        .ok()
                        .flatten()
                        .is_some_and(|i| i.keys().any(|k| k == "relief_max_crown_mm"))
                })
            })
    }

    fn check(&self, file: &Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
        file.remark("about");
        file.remark("conventions");
        let mut frames = Vec::new();
        for case in file.objects("cases")? {
            frames.push(check_case(case, report)?);
        }
        for case in file.objects("inverse_cases")? {
            check_inverse(case, report)?;
        }
        check_fanned(file.objects("fanned_single_curvature")?, &frames, report)
    }
}

/// What the fanned strings borrow from the cases: id, scale, frets, joint.
struct Frame {
    fanned: bool,
    scale: f64,
    frets: usize,
    joint: f64,
}

struct Inputs {
    scale: f64,
    frets: usize,
    joint: f64,
    relief: f64,
}

impl Inputs {
    fn read(inputs: &Fields<'_>) -> Result<Self, Unreadable> {
        Ok(Self {
            scale: inputs.need_number("scale_mm")?,
            frets: inputs.need_count("frets")?,
            joint: inputs.need_number("joint_fret")?,
            relief: inputs.need_number("relief_max_crown_mm")?,
        })
    }

    fn straight(&self) -> Computed<NeckLine> {
        NeckLine::new(mm(self.scale), self.frets, self.joint)
    }

    fn way(&self) -> ReliefWay {
        ReliefWay::largest(self.frets)
    }

    fn neck(&self) -> Computed<NeckLine> {
        self.straight()?.with_relief(mm(self.relief), self.way())
    }
}

/// Reads "g(1,24)" or "g_0_12", where N stands for the last fret, or "m1_j24".
fn place(key: &str, last: usize) -> Option<GapPlace> {
    let inner = key
        .strip_prefix("g(")
        .and_then(|k| k.strip_suffix(')'))
        .or_else(|| key.strip_prefix("g_"))
        .or_else(|| key.strip_prefix('m'))?;
    let (m, j) = inner
        .split_once(',')
        .or_else(|| inner.split_once("_j"))
        .or_else(|| inner.split_once('_'))?;
    let number = |text: &str| match text.trim() {
        "N" => Some(last),
        digits => digits.parse().ok(),
    };
    Some(GapPlace::new(number(m)?, number(j)?))
}

/// Compares a length.
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

/// Compares every "g..." field of an object; others stay for the caller.
fn gaps(
    report: &mut Report,
    quantity: &str,
    fields: &Fields<'_>,
    last: usize,
    gap: impl Fn(GapPlace) -> Computed<Length>,
) -> Result<(), Unreadable> {
    for key in fields.keys() {
        if let Some(place) = place(key, last) {
            length(report, quantity, fields, key, gap(place))?;
        }
    }
    Ok(())
}

/// Checks one object of outputs of which something could not be computed at all.
fn refuse(report: &mut Report, path: &str, error: &fallaway_mechanics::Error) {
    report.refused(format!("{path}: {error}"));
}

fn check_case(case: Fields<'_>, report: &mut Report) -> Result<Frame, Unreadable> {
    let id = case.text("id").to_owned();
    let inputs = case.need_object("inputs")?;
    let given = Inputs::read(&inputs)?;
    let action = inputs.number("action_g_1_N_mm")?;
    let nut_open = inputs.number("nut_gap_open_over_fret1_mm")?;
    let nut_held = inputs.number("alt_nut_gap_over_fret1_held_at_3_mm")?;
    let compensation = inputs.number("saddle_compensation_mm")?.unwrap_or(0.0);
    inputs.finish(report);
    let outputs = case.need_object("outputs")?;
    match given.neck() {
        Ok(neck) => {
            check_neck(&given, &neck, &outputs, report)?;
            let line =
                |nut: Option<NutReading>, compensation: f64| -> Option<Computed<StringLine>> {
                    Some(StringLine::from_readings(
                        neck.clone(),
                        mm(compensation),
                        GapPlace::stopped_at_1_over(given.frets),
                        mm(action?),
                        nut?,
                    ))
                };
            let open = nut_open.map(|g| NutReading::OpenOver1(mm(g)));
            let held = nut_held.map(|g| NutReading::HeldAt3Over1(mm(g)));
            if let Some(line) = line(open, compensation) {
                match line {
                    Ok(line) => check_line(&given, &line, &outputs, report)?,
                    Err(error) => refuse(report, outputs.path(), &error),
                }
            }
            if let Some(with) = outputs.object("with_nut_gap_held3")? {
                check_held(&given, line(held, compensation), &with, report)?;
                with.finish(report);
            }
            for key in outputs.keys() {
                let Some(more) = key
                    .strip_prefix("with_saddle_comp_")
                    .and_then(|k| k.strip_suffix("mm"))
                    .and_then(decimal)
                else {
                    continue;
                };
                if let (Some(with), Some(line)) = (outputs.object(key)?, line(open, more)) {
                    match line {
                        Ok(line) => {
                            length(
                                report,
                                "saddle height",
                                &with,
                                "saddle_z",
                                Ok(line.saddle_height()),
                            )?;
                            gaps(report, "gap", &with, given.frets, |p| line.gap(p))?;
                        }
                        Err(error) => refuse(report, with.path(), &error),
                    }
                    with.finish(report);
                }
            }
        }
        Err(error) => refuse(report, outputs.path(), &error),
    }
    outputs.finish(report);
    case.finish(report);
    Ok(Frame {
        fanned: id.contains("fan"),
        scale: given.scale,
        frets: given.frets,
        joint: given.joint,
    })
}

/// Reads "3", "2.5" or "0p10".
fn decimal(text: &str) -> Option<f64> {
    text.replace('p', ".").parse().ok()
}

fn check_neck(
    given: &Inputs,
    neck: &NeckLine,
    outputs: &Fields<'_>,
    report: &mut Report,
) -> Result<(), Unreadable> {
    let kappa = as_per_mm(neck.curvature());
    report.compare_result(
        "curvature",
        outputs.path_of("kappa_per_mm"),
        outputs.number("kappa_per_mm")?,
        Computed::Ok(kappa),
        CURVATURE,
    );
    report.compare_result(
        "radius of curvature",
        outputs.path_of("radius_of_curvature_m"),
        outputs.number("radius_of_curvature_m")?,
        Computed::Ok(1e-3 / kappa),
        CURVATURE,
    );
    let relief = neck.relief(given.way());
    report.compare_result(
        "fret of the largest gap",
        outputs.path_of("relief_fret"),
        outputs.number("relief_fret")?,
        relief.map(|r| r.fret as f64),
        EXACT,
    );
    if let Some(at) = outputs.object("relief_at_fret")? {
        for key in at.keys() {
            if let Ok(fret) = key.parse() {
                let way = ReliefWay::at_fret(fret, given.frets);
                length(report, "relief at a fret", &at, key, neck.relief(way).map(|r| r.gap))?;
            }
        }
        at.finish(report);
    }
    if let Some(named) = outputs.object("kappa_per_mm_if_relief_named_at")? {
        for key in named.keys() {
            if let Ok(fret) = key.parse() {
                let way = ReliefWay::at_fret(fret, given.frets);
                report.compare_result(
                    "curvature from relief at a fret",
                    named.path_of(key),
                    named.number(key)?,
                    neck.curvature_for_relief(mm(given.relief), way).map(as_per_mm),
                    CURVATURE,
                );
            }
        }
        named.finish(report);
    }
    Ok(())
}

fn check_line(
    given: &Inputs,
    line: &StringLine,
    outputs: &Fields<'_>,
    report: &mut Report,
) -> Result<(), Unreadable> {
    length(
        report,
        "saddle height",
        outputs,
        "saddle_z_above_straight_part_mm",
        Ok(line.saddle_height()),
    )?;
    length(
        report,
        "nut slot height",
        outputs,
        "nut_slot_z_above_straight_part_mm",
        line.nut_slot(),
    )?;
    length(
        report,
        "nut slot height",
        outputs,
        "nut_slot_height_above_crown_profile_at_nut_mm",
        Ok(line.nut_height()),
    )?;
    length(report, "nut gap held at 3", outputs, "nut_gap_held3_mm", line.gap_held(3, 1))?;
    if let Some(actions) = outputs.object("actions")? {
        gaps(report, "gap", &actions, given.frets, |p| line.gap(p))?;
        actions.finish(report);
    }
    if let Some(factors) = outputs.object("saddle_change_per_unit_action_change")? {
        for key in factors.keys() {
            if let Some(place) = place(key, given.frets) {
                let compensation = line.saddle_position() - mm(given.scale);
                report.compare_result(
                    "saddle move per unit of action",
                    factors.path_of(key),
                    factors.number(key)?,
                    saddle_factor(line.neck(), compensation, place),
                    PER_MM,
                );
            }
        }
        factors.finish(report);
    }
    for key in outputs.keys() {
        let Some(rise) = key
            .strip_prefix("action_change_for_relief_plus_")
            .and_then(|k| k.strip_suffix("_saddle_fixed"))
            .and_then(decimal)
        else {
            continue;
        };
        let moved = given
            .straight()
            .and_then(|n| n.with_relief(mm(given.relief + rise), given.way()))
            .and_then(|n| line.with_neck(n));
        let moved = match moved {
            Ok(moved) => moved,
            Err(error) => {
                refuse(report, &outputs.path_of(key), &error);
                continue;
            }
        };
        if let Some(changes) = outputs.object(key)? {
            gaps(report, "change of gap with relief", &changes, given.frets, |p| {
                Ok(moved.gap(p)? - line.gap(p)?)
            })?;
            changes.finish(report);
        }
        report.compare_result(
            "curvature",
            outputs.path_of("kappa_after_per_mm"),
            outputs.number("kappa_after_per_mm")?,
            Computed::Ok(as_per_mm(moved.neck().curvature())),
            CURVATURE,
        );
    }
    if let Some(exact) = outputs.object("exact_circular_arc_check")? {
        let arc = Arc::new(given, line);
        length(report, "on exact arcs", &exact, "relief", Ok(arc.relief(given)))?;
        length(report, "on exact arcs", &exact, "g_1_N", Ok(arc.gap_1_n()))?;
        exact.finish(report);
    }
    Ok(())
}

fn check_held(
    given: &Inputs,
    line: Option<Computed<StringLine>>,
    with: &Fields<'_>,
    report: &mut Report,
) -> Result<(), Unreadable> {
    let Some(line) = line else { return Ok(()) };
    let line = match line {
        Ok(line) => line,
        Err(error) => {
            refuse(report, with.path(), &error);
            return Ok(());
        }
    };
    length(
        report,
        "nut gap open over 1",
        with,
        "nut_gap_open1_mm",
        line.gap(GapPlace::OPEN_OVER_1),
    )?;
    length(
        report,
        "nut slot height",
        with,
        "nut_slot_height_above_crown_profile_at_nut_mm",
        Ok(line.nut_height()),
    )?;
    gaps(report, "gap", with, given.frets, |p| line.gap(p))
}

/// The same neck on exact circular arcs, with our curvature and saddle height: shows what the
/// small-slope model leaves out.
struct Arc {
    crowns: Vec<(f64, f64)>,
    saddle: (f64, f64),
}

impl Arc {
    fn new(given: &Inputs, line: &StringLine) -> Self {
        let kappa = as_per_mm(line.neck().curvature());
        let x = |fret: f64| given.scale * (1.0 - (-fret / 12.0).exp2());
        let joint = x(given.joint);
        let crowns = (1..=given.frets)
            .map(|n| {
                let along = x(n as f64);
                let d = (joint - along).max(0.0);
                if kappa == 0.0 {
                    (along, 0.0)
                } else {
                    // d is the length along the bent neck.
                    let turned = kappa * d;
                    (along + d - turned.sin() / kappa, (1.0 - turned.cos()) / kappa)
                }
            })
            .collect();
        Self { crowns, saddle: (as_mm(line.saddle_position()), as_mm(line.saddle_height())) }
    }

    fn ends(&self) -> Option<((f64, f64), (f64, f64))> {
        Some((*self.crowns.first()?, *self.crowns.last()?))
    }

    fn relief(&self, given: &Inputs) -> Length {
        let Some(((x0, z0), (x1, z1))) = self.ends() else {
            return mm(f64::NAN);
        };
        let chord = ((x1 - x0).powi(2) + (z1 - z0).powi(2)).sqrt();
        let gap = |(x, z): &(f64, f64)| ((z1 - z0) * (x - x0) - (x1 - x0) * (z - z0)) / chord;
        let gaps = self.crowns.iter().map(gap);
        let most =
            if given.relief < 0.0 { gaps.fold(0.0, f64::min) } else { gaps.fold(0.0, f64::max) };
        mm(most)
    }

    fn gap_1_n(&self) -> Length {
        let Some(((x0, z0), (x1, z1))) = self.ends() else {
            return mm(f64::NAN);
        };
        let t = (x1 - x0) / (self.saddle.0 - x0);
        mm(z0 * (1.0 - t) + self.saddle.1 * t - z1)
    }
}

fn check_inverse(case: Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    case.remark("instrument");
    let inputs = case.need_object("inputs")?;
    let given = Inputs::read(&inputs)?;
    let nut = inputs.number("nut_gap_open_over_fret1_mm")?;
    let action = inputs.number("open_action_mm")?;
    inputs.finish(report);
    let outputs = case.need_object("outputs")?;
    for key in outputs.keys() {
        let Some(over) = key.strip_prefix("if_value_is_over_").and_then(|k| k.parse().ok()) else {
            continue;
        };
        let (Some(nut), Some(action)) = (nut, action) else {
            continue;
        };
        let Some(expected) = outputs.object(key)? else {
            continue;
        };
        let line = given.neck().and_then(|neck| {
            StringLine::from_readings(
                neck,
                mm(0.0),
                GapPlace::new(0, over),
                mm(action),
                NutReading::OpenOver1(mm(nut)),
            )
        });
        match line {
            Ok(line) => {
                gaps(report, "gap from an open reading", &expected, given.frets, |p| line.gap(p))?;
                length(report, "saddle height", &expected, "saddle_z", Ok(line.saddle_height()))?;
            }
            Err(error) => refuse(report, expected.path(), &error),
        }
        expected.finish(report);
    }
    outputs.finish(report);
    case.finish(report);
    Ok(())
}

/// Fanned strings: each its own scale, one curvature. The entries do not name frets and joint
/// unless they carry `frets` and `joint_fret`; else they are those of a case whose id speaks of a
/// fan, or of one with the scale of one of the strings.
fn check_fanned(
    strings: Vec<Fields<'_>>,
    frames: &[Frame],
    report: &mut Report,
) -> Result<(), Unreadable> {
    let mut scales = Vec::new();
    for string in &strings {
        scales.push(string.need_number("scale_mm")?);
    }
    let frame = frames
        .iter()
        .find(|f| f.fanned)
        .or_else(|| frames.iter().find(|f| scales.iter().any(|s| (s - f.scale).abs() < 1e-6)));
    for (string, scale) in strings.into_iter().zip(scales) {
        string.remark("string");
        let frets = string.number("frets")?.map(|f| f as usize).or(frame.map(|f| f.frets));
        let joint = string.number("joint_fret")?.or(frame.map(|f| f.joint));
        let kappa = string.need_number("kappa_per_mm")?;
        let (Some(frets), Some(joint)) = (frets, joint) else {
            report.refused(format!("{}: frets and joint are not given", string.path()));
            continue;
        };
        let neck = NeckLine::new(mm(scale), frets, joint)
            .and_then(|neck| neck.with_curvature(per_mm(kappa)));
        let relief = neck.clone().and_then(|neck| neck.relief(ReliefWay::largest(frets)));
        length(
            report,
            "relief of fanned strings",
            &string,
            "relief_mm",
            relief.clone().map(|r| r.gap),
        )?;
        report.compare_result(
            "fret of the largest gap",
            string.path_of("relief_fret"),
            string.number("relief_fret")?,
            relief.map(|r| r.fret as f64),
            EXACT,
        );
        for key in string.keys() {
            if let Some(fret) = key.strip_prefix('x').and_then(|k| k.parse().ok()) {
                let at = neck.clone().and_then(|neck| neck.position(fret));
                length(report, "fret position", &string, key, at)?;
            }
        }
        string.finish(report);
    }
    Ok(())
}
