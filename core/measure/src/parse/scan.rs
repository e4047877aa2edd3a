//! Text to tokens.

use super::Problem;

/// A number as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Number {
    /// All digits, without the point.
    pub digits: i64,
    /// Digits behind the point.
    pub places: u8,
    /// The decimal sign was a comma.
    pub comma: bool,
    /// Nothing stood before the point.
    pub leading_point: bool,
    /// The part behind the whole was one sign, such as ½.
    pub one_sign: bool,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum TokenKind {
    Number(Number),
    /// Letters, in lower case.
    Word(String),
    Slash,
    Minus,
    Plus,
    Equals,
    AtMost,
    AtLeast,
    Inch,
    Percent,
    Degree,
    Cent,
    Comma,
    Semicolon,
}

#[derive(Clone, Debug)]
pub(super) struct Token {
    pub kind: TokenKind,
    /// Position of its first character, from 1.
    pub at: usize,
    /// As written.
    pub text: String,
    /// Whether white space (or the beginning) stands before it.
    pub apart: bool,
}

/// Where reading stopped, and why.
pub(super) type ParseFault = (usize, Problem);

/// Spaces that keyboards and other programs put between numbers and units.
fn is_space(c: char) -> bool {
    matches!(c, ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}')
}

/// A letter of a word that a reading has, in English or German.
fn is_letter(c: char) -> bool {
    c.is_ascii_alphabetic() || matches!(c, 'ä' | 'ö' | 'ü' | 'ß' | 'Ä' | 'Ö' | 'Ü')
}

fn simple(c: char) -> Option<TokenKind> {
    Some(match c {
        '/' | '\u{2044}' => TokenKind::Slash,
        '-' | '\u{2212}' => TokenKind::Minus,
        '+' => TokenKind::Plus,
        '=' => TokenKind::Equals,
        '<' | '\u{2264}' => TokenKind::AtMost,
        '>' | '\u{2265}' => TokenKind::AtLeast,
        '"' | '\u{2033}' | '\u{201d}' => TokenKind::Inch,
        '%' => TokenKind::Percent,
        '°' => TokenKind::Degree,
        '¢' => TokenKind::Cent,
        ',' => TokenKind::Comma,
        ';' => TokenKind::Semicolon,
        _ => return None,
    })
}

/// A part of a whole that is one sign, in thousandths. Halves, quarters and eighths are what an eye
/// tells between two marks.
fn part(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "5",
        '¼' => "25",
        '¾' => "75",
        '⅛' => "125",
        '⅜' => "375",
        '⅝' => "625",
        '⅞' => "875",
        _ => return None,
    })
}

/// Splits a text into tokens.
pub(super) fn scan(text: &str) -> Result<Vec<Token>, ParseFault> {
    let characters: Vec<char> = text.chars().collect();
    let at = |index: usize| characters.get(index).copied();
    let digit = |index: usize| at(index).is_some_and(|c| c.is_ascii_digit());
    let mut tokens = Vec::new();
    let mut here = 0;
    let mut apart = true;
    while let Some(c) = at(here) {
        if is_space(c) {
            apart = true;
            here += 1;
            continue;
        }
        let start = here;
        let kind = if c.is_ascii_digit() || (c == '.' && digit(here + 1)) {
            // Everything that could belong to the number, so that 1.2.3 is refused as a whole.
            while digit(here) || (matches!(at(here), Some('.' | ',')) && digit(here + 1)) {
                here += 1;
            }
            let written: String = characters.iter().take(here).skip(start).collect();
            let behind = at(here).and_then(part).filter(|_| !written.contains(['.', ',']));
            here += usize::from(behind.is_some());
            match number(&written, behind) {
                Some(number) => TokenKind::Number(number),
                None => return Err((start + 1, Problem::Number { found: written })),
            }
        } else if let Some(number) = part(c).and_then(|part| number("0", Some(part))) {
            here += 1;
            TokenKind::Number(number)
        } else if is_letter(c) {
            while at(here).is_some_and(is_letter) {
                here += 1;
            }
            let word: String = characters.iter().take(here).skip(start).collect();
            TokenKind::Word(word.to_lowercase())
        } else if let Some(kind) = simple(c) {
            here += 1;
            // <= and >= are one sign, as are < and >.
            if matches!(c, '<' | '>') && at(here) == Some('=') {
                here += 1;
            }
            kind
        } else {
            return Err((start + 1, Problem::Character { found: c }));
        };
        let written: String = characters.iter().take(here).skip(start).collect();
        tokens.push(Token { kind, at: start + 1, text: written, apart });
        apart = false;
    }
    Ok(tokens)
}

fn number(written: &str, part: Option<&str>) -> Option<Number> {
    let mut parts = written.split(['.', ',']);
    let (before, behind) = (parts.next()?, part.or_else(|| parts.next()).unwrap_or(""));
    let places = u8::try_from(behind.len()).ok()?;
    let digits = format!("{before}{behind}");
    if parts.next().is_some() || digits.trim_start_matches('0').len() > 12 || places > 9 {
        return None;
    }
    Some(Number {
        digits: digits.parse().ok()?,
        places,
        comma: written.contains(','),
        leading_point: before.is_empty(),
        one_sign: part.is_some(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<TokenKind> {
        scan(text).unwrap().into_iter().map(|token| token.kind).collect()
    }

    #[test]
    fn a_comma_between_digits_is_a_decimal_comma() {
        let [TokenKind::Number(n)] = kinds("1,98")[..] else { panic!() };
        assert_eq!((n.digits, n.places, n.comma), (198, 2, true));
        assert_eq!(kinds("5, 5").len(), 3);
        assert!(matches!(scan("5,5,5"), Err((1, Problem::Number { .. }))));
    }

    #[test]
    fn a_half_may_be_one_sign() {
        for (text, digits, places) in [("6½", 65, 1), ("½", 5, 1), ("1¾", 175, 2), ("2⅜", 2375, 3)]
        {
            let [TokenKind::Number(n)] = kinds(text)[..] else { panic!("{text}") };
            assert_eq!((n.digits, n.places, n.one_sign), (digits, places, true), "{text}");
        }
        assert_eq!(kinds("1.5½").len(), 2);
    }

    #[test]
    fn limits_of_numbers() {
        assert!(scan("999999999999").is_ok());
        assert!(scan("0000000999999999999").is_ok());
        assert!(scan("1000000000000").is_err());
        assert!(scan("0.0000000001").is_err());
        assert!(scan(&"9".repeat(500)).is_err());
    }

    #[test]
    fn foreign_digits_and_control_characters_are_named() {
        assert_eq!(scan("5\u{0}").unwrap_err(), (2, Problem::Character { found: '\0' }));
        assert_eq!(scan("٣").unwrap_err(), (1, Problem::Character { found: '٣' }));
        assert!(scan("5.").is_err());
    }
}
