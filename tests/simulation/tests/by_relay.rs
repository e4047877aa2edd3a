//! Devices that meet only at a relay end with one history, whatever the network and the relay do.
//!
//! `FALLAWAY_BY_RELAY` sets how many schedules are run (300 if it is not set), and `FALLAWAY_SEED` runs
//! a single one.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

use std::panic::{AssertUnwindSafe, catch_unwind};

use fallaway_simulation::by_relay::{self, Lost, RelayFaults};

/// Beyond those that are run first, seeds that once found something: a log that went back to just before a
/// change of keys, a newcomer whom nobody heard or answered, a receipt of a meeting that hid the next one,
/// newcomers of whom each made the others wait for another round, a file that was taken for the relay's.
const FOUND: [u64; 12] =
    [1429, 2147, 2305, 4183, 8284, 11_066, 12_275, 24_442, 27_537, 55_292, 72_723, 83_596];

#[test]
fn a_record_that_moves_to_another_relay_leaves_word_at_the_former_whatever_that_one_loses() {
    let mut failed = Vec::new();
    for lost in Lost::ALL {
        for seed in 0..20 {
            if catch_unwind(AssertUnwindSafe(|| by_relay::moves(seed, lost))).is_err() {
                failed.push((lost, seed));
            }
        }
    }
    assert!(failed.is_empty(), "{failed:?}");
}

#[test]
fn a_relay_that_may_do_anything_gives_one_history() {
    let number = |name: &str| std::env::var(name).ok().map(|text| text.parse::<u64>().unwrap());
    let seeds: Vec<u64> = match number("FALLAWAY_SEED") {
        Some(seed) => vec![seed],
        None => (0..number("FALLAWAY_BY_RELAY").unwrap_or(300)).chain(FOUND).collect(),
    };
    let count = seeds.len();
    let mut sum = RelayFaults::default();
    for seed in seeds {
        let faults = catch_unwind(AssertUnwindSafe(|| by_relay::run(seed)));
        sum = sum.and(faults.unwrap_or_else(|_| {
            panic!(
                "schedule {seed} failed (see above). Run it alone: FALLAWAY_SEED={seed} cargo test \
                 -p fallaway-simulation --test by_relay"
            )
        }));
    }
    println!("{count} schedules: {sum:?}");
    if count >= 100 {
        for (fault, count) in sum.counts() {
            assert!(count > 0, "{fault} never happened");
        }
    }
}
