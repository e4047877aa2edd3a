//! What was refused below the library's face, by the type of the refusal: which value, why, and what
//! would be accepted.

use fallaway_advice::compare::CannotCompare;
use fallaway_measure::{
    Amount, Beyond, Decimal, Dimension, Fret, Impossible, InstrumentFamily, Limit, LimitUnit,
    NameError, NoteError, NoteProblem, OutsideLimit, PassError, Problem, Reading, ReadingError,
    StringPlace, Tool, Unit, ValueError, number_in, parse_amount,
};
use fallaway_mechanics::Error;
use fallaway_record::spec::{FactFault, SpecError};

use crate::messages::{errors as say, formulas, limits, readings};
use crate::{Computed, List, Phrase, Word, facts, names};

/// Why values look wrong, what is the same of several strings said once: "strings 1 (G), 2 (D): 9 mm is
/// unusually high".
pub fn reasons<'p>(all: impl IntoIterator<Item = &'p Phrase>) -> List {
    let mut said: Vec<(&Phrase, Vec<Phrase>)> = Vec::new();
    for reason in all {
        let string = reason.of_one_string();
        let same = said.iter_mut().find(|(one, strings)| {
            string.is_some()
                && !strings.is_empty()
                && one.id() == reason.id()
                && one.arguments.get(1..) == reason.arguments.get(1..)
        });
        match same {
            Some((_, strings)) => strings.extend(string),
            None => said.push((reason, string.into_iter().collect())),
        }
    }
    List::semicolon(said.into_iter().map(|(reason, strings)| match strings.len() {
        0 | 1 => reason.clone(),
        count => {
            let mut reason = reason.clone();
            let strings = crate::messages::measure::strings(count, List::comma(strings));
            if let Some(place) = reason.arguments.first_mut() {
                *place = strings.into();
            }
            reason
        }
    }))
}

/// What would be accepted, as data and in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Accepted {
    /// In words; may be empty.
    pub text: Phrase,
    /// The same as data, for a field, a stepper or a list of choices.
    pub values: Box<AcceptedValues>,
}

/// Why no value would be taken in a place until something else has changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NothingAccepted {
    /// What the answer rests on has not been written or read yet: that comes first.
    Unwritten,
    /// It hangs on another value that was given with it.
    OtherValue,
    /// The record has it like this already, or something stands on it that has to go first.
    Already,
    /// The file or the folder is another one than what is asked for.
    OtherFile,
    /// It is too much for one call.
    TooMuch,
    /// A newer version of the app has to do it.
    NeedsNewer,
}

/// What would be accepted, as data.
#[derive(Debug, Clone, PartialEq)]
pub enum AcceptedValues {
    /// No value, until something else has changed.
    Nothing(NothingAccepted),
    /// One of these.
    OneOf(Vec<String>),
    /// Anything of its kind but these, which are taken.
    NoneOf(Vec<String>),
    /// Written like one of these.
    Like(Vec<String>),
    /// Any number from one to another.
    Between {
        /// The least number that is taken, in `unit`.
        least: f64,
        /// The greatest number that is taken, in `unit`.
        most: f64,
        /// Of what they are numbers.
        unit: LimitUnit,
    },
}

impl Accepted {
    fn of(values: AcceptedValues) -> Self {
        Self { text: Phrase::empty(), values: Box::new(values) }
    }

    /// Nothing, for this reason.
    pub fn nothing(why: NothingAccepted) -> Self {
        Self::of(AcceptedValues::Nothing(why))
    }

    /// One of some.
    pub fn one_of(choices: impl IntoIterator<Item = impl Into<String>>) -> Self {
        Self::of(AcceptedValues::OneOf(choices.into_iter().map(Into::into).collect()))
    }

    /// One of what stands in words with commas between them.
    pub fn one_of_listed(choices: &str) -> Self {
        Self::one_of(listed(choices))
    }

    /// Anything but what is taken.
    pub fn none_of(taken: impl IntoIterator<Item = impl Into<String>>) -> Self {
        Self::of(AcceptedValues::NoneOf(taken.into_iter().map(Into::into).collect()))
    }

    /// What is written like some examples, which stand in words with commas between them.
    pub fn like(examples: &str) -> Self {
        Self::of(AcceptedValues::Like(listed(examples)))
    }

    /// A number from one to another.
    pub fn from_to(least: f64, most: f64, unit: LimitUnit) -> Self {
        Self::of(AcceptedValues::Between { least, most, unit })
    }

