//! Buzzes of which the cause is known, a small number of them: the figures of many are in
//! `docs/validation.md`, which the test that is left out prints.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a test may fail in this way"
)]

mod noise;
mod tally;
mod truth;

use fallaway_mechanics::envelope_cache::EnvelopeCache;
use noise::Noise;
use tally::{Tally, index, try_one};

/// Cases of each cause, and of each age of the readings. The bounds below lie under the shares of many
/// cases by about three standard deviations of so few, and over what guessing would give.
const CASES: usize = 12;

/// So many cases of each cause, with the noise that `seed` gives it.
fn tried(cases: usize, today: bool, seed: impl Fn(u64) -> u64) -> Vec<Tally> {
    let mut swings = EnvelopeCache::new();
    truth::TRUE
        .into_iter()
        .map(|cause| {
            let mut noise = Noise::new(seed(index(cause) as u64));
            let mut tally = Tally::default();
            for _ in 0..cases {
                try_one(cause, today, &mut noise, &mut swings, &mut tally);
            }
            tally
        })
        .collect()
}

#[test]
fn the_true_cause_is_near_the_top() {
    for today in [false, true] {
        let all = tried(CASES, today, |cause| 100 + cause);
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

/// `FALLAWAY_BUZZES=80 FALLAWAY_SEED=3 cargo test --release -p fallaway-advice --test buzzes -- --ignored
/// --nocapture`: cases of each cause, half with readings from before it buzzed, half with readings of today.
#[test]
#[ignore = "prints the tables of docs/validation.md"]
fn the_shares_of_many() {
    let number =
        |name: &str, usual| std::env::var(name).map_or(usual, |text| text.parse::<u64>().unwrap());
    let (cases, seed) = (number("FALLAWAY_BUZZES", 80), number("FALLAWAY_SEED", 3));
    for today in [false, true] {
        println!("readings {}, seed {seed}", if today { "of today" } else { "from before" });
        println!(
            "| true cause | first | in the first two | once read | after a second | named at once: relief, action, \
             crown, nut, loose | once read | after a second |"
        );
        let all = tried(cases as usize, today, |cause| seed * 10 + cause + u64::from(today) * 5);
        for (cause, tally) in ["relief", "action", "crown", "nut"].into_iter().zip(all) {
            let share =
                |part: usize| format!("{:.0} %", 100.0 * part as f64 / tally.cases.max(1) as f64);
            let [at_once, read, twice] =
                tally.firsts.map(|row| row.map(|n| n.to_string()).join(", "));
            println!(
                "| {cause} | {} | {} | {} | {} | {at_once} | {read} | {twice} |",
                share(tally.first),
                share(tally.in_two),
                share(tally.decided),
                share(tally.decided_twice)
            );
        }
    }
}
