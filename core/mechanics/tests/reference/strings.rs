//! Form "strings": notes, tension, mass per length, stiff strings, intonation, moisture, threads.
//!
//! Tolerances: 1e-4 relative; lengths in mm and cents below 1 are compared to 1e-4 absolute, because
//! the files print four decimals. Fields named `published` are printed values of other people and
//! get the width of their rounding; fields named `recalled` are from memory and get 0.1.
//!
//! Inputs that this form leaves out are those of its sources: the guitar of Anderson and Beausoleil
//! (650 mm, string 1 mm over the crowns at the nut, saddle 4 mm higher), steel of 7850 kg/m3, and
//! 200 GPa for the core of `steel_cases`.

use std::f64::consts::PI;

use fallaway_mechanics::intonation::{
    Aim, IntonationModel, StiffnessFollows, predict_set_back, predicted_cents, stretch_when_pressed,
};
use fallaway_mechanics::pitch::{Note, frequency};
use fallaway_mechanics::screws::Thread;
use fallaway_mechanics::stiff_string::{
    EndsHeld, inharmonicity_from_partial, inharmonicity_of, ratio_exact, ratio_formula,
};
use fallaway_mechanics::strings::construction::outer_diameter;
use fallaway_mechanics::strings::tension::{
    PRINTED_TABLE_GRAVITY_IN, STANDARD_GRAVITY_IN, tension, tension_lbf,
};
use fallaway_mechanics::strings::{Construction, Layer, steel_density, unit_mass};
use fallaway_mechanics::units::{as_mm, inches, mm};
use fallaway_mechanics::wood::equilibrium_moisture;
use fallaway_mechanics::{Error, Uncertain};
use uom::si::f64::{
    Frequency, Length, LinearMassDensity, MassDensity, Ratio, ThermodynamicTemperature,
};
use uom::si::force::newton;
use uom::si::frequency::hertz;
use uom::si::length::meter;
use uom::si::linear_mass_density::{kilogram_per_meter, pound_per_inch};
use uom::si::mass_density::pound_per_cubic_inch;
use uom::si::ratio::percent;
use uom::si::thermodynamic_temperature::degree_celsius;

use crate::fields::Fields;
use crate::form::Form;
use crate::{Report, Tolerance, Unreadable};

const RELATIVE: Tolerance = Tolerance::Relative { part: 1e-4, floor: 0.0 };
const TO_1E4: Tolerance = Tolerance::Relative { part: 1e-4, floor: 1.0 };
const PRINTED_TENSION: Tolerance = Tolerance::Relative { part: 2e-3, floor: 0.0 };
const HUNDREDTH_MM: Tolerance = Tolerance::Absolute(0.01, "mm");
const THOUSANDTH_CENT: Tolerance = Tolerance::Absolute(1e-3, "cents");
const TENTH_PERCENT: Tolerance = Tolerance::Absolute(0.1, "% moisture");
const EXACT: Tolerance = Tolerance::Absolute(0.0, "1");

const SECTIONS: [&str; 11] = [
    "midi",
    "tension",
    "plain_steel",
    "round_wound",
    "stiff_string_f1_ratio",
    "emc_21p1C",
    "iso724",
    "unc",
    "kemp2020_B_from_abstract",
    "two_ended_compensation",
    "steel_cases",
];

/// The form.
#[derive(Debug)]
pub struct Strings;

impl Form for Strings {
    fn name(&self) -> &'static str {
        "strings"
    }

    fn recognises(&self, file: &Fields<'_>) -> bool {
        file.keys().any(|key| SECTIONS.contains(&key) || key.starts_with("emc_"))
    }

    fn check(&self, file: &Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
        file.remark("about");
        file.remark("wound_note");
        if let Some(notes) = file.object("midi")? {
            check_notes(&notes, report)?;
        }
        for case in file.objects("tension")? {
            check_tension(case, report)?;
        }
        for case in file.objects("plain_steel")? {
            check_plain(case, report)?;
        }
        for case in file.objects("round_wound")? {
            check_wound(case, report)?;
        }
        for case in file.objects("stiff_string_f1_ratio")? {
            check_stiff(case, report)?;
        }
        for key in file.keys().filter(|k| k.starts_with("emc_")) {
            check_moisture(file, key, report)?;
        }
        if let Some(threads) = file.object("iso724")? {
            check_metric(&threads, report)?;
        }
        if let Some(threads) = file.object("unc")? {
            check_unified(&threads, report)?;
        }
        if let Some(statements) = file.object("kemp2020_B_from_abstract")? {
            check_partials(&statements, report)?;
        }
        for case in file.objects("two_ended_compensation")? {
            check_nylon(case, report)?;
        }
        for case in file.objects("steel_cases")? {
            check_steel(case, report)?;
        }
        Ok(())
    }
}