    /// A whole number from one to another.
    pub fn between(least: usize, most: usize) -> Self {
        Self::from_to(least as f64, most as f64, LimitUnit::One)
            .said(say::accepted_range(least.to_string(), most.to_string()))
    }

    /// A number within its limit.
    fn within(limit: Limit) -> Self {
        Self::from_to(limit.least(), limit.most(), limit.unit())
    }

    /// The same, in these words.
    #[must_use]
    pub fn said(self, text: impl Into<Phrase>) -> Self {
        Self { text: text.into(), ..self }
    }

    /// The same, where the reason has said it in words.
    #[must_use]
    pub fn unsaid(self) -> Self {
        self.said(Phrase::empty())
    }

    /// Whether nothing is said in words.
    pub fn is_empty(&self) -> bool {
        self.text.is_empty()
    }
}

/// Each of what stands in words with commas between them.
fn listed(words: &str) -> Vec<String> {
    words.split(", ").map(str::to_owned).collect()
}

/// In words, in English.
impl std::fmt::Display for Accepted {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.text.fmt(f)
    }
}

/// What cannot be taken: which value, why, and what would be accepted, which may be empty.
#[derive(Debug, Clone, PartialEq)]
pub struct RefusedInput {
    /// Which value it is, by the name of its field.
    pub field: Phrase,
    /// What is wrong with it.
    pub reason: Phrase,
    /// What would be accepted.
    pub accepted: Accepted,
}

impl RefusedInput {
    fn of(field: &'static str, reason: Phrase, accepted: Accepted) -> Self {
        Self { field: say::field(Word(field)), reason, accepted }
    }

    /// Without the name of the value, where that stands beside it.
    pub fn without_field(self) -> Phrase {
        let Self { reason, accepted, .. } = self;
        if accepted.is_empty() { reason } else { say::with_accepted(reason, accepted.text) }
    }

    /// All of it in one phrase.
    pub fn phrase(self) -> Phrase {
        let Self { field, reason, accepted } = self;
        let told = say::bad_input(field, reason);
        if accepted.is_empty() { told } else { say::with_accepted(told, accepted.text) }
    }
}

/// Why a text is not a reading.
pub fn reading(error: &ReadingError) -> Phrase {
    let found = found(error.problem());
    let problem = problem(error.problem(), error.takes_bounds());
    // What is wrong names what was found: where that is all of the text, or nothing, there is no more to say of it.
    match found {
        Some(found) if found == error.text().trim() => problem,
        Some(_) => readings::reading_part(error.text(), error.at(), problem),
        None => readings::reading(error.text(), error.at(), problem),
    }
}

/// The part of a text that its problem names; of an empty text all of it.
fn found(problem: &Problem) -> Option<String> {
    match problem {
        Problem::Empty { .. } => Some(String::new()),
        Problem::Number { found }
        | Problem::Unit { found, .. }
        | Problem::OnlyInches { found }
        | Problem::OutOfPlace { found, .. } => Some(found.clone()),
        Problem::Character { found } => Some(found.to_string()),
        Problem::OtherDimension { found, .. } => Some(found.to_string()),
        Problem::TooLong { .. }
        | Problem::MissingNumber { .. }
        | Problem::MissingWhole
        | Problem::Ambiguous { .. }
        | Problem::NoFraction { .. }
        | Problem::WrongTool { .. }
        | Problem::Exchanged { .. }
        | Problem::Value(_) => None,
    }
}

/// What would be accepted as a reading: as data, since the reason says it in words.
pub fn reading_accepts(error: &ReadingError) -> Accepted {
    problem_accepts(error.problem(), error.takes_bounds())
}

/// Numbers as people write them.
const NUMBERS: &str = "12, 1.98, 1,98, 5/64";

/// The low end before the high one.
const EXCHANGED: &str = ".010 goes .012 not";

