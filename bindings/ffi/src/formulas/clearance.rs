//! The swing of an ideal plucked string in closed form. A calibration with assumed tension and touch,
//! not a measurement: it ranks, it does not decide. For an instrument with its readings see
//! [`crate::Instrument`]'s clearance.

use fallaway::mechanics::pluck::{self, Pluck};
use fallaway::mechanics::units::{as_mm, mm};

use super::typed::newtons;
use crate::FallawayError;
use crate::clearance::PluckDirection;

/// Depth at the place of the pluck before the string is let go, in mm: `F p (L - p) / (T L)`.
///
/// `stopped_length_mm` 50 to 3000, from the fret to the saddle; `from_saddle_mm` within it;
/// `tension_n` 1 to 2000; `force_n` 0 to 50, the part at right angles to the board.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn pluck_depth_mm(
    stopped_length_mm: f64,
    from_saddle_mm: f64,
    tension_n: f64,
    force_n: f64,
) -> Result<f64, FallawayError> {
    let pluck = of(stopped_length_mm, from_saddle_mm, tension_n, force_n);
    Ok(as_mm(pluck::static_depth(&pluck)?))
}

/// Lowest point of an ideal string's motion at a place, in mm below its rest line: the initial
/// triangle if it was pushed toward the board, its mirror image if it was pulled away (d'Alembert).
///
/// `place_from_saddle_mm` within the stopped length; the rest as [`pluck_depth_mm`].
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn ideal_swing_depth_mm(
    stopped_length_mm: f64,
    from_saddle_mm: f64,
    tension_n: f64,
    force_n: f64,
    direction: PluckDirection,
    place_from_saddle_mm: f64,
) -> Result<f64, FallawayError> {
    let pluck = of(stopped_length_mm, from_saddle_mm, tension_n, force_n);
    Ok(as_mm(pluck::ideal_depth(&pluck, direction.into(), mm(place_from_saddle_mm))?))
}

/// The same for a real wound string pushed toward the board, which disperses, in a cheap form:
/// `max(initial triangle, k (2 F L / (pi^2 T)) sin(pi p / L) sin(pi s / L))`. `factor` k 0 to 3, about
/// 1.0 for a light string and 1.2 for a low E.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn wound_swing_depth_mm(
    stopped_length_mm: f64,
    from_saddle_mm: f64,
    tension_n: f64,
    force_n: f64,
    factor: f64,
    place_from_saddle_mm: f64,
) -> Result<f64, FallawayError> {
    let pluck = of(stopped_length_mm, from_saddle_mm, tension_n, force_n);
    Ok(as_mm(pluck::cheap_depth(&pluck, mm(place_from_saddle_mm), factor)?))
}

fn of(stopped_length_mm: f64, from_saddle_mm: f64, tension_n: f64, force_n: f64) -> Pluck {
    Pluck {
        stopped_length: mm(stopped_length_mm),
        from_saddle: mm(from_saddle_mm),
        tension: newtons(tension_n),
        force: newtons(force_n),
    }
}
