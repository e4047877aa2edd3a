//! Pages to hand over, as whoever gets them reads them.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use common::{Seeded, action, relief, relief_pass, relief_target, workshop};
use fallaway::environment::Clock;
use fallaway::measure::{Amount, Fret, Location, Quantity, StringPlace, Tool, Unit, parse_pass};
use fallaway::record::{
    AdjustedPart, Adjustment, Buzz, FretFinding, FretState, Moment, Pass, Remark, Target, Turns,
};
use fallaway::sheet::{SheetBlock, SheetPage, sheet_text};
use fallaway::{HistoryFilter, Instrument, Role, Workshop, WriteOptions};
use fallaway_text::{Language, LengthUnit, Units, Voice};

const DAY_S: i64 = 86_400;

/// A clock that is wound by hand.
#[derive(Clone)]
struct Wound(Arc<AtomicI64>);

impl Clock for Wound {
    fn now(&self) -> Moment {
        Moment { unix_s: self.0.fetch_add(60, Ordering::Relaxed), offset_min: 0 }
    }
}

fn wound(seed: u64) -> (Workshop, impl Fn(i64)) {
    let time = Arc::new(AtomicI64::new(1_780_000_000));
    let clock = Wound(Arc::clone(&time));
    let shop = Workshop::in_memory("tech", Box::new(clock), Box::new(Seeded::new(seed))).unwrap();
    (shop, move |days| {
        time.fetch_add(days * DAY_S, Ordering::Relaxed);
    })
}

fn read_relief(bass: &Instrument, text: &str) {
    bass.add_pass(relief_pass(text), WriteOptions::sure()).unwrap();
}

fn read_action(bass: &Instrument, text: &str, strings: usize) {
    let tool = "dial 0.01 mm".parse::<Tool>().unwrap();
    let read = parse_pass(text, Some(&tool), action().dimension(), strings, None).unwrap();
    let pass = Pass::new(action(), Some(tool)).across(1, &read).unwrap();
    bass.add_pass(pass, WriteOptions::sure()).unwrap();
}

fn place(course: u8, member: Option<char>) -> StringPlace {
    StringPlace::new(course, member).unwrap()
}

#[test]
fn a_visit_is_judged_by_what_was_wanted_then() {
    let (shop, pass_days) = wound(1);
    let bass = shop.add_instrument("bass-4", "walnut bass").unwrap();
    bass.set_targets("stage", &[relief_target(30)], WriteOptions::sure()).unwrap();
    let first = bass.begin_visit(Some("set-up"), None).unwrap();
    read_relief(&bass, "12 thou");
    bass.end_visit(None, None).unwrap();
    shop.pause().unwrap();

    // Half a year on somebody wants more relief, strings are new, and there is another visit.
    pass_days(180);
    bass.set_targets("stage", &[relief_target(60)], WriteOptions::sure()).unwrap();
    bass.add_string_change(&fallaway::record::StringChange::default(), WriteOptions::sure())
        .unwrap();
    shop.pause().unwrap();
    let second = bass.begin_visit(Some("again"), None).unwrap();
    read_relief(&bass, "24 thou");
    bass.end_visit(None, None).unwrap();
    shop.pause().unwrap();

    let text =
        |visit| sheet_text(&bass.customer_sheet(Some(visit), None, &Voice::default()).unwrap());
    let (then, now) = (text(first), text(second));
    assert!(then.contains("wanted 0.30 mm ± 0.05 mm"), "{then}");
    assert!(then.contains("The one number that has a target is left within"), "{then}");
    assert!(!then.contains("Strings put on"), "strings of half a year later: {then}");
    assert!(now.contains("wanted 0.60 mm ± 0.05 mm") && now.contains("Strings put on"), "{now}");

    // What is corrected the same day is what was wanted.
    bass.set_targets("stage", &[relief_target(55)], WriteOptions::sure()).unwrap();
    assert!(text(second).contains("wanted 0.55 mm"), "{}", text(second));
    assert!(text(first).contains("wanted 0.30 mm"));
    // Later it judges what comes.
    shop.pause().unwrap();
    pass_days(30);
    bass.set_targets("stage", &[relief_target(40)], WriteOptions::sure()).unwrap();
    assert!(text(second).contains("wanted 0.55 mm"), "{}", text(second));
    // A setup that there was none of then wants nothing of it.
    let club = bass.set_targets("club", &[relief_target(20)], WriteOptions::sure()).unwrap();
    let page = bass.customer_sheet(Some(second), Some(&club.id), &Voice::default()).unwrap();
    assert!(!sheet_text(&page).contains("wanted"), "{}", sheet_text(&page));
}

