//! Changes that are built to break a record: each rule, broken alone, is refused with its reason,
//! and the record stays as it was.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a failed helper fails the test"
)]

mod common;

use common::{
    assert_clean, log_put, own, record_id, remark, spec_put, target, target_put, write, writer,
};
use fallaway_changes::{Change, ChangeId, Container, OpId, Put, VerifiedChange, Writer};
use fallaway_record::{Draft, EntryId, Record, Refusal};

/// A record with some history by writers 1 and 2, and a good next change of writer 2.
fn scene() -> (Record, Change) {
    let mut record = Record::create(record_id()).unwrap();
    let (tech, player) = (writer(1), writer(2));
    write(&mut record, tech, 10, |r| vec![spec_put(r, "name", b"\x61a")]);
    write(&mut record, player, 20, |_| {
        vec![log_put(&remark(EntryId::new(player, 1), 20, "buzzes"))]
    });
    write(&mut record, tech, 30, |r| vec![target_put(r, tech, &target(180, 30))]);
    let puts = vec![
        spec_put(&record, "name", b"\x61b"),
        log_put(&remark(EntryId::new(player, 2), 40, "fine now")),
    ];
    let next = record.prepare(player, 40, puts).unwrap();
    (record, Change::clone(&next))
}

/// Refused by `check` and by `apply`, alone and in a round with a good change.
fn refused(record: &mut Record, bad: &Change) -> Refusal {
    let heads = record.heads();
    let snapshot = record.save().unwrap();
    let bad = own(bad);
    let reason = record.check(&bad).unwrap_err();
    let applied = record.apply(std::slice::from_ref(&bad)).unwrap();
    assert!(applied.admitted.is_empty() && applied.touched.is_empty());
    if reason.is_waiting() {
        assert_eq!(applied.waiting[0].reason, reason);
    } else {
        assert_eq!(applied.refused[0].reason, reason);
    }
    assert_eq!(record.heads(), heads);
    assert_eq!(record.save().unwrap(), snapshot, "the record is as it was");

    let mut other = Record::load(record_id(), &snapshot).unwrap();
    let good = other.prepare(writer(3), 50, vec![spec_put(&other, "about", b"\x61z")]);
    let good = good.unwrap();
    let applied = other.apply(&[bad, good.clone()]).unwrap();
    assert_eq!(applied.admitted, [good.id()], "a bad change does not stop a good one");
    reason
}

/// What is malformed cannot even be handed to a record.
fn malformed(bad: &Change) {
    assert!(VerifiedChange::own(&record_id(), bad.clone()).is_err(), "{bad:?}");
    assert!(VerifiedChange::kept(&record_id(), bad.encode()).is_err(), "{bad:?}");
}

#[test]
fn a_good_change_is_admitted_and_then_known() {
    let (mut record, next) = scene();
    let next = own(&next);
    assert_eq!(record.check(&next), Ok(()));
    assert_eq!(record.apply(std::slice::from_ref(&next)).unwrap().admitted, [next.id()]);
    // Replayed.
    let again = record.apply(&[next.clone(), next.clone()]).unwrap();
    assert_eq!(again.already, [next.id(), next.id()]);
    assert_eq!(record.check(&next), Ok(()));
}

#[test]
fn dependencies_that_are_missing_or_none() {
    let (mut record, mut next) = scene();
    next.deps.push(ChangeId::from_bytes([0xff; 32]));
    let missing = refused(&mut record, &next);
    assert_eq!(missing, Refusal::Missing(vec![ChangeId::from_bytes([0xff; 32])]));
    next.deps.clear();
    assert_eq!(refused(&mut record, &next), Refusal::NoDependencies);
}

#[test]
fn a_number_that_does_not_follow() {
    let (mut record, mut next) = scene();
    next.seq = 3;
    assert_eq!(refused(&mut record, &next), Refusal::Sequence { before: 1, found: 3 });
    // Another change with a number that is taken: a fork.
    next.seq = 1;
    assert!(matches!(refused(&mut record, &next), Refusal::Fork { seq: 1, .. }));
    next.seq = u64::from(u32::MAX);
    malformed(&next);
}

#[test]
fn a_chain_that_skips_the_writer_s_previous_change() {
    let (mut record, mut next) = scene();
    let own = record.last_of(&writer(2)).unwrap().1;
    next.deps.retain(|dep| *dep != own);
    assert_ne!(next.deps.len(), 0);
    assert_eq!(refused(&mut record, &next), Refusal::Unchained { previous: own });
}