fn problem_accepts(problem: &Problem, bounds: bool) -> Accepted {
    match problem {
        Problem::Empty { dimension }
        | Problem::MissingNumber { dimension }
        | Problem::NoFraction { dimension }
        | Problem::OutOfPlace { dimension, .. } => {
            let bounds = if bounds { dimension.bounds() } else { "" };
            let separator = if bounds.is_empty() { "" } else { ", " };
            Accepted::like(&[dimension.examples(), bounds].join(separator))
        }
        Problem::OnlyInches { .. } => Accepted::one_of_listed("in, \""),
        Problem::Character { .. } | Problem::Number { .. } => Accepted::like(NUMBERS),
        Problem::MissingWhole => Accepted::like("64"),
        Problem::TooLong { limit, .. } => Accepted::between(1, *limit).unsaid(),
        Problem::Ambiguous { meanings } => {
            Accepted::one_of(meanings.iter().map(ToString::to_string))
        }
        Problem::Unit { dimension, .. } | Problem::OtherDimension { dimension, .. } => {
            Accepted::one_of_listed(dimension.units())
        }
        Problem::WrongTool { dimension, .. } => {
            let fits = |tool: &&Tool| tool.graduation().dimension() == *dimension;
            Accepted::one_of(Tool::USUAL.iter().filter(fits).map(ToString::to_string))
        }
        Problem::Exchanged { .. } => Accepted::like(EXCHANGED),
        Problem::Value(error) => value_accepts(error),
    }
}

/// What would be accepted as a value: as data, since the reason says it in words.
pub fn value_accepts(error: &ValueError) -> Accepted {
    match error {
        ValueError::OutOfRange { low, high, .. } => {
            Accepted::from_to(*low as f64, *high as f64, LimitUnit::One)
        }
        ValueError::Denominator { accepted, .. } => Accepted::one_of_listed(accepted),
        ValueError::Member { .. } => Accepted::one_of('a'..='z'),
        ValueError::NoGap { fret } | ValueError::Backwards { from: fret, .. } => {
            Accepted::between(usize::from(*fret) + 1, usize::from(Fret::MAX)).unsaid()
        }
        ValueError::Exchanged { .. } => Accepted::like(EXCHANGED),
        ValueError::Mixed { first_is, .. } => Accepted::one_of_listed(first_is.units()),
        ValueError::Graduation { .. } => Accepted::like("1/64, 0.5 mm, 1 thou"),
    }
}

/// How amounts are written of what is measured; where `bounds` are taken, how those are, too. Each is accepted
/// as it stands.
fn examples(dimension: Dimension, bounds: bool) -> Phrase {
    let amounts = readings::amounts(names::dimension_word(dimension));
    if bounds && !dimension.bounds().is_empty() { readings::bounds(amounts) } else { amounts }
}

/// What is wrong with the text of a reading, or of an amount alone, which has no `bounds`.
fn problem(problem: &Problem, bounds: bool) -> Phrase {
    let phrase = names::dimension;
    let units = |dimension| readings::units(names::dimension_word(dimension));
    let examples = |dimension: &Dimension| examples(*dimension, bounds);
    match problem {
        Problem::Empty { dimension } => readings::empty(examples(dimension)),
        Problem::TooLong { length, limit } => readings::too_long(*length, *limit),
        Problem::Character { found } => readings::character(*found),
        Problem::Number { found } => readings::number(found),
        Problem::MissingNumber { dimension } => readings::missing_number(examples(dimension)),
        Problem::MissingWhole => readings::missing_whole(),
        Problem::Ambiguous { meanings } => {
            readings::ambiguous(List::or(meanings.iter().map(|one| names::amount(*one))))
        }
        Problem::Unit { found, dimension } => {
            readings::unit(found, phrase(*dimension), units(*dimension))
        }
        Problem::OnlyInches { found } => readings::only_inches(found),
        Problem::OtherDimension { found, dimension } => {
            let word = match found {
                Unit::Inch => "inch",
                Unit::Turn => "turn",
                _ => "other",
            };
            let found = readings::unit_name(Word(word), found.to_string());
            readings::other_dimension(found, phrase(*dimension), units(*dimension))
        }
        Problem::NoFraction { dimension } => {
            readings::no_fraction(phrase(*dimension), examples(dimension))
        }
        Problem::WrongTool { tool, dimension } => readings::wrong_tool(*tool, phrase(*dimension)),
        Problem::OutOfPlace { found, dimension } => {
            readings::out_of_place(found, examples(dimension))
        }
        Problem::Exchanged { low, high } => {
            readings::exchanged(names::amount(*low), names::amount(*high))
        }
        Problem::Value(error) => value(error),
    }
}

