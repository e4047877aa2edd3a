#![forbid(unsafe_code)]
#![warn(unreachable_pub)]
//! What numbers hide, drawn.
//!
//! A drawing is data first: a [`Scene`] of lines, areas, dots and texts with [`MarkRole`]s, and the same in
//! sentences for whoever hears it. An app draws it with what its platform has; [`svg()`] makes a
//! picture of it, in one of the [`Theme`]s. Texts come in the language and units of a
//! [`Voice`](fallaway_text::Voice).
//!
//! | drawing | what it shows |
//! |---|---|
//! | [`turn()`] | how far a screw is turned, and which way |
//! | [`neck()`] | the neck in profile, its gaps magnified: read against wanted |
//! | [`changes()`] | what changed from one occasion to another, part by part |
//! | [`history()`] | readings of one thing over time, and what was done between |
//!
//! What marks and colours mean is the same in all: [`MarkRole`], and `look.rs` for how each is painted.

mod draw;
mod letters;
mod look;
pub mod messages;
mod scene;
mod svg;

pub use draw::changes::changes;
pub use draw::history::{History, HistoryDeed, HistoryPoint, history};
pub use draw::neck::{Gap, Neck, neck};
pub use draw::turn::turn;
pub use look::{Colour, Paint, Theme};
pub use scene::{Anchor, Mark, MarkRole, Scene, Shape, Spot};
pub use svg::svg;

/// The messages of this crate.
pub static CATALOGUE: fallaway_text::Catalogue =
    fallaway_text::Catalogue::new(fallaway_text::folders!());
