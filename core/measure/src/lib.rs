#![forbid(unsafe_code)]
//! Readings as people take them.
//!
//! A reading is what a person saw and keeps that form: `5/64` off a steel rule stays
//! five sixty-fourths of an inch. Nothing here ever replaces a reading by its conversion; the typed
//! [`Length`] behind it is for the mathematics, and it can be shown in another unit when a
//! person asks.
//!
//! | idea | where |
//! |---|---|
//! | numbers in the notation of the reader | [`Decimal`], [`Fraction`], [`Amount`], [`Unit`] |
//! | what was seen: a value, a bound, an interval | [`Reading`] |
//! | what is read, where | [`Quantity`], [`Fret`], [`Location`], [`Place`], [`Side`], [`Family`] |
//! | with what | [`Tool`], [`ToolKind`] |
//! | on the wire | [`wire`] |
//!
//! Every type that is stored has `minicbor` encodings; the numbers in them are assigned for ever.

mod amount;
mod decimal;
mod error;
mod fraction;
mod location;
mod quantity;
mod reading;
mod tool;
mod unit;
pub mod wire;

pub use amount::Amount;
pub use decimal::Decimal;
pub use error::ValueError;
pub use fraction::Fraction;
pub use location::{Location, Place, Side};
pub use quantity::{Family, Fret, Quantity};
pub use reading::Reading;
pub use tool::{Tool, ToolKind};
pub use unit::{Dimension, Unit};
pub use uom::si::f64::Length;
