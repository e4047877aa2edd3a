//! The arch of the board under the strings.
//!
//! Crown drop at an offset s from the middle: `r - sqrt(r^2 - s^2)`. Checked against
//! core/mechanics/tests/reference/data/board.json. Bends: R. M. Mottola, Savart Journal (2014), gives the size of the
//! effect.

use fallaway::mechanics;
use fallaway::mechanics::board::{self, Centre, Surface, fit_arc};
use fallaway::mechanics::string_line::GapPlace;
use fallaway::mechanics::units::{as_mm, mm};

use super::neck::ReliefFound;
use super::typed::{count, fret, millimetres};
use crate::FallawayError;

/// How the board is arched.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Enum)]
pub enum BoardShape {
    /// Not at all.
    Flat,
    /// The same radius everywhere.
    Cylinder {
        /// Radius in mm.
        radius_mm: f64,
    },
    /// A radius that grows evenly along the board, given at two places at least 10 mm apart.
    Compound {
        /// First place, from the nut in mm.
        first_at_mm: f64,
        /// Radius there in mm.
        first_radius_mm: f64,
        /// Second place, from the nut in mm.
        second_at_mm: f64,
        /// Radius there in mm.
        second_radius_mm: f64,
    },
}

impl BoardShape {
    fn surface(self) -> Result<Surface, mechanics::Error> {
        match self {
            Self::Flat => Ok(Surface::flat()),
            Self::Cylinder { radius_mm } => Surface::cylinder(mm(radius_mm)),
            Self::Compound { first_at_mm, first_radius_mm, second_at_mm, second_radius_mm } => {
                Surface::compound(
                    (mm(first_at_mm), mm(first_radius_mm)),
                    (mm(second_at_mm), mm(second_radius_mm)),
                )
            }
        }
    }
}

/// Where a string runs over the board. Offsets are from the middle; one side is below zero.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct StringPath {
    /// Scale length in mm.
    pub scale_mm: f64,
    /// How many frets the board has.
    pub frets: u32,
    /// Offset at the nut in mm.
    pub nut_offset_mm: f64,
    /// Offset at the saddle in mm.
    pub saddle_offset_mm: f64,
}

impl StringPath {
    fn path(self) -> Result<board::StringPath, mechanics::Error> {
        let (nut, saddle) = (mm(self.nut_offset_mm), mm(self.saddle_offset_mm));
        board::StringPath::new(mm(self.scale_mm), count(self.frets), nut, saddle)
    }
}

/// One point of the row of string undersides.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct RowPoint {
    /// Offset from the middle in mm.
    pub offset_mm: f64,
    /// Height in mm over any flat line.
    pub height_mm: f64,
}

/// The arc through a row of points.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct ArcFit {
    /// Radius in mm; `None` where the points lie flat or hollow.
    pub radius_mm: Option<f64>,
    /// Curvature in 1/mm.
    pub curvature_per_mm: f64,
    /// Its standard uncertainty, in 1/mm.
    pub curvature_uncertainty_per_mm: f64,
    /// Height of the arc's top in mm.
    pub top_mm: f64,
    /// Where its middle lies, in mm.
    pub centre_mm: f64,
    /// Root mean square of what the points lie off the arc, in mm.
    pub rms_mm: f64,
}

/// What is left between a bent string and the crowns.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct BendClearance {
    /// Over the next fret before the bend, in mm.
    pub next_before_mm: f64,
    /// Over the next fret in the bend, in mm.
    pub next_bent_mm: f64,
    /// The smallest gap over any fret before the bend, in mm.
    pub smallest_before_mm: f64,
    /// The smallest gap in the bend, in mm.
    pub smallest_bent_mm: f64,
    /// The fret at which it is smallest in the bend.
    pub smallest_at_fret: u32,
}

/// How far a board of this radius lies below its middle at an offset, in mm: `r - sqrt(r^2 - s^2)`.
///
/// # Errors
/// `BadInput` for a radius or offset outside what a board can have.
#[uniffi::export]
pub fn crown_drop_mm(radius_mm: f64, offset_mm: f64) -> Result<f64, FallawayError> {
    Ok(as_mm(board::crown_drop(mm(radius_mm), mm(offset_mm))?))
}

/// The board's radius at a distance from the nut, in mm, carried on evenly beyond the last fret (to
/// the saddle); `None` for a flat board.
///
/// # Errors
/// `BadInput` for a radius or place outside the limits.
#[uniffi::export]
pub fn board_radius_at_mm(
    board: BoardShape,
    from_nut_mm: f64,
) -> Result<Option<f64>, FallawayError> {
    Ok(board.surface()?.radius_at(mm(from_nut_mm))?.map(as_mm))
}

