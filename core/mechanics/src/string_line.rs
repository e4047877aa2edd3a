//! The string over the frets: gaps from saddle, nut and neck, and back.
//!
//! # Model
//!
//! A string stopped at m lies straight from the crown of m (the bottom of the nut slot for m = 0)
//! to the saddle's witness point, which stands at `x_s = L + compensation` with height `H` over the
//! body's frame. With `t = (x_j - x_m)/(x_s - x_m)` the gap over fret j is
//!
//! `g(m, j) = (1 - t) z_m + t H - z_j`,
//!
//! linear in the neck's curvature and tilt, in `H`, and in the nut's height. The nut slot is
//! described by its height above the crown profile extended to the nut, because that is what stays
//! when the neck bends. The string's own sag and stiffness are left out.

use fallaway_measure::Limit;
use uom::si::f64::Length;

use crate::error::{Error, Result};
use crate::neck::NeckLine;
use crate::units::mm;

/// Where a gap is read: the fret at which the string is stopped (0 = open) and the fret over which
/// the gap is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct GapPlace {
    /// Stopped at this fret; 0 = open, resting in the nut slot.
    pub stopped: usize,
    /// Read over this fret.
    pub over: usize,
}

impl GapPlace {
    /// Open, over fret 1.
    pub const OPEN_OVER_1: Self = Self::new(0, 1);
    /// Open, over fret 12.
    pub const OPEN_OVER_12: Self = Self::new(0, 12);

    /// Stopped at `stopped`, over `over`.
    ///
    /// ```
    /// use fallaway_mechanics::string_line::GapPlace;
    /// assert_eq!(GapPlace::new(0, 12), GapPlace::OPEN_OVER_12);
    /// ```
    pub const fn new(stopped: usize, over: usize) -> Self {
        Self { stopped, over }
    }

    /// Stopped at 1, over the last fret: steady, and free of the nut.
    ///
    /// ```
    /// use fallaway_mechanics::string_line::GapPlace;
    /// assert_eq!(GapPlace::stopped_at_1_over(24), GapPlace::new(1, 24));
    /// ```
    pub const fn stopped_at_1_over(last: usize) -> Self {
        Self::new(1, last)
    }
}

/// A reading of the nut slot's height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NutReading {
    /// Open string, gap over fret 1.
    OpenOver1(Length),
    /// String held down at fret 3, gap over fret 1.
    HeldAt3Over1(Length),
}

/// How a gap answers to each part of an instrument: the row of the linear model.
///
/// `g = curvature * kappa + tilt * theta + saddle * H + nut * q + constant`, lengths in mm,
/// curvature in 1/mm, tilt in rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct GapRow {
    pub curvature: f64,
    pub tilt: f64,
    pub saddle: f64,
    pub nut: f64,
    pub constant: f64,
}

impl GapRow {
    /// The row of `place` on a neck (whose own curvature and tilt do not matter).
    pub(crate) fn new(neck: &NeckLine, saddle_x: f64, place: GapPlace) -> Result<Self> {
        let GapPlace { stopped, over } = place;
        if over <= stopped {
            return Err(Error::Inconsistent {
                what: "place of a gap",
                reason: "the gap must lie over a fret beyond the one at which the string is stopped",
            });
        }
        let (xm, xj) = (neck.x_mm(stopped)?, neck.x_mm(over)?);
        let (dm, dj) = (neck.before_joint_mm(stopped)?, neck.before_joint_mm(over)?);
        let t = (xj - xm) / (saddle_x - xm);
        let rest = 1.0 - t;
        Ok(Self {
            curvature: rest * dm * dm / 2.0 - dj * dj / 2.0,
            tilt: rest * dm - dj,
            saddle: t,
            nut: if stopped == 0 { rest } else { 0.0 },
            constant: rest * neck.offset_mm(stopped)? - neck.offset_mm(over)?,
        })
    }

