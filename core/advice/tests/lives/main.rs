//! Simulated lives, a small number of them: the figures of many are in `docs/validation.md`, made by
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
mod family;
mod log;
mod neck;
mod noise;
mod readers;
mod setups;
mod world;

use decade::Decade;
use family::FAMILIES;
use setups::{Hand, Setups};

/// The least share that `of` draws would show with a chance of one in a thousand if the true one were
/// `share`; normal approximation to the binomial.
fn least(share: f64, of: usize) -> f64 {
    share - 3.09 * (share * (1.0 - share) / of as f64).sqrt()
}

#[test]
fn over_whole_lives_claims_hold() {
    let (mut lives, mut season_held) = (0, 0);
    for family in &FAMILIES {
        let mut all = Decade::default();
        for seed in 1..=3 {
            all.add(&decade::live(family, seed, decade::SLIPS));
        }
        let compared = all.after;
        assert!(compared.wrongly_sure() < 0.05, "{}: {all:?}", family.name);
        assert!(all.at_once.wrongly_sure() < 0.05, "{}: {all:?}", family.name);
        // It is not bought by silence.
        assert!(compared.sure * 2 > compared.parts, "{}: {all:?}", family.name);
        for held in [all.relief, all.action] {
            assert!(held.coverage() > least(0.90, held.made), "{}: {all:?}", family.name);
        }
        lives += all.lives;
        season_held += all.season_held;
    }
    assert!(season_held as f64 / lives as f64 > least(0.90, lives), "{season_held} of {lives}");
}

#[test]
fn the_plan_overshoots_less_than_rules_of_thumb() {
    for family in &FAMILIES {
        let many = |hand| {
            let mut all = Setups::default();
            (1..=6).for_each(|seed| all.add(&setups::work(family, seed, hand)));
            all
        };
        let (plan, quarter) = (many(Hand::Plan), many(Hand::FixedQuarter));
        assert!(plan.overshoots < quarter.overshoots, "{}: {plan:?} {quarter:?}", family.name);
        assert_eq!(plan.endless, 0, "{}: {plan:?}", family.name);
    }
}
