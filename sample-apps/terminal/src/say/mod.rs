//! Values into text for people.
//!
//! Everything is written through [`Paper`], which knows the width and whether colour may be used.
//! Colour only repeats what the words say.

pub mod card;
mod digits;
pub mod paper;
pub mod plan;
pub mod step;
pub mod table;

pub use digits::large;
pub use fallaway::words::{entries, names};
pub use paper::{Ink, Paper};
pub use table::Table;
