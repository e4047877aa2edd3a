//! Neck, string line and gaps: what one way of reading says of another, and what moves a gap.
//!
//! Model: constant curvature from the nut to the joint fret, straight after; the string is straight
//! from where it is stopped to the saddle. Checked against core/mechanics/tests/reference/data/geometry.json.

use fallaway::mechanics;
use fallaway::mechanics::conversions::{self, LineReadings, StringGeometry};
use fallaway::mechanics::neck::{self, Joint};
use fallaway::mechanics::string_line::{self, GapPlace};
use fallaway::mechanics::units::{as_mm, as_per_mm, mm, per_mm};

use super::typed::{Uncertain, count, fret, length, lengths, uncertain_mm};
use crate::FallawayError;

/// The neck under one string.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NeckShape {
    /// Scale length of the string in mm.
    pub scale_mm: f64,
    /// How many frets the neck has.
    pub frets: u32,
    /// The fret where the neck stops bending, commonly the first one over the body; may lie between
    /// two frets.
    pub joint_fret: f64,
    /// By how many frets that may be wrong, one standard deviation; carried into the uncertainty of
    /// answers. 0 if it is known; "give or take two frets" is 1.15 (a rectangle, JCGM 100:2008,
    /// 4.3.7).
    pub joint_uncertainty_frets: f64,
    /// How far the saddle stands beyond the scale length, in mm.
    pub set_back_mm: f64,
    /// Height of each crown over the even neck in mm, fret 1 first (levelled or worn frets,
    /// fall-away); empty if all are level.
    pub crown_heights_mm: Vec<f64>,
}

impl NeckShape {
    pub(super) fn geometry(&self) -> Result<StringGeometry, mechanics::Error> {
        let joint = Joint {
            standard_uncertainty: self.joint_uncertainty_frets,
            ..Joint::known(self.joint_fret)?
        };
        Ok(StringGeometry {
            compensation: mm(self.set_back_mm),
            crown_offsets: lengths(&self.crown_heights_mm),
            ..StringGeometry::level(mm(self.scale_mm), count(self.frets), joint)
        })
    }
}

/// How relief is read: between the crowns of two frets, at a fret or where it is largest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct ReliefWay {
    /// Where the straight line begins, commonly 1.
    pub from_fret: u32,
    /// Where it ends: the last fret, or the one at the body.
    pub to_fret: u32,
    /// The fret at which the gap is read; `None`: where it is largest.
    pub at_fret: Option<u32>,
}

impl From<ReliefWay> for neck::ReliefWay {
    fn from(way: ReliefWay) -> Self {
        Self { from: count(way.from_fret), to: count(way.to_fret), at: way.at_fret.map(count) }
    }
}

/// The relief of a neck and where it was found.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct ReliefFound {
    /// The gap in mm; below zero: a back-bow.
    pub gap_mm: f64,
    /// The fret over which it was found.
    pub fret: u32,
}

/// How the nut is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum NutWay {
    /// The open string over fret 1.
    OpenOver1,
    /// Held down at fret 3, over fret 1.
    HeldAt3Over1,
}

impl From<NutWay> for conversions::NutWay {
    fn from(way: NutWay) -> Self {
        match way {
            NutWay::OpenOver1 => Self::OpenOver1,
            NutWay::HeldAt3Over1 => Self::HeldAt3Over1,
        }
    }
}

/// What was read of one string: enough to tell every other gap.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct NeckReadings {
    /// Relief in mm; below zero: a back-bow.
    pub relief: Uncertain,
    /// How it was read.
    pub relief_way: ReliefWay,
    /// Action in mm.
    pub action: Uncertain,
    /// Fret at which the string was stopped for it; 0 open.
    pub action_stopped: u32,
    /// Fret over which it was read.
    pub action_over: u32,
    /// Gap at the nut in mm.
    pub nut: Uncertain,
    /// How it was read.
    pub nut_way: NutWay,
}

impl NeckReadings {
    fn line(&self) -> Result<LineReadings, mechanics::Error> {
        Ok(LineReadings {
            relief: length(self.relief)?,
            relief_way: self.relief_way.into(),
            action: length(self.action)?,
            action_place: GapPlace::new(count(self.action_stopped), count(self.action_over)),
            nut: length(self.nut)?,
            nut_way: self.nut_way.into(),
        })
    }
}

