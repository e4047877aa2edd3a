//! Where strings lie across nut and bridge.

use fallaway::mechanics::spacing;
use fallaway::mechanics::units::{as_mm, mm};

use super::typed::{lengths, millimetres};
use crate::FallawayError;

pub use fallaway::mechanics::spacing::SpreadBy;

/// What is to be equal between neighbours.
#[uniffi::remote(Enum)]
pub enum SpreadBy {
    /// The distances between centres.
    EqualCentres,
    /// The gaps between the strings' edges, so that thick strings do not crowd.
    EqualGaps,
}

/// Strings across nut or bridge, in the order given; places from the board's edge next to the first.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SpacingLayout {
    /// Centres in mm.
    pub centres_mm: Vec<f64>,
    /// Gaps between neighbouring edges in mm, one fewer than strings.
    pub gaps_mm: Vec<f64>,
    /// From the first string's outer edge to the board's edge, in mm.
    pub first_margin_mm: f64,
    /// From the last string's outer edge to the board's other edge, in mm.
    pub last_margin_mm: f64,
}

impl From<spacing::SpacingLayout> for SpacingLayout {
    fn from(layout: spacing::SpacingLayout) -> Self {
        Self {
            centres_mm: millimetres(&layout.centres),
            gaps_mm: millimetres(&layout.gaps),
            first_margin_mm: as_mm(layout.margins.0),
            last_margin_mm: as_mm(layout.margins.1),
        }
    }
}

/// Lays strings between two margins (edge of the board to edge of the outer string), with equal
/// centres or equal gaps. Gauges are diameters.
///
/// # Errors
/// `BadInput` outside the limits, or when the strings do not fit.
#[uniffi::export]
pub fn lay_strings(
    width_mm: f64,
    first_margin_mm: f64,
    last_margin_mm: f64,
    gauges_mm: Vec<f64>,
    spread: SpreadBy,
) -> Result<SpacingLayout, FallawayError> {
    let margins = (mm(first_margin_mm), mm(last_margin_mm));
    Ok(spacing::lay(mm(width_mm), margins, &lengths(&gauges_mm), spread)?.into())
}

/// Lays strings a fixed distance from centre to centre, around the middle of the width.
///
/// # Errors
/// As [`lay_strings`].
#[uniffi::export]
pub fn lay_strings_at(
    width_mm: f64,
    between_centres_mm: f64,
    gauges_mm: Vec<f64>,
) -> Result<SpacingLayout, FallawayError> {
    Ok(spacing::lay_at(mm(width_mm), mm(between_centres_mm), &lengths(&gauges_mm))?.into())
}

/// Gaps and margins of strings as they lie: centres from the edge next to the first string.
///
/// # Errors
/// `BadInput` outside the limits, or when centres and gauges differ in number.
#[uniffi::export]
pub fn spacing_as_found(
    width_mm: f64,
    centres_mm: Vec<f64>,
    gauges_mm: Vec<f64>,
) -> Result<SpacingLayout, FallawayError> {
    Ok(spacing::describe(mm(width_mm), &lengths(&centres_mm), &lengths(&gauges_mm))?.into())
}
