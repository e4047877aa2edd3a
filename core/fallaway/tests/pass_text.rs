//! Passes written as a line, pages of the history, the list of visits.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use common::{action, workshop};
use fallaway::measure::{Location, Quantity, Tool};
use fallaway::record::{Body, Pass, Remark};
use fallaway::{Error, Filter, PassText};

fn line(text: &str) -> PassText {
    PassText {
        quantity: action(),
        tool: Some(Tool::RULE_64),
        text: text.to_owned(),
        places: Vec::new(),
        low_first: false,
    }
}

fn shown(pass: &Pass) -> Vec<String> {
    pass.readings.iter().map(|read| format!("{} {}", read.location, read.reading)).collect()
}

#[test]
fn a_line_is_read_across_the_strings_of_the_instrument() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let read = |written: &PassText| bass.read_pass(written).map(|pass| shown(&pass));
    assert_eq!(read(&line("5 5 - 6")).unwrap(), ["1 5/64 in", "2 5/64 in", "4 6/64 in"]);

    let low_first = PassText { low_first: true, ..line("6 5 5 5") };
    assert_eq!(read(&low_first).unwrap()[0], "4 6/64 in");

    let relief = Quantity::Relief { from: fret(1), to: fret(24), at: None };
    let relief = PassText { quantity: relief, tool: Some(Tool::FEELER_THOU), ..line("12") };
    assert_eq!(read(&relief).unwrap(), ["whole 12 thou"]);

    let spacing = PassText { quantity: Quantity::SpacingBridge, tool: None, ..line("19 19 19 mm") };
    assert_eq!(read(&spacing).unwrap().len(), 3);

    // "=" is what was read there last.
    bass.add_pass(bass.read_pass(&line("5 5 5 6")).unwrap(), None, false).unwrap();
    assert_eq!(read(&line("= 4 = =")).unwrap()[3], "4 6/64 in");

    let refused = |written: &PassText| match read(written) {
        Err(Error::BadInput { field, .. }) => field,
        other => panic!("{other:?}"),
    };
    assert_eq!(refused(&line("5 5 5")), "readings");
    assert_eq!(refused(&line("5 5 6/0 6")), "reading 3");
    assert_eq!(refused(&line("- - - -")), "readings");
    assert_eq!(refused(&PassText { places: vec![Location::Whole], ..line("=") }), "reading 1");
}

fn fret(number: u8) -> fallaway::measure::Fret {
    fallaway::measure::Fret::new(number).unwrap()
}

#[test]
fn the_history_comes_in_pages_and_by_kind() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    bass.begin_visit(Some("too high")).unwrap();
    bass.add_pass(bass.read_pass(&line("5 5 5 6")).unwrap(), None, false).unwrap();
    for text in ["one", "two", "three"] {
        let remark = Remark { text: text.to_owned(), replaces: None, about: None };
        bass.add_remark(remark, None).unwrap();
    }
    bass.end_visit().unwrap();
    let remarks = Filter { kinds: vec![8], last: Some(2), ..Filter::default() };
    let text = |filter: &Filter| -> Vec<String> {
        let all = bass.history(filter).unwrap();
        all.iter()
            .map(|view| match &view.entry.body {
                Body::Remark(remark) => remark.text.clone(),
                other => other.name().to_owned(),
            })
            .collect()
    };
    assert_eq!(text(&remarks), ["two", "three"]);
    let first = bass.history(&remarks).unwrap()[0].entry.id;
    let page = Filter { before: Some(first), last: Some(2), ..Filter::default() };
    assert_eq!(text(&page), ["readings", "one"]);
    let nowhere = fallaway::record::EntryId::new(first.writer, 999);
    let page = Filter { before: Some(nowhere), ..Filter::default() };
    assert!(matches!(bass.history(&page), Err(Error::NotFound { .. })));

    bass.begin_visit(None).unwrap();
    let visits = bass.visits().unwrap();
    assert_eq!(visits.len(), 2);
    assert_eq!(visits[0].visit.purpose.as_deref(), Some("too high"));
    assert_eq!((visits[0].entries, visits[0].ended.is_some()), (4, true));
    assert_eq!((visits[1].entries, visits[1].ended), (0, None));
    assert_eq!(visits[0].device, "tech");
}
