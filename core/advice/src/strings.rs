//! What a string weighs, pulls and how stiff it is, by what the record knows of it.

use fallaway_measure::{Amount, Decimal, StringPlace, Unit};
use fallaway_mechanics::stiff_string::inharmonicity;
use fallaway_mechanics::strings::guards::stress_limit;
use fallaway_mechanics::strings::{
    Construction, MassBasis, plain_stress, steel_density, steel_modulus, tension, unit_mass,
};
use fallaway_mechanics::units::{as_mm, mm};
use fallaway_mechanics::{Error, Result, Uncertain};
use fallaway_record::InstrumentSpec;
use fallaway_record::spec::{StringConstruction, StringSpec, UnitWeight, UnitWeightUnit};
use uom::si::f64::{Force, Frequency, LinearMassDensity};
use uom::si::frequency::hertz;
use uom::si::linear_mass_density::kilogram_per_meter;

/// A plain steel string thicker than this is unusual: the third of a heavy set is wound. In mm, 0.022 in
/// (common practice, no source).
pub const PLAIN_MOST_MM: f64 = 0.56;
/// A wound steel string thinner than this is unusual. In mm, 0.017 in (common practice, no source).
pub const WOUND_LEAST_MM: f64 = 0.43;

/// How a steel string of this diameter in mm is made where nobody says so: like the one that it replaces,
/// but for a plain one thicker than [`PLAIN_MOST_MM`], taken as wound, and a wound one thinner than
/// [`WOUND_LEAST_MM`], taken as plain. `None` where the string before is unknown and both are made.
///
/// ```
/// use fallaway_advice::strings::usual_construction;
/// use fallaway_record::spec::StringConstruction::{Plain, RoundWound};
/// // The third string of a set from 13 to 56 thou, on a guitar whose third was plain.
/// assert_eq!(usual_construction(0.66, Some(Plain)), Some(RoundWound));
/// assert_eq!(usual_construction(0.43, Some(Plain)), Some(Plain));
/// assert_eq!(usual_construction(0.25, None), Some(Plain));
/// assert_eq!(usual_construction(0.50, None), None);
/// ```
pub fn usual_construction(
    diameter_mm: f64,
    before: Option<StringConstruction>,
) -> Option<StringConstruction> {
    use StringConstruction::{FlatWound, HalfWound, Plain, RoundWound};
    match before {
        Some(Plain) | None if diameter_mm > PLAIN_MOST_MM => Some(RoundWound),
        Some(RoundWound | HalfWound | FlatWound) | None if diameter_mm < WOUND_LEAST_MM => {
            Some(Plain)
        }
        other => other,
    }
}

/// How a string is made, as far as its mass can be worked out: the printed unit weight before
/// everything else, then the gauge of a plain or wound steel string. `None` if neither is written,
/// and for strings of polymer, whose density is not known.
///
/// ```
/// use fallaway_advice::strings::construction;
/// use fallaway_record::spec::StringSpec;
/// assert_eq!(construction(&StringSpec::default()), None);
/// ```
pub fn construction(string: &StringSpec) -> Option<Construction> {
    if let Some(kg_per_m) = string.unit_weight.and_then(UnitWeight::kilograms_per_metre) {
        return Some(Construction::UnitWeight(LinearMassDensity::new::<kilogram_per_meter>(
            kg_per_m,
        )));
    }
    let diameter = string.gauge.and_then(Amount::length)?;
    // What somebody said stands, however unusual.
    match string.construction.or_else(|| usual_construction(as_mm(diameter), None)) {
        Some(StringConstruction::Plain) => {
            Some(Construction::Plain { diameter, density: steel_density() })
        }
        Some(StringConstruction::Polymer) => None,
        _ => Some(Construction::WoundGauge { diameter }),
    }
}

/// As [`construction`], with the tension printed on the pack where no unit weight is: it is taken as
/// printed for this scale and note, so that the mass for length is `T / (2 L f)^2`.
fn construction_at(
    string: &StringSpec,
    scale: fallaway_measure::Length,
    hz: f64,
) -> Option<Construction> {
    packed(string, scale, hz)
        .and_then(UnitWeight::kilograms_per_metre)
        .map(|mass| Construction::UnitWeight(LinearMassDensity::new::<kilogram_per_meter>(mass)))
        .or_else(|| construction(string))
}

