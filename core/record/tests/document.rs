//! The document as a whole: founding, edits, snapshots, history, contested values, drafts.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a failed helper fails the test"
)]

mod common;

use common::{
    action, assert_clean, course, fret, log_put, mm, moment, own, pass, record_id, remark,
    spec_put, target, target_put, write, writer,
};
use fallaway_changes::{Change, ChangeId, Container, Put, RecordId};
use fallaway_record::{
    Access, Draft, EditError, EntryBody, EntryId, LoadError, PrepareError, Record, Retraction,
    SetupId, SpecField, templates,
};

fn founded() -> Record {
    Record::create(record_id())
}

/// The founding is frozen: a changed id would cut every record off from its own history.
#[test]
fn the_founding_has_its_id() {
    let id = ChangeId::founding(&record_id());
    assert_eq!(id.to_string(), "c920863ed8a80ab4a9be307349e28a4eec54d8c36770e0404b8909a4d64db56f");
    assert_eq!(founded().heads(), [id]);
    assert_ne!(id, ChangeId::founding(&RecordId::from_bytes([0x12; 16])));
}

/// Signatures cover this id, and it hangs on nothing but the canonical bytes and the record.
#[test]
fn a_change_has_its_id() {
    let tech = writer(1);
    let change = own(&Change {
        writer: tech,
        seq: 1,
        time: 1_790_000_000,
        deps: vec![ChangeId::founding(&record_id())],
        ops: vec![
            Put { container: Container::SPEC, key: "name".to_owned(), value: b"\x64bass".to_vec() },
            log_put(&pass(EntryId::new(tech, 1), 1_790_000_000, &[5, 5, 5, 6])),
        ],
    });
    assert_eq!(
        change.id().to_string(),
        "2ff74388c250e9f695aeadc96425fea075bb9c5e81eb34ae46694e417e0dbd20"
    );
    assert_eq!(founded().apply(std::slice::from_ref(&change)).admitted, [change.id()]);
}

/// Writes the record that the test below opens; run by hand when the format changes before it is
/// used anywhere.
#[test]
#[ignore = "writes tests/compat/record-1.snapshot"]
fn freeze_a_record() {
    let (tech, player) = (writer(1), writer(2));
    let (mut record, mut other) = (founded(), founded());
    let template = templates().into_iter().find(|one| one.spec.course_count() == 4).unwrap();
    let draft = Draft::new();
    let editor = record.editor(tech, &draft);
    let fields = template.spec.fields();
    let facts = fields.iter().filter(|field| !matches!(field, SpecField::Name(_)));
    let puts = facts.map(|field| editor.set_spec(field).unwrap()).collect();
    write(&mut record, tech, 10, |_| puts);
    let theirs = write(&mut other, player, 15, |_| vec![spec_put("name", b"\x65stage")]);
    write(&mut record, tech, 20, |_| vec![spec_put("name", b"\x68fretless")]);
    let visit = EntryBody::Visit(fallaway_record::VisitOpened::default());
    let visit = fallaway_record::Entry::new(EntryId::new(tech, 1), moment(30), visit);
    let read = pass(EntryId::new(tech, 2), 40, &[5, 5, 5, 6]).within(visit.id);
    let wrong = remark(EntryId::new(tech, 3), 50, "for the other one");
    write(&mut record, tech, 60, |_| [visit, read, wrong.clone()].iter().map(log_put).collect());
    let retraction = Retraction { at: moment(70), by: None, reason: "wrong instrument".into() };
    let put = record.editor(tech, &draft).retract(wrong.id, &retraction).unwrap();
    write(&mut record, tech, 70, |_| vec![put]);
    assert_clean(&record.apply(&[theirs]));
    std::fs::write("../../tests/compat/record-1.snapshot", record.save()).unwrap();
}

