//! The models beside measured instruments and a maker's chart. Values and sources stand in
//! `reference/data/published.json`.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may fail in this way")]

use fallaway_mechanics::neck::{NeckLine, ReliefWay};
use fallaway_mechanics::stiff_string::{inharmonicity_from_partial, partial_cents};
use fallaway_mechanics::string_line::{GapPlace, NutReading, StringLine};
use fallaway_mechanics::strings::{Construction, tension, unit_mass};
use fallaway_mechanics::units::{as_mm, inches, mm};
use serde_json::Value;
use uom::si::f64::Frequency;
use uom::si::force::newton;
use uom::si::frequency::hertz;

fn published(quantity: &str) -> Value {
    let all: Vec<Value> =
        serde_json::from_str(include_str!("reference/data/published.json")).unwrap();
    all.into_iter().find(|one| one["quantity"] == quantity).unwrap()["value"].take()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
}

/// Each partial of the measured G string stands where the stiff string with the published
/// inharmonicity puts it, within the 5 cents by which body and string move the lowest ones.
#[test]
fn partials_of_a_measured_bass_string() {
    let hz =
        numbers(&published("electric bass G string: partials 1 to 8 Hz, their decays 1/s")["hz"]);
    let b = published("electric bass G string: scale m, tension N, mass kg/m, inharmonicity");
    let b = b["B"].as_f64().unwrap();
    for (q, f) in (1_u32..).zip(&hz).skip(1) {
        let measured = 1200.0 * (f / (f64::from(q) * hz[0])).log2();
        assert!((measured - partial_cents(b, q).unwrap()).abs() < 5.0, "{q}: {measured}");
    }
    // The eighth alone, against the fundamental, is too near to it to tell stiffness from body.
    let eighth = 1200.0 * (hz[7] / (8.0 * hz[0])).log2();
    assert!(inharmonicity_from_partial(eighth, 8).unwrap() > b);
}

/// Of the 20 crowns of that bass: from the relief, one action and the nut the model gives every other
/// gap of the open string. What it is off by is its own term.
#[test]
fn conversions_on_a_measured_neck() {
    let gaps =
        numbers(&published("electric bass: gaps of the open G string over frets 1 to 20, mm"));
    // Heights of the crowns under the open string, from the nut's end.
    let x = |fret: usize| 863.0 * (1.0 - 2_f64.powf(-(fret as f64) / 12.0));
    let chord = |fret: usize| {
        let part = (x(fret) - x(1)) / (x(20) - x(1));
        gaps[fret - 1] - gaps[0] - part * (gaps[19] - gaps[0])
    };
    let relief = (2..20).map(chord).fold(0.0, f64::max);
    assert!((relief - 0.553).abs() < 0.001, "{relief}");
    // Stopped at 1 the string comes down by the first gap, in proportion to what is left of the scale.
    let over_20 = gaps[19] - gaps[0] * (863.0 - x(20)) / (863.0 - x(1));
    let off = |joint: f64| {
        let neck = NeckLine::new(mm(863.0), 20, joint)
            .unwrap()
            .with_relief(mm(relief), ReliefWay::largest(20))
            .unwrap();
        let nut = NutReading::OpenOver1(mm(gaps[0]));
        let place = GapPlace::stopped_at_1_over(20);
        let line = StringLine::from_readings(neck, mm(0.0), place, mm(over_20), nut).unwrap();
        let off: Vec<f64> =
            (2..20).map(|f| as_mm(line.gap(GapPlace::new(0, f)).unwrap()) - gaps[f - 1]).collect();
        (off.iter().map(|d| d * d).sum::<f64>() / off.len() as f64).sqrt()
    };
    let found = [12.0, 14.0, 16.0].map(off);
    assert!(found.iter().all(|rms| *rms < 0.08), "{found:?}");
}

/// Wound strings by their outer diameter alone, on 34 in: each tension of the chart lies within twice the
/// uncertainty that is stated.
#[test]
fn tensions_of_a_makers_wound_strings() {
    let chart = published("tension of wound bass strings on 34 in, N");
    for (name, gauge, hz) in [
        ("G .045", 0.045, 97.999),
        ("D .065", 0.065, 73.416),
        ("E .105", 0.105, 41.203),
        ("B .130", 0.130, 30.868),
    ] {
        let made = Construction::WoundGauge { diameter: inches(gauge) };
        let mass = unit_mass(&made).unwrap().value;
        let found = tension(mass, inches(34.0), Frequency::new::<hertz>(hz)).unwrap();
        let printed = chart[name].as_f64().unwrap();
        let off = found.value.get::<newton>() - printed;
        assert!(off.abs() < 2.0 * found.standard_uncertainty.get::<newton>(), "{name}: {off}");
    }
}