    /// The row of the gap over `over` with the string held down at `held`, on the nut's side.
    pub(crate) fn held(neck: &NeckLine, held: usize, over: usize) -> Result<Self> {
        if over == 0 || over >= held {
            return Err(Error::Inconsistent {
                what: "place of a gap",
                reason: "with the string held down, the gap must lie over a fret between nut and held fret",
            });
        }
        let (xh, xj) = (neck.x_mm(held)?, neck.x_mm(over)?);
        let (d0, dh, dj) =
            (neck.before_joint_mm(0)?, neck.before_joint_mm(held)?, neck.before_joint_mm(over)?);
        let t = xj / xh;
        Ok(Self {
            curvature: (1.0 - t) * d0 * d0 / 2.0 + t * dh * dh / 2.0 - dj * dj / 2.0,
            tilt: (1.0 - t) * d0 + t * dh - dj,
            saddle: 0.0,
            nut: 1.0 - t,
            constant: t * neck.offset_mm(held)? - neck.offset_mm(over)?,
        })
    }

    /// The gap, mm.
    pub(crate) fn gap(&self, curvature: f64, tilt: f64, saddle: f64, nut: f64) -> f64 {
        self.curvature * curvature
            + self.tilt * tilt
            + self.saddle * saddle
            + self.nut * nut
            + self.constant
    }
}

/// Where the witness point stands, mm from the nut; refused when it does not lie beyond the frets.
pub(crate) fn saddle_x_mm(neck: &NeckLine, compensation: Length) -> Result<f64> {
    let compensation = Limit::Compensation.check_mm(compensation)?;
    let scale = crate::units::as_mm(neck.scale());
    let x = scale + compensation;
    if x <= neck.x_mm(neck.frets())? + 0.01 * scale {
        return Err(Error::Inconsistent {
            what: "compensation",
            reason: "the saddle would stand over the last fret",
        });
    }
    Ok(x)
}

/// One string over one neck: everything that its gaps depend on.
///
/// ```
/// use fallaway_mechanics::neck::{NeckLine, ReliefWay};
/// use fallaway_mechanics::string_line::{NutReading, GapPlace, StringLine};
/// use fallaway_mechanics::units::{as_mm, inches, mm};
/// // 34 in bass, 24 frets, bending to 24, relief 0.20 mm, 2.00 mm stopped at 1 over 24,
/// // 0.50 mm open over 1. What is the open action at 12?
/// let neck = NeckLine::new(inches(34.0), 24, 24.0).unwrap()
///     .with_relief(mm(0.20), ReliefWay::largest(24)).unwrap();
/// let line = StringLine::from_readings(
///     neck, mm(0.0), GapPlace::stopped_at_1_over(24), mm(2.0), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// assert!((as_mm(line.gap(GapPlace::OPEN_OVER_12).unwrap()) - 1.728669).abs() < 2e-6);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct StringLine {
    neck: NeckLine,
    saddle_x: f64,
    saddle: f64,
    nut: f64,
}

impl StringLine {
    /// A string from its parts.
    ///
    /// `compensation`: how far the witness point stands beyond the scale length.
    /// `saddle_height` of the string's underside there, over the body's frame.
    /// `nut_height`: bottom of the slot above the crown profile extended to the nut.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`], or [`Error::Inconsistent`] when the saddle would not lie beyond the last
    /// fret.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::StringLine, units::mm};
    /// let neck = NeckLine::new(mm(647.7), 22, 16.0).unwrap();
    /// assert!(StringLine::new(neck, mm(2.0), mm(2.3), mm(0.35)).is_ok());
    /// ```
    pub fn new(
        neck: NeckLine,
        compensation: Length,
        saddle_height: Length,
        nut_height: Length,
    ) -> Result<Self> {
        let saddle_x = saddle_x_mm(&neck, compensation)?;
        Ok(Self {
            saddle: Limit::SaddleHeight.check_mm(saddle_height)?,
            nut: Limit::NutHeight.check_mm(nut_height)?,
            neck,
            saddle_x,
        })
    }

