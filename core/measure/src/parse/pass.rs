//! A pass: the same reading on one string after the other.

use thiserror::Error;

use super::grammar::Cursor;
use super::scan::{ParseFault, Token, TokenKind, scan};
use super::{Problem, ReadingError, check_tool, marks};
use crate::{Amount, Dimension, Reading, Tool, Unit};

/// A line that is not a pass.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PassError {
    /// One of the readings cannot be read.
    #[error("reading {position}: {error}")]
    Reading {
        /// Which one, counted as written; the first is 1.
        position: usize,
        /// What is wrong with it.
        error: ReadingError,
    },
    /// Too few or too many readings.
    #[error(
        "{found} readings, but {wanted} are wanted; \"-\" stands for one that was not read, and \
         numbers such as 1 1/16 are separated by semicolons"
    )]
    Count {
        /// How many were written.
        found: usize,
        /// How many are wanted.
        wanted: usize,
    },
    /// A reading said to be the same as before, but there is none before.
    #[error("reading {position} says \"=\", the same as before, but nothing was read there before")]
    NothingBefore {
        /// Which one, counted as written; the first is 1.
        position: usize,
    },
}

impl PassError {
    /// A short word for the kind of problem, for programs; it never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Reading { error, .. } => error.problem().code(),
            Self::Count { .. } => "count",
            Self::NothingBefore { .. } => "nothing-before",
        }
    }
}

/// Most characters of a pass.
pub const MAX_PASS: usize = 4_096;

/// Reads a pass: `count` readings in the order in which they were written, the tool being known or
/// not. `=` repeats the reading of the same position in `previous`; `-` was not read (`None`).
///
/// Readings are separated by spaces, or by a comma with a space; numbers with whole inches before a
/// fraction (`1 1/16`) by semicolons, unless no tool is named. Without a tool a unit behind the last
/// number counts for all numbers without one: `12 12 13 14 thou`.
///
/// # Errors
/// [`PassError`], which names the reading, what is wrong with it and what would be accepted.
///
/// ```
/// use fallaway_measure::{Dimension, Tool, parse_pass, show_pass};
/// let pass = parse_pass("5 5 5 6", Some(&Tool::RULE_64), Dimension::Length, 4, None)?;
/// assert_eq!(show_pass(&pass), "5/64 in; 5/64 in; 5/64 in; 6/64 in");
/// let later = parse_pass("= - 5 =", Some(&Tool::RULE_64), Dimension::Length, 4, Some(&pass))?;
/// assert_eq!(show_pass(&later), "5/64 in; -; 5/64 in; 6/64 in");
/// assert!(parse_pass("5 5 5", Some(&Tool::RULE_64), Dimension::Length, 4, None).is_err());
/// # Ok::<(), fallaway_measure::PassError>(())
/// ```
pub fn parse_pass(
    text: &str,
    tool: Option<&Tool>,
    dimension: Dimension,
    count: usize,
    previous: Option<&[Option<Reading>]>,
) -> Result<Vec<Option<Reading>>, PassError> {
    let fail = |position, (at, problem): ParseFault| PassError::Reading {
        position,
        error: ReadingError::new(text, at, problem, true),
    };
    check_tool(tool, dimension).map_err(|problem| fail(1, (1, problem)))?;
    let length = text.chars().count();
    if length > MAX_PASS {
        return Err(fail(1, (1, Problem::TooLong { length, limit: MAX_PASS })));
    }
    let tokens = scan(text).map_err(|fault| fail(1, fault))?;
    if tokens.is_empty() {
        return Err(fail(1, (1, Problem::Empty { dimension })));
    }
    let (tokens, marks) = marks(&tokens);
    let tokens = tokens.as_ref();
    let tool = marks.as_ref().or(tool);
    let separated = tokens.iter().any(|token| token.kind == TokenKind::Semicolon);
    let common =
        common_unit(tokens).filter(|unit| tool.is_none_or(|tool| decides(*unit, tool, tokens)));
    let pieces: Vec<&[Token]> = if separated {
        tokens.split(|token| token.kind == TokenKind::Semicolon).collect()
    } else {
        vec![tokens]
    };
    // Where spaces separate, a tool that turns bare whole numbers into readings makes two readings
    // out of "1 1/16".
    let mixed = separated || tool.is_none() || count == 1;
    let mut found = Vec::new();
    for piece in &pieces {
        let end = piece.last().map_or(length, |token| token.at + token.text.chars().count());
        let mut cursor = Cursor::new(piece, end, tool, dimension, mixed);
        cursor.common = common;
        loop {
            let position = found.len() + 1;
            found.push(one(&mut cursor).map_err(|fault| fail(position, fault))?);
            let comma = cursor.take(&TokenKind::Comma);
            if cursor.is_done() {
                break;
            }
            // 5-5 is no two readings, but a slip.
            if separated || !(comma || cursor.is_apart()) {
                return Err(fail(position, cursor.out_of_place()));
            }
        }
    }
    if found.len() != count {
        return Err(PassError::Count { found: found.len(), wanted: count });
    }
    let before = |index: usize| previous.and_then(|previous| previous.get(index).copied());
    found
        .into_iter()
        .enumerate()
        .map(|(index, item)| match item {
            Item::Read(reading) => Ok(Some(reading)),
            Item::NotRead => Ok(None),
            Item::AsBefore => match before(index).flatten() {
                Some(reading) => Ok(Some(reading)),
                None => Err(PassError::NothingBefore { position: index + 1 }),
            },
        })
        .collect()
}

