//! Every refusal is said in every language. The lists are complete: each ends in a match without a
//! wildcard, which numbers the variants.

use fallaway_order::Set;
use std::fmt::Debug;

use fallaway_advice::compare::ComparedAt;
use fallaway_changes::Writer;
use fallaway_measure::{Amount, Decimal, Dimension, Fret, Limit, Tool, Unit};

use fallaway_record::EntryId;
use fallaway_record::spec::Fact;

use super::*;
use crate::{Language, Voice};

/// Asserts that the list has each of `count` variants, that each reads well, and that what would be
/// accepted is there as data; answers those for which there is nothing, each with the reason.
fn complete<T: Debug>(
    all: &[T],
    count: usize,
    number: impl Fn(&T) -> usize,
    said: impl Fn(&T) -> RefusedInput,
) -> Vec<String> {
    let mut nothing = Vec::new();
    let numbers: Set<usize> = all.iter().map(number).collect();
    assert_eq!(numbers, (0..count).collect());
    for one in all {
        let RefusedInput { field, reason, accepted } = said(one);
        match *accepted.values {
            AcceptedValues::Nothing(why) => {
                let variant = format!("{one:?}");
                let variant = variant.split([' ', '(']).next().unwrap();
                nothing.push(format!("{variant}: {why:?}"));
            }
            AcceptedValues::Between { least, most, .. } => assert!(least <= most, "{one:?}"),
            AcceptedValues::OneOf(some)
            | AcceptedValues::NoneOf(some)
            | AcceptedValues::Like(some) => {
                assert!(!some.is_empty() && some.iter().all(|one| !one.is_empty()), "{one:?}");
            }
        }
        let mut texts = Set::new();
        for language in Language::all() {
            let say = |phrase: &Phrase| Voice::new(language).say(phrase);
            let (field, reason) = (say(&field), say(&reason));
            let whole = format!("{field}: {reason} ({})", say(&accepted.text));
            assert!(!reason.is_empty(), "{one:?}");
            assert!(!whole.contains(['{', '_']) && !whole.contains("::"), "{whole}");
            let twice = !field.is_empty() && reason.to_lowercase().contains(&field.to_lowercase());
            assert!(!twice, "{language:?} says the same twice: {whole}");
            texts.insert(reason);
        }
        assert_eq!(texts.len(), Language::all().len(), "{one:?} is not translated: {texts:?}");
    }
    nothing
}

fn alone(reason: Phrase, accepted: Accepted) -> RefusedInput {
    RefusedInput { field: Phrase::empty(), reason, accepted }
}

/// Where nothing is asked for, nothing is accepted.
fn question(reason: Phrase) -> RefusedInput {
    alone(reason, Accepted::nothing(NothingAccepted::Unwritten))
}

const NONE: [String; 0] = [];

#[test]
fn what_is_wrong_with_the_text_of_a_reading() {
    let (dimension, found) = (Dimension::Length, "5/63".to_owned());
    let amount = |digits| Amount::decimal(digits, 0, Unit::Millimetre).unwrap();
    let all = [
        Problem::Empty { dimension },
        Problem::TooLong { length: 90, limit: 64 },
        Problem::Character { found: '§' },
        Problem::Number { found: found.clone() },
        Problem::MissingNumber { dimension },
        Problem::MissingWhole,
        Problem::Ambiguous {
            meanings: [Unit::Millimetre, Unit::Inch]
                .map(|unit| Amount::decimal(5, 0, unit).unwrap())
                .to_vec(),
        },
        Problem::Unit { found: found.clone(), dimension },
        Problem::OtherDimension { found: Unit::Hertz, dimension },
        Problem::NoFraction { dimension: Dimension::Frequency },
        Problem::WrongTool { tool: Tool::RULE_64, dimension: Dimension::Interval },
        Problem::OutOfPlace { found, dimension },
        Problem::Value(ValueError::Member { found: '4' }),
        Problem::OnlyInches { found: "mm".to_owned() },
        Problem::Exchanged { low: amount(2), high: amount(1) },
    ];
    let number = |problem: &Problem| match problem {
        Problem::Empty { .. } => 0,
        Problem::TooLong { .. } => 1,
        Problem::Character { .. } => 2,
        Problem::Number { .. } => 3,
        Problem::MissingNumber { .. } => 4,
        Problem::MissingWhole => 5,
        Problem::Ambiguous { .. } => 6,
        Problem::Unit { .. } => 7,
        Problem::OtherDimension { .. } => 8,
        Problem::NoFraction { .. } => 9,
        Problem::WrongTool { .. } => 10,
        Problem::OutOfPlace { .. } => 11,
        Problem::Value(_) => 12,
        Problem::OnlyInches { .. } => 13,
        Problem::Exchanged { .. } => 14,
    };
    for bounds in [true, false] {
        let said = |one: &Problem| alone(problem(one, bounds), problem_accepts(one, bounds));
        assert_eq!(complete(&all, 15, number, said), NONE);
    }
}

