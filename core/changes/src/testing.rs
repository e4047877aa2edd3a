//! Generated values for the tests of this crate.

use proptest::collection::{btree_set, vec};
use proptest::prelude::*;

use crate::change::{Change, Container, OpId, Put};
use crate::ids::{ChangeId, Writer, entry_key};

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
            container: Container::RETRACTED,
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
        let deps = btree_set(any::<[u8; 32]>().prop_map(ChangeId::from_bytes), 0..4);
        let ops = vec(any_put(writer, start_op), 1..8);
        (-1_000_000_000..4_000_000_000_i64, deps, ops).prop_map(move |(time, deps, mut ops)| {
            let mut seen = std::collections::HashSet::new();
            ops.retain(|put| seen.insert((put.container, put.key.clone())));
            Change { writer, seq, start_op, time, deps: deps.into_iter().collect(), ops }
        })
    })
}

/// A CBOR byte string of `length` bytes in all.
pub fn value_of(length: usize) -> Vec<u8> {
    let mut out = crate::cbor::Builder::new();
    let head = [1, 2, 3].into_iter().find(|head| length - head <= [23, 255, 65_535][head - 1]);
    out.bytes(&vec![0x5a; length - head.unwrap()]);
    out.finish()
}
