//! A step of the plan knows what settles it: done, done otherwise, could not be done.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use common::{action, action_pass, relief, relief_pass, relief_target, workshop};
use fallaway::advice::plan::{PlanStep, SettledBy, StepKind, StepRemark, StepVerdict};
use fallaway::advice::turns::TurnDirection;
use fallaway::measure::{Amount, Location, StringPlace, Tool, Unit};
use fallaway::record::{
    AdjustedPart, Adjustment, CouldNot, EntryBody, Remark, Target, Tuning, Turns,
};
use fallaway::{Error, HistoryFilter, Instrument, PlanView, StepDone, StepId, WriteOptions};

fn instrument() -> (fallaway::Workshop, Instrument) {
    instrument_of(1)
}

fn instrument_of(seed: u64) -> (fallaway::Workshop, Instrument) {
    let workshop = workshop("tech", seed);
    let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
    bass.set_target(&"stage".parse().unwrap(), &relief_target(30), None).unwrap();
    (workshop, bass)
}

/// Tuned, with a relief that is to be less and an action that is off on string 4.
fn read(bass: &Instrument) {
    bass.add_tuning(&Tuning::default(), None).unwrap();
    bass.add_pass(relief_pass("24"), WriteOptions::sure()).unwrap();
    bass.add_pass(action_pass("5 5 5 7", 4), WriteOptions::sure()).unwrap();
}

fn want_action(bass: &Instrument, string: u8, sixty_fourths: i64) {
    let wanted = Amount::decimal(sixty_fourths * 396_875, 6, Unit::Millimetre).unwrap();
    let target = Target {
        quantity: action(),
        location: Location::Course(StringPlace::course(string).unwrap()),
        wanted,
        tolerance: Amount::decimal(10, 2, Unit::Millimetre).unwrap(),
        ..relief_target(30)
    };
    bass.set_target(&"stage".parse().unwrap(), &target, None).unwrap();
}

fn step(view: &PlanView, kind: StepKind) -> &PlanStep {
    view.plan.steps.iter().find(|step| step.kind == kind).unwrap()
}

fn plan(bass: &Instrument) -> PlanView {
    bass.plan(Some(&"stage".parse().unwrap())).unwrap()
}

fn id(bass: &Instrument, kind: StepKind) -> StepId {
    let view = plan(bass);
    view.id(step(&view, kind))
}

fn bodies(bass: &Instrument, last: usize) -> Vec<EntryBody> {
    let filter = HistoryFilter { last: Some(last), ..HistoryFilter::default() };
    bass.history(&filter).unwrap().into_iter().map(|one| one.entry.body).collect()
}

#[test]
fn ids_tell_steps_apart_and_stay_until_something_changes() {
    let (_workshop, bass) = instrument();
    read(&bass);
    let view = plan(&bass);
    let ids: Vec<StepId> = view.plan.steps.iter().map(|step| view.id(step)).collect();
    let mut apart = ids.clone();
    apart.sort_unstable();
    apart.dedup();
    assert_eq!(apart.len(), ids.len());
    assert_eq!(ids[0].to_string().parse::<StepId>().unwrap(), ids[0]);
    assert!(matches!("12".parse::<StepId>(), Err(Error::BadInput { .. })));

    // A remark changes nothing that a step rests on, and the time goes on.
    let text = "dust in the slots".to_owned();
    bass.add_remark(Remark { text, ..Remark::default() }, None).unwrap();
    let relief_step = id(&bass, StepKind::Relief);
    assert_eq!(view.id(step(&view, StepKind::Relief)), relief_step);
    assert!(view.step(relief_step).is_some());

    // Another target does, and another reading.
    bass.set_target(&"stage".parse().unwrap(), &relief_target(25), None).unwrap();
    let other = id(&bass, StepKind::Relief);
    assert_ne!(other, relief_step);
    bass.add_pass(relief_pass("23"), WriteOptions::sure()).unwrap();
    assert_ne!(id(&bass, StepKind::Relief), other);

    // The same of another instrument is another step.
    let (_workshop, second) = instrument_of(2);
    read(&second);
    assert_ne!(id(&second, StepKind::Relief), relief_step);
}