#[test]
fn counters_that_leap_or_overflow() {
    let (mut record, next) = scene();
    let expected = next.start_op;
    for start_op in [expected + 1, (1 << 31) - 3] {
        let leap = Change { start_op, ..next.clone() };
        assert_eq!(refused(&mut record, &leap), Refusal::StartOp { expected, found: start_op });
    }
    for start_op in [0, 1 << 31, u64::MAX] {
        let over = Change { start_op, ..next.clone() };
        malformed(&over);
    }
}

#[test]
fn an_entry_written_twice_or_by_somebody_else() {
    let (mut record, mut next) = scene();
    next.ops[1] = log_put(&remark(EntryId::new(writer(2), 1), 1, "another past"));
    assert!(matches!(refused(&mut record, &next), Refusal::EntryExists { .. }));
    next.ops[1] = log_put(&remark(EntryId::new(writer(1), 77), 1, "not mine"));
    malformed(&next);
}

#[test]
fn an_entry_written_twice_in_one_round() {
    let (mut record, next) = scene();
    let mut other = Record::load(record_id(), &record.save().unwrap()).unwrap();
    other.apply(&[own(&next)]).unwrap();
    let fresh = log_put(&remark(EntryId::new(writer(2), 3), 50, "new"));
    let mut after = Change::clone(&other.prepare(writer(2), 50, vec![fresh]).unwrap());
    after.ops = vec![next.ops[1].clone()];
    let applied = record.apply(&[own(&after), own(&next)]).unwrap();
    assert_eq!(applied.admitted.len(), 1);
    assert!(matches!(applied.refused[0].reason, Refusal::EntryExists { .. }));
}

#[test]
fn an_entry_that_is_none() {
    let (mut record, mut next) = scene();
    for value in [&b"\x00"[..], b"\x80", b"\x82\x01\x01", b"\x83\x61a\x00\x00", b"\x83\x01\x00\xf6"]
    {
        next.ops[1].value = value.to_vec();
        assert!(matches!(refused(&mut record, &next), Refusal::Entry { .. }));
    }
    next.ops[1].value = b"\x9f\xff".to_vec();
    malformed(&next);
}

#[test]
fn predecessors_that_are_not_what_was_visible() {
    let (mut record, next) = scene();
    let name = next.ops[0].pred[0];
    let elsewhere = record.versions(Container::SETUPS, "main/target/gap-1-20/1")[0].op;
    let never = OpId { counter: 3, writer: writer(8) };
    // A container's own operation: superseding it would hide everything.
    let founding = OpId { counter: 2, writer: writer(0) };
    for pred in [vec![], vec![elsewhere], vec![never], vec![founding], vec![founding, name]] {
        let mut bad = next.clone();
        bad.ops[0].pred = pred;
        assert!(matches!(refused(&mut record, &bad), Refusal::Predecessors { .. }));
    }
    let mut log = next.clone();
    log.ops[1].pred = vec![name];
    malformed(&log);
}

#[test]
fn a_hidden_value_cannot_be_superseded_again() {
    let (mut record, next) = scene();
    let stale = next.ops[0].pred.clone();
    record.apply(&[own(&next)]).unwrap();
    let again = record.prepare(writer(2), 50, vec![spec_put(&record, "name", b"\x61c")]);
    let mut again = Change::clone(&again.unwrap());
    again.ops[0].pred = stale;
    let reason = refused(&mut record, &again);
    assert!(matches!(reason, Refusal::Predecessors { .. }));
}

#[test]
fn unknown_containers_wait_for_a_newer_library() {
    let (mut record, mut next) = scene();
    next.ops.push(Put {
        container: Container(5),
        key: "x".to_owned(),
        value: vec![0],
        pred: Vec::new(),
    });
    assert_eq!(refused(&mut record, &next), Refusal::UnknownContainer(5));
}

#[test]
fn the_founder_s_writer_and_a_format_that_is_no_number() {
    let (mut record, mut next) = scene();
    next.ops[1].container = Container::FORMAT;
    next.ops[1].key = "min_reader".to_owned();
    for value in [&b"\x00"[..], b"\x61a", b"\x20", b"\x1b\x00\x00\x00\x01\x00\x00\x00\x00"] {
        next.ops[1].value = value.to_vec();
        assert!(matches!(refused(&mut record, &next), Refusal::Format { .. }));
    }
    next.ops.pop();
    next.writer = writer(0);
    next.seq = 2;
    assert_eq!(refused(&mut record, &next), Refusal::ReservedWriter);
}

