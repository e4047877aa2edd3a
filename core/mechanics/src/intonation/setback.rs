//! Predicted set-backs: how far saddle and nut must stand from the drawn scale before any string is
//! on it.
//!
//! # Model
//!
//! A string pressed to a fret is stretched and stiff. With the frets at `X_n = L 2^(-n/12)` from the
//! saddle, the nut slot at height h over the crowns and the saddle at height h + c, moved by dS and
//! dN,
//!
//! - open length `L_0 = hypot(L + dS + dN, c)`, sounding length `L_n = hypot(X_n + dS, h + c)`, part
//!   behind the fret `L'_n = hypot(L - X_n + dN, h)`;
//! - stretch `Q_n = (L_n + L'_n - L_0) / L_0`, tension `T (1 + kappa Q_n)`, mass per length
//!   `mu / (1 + Q_n)`;
//! - stiffness factor by the formula of [`crate::stiff_string`] for the named ends.
//!
//! The reading is `1200 log2(f_n / (2^(n/12) f_0))`. Source: M. B. Anderson, R. G. Beausoleil,
//! "Classical guitar intonation and compensation: The well-tempered guitar", JASA 156(1):683 (2024).
//!
//! # What it is worth
//!
//! The end condition dominates: on a bass G string the saddle set-back is 0.7 mm for pinned, 2.1 mm
//! for clamped-pinned and 3.4 mm for clamped ends. A prediction is a place to begin; the reading
//! decides.

use fallaway_measure::Limit;
use nalgebra::{Matrix2, Vector2};
use uom::si::f64::Length;

use super::{check_fret, ratio};
use crate::error::{Error, Result};
use crate::pitch::CENTS_PER_NEPER;
use crate::stiff_string::{EndsHeld, formula};
use crate::units::mm;

/// How the stiffness of the stopped string follows from that of the open one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StiffnessFollows {
    /// The nominal length only: `b_n = 2^(n/12) b_0`. So the published set-backs were computed.
    Length,
    /// The actual length and the raised tension: `b_n = b_0 (L_0 / L_n) / sqrt(1 + kappa Q_n)`.
    LengthAndTension,
}

/// A string over a neck, as far as its intonation is concerned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IntonationModel {
    /// Nut to saddle before compensation: [`Limit::ScaleLength`].
    pub scale: Length,
    /// Height of the string at the nut over the fret crowns.
    pub nut_height: Length,
    /// By how much the saddle stands higher than the nut.
    pub saddle_rise: Length,
    /// Relative rise of tension per relative stretch: `kappa = E A / T`. Half of it is by
    /// how much the pitch answers to a stretch.
    pub tension_per_stretch: f64,
    /// Stiffness ratio of the open string (the B of Anderson and Beausoleil).
    pub stiffness_ratio: f64,
    /// How the ends are held. State it with every number that comes from here.
    pub ends: EndsHeld,
    /// How stiffness follows the fret.
    pub stiffness_follows: StiffnessFollows,
}

/// What a set-back is to achieve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// The saddle alone brings this fret to zero.
    SaddleForFret(u32),
    /// Saddle and nut bring frets 1 to this one nearest to zero, all alike (least squares).
    SaddleAndNutUpTo(u32),
}

/// Predicted set-backs and what they leave.
#[derive(Debug, Clone, PartialEq)]
pub struct SetBack {
    /// Saddle, positive away from the nut.
    pub saddle: Length,
    /// Nut, positive away from the saddle; zero when only the saddle moves.
    pub nut: Length,
    /// Cents left at frets 1, 2, ... up to the last one aimed at.
    pub left_over: Vec<f64>,
    /// Root mean square over those frets.
    pub rms_cents: f64,
    /// Root mean square over those frets and the open string, which is 0 by definition; the
    /// published tables count it in.
    pub rms_with_open_cents: f64,
    /// The end condition under which this holds.
    pub ends: EndsHeld,
}

/// Plain numbers of a model, mm.
#[derive(Clone, Copy)]
struct Kernel {
    scale: f64,
    nut: f64,
    rise: f64,
    kappa: f64,
    b: f64,
    ends: EndsHeld,
    follows: StiffnessFollows,
}

