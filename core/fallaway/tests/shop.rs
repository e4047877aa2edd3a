//! A shop: whose an instrument is, open work, numbers and sets of its own, copies, files out and in.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "tests")]

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use fallaway::environment::{Clock, SystemRandom};
use fallaway::measure::{Amount, Location, Quantity, StringPlace, Tool, Unit};
use fallaway::record::Moment;
use fallaway::record::spec::{StringConstruction, StringSpec};
use fallaway::text::Voice;
use fallaway::{
    Accept, Care, Customer, Error, FoundIn, HistoryFilter, ImportOptions, Instrument, Job, JobPart,
    Money, StringSet, TargetSource, Workshop, WorkshopOptions, WriteOptions, read_moment,
};

/// A clock that the test sets.
#[derive(Clone)]
struct Hand(Arc<AtomicI64>);

impl Hand {
    fn at(text: &str) -> Self {
        Self(Arc::new(AtomicI64::new(seconds(text))))
    }

    fn set(&self, text: &str) {
        self.0.store(seconds(text), Ordering::Relaxed);
    }
}

fn seconds(text: &str) -> i64 {
    moment(text).unix_s
}

fn moment(text: &str) -> Moment {
    read_moment(text, Moment { unix_s: 0, offset_min: 60 }).unwrap()
}

impl Clock for Hand {
    fn now(&self) -> Moment {
        Moment { unix_s: self.0.load(Ordering::Relaxed), offset_min: 60 }
    }
}

fn memory() -> (Workshop, Hand) {
    let hand = Hand::at("2026-02-02");
    let workshop = Workshop::in_memory("tech", Box::new(hand.clone()), Box::new(SystemRandom));
    (workshop.unwrap(), hand)
}

fn in_folder(folder: &Path) -> Workshop {
    let options = WorkshopOptions {
        clock: Box::new(Hand::at("2026-02-02")),
        ..WorkshopOptions::new(folder, "tech")
    };
    Workshop::open(options).unwrap()
}

fn sure() -> WriteOptions {
    WriteOptions { accept: Accept::All, ..WriteOptions::default() }
}

fn set_up(bass: &Instrument) {
    bass.add_pass_text(Quantity::gap(1, 24).unwrap(), "5 5 5 6", Tool::RULE_64).unwrap();
    bass.add_pass_text(Quantity::relief(1, 24).unwrap(), "12", Tool::FEELER_THOU).unwrap();
    bass.take_setup("stage", None, None).unwrap();
}

fn wanted(instrument: &Instrument, setup: &str) -> Vec<(Quantity, Location, Amount)> {
    let targets = instrument.setup_named(setup).unwrap().targets;
    targets
        .into_iter()
        .map(|view| (view.target.quantity, view.target.location, view.target.wanted))
        .collect()
}

#[test]
fn targets_of_a_four_string_serve_a_five_string_with_other_frets() {
    let (workshop, _) = memory();
    let four = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    set_up(&four);
    let five = workshop.add_sized_instrument("bass-5", "blue five", None, Some(21)).unwrap();
    let taken = five.targets_from("stage", TargetSource::Instrument(&four, None), None).unwrap();
    assert_eq!(taken.left_out, []);
    // The low B has no string of its note: it goes by the lowest.
    assert_eq!(taken.by_place, [StringPlace::course(5).unwrap()]);
    let targets = wanted(&five, "stage");
    assert!(targets.iter().any(|(quantity, ..)| *quantity == Quantity::relief(1, 21).unwrap()));
    let action = |course| {
        let place = Location::Course(StringPlace::course(course).unwrap());
        let wanted = targets.iter().find(|(quantity, location, _)| {
            *quantity == Quantity::gap(1, 21).unwrap() && *location == place
        });
        wanted.unwrap().2.to_string()
    };
    assert_eq!(
        [1, 2, 3, 4, 5].map(action),
        ["5/64 in", "5/64 in", "5/64 in", "6/64 in", "6/64 in"]
    );
    // One step: one undo.
    five.undo("a slip", None).unwrap();
    assert!(five.setups().unwrap().is_empty());

    // The same by numbers of the shop, kept from the four-string.
    four.keep_spec("roundwound, medium", None).unwrap();
    let spec = workshop.spec_named("ROUND").unwrap();
    five.targets_from("shop", TargetSource::Spec(&spec), None).unwrap();
    assert_eq!(wanted(&five, "shop"), targets);
    workshop.remove_spec("roundwound, medium").unwrap();
    assert!(matches!(workshop.spec_named("round"), Err(Error::NotFound { .. })));
}

