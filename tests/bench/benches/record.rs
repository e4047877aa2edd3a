//! What a record costs: size, loading, getting ready to edit, merging.
//!
//! `cargo bench -p fallaway-bench --bench record`. The record is that of the budgets: a thousand visits of eight
//! passes over five strings with random readings, one visit a change.

#![allow(missing_docs, reason = "criterion's macros make public items")]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a benchmark that cannot run has nothing to say"
)]

#[path = "../../simulation/src/realistic.rs"]
mod realistic;

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use fallaway_changes::{RecordId, VerifiedChange, Writer};
use fallaway_record::{Draft, Record, SpecField};

use realistic::Chain;

fn writer(number: u8) -> Writer {
    // Writers are hashes: neighbouring bytes do not repeat.
    let mut dice = realistic::Dice::new(u64::from(number));
    let mut bytes = [0; 16];
    bytes[..8].copy_from_slice(&dice.roll().to_be_bytes());
    bytes[8..].copy_from_slice(&dice.roll().to_be_bytes());
    Writer::from_bytes(bytes)
}

fn record(id: RecordId, changes: &[VerifiedChange]) -> Record {
    let mut record = Record::create(id);
    let applied = record.apply(changes);
    assert!(applied.refused.is_empty() && applied.waiting.is_empty());
    record
}

fn load(id: RecordId, snapshot: &[u8]) -> Record {
    Record::load(id, snapshot).unwrap()
}

fn bench(c: &mut Criterion) {
    let id = RecordId::from_bytes([7; 16]);
    let changes = realistic::changes(id, writer(1), 1_000, 42);
    let mut large = record(id, &changes);
    let snapshot = large.save();
    let raw: usize = changes.iter().flat_map(|change| &change.ops).map(|put| put.value.len()).sum();
    println!("saved: {} bytes; entries alone, not compressed: {raw} bytes", snapshot.len());
    println!("one visit as a canonical change: {} bytes", changes[500].bytes().len());

    c.bench_function("load", |b| b.iter(|| load(id, black_box(&snapshot))));
    c.bench_function("load and prepare a field", |b| {
        b.iter(|| {
            let record = load(id, black_box(&snapshot));
            let draft = Draft::new();
            let put = record.editor(writer(1), &draft).set_spec(&SpecField::Pickups(1)).unwrap();
            record.prepare(writer(1), 0, vec![put]).unwrap()
        });
    });
    c.bench_function("load and read everything", |b| {
        b.iter(|| load(id, black_box(&snapshot)).state().entries().count());
    });
    c.bench_function("save", |b| {
        b.iter_batched_ref(|| record(id, &changes), Record::save, BatchSize::LargeInput);
    });
    c.bench_function("save after one more visit", |b| {
        let one: Vec<_> = Chain::after(&large, writer(2), 7).take(1).collect();
        let more = || {
            let mut record = load(id, &snapshot);
            record.apply(&one);
            record
        };
        b.iter_batched_ref(more, Record::save, BatchSize::LargeInput);
    });
    for visits in [1, 40] {
        let round: Vec<_> = Chain::after(&large, writer(2), 7).take(visits).collect();
        c.bench_function(&format!("merge a round of {visits}"), |b| {
            b.iter_batched_ref(
                || load(id, &snapshot),
                |record| record.apply(&round),
                BatchSize::LargeInput,
            );
        });
    }
    let empty = Record::create(id);
    let ours: Vec<_> = Chain::after(&empty, writer(1), 1).take(100).collect();
    let theirs: Vec<_> = Chain::after(&empty, writer(2), 2).take(100).collect();
    let ours = record(id, &ours).save();
    c.bench_function("merge 100 x 100", |b| {
        b.iter_batched_ref(
            || load(id, &ours),
            |record| record.apply(&theirs),
            BatchSize::LargeInput,
        );
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = bench
}
criterion_main!(benches);