fn kg(value: LinearMassDensity) -> f64 {
    value.get::<kilogram_per_meter>()
}

fn check_notes(notes: &Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    for key in notes.keys() {
        let entry = notes.need_object(key)?;
        let note = key.parse::<Note>().map_err(|e| e.to_string());
        let number = note.clone().map(|n| f64::from(n.number()));
        report.compare_result(
            "note number",
            entry.path_of("note"),
            entry.number("note")?,
            number,
            EXACT,
        );
        let hz = note.and_then(|n| {
            frequency(n, Frequency::new::<hertz>(440.0))
                .map(|f| f.get::<hertz>())
                .map_err(|e| e.to_string())
        });
        report.compare_result(
            "note frequency",
            entry.path_of("hz"),
            entry.number("hz")?,
            hz,
            RELATIVE,
        );
        entry.finish(report);
    }
    Ok(())
}

fn check_tension(case: Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    case.remark("case");
    let hz = case.need_number("f")?;
    let weight = case.number("uw_lb_per_in")?;
    let mu = case.number("mu_kg_m")?;
    let mass = match (weight, mu) {
        (Some(pounds), _) => LinearMassDensity::new::<pound_per_inch>(pounds),
        (None, Some(mu)) => LinearMassDensity::new::<kilogram_per_meter>(mu),
        (None, None) => return Err(case.wrong("mu_kg_m", "a mass per length")),
    };
    if weight.is_some() {
        let computed = Ok::<_, Error>(kg(mass));
        report.compare_result("mass per length", case.path_of("mu_kg_m"), mu, computed, RELATIVE);
    }
    let pull = |length: Length| {
        tension(Uncertain::exact(mass), length, Frequency::new::<hertz>(hz))
            .map(|t| t.value.get::<newton>())
    };
    let length_in = case.number("L_in")?;
    let length = match (case.number("L_m")?, length_in) {
        (Some(m), _) => Length::new::<meter>(m),
        (None, Some(inch)) => inches(inch),
        (None, None) => return Err(case.wrong("L_m", "a length")),
    };
    report.compare_result(
        "tension",
        case.path_of("T_N"),
        case.number("T_N")?,
        pull(length),
        RELATIVE,
    );
    let key = "T_N_L25p5in";
    report.compare_result(
        "tension",
        case.path_of(key),
        case.number(key)?,
        pull(inches(25.5)),
        RELATIVE,
    );
    let key = "published_T_N";
    report.compare_result(
        "tension, printed",
        case.path_of(key),
        case.number(key)?,
        pull(length),
        PRINTED_TENSION,
    );
    for (key, gravity) in
        [("T_lbf", STANDARD_GRAVITY_IN), ("T_lbf_with_386p4", PRINTED_TABLE_GRAVITY_IN)]
    {
        let pounds = mass.get::<pound_per_inch>();
        let inch = length_in.unwrap_or(as_mm(length) / 25.4);
        let computed = tension_lbf(pounds, inch, hz, gravity);
        report.compare_result(
            "tension, lbf",
            case.path_of(key),
            case.number(key)?,
            computed,
            RELATIVE,
        );
    }
    case.finish(report);
    Ok(())
}

fn check_plain(case: Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    let diameter = inches(case.need_number("d_in")?);
    let of = |density| unit_mass(&Construction::Plain { diameter, density }).map(|m| m.value.value);
    let pounds = |density| {
        of(MassDensity::new::<pound_per_cubic_inch>(density)).map(|m| m.get::<pound_per_inch>())
    };
    let steel = of(steel_density());
    let quantity = "mass per length, plain";
    for (key, computed) in [
        ("mu_kg_m_rho7850", steel.clone().map(kg)),
        ("uw_lb_in_rho7850", steel.map(|m| m.get::<pound_per_inch>())),
        ("uw_lb_in_0p284", pounds(0.284)),
        ("uw_lb_in_0p2820", pounds(0.2820)),
    ] {
        report.compare_result(quantity, case.path_of(key), case.number(key)?, computed, RELATIVE);
    }
    case.finish(report);
    Ok(())
}

