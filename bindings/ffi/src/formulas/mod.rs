//! The formulas of a set-up, one by one, for an app that wants a number without a record.
//!
//! Free functions; nothing is kept between calls and nothing blocks. Names carry the unit; frets
//! count from 1 at the nut, 0 is the open string; strings are listed in any one order that the
//! caller keeps. Everything a caller can get wrong comes back as
//! [`crate::FallawayError::BadInput`], which names the quantity, the value and the limits.

mod board;
mod clearance;
mod frets;
mod intonation;
mod neck;
mod pickups;
mod pitch;
mod readings;
mod screws;
mod spacing;
mod strings;
mod typed;
mod wood;

pub use board::{ArcFit, BendClearance, BoardShape, RowPoint, StringPath};
pub use frets::{CrownCheck, FretRow, OddCrown, ScaleAndSetBack, StringPositions};
pub use intonation::{
    CentsLeft, EndsHeld, IntonationModel, IntonationMoves, IntonationReading, SetBack, SetBackAim,
    StiffnessFollows,
};
pub use neck::{NeckReadings, NeckShape, NutWay, ReliefFound, ReliefWay};
pub use pickups::{PickupGapVerdict, PickupJudged, PickupOn, UsualGap};
pub use pitch::{NearestNote, NoteInfo};
pub use readings::{
    Measures, ParsedReading, ReadingDifference, ReadingForm, ShowLengthIn, ShownLength, ToolInfo,
};
pub use screws::{
    BlankCut, BridgeLayout, BridgeMoves, FloatingBridge, FloatingSettled, FloatingStringInfo,
    PocketShim, SaddleOutcome, ScrewTurn, ShimThickEnd, ThreadInfo, TurnRounding,
};
pub use spacing::{SpacingLayout, SpreadBy};
pub use strings::{
    MassBasis, PlainStress, SetChange, SteelString, StringMake, TensionChange, UnitMass,
    WindingLayer,
};
pub use typed::Uncertain;
