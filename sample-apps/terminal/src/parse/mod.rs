//! Words of the hand into values.
//!
//! Everything here is pure text in, values out; a word that means nothing is named in the error,
//! together with what would be understood.

pub mod adjustments;
pub mod climate;
mod fact_values;
pub mod facts;
pub mod minus;
pub mod moments;
pub mod places;
pub mod tools;
pub mod turns;