    /// The string whose action reads `gap` at `action` and whose nut reads as `nut`, over a neck
    /// of known shape: saddle height and nut height from two readings.
    ///
    /// # Errors
    ///
    /// As [`StringLine::new`]; [`Error::Undetermined`] when both readings say the same (open over 1
    /// twice); [`Error::NoSuchPlace`].
    ///
    /// ```
    /// use fallaway_mechanics::neck::NeckLine;
    /// use fallaway_mechanics::string_line::{NutReading, GapPlace, StringLine};
    /// use fallaway_mechanics::units::{as_mm, mm};
    /// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
    /// let line = StringLine::from_readings(
    ///     neck, mm(0.0), GapPlace::OPEN_OVER_12, mm(1.8), NutReading::OpenOver1(mm(0.4)),
    /// ).unwrap();
    /// assert!((as_mm(line.saddle_height()) - 3.377023).abs() < 2e-6);
    /// ```
    pub fn from_readings(
        neck: NeckLine,
        compensation: Length,
        action: GapPlace,
        gap: Length,
        nut: NutReading,
    ) -> Result<Self> {
        let saddle_x = saddle_x_mm(&neck, compensation)?;
        let gap = Limit::Gap.check_mm(gap)?;
        let (k, tilt) = neck.bend();
        let action_row = GapRow::new(&neck, saddle_x, action)?;
        let (nut_row, nut_gap) = match nut {
            NutReading::OpenOver1(g) => (GapRow::new(&neck, saddle_x, GapPlace::OPEN_OVER_1)?, g),
            NutReading::HeldAt3Over1(g) => (GapRow::held(&neck, 3, 1)?, g),
        };
        let nut_gap = Limit::Gap.check_mm(nut_gap)?;
        // Two linear equations in saddle and nut height.
        let (a, b, r) =
            (action_row.saddle, action_row.nut, gap - action_row.gap(k, tilt, 0.0, 0.0));
        let (c, d, s) = (nut_row.saddle, nut_row.nut, nut_gap - nut_row.gap(k, tilt, 0.0, 0.0));
        let determinant = a * d - b * c;
        if determinant.abs() < 1e-9 {
            return Err(Error::Undetermined {
                what: "saddle and nut height",
                reason: "both readings are of the nut; read the action over a higher fret",
            });
        }
        Self::new(
            neck,
            compensation,
            mm((r * d - b * s) / determinant),
            mm((a * s - c * r) / determinant),
        )
    }

    /// The same string over another state of the neck, saddle untouched and nut slot as high above
    /// the crowns as before: what a rod turn or a season does.
    ///
    /// # Errors
    ///
    /// [`Error::Inconsistent`] when the new neck has another scale.
    ///
    /// ```
    /// use fallaway_mechanics::neck::{NeckLine, ReliefWay};
    /// use fallaway_mechanics::string_line::{GapPlace, StringLine};
    /// use fallaway_mechanics::units::{as_mm, mm};
    /// let straight = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
    /// let line = StringLine::new(straight.clone(), mm(0.0), mm(2.72), mm(0.37)).unwrap();
    /// let moved = line
    ///     .with_neck(straight.with_relief(mm(0.10), ReliefWay::largest(24)).unwrap())
    ///     .unwrap();
    /// let rise = moved.gap(GapPlace::OPEN_OVER_12).unwrap() - line.gap(GapPlace::OPEN_OVER_12).unwrap();
    /// assert!((as_mm(rise) - 0.181747).abs() < 2e-6);
    /// ```
    pub fn with_neck(&self, neck: NeckLine) -> Result<Self> {
        if neck.scale() != self.neck.scale() {
            return Err(Error::Inconsistent {
                what: "scale length",
                reason: "the new neck must have the scale length of the old one",
            });
        }
        if self.saddle_x <= neck.x_mm(neck.frets())? {
            return Err(Error::Inconsistent {
                what: "number of frets",
                reason: "the saddle would stand over the last fret",
            });
        }
        Ok(Self { neck, ..self.clone() })
    }

    /// The same string with another saddle height.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::{GapPlace, StringLine}, units::{as_mm, mm}};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// let line = StringLine::new(neck, mm(0.0), mm(4.0), mm(0.3)).unwrap();
    /// let lower = line.with_saddle_height(mm(3.5)).unwrap();
    /// let change = lower.gap(GapPlace::OPEN_OVER_12).unwrap() - line.gap(GapPlace::OPEN_OVER_12).unwrap();
    /// assert!((as_mm(change) + 0.25).abs() < 1e-12);
    /// ```
    pub fn with_saddle_height(&self, height: Length) -> Result<Self> {
        Ok(Self { saddle: Limit::SaddleHeight.check_mm(height)?, ..self.clone() })
    }

