//! Where frets lie, and whether one of them stands proud.

use fallaway::mechanics::crowns::{Oddity, odd_crowns, rocking};
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::{frets, spacing};

use super::typed::{count, fret as number, lengths, millimetres};
use crate::FallawayError;

/// One fret of a table.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct FretRow {
    /// The fret; 1 is next to the nut.
    pub fret: u32,
    /// Distance from the nut in mm.
    pub from_nut_mm: f64,
    /// Distance from the fret before, or from the nut, in mm.
    pub from_previous_mm: f64,
}

/// A string's own scale length, for fanned frets, and how far its saddle is set back.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct ScaleAndSetBack {
    /// Scale length in mm.
    pub scale_mm: f64,
    /// How far the saddle stands beyond the scale length, in mm.
    pub set_back_mm: f64,
}

/// Where one string's frets and saddle lie.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StringPositions {
    /// Each fret's distance from the nut along the string in mm, fret 1 first.
    pub frets_mm: Vec<f64>,
    /// The saddle's witness point from the nut in mm.
    pub saddle_mm: f64,
}

/// What a short straight edge over a fret and its two neighbours shows.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct CrownCheck {
    /// The fret in the middle.
    pub fret: u32,
    /// How far its crown stands above the line through its neighbours, in mm; below zero: lower.
    pub above_mm: f64,
    /// Whether the edge rocks there.
    pub rocks: bool,
    /// What is odd about this very crown, once its neighbours are considered.
    pub odd: Option<OddCrown>,
}

/// What is odd about a crown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum OddCrown {
    /// It stands proud: levelling it cures the rocking.
    Proud,
    /// It is low (worn or badly seated): its neighbours rock although they are level.
    Low,
}

/// Distance of a fret from the nut in mm: `L (1 - 2^(-n/12))`, equal temperament.
///
/// `fret` 0 (the nut, gives 0) to 36.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn fret_position_mm(scale_mm: f64, fret: u32) -> Result<f64, FallawayError> {
    Ok(as_mm(frets::position(mm(scale_mm), count(fret))?))
}

/// Every fret's place on a scale, 1 to `frets`. As [`fret_position_mm`].
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn fret_table(scale_mm: f64, frets: u32) -> Result<Vec<FretRow>, FallawayError> {
    let table = frets::table(mm(scale_mm), count(frets))?;
    let row = |row: frets::FretRow| FretRow {
        fret: number(row.fret),
        from_nut_mm: as_mm(row.from_nut),
        from_previous_mm: as_mm(row.from_previous),
    };
    Ok(table.into_iter().map(row).collect())
}

/// By what the scale length is divided to get the first fret's place: `1 / (1 - 2^(-1/12))`, 17.817
/// (G. Byers, American Lutherie 47, 1996).
#[uniffi::export]
pub fn fret_spacing_constant() -> f64 {
    frets::spacing_constant()
}

/// Frets and saddle of each string where strings have scale lengths of their own (fanned frets).
///
/// # Errors
/// `BadInput` outside the limits of [`ScaleAndSetBack`].
#[uniffi::export]
pub fn fanned_positions(
    strings: Vec<ScaleAndSetBack>,
    frets: u32,
) -> Result<Vec<StringPositions>, FallawayError> {
    let strings: Vec<_> = strings.iter().map(|s| (mm(s.scale_mm), mm(s.set_back_mm))).collect();
    let table = spacing::position_table(&strings, count(frets))?;
    let row = |row: spacing::StringPositions| StringPositions {
        frets_mm: millimetres(&row.frets),
        saddle_mm: as_mm(row.saddle),
    };
    Ok(table.into_iter().map(row).collect())
}

/// Lays a straight edge over every three neighbouring crowns and says which one is odd.
///
/// `heights_mm`: heights of the crowns over any straight line along the board, fret 1 first, at
/// least three; `tolerance_mm`: how far a middle crown may stand up (0.02 to 0.03 mm is usual;
/// common practice, no source). Straighten the neck first.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn rocking_crowns(
    scale_mm: f64,
    heights_mm: Vec<f64>,
    tolerance_mm: f64,
) -> Result<Vec<CrownCheck>, FallawayError> {
    let positions = frets::positions(mm(scale_mm), heights_mm.len())?;
    let checks = rocking(&positions, &lengths(&heights_mm), mm(tolerance_mm))?;
    let odd = odd_crowns(&checks, mm(tolerance_mm))?;
    let odd_at = |wanted: usize| {
        odd.iter().find_map(|oddity| match oddity {
            Oddity::Proud { fret, .. } => (*fret == wanted).then_some(OddCrown::Proud),
            Oddity::Low { fret, .. } => (*fret == wanted).then_some(OddCrown::Low),
        })
    };
    let checked = checks.iter().map(|check| CrownCheck {
        fret: number(check.middle),
        above_mm: as_mm(check.above),
        rocks: check.rocks,
        odd: odd_at(check.middle),
    });
    Ok(checked.collect())
}
