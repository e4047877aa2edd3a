//! Every write can be taken back and made again: the last one first, whatever it was.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::{action, relief_pass, workshop};
use fallaway::measure::{Amount, Location, StringPlace, Tool, Unit};
use fallaway::record::{
    AdjustedPart, Adjustment, EntryBody, Moment, Remark, SpecField, StringChange, Target, Tuning,
    Turns,
};
use fallaway::{
    Error, HistoryFilter, Instrument, RetractOutcome, Role, Undoing, Undone, WriteOptions,
};

fn texts(bass: &Instrument) -> Vec<String> {
    let all = bass.history(&HistoryFilter { hide_retracted: true, ..HistoryFilter::default() });
    all.unwrap().iter().map(|one| one.text.to_string()).collect()
}

fn remark(text: &str) -> Remark {
    Remark { text: text.to_owned(), ..Remark::default() }
}

fn about(bass: &Instrument) -> Option<String> {
    bass.details().unwrap().spec.about
}

fn how(undone: &Undone) -> Vec<Undoing> {
    undone.lines.iter().map(|line| line.how).collect()
}

fn undo(bass: &Instrument) -> Undone {
    bass.undo("taken back", None).unwrap()
}

/// What an instrument is and what is wanted, to compare before and after.
fn whole(bass: &Instrument) -> String {
    let view = bass.details().unwrap();
    format!("{:?} {:?} {:?}", texts(bass), view.spec, bass.setups().unwrap())
}

#[test]
fn whatever_was_written_is_taken_back_and_made_again() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let string = |number| StringPlace::course(number).unwrap();
    let target = |hundredths| Target {
        quantity: action(),
        location: Location::Course(string(4)),
        wanted: Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap(),
        tolerance: Amount::decimal(10, 2, Unit::Millimetre).unwrap(),
        by: None,
        at: bass.now(),
        taken_from: None,
    };
    let fitted = fallaway::record::spec::StringSpec::default();
    let writes: Vec<Box<dyn Fn()>> = vec![
        Box::new(|| _ = bass.begin_visit(Some("buzz"), None).unwrap()),
        Box::new(|| _ = bass.add_pass_text(action(), "5 5 5 6", Tool::RULE_64).unwrap()),
        Box::new(|| bass.set_spec(&SpecField::About("loud".into()), None).unwrap()),
        Box::new(|| bass.set_spec(&SpecField::About("quiet".into()), None).unwrap()),
        Box::new(|| bass.unset_spec("about", None).unwrap()),
        Box::new(|| bass.set_target(&"stage".parse().unwrap(), &target(200), None).unwrap()),
        Box::new(|| bass.set_target(&"stage".parse().unwrap(), &target(180), None).unwrap()),
        Box::new(|| {
            bass.remove_target(
                &"stage".parse().unwrap(),
                action(),
                Location::Course(string(4)),
                None,
            )
            .unwrap();
        }),
        Box::new(|| drop(bass.take_setup("studio", None, None).unwrap())),
        Box::new(|| {
            let change = StringChange {
                fitted: vec![(string(1), fitted.clone())],
                ..StringChange::default()
            };
            bass.add_string_change(&change, None).unwrap();
        }),
        Box::new(|| {
            let changed = vec![(string(4), "D1".parse().unwrap())];
            bass.add_tuning(&Tuning { changed, ..Tuning::default() }, None).unwrap();
        }),
        Box::new(|| _ = bass.add_remark(remark("low string only"), None).unwrap()),
        Box::new(|| {
            let last = bass.history(&HistoryFilter::default()).unwrap().pop().unwrap();
            assert_eq!(bass.retract(last.entry.id, "a slip", None), Ok(RetractOutcome::Erased));
        }),
        Box::new(|| {
            let turns = Some(Turns::eighths(1));
            let what = AdjustedPart::Rod;
            let turned = Adjustment { what, turns, amount: None, note: None };
            bass.add_adjustment(turned, None).unwrap();
        }),
        Box::new(|| bass.end_visit(None, None).unwrap()),
    ];
    let mut states = vec![whole(&bass)];
    for write in &writes {
        write();
        states.push(whole(&bass));
    }
    // All of it is sealed by now, for the visit was ended. Back to the beginning, and forward again.
    for number in (0..writes.len()).rev() {
        let told = undo(&bass);
        assert!(!told.lines.is_empty());
        assert_eq!(states[number], whole(&bass), "write {number}");
    }
    assert!(texts(&bass).is_empty());
    assert_eq!(about(&bass), None);
    for _ in &writes {
        bass.redo(None).unwrap();
    }
    assert_eq!(texts(&bass).len(), 6);
    assert!(matches!(bass.redo(None), Err(Error::NotFound { .. })));
}

