//! How high each fret crown stands, and what that means: relief, twist, crowns that stand proud.
//!
//! # Model
//!
//! Seen in the plane of one string, the neck bends with constant curvature `kappa` from the nut to
//! the joint at `x_J` and is straight from there to the saddle. In the frame of the body (the
//! straight part is z = 0) the crown at x has the height
//!
//! `z(x) = kappa/2 d^2 + tilt d + offset`, with `d = max(0, x_J - x)`.
//!
//! `tilt` turns the whole neck at the joint (positive: the nut end rises toward the strings);
//! `offset` is what one crown deviates by itself (a worn fret, a fall-away). Slopes are small, so
//! heights add and lengths along the neck are not corrected; against exact circular arcs the error
//! is below 1e-5 mm for relief up to 0.3 mm on a 34 in scale (`geometry.json` of the reference
//! data).
//!
//! Constant curvature and a sharp joint are a model. Where a real neck differs, crown heights can
//! be given one by one.

use fallaway_measure::Limit;
use uom::si::angle::radian;
use uom::si::f64::{Angle, Curvature, Length};

use crate::error::{Error, Result};
use crate::frets::fraction;
use crate::uncertain::Uncertain;
use crate::units::{as_per_mm, mm, per_mm};

/// So many frets before the first one over the body a neck stops bending as a rule: the heel stiffens it
/// (common practice, no source). A joint taken to be sharp at the body would ascribe a twelfth to a quarter too
/// much of a changed action to the neck. The one neck of which crowns were published (C. Issanchou and
/// others, Applied Acoustics 129 (2018) 217; data as used in the repository siconos-tutorials) is straight
/// from fret 12 on.
pub const BEFORE_BODY: usize = 2;

/// The fret at which the neck stops bending, and how well that is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// The place, counted in frets; between two frets is allowed.
    pub fret: f64,
    /// One standard deviation, in frets.
    pub standard_uncertainty: f64,
}

impl Joint {
    /// A joint that is known.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`] outside [`Limit::JointFret`].
    ///
    /// ```
    /// assert_eq!(fallaway_mechanics::neck::Joint::known(16.0).unwrap().standard_uncertainty, 0.0);
    /// ```
    pub fn known(fret: f64) -> Result<Self> {
        Ok(Self { fret: Limit::JointFret.check(fret)?, standard_uncertainty: 0.0 })
    }

    /// Where a neck stops bending, from the first fret that lies over the body: [`BEFORE_BODY`] frets
    /// before it, until something better is known; two frets either way are possible, equally likely
    /// within (common practice, no source), so the standard uncertainty is 2/sqrt(3) frets
    /// (JCGM 100:2008, 4.3.7).
    ///
    /// # Errors
    ///
    /// As [`Joint::known`].
    ///
    /// ```
    /// let joint = fallaway_mechanics::neck::Joint::first_over_body(16).unwrap();
    /// assert_eq!(joint.fret, 14.0);
    /// assert!((joint.standard_uncertainty - 1.1547).abs() < 1e-4);
    /// ```
    pub fn first_over_body(fret: usize) -> Result<Self> {
        Ok(Self {
            standard_uncertainty: 2.0 / 3f64.sqrt(),
            ..Self::known(fret.saturating_sub(BEFORE_BODY).max(1) as f64)?
        })
    }

    /// The joint as a plain estimate, in frets.
    pub(crate) fn estimate(self) -> Uncertain<f64> {
        Uncertain { value: self.fret, standard_uncertainty: self.standard_uncertainty }
    }
}

/// How relief is read: a straight line through two crowns, and the place of the gap under it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ReliefWay {
    /// The crown on which the line rests near the nut.
    pub from: usize,
    /// The crown on which it rests near the body.
    pub to: usize,
    /// The fret at which the gap is read; `None`: where it is largest.
    pub at: Option<usize>,
}

impl ReliefWay {
    /// The largest gap under a line from fret 1 to fret `to`.
    ///
    /// ```
    /// use fallaway_mechanics::neck::ReliefWay;
    /// assert_eq!(ReliefWay::largest(24).at, None);
    /// ```
    pub fn largest(to: usize) -> Self {
        Self { from: 1, to, at: None }
    }

    /// The gap at fret `fret` under a line from fret 1 to fret `to`.
    ///
    /// ```
    /// use fallaway_mechanics::neck::ReliefWay;
    /// assert_eq!(ReliefWay::at_fret(8, 24).at, Some(8));
    /// ```
    pub fn at_fret(fret: usize, to: usize) -> Self {
        Self { from: 1, to, at: Some(fret) }
    }
}

/// A relief and where it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relief {
    /// The gap; negative for a back-bow.
    pub gap: Length,
    /// The fret at which it is.
    pub fret: usize,
}

