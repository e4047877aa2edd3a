//! The circle through a row of string undersides.

use fallaway_measure::Limit;
use nalgebra::{DMatrix, DVector};
use uom::si::f64::{Curvature, Length};

use super::offset_mm;
use crate::error::{Error, Result};
use crate::uncertain::Uncertain;
use crate::units::{mm, per_mm};

/// Where the middle of the arc lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Centre {
    /// At this offset, for example over the board's middle.
    At(Length),
    /// To be found; needs at least three points.
    Free,
}

/// An arc fitted through points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArcFit {
    /// Curvature across the strings; positive: higher in the middle, as a board is.
    pub curvature: Uncertain<Curvature>,
    /// The radius, the inverse of the curvature; `None` when the row is flat or hollow.
    pub radius: Option<Length>,
    /// Height of the top of the arc.
    pub top: Length,
    /// Offset of the top.
    pub centre: Length,
    /// Root mean square of what is left over.
    pub rms: Length,
}

/// Fits an arc through points (offset across the strings, height), least squares in height, by
/// Gauss-Newton from the parabola through them.
///
/// For undersides: heights of the strings' undersides at one fret (crown plus gap), or saddle
/// heights. `height_uncertainty`: standard uncertainty of each height, from which that of the
/// curvature follows.
///
/// # Errors
///
/// [`Error::TooFew`] (two points with a given centre, three without), [`Error::Undetermined`] when
/// the points do not spread or the fit does not settle, [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::board::{fit_arc, Centre};
/// use fallaway_mechanics::units::{as_mm, mm};
/// let on = |y: f64| (mm(y), mm((241.3f64 * 241.3 - y * y).sqrt() - 241.3));
/// let fit = fit_arc(&[-26.0, -15.0, -5.0, 5.0, 15.0, 26.0].map(on), Centre::Free, mm(0.0)).unwrap();
/// assert!((as_mm(fit.radius.unwrap()) - 241.3).abs() < 1e-6);
/// assert!(as_mm(fit.rms) < 1e-9);
/// ```
pub fn fit_arc(
    points: &[(Length, Length)],
    centre: Centre,
    height_uncertainty: Length,
) -> Result<ArcFit> {
    let u = Limit::LengthUncertainty.check_mm(height_uncertainty)?;
    let mut data = Vec::with_capacity(points.len());
    for (offset, height) in points {
        data.push((offset_mm(*offset)?, Limit::HeightOverLine.check_mm(*height)?));
    }
    let (free, fixed) = match centre {
        Centre::Free => (true, 0.0),
        Centre::At(at) => (false, offset_mm(at)?),
    };
    let needed = if free { 3 } else { 2 };
    if data.len() < needed {
        return Err(Error::TooFew { quantity: "undersides", given: data.len(), needed });
    }
    // Parameters: top, curvature, centre (only if free).
    let mut parameters = start(&data, free, fixed)?;
    let mut inverse = None;
    for _ in 0..50 {
        let rows: Vec<Row> =
            data.iter().map(|(y, z)| row(&parameters, fixed, *y, *z)).collect::<Result<_>>()?;
        let columns = parameters.len();
        let jacobian = DMatrix::from_fn(rows.len(), columns, |i, j| {
            rows.get(i).and_then(|r| r.slopes.get(j).copied()).unwrap_or_default()
        });
        let residual = DVector::from_iterator(rows.len(), rows.iter().map(|r| r.residual));
        let normal = (jacobian.transpose() * &jacobian).try_inverse().ok_or(NOT_SPREAD)?;
        let step = &normal * jacobian.transpose() * residual;
        for (parameter, step) in parameters.iter_mut().zip(step.iter()) {
            *parameter += step;
        }
        inverse = Some(normal);
        if step.amax() < 1e-13 {
            break;
        }
    }
    let &[top, curvature, ..] = parameters.as_slice() else {
        return Err(NOT_SPREAD);
    };
    let sum: f64 = data
        .iter()
        .map(|(y, z)| row(&parameters, fixed, *y, *z).map(|r| r.residual * r.residual))
        .sum::<Result<f64>>()?;
    let variance = inverse.and_then(|m| m.get((1, 1)).copied()).ok_or(NOT_SPREAD)?;
    let centre = parameters.get(2).copied().unwrap_or(fixed);
    if !(top.is_finite() && curvature.is_finite() && centre.is_finite()) {
        return Err(NOT_SPREAD);
    }
    Ok(ArcFit {
        curvature: Uncertain::new(per_mm(curvature), per_mm(u * variance.max(0.0).sqrt()))?,
        // Beyond ten metres nobody can tell it from flat.
        radius: (curvature > 1e-4).then(|| mm(1.0 / curvature)),
        top: mm(top),
        centre: mm(centre),
        rms: mm((sum / data.len() as f64).sqrt()),
    })
}

const NOT_SPREAD: Error = Error::Undetermined {
    what: "radius through the undersides",
    reason: "the points do not spread enough or lie on no arc; read more strings",
};

struct Row {
    slopes: [f64; 3],
    residual: f64,
}

/// Height on the arc, its slopes in top, curvature and centre, and what is left of a point.
fn row(parameters: &[f64], fixed: f64, y: f64, z: f64) -> Result<Row> {
    let (Some(top), Some(k)) = (parameters.first(), parameters.get(1)) else {
        return Err(NOT_SPREAD);
    };
    let d = y - parameters.get(2).copied().unwrap_or(fixed);
    let inside = 1.0 - k * k * d * d;
    if inside.is_nan() || inside <= 0.0 {
        return Err(NOT_SPREAD);
    }
    let s = inside.sqrt();
    Ok(Row {
        slopes: [1.0, -d * d / (s * (1.0 + s)), k * d / s],
        residual: z - (top - k * d * d / (1.0 + s)),
    })
}

/// First guess from a parabola.
fn start(data: &[(f64, f64)], free: bool, fixed: f64) -> Result<Vec<f64>> {
    let columns = if free { 3 } else { 2 };
    let matrix = DMatrix::from_fn(data.len(), columns, |i, j| {
        let d = data.get(i).map_or(0.0, |(y, _)| y - fixed);
        match j {
            0 => 1.0,
            1 => d * d,
            _ => d,
        }
    });
    let heights = DVector::from_iterator(data.len(), data.iter().map(|(_, z)| *z));
    let svd = matrix.svd(true, true);
    if svd.rank(1e-9) < columns {
        return Err(NOT_SPREAD);
    }
    let c = svd.solve(&heights, 1e-9).map_err(|_| NOT_SPREAD)?;
    let &[a, q, ..] = c.as_slice() else {
        return Err(NOT_SPREAD);
    };
    let k = -2.0 * q;
    if !free {
        return Ok(vec![a, k]);
    }
    let b = c.get(2).copied().unwrap_or_default();
    // A flat row has no middle; its centre is left where the data is.
    let centre = if k.abs() > 1e-6 { b / k } else { 0.0 };
    Ok(vec![a + k * centre * centre / 2.0, k, centre])
}
