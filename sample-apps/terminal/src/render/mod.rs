//! Values into text for people.
//!
//! Everything is written through [`Printer`], which knows the width and whether colour may be used.
//! Colour only repeats what the words say.

pub mod card;
pub mod codes;
mod digits;
pub mod picture;
pub mod plan;
pub mod printer;
pub mod table;

pub use digits::large;
pub use printer::{Printer, Style};
pub use table::{TableCell, TextTable};