/// The curvature of the neck in 1/mm that shows as this relief; relief is linear in it.
///
/// # Errors
/// `BadInput` outside the limits and for frets that the neck does not have.
#[uniffi::export]
pub fn neck_curvature_per_mm(
    neck: NeckShape,
    relief_mm: f64,
    way: ReliefWay,
) -> Result<f64, FallawayError> {
    let line = neck.geometry()?.neck()?;
    Ok(as_per_mm(line.curvature_for_relief(mm(relief_mm), way.into())?))
}

/// The relief that a neck of this curvature shows, and at which fret it is found.
///
/// # Errors
/// `BadInput` for a curvature no neck has, or frets that this one does not have.
#[uniffi::export]
pub fn relief_of_curvature(
    neck: NeckShape,
    curvature_per_mm: f64,
    way: ReliefWay,
) -> Result<ReliefFound, FallawayError> {
    let line = neck.geometry()?.neck()?.with_curvature(per_mm(curvature_per_mm))?;
    let found = line.relief(way.into())?;
    Ok(ReliefFound { gap_mm: as_mm(found.gap), fret: fret(found.fret) })
}

/// What the gap over `over` with the string stopped at `stopped` (0 open) must be, in mm, by relief,
/// action and nut as they were read; with the uncertainty of the readings and of the joint.
///
/// # Errors
/// `BadInput` naming what is outside its limits.
#[uniffi::export]
pub fn gap_from_readings(
    neck: NeckShape,
    readings: NeckReadings,
    stopped: u32,
    over: u32,
) -> Result<Uncertain, FallawayError> {
    let place = GapPlace::new(count(stopped), count(over));
    Ok(uncertain_mm(conversions::gap(&neck.geometry()?, &readings.line()?, place)?))
}

/// What the nut must read in another way, in mm, by the readings given.
///
/// # Errors
/// As [`gap_from_readings`].
#[uniffi::export]
pub fn nut_gap_from_readings(
    neck: NeckShape,
    readings: NeckReadings,
    way: NutWay,
) -> Result<Uncertain, FallawayError> {
    Ok(uncertain_mm(conversions::nut(&neck.geometry()?, &readings.line()?, way.into())?))
}

/// Height of the saddle's witness point over the straight part of the neck, in mm.
///
/// # Errors
/// As [`gap_from_readings`].
#[uniffi::export]
pub fn saddle_height_from_readings(
    neck: NeckShape,
    readings: NeckReadings,
) -> Result<Uncertain, FallawayError> {
    Ok(uncertain_mm(conversions::saddle_height(&neck.geometry()?, &readings.line()?)?))
}

/// By how much the saddle must move for each mm of a gap: `(x_s - x_m) / (x_j - x_m)`, similar
/// triangles. 2 for the open string over 12.
///
/// # Errors
/// `BadInput` unless `stopped` lies below `over` and both on the neck.
#[uniffi::export]
pub fn saddle_factor(neck: NeckShape, stopped: u32, over: u32) -> Result<f64, FallawayError> {
    let place = GapPlace::new(count(stopped), count(over));
    Ok(string_line::saddle_factor(&neck.geometry()?.neck()?, mm(neck.set_back_mm), place)?)
}

/// How far to move the saddle, in mm, to get from the gap that was read to the wanted one; below
/// zero lowers it. By [`saddle_factor`].
///
/// # Errors
/// `BadInput` outside the limits, and as [`saddle_factor`].
#[uniffi::export]
pub fn saddle_move_mm(
    neck: NeckShape,
    stopped: u32,
    over: u32,
    read_mm: Uncertain,
    wanted_mm: f64,
) -> Result<Uncertain, FallawayError> {
    let place = GapPlace::new(count(stopped), count(over));
    let read = length(read_mm)?;
    Ok(uncertain_mm(conversions::saddle_move(&neck.geometry()?, place, read, mm(wanted_mm))?))
}

/// By how much the gap over `over`, stopped at `stopped`, changes when the relief changes and the
/// saddle is not touched, in mm.
///
/// # Errors
/// `BadInput` outside the limits, or frets that the neck does not have.
#[uniffi::export]
pub fn gap_change_by_relief_mm(
    neck: NeckShape,
    way: ReliefWay,
    change_mm: Uncertain,
    stopped: u32,
    over: u32,
) -> Result<Uncertain, FallawayError> {
    let place = GapPlace::new(count(stopped), count(over));
    let change: mechanics::Uncertain<_> = length(change_mm)?;
    let effect = conversions::effect_of_relief(&neck.geometry()?, way.into(), change, place)?;
    Ok(uncertain_mm(effect))
}
