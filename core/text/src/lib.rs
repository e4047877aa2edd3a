#![forbid(unsafe_code)]
#![warn(unreachable_pub)]
//! Everything that Fallaway says to a person, in one place.
//!
//! | idea | where |
//! |---|---|
//! | what is said, before it is said in a language | [`Phrase`], [`Arg`], [`List`], [`Computed`] |
//! | the messages: one table with typed arguments, one folder of files a language | [`mod@messages`], [`Catalogue`] |
//! | how a person wants to be spoken to | [`Voice`], [`Language`], [`Units`] |
//! | quantities, strings, places, tools, units | [`names`] |
//! | facts about the instrument | [`facts`] |
//! | entries of the history | [`entries`] |
//! | fields with two values | [`contested`] |
//! | what was refused, by the type of the refusal | [`errors`] |
//! | texts that people wrote, safe to show | [`safe`] |
//!
//! The files are `messages/<language>/<theme>.ftl` (Project Fluent). A further language is a further
//! folder; what it lacks is said in English, and a test names it.
//!
//! ```
//! use fallaway_measure::{Fret, Quantity};
//! use fallaway_text::{Computed, Language, LengthUnit, Units, Voice, names};
//!
//! let relief = Quantity::Relief { from: Fret::new(1)?, to: Fret::new(24)?, at: None };
//! let german = Voice::new(Language::named("de").unwrap_or_default());
//! assert_eq!(Voice::default().say(&names::quantity(relief)), "relief, fretted at 1 and 24");
//! assert_eq!(german.say(&names::quantity(relief)), "Halskrümmung, gegriffen am 1. und 24. Bund");
//!
//! let off = names::computed(Computed::mm(0.06).of(relief));
//! assert_eq!(german.say(&off), "0,06 mm");
//! assert_eq!(german.in_units(Units::all(LengthUnit::Thou)).say(&off), "2,4 thou");
//! # Ok::<(), fallaway_measure::ValueError>(())
//! ```

pub mod buzz;
mod catalogue;
pub mod cautions;
pub mod changed;
pub mod check;
pub mod clearance;
pub mod contested;
pub mod entries;
pub mod errors;
pub mod facts;
pub mod forecast;
mod language;
pub mod learned;
pub mod messages;
pub mod names;
mod order;
mod phrase;
pub mod plan;
pub mod plan_page;
mod safe;
pub mod strings;
mod units;
mod voice;

pub use catalogue::{Catalogue, Folders};
pub use language::Language;
pub use order::AboutStrings;
pub use phrase::{Arg, Computed, Day, List, Message, MessageFile, Phrase, Word};
pub use safe::safe;
pub use units::{InInches, LengthOf, LengthUnit, TemperatureUnit, Units, UnitsError};
pub use voice::{Voice, capital};

/// The folders of the crate that calls it, as its build script (this crate's `build.rs`, named as
/// `build` in its manifest) found them.
#[macro_export]
macro_rules! folders {
    () => {
        include!(concat!(env!("OUT_DIR"), "/messages.rs"))
    };
}

/// The messages of this crate.
pub static CATALOGUE: Catalogue = Catalogue::new(folders!());

#[cfg(test)]
mod tests;
