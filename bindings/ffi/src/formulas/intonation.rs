//! Where saddle and nut must stand.

use fallaway::mechanics;
use fallaway::mechanics::intonation::{self, Adjust, Aim, SaddleTravel};
use fallaway::mechanics::units::{as_mm, mm};

use super::typed::{Uncertain, uncertain_mm};
use crate::FallawayError;

/// One reading: the stopped note against the open one of the same minute, same partial.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct IntonationReading {
    /// Where the string is stopped.
    pub fret: u32,
    /// In cents; above zero: sharp.
    pub cents: Uncertain,
}

/// What a fret will read after the moves.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct CentsLeft {
    /// The fret at which the string is stopped.
    pub fret: u32,
    /// In cents; above zero: sharp.
    pub cents: f64,
}

/// Moves from readings, and what they leave.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct IntonationMoves {
    /// Saddle move in mm; above zero: away from the nut, a longer string.
    pub saddle_mm: Uncertain,
    /// Nut offset in mm; above zero: away from the saddle. `None` unless asked for.
    pub nut_mm: Option<Uncertain>,
    /// The saddle's travel cut the move short.
    pub travel_ended: bool,
    /// What each reading will be after the moves, in the order given.
    pub left_over: Vec<CentsLeft>,
    /// Root mean square of what is left, in cents.
    pub rms_cents: f64,
}

pub use fallaway::mechanics::stiff_string::EndsHeld;

/// How the string's ends are held. The choice dominates a prediction: show it with the number.
#[uniffi::remote(Enum)]
pub enum EndsHeld {
    /// Both free to turn.
    PinnedPinned,
    /// Clamped at the fret, free to turn at the saddle.
    ClampedPinned,
    /// Clamped at the fret and at the saddle.
    ClampedClamped,
}

pub use fallaway::mechanics::intonation::StiffnessFollows;

/// How the stiffness of the stopped string follows from that of the open one.
#[uniffi::remote(Enum)]
pub enum StiffnessFollows {
    /// The nominal length only, as in the published set-backs.
    Length,
    /// The actual length and the raised tension.
    LengthAndTension,
}

/// A string over a neck, for a prediction.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct IntonationModel {
    /// Scale length in mm.
    pub scale_mm: f64,
    /// Height of the string at the nut over the crowns in mm.
    pub nut_height_mm: f64,
    /// By how much the saddle stands higher than the nut, in mm.
    pub saddle_rise_mm: f64,
    /// Relative rise of tension for each relative stretch: `E A / T`.
    pub tension_per_stretch: f64,
    /// Stiffness ratio of the open string: the B of Anderson and Beausoleil, whose square
    /// times pi squared is the inharmonicity.
    pub stiffness_ratio: f64,
    /// How its ends are held.
    pub ends: EndsHeld,
    /// How stiffness follows the fret.
    pub stiffness_follows: StiffnessFollows,
}

impl From<IntonationModel> for intonation::IntonationModel {
    fn from(model: IntonationModel) -> Self {
        Self {
            scale: mm(model.scale_mm),
            nut_height: mm(model.nut_height_mm),
            saddle_rise: mm(model.saddle_rise_mm),
            tension_per_stretch: model.tension_per_stretch,
            stiffness_ratio: model.stiffness_ratio,
            ends: model.ends,
            stiffness_follows: model.stiffness_follows,
        }
    }
}

/// What a set-back is to achieve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum SetBackAim {
    /// The saddle alone brings this fret to zero.
    SaddleForFret {
        /// The fret that is to read zero, against the open string.
        fret: u32,
    },
    /// Saddle and nut bring frets 1 to this one nearest to zero, all alike.
    SaddleAndNutUpTo {
        /// The last fret that counts.
        fret: u32,
    },
}

