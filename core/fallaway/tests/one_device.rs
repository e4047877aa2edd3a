//! One device: what was read, what was done, what the card and the plan make of it.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::{action_pass, relief_pass, relief_target, workshop};
use fallaway::advice::plan::{StepKind, StepVerdict};
use fallaway::record::{AdjustedPart, Adjustment, Moment, Remark, Turns};
use fallaway::{Accept, CardStanding, Error, HistoryFilter, Occasion, WriteOptions};

fn rod(eighths: i16) -> Adjustment {
    Adjustment {
        what: AdjustedPart::Rod,
        turns: Some(Turns::eighths(eighths)),
        amount: None,
        note: None,
    }
}

#[test]
fn a_turned_rod_makes_what_was_read_before_it_out_of_date() {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-5", "stage bass").unwrap();
    bass.set_target(&"stage".parse().unwrap(), &relief_target(30), None).unwrap();
    bass.add_pass(relief_pass("12"), None).unwrap();
    bass.add_pass(action_pass("5 5 5 6 7", 5), None).unwrap();
    let card = bass.card(Some(&"stage".parse().unwrap())).unwrap();
    assert_eq!(card.lines.len(), 6);
    assert_eq!(card.lines[0].standing, CardStanding::Within);

    bass.add_adjustment(rod(1), None).unwrap();
    let card = bass.card(Some(&"stage".parse().unwrap())).unwrap();
    assert_eq!(card.lines[0].standing, CardStanding::MeasureAgain);
    assert!(card.lines.iter().all(|line| line.last.as_ref().is_some_and(|last| last.stale)));
    let plan = bass.plan(Some(&"stage".parse().unwrap())).unwrap();
    let relief = plan.plan.steps.iter().find(|step| step.kind == StepKind::Relief).unwrap();
    assert!(
        matches!(relief.verdict, StepVerdict::MeasureAgain { .. }),
        "{}",
        plan.text(&fallaway::text::Voice::default())
    );

    bass.add_pass(relief_pass("12"), None).unwrap();
    let card = bass.card(Some(&"stage".parse().unwrap())).unwrap();
    assert_eq!(card.lines[0].standing, CardStanding::Within);
    assert!(card.lines[1..].iter().all(|line| line.last.as_ref().is_some_and(|l| l.stale)));

    // Action has no target, and is out of date all the same.
    assert!(card.lines[1..].iter().all(|line| line.standing == CardStanding::MeasureAgain));

    // The same after the visit became a change, when everything is read anew.
    bass.end_visit(None, None).unwrap();
    bass.add_pass(relief_pass("13"), None).unwrap();
    assert_eq!(
        bass.card(None)
            .unwrap()
            .lines
            .iter()
            .filter(|line| { line.last.as_ref().is_some_and(|last| last.stale) })
            .count(),
        5
    );
}

#[test]
fn what_the_instrument_does_not_have_is_refused_and_nothing_is_kept() {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-4", "four strings").unwrap();
    let before = bass.history(&fallaway::HistoryFilter::default()).unwrap().len();
    let refused = bass.add_pass(action_pass("5 5 5 6 7", 5), WriteOptions::sure()).unwrap_err();
    assert!(
        matches!(&refused, Error::BadInput { field, .. } if field.to_string() == "string"),
        "{refused}"
    );
    // 60 thousandths of relief is no reading that anybody would leave: the person is asked.
    let asked = bass.add_pass(relief_pass("60"), None).unwrap_err();
    assert!(matches!(asked, Error::Unsure { .. }), "{asked}");
    assert_eq!(bass.history(&fallaway::HistoryFilter::default()).unwrap().len(), before);
    bass.add_pass(relief_pass("60"), WriteOptions::sure()).unwrap();
    assert!(matches!(workshop.instrument_named("five"), Err(Error::NotFound { .. })));
    assert!(matches!(workshop.add_instrument("bass-9", "x"), Err(Error::NotFound { .. })));
    assert!(matches!(workshop.add_instrument("bass-4", " "), Err(Error::BadInput { .. })));
    assert!(matches!(bass.card(Some(&"nowhere".parse().unwrap())), Err(Error::NotFound { .. })));
}