    /// The neck under this string.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::StringLine, units::{as_mm, mm}};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// let line = StringLine::new(neck, mm(2.0), mm(4.0), mm(0.3)).unwrap();
    /// assert_eq!(line.neck().frets(), 19);
    /// ```
    pub fn neck(&self) -> &NeckLine {
        &self.neck
    }

    /// Height of the witness point over the body's frame.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::StringLine, units::{as_mm, mm}};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// let line = StringLine::new(neck, mm(2.0), mm(4.0), mm(0.3)).unwrap();
    /// assert!((as_mm(line.saddle_height()) - 4.0).abs() < 1e-12);
    /// ```
    pub fn saddle_height(&self) -> Length {
        mm(self.saddle)
    }

    /// Distance from the nut to the witness point.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::StringLine, units::{as_mm, mm}};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// let line = StringLine::new(neck, mm(2.0), mm(4.0), mm(0.3)).unwrap();
    /// assert!((as_mm(line.saddle_position()) - 652.0).abs() < 1e-9);
    /// ```
    pub fn saddle_position(&self) -> Length {
        mm(self.saddle_x)
    }

    /// Bottom of the nut slot above the crown profile extended to the nut.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::StringLine, units::{as_mm, mm}};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// let line = StringLine::new(neck, mm(2.0), mm(4.0), mm(0.3)).unwrap();
    /// assert!((as_mm(line.nut_height()) - 0.3).abs() < 1e-12);
    /// ```
    pub fn nut_height(&self) -> Length {
        mm(self.nut)
    }

    /// Bottom of the nut slot over the body's frame.
    ///
    /// # Errors
    ///
    /// None in practice; the signature is that of the other places along the string.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::StringLine, units::{as_mm, mm}};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// let line = StringLine::new(neck, mm(2.0), mm(4.0), mm(0.3)).unwrap();
    /// assert!((as_mm(line.nut_slot().unwrap()) - 0.3).abs() < 1e-12); // a straight neck
    /// ```
    pub fn nut_slot(&self) -> Result<Length> {
        Ok(mm(self.nut + self.neck.z_mm(0)?))
    }

    /// The gap `g(m, j)`; negative when the model puts the string through the fret.
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`] for a fret that this neck lacks, [`Error::Inconsistent`] unless j > m.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::{GapPlace, StringLine}};
    /// use fallaway_mechanics::units::{as_mm, mm};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// let line = StringLine::new(neck, mm(0.0), mm(4.0), mm(0.0)).unwrap();
    /// assert!((as_mm(line.gap(GapPlace::OPEN_OVER_12).unwrap()) - 2.0).abs() < 1e-12);
    /// assert!(line.gap(GapPlace::new(12, 12)).is_err());
    /// ```
    pub fn gap(&self, place: GapPlace) -> Result<Length> {
        let (k, tilt) = self.neck.bend();
        let row = GapRow::new(&self.neck, self.saddle_x, place)?;
        Ok(mm(row.gap(k, tilt, self.saddle, self.nut)))
    }

    /// The gap over `over` while the string is held down at `held`, on the nut's side: for the nut,
    /// held at 3 over 1.
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`]; [`Error::Inconsistent`] unless 0 < over < held.
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::StringLine, units::{as_mm, mm}};
    /// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
    /// let line = StringLine::new(neck, mm(0.0), mm(2.720592), mm(0.367957)).unwrap();
    /// assert!((as_mm(line.gap_held(3, 1).unwrap()) - 0.238156).abs() < 2e-6);
    /// ```
    pub fn gap_held(&self, held: usize, over: usize) -> Result<Length> {
        let (k, tilt) = self.neck.bend();
        Ok(mm(GapRow::held(&self.neck, held, over)?.gap(k, tilt, self.saddle, self.nut)))
    }