/// The mass for length that a pack's tension tells of, if no unit weight is written.
fn packed(string: &StringSpec, scale: fallaway_measure::Length, hz: f64) -> Option<UnitWeight> {
    let printed = string.pack_tension.filter(|_| string.unit_weight.is_none())?;
    let newtons = (printed.unit() == Unit::Newton).then(|| printed.number())?;
    let speed = 2.0 * as_mm(scale) / 1e3 * hz;
    // In thousandths of a gram a metre.
    let milligrams = (newtons / (speed * speed) * 1e6).round();
    let value = Decimal::new(milligrams as i64, 3).ok().filter(|_| milligrams >= 1.0)?;
    Some(UnitWeight { value, unit: UnitWeightUnit::GramPerMetre })
}

/// Writes the mass for length that a pack's tension tells of at the present note, before the note
/// changes.
pub(crate) fn weigh(spec: &InstrumentSpec, place: StringPlace) -> Option<StringSpec> {
    let string = spec.strings.get(&place)?;
    let hz = spec.tuning.get(&place)?.frequency_hz(spec.a4_hz());
    let weight = packed(string, spec.scale_of(place)?, hz)?;
    Some(StringSpec { unit_weight: Some(weight), ..string.clone() })
}

/// A string's pull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringTension {
    /// Its tension with its uncertainty.
    pub tension: Uncertain<Force>,
    /// Where its mass comes from.
    pub source: MassBasis,
}

/// The pull of a string as made, on a scale, at a frequency in Hz.
///
/// # Errors
/// As [`unit_mass`] and [`tension()`].
pub(crate) fn string_tension(
    made: &Construction,
    scale: fallaway_measure::Length,
    hz: f64,
) -> Result<StringTension> {
    let mass = unit_mass(made)?;
    let tension = tension(mass.value, scale, Frequency::new::<hertz>(hz))?;
    Ok(StringTension { tension, source: mass.basis })
}

/// The pull of a string of the instrument at its own note.
///
/// # Errors
/// [`Error::Missing`] if scale, note or gauge are not written, or outside what a string can have.
pub fn tension_of(spec: &InstrumentSpec, place: StringPlace) -> Result<StringTension> {
    let missing =
        |quantity| Error::Missing { quantity, needed_for: "to work out a string's tension" };
    let scale = spec.scale_of(place).ok_or(missing("scale length"))?;
    let note = spec.tuning.get(&place).ok_or(missing("note of the string"))?;
    let hz = note.frequency_hz(spec.a4_hz());
    let made = spec
        .strings
        .get(&place)
        .and_then(|string| construction_at(string, scale, hz))
        .ok_or(missing("gauge or unit weight of the string"))?;
    string_tension(&made, scale, hz)
}

/// Open-string inharmonicity assumed where nothing better is known, by the frequency in Hz: a power law
/// between two published strings of basses, the nearer of them beyond: 3.1e-4 of a B at 31 Hz (J. A. Kemp,
/// SN Applied Sciences 2:636 (2020), abstract) and 3.5e-5 of a G at 98 Hz (data of C. Issanchou and
/// others, Applied Acoustics 129 (2018) 217, as used in the repository siconos-tutorials).
///
/// ```
/// use fallaway_advice::strings::assumed_inharmonicity;
/// assert!((assumed_inharmonicity(30.868) - 3.1e-4).abs() < 1e-6);
/// assert!((assumed_inharmonicity(55.0) - 1.04e-4).abs() < 1e-6);
/// assert!((assumed_inharmonicity(196.0) - 3.5e-5).abs() < 1e-9);
/// ```
pub fn assumed_inharmonicity(hz: f64) -> f64 {
    const LOW: (f64, f64) = (30.868, 3.1e-4);
    const HIGH: (f64, f64) = (97.999, 3.5e-5);
    let part = (hz.clamp(LOW.0, HIGH.0) / LOW.0).ln() / (HIGH.0 / LOW.0).ln();
    LOW.1 * (HIGH.1 / LOW.1).powf(part)
}