impl Kernel {
    fn new(model: &IntonationModel) -> Result<Self> {
        Ok(Self {
            scale: Limit::ScaleLength.check_mm(model.scale)?,
            nut: Limit::NutHeight.check_mm(model.nut_height)?,
            rise: Limit::SaddleRise.check_mm(model.saddle_rise)?,
            kappa: Limit::TensionPerStretch.check(model.tension_per_stretch)?,
            b: Limit::StiffnessRatio.check(model.stiffness_ratio)?,
            ends: model.ends,
            follows: model.stiffness_follows,
        })
    }

    /// Relative stretch, open and sounding length (mm) at fret n.
    fn stretch(&self, fret: u32, ds: f64, dn: f64) -> (f64, f64, f64) {
        let x = self.scale / ratio(fret);
        let open = (self.scale + ds + dn).hypot(self.rise);
        let sounding = (x + ds).hypot(self.nut + self.rise);
        let behind = (self.scale - x + dn).hypot(self.nut);
        ((sounding + behind - open) / open, open, sounding)
    }

    /// Cents at fret n with the saddle moved by `ds` and the nut by `dn` (mm).
    fn cents(&self, fret: u32, ds: f64, dn: f64) -> f64 {
        let ratio = ratio(fret);
        let (stretch, open, sounding) = self.stretch(fret, ds, dn);
        let pull = 1.0 + self.kappa * stretch;
        let b = match self.follows {
            StiffnessFollows::Length => self.b * ratio,
            StiffnessFollows::LengthAndTension => self.b * open / sounding / pull.sqrt(),
        };
        let stiff = formula(b, 1.0, self.ends) / formula(self.b, 1.0, self.ends);
        let f = stiff * (pull * (1.0 + stretch)).sqrt() * open / sounding / ratio;
        CENTS_PER_NEPER * f.ln()
    }

    /// Derivatives of the cents for saddle and nut, per mm.
    fn slopes(&self, fret: u32, ds: f64, dn: f64) -> Vector2<f64> {
        let h = 1e-4;
        let of = |s: f64, n: f64| self.cents(fret, ds + s, dn + n);
        Vector2::new(of(h, 0.0) - of(-h, 0.0), of(0.0, h) - of(0.0, -h)) / (2.0 * h)
    }
}

/// Predicted reading at `fret` with saddle and nut moved by the given amounts, in cents.
///
/// # Errors
///
/// [`Error::Outside`] outside the limits in [`IntonationModel`], or moves beyond 50 mm;
/// [`Error::NoSuchPlace`] for a fret outside 1 to 36.
///
/// ```
/// use fallaway_mechanics::intonation::{IntonationModel, StiffnessFollows, predicted_cents};
/// use fallaway_mechanics::{stiff_string::EndsHeld, units::mm};
/// // The first string of a published nylon set, uncompensated: 1.6 cents sharp at fret 1.
/// let e4 = IntonationModel {
///     scale: mm(650.0), nut_height: mm(1.0), saddle_rise: mm(4.0),
///     tension_per_stretch: 48.2, stiffness_ratio: 0.0019,
///     ends: EndsHeld::ClampedPinned, stiffness_follows: StiffnessFollows::Length,
/// };
/// assert!((predicted_cents(&e4, mm(0.0), mm(0.0), 1).unwrap() - 1.6002).abs() < 1e-4);
/// ```
pub fn predicted_cents(
    model: &IntonationModel,
    saddle: Length,
    nut: Length,
    fret: u32,
) -> Result<f64> {
    let kernel = Kernel::new(model)?;
    let ds = Limit::WitnessMove.check_mm(saddle)?;
    let dn = Limit::WitnessMove.check_mm(nut)?;
    Ok(kernel.cents(check_fret(fret)?, ds, dn))
}

/// Relative stretch of the whole string when it is pressed to `fret`, saddle and nut where they are
/// drawn: Q of the model above.
///
/// # Errors
///
/// As [`predicted_cents`].
///
/// ```
/// use fallaway_mechanics::intonation::{IntonationModel, StiffnessFollows, stretch_when_pressed};
/// use fallaway_mechanics::{stiff_string::EndsHeld, units::mm};
/// let g = IntonationModel {
///     scale: mm(863.6), nut_height: mm(0.5), saddle_rise: mm(3.0),
///     tension_per_stretch: 154.2, stiffness_ratio: 0.00155,
///     ends: EndsHeld::ClampedPinned, stiffness_follows: StiffnessFollows::Length,
/// };
/// assert!((stretch_when_pressed(&g, 12).unwrap() - 1.072635e-5).abs() < 1e-10);
/// ```
pub fn stretch_when_pressed(model: &IntonationModel, fret: u32) -> Result<f64> {
    Ok(Kernel::new(model)?.stretch(check_fret(fret)?, 0.0, 0.0).0)
}