#[test]
fn usual_targets_are_marked_as_such_and_fit_every_template() {
    let (workshop, _) = memory();
    for template in Workshop::templates() {
        let instrument = workshop.add_instrument(template.id, template.id).unwrap();
        let taken = instrument.targets_from("usual", TargetSource::Usual, None).unwrap();
        let targets = &taken.setup.targets;
        assert!(targets.len() > 4, "{}", template.id);
        assert!(targets.iter().all(|view| view.target.by.as_deref() == Some("usual")));
        // They are usual ones to those that ask about unusual ones, too.
        let asked: Vec<_> = targets.iter().map(|view| view.target.clone()).collect();
        instrument.set_targets("again", &asked, None).unwrap();
    }
}

#[test]
fn a_copy_has_facts_and_targets_and_no_history() {
    let (workshop, _) = memory();
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    set_up(&bass);
    let copy = workshop.copy_instrument(&bass, "walnut bass, second").unwrap();
    assert_eq!(wanted(&copy, "stage"), wanted(&bass, "stage"));
    assert!(copy.history(&HistoryFilter::default()).unwrap().is_empty());
    let (own, other) = (copy.details().unwrap().spec, bass.details().unwrap().spec);
    assert_eq!((&own.tuning, own.scale), (&other.tuning, other.scale));
    assert!(workshop.copy_instrument(&bass, "walnut bass").is_err());
}

#[test]
fn the_shop_knows_whose_it_is_what_waits_and_what_is_due() {
    let (workshop, hand) = memory();
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    let guitar = workshop.add_instrument("guitar-6", "red guitar").unwrap();
    let owner = Customer { name: "player".into(), contact: "rings after six".into() };
    bass.set_customer(Some(&owner)).unwrap();
    assert_eq!(bass.customer().unwrap(), Some(owner.clone()));
    assert!(bass.set_customer(Some(&Customer::default())).is_err());

    let now = moment("2026-02-02");
    let later = Job { due: Some(moment("2026-02-20")), ..Job::new("level the frets", now) };
    let later = bass.keep_job(&later).unwrap();
    let first = Job {
        waits_for: Some("nut blank".into()),
        due: Some(moment("2026-02-10")),
        ..Job::new("new nut", now)
    };
    guitar.keep_job(&first).unwrap();
    guitar.keep_job(&Job::new("clean the pots", now)).unwrap();
    let open = workshop.open_work().unwrap();
    let whats: Vec<&str> = open.iter().map(|one| one.job.what.as_str()).collect();
    assert_eq!(whats, ["new nut", "level the frets", "clean the pots"]);
    assert_eq!(open[1].customer, Some(owner));
    let listed = |workshop: &Workshop| {
        let all = workshop.instruments().unwrap();
        all.into_iter().map(|one| (one.open_work, one.due)).collect::<Vec<_>>()
    };
    let mut works: Vec<usize> = listed(&workshop).into_iter().map(|one| one.0).collect();
    works.sort_unstable();
    assert_eq!(works, [1, 2]);

    let price = |text| Money::read(text);
    let done = Job {
        done: Some(now),
        minutes: 95,
        parts: vec![JobPart { what: "fret wire".into(), price: price("14.50 EUR") }],
        price: price("120 EUR"),
        ..later
    };
    assert_eq!(done.total(), [price("134.50 EUR").unwrap()]);
    assert_eq!(bass.keep_job(&done).unwrap(), done);
    assert_eq!(workshop.open_work().unwrap().len(), 2);
    let none = bass.keep_job(&Job { number: 7, ..done.clone() });
    assert!(matches!(none, Err(Error::NotFound { .. })), "{none:?}");
    bass.remove_job(done.number).unwrap();
    // No number is given twice.
    assert_eq!(bass.keep_job(&Job::new("clean", now)).unwrap().number, done.number + 1);

    assert_eq!(workshop.due_again().unwrap(), []);
    set_up(&bass);
    bass.set_care(Some(&Care { after_months: Some(6), in_months: vec![] })).unwrap();
    assert!(bass.set_care(Some(&Care { after_months: None, in_months: vec![13] })).is_err());
    assert_eq!(workshop.due_again().unwrap(), []);
    hand.set("2026-08-05");
    let due = workshop.due_again().unwrap();
    assert_eq!((due.len(), due[0].instrument), (1, bass.id()));
    assert_eq!(
        listed(&workshop).into_iter().filter_map(|one| one.1).collect::<Vec<_>>(),
        [due[0].since]
    );

    // None of it is in the record, and it goes with the instrument.
    let record = String::from_utf8(bass.export().unwrap()).unwrap();
    assert!(!record.contains("rings after six") && !record.contains("clean"));
    workshop.remove_from_this_device(bass.id()).unwrap();
    assert_eq!(workshop.due_again().unwrap(), []);
}

