//! Tokens to amounts and readings.

use super::Problem;
use super::bare::{meaning, signed};
use super::scan::{Number, ParseFault, Token, TokenKind};
use crate::{Amount, Decimal, Dimension, Fraction, Reading, Tool, Unit, ValueError};

/// An amount whose unit may still have to be found.
#[derive(Clone, Copy)]
pub(super) enum Written {
    Bare { number: Number, negative: bool, at: usize },
    Whole { amount: Amount, unit_written: bool },
}

pub(super) struct Cursor<'a> {
    tokens: &'a [Token],
    next: usize,
    tool: Option<&'a Tool>,
    dimension: Dimension,
    /// Whether `1 1/16` is one number. In a pass of divisions it is two readings.
    mixed: bool,
    /// A unit for bare numbers, written once for a whole pass.
    pub common: Option<Unit>,
    /// Position behind the last character.
    end: usize,
}

impl<'a> Cursor<'a> {
    pub(crate) fn new(
        tokens: &'a [Token],
        end: usize,
        tool: Option<&'a Tool>,
        dimension: Dimension,
        mixed: bool,
    ) -> Self {
        Self { tokens, next: 0, tool, dimension, mixed, common: None, end }
    }

    fn token(&self, ahead: usize) -> Option<&'a Token> {
        self.tokens.get(self.next + ahead)
    }

    fn kind(&self, ahead: usize) -> Option<&'a TokenKind> {
        self.token(ahead).map(|token| &token.kind)
    }

    pub(crate) fn at(&self) -> usize {
        self.token(0).map_or(self.end, |token| token.at)
    }

    pub(crate) fn is_done(&self) -> bool {
        self.token(0).is_none()
    }

    /// Whether white space stands before what comes next.
    pub(crate) fn is_apart(&self) -> bool {
        self.token(0).is_none_or(|token| token.apart)
    }

    /// Takes a token of this kind if it comes next.
    pub(crate) fn take(&mut self, kind: &TokenKind) -> bool {
        let found = self.kind(0) == Some(kind);
        self.next += usize::from(found);
        found
    }

    /// Takes a lone minus: one that no number follows at once.
    pub(crate) fn take_lone_minus(&mut self) -> bool {
        let signs = self
            .token(1)
            .is_some_and(|next| !next.apart && matches!(next.kind, TokenKind::Number(_)));
        self.kind(0) == Some(&TokenKind::Minus) && !signs && {
            self.next += 1;
            true
        }
    }

    fn word(&mut self, words: &[&str]) -> bool {
        let found = matches!(self.kind(0), Some(TokenKind::Word(w)) if words.contains(&w.as_str()));
        self.next += usize::from(found);
        found
    }

    fn missing(&self) -> ParseFault {
        (self.at(), Problem::MissingNumber { dimension: self.dimension })
    }

    pub(crate) fn out_of_place(&self) -> ParseFault {
        match self.token(0) {
            Some(token) => (
                token.at,
                Problem::OutOfPlace { found: token.text.clone(), dimension: self.dimension },
            ),
            None => self.missing(),
        }
    }

    /// A value, a bound or an interval.
    pub(crate) fn reading(&mut self) -> Result<Reading, ParseFault> {
        let start = self.at();
        if self.take(&TokenKind::AtMost) {
            return self.amount().map(Reading::AtMost);
        }
        if self.take(&TokenKind::AtLeast) {
            return self.amount().map(Reading::AtLeast);
        }
        if self.dimension == Dimension::Length && self.touches() {
            let unit = self.tool.map_or(Unit::Millimetre, |tool| tool.graduation().unit());
            return Ok(Reading::AtMost(Amount::zero(unit)));
        }
        if self.word(&["between", "zwischen"]) {
            let low = self.written()?;
            if !self.word(&["and", "to", "und", "bis"]) {
                return Err(self.out_of_place());
            }
            let high = self.written()?;
            return self.between(low, high, start);
        }
        let first = self.written()?;
        if let Some(beside) = self.strong_or_scant(first)? {
            return Ok(beside);
        }
        if self.word(&["to", "bis"]) {
            let second = self.written()?;
            return self.between(first, second, start);
        }
        if self.goes() {
            return match self.other_leaf(Self::does_not) {
                Some(high) => self.between(first, high, start),
                None => self.resolve(first).map(Reading::AtLeast),
            };
        }
        if self.does_not() {
            return match self.other_leaf(Self::goes) {
                Some(low) => self.between(low, first, start),
                None => self.resolve(first).map(Reading::AtMost),
            };
        }
        self.resolve(first).map(Reading::Value)
    }

    /// The string lies on the fret: `touches`, `liegt auf`.
    fn touches(&mut self) -> bool {
        let before = self.next;
        if self.word(&["touches", "touch", "touching", "berührt"])
            || (self.word(&["liegt"]) && self.word(&["auf"]))
        {
            return true;
        }
        self.next = before;
        false
    }

    /// `goes`, `geht`; of `geht nicht` nothing is taken.
    fn goes(&mut self) -> bool {
        let before = self.next;
        if self.word(&["goes"]) || (self.word(&["geht"]) && !self.word(&["nicht"])) {
            return true;
        }
        self.next = before;
        false
    }

    /// `not`, `does not`, `does not go`; `nicht`, `geht nicht`, `geht nicht mehr`.
    fn does_not(&mut self) -> bool {
        let before = self.next;
        self.word(&["does", "geht"]);
        if self.word(&["not", "nicht"]) {
            self.word(&["go", "mehr"]);
            true
        } else {
            self.next = before;
            false
        }
    }

    /// The second leaf of `.010 goes, .012 not`, if it follows; else nothing is taken.
    fn other_leaf(&mut self, verdict: fn(&mut Self) -> bool) -> Option<Written> {
        let before = self.next;
        self.take(&TokenKind::Comma);
        let leaf = self.written().ok();
        if leaf.is_some() && verdict(self) {
            return leaf;
        }
        self.next = before;
        None
    }

    fn between(&self, low: Written, high: Written, at: usize) -> Result<Reading, ParseFault> {
        // A unit written once counts for both ends.
        let (low, high) = match (low, high) {
            (Written::Bare { .. }, Written::Whole { amount, unit_written: true }) => {
                (self.with_unit(low, amount.unit())?, amount)
            }
            (Written::Whole { amount, unit_written: true }, Written::Bare { .. }) => {
                (amount, self.with_unit(high, amount.unit())?)
            }
            _ => (self.resolve(low)?, self.resolve(high)?),
        };
        between(low, high).map_err(|problem| (at, problem))
    }

    pub(crate) fn amount(&mut self) -> Result<Amount, ParseFault> {
        let written = self.written()?;
        self.resolve(written)
    }

    fn with_unit(&self, written: Written, unit: Unit) -> Result<Amount, ParseFault> {
        match written {
            Written::Whole { amount, .. } => Ok(amount),
            Written::Bare { number, negative, at } => {
                let value = signed(number, negative).map_err(|problem| (at, problem))?;
                self.checked(Amount::Decimal { value, unit }, at)
            }
        }
    }

    fn resolve(&self, written: Written) -> Result<Amount, ParseFault> {
        match (written, self.common) {
            (Written::Whole { amount, .. }, _) => Ok(amount),
            (Written::Bare { .. }, Some(unit)) => self.with_unit(written, unit),
            (Written::Bare { number, negative, at }, None) => {
                meaning(number, negative, self.tool, self.dimension)
                    .map_err(|problem| (at, problem))
            }
        }
    }

    fn checked(&self, amount: Amount, at: usize) -> Result<Amount, ParseFault> {
        if amount.dimension() == self.dimension {
            Ok(amount)
        } else {
            let found = amount.unit();
            Err((at, Problem::OtherDimension { found, dimension: self.dimension }))
        }
    }

    fn number(&mut self) -> Option<Number> {
        match self.kind(0) {
            Some(&TokenKind::Number(number)) => {
                self.next += 1;
                Some(number)
            }
            _ => None,
        }
    }

    fn whole(&mut self) -> Result<u32, ParseFault> {
        let at = self.at();
        match self.number() {
            Some(Number { digits, places: 0, .. }) => Ok(u32::try_from(digits).unwrap_or(u32::MAX)),
            _ => Err((at, Problem::MissingWhole)),
        }
    }

    /// A half or a quarter of a division behind the number that was just taken, with a rule that is
    /// divided in fractions of an inch: `5 1/2`. Nobody reads half inches there.
    fn part_of_division(&mut self, whole: Number) -> Option<(Decimal, u16)> {
        let Some(Amount::Fraction(step)) = self.tool.map(|tool| tool.graduation()) else {
            return None;
        };
        let (
            Some(&TokenKind::Number(top)),
            Some(TokenKind::Slash),
            Some(&TokenKind::Number(bottom)),
        ) = (self.kind(0), self.kind(1), self.kind(2))
        else {
            return None;
        };
        let apart = |ahead: usize| self.token(ahead).is_none_or(|token| token.apart);
        let alone = apart(0)
            && !apart(1)
            && !apart(2)
            && !matches!(
                self.kind(3),
                Some(TokenKind::Slash | TokenKind::Inch | TokenKind::Word(_))
            );
        let parts = match (bottom.digits, bottom.places) {
            (2, 0) => 2,
            (4, 0) => 4,
            _ => return None,
        };
        let count = alone.then(|| split(whole.digits, top, parts)).flatten()?;
        self.next += 3;
        Some((count, step.denominator()))
    }

    /// A sign behind a reading off a rule: a little more (`5/64+`) or less (`5/64-`) than the mark.
    fn strong_or_scant(&mut self, read: Written) -> Result<Option<Reading>, ParseFault> {
        let (is_more, sign) = match self.token(0) {
            Some(Token { kind: TokenKind::Plus, apart: false, .. }) => (true, 1),
            Some(Token { kind: TokenKind::Minus, apart: false, .. }) => (false, 1),
            _ => return Ok(None),
        };
        let ends = self.token(sign).is_none_or(|next| {
            next.apart || matches!(next.kind, TokenKind::Comma | TokenKind::Semicolon)
        });
        let at = self.at();
        if !ends {
            return Ok(None);
        }
        let Amount::Fraction(mark) = self.resolve(read)? else { return Ok(None) };
        // Half a division: with more, the eye would have read the next mark.
        let beside = |tenths: i64| {
            let mark = mark.numerator();
            let scale = 10_i64.pow(u32::from(mark.places().max(1)) - u32::from(mark.places()));
            let places = mark.places().max(1);
            let half = 10_i64.pow(u32::from(places) - 1) * tenths;
            Decimal::new(mark.digits() * scale + half, places)
        };
        let away = is_more != mark.negative();
        let other = beside(if away { 5 } else { -5 }).and_then(|count| {
            Fraction::new(mark.negative(), mark.whole(), count, mark.denominator())
        });
        let other = Amount::Fraction(other.map_err(|error| (at, Problem::Value(error)))?);
        self.next += sign;
        let mark = Amount::Fraction(mark);
        let (low, high) = if is_more { (mark, other) } else { (other, mark) };
        between(low, high).map(Some).map_err(|problem| (at, problem))
    }

    /// Whether two numbers and a slash follow the number that was just taken: `1 1/16`.
    fn mixed_follows(&self) -> bool {
        let chain = self.kind(1) == Some(&TokenKind::Slash)
            && matches!(self.kind(2), Some(TokenKind::Number(_)))
            && self.kind(3) == Some(&TokenKind::Slash);
        matches!(self.kind(0), Some(TokenKind::Number(_)))
            && self.kind(1) == Some(&TokenKind::Slash)
            && (self.mixed || chain)
    }

    /// An amount as written: `[sign] number [unit]`, `a/b`, `w a/b`, `a/b /c`, `w a/b /c`.
    pub(crate) fn written(&mut self) -> Result<Written, ParseFault> {
        let start = self.at();
        let negative = self.take(&TokenKind::Minus);
        let sign = negative || self.take(&TokenKind::Plus);
        if sign && self.token(0).is_some_and(|token| token.apart) {
            return Err(self.missing());
        }
        let Some(first) = self.number() else {
            return Err(self.out_of_place());
        };
        if self.take(&TokenKind::Slash) {
            let denominator = self.whole()?;
            return self.fraction(negative, None, first, denominator, start);
        }
        if first.places == 0
            && let Some((count, divisions)) = self.part_of_division(first)
        {
            let amount = inches(negative, 0, count, u32::from(divisions));
            let amount = amount.map_err(|problem| (start, problem))?;
            return Ok(Written::Whole { amount, unit_written: false });
        }
        if first.places == 0 && self.mixed_follows() {
            let numerator = self.number().ok_or_else(|| self.missing())?;
            self.take(&TokenKind::Slash);
            let denominator = self.whole()?;
            return self.fraction(negative, Some(first), numerator, denominator, start);
        }
        Ok(match self.unit()? {
            None => Written::Bare { number: first, negative, at: start },
            Some(unit) => {
                let value = signed(first, negative).map_err(|problem| (start, problem))?;
                let amount = self.checked(Amount::Decimal { value, unit }, start)?;
                Written::Whole { amount, unit_written: true }
            }
        })
    }

    fn fraction(
        &mut self,
        negative: bool,
        whole: Option<Number>,
        numerator: Number,
        denominator: u32,
        start: usize,
    ) -> Result<Written, ParseFault> {
        let fail = |problem| (start, problem);
        let amount = if self.take(&TokenKind::Slash) {
            // 2 1/2 /32: two and a half divisions.
            let divisions = self.whole()?;
            let whole = whole.map_or(0, |number| number.digits);
            let count = split(whole, numerator, denominator)
                .ok_or_else(|| fail(Problem::NoFraction { dimension: self.dimension }))?;
            inches(negative, 0, count, divisions).map_err(fail)?
        } else if self.dimension == Dimension::Rotation {
            let whole = whole.map_or(0, |number| number.digits);
            let turns = split(whole, numerator, denominator)
                .and_then(|turns| {
                    let digits = if negative { -turns.digits() } else { turns.digits() };
                    Amount::decimal(digits, turns.places(), Unit::Turn).ok()
                })
                .ok_or_else(|| fail(Problem::NoFraction { dimension: self.dimension }))?;
            return match self.unit()? {
                None | Some(Unit::Turn) => {
                    Ok(Written::Whole { amount: turns, unit_written: false })
                }
                Some(_) => Err(fail(Problem::NoFraction { dimension: self.dimension })),
            };
        } else {
            let whole = whole.map_or(0, |number| u32::try_from(number.digits).unwrap_or(u32::MAX));
            let numerator = signed(numerator, false).map_err(fail)?;
            inches(negative, whole, numerator, denominator).map_err(fail)?
        };
        if self.dimension != Dimension::Length {
            return Err(fail(Problem::NoFraction { dimension: self.dimension }));
        }
        let at = self.at();
        match self.unit()? {
            None | Some(Unit::Inch) => Ok(Written::Whole { amount, unit_written: false }),
            Some(_) => {
                let found = self.tokens.iter().find(|token| token.at == at);
                let found = found.map(|token| token.text.clone()).unwrap_or_default();
                Err((at, Problem::OnlyInches { found }))
            }
        }
    }

    /// The unit that follows, if one does; a word of the grammar is none.
    fn unit(&mut self) -> Result<Option<Unit>, ParseFault> {
        let Some(token) = self.token(0) else { return Ok(None) };
        let unit = match &token.kind {
            TokenKind::Inch => Unit::Inch,
            TokenKind::Percent => Unit::Percent,
            TokenKind::Cent => Unit::Cent,
            TokenKind::Degree => match self.kind(1) {
                Some(TokenKind::Word(word)) if word == "c" || word == "f" => {
                    self.next += 1;
                    if word == "c" { Unit::Celsius } else { Unit::Fahrenheit }
                }
                _ => Unit::Degree,
            },
            TokenKind::Word(word) => match word.as_str() {
                "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
                    Unit::Millimetre
                }
                "in" | "inch" | "inches" | "zoll" => Unit::Inch,
                "thou" | "thous" | "mil" | "mils" => Unit::Thou,
                "cent" | "cents" => Unit::Cent,
                "hz" => Unit::Hertz,
                "percent" | "prozent" => Unit::Percent,
                "c" if self.dimension == Dimension::Temperature => Unit::Celsius,
                "f" if self.dimension == Dimension::Temperature => Unit::Fahrenheit,
                "n" => Unit::Newton,
                "deg" | "degree" | "degrees" | "grad" => Unit::Degree,
                "turn" | "turns" | "umdrehung" | "umdrehungen" => Unit::Turn,
                "unit" => return self.foreign_unit().map(Some),
                "goes" | "does" | "not" | "to" | "and" | "touches" | "touch" | "touching"
                | "between" | "geht" | "nicht" | "bis" | "und" | "berührt" | "liegt"
                | "zwischen" => return Ok(None),
                _ => {
                    return Err((
                        token.at,
                        Problem::Unit { found: token.text.clone(), dimension: self.dimension },
                    ));
                }
            },
            _ => return Ok(None),
        };
        self.next += 1;
        if unit.dimension() == self.dimension {
            Ok(Some(unit))
        } else {
            Err((token.at, Problem::OtherDimension { found: unit, dimension: self.dimension }))
        }
    }

    /// `unit 77`, as a unit of a newer version is shown.
    fn foreign_unit(&mut self) -> Result<Unit, ParseFault> {
        self.next += 1;
        let at = self.at();
        let number = self.whole()?;
        match u16::try_from(number).map(Unit::from_number) {
            Ok(unit @ Unit::Other(_)) if self.dimension == Dimension::Other => Ok(unit),
            _ => Err((
                at,
                Problem::Unit { found: format!("unit {number}"), dimension: self.dimension },
            )),
        }
    }
}

