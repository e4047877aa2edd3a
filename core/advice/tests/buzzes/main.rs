//! Buzzes of which the cause is known, a small number of them: the figures of many are in
//! `docs/validation.md`, made by `cargo run --release -p fallaway-advice --example buzzes`.

#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a test may fail in this way"
)]

#[path = "noise.rs"]
mod noise;
mod tally;
mod truth;

use fallaway_mechanics::envelope_cache::EnvelopeCache;
use noise::Noise;
use tally::{Tally, index, try_one};

/// Cases of each cause, and of each age of the readings. The bounds below lie under the shares of many
/// cases by about three standard deviations of so few, and over what guessing would give.
const CASES: usize = 12;

fn tried(today: bool) -> Vec<Tally> {
    let mut swings = EnvelopeCache::new();
    truth::TRUE
        .into_iter()
        .map(|cause| {
            let mut noise = Noise::new(100 + index(cause) as u64);
            let mut tally = Tally::default();
            for _ in 0..CASES {
                try_one(cause, today, &mut noise, &mut swings, &mut tally);
            }
            tally
        })
        .collect()
}

#[test]
fn the_true_cause_is_near_the_top() {
    for today in [false, true] {
        let all = tried(today);
        for one in &all {
            assert!(one.in_two * 2 > CASES, "readings of today {today}: {all:?}");
            assert!(one.first * 5 > CASES, "readings of today {today}: {all:?}");
        }
        let first: usize = all.iter().map(|one| one.first).sum();
        let decided: usize = all.iter().map(|one| one.decided).sum();
        assert!(first * 10 > all.len() * CASES * 6, "readings of today {today}: {all:?}");
        assert!(decided * 10 > all.len() * CASES * 6, "readings of today {today}: {all:?}");
    }
}