#[test]
fn what_stands_high_and_what_buzzes_is_to_be_watched() {
    let shop = workshop("tech", 2);
    let bass = shop.add_instrument("bass-4", "walnut bass").unwrap();
    bass.begin_visit(None, None).unwrap();
    read_relief(&bass, "12 thou");
    let found = |fret, state| Remark {
        fret: Some(FretFinding {
            fret: Fret::new(fret).unwrap(),
            state,
            strings: Vec::new(),
            by: None,
        }),
        ..Remark::default()
    };
    bass.add_remark(found(14, FretState::High), WriteOptions::sure()).unwrap();
    bass.add_remark(found(3, FretState::Level), WriteOptions::sure()).unwrap();
    let buzz = |fret| Buzz {
        string: place(4, None),
        from: Fret::new(fret).unwrap(),
        to: Fret::new(fret).unwrap(),
        note: None,
    };
    let watch = |language: &str| {
        let voice = Voice::new(Language::named(language).unwrap());
        let page = bass.customer_sheet(None, None, &voice).unwrap();
        let heading = if language == "de" { "Worauf zu achten ist" } else { "What to watch" };
        let at = page.blocks.iter().position(|one| *one == SheetBlock::Heading(heading.to_owned()));
        match &page.blocks[at.unwrap() + 1] {
            SheetBlock::Points(points) => points.join("\n"),
            other => unreachable!("{other:?}"),
        }
    };
    bass.add_buzz(buzz(9), WriteOptions::sure()).unwrap();
    let said = watch("en");
    assert!(said.contains("Fret 14: stands high") && said.contains("fret 9"), "{said}");
    assert!(!said.contains("Fret 3"), "a level fret is as it should be: {said}");
    assert!(watch("de").contains("14. Bund") || watch("de").contains("Bund 14"), "{}", watch("de"));
    // What was done since may have ended the one buzz; another was heard after it.
    let rod = Adjustment {
        what: AdjustedPart::Rod,
        turns: Some(Turns::eighths(-1)),
        amount: None,
        note: None,
    };
    bass.add_adjustment(rod, WriteOptions::sure()).unwrap();
    bass.add_buzz(buzz(17), WriteOptions::sure()).unwrap();
    let said = watch("en");
    assert!(said.contains("fret 17") && !said.contains("fret 9"), "{said}");
    let page = sheet_text(&bass.customer_sheet(None, None, &Voice::default()).unwrap());
    assert_eq!(page.matches("fret 17").count(), 1, "said once: {page}");
    assert!(page.contains("fret 9"), "it is still noted: {page}");
}

#[test]
fn a_page_is_in_the_units_of_who_reads_it() {
    let shop = workshop("tech", 3);
    let bass = shop.add_instrument("bass-4", "walnut bass").unwrap();
    bass.begin_visit(None, None).unwrap();
    let tool = "feeler 0.01 mm".parse::<Tool>().unwrap();
    let read = parse_pass("0.31 mm", Some(&tool), relief().dimension(), 1, None).unwrap();
    let mut pass = Pass::new(relief(), Some(tool));
    pass.readings.extend(
        read.into_iter()
            .flatten()
            .map(|reading| fallaway::record::PassReading { location: Location::Whole, reading }),
    );
    bass.add_pass(pass, WriteOptions::sure()).unwrap();
    read_action(&bass, "1.98 1.98 1.98 2.37", 4);
    bass.set_targets("stage", &[relief_target(30)], WriteOptions::sure()).unwrap();
    let text = |unit: LengthUnit| {
        let voice = Voice::default().in_units(Units::all(unit));
        let (page, lid) = (
            bass.customer_sheet(None, None, &voice).unwrap(),
            bass.bench_sheet(None, &voice).unwrap(),
        );
        format!("{}{}", sheet_text(&page), sheet_text(&lid))
    };
    // 25.4 mm to the inch: 0.31 mm are 12.2 thou, 1.98 mm 0.078 in and 4.99/64 in, 0.05 mm 2.0 thou.
    let thou = text(LengthUnit::Thou);
    assert!(
        thou.contains("12 thou") && thou.contains("78 thou") && !thou.contains(" mm"),
        "{thou}"
    );
    // What is longer than an inch is told in inches: nobody reads a scale in thou.
    assert!(thou.contains("34.000 in"), "{thou}");
    let inches = text(LengthUnit::Inches);
    assert!(inches.contains("0.078 in") && !inches.contains(" mm"), "{inches}");
    let fractions = text(LengthUnit::InchFractions { denominator: Some(64) });
    assert!(fractions.contains("5/64 in") && !fractions.contains(" mm"), "{fractions}");
    // No mark of a rule is near a tolerance of 2 thou: it is said in thou, not as nothing.
    assert!(fractions.contains("± 2 thou"), "{fractions}");
    let as_read = text(LengthUnit::AsRead);
    assert!(as_read.contains("0.31 mm") && as_read.contains("1.98 mm"), "{as_read}");
}

