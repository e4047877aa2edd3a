//! How long a plan takes (a five-string with a full visit, and the same at the end of a long record;
//! budget 1 ms), and how long the clearance slider does: another relief, action and touch over a desk
//! that has been asked before (budget 0.2 ms).

#![allow(clippy::unwrap_used, reason = "a bench may fail in this way")]

#[path = "../../../core/advice/tests/bench/mod.rs"]
mod bench;

use std::hint::black_box;

use bench::Bench;
use criterion::{Criterion, criterion_group, criterion_main};
use fallaway_advice::clearance::{ClearanceModel, ClearanceWhatIf, TouchUsed};
use fallaway_advice::{observe, plan};
use fallaway_mechanics::units::mm;
use fallaway_record::SetupId;

const SETUP: &str = "
joint 17
clockwise rod less
clockwise saddle-height more
wanted relief 1 to 24: 0.20 mm give or take 0.05 mm
wanted gap stopped at 1 over 24 on 1: 2.0 mm give or take 0.1 mm
wanted gap stopped at 1 over 24 on 2: 2.0 mm give or take 0.1 mm
wanted gap stopped at 1 over 24 on 3: 2.1 mm give or take 0.1 mm
wanted gap stopped at 1 over 24 on 4: 2.2 mm give or take 0.1 mm
wanted gap stopped at 1 over 24 on 5: 2.4 mm give or take 0.1 mm
wanted gap stopped at 3 over 1 on 1: 0.10 mm give or take 0.05 mm
wanted gap stopped at 3 over 1 on 5: 0.15 mm give or take 0.05 mm
wanted intonation at 12 on 1: 0 cent give or take 1 cent
wanted intonation at 12 on 5: 0 cent give or take 1 cent
wanted pickup 1 gap stopped at 24 on 1: 2.5 mm give or take 0.3 mm
wanted pickup 1 gap stopped at 24 on 5: 3.0 mm give or take 0.3 mm
";

const VISIT: &str = "
visit 30 days later, by tech
climate 45 48
tuned
read relief 1 to 24 with feeler 0.01 mm: 0.31
read gap stopped at 3 over 1 with feeler 0.01 mm: 0.1 0.1 0.1 0.1 0.15
read gap open over 1 with feeler 0.01 mm: 0.4 0.4 0.45 0.5 0.5
read spacing at bridge with caliper 0.02 mm: 18 18 18 18 -
read gap stopped at 1 over 24 with rule 1/64: 5 5 5.5 6 6.5
read gap open over 12 with rule 1/64: 5 5 5.5 6 6.5
read pickup 1 gap stopped at 24 with rule 0.5 mm: 2.5 2.5 2.5 3 3
read intonation at 12 with tuner 0.1 cent: 0.5 0 1 -2 3
turned rod 1/8
tuned
read relief 1 to 24 with feeler 0.01 mm: 0.23
read gap stopped at 1 over 24 with rule 1/64: 5 5 5 6 6
";

fn plans(c: &mut Criterion) {
    let mut one = Bench::new("bass-5");
    one.lines(SETUP);
    one.lines(VISIT);
    let state = one.state();
    let now = one.now();
    c.bench_function("plan, five strings, one full visit", |b| {
        b.iter(|| observe::with_input(black_box(&state), &SetupId::main(), now, plan));
    });
    let mut long = Bench::new("bass-5");
    long.lines(SETUP);
    for _ in 0..100 {
        long.lines(VISIT);
    }
    let state = long.state();
    let now = long.now();
    c.bench_function("plan, five strings, the last of 100 visits", |b| {
        b.iter(|| observe::with_input(black_box(&state), &SetupId::main(), now, plan));
    });
}

fn slider(c: &mut Criterion) {
    let mut one = Bench::new("bass-5");
    one.lines(SETUP);
    one.lines(VISIT);
    let state = one.state();
    let mut desk = observe::with_input(&state, &SetupId::main(), one.now(), |input| {
        ClearanceModel::of_record(input, state.spec()).unwrap()
    });
    let ask = |desk: &mut ClearanceModel, step: f64| {
        let relief = Some(mm(0.1 + 0.01 * step));
        let what_if = ClearanceWhatIf {
            relief,
            saddles: vec![mm(0.02 * step); 5],
            ..ClearanceWhatIf::default()
        };
        desk.ask(&what_if, TouchUsed::with_force(1.0 + 0.1 * step)).unwrap()
    };
    ask(&mut desk, 0.0);
    let mut step = 0;
    c.bench_function("clearance slider, five strings, warm", |b| {
        b.iter(|| {
            step = (step + 1) % 20;
            ask(black_box(&mut desk), f64::from(step))
        });
    });
}

criterion_group!(benches, plans, slider);
criterion_main!(benches);
