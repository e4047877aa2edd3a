//! Readings as people write them, and what they can tell.
//!
//! What a person saw keeps its form: "5/64" stays five sixty-fourths of an inch, and is shown in
//! another unit only when somebody asks. An inch is 25.4 mm exactly.

use fallaway::measure::{
    self, AmountFormat, Dimension, Fraction, Taken, Unit, distinguishable, in_unit,
};
use fallaway::mechanics::units::as_mm;
use fallaway::text::messages::errors;
use fallaway::text::names;

use crate::error::field;
use crate::mirror::mirror;
use crate::voice::{self, say};
use crate::{FallawayError, Quantity, Reading, Tool};

/// The unit in which a length is to be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum ShowLengthIn {
    /// Millimetres, with so many places.
    Millimetres {
        /// Places behind the point, 0 to 9.
        places: u32,
    },
    /// Inches, with so many places.
    Inches {
        /// Places behind the point, 0 to 9.
        places: u32,
    },
    /// Thousandths of an inch, with so many places.
    Thou {
        /// Places behind the point, 0 to 9.
        places: u32,
    },
    /// The nearest division of a rule: 64 for sixty-fourths of an inch.
    Divisions {
        /// Divisions in an inch.
        denominator: u32,
    },
}

/// A length in another unit.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ShownLength {
    /// In words: "1.984 mm".
    pub text: String,
    /// Whether nothing was rounded.
    pub exact: bool,
}

/// A tool as people call it, with what its graduation is.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ToolInfo {
    /// The tool, as calls take it.
    pub tool: Tool,
    /// As people call it: "rule 1/64 in".
    pub name: String,
    /// As a tool that is given in words takes it, in every language: "rule 1/64".
    pub label: String,
    /// Its graduation: "1/64 in".
    pub graduation: String,
    /// Standard uncertainty of one length read with it in mm: half the graduation over the square root
    /// of 3 (JCGM 100:2008, 4.3.7) in quadrature with the repeatability of its kind (common practice,
    /// no source); `None` for a tool that reads no lengths.
    pub standard_uncertainty_mm: Option<f64>,
}

mirror! {
    /// Whether two readings of one thing tell two values apart.
    closed ReadingDifference = measure::ReadingDifference {
        /// The first is the smaller one, by more than both leave open.
        Less,
        /// The first is the larger one, by more than both leave open.
        Greater,
        /// The same, as far as the tools can tell.
        Same,
        /// Bounds that overlap: nothing follows.
        CannotTell,
    }
}

fn tool_of(tool: Option<Tool>) -> Result<Option<measure::Tool>, FallawayError> {
    tool.as_ref().map(Tool::typed).transpose()
}

/// Reads one reading as a person writes it: `5/64`, `2.5/32`, `2 1/2 /32`, `1 1/16 in`, `.078`,
/// `12 thou`, `1.98 mm`, `1,98`, and bounds: `touches`, `<= 0`, `.010 goes, .012 not`. The words
/// may be German, whatever the app's language: `liegt auf`, `0,25 geht, 0,30 nicht`. With a tool a bare number
/// is in its graduations: `5` on a rule of sixty-fourths is 5/64 in. `quantity` says whether it is a length or
/// an interval, and in which unit it is shown.
///
/// # Errors
/// `BadInput` with the text, the place, what is wrong and what would be accepted.
#[uniffi::export(default(tool = None))]
pub fn parse_reading(
    text: String,
    quantity: Quantity,
    tool: Option<Tool>,
) -> Result<Reading, FallawayError> {
    voice::elsewhere();
    let (tool, quantity) = (tool_of(tool)?, quantity.typed()?);
    let reading = measure::parse_reading(&text, tool.as_ref(), quantity.dimension())
        .map_err(fallaway::Error::from)?;
    Ok(Reading::of(reading, tool, quantity))
}

/// Reads a pass across the strings: `5 5 5 6`. `=` repeats the reading of the same position in
/// `previous` (a pass as it was written), `-` was not read and is `None`.
///
/// # Errors
/// `BadInput` with the position of the reading, what is wrong and what would be accepted.
#[uniffi::export(default(tool = None, previous = None))]
pub fn parse_pass(
    text: String,
    quantity: Quantity,
    strings: u32,
    tool: Option<Tool>,
    previous: Option<String>,
) -> Result<Vec<Option<Reading>>, FallawayError> {
    voice::elsewhere();
    let (tool, quantity) = (tool_of(tool)?, quantity.typed()?);
    let count = usize::try_from(strings).unwrap_or(usize::MAX);
    let read = |text: &str, previous: Option<&[Option<measure::Reading>]>| {
        measure::parse_pass(text, tool.as_ref(), quantity.dimension(), count, previous)
            .map_err(fallaway::Error::from)
    };
    let previous = previous.map(|text| read(&text, None)).transpose()?;
    let pass = read(&text, previous.as_deref())?;
    Ok(pass.into_iter().map(|one| one.map(|read| Reading::of(read, tool, quantity))).collect())
}

