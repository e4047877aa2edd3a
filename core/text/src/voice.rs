//! Says phrases: in a language, in the units that a person prefers.

use fallaway_measure::{Amount, AmountFormat, Conversion, Decimal, Tool, Unit, in_unit};
use fallaway_record::Moment;
use fluent_bundle::{FluentArgs, FluentValue};

use crate::messages::measure as say;
use crate::phrase::{Arg, Computed, Join, List, NO_UNIT, Word};
use crate::units::{InInches, LengthOf, LengthUnit, TemperatureUnit, Units};
use crate::{CATALOGUE, Language, Phrase, catalogue, safe};

/// How a person wants to be spoken to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Voice {
    /// The language that is spoken.
    pub language: Language,
    /// The units that computed lengths and temperatures are shown in.
    pub units: Units,
    /// Whether the lowest string comes first, wherever strings are listed.
    pub low_first: bool,
    /// Which lengths the person reads in inches: then a computed one of which no tool is known, and for
    /// which no unit is preferred, is told in thou, or in inches where it is a large one.
    pub inches: InInches,
}

impl Voice {
    /// A voice in a language, with every number as it was read.
    #[must_use]
    pub fn new(language: Language) -> Self {
        Self { language, ..Self::default() }
    }

    /// The same in these units.
    #[must_use]
    pub const fn in_units(self, units: Units) -> Self {
        Self { units, ..self }
    }

    /// The same with the lowest string first, or the highest.
    #[must_use]
    pub const fn low_first(self, low_first: bool) -> Self {
        Self { low_first, ..self }
    }

    /// The same for a person who reads these lengths in inches.
    #[must_use]
    pub const fn inches(self, inches: InInches) -> Self {
        Self { inches, ..self }
    }

    /// A phrase in words.
    pub fn say(&self, phrase: &Phrase) -> String {
        let message = phrase.message;
        let mut arguments = FluentArgs::with_capacity(phrase.arguments.len());
        for (name, argument) in message.arguments().zip(&phrase.arguments) {
            arguments.set(name, self.argument(argument));
        }
        let (file, id) = (message.file(), message.id());
        let said = file.catalogue.format(self.language, file.name, id, Some(&arguments));
        // Every message is in English: a test of each catalogue.
        said.unwrap_or_else(|| id.replace('_', " "))
    }

    /// A phrase as a sentence: with a capital letter.
    pub fn sentence(&self, phrase: &Phrase) -> String {
        capital(&self.say(phrase))
    }

