//! Intonation: where the saddle (and the nut) must stand so that stopped notes are in tune.
//!
//! | part | question |
//! |---|---|
//! | [`readings`] | from cents read at one or several frets to a saddle move and a nut offset |
//! | [`setback`] | predicted set-backs for a string that is not yet on the instrument |
//!
//! # Conventions
//!
//! - A reading is the stopped note against the open string of the same minute, in cents, minus the
//!   100 cents per fret that equal temperament asks; positive is sharp. Both must be the same
//!   partial. The harmonic over fret 12 is another kind of reading and does not belong here.
//! - A saddle move is positive away from the nut (the speaking length grows).
//! - A nut offset is positive away from the saddle; a nut moved toward the bridge is negative.

pub mod readings;
pub mod setback;

use crate::error::{Error, Result};
use crate::pitch::CENTS_PER_NEPER;

pub use readings::{
    Adjust, IntonationReading, IntonationSolution, LeftOver, SaddleTravel, length_per_cent,
    solve_from_readings,
};
pub use setback::{
    Aim, IntonationModel, SetBack, StiffnessFollows, predict_set_back, predicted_cents,
    stretch_when_pressed,
};

/// Highest fret that the intonation functions accept.
pub(crate) const HIGHEST_FRET: u32 = 36;

/// `2^(n/12)`: by what the open length is divided at fret n.
fn ratio(fret: u32) -> f64 {
    (f64::from(fret) / 12.0).exp2()
}

/// Change of the reading at `fret` in cents per mm of saddle move, and per mm of nut offset, on a
/// scale of `scale_mm`: `-(1200/ln 2) (1/L_n - 1/L)` and `(1200/ln 2) / L`.
fn sensitivities(scale_mm: f64, fret: u32) -> (f64, f64) {
    let per_mm = CENTS_PER_NEPER / scale_mm;
    (-per_mm * (ratio(fret) - 1.0), per_mm)
}

fn check_fret(fret: u32) -> Result<u32> {
    if (1..=HIGHEST_FRET).contains(&fret) {
        Ok(fret)
    } else {
        Err(Error::NoSuchPlace {
            what: "fret",
            number: fret as usize,
            first: 1,
            last: HIGHEST_FRET as usize,
        })
    }
}
