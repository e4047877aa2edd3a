//! Strings moved across the arch: a saddle shifted sideways, a bent note.

use fallaway_measure::Limit;
use uom::si::f64::Length;

use super::{StringPath, Surface, gap};
use crate::error::{Error, Result};
use crate::string_line::GapPlace;
use crate::units::mm;

/// How the gap at `place` changes when the saddle end moves sideways by `shift` (positive: away
/// from the middle; within 20 mm) and keeps its height. Roughly `shift * s / r` of the arch under
/// the string, weighted along it.
///
/// # Errors
///
/// As [`gap`].
///
/// ```
/// use fallaway_mechanics::board::{sideways, StringPath, Surface};
/// use fallaway_mechanics::{string_line::GapPlace, units::{as_mm, mm}};
/// let board = Surface::cylinder(mm(241.3)).unwrap();
/// let path = StringPath::new(mm(647.7), 22, mm(-17.5), mm(-26.25)).unwrap();
/// let change = sideways(&board, &path, GapPlace::stopped_at_1_over(22), mm(1.0)).unwrap();
/// assert!((as_mm(change) - (2.0412 - 1.970075)).abs() < 2e-6);
/// ```
pub fn sideways(
    surface: &Surface,
    path: &StringPath,
    place: GapPlace,
    shift: Length,
) -> Result<Length> {
    let shift = Limit::SidewaysMove.check_mm(shift)?;
    let outward = if path.saddle < 0.0 { -shift } else { shift };
    let moved = path.with_saddle_offset(mm(path.saddle + outward))?;
    let at = |path: &StringPath| gap(surface, path, place, mm(0.0));
    Ok(at(&moved)? - at(path)?)
}

/// What a bend does to the gaps beyond the stopped fret.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BendClearance {
    /// Over the next fret, before and during the bend.
    pub next: (Length, Length),
    /// The smallest over all later frets, before and during the bend.
    pub smallest: (Length, Length),
    /// The fret of the smallest during the bend.
    pub smallest_at: usize,
    /// Over the last fret, before and during the bend.
    pub last: (Length, Length),
}

/// A string stopped at `stopped` and pushed there across the board by `push`
/// (positive: toward the middle and, if far enough, past it), saddle end held.
///
/// On an arched board a bend toward the middle climbs the arch and loses height: R. M. Mottola,
/// Savart Journal 1(4), 2014 (abstract), reports that deep bends need 0.301 to 0.485 mm more action
/// at 254 mm than at 406.4 mm radius.
///
/// # Errors
///
/// As [`gap`]; [`Error::NoSuchPlace`] at or beyond the last fret; a push that leaves the board is
/// refused where the arch ends.
///
/// ```
/// use fallaway_mechanics::board::{bend, StringPath, Surface};
/// use fallaway_mechanics::units::{as_mm, mm};
/// let board = Surface::cylinder(mm(241.3)).unwrap();
/// let path = StringPath::new(mm(647.7), 22, mm(-17.5), mm(-26.25)).unwrap();
/// let b = bend(&board, &path, 12, mm(10.0), mm(1.4)).unwrap();
/// assert!(b.next.1 < b.next.0 && b.last.1 < b.last.0);
/// assert_eq!(b.smallest_at, 13);
/// ```
pub fn bend(
    surface: &Surface,
    path: &StringPath,
    stopped: usize,
    push: Length,
    saddle_height: Length,
) -> Result<BendClearance> {
    let push = Limit::Bend.check_mm(push)?;
    let height = Limit::SaddleHeight.check_mm(saddle_height)?;
    if stopped == 0 || stopped >= path.frets {
        return Err(Error::NoSuchPlace {
            what: "fret to bend at",
            number: stopped,
            first: 1,
            last: path.frets.saturating_sub(1),
        });
    }
    let xm = path.x_mm(stopped)?;
    let plain = path.y_mm(xm);
    let pushed = if plain <= 0.0 { plain + push } else { plain - push };
    let gap_with = |start: f64, fret: usize| -> Result<f64> {
        let x = path.x_mm(fret)?;
        let t = (x - xm) / (path.scale - xm);
        let y = start + (path.saddle - start) * t;
        let under = surface.z_mm(xm, start)?;
        Ok(under * (1.0 - t) + height * t - surface.z_mm(x, y)?)
    };
    let mut smallest = (f64::INFINITY, f64::INFINITY);
    let mut smallest_at = stopped + 1;
    for fret in stopped + 1..=path.frets {
        smallest.0 = smallest.0.min(gap_with(plain, fret)?);
        let during = gap_with(pushed, fret)?;
        if during < smallest.1 {
            smallest.1 = during;
            smallest_at = fret;
        }
    }
    let both = |fret| -> Result<(Length, Length)> {
        Ok((mm(gap_with(plain, fret)?), mm(gap_with(pushed, fret)?)))
    };
    Ok(BendClearance {
        next: both(stopped + 1)?,
        smallest: (mm(smallest.0), mm(smallest.1)),
        smallest_at,
        last: both(path.frets)?,
    })
}