    fn argument(&self, argument: &Arg) -> FluentValue<'static> {
        let text = match argument {
            Arg::Whole(count) if *count < 0 => self.figures(&count.to_string()),
            Arg::Whole(count) => return catalogue::number(*count),
            Arg::Word(word) => key(word),
            Arg::Place(place) => place.to_string(),
            Arg::Text(text) => safe(text).into_owned(),
            Arg::Computed(number) => self.computed(*number),
            Arg::Amount(amount, of) => self.amount_of(*amount, *of),
            Arg::Moment(moment) => self.date(*moment, "moment_format"),
            Arg::Day(moment) => self.date(*moment, "day_format"),
            Arg::Phrase(phrase) => self.say(phrase),
            Arg::List(list) => self.list(list),
        };
        FluentValue::from(text)
    }

    fn list(&self, List { items, join, ranked }: &List) -> String {
        let between = match join {
            Join::And | Join::Or | Join::Comma => ", ",
            Join::Semicolon => "; ",
            Join::Space | Join::Sentences => " ",
        };
        let items: Vec<&Phrase> = match ranked {
            true => items.iter().collect(),
            false => self.phrases_by_string(items),
        };
        let count = items.len();
        let mut said = items.into_iter().map(|item| match join {
            Join::Sentences => self.sentence(item),
            _ => self.say(item),
        });
        let last = match join {
            Join::And | Join::Or if count > 1 => said.next_back(),
            _ => None,
        };
        let front = said.collect::<Vec<_>>().join(between);
        match (last, join) {
            (Some(last), Join::Or) => self.say(&say::list_or(front, last)),
            (Some(last), _) => self.say(&say::list_and(front, last)),
            (None, _) => front,
        }
    }

    /// A number as a person read or wrote it.
    pub fn amount(&self, amount: Amount) -> String {
        self.amount_of(amount, LengthOf::Other)
    }

    /// The same of one kind of length.
    pub(crate) fn amount_of(&self, amount: Amount, of: LengthOf) -> String {
        let asked = match amount.unit() {
            _ if !self.units.convert_readings => None,
            Unit::Celsius if self.units.temperature == TemperatureUnit::Fahrenheit => {
                Some(decimal(Unit::Fahrenheit, 0))
            }
            Unit::Fahrenheit if self.units.temperature == TemperatureUnit::Celsius => {
                Some(decimal(Unit::Celsius, 0))
            }
            Unit::Millimetre | Unit::Inch | Unit::Thou => match self.units.length(of) {
                LengthUnit::AsRead => None,
                LengthUnit::Millimetres => Some(decimal(Unit::Millimetre, 2)),
                // An inch and more are told in inches: nobody reads a scale in thou.
                LengthUnit::Thou if amount_inches(amount).is_some_and(|inches| inches < 1.0) => {
                    Some(decimal(Unit::Thou, 0))
                }
                LengthUnit::Thou | LengthUnit::Inches => Some(decimal(Unit::Inch, 3)),
                LengthUnit::InchFractions { denominator } => {
                    Some(AmountFormat::Divisions { denominator: denominator.unwrap_or(64) })
                }
            },
            _ => None,
        };
        let shown = asked.and_then(|scale| in_unit(amount, scale)).map(Conversion::amount);
        // What no mark is near would be another number, or nothing: a tolerance, a small relief.
        let shown = match shown {
            Some(Amount::Fraction(near)) if !is_near(Amount::Fraction(near), amount) => {
                in_unit(amount, decimal(Unit::Thou, 0)).map(Conversion::amount)
            }
            shown => shown,
        };
        self.plain_amount(shown.unwrap_or(amount))
    }

    fn plain_amount(&self, amount: Amount) -> String {
        match amount {
            Amount::Decimal { value, unit } => self.with_unit(&value.to_string(), unit),
            Amount::Fraction(fraction) => self.with_unit(&fraction.to_string(), Unit::Inch),
        }
    }

    fn with_unit(&self, number: &str, unit: Unit) -> String {
        let form =
            Word(if matches!(number.trim_start_matches(['-', '+']), "1") { "one" } else { "many" });
        let number = self.figures(number);
        let code = match unit {
            Unit::Other(code) => code,
            _ => 0,
        };
        self.say(&say::amount(number, unit_word(unit), form, code))
    }

    /// A number with the decimal sign of the language, and with a minus sign where it is below zero.
    fn figures(&self, number: &str) -> String {
        let number = number.replace('.', &self.say(&say::decimal_sign()));
        match number.strip_prefix('-') {
            Some(below) => format!("{MINUS}{below}"),
            None => number,
        }
    }

    fn computed(&self, number: Computed) -> String {
        let Computed { value, unit, places, signed, of, tool, bound, .. } = number;
        let fixed = |value| fixed(bound.in_steps(value, step(places)), places, signed);
        match unit {
            Unit::Millimetre => self.length(number, self.units.length(of), tool),
            Unit::Celsius if self.units.temperature == TemperatureUnit::Fahrenheit => {
                // A difference has no zero point: only values cross as temperatures.
                self.with_unit(&fixed(value * 1.8 + 32.0), Unit::Fahrenheit)
            }
            NO_UNIT => self.figures(&fixed(value)),
            unit => self.with_unit(&fixed(value), unit),
        }
    }

    fn length(&self, number: Computed, unit: LengthUnit, tool: Option<Tool>) -> String {
        let Computed { value, places, signed, bare, bound, of, .. } = number;
        let graduation = tool.map(Tool::graduation);
        let divisions = match graduation {
            Some(Amount::Fraction(fraction)) => Some(fraction.denominator()),
            _ => None,
        };
        let shown = |value, places, unit| {
            let number = fixed(bound.in_steps(value, step(places)), places, signed);
            if bare { self.figures(&number) } else { self.with_unit(&number, unit) }
        };
        let mm = || shown(value, places, Unit::Millimetre);
        let inches = value / 25.4;
        // As fine as the millimetres: to a tenth of a thou where a tenth tells something.
        let thou_places =
            if inches.abs() < 0.01 { places.saturating_sub(1) } else { places.saturating_sub(2) };
        let thou = || shown(inches * 1000.0, thou_places, Unit::Thou);
        let decimal = || shown(inches, 3 + thou_places, Unit::Inch);
        // What is told to a millimetre or a tenth is large: a radius, a scale.
        let untold = || match (self.inches.has(of), places) {
            (false, _) => mm(),
            (true, 0 | 1) => shown(inches, places + 1, Unit::Inch),
            (true, _) => thou(),
        };
        let mark = |denominator: u16| 25.4 / f64::from(denominator);
        let fraction = |denominator| {
            self.fraction(bound.in_steps(value, mark(denominator)), denominator, signed)
        };
        match unit {
            LengthUnit::Millimetres => mm(),
            LengthUnit::Thou => thou(),
            LengthUnit::Inches => decimal(),
            LengthUnit::InchFractions { denominator } => {
                fraction(denominator.or(divisions).unwrap_or(64)).unwrap_or_else(mm)
            }
            LengthUnit::AsRead => match (graduation.map(Amount::unit), divisions) {
                (_, Some(denominator)) => {
                    let value = bound.in_steps(value, mark(denominator) / 2.0);
                    match self
                        .half_mark(value, denominator, signed)
                        .or_else(|| self.fraction(value, denominator, signed))
                    {
                        Some(shown) => self.say(&say::in_other_words(shown, untold())),
                        None => untold(),
                    }
                }
                (Some(Unit::Thou), None) => thou(),
                (Some(Unit::Inch), None) => decimal(),
                (Some(Unit::Millimetre), None) => mm(),
                _ => untold(),
            },
        }
    }

    /// To the nearest division of an inch; `None` beyond what a rule has.
    fn fraction(&self, mm: f64, denominator: u16, signed: bool) -> Option<String> {
        // To a ten-thousandth of a millimetre, exactly as read from there on.
        let amount = Amount::decimal((mm * 10_000.0).round() as i64, 4, Unit::Millimetre).ok()?;
        let divided = in_unit(amount, AmountFormat::Divisions { denominator })?.amount();
        let Amount::Fraction(shown) = divided else { return None };
        if shown.whole() == 0 && shown.numerator() == Decimal::ZERO && mm != 0.0 {
            let one = Amount::fraction(1, denominator).ok()?;
            return Some(self.say(&say::less_than(one)));
        }
        let sign = if signed && mm > 0.0 { "+" } else { "" };
        Some(self.with_unit(&format!("{sign}{shown}"), Unit::Inch))
    }

    /// Between two marks, where it lies nearer to their middle than to either: as a hand reads a rule.
    fn half_mark(&self, mm: f64, denominator: u16, signed: bool) -> Option<String> {
        let halves = (mm.abs() / 25.4 * 2.0 * f64::from(denominator)).round();
        if halves % 2.0 != 1.0 || halves >= f64::from(u32::MAX) {
            return None;
        }
        let marks = halves as u32 / 2;
        let (whole, rest) = (marks / u32::from(denominator), marks % u32::from(denominator));
        let sign = match mm < 0.0 {
            true => "-",
            false if signed => "+",
            false => "",
        };
        let whole = if whole == 0 { String::new() } else { format!("{whole} ") };
        Some(self.with_unit(&format!("{sign}{whole}{rest}.5/{denominator}"), Unit::Inch))
    }

    fn date(&self, moment: Moment, format: &str) -> String {
        let local = moment.unix_s.saturating_add(i64::from(moment.offset_min) * 60);
        let format = CATALOGUE.text(self.language, "measure", format);
        match (chrono::DateTime::from_timestamp(local, 0), format) {
            (Some(time), Some(format)) => time.format(&format).to_string(),
            _ => moment.unix_s.to_string(),
        }
    }
}

