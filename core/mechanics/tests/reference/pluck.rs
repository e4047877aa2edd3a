//! Form "pluck": forces, actions and best reliefs of plucked stiff strings over a neck.
//!
//! Tolerances: forces 3 %, actions 0.03 mm. The best relief lies in a flat valley: it is compared to
//! 0.15 mm, and the action that the file's best relief costs by our own numbers over our least one to
//! 0.03 mm. Comparisons with the ideal string: 0.03 of its depth.
//!
//! Inputs that this form leaves out are in its `about`: a 34 in neck with 24 frets, plucked 100 mm
//! from the saddle with a finger of 10 mm, decay 8 s, notes 1 to 23, all frets beyond. A string's
//! name is its open note (of a bass).
//!
//! The files were solved by finite differences. Such a grid makes the string a little too limp (by
//! `T h^2 / 12` for cells of width h); the numbers themselves fit about 500 cells per stopped length.
//! The comparison imitates that grid. Without it forces agree within 3 % all the same, and actions
//! within 0.05 mm (a test keeps that), the largest differences being at zero relief.

use std::collections::BTreeMap;

use fallaway_mechanics::Error;
use fallaway_mechanics::clearance::{
    Played, SwingingString, best_relief, lowest_clean_action, touch_allowed,
};
use fallaway_mechanics::envelope::{Method, PluckedString, SwingModel, Touch, UnitEnvelope};
use fallaway_mechanics::neck::{NeckLine, ReliefWay};
use fallaway_mechanics::pitch::{Note, frequency};
use fallaway_mechanics::pluck::{
    Pluck, PluckDirection, ideal_depth, static_depth, travelling_wave_extremes,
};
use fallaway_mechanics::string_line::{GapPlace, NutReading, StringLine};
use fallaway_mechanics::units::{as_mm, mm};
use uom::si::f64::Force;
use uom::si::f64::{Frequency, Time};
use uom::si::force::newton;
use uom::si::frequency::hertz;
use uom::si::time::second;

use crate::fields::Fields;
use crate::form::Form;
use crate::{Report, Tolerance, Unreadable};

const FORCE: Tolerance = Tolerance::Relative { part: 0.03, floor: 0.0 };
const ACTION: Tolerance = Tolerance::Absolute(0.03, "mm");
const BEST_RELIEF: Tolerance = Tolerance::Absolute(0.15, "mm");
const IDEAL: Tolerance = Tolerance::Absolute(1e-9, "of the static depth");
const PART: Tolerance = Tolerance::Absolute(0.03, "of the ideal depth");

const SCALE: f64 = 863.6;
const FRETS: usize = 24;
const OVER_LAST: GapPlace = GapPlace::stopped_at_1_over(FRETS);
/// The stopped frets of the comparisons with the ideal string.
const COMPARED: [usize; 6] = [1, 5, 9, 12, 17, 20];
/// Cells per stopped length of the grid by which the files were made.
const GRID: u32 = 500;

/// The form.
#[derive(Debug)]
pub struct Plucks;

impl Form for Plucks {
    fn name(&self) -> &'static str {
        "pluck"
    }

    fn recognises(&self, file: &Fields<'_>) -> bool {
        file.objects("rows").is_ok_and(|rows| {
            rows.first().is_some_and(|row| row.keys().any(|key| key == "periods"))
        })
    }

    fn check(&self, file: &Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
        check_file(file, Some(GRID), report)
    }
}

/// Checks a file with the engine that imitates a grid, or with the plain one.
fn check_file(file: &Fields<'_>, grid: Option<u32>, report: &mut Report) -> Result<(), Unreadable> {
    file.remark("about");
    for case in file.objects("ideal")? {
        check_ideal(case, report)?;
    }
    let mut strings: BTreeMap<(String, u32), Swing> = BTreeMap::new();
    let rows = file.objects("rows")?;
    // Rows without a target borrow tension and stiffness from a row of the same string.
    for row in &rows {
        if let (Some(b), Some(t)) = (row.number("B0")?, row.number("T")?) {
            let (name, periods) =
                (row.text("string").to_owned(), row.need_count("periods")? as u32);
            if let std::collections::btree_map::Entry::Vacant(free) = strings.entry((name, periods))
            {
                let swing = Swing::new(&free.key().0, b, t, periods, grid)
                    .map_err(|_| row.wrong("string", "a note name, inharmonicity and periods"))?;
                free.insert(swing);
            }
        }
    }
    for row in rows {
        let key = (row.text("string").to_owned(), row.need_count("periods")? as u32);
        let Some(swing) = strings.get(&key) else {
            return Err(row.wrong("T", "a row of this string with B0 and T"));
        };
        check_row(row, swing, report)?;
    }
    Ok(())
}

/// The envelope of one string.
struct Swing {
    envelope: UnitEnvelope,
    ideal: UnitEnvelope,
    tension: Force,
}