/// Records of every version of the format open for ever. The file was written by the first version:
/// a template, a visit with a pass, one contested name, one crossed-out remark.
#[test]
fn a_record_of_the_first_version_opens() {
    let snapshot = include_bytes!("../../../tests/compat/record-1.snapshot");
    let record = Record::load(record_id(), snapshot).unwrap();
    let state = record.state();
    assert_eq!(state.spec().course_count(), 4);
    assert_eq!(state.spec().name.as_deref(), Some("fretless"));
    let contested: Vec<_> = state.registers().contested().map(|(_, key, _)| key).collect();
    assert_eq!(contested, ["name"]);
    let bodies: Vec<_> =
        state.entries().map(|placed| placed.entry.body.kind().to_string()).collect();
    assert_eq!(bodies, ["visit", "readings", "remark"]);
    let remark = state.entries().last().unwrap().entry.id;
    assert_eq!(
        state.retractions(remark)[0].retraction.as_ref().unwrap().reason,
        "wrong instrument"
    );
    let changes: Vec<_> =
        record.writers().iter().flat_map(|writer| record.changes_of(writer)).collect();
    let mut again = founded();
    assert_clean(&again.apply(&changes));
    assert_eq!(again.heads(), record.heads());
}

#[test]
fn a_template_and_a_visit_come_back_from_a_snapshot() {
    let mut record = founded();
    let tech = writer(1);
    let bass = &templates()[1].spec;
    let draft = Draft::new();
    let editor = record.editor(tech, &draft);
    let puts = bass.fields().iter().map(|field| editor.set_spec(field).unwrap()).collect();
    write(&mut record, tech, 100, |_| puts);
    let entry = pass(EntryId::new(tech, 1), 200, &[5, 5, 5, 6, 7]);
    let mut draft = Draft::new();
    draft.add(record.editor(tech, &Draft::new()).log(&entry).unwrap());
    write(&mut record, tech, 300, |_| draft.puts().to_vec());

    let loaded = Record::load(record_id(), &record.save()).unwrap();
    assert_eq!(loaded.heads(), record.heads());
    assert_eq!(loaded.state().spec(), bass);
    let placed: Vec<_> = loaded.state().entries().collect();
    assert_eq!(placed.len(), 1);
    assert_eq!(placed[0].entry, entry);
    assert_eq!(loaded.entry(entry.id), Some(entry));
    assert_eq!(loaded.highest_number(&tech), 1);
    assert_eq!(loaded.writers(), [tech]);
    assert_eq!(loaded.access(), Access::Full);
}

#[test]
fn history_comes_back_in_its_canonical_form() {
    let mut record = founded();
    let (tech, player) = (writer(1), writer(2));
    let mut other = founded();
    let mut changes = vec![
        write(&mut record, tech, 10, |_| vec![spec_put("name", b"\x61a")]),
        write(&mut other, player, 11, |_| vec![spec_put("name", b"\x61b")]),
    ];
    assert_clean(&record.apply(&changes[1..]));
    changes.push(write(&mut record, tech, 12, |_| vec![spec_put("name", b"\x61c")]));
    assert_eq!(record.versions(Container::SPEC, "name").len(), 1);
    let loaded = Record::load(record_id(), &record.save()).unwrap();
    for change in &changes {
        let back = loaded.change(&change.id()).unwrap();
        assert_eq!(back.bytes(), change.bytes());
        assert_eq!(back, *change);
        assert_eq!(Change::decode(back.bytes()).unwrap(), **change);
    }
    assert_eq!(loaded.changes_of(&tech), [changes[0].clone(), changes[2].clone()]);
    assert_eq!(loaded.change(&ChangeId::founding(&record_id())), None);
}

#[test]
fn two_values_are_kept_until_somebody_settles_them() {
    let (tech, player) = (writer(1), writer(2));
    let (mut bench, mut stage) = (founded(), founded());
    let first = write(&mut bench, tech, 10, |r| vec![target_put(r, tech, &target(180, 10))]);
    assert_clean(&stage.apply(&[first]));

    let a = write(&mut bench, tech, 20, |r| vec![target_put(r, tech, &target(170, 20))]);
    let b = write(&mut stage, player, 30, |r| vec![target_put(r, player, &target(200, 30))]);
    let applied = bench.apply(&[b]);
    assert_eq!(applied.newly_contested.len(), 1);
    assert_eq!(stage.apply(&[a]).newly_contested, applied.newly_contested);
    assert_eq!(bench.heads(), stage.heads());

    let (container, key) = &applied.newly_contested[0];
    assert_eq!((*container, key.as_str()), (Container::SETUPS, "main/target/gap-1-20/1"));
    let register = bench.registers().get(*container, key).unwrap().clone();
    assert_eq!(register, *stage.registers().get(*container, key).unwrap());
    assert_eq!(register.versions.len(), 2);
    assert_eq!(register.versions[0].time, 20);
    assert!(bench.registers().target_contested(&SetupId::main(), action(), course(1)));
    // Both are shown; the one of the greater operation stands meanwhile.
    let shown = bench
        .registers()
        .setups()
        .get(&SetupId::main())
        .unwrap()
        .target(action(), course(1))
        .unwrap();
    assert_eq!(shown.wanted, mm(200));

    let seen: Vec<_> = register.versions.iter().map(|version| version.op).collect();
    let value = register.versions[0].value.clone();
    let draft = Draft::new();
    bench.editor(tech, &draft).settle(*container, key, &value, &seen).unwrap();
    // Somebody else writes meanwhile: the settling fails and tells what is there now.
    let late = write(&mut stage, player, 40, |r| vec![target_put(r, player, &target(190, 40))]);
    assert_clean(&bench.apply(&[late]));
    let draft = Draft::new();
    let again = bench.editor(tech, &draft).settle(*container, key, &value, &seen);
    assert!(matches!(again, Err(EditError::ContestedChanged { now, .. }) if now.len() == 1));
}