/// What a message gives as an example is taken when it is typed, in each language, and so is what is given as
/// data; a target, which has no bounds, is not explained by them.
#[test]
fn what_is_given_as_an_example_is_taken() {
    use fallaway_measure::{parse_amount, parse_reading};
    let all = [
        Dimension::Length,
        Dimension::Interval,
        Dimension::Frequency,
        Dimension::Share,
        Dimension::Temperature,
        Dimension::Force,
        Dimension::Rotation,
        Dimension::Other,
    ];
    let tool = |dimension| (dimension == Dimension::Interval).then_some(&Tool::TUNER_CENT);
    for dimension in all {
        let said = |bounds| {
            let data = AcceptedValues::Like(listed(dimension.examples()));
            let given = *problem_accepts(&Problem::Empty { dimension }, bounds).values;
            assert!(bounds || given == data, "{given:?}");
            let AcceptedValues::Like(data) = given else { panic!("{given:?}") };
            let told = Language::all()
                .into_iter()
                .map(|language| Voice::new(language).say(&examples(dimension, bounds)));
            told.flat_map(|text| listed(&text)).chain(data).collect::<Vec<_>>()
        };
        for example in said(false) {
            assert!(parse_amount(&example, tool(dimension), dimension).is_ok(), "{example}");
        }
        for example in said(true) {
            assert!(parse_reading(&example, tool(dimension), dimension).is_ok(), "{example}");
        }
    }
    let german = Voice::new(Language::named("de").unwrap());
    let wrong = parse_amount("viel", None, Dimension::Length).unwrap_err();
    assert_eq!(
        german.say(&reading(&wrong)),
        "„viel“ ist hier fehl am Platz; angenommen wird: 5/64, 1 1/16 Zoll, 0,078 Zoll, 12 thou, 1,98 mm"
    );
    let wrong = parse_reading("viel", None, Dimension::Length).unwrap_err();
    let said = german.say(&reading(&wrong));
    assert!(said.ends_with("1,98 mm, liegt auf, 0,25 geht 0,30 nicht"), "{said}");
    let turned = parse_reading(".012 geht, .010 nicht", None, Dimension::Length).unwrap_err();
    let said = german.say(&reading(&turned));
    assert!(said.contains("0,012 Zoll") && said.contains("0,010 Zoll"), "{said}");
}

