//! A shim in the neck pocket of a bolted neck.
//!
//! # Model
//!
//! A wedge turns the whole neck, which is taken as rigid, about the edge of the pocket at its thin
//! end. With the thick end toward the bridge the nut end drops back and every gap becomes smaller,
//! exactly as if the saddle had been lowered by `angle * (x_s - x_p)`: for a string stopped at m
//! the change over j is `-(x_j - x_m)/(x_s - x_m) * angle * (x_s - x_p)`, `x_p` the edge about which
//! the neck turns. So a shim that is to replace a saddle move `dH` has the angle
//! `-dH / (x_s - x_p)`, and its thick end is that angle times the pocket's length.
//!
//! Neck screws are touched only with slack strings. Work on the neck joint is for somebody who has
//! done it before.

use fallaway_measure::Limit;
use uom::si::angle::radian;
use uom::si::f64::{Angle, Length};

use crate::error::{Error, Result};
use crate::uncertain::Uncertain;
use crate::units::{as_mm, mm};

/// Which end of the pocket the thick end of a shim points to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ShimThickEnd {
    /// Toward the bridge: tips the neck back and lowers the action.
    TowardBridge,
    /// Toward the nut: tips the neck forward and raises the action.
    TowardNut,
}

/// A wedge for the neck pocket.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shim {
    /// Angle of the wedge, never negative.
    pub angle: Angle,
    /// Thickness at the thick end of the pocket, with the uncertainty of the wish.
    pub thickness: Uncertain<Length>,
    /// Where the thick end goes.
    pub thick_end: ShimThickEnd,
}

/// The shim that does what moving every saddle by `saddle_move` would do (negative
/// lowers the action).
///
/// `saddle_position` from the nut; `pocket_edge`: the pocket's edge nearest the nut, from the nut;
/// `pocket_length` from there toward the bridge.
///
/// # Errors
///
/// [`Error::Outside`]; [`Error::Inconsistent`] when the pocket does not lie before the saddle.
///
/// ```
/// use fallaway_mechanics::shim::{pocket_shim, ShimThickEnd};
/// use fallaway_mechanics::{units::{as_mm, mm}, Uncertain};
/// // 2.4 mm less at the saddle of a 25.5 in guitar, pocket from 405 mm, 76 mm long.
/// let shim = pocket_shim(Uncertain::exact(mm(-2.4)), mm(647.7), mm(405.0), mm(76.0)).unwrap();
/// assert_eq!(shim.thick_end, ShimThickEnd::TowardBridge);
/// assert!((as_mm(shim.thickness.value) - 2.4 * 76.0 / 242.7).abs() < 1e-9);
/// ```
pub fn pocket_shim(
    saddle_move: Uncertain<Length>,
    saddle_position: Length,
    pocket_edge: Length,
    pocket_length: Length,
) -> Result<Shim> {
    let wanted = Limit::HeightChange.check_mm(saddle_move.value)?;
    let saddle = Limit::FromNut.check_mm(saddle_position)?;
    let edge = Limit::FromNut.check_mm(pocket_edge)?;
    let length = Limit::PocketLength.check_mm(pocket_length)?;
    if edge + length + 10.0 > saddle {
        return Err(Error::Inconsistent {
            what: "neck pocket",
            reason: "must end at least 10 mm before the saddle",
        });
    }
    let (thick_end, pivot) = if wanted <= 0.0 {
        (ShimThickEnd::TowardBridge, edge)
    } else {
        (ShimThickEnd::TowardNut, edge + length)
    };
    let per_saddle = length / (saddle - pivot);
    Ok(Shim {
        angle: Angle::new::<radian>(wanted.abs() / (saddle - pivot)),
        thickness: Uncertain::new(
            mm(wanted.abs() * per_saddle),
            mm(as_mm(saddle_move.standard_uncertainty) * per_saddle),
        )?,
        thick_end,
    })
}

/// What a shim does to the saddle in effect: negative lowers the action. Inverse of
/// [`pocket_shim`].
///
/// # Errors
///
/// As [`pocket_shim`].
///
/// ```
/// use fallaway_mechanics::shim::{effect, ShimThickEnd};
/// use fallaway_mechanics::units::{as_mm, mm};
/// let e = effect(mm(0.5), ShimThickEnd::TowardBridge, mm(647.7), mm(405.0), mm(76.0)).unwrap();
/// assert!((as_mm(e) + 0.5 * 242.7 / 76.0).abs() < 1e-9);
/// ```
pub fn effect(
    thickness: Length,
    thick_end: ShimThickEnd,
    saddle_position: Length,
    pocket_edge: Length,
    pocket_length: Length,
) -> Result<Length> {
    let thickness = Limit::ShimThickness.check_mm(thickness)?;
    let sign = match thick_end {
        ShimThickEnd::TowardBridge => -1.0,
        ShimThickEnd::TowardNut => 1.0,
    };
    let unit =
        pocket_shim(Uncertain::exact(mm(sign)), saddle_position, pocket_edge, pocket_length)?;
    Ok(mm(sign * thickness / as_mm(unit.thickness.value)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn equals_turning_every_crown_about_the_edge(
            wanted in -5.0..-0.01f64, edge in 350.0..450.0f64, length in 50.0..100.0f64, m in 0usize..20,
        ) {
            // Turn all crowns rigidly and compare the gap with that of a lowered saddle.
            let (scale, h) = (647.7, 5.0);
            let x = |n: usize| scale * (1.0 - (-(n as f64) / 12.0).exp2());
            let shim = pocket_shim(Uncertain::exact(mm(wanted)), mm(scale), mm(edge), mm(length)).unwrap();
            let angle = shim.angle.get::<radian>();
            let z = |n: usize| angle * (x(n) - edge);
            let j = m + 2;
            let t = (x(j) - x(m)) / (scale - x(m));
            let shimmed = (1.0 - t) * z(m) + t * h - z(j);
            let lowered = t * (h + wanted);
            prop_assert!((shimmed - lowered).abs() < 1e-9);
            prop_assert!((as_mm(shim.thickness.value) - angle * length).abs() < 1e-9);
        }

        #[test]
        fn there_and_back(wanted in -5.0..5.0f64) {
            let shim = pocket_shim(Uncertain::exact(mm(wanted)), mm(863.6), mm(600.0), mm(90.0)).unwrap();
            let back = effect(shim.thickness.value, shim.thick_end, mm(863.6), mm(600.0), mm(90.0)).unwrap();
            prop_assert!((as_mm(back) - wanted).abs() < 1e-9);
        }
    }
}