#[test]
fn done_writes_exactly_what_was_proposed_and_the_plan_moves_on() {
    let (_workshop, bass) = instrument();
    read(&bass);
    let view = plan(&bass);
    let relief_step = step(&view, StepKind::Relief);
    let work = relief_step.verdict.adjust().unwrap();
    assert_eq!(work.moves[0].turn.direction, Some(TurnDirection::Anticlockwise));
    let SettledBy::Adjustments { adjustments, either_way: false } = &relief_step.settled_by else {
        panic!("{:?}", relief_step.settled_by);
    };
    let written = bass.done(view.id(relief_step), &StepDone::default(), Some("tech")).unwrap();
    assert_eq!(written.entries.len(), 1);
    assert_eq!(written.then_measure[0].quantity, relief());
    assert!(written.then_measure.iter().any(|one| one.quantity == action()));
    let turned = EntryBody::Adjustment(adjustments[0].clone());
    assert_eq!(adjustments[0].what, AdjustedPart::Rod);
    assert_eq!(adjustments[0].turns, Some(Turns::eighths(-1)));
    assert_eq!(bodies(&bass, 1), [turned]);

    // Said twice, it would be turned twice in the record.
    let twice = bass.done(view.id(relief_step), &StepDone::default(), None);
    assert!(matches!(twice, Err(Error::PlanMoved { .. })), "{twice:?}");

    // Then the strings are tuned, which takes a note and no number.
    let tune = plan(&bass);
    let tune_step = step(&tune, StepKind::Tune);
    assert_eq!(tune_step.settled_by, SettledBy::Tuning { strings: Vec::new() });
    bass.done(tune.id(tune_step), &StepDone::default(), None).unwrap();
    assert_eq!(bodies(&bass, 1), [EntryBody::Tuning(Tuning::default())]);

    // Then it is read again: that is what the step is settled by.
    let again = id(&bass, StepKind::Relief);
    let without = bass.done(again, &StepDone::default(), None);
    assert!(matches!(without, Err(Error::BadInput { .. })), "{without:?}");
    bass.done(again, &StepDone::reading([relief_pass("20")]), WriteOptions::sure()).unwrap();
    assert_eq!(bodies(&bass, 1), [EntryBody::Pass(relief_pass("20"))]);
}

#[test]
fn a_test_asks_which_way_it_was_turned() {
    let (_workshop, bass) = instrument();
    want_action(&bass, 4, 5);
    bass.add_tuning(&Tuning::default(), None).unwrap();
    bass.add_pass(relief_pass("12"), WriteOptions::sure()).unwrap();
    bass.add_pass(action_pass("5 5 5 8", 4), WriteOptions::sure()).unwrap();
    let view = plan(&bass);
    let fourth = view
        .plan
        .steps
        .iter()
        .find(|step| step.kind == StepKind::Action && step.verdict.adjust().is_some());
    let fourth = fourth.unwrap();
    assert!(matches!(fourth.settled_by, SettledBy::Adjustments { either_way: true, .. }));
    let unsaid = bass.done(view.id(fourth), &StepDone::default(), None);
    assert!(matches!(unsaid, Err(Error::BadInput { .. })), "{unsaid:?}");
    let how = StepDone::turned(TurnDirection::Anticlockwise);
    bass.done(view.id(fourth), &how, None).unwrap();
    let place = StringPlace::course(4).unwrap();
    let what = AdjustedPart::SaddleHeight(place);
    // A test that a rule in sixty-fourths tells is a turn.
    let turns = Some(Turns::eighths(-8));
    let expected = Adjustment { what, turns, amount: None, note: None };
    assert_eq!(bodies(&bass, 1), [EntryBody::Adjustment(expected)]);
}