fn numbers(page: &SheetPage) -> Vec<(String, String, String)> {
    let all = page.blocks.iter().filter_map(|block| match block {
        SheetBlock::Numbers(all) => {
            Some(all.iter().map(|one| (one.number.clone(), one.label.clone(), one.beside.clone())))
        }
        _ => None,
    });
    all.flatten().collect()
}

#[test]
fn the_two_strings_of_a_course_are_one_number_of_the_lid() {
    let shop = workshop("tech", 4);
    let guitar = shop.add_instrument("acoustic-12", "cedar twelve").unwrap();
    let over = Quantity::gap(1, 12).unwrap();
    let nut = Quantity::gap(3, 1).unwrap();
    let mut targets =
        vec![Target { quantity: Quantity::relief(1, 20).unwrap(), ..relief_target(20) }];
    for course in 1..=6 {
        for member in ['a', 'b'] {
            for (quantity, hundredths) in [(over, 180), (nut, 20)] {
                targets.push(Target {
                    quantity,
                    location: Location::Course(place(course, Some(member))),
                    wanted: Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap(),
                    ..relief_target(0)
                });
            }
        }
    }
    guitar.set_targets("home", &targets, WriteOptions::sure()).unwrap();
    let page = guitar.bench_sheet(None, &Voice::default()).unwrap();
    // Relief, and six courses of two kinds: not 25.
    assert_eq!(numbers(&page).len(), 13, "{:?}", numbers(&page));
    // Strings of one course that are wanted apart stay apart.
    let apart = Target {
        quantity: over,
        location: Location::Course(place(2, Some('b'))),
        wanted: Amount::decimal(200, 2, Unit::Millimetre).unwrap(),
        ..relief_target(0)
    };
    guitar.set_targets("home", &[apart], WriteOptions::sure()).unwrap();
    assert_eq!(numbers(&guitar.bench_sheet(None, &Voice::default()).unwrap()).len(), 14);
}

#[test]
fn a_page_invites_whom_it_is_asked_to_and_nobody_else() {
    let shop = workshop("tech", 5);
    let bass = shop.add_instrument("bass-4", "walnut bass").unwrap();
    let voice = Voice::default();
    let plain = bass.customer_sheet(None, None, &voice).unwrap();
    assert!(!sheet_text(&plain).contains("FALLAWAY:"), "off unless it is asked for");
    let invitation = bass.invite(Role::Viewer, 7).unwrap();
    let page = plain.inviting(&invitation.for_sheet(Role::Viewer), &voice).unwrap();
    let text = sheet_text(&page);
    assert!(text.contains(&invitation.code) && text.contains(&invitation.words), "{text}");
    assert!(text.contains("to read it; once, until"), "{text}");
    assert!(text.contains("Whoever sees this page"), "{text}");
    // Either of what is printed opens what the file brings.
    for given in [&invitation.code, &invitation.words] {
        let card = Workshop::look_at_invitation(given, &invitation.welcome).unwrap();
        assert_eq!((card.role, card.name.as_str()), (Role::Viewer, "walnut bass"));
    }
    assert_eq!(bass.history(&HistoryFilter::default()).unwrap().len(), 0, "nothing is noted of it");
}