/// A length in another unit, rounded once, halves away from zero. For showing only: what was read
/// stays what it was.
///
/// # Errors
/// `BadInput` for a text that is no single length, and for divisions that no rule has.
#[uniffi::export(default(tool = None))]
pub fn show_length_in(
    text: String,
    unit: ShowLengthIn,
    tool: Option<Tool>,
) -> Result<ShownLength, FallawayError> {
    voice::elsewhere();
    let tool = tool_of(tool)?;
    let amount = measure::parse_amount(&text, tool.as_ref(), Dimension::Length)
        .map_err(fallaway::Error::from)?;
    let decimal = |unit, places| AmountFormat::Decimal {
        unit,
        places: u8::try_from(places).unwrap_or(u8::MAX),
    };
    let scale = match unit {
        ShowLengthIn::Millimetres { places } => decimal(Unit::Millimetre, places),
        ShowLengthIn::Inches { places } => decimal(Unit::Inch, places),
        ShowLengthIn::Thou { places } => decimal(Unit::Thou, places),
        ShowLengthIn::Divisions { denominator } => {
            AmountFormat::Divisions { denominator: u16::try_from(denominator).unwrap_or(u16::MAX) }
        }
    };
    let shown = in_unit(amount, scale).ok_or_else(|| {
        let reason = errors::not_shown_so(amount);
        let accepted = match scale {
            AmountFormat::Divisions { .. } => {
                fallaway::Accepted::one_of_listed(Fraction::DENOMINATORS_TEXT)
            }
            AmountFormat::Decimal { .. } => fallaway::Accepted::between(0, 9),
        };
        FallawayError::bad_input(&field("unit"), &reason, accepted.said(errors::shown_accepted()))
    })?;
    Ok(ShownLength { text: shown.to_string(), exact: shown.is_exact() })
}

/// Whether two readings of one thing tell two values apart: they differ if the difference is above
/// twice its standard uncertainty (JCGM 100:2008, 6.3.3). Two readings off a rule of sixty-fourths
/// must lie two marks apart.
///
/// # Errors
/// As [`parse_reading`].
#[uniffi::export(default(first_tool = None, second_tool = None))]
pub fn compare_readings(
    first: String,
    second: String,
    quantity: Quantity,
    first_tool: Option<Tool>,
    second_tool: Option<Tool>,
) -> Result<ReadingDifference, FallawayError> {
    voice::elsewhere();
    let quantity = quantity.typed()?;
    let read = |text: &str, tool: Option<Tool>| -> Result<_, FallawayError> {
        let tool = tool_of(tool)?;
        let reading = measure::parse_reading(text, tool.as_ref(), quantity.dimension());
        Ok((reading.map_err(fallaway::Error::from)?, tool))
    };
    let ((first, a), (second, b)) = (read(&first, first_tool)?, read(&second, second_tool)?);
    let taken = |reading, tool| Taken::new(reading, tool);
    Ok(distinguishable(taken(&first, a.as_ref()), taken(&second, b.as_ref())).into())
}

/// The tools of a bench, as calls take them.
#[uniffi::export]
pub fn usual_tools() -> Vec<ToolInfo> {
    voice::elsewhere();
    measure::Tool::USUAL.iter().map(tool_info).collect()
}

/// A tool by its name, such as "rule 1/64", "feeler 0.01 mm", "tuner".
///
/// # Errors
/// `BadInput` with what would be accepted.
#[uniffi::export]
pub fn tool_named(label: String) -> Result<ToolInfo, FallawayError> {
    voice::elsewhere();
    Ok(tool_info(&label.parse::<measure::Tool>()?))
}

fn tool_info(tool: &measure::Tool) -> ToolInfo {
    ToolInfo {
        tool: (*tool).into(),
        name: say(&names::tool(*tool)),
        label: tool.to_string(),
        graduation: tool.graduation().to_string(),
        standard_uncertainty_mm: tool.standard_uncertainty(None).map(as_mm),
    }
}