#[test]
fn two_people_who_ask_for_the_same_do_not_contest_it() {
    let (tech, player) = (writer(1), writer(2));
    let (mut bench, mut stage) = (founded(), founded());
    let a = write(&mut bench, tech, 20, |r| vec![target_put(r, tech, &target(180, 20))]);
    let b = write(&mut stage, player, 30, |r| vec![target_put(r, player, &target(180, 30))]);
    let applied = bench.apply(&[b, a]);
    assert_eq!(applied.already.len(), 1);
    assert_eq!(applied.newly_contested.len(), 0);
    assert_eq!(bench.registers().contested().count(), 0);
}

#[test]
fn causality_orders_before_the_clock_does() {
    let (tech, player) = (writer(1), writer(2));
    let (mut bench, mut stage) = (founded(), founded());
    let id = |by, number| EntryId::new(writer(by), number);
    // The bench's clock is years ahead.
    let a = write(&mut bench, tech, 0, |_| vec![log_put(&remark(id(1, 1), 900_000_000, "found"))]);
    assert_clean(&stage.apply(std::slice::from_ref(&a)));
    let b = write(&mut stage, player, 0, |_| vec![log_put(&remark(id(2, 1), 50, "seen it"))]);
    // Two that have not seen each other: the stated time decides, then the id.
    let c = write(&mut bench, tech, 0, |_| {
        vec![log_put(&remark(id(1, 2), 40, "c")), log_put(&remark(id(1, 3), 60, "d"))]
    });
    assert_clean(&bench.apply(std::slice::from_ref(&b)));
    assert_clean(&stage.apply(std::slice::from_ref(&c)));
    for record in [&bench, &stage] {
        let state = record.state();
        let order: Vec<_> = state.entries().map(|placed| placed.entry.id).collect();
        assert_eq!(order, [id(1, 1), id(1, 2), id(2, 1), id(1, 3)]);
        assert!(state.precedes(id(1, 1), id(2, 1)));
        assert!(!state.precedes(id(2, 1), id(1, 1)));
        assert!(state.precedes(id(1, 2), id(1, 3)));
        assert!(!state.precedes(id(2, 1), id(1, 2)) && !state.precedes(id(1, 2), id(2, 1)));
    }
}

#[test]
fn a_clock_that_is_days_behind_is_noted() {
    let (tech, player) = (writer(1), writer(2));
    let mut record = founded();
    let day = 86_400;
    let id = |by, number| EntryId::new(by, number);
    write(&mut record, tech, 10 * day, |_| vec![log_put(&remark(id(tech, 1), 10 * day, "a"))]);
    write(&mut record, player, 3 * day, |_| {
        vec![
            log_put(&remark(id(player, 1), 3 * day, "a clock a week behind")),
            log_put(&remark(id(player, 2), 10 * day - 3_600, "an hour is no matter")),
        ]
    });
    let doubtful: Vec<_> = record.state().entries().map(|p| p.clock_doubtful).collect();
    assert_eq!(doubtful, [false, true, false]);
}

