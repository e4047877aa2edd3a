//! Laws: whatever the order, the duplication and the interleaving, replicas that have the same
//! changes are equal, and every contest is visible on all of them.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a failed helper fails the test"
)]

mod common;

use common::{assert_clean, log_put, record_id, remark, spec_put, writer};
use fallaway_changes::{Change, ChangeId, Container, Put, VerifiedChange, Writer};
use fallaway_record::{EntryId, Record, Retraction};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// What happens on one replica, or between two.
#[derive(Debug, Clone)]
enum Step {
    Write { replica: usize, key: u8, value: u8 },
    Log { replica: usize, at: i64 },
    Retract { replica: usize, which: usize },
    Pull { from: usize, to: usize, order: u64 },
}

fn step(replicas: usize) -> impl Strategy<Value = Step> {
    let replica = 0..replicas;
    prop_oneof![
        3 => (replica.clone(), 0..3_u8, 0..3_u8)
            .prop_map(|(replica, key, value)| Step::Write { replica, key, value }),
        2 => (replica.clone(), 0..100_i64).prop_map(|(replica, at)| Step::Log { replica, at }),
        1 => (replica.clone(), any::<usize>())
            .prop_map(|(replica, which)| Step::Retract { replica, which }),
        2 => (replica.clone(), replica, any::<u64>())
            .prop_map(|(from, to, order)| Step::Pull { from, to, order }),
    ]
}

/// A shuffle that depends on the seed only.
fn shuffle(changes: &mut [VerifiedChange], mut seed: u64) {
    for place in (1..changes.len()).rev() {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        changes.swap(place, (seed >> 33) as usize % (place + 1));
    }
}

fn all_changes(record: &Record) -> Vec<VerifiedChange> {
    record.writers().iter().flat_map(|by| record.changes_of(by)).collect()
}

struct Replica {
    record: Record,
    number: u64,
}

fn run(replica: &mut Replica, index: usize, step: &Step) {
    let by = writer(index as u8 + 1);
    let puts = match step {
        Step::Write { key, value, .. } => {
            vec![spec_put(&format!("field-{key}"), &[*value])]
        }
        Step::Log { at, .. } => {
            replica.number += 1;
            vec![log_put(&remark(EntryId::new(by, replica.number), *at, "x"))]
        }
        Step::Retract { which, .. } => {
            let ids: Vec<_> = replica.record.state().entries().map(|p| p.entry.id).collect();
            let Some(id) = ids.get(which % ids.len().max(1)) else { return };
            let retraction = Retraction { at: common::moment(1), by: None, reason: "r".to_owned() };
            match replica
                .record
                .editor(by, &fallaway_record::Draft::new())
                .retract(*id, &retraction)
            {
                Ok(put) => vec![put],
                Err(_) => return,
            }
        }
        Step::Pull { .. } => return,
    };
    common::write(&mut replica.record, by, 0, |_| puts);
}

/// What anybody can see: heads, registers, entries in order, and who crossed them out.
fn face(record: &Record) -> (Vec<ChangeId>, Vec<String>, Vec<EntryId>, Vec<Vec<Writer>>) {
    let state = record.state();
    let registers = state.registers().iter().map(|all| format!("{all:?}")).collect();
    let entries: Vec<_> = state.entries().map(|placed| placed.entry.id).collect();
    let retracted_by =
        |id: &EntryId| state.retractions(*id).iter().map(|retraction| retraction.writer).collect();
    let retracted = entries.iter().map(retracted_by).collect();
    (record.heads(), registers, entries, retracted)
}

/// The values of each register by the definition: written, and by no later change that had seen it
/// written again.
fn expected_values(changes: &[VerifiedChange]) -> BTreeMap<String, BTreeSet<Vec<u8>>> {
    let by_id: BTreeMap<ChangeId, &VerifiedChange> =
        changes.iter().map(|change| (change.id(), change)).collect();
    let past = |change: &VerifiedChange| {
        let mut seen = BTreeSet::new();
        let mut open = change.deps.clone();
        while let Some(id) = open.pop() {
            if seen.insert(id) {
                open.extend(by_id.get(&id).into_iter().flat_map(|change| &change.deps));
            }
        }
        seen
    };
    let puts = |change: &Change| -> Vec<Put> {
        change.ops.iter().filter(|put| put.container == Container::SPEC).cloned().collect()
    };
    let mut values: BTreeMap<String, BTreeSet<Vec<u8>>> = BTreeMap::new();
    for change in changes {
        for put in puts(change) {
            let again = |later: &&VerifiedChange| {
                puts(later).iter().any(|other| other.key == put.key)
                    && past(later).contains(&change.id())
            };
            if !changes.iter().any(|later| again(&later)) {
                values.entry(put.key).or_default().insert(put.value);
            }
        }
    }
    values
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn replicas_agree_and_every_contest_is_visible(
        steps in prop::collection::vec(step(4), 1..40),
        last_order in any::<u64>(),
    ) {
        let mut replicas: Vec<_> = (0..4)
            .map(|_| Replica { record: Record::create(record_id()), number: 0 })
            .collect();
        for step in &steps {
            match step {
                Step::Pull { from, to, order } => {
                    let mut changes = all_changes(&replicas[*from].record);
                    shuffle(&mut changes, *order);
                    // The first few twice, as a retry would send them.
                    changes.extend(changes.clone().into_iter().take(3));
                    assert_clean(&replicas[*to].record.apply(&changes));
                }
                Step::Write { replica, .. } | Step::Log { replica, .. } | Step::Retract { replica, .. } => {
                    run(&mut replicas[*replica], *replica, step);
                }
            }
        }
        let mut changes: Vec<_> =
            replicas.iter().flat_map(|replica| all_changes(&replica.record)).collect();
        // One by one, what cannot enter yet is tried again later.
        shuffle(&mut changes, last_order);
        let mut one_by_one = Record::create(record_id());
        let mut waiting = changes.clone();
        while !waiting.is_empty() {
            let before = waiting.len();
            waiting.retain(|change| {
                let applied = one_by_one.apply(std::slice::from_ref(change));
                assert_eq!(applied.refused.len(), 0);
                !applied.waiting.is_empty()
            });
            prop_assert!(waiting.len() < before);
        }
        let wanted = face(&one_by_one);
        for replica in &mut replicas {
            let applied = replica.record.apply(&changes);
            assert_clean(&applied);
            prop_assert_eq!(&face(&replica.record), &wanted);
            let loaded = Record::load(record_id(), &replica.record.save()).unwrap();
            prop_assert_eq!(&face(&loaded), &wanted);
        }
        let unique: BTreeMap<_, _> =
            changes.into_iter().map(|change| (change.id(), change)).collect();
        let unique: Vec<_> = unique.into_values().collect();
        let registers = one_by_one.registers();
        for (key, values) in expected_values(&unique) {
            let register = registers.get(Container::SPEC, &key).unwrap();
            let found: BTreeSet<_> =
                register.versions.iter().map(|version| version.value.clone()).collect();
            prop_assert_eq!(register.contested, values.len() > 1);
            prop_assert_eq!(found, values);
        }
        // History is handed on byte for byte.
        for change in &unique {
            prop_assert_eq!(&one_by_one.change(&change.id()).unwrap(), change);
        }
    }
}
