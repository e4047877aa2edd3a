//! The files against the table, and what is said against what should be.

use fallaway_order::Set;

use fallaway_measure::{Amount, Decimal, Fret, Note, Quantity, Reading, StringPlace, Tool, Unit};
use fallaway_record::spec::{
    BoardCurve, BridgeSpec, Clockwise, Fact, FretsSpec, Handedness, HeightBy, IntonationBy,
    JointFretSpec, NeckJoint, NutKind, RodAccess, RodKind, RodSpec, ScaleLength, ScrewPlace,
    ScrewSpec, StringConstruction, StringSpec, Stringing, ThreadSpec, UnitWeight, UnitWeightUnit,
};
use fallaway_record::{
    AdjustedPart, Adjustment, Buzz, Climate, EntryBody, InstrumentSpec, Pass, Phase, SpecField,
    StringChange, Tuning, Turns,
};

use crate::{
    CATALOGUE, Computed, InInches, Language, LengthOf, LengthUnit, List, Phrase, Units, Voice,
    check, entries, facts, messages, names, plan,
};

pub(crate) fn german() -> Voice {
    Voice::new(Language::named("de").unwrap())
}

#[test]
fn every_language_has_every_message_with_its_arguments() {
    let problems = check::problems(&CATALOGUE, messages::DECLARED, &messages::by_name());
    assert!(problems.is_empty(), "{}", problems.join("\n"));
    for language in Language::all() {
        assert!(language.tag().parse::<unic_langid::LanguageIdentifier>().is_ok());
    }
}

fn relief() -> Quantity {
    Quantity::Relief { from: Fret::new(1).unwrap(), to: Fret::new(24).unwrap(), at: None }
}

#[test]
fn a_forecast_is_said_in_the_unit_that_is_preferred() {
    let small = names::computed(Computed::mm(0.06).of(relief()));
    let large = names::computed(Computed::mm(2.06).with(Tool::RULE_64));
    let shown = |voice: Voice, unit| {
        let voice = voice.in_units(Units::all(unit));
        (voice.say(&small), voice.say(&large))
    };
    let english = |unit, small: &str, large: &str| {
        assert_eq!(shown(Voice::default(), unit), (small.into(), large.into()));
    };
    english(LengthUnit::AsRead, "0.06 mm", "5/64 in (2.06 mm)");
    english(LengthUnit::Millimetres, "0.06 mm", "2.06 mm");
    english(LengthUnit::Thou, "2.4 thou", "81 thou");
    english(LengthUnit::Inches, "0.0024 in", "0.081 in");
    english(LengthUnit::FRACTIONS, "less than 1/64 in", "5/64 in");
    let (small, large) = shown(german(), LengthUnit::Thou);
    assert_eq!((small.as_str(), large.as_str()), ("2,4 thou", "81 thou"));
    let (small, large) = shown(german(), LengthUnit::AsRead);
    assert_eq!((small.as_str(), large.as_str()), ("0,06 mm", "5/64 Zoll (2,06 mm)"));
}

#[test]
fn what_was_read_stays_as_it_was_read_unless_more_is_asked() {
    let read = names::amount(Amount::fraction(5, 64).unwrap());
    // A reading follows the unit of what it is of.
    let relief = Units { relief: LengthUnit::Thou, convert_readings: true, ..Units::default() };
    let way = fallaway_measure::Quantity::relief(1, 24).unwrap();
    let fraction = Amount::fraction(1, 64).unwrap();
    assert_eq!(Voice::default().in_units(relief).say(&names::amount(fraction).of(way)), "16 thou");
    let mut units = Units::all(LengthUnit::Millimetres);
    assert_eq!(Voice::default().in_units(units).say(&read), "5/64 in");
    units.convert_readings = true;
    assert_eq!(Voice::default().in_units(units).say(&read), "1.98 mm");
}