/// The minus sign (The Unicode Standard, block "Mathematical Operators"), wherever a person reads a number
/// below zero: beside digits a hyphen is a dash between two of them. What reads numbers takes both.
pub(crate) const MINUS: char = '\u{2212}';

/// Whether a mark of a rule is within a tenth of the amount it stands for.
fn is_near(mark: Amount, amount: Amount) -> bool {
    amount_inches(amount).is_some_and(|inches| (mark.number().abs() - inches).abs() <= 0.1 * inches)
}

/// How large a length is, in inches.
fn amount_inches(amount: Amount) -> Option<f64> {
    in_unit(amount, decimal(Unit::Inch, 5)).map(|found| found.amount().number().abs())
}

const fn decimal(unit: Unit, places: u8) -> AmountFormat {
    AmountFormat::Decimal { unit, places }
}

/// What the last of so many places is worth.
fn step(places: u8) -> f64 {
    10_f64.powi(-i32::from(places))
}

/// With so many places, never as "-0.00".
fn fixed(value: f64, places: u8, signed: bool) -> String {
    let places = usize::from(places);
    let text = if signed { format!("{value:+.places$}") } else { format!("{value:.places$}") };
    let is_zero = !text.contains(|c: char| ('1'..='9').contains(&c));
    if is_zero { text.trim_start_matches(['-', '+']).to_owned() } else { text }
}

const fn unit_word(unit: Unit) -> Word {
    Word(match unit {
        Unit::Millimetre => "mm",
        Unit::Inch => "in",
        Unit::Thou => "thou",
        Unit::Cent => "cent",
        Unit::Hertz => "hertz",
        Unit::Percent => "percent",
        Unit::Celsius => "celsius",
        Unit::Newton => "newton",
        Unit::Degree => "degree",
        Unit::Turn => "turn",
        Unit::Fahrenheit => "fahrenheit",
        Unit::Other(_) => "newer",
    })
}

/// The text with a capital letter at its beginning.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// The name of a variant in a message: a word with one `_` for each run of what no such name may
/// have.
pub(crate) fn key(word: &str) -> String {
    let allowed = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    word.split(|c| !allowed(c)).filter(|part| !part.is_empty()).collect::<Vec<_>>().join("_")
}