/// Why a value is none.
pub fn value(error: &ValueError) -> Phrase {
    match error {
        ValueError::OutOfRange { what, value, low, high } => {
            let kind = readings::number_kind(Word(what), what);
            readings::out_of_range(kind, number_said(value), *low, *high)
        }
        ValueError::Denominator { denominator, accepted } => {
            readings::denominator(*denominator, accepted)
        }
        ValueError::Exchanged { low, high } => {
            readings::exchanged(amount_said(low), amount_said(high))
        }
        ValueError::Mixed { first, second, first_is, second_is } => readings::mixed(
            amount_said(first),
            names::dimension(*first_is),
            amount_said(second),
            names::dimension(*second_is),
        ),
        ValueError::Member { found } => readings::member(*found),
        ValueError::NoGap { fret } => readings::no_gap(*fret),
        ValueError::Backwards { from, to } => readings::backwards(*from, *to),
        ValueError::Graduation { graduation } => readings::graduation(graduation),
    }
}

/// A whole number that an error carries as text, with the minus sign of what people read.
fn number_said(text: &str) -> Phrase {
    match text.parse::<i64>() {
        Ok(number) => names::computed(Computed::exact(number as f64)),
        Err(_) => Phrase::written(text),
    }
}

/// An amount that an error carries as text, since it knows no amounts: as any other amount is said.
fn amount_said(text: &str) -> Phrase {
    use Dimension::{Force, Frequency, Interval, Length, Rotation, Share, Temperature};
    let all = [Length, Interval, Frequency, Share, Temperature, Force, Rotation];
    let read = all.into_iter().find_map(|one| parse_amount(text, None, one).ok());
    read.map_or_else(|| Phrase::written(text), names::amount)
}

/// Why a text names no tool, string, quantity ...
pub fn name(error: &NameError) -> RefusedInput {
    match error {
        NameError::Unknown { text, what, accepted } => RefusedInput {
            field: say::field(Word(what)),
            reason: say::names_none(text, Word(what)),
            accepted: Accepted::like(accepted).said(say::named_so(Word(what), accepted)),
        },
        NameError::Value(error) => RefusedInput::of("value", value(error), value_accepts(error)),
        NameError::Graduation(error) => {
            RefusedInput::of("tool", reading(error), reading_accepts(error))
        }
    }
}

/// Why a line of readings cannot be taken.
pub fn pass(error: &PassError) -> Phrase {
    match error {
        PassError::Reading { position, error } => readings::pass_reading(*position, reading(error)),
        PassError::Count { found, wanted } => readings::pass_count(*found, *wanted),
        PassError::NothingBefore { position } => {
            readings::pass_reading(*position, readings::nothing_before())
        }
    }
}

/// What would be accepted as a line of readings: as data, since the reason says it in words.
pub fn pass_accepts(error: &PassError) -> Accepted {
    match error {
        PassError::Reading { error, .. } => reading_accepts(error),
        PassError::Count { wanted, .. } => Accepted::between(*wanted, *wanted).unsaid(),
        PassError::NothingBefore { .. } => Accepted::like(NUMBERS),
    }
}

/// Why a text is not a note.
pub fn note(error: &NoteError) -> RefusedInput {
    let problem = match error.problem {
        NoteProblem::Empty => readings::note_empty(),
        NoteProblem::Letter => readings::note_letter(),
        NoteProblem::ManyAccidentals => readings::note_many_accidentals(),
        NoteProblem::MixedAccidentals => readings::note_mixed_accidentals(),
        NoteProblem::Octave => readings::note_octave(),
        NoteProblem::Range => readings::note_range(),
        NoteProblem::Cents => readings::note_cents(),
    };
    RefusedInput {
        field: say::field(Word("note")),
        reason: readings::note(&error.given, problem),
        accepted: Accepted::like("E1, Bb0, F#2, A4-2.5").said(readings::note_accepted()),
    }
}

/// Why a reading deserves a question.
pub fn unusual(reading: Reading, beyond: Beyond, family: InstrumentFamily) -> Phrase {
    let family = readings::family(Word(match family {
        InstrumentFamily::Bass => "bass",
        InstrumentFamily::Guitar => "guitar",
        InstrumentFamily::Other(_) => "other",
    }));
    List::space([readings::unusual(beyond_word(beyond), reading), family]).into()
}