/// The neck in the plane of one string.
///
/// ```
/// use fallaway_mechanics::neck::{NeckLine, ReliefWay};
/// use fallaway_mechanics::units::{as_mm, inches, mm};
/// // A 34 in bass with 24 frets that bends up to the 16th: what curvature is 0.20 mm of relief?
/// let straight = NeckLine::new(inches(34.0), 24, 16.0).unwrap();
/// let way = ReliefWay::largest(24);
/// let neck = straight.with_relief(mm(0.20), way).unwrap();
/// let relief = neck.relief(way).unwrap();
/// assert!((as_mm(relief.gap) - 0.20).abs() < 1e-12);
/// assert_eq!(relief.fret, 8);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct NeckLine {
    scale: f64,
    joint: f64,
    curvature: f64,
    tilt: f64,
    /// Nut first, then frets 1 to N; mm.
    x: Vec<f64>,
    /// Deviation of each crown, same order; 0 at the nut.
    offset: Vec<f64>,
}

impl NeckLine {
    /// A straight neck.
    ///
    /// [`Limit::ScaleLength`], [`Limit::Frets`] and [`Limit::JointFret`] hold; a [`Joint`] beyond the
    /// last fret bends the whole board.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::mm};
    /// assert!(NeckLine::new(mm(647.7), 22, 16.0).is_ok());
    /// assert!(NeckLine::new(mm(647.7), 22, 0.0).is_err());
    /// ```
    pub fn new(scale: Length, frets: usize, joint: f64) -> Result<Self> {
        let scale = Limit::ScaleLength.check_mm(scale)?;
        Limit::Frets.check_count(frets)?;
        let joint = Joint::known(joint)?.fret;
        Ok(Self {
            scale,
            joint: scale * fraction(joint),
            curvature: 0.0,
            tilt: 0.0,
            x: (0..=frets).map(|n| scale * fraction(n as f64)).collect(),
            offset: vec![0.0; frets + 1],
        })
    }

    /// The same neck with another curvature (positive: relief), at most 1e-3 per mm either way.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::{mm, per_mm}};
    /// assert!(NeckLine::new(mm(650.0), 19, 12.0).unwrap().with_curvature(per_mm(4e-6)).is_ok());
    /// ```
    pub fn with_curvature(&self, curvature: Curvature) -> Result<Self> {
        let curvature = Limit::NeckCurvature.check(as_per_mm(curvature))?;
        Ok(Self { curvature, ..self.clone() })
    }

    /// The same neck tilted at the joint (positive: the nut end rises toward the strings), at most
    /// 0.05 rad either way.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::{as_mm, mm}};
    /// use uom::si::{angle::radian, f64::Angle};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// let back = neck.with_tilt(Angle::new::<radian>(-0.001)).unwrap();
    /// assert!((as_mm(back.crown(0).unwrap()) + 0.325).abs() < 1e-12);
    /// ```
    pub fn with_tilt(&self, tilt: Angle) -> Result<Self> {
        let tilt = Limit::NeckTilt.check(tilt.get::<radian>())?;
        Ok(Self { tilt, ..self.clone() })
    }

    /// The same neck with each crown's own deviation, frets 1 to N in order (positive: proud), at
    /// most 3 mm either way. Levelled, worn and fall-away frets are given this way.
    ///
    /// # Errors
    ///
    /// [`Error::CountMismatch`] unless there is one per fret, [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::{as_mm, mm}};
    /// let neck = NeckLine::new(mm(650.0), 3, 12.0).unwrap();
    /// let worn = neck.with_crown_offsets(&[mm(-0.1), mm(-0.05), mm(0.0)]).unwrap();
    /// assert!((as_mm(worn.crown(1).unwrap()) + 0.1).abs() < 1e-12);
    /// assert!(neck.with_crown_offsets(&[mm(0.0)]).is_err());
    /// ```
    pub fn with_crown_offsets(&self, offsets: &[Length]) -> Result<Self> {
        if offsets.len() != self.frets() {
            return Err(Error::CountMismatch {
                quantity: "crown heights",
                given: offsets.len(),
                expected: self.frets(),
            });
        }
        let mut offset = Vec::with_capacity(self.x.len());
        offset.push(0.0);
        for o in offsets {
            offset.push(Limit::CrownOffset.check_mm(*o)?);
        }
        Ok(Self { offset, ..self.clone() })
    }

    /// The same neck bent so that a relief read the given way comes out as `relief`.
    ///
    /// # Errors
    ///
    /// As [`NeckLine::curvature_for_relief`].
    ///
    /// ```
    /// use fallaway_mechanics::{neck::{NeckLine, ReliefWay}, units::*};
    /// let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
    /// let way = ReliefWay::at_fret(8, 24);
    /// let bent = neck.with_relief(mm(0.25), way).unwrap();
    /// assert!((as_mm(bent.relief(way).unwrap().gap) - 0.25).abs() < 1e-12);
    /// ```
    pub fn with_relief(&self, relief: Length, way: ReliefWay) -> Result<Self> {
        self.with_curvature(self.curvature_for_relief(relief, way)?)
    }