#[test]
fn a_set_of_the_shop_fits_what_has_as_many_strings() {
    let (workshop, _) = memory();
    let string = |thou| StringSpec {
        gauge: Amount::decimal(thou, 3, Unit::Inch).ok(),
        construction: Some(StringConstruction::FlatWound),
        ..StringSpec::default()
    };
    let set =
        StringSet { name: "flats, medium".into(), strings: [45, 65, 85, 105].map(string).into() };
    workshop.keep_string_set(&set).unwrap();
    let set = workshop.string_set_named("flats").unwrap();
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    let change = bass.fitting(&set).unwrap().unwrap();
    bass.add_string_change(&change, sure()).unwrap();
    let spec = bass.details().unwrap().spec;
    assert!(spec.strings.values().all(|s| s.construction == Some(StringConstruction::FlatWound)));
    let five = workshop.add_instrument("bass-5", "blue five").unwrap();
    assert_eq!(five.fitting(&set).unwrap(), None);
    let wrong = StringSet { strings: vec![string(9_000)], ..set };
    assert!(matches!(workshop.keep_string_set(&wrong), Err(Error::BadInput { .. })));
}

#[test]
fn a_word_is_found_wherever_it_stands() {
    let (workshop, _) = memory();
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    bass.begin_visit(Some("rattles on the walnut floor"), None).unwrap();
    bass.set_customer(Some(&Customer { name: "Walnut street".into(), ..Customer::default() }))
        .unwrap();
    bass.keep_job(&Job { waits_for: Some("walnut shim".into()), ..Job::new("shim", bass.now()) })
        .unwrap();
    set_up(&bass);
    bass.keep_spec("walnut", None).unwrap();
    workshop.add_instrument("guitar-6", "red guitar").unwrap();
    let found = workshop.search(" WALNUT ", Voice::default()).unwrap();
    let found: Vec<FoundIn> = found.iter().map(|one| one.found_in).collect();
    let all = [FoundIn::Instrument, FoundIn::Customer, FoundIn::Job, FoundIn::Entry, FoundIn::Spec];
    assert_eq!(found, all);
    assert_eq!(workshop.search("  ", Voice::default()).unwrap(), []);
}

