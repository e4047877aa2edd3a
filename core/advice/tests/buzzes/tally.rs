//! How often the true cause of a buzz ranks first, and how often the reading that is named decides.

use fallaway_advice::buzz::{BuzzCause, Suspect, causes};
use fallaway_mechanics::envelope_cache::EnvelopeCache;

use super::noise::Noise;
use super::truth::{Case, Read};

/// Counts over cases of one cause.
#[derive(Debug, Default, Clone, Copy)]
pub struct Tally {
    pub cases: usize,
    /// The true cause came first.
    pub first: usize,
    /// It came first or second.
    pub in_two: usize,
    /// It came first after the reading or trial that the first suspect names, and asking again.
    pub decided: usize,
    /// The same after a second.
    pub decided_twice: usize,
    /// What came first: relief, action, crown, nut, loose.
    pub firsts: [usize; 5],
}

/// The cause, whichever crown it is; which one is told apart by [`is_true`].
pub const fn index(cause: BuzzCause) -> usize {
    match cause {
        BuzzCause::ReliefTooSmall => 0,
        BuzzCause::ActionLow => 1,
        BuzzCause::ProudCrown { .. } => 2,
        BuzzCause::NutSlot => 3,
        BuzzCause::LoosePart | BuzzCause::LessPull => 4,
    }
}

/// Without those that a trial has ruled out.
fn ask(case: &Case, read: Read, out: &[BuzzCause]) -> Vec<Suspect> {
    let mut found = causes(&mut case.desk(read), case.heard, case.play).unwrap();
    found.retain(|s| !out.contains(&s.cause));
    found
}

/// Takes the reading or trial that the first suspect names, and asks again.
fn decide(
    case: &Case,
    first: BuzzCause,
    state: &mut (Read, Vec<BuzzCause>),
    noise: &mut Noise,
    swings: &mut EnvelopeCache,
) -> Vec<Suspect> {
    let (read, out) = state;
    let today = case.read(true, noise);
    let confirmed = match first {
        BuzzCause::ReliefTooSmall => {
            read.relief = today.relief;
            false
        }
        BuzzCause::ActionLow => {
            read.action = today.action;
            false
        }
        BuzzCause::ProudCrown { fret } => case.rocks(fret, noise),
        BuzzCause::NutSlot => {
            read.nut = today.nut;
            case.gone_at_1(swings)
        }
        BuzzCause::LoosePart | BuzzCause::LessPull => false,
    };
    let read_again = matches!(first, BuzzCause::ReliefTooSmall | BuzzCause::ActionLow);
    if !confirmed && !read_again {
        out.push(first);
    }
    let mut found = ask(case, *read, out);
    if confirmed {
        // A trial that shows it settles it.
        found.sort_by_key(|s| s.cause != first);
    }
    found
}

/// One case: readings from before it buzzed, or of today.
pub fn try_one(
    cause: BuzzCause,
    today: bool,
    noise: &mut Noise,
    swings: &mut EnvelopeCache,
    tally: &mut Tally,
) {
    let case = Case::draw(cause, noise, swings);
    let mut state = (case.read(today, noise), Vec::new());
    let found = ask(&case, state.0, &state.1);
    let is = |s: Option<&Suspect>| s.is_some_and(|s| s.cause == case.cause);
    tally.cases += 1;
    tally.first += usize::from(is(found.first()));
    tally.in_two += usize::from(found.iter().take(2).any(|s| is(Some(s))));
    let Some(first) = found.first().map(|s| s.cause) else { return };
    tally.firsts[index(first)] += 1;
    let found = decide(&case, first, &mut state, noise, swings);
    tally.decided += usize::from(is(found.first()));
    let Some(first) = found.first().map(|s| s.cause) else { return };
    let found = decide(&case, first, &mut state, noise, swings);
    tally.decided_twice += usize::from(is(found.first()));
}
