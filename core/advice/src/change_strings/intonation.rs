//! How far a saddle may have to move for other strings: from the model of a stiff string that is
//! stretched when it is pressed down, with its ends held from pinned to clamped.
//!
//! The end condition dominates the set-back itself; of the difference between two strings it leaves the
//! direction and a rough amount. A prediction is a place to begin: the reading decides.

use fallaway_measure::{Amount, StringPlace};
use fallaway_mechanics::intonation::{Aim, IntonationModel, StiffnessFollows, predict_set_back};
use fallaway_mechanics::stiff_string::{EndsHeld, stiffness_ratio};
use fallaway_mechanics::strings::steel_modulus;
use fallaway_mechanics::units::{as_mm, mm};
use fallaway_record::InstrumentSpec;
use fallaway_record::spec::StringConstruction;
use uom::si::force::newton;
use uom::si::pressure::pascal;

use crate::strings::StringTension;

/// Height of a string at the nut over the crowns, and how much higher the saddle stands (common
/// practice, no source): they are the same for both strings, and matter little for the difference.
const NUT_MM: f64 = 0.5;
const RISE_MM: f64 = 2.0;

/// Where a saddle is to be looked for after the change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SaddleMoves {
    /// Least, in mm; away from the neck is above zero.
    pub low_mm: f64,
    /// With the string clamped at the fret and pinned at the saddle.
    pub middle_mm: f64,
    /// Most, in mm; away from the neck is above zero.
    pub high_mm: f64,
}

/// How far the saddle of a string may have to move; `None` where the core of one of both is not known.
pub(super) fn saddle_moves(
    (before, pull_before): (&InstrumentSpec, &StringTension),
    (after, pull_after): (&InstrumentSpec, &StringTension),
    place: StringPlace,
) -> Option<SaddleMoves> {
    let each = |ends| {
        Some(
            set_back(after, pull_after, place, ends)? - set_back(before, pull_before, place, ends)?,
        )
    };
    let all = [
        each(EndsHeld::PinnedPinned)?,
        each(EndsHeld::ClampedPinned)?,
        each(EndsHeld::ClampedClamped)?,
    ];
    Some(SaddleMoves {
        low_mm: all.into_iter().fold(f64::INFINITY, f64::min),
        middle_mm: all[1],
        high_mm: all.into_iter().fold(f64::NEG_INFINITY, f64::max),
    })
}

/// The set-back of the saddle for a true octave, in mm (M. B. Anderson, R. G. Beausoleil, JASA
/// 156(1):683 (2024)).
fn set_back(
    spec: &InstrumentSpec,
    pull: &StringTension,
    place: StringPlace,
    ends: EndsHeld,
) -> Option<f64> {
    let string = spec.strings.get(&place)?;
    let core = match string.construction? {
        StringConstruction::Plain => string.gauge,
        StringConstruction::Polymer => None,
        _ => string.core,
    };
    let (core, scale) = (core.and_then(Amount::length)?, spec.scale_of(place)?);
    let area = std::f64::consts::PI * (as_mm(core) / 2e3).powi(2);
    let tension = pull.tension.value;
    let model = IntonationModel {
        scale,
        nut_height: mm(NUT_MM),
        saddle_rise: mm(RISE_MM),
        tension_per_stretch: steel_modulus().get::<pascal>() * area / tension.get::<newton>(),
        stiffness_ratio: stiffness_ratio(core, steel_modulus(), tension, scale).ok()?,
        ends,
        stiffness_follows: StiffnessFollows::LengthAndTension,
    };
    Some(as_mm(predict_set_back(&model, Aim::SaddleForFret(12)).ok()?.saddle))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strings::tension_of;
    use fallaway_measure::{Dimension, parse_amount};

    fn with_core(core: &str, gauge: &str) -> InstrumentSpec {
        let template = fallaway_record::templates().into_iter().find(|t| t.id == "bass-4");
        let mut spec = template.unwrap().spec;
        let length = |text: &str| parse_amount(text, None, Dimension::Length).ok();
        let place = StringPlace::course(1).unwrap();
        let string = spec.strings.get_mut(&place).unwrap();
        (string.core, string.gauge) = (length(core), length(gauge));
        string.construction = Some(StringConstruction::RoundWound);
        spec
    }

    #[test]
    fn a_stiffer_core_wants_the_saddle_further_back() {
        // Both stretch (E A / T) and stiffness (d^4) grow with the core, and both sharpen the octave.
        let place = StringPlace::course(1).unwrap();
        let (thin, thick) = (with_core("0.016 in", "0.045 in"), with_core("0.020 in", "0.045 in"));
        let pulls = (tension_of(&thin, place).unwrap(), tension_of(&thick, place).unwrap());
        let moves = saddle_moves((&thin, &pulls.0), (&thick, &pulls.1), place).unwrap();
        assert!(0.0 < moves.low_mm && moves.low_mm < moves.middle_mm);
        assert!(moves.middle_mm < moves.high_mm);
        let none = saddle_moves((&thin, &pulls.0), (&thin, &pulls.0), place).unwrap();
        assert!(none.middle_mm.abs() < 1e-9);
        let template = fallaway_record::templates().into_iter().find(|t| t.id == "bass-4");
        let unknown = template.unwrap().spec;
        assert_eq!(saddle_moves((&unknown, &pulls.0), (&thin, &pulls.0), place), None);
    }
}