#[test]
fn something_else_was_done_instead() {
    let (_workshop, bass) = instrument();
    read(&bass);
    let relief_step = id(&bass, StepKind::Relief);
    let turns = Some(Turns::eighths(1));
    let rod = Adjustment { what: AdjustedPart::Rod, turns, amount: None, note: None };
    let what = [EntryBody::Adjustment(rod), EntryBody::Tuning(Tuning::default())];
    assert!(matches!(bass.did_otherwise(relief_step, &[], None), Err(Error::BadInput { .. })));
    let written = bass.did_otherwise(relief_step, &what, None).unwrap();
    assert_eq!(bodies(&bass, 2), what);
    assert!(!written.then_measure.is_empty());
    // One call is taken back by one undo.
    bass.undo("slip", None).unwrap();
    assert_eq!(id(&bass, StepKind::Relief), relief_step);
}

#[test]
fn what_could_not_be_done_is_passed_over_today_and_told_the_next_time() {
    let (_workshop, bass) = instrument();
    want_action(&bass, 4, 5);
    read(&bass);
    let before = plan(&bass);
    assert_eq!(before.plan.next_step().unwrap().kind, StepKind::Relief);
    assert!(matches!(
        before.plan.steps.iter().rfind(|one| one.kind == StepKind::Action).unwrap().verdict,
        StepVerdict::Wait { after: StepKind::Relief, .. }
    ));
    let relief_step = before.id(step(&before, StepKind::Relief));
    let entry = bass.could_not(relief_step, "the nut turns round", Some("tech")).unwrap();
    let [EntryBody::Remark(remark)] = &bodies(&bass, 1)[..] else { panic!("no remark") };
    assert_eq!(remark.could_not, Some(CouldNot::Move(AdjustedPart::Rod)));

    // It goes another way: the action, with the relief that is there.
    let after = plan(&bass);
    let StepVerdict::CouldNot { tried } = &step(&after, StepKind::Relief).verdict else {
        panic!("{:?}", step(&after, StepKind::Relief).verdict);
    };
    assert_eq!((tried.entry, tried.reason.as_str()), (entry, "the nut turns round"));
    assert_eq!(after.plan.next_step().unwrap().kind, StepKind::Action);
    assert!(after.plan.next_step().unwrap().verdict.adjust().is_some());
    let voice = fallaway::text::Voice::default();
    assert!(after.text(&voice).contains("the nut turns round"), "{}", after.text(&voice));

    // On another day it is asked for again, with what is known of it.
    bass.end_visit(None, None).unwrap();
    bass.begin_visit(None, None).unwrap();
    read(&bass);
    let later = plan(&bass);
    let relief_step = step(&later, StepKind::Relief);
    assert!(relief_step.verdict.adjust().is_some());
    let told =
        |one: &StepRemark| matches!(one, StepRemark::CouldNotBefore(tried) if tried.entry == entry);
    assert!(relief_step.remarks.iter().any(told));

    // Done after all, it is no longer told.
    bass.done(later.id(relief_step), &StepDone::default(), None).unwrap();
    bass.add_tuning(&Tuning::default(), None).unwrap();
    bass.add_pass(relief_pass("20"), WriteOptions::sure()).unwrap();
    let view = plan(&bass);
    assert!(!step(&view, StepKind::Relief).remarks.iter().any(told));
}

