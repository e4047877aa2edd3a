//! The board's arch: crowns under tapering string paths, and what it asks of the saddles.
//!
//! # Model
//!
//! Across the board the crowns lie on a circle of radius r whose top runs straight along the middle
//! (the spine, z = 0). At the offset s from the middle a crown lies lower by
//! `r - sqrt(r^2 - s^2)`. The radius is constant (cylinder) or linear in x (compound, cone), and is
//! extended as it is to the saddle. Strings run straight in plan from the nut's spread to the
//! bridge's. Relief is left out here; it adds ([`hump_profile`] gives crown deviations that
//! [`crate::neck::NeckLine::with_crown_offsets`] takes).
//!
//! On a cylinder the outer paths run over a hump, because they leave the middle while the radius
//! stays. Only a radius that grows like the spread of the strings (a cone) makes every path
//! straight: [`Surface::cone_under`].

mod arc;
mod lateral;

pub use arc::{ArcFit, Centre, fit_arc};
pub use lateral::{BendClearance, bend, sideways};

use fallaway_measure::Limit;
use uom::si::f64::Length;

use crate::error::{Error, Result};
use crate::frets::position;
use crate::neck::Relief;
use crate::string_line::GapPlace;
use crate::units::{as_mm, mm};

/// How much lower than the middle the crown lies at an offset: `r - sqrt(r^2 - s^2)`.
///
/// `offset` less than the `radius`.
///
/// # Errors
///
/// [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{board::crown_drop, units::{as_mm, inches, mm}};
/// assert!((as_mm(crown_drop(inches(9.5), mm(28.5)).unwrap()) - 1.688982).abs() < 1e-6);
/// ```
pub fn crown_drop(radius: Length, offset: Length) -> Result<Length> {
    let r = Limit::BoardRadius.check_mm(radius)?;
    Ok(mm(drop_mm(Some(r), offset_mm(offset)?)?))
}

/// The drop in mm; `None` is flat.
pub(crate) fn drop_mm(radius: Option<f64>, offset: f64) -> Result<f64> {
    let Some(r) = radius else { return Ok(0.0) };
    let inside = r * r - offset * offset;
    if r <= 0.0 || inside <= 0.0 {
        return Err(Error::Inconsistent {
            what: "offset from the middle",
            reason: "lies beyond the radius of the board",
        });
    }
    // The same as r - sqrt(r^2 - s^2), without cancellation.
    Ok(offset * offset / (r + inside.sqrt()))
}

pub(crate) fn offset_mm(offset: Length) -> Result<f64> {
    Ok(Limit::FromMiddle.check_mm(offset)?)
}

/// The shape of a board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// Radius at x = 0 and its slope along x; `None` for a flat board. mm.
    radius: Option<(f64, f64)>,
}

impl Surface {
    /// A flat board.
    ///
    /// ```
    /// use fallaway_mechanics::{board::Surface, units::mm};
    /// assert_eq!(Surface::flat().radius_at(mm(300.0)).unwrap(), None);
    /// ```
    pub fn flat() -> Self {
        Self { radius: None }
    }

    /// The same radius everywhere.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{board::Surface, units::inches};
    /// assert!(Surface::cylinder(inches(9.5)).is_ok());
    /// assert!(Surface::cylinder(inches(0.0)).is_err());
    /// ```
    pub fn cylinder(radius: Length) -> Result<Self> {
        let r = Limit::BoardRadius.check_mm(radius)?;
        Ok(Self { radius: Some((r, 0.0)) })
    }

