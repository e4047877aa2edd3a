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
    assert_clean, log_put, own, prepared, record_id, remark, spec_put, target, target_put, write,
    writer,
};
use fallaway_changes::{Change, ChangeId, Container, Put, VerifiedChange, Writer};
use fallaway_record::{Draft, EntryId, OpId, Record, Refusal};

/// A record with some history by writers 1 and 2, and a good next change of writer 2.
fn scene() -> (Record, Change) {
    let mut record = Record::create(record_id());
    let (tech, player) = (writer(1), writer(2));
    write(&mut record, tech, 10, |_| vec![spec_put("name", b"\x61a")]);
    write(&mut record, player, 20, |_| {
        vec![log_put(&remark(EntryId::new(player, 1), 20, "buzzes"))]
    });
    write(&mut record, tech, 30, |r| vec![target_put(r, tech, &target(180, 30))]);
    let puts =
        vec![spec_put("name", b"\x61b"), log_put(&remark(EntryId::new(player, 2), 40, "fine now"))];
    let next = prepared(&record, player, 40, puts);
    (record, Change::clone(&next))
}

/// Refused by `check` and by `apply`, alone and in a round with a good change.
fn refused(record: &mut Record, bad: &Change) -> Refusal {
    let heads = record.heads();
    let snapshot = record.save();
    let bad = own(bad);
    let reason = record.check(&bad).unwrap_err();
    let applied = record.apply(std::slice::from_ref(&bad));
    assert!(applied.admitted.is_empty() && applied.touched.is_empty());
    if reason.is_waiting() {
        assert_eq!(applied.waiting[0].reason, reason);
    } else {
        assert_eq!(applied.refused[0].reason, reason);
    }
    assert_eq!(record.heads(), heads);
    assert_eq!(record.save(), snapshot, "the record is as it was");

    let mut other = Record::load(record_id(), &snapshot).unwrap();
    let good = prepared(&other, writer(3), 50, vec![spec_put("about", b"\x61z")]);
    let applied = other.apply(&[bad, good.clone()]);
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
    assert_eq!(record.apply(std::slice::from_ref(&next)).admitted, [next.id()]);
    // Replayed.
    let again = record.apply(&[next.clone(), next.clone()]);
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
    let mut other = Record::load(record_id(), &record.save()).unwrap();
    other.apply(&[own(&next)]);
    let fresh = log_put(&remark(EntryId::new(writer(2), 3), 50, "new"));
    let mut after = Change::clone(&prepared(&other, writer(2), 50, vec![fresh]));
    after.ops = vec![next.ops[1].clone()];
    let applied = record.apply(&[own(&after), own(&next)]);
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
fn unknown_containers_wait_for_a_newer_library() {
    let (mut record, mut next) = scene();
    next.ops.push(Put { container: Container(6), key: "x".to_owned(), value: vec![0] });
    assert_eq!(refused(&mut record, &next), Refusal::UnknownContainer(6));
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
    let mut other = Record::load(record_id(), &record.save()).unwrap();
    let mut bad = next;
    bad.ops[1].value = b"\x00".to_vec();
    let bad = own(&bad);
    let after = prepared(&other, writer(3), 60, vec![spec_put("about", b"\x61a")]);
    let mut after = Change::clone(&after);
    after.deps = vec![bad.id()];
    let applied = record.apply(&[own(&after), bad.clone()]);
    assert_eq!(applied.admitted.len(), 0);
    assert!(matches!(applied.refused[0].reason, Refusal::Entry { .. }));
    assert_eq!(applied.waiting[0].reason, Refusal::Missing(vec![bad.id()]));
    assert_eq!(other.apply(&[]).admitted.len(), 0);
}

#[test]
fn a_change_of_another_record_waits_for_what_never_comes() {
    let (mut record, _) = scene();
    let other_id = fallaway_changes::RecordId::from_bytes([0x99; 16]);
    let mut other = Record::create(other_id);
    let foreign = write(&mut other, writer(5), 1, |_| vec![spec_put("name", b"\x61a")]);
    let missing = vec![ChangeId::founding(&other_id)];
    assert_eq!(refused(&mut record, &foreign), Refusal::Missing(missing));
}

/// A field to which so many writers gave values apart.
fn many_values(count: u16) -> (Record, Vec<VerifiedChange>) {
    let changes: Vec<_> = (0..count)
        .map(|number| {
            let mut bytes = [7; 16];
            bytes[..2].copy_from_slice(&number.to_be_bytes());
            let put = spec_put("name", &[0x42, bytes[0], bytes[1]]);
            prepared(&founded(), Writer::from_bytes(bytes), 1, vec![put])
        })
        .collect();
    let mut all = founded();
    assert_clean(&all.apply(&changes));
    assert_eq!(all.heads().len(), usize::from(count));
    (all, changes)
}

/// One change names at most 256 others, and a member can have any number of writers: whoever writes
/// next joins them in steps.
#[test]
fn any_number_of_values_and_of_heads_can_be_settled() {
    for (count, steps) in [(255, 1), (256, 1), (257, 2), (600, 3)] {
        let (mut record, mut changes) = many_values(count);
        let seen: Vec<OpId> =
            record.versions(Container::SPEC, "name").iter().map(|version| version.op).collect();
        assert_eq!(seen.len(), usize::from(count));
        let draft = Draft::new();
        let editor = record.editor(writer(5), &draft);
        let settle = |seen: &[OpId]| editor.settle(Container::SPEC, "name", b"\x61a", seen);
        assert!(settle(&seen[1..]).is_err(), "nobody settles what he has not seen");
        let put = settle(&seen).unwrap();
        let drafted = record.registers().with_draft(std::slice::from_ref(&put), writer(5), 3);
        assert_eq!(drafted.contested().count(), 0);
        record.check_draft(writer(5), 3, std::slice::from_ref(&put)).unwrap();
        let settled = record.prepare(writer(5), 3, vec![put]).unwrap();
        assert!(settled.iter().all(|change| change.deps.len() <= 256));
        assert_eq!(settled.len(), steps);

        // Settled here, by whoever takes everything at once, and after a snapshot.
        assert_eq!(record.apply(&settled).admitted.len(), settled.len());
        assert_eq!(record.heads(), [settled.last().unwrap().id()]);
        changes.extend(settled.iter().cloned());
        let after = write(&mut record, writer(6), 4, |_| vec![spec_put("name", b"\x61b")]);
        changes.push(after);
        let mut other = founded();
        assert_clean(&other.apply(&changes));
        let loaded = Record::load(record_id(), &record.save()).unwrap();
        for record in [&record, &other, &loaded] {
            let now = record.versions(Container::SPEC, "name");
            assert_eq!(
                now.iter().map(|version| version.value.as_slice()).collect::<Vec<_>>(),
                [b"\x61b"]
            );
        }
        assert_eq!(loaded.change(&settled[0].id()), Some(settled[0].clone()));
    }
}

/// Somebody who has not seen a value keeps it: only what is in the past is superseded.
#[test]
fn a_write_takes_the_place_of_what_it_has_seen_and_of_nothing_else() {
    let (record, changes) = many_values(3);
    let mut half = founded();
    assert_clean(&half.apply(&changes[..2]));
    let late = write(&mut half, writer(5), 2, |_| vec![spec_put("name", b"\x61a")]);
    let mut record = record;
    assert_clean(&record.apply(std::slice::from_ref(&late)));
    let mut values: Vec<_> =
        record.versions(Container::SPEC, "name").into_iter().map(|one| one.value).collect();
    values.sort_unstable();
    assert_eq!(values, [changes[2].ops[0].value.clone(), b"\x61a".to_vec()]);
}

fn founded() -> Record {
    Record::create(record_id())
}