#[test]
fn an_exported_record_comes_back_as_it_was() {
    let (workshop, hand) = memory();
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    bass.begin_visit(Some("autumn"), None).unwrap();
    set_up(&bass);
    bass.add_remark(
        fallaway::record::Remark { text: "stiff rod".into(), ..Default::default() },
        None,
    )
    .unwrap();
    bass.end_visit(None, None).unwrap();
    let wrong =
        bass.add_pass_text(Quantity::relief(1, 24).unwrap(), "13", Tool::FEELER_THOU).unwrap();
    // Sealed: crossed out, not erased.
    hand.set("2026-02-03");
    bass.bundle_out().unwrap();
    bass.retract(wrong, "the wrong leaf", None).unwrap();

    let file = bass.export().unwrap();
    let again = workshop.import_record(&file, Some("walnut bass, again")).unwrap();
    let lines = |instrument: &Instrument| {
        let all = instrument.history(&HistoryFilter::default()).unwrap();
        let voice = Voice::default();
        all.iter()
            .map(|view| {
                let crossed = view.retracted.iter().map(|one| (one.at, one.reason.clone()));
                let visit = view.entry.visit.is_some();
                (voice.say(&view.text), view.entry.at, view.who.clone(), visit, crossed.collect())
            })
            .collect::<Vec<(_, _, _, _, Vec<_>)>>()
    };
    assert_eq!(lines(&again), lines(&bass));
    assert_eq!(wanted(&again, "stage"), wanted(&bass, "stage"));
    assert_eq!(again.visits().unwrap()[0].entries, bass.visits().unwrap()[0].entries);
    // The target still knows which reading it was taken from.
    let taken = again.setup_named("stage").unwrap().targets[0].target.taken_from.unwrap();
    assert!(again.entry(&taken.to_string()).is_ok());

    let refused = |file: &[u8]| {
        let refused = workshop.import_record(file, Some("other"));
        assert!(matches!(refused, Err(Error::BadInput { .. })));
        assert!(workshop.instrument_named("other").is_err());
    };
    for cut in [0, 1, file.len() / 2, file.len() - 1] {
        refused(&file[..cut]);
    }
    let text = String::from_utf8(file).unwrap();
    refused(text.replace("\"version\": 1", "\"version\": 2").as_bytes());
    refused(text.replace("\"bytes\": \"", "\"bytes\": \"AA").as_bytes());
    refused(b"[]");
}

#[test]
fn an_exported_table_comes_in_again() {
    let (workshop, hand) = memory();
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    bass.begin_visit(Some("autumn"), None).unwrap();
    set_up(&bass);
    let table = bass.export_table().unwrap();
    assert_eq!(
        table.lines().nth(1),
        Some("2026-02-02T12:00:00+01:00,autumn,tech,gap stopped at 1 over 24,1,5/64 in,rule 1/64,")
    );
    hand.set("2026-02-04");
    let other = workshop.add_instrument("bass-4", "other bass").unwrap();
    let report = other.import_table(&table, &ImportOptions::default()).unwrap();
    assert!(report.problems.is_empty());
    assert_eq!(other.export_table().unwrap(), table);
}

#[test]
fn a_backup_is_restored_in_an_empty_folder() {
    let (from, to) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let workshop = in_folder(from.path());
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    set_up(&bass);
    let owner = Customer { name: "player".into(), ..Customer::default() };
    bass.set_customer(Some(&owner)).unwrap();
    let file = to.path().join("backup");
    // The workshop is open, and the draft is not a change yet.
    Workshop::back_up(from.path(), &file).unwrap();
    bass.add_pass_text(Quantity::relief(1, 24).unwrap(), "14", Tool::FEELER_THOU).unwrap();

    let folder = to.path().join("new");
    Workshop::restore(&file, &folder).unwrap();
    let back = in_folder(&folder);
    let same = back.instrument_named("walnut").unwrap();
    assert_eq!(wanted(&same, "stage"), wanted(&bass, "stage"));
    assert_eq!(same.customer().unwrap(), Some(owner));
    let lines = |one: &Instrument| one.history(&HistoryFilter::default()).unwrap().len();
    assert_eq!(lines(&same) + 1, lines(&bass));

    assert!(matches!(Workshop::restore(&file, &folder), Err(Error::BadInput { .. })));
    let nothing = to.path().join("nothing");
    assert!(matches!(Workshop::back_up(&nothing, &file), Err(Error::BadInput { .. })));
    std::fs::write(&nothing, "no backup").unwrap();
    let refused = Workshop::restore(&nothing, &to.path().join("third"));
    assert!(matches!(refused, Err(Error::Storage { .. })), "{refused:?}");
}
