//! Every error that an app can meet can be met, and says what to do about it.

#![allow(clippy::result_large_err, clippy::unwrap_used, clippy::panic, clippy::indexing_slicing)]

mod common;

use std::fs;
use std::io::{Seek as _, SeekFrom, Write as _};
use std::sync::{Arc, Mutex};

use common::{action, options, read, share, target, workshop};
use fallaway_ffi::{
    AcceptedValues, AdjustedPart, Adjustment, Climate, ControlFlow, Entered, EntryId,
    FallawayError, ForeignError, HistoryFilter, InstrumentDetails, InstrumentId, KeptSecret,
    Location, Moment, NotFoundKind, NothingAccepted, NutKind, ProgressListener, Quantity, Role,
    SecretKeeper, SetupId, SpecField, StepId, StringPlace, Tool, VersionId, VisitId, WhyBadInput,
    WhyKeys, WhyNotAllowed, WhyReadOnly, WhyRefused, WhyStorage, Workshop, WriteOptions,
    look_at_invitation,
    notation::{parse_reading, tool_named},
};

#[test]
fn not_found_says_what_there_is() {
    let tech = workshop("tech");
    tech.add_instrument("bass-4", "walnut bass").unwrap();
    let Err(FallawayError::NotFound { what, name, accepted, choices }) =
        tech.instrument_named("maple")
    else {
        panic!();
    };
    assert_eq!((what, name.as_str()), (NotFoundKind::Instrument, "maple"));
    assert!(accepted.contains("walnut bass"));
    assert_eq!(choices, ["walnut bass"]);
    assert!(matches!(tech.add_instrument("bass-3", "x"), Err(FallawayError::NotFound { .. })));
}

#[test]
fn bad_input_names_the_field_and_the_limits() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let bad = |error: FallawayError| match error {
        FallawayError::BadInput { field, reason, accepted, .. } => (field, reason + &accepted),
        other => panic!("{other:?}"),
    };
    let text = |text: &str| {
        let rule = Some(Tool::Rule64);
        bass.add_pass_text(action(), text.to_owned(), rule, None, None)
    };
    let (field, said) = bad(text("5 5 5").unwrap_err());
    assert_eq!(field, "readings");
    assert!(said.contains('4'), "{said}");
    let (field, _) = bad(text("5 5/0 5 5").unwrap_err());
    assert_eq!(field, "reading 2");
    let low = Entered { text: "44 Hz".to_owned(), value: None, unit: None };
    let (field, said) = bad(bass.set_spec(SpecField::A4 { frequency: low }, None).unwrap_err());
    assert!(said.contains("380") && said.contains("500"), "{field}: {said}");
    let nowhere = SpecField::Trees { places: vec![StringPlace { course: 0, letter: None }] };
    let (field, said) = bad(bass.set_spec(nowhere, None).unwrap_err());
    assert_eq!(field, "string");
    assert!(said.contains("48"), "{said}");
    bad(bass.invite(Role::Viewer, 0).unwrap_err());
    bad(bass.invite(Role::Viewer, u32::MAX).unwrap_err());
    bad("no id".parse::<InstrumentId>().unwrap_err());
    bad("no id".parse::<EntryId>().unwrap_err());
    bad("no id".parse::<VisitId>().unwrap_err());
    bad(Workshop::in_memory("", None, None).err().unwrap());
}

#[test]
fn what_would_be_accepted_is_data() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let values = |error: FallawayError| match error {
        FallawayError::BadInput { values, .. } => values,
        other => panic!("{other:?}"),
    };
    let one_of = |choices: &[&str]| AcceptedValues::OneOf {
        choices: choices.iter().map(|one| (*one).to_owned()).collect(),
    };
    let like = |examples: &[&str]| AcceptedValues::Like {
        examples: examples.iter().map(|one| (*one).to_owned()).collect(),
    };
    let between =
        |least, most, unit: &str| AcceptedValues::Between { least, most, unit: unit.to_owned() };
    let air = |humidity: &str| {
        let humidity = Some(Entered { text: humidity.to_owned(), value: None, unit: None });
        let climate = Climate { temperature: None, humidity, hours_there: None, where_kept: None };
        values(bass.add_climate(climate, None).unwrap_err())
    };
    assert_eq!(air("45 mm"), one_of(&["%"]), "a unit");
    assert_eq!(air(""), like(&["45 %"]), "humidity");
    let turned = |turns| {
        let part = AdjustedPart::Rod;
        let rod = Adjustment { part, turns: Some(turns), moved: None, note: None };
        values(bass.add_adjustment(rod, None).unwrap_err())
    };
    assert_eq!(turned(500.0), between(-100.0, 100.0, "turns"));
    let typed = |text: &str, stopped_fret| {
        let quantity = Quantity::Gap { stopped_fret, over_fret: 24 };
        values(parse_reading(text.to_owned(), quantity, Some(Tool::Rule64)).unwrap_err())
    };
    assert_eq!(typed("5", 99), between(0.0, 36.0, ""), "a fret");
    assert_eq!(typed("5 furlongs", 1), one_of(&["mm", "in", "\"", "thou"]));
    assert!(matches!(typed("5/63", 1), AcceptedValues::OneOf { choices } if choices.len() > 3));
    let wire = bass.add_pass_text(action(), "5 5 90 6".into(), Some(Tool::CaliperMm), None, None);
    let AcceptedValues::Between { most, unit, .. } = values(wire.unwrap_err()) else { panic!() };
    assert!(unit == "mm" && most < 90.0, "what no instrument has: at most {most} {unit}");
    let (few, none) = ("5 5 5".to_owned(), "no tool".to_owned());
    let rule = Some(Tool::Rule64);
    let few = bass.add_pass_text(action(), few, rule, None, None);
    assert_eq!(values(few.unwrap_err()), between(4.0, 4.0, ""));
    let AcceptedValues::Like { examples } = values(tool_named(none).unwrap_err()) else { panic!() };
    assert_eq!(examples[0], "rule 1/64");
}