impl Swing {
    fn new(name: &str, b: f64, t: f64, periods: u32, grid: Option<u32>) -> Result<Self, String> {
        let note = match name {
            "G" => "G2",
            "D" => "D2",
            "A" => "A1",
            "E" => "E1",
            "B" => "B0",
            "C" => "C3",
            other => other,
        };
        let note: Note = note.parse().map_err(|e| format!("{e}"))?;
        let string = PluckedString {
            scale: mm(SCALE),
            frets: FRETS,
            frequency: frequency(note, Frequency::new::<hertz>(440.0))
                .map_err(|e| e.to_string())?,
            inharmonicity: b,
            from_saddle: mm(100.0),
        };
        let model = SwingModel {
            periods,
            modes: 120,
            steps: 400,
            grid,
            decay_time: Time::new::<second>(8.0),
            ..SwingModel::default()
        };
        let of = |method| UnitEnvelope::compute(&string, method).map_err(|e| e.to_string());
        Ok(Self {
            envelope: of(Method::Modes(model))?,
            ideal: of(Method::ClosedForm { factor: 1.0 })?,
            tension: Force::new::<newton>(t),
        })
    }

    fn over<'a>(&'a self, line: &'a StringLine) -> SwingingString<'a> {
        SwingingString { line, envelope: &self.envelope, tension: self.tension }
    }

    fn force(
        &self,
        neck: &Neck,
        relief: f64,
        action: f64,
        direction: PluckDirection,
    ) -> Result<f64, Error> {
        let line = neck.line(relief, action)?;
        let touch = touch_allowed(&self.over(&line), direction, Played::all_fretted(FRETS))?;
        Ok(touch.force.get::<newton>())
    }

    fn action(&self, neck: &Neck, relief: f64, force: f64) -> Result<f64, Error> {
        let line = neck.line(relief, 2.0)?;
        let all = Played::all_fretted(FRETS);
        let found = lowest_clean_action(&self.over(&line), toward(force), all, OVER_LAST, mm(0.0))?;
        Ok(as_mm(found.action))
    }

    fn best(&self, neck: &Neck, force: f64) -> Result<(f64, f64), Error> {
        let line = neck.line(0.2, 2.0)?;
        let best = best_relief(
            &self.over(&line),
            toward(force),
            Played::all_fretted(FRETS),
            OVER_LAST,
            ReliefWay::largest(FRETS),
            (mm(0.0), mm(0.6)),
        )?;
        Ok((as_mm(best.relief), as_mm(best.action)))
    }

    /// Depths of this string and of the ideal one at every fret beyond `m`.
    fn against_ideal(&self, m: usize, direction: PluckDirection) -> Result<Vec<(f64, f64)>, Error> {
        let touch = Touch { force: Force::new::<newton>(1.0), direction };
        (m + 1..=FRETS)
            .map(|j| {
                let of = |e: &UnitEnvelope| e.depth(GapPlace::new(m, j), touch, self.tension);
                Ok((as_mm(of(&self.envelope)?), as_mm(of(&self.ideal)?)))
            })
            .collect()
    }
}

/// A neck that bends up to a fret.
struct Neck {
    joint: f64,
}

impl Neck {
    fn line(&self, relief: f64, action: f64) -> Result<StringLine, Error> {
        let neck = NeckLine::new(mm(SCALE), FRETS, self.joint)?
            .with_relief(mm(relief), ReliefWay::largest(FRETS))?;
        // Only stopped strings are asked about: the nut does not matter.
        StringLine::from_readings(
            neck,
            mm(0.0),
            OVER_LAST,
            mm(action),
            NutReading::OpenOver1(mm(0.5)),
        )
    }
}

fn toward(force: f64) -> Touch {
    Touch { force: Force::new::<newton>(force), direction: PluckDirection::TowardBoard }
}

/// The triangles against d'Alembert's travelling waves.
fn check_ideal(case: Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    let (length, p) = (case.need_number("Ln")?, case.need_number("p")?);
    let worst = |direction: PluckDirection| -> Result<f64, Error> {
        let pluck = Pluck {
            stopped_length: mm(length),
            from_saddle: mm(p),
            tension: Force::new::<newton>(155.0),
            force: Force::new::<newton>(1.0),
        };
        let apex = as_mm(static_depth(&pluck)?);
        let mut worst = 0.0f64;
        for i in 0..=500 {
            let s = f64::from(i) / 500.0;
            let (down, up) = travelling_wave_extremes(p / length, s)?;
            let waves = if direction == PluckDirection::TowardBoard { down } else { up };
            let triangle = as_mm(ideal_depth(&pluck, direction, mm(s * length))?) / apex;
            worst = worst.max((waves - triangle).abs());
        }
        Ok(worst)
    };
    for (key, direction) in [
        ("max_abs_err_mirror_triangle", PluckDirection::AwayFromBoard),
        ("max_abs_err_initial_triangle_for_downward_pluck", PluckDirection::TowardBoard),
    ] {
        let expected = case.number(key)?;
        report.compare_result("ideal string", case.path_of(key), expected, worst(direction), IDEAL);
    }
    case.finish(report);
    Ok(())
}

