//! Why a text is not a reading.

use std::fmt;

use thiserror::Error;

use crate::{Amount, Dimension, Tool, Unit, ValueError};

/// A text that is not a reading: what was read, where, what is wrong and what would be accepted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadingError {
    text: String,
    at: usize,
    problem: Problem,
    takes_bounds: bool,
}

impl ReadingError {
    /// Longest piece of the text that a message repeats, in characters.
    const SHOWN: usize = 40;

    pub(super) fn new(text: &str, at: usize, problem: Problem, takes_bounds: bool) -> Self {
        let mut shown: String = text.chars().take(Self::SHOWN).collect();
        if text.chars().nth(Self::SHOWN).is_some() {
            shown.push('…');
        }
        Self { text: shown, at, problem, takes_bounds }
    }

    /// The text that was read, shortened to forty characters.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The character at which reading stopped; the first one is 1.
    pub const fn at(&self) -> usize {
        self.at
    }

    /// What is wrong.
    pub const fn problem(&self) -> &Problem {
        &self.problem
    }

    /// Whether bounds would be taken in its place, as of a reading, and not an amount alone, as of a target.
    pub const fn takes_bounds(&self) -> bool {
        self.takes_bounds
    }
}

impl fmt::Display for ReadingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Debug form: quotes, and control characters made visible.
        write!(f, "cannot read {:?} at character {}: {}", self.text, self.at, self.problem)
    }
}

impl std::error::Error for ReadingError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        Some(&self.problem)
    }
}

/// What is wrong with a text, and what would be accepted.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum Problem {
    /// Nothing was written, or only spaces.
    #[error("nothing was written; accepted: {}", .dimension.examples())]
    Empty {
        /// What should have been read.
        dimension: Dimension,
    },
    /// More text than any reading has.
    #[error("{length} characters are too many; a reading has at most {limit}")]
    TooLong {
        /// How many there are.
        length: usize,
        /// How many are accepted.
        limit: usize,
    },
    /// A character that no reading has.
    #[error(
        "the character {found:?} has no place in a reading; accepted: digits 0 to 9, point or \
         comma, / - + = < > \" % ° and words"
    )]
    Character {
        /// The character that means nothing here.
        found: char,
    },
    /// Something like a number that is none.
    #[error(
        "{found:?} is not a number; accepted: one point or one comma with digits behind it, at \
         most twelve digits and nine places"
    )]
    Number {
        /// What was found.
        found: String,
    },
    /// A number should stand here.
    #[error("a number is missing here; accepted: {}", .dimension.examples())]
    MissingNumber {
        /// What should have been read.
        dimension: Dimension,
    },
    /// A whole number should stand here.
    #[error("a whole number must stand here, such as the 64 of 5/64")]
    MissingWhole,
    /// A number that can mean several things.
    #[error("this can mean {}; write the unit, or name the tool", list(.meanings))]
    Ambiguous {
        /// What it can mean, each in a form that is accepted.
        meanings: Vec<Amount>,
    },
    /// A word that is not a unit.
    #[error("{found:?} is not a unit of {dimension}; accepted: {}", .dimension.units())]
    Unit {
        /// The word that was read as a unit.
        found: String,
        /// What should have been read.
        dimension: Dimension,
    },
    /// A unit behind a fraction that is of an inch.
    #[error("a fraction is of an inch, not of {found:?}")]
    OnlyInches {
        /// The unit as it was written.
        found: String,
    },
    /// An interval whose ends are exchanged.
    #[error("the low end {low} of the interval lies above its high end {high}")]
    Exchanged {
        /// The low end.
        low: Amount,
        /// The high end.
        high: Amount,
    },
    /// A unit that measures something else.
    #[error("{found} does not measure {dimension}; accepted: {}", .dimension.units())]
    OtherDimension {
        /// The unit that was written.
        found: Unit,
        /// What should have been read.
        dimension: Dimension,
    },
    /// A fraction of something that is not read in fractions.
    #[error("{dimension} is not read in fractions of this kind; accepted: {}", .dimension.examples())]
    NoFraction {
        /// What should have been read.
        dimension: Dimension,
    },
    /// A tool that measures something else.
    #[error("the tool \"{tool}\" does not read {dimension}")]
    WrongTool {
        /// The tool that was named.
        tool: Tool,
        /// What should have been read.
        dimension: Dimension,
    },
    /// Something behind the end of a reading, or a word out of place.
    #[error("{found:?} is out of place; accepted: {}", .dimension.examples())]
    OutOfPlace {
        /// What was found.
        found: String,
        /// What should have been read.
        dimension: Dimension,
    },
    /// A value outside what can be kept.
    #[error(transparent)]
    Value(#[from] ValueError),
}

impl Problem {
    /// A short word for the kind of problem, for programs; it never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Empty { .. } => "empty",
            Self::TooLong { .. } => "too-long",
            Self::Character { .. } => "character",
            Self::Number { .. } => "number",
            Self::MissingNumber { .. } => "missing-number",
            Self::MissingWhole => "missing-whole",
            Self::Ambiguous { .. } => "ambiguous",
            Self::Unit { .. } | Self::OnlyInches { .. } => "unit",
            Self::OtherDimension { .. } => "other-dimension",
            Self::NoFraction { .. } => "no-fraction",
            Self::WrongTool { .. } => "wrong-tool",
            Self::OutOfPlace { .. } => "out-of-place",
            Self::Value(ValueError::Denominator { .. }) => "denominator",
            Self::Exchanged { .. } | Self::Value(ValueError::Exchanged { .. }) => "exchanged",
            Self::Value(ValueError::Mixed { .. }) => "mixed",
            Self::Value(_) => "range",
        }
    }
}

fn list(meanings: &[Amount]) -> String {
    meanings.iter().map(ToString::to_string).collect::<Vec<_>>().join(" or ")
}