#[test]
fn the_last_step_comes_though_one_could_not_be_done() {
    let (_workshop, bass) = instrument();
    bass.add_tuning(&Tuning::default(), None).unwrap();
    bass.add_pass(relief_pass("24"), WriteOptions::sure()).unwrap();
    bass.add_pass(action_pass("5 5 5 5", 4), WriteOptions::sure()).unwrap();
    for string in 1..=4 {
        want_action(&bass, string, 5);
    }
    bass.could_not(id(&bass, StepKind::Relief), "no key fits", None).unwrap();
    let view = plan(&bass);
    let last = view.plan.next_step().unwrap();
    assert_eq!(last.kind, StepKind::AsLeft, "{:?}", last.verdict);
    let SettledBy::AsLeft { of } = &last.settled_by else { panic!("{:?}", last.settled_by) };
    assert!(of.iter().any(|one| one.quantity == relief()));
    let left = StepDone::reading([relief_pass("24"), action_pass("5 5 5 5", 4)]);
    bass.done(view.id(last), &left, WriteOptions::sure()).unwrap();
    let end = plan(&bass);
    assert!(end.plan.next_step().is_none());
    let text = end.text(&fallaway::text::Voice::default());
    assert!(text.contains("could not be done") && !text.contains("every number"), "{text}");
    assert!(matches!(
        bass.could_not(id(&bass, StepKind::AsLeft), "no time", None),
        Err(Error::BadInput { .. })
    ));
}

#[test]
fn many_entries_are_written_or_none() {
    use fallaway::NewEntry;
    let (_workshop, bass) = instrument();
    let day =
        |n: i64| fallaway::record::Moment { unix_s: 1_750_000_000 + n * 86_400, offset_min: 0 };
    let mut entries: Vec<NewEntry> = (0..60)
        .flat_map(|n| {
            let then = WriteOptions::default().at(day(n)).by("tech");
            [
                NewEntry::new(EntryBody::Pass(relief_pass("12")), &then),
                NewEntry::new(EntryBody::Pass(action_pass("5 5 5 6", 4)), &then),
            ]
        })
        .collect();
    let count = |bass: &Instrument| bass.history(&HistoryFilter::default()).unwrap().len();
    let before = count(&bass);
    let slip = bass
        .read_pass_text(relief(), "120", Tool::FEELER_THOU, &fallaway::PassOptions::default())
        .unwrap();
    entries.push(NewEntry::new(EntryBody::Pass(slip), None));
    let Err(Error::Unsure { doubts, .. }) = bass.write_all(&entries) else { panic!("sure") };
    assert_eq!(doubts.iter().map(|one| one.entry).collect::<Vec<_>>(), [Some(121)]);
    let fourth = AdjustedPart::SaddleHeight(StringPlace::course(9).unwrap());
    let ninth = Adjustment { what: fourth, turns: None, amount: None, note: None };
    entries[7] = NewEntry::new(EntryBody::Adjustment(ninth), None);
    let Err(Error::BadInput { cell: Some(cell), .. }) = bass.write_all(&entries) else {
        panic!("taken")
    };
    assert_eq!(cell.entry, Some(8));
    assert_eq!(count(&bass), before, "none of them");

    entries.pop();
    entries[7] = entries[6].clone();
    let ids = bass.write_all(&entries).unwrap();
    assert_eq!(ids.len(), 120);
    assert_eq!(bass.visits().unwrap().len(), 60);
    bass.undo("slip", None).unwrap();
    assert_eq!(count(&bass), before, "and all of them go");
}

#[test]
fn two_thousand_entries_fit_into_one_call() {
    use fallaway::NewEntry;
    let (_workshop, bass) = instrument();
    let entries: Vec<NewEntry> = (0..2000_i64)
        .map(|n| {
            let at =
                fallaway::record::Moment { unix_s: 1_700_000_000 + n / 4 * 86_400, offset_min: 60 };
            let then = WriteOptions::default().at(at).by("tech");
            NewEntry::new(EntryBody::Pass(action_pass("5 5 5 6", 4)), then)
        })
        .collect();
    assert_eq!(bass.write_all(&entries).unwrap().len(), 2000);
    bass.undo("slip", None).unwrap();
    assert_eq!(bass.history(&HistoryFilter::default()).unwrap().len(), 0);
}