/// Why a reading cannot be, and what would be accepted.
pub fn impossible(reading: Reading, why: Impossible) -> (Phrase, Accepted) {
    let from_fret_1 = || Accepted::between(1, usize::from(Fret::MAX)).said(readings::from_fret_1());
    match why {
        Impossible::OtherKind { wanted } => {
            let found = names::dimension(reading.dimension());
            let accepted = Accepted::one_of_listed(wanted.units()).said(names::dimension(wanted));
            (readings::other_kind(reading, found), accepted)
        }
        Impossible::OverTheNut => (readings::over_the_nut(), from_fret_1()),
        Impossible::LiesOnFret { fret } => {
            let accepted = Accepted::none_of([fret.to_string()]).said(readings::another_fret());
            (readings::lies_on_fret(fret), accepted)
        }
        Impossible::NotBetween => {
            let accepted = Accepted::like("1 15, 1 24").said(readings::rising_frets());
            (readings::not_between(), accepted)
        }
        Impossible::NotBeyond => {
            let accepted = Accepted::like("12 16 24").said(readings::edge_frets());
            (readings::not_beyond(), accepted)
        }
        Impossible::PickupZero => {
            let most = usize::from(u8::MAX);
            (readings::pickup_zero(), Accepted::between(1, most).said(readings::from_pickup_1()))
        }
        Impossible::OpenIntonation => (readings::open_intonation(), from_fret_1()),
        Impossible::Value { beyond, low, high } => {
            (readings::impossible(beyond_word(beyond), reading), between_amounts(low, high))
        }
    }
}

/// From one amount to another; lengths in millimetres.
fn between_amounts(low: Amount, high: Amount) -> Accepted {
    let (shown, unit) = match low.dimension() {
        Dimension::Length => (Unit::Millimetre, LimitUnit::Millimetre),
        Dimension::Interval => (Unit::Cent, LimitUnit::Cent),
        Dimension::Frequency => (Unit::Hertz, LimitUnit::Hertz),
        Dimension::Share => (Unit::Percent, LimitUnit::Percent),
        Dimension::Temperature => (Unit::Celsius, LimitUnit::Celsius),
        Dimension::Force => (Unit::Newton, LimitUnit::Newton),
        Dimension::Rotation => (Unit::Turn, LimitUnit::Turn),
        Dimension::Other => (low.unit(), LimitUnit::One),
    };
    let end = |amount: Amount| number_in(amount, shown).unwrap_or_else(|| amount.number());
    Accepted::from_to(end(low), end(high), unit).said(readings::range(low, high))
}

const fn beyond_word(beyond: Beyond) -> Word {
    Word(match beyond {
        Beyond::Below => "below",
        Beyond::Above => "above",
    })
}

/// A name or a reason that the mathematics states.
fn word(name: &'static str) -> Phrase {
    formulas::word(Word(name), name)
}

/// What a limit is of: "scale length".
impl From<Limit> for Phrase {
    fn from(limit: Limit) -> Self {
        limits::limit(Word(limit.name()), limit.name())
    }
}

/// A number outside its limits.
pub fn outside(OutsideLimit { limit, given }: OutsideLimit) -> RefusedInput {
    let unit = limit.unit();
    let measured = |value| match unit {
        LimitUnit::One => names::computed(Computed::exact(value)),
        _ => formulas::measured(Computed::exact(value), Word(unit.symbol()), unit.symbol()),
    };
    RefusedInput {
        field: limit.into(),
        reason: if given.is_finite() {
            formulas::outside(measured(given))
        } else {
            formulas::not_finite()
        },
        accepted: Accepted::within(limit)
            .said(formulas::range(Computed::exact(limit.least()), measured(limit.most()))),
    }
}

