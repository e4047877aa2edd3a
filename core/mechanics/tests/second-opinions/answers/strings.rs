//! Notes, tension, mass, moisture, intonation.

use fallaway_mechanics::Uncertain;
use fallaway_mechanics::intonation::{
    Adjust, Aim, IntonationModel, IntonationReading, SaddleTravel, StiffnessFollows,
    predict_set_back, predicted_cents, solve_from_readings,
};
use fallaway_mechanics::pitch::{self, Note as Name, Spelling};
use fallaway_mechanics::stiff_string::EndsHeld;
use fallaway_mechanics::strings::tension::{STANDARD_GRAVITY_IN, tension_lbf};
use fallaway_mechanics::strings::{self as mechanics, Construction, Layer};
use fallaway_mechanics::units::{as_mm, inches, mm};
use fallaway_mechanics::wood::equilibrium_moisture;
use serde::Deserialize;
use serde_json::json;
use uom::si::f64::{Frequency, LinearMassDensity, MassDensity, Ratio, ThermodynamicTemperature};
use uom::si::force::{newton, pound_force};
use uom::si::frequency::hertz;
use uom::si::linear_mass_density::{kilogram_per_meter, pound_per_inch};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::ratio::percent;
use uom::si::thermodynamic_temperature::degree_celsius;

use crate::Answer;

/// A note by its name.
#[derive(Deserialize)]
pub struct Note {
    name: String,
    a4: f64,
}

pub fn note(question: &Note) -> Answer {
    let note: Name = question.name.parse()?;
    let frequency = pitch::frequency(note, Frequency::new::<hertz>(question.a4))?;
    Ok(json!({
        "name": note.to_string(),
        "number": note.number(),
        "hz": frequency.get::<hertz>(),
    }))
}

/// The note nearest to a frequency.
#[derive(Deserialize)]
pub struct Nearest {
    hz: f64,
    a4: f64,
    flats: bool,
}

pub fn nearest(question: &Nearest) -> Answer {
    let spelling = if question.flats { Spelling::Flats } else { Spelling::Sharps };
    let a4 = Frequency::new::<hertz>(question.a4);
    let (note, cents) = pitch::nearest(Frequency::new::<hertz>(question.hz), a4, spelling)?;
    Ok(json!({ "name": note.to_string(), "number": note.number(), "cents": cents }))
}

/// Tension from an imperial unit weight.
#[derive(Deserialize)]
pub struct Tension {
    lb_per_in: f64,
    length_in: f64,
    hz: f64,
}

pub fn tension(question: &Tension) -> Answer {
    let mass = LinearMassDensity::new::<pound_per_inch>(question.lb_per_in);
    let length = inches(question.length_in);
    let frequency = Frequency::new::<hertz>(question.hz);
    let si = mechanics::tension(Uncertain::exact(mass), length, frequency)?.value;
    let imperial =
        tension_lbf(question.lb_per_in, question.length_in, question.hz, STANDARD_GRAVITY_IN)?;
    let back = mechanics::mass_for_tension(si, length, frequency)?;
    Ok(json!({
        "newton": si.get::<newton>(),
        "lbf": si.get::<pound_force>(),
        "lbf_by_unit_weight": imperial,
        "kg_per_m": mass.get::<kilogram_per_meter>(),
        "lb_per_in_back": back.get::<pound_per_inch>(),
    }))
}

/// A string's mass from how it is made: densities in kg/m3; each layer a wire and its density.
#[derive(Deserialize)]
pub struct UnitMass {
    core: f64,
    density: f64,
    layers: Vec<(f64, f64)>,
}

pub fn unit_mass(question: &UnitMass) -> Answer {
    let density = MassDensity::new::<kilogram_per_cubic_meter>;
    let construction = if question.layers.is_empty() {
        Construction::Plain { diameter: mm(question.core), density: density(question.density) }
    } else {
        Construction::RoundWound {
            core: mm(question.core),
            core_density: density(question.density),
            layers: question
                .layers
                .iter()
                .map(|(wire, rho)| Layer { wire: mm(*wire), density: density(*rho) })
                .collect(),
        }
    };
    let mass = mechanics::unit_mass(&construction)?.value.value;
    Ok(json!({ "kg_per_m": mass.get::<kilogram_per_meter>() }))
}