fn check_wound(case: Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    case.remark("case");
    let layers = case
        .numbers("wraps_in")?
        .into_iter()
        .map(|w| Layer { wire: inches(w), density: steel_density() })
        .collect();
    let core = inches(case.need_number("core_in")?);
    let string = Construction::RoundWound { core, core_density: steel_density(), layers };
    let mass = unit_mass(&string).map(|m| m.value.value);
    let outer = outer_diameter(&string).map_or(0.0, |d| d.get::<meter>());
    let cylinder = mass.clone().map(|m| kg(m) / (PI / 4.0 * outer * outer));
    let quantity = "mass per length, wound";
    for (key, computed) in [
        ("mu_kg_m", mass.clone().map(kg)),
        ("uw_lb_in", mass.map(|m| m.get::<pound_per_inch>())),
        ("outer_d_in", Ok(outer * 1e3 / 25.4)),
        ("mean_density_of_full_cylinder", cylinder),
    ] {
        report.compare_result(quantity, case.path_of(key), case.number(key)?, computed, RELATIVE);
    }
    case.finish(report);
    Ok(())
}

fn check_stiff(case: Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    let b = case.need_number("B")?;
    for (ends, exact, formula) in [
        (EndsHeld::PinnedPinned, "pp", "pp_formula"),
        (EndsHeld::ClampedPinned, "cp", "cp_formula_1_plus_B"),
        (EndsHeld::ClampedClamped, "cc", "cc_formula_1_plus_2B"),
    ] {
        // A ratio near 1 tells nothing to 1e-4: what it exceeds 1 by is compared.
        let above = |r: f64| r - 1.0;
        for (key, computed) in
            [(exact, ratio_exact(b, 1, ends)), (formula, ratio_formula(b, 1, ends))]
        {
            report.compare_result(
                "stiff string, f1 ratio less 1",
                case.path_of(key),
                case.number(key)?.map(above),
                computed.map(above),
                Tolerance::Relative { part: 1e-4, floor: 2e-5 },
            );
        }
    }
    case.finish(report);
    Ok(())
}

/// `emc_21p1C`: moisture at the temperature that the key names.
fn check_moisture(file: &Fields<'_>, key: &str, report: &mut Report) -> Result<(), Unreadable> {
    let celsius: f64 = key
        .trim_start_matches("emc_")
        .trim_end_matches('C')
        .replace('p', ".")
        .parse()
        .map_err(|_| file.wrong(key, "a temperature in the name, as in emc_21p1C"))?;
    // 70 F is 21.11 C; the name carries one decimal.
    let celsius = if celsius == 21.1 { (70.0 - 32.0) / 1.8 } else { celsius };
    let table = file.need_object(key)?;
    for humidity in table.keys() {
        let entry = table.need_object(humidity)?;
        let value: f64 = humidity
            .parse()
            .map_err(|_| table.wrong(humidity, "a relative humidity in percent as the name"))?;
        let m = equilibrium_moisture(
            ThermodynamicTemperature::new::<degree_celsius>(celsius),
            Ratio::new::<percent>(value),
        )
        .map(|m| m.get::<percent>());
        report.compare_result(
            "moisture, equation",
            entry.path_of("eq"),
            entry.number("eq")?,
            m.clone(),
            RELATIVE,
        );
        report.compare_result(
            "moisture, table from memory",
            entry.path_of("table_recalled"),
            entry.number("table_recalled")?,
            m,
            TENTH_PERCENT,
        );
        entry.finish(report);
    }
    Ok(())
}

fn check_metric(threads: &Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    for key in threads.keys() {
        let entry = threads.need_object(key)?;
        let thread = Thread::named(key);
        let part = |of: fn(Thread) -> Option<Length>| {
            thread.clone().map(|t| of(t).map_or(f64::NAN, as_mm))
        };
        for (name, computed) in [
            ("pitch", part(|t| Some(t.pitch()))),
            ("d2", part(Thread::pitch_diameter)),
            ("d1", part(Thread::minor_diameter)),
            ("advance_quarter_turn_mm", part(|t| Some(t.pitch() / 4.0))),
        ] {
            let place = entry.path_of(name);
            report.compare_result("threads", place, entry.number(name)?, computed, RELATIVE);
        }
        entry.finish(report);
    }
    Ok(())
}

fn check_unified(threads: &Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    for key in threads.keys() {
        let entry = threads.need_object(key)?;
        let tpi = entry.need_number("tpi")?;
        let size = key.split_whitespace().next().unwrap_or(key);
        let name = if size.contains('-') { size.to_owned() } else { format!("{size}-{tpi}") };
        let pitch = Thread::named(&name).map(|t| as_mm(t.pitch()));
        let key = "pitch_mm";
        report.compare_result("threads", entry.path_of(key), entry.number(key)?, pitch, RELATIVE);
        entry.finish(report);
    }
    Ok(())
}