#[test]
fn what_depends_on_a_refused_change_waits() {
    let (mut record, next) = scene();
    let mut other = Record::load(record_id(), &record.save().unwrap()).unwrap();
    let mut bad = next;
    bad.start_op += 5;
    let bad = own(&bad);
    let after = other.prepare(writer(3), 60, vec![spec_put(&other, "about", b"\x61a")]);
    let mut after = Change::clone(&after.unwrap());
    after.deps = vec![bad.id()];
    after.start_op = bad.end_op() + 1;
    let applied = record.apply(&[own(&after), bad.clone()]).unwrap();
    assert_eq!(applied.admitted.len(), 0);
    assert!(matches!(applied.refused[0].reason, Refusal::StartOp { .. }));
    assert_eq!(applied.waiting[0].reason, Refusal::Missing(vec![bad.id()]));
    assert_eq!(other.apply(&[]).unwrap().admitted.len(), 0);
}

#[test]
fn a_change_of_another_record_waits_for_what_never_comes() {
    let (mut record, _) = scene();
    let other_id = fallaway_changes::RecordId::from_bytes([0x99; 16]);
    let mut other = Record::create(other_id).unwrap();
    let foreign = write(&mut other, writer(5), 1, |r| vec![spec_put(r, "name", b"\x61a")]);
    let missing = vec![ChangeId::founding(&other_id)];
    assert_eq!(refused(&mut record, &foreign), Refusal::Missing(missing));
}

fn founded() -> Record {
    Record::create(record_id()).unwrap()
}

/// A field to which so many writers gave values apart, brought together by two who had each seen half.
fn many_values(count: u16) -> (Record, Vec<VerifiedChange>) {
    let mut halves = [founded(), founded()];
    let mut changes = Vec::new();
    for number in 0..count {
        let mut bytes = [7; 16];
        bytes[..2].copy_from_slice(&number.to_be_bytes());
        let alone = founded();
        let put = spec_put(&alone, "name", &[0x42, bytes[0], bytes[1]]);
        let change = alone.prepare(Writer::from_bytes(bytes), 1, vec![put]).unwrap();
        assert_clean(
            &halves[usize::from(number % 2)].apply(std::slice::from_ref(&change)).unwrap(),
        );
        changes.push(change);
    }
    for (half, by) in halves.iter_mut().zip([3, 4]) {
        let id = EntryId::new(writer(by), 1);
        changes.push(write(half, writer(by), 2, |_| vec![log_put(&remark(id, 2, "seen"))]));
    }
    let mut all = founded();
    assert_clean(&all.apply(&changes).unwrap());
    (all, changes)
}

#[test]
fn any_number_of_values_can_be_settled_and_no_other_way_than_by_all_of_them() {
    let (mut record, mut changes) = many_values(400);
    let seen = record.versions(Container::SPEC, "name");
    assert_eq!(seen.len(), 400);
    let seen: Vec<OpId> = seen.into_iter().map(|version| version.op).collect();
    let draft = Draft::new();
    let editor = record.editor(writer(5), &draft);
    let settle = |seen: &[OpId]| editor.settle(Container::SPEC, "name", b"\x61a", seen);
    assert!(settle(&seen[1..]).is_err(), "nobody settles what he has not seen");
    let put = settle(&seen).unwrap();
    let drafted = record.registers().with_draft(std::slice::from_ref(&put), writer(5), 3);
    assert_eq!(drafted.contested().count(), 0);
    record.check_draft(writer(5), 3, std::slice::from_ref(&put)).unwrap();
    let settled = record.prepare(writer(5), 3, vec![put]).unwrap();

    // Of the values the lowest are named, and no others.
    for pred in [&seen[1..257], &seen[..255], &seen[144..]] {
        let mut bad = Change::clone(&settled);
        bad.ops[0].pred = pred.to_vec();
        assert!(matches!(refused(&mut record, &bad), Refusal::Predecessors { .. }));
    }
    // Settled here, by whoever takes everything at once, and after a snapshot.
    changes.push(settled.clone());
    assert_clean(&record.apply(std::slice::from_ref(&settled)).unwrap());
    let after = write(&mut record, writer(6), 4, |record| vec![spec_put(record, "name", b"\x61b")]);
    changes.push(after);
    let mut other = founded();
    assert_clean(&other.apply(&changes).unwrap());
    let saved = record.save().unwrap();
    let ids: Vec<_> = changes.iter().map(VerifiedChange::id).collect();
    record.read_back(&saved, &ids).unwrap();
    let loaded = Record::load(record_id(), &saved).unwrap();
    for record in [&record, &other, &loaded] {
        let now = record.versions(Container::SPEC, "name");
        assert_eq!(
            now.iter().map(|version| version.value.as_slice()).collect::<Vec<_>>(),
            [b"\x61b"]
        );
    }
    assert_eq!(loaded.change(&settled.id()), Some(settled));
}
