//! Fallaway for Kotlin, Swift and Python.
//!
//! A [`Workshop`] keeps the records of all instruments that a device knows, in one folder; an
//! [`Instrument`] is a handle to one of them. Every call blocks, may come from any thread, and has
//! made what it wrote durable when it returns. Calls answer a value or a [`FallawayError`], never
//! anything else.
//!
//! Nothing is computed here: types that can cross to another language, and conversions between
//! them and those of the crate `fallaway`. Units stand in the names of fields; a value that
//! somebody read crosses as a [`Figure`], which carries what was written, the unit, the uncertainty
//! and whether it was measured.

mod callbacks;
mod error;
mod figure;
mod instrument;
mod place;
mod workshop;

pub use callbacks::{KeptSecret, RandomSource, SecretKeeper, TimeSource};
pub use error::{FallawayError, ForeignError};
pub use figure::{Basis, Figure, FigureUnit};
pub use instrument::Instrument;
pub use place::{Moment, Quantity, Side, Spot, StringPlace};
pub use workshop::{
    DeviceInfo, InstrumentSummary, TemplateInfo, Workshop, WorkshopOptions, templates,
};

uniffi::setup_scaffolding!("fallaway");

/// What every call of this crate answers.
pub(crate) type Result<T> = std::result::Result<T, FallawayError>;
