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
//! | [`clearance()`] | what is left between strings and frets, note by note |
//! | [`saddles()`] | the row of the strings against the curve of the board |
//! | [`intonation()`] | intonation before and after, string by string |
//! | [`spacing()`] | string spacing at nut and bridge |
//! | [`changes()`] | what changed from one occasion to another, part by part |
//! | [`history()`] | readings of one thing over time, what was done between, and what to expect |
//!
//! A [`SheetPage`] is what is handed over: [`customer_sheet()`] for who takes the instrument home,
//! [`bench_sheet()`] for the lid of the case; as [`sheet_text()`], [`sheet_html()`] and, with the feature
//! `pdf`, `sheet_pdf()`.
//!
//! What marks and colours mean is the same in all: [`MarkRole`], and `look.rs` for how each is painted.

mod draw;
mod letters;
mod look;
pub mod messages;
mod page;
mod scene;
mod svg;

pub use draw::DrawingWidth;
pub use draw::changes::changes;
pub use draw::clearance::clearance;
pub use draw::history::{History, HistoryDeed, HistoryForecast, HistoryPoint, history};
pub use draw::intonation::{IntonationRow, intonation};
pub use draw::neck::{Gap, GapBefore, Neck, neck};
pub use draw::saddles::{BoardArc, RowString, SaddleRow, saddles};
pub use draw::spacing::{SpacingGap, spacing};
pub use draw::turn::turn;
pub use look::{Colour, Paint, Theme};
pub use page::bench::{BenchNumber, BenchSheet, bench_sheet};
pub use page::customer::{CustomerNumber, CustomerSheet, customer_sheet};
pub use page::html::sheet_html;
pub use page::invitation::{CodeTooLong, SheetInvitation};
#[cfg(feature = "pdf")]
pub use page::pdf::{PdfFailed, sheet_pdf};
pub use page::text::sheet_text;
pub use page::{LargeNumber, Paper, SheetBlock, SheetLine, SheetPage};
pub use scene::{Anchor, Mark, MarkRole, Scene, Shape, Spot};
pub use svg::svg;

/// The messages of this crate.
pub static CATALOGUE: fallaway_text::Catalogue =
    fallaway_text::Catalogue::new(fallaway_text::folders!());