#[test]
fn what_would_be_accepted_of_times_ids_choices_and_numbers_is_data_too() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let values = |error: FallawayError| match error {
        FallawayError::BadInput { values, .. } => values,
        other => panic!("{other:?}"),
    };
    let at = |unix_s, offset_min| {
        let at = Some(Moment { unix_s, offset_min });
        let options = WriteOptions { at, ..WriteOptions::default() };
        values(bass.add_remark("x".to_owned(), None, None, Some(options)).unwrap_err())
    };
    // RFC 3339, 1 and appendix D: years of four digits; the offset in minutes.
    let years = |values| match values {
        AcceptedValues::Between { least, most, unit } => {
            assert_eq!(unit, "s");
            [least, most].map(|s| 1970.0 + s / 31_556_952.0).map(f64::round)
        }
        other => panic!("{other:?}"),
    };
    assert_eq!(years(at(i64::MAX, 0)), [1.0, 10_000.0]);
    let [first, last] = years(at(200_000_000_000, 0));
    assert!(first < 1901.0 && last > 1970.0 && last < 9999.0, "1900 to tomorrow");
    let offset = AcceptedValues::Between { least: -1080.0, most: 1080.0, unit: "min".to_owned() };
    assert_eq!(at(0, 5000), offset);

    let examples = |error| match values(error) {
        AcceptedValues::Like { examples } => examples,
        other => panic!("{other:?}"),
    };
    assert!(examples("?".parse::<InstrumentId>().unwrap_err())[0].parse::<InstrumentId>().is_ok());
    assert!(examples("?".parse::<EntryId>().unwrap_err())[0].parse::<EntryId>().is_ok());
    assert!(examples("?".parse::<VisitId>().unwrap_err())[0].parse::<VisitId>().is_ok());
    assert!(examples("?".parse::<StepId>().unwrap_err())[0].parse::<StepId>().is_ok());
    assert!(examples("?".parse::<VersionId>().unwrap_err())[0].parse::<VersionId>().is_ok());
    for setup in examples("?!".parse::<SetupId>().unwrap_err()) {
        assert!(setup.parse::<SetupId>().is_ok(), "{setup}");
    }

    let newer = |part, turns| {
        let adjustment = Adjustment { part, turns, moved: None, note: None };
        values(bass.add_adjustment(adjustment, None).unwrap_err())
    };
    let AcceptedValues::OneOf { choices } = newer(AdjustedPart::Newer { number: 99 }, None) else {
        panic!();
    };
    assert!(choices.contains(&"Rod".to_owned()) && !choices.contains(&"Newer".to_owned()));
    let nut = values(bass.set_spec(SpecField::Nut { kind: NutKind::Newer }, None).unwrap_err());
    assert!(matches!(nut, AcceptedValues::OneOf { choices } if choices[0] == "Slotted"));
    let wild = newer(AdjustedPart::Rod, Some(f64::NAN));
    assert!(
        matches!(wild, AcceptedValues::Between { least, most, .. } if least < 0.0 && most > 0.0)
    );

    let taken = AcceptedValues::NoneOf { taken: vec!["walnut bass".to_owned()] };
    assert_eq!(values(tech.add_instrument("bass-4", "walnut bass").err().unwrap()), taken);
    let entry = bass.add_remark("x".to_owned(), None, None, None).unwrap();
    let already = AcceptedValues::Nothing { why: NothingAccepted::Already };
    assert_eq!(values(bass.bring_back(entry, None).unwrap_err()), already);
}

