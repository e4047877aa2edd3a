//! Reading what people write.

mod bare;
mod grammar;
mod pass;
mod problem;
mod scan;

pub use pass::{MAX_PASS, PassError, parse_pass, show_pass};
pub use problem::{Problem, ReadingError};

use std::borrow::Cow;

use grammar::Cursor;
use scan::{Number, ParseFault, Token, TokenKind, scan};

use crate::{Amount, Dimension, Reading, Tool};

/// Most characters of one reading.
pub const MAX_READING: usize = 120;

/// Reads one reading: a value, a bound or an interval.
///
/// Free forms are accepted with any tool and without one: `5/64`, `2.5/32`, `2 1/2 /32`,
/// `1 1/16 in`, `3/32"`, `.078`, `0.078 in`, `12 thou`, `.012"`, `1.98 mm`, `1,98`. A number without
/// a unit is in the steps of a rule divided in fractions (`5` is 5/64 in on a 1/64 in rule, `2.5` is
/// 2.5/32 in on a 1/32 in rule), in thousandths with a tool of thousandths, in millimetres with a
/// millimetre tool. Without a tool, `.078` (point first, three places) is inches, `1,98` (comma) and
/// `1.98` (from 0.2 to 25) are millimetres; other numbers are refused with what they could mean.
///
/// With a rule in hand half a division is `6½`, `6.5` or `6 1/2`, and `5/64+` and `5/64-` are a little
/// more and less than the mark, by at most half a division. `5 64ths` names the marks itself. An inch may be
/// `in`, `"` or, as German labels have it, `Zoll`.
///
/// Bounds: `<= 0`, `touches`, `>= 2 mm`, `.010 goes`, `.012 not`, `.010 goes, .012 not`,
/// `0.010 in to 0.012 in`. A sign stands directly before its number; a back-bow is below zero.
///
/// The words may be German, whatever the language of the app: `liegt auf`, `.010 geht, .012 nicht`,
/// `0,25 bis 0,30 mm`, `1/4 Umdrehung`.
///
/// # Errors
/// [`ReadingError`] with the text, the position, what is wrong and what would be accepted.
///
/// ```
/// use fallaway_measure::{Dimension, Tool, parse_reading};
/// let read = |text, tool| parse_reading(text, tool, Dimension::Length).map(|r| r.to_string());
/// assert_eq!(read("5", Some(&Tool::RULE_64))?, "5/64 in");
/// assert_eq!(read("1,98", None)?, "1.98 mm");
/// assert_eq!(read("5/64 Zoll", None)?, "5/64 in");
/// assert_eq!(read(".010 goes, .012 not", None)?, "0.010 in to 0.012 in");
/// assert_eq!(
///     read("12", None).unwrap_err().to_string(),
///     "cannot read \"12\" at character 1: this can mean 12 mm or 12 thou or 12/64 in; \
///      write the unit, or name the tool",
/// );
/// # Ok::<(), fallaway_measure::ReadingError>(())
/// ```
#[expect(
    clippy::redundant_closure_for_method_calls,
    reason = "the method itself is tied to one lifetime of the cursor"
)]
pub fn parse_reading(
    text: &str,
    tool: Option<&Tool>,
    dimension: Dimension,
) -> Result<Reading, ReadingError> {
    whole_text(text, tool, dimension, true, |cursor| cursor.reading())
}

/// Reads one amount, no bounds: a target, a gauge, a scale length.
///
/// # Errors
/// As [`parse_reading`].
///
/// ```
/// use fallaway_measure::{Dimension, parse_amount};
/// assert_eq!(parse_amount("34 in", None, Dimension::Length)?.to_string(), "34 in");
/// assert_eq!(parse_amount("-1/4 turn", None, Dimension::Rotation)?.to_string(), "-0.25 turn");
/// # Ok::<(), fallaway_measure::ReadingError>(())
/// ```
#[expect(
    clippy::redundant_closure_for_method_calls,
    reason = "the method itself is tied to one lifetime of the cursor"
)]
pub fn parse_amount(
    text: &str,
    tool: Option<&Tool>,
    dimension: Dimension,
) -> Result<Amount, ReadingError> {
    whole_text(text, tool, dimension, false, |cursor| cursor.amount())
}

/// The marks in which a line is counted, if it names them at its end (`5 5 5 6 64ths`) or behind each
/// number (`5 64ths 6 64ths`); and the rest.
fn marks(tokens: &[Token]) -> (Cow<'_, [Token]>, Option<Tool>) {
    let Some((mut rest, digits)) = without_marks(tokens) else { return (tokens.into(), None) };
    let Ok(rule) = format!("rule 1/{digits}").parse() else { return (tokens.into(), None) };
    let mut counts = Vec::new();
    while let [before @ .., count] = rest
        && let Some((earlier, same)) = without_marks(before)
        && same == digits
    {
        counts.push(count.clone());
        rest = earlier;
    }
    if rest.is_empty() {
        return (tokens.into(), None);
    }
    if counts.is_empty() {
        return (rest.into(), Some(rule));
    }
    counts.reverse();
    (Cow::Owned([rest, counts.as_slice()].concat()), Some(rule))
}

/// A line without the marks at its end, and by how many they divide an inch.
fn without_marks(tokens: &[Token]) -> Option<(&[Token], i64)> {
    let [rest @ .., number, word] = tokens else { return None };
    match (&number.kind, &word.kind) {
        (TokenKind::Number(Number { digits, places: 0, .. }), TokenKind::Word(name))
            if !word.apart && matches!(name.as_str(), "ths" | "th" | "nds" | "nd") =>
        {
            Some((rest, *digits))
        }
        _ => None,
    }
}

fn check_tool(tool: Option<&Tool>, dimension: Dimension) -> Result<(), Problem> {
    match tool {
        Some(tool) if tool.graduation().dimension() != dimension => {
            Err(Problem::WrongTool { tool: *tool, dimension })
        }
        _ => Ok(()),
    }
}

fn whole_text<T>(
    text: &str,
    tool: Option<&Tool>,
    dimension: Dimension,
    takes_bounds: bool,
    read: impl Fn(&mut Cursor<'_>) -> Result<T, ParseFault>,
) -> Result<T, ReadingError> {
    let attempt = || {
        check_tool(tool, dimension).map_err(|problem| (1, problem))?;
        let length = text.chars().count();
        if length > MAX_READING {
            return Err((1, Problem::TooLong { length, limit: MAX_READING }));
        }
        let tokens = scan(text)?;
        if tokens.is_empty() {
            return Err((1, Problem::Empty { dimension }));
        }
        let (tokens, marks) = marks(&tokens);
        let tool = marks.as_ref().or(tool);
        let mut cursor = Cursor::new(&tokens, length + 1, tool, dimension, true);
        let result = read(&mut cursor)?;
        if cursor.is_done() { Ok(result) } else { Err(cursor.out_of_place()) }
    };
    attempt().map_err(|(at, problem)| ReadingError::new(text, at, problem, takes_bounds))
}