/// Air of a temperature (C) and relative humidity (%).
#[derive(Deserialize)]
pub struct Moisture {
    celsius: f64,
    percent: f64,
}

pub fn moisture(question: &Moisture) -> Answer {
    let content = equilibrium_moisture(
        ThermodynamicTemperature::new::<degree_celsius>(question.celsius),
        Ratio::new::<percent>(question.percent),
    )?;
    Ok(json!({ "percent": content.get::<percent>() }))
}

/// Readings in cents: fret, value, standard uncertainty.
#[derive(Deserialize)]
pub struct Intonation {
    scale: f64,
    readings: Vec<(u32, f64, f64)>,
    nut: bool,
    /// Travel toward the nut and away from it.
    travel: Option<(f64, f64)>,
}

pub fn intonation(question: &Intonation) -> Answer {
    let readings = question
        .readings
        .iter()
        .map(|(fret, cents, u)| {
            Ok(IntonationReading { fret: *fret, cents: Uncertain::new(*cents, *u)? })
        })
        .collect::<fallaway_mechanics::Result<Vec<_>>>()?;
    let adjust = if question.nut { Adjust::SaddleAndNut } else { Adjust::Saddle };
    let travel = question
        .travel
        .map(|(toward, away)| SaddleTravel { toward_nut: mm(toward), away_from_nut: mm(away) });
    let solved = solve_from_readings(mm(question.scale), &readings, adjust, travel)?;
    let pair =
        |e: Uncertain<fallaway_measure::Length>| [as_mm(e.value), as_mm(e.standard_uncertainty)];
    Ok(json!({
        "saddle": pair(solved.saddle),
        "nut": solved.nut.map(pair),
        "travel_ended": solved.travel_ended,
        "left_over": solved.left_over.iter().map(|l| l.cents).collect::<Vec<_>>(),
        "rms": solved.rms_cents,
    }))
}

/// A predicted set-back; saddle and nut up to a fret, or the saddle alone for one.
#[derive(Deserialize)]
pub struct SetBack {
    scale: f64,
    nut_height: f64,
    saddle_rise: f64,
    kappa: f64,
    b: f64,
    ends: String,
    by_length_only: bool,
    fret: u32,
    with_nut: bool,
}

pub fn ends(name: &str) -> Result<EndsHeld, &'static str> {
    match name {
        "pp" => Ok(EndsHeld::PinnedPinned),
        "cp" => Ok(EndsHeld::ClampedPinned),
        "cc" => Ok(EndsHeld::ClampedClamped),
        _ => Err("no such ends"),
    }
}

pub fn set_back(question: &SetBack) -> Answer {
    let model = IntonationModel {
        scale: mm(question.scale),
        nut_height: mm(question.nut_height),
        saddle_rise: mm(question.saddle_rise),
        tension_per_stretch: question.kappa,
        stiffness_ratio: question.b,
        ends: ends(&question.ends)?,
        stiffness_follows: if question.by_length_only {
            StiffnessFollows::Length
        } else {
            StiffnessFollows::LengthAndTension
        },
    };
    let aim = if question.with_nut {
        Aim::SaddleAndNutUpTo(question.fret)
    } else {
        Aim::SaddleForFret(question.fret)
    };
    let solved = predict_set_back(&model, aim)?;
    let drawn = (1..=question.fret)
        .map(|fret| predicted_cents(&model, mm(0.0), mm(0.0), fret))
        .collect::<fallaway_mechanics::Result<Vec<_>>>()?;
    Ok(json!({
        "saddle": as_mm(solved.saddle),
        "nut": as_mm(solved.nut),
        "left_over": solved.left_over,
        "drawn": drawn,
    }))
}
