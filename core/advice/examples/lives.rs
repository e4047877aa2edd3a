//! Lives of simulated instruments, and how well the advice does over them:
//! `cargo run --release -p fallaway-advice --example lives -- LIVES SEED SLIPS`: lives of
//! each kind of instrument, a seed, and one misread or mistyped reading in so many.

#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a simulation, no part of the library"
)]

#[path = "../tests/lives/decade.rs"]
mod decade;
#[path = "../tests/lives/family.rs"]
mod family;
#[path = "../tests/lives/log.rs"]
mod log;
#[path = "../tests/lives/neck.rs"]
mod neck;
#[path = "../tests/lives/noise.rs"]
mod noise;
#[path = "../tests/lives/readers.rs"]
mod readers;
#[path = "../tests/lives/setups.rs"]
mod setups;
#[path = "../tests/lives/world.rs"]
mod world;

use decade::{Compared, Decade, Held95, Named};
use family::{FAMILIES, Family};
use setups::{Hand, Setups};

fn main() {
    let number = |n: usize, or: u64| std::env::args().nth(n).map_or(or, |a| a.parse().unwrap());
    let (lives, seed) = (number(1, 250), number(2, 1));
    let slips = log::Slips(1.0 / number(3, 300) as f64);
    let mut every = Decade::default();
    for family in &FAMILIES {
        let mut all = Decade::default();
        for life in 0..lives {
            all.add(&decade::live(family, of(seed, life), slips));
        }
        print(family.name, seed, &all);
        every.add(&all);
    }
    print("all kinds", seed, &every);
    for family in &FAMILIES {
        work(family, lives, seed);
    }
}

const fn of(seed: u64, life: u64) -> u64 {
    seed.wrapping_mul(1_000_003).wrapping_add(life)
}

fn share(part: usize, of: usize) -> f64 {
    100.0 * part as f64 / of.max(1) as f64
}

fn print(name: &str, seed: u64, all: &Decade) {
    println!("{name}: {} lives of ten years, seed {seed}", all.lives);
    compared("at once", &all.at_once);
    compared("after the readings it asks for again", &all.after);
    println!("  readings taken again: {:.2} a visit", all.again as f64 / all.after.all() as f64);
    held("relief", all.relief);
    held("action", all.action);
    println!(
        "  rod response within its 68 % interval: {:.0} % of {} lives; season within its 95 % \
         interval: {:.1} %",
        share(all.rod_held, all.lives_with_rod),
        all.lives_with_rod,
        share(all.season_held, all.lives)
    );
}

fn compared(when: &str, all: &Compared) {
    println!(
        "  {when}: {} comparisons, wrongly sure {:.2} % ({:.2} % of {} without a slip, {:.1} % of \
         {} with one); sure of {:.0} % of parts",
        all.all(),
        100.0 * all.wrongly_sure(),
        share(all.clean_wrong, all.clean),
        all.clean,
        share(all.slipped_wrong, all.slipped),
        all.slipped,
        share(all.sure, all.parts)
    );
    named("neck moved by 0.15 mm of relief or more", all.neck);
    named("saddle turned by 0.8 mm or more", all.saddle);
    named("slot worn by 0.12 mm or more", all.nut);
    named("joint gave way by 1 mrad or more", all.joint);
}

fn named(what: &str, n: Named) {
    println!(
        "    {what}: {}, named {:.0} %, cannot be told {:.0} %",
        n.happened,
        share(n.right, n.happened),
        share(n.open, n.happened)
    );
}

fn held(what: &str, all: Held95) {
    println!(
        "  forecasts of {what}: {}, within 95 % interval {:.1} %, mean half width {:.3} mm",
        all.made,
        100.0 * all.coverage(),
        all.half_width / all.made.max(1) as f64
    );
}

fn work(family: &'static Family, lives: u64, seed: u64) {
    for hand in [Hand::Plan, Hand::SaddlesOnly, Hand::FixedQuarter] {
        let mut all = Setups::default();
        for life in 0..lives {
            all.add(&setups::work(family, of(seed, life), hand));
        }
        let each = |n: usize| n as f64 / all.visits as f64;
        println!(
            "{}, {}: {} visits; a visit takes {:.2} turns of the rod, {:.2} of saddles, {:.3} \
             overshoot; relief then good {:.0} %, everything good {:.0} %; endless {}",
            family.name,
            setups::word(hand),
            all.visits,
            each(all.rod_turns),
            each(all.saddle_turns),
            each(all.overshoots),
            share(all.relief_good, all.visits),
            share(all.good, all.visits),
            all.endless
        );
    }
}
