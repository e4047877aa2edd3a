//! Generated values for the tests of this crate.

use proptest::collection::{btree_set, vec};
use proptest::prelude::*;

use crate::change::{Change, Container, Put};
use crate::ids::{ChangeId, Writer, entry_key};

/// A small CBOR integer.
pub(crate) fn item(value: u8) -> Vec<u8> {
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

fn any_put(own: Writer) -> impl Strategy<Value = Put> {
    let put = |container, key, value| Put { container, key, value };
    prop_oneof![
        (any::<u32>(), any_value()).prop_map(move |(number, value)| {
            put(Container::LOG, entry_key(&own, u64::from(number)), value)
        }),
        (any_writer(), any::<u64>(), any_value()).prop_map(move |(writer, number, value)| {
            put(Container::RETRACTED, entry_key(&writer, number), value)
        }),
        (prop_oneof![Just(0_u8), Just(1), Just(2), 5..=255_u8], "[a-z/.0-9]{1,30}", any_value())
            .prop_map(move |(container, key, value)| put(Container(container), key, value)),
    ]
}

/// An acceptable change.
pub(crate) fn any_change() -> impl Strategy<Value = Change> {
    (any_writer(), 1..1_000_u64).prop_flat_map(|(writer, seq)| {
        let deps = btree_set(any::<[u8; 32]>().prop_map(ChangeId::from_bytes), 0..4);
        let ops = vec(any_put(writer), 1..8);
        (-1_000_000_000..4_000_000_000_i64, deps, ops).prop_map(move |(time, deps, mut ops)| {
            let mut seen = std::collections::HashSet::new();
            ops.retain(|put| seen.insert((put.container, put.key.clone())));
            Change { writer, seq, time, deps: deps.into_iter().collect(), ops }
        })
    })
}

/// A CBOR byte string of `length` bytes in all.
pub(crate) fn value_of(length: usize) -> Vec<u8> {
    let mut out = crate::cbor::Builder::new();
    let head = [1, 2, 3].into_iter().find(|head| length - head <= [23, 255, 65_535][head - 1]);
    out.bytes(&vec![0x5a; length - head.unwrap()]);
    out.finish()
}