#[test]
fn a_setup_is_taken_from_the_numbers_of_a_visit() {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-5", "stage bass").unwrap();
    assert!(matches!(bass.take_setup("stage", None, None), Err(Error::NotFound { .. })));
    bass.add_pass(action_pass("6 6 6 7 8", 5), None).unwrap();
    bass.add_pass(relief_pass("12"), None).unwrap();
    let setup = bass.take_setup("Stage, loud", None, None).unwrap();
    assert_eq!((setup.id.as_str(), setup.name.as_str()), ("stage-loud", "Stage, loud"));
    let wanted: Vec<String> =
        setup.targets.iter().map(|one| one.target.wanted.to_string()).collect();
    assert!(wanted.contains(&"12 thou".to_owned()) && wanted.contains(&"8/64 in".to_owned()));
    let plan = bass.plan(None).unwrap();
    assert_eq!(plan.setup.as_ref().map(|setup| setup.name.as_str()), Some("Stage, loud"));
    assert!(
        plan.plan.steps.iter().all(|step| step.verdict.adjust().is_none()),
        "{}",
        plan.text(&fallaway::text::Voice::default())
    );
}

#[test]
fn a_time_that_the_record_cannot_hold_is_refused_and_writing_goes_on() {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-5", "stage bass").unwrap();
    bass.begin_visit(None, None).unwrap();
    bass.add_pass(relief_pass("12"), None).unwrap();
    bass.end_visit(None, None).unwrap();
    let before = bass.history(&HistoryFilter::default()).unwrap().len();
    // The first of January of the year 0, and the day after the last.
    for unix_s in [-62_167_183_200, 253_402_300_800 + 86_400] {
        let at = Some(Moment { unix_s, offset_min: 0 });
        let options = WriteOptions { at, accept: Accept::All, ..WriteOptions::default() };
        assert!(bass.add_pass(relief_pass("12"), options.clone()).is_err(), "{unix_s}");
        let remark = Remark { text: "played".to_owned(), ..Remark::default() };
        assert!(bass.add_remark(remark, options).is_err(), "{unix_s}");
    }
    assert_eq!(bass.history(&HistoryFilter::default()).unwrap().len(), before);
    bass.add_pass(relief_pass("13"), None).unwrap();
    assert!(!bass.bundle_out().unwrap().file.is_empty());
}

#[test]
fn what_changed_since_the_setup_is_told_and_what_is_not_known_is_said() {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-5", "stage bass").unwrap();
    bass.add_pass(action_pass("6 6 6 7 8", 5), None).unwrap();
    bass.add_pass(relief_pass("12"), None).unwrap();
    bass.take_setup("stage", None, None).unwrap();
    let changed =
        bass.what_changed(&Occasion::Setup("stage".parse().unwrap()), &Occasion::Today).unwrap();
    assert_eq!(changed.facts.moved().count(), 0, "{:#?}", changed.sentences);
    let visit = bass.current_visit().unwrap().unwrap().id;
    let same = bass.what_changed(&Occasion::AsFound(visit), &Occasion::AsLeft(visit)).unwrap();
    assert_eq!(same.facts.moved().count(), 0);
    let learned = bass.learned().unwrap();
    assert!(learned.sentences[0].to_string().starts_with("Truss rod: nothing learned yet"));
    // No air was noted, so there is no season to forecast by.
    assert!(matches!(bass.forecast(&[], None), Err(Error::BadInput { .. })));
}

