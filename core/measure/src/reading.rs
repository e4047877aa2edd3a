//! What a person saw: a value, a bound or an interval.

use std::cmp::Ordering;
use std::fmt;

use crate::{Amount, Dimension, ValueError};

/// What a person saw, in the form in which it was seen.
///
/// ```
/// use fallaway_measure::{Amount, Reading, Unit};
/// let goes = Amount::decimal(10, 3, Unit::Inch)?;
/// let not = Amount::decimal(12, 3, Unit::Inch)?;
/// assert_eq!(Reading::between(goes, not)?.to_string(), "0.010 in to 0.012 in");
/// assert!(Reading::between(not, goes).is_err());
/// # Ok::<(), fallaway_measure::ValueError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Reading {
    /// One value, as read off the tool.
    Value(Amount),
    /// No more than this: a leaf that does not go, a string that touches.
    AtMost(Amount),
    /// No less than this: a leaf that goes.
    AtLeast(Amount),
    /// One leaf goes, the next does not. Build it with [`Reading::between`].
    Between {
        /// The thickest leaf that goes.
        low: Amount,
        /// What does not go.
        high: Amount,
    },
}

impl Reading {
    /// The interval from what goes to what does not.
    ///
    /// # Errors
    /// [`ValueError::Mixed`] if the ends measure different things, [`ValueError::Exchanged`] if the
    /// low end lies above the high end.
    pub fn between(low: Amount, high: Amount) -> Result<Self, ValueError> {
        match low.compare(high) {
            None => Err(ValueError::Mixed {
                first: low.to_string(),
                second: high.to_string(),
                first_is: low.dimension(),
                second_is: high.dimension(),
            }),
            Some(Ordering::Greater) => {
                Err(ValueError::Exchanged { low: low.to_string(), high: high.to_string() })
            }
            Some(_) => Ok(Self::Between { low, high }),
        }
    }

    /// What the reading measures.
    pub const fn dimension(self) -> Dimension {
        match self {
            Self::Value(amount) | Self::AtMost(amount) | Self::AtLeast(amount) => {
                amount.dimension()
            }
            Self::Between { low, .. } => low.dimension(),
        }
    }

    /// The lower end: the value itself, or the low bound if there is one.
    pub const fn low(self) -> Option<Amount> {
        match self {
            Self::Value(amount) | Self::AtLeast(amount) => Some(amount),
            Self::Between { low, .. } => Some(low),
            Self::AtMost(_) => None,
        }
    }

    /// The upper end: the value itself, or the high bound if there is one.
    pub const fn high(self) -> Option<Amount> {
        match self {
            Self::Value(amount) | Self::AtMost(amount) => Some(amount),
            Self::Between { high, .. } => Some(high),
            Self::AtLeast(_) => None,
        }
    }
}

/// As seen; [`crate::parse_reading`] reads it back to the same reading.
impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Value(amount) => write!(f, "{amount}"),
            Self::AtMost(amount) => write!(f, "<= {amount}"),
            Self::AtLeast(amount) => write!(f, ">= {amount}"),
            Self::Between { low, high } => write!(f, "{low} to {high}"),
        }
    }
}
