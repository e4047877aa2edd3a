//! The formulas of a set-up, one by one, for an app that wants a number without a record.
//!
//! Free functions; nothing is kept between calls and nothing blocks. Names carry the unit; frets
//! count from 1 at the nut, 0 is the open string; strings are listed in any one order that the
//! caller keeps. Everything a caller can get wrong comes back as
//! [`crate::FallawayError::BadInput`], which names the quantity, the value and the
//! limits (all of them: `docs/limits.md`).

pub mod board;
pub mod clearance;
pub mod frets;
pub mod intonation;
pub mod neck;
pub mod pickups;
pub mod pitch;
pub mod screws;
pub mod spacing;
pub mod strings;
mod typed;
pub mod wood;

pub use typed::Uncertain;
