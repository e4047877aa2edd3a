//! What was refused below the library's face, by the type of the refusal: which value, why, and what
//! would be accepted.

use fallaway_advice::compare::CannotCompare;
use fallaway_measure::{
    Amount, Beyond, Dimension, Fret, Impossible, InstrumentFamily, Limit, LimitUnit, NameError,
    NoteError, NoteProblem, OutsideLimit, PassError, Problem, Reading, ReadingError, Tool, Unit,
    ValueError, number_in,
};
use fallaway_mechanics::Error as FormulaError;
use fallaway_record::spec::{FactFault, SpecError};

use crate::messages::{errors as say, formulas, limits, readings};
use crate::{Computed, List, Phrase, Word, facts, names};

/// What would be accepted: in words, and as data where it is a choice or a range.
#[derive(Debug, Clone, PartialEq)]
pub struct Accepted {
    /// In words; may be empty.
    pub text: Phrase,
    /// As data.
    pub values: Box<AcceptedValues>,
}

/// What would be accepted, as data.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum AcceptedValues {
    /// Words alone can say it.
    #[default]
    Words,
    /// One of these.
    OneOf(Vec<String>),
    /// Written like one of these.
    Like(Vec<String>),
    /// Any number from one to another.
    Between {
        /// The least.
        least: f64,
        /// The most.
        most: f64,
        /// Of what they are numbers.
        unit: LimitUnit,
    },
}

impl Accepted {
    /// One of some.
    pub fn one_of(text: Phrase, choices: Vec<String>) -> Self {
        Self { text, values: Box::new(AcceptedValues::OneOf(choices)) }
    }

    /// A whole number from one to another.
    pub fn between(least: usize, most: usize) -> Self {
        let text = say::accepted_range(least.to_string(), most.to_string());
        let (least, most) = (least as f64, most as f64);
        let values = AcceptedValues::Between { least, most, unit: LimitUnit::One };
        Self { text, values: Box::new(values) }
    }

    /// What is written like some examples, which stand in words with commas between them.
    pub fn like(text: Phrase, examples: &str) -> Self {
        Self { text, values: Box::new(AcceptedValues::Like(listed(examples))) }
    }

    /// So many turns, either way.
    pub fn turns(text: Phrase, most: f64) -> Self {
        let unit = LimitUnit::Turn;
        let values = AcceptedValues::Between { least: -most, most, unit };
        Self { text, values: Box::new(values) }
    }

    /// A number within its limit.
    fn within(text: Phrase, limit: Limit) -> Self {
        let (least, most, unit) = (limit.least(), limit.most(), limit.unit());
        Self { text, values: Box::new(AcceptedValues::Between { least, most, unit }) }
    }