#[test]
fn a_draft_stands_on_top_until_it_is_sealed() {
    let tech = writer(1);
    let mut record = founded();
    write(&mut record, tech, 10, |_| vec![spec_put("name", b"\x61a")]);
    write(&mut record, tech, 11, |_| vec![log_put(&remark(EntryId::new(tech, 1), 99, "old"))]);
    let mut draft = Draft::new();
    let name = |text: &str| SpecField::Name(text.to_owned());
    draft.add(record.editor(tech, &draft).set_spec(&name("b")).unwrap());
    draft.add(record.editor(tech, &draft).set_spec(&name("c")).unwrap());
    let new = remark(EntryId::new(tech, 2), 1, "new");
    draft.add(record.editor(tech, &draft).log(&new).unwrap());
    assert_eq!(draft.puts().len(), 2, "the second name takes the place of the first");

    let state = record.state().with_draft(draft.puts(), tech, 12);
    assert_eq!(state.spec().name.as_deref(), Some("c"));
    assert_eq!(record.state().spec().name.as_deref(), Some("a"));
    assert!(state.registers().contested().next().is_none());
    let order: Vec<_> = state.entries().map(|placed| placed.entry.id.number).collect();
    assert_eq!(order, [1, 2], "drafts come after everything, whatever their clock says");
    assert!(state.precedes(EntryId::new(tech, 1), new.id));
    assert!(!state.precedes(new.id, EntryId::new(tech, 1)));

    write(&mut record, tech, 13, |_| draft.puts().to_vec());
    assert_eq!(record.state().spec().name.as_deref(), Some("c"));
}

#[test]
fn crossing_out_keeps_the_entry_and_the_reason() {
    let tech = writer(1);
    let mut record = founded();
    let id = EntryId::new(tech, 1);
    let retraction = Retraction { at: moment(5), by: None, reason: "wrong string".to_owned() };
    let draft = Draft::new();
    let unknown = record.editor(tech, &draft).retract(id, &retraction);
    assert_eq!(unknown, Err(EditError::NoSuchEntry(id)));
    write(&mut record, tech, 1, |_| vec![log_put(&remark(id, 1, "x"))]);
    let put = record.editor(tech, &draft).retract(id, &retraction).unwrap();
    write(&mut record, tech, 2, |_| vec![put]);
    assert!(record.state().is_retracted(id));
    assert_eq!(record.state().retractions(id)[0].retraction.as_ref(), Some(&retraction));
    assert!(record.state().get(id).is_some());
    let again = record.editor(tech, &draft).retract(id, &retraction);
    assert_eq!(again, Err(EditError::AlreadyRetracted(id)));
    assert!(record.editor(writer(2), &draft).retract(id, &retraction).is_ok());
}

/// In whatever order they arrive, they are told in the same.
#[test]
fn two_who_cross_out_the_same_stand_in_one_order() {
    let (tech, player) = (writer(1), writer(2));
    let (mut bench, mut stage) = (founded(), founded());
    let id = EntryId::new(tech, 1);
    let first = write(&mut bench, tech, 1, |_| vec![log_put(&remark(id, 1, "x"))]);
    assert_clean(&stage.apply(&[first]));
    let draft = Draft::new();
    let reason = |reason: &str| Retraction { at: moment(5), by: None, reason: reason.to_owned() };
    let a = bench.editor(tech, &draft).retract(id, &reason("a")).unwrap();
    let b = stage.editor(player, &draft).retract(id, &reason("b")).unwrap();
    let a = write(&mut bench, tech, 2, |_| vec![a]);
    let b = write(&mut stage, player, 2, |_| vec![b]);
    assert_clean(&bench.apply(&[b]));
    assert_clean(&stage.apply(&[a]));
    assert_eq!(bench.state().retractions(id).len(), 2);
    assert_eq!(bench.state().retractions(id), stage.state().retractions(id));
}