/// "12th fret: 100 cents at partial 10": the numbers of the statement give B of the open string.
fn check_partials(statements: &Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    statements.remark("meaning");
    for key in statements.keys().filter(|k| *k != "meaning") {
        let numbers: Vec<u32> =
            key.split(|c: char| !c.is_ascii_digit()).filter_map(|w| w.parse().ok()).collect();
        let [fret, cents, q] = numbers[..] else {
            return Err(statements.wrong(key, "a fret, cents and a partial in the name"));
        };
        let open = inharmonicity_from_partial(f64::from(cents), q)
            .map(|b| b / (f64::from(fret) / 6.0).exp2());
        let place = statements.path_of(key);
        let expected = statements.number(key)?;
        report.compare_result("inharmonicity, open string", place, expected, open, RELATIVE);
    }
    Ok(())
}

fn check_nylon(case: Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    case.remark("string");
    let model = IntonationModel {
        scale: mm(case.number("X0_mm")?.unwrap_or(650.0)),
        nut_height: mm(case.number("b_mm")?.unwrap_or(1.0)),
        saddle_rise: mm(case.number("c_mm")?.unwrap_or(4.0)),
        tension_per_stretch: case.need_number("kappa")?,
        stiffness_ratio: case.need_number("B0")?,
        ends: EndsHeld::ClampedPinned,
        stiffness_follows: StiffnessFollows::Length,
    };
    let found = predict_set_back(&model, Aim::SaddleAndNutUpTo(12));
    let saddle = found.clone().map(|s| as_mm(s.saddle));
    let nut = found.clone().map(|s| as_mm(s.nut));
    let rms = found.clone().map(|s| s.rms_cents);
    let rms_open = found.map(|s| s.rms_with_open_cents);
    for (key, quantity, computed) in [
        ("dS", "set-back, saddle", saddle.clone()),
        ("dN", "set-back, nut", nut.clone()),
        ("rms_cents_frets_1_12", "set-back, rms", rms),
        ("rms_cents_frets_0_12", "set-back, rms", rms_open.clone()),
    ] {
        report.compare_result(quantity, case.path_of(key), case.number(key)?, computed, TO_1E4);
    }
    if let Some(printed) = case.object("published")? {
        for (key, computed, tolerance) in [
            ("dS", saddle, HUNDREDTH_MM),
            ("dN", nut, HUNDREDTH_MM),
            ("rms", rms_open, THOUSANDTH_CENT),
        ] {
            report.compare_result(
                format!("set-back, printed {key}"),
                printed.path_of(key),
                printed.number(key)?,
                computed,
                tolerance,
            );
        }
        printed.finish(report);
    }
    if let Some(other) = case.object("with_Bn_reduced_by_tension")? {
        let follows = StiffnessFollows::LengthAndTension;
        compare_fit(&IntonationModel { stiffness_follows: follows, ..model }, other, report)?;
    }
    let key = "uncompensated_cents_1_5_7_12";
    for (fret, expected) in [1, 5, 7, 12].into_iter().zip(case.numbers(key)?) {
        let computed = predicted_cents(&model, mm(0.0), mm(0.0), fret);
        let place = format!("{}, fret {fret}", case.path_of(key));
        report.compare_result("cents without set-back", place, Some(expected), computed, TO_1E4);
    }
    case.finish(report);
    Ok(())
}

/// `dS`, `dN`, `rms` of the least-squares set-back over frets 1 to 12.
fn compare_fit(
    model: &IntonationModel,
    fields: Fields<'_>,
    report: &mut Report,
) -> Result<(), Unreadable> {
    let found = predict_set_back(model, Aim::SaddleAndNutUpTo(12));
    for (key, quantity, computed) in [
        ("dS", "set-back, saddle", found.clone().map(|s| as_mm(s.saddle))),
        ("dN", "set-back, nut", found.clone().map(|s| as_mm(s.nut))),
        ("rms", "set-back, rms", found.map(|s| s.rms_cents)),
    ] {
        let place = fields.path_of(key);
        report.compare_result(quantity, place, fields.number(key)?, computed, TO_1E4);
    }
    fields.finish(report);
    Ok(())
}

/// Young's modulus that `steel_cases` takes for a core.
const CORE_PASCAL: f64 = 200e9;