/// Set-backs that reach an [`Aim`], by Newton's (one fret) or the Gauss-Newton method.
///
/// # Errors
///
/// As [`predicted_cents`]; [`Error::TooFew`] when saddle and nut are to be found from fewer than two
/// frets; [`Error::Undetermined`] when no set-back within 50 mm reaches the aim.
///
/// ```
/// use fallaway_mechanics::intonation::{Aim, IntonationModel, StiffnessFollows, predict_set_back};
/// use fallaway_mechanics::{stiff_string::EndsHeld, units::{as_mm, mm}};
/// let e4 = IntonationModel {
///     scale: mm(650.0), nut_height: mm(1.0), saddle_rise: mm(4.0),
///     tension_per_stretch: 48.2, stiffness_ratio: 0.0019,
///     ends: EndsHeld::ClampedPinned, stiffness_follows: StiffnessFollows::Length,
/// };
/// let s = predict_set_back(&e4, Aim::SaddleAndNutUpTo(12)).unwrap();
/// assert!((as_mm(s.saddle) - 1.48).abs() < 0.01 && (as_mm(s.nut) + 0.36).abs() < 0.01);
/// ```
pub fn predict_set_back(model: &IntonationModel, aim: Aim) -> Result<SetBack> {
    let kernel = Kernel::new(model)?;
    let (first, last, with_nut) = match aim {
        Aim::SaddleForFret(n) => (check_fret(n)?, n, false),
        Aim::SaddleAndNutUpTo(n) if n < 2 => {
            return Err(Error::TooFew { quantity: "frets", given: n as usize, needed: 2 });
        }
        Aim::SaddleAndNutUpTo(n) => (1, check_fret(n)?, true),
    };
    let mut moves = Vector2::zeros();
    let mut settled = false;
    for _ in 0..50 {
        let mut normal = Matrix2::zeros();
        let mut right = Vector2::zeros();
        for fret in first..=last {
            let mut slopes = kernel.slopes(fret, moves.x, moves.y);
            if !with_nut {
                slopes.y = 0.0;
            }
            normal += slopes * slopes.transpose();
            right -= slopes * kernel.cents(fret, moves.x, moves.y);
        }
        if !with_nut {
            normal.m22 = 1.0;
        }
        let Some(step) = normal.try_inverse().map(|inverse| inverse * right) else {
            break;
        };
        moves += step;
        if !moves.x.is_finite() || !moves.y.is_finite() || moves.amax() > 50.0 {
            break;
        }
        if step.amax() < 1e-8 {
            settled = true;
            break;
        }
    }
    if !settled {
        return Err(Error::Undetermined {
            what: "set-back",
            reason: "no move within 50 mm reaches the aim; check heights and stiffness",
        });
    }
    let left_over: Vec<f64> = (1..=last).map(|n| kernel.cents(n, moves.x, moves.y)).collect();
    let square: f64 = left_over.iter().map(|c| c * c).sum();
    Ok(SetBack {
        saddle: mm(moves.x),
        nut: mm(moves.y),
        rms_cents: (square / f64::from(last)).sqrt(),
        rms_with_open_cents: (square / f64::from(last + 1)).sqrt(),
        left_over,
        ends: model.ends,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::as_mm;
    use proptest::prelude::*;

    fn nylon(kappa: f64, b: f64) -> IntonationModel {
        IntonationModel {
            scale: mm(650.0),
            nut_height: mm(1.0),
            saddle_rise: mm(4.0),
            tension_per_stretch: kappa,
            stiffness_ratio: b,
            ends: EndsHeld::ClampedPinned,
            stiffness_follows: StiffnessFollows::Length,
        }
    }

    #[test]
    fn published_set_backs_of_a_nylon_set() {
        // Anderson and Beausoleil, JASA 156(1):683 (2024), tables of string properties (kappa, B0)
        // and of set-backs (dS mm, dN mm, rms cents over frets 0 to 12), normal tension.
        let mut sums = (0.0, 0.0);
        for (kappa, b, ds, dn, rms) in [
            (48.2, 0.0019, 1.48, -0.36, 0.143),
            (48.7, 0.0022, 1.69, -0.36, 0.145),
            (58.6, 0.00301, 2.33, -0.43, 0.177),
            (46.0, 0.00192, 1.49, -0.34, 0.137),
            (48.7, 0.00239, 1.83, -0.36, 0.146),
            (58.2, 0.00321, 2.46, -0.43, 0.177),
        ] {
            let s = predict_set_back(&nylon(kappa, b), Aim::SaddleAndNutUpTo(12)).unwrap();
            assert!((as_mm(s.saddle) - ds).abs() <= 0.01, "{kappa} {b}: {}", as_mm(s.saddle));
            assert!((as_mm(s.nut) - dn).abs() <= 0.01, "{kappa} {b}: {}", as_mm(s.nut));
            assert!((s.rms_with_open_cents - rms).abs() <= 1e-3);
            sums = (sums.0 + as_mm(s.saddle), sums.1 + as_mm(s.nut));
        }
        // Same paper, text: mean set-backs 1.8 +- 0.4 mm and -0.38 +- 0.03 mm.
        assert!((sums.0 / 6.0 - 1.8).abs() < 0.4 && (sums.1 / 6.0 + 0.38).abs() < 0.03);
    }

    #[test]
    fn an_ideal_string_on_the_crowns_needs_no_set_back() {
        let mut ideal = nylon(50.0, 0.0);
        ideal.nut_height = mm(0.0);
        ideal.saddle_rise = mm(0.0);
        let s = predict_set_back(&ideal, Aim::SaddleAndNutUpTo(12)).unwrap();
        assert!(as_mm(s.saddle).abs() < 1e-9 && as_mm(s.nut).abs() < 1e-9 && s.rms_cents < 1e-9);
    }

    proptest! {
        #[test]
        fn a_saddle_for_one_fret_reaches_it(
            kappa in 20.0..200.0f64, b in 1e-4..0.004f64, rise in 1.0..5.0f64, fret in 3u32..24,
        ) {
            let mut model = nylon(kappa, b);
            model.saddle_rise = mm(rise);
            for ends in [EndsHeld::PinnedPinned, EndsHeld::ClampedPinned, EndsHeld::ClampedClamped] {
                model.ends = ends;
                let s = predict_set_back(&model, Aim::SaddleForFret(fret)).unwrap();
                prop_assert!(predicted_cents(&model, s.saddle, s.nut, fret).unwrap().abs() < 1e-6);
            }
        }

        #[test]
        fn more_held_ends_and_stiffer_strings_go_farther_back(kappa in 20.0..200.0f64, b in 1e-4..0.004f64) {
            let of = |b: f64, ends| {
                let model = IntonationModel { ends, ..nylon(kappa, b) };
                as_mm(predict_set_back(&model, Aim::SaddleForFret(12)).unwrap().saddle)
            };
            prop_assert!(of(b, EndsHeld::PinnedPinned) < of(b, EndsHeld::ClampedPinned));
            prop_assert!(of(b, EndsHeld::ClampedPinned) < of(b, EndsHeld::ClampedClamped));
            prop_assert!(of(b, EndsHeld::ClampedPinned) < of(1.1 * b, EndsHeld::ClampedPinned));
        }

        #[test]
        fn whatever_is_accepted_is_finite_or_says_why(
            scale in 50.0..3500.0f64, nut in -1.0..6.0f64, rise in -6.0..32.0f64,
            kappa in -10.0..2100.0f64, b in -0.01..0.06f64, last in 0u32..40,
        ) {
            let model = IntonationModel {
                scale: mm(scale), nut_height: mm(nut), saddle_rise: mm(rise),
                tension_per_stretch: kappa, stiffness_ratio: b,
                ends: EndsHeld::ClampedClamped, stiffness_follows: StiffnessFollows::LengthAndTension,
            };
            for aim in [Aim::SaddleForFret(last), Aim::SaddleAndNutUpTo(last)] {
                if let Ok(s) = predict_set_back(&model, aim) {
                    prop_assert!(as_mm(s.saddle).is_finite() && as_mm(s.nut).is_finite());
                    prop_assert!(s.left_over.iter().all(|c| c.is_finite()));
                }
            }
            if let Ok(cents) = predicted_cents(&model, mm(0.0), mm(0.0), last) {
                prop_assert!(cents.is_finite());
            }
        }
    }
}
