//! Passes written as a line, pages of the history, the list of visits.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use common::{action, relief, workshop};
use fallaway::measure::{Location, Quantity, Tool};
use fallaway::record::{
    AdjustedPart, Adjustment, EntryBody, EntryKind, Pass, Phase, Remark, Turns,
};
use fallaway::{
    Doubt, DoubtAbout, Error, HistoryFilter, PassOptions, Preferences, UsualTools, WriteOptions,
};

fn shown(pass: &Pass) -> Vec<String> {
    pass.readings.iter().map(|read| format!("{} {}", read.location, read.reading)).collect()
}

#[test]
fn a_line_is_read_across_the_strings_of_the_instrument() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let usual = PassOptions::default();
    let read = |text: &str| bass.read_pass_text(action(), text, Tool::RULE_64, &usual);
    let across = |text: &str| read(text).map(|pass| shown(&pass)).unwrap();
    assert_eq!(across("5 5 - 6"), ["1 5/64 in", "2 5/64 in", "4 6/64 in"]);

    let low_first = PassOptions { low_first: Some(true), ..usual.clone() };
    let pass = bass.read_pass_text(action(), "6 5 5 5", Tool::RULE_64, &low_first).unwrap();
    assert_eq!(shown(&pass)[0], "4 6/64 in");

    let pass = bass.read_pass_text(relief(), "12", Tool::FEELER_THOU, &usual).unwrap();
    assert_eq!(shown(&pass), ["whole 12 thou"]);
    let spacing = Quantity::SpacingBridge;
    assert_eq!(
        bass.read_pass_text(spacing, "19 19 19 mm", None, &usual).unwrap().readings.len(),
        3
    );

    // Two values of a pickup are its two sides.
    let pickup = Quantity::pickup_gap(1, 24).unwrap();
    let pass = bass.read_pass_text(pickup, "2.0 2.5 mm", None, &usual).unwrap();
    assert_eq!(shown(&pass), ["treble side 2.0 mm", "bass side 2.5 mm"]);

    // So are two of a bridge on its posts; its rear edge has one.
    let posts = bass.read_pass_text(Quantity::BridgeHeight, "3.0 3.1 mm", None, &usual).unwrap();
    assert_eq!(shown(&posts), ["treble side 3.0 mm", "bass side 3.1 mm"]);
    let tail = bass.read_pass_text(Quantity::BridgeTail, "3.2 mm", None, &usual).unwrap();
    assert_eq!(tail.readings[0].location, Location::Whole);

    // "=" is what was read there last, in the draft too, and not what was crossed out.
    bass.add_pass_text(action(), "5 5 5 6", Tool::RULE_64).unwrap();
    // What stands is not read once more by saying so.
    assert_eq!(across("= 4 = ="), ["2 4/64 in"]);
    assert!(matches!(read("= = = ="), Err(Error::BadInput { .. })));
    let slip = bass.add_pass_text(action(), "7 7 7 7", Tool::RULE_64).unwrap();
    bass.retract(slip, "a slip", None).unwrap();
    assert_eq!(across("= 4 = ="), ["2 4/64 in"]);
    let eighth = Adjustment {
        what: AdjustedPart::Rod,
        turns: Some(Turns::eighths(1)),
        amount: None,
        note: None,
    };
    bass.add_adjustment(eighth, None).unwrap();
    assert_eq!(across("= 4 = =")[3], "4 6/64 in");

    let refused = |read: Result<Pass, Error>| match read {
        Err(Error::BadInput { field, .. }) => field.to_string(),
        other => panic!("{other:?}"),
    };
    assert_eq!(refused(read("5 5 5")), "readings");
    assert_eq!(refused(read("5 5 6/0 6")), "reading 3");
    assert_eq!(refused(read("- - - -")), "readings");
    let whole = PassOptions { places: vec![Location::Whole], ..usual.clone() };
    assert_eq!(refused(bass.read_pass_text(action(), "=", None, &whole)), "reading 1");
}