/// What was found is named once, and where it stands unless it is all that was written.
#[test]
fn a_refused_word_is_said_once() {
    use fallaway_measure::parse_amount;
    let of = |text: &str, language| {
        let wrong = parse_amount(text, None, Dimension::Length).unwrap_err();
        Voice::new(Language::named(language).unwrap()).say(&reading(&wrong))
    };
    let units = "mm, in, thou";
    assert!(of("much", "en").starts_with("“much” is out of place; accepted: 5/64"));
    assert_eq!(
        of("12 foo", "en"),
        format!("in “12 foo”, at character 4: “foo” is not a unit for a length; accepted: {units}")
    );
    assert!(
        of("12 foo", "de").starts_with("in „12 foo“, ab Zeichen 4: „foo“ ist keine Einheit für")
    );
    assert!(of("12 mm x", "en").starts_with("in “12 mm x”, at character 7: “x” is out of place;"));
    assert!(of("", "en").starts_with("nothing was written; accepted: "));
    for text in ["much", "Much", " much", "12 foo", "?", "1 ?", "1.2.3", "5/64 mm", "12 Hz", ""] {
        for language in ["en", "de"] {
            let said = of(text, language);
            let twice = ["cannot read", "nicht lesbar"].iter().any(|head| said.contains(head));
            assert!(!twice, "{text}: {said}");
        }
    }
}

/// A value that an error carries as text is said like every other: the language's decimal sign, and a minus sign.
#[test]
fn values_in_refusals_have_the_signs_of_the_language() {
    let german = Voice::new(Language::named("de").unwrap());
    let said = |error: &ValueError| german.say(&value(error));
    let exchanged = ValueError::Exchanged { low: "0.2 mm".into(), high: "-0.37 mm".into() };
    assert!(said(&exchanged).contains("0,2 mm") && said(&exchanged).contains("−0,37 mm"));
    let mixed = ValueError::Mixed {
        first: "-1.5 mm".into(),
        second: "-2.5 cent".into(),
        first_is: Dimension::Length,
        second_is: Dimension::Interval,
    };
    assert!(said(&mixed).starts_with("−1,5 mm und −2,5 Cent"), "{}", said(&mixed));
    let outside = ValueError::OutOfRange { what: "fret", value: "-3".into(), low: 0, high: 36 };
    assert!(said(&outside).contains("−3") && !said(&outside).contains("-3"), "{}", said(&outside));
}

#[test]
fn why_a_value_is_none() {
    let all = [
        ValueError::OutOfRange { what: "fret", value: "99".into(), low: 0, high: 36 },
        ValueError::Denominator { denominator: 63, accepted: "2, 4, 8" },
        ValueError::Exchanged { low: "2 mm".into(), high: "1 mm".into() },
        ValueError::Mixed {
            first: "1 mm".into(),
            second: "3 cent".into(),
            first_is: Dimension::Length,
            second_is: Dimension::Interval,
        },
        ValueError::Member { found: '4' },
        ValueError::NoGap { fret: 7 },
        ValueError::Backwards { from: 9, to: 7 },
        ValueError::Graduation { graduation: "0 mm".into() },
    ];
    let number = |error: &ValueError| match error {
        ValueError::OutOfRange { .. } => 0,
        ValueError::Denominator { .. } => 1,
        ValueError::Exchanged { .. } => 2,
        ValueError::Mixed { .. } => 3,
        ValueError::Member { .. } => 4,
        ValueError::NoGap { .. } => 5,
        ValueError::Backwards { .. } => 6,
        ValueError::Graduation { .. } => 7,
    };
    let said = |one: &ValueError| alone(value(one), value_accepts(one));
    assert_eq!(complete(&all, 8, number, said), NONE);
}

#[test]
fn why_a_text_is_not_a_note() {
    let all = [
        NoteProblem::Empty,
        NoteProblem::Letter,
        NoteProblem::ManyAccidentals,
        NoteProblem::MixedAccidentals,
        NoteProblem::Octave,
        NoteProblem::Range,
        NoteProblem::Cents,
    ];
    let number = |problem: &NoteProblem| match problem {
        NoteProblem::Empty => 0,
        NoteProblem::Letter => 1,
        NoteProblem::ManyAccidentals => 2,
        NoteProblem::MixedAccidentals => 3,
        NoteProblem::Octave => 4,
        NoteProblem::Range => 5,
        NoteProblem::Cents => 6,
    };
    let nothing = complete(&all, 7, number, |problem| {
        let error = NoteError { given: "E#b".into(), problem: *problem };
        RefusedInput { field: Phrase::empty(), ..note(&error) }
    });
    assert_eq!(nothing, NONE);
}

