//! What can be wrong with a value that a program puts together.

use thiserror::Error;

/// A value outside what its type can carry.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ValueError {
    /// A number outside its limits.
    #[error("{what} {value} is outside {low} to {high}")]
    OutOfRange {
        /// What the number is.
        what: &'static str,
        /// The number that was given.
        value: String,
        /// The smallest number that is accepted.
        low: i64,
        /// The largest number that is accepted.
        high: i64,
    },
    /// No rule is divided like this.
    #[error("no rule is divided into 1/{denominator} in; accepted denominators: {accepted}")]
    Denominator {
        /// The denominator that was given.
        denominator: u32,
        /// Those that are accepted, as text.
        accepted: &'static str,
    },
    /// An interval whose ends are exchanged.
    #[error("the low end {low} of the interval lies above its high end {high}")]
    Exchanged {
        /// The low end as shown.
        low: String,
        /// The high end as shown.
        high: String,
    },
    /// Two amounts that measure different things.
    #[error("{first} and {second} cannot be compared: one is {first_is}, the other {second_is}")]
    Mixed {
        /// The first amount as shown.
        first: String,
        /// The second amount as shown.
        second: String,
        /// What the first one measures.
        first_is: crate::Dimension,
        /// What the second one measures.
        second_is: crate::Dimension,
    },
    /// A letter that does not name a string of a course.
    #[error("{found:?} does not name a string of a course; accepted: a letter a to z")]
    Member {
        /// What was given.
        found: char,
    },
    /// A gap over the very fret at which the string is stopped.
    #[error("stopped at {fret}, the string has no gap over {fret}")]
    NoGap {
        /// The fret at which the string is stopped, and over which it was to be read.
        fret: u8,
    },
    /// A line between two frets of which the second does not lie beyond the first.
    #[error("fret {to} does not lie beyond fret {from}")]
    Backwards {
        /// Where the line begins.
        from: u8,
        /// Where it ends.
        to: u8,
    },
    /// A graduation that no tool can have.
    #[error("a graduation must be greater than zero, got {graduation}")]
    Graduation {
        /// The graduation as shown.
        graduation: String,
    },
}