#[test]
fn unsure_is_a_question_that_can_be_answered() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let enter = |accept| {
        let (text, rule) = ("25 5 5 6".to_owned(), Some(Tool::Rule64));
        let options = WriteOptions { accept, ..WriteOptions::default() };
        bass.add_pass_text(action(), text, rule, None, Some(options))
    };
    let Err(FallawayError::Unsure { doubts, .. }) = enter(vec![]) else { panic!() };
    let [doubt] = doubts.as_slice() else { panic!("{doubts:?}") };
    assert!(doubt.reason.contains("25/64"), "{doubt:?}");
    assert_eq!(
        doubt.location,
        Some(Location::OneString { place: StringPlace { course: 1, letter: None } })
    );
    assert!(enter(doubts).is_ok());
}

#[test]
fn a_text_from_outside_that_is_no_bundle_or_invitation_is_refused() {
    let tech = workshop("tech");
    let why = |error| match error {
        Err(FallawayError::Refused { why, .. }) => why,
        other => panic!("{other:?}"),
    };
    let bundle = tech.bundle_in(b"not a bundle", None).map(drop);
    assert_eq!(why(bundle), WhyRefused::NotABundle);
    let two_words = look_at_invitation("not invited", b"").map(drop);
    assert_eq!(why(two_words), WhyRefused::WordCount);
    assert_eq!(why(tech.accept("not invited", b"").map(drop)), WhyRefused::WordCount);
}

#[test]
fn a_viewer_may_not_write() {
    let (tech, player) = (workshop("tech"), workshop("player"));
    let bench = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let seen = share(&tech, &bench, &player, Role::Viewer);
    let InstrumentDetails { role, .. } = seen.details().unwrap();
    assert_eq!(role, Some(Role::Viewer));
    let refused = seen.set_target("stage".parse().unwrap(), target(4, "2 mm"), None);
    let Err(FallawayError::NotAllowed { why, .. }) = refused else { panic!("{refused:?}") };
    assert_eq!(why, WhyNotAllowed::Viewer);
    assert!(matches!(seen.invite(Role::Viewer, 1), Err(FallawayError::NotAllowed { .. })));
}

/// The version of its tables stands in bytes 60 to 63 of an SQLite file (SQLite, "Database File
/// Format", 1.3).
#[test]
fn a_store_of_a_newer_version_can_be_read_only() {
    let folder = tempfile::tempdir().unwrap();
    let open = || Workshop::open(options(folder.path(), "tech"), None, None, None, None).unwrap();
    let tech = open();
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    read(&bass, "5 5 5 6");
    tech.shut_down().unwrap();
    let database = fs::read_dir(folder.path()).unwrap().map(|file| file.unwrap().path());
    let sqlite = |path: &std::path::PathBuf| {
        fs::read(path).is_ok_and(|bytes| bytes.starts_with(b"SQLite format 3\0"))
    };
    let database = database.filter(sqlite).collect::<Vec<_>>();
    let mut file = fs::File::options().write(true).open(&database[0]).unwrap();
    file.seek(SeekFrom::Start(60)).unwrap();
    file.write_all(&9999_u32.to_be_bytes()).unwrap();
    drop(file);

    let later = open();
    let bass = later.instrument_named("walnut").unwrap();
    assert_eq!(bass.history(&HistoryFilter::default()).unwrap().len(), 2);
    let refused = bass.add_remark("hello".to_owned(), None, None, None);
    let Err(FallawayError::ReadOnly { why, .. }) = refused else { panic!("{refused:?}") };
    assert_eq!(why, WhyReadOnly::NewerStore);
    assert!(later.notices().unwrap().iter().any(|notice| notice.found == Some(9999)));
}

#[test]
fn a_folder_that_is_a_file_cannot_be_used() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("file");
    fs::write(&file, b"something else").unwrap();
    let refused = Workshop::open(options(&file, "tech"), None, None, None, None).err();
    let Some(FallawayError::Storage { why, .. }) = refused else { panic!("{refused:?}") };
    assert_ne!(why, WhyStorage::Newer);
}

#[test]
fn a_store_that_may_not_grow_says_that_it_is_full_and_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let small =
        fallaway_ffi::WorkshopOptions { max_pages: Some(48), ..options(folder.path(), "tech") };
    let tech = Workshop::open(small, None, None, None, None).unwrap();
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let mut written = 0;
    let refused = loop {
        match bass.add_remark("x".repeat(1900), None, None, None) {
            Ok(_) => written += 1,
            Err(error) => break error,
        }
    };
    assert!(matches!(refused, FallawayError::Full { .. }), "{refused:?}");
    assert!(written > 0);
    assert_eq!(common::texts(&bass).len(), written);
}

