//! Where the frets lie: equal temperament with twelve frets to the octave.
//!
//! `x_n = L (1 - 2^(-n/12))`, measured from the nut along the string, `L` the scale length of that
//! string (fanned frets: each string has its own). Each fret lies 1/17.817 of the remaining length
//! further than the one before (G. Byers, American Lutherie 47, 1996, gives the constant).

use fallaway_measure::{Fret, Limit};
use uom::si::f64::Length;

use crate::error::{Error, Result};
use crate::units::mm;

/// The constant that divides the remaining string length into the distance to the next fret:
/// 1 / (1 - 2^(-1/12)) = 17.817 (G. Byers, American Lutherie 47, 1996). A plain number.
///
/// ```
/// assert!((fallaway_mechanics::frets::spacing_constant() - 17.817154).abs() < 5e-7);
/// ```
pub fn spacing_constant() -> f64 {
    1.0 / (1.0 - (-1.0f64 / 12.0).exp2())
}

/// The part of the scale length that lies between nut and a place counted in frets; places between
/// frets are allowed (a joint at fret 16.5). 0 at the nut, 1/2 at 12.
pub(crate) fn fraction(fret: f64) -> f64 {
    1.0 - (-fret / 12.0).exp2()
}

/// Distance from the nut to fret `fret` (0 = nut).
///
/// # Errors
///
/// [`Error::Outside`], [`Error::NoSuchPlace`] for a fret above [`Fret::MAX`].
///
/// ```
/// use fallaway_mechanics::{frets::position, units::{as_mm, inches, mm}};
/// let twelfth = position(inches(34.0), 12).unwrap();
/// assert!((as_mm(twelfth) - 431.8).abs() < 1e-9); // half of 34 in
/// assert!(position(mm(863.6), 40).is_err());
/// ```
pub fn position(scale: Length, fret: usize) -> Result<Length> {
    let scale = Limit::ScaleLength.check_mm(scale)?;
    let last = usize::from(Fret::MAX);
    if fret > last {
        return Err(Error::NoSuchPlace { what: "fret", number: fret, first: 0, last });
    }
    Ok(mm(scale * fraction(fret as f64)))
}

/// Distances from the nut to frets 1 to `count`, in order.
///
/// # Errors
///
/// As [`position`]; [`Error::Outside`] outside [`Limit::Frets`].
///
/// ```
/// use fallaway_mechanics::{frets::positions, units::{as_mm, mm}};
/// let x = positions(mm(863.6), 24).unwrap();
/// assert_eq!(x.len(), 24);
/// assert!((as_mm(x[0]) - 48.470144).abs() < 1e-6);
/// assert!((as_mm(x[23]) - 647.7).abs() < 1e-9);
/// ```
pub fn positions(scale: Length, count: usize) -> Result<Vec<Length>> {
    Limit::Frets.check_count(count)?;
    (1..=count).map(|n| position(scale, n)).collect()
}

/// One row of a fret table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FretRow {
    /// The fret, 1 at the nut end.
    pub fret: usize,
    /// From the nut.
    pub from_nut: Length,
    /// From the fret before (from the nut for fret 1).
    pub from_previous: Length,
    /// To the uncompensated saddle line: the vibrating length of the ideal string.
    pub to_saddle: Length,
}

/// Fret positions as a table, for building, checking or slotting a board.
///
/// Measure every position from the nut, not from fret to fret, so that errors do not add up
/// (common practice, no source).
///
/// # Errors
///
/// As [`positions`].
///
/// ```
/// use fallaway_mechanics::{frets::table, units::{as_mm, mm}};
/// let rows = table(mm(650.0), 19).unwrap();
/// assert!((as_mm(rows[11].from_nut) - 325.0).abs() < 1e-9);
/// ```
pub fn table(scale: Length, count: usize) -> Result<Vec<FretRow>> {
    let mut previous = mm(0.0);
    Ok(positions(scale, count)?
        .into_iter()
        .zip(1..)
        .map(|(from_nut, fret)| {
            let row = FretRow {
                fret,
                from_nut,
                from_previous: from_nut - previous,
                to_saddle: scale - from_nut,
            };
            previous = from_nut;
            row
        })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::as_mm;
    use proptest::prelude::*;

    #[test]
    fn constant_agrees_with_byers() {
        // G. Byers, American Lutherie 47 (1996): 17.817.
        assert!((spacing_constant() - 17.817).abs() < 5e-4);
    }

    #[test]
    fn each_fret_takes_the_same_part_of_what_remains() {
        let rows = table(mm(863.6), 24).unwrap();
        for row in rows {
            let remaining = as_mm(row.to_saddle + row.from_previous);
            let part = remaining / as_mm(row.from_previous);
            assert!((part - spacing_constant()).abs() < 1e-9, "{part}");
        }
    }

    #[test]
    fn refuses_what_is_no_instrument() {
        assert!(position(mm(f64::NAN), 1).is_err());
        assert!(position(mm(20.0), 1).is_err());
        assert!(positions(mm(650.0), 0).is_err());
        assert!(positions(mm(650.0), 37).is_err());
    }

    proptest! {
        #[test]
        fn scale_invariant_and_monotone(scale in 100.0..1000.0f64, factor in 1.0..3.0f64) {
            let a = positions(mm(scale), 24).unwrap();
            let b = positions(mm(scale * factor), 24).unwrap();
            for (p, q) in a.iter().zip(&b) {
                prop_assert!((as_mm(*q) - factor * as_mm(*p)).abs() < 1e-9 * scale * factor);
            }
            prop_assert!(a.windows(2).all(|w| w[0] < w[1]));
        }
    }
}
