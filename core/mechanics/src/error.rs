//! What a refusal says: which quantity, which value, in which unit, and what would be accepted.
//!
//! Limits of single values are those of [`fallaway_measure::Limit`].

use fallaway_measure::OutsideLimit;

/// Shorthand for results of this crate.
pub type Result<T> = std::result::Result<T, Error>;

/// Why a computation was refused.
///
/// Every variant names the quantity in words that a person can be shown.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Error {
    /// A value lies outside the limits within which the formula is meant.
    #[error(transparent)]
    Outside(#[from] OutsideLimit),
    /// A value for which there are no limits is not a number, or infinite.
    #[error("{quantity}: not a finite number; give a finite value")]
    NotFinite {
        /// What was given.
        quantity: &'static str,
    },
    /// Something that the computation needs was not given.
    #[error("{quantity} is needed {needed_for}")]
    Missing {
        /// What is missing.
        quantity: &'static str,
        /// For what, in words, for example "to turn a height into turns".
        needed_for: &'static str,
    },
    /// Too few values.
    #[error("{quantity}: {given} given, at least {needed} needed")]
    TooFew {
        /// What was given.
        quantity: &'static str,
        /// How many were given.
        given: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A list has another length than the list it belongs to.
    #[error("{quantity}: {given} given, {expected} expected")]
    CountMismatch {
        /// What was given.
        quantity: &'static str,
        /// How many were given.
        given: usize,
        /// How many belong there.
        expected: usize,
    },
    /// A place that does not exist on this instrument.
    #[error("there is no {what} {number}; this one has {first} to {last}")]
    NoSuchPlace {
        /// "fret" or "string".
        what: &'static str,
        /// The number asked for.
        number: usize,
        /// First that exists.
        first: usize,
        /// Last that exists.
        last: usize,
    },
    /// A name that is not in the list.
    #[error("no such {what}; accepted: {accepted}")]
    NotKnown {
        /// What was named.
        what: &'static str,
        /// What would be accepted.
        accepted: &'static str,
    },
    /// Values that contradict each other.
    #[error("{what}: {reason}")]
    Inconsistent {
        /// Which values contradict each other, in words.
        what: &'static str,
        /// Why they cannot be, and what would be accepted.
        reason: &'static str,
    },
    /// The given values do not determine the answer.
    #[error("{what} cannot be told from what was given: {reason}")]
    Undetermined {
        /// What was asked.
        what: &'static str,
        /// Why, and what would tell.
        reason: &'static str,
    },
}