#[test]
fn why_a_reading_is_asked_about_or_cannot_be() {
    let amount = |hundredths| Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap();
    let reading = Reading::Value(amount(500));
    let (low, high, fret) = (amount(120), amount(350), Fret::new(7).unwrap());
    let all = [
        Impossible::OtherKind { wanted: Dimension::Interval },
        Impossible::OverTheNut,
        Impossible::LiesOnFret { fret },
        Impossible::NotBetween,
        Impossible::NotBeyond,
        Impossible::PickupZero,
        Impossible::OpenIntonation,
        Impossible::Value { beyond: Beyond::Below, low, high },
        Impossible::Value { beyond: Beyond::Above, low, high },
    ];
    let number = |why: &Impossible| match why {
        Impossible::OtherKind { .. } => 0,
        Impossible::OverTheNut => 1,
        Impossible::LiesOnFret { .. } => 2,
        Impossible::NotBetween => 3,
        Impossible::PickupZero => 4,
        Impossible::OpenIntonation => 5,
        Impossible::Value { .. } => 6,
        Impossible::NotBeyond => 7,
    };
    let nothing = complete(&all, 8, number, |why| {
        let (reason, accepted) = impossible(reading, *why);
        alone(reason, accepted)
    });
    assert_eq!(nothing, NONE);
    let all = [Beyond::Below, Beyond::Above];
    for family in [InstrumentFamily::Bass, InstrumentFamily::Guitar, InstrumentFamily::Other(0)] {
        complete(&all, 2, |one| *one as usize, |one| question(unusual(reading, *one, family)));
    }
    let german = Voice::new(Language::named("de").unwrap());
    let said = unusual(reading, Beyond::Above, InstrumentFamily::Bass);
    assert_eq!(said.to_string(), "5.00 mm is unusually high on a bass");
    assert_eq!(german.say(&said), "5,00 mm ist ungewöhnlich viel an einem Bass");
}

#[test]
fn a_fact_that_no_instrument_has() {
    let given = Amount::decimal(9, 1, Unit::Inch).unwrap();
    let all = [
        FactFault::Amount { given, limit: Limit::StringGauge },
        FactFault::Count { given: 9, limit: Limit::Pickups },
        FactFault::Text { found: 70, most: 64 },
        FactFault::Courses { courses: 48, strings: 6 },
        FactFault::UnitWeight { given: Decimal::new(0, 0).unwrap() },
        FactFault::Frets { given: 60, most: 36 },
        FactFault::SaddleWithoutStrings,
        FactFault::NotWritten { reason: "end of input".to_owned() },
    ];
    let number = |fault: &FactFault| match fault {
        FactFault::Amount { .. } => 0,
        FactFault::Count { .. } => 1,
        FactFault::Text { .. } => 2,
        FactFault::Courses { .. } => 3,
        FactFault::UnitWeight { .. } => 4,
        FactFault::Frets { .. } => 5,
        FactFault::SaddleWithoutStrings => 6,
        FactFault::NotWritten { .. } => 7,
    };
    let of = |fault: &FactFault| {
        let fact = match fault {
            FactFault::Courses { .. } => Fact::Courses,
            FactFault::SaddleWithoutStrings => Fact::Bridge,
            _ => Fact::Strings,
        };
        SpecError { fact, fault: fault.clone() }
    };
    let nothing = complete(&all, 8, number, |fault| fact(&of(fault)));
    assert_eq!(nothing, ["NotWritten: NeedsNewer"]);
    let german = Voice::new(Language::named("de").unwrap());
    let RefusedInput { field, reason, accepted } = fact(&of(&all[0]));
    let said = [field, reason, accepted.text].map(|phrase| german.say(&phrase));
    assert_eq!(said, ["Saitenstärke", "0,9 Zoll liegt außerhalb der Grenzen", "0,05 bis 6 mm"]);
}