    /// A radius that changes linearly along the board and is known at two places, each given as
    /// (distance from the nut, radius): compound boards and cones.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`]; [`Error::Inconsistent`] when the places lie less than 10 mm apart.
    ///
    /// ```
    /// use fallaway_mechanics::board::Surface;
    /// use fallaway_mechanics::frets::position;
    /// use fallaway_mechanics::units::{as_mm, inches};
    /// // Common practice, no source: 9 in at fret 1, 18 to 20 in at fret 24 of a 34 in scale make
    /// // 21.2 to 24.0 in at the saddle.
    /// let scale = inches(34.0);
    /// let board = |end| Surface::compound(
    ///     (position(scale, 1).unwrap(), inches(9.0)),
    ///     (position(scale, 24).unwrap(), inches(end)),
    /// ).unwrap();
    /// let at_saddle = |end| as_mm(board(end).radius_at(scale).unwrap().unwrap()) / 25.4;
    /// assert!((at_saddle(18.0) - 21.2).abs() < 0.05);
    /// assert!((at_saddle(20.0) - 24.0).abs() < 0.05);
    /// ```
    pub fn compound(a: (Length, Length), b: (Length, Length)) -> Result<Self> {
        let read = |(at, radius): (Length, Length)| -> Result<_> {
            Ok((Limit::FromNut.check_mm(at)?, Limit::BoardRadius.check_mm(radius)?))
        };
        let ((xa, ra), (xb, rb)) = (read(a)?, read(b)?);
        if (xb - xa).abs() < 10.0 {
            return Err(Error::Inconsistent {
                what: "compound board",
                reason: "the two radii must be given at places at least 10 mm apart",
            });
        }
        let slope = (rb - ra) / (xb - xa);
        Ok(Self { radius: Some((ra - slope * xa, slope)) })
    }

    /// The cone over which every string path of this spread is straight: its radius grows like the
    /// spread from `radius_at_nut`.
    ///
    /// `nut_spread` and `saddle_spread` between the outer strings.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{board::Surface, units::{as_mm, mm}};
    /// let cone = Surface::cone_under(mm(241.3), mm(35.0), mm(52.5), mm(647.7)).unwrap();
    /// assert!((as_mm(cone.radius_at(mm(647.7)).unwrap().unwrap()) - 361.95).abs() < 1e-9);
    /// ```
    pub fn cone_under(
        radius_at_nut: Length,
        nut_spread: Length,
        saddle_spread: Length,
        scale: Length,
    ) -> Result<Self> {
        let r = Limit::BoardRadius.check_mm(radius_at_nut)?;
        let nut = Limit::Spread.check_mm(nut_spread)?;
        let saddle = Limit::Spread.check_mm(saddle_spread)?;
        let scale = Limit::ScaleLength.check_mm(scale)?;
        Ok(Self { radius: Some((r, r * (saddle / nut - 1.0) / scale)) })
    }

    /// The radius at a distance from the nut; `None` for a flat board.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{board::Surface, units::{inches, mm}};
    /// let board = Surface::cylinder(inches(12.0)).unwrap();
    /// assert_eq!(board.radius_at(mm(500.0)).unwrap(), Some(inches(12.0)));
    /// ```
    pub fn radius_at(&self, from_nut: Length) -> Result<Option<Length>> {
        let x = Limit::FromNut.check_mm(from_nut)?;
        Ok(self.radius_mm(x)?.map(mm))
    }

    pub(crate) fn radius_mm(&self, x: f64) -> Result<Option<f64>> {
        let Some((r0, slope)) = self.radius else {
            return Ok(None);
        };
        let r = r0 + slope * x;
        // Rounding may carry a radius at the limit just beyond it.
        let most = Limit::BoardRadius.most();
        Limit::BoardRadius.check(if (most..most * 1.000_001).contains(&r) { most } else { r })?;
        Ok(Some(r))
    }

    /// Height of the crown surface over the spine (never positive), mm.
    pub(crate) fn z_mm(&self, x: f64, y: f64) -> Result<f64> {
        Ok(-drop_mm(self.radius_mm(x)?, y)?)
    }
}

/// The path of one string in plan, and the frets under it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringPath {
    scale: f64,
    frets: usize,
    nut: f64,
    saddle: f64,
}

impl StringPath {
    /// A string that leaves the nut at `nut_offset` and meets the saddle at `saddle_offset` from
    /// the middle (either sign, within 150 mm).
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{board::StringPath, units::{as_mm, mm}};
    /// let path = StringPath::new(mm(863.6), 20, mm(-14.25), mm(-28.5)).unwrap();
    /// assert!((as_mm(path.offset_at(mm(431.8)).unwrap()) + 21.375).abs() < 1e-9);
    /// ```
    pub fn new(
        scale: Length,
        frets: usize,
        nut_offset: Length,
        saddle_offset: Length,
    ) -> Result<Self> {
        Limit::Frets.check_count(frets)?;
        Ok(Self {
            scale: Limit::ScaleLength.check_mm(scale)?,
            frets,
            nut: offset_mm(nut_offset)?,
            saddle: offset_mm(saddle_offset)?,
        })
    }

