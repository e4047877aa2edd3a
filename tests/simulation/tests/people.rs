//! People come and go, devices are copied and lost: whoever stays shows one history.
//!
//! `FALLAWAY_PEOPLE` sets how many schedules are run (100 if it is not set), and `FALLAWAY_SEED` runs a
//! single one.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

use fallaway_simulation::people::{self, Faults};

#[test]
fn whoever_stays_shows_one_history() {
    let number = |name: &str| std::env::var(name).ok().map(|text| text.parse::<u64>().unwrap());
    let seeds = match number("FALLAWAY_SEED") {
        Some(seed) => seed..seed + 1,
        None => 0..number("FALLAWAY_PEOPLE").unwrap_or(100),
    };
    let count = seeds.end - seeds.start;
    let mut sum = Faults::default();
    for seed in seeds {
        let home = tempfile::tempdir().unwrap();
        let faults = people::run(seed, home.path());
        sum.removed += faults.removed;
        sum.copied += faults.copied;
        sum.joined_twice += faults.joined_twice;
        sum.came_back += faults.came_back;
        sum.held += faults.held;
    }
    println!("{count} schedules: {sum:?}");
    if count >= 100 {
        let all = [sum.removed, sum.copied, sum.joined_twice, sum.came_back, sum.held];
        assert!(all.iter().all(|fault| *fault > 0), "{sum:?}");
    }
}
