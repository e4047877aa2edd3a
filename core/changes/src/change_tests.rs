use super::*;
use crate::testing::{any_change, item};
use proptest::prelude::*;

fn writer(byte: u8) -> Writer {
    Writer::from_bytes([byte; 16])
}

fn put(container: Container, key: &str) -> Put {
    Put { container, key: key.to_owned(), value: item(5) }
}

fn change(ops: Vec<Put>) -> Change {
    Change { writer: writer(1), seq: 1, time: 1_700_000_000, deps: Vec::new(), ops }
}

fn fault(put: Put) -> OpFault {
    match change(vec![put]).validate() {
        Err(ChangeError::Op { index: 0, fault }) => fault,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_change_may_only_join_what_others_did() {
    let mut joins = change(Vec::new());
    joins.deps = vec![ChangeId::from_bytes([1; 32]), ChangeId::from_bytes([2; 32])];
    assert_eq!(joins.validate(), Ok(()));
    assert_eq!(Change::decode(&joins.encode()), Ok(joins));
}

#[test]
fn an_own_entry_key_takes_one_to_three_bytes() {
    let own = change(vec![put(Container::LOG, &entry_key(&writer(1), 7))]);
    let bytes = own.encode();
    assert_eq!(Change::decode(&bytes), Ok(own));
    // 1 array, 17 writer, 1 seq, 5 time, 1 deps, 1 writers, 1 ops, then
    // array 1, container 1, key 1, value 1.
    assert_eq!(bytes.len(), 31);
}

#[test]
fn another_writers_entry_can_be_crossed_out() {
    let struck = change(vec![put(Container::RETRACTED, &entry_key(&writer(2), 7))]);
    assert_eq!(Change::decode(&struck.encode()), Ok(struck));
}

#[test]
fn unknown_containers_are_kept() {
    let newer = change(vec![put(Container(200), "anything")]);
    assert_eq!(Change::decode(&newer.encode()), Ok(newer));
}

#[test]
fn operations_that_break_a_rule_are_named() {
    assert_eq!(fault(put(Container::SPEC, "")), OpFault::Key);
    assert_eq!(fault(put(Container::SPEC, "a\nb")), OpFault::Key);
    assert_eq!(fault(put(Container::SPEC, &"x".repeat(MAX_KEY + 1))), OpFault::Key);
    assert_eq!(fault(put(Container::LOG, "visit")), OpFault::EntryKey);
    assert_eq!(fault(put(Container::LOG, &entry_key(&writer(2), 7))), OpFault::ForeignEntry);
    let key = || put(Container::SPEC, "key");
    let large = crate::testing::value_of(MAX_VALUE + 1);
    assert_eq!(fault(Put { value: large, ..key() }), OpFault::ValueSize);
    for value in [vec![], vec![0, 0], vec![0x18, 1], vec![0x9f, 0xff]] {
        assert!(matches!(fault(Put { value, ..key() }), OpFault::Value(_)));
    }
    let same = change(vec![key(), key()]);
    assert_eq!(same.validate(), Err(ChangeError::Op { index: 1, fault: OpFault::Duplicate }));
}

#[test]
fn changes_that_break_a_rule_are_named() {
    let good = change(vec![put(Container::SPEC, "key")]);
    let refused = |edit: fn(&mut Change)| {
        let mut bad = good.clone();
        edit(&mut bad);
        let error = bad.validate().unwrap_err();
        assert!(Change::decode(&bad.encode()).is_err());
        error.to_string()
    };
    assert_eq!(refused(|c| c.ops.clear()), "a change has no operations and joins nothing");
    assert_eq!(refused(|c| c.seq = 0), "sequence number: 0 is not within 1 to 2147483647");
    assert!(refused(|c| c.time = i64::MAX).starts_with("stated time"));
    assert_eq!(
        refused(|c| c.deps = vec![ChangeId::from_bytes([1; 32]); 2]),
        "dependencies are not sorted and unique"
    );
}

#[test]
fn a_huge_announced_count_allocates_nothing() {
    let mut bytes = change(vec![put(Container::SPEC, "key")]).encode();
    // The array of operations: replace its head by one of 2^32 - 1 items.
    let head = bytes.iter().rposition(|byte| *byte == 0x81).unwrap();
    bytes.splice(head..=head, [0x9a, 0xff, 0xff, 0xff, 0xff]);
    assert!(matches!(Change::decode(&bytes), Err(ChangeError::TooLarge { .. })));
}

#[test]
fn a_long_spelling_of_an_own_key_is_refused() {
    let own = change(vec![put(Container::LOG, &entry_key(&writer(1), 7))]);
    let short = own.encode();
    let key = entry_key(&writer(1), 7);
    let mut long = Builder::new();
    long.raw(&short[..short.len() - 2]).text(&key).raw(&item(5));
    assert_eq!(Change::decode(&long.finish()), Err(ChangeError::NotCanonical));
}

proptest! {
    #[test]
    fn changes_round_trip(change in any_change()) {
        prop_assert_eq!(change.validate(), Ok(()));
        prop_assert_eq!(Change::decode(&change.encode()), Ok(change));
    }

    #[test]
    fn what_is_accepted_has_one_encoding(
        change in any_change(),
        place: prop::sample::Index,
        byte: u8,
    ) {
        let mut bytes = change.encode();
        let place = place.index(bytes.len());
        bytes[place] = byte;
        if let Ok(decoded) = Change::decode(&bytes) {
            prop_assert_eq!(decoded.encode(), bytes);
        }
    }

    #[test]
    fn a_shortened_change_is_refused(change in any_change(), place: prop::sample::Index) {
        let bytes = change.encode();
        prop_assert!(Change::decode(&bytes[..place.index(bytes.len())]).is_err());
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = Change::decode(&bytes);
    }
}