    /// Offset from the middle at a distance from the nut.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{board::StringPath, units::{as_mm, mm}};
    /// let path = StringPath::new(mm(863.6), 20, mm(-14.0), mm(-28.0)).unwrap();
    /// assert!((as_mm(path.offset_at(mm(431.8)).unwrap()) + 21.0).abs() < 1e-9);
    /// ```
    pub fn offset_at(&self, from_nut: Length) -> Result<Length> {
        let x = Limit::FromNut.check_mm(from_nut)?;
        Ok(mm(self.y_mm(x)))
    }

    /// The same path with its saddle end elsewhere.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{board::StringPath, units::{as_mm, mm}};
    /// let path = StringPath::new(mm(863.6), 20, mm(-14.0), mm(-28.0)).unwrap();
    /// let moved = path.with_saddle_offset(mm(-29.0)).unwrap();
    /// assert!((as_mm(moved.saddle_offset()) + 29.0).abs() < 1e-12);
    /// ```
    pub fn with_saddle_offset(&self, saddle_offset: Length) -> Result<Self> {
        Ok(Self { saddle: offset_mm(saddle_offset)?, ..*self })
    }

    pub(crate) fn y_mm(&self, x: f64) -> f64 {
        self.nut + (self.saddle - self.nut) * x / self.scale
    }

    pub(crate) fn x_mm(&self, fret: usize) -> Result<f64> {
        if fret > self.frets {
            return Err(Error::NoSuchPlace {
                what: "fret",
                number: fret,
                first: 1,
                last: self.frets,
            });
        }
        position(mm(self.scale), fret).map(as_mm)
    }

    /// Crown under the path at a fret, over the spine, mm.
    pub(crate) fn z_mm(&self, surface: &Surface, fret: usize) -> Result<f64> {
        let x = self.x_mm(fret)?;
        surface.z_mm(x, self.y_mm(x))
    }

    /// Lever of a place: the part of a saddle move that shows there.
    pub(crate) fn lever(&self, place: GapPlace) -> Result<f64> {
        let GapPlace { stopped, over } = place;
        if stopped == 0 || over <= stopped {
            return Err(Error::Inconsistent {
                what: "place of a gap",
                reason: "over the board, stop the string at a fret and read over a later one",
            });
        }
        let (xm, xj) = (self.x_mm(stopped)?, self.x_mm(over)?);
        Ok((xj - xm) / (self.scale - xm))
    }
}

/// Height of the crown under a string at `fret`, over the spine: zero or negative.
///
/// # Errors
///
/// [`Error::NoSuchPlace`], [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::board::{crown_under, StringPath, Surface};
/// use fallaway_mechanics::units::{as_mm, mm};
/// let board = Surface::cylinder(mm(241.3)).unwrap();
/// let path = StringPath::new(mm(647.7), 22, mm(-17.5), mm(-26.25)).unwrap();
/// assert!((as_mm(crown_under(&board, &path, 12).unwrap()) + 0.993582).abs() < 1e-6);
/// ```
pub fn crown_under(surface: &Surface, path: &StringPath, fret: usize) -> Result<Length> {
    path.z_mm(surface, fret).map(mm)
}

/// Each crown's deviation from the straight line through the crowns 1 and N under a path, frets 1
/// to N in order; positive: stands above the line. What the arch adds to the neck's own shape.
///
/// # Errors
///
/// As [`crown_under`].
///
/// ```
/// use fallaway_mechanics::board::{hump_profile, StringPath, Surface};
/// use fallaway_mechanics::units::{as_mm, mm};
/// let path = StringPath::new(mm(863.6), 20, mm(-14.25), mm(-28.5)).unwrap();
/// let hump = hump_profile(&Surface::cylinder(mm(241.3)).unwrap(), &path).unwrap();
/// assert_eq!(hump.len(), 20);
/// assert!(as_mm(hump[8]) > 0.03);
/// ```
pub fn hump_profile(surface: &Surface, path: &StringPath) -> Result<Vec<Length>> {
    let (x1, xn) = (path.x_mm(1)?, path.x_mm(path.frets)?);
    let (z1, zn) = (path.z_mm(surface, 1)?, path.z_mm(surface, path.frets)?);
    (1..=path.frets)
        .map(|n| {
            let t = (path.x_mm(n)? - x1) / (xn - x1);
            Ok(mm(path.z_mm(surface, n)? - (z1 * (1.0 - t) + zn * t)))
        })
        .collect()
}

