//! Generated values for the tests of this crate.

use proptest::collection::{btree_set, vec};
use proptest::prelude::*;

use std::collections::BTreeSet;

use crate::chain::{ChainProof, ChangeBundle};
use crate::change::{Change, Container, OpId, Put};
use crate::identity::DeviceKeys;
use crate::ids::{ChangeHash, Incarnation, MemberHash, RecordId, Writer, entry_key, writer};

/// A small CBOR integer.
pub fn item(value: u8) -> Vec<u8> {
    assert!(value < 24);
    vec![value]
}

fn any_writer() -> impl Strategy<Value = Writer> {
    // Few writers, so that the table of a change is used.
    (0_u8..6).prop_map(|byte| Writer::from_bytes([byte; 16]))
}

fn any_value() -> impl Strategy<Value = Vec<u8>> {
    vec(any::<u8>(), 0..40).prop_map(|bytes| {
        let mut out = crate::cbor::Builder::new();
        out.array(2).uint(bytes.len() as u64).bytes(&bytes);
        out.finish()
    })
}

fn any_put(own: Writer, start_op: u64) -> impl Strategy<Value = Put> {
    let pred = btree_set(
        (1..start_op)
            .prop_flat_map(|counter| any_writer().prop_map(move |writer| OpId { counter, writer })),
        0..4,
    );
    let pred = if start_op == 1 {
        Just(Vec::new()).boxed()
    } else {
        pred.prop_map(|set| set.into_iter().collect()).boxed()
    };
    prop_oneof![
        (any::<u32>(), any_value()).prop_map(move |(number, value)| Put {
            container: Container::LOG,
            key: entry_key(&own, u64::from(number)),
            value,
            pred: Vec::new(),
        }),
        (any_writer(), any::<u64>(), any_value()).prop_map(|(writer, number, value)| Put {
            container: Container::STRUCK,
            key: entry_key(&writer, number),
            value,
            pred: Vec::new(),
        }),
        (
            prop_oneof![Just(0_u8), Just(1), Just(2), 5..=255_u8],
            "[a-z/.0-9]{1,30}",
            any_value(),
            pred
        )
            .prop_map(|(container, key, value, pred)| Put {
                container: Container(container),
                key,
                value,
                pred,
            }),
    ]
}

/// An acceptable change.
pub fn any_change() -> impl Strategy<Value = Change> {
    (any_writer(), 1..1_000_u64, 1..100_000_u64).prop_flat_map(|(writer, seq, start_op)| {
        let deps = btree_set(any::<[u8; 32]>().prop_map(ChangeHash::from_bytes), 0..4);
        let ops = vec(any_put(writer, start_op), 1..8);
        (-1_000_000_000..4_000_000_000_i64, deps, ops).prop_map(move |(time, deps, mut ops)| {
            let mut seen = std::collections::HashSet::new();
            ops.retain(|put| seen.insert((put.container, put.key.clone())));
            Change { writer, seq, start_op, time, deps: deps.into_iter().collect(), ops }
        })
    })
}

/// The keys of device number `byte`.
pub fn keys(byte: u8) -> DeviceKeys {
    DeviceKeys::from_seed(&[byte; 32])
}

/// The record of most tests.
pub fn record() -> RecordId {
    RecordId::from_bytes([0x52; 16])
}

/// The incarnation of most tests.
pub fn incarnation() -> Incarnation {
    Incarnation::from_bytes([0x49; 16])
}

/// Stands for the document library's hash, which this crate cannot compute.
pub fn hash_of(change: &Change) -> ChangeHash {
    ChangeHash::from_bytes(*blake3::hash(&change.encode()).as_bytes())
}

/// Some member heads.
pub fn heads() -> BTreeSet<MemberHash> {
    BTreeSet::from([MemberHash::from_bytes([0x4d; 32])])
}

/// `count` linked changes of one writer, from number `first`, each with the given values as log
/// entries.
pub fn linked(by: &DeviceKeys, first: u64, count: u64, values: &[Vec<u8>]) -> Vec<Change> {
    let writer = writer(&by.device(), &record(), &incarnation());
    let mut deps = vec![ChangeHash::from_bytes([0x44; 32])];
    let mut changes: Vec<Change> = Vec::new();
    for seq in first..first + count {
        let start_op = 500 + (seq - first) * values.len() as u64;
        let ops = values.iter().zip(start_op..).map(|(value, number)| Put {
            container: Container::LOG,
            key: entry_key(&writer, number),
            value: value.clone(),
            pred: Vec::new(),
        });
        let time = 1_790_000_000 + seq as i64;
        let change = Change { writer, seq, start_op, time, deps, ops: ops.collect() };
        deps = vec![hash_of(&change)];
        changes.push(change);
    }
    changes
}

/// A signed bundle of such changes.
pub fn bundle(by: &DeviceKeys, first: u64, count: u64, values: &[Vec<u8>]) -> ChangeBundle {
    let changes = linked(by, first, count, values);
    let last = changes.last().unwrap();
    let proof = ChainProof::sign(by, record(), incarnation(), last.seq, hash_of(last), &heads());
    ChangeBundle::new(proof, changes).unwrap()
}

/// A CBOR byte string of `length` bytes in all.
pub fn value_of(length: usize) -> Vec<u8> {
    let mut out = crate::cbor::Builder::new();
    let head = [1, 2, 3].into_iter().find(|head| length - head <= [23, 255, 65_535][head - 1]);
    out.bytes(&vec![0x5a; length - head.unwrap()]);
    out.finish()
}