#[test]
fn why_two_occasions_cannot_be_compared() {
    let visit: EntryId = EntryId { writer: Writer::from_bytes([1; 16]), number: 1 };
    let all = [
        CannotCompare::Unwritten { fact: "scale length" },
        CannotCompare::NoSuchVisit { visit },
        CannotCompare::NothingRead { side: ComparedAt::Setup },
        CannotCompare::NothingRead { side: ComparedAt::Today },
        CannotCompare::NothingRead { side: ComparedAt::AsFound(visit) },
        CannotCompare::Refused(Error::TooFew { quantity: "strings", given: 0, needed: 1 }),
    ];
    let number = |error: &CannotCompare| match error {
        CannotCompare::Unwritten { .. } => 0,
        CannotCompare::NoSuchVisit { .. } => 1,
        CannotCompare::NothingRead { .. } => 2,
        CannotCompare::Refused(_) => 3,
    };
    complete(&all, 4, number, |one| question(cannot_compare(one)));
}

#[test]
fn why_a_question_cannot_be_answered() {
    let said = |error: &Error| super::question(error, "clearance").to_string();
    let missing = Error::Missing { quantity: "relief", needed_for: "to tell clearance" };
    assert_eq!(said(&missing), "relief is not known yet");
    // What is asked stands beside it already.
    let fretless = Error::Undetermined { what: "clearance", reason: "the board has no frets" };
    assert_eq!(said(&fretless), "cannot be told from what was given: the board has no frets");
    let few = Error::TooFew { quantity: "strings", given: 0, needed: 1 };
    assert_eq!(said(&few), "strings: 0 given, at least 1 needed");
}

#[test]
fn which_number_a_formula_refused() {
    let (quantity, what) = ("strings", "relief");
    let all = [
        Error::Outside(OutsideLimit { limit: Limit::ScaleLength, given: 5.5 }),
        Error::Outside(OutsideLimit { limit: Limit::ScaleLength, given: f64::NAN }),
        Error::NotFinite { quantity },
        Error::Missing { quantity: what, needed_for: "to tell clearance" },
        Error::TooFew { quantity, given: 0, needed: 1 },
        Error::CountMismatch { quantity, given: 3, expected: 4 },
        Error::NoSuchPlace { what: "fret", number: 99, first: 0, last: 36 },
        Error::NotKnown { what: "thread", accepted: "M3, M4" },
        Error::Inconsistent { what: "interval", reason: "its lower end lies above its upper end" },
        Error::Undetermined {
            what: "clearance",
            reason: "the board has no frets; the string is meant to lie on it",
        },
    ];
    let number = |error: &Error| match error {
        Error::Outside(_) => 0,
        Error::NotFinite { .. } => 1,
        Error::Missing { .. } => 2,
        Error::TooFew { .. } => 3,
        Error::CountMismatch { .. } => 4,
        Error::NoSuchPlace { .. } => 5,
        Error::NotKnown { .. } => 6,
        Error::Inconsistent { .. } => 7,
        Error::Undetermined { .. } => 8,
    };
    let nothing = complete(&all, 9, number, formula);
    assert_eq!(
        nothing,
        ["Missing: Unwritten", "Inconsistent: OtherValue", "Undetermined: Unwritten"]
    );
    let german = Voice::new(Language::named("de").unwrap());
    assert_eq!(
        german.say(&formula(&all[0]).phrase()),
        "Mensur: 5,5 mm liegt außerhalb der Grenzen (100 bis 3000 mm)"
    );
}

#[test]
fn every_limit_has_a_name_in_every_language() {
    for limit in Limit::ALL {
        let field = outside(OutsideLimit { limit: *limit, given: 0.0 }).field;
        for language in Language::all().into_iter().filter(|one| *one != Language::ENGLISH) {
            let said = Voice::new(language).say(&field);
            // A trade word may be the same; whole names of several words are not.
            let same = said == limit.name() && said.contains(' ');
            assert!(!same, "{language:?}: {said}");
        }
    }
}
