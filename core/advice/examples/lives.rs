//! Lives of simulated instruments, and how well the advice does over them:
//! `cargo run --release -p fallaway-advice --example lives -- LIVES SEED`.

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
#[path = "../tests/lives/log.rs"]
mod log;
#[path = "../tests/lives/setups.rs"]
mod setups;
#[path = "../tests/lives/world.rs"]
mod world;

use decade::{Decade, Named};
use setups::{Hand, Setups};

fn main() {
    let number = |n: usize, or: u64| std::env::args().nth(n).map_or(or, |a| a.parse().unwrap());
    let (lives, seed) = (number(1, 1000), number(2, 1));
    let mut all = Decade::default();
    for life in 0..lives {
        all.add(&decade::live(seed.wrapping_mul(1_000_003).wrapping_add(life)));
    }
    let share = |part: usize, of: usize| 100.0 * part as f64 / of.max(1) as f64;
    println!("{} lives of ten years, seed {seed}", all.lives);
    println!(
        "comparisons without a mistyped reading: {}, wrongly sure {:.1} %",
        all.compared,
        share(all.wrong, all.compared)
    );
    println!(
        "comparisons with one: {}, wrongly sure {:.1} % (of these {:.1} % say that they rest \
         on one reading)",
        all.compared_typo,
        share(all.wrong_typo, all.compared_typo),
        share(all.warned_typo, all.wrong_typo)
    );
    println!("wrongly sure, all: {:.1} %", 100.0 * all.wrongly_sure());
    let named = |what: &str, n: Named| {
        println!("{what}: {}, named {:.0} %", n.happened, share(n.right, n.happened));
    };
    named("neck moved by 0.15 mm of relief or more", all.neck);
    named("saddle turned by 1 mm or more", all.saddle);
    named("slot worn by 0.12 mm or more", all.nut);
    println!(
        "forecasts of relief: {}, within 95 % interval {:.1} %, mean half width {:.3} mm",
        all.forecasts,
        100.0 * all.coverage(),
        all.half_width / all.forecasts as f64
    );
    println!(
        "rod response within its 68 % interval: {:.0} % of {} lives",
        share(all.rod_held, all.lives_with_rod),
        all.lives_with_rod
    );
    println!("season within its 95 % interval: {:.1} %", share(all.season_held, all.lives));
    for hand in [Hand::Plan, Hand::SaddlesOnly, Hand::FixedQuarter] {
        let mut all = Setups::default();
        for life in 0..lives {
            all.add(&setups::work(seed.wrapping_mul(1_000_003).wrapping_add(life), hand));
        }
        let each = |n: usize| n as f64 / all.visits as f64;
        println!(
            "{}: {} visits; a visit takes {:.2} turns of the rod, {:.2} of saddles, {:.3} overshoot; \
             relief then good {:.0} %, everything good {:.0} %; endless {}",
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