fn check_row(row: Fields<'_>, swing: &Swing, report: &mut Report) -> Result<(), Unreadable> {
    let neck = Neck { joint: row.need_number("J")? };
    // The force is given, or follows from the target at 0.20 mm of relief.
    let force = match (row.number("F")?, row.number("target")?) {
        (Some(force), _) => Ok(force),
        (None, Some(target)) => {
            for (key, direction) in [
                ("F_toward", PluckDirection::TowardBoard),
                ("F_away", PluckDirection::AwayFromBoard),
            ] {
                let Some(table) = row.object(key)? else { continue };
                for name in table.keys() {
                    let relief = relief_of(&table, name)?;
                    let computed = swing.force(&neck, relief, target, direction);
                    let (place, expected) = (table.path_of(name), table.number(name)?);
                    report.compare_result(format!("force {key}"), place, expected, computed, FORCE);
                }
            }
            swing.force(&neck, 0.20, target, PluckDirection::TowardBoard)
        }
        (None, None) => return Err(row.wrong("F", "a force or a target")),
    };
    let at = |relief: f64| force.clone().and_then(|f| swing.action(&neck, relief, f));
    if let Some(table) = row.object("A_at_R")? {
        for name in table.keys() {
            let relief = relief_of(&table, name)?;
            let (place, expected) = (table.path_of(name), table.number(name)?);
            report.compare_result("action at a relief", place, expected, at(relief), ACTION);
        }
    }
    let key = "A_at_R020";
    report.compare_result(
        "action at a relief",
        row.path_of(key),
        row.number(key)?,
        at(0.20),
        ACTION,
    );
    let best = force.clone().and_then(|f| swing.best(&neck, f));
    let (relief, least) = (best.clone().map(|b| b.0), best.map(|b| b.1));
    let key = "A_opt";
    report.compare_result(
        "least action",
        row.path_of(key),
        row.number(key)?,
        least.clone(),
        ACTION,
    );
    let named = row.number("R_opt")?;
    let place = row.path_of("R_opt");
    report.compare_result("best relief", place.clone(), named, relief, BEST_RELIEF);
    let costs = named.map(|r| at(r).and_then(|a| least.map(|l| a - l)));
    if let Some(costs) = costs {
        let quantity = "best relief, what the file's costs";
        report.compare_result(quantity, place, Some(0.0), costs, ACTION);
    }
    check_against_ideal(&row, swing, report)?;
    for key in ["string", "B0", "T", "periods"] {
        row.remark(key);
    }
    row.finish(report);
    Ok(())
}

fn relief_of(table: &Fields<'_>, name: &str) -> Result<f64, Unreadable> {
    name.parse().map_err(|_| table.wrong(name, "a relief in mm as the name"))
}

/// How far the swing departs from the closed forms, at the compared frets.
fn check_against_ideal(
    row: &Fields<'_>,
    swing: &Swing,
    report: &mut Report,
) -> Result<(), Unreadable> {
    type Measure = fn(&[(f64, f64)]) -> f64;
    let largest: Measure = |pairs| pairs.iter().map(|(d, i)| d / i).fold(0.0, f64::max);
    let rms: Measure = |pairs| {
        let square: f64 = pairs.iter().map(|(d, i)| (d / i - 1.0).powi(2)).sum();
        (square / pairs.len() as f64).sqrt()
    };
    let next: Measure = |pairs| pairs.first().map_or(f64::NAN, |(d, i)| d / i - 1.0);
    for (key, direction, measure) in [
        ("kappa_vs_max_tri_sine", PluckDirection::TowardBoard, largest),
        ("away_rms_vs_mirror", PluckDirection::AwayFromBoard, rms),
        ("away_next_fret_err", PluckDirection::AwayFromBoard, next),
    ] {
        for (expected, m) in row.numbers(key)?.into_iter().zip(COMPARED) {
            let computed = swing.against_ideal(m, direction).map(|pairs| measure(&pairs));
            let place = format!("{}, stopped at {m}", row.path_of(key));
            report.compare_result(format!("swing, {key}"), place, Some(expected), computed, PART);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = include_str!("data/pluck.json");

    #[test]
    fn the_file_in_the_repository_is_reproduced() {
        let (form, report) = crate::check_text(FILE).expect("readable");
        assert_eq!(form, "pluck");
        assert!(!report.failed(), "{report}");
        assert!(report.unchecked().is_empty(), "{report}");
        assert!(report.compared() > 300, "{report}");
    }

    #[test]
    fn without_the_grid_forces_keep_the_tolerance_and_actions_nearly() {
        let value = serde_json::from_str(FILE).expect("JSON");
        let mut report = Report::default();
        check_file(&Fields::new("", &value).expect("object"), None, &mut report).expect("inputs");
        for (quantity, row) in report.rows() {
            let limit = match quantity.as_str() {
                "force F_toward" | "force F_away" => 0.03,
                "action at a relief" | "least action" => 0.05,
                _ => continue,
            };
            assert!(row.worst <= limit, "{quantity}: {report}");
        }
    }
}