impl StringPath {
    /// How much further the crown at `fret` drops away when the saddle end moves sideways by
    /// `shift` (positive: away from the middle; within 20 mm): the local part of [`sideways`],
    /// close to `shift * x/L * s / r`.
    ///
    /// # Errors
    ///
    /// As [`sideways`].
    ///
    /// ```
    /// use fallaway_mechanics::board::{StringPath, Surface};
    /// use fallaway_mechanics::units::{as_mm, mm};
    /// let board = Surface::cylinder(mm(241.3)).unwrap();
    /// let path = StringPath::new(mm(647.7), 22, mm(-17.5), mm(-26.25)).unwrap();
    /// let drop = path.drop_change(&board, 22, mm(1.0)).unwrap();
    /// assert!((as_mm(drop) - 0.072375).abs() < 1e-6);
    /// ```
    pub fn drop_change(&self, surface: &Surface, fret: usize, shift: Length) -> Result<Length> {
        let shift = Limit::SidewaysMove.check_mm(shift)?;
        let outward = if self.saddle < 0.0 { -shift } else { shift };
        let moved = self.with_saddle_offset(mm(self.saddle + outward))?;
        Ok(mm(self.z_mm(surface, fret)? - moved.z_mm(surface, fret)?))
    }

    /// Offset of the saddle end from the middle.
    ///
    /// ```
    /// use fallaway_mechanics::{board::StringPath, units::{as_mm, mm}};
    /// let path = StringPath::new(mm(863.6), 20, mm(-14.0), mm(-28.0)).unwrap();
    /// assert!((as_mm(path.saddle_offset()) + 28.0).abs() < 1e-12);
    /// ```
    pub fn saddle_offset(&self) -> Length {
        mm(self.saddle)
    }

    /// Offset of the nut end from the middle.
    ///
    /// ```
    /// use fallaway_mechanics::{board::StringPath, units::{as_mm, mm}};
    /// let path = StringPath::new(mm(863.6), 20, mm(-14.0), mm(-28.0)).unwrap();
    /// assert!((as_mm(path.nut_offset()) + 14.0).abs() < 1e-12);
    /// ```
    pub fn nut_offset(&self) -> Length {
        mm(self.nut)
    }

    /// Scale length.
    ///
    /// ```
    /// use fallaway_mechanics::{board::StringPath, units::{as_mm, mm}};
    /// let path = StringPath::new(mm(863.6), 20, mm(-14.0), mm(-28.0)).unwrap();
    /// assert!((as_mm(path.scale()) - 863.6).abs() < 1e-9);
    /// ```
    pub fn scale(&self) -> Length {
        mm(self.scale)
    }

    /// Offset from the middle at a fret (0 = nut).
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`].
    ///
    /// ```
    /// use fallaway_mechanics::{board::StringPath, units::{as_mm, mm}};
    /// let path = StringPath::new(mm(863.6), 20, mm(-14.0), mm(-28.0)).unwrap();
    /// assert!((as_mm(path.offset_at_fret(12).unwrap()) + 21.0).abs() < 1e-9);
    /// ```
    pub fn offset_at_fret(&self, fret: usize) -> Result<Length> {
        Ok(mm(self.y_mm(self.x_mm(fret)?)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::as_mm;
    use proptest::prelude::*;

    #[test]
    fn a_sideways_move_changes_the_height() {
        // Common practice, no source: with a radiused board a sideways move changes the height.
        let path = StringPath::new(mm(863.6), 24, mm(-19.0), mm(-38.0)).unwrap();
        let place = GapPlace::stopped_at_1_over(24);
        let arched = Surface::cylinder(mm(241.3)).unwrap();
        assert!(as_mm(sideways(&arched, &path, place, mm(1.0)).unwrap()) > 0.05);
        assert_eq!(sideways(&Surface::flat(), &path, place, mm(1.0)).unwrap(), mm(0.0));
    }

    #[test]
    fn a_small_radius_costs_more_in_a_bend() {
        let path = StringPath::new(mm(647.7), 22, mm(-17.5), mm(-26.25)).unwrap();
        let loss = |r| {
            let b = bend(&Surface::cylinder(mm(r)).unwrap(), &path, 15, mm(20.0), mm(1.4)).unwrap();
            as_mm(b.last.0 - b.last.1)
        };
        assert!(loss(254.0) > loss(406.4));
    }

    proptest! {
        #[test]
        fn left_and_right_are_alike(
            nut in 1.0..25.0f64, saddle in 1.0..40.0f64, shift in -5.0..5.0f64, r in 180.0..600.0f64,
        ) {
            let board = Surface::cylinder(mm(r)).unwrap();
            let at = |sign: f64| {
                let path = StringPath::new(mm(863.6), 22, mm(sign * nut), mm(sign * saddle)).unwrap();
                as_mm(sideways(&board, &path, GapPlace::new(1, 22), mm(shift)).unwrap())
            };
            prop_assert!((at(1.0) - at(-1.0)).abs() < 1e-12);
        }

        #[test]
        fn no_push_changes_nothing(stopped in 1usize..21, h in -1.0..5.0f64) {
            let path = StringPath::new(mm(647.7), 22, mm(-17.5), mm(-26.25)).unwrap();
            let b = bend(&Surface::cylinder(mm(254.0)).unwrap(), &path, stopped, mm(0.0), mm(h)).unwrap();
            prop_assert_eq!(b.next.0, b.next.1);
            prop_assert_eq!(b.smallest.0, b.smallest.1);
        }
    }
}