    /// Number of frets.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::*};
    /// let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
    /// assert_eq!(neck.frets(), 24);
    /// ```
    pub fn frets(&self) -> usize {
        self.x.len().saturating_sub(1)
    }

    /// Scale length of this string.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::*};
    /// let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
    /// assert!((as_mm(neck.scale()) - 863.6).abs() < 1e-9);
    /// ```
    pub fn scale(&self) -> Length {
        mm(self.scale)
    }

    /// Curvature of this neck.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::*};
    /// let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
    /// assert_eq!(neck.curvature(), per_mm(0.0));
    /// ```
    pub fn curvature(&self) -> Curvature {
        per_mm(self.curvature)
    }

    /// Tilt at the joint.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::*};
    /// let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
    /// assert_eq!(neck.tilt().value, 0.0);
    /// ```
    pub fn tilt(&self) -> Angle {
        Angle::new::<radian>(self.tilt)
    }

    /// Distance from the nut to fret `fret` (0 = nut).
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`] beyond the last fret.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::{as_mm, mm}};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// assert!((as_mm(neck.position(12).unwrap()) - 325.0).abs() < 1e-9);
    /// ```
    pub fn position(&self, fret: usize) -> Result<Length> {
        Ok(mm(self.x_mm(fret)?))
    }

    /// Height of the crown of `fret` in the body's frame; for 0, of the crown profile extended to
    /// the nut.
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`] beyond the last fret.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, units::{as_mm, mm, per_mm}};
    /// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap().with_curvature(per_mm(4e-6)).unwrap();
    /// assert_eq!(as_mm(neck.crown(24).unwrap()), 0.0);
    /// assert!((as_mm(neck.crown(0).unwrap()) - 2e-6 * 647.7f64.powi(2)).abs() < 1e-9);
    /// ```
    pub fn crown(&self, fret: usize) -> Result<Length> {
        Ok(mm(self.z_mm(fret)?))
    }

    /// The gap between the line through the crowns of a [`ReliefWay`] and the crown it is read at.
    ///
    /// Where it is read is `way.at`, or the crown with the gap of greatest size (a back-bow gives a
    /// negative gap; between equal ones the lower fret).
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`], or [`Error::Inconsistent`] when there is no fret between the ends.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::{NeckLine, ReliefWay}, units::{as_mm, mm, per_mm}};
    /// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap()
    ///     .with_curvature(per_mm(4.45607759e-06)).unwrap();
    /// let r = neck.relief(ReliefWay::largest(24)).unwrap();
    /// assert!((as_mm(r.gap) - 0.2).abs() < 1e-6 && r.fret == 9);
    /// ```
    pub fn relief(&self, way: ReliefWay) -> Result<Relief> {
        let mut best: Option<(usize, f64)> = None;
        for fret in self.frets_of(way)? {
            let gap = self.relief_gap_mm(way, fret)?;
            if best.is_none_or(|(_, b)| gap.abs() > b.abs()) {
                best = Some((fret, gap));
            }
        }
        best.map(|(fret, gap)| Relief { gap: mm(gap), fret }).ok_or(NO_FRET_BETWEEN)
    }

    /// The curvature at which a relief read the given way comes out as `relief`,
    /// with this neck's crown deviations. Exact inverse of [`NeckLine::relief`] for even crowns.
    ///
    /// With uneven crowns and no named fret, a positive relief is taken as the largest gap and a
    /// negative one as the smallest.
    ///
    /// # Errors
    ///
    /// As [`NeckLine::relief`]; [`Error::Undetermined`] when the line lies wholly on the straight
    /// part, where curvature makes no gap.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::{NeckLine, ReliefWay}, units::{as_per_mm, mm}};
    /// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
    /// let k = neck.curvature_for_relief(mm(0.10), ReliefWay::at_fret(7, 24)).unwrap();
    /// assert!((as_per_mm(k) - 2.323849865e-06).abs() < 1e-14);
    /// ```
    pub fn curvature_for_relief(&self, relief: Length, way: ReliefWay) -> Result<Curvature> {
        let relief = Limit::Relief.check_mm(relief)?;
        let flat = Self { curvature: 0.0, ..self.clone() };
        let bent =
            Self { curvature: 1.0, offset: vec![0.0; self.x.len()], tilt: 0.0, ..self.clone() };
        let mut best: Option<f64> = None;
        for fret in self.frets_of(way)? {
            let per_curvature = bent.relief_gap_mm(way, fret)?;
            // A gap of less than a millionth of what the neck's own bend makes is no gap.
            if per_curvature.abs() <= 1e-6 * self.scale {
                continue;
            }
            let wanted = (relief - flat.relief_gap_mm(way, fret)?) / per_curvature;
            best = Some(match best {
                None => wanted,
                Some(b) if relief < 0.0 => b.max(wanted),
                Some(b) => b.min(wanted),
            });
        }
        let curvature = best.ok_or(Error::Undetermined {
            what: "neck curvature",
            reason: "the line lies on the straight part of the neck; read relief over the part that bends",
        })?;
        let curvature = Limit::NeckCurvature.check(curvature)?;
        Ok(per_mm(curvature))
    }