/// The largest departure of the crowns under a string's path from a straight line through crowns 1
/// and the last; on a cylinder the outer strings see a hump (below zero: a back-bow).
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn board_hump(board: BoardShape, path: StringPath) -> Result<ReliefFound, FallawayError> {
    let found = board::hump(&board.surface()?, &path.path()?)?;
    Ok(ReliefFound { gap_mm: as_mm(found.gap), fret: fret(found.fret) })
}

/// The same departure at every fret in mm, fret 1 first; above zero: higher than the line.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn board_hump_profile_mm(
    board: BoardShape,
    path: StringPath,
) -> Result<Vec<f64>, FallawayError> {
    Ok(millimetres(&board::hump_profile(&board.surface()?, &path.path()?)?))
}

/// The gap of a string over an arched board, flat along its length, in mm; `saddle_height_mm` is the
/// height of the string's underside at the saddle over the board's middle line.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn board_gap_mm(
    board: BoardShape,
    path: StringPath,
    stopped: u32,
    over: u32,
    saddle_height_mm: f64,
) -> Result<f64, FallawayError> {
    let place = GapPlace::new(count(stopped), count(over));
    Ok(as_mm(board::gap(&board.surface()?, &path.path()?, place, mm(saddle_height_mm))?))
}

/// The saddle height of each string that gives the wanted gap, in mm over the board's middle line.
/// `wanted_mm` holds one gap for each path, in the same order.
///
/// # Errors
/// `BadInput` outside the limits, or when both lists differ in length.
#[uniffi::export]
pub fn saddle_heights_mm(
    board: BoardShape,
    paths: Vec<StringPath>,
    stopped: u32,
    over: u32,
    wanted_mm: Vec<f64>,
) -> Result<Vec<f64>, FallawayError> {
    if paths.len() != wanted_mm.len() {
        let (given, expected) = (wanted_mm.len(), paths.len());
        return Err(
            mechanics::Error::CountMismatch { quantity: "wanted gaps", given, expected }.into()
        );
    }
    let surface = board.surface()?;
    let place = GapPlace::new(count(stopped), count(over));
    let height = |(path, wanted): (StringPath, f64)| {
        board::saddle_height_for(&surface, &path.path()?, place, mm(wanted)).map(as_mm)
    };
    Ok(paths.into_iter().zip(wanted_mm).map(height).collect::<Result<_, mechanics::Error>>()?)
}

/// The arc through the undersides of the strings, to compare with the board's radius. `centre_mm`:
/// where its middle is held to be (0: the board's middle), or `None` to find it.
///
/// # Errors
/// `BadInput` for too few points (three, or two with a held middle) and values outside the limits.
#[uniffi::export]
pub fn underside_arc(
    points: Vec<RowPoint>,
    centre_mm: Option<f64>,
    height_uncertainty_mm: f64,
) -> Result<ArcFit, FallawayError> {
    let points: Vec<_> = points.iter().map(|p| (mm(p.offset_mm), mm(p.height_mm))).collect();
    let centre = centre_mm.map_or(Centre::Free, |at| Centre::At(mm(at)));
    let fit = fit_arc(&points, centre, mm(height_uncertainty_mm))?;
    let per_mm = fallaway::mechanics::units::as_per_mm;
    Ok(ArcFit {
        radius_mm: fit.radius.map(as_mm),
        curvature_per_mm: per_mm(fit.curvature.value),
        curvature_uncertainty_per_mm: per_mm(fit.curvature.standard_uncertainty),
        top_mm: as_mm(fit.top),
        centre_mm: as_mm(fit.centre),
        rms_mm: as_mm(fit.rms),
    })
}

/// By how much a gap changes when the saddle is moved sideways with its height kept, in mm; about
/// `d s / r`. `shift_mm` away from the middle is above zero.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn sideways_gap_change_mm(
    board: BoardShape,
    path: StringPath,
    stopped: u32,
    over: u32,
    shift_mm: f64,
) -> Result<f64, FallawayError> {
    let place = GapPlace::new(count(stopped), count(over));
    Ok(as_mm(board::sideways(&board.surface()?, &path.path()?, place, mm(shift_mm))?))
}

/// What is left over the frets when a string stopped at `stopped` is pushed toward the middle by
/// `push_mm` at that fret; `saddle_height_mm` as in [`board_gap_mm`].
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn bend_clearance(
    board: BoardShape,
    path: StringPath,
    stopped: u32,
    push_mm: f64,
    saddle_height_mm: f64,
) -> Result<BendClearance, FallawayError> {
    let (surface, path) = (board.surface()?, path.path()?);
    let found = board::bend(&surface, &path, count(stopped), mm(push_mm), mm(saddle_height_mm))?;
    Ok(BendClearance {
        next_before_mm: as_mm(found.next.0),
        next_bent_mm: as_mm(found.next.1),
        smallest_before_mm: as_mm(found.smallest.0),
        smallest_bent_mm: as_mm(found.smallest.1),
        smallest_at_fret: fret(found.smallest_at),
    })
}