    /// The saddle height at which the gap at `place` becomes `gap`, nut and neck
    /// untouched.
    ///
    /// # Errors
    ///
    /// As [`StringLine::gap`]; [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{neck::NeckLine, string_line::{GapPlace, StringLine}};
    /// use fallaway_mechanics::units::{as_mm, mm};
    /// let neck = NeckLine::new(mm(650.0), 19, 12.0).unwrap();
    /// let line = StringLine::new(neck, mm(0.0), mm(5.0), mm(0.3)).unwrap();
    /// let height = line.saddle_height_for(GapPlace::OPEN_OVER_12, mm(2.0)).unwrap();
    /// let after = line.with_saddle_height(height).unwrap();
    /// assert!((as_mm(after.gap(GapPlace::OPEN_OVER_12).unwrap()) - 2.0).abs() < 1e-12);
    /// ```
    pub fn saddle_height_for(&self, place: GapPlace, gap: Length) -> Result<Length> {
        let gap = Limit::Gap.check_mm(gap)?;
        let (k, tilt) = self.neck.bend();
        let row = GapRow::new(&self.neck, self.saddle_x, place)?;
        let height = (gap - row.gap(k, tilt, 0.0, self.nut)) / row.saddle;
        Ok(mm(Limit::SaddleHeight.check_mm(mm(height))?))
    }
}

/// How much the saddle must move for each unit of wanted change of the gap at `place`:
/// `(x_s - x_m)/(x_j - x_m)`, a plain number above 1. Two for open over 12.
///
/// # Errors
///
/// [`Error::NoSuchPlace`], [`Error::Inconsistent`], [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{neck::NeckLine, string_line::{saddle_factor, GapPlace}, units::mm};
/// let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
/// let f = |place| saddle_factor(&neck, mm(0.0), place).unwrap();
/// assert!((f(GapPlace::OPEN_OVER_12) - 2.0).abs() < 1e-12);
/// assert!((f(GapPlace::new(0, 17)) - 1.598917).abs() < 1e-6);
/// assert!((f(GapPlace::stopped_at_1_over(24)) - 1.360296).abs() < 1e-6);
/// ```
pub fn saddle_factor(neck: &NeckLine, compensation: Length, place: GapPlace) -> Result<f64> {
    let saddle_x = saddle_x_mm(neck, compensation)?;
    Ok(1.0 / GapRow::new(neck, saddle_x, place)?.saddle)
}

/// How much deeper a nut slot must be for each unit by which the gap over a fret is to shrink: a plain
/// number above 1. With the string held down at `held`, `1/(1 - x_over/x_held)`: the string turns about
/// the crown at `held`. Open (`held` 0) it turns about the saddle. Similar triangles; the scale length
/// cancels.
///
/// # Errors
///
/// [`Error::NoSuchPlace`] unless `over` lies between the nut and the place where the string is held.
///
/// ```
/// use fallaway_mechanics::string_line::slot_factor;
/// assert!((slot_factor(3, 1).unwrap() - 1.545).abs() < 1e-3);
/// assert!((slot_factor(0, 1).unwrap() - 2f64.powf(1.0 / 12.0)).abs() < 1e-12);
/// ```
pub fn slot_factor(held: usize, over: usize) -> Result<f64> {
    if over == 0 || (held > 0 && over >= held) {
        return Err(Error::NoSuchPlace {
            what: "fret",
            number: over,
            first: 1,
            last: held.saturating_sub(1),
        });
    }
    let from_nut = |fret: usize| 1.0 - 2_f64.powf(-(fret as f64) / 12.0);
    let pivot = if held == 0 { 1.0 } else { from_nut(held) };
    Ok(pivot / (pivot - from_nut(over)))
}

/// The saddle move for a wanted change of the gap at `place`: positive raises.
///
/// # Errors
///
/// As [`saddle_factor`].
///
/// ```
/// use fallaway_mechanics::{neck::NeckLine, string_line::{saddle_move, GapPlace}, units::{as_mm, mm}};
/// let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
/// let down = saddle_move(&neck, mm(0.0), GapPlace::OPEN_OVER_12, mm(-0.25)).unwrap();
/// assert!((as_mm(down) + 0.5).abs() < 1e-12);
/// ```
pub fn saddle_move(
    neck: &NeckLine,
    compensation: Length,
    place: GapPlace,
    wanted_change: Length,
) -> Result<Length> {
    let change = Limit::HeightChange.check_mm(wanted_change)?;
    Ok(mm(change * saddle_factor(neck, compensation, place)?))
}

#[cfg(test)]
#[path = "string_line_tests.rs"]
mod tests;