/// A pass as one line that [`parse_pass`] reads back to the same readings.
pub fn show_pass(readings: &[Option<Reading>]) -> String {
    let shown: Vec<String> = readings
        .iter()
        .map(|reading| reading.map_or_else(|| "-".to_owned(), |reading| reading.to_string()))
        .collect();
    shown.join("; ")
}

enum Item {
    Read(Reading),
    NotRead,
    AsBefore,
}

fn one(cursor: &mut Cursor<'_>) -> Result<Item, ParseFault> {
    if cursor.take(&TokenKind::Equals) {
        Ok(Item::AsBefore)
    } else if cursor.take_lone_minus() {
        Ok(Item::NotRead)
    } else {
        cursor.reading().map(Item::Read)
    }
}

/// Whether the unit at the end of a line says more than the tool in hand: `.07 .08 in` beside a rule, but
/// not `5 5 6 in`, which counts marks.
fn decides(unit: Unit, tool: &Tool, tokens: &[Token]) -> bool {
    let marks = matches!(tool.graduation(), Amount::Fraction(_)) && unit == Unit::Inch;
    let is_whole = |token: &Token| matches!(&token.kind, TokenKind::Number(n) if n.places == 0 && n.digits != 0);
    !marks || !tokens.iter().any(is_whole)
}