    /// Curvature in 1/mm and tilt in rad.
    pub(crate) fn bend(&self) -> (f64, f64) {
        (self.curvature, self.tilt)
    }

    /// Position in mm.
    pub(crate) fn x_mm(&self, fret: usize) -> Result<f64> {
        self.x.get(fret).copied().ok_or_else(|| self.no_such_fret(fret))
    }

    /// Crown height in mm.
    pub(crate) fn z_mm(&self, fret: usize) -> Result<f64> {
        let d = self.before_joint_mm(fret)?;
        let offset = self.offset_mm(fret)?;
        Ok(self.curvature / 2.0 * d * d + self.tilt * d + offset)
    }

    /// A crown's own deviation in mm.
    pub(crate) fn offset_mm(&self, fret: usize) -> Result<f64> {
        self.offset.get(fret).copied().ok_or_else(|| self.no_such_fret(fret))
    }

    /// How far a crown lies before the joint, mm; 0 beyond it.
    pub(crate) fn before_joint_mm(&self, fret: usize) -> Result<f64> {
        Ok((self.joint - self.x_mm(fret)?).max(0.0))
    }

    /// Gap under the line of `way` at `fret`, mm.
    fn relief_gap_mm(&self, way: ReliefWay, fret: usize) -> Result<f64> {
        let (x0, x1, x) = (self.x_mm(way.from)?, self.x_mm(way.to)?, self.x_mm(fret)?);
        let t = (x - x0) / (x1 - x0);
        Ok(self.z_mm(way.from)? * (1.0 - t) + self.z_mm(way.to)? * t - self.z_mm(fret)?)
    }

    /// How a relief answers to curvature (mm per 1/mm), tilt (mm per rad) and crowns (mm). Without
    /// a named fret: at the crown where curvature makes the largest gap.
    pub(crate) fn relief_row(&self, way: ReliefWay) -> Result<(f64, f64, f64)> {
        let mut best = (0.0, 0.0, 0.0);
        for fret in self.frets_of(way)? {
            let t = {
                let (x0, x1) = (self.x_mm(way.from)?, self.x_mm(way.to)?);
                (self.x_mm(fret)? - x0) / (x1 - x0)
            };
            let (d0, d1, d) = (
                self.before_joint_mm(way.from)?,
                self.before_joint_mm(way.to)?,
                self.before_joint_mm(fret)?,
            );
            let curvature = ((1.0 - t) * d0 * d0 + t * d1 * d1 - d * d) / 2.0;
            let tilt = (1.0 - t) * d0 + t * d1 - d;
            let crowns = (1.0 - t) * self.offset_mm(way.from)? + t * self.offset_mm(way.to)?
                - self.offset_mm(fret)?;
            if way.at.is_some() || curvature > best.0 {
                best = (curvature, tilt, crowns);
            }
        }
        Ok(best)
    }

    /// The frets at which a way of reading relief may find its gap.
    fn frets_of(&self, way: ReliefWay) -> Result<std::ops::RangeInclusive<usize>> {
        for fret in [way.from, way.to] {
            if fret == 0 {
                return Err(self.no_such_fret(0));
            }
            self.x_mm(fret)?;
        }
        if way.to < way.from.saturating_add(2) {
            return Err(NO_FRET_BETWEEN);
        }
        match way.at {
            Some(at) if at <= way.from || at >= way.to => Err(Error::Inconsistent {
                what: "relief",
                reason: "the fret it is read at must lie between the two on which the line rests",
            }),
            Some(at) => Ok(at..=at),
            None => Ok(way.from + 1..=way.to - 1),
        }
    }

    fn no_such_fret(&self, number: usize) -> Error {
        Error::NoSuchPlace { what: "fret", number, first: 1, last: self.frets() }
    }
}

const NO_FRET_BETWEEN: Error = Error::Inconsistent {
    what: "relief",
    reason: "the line must rest on two frets with at least one between them",
};

#[cfg(test)]
#[path = "neck_tests.rs"]
mod tests;
