//! Plan-sized solves and state estimation on a five-string bass.
#![allow(missing_docs, reason = "criterion's macros write undocumented items")]
#![allow(clippy::unwrap_used, reason = "a bench that cannot run should stop")]

use criterion::{Criterion, criterion_group, criterion_main};
use fallaway_mechanics::Uncertain;
use fallaway_mechanics::bridge::Bridge;
use fallaway_mechanics::conversions::{LineReadings, NutWay, StringGeometry, gap, saddle_move};
use fallaway_mechanics::neck::{Joint, ReliefWay};
use fallaway_mechanics::screws::{Screw, Thread, TurnDirection, TurnRounding};
use fallaway_mechanics::state::{
    Model, StateReading, StateString, Value, What, compare, estimate, usual_candidates,
};
use fallaway_mechanics::string_line::GapPlace;
use fallaway_mechanics::units::mm;
use uom::si::f64::Length;

const STRINGS: usize = 5;

fn read(value: f64, u: f64) -> Uncertain<Length> {
    Uncertain::new(mm(value), mm(u)).unwrap()
}

fn geometry() -> StringGeometry {
    StringGeometry::level(mm(863.6), 24, Joint::first_over_body(16).unwrap())
}

fn model() -> Model {
    let string = |i| StateString { geometry: geometry(), across: i as f64 / (STRINGS - 1) as f64 };
    Model::new((0..STRINGS).map(string).collect()).unwrap()
}

fn visit(relief: f64) -> Vec<StateReading> {
    let mut readings = Vec::new();
    for string in 0..STRINGS {
        for (what, value) in [
            (What::Relief(ReliefWay::largest(24)), read(relief, 0.015)),
            (What::Gap(GapPlace::stopped_at_1_over(24)), read(2.0, 0.12)),
            (What::Gap(GapPlace::OPEN_OVER_12), read(1.7, 0.12)),
            (What::Gap(GapPlace::OPEN_OVER_1), read(0.5, 0.02)),
        ] {
            readings.push(StateReading::new(what, string, Value::Read(value)));
        }
    }
    readings
}

fn plan_sized(c: &mut Criterion) {
    let geometry = geometry();
    let screw = Screw {
        thread: Some(Thread::named("M3").unwrap()),
        raises: Some(TurnDirection::Clockwise),
    };
    let bridge = Bridge::own_saddles(STRINGS, 2, screw).unwrap();
    let place = GapPlace::stopped_at_1_over(24);
    c.bench_function("plan: five strings converted, saddle moves, turns", |b| {
        b.iter(|| {
            let mut wanted = Vec::with_capacity(STRINGS);
            for _ in 0..STRINGS {
                let readings = LineReadings {
                    relief: read(0.2, 0.015),
                    relief_way: ReliefWay::largest(24),
                    action: read(2.0, 0.12),
                    action_place: place,
                    nut: read(0.5, 0.02),
                    nut_way: NutWay::OpenOver1,
                };
                let open = gap(&geometry, &readings, GapPlace::OPEN_OVER_12).unwrap();
                let step = saddle_move(&geometry, GapPlace::OPEN_OVER_12, open, mm(1.5)).unwrap();
                wanted.push(Some(step));
            }
            bridge.solve(&wanted, TurnRounding::Nearest).unwrap()
        });
    });
}

fn state(c: &mut Criterion) {
    let model = model();
    let (before, after) = (visit(0.2), visit(0.35));
    let candidates = usual_candidates(&model, mm(0.12), mm(0.02)).unwrap();
    c.bench_function("state: one visit of 20 readings", |b| {
        b.iter(|| estimate(&model, &before).unwrap());
    });
    c.bench_function("state: two visits compared, candidates weighed", |b| {
        b.iter(|| compare(&model, &before, &after, &candidates).unwrap());
    });
}

criterion_group!(benches, plan_sized, state);
criterion_main!(benches);
