//! Simulated lives, a small number of them: the figures of many are in `docs/advice.md`, made by
//! `cargo run --release -p fallaway-advice --example lives`.

#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may fail in this way"
)]

mod decade;
mod log;
mod setups;
mod world;

use decade::Decade;
use setups::{Hand, Setups};

#[test]
fn over_whole_lives_claims_hold() {
    let mut all = Decade::default();
    for seed in 1..=12 {
        all.add(&decade::live(seed));
    }
    assert!(all.wrongly_sure() < 0.05, "{all:?}");
    assert!((0.90..=0.98).contains(&all.coverage()), "{all:?}");
}

#[test]
fn the_plan_overshoots_less_than_rules_of_thumb() {
    let many = |hand| {
        let mut all = Setups::default();
        (1..=20).for_each(|seed| all.add(&setups::work(seed, hand)));
        all
    };
    let (plan, quarter) = (many(Hand::Plan), many(Hand::FixedQuarter));
    assert!(plan.overshoots < quarter.overshoots, "{plan:?} {quarter:?}");
    assert_eq!(plan.endless, 0, "{plan:?}");
}