/// Inharmonicity of an open string: from the wire if it is plain or its core is written, else
/// [`assumed_inharmonicity`]; and whether it is assumed.
pub fn inharmonicity_of(
    spec: &InstrumentSpec,
    place: StringPlace,
    pull: &StringTension,
) -> (f64, bool) {
    let hz = spec.tuning.get(&place).map_or(100.0, |n| n.frequency_hz(spec.a4_hz()));
    let string = spec.strings.get(&place);
    let core = string.and_then(|s| match s.construction {
        Some(StringConstruction::Plain) => s.gauge.and_then(Amount::length),
        _ => s.core.and_then(Amount::length),
    });
    let worked_out = core.zip(spec.scale_of(place)).and_then(|(core, scale)| {
        // Beyond 0.01 the swing model refuses it.
        inharmonicity(core, steel_modulus(), pull.tension.value, scale)
            .ok()
            .filter(|b| as_mm(core) > 0.0 && *b <= 0.01)
    });
    worked_out.map_or_else(|| (assumed_inharmonicity(hz), true), |b| (b, false))
}

/// Whether a plain steel string of this length, pitch and gauge is stressed beyond
/// [`stress_limit`]. Lengths and pitches outside what the formula accepts are no plain string.
pub(crate) fn too_much_stress(scale_mm: f64, pitch_hz: f64, gauge_mm: Option<f64>) -> bool {
    let pitch = Frequency::new::<hertz>(pitch_hz);
    let limit = stress_limit(gauge_mm.map(mm));
    plain_stress(mm(scale_mm), pitch, steel_density(), limit).is_ok_and(|s| s.refused)
}

#[cfg(test)]
mod tests {
    use super::*;
    use fallaway_measure::{Dimension, parse_amount};
    use uom::si::force::newton;

    fn length(text: &str) -> Amount {
        parse_amount(text, None, Dimension::Length).unwrap()
    }

    #[test]
    fn the_printed_unit_weight_comes_before_the_gauge() {
        let string = StringSpec {
            gauge: Some(length("0.010 in")),
            construction: Some(StringConstruction::Plain),
            unit_weight: Some(UnitWeight {
                value: fallaway_measure::Decimal::new(2215, 8).unwrap(),
                unit: UnitWeightUnit::PoundPerInch,
            }),
            ..StringSpec::default()
        };
        let made = construction(&string).unwrap();
        // strings.json: published unit weight 2.215e-5 lb/in, 25.5 in, 329.6276 Hz: 72.1208 N.
        let scale = length("25.5 in").length().unwrap();
        let found = string_tension(&made, scale, 329.6276).unwrap();
        assert!((found.tension.value.get::<newton>() - 72.1208).abs() < 0.01);
        assert_eq!(found.source, MassBasis::Pack);
    }

    #[test]
    fn the_tension_on_the_pack_counts_and_goes_with_the_square_of_the_pitch() {
        let template = fallaway_record::templates().into_iter().find(|t| t.id == "bass-4");
        let mut spec = template.unwrap().spec;
        let low = StringPlace::course(4).unwrap();
        let printed = parse_amount("160 N", None, Dimension::Force).unwrap();
        spec.strings.get_mut(&low).unwrap().pack_tension = Some(printed);
        let found = tension_of(&spec, low).unwrap();
        assert!((found.tension.value.get::<newton>() - 160.0).abs() < 0.1);
        assert_eq!(found.source, MassBasis::Pack);
        // Two semitones down on the same string: 2^(-1/3), not the printed tension again.
        let notes = vec![(low, "D1".parse().unwrap())];
        let change = crate::change_strings::OtherStrings { notes, ..Default::default() };
        let then = tension_of(&change.then(&spec), low).unwrap();
        let wanted = 160.0 * 2f64.powf(-1.0 / 3.0);
        assert!((then.tension.value.get::<newton>() - wanted).abs() < 0.1);
    }

    #[test]
    fn an_ordinary_high_e_is_allowed_and_a_third_higher_is_not() {
        // 4 rho L^2 f^2 with rho 7850 kg/m3: E4 on 648 mm is 1.43 GPa; G4 is 2.02 GPa.
        assert!(!too_much_stress(648.0, 329.63, None));
        assert!(too_much_stress(648.0, 392.0, None));
        // 70 % of what ASTM A228 asks of .009 and of .026 wire: 1.90 and 1.63 GPa; F#4 stands at 1.80.
        assert!(!too_much_stress(648.0, 370.0, Some(0.229)));
        assert!(too_much_stress(648.0, 370.0, Some(0.660)));
    }

    #[test]
    fn inharmonicity_falls_as_pitch_rises() {
        let all = [25.0, 30.868, 35.0, 41.203, 50.0, 55.0, 73.416, 98.0, 300.0];
        let values: Vec<f64> = all.into_iter().map(assumed_inharmonicity).collect();
        assert!(values.windows(2).all(|w| w[0] >= w[1]), "{values:?}");
    }
}