fn check_steel(case: Fields<'_>, report: &mut Report) -> Result<(), Unreadable> {
    let scale = case.need_number("L_mm")?;
    let mass = LinearMassDensity::new::<kilogram_per_meter>(case.need_number("mu")?);
    let hz = Frequency::new::<hertz>(case.need_number("f")?);
    let pull = tension(Uncertain::exact(mass), mm(scale), hz).map(|t| t.value.get::<newton>());
    report.compare_result(
        "tension",
        case.path_of("T_N"),
        case.number("T_N")?,
        pull.clone(),
        RELATIVE,
    );
    let t = pull.unwrap_or(f64::NAN);

    // The core stands in the case's name, ".. core .017in"; else the file's own products are inputs.
    let core: Option<f64> = case
        .text("case")
        .split("core ")
        .nth(1)
        .and_then(|rest| rest.split("in").next())
        .and_then(|number| number.trim().parse().ok());
    let (mut ea, mut ei) = (case.number("EA_N")?, case.number("EI_Nm2")?);
    if let Some(d) = core.map(|inch| inch * 0.0254) {
        let area = PI / 4.0 * d * d;
        for (key, file, computed) in [
            ("EA_N", &mut ea, CORE_PASCAL * area),
            ("EI_Nm2", &mut ei, CORE_PASCAL * area * d * d / 16.0),
        ] {
            let place = case.path_of(key);
            report.compare_result("core", place, *file, Ok::<_, Error>(computed), RELATIVE);
            *file = Some(computed);
        }
    }
    let (Some(ea), Some(ei)) = (ea, ei) else {
        return Err(case.wrong("EA_N", "stiffness of the core, or its diameter in the case's name"));
    };
    let (kappa, b) = (ea / t, (ei / t).sqrt() / (scale / 1e3));
    for (key, computed) in
        [("kappa_EA_over_T", kappa), ("B_sqrt", b), ("B_inharm", inharmonicity_of(b))]
    {
        let place = case.path_of(key);
        report.compare_result("core", place, case.number(key)?, Ok::<_, Error>(computed), RELATIVE);
    }
    let of = |ends| IntonationModel {
        scale: mm(scale),
        nut_height: mm(case.number("b_mm").ok().flatten().unwrap_or(0.5)),
        saddle_rise: mm(case.number("c_mm").ok().flatten().unwrap_or(3.0)),
        tension_per_stretch: kappa,
        stiffness_ratio: b,
        ends,
        stiffness_follows: StiffnessFollows::LengthAndTension,
    };
    for (key, ends) in [
        ("pp", EndsHeld::PinnedPinned),
        ("cp", EndsHeld::ClampedPinned),
        ("cc", EndsHeld::ClampedClamped),
    ] {
        let Some(part) = case.object(key)? else { continue };
        let model = of(ends);
        if let Some(table) = part.object("cents_uncomp")? {
            for name in table.keys() {
                let fret: u32 =
                    name.parse().map_err(|_| table.wrong(name, "a fret as the name"))?;
                let computed = predicted_cents(&model, mm(0.0), mm(0.0), fret);
                let place = table.path_of(name);
                let expected = table.number(name)?;
                report.compare_result("cents without set-back", place, expected, computed, TO_1E4);
            }
        }
        let key = "saddle_only_zero_at_12_mm";
        let alone = predict_set_back(&model, Aim::SaddleForFret(12)).map(|s| as_mm(s.saddle));
        let expected = part.number(key)?;
        report.compare_result("set-back, saddle alone", part.path_of(key), expected, alone, TO_1E4);
        if let Some(fit) = part.object("lsq_1_12")? {
            compare_fit(&model, fit, report)?;
        }
        part.finish(report);
    }
    if let Some(table) = case.object("stretch_ratio_Q")? {
        for name in table.keys() {
            let fret: u32 = name.parse().map_err(|_| table.wrong(name, "a fret as the name"))?;
            let q = stretch_when_pressed(&of(EndsHeld::PinnedPinned), fret);
            report.compare_result("stretch", table.path_of(name), table.number(name)?, q, RELATIVE);
        }
    }
    case.finish(report);
    Ok(())
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_file_in_the_repository_is_reproduced() {
        let (form, report) =
            crate::check_text(include_str!("data/strings.json")).expect("readable");
        assert_eq!(form, "strings");
        assert!(!report.failed(), "{report}");
        assert!(report.unchecked().is_empty(), "{report}");
        assert!(report.compared() > 200, "{report}");
    }

    #[test]
    fn wrong_numbers_are_noticed() {
        let text = r#"{"midi": {"A4": {"note": 69, "hz": 432.0}}}"#;
        assert!(crate::check_text(text).expect("readable").1.failed());
        let text = r#"{"midi": {"A4": {"note": 69, "hz": 440.0, "colour": 3}}}"#;
        let report = crate::check_text(text).expect("readable").1;
        assert!(!report.failed());
        assert_eq!(report.unchecked(), ["/midi/A4/colour"]);
    }
}