#[test]
fn a_setup_is_renamed_deleted_and_brought_back_and_each_is_taken_back() {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-5", "stage bass").unwrap();
    let stage = bass.add_setup("stage", None).unwrap().id;
    assert!(matches!(bass.add_setup("stage", None), Err(Error::BadInput { .. })));
    bass.set_target(&stage, &relief_target(30), None).unwrap();
    bass.rename_setup(&stage, "club", None).unwrap();
    let club = bass.setup_named("club").unwrap();
    assert_eq!((club.id, club.is_default, club.targets.len()), (stage.clone(), true, 1));
    // The name is free again, and means another setup.
    let another = bass.add_setup("stage", None).unwrap();
    assert_eq!(another.id.as_str(), "stage-2");
    assert_eq!(bass.setup_named("stage").unwrap().id, another.id);
    assert!(matches!(bass.rename_setup(&stage, "stage", None), Err(Error::BadInput { .. })));

    bass.delete_setup(&stage, None).unwrap();
    let names = |setups: Vec<fallaway::Setup>| -> Vec<String> {
        setups.into_iter().map(|one| one.name).collect()
    };
    assert_eq!(names(bass.setups().unwrap()), ["stage"]);
    assert_eq!(names(bass.deleted_setups().unwrap()), ["club"]);
    assert!(matches!(bass.card(Some(&stage)), Err(Error::NotFound { .. })));
    assert!(matches!(bass.delete_setup(&stage, None), Err(Error::NotFound { .. })));
    bass.bring_back_setup(&stage, None).unwrap();
    assert_eq!(bass.setup_named("club").unwrap().targets.len(), 1);
    assert!(matches!(bass.bring_back_setup(&stage, None), Err(Error::NotFound { .. })));

    bass.end_visit(None, None).ok();
    workshop.pause().unwrap();
    bass.delete_setup(&stage, None).unwrap();
    let undone = bass.undo("slip", None).unwrap();
    assert_eq!(undone.lines[0].text.to_string(), "setup club: deleted");
    assert_eq!(names(bass.setups().unwrap()), ["club", "stage"]);
    bass.redo(None).unwrap();
    assert_eq!(names(bass.setups().unwrap()), ["stage"]);
    // Somebody who sets a target in it wants it.
    bass.set_target(&stage, &relief_target(25), None).unwrap();
    assert_eq!(names(bass.setups().unwrap()), ["club", "stage"]);
}

#[test]
fn an_instrument_is_renamed_and_put_away() {
    let workshop = workshop("tech", 1);
    let bass = workshop.add_instrument("bass-5", "stage bass").unwrap();
    workshop.add_instrument("bass-4", "walnut bass").unwrap();
    let taken = workshop.rename_instrument(bass.id(), "walnut bass", None);
    assert!(matches!(taken, Err(Error::BadInput { .. })));
    workshop.rename_instrument(bass.id(), " club bass ", None).unwrap();
    assert_eq!(bass.name().unwrap(), "club bass");

    workshop.archive_instrument(bass.id()).unwrap();
    let names = |list: Vec<fallaway::InstrumentSummary>| -> Vec<String> {
        list.into_iter().map(|one| one.name).collect()
    };
    assert_eq!(names(workshop.instruments().unwrap()), ["walnut bass"]);
    assert_eq!(names(workshop.archived_instruments().unwrap()), ["club bass"]);
    // It can be worked with all the same, and its name is not given away.
    workshop.instrument_named("club").unwrap().add_pass(relief_pass("12"), None).unwrap();
    assert!(matches!(workshop.add_instrument("bass-4", "club bass"), Err(Error::BadInput { .. })));
    workshop.bring_back_instrument(bass.id()).unwrap();
    assert_eq!(names(workshop.instruments().unwrap()), ["club bass", "walnut bass"]);

    workshop.archive_instrument(bass.id()).unwrap();
    workshop.remove_from_this_device(bass.id()).unwrap();
    assert_eq!(names(workshop.archived_instruments().unwrap()), [] as [&str; 0]);
}

#[test]
fn an_id_is_taken_by_the_digits_that_are_shown_and_by_no_fewer() {
    let workshop = workshop("tech", 1);
    let all: Vec<_> = (1..=16)
        .map(|number| workshop.add_instrument("bass-4", &format!("number {number}")).unwrap())
        .collect();
    for one in &all {
        let id = one.id().to_string();
        for digits in 1..8 {
            let found = workshop.instrument_named(&id[..digits]);
            assert!(matches!(found, Err(Error::NotFound { .. })), "{digits} digits of {id}");
        }
        assert_eq!(workshop.instrument_named(&id[..8]).unwrap().id(), one.id());
        assert_eq!(workshop.instrument_named(&id).unwrap().id(), one.id());
    }
}
