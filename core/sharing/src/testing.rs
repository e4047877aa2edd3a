//! Values for the tests of this crate.

use fallaway_order::Set;

use fallaway_changes::{
    Change, ChangeId, Container, Incarnation, MemberHash, Put, RecordId, VerifiedChange, entry_key,
    writer,
};

use crate::chain::{ChainProof, ChangeBundle};
use crate::identity::DeviceKeys;

/// A small CBOR integer.
pub(crate) fn item(value: u8) -> Vec<u8> {
    assert!(value < 24);
    vec![value]
}

/// The keys of device number `byte`.
pub(crate) fn keys(byte: u8) -> DeviceKeys {
    DeviceKeys::from_seed(&[byte; 32])
}

/// The record of most tests.
pub(crate) fn record() -> RecordId {
    RecordId::from_bytes([0x52; 16])
}

/// The incarnation of most tests.
pub(crate) fn incarnation() -> Incarnation {
    Incarnation::from_bytes([0x49; 16])
}

/// Some member heads.
pub(crate) fn heads() -> Set<MemberHash> {
    Set::from([MemberHash::from_bytes([0x4d; 32])])
}

/// `count` linked changes of one writer, from number `first`, each with the given values as log
/// entries.
pub(crate) fn linked(
    by: &DeviceKeys,
    first: u64,
    count: u64,
    values: &[Vec<u8>],
) -> Vec<VerifiedChange> {
    let writer = writer(&by.device(), &record(), &incarnation());
    let mut deps = vec![ChangeId::from_bytes([0x44; 32])];
    let mut changes: Vec<VerifiedChange> = Vec::new();
    for seq in first..first + count {
        let number = 500 + (seq - first) * values.len() as u64;
        let ops = values.iter().zip(number..).map(|(value, number)| Put {
            container: Container::LOG,
            key: entry_key(&writer, number),
            value: value.clone(),
        });
        let time = 1_790_000_000 + seq as i64;
        let change = Change { writer, seq, time, deps, ops: ops.collect() };
        let change = VerifiedChange::own(&record(), change).unwrap();
        deps = vec![change.id()];
        changes.push(change);
    }
    changes
}

/// The proof that a device gives of its changes.
pub(crate) fn proof_of(by: &DeviceKeys, changes: &[VerifiedChange]) -> ChainProof {
    let last = changes.last().unwrap();
    ChainProof::sign(by, record(), incarnation(), last.seq, last.id(), &heads())
}

/// A signed bundle of such changes.
pub(crate) fn bundle(by: &DeviceKeys, first: u64, count: u64, values: &[Vec<u8>]) -> ChangeBundle {
    let changes = linked(by, first, count, values);
    ChangeBundle::new(proof_of(by, &changes), changes).unwrap()
}

/// A CBOR byte string of `length` bytes in all.
pub(crate) fn value_of(length: usize) -> Vec<u8> {
    let mut out = fallaway_changes::cbor::Builder::new();
    let head = [1, 2, 3].into_iter().find(|head| length - head <= [23, 255, 65_535][head - 1]);
    out.bytes(&vec![0x5a; length - head.unwrap()]);
    out.finish()
}

/// Numbers of the long lanes, tried by as many threads as there are processors; what each thread
/// told. `FALLAWAY_<NAME>` is how many instead of `usual`, `FALLAWAY_SEED` the first of them.
pub(crate) fn in_parts<T: Default + Send>(
    name: &str,
    usual: u64,
    each: impl Fn(u64, &mut T) + Sync,
) -> Vec<T> {
    let number = |name: &str| std::env::var(name).ok().map(|text| text.parse::<u64>().unwrap());
    let first = number("FALLAWAY_SEED").unwrap_or(0);
    let last = first + number(&format!("FALLAWAY_{name}")).unwrap_or(usual);
    let parts = std::thread::available_parallelism().map_or(1, usize::from);
    let each = &each;
    std::thread::scope(|threads| {
        let part = |part: usize| {
            threads.spawn(move || {
                let mut told = T::default();
                let seeds = (first..last).skip(part).step_by(parts);
                seeds.for_each(|seed| each(seed, &mut told));
                told
            })
        };
        let parts: Vec<_> = (0..parts).map(part).collect();
        parts.into_iter().map(|part| part.join().unwrap()).collect()
    })
}

/// Repeatable chance (SplitMix64).
pub(crate) struct Dice(u64);

impl Dice {
    /// The same seed throws the same.
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x2545_f491_4f6c_dd1d))
    }

    /// Any number.
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `most`, which is above 0.
    pub(crate) fn below(&mut self, most: usize) -> usize {
        (self.next() % most as u64) as usize
    }

    /// Once in so many times.
    pub(crate) fn one_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }
}
