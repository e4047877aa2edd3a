//! People come and go, devices are copied, killed and lost, files come late or never: whoever stays
//! shows one history.
//!
//! `FALLAWAY_PEOPLE` sets how many schedules are run (60 if it is not set), and `FALLAWAY_SEED` runs a
//! single one. Many: `cargo run --release -p fallaway-simulation -- lane --lane people --to 2000`.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

use fallaway_simulation::people::{self, Faults};

/// Seeds that once found an honest line left behind for good, or a member without its keys.
const FOUND: [u64; 5] = [23_464, 26_120, 74_995, 81_517, 104_258];

#[test]
fn whoever_stays_shows_one_history() {
    let number = |name: &str| std::env::var(name).ok().map(|text| text.parse::<u64>().unwrap());
    let seeds: Vec<u64> = match number("FALLAWAY_SEED") {
        Some(seed) => vec![seed],
        None => (0..number("FALLAWAY_PEOPLE").unwrap_or(60)).chain(FOUND).collect(),
    };
    let count = seeds.len();
    let mut sum = Faults::default();
    for seed in seeds {
        println!("schedule {seed}");
        for (fault, times) in people::run_anywhere(seed) {
            *sum.entry(fault).or_default() += times;
        }
    }
    println!("{count} schedules: {sum:#?}");
    if count >= 1_000 {
        let missing: Vec<_> = sum.iter().filter(|(_, times)| **times == 0).collect();
        assert!(missing.is_empty(), "{missing:?} never happened");
    }
}