fn inches(
    negative: bool,
    whole: u32,
    numerator: Decimal,
    denominator: u32,
) -> Result<Amount, Problem> {
    let short = u16::try_from(denominator).map_err(|_| crate::ValueError::Denominator {
        denominator,
        accepted: Fraction::DENOMINATORS_TEXT,
    })?;
    Ok(Amount::Fraction(Fraction::new(negative, whole, numerator, short)?))
}

/// `whole + numerator/denominator` as a decimal of at most three places, if it is one and the
/// fraction is a proper one.
fn split(whole: i64, numerator: Number, denominator: u32) -> Option<Decimal> {
    let bottom = i64::from(denominator);
    let places = match denominator {
        2 | 5 | 10 => 1,
        4 => 2,
        8 => 3,
        _ => return None,
    };
    if numerator.places != 0 || numerator.digits >= bottom {
        return None;
    }
    let scale = 10_i64.pow(places);
    let digits = whole.checked_mul(scale)?.checked_add(numerator.digits * scale / bottom)?;
    Decimal::new(digits, places as u8).ok()
}

/// Between two amounts; if they are exchanged, the refusal keeps both, to be shown in a person's language.
fn between(low: Amount, high: Amount) -> Result<Reading, Problem> {
    Reading::between(low, high).map_err(|error| match error {
        ValueError::Exchanged { .. } => Problem::Exchanged { low, high },
        other => Problem::Value(other),
    })
}
