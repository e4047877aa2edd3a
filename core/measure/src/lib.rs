#![forbid(unsafe_code)]
#![warn(unreachable_pub)]
//! Readings as people take them.
//!
//! A reading is what a person saw and keeps that form: `5/64` off a steel rule stays
//! five sixty-fourths of an inch. Nothing here ever replaces a reading by its conversion; the typed
//! [`Length`] behind it is for the mathematics, and [`in_unit`] shows it in another unit when a
//! person asks.
//!
//! | idea | where |
//! |---|---|
//! | numbers in the notation of the reader | [`Amount`], [`Decimal`], [`Fraction`], [`Unit`] |
//! | what was seen: a value, a bound, an interval | [`Reading`] |
//! | what is read, where | [`Quantity`], [`Fret`], [`Location`], [`StringPlace`], [`Side`], [`InstrumentFamily`] |
//! | with what | [`Tool`], [`ToolKind`] |
//! | notes and the frequency of A4 | [`Note`], [`STANDARD_A4_HZ`] |
//! | reading what people write | [`parse_reading`], [`parse_pass`], [`parse_amount`], `FromStr` |
//! | how much a reading can tell | [`Taken`], [`distinguishable`] |
//! | when to ask "sure?" | [`plausibility`] |
//! | within which limits a number is taken at all | [`Limit`] |
//! | in another unit, on request | [`in_unit`] |
//! | on disk and on the wire | [`wire`] |
//!
//! Every type that is stored has `minicbor` encodings; the numbers in them are assigned for ever.
//!
//! ```
//! use fallaway_measure::{
//!     ReadingDifference, Dimension, AmountFormat, Taken, Tool, Unit, distinguishable, in_unit, parse_pass,
//! };
//!
//! // Four strings read off a rule with 1/64 in divisions.
//! let rule = Tool::RULE_64;
//! let pass = parse_pass("5 5 5 6", Some(&rule), Dimension::Length, 4, None)?;
//! let (Some(first), Some(last)) = (pass[0], pass[3]) else { return Ok(()) };
//! assert_eq!(last.to_string(), "6/64 in");
//!
//! // Does the lowest string stand higher, or is that the rule?
//! let difference = distinguishable(Taken::new(&first, Some(&rule)), Taken::new(&last, Some(&rule)));
//! assert_eq!(difference, ReadingDifference::Less);
//!
//! // In millimetres, since somebody asks.
//! let asked = in_unit(last.high().unwrap(), AmountFormat::Decimal { unit: Unit::Millimetre, places: 2 });
//! assert_eq!(asked.unwrap().to_string(), "2.38 mm");
//! # Ok::<(), fallaway_measure::PassError>(())
//! ```

mod amount;
mod convert;
mod decimal;
mod error;
mod fraction;
mod limits;
mod location;
mod names;
mod note;
mod parse;
mod plausibility;
mod quantity;
mod reading;
mod tool;
mod uncertainty;
mod unit;
pub mod wire;

pub use amount::Amount;
pub use convert::{AmountFormat, Conversion, in_unit, number_in};
pub use decimal::Decimal;
pub use error::ValueError;
pub use fraction::Fraction;
pub use limits::{Limit, LimitUnit, OutsideLimit};
pub use location::{Location, Side, StringPlace};
pub use names::NameError;
pub use note::{Accidental, Letter, Note, NoteError, NoteProblem, STANDARD_A4_HZ, Spelling};
pub use parse::{
    MAX_PASS, MAX_READING, PassError, Problem, ReadingError, parse_amount, parse_pass,
    parse_reading, show_pass,
};
pub use plausibility::{Beyond, Impossible, Plausibility, plausibility};
pub use quantity::{Fret, InstrumentFamily, Quantity};
pub use reading::Reading;
pub use tool::{Tool, ToolKind};
pub use uncertainty::{COVERAGE_FACTOR, ReadingDifference, Taken, distinguishable};
pub use unit::{Dimension, Unit};
pub use uom::si::f64::Length;
