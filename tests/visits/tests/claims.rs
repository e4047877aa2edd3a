//! A small number of instruments: the figures of many are in `docs/validation.md`.

use fallaway_visits::changed::{Said, Told};
use fallaway_visits::visit::{End, Trial, Visit, live};

/// The least number of `made` that would be right with a chance of one in a thousand if this share were;
/// normal approximation to the binomial.
fn least(share: f64, made: usize) -> f64 {
    let made = made as f64;
    made * share - 3.09 * (made * share * (1.0 - share)).sqrt()
}

fn holds(said: Said, share: f64) -> bool {
    said.made > 0 && said.right as f64 >= least(share, said.made)
}

#[test]
fn claims_hold_on_necks_that_the_model_does_not_share() {
    let trial = Trial { seed: 1, misreads: 120.0, visits: 8, eventful: false };
    let (mut visits, mut told): (Vec<Visit>, Told) = Default::default();
    for number in 0..20 {
        let (of_one, told_of_one) = live(trial, number, false);
        visits.extend(of_one);
        told.add(&told_of_one);
    }
    for compared in [told.at_once, told.after] {
        let wrong = (compared.clean.made - compared.clean.right)
            + (compared.slipped.made - compared.slipped.right);
        let all = compared.clean.made + compared.slipped.made;
        assert!(wrong * 20 < all, "wrongly sure in {wrong} of {all}");
        // It is not bought by silence.
        assert!(compared.parts.right * 5 > compared.parts.made * 2, "{compared:?}");
    }
    assert!(holds(told.relief, 0.90), "{:?}", told.relief);
    assert!(holds(told.action, 0.90), "{:?}", told.action);
    assert!(holds(told.season, 0.85), "{:?}", told.season);
    let done = visits.iter().filter(|v| v.end == End::Done).count();
    assert!(done * 10 > visits.len() * 7, "{done} of {}", visits.len());
    let no_hand = |v: &&Visit| matches!(v.end, End::CannotFollow(_));
    assert_eq!(visits.iter().find(no_hand).map(|v| &v.end), None);
}

/// What goes wrong has a column of its own, and what is good is what lies within the tolerance itself.
#[test]
fn the_figures_say_what_was_stopped_and_what_has_no_end() {
    let docs = include_str!("../../../docs/validation.md");
    let head = docs.lines().find(|line| line.starts_with("| visits | n |")).unwrap_or_default();
    let columns =
        ["stopped rightly", "falsely", "beyond 25 rounds", "endless", "strings in", "all in"];
    for column in columns {
        assert!(head.contains(&format!("| {column} |")), "{column}: {head}");
    }
    assert!(docs.contains("true value, not the reading, within the\ntolerance itself"));
}
