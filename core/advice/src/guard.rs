//! Guards: what must be so before anything is advised that cannot be undone, and limits beyond which
//! nothing is advised.

use fallaway_mechanics::strings::guards::DEFAULT_LIMIT_GPA;
use fallaway_mechanics::strings::{plain_stress, steel_density};
use fallaway_mechanics::units::mm;
use uom::si::f64::{Frequency, Pressure};
use uom::si::frequency::hertz;
use uom::si::pressure::gigapascal;

use crate::bench::Standing;
use crate::caution::Caution;
use crate::deed::DeedKind;
use crate::known::{Known, in_notation};
use crate::plan::{Adjust, Basis, Compared, Step, Way};
use crate::stale::again;
use crate::thing::Thing;
use crate::work::Work;

/// A plain string above this stress is not advised: 1.8 GPa. An E4 on 648 mm stands at 1.43 GPa;
/// wire breaks at about 2.2 GPa (from memory).
pub const STRESS_LIMIT_GPA: f64 = DEFAULT_LIMIT_GPA;

/// Work that cannot be undone stops this much high, in mm (common practice, no source).
pub const STOP_HIGH_MM: f64 = 0.1;

/// A rise of the whole tension beyond this share is warned of (common practice, no source).
pub const TENSION_RISE: f64 = 0.10;

/// Whether a plain steel string of this length and pitch is stressed beyond
/// [`STRESS_LIMIT_GPA`]. Lengths and pitches outside what the formula accepts are no plain string.
pub fn too_much_stress(scale_mm: f64, pitch_hz: f64) -> bool {
    let pitch = Frequency::new::<hertz>(pitch_hz);
    let limit = Pressure::new::<gigapascal>(STRESS_LIMIT_GPA);
    plain_stress(mm(scale_mm), pitch, steel_density(), limit).is_ok_and(|s| s.refused)
}

/// The caution for a change of the whole tension, both in newtons.
pub fn tension_rise(before_newton: f64, after_newton: f64) -> Option<Caution> {
    (before_newton > 0.0 && after_newton > before_newton * (1.0 + TENSION_RISE))
        .then_some(Caution::TensionRise)
}

/// Why work that cannot be undone is not advised yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotYet {
    /// The number was converted, not read in this very way.
    NotRead,
    /// The record does not show that the strings were at pitch.
    NotTuned,
    /// Only one tool has said so.
    OneTool,
}

/// Whether readings are enough for work that cannot be undone: two that agree, with different tools,
/// at pitch, read in the very way in which the target is written.
///
/// # Errors
///
/// [`NotYet`] says what is missing.
pub(crate) fn enough(work: &Work<'_>, thing: Thing, compared: &Compared) -> Result<(), NotYet> {
    if compared.rests_on != Basis::Reading {
        return Err(NotYet::NotRead);
    }
    let Standing::Read { seen, agreeing, .. } = work.bench.standing(thing, None) else {
        return Err(NotYet::NotRead);
    };
    if !seen.tuned {
        return Err(NotYet::NotTuned);
    }
    let other = agreeing
        .iter()
        .any(|a| a.tuned && a.tool.is_some() && seen.tool.is_some() && a.tool != seen.tool);
    if other { Ok(()) } else { Err(NotYet::OneTool) }
}

/// Work that takes material away: it stops high.
pub(crate) fn cut(work: &Work<'_>, step: &Step, compared: &Compared, way: Way) -> Adjust {
    let cuts = if way == Way::CutSlot { DeedKind::Nut } else { DeedKind::Bridge };
    let stop_at = compared.wanted.value + STOP_HIGH_MM;
    let expect = Known { value: stop_at.min(compared.read.value), ..compared.read };
    Adjust {
        way,
        travel: Some(Known { value: compared.read.value - expect.value, ..compared.read }),
        moves: Vec::new(),
        expect: Some(expect),
        expect_shown: step.seen.as_ref().and_then(|s| in_notation(expect, s.reading, s.tool)),
        left_over: Some(compared.wanted.value - expect.value),
        again: again(cuts, work.facts),
        explains: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ordinary_high_e_is_allowed_and_a_third_higher_is_not() {
        // 4 rho L^2 f^2 with rho 7850 kg/m3: E4 on 648 mm is 1.43 GPa; G4 is 2.02 GPa.
        assert!(!too_much_stress(648.0, 329.63));
        assert!(too_much_stress(648.0, 392.0));
    }

    #[test]
    fn a_tenth_more_tension_is_warned_of() {
        assert_eq!(tension_rise(700.0, 760.0), None);
        assert_eq!(tension_rise(700.0, 780.0), Some(Caution::TensionRise));
        assert_eq!(tension_rise(0.0, 780.0), None);
    }
}