/// A fact that no instrument has.
pub fn fact(SpecError { fact, fault }: &SpecError) -> RefusedInput {
    let called = facts::called(*fact);
    let limited = |limit: Limit, given: Phrase| RefusedInput {
        reason: formulas::outside(given),
        ..outside(OutsideLimit { limit, given: 0.0 })
    };
    let (field, reason, accepted) = match fault {
        FactFault::Amount { given, limit } => return limited(*limit, names::amount(*given)),
        FactFault::Count { given, limit } => {
            return limited(*limit, Phrase::from(given.to_string()));
        }
        FactFault::Frets { given, most } => {
            let given = formulas::outside(given.to_string().into());
            let accepted = Accepted::from_to(0.0, f64::from(*most), LimitUnit::Fret);
            (Limit::Frets.into(), given, accepted.said(say::frets_accepted(*most)))
        }
        FactFault::Text { found, most } => {
            (called, say::text_length(*found, *most), Accepted::between(1, *most).unsaid())
        }
        FactFault::Courses { courses, strings } => {
            let accepted = Accepted::between(1, usize::from(*strings));
            (called, say::courses_wrong(), accepted.said(say::courses_accepted(*courses, *strings)))
        }
        FactFault::UnitWeight { given } => {
            let given = names::computed(Computed::exact(given.value()));
            let smallest = 10.0_f64.powi(-i32::from(Decimal::MAX_PLACES));
            let accepted = Accepted::from_to(smallest, Decimal::MAX_DIGITS as f64, LimitUnit::One);
            (say::unit_weight(), formulas::outside(given), accepted.said(say::above_zero()))
        }
        FactFault::SaddleWithoutStrings => {
            let most = usize::from(StringPlace::MAX_COURSE);
            (called, say::saddle_without_strings(), Accepted::between(1, most).unsaid())
        }
        FactFault::NotWritten { reason } => {
            let nothing = Accepted::nothing(NothingAccepted::NeedsNewer);
            (called, say::fact_not_written(reason.clone()), nothing)
        }
    };
    RefusedInput { field, reason, accepted }
}

/// Which number a formula refused, why, and what it would take.
pub fn formula(error: &Error) -> RefusedInput {
    let (field, reason, accepted) = match *error {
        Error::Outside(error) => return outside(error),
        Error::NotFinite { quantity } => {
            let accepted = Accepted::from_to(f64::MIN, f64::MAX, LimitUnit::One);
            (word(quantity), formulas::not_finite(), accepted.said(formulas::finite()))
        }
        Error::Missing { quantity, needed_for } => (
            word(quantity),
            formulas::missing(word(needed_for)),
            Accepted::nothing(NothingAccepted::Unwritten),
        ),
        Error::TooFew { quantity, given, needed } => {
            let accepted = Accepted::between(needed, u32::MAX as usize);
            let reason = formulas::count_needed(given, needed);
            (word(quantity), reason, accepted.said(formulas::at_least(needed)))
        }
        Error::CountMismatch { quantity, given, expected } => {
            let accepted = Accepted::between(expected, expected);
            let reason = formulas::count_expected(given, expected);
            (word(quantity), reason, accepted.said(formulas::exactly(expected)))
        }
        Error::NoSuchPlace { what, number, first, last } => {
            (word(what), formulas::no_such_place(number), Accepted::between(first, last))
        }
        Error::NotKnown { what, accepted } => (
            word(what),
            formulas::not_known(),
            Accepted::one_of_listed(accepted.split(", or ").next().unwrap_or_default())
                .said(accepted),
        ),
        Error::Inconsistent { what, reason } => {
            (word(what), word(reason), Accepted::nothing(NothingAccepted::OtherValue))
        }
        Error::Undetermined { what, reason } => (
            word(what),
            formulas::undetermined(word(reason)),
            Accepted::nothing(NothingAccepted::Unwritten),
        ),
    };
    RefusedInput { field, reason, accepted }
}

/// Why a question cannot be answered, beside the name of the question: "clearance: relief is not known
/// yet".
pub fn question(error: &Error, asked: &str) -> Phrase {
    match *error {
        Error::Missing { quantity, .. } => formulas::not_known_yet(word(quantity)),
        Error::Undetermined { what, reason } if what == asked => {
            formulas::undetermined(word(reason))
        }
        _ => {
            let RefusedInput { field, reason, .. } = formula(error);
            say::bad_input(field, reason)
        }
    }
}

/// Why two occasions cannot be compared.
pub fn cannot_compare(error: &CannotCompare) -> Phrase {
    use fallaway_advice::compare::ComparedAt;
    match error {
        CannotCompare::Unwritten { fact } => say::compare_unwritten(word(fact)),
        CannotCompare::NoSuchVisit { visit } => say::compare_no_visit(visit.to_string()),
        CannotCompare::NothingRead { side: ComparedAt::Setup } => say::compare_no_target(),
        CannotCompare::NothingRead { side: ComparedAt::AsFound(_) | ComparedAt::AsLeft(_) } => {
            say::compare_visit_unread()
        }
        CannotCompare::NothingRead { side: ComparedAt::Today } => say::compare_today_unread(),
        CannotCompare::Refused(error) => formula(error).phrase(),
    }
}

#[cfg(test)]
#[path = "errors_tests.rs"]
#[allow(clippy::unwrap_used, clippy::indexing_slicing)]
mod tests;
