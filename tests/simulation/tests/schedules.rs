//! Any order, duplication, loss and interleaving of bundle files among two to five devices ends in
//! equal records, with every entry and every contest visible.
//!
//! `FALLAWAY_SCHEDULES` sets how many schedules are run (2,000 if it is not set), and
//! `FALLAWAY_SEED` runs a single one.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

use std::panic::{AssertUnwindSafe, catch_unwind};

use fallaway_simulation::schedule::{self, Tally};

const PARTS: u64 = 4;

/// Runs every fourth schedule.
fn part(part: u64) {
    let number = |name: &str| std::env::var(name).ok().map(|text| text.parse::<u64>().unwrap());
    let seeds: Vec<u64> = match number("FALLAWAY_SEED") {
        Some(seed) if part == 0 => vec![seed],
        Some(_) => return,
        None => {
            let count = number("FALLAWAY_SCHEDULES").unwrap_or(2_000);
            (0..count).filter(|seed| seed % PARTS == part).collect()
        }
    };
    let mut sum = Tally::default();
    for seed in &seeds {
        let tally = catch_unwind(AssertUnwindSafe(|| schedule::run(*seed))).unwrap_or_else(|_| {
            panic!(
                "schedule {seed} failed (see above). Run it alone: FALLAWAY_SEED={seed} cargo test \
                 -p fallaway-simulation --test schedules"
            )
        });
        sum.delivered += tally.delivered;
        sum.waited += tally.waited;
        sum.contested += tally.contested;
        sum.settled += tally.settled;
        sum.left += tally.left;
    }
    println!("{} schedules: {sum:?}", seeds.len());
    if seeds.len() >= 100 {
        // The schedules really did what they are there for.
        assert!(sum.delivered > seeds.len() && sum.waited > 0, "{sum:?}");
        assert!(sum.contested > seeds.len() / 4 && sum.settled > 0 && sum.left > 0, "{sum:?}");
    }
}

#[test]
fn every_schedule_ends_in_equal_records_first_part() {
    part(0);
}

#[test]
fn every_schedule_ends_in_equal_records_second_part() {
    part(1);
}

#[test]
fn every_schedule_ends_in_equal_records_third_part() {
    part(2);
}

#[test]
fn every_schedule_ends_in_equal_records_fourth_part() {
    part(3);
}