/// The unit behind the last number, if it is the only word or unit of the line.
fn common_unit(tokens: &[Token]) -> Option<Unit> {
    let (last, before) = tokens.split_last()?;
    let plain = before.iter().all(|token| {
        matches!(
            token.kind,
            TokenKind::Number(_)
                | TokenKind::Minus
                | TokenKind::Plus
                | TokenKind::Equals
                | TokenKind::Comma
        )
    });
    // The smallest text with this unit finds out which one it is.
    let probe = format!("1 {}", last.text);
    let several =
        before.iter().filter(|token| matches!(token.kind, TokenKind::Number(_))).count() > 1;
    if !plain || !several {
        return None;
    }
    match super::parse_amount(&probe, None, Dimension::Length) {
        Ok(Amount::Decimal { unit, .. }) if !matches!(last.kind, TokenKind::Number(_)) => {
            Some(unit)
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pass(text: &str, tool: Option<&Tool>, count: usize) -> Result<String, PassError> {
        parse_pass(text, tool, Dimension::Length, count, None).map(|pass| show_pass(&pass))
    }

    #[test]
    fn forms_of_a_line() {
        let (rule, feeler) = (Some(&Tool::RULE_64), Some(&Tool::FEELER_THOU));
        for (text, tool, wanted) in [
            ("5 5 5 6", rule, "5/64 in; 5/64 in; 5/64 in; 6/64 in"),
            ("5, 5, 5, 6", rule, "5/64 in; 5/64 in; 5/64 in; 6/64 in"),
            ("5; 5;5 ;6", rule, "5/64 in; 5/64 in; 5/64 in; 6/64 in"),
            ("5/64 5/64 5/64 3/32", None, "5/64 in; 5/64 in; 5/64 in; 3/32 in"),
            ("5 - -1 -", rule, "5/64 in; -; -1/64 in; -"),
            ("1,98 1,85 2,00", None, "1.98 mm; 1.85 mm; 2.00 mm"),
            ("5 1.98 mm 5.5", rule, "5/64 in; 1.98 mm; 5.5/64 in"),
            ("12 12 13 14 thou", None, "12 thou; 12 thou; 13 thou; 14 thou"),
            ("12, 12 -3 mm", None, "12 mm; 12 mm; -3 mm"),
            ("1 1/16 1 1/32", None, "1 1/16 in; 1 1/32 in"),
            ("1 1/16; 1 1/32", rule, "1 1/16 in; 1 1/32 in"),
            ("1 1/16", rule, "1/64 in; 1/16 in"),
            ("2 1/2 /32 3", rule, "2.5/32 in; 3/64 in"),
            ("10 goes, 12 not 14", feeler, "10 thou to 12 thou; 14 thou"),
            ("10 goes 12 goes touches", feeler, ">= 10 thou; >= 12 thou; <= 0 thou"),
            ("6½ 6 6¼ ½", rule, "6.5/64 in; 6/64 in; 6.25/64 in; 0.5/64 in"),
            ("5 1/2 6 6 3/4 7", rule, "5.5/64 in; 6/64 in; 6.75/64 in; 7/64 in"),
            (
                "5/64+ 6+ 6- 7",
                rule,
                "5/64 in to 5.5/64 in; 6/64 in to 6.5/64 in; 5.5/64 in to 6/64 in; 7/64 in",
            ),
            (".07 .07 .08 .08 in", rule, "0.07 in; 0.07 in; 0.08 in; 0.08 in"),
            ("1.9 2 2 2.1 mm", rule, "1.9 mm; 2 mm; 2 mm; 2.1 mm"),
            ("12 12 13 inch", None, "12 in; 12 in; 13 in"),
            ("0,078 0,08 Zoll", None, "0.078 in; 0.08 in"),
            ("0,078 0,08 0,1 in", rule, "0.078 in; 0.08 in; 0.1 in"),
            ("0,078 0,08 Zoll", Some(&Tool::DIAL_MM), "0.078 in; 0.08 in"),
            ("1,9 2 2,1 mm", rule, "1.9 mm; 2 mm; 2.1 mm"),
            ("10 12 mil", None, "10 thou; 12 thou"),
            ("5 5 5 6½ 64ths", None, "5/64 in; 5/64 in; 5/64 in; 6.5/64 in"),
            ("2.5 3 32nds", rule, "2.5/32 in; 3/32 in"),
            ("5 64ths 5½ 64ths 6 64ths", None, "5/64 in; 5.5/64 in; 6/64 in"),
            ("10 goes, 12, 14", feeler, ">= 10 thou; 12 thou; 14 thou"),
        ] {
            let count = wanted.split(';').count();
            assert_eq!(pass(text, tool, count).as_deref(), Ok(wanted), "{text}");
        }
        // One reading is wanted, so it is one number.
        assert_eq!(pass("1 1/16", rule, 1).as_deref(), Ok("1 1/16 in"));
        assert_eq!(pass("5 1/2", rule, 1).as_deref(), Ok("5.5/64 in"));
    }

    #[test]
    fn the_reading_that_is_wrong_is_named() {
        let rule = Some(&Tool::RULE_64);
        for (text, tool, count, code, says) in [
            ("5 5 5", rule, 4, "count", "3 readings, but 4 are wanted"),
            ("5 5 5 5 5", rule, 4, "count", "5 readings"),
            ("5 x 5", rule, 3, "unit", "reading 1"),
            ("5 5 5/46", rule, 3, "denominator", "reading 3"),
            ("5;;5", rule, 3, "missing-number", "reading 2"),
            ("5 5; 5", rule, 3, "out-of-place", "reading 1"),
            ("5-5", rule, 2, "out-of-place", "reading 1"),
            ("5+5", rule, 2, "out-of-place", "reading 1"),
            ("6½ 6", None, 2, "ambiguous", "6.5/64"),
            ("5 =", rule, 2, "nothing-before", "reading 2"),
            ("5 5 12 1,98", None, 4, "ambiguous", "reading 1"),
            ("5,5,5,6", rule, 4, "number", "one comma"),
            ("", rule, 4, "empty", "nothing was written"),
            ("1", Some(&Tool::TUNER_CENT), 1, "wrong-tool", "tuner 1 cent"),
        ] {
            let error = pass(text, tool, count).unwrap_err();
            assert_eq!(error.code(), code, "{text}: {error}");
            assert!(error.to_string().contains(says), "{text}: {error}");
        }
        assert_eq!(pass(&"5 ".repeat(3_000), rule, 4).unwrap_err().code(), "too-long");
    }

    #[test]
    fn the_same_as_before_needs_a_before() {
        let rule = Some(&Tool::RULE_64);
        let first = parse_pass("5 - 6", rule, Dimension::Length, 3, None).unwrap();
        let again = |text| parse_pass(text, rule, Dimension::Length, 3, Some(&first));
        assert_eq!(again("= - =").unwrap(), first);
        assert_eq!(again("= = ="), Err(PassError::NothingBefore { position: 2 }));
    }
}