    /// The same, where the reason has said it in words.
    #[must_use]
    pub fn unsaid(self) -> Self {
        Self { text: Phrase::empty(), ..self }
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

impl Default for Accepted {
    fn default() -> Self {
        Phrase::empty().into()
    }
}

impl From<Phrase> for Accepted {
    fn from(text: Phrase) -> Self {
        Self { text, values: Box::default() }
    }
}

impl From<List> for Accepted {
    fn from(list: List) -> Self {
        Phrase::from(list).into()
    }
}

impl From<&str> for Accepted {
    fn from(text: &str) -> Self {
        Phrase::from(text).into()
    }
}

impl From<String> for Accepted {
    fn from(text: String) -> Self {
        Phrase::from(text).into()
    }
}

/// What cannot be taken: which value, why, and what would be accepted, which may be empty.
#[derive(Debug, Clone, PartialEq)]
pub struct RefusedInput {
    /// Which value.
    pub field: Phrase,
    /// What is wrong with it.
    pub reason: Phrase,
    /// What would be accepted.
    pub accepted: Accepted,
}

impl RefusedInput {
    fn of(field: &'static str, reason: Phrase) -> Self {
        Self { field: say::field(Word(field)), reason, accepted: Accepted::default() }
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
    readings::reading(error.text(), error.at(), problem(error.problem()))
}

/// What would be accepted as a reading: as data, since the reason says it in words.
pub fn reading_accepts(error: &ReadingError) -> Accepted {
    problem_accepts(error.problem())
}

fn problem_accepts(problem: &Problem) -> Accepted {
    let like = |examples: &str| Accepted::like(Phrase::empty(), examples);
    let one_of = |choices| Accepted::one_of(Phrase::empty(), choices);
    match problem {
        Problem::Empty { dimension }
        | Problem::MissingNumber { dimension }
        | Problem::NoFraction { dimension }
        | Problem::OutOfPlace { dimension, .. } => like(dimension.examples()),
        Problem::Character { .. } | Problem::Number { .. } => like("12, 1.98, 1,98, 5/64"),
        Problem::MissingWhole => like("64"),
        Problem::TooLong { limit, .. } => Accepted::between(1, *limit).unsaid(),
        Problem::Ambiguous { meanings } => {
            one_of(meanings.iter().map(ToString::to_string).collect())
        }
        Problem::Unit { dimension, .. } | Problem::OtherDimension { dimension, .. } => {
            one_of(listed(dimension.units()))
        }
        Problem::WrongTool { dimension, .. } => {
            let fits = |tool: &&Tool| tool.graduation().dimension() == *dimension;
            one_of(Tool::USUAL.iter().filter(fits).map(ToString::to_string).collect())
        }
        Problem::Value(error) => value_accepts(error),
    }
}

/// What would be accepted as a value: as data, since the reason says it in words.
pub fn value_accepts(error: &ValueError) -> Accepted {
    let one_of = |choices| Accepted::one_of(Phrase::empty(), choices);
    match error {
        ValueError::OutOfRange { low, high, .. } => Accepted {
            text: Phrase::empty(),
            values: Box::new(AcceptedValues::Between {
                least: *low as f64,
                most: *high as f64,
                unit: LimitUnit::One,
            }),
        },
        ValueError::Denominator { accepted, .. } => one_of(listed(accepted)),
        ValueError::Member { .. } => one_of(('a'..='z').map(String::from).collect()),
        ValueError::NoGap { fret } | ValueError::Backwards { from: fret, .. } => {
            Accepted::between(usize::from(*fret) + 1, usize::from(Fret::MAX)).unsaid()
        }
        ValueError::Exchanged { .. } | ValueError::Mixed { .. } | ValueError::Graduation { .. } => {
            Accepted::default()
        }
    }
}

/// What is wrong with the text of a reading.
pub fn problem(problem: &Problem) -> Phrase {
    let phrase = names::dimension;
    match problem {
        Problem::Empty { dimension } => readings::empty(dimension.examples()),
        Problem::TooLong { length, limit } => readings::too_long(*length, *limit),
        Problem::Character { found } => readings::character(*found),
        Problem::Number { found } => readings::number(found),
        Problem::MissingNumber { dimension } => readings::missing_number(dimension.examples()),
        Problem::MissingWhole => readings::missing_whole(),
        Problem::Ambiguous { meanings } => {
            readings::ambiguous(List::or(meanings.iter().map(|one| names::amount(*one))))
        }
        Problem::Unit { found, dimension } => {
            readings::unit(found, phrase(*dimension), dimension.units())
        }
        Problem::OtherDimension { found, dimension } => {
            readings::other_dimension(found.to_string(), phrase(*dimension), dimension.units())
        }
        Problem::NoFraction { dimension } => {
            readings::no_fraction(phrase(*dimension), dimension.examples())
        }
        Problem::WrongTool { tool, dimension } => readings::wrong_tool(*tool, phrase(*dimension)),
        Problem::OutOfPlace { found, dimension } => {
            readings::out_of_place(found, dimension.examples())
        }
        Problem::Value(error) => value(error),
    }
}

/// Why a value is none.
pub fn value(error: &ValueError) -> Phrase {
    match error {
        ValueError::OutOfRange { what, value, low, high } => {
            readings::out_of_range(readings::number_kind(Word(what), what), value, *low, *high)
        }
        ValueError::Denominator { denominator, accepted } => {
            readings::denominator(*denominator, accepted)
        }
        ValueError::Exchanged { low, high } => readings::exchanged(low, high),
        ValueError::Mixed { first, second, first_is, second_is } => readings::mixed(
            first,
            names::dimension(*first_is),
            second,
            names::dimension(*second_is),
        ),
        ValueError::Member { found } => readings::member(*found),
        ValueError::NoGap { fret } => readings::no_gap(*fret),
        ValueError::Backwards { from, to } => readings::backwards(*from, *to),
        ValueError::Graduation { graduation } => readings::graduation(graduation),
    }
}

/// Why a text names no tool, string, quantity ...
pub fn name(error: &NameError) -> RefusedInput {
    match error {
        NameError::Unknown { text, what, accepted } => RefusedInput {
            field: say::field(Word(what)),
            reason: say::names_none(text, Word(what)),
            accepted: Accepted::like(say::named_so(Word(what), accepted), accepted),
        },
        NameError::Value(error) => RefusedInput {
            accepted: value_accepts(error),
            ..RefusedInput::of("value", value(error))
        },
        NameError::Graduation(error) => RefusedInput {
            accepted: reading_accepts(error),
            ..RefusedInput::of("tool", reading(error))
        },
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
        PassError::NothingBefore { .. } => Accepted::default(),
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
        accepted: Accepted::like(readings::note_accepted(), "E1, Bb0, F#2, A4-2.5"),
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
    let (reason, accepted) = match why {
        Impossible::OtherKind { wanted } => {
            let found = names::dimension(reading.dimension());
            (readings::other_kind(reading, found), names::dimension(wanted))
        }
        Impossible::OverTheNut => (readings::over_the_nut(), readings::from_fret_1()),
        Impossible::LiesOnFret { fret } => (readings::lies_on_fret(fret), readings::another_fret()),
        Impossible::NotBetween => (readings::not_between(), readings::rising_frets()),
        Impossible::PickupZero => (readings::pickup_zero(), readings::from_pickup_1()),
        Impossible::OpenIntonation => (readings::open_intonation(), readings::from_fret_1()),
        Impossible::Value { beyond, low, high } => {
            let reason = readings::impossible(beyond_word(beyond), reading);
            return (reason, between_amounts(low, high));
        }
    };
    (reason, accepted.into())
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
    let ends = number_in(low, shown).zip(number_in(high, shown));
    Accepted {
        text: readings::range(low, high),
        values: Box::new(ends.map_or(AcceptedValues::Words, |(least, most)| {
            AcceptedValues::Between { least, most, unit }
        })),
    }
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
        accepted: Accepted::within(
            formulas::range(Computed::exact(limit.least()), measured(limit.most())),
            limit,
        ),
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
            (
                Limit::Frets.into(),
                given,
                Accepted {
                    values: Box::new(AcceptedValues::Between {
                        least: 1.0,
                        most: f64::from(*most),
                        unit: LimitUnit::Fret,
                    }),
                    ..say::frets_accepted(*most).into()
                },
            )
        }
        FactFault::Text { found, most } => {
            (called, say::text_length(*found, *most), Accepted::between(1, *most).unsaid())
        }
        FactFault::Courses { courses, strings } => {
            (called, say::courses_wrong(), say::courses_accepted(*courses, *strings).into())
        }
        FactFault::UnitWeight { given } => {
            let given = names::computed(Computed::exact(given.value()));
            (say::unit_weight(), formulas::outside(given), say::above_zero().into())
        }
        FactFault::SaddleWithoutStrings => {
            (called, say::saddle_without_strings(), Accepted::default())
        }
        FactFault::NotWritten { reason } => {
            (called, say::fact_not_written(reason.clone()), Accepted::default())
        }
    };
    RefusedInput { field, reason, accepted }
}

/// Which number a formula refused, why, and what it would take.
pub fn formula(error: &FormulaError) -> RefusedInput {
    let none = Accepted::default;
    let (field, reason, accepted) = match *error {
        FormulaError::Outside(error) => return outside(error),
        FormulaError::NotFinite { quantity } => {
            (word(quantity), formulas::not_finite(), formulas::finite().into())
        }
        FormulaError::Missing { quantity, needed_for } => {
            (word(quantity), formulas::missing(word(needed_for)), none())
        }
        FormulaError::TooFew { quantity, given, needed } => (
            word(quantity),
            formulas::count_needed(given, needed),
            formulas::at_least(needed).into(),
        ),
        FormulaError::CountMismatch { quantity, given, expected } => (
            word(quantity),
            formulas::count_expected(given, expected),
            formulas::exactly(expected).into(),
        ),
        FormulaError::NoSuchPlace { what, number, first, last } => {
            (word(what), formulas::no_such_place(number), Accepted::between(first, last))
        }
        FormulaError::NotKnown { what, accepted } => {
            (word(what), formulas::not_known(), Phrase::from(accepted).into())
        }
        FormulaError::Inconsistent { what, reason } => (word(what), word(reason), none()),
        FormulaError::Undetermined { what, reason } => {
            (word(what), formulas::undetermined(word(reason)), none())
        }
    };
    RefusedInput { field, reason, accepted }
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
