//! The clearance map of a five-string bass: cold (envelopes computed) and warm (a what-if on relief,
//! action, touch and tension over kept envelopes). Budgets: 50 ms cold, 0.2 ms warm.
#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;
use std::sync::Arc;

use criterion::{Criterion, criterion_group, criterion_main};
use fallaway_mechanics::clearance::{
    ClearanceMap, Played, SwingingString, best_relief, clearance_map, lowest_clean_action,
};
use fallaway_mechanics::envelope::{Method, PluckedString, SwingModel, Touch, UnitEnvelope};
use fallaway_mechanics::envelope_cache::EnvelopeCache;
use fallaway_mechanics::neck::{NeckLine, ReliefWay};
use fallaway_mechanics::pluck::PluckDirection;
use fallaway_mechanics::string_line::{GapPlace, NutReading, StringLine};
use fallaway_mechanics::units::mm;
use uom::si::f64::{Force, Frequency};
use uom::si::force::newton;
use uom::si::frequency::hertz;

/// Hz, tension N, inharmonicity: assumed values.
const STRINGS: [(f64, f64, f64); 5] = [
    (98.0, 170.0, 2e-5),
    (73.4, 185.0, 3.5e-5),
    (55.0, 170.0, 6e-5),
    (41.2, 155.0, 1e-4),
    (30.9, 145.0, 3.1e-4),
];
const FRETS: usize = 24;

fn envelopes(cache: &mut EnvelopeCache) -> Vec<Arc<UnitEnvelope>> {
    STRINGS
        .iter()
        .map(|&(hz, _, b)| {
            let string = PluckedString {
                scale: mm(863.6),
                frets: FRETS,
                frequency: Frequency::new::<hertz>(hz),
                inharmonicity: b,
                from_saddle: mm(100.0),
            };
            cache.get(&string, Method::Modes(SwingModel::default())).unwrap()
        })
        .collect()
}

fn line(relief: f64, action: f64) -> StringLine {
    let neck = NeckLine::new(mm(863.6), FRETS, 20.0)
        .unwrap()
        .with_relief(mm(relief), ReliefWay::largest(FRETS))
        .unwrap();
    let nut = NutReading::OpenOver1(mm(0.5));
    let over = GapPlace::stopped_at_1_over(FRETS);
    StringLine::from_readings(neck, mm(0.0), over, mm(action), nut).unwrap()
}

fn map(cache: &mut EnvelopeCache, relief: f64, action: f64, force: f64) -> ClearanceMap {
    let envelopes = envelopes(cache);
    let lines: Vec<_> = (0..STRINGS.len()).map(|i| line(relief, action + 0.1 * i as f64)).collect();
    let strings: Vec<_> = lines
        .iter()
        .zip(&envelopes)
        .zip(STRINGS)
        .map(|((line, envelope), (_, t, _))| SwingingString {
            line,
            envelope,
            tension: Force::new::<newton>(t),
        })
        .collect();
    let touch =
        Touch { force: Force::new::<newton>(force), direction: PluckDirection::TowardBoard };
    clearance_map(&strings, touch, Played::all_and_open(FRETS)).unwrap()
}

fn clearance(c: &mut Criterion) {
    let mut group = c.benchmark_group("clearance map, 5 strings");
    group.sample_size(20);
    group.bench_function("cold", |b| {
        b.iter(|| map(&mut EnvelopeCache::new(), black_box(0.2), 1.8, 1.5));
    });
    let mut cache = EnvelopeCache::new();
    map(&mut cache, 0.2, 1.8, 1.5);
    group.bench_function("warm, another relief, action and touch", |b| {
        b.iter(|| map(&mut cache, black_box(0.3), black_box(1.9), black_box(2.0)));
    });
    group.finish();

    let envelopes = envelopes(&mut cache);
    let line = line(0.2, 1.8);
    let string = SwingingString {
        line: &line,
        envelope: envelopes.last().unwrap(),
        tension: Force::new::<newton>(145.0),
    };
    let touch = Touch { force: Force::new::<newton>(1.5), direction: PluckDirection::TowardBoard };
    let all = Played::all_fretted(FRETS);
    let over = GapPlace::stopped_at_1_over(FRETS);
    c.bench_function("lowest clean action, one string", |b| {
        b.iter(|| lowest_clean_action(&string, touch, all, over, black_box(mm(0.0))).unwrap());
    });
    c.bench_function("best relief, one string", |b| {
        let way = ReliefWay::largest(FRETS);
        b.iter(|| {
            best_relief(&string, touch, all, over, way, (mm(0.0), black_box(mm(0.6)))).unwrap()
        });
    });
}

criterion_group!(benches, clearance);
criterion_main!(benches);