#[test]
fn in_the_draft_nothing_is_left_of_what_is_taken_back() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let before = whole(&bass);
    bass.add_pass_text(action(), "5 5 5 6", Tool::RULE_64).unwrap();
    let with_pass = whole(&bass);
    bass.set_spec(&SpecField::About("loud".into()), None).unwrap();
    bass.set_spec(&SpecField::About("quiet".into()), None).unwrap();
    assert_eq!(bass.undoable().unwrap().unwrap()[0].to_string(), "description: quiet");
    assert_eq!(how(&undo(&bass)), [Undoing::ValueRestored]);
    assert_eq!(about(&bass).as_deref(), Some("loud"));
    undo(&bass);
    assert_eq!(whole(&bass), with_pass);
    // The visit that the pass opened goes with it.
    assert_eq!(how(&undo(&bass)), [Undoing::Erased, Undoing::Erased]);
    assert_eq!(whole(&bass), before);
    for _ in 0..3 {
        bass.redo(None).unwrap();
    }
    assert_eq!(about(&bass).as_deref(), Some("quiet"));
    // Whoever writes something else cannot go forward any more.
    undo(&bass);
    bass.add_remark(remark("else"), None).unwrap();
    assert!(matches!(bass.redo(None), Err(Error::NotFound { .. })));
    assert_eq!(bass.redoable(), Ok(None));
}

#[test]
fn what_somebody_else_changed_since_is_left_alone() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let player = workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let shared = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    tech.bundle_in(&shared.bundle_out().unwrap().file).unwrap();
    bass.set_spec(&SpecField::About("loud".into()), None).unwrap();
    let entry = bass.add_remark(remark("mine"), None).unwrap();
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    shared.set_spec(&SpecField::About("quiet".into()), None).unwrap();
    tech.bundle_in(&shared.bundle_out().unwrap().file).unwrap();
    assert_eq!(how(&undo(&bass)), [Undoing::CrossedOut]);
    assert_eq!(how(&undo(&bass)), [Undoing::LeftAlone]);
    assert_eq!(about(&bass).as_deref(), Some("quiet"));

    // A crossed-out entry comes back, with all that it said.
    let again = bass.bring_back(entry).unwrap();
    let view = bass.entry(&again.to_string()).unwrap();
    assert!(matches!(&view.entry.body, EntryBody::Remark(remark) if remark.text == "mine"));
    assert!(matches!(bass.bring_back(again), Err(Error::BadInput { .. })));
}

#[test]
fn what_is_brought_back_may_be_of_another_day_and_of_somebody_else() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let read = bass.add_pass(relief_pass("12"), WriteOptions::sure()).unwrap();
    let visit = |id: &fallaway::record::EntryId| bass.entry(&id.to_string()).unwrap().entry.visit;
    // What others may have seen is crossed out and not erased.
    bass.bundle_out().unwrap();
    bass.retract(read, "of the other bass", None).unwrap();
    // As it was, it stands again under its own name.
    assert_eq!(bass.bring_back(read).unwrap(), read);
    bass.retract(read, "it was last week, and the owner", None).unwrap();
    let now = bass.now();
    let week = Moment { unix_s: now.unix_s - 7 * 86_400, ..now };
    let options = WriteOptions::default().by("owner").at(week);
    let again = bass.bring_back_as(read, options).unwrap();
    let entry = bass.entry(&again.to_string()).unwrap().entry;
    assert_eq!((entry.at, entry.by.as_deref()), (week, Some("owner")));
    assert!(matches!(entry.body, EntryBody::Pass(_)));
    assert_ne!(visit(&again), visit(&read), "the visit of that day");
    assert!(
        bass.entry(&read.to_string()).unwrap().retracted.len() == 1,
        "the other one stays crossed out"
    );
    // Undone, it is as before.
    undo(&bass);
    assert_eq!(bass.card(None).unwrap().lines.iter().filter(|line| line.last.is_some()).count(), 0);
}

/// What is taken back is told with its number, and what is made again under the name that it had.
#[test]
fn values_are_told_with_their_numbers_on_the_way_back_and_on_the_way_forward() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let mm = |hundredths| Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap();
    let target = |hundredths| Target {
        quantity: action(),
        location: Location::Course(StringPlace::course(4).unwrap()),
        wanted: mm(hundredths),
        tolerance: mm(10),
        by: None,
        at: bass.now(),
        taken_from: None,
    };
    let stage = "stage".parse().unwrap();
    let told = |undone: Undone| {
        let texts = undone.lines.iter().map(|line| line.text.to_string());
        texts.collect::<Vec<_>>().join("; ")
    };
    bass.set_spec(&SpecField::About("loud".into()), None).unwrap();
    bass.set_target(&stage, &target(200), None).unwrap();
    bass.set_target(&stage, &target(180), None).unwrap();
    bass.set_spec(&SpecField::About("quiet".into()), None).unwrap();
    bass.unset_spec("about", None).unwrap();
    for (back, forward) in [
        (vec!["description: removed", "quiet"], "description: removed"),
        (vec!["description: quiet", "loud"], "description: quiet"),
        (vec!["string 4 (E): 1.80 mm", "2.00 mm"], "string 4 (E): 1.80 mm"),
        (vec!["string 4 (E): 2.00 mm"], "string 4 (E): 2.00 mm"),
        (vec!["description: loud"], "description: loud"),
    ] {
        let undone = told(undo(&bass));
        assert!(back.iter().all(|words| undone.contains(words)), "{undone}: {back:?}");
        let again = told(bass.redo(None).unwrap());
        assert!(again.contains(forward), "{again}: {forward}");
        assert!(!format!("{undone} {again}").contains("newer version"), "{undone}; {again}");
        undo(&bass);
    }
}