/// A predicted set-back and what it leaves.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SetBack {
    /// Saddle in mm; above zero: away from the nut.
    pub saddle_mm: f64,
    /// Nut in mm; above zero: away from the saddle. 0 when only the saddle moves.
    pub nut_mm: f64,
    /// Cents left at frets 1, 2 and so on, up to the last one aimed at.
    pub left_over_cents: Vec<f64>,
    /// Root mean square over those frets.
    pub rms_cents: f64,
    /// Root mean square over those frets and the open string, which is 0; published tables count it
    /// in.
    pub rms_with_open_cents: f64,
}

/// By how much the saddle must move for one cent at a fret, in mm: `L / (1731.23 (2^(n/12) - 1))`;
/// 0.50 mm at fret 12 of an 864 mm scale (1731.23 is 1200 / ln 2).
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn saddle_mm_per_cent(scale_mm: f64, fret: u32) -> Result<f64, FallawayError> {
    Ok(as_mm(intonation::length_per_cent(mm(scale_mm), fret)?))
}

/// Saddle move, and nut offset if asked for, from readings at several frets by least squares. Both
/// travels limit the saddle's move, in mm of zero or more; give both or neither.
///
/// # Errors
/// `BadInput` for too few readings (two frets with the nut) and values outside the limits.
#[uniffi::export]
pub fn intonation_moves(
    scale_mm: f64,
    readings: Vec<IntonationReading>,
    with_nut: bool,
    travel_toward_nut_mm: Option<f64>,
    travel_away_mm: Option<f64>,
) -> Result<IntonationMoves, FallawayError> {
    let readings = readings.iter().map(|reading| {
        mechanics::Uncertain::new(reading.cents.value, reading.cents.standard_uncertainty)
            .map(|cents| intonation::IntonationReading { fret: reading.fret, cents })
    });
    let readings: Vec<intonation::IntonationReading> = readings.collect::<Result<_, _>>()?;
    let adjust = if with_nut { Adjust::SaddleAndNut } else { Adjust::Saddle };
    let travel = travel_toward_nut_mm.zip(travel_away_mm);
    let travel = travel
        .map(|(toward, away)| SaddleTravel { toward_nut: mm(toward), away_from_nut: mm(away) });
    let found = intonation::solve_from_readings(mm(scale_mm), &readings, adjust, travel)?;
    Ok(IntonationMoves {
        saddle_mm: uncertain_mm(found.saddle),
        nut_mm: found.nut.map(uncertain_mm),
        travel_ended: found.travel_ended,
        left_over: found
            .left_over
            .iter()
            .map(|left| CentsLeft { fret: left.fret, cents: left.cents })
            .collect(),
        rms_cents: found.rms_cents,
    })
}

/// What the tuner will show at a fret with saddle and nut moved by so much, in cents: stretch when
/// pressed plus stiffness.
///
/// # Errors
/// `BadInput` outside the limits of [`IntonationModel`], or moves beyond 50 mm.
#[uniffi::export]
pub fn predicted_cents(
    model: IntonationModel,
    saddle_mm: f64,
    nut_mm: f64,
    fret: u32,
) -> Result<f64, FallawayError> {
    Ok(intonation::predicted_cents(&model.into(), mm(saddle_mm), mm(nut_mm), fret)?)
}

/// The set-back that reaches an aim before a string is on. Reproduces the set-backs of M. Anderson
/// and R. Beausoleil, JASA 156:683 (2024), with `ClampedPinned` ends and `Length`.
///
/// # Errors
/// As [`predicted_cents`]; when no set-back within 50 mm reaches the aim.
#[uniffi::export]
pub fn predict_set_back(model: IntonationModel, aim: SetBackAim) -> Result<SetBack, FallawayError> {
    let aim = match aim {
        SetBackAim::SaddleForFret { fret } => Aim::SaddleForFret(fret),
        SetBackAim::SaddleAndNutUpTo { fret } => Aim::SaddleAndNutUpTo(fret),
    };
    let found = intonation::predict_set_back(&model.into(), aim)?;
    Ok(SetBack {
        saddle_mm: as_mm(found.saddle),
        nut_mm: as_mm(found.nut),
        left_over_cents: found.left_over,
        rms_cents: found.rms_cents,
        rms_with_open_cents: found.rms_with_open_cents,
    })
}