/// The largest gap between crowns 1 to N under a path and the line through the first and last of
/// them, in the sense of relief: a hump is negative, like a back-bow.
///
/// # Errors
///
/// As [`crown_under`].
///
/// ```
/// use fallaway_mechanics::board::{hump, StringPath, Surface};
/// use fallaway_mechanics::units::{as_mm, mm};
/// let path = StringPath::new(mm(647.7), 22, mm(-17.5), mm(-26.25)).unwrap();
/// let h = hump(&Surface::cylinder(mm(241.3)).unwrap(), &path).unwrap();
/// assert!((as_mm(h.gap) + 0.017597).abs() < 1e-6 && h.fret == 9);
/// ```
pub fn hump(surface: &Surface, path: &StringPath) -> Result<Relief> {
    let mut worst = Relief { gap: mm(0.0), fret: 1 };
    for (above, fret) in hump_profile(surface, path)?.into_iter().zip(1..) {
        if above.abs() > worst.gap.abs() {
            worst = Relief { gap: -above, fret };
        }
    }
    Ok(worst)
}

/// The gap at `place` for a saddle of a given height over the spine, on a straight neck.
///
/// # Errors
///
/// As [`crown_under`]; [`Error::Inconsistent`] for an open string (the nut is not modelled here).
///
/// ```
/// use fallaway_mechanics::board::{gap, saddle_height_for, StringPath, Surface};
/// use fallaway_mechanics::{string_line::GapPlace, units::{as_mm, mm}};
/// let board = Surface::cylinder(mm(241.3)).unwrap();
/// let path = StringPath::new(mm(647.7), 22, mm(-17.5), mm(-26.25)).unwrap();
/// let place = GapPlace::stopped_at_1_over(22);
/// let height = saddle_height_for(&board, &path, place, mm(1.6)).unwrap();
/// assert!((as_mm(gap(&board, &path, place, height).unwrap()) - 1.6).abs() < 1e-12);
/// ```
pub fn gap(
    surface: &Surface,
    path: &StringPath,
    place: GapPlace,
    saddle_height: Length,
) -> Result<Length> {
    let height = Limit::SaddleHeight.check_mm(saddle_height)?;
    let t = path.lever(place)?;
    let (zm, zj) = (path.z_mm(surface, place.stopped)?, path.z_mm(surface, place.over)?);
    Ok(mm(zm * (1.0 - t) + height * t - zj))
}

/// The saddle height over the spine at which the gap at `place` is as wanted. Do
/// this for each string, with equal or growing gaps, to get a row of saddles; [`fit_arc`] tells
/// the radius of the result.
///
/// # Errors
///
/// As [`gap`].
///
/// ```
/// use fallaway_mechanics::board::{saddle_height_for, StringPath, Surface};
/// use fallaway_mechanics::{string_line::GapPlace, units::{as_mm, mm}};
/// // The outer string's saddle over a cylinder stands higher than the board's own arc there.
/// let board = Surface::cylinder(mm(241.3)).unwrap();
/// let place = GapPlace::stopped_at_1_over(20);
/// let outer = StringPath::new(mm(863.6), 20, mm(-14.25), mm(-28.5)).unwrap();
/// let middle = StringPath::new(mm(863.6), 20, mm(0.0), mm(0.0)).unwrap();
/// let height = |path| saddle_height_for(&board, path, place, mm(2.0)).unwrap();
/// assert!((as_mm(height(&outer) - height(&middle)) + 1.562208).abs() < 2e-6);
/// ```
pub fn saddle_height_for(
    surface: &Surface,
    path: &StringPath,
    place: GapPlace,
    wanted: Length,
) -> Result<Length> {
    let wanted = Limit::Gap.check_mm(wanted)?;
    let t = path.lever(place)?;
    let (zm, zj) = (path.z_mm(surface, place.stopped)?, path.z_mm(surface, place.over)?);
    Ok(mm((wanted - zm * (1.0 - t) + zj) / t))
}

#[cfg(test)]
#[path = "board_tests.rs"]
mod tests;