/// A keystore that does what it is told to.
struct Scripted(Mutex<Result<KeptSecret, ForeignError>>);

impl SecretKeeper for Scripted {
    fn get(&self, _: String) -> Result<KeptSecret, ForeignError> {
        self.0.lock().unwrap().clone()
    }

    fn put(&self, _: String, _: Vec<u8>) -> Result<(), ForeignError> {
        Err(ForeignError::Failed { reason: "the keystore is read only".to_owned() })
    }
}

#[test]
fn a_keeper_that_throws_is_locked_or_refuses_is_an_error_of_the_call() {
    let folder = tempfile::tempdir().unwrap();
    let open = |answer| {
        let keeper: Arc<dyn SecretKeeper> = Arc::new(Scripted(Mutex::new(answer)));
        match Workshop::open(options(folder.path(), "tech"), Some(keeper), None, None, None) {
            Err(FallawayError::Keys { reason, why }) => (why, reason),
            other => panic!("{:?}", other.err()),
        }
    };
    // What any other foreign exception arrives as.
    let thrown = uniffi::UnexpectedUniFFICallbackError::new("out of luck");
    for (answer, why, said) in [
        (Err(thrown.into()), WhyKeys::Keeper, "out of luck"),
        (Ok(KeptSecret::Locked), WhyKeys::Locked, "locked"),
        (Ok(KeptSecret::Lost { reason: "wiped".to_owned() }), WhyKeys::Lost, "wiped"),
        (Ok(KeptSecret::Absent), WhyKeys::Keeper, "read only"),
        (Ok(KeptSecret::Found { secret: vec![1, 2] }), WhyKeys::Keeper, "2 bytes"),
    ] {
        let (found, reason) = open(answer);
        assert_eq!(found, why);
        assert!(reason.contains(said), "{reason}");
    }
}

/// Calls the workshop from inside a call, and then stops that one.
struct Meddling {
    workshop: Arc<Workshop>,
    met: Mutex<Vec<FallawayError>>,
    answer: Result<ControlFlow, ForeignError>,
}

impl ProgressListener for Meddling {
    fn at(&self, done: u64, total: u64) -> Result<ControlFlow, ForeignError> {
        assert!(done <= total && total > 0);
        self.met.lock().unwrap().extend(self.workshop.instruments().err());
        self.answer.clone()
    }
}

#[test]
fn a_long_call_can_be_stopped_and_is_busy_for_calls_from_inside() {
    let folder = tempfile::tempdir().unwrap();
    let tech = Workshop::open(options(folder.path(), "tech"), None, None, None, None);
    let tech = Arc::new(tech.unwrap());
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    read(&bass, "5 5 5 6");
    let thrown = ForeignError::Failed { reason: "thrown".to_owned() };
    for (answer, stopped) in
        [(Ok(ControlFlow::Continue), false), (Ok(ControlFlow::Break), true), (Err(thrown), true)]
    {
        let progress =
            Arc::new(Meddling { workshop: Arc::clone(&tech), met: Mutex::default(), answer });
        let out = bass.bundle_out(Some(progress.clone()));
        assert_eq!(out.is_err(), stopped);
        if stopped {
            assert_eq!(out, Err(FallawayError::Cancelled));
        }
        let met = progress.met.lock().unwrap();
        assert!(!met.is_empty());
        assert!(met.iter().all(|error| matches!(error, FallawayError::Busy { .. })), "{met:?}");
    }
}

#[test]
fn a_defect_carries_its_report_id() {
    let defect = fallaway::Error::Internal {
        report_id: "12ab34cd".to_owned(),
        reason: "somewhere".to_owned(),
    };
    let FallawayError::Internal { report_id, reason } = FallawayError::from(defect) else {
        panic!();
    };
    assert_eq!((report_id.as_str(), reason.as_str()), ("12ab34cd", "somewhere"));
}

/// What was once said with the given text alone.
#[test]
fn who_gives_a_wrong_role_digits_or_address_is_told_why_as_data() {
    let tech = workshop("tech");
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let why = |error: FallawayError| match error {
        FallawayError::BadInput { why, reason, .. } => (why, reason),
        other => panic!("{other:?}"),
    };
    let unreadable = |error: FallawayError, said: &str| {
        assert_eq!(why(error), (WhyBadInput::Unreadable, said.to_owned()));
    };
    unreadable(bass.invite(Role::Owner, 7).unwrap_err(), "nobody joins as owner");
    let url = "ftp://relay.example";
    let no = format!("“{url}” cannot be the address of a relay");
    unreadable(bass.set_relay(Some(url.to_owned())).unwrap_err(), &no);
}
