//! Tools and their graduations.

use std::cmp::Ordering;
use std::fmt;

use crate::{Amount, Decimal, Fraction, Unit, ValueError};

/// The kind of a tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ToolKind {
    /// A steel rule, read by eye.
    SteelRule,
    /// Feeler leaves: a leaf that goes, and the next that does not.
    Feeler,
    /// A caliper, for spacing and thickness.
    Caliper,
    /// A dial gauge.
    DialGauge,
    /// A tuner, which reads pitch in cents.
    Tuner,
    /// Written by a newer version, by its number.
    Other(u32),
}

impl ToolKind {
    /// The number that stands for the kind on disk and on the wire, for ever.
    pub const fn number(self) -> u32 {
        match self {
            Self::SteelRule => 1,
            Self::Feeler => 2,
            Self::Caliper => 3,
            Self::DialGauge => 4,
            Self::Tuner => 5,
            Self::Other(number) => number,
        }
    }

    /// The kind with this number; [`ToolKind::Other`] if this version does not know it.
    pub const fn from_number(number: u32) -> Self {
        match number {
            1 => Self::SteelRule,
            2 => Self::Feeler,
            3 => Self::Caliper,
            4 => Self::DialGauge,
            5 => Self::Tuner,
            other => Self::Other(other),
        }
    }
}

/// `rule`, `feeler`, `caliper`, `dial`, `tuner`; `tool N` for a kind that a newer version wrote.
impl fmt::Display for ToolKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::SteelRule => "rule",
            Self::Feeler => "feeler",
            Self::Caliper => "caliper",
            Self::DialGauge => "dial",
            Self::Tuner => "tuner",
            Self::Other(number) => return write!(f, "tool {number}"),
        })
    }
}

/// A tool with its graduation: the step between two of its marks, leaves or digits.
///
/// ```
/// use fallaway_measure::Tool;
/// assert_eq!(Tool::RULE_64.to_string(), "rule 1/64");
/// assert_eq!(Tool::FEELER_THOU.to_string(), "feeler 1 thou");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Tool {
    kind: ToolKind,
    graduation: Amount,
}

impl Tool {
    /// Steel rule divided into 1/64 in.
    pub const RULE_64: Tool = Tool::divided(64);
    /// Steel rule divided into 1/32 in; a good eye splits a division in half.
    pub const RULE_32: Tool = Tool::divided(32);
    /// Steel rule divided into half millimetres.
    pub const RULE_HALF_MM: Tool = Tool::decimal(ToolKind::SteelRule, 5, 1, Unit::Millimetre);
    /// Steel rule divided into millimetres.
    pub const RULE_MM: Tool = Tool::decimal(ToolKind::SteelRule, 1, 0, Unit::Millimetre);
    /// Feeler leaves in steps of 0.01 mm.
    pub const FEELER_MM: Tool = Tool::decimal(ToolKind::Feeler, 1, 2, Unit::Millimetre);
    /// Feeler leaves in steps of a thousandth of an inch.
    pub const FEELER_THOU: Tool = Tool::decimal(ToolKind::Feeler, 1, 0, Unit::Thou);
    /// Caliper that shows 0.02 mm.
    pub const CALIPER_MM: Tool = Tool::decimal(ToolKind::Caliper, 2, 2, Unit::Millimetre);
    /// Dial gauge that shows 0.01 mm.
    pub const DIAL_MM: Tool = Tool::decimal(ToolKind::DialGauge, 1, 2, Unit::Millimetre);
    /// Tuner that shows whole cents.
    pub const TUNER_CENT: Tool = Tool::decimal(ToolKind::Tuner, 1, 0, Unit::Cent);
    /// Tuner that shows tenths of a cent.
    pub const TUNER_TENTH: Tool = Tool::decimal(ToolKind::Tuner, 1, 1, Unit::Cent);

    /// The usual tools. On the wire each is one small number, its place in this list; the list is
    /// closed for ever, so that a reader always knows the graduation behind the number.
    pub const USUAL: [Tool; 10] = [
        Self::RULE_64,
        Self::RULE_32,
        Self::RULE_HALF_MM,
        Self::RULE_MM,
        Self::FEELER_MM,
        Self::FEELER_THOU,
        Self::CALIPER_MM,
        Self::DIAL_MM,
        Self::TUNER_CENT,
        Self::TUNER_TENTH,
    ];

    const fn divided(denominator: u16) -> Self {
        Self {
            kind: ToolKind::SteelRule,
            graduation: Amount::Fraction(Fraction::division(denominator)),
        }
    }

    const fn decimal(kind: ToolKind, digits: i64, places: u8, unit: Unit) -> Self {
        Self {
            kind,
            graduation: Amount::Decimal { value: Decimal::constant(digits, places), unit },
        }
    }

    /// A tool.
    ///
    /// # Errors
    /// [`ValueError::Graduation`] for a graduation that is not above zero.
    pub fn new(kind: ToolKind, graduation: Amount) -> Result<Self, ValueError> {
        if graduation.sign() != Ordering::Greater {
            return Err(ValueError::Graduation { graduation: graduation.to_string() });
        }
        Ok(Self { kind, graduation })
    }

    /// What kind of tool it is.
    pub const fn kind(self) -> ToolKind {
        self.kind
    }

    /// The step between two marks.
    pub const fn graduation(self) -> Amount {
        self.graduation
    }
}

/// The label: the kind and the graduation. It parses back to the same tool.
impl fmt::Display for Tool {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.graduation {
            Amount::Fraction(fraction) => write!(f, "{} {fraction}", self.kind),
            amount @ Amount::Decimal { .. } => write!(f, "{} {amount}", self.kind),
        }
    }
}