#[test]
fn edits_are_checked_against_the_instrument() {
    let tech = writer(1);
    let mut record = founded();
    let draft = Draft::new();
    let editor = record.editor(tech, &draft);
    let guitar = &templates().into_iter().find(|template| template.id == "guitar-6").unwrap().spec;
    let puts = guitar.fields().iter().map(|field| editor.set_spec(field).unwrap()).collect();
    write(&mut record, tech, 1, |_| puts);
    let editor = record.editor(tech, &draft);
    let id = EntryId::new(tech, 1);

    let lettered = pass(id, 1, &[5]);
    let mut single = lettered.clone();
    if let EntryBody::Pass(pass) = &mut single.body {
        let place = fallaway_measure::StringPlace::new(3, Some('a')).unwrap();
        pass.readings[0].location = fallaway_measure::Location::Course(place);
    }
    assert!(matches!(editor.log(&single), Err(EditError::NoSuchString { .. })));
    assert!(editor.log(&lettered).is_ok());
    let seven = editor.log(&pass(id, 1, &[5; 7])).unwrap_err();
    assert!(
        matches!(&seven, EditError::NoSuchString { accepted, .. } if accepted == "1, 2, 3, 4, 5, 6")
    );
    let mut high = pass(id, 1, &[5]);
    if let EntryBody::Pass(pass) = &mut high.body {
        pass.quantity = fallaway_measure::Quantity::Gap { stopped: fret(1), over: fret(24) };
    }
    let high = editor.log(&high).unwrap_err();
    assert_eq!(high.to_string(), "there is no fret 24 on this instrument; it has 0 (nut) to 22");
    let mut cents = pass(id, 1, &[5]);
    if let EntryBody::Pass(pass) = &mut cents.body {
        pass.quantity = fallaway_measure::Quantity::Pitch;
    }
    assert!(matches!(editor.log(&cents), Err(EditError::Dimension { .. })));
    assert!(matches!(
        editor.log(&pass(EntryId::new(writer(2), 1), 1, &[5])),
        Err(EditError::ForeignEntry { .. })
    ));
    let stray = pass(id, 1, &[5]).within(EntryId::new(tech, 9));
    assert_eq!(editor.log(&stray), Err(EditError::NoSuchEntry(EntryId::new(tech, 9))));
    let mut below = target(200, 1);
    below.tolerance = mm(-1);
    let refused = editor.set_target(&SetupId::main(), &below);
    assert!(matches!(refused, Err(EditError::Tolerance { .. })));
    let removed = editor.remove_target(&SetupId::main(), action(), course(1));
    assert!(matches!(removed, Err(EditError::NotSet { .. })));
}

#[test]
fn a_removed_target_is_gone_and_its_history_is_not() {
    let tech = writer(1);
    let mut record = founded();
    write(&mut record, tech, 1, |r| vec![target_put(r, tech, &target(180, 1))]);
    let draft = Draft::new();
    let put = record.editor(tech, &draft).remove_target(&SetupId::main(), action(), course(1));
    write(&mut record, tech, 2, |_| vec![put.unwrap()]);
    assert!(record.registers().setups().is_empty());
    let register = record.registers().get(Container::SETUPS, "main/target/gap-1-20/1").unwrap();
    assert!(register.shown().unwrap().is_removed());
    assert_eq!(record.changes_of(&tech).len(), 2);
}

#[test]
fn a_newer_record_opens_read_only_with_its_reason() {
    let tech = writer(1);
    let mut record = founded();
    let put = |key: &str, value: u8| Put {
        container: Container::FORMAT,
        key: key.to_owned(),
        value: vec![value],
    };
    write(&mut record, tech, 1, |_| vec![put("min_writer", 3)]);
    assert_eq!(record.access(), Access::ReadOnly { needs: 3 });
    let refused = record.prepare(tech, 2, vec![spec_put("name", b"\x61a")]);
    assert_eq!(refused, Err(PrepareError::NeedsNewer { needs: 3 }));
    // What takes the demand back may be written, and nothing beside it is lost.
    assert_eq!(record.ask_for_newer(), [tech].into());
    let mut lifted = record.clone();
    let puts = lifted.ask_for_this_version();
    assert_eq!(lifted.access_with(&puts), Access::Full);
    write(&mut lifted, writer(3), 2, |_| [puts, vec![spec_put("name", b"\x61a")]].concat());
    assert_eq!((lifted.access(), lifted.ask_for_newer().len()), (Access::Full, 0));
    assert_eq!(lifted.ask_for_this_version(), []);
    // It still merges what others write, and still opens.
    let mut other = founded();
    let change = write(&mut other, writer(2), 1, |_| vec![put("min_reader", 2)]);
    assert_clean(&record.apply(&[change]));
    assert_eq!(record.access(), Access::Outdated { needs: 2 });
    assert!(Record::load(record_id(), &record.save()).is_ok());
}

