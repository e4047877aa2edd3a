#![forbid(unsafe_code)]
//! Checks of the set-up mathematics against reference files.
//!
//! A reference file is JSON of a known [form](form::Form): neck and gaps ("geometry"), board
//! ("board") and so on. It is recognised by its keys, not by its name, so that any file of the
//! same form with other numbers can be checked. Every output is computed anew from the inputs by
//! `fallaway-mechanics` and compared; the [`Report`] keeps the worst deviation per quantity and
//! names every field that nothing compared.
//!
//! # Adding a form
//!
//! Write a module with a type that implements [`form::Form`] and add it to [`form::all`]. Read the
//! file through [`fields::Fields`], which notices what was never asked for.

pub mod board;
pub mod fields;
pub mod form;
pub mod geometry;
pub mod pluck;
pub mod report;
pub mod strings;

pub use form::{check_text, check_value};
pub use report::{Report, Tolerance};

/// Why a file cannot be checked at all.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unreadable {
    /// The text is not JSON.
    #[error("not readable as JSON: {0}")]
    NotJson(String),
    /// The JSON is of no known form.
    #[error("not a file of a known form (known: {known}); its keys are: {keys}")]
    UnknownForm {
        /// The forms that are known.
        known: String,
        /// The keys that were found.
        keys: String,
    },
    /// A field without which nothing can be computed is missing or of the wrong type.
    #[error("{path}: {wanted} is needed here")]
    Field {
        /// Where in the file.
        path: String,
        /// What was expected there.
        wanted: &'static str,
    },
}
