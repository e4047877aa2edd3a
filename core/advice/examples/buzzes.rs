//! Buzzes of which the cause is known, and where it ranks:
//! `cargo run --release -p fallaway-advice --example buzzes -- CASES SEED`: cases of each cause, half
//! with readings from before it buzzed, half with readings of today.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a simulation, no part of the library"
)]
#![allow(dead_code, reason = "each program uses its own part")]

#[path = "../tests/buzzes/noise.rs"]
mod noise;
#[path = "../tests/buzzes/tally.rs"]
mod tally;
#[path = "../tests/buzzes/truth.rs"]
mod truth;

use fallaway_mechanics::envelope_cache::EnvelopeCache;
use noise::Noise;
use tally::{Tally, index, try_one};

fn main() {
    let number = |n: usize, or: u64| std::env::args().nth(n).map_or(or, |a| a.parse().unwrap());
    let (cases, seed) = (number(1, 200), number(2, 1));
    let mut swings = EnvelopeCache::new();
    for today in [false, true] {
        println!("readings {}, seed {seed}", if today { "of today" } else { "from before" });
        println!(
            "| true cause | first | in the first two | once read | after a second | named at once: relief, action, \
             crown, nut, loose | once read | after a second |"
        );
        for cause in truth::TRUE {
            let mut tally = Tally::default();
            let mut noise = Noise::new(seed * 10 + index(cause) as u64 + u64::from(today) * 5);
            for _ in 0..cases {
                try_one(cause, today, &mut noise, &mut swings, &mut tally);
            }
            let share =
                |part: usize| format!("{:.0} %", 100.0 * part as f64 / tally.cases.max(1) as f64);
            let [at_once, read, twice] =
                tally.firsts.map(|row| row.map(|n| n.to_string()).join(", "));
            println!(
                "| {} | {} | {} | {} | {} | {at_once} | {read} | {twice} |",
                ["relief", "action", "crown", "nut"][index(cause)],
                share(tally.first),
                share(tally.in_two),
                share(tally.decided),
                share(tally.decided_twice)
            );
        }
    }
}
