//! Any sequence of calls gets the same answers from both stores: the one in memory is simple
//! enough to be the model of the other.

#![allow(clippy::unwrap_used, reason = "a test")]

mod common;

use common::{change, hash, line, member, record, signature, snapshot, this_writer};
use fallaway_store::{
    Batch, ChangeStanding, DraftEdit, Generation, MemoryStore, Move, Outgoing, OutgoingEdit,
    SqliteStore, Store,
};
use proptest::prelude::*;

/// A call; `behind` says how far the generation that it names lies behind.
#[derive(Debug, Clone)]
enum Call {
    Create(u8, Batch),
    Delete(u8),
    Commit(u8, u64, Batch),
    Compact(u8, u64, Vec<(u8, u64)>, bool),
    Meta(bool),
    Pause,
}

fn standing() -> impl Strategy<Value = ChangeStanding> {
    prop_oneof![
        4 => Just(ChangeStanding::Admitted),
        1 => Just(ChangeStanding::Waiting),
        1 => Just(ChangeStanding::Held),
        1 => Just(ChangeStanding::Quarantined),
    ]
}

fn batch() -> impl Strategy<Value = Batch> {
    let by = 1..3_u8;
    let seq = 1..5_u64;
    let changes =
        (by.clone(), seq.clone(), 0..2_u8, standing()).prop_map(|(by, seq, branch, at)| {
            let mut change = change(by, seq, at);
            change.hash = hash(by, seq, branch);
            change
        });
    let moves = (by.clone(), seq.clone(), 0..2_u8, standing()).prop_map(|(by, seq, branch, to)| {
        Move { hash: hash(by, seq, branch), standing: to, reason: None }
    });
    let draft = prop_oneof![
        1 => Just(DraftEdit::Clear),
        4 => (0..4_u64, by.clone()).prop_map(|(at, by)| DraftEdit::Put(line(at, by))),
        1 => (0..4_u64).prop_map(DraftEdit::Erase),
    ];
    let outgoing = (by.clone(), seq.clone(), any::<bool>()).prop_map(|(by, seq, add)| {
        let item = Outgoing::Change(hash(by, seq, 0));
        if add { OutgoingEdit::Add(item) } else { OutgoingEdit::Done(item) }
    });
    let few = 0..3_usize;
    (
        proptest::collection::vec(moves, 0..2),
        proptest::collection::vec(changes, few.clone()),
        proptest::collection::vec(
            (by.clone(), seq).prop_map(|(by, seq)| signature(by, seq)),
            few.clone(),
        ),
        proptest::collection::vec(draft, few.clone()),
        proptest::collection::vec(
            (0..3_u8, standing()).prop_map(|(n, at)| member(n, at)),
            few.clone(),
        ),
        proptest::collection::vec((by, 0..4_u64).prop_map(|(by, n)| this_writer(by, n)), 0..2),
        proptest::collection::vec((0..2_u16, proptest::option::of(any::<[u8; 3]>())), few.clone()),
        proptest::collection::vec(outgoing, few),
    )
        .prop_map(|(moves, changes, signatures, draft, members, writers, shown, outgoing)| {
            let projections = shown
                .into_iter()
                .map(|(kind, bytes)| (kind, bytes.map(|bytes| bytes.to_vec())))
                .collect();
            Batch {
                moves,
                changes,
                signatures,
                draft,
                members,
                writers,
                projections,
                outgoing,
                ..Batch::new()
            }
        })
}

fn call() -> impl Strategy<Value = Call> {
    let which = 1..3_u8;
    let behind = prop_oneof![8 => Just(0_u64), 1 => Just(1)];
    let contained = proptest::collection::vec((1..3_u8, 1..5_u64), 0..4);
    prop_oneof![
        3 => (which.clone(), batch()).prop_map(|(of, batch)| Call::Create(of, batch)),
        1 => which.clone().prop_map(Call::Delete),
        12 => (which.clone(), behind.clone(), batch())
            .prop_map(|(of, behind, batch)| Call::Commit(of, behind, batch)),
        4 => (which, behind, contained, prop::bool::weighted(0.9))
            .prop_map(|(of, behind, contained, good)| Call::Compact(of, behind, contained, good)),
        1 => any::<bool>().prop_map(Call::Meta),
        1 => Just(Call::Pause),
    ]
}

/// Makes the call, and tells everything that can be seen afterwards.
fn answer(store: &dyn Store, call: &Call) -> String {
    let at = |of: u8, behind: u64| {
        let now = store.generation(&record(of)).unwrap_or_default();
        Generation(now.0.saturating_sub(behind))
    };
    let answer = match call {
        Call::Create(of, batch) => format!("{:?}", store.create(&record(*of), batch)),
        Call::Delete(of) => format!("{:?}", store.delete(&record(*of))),
        Call::Commit(of, behind, batch) => {
            format!("{:?}", store.commit(&record(*of), at(*of, *behind), batch))
        }
        Call::Compact(of, behind, contained, good) => {
            let contained: Vec<_> = contained.iter().map(|(by, seq)| hash(*by, *seq, 0)).collect();
            let shot = snapshot("a document", &contained, contained.len() as u64);
            let check = |bytes: &[u8]| {
                if *good && bytes == b"a document" { Ok(()) } else { Err("no".to_owned()) }
            };
            format!(
                "{:?}",
                store.compact(&record(*of), at(*of, *behind), &shot, &contained, &[], &check)
            )
        }
        Call::Meta(set) => {
            format!("{:?}", store.set_meta("device", set.then_some(b"bench laptop")))
        }
        Call::Pause => format!("{:?}", store.pause()),
    };
    let seen: Vec<_> = (1..3).map(|of| store.load(&record(of))).collect();
    let snapshots = store.diagnostics().map(|counts| counts.snapshots);
    let shown = (store.projections(0), store.projections(1), store.meta("device"));
    format!("{answer}\n{:?}\n{seen:?} {snapshots:?}\n{shown:?}", store.records())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn both_stores_answer_alike(calls in proptest::collection::vec(call(), 1..40)) {
        let folder = tempfile::tempdir().unwrap();
        let sqlite = SqliteStore::open(folder.path()).unwrap();
        let memory = MemoryStore::new();
        for call in &calls {
            prop_assert_eq!(answer(&sqlite, call), answer(&memory, call));
        }
        prop_assert_eq!(sqlite.damages(), Ok(Vec::new()));
    }
}