#[test]
fn what_a_newer_version_wrote_survives_edits_and_merges() {
    let (tech, newer) = (writer(1), writer(9));
    let mut theirs = founded();
    let kind_40 =
        [&[0x86, 0x18, 40, 5, 0, 0xf6, 0xf6][..], &[0xa1, 0, 0x63, b'n', b'e', b'w']].concat();
    let id = EntryId::new(newer, 1);
    let puts = vec![
        Put { container: Container::LOG, key: id.to_string(), value: kind_40.clone() },
        spec_put("body-wood", b"\x64wood"),
        // A known field with a part that this version does not know.
        spec_put("frets", b"\xa2\x00\x14\x18\x63\x00"),
    ];
    let change = write(&mut theirs, newer, 5, |_| puts);
    let mut ours = founded();
    write(&mut ours, tech, 6, |_| vec![log_put(&remark(EntryId::new(tech, 1), 6, "ours"))]);
    assert_clean(&ours.apply(std::slice::from_ref(&change)));
    write(&mut ours, tech, 7, |_| vec![spec_put("name", b"\x61a")]);

    let ours = Record::load(record_id(), &ours.save()).unwrap();
    let placed = ours.state().get(id).unwrap();
    assert!(placed.entry.newer);
    assert_eq!(placed.entry.body.kind().number(), 40);
    assert_eq!(placed.entry.encode().unwrap(), kind_40);
    assert_eq!(ours.versions(Container::SPEC, "body-wood")[0].value, b"\x64wood");
    assert_eq!(ours.registers().newer().len(), 2);
    assert_eq!(ours.change(&change.id()).unwrap(), change);
    // This version does not overwrite what it does not understand.
    let draft = Draft::new();
    let field = SpecField::Frets(fallaway_record::spec::FretsSpec::count(21));
    assert!(matches!(ours.editor(tech, &draft).set_spec(&field), Err(EditError::Newer { .. })));
    // Taken back by name it can be set anew: nobody can freeze a fact for the others.
    let mut ours = ours;
    let taken_back = ours.editor(tech, &draft).unset_spec("frets").unwrap();
    write(&mut ours, tech, 8, |_| vec![taken_back]);
    let put = ours.editor(tech, &draft).set_spec(&field).unwrap();
    write(&mut ours, tech, 9, |_| vec![put]);
    assert_eq!(ours.registers().spec().frets.unwrap().count, 21);
    assert_eq!(ours.change(&change.id()).unwrap(), change, "it stays in the history");
}

#[test]
fn damaged_and_foreign_snapshots_are_told_apart() {
    let mut record = founded();
    write(&mut record, writer(1), 1, |_| vec![spec_put("name", b"\x61a")]);
    let snapshot = record.save();
    let other = RecordId::from_bytes([0x77; 16]);
    let refused = Record::load(other, &snapshot).unwrap_err();
    assert_eq!(refused, LoadError::OtherRecord { expected: other });
    for cut in [0, 1, 10, snapshot.len() / 2, snapshot.len() - 1] {
        let refused = Record::load(record_id(), &snapshot[..cut]).unwrap_err();
        assert!(matches!(refused, LoadError::Damaged { .. }), "{cut}: {refused}");
    }
    for place in 0..snapshot.len() {
        let mut flipped = snapshot.clone();
        flipped[place] ^= 0x10;
        // Bits that deflate leaves unused may differ; what is read may not.
        if let Ok(loaded) = Record::load(record_id(), &flipped) {
            assert_eq!(loaded.heads(), record.heads(), "{place}");
            assert_eq!(loaded.changes_of(&writer(1)), record.changes_of(&writer(1)));
        }
    }
}

/// What is written once stands in the next snapshot as it was, and long histories come back whole.
#[test]
fn a_record_that_grows_is_saved_and_opened_again_and_again() {
    let tech = writer(1);
    let mut record = founded();
    for number in 1..300 {
        let entry = remark(EntryId::new(tech, number), number as i64, "once more");
        write(&mut record, tech, number as i64, |_| vec![log_put(&entry)]);
        if number % 7 == 0 {
            let snapshot = record.save();
            record = Record::load(record_id(), &snapshot).unwrap();
        }
    }
    assert_eq!(record.change_count(), 299);
    assert_eq!(record.state().entries().count(), 299);
    let mut at_once = founded();
    assert_clean(&at_once.apply(&record.changes_of(&tech)));
    assert_eq!(at_once.heads(), record.heads());
    assert!(10 * record.save().len() < 14 * at_once.save().len(), "blocks are put together");
}