#[test]
fn turns_are_said_in_plain_fractions() {
    for (eighths, english, german_text) in [
        (1, "1/8 turn clockwise", "1/8 Umdrehung im Uhrzeigersinn"),
        (-9, "1 1/8 turns anticlockwise", "1 1/8 Umdrehungen gegen den Uhrzeigersinn"),
        (8, "1 turn clockwise", "1 Umdrehung im Uhrzeigersinn"),
        (16, "2 turns clockwise", "2 Umdrehungen im Uhrzeigersinn"),
        (6, "3/4 turn clockwise", "3/4 Umdrehung im Uhrzeigersinn"),
    ] {
        let said = names::eighths(eighths);
        assert_eq!(said.to_string(), english);
        assert_eq!(german().say(&said), german_text);
    }
    let turned = |text: &str| names::turns(text.parse::<Turns>().unwrap());
    assert_eq!(german().say(&turned("-0.3")), "0,3 Umdrehung gegen den Uhrzeigersinn");
    assert_eq!(turned("1/16").to_string(), "1/16 turn clockwise");
}

#[test]
fn lists_and_sentences() {
    let words = |n: usize| ["rod", "nut", "saddle"].into_iter().take(n).map(Phrase::written);
    let said = |list: List| (Phrase::from(list.clone()).to_string(), german().say(&list.into()));
    assert_eq!(
        said(List::and(words(3))),
        ("rod, nut and saddle".into(), "rod, nut und saddle".into())
    );
    assert_eq!(said(List::or(words(2))).1, "rod oder nut");
    assert_eq!(said(List::and(words(1))).0, "rod");
    assert_eq!(said(List::comma(words(0))).0, "");
    assert_eq!(said(List::sentences(words(2))).0, "Rod Nut");
}

#[test]
fn zero_has_no_sign() {
    assert_eq!(names::computed(Computed::mm(-0.001).signed()).to_string(), "0.00 mm");
    assert_eq!(names::computed(Computed::mm(0.1).signed()).to_string(), "+0.10 mm");
}

#[test]
fn a_number_below_zero_has_a_minus_sign_wherever_it_is_said_and_is_read_back() {
    // The Unicode Standard, block "Mathematical Operators": 2212, MINUS SIGN.
    let amounts = [Amount::decimal(-2, 0, Unit::Cent).unwrap(), Amount::fraction(-1, 64).unwrap()];
    assert_eq!(amounts.map(|one| names::amount(one).to_string()), ["−2 cents", "−1/64 in"]);
    for amount in amounts {
        let said = names::amount(amount).to_string();
        let read = fallaway_measure::parse_amount(&said, None, amount.dimension());
        assert_eq!(read.unwrap(), amount, "{said}");
    }
    assert_eq!(names::computed(Computed::mm(-0.5).bare()).to_string(), "−0.50");
    let half = names::computed(Computed::mm(-0.5).signed());
    assert_eq!(german().say(&half), "−0,50 mm");
    let note: Note = "C-1-2.5".parse().unwrap();
    assert_eq!(names::note(note).to_string(), "C−1−2.5");
    assert_eq!(names::note(note).to_string().parse(), Ok(note));
    assert_eq!(german().say(&names::note(note)), "C−1−2,5");
    // A hyphen in a name is none.
    assert_eq!(Phrase::written("C-2 -3").to_string(), "C-2 -3");
}

/// Whether a line of a message shows what is typed as it is typed.
fn is_typed(theme: &str, line: &str) -> bool {
    theme == "readings" && line.starts_with("character ")
}