#[test]
fn the_tool_in_hand_is_not_taken_for_readings_in_other_units() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let tools = UsualTools { action: Some(Tool::RULE_64), ..UsualTools::default() };
    tech.set_preferences(&Preferences { tools, ..Preferences::default() }).unwrap();
    let usual = PassOptions::default();
    let tool = |text: &str| bass.read_pass_text(action(), text, None, &usual).unwrap().tool;
    assert_eq!(tool("5 5 5 6"), Some(Tool::RULE_64));
    assert_eq!(tool("5/64 5/64 5/64 6/64"), Some(Tool::RULE_64));
    assert_eq!(tool("2 2 2 2.4 mm"), None);
    // Decimals of an inch are no marks of a fraction; the unit at the end serves all.
    assert_eq!(tool(".07 .07 .08 .08 in"), None);
    let inches = bass.read_pass_text(action(), ".07 .07 .08 .08 in", None, &usual).unwrap();
    assert_eq!(shown(&inches)[0], "1 0.07 in");
}

#[test]
fn who_when_and_how_are_written_down_and_an_odd_reading_is_asked_about() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let at = fallaway::record::Moment { unix_s: 1_779_000_000, offset_min: 60 };
    let taken = PassOptions { phase: Some(Phase::AsFound), ..PassOptions::default() };
    let options = WriteOptions::default().by("player").at(at);
    let odd = |options: &WriteOptions| {
        bass.add_pass_text_with(relief(), "60", Tool::FEELER_THOU, &taken, options)
    };
    let Err(Error::Unsure { doubts, .. }) = odd(&options) else { panic!() };
    assert_eq!(doubts[0].given.to_string(), "60 thou");
    // Another doubt than the one that was answered is asked about again.
    let DoubtAbout::Reading { location, reading, .. } = doubts[0].about else { panic!() };
    let about = DoubtAbout::Reading { quantity: action(), location, reading };
    let other = Doubt { about, ..doubts[0].clone() };
    let other = options.clone().accepting(&[other]);
    assert!(matches!(odd(&other), Err(Error::Unsure { .. })));
    let options = options.accepting(&doubts);
    let entry = bass.entry(&odd(&options).unwrap().to_string()).unwrap().entry;
    assert_eq!((entry.by.as_deref(), entry.at), (Some("player"), at));
    let EntryBody::Pass(pass) = entry.body else { panic!("{entry:?}") };
    assert_eq!(pass.phase, Some(Phase::AsFound));
}

#[test]
fn the_history_comes_in_pages_and_by_kind() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    bass.begin_visit(Some("too high"), None).unwrap();
    bass.add_pass_text(action(), "5 5 5 6", Tool::RULE_64).unwrap();
    for text in ["one", "two", "three"] {
        let remark = Remark { text: text.to_owned(), ..Remark::default() };
        bass.add_remark(remark, None).unwrap();
    }
    bass.end_visit(None, None).unwrap();
    let remarks = HistoryFilter {
        kinds: vec![EntryKind::Remarked],
        last: Some(2),
        ..HistoryFilter::default()
    };
    let text = |filter: &HistoryFilter| -> Vec<String> {
        let all = bass.history(filter).unwrap();
        all.iter()
            .map(|view| match &view.entry.body {
                EntryBody::Remark(remark) => remark.text.clone(),
                other => other.kind().to_string(),
            })
            .collect()
    };
    assert_eq!(text(&remarks), ["two", "three"]);
    let first = bass.history(&remarks).unwrap()[0].entry.id;
    let page = HistoryFilter { before: Some(first), last: Some(2), ..HistoryFilter::default() };
    assert_eq!(text(&page), ["readings", "one"]);
    let nowhere = fallaway::record::EntryId::new(first.writer, 999);
    let page = HistoryFilter { before: Some(nowhere), ..HistoryFilter::default() };
    assert!(matches!(bass.history(&page), Err(Error::NotFound { .. })));

    bass.begin_visit(None, None).unwrap();
    let visits = bass.visits().unwrap();
    assert_eq!(visits.len(), 2);
    assert_eq!(visits[0].visit.purpose.as_deref(), Some("too high"));
    assert_eq!((visits[0].entries, visits[0].ended.is_some()), (4, true));
    assert_eq!((visits[1].entries, visits[1].ended), (0, None));
    assert_eq!(visits[0].device, "tech");
}
