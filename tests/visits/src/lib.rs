//! Invented instruments, and a hand that follows the plan to the letter.
//!
//! Necks of hinged pieces with a stiff heel, rods with play and ranges in which they do nothing,
//! bridges of five kinds, readers with offsets, misreadings. It tries the advice on physics that it does
//! not share, and says nothing of how real instruments behave.
#![forbid(unsafe_code)]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    clippy::missing_panics_doc,
    reason = "a simulation, no part of the library"
)]

pub mod bound;
pub mod changed;
pub mod goals;
pub mod instrument;
pub mod log;
pub mod neck;
pub mod noise;
pub mod reader;
pub mod visit;