#[test]
fn texts_have_the_signs_of_their_language() {
    let problems = check::signs(&CATALOGUE, is_typed);
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn a_wrong_sign_is_found() {
    let wrong = |language, line| check::wrong_signs(language, line);
    assert_eq!(wrong("en", "a = the setup \"stage\"").len(), 1);
    assert_eq!(wrong("en", "a = the setup „stage“").len(), 1);
    assert_eq!(wrong("de", "a = das Setup “stage”").len(), 1);
    assert_eq!(wrong("de", "a = das Setup „stage”").len(), 1);
    assert_eq!(wrong("en", "a = give -10 to 10 mm").len(), 1);
    assert_eq!(wrong("en", "a = as found 0.45 mm; Wanted 0.30 mm").len(), 1);
    assert_eq!(wrong("de", "a = hier stimmst du die Saite").len(), 1);
    assert_eq!(wrong("de", "a = stimmen Sie die Saite").len(), 1);
    for right in [
        ("en", "a = the setup “stage”, { $low ->"),
        ("en", "a = from −10 to 10 mm; see ISO 216, tech-12, E-1, { \"\" }"),
        ("de", "a = das Setup „stage“; Saite lösen. Sie ist lose"),
        ("de", "   *[other] Sie ist lose; Ihre Lage"),
    ] {
        assert_eq!(wrong(right.0, right.1), Vec::<String>::new());
    }
}

#[test]
fn no_step_says_its_name_twice() {
    use fallaway_advice::plan::StepKind;
    for language in Language::all() {
        let voice = Voice::new(language);
        let words = [
            (StepKind::Tune, messages::plan::tune()),
            (StepKind::AsLeft, messages::plan::play_every_note()),
            (StepKind::Targets, messages::plan::set_targets()),
        ];
        for (kind, verdict) in words {
            assert_ne!(voice.sentence(&plan::kind(kind)), voice.sentence(&verdict));
        }
    }
}

/// Facts whose values come in several shapes.
fn facts() -> Vec<SpecField> {
    let inch = |digits| Amount::decimal(digits, 0, Unit::Inch).unwrap();
    let place = |course| StringPlace::course(course).unwrap();
    let screw = ScrewSpec {
        thread: Some(ThreadSpec { designation: Some("M5".into()), pitch: None }),
        clockwise: Some(Clockwise::Less),
        key: Some("5 mm hex".into()),
    };
    let bridge = |height, floating, intonation| {
        SpecField::Bridge(BridgeSpec {
            height,
            floating,
            intonation,
            sideways: Some(false),
            posts: None,
        })
    };
    let mut all = vec![
        SpecField::Name("blue five".into()),
        SpecField::About("neck once reset".into()),
        SpecField::Courses(vec![1; 5]),
        SpecField::Courses(vec![2; 6]),
        SpecField::Tuning(place(5), "B0".parse().unwrap()),
        SpecField::Strings(place(5), StringSpec::default()),
        SpecField::Strings(
            place(5),
            StringSpec {
                gauge: Some(Amount::decimal(130, 3, Unit::Inch).unwrap()),
                construction: Some(StringConstruction::RoundWound),
                core: Some(Amount::decimal(5, 1, Unit::Millimetre).unwrap()),
                unit_weight: Some(UnitWeight {
                    value: Decimal::new(125, 1).unwrap(),
                    unit: UnitWeightUnit::GramPerMetre,
                }),
                pack_tension: Some(Amount::decimal(150, 0, Unit::Newton).unwrap()),
                name: Some("low one".into()),
            },
        ),
        SpecField::Scale(ScaleLength::Same(inch(34))),
        SpecField::Scale(ScaleLength::Fanned { bass: inch(35), treble: inch(33) }),
        SpecField::Scale(ScaleLength::Each(vec![(place(1), inch(33)), (place(2), inch(34))])),
        SpecField::Frets(FretsSpec::count(0)),
        SpecField::Frets(FretsSpec {
            count: 24,
            height: Amount::decimal(1, 0, Unit::Millimetre).ok(),
        }),
        SpecField::JointFret(JointFretSpec::usual(Fret::new(17).unwrap())),
        SpecField::Board(BoardCurve::Flat),
        SpecField::Board(BoardCurve::Cylinder(inch(12))),
        SpecField::Board(BoardCurve::Compound { nut: inch(10), last_fret: inch(16) }),
        SpecField::Headless(false),
        SpecField::Trees(vec![]),
        SpecField::Trees(vec![place(1), place(2)]),
        bridge(HeightBy::OwnSaddles { screws: 2 }, true, Some(IntonationBy::OwnSaddles)),
        bridge(
            HeightBy::SharedSaddles(vec![vec![place(1), place(2)], vec![place(3)]]),
            false,
            None,
        ),
        bridge(HeightBy::TwoPosts, false, Some(IntonationBy::WholeBridge)),
        bridge(HeightBy::Fixed, false, Some(IntonationBy::Fixed)),
    ];
    all.extend(ScrewPlace::KNOWN.map(|at| SpecField::Screw(at, screw.clone())));
    all.push(SpecField::Screw(ScrewPlace::Rod, ScrewSpec::default()));
    let newer = |known: &[NutKind]| [known, &[NutKind::Other(99)]].concat();
    all.extend(newer(NutKind::KNOWN).into_iter().map(SpecField::Nut));
    for kind in RodKind::KNOWN {
        for access in [None, Some(RodAccess::Head), Some(RodAccess::Heel)] {
            all.push(SpecField::Rod(RodSpec { kind: *kind, access }));
        }
    }
    all.extend(NeckJoint::KNOWN.iter().copied().map(SpecField::NeckJoint));
    all.extend(Handedness::KNOWN.iter().copied().map(SpecField::Handedness));
    all.extend(Stringing::KNOWN.iter().copied().map(SpecField::Stringing));
    all
}

/// No text for people has the shapes of a program.
fn assert_plain(text: &str) {
    for shape in ["{", "}", "::", "Some(", "None", "  ", "_"] {
        assert!(!text.contains(shape), "{text}");
    }
    assert_ne!(text.len(), 0);
}

#[test]
fn every_fact_has_a_name_and_a_value_in_every_language() {
    let of_each = Fact::ALL.iter().map(|fact| fact.example().unwrap());
    for field in facts().into_iter().chain(of_each) {
        field.check().unwrap();
        for language in Language::all() {
            let voice = Voice::new(language);
            assert_plain(&voice.say(&facts::name(&field, &InstrumentSpec::default())));
            assert_plain(&voice.say(&facts::value(&field, &InstrumentSpec::default())));
        }
    }
}

#[test]
fn every_fact_has_a_name_of_its_own() {
    for language in Language::all() {
        let voice = Voice::new(language);
        let name = |field: SpecField| voice.say(&facts::name(&field, &InstrumentSpec::default()));
        let names: Set<String> =
            Fact::ALL.iter().filter_map(|fact| fact.example()).map(name).collect();
        assert_eq!(names.len(), Fact::ALL.len(), "{names:?}");
    }
}

#[test]
fn facts_read_as_a_technician_says_them() {
    let spec = InstrumentSpec::default();
    let said: Vec<(String, String)> = facts()
        .iter()
        .map(|field| {
            (facts::value(field, &spec).to_string(), german().say(&facts::value(field, &spec)))
        })
        .collect();
    for (english, german) in [
        ("10 in at the nut, 16 in at the last fret", "10 Zoll am Sattel, 16 Zoll am letzten Bund"),
        (
            "individual saddles, 2 height screws each, floating, each saddle moves for intonation, \
             saddles do not move sideways",
            "Einzelreiter mit je 2 Höhenschrauben, schwebend, Oktavreinheit an jedem Reiter \
             einstellbar, Reiter nicht seitlich verstellbar",
        ),
        (
            "one-way truss rod, adjusted at the heel",
            "einfach wirkender Halsspannstab, Zugang am Halsfuß",
        ),
        (
            "35 in on the bass side, 33 in on the treble side",
            "35 Zoll auf der Bassseite, 33 Zoll auf der Diskantseite",
        ),
        (
            "low one, 0.130 in, round-wound, core 0.5 mm, 12.5 g/m, 150 N according to the packet",
            "low one, 0,130 Zoll, rund umsponnen, Kern 0,5 mm, 12,5 g/m, 150 N laut Packung",
        ),
        (
            "M5, clockwise reduces relief, key: 5 mm hex",
            "M5, im Uhrzeigersinn weniger Halskrümmung, Schlüssel: 5 mm hex",
        ),
        ("fret 17, within 2 frets", "17. Bund, auf 2 Bünde genau"),
        ("B0", "H0"),
    ] {
        assert!(said.contains(&(english.into(), german.into())), "{english}: {said:#?}");
    }
}

#[test]
fn a_sheet_names_everything_that_is_known() {
    let template = fallaway_record::templates().remove(0);
    let sheet = facts::sheet(&template.spec, &Voice::default());
    let tuning = sheet.iter().filter(|(name, _)| name.to_string() == "tuning").count();
    assert_eq!(tuning, 1);
    for (name, value) in sheet {
        assert_plain(&german().say(&name));
        assert_plain(&german().say(&value));
    }
}

#[test]
fn entries_of_every_kind_read_well() {
    let mut spec = InstrumentSpec::default();
    spec.set(SpecField::Tuning(StringPlace::course(4).unwrap(), "E1".parse().unwrap()));
    let place = StringPlace::course(4).unwrap();
    let amount = |text: &str| {
        fallaway_measure::parse_amount(text, None, fallaway_measure::Dimension::Length).unwrap()
    };
    let adjustment = |what, turns: Option<&str>, moved: Option<&str>, note: Option<&str>| {
        EntryBody::Adjustment(Adjustment {
            what,
            turns: turns.map(|turns| turns.parse().unwrap()),
            amount: moved.map(amount),
            note: note.map(str::to_owned),
        })
    };
    let action = Quantity::Gap { stopped: Fret::new(1).unwrap(), over: Fret::new(24).unwrap() };
    let read = Reading::Value(Amount::fraction(5, 64).unwrap());
    let mut pass = Pass::new(action, Some(Tool::RULE_64)).across(4, &[Some(read)]).unwrap();
    pass.phase = Some(Phase::AsFound);
    pass.tuned_minutes_ago = Some(1);
    for (body, english, german_text) in [
        (
            EntryBody::Pass(pass),
            "action at fret 24, fretted at 1, as found, rule 1/64 in, tuned 1 minute before: 4 (E) 5/64 in",
            "Saitenlage am 24. Bund, gegriffen am 1. Bund, wie vorgefunden, Stahllineal 1/64 Zoll, \
             1 Minute vorher gestimmt: 4 (E) 5/64 Zoll",
        ),
        (
            adjustment(
                AdjustedPart::SaddleHeight(place),
                Some("-1/8"),
                Some("-0.2 mm"),
                Some("stiff"),
            ),
            "saddle height, string 4 (E): 1/8 turn anticlockwise, 0.2 mm down, stiff",
            "Reiterhöhe, Saite 4 (E): 1/8 Umdrehung gegen den Uhrzeigersinn, 0,2 mm tiefer, stiff",
        ),
        // Which way is all that was noted, in the language of whoever wrote it.
        (
            adjustment(AdjustedPart::SaddleHeight(place), Some("-1/8"), None, Some("down")),
            "saddle height, string 4 (E): 1/8 turn anticlockwise, down",
            "Reiterhöhe, Saite 4 (E): 1/8 Umdrehung gegen den Uhrzeigersinn, tiefer",
        ),
        (
            adjustment(AdjustedPart::SaddlePosition(place), Some("-1/8"), None, Some("nach vorn")),
            "saddle position, string 4 (E): 1/8 turn anticlockwise, forward",
            "Reiterstellung, Saite 4 (E): 1/8 Umdrehung gegen den Uhrzeigersinn, nach vorn",
        ),
        (
            adjustment(AdjustedPart::NutSlot(place), None, Some("-5 thou"), None),
            "nut slot, string 4 (E): filed by 5 thou",
            "Sattelkerbe, Saite 4 (E): um 5 thou tiefer gefeilt",
        ),
        (
            EntryBody::Tuning(Tuning {
                strings: vec![place],
                changed: vec![(place, "D1".parse().unwrap())],
                note: None,
            }),
            "string 4 (E) tuned, from now on 4 to D1",
            "Saite 4 (E) gestimmt, von jetzt an 4 auf D1",
        ),
        (
            EntryBody::Climate(Climate {
                temperature: Some(Amount::decimal(215, 1, Unit::Celsius).unwrap()),
                humidity: Some(Amount::decimal(45, 0, Unit::Percent).unwrap()),
                where_kept: Some("workshop".into()),
                hours_there: Some(24),
            }),
            "climate: 21.5 °C, 45% relative humidity, workshop, there for 24 hours",
            "Klima: 21,5 °C, 45 % relative Luftfeuchte, workshop, seit 24 Stunden dort",
        ),
        (
            EntryBody::Buzz(Buzz {
                string: place,
                from: Fret::new(3).unwrap(),
                to: Fret::new(6).unwrap(),
                note: Some("hard\nplaying".into()),
            }),
            "buzz: string 4 (E), frets 3 to 6: hard ↵ playing",
            "Schnarren: Saite 4 (E), 3. bis 6. Bund: hard ↵ playing",
        ),
        (
            EntryBody::StringChange(StringChange::default()),
            "all strings changed",
            "alle Saiten gewechselt",
        ),
        (
            EntryBody::Unknown { kind: 77, raw: Vec::new() },
            "entry of a kind that a newer version knows (77)",
            "Eintrag einer Art, die eine neuere Version kennt (77)",
        ),
    ] {
        let said = entries::body(&body, &spec);
        assert_eq!(said.to_string(), english);
        assert_eq!(german().say(&said), german_text);
        assert_plain(&german().say(&entries::count(&body, 3)));
    }
}

#[test]
fn between_two_marks_a_rule_is_read_to_their_middle() {
    let voice = Voice::new(Language::ENGLISH);
    let shown = |mm: f64| voice.say(&names::computed(Computed::mm(mm).with(Tool::RULE_64)));
    // 2.20 mm is 5.54 of 64 parts of 25.4 mm, 2.06 mm is 5.19, 26.79 mm is 67.50.
    assert_eq!(shown(2.20), "5.5/64 in (2.20 mm)");
    assert_eq!(shown(2.06), "5/64 in (2.06 mm)");
    assert_eq!(shown(-0.20), "−0.5/64 in (−0.20 mm)");
    assert_eq!(shown(26.79), "1 3.5/64 in (26.79 mm)");
    assert_eq!(shown(0.05), "less than 1/64 in (0.05 mm)");
}

#[test]
fn a_limit_still_holds_as_it_is_shown() {
    let voice = Voice::new(Language::ENGLISH).inches(InInches::ALL);
    let shown = |number: Computed| voice.say(&names::computed(number));
    // 1.47 mm are 3.70 marks of 1/64 in, 58 thou: at 3 1/2 marks the string would touch.
    let lowest = Computed::mm(1.471).with(Tool::RULE_64);
    assert_eq!(shown(lowest), "3.5/64 in (58 thou)");
    assert_eq!(shown(lowest.at_least()), "4/64 in (58 thou)");
    assert_eq!(shown(lowest.at_most()), "3.5/64 in (57 thou)");
    // A whole mark is no more than itself.
    let mark = Computed::mm(4.0 * 25.4 / 64.0).with(Tool::RULE_64);
    assert_eq!(shown(mark.at_least()), "4/64 in (63 thou)");
    assert_eq!(shown(mark.at_most()), "4/64 in (62 thou)");
    assert_eq!(shown(Computed::newtons(2.16).at_most()), "2.1 N");
}

#[test]
fn each_kind_of_length_is_told_as_it_is_read() {
    // Feelers in millimetres, a rule in inches: 0.28 mm are 11 thou, 1.50 mm are 59.
    let voice = Voice::new(Language::ENGLISH).inches(InInches::default().and(LengthOf::Action));
    let shown = |mm: f64, of: LengthOf| voice.say(&names::computed(Computed::mm(mm).of(of)));
    assert_eq!(shown(0.28, LengthOf::Relief), "0.28 mm");
    assert_eq!(shown(1.50, LengthOf::Action), "59 thou");
    assert_eq!(shown(1.50, LengthOf::Other), "1.50 mm");
    // Who prefers a unit gets it, whatever the tools read.
    let thou = voice.in_units("as-read, relief thou".parse().unwrap());
    assert_eq!(thou.say(&names::computed(Computed::mm(0.28).of(LengthOf::Relief))), "11 thou");
}

#[test]
fn the_person_says_which_string_comes_first() {
    let spec = fallaway_record::templates().remove(0).spec;
    let places = spec.places();
    let (high, low) = (Voice::default(), Voice::default().low_first(true));
    // As the record lists them, or as somebody typed them.
    for typed in [places.clone(), places.iter().rev().copied().collect()] {
        let list = names::strings(&spec, &typed);
        assert_eq!(high.say(&list), "strings 1 (G), 2 (D), 3 (A), 4 (E)");
        assert_eq!(low.say(&list), "strings 4 (E), 3 (A), 2 (D), 1 (G)");
    }
    let string = |place: &StringPlace| names::string(&spec, *place);
    let mut sentences: Vec<Phrase> = places.iter().map(string).collect();
    sentences.insert(2, Phrase::written("the neck"));
    let said: Vec<String> =
        low.phrases_by_string(&sentences).into_iter().map(|one| low.say(one)).collect();
    // Nothing is moved past what is about no string.
    let expected = ["string 2 (D)", "string 1 (G)", "the neck", "string 4 (E)", "string 3 (A)"];
    assert_eq!(said, expected);
    let likeliest_first = List::semicolon(places.iter().rev().map(string)).ranked();
    let likeliest_first = Phrase::from(likeliest_first);
    assert_eq!(high.say(&likeliest_first), low.say(&likeliest_first));
}
