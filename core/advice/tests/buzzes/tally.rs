//! How often the true cause of a buzz ranks first, and how often the reading that is named decides.

use fallaway_advice::buzz::{BuzzCause, BuzzClues, CrownCheck, ReadNow, Suspect, causes_with};
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
    /// What came first: relief, action, the right crown or another, nut, loose; at once, after that reading, after a
    /// second.
    pub firsts: [[usize; 5]; 3],
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

/// Asks with what was read, and what trials have shown.
fn ask(case: &Case, read: Read, clues: &BuzzClues) -> Vec<Suspect> {
    causes_with(&mut case.desk(read), case.heard, case.play, clues).unwrap()
}

/// Takes the reading or trial that the first suspect names, and asks again.
fn decide(
    case: &Case,
    first: &Suspect,
    state: &mut (Read, BuzzClues),
    noise: &mut Noise,
    swings: &mut EnvelopeCache,
) -> Vec<Suspect> {
    let (read, clues) = state;
    let today = case.read(true, noise);
    let mut rocked = |fret: u8| CrownCheck { fret, rocks: case.rocks(fret, noise) };
    clues.crowns.extend(first.try_crowns.iter().map(|&fret| rocked(fret)));
    match first.cause {
        BuzzCause::ReliefTooSmall => {
            read.relief = today.relief;
            clues.read_now.relief = true;
        }
        BuzzCause::ActionLow => {
            read.action = today.action;
            clues.read_now.action = true;
        }
        BuzzCause::NutSlot => {
            read.nut = today.nut;
            clues.gone_with_capo = Some(case.gone_at_1(swings));
        }
        BuzzCause::ProudCrown { .. } | BuzzCause::LoosePart | BuzzCause::LessPull => {}
    }
    ask(case, *read, clues)
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
    let read_now = ReadNow { relief: today, action: today };
    let mut state = (case.read(today, noise), BuzzClues { read_now, ..BuzzClues::default() });
    let found = ask(&case, state.0, &state.1);
    let is = |s: Option<&Suspect>| s.is_some_and(|s| s.cause == case.cause);
    tally.cases += 1;
    tally.first += usize::from(is(found.first()));
    tally.in_two += usize::from(found.iter().take(2).any(|s| is(Some(s))));
    let Some(first) = found.first() else { return };
    tally.firsts[0][index(first.cause)] += 1;
    let found = decide(&case, first, &mut state, noise, swings);
    tally.decided += usize::from(is(found.first()));
    let Some(first) = found.first() else { return };
    tally.firsts[1][index(first.cause)] += 1;
    let found = decide(&case, first, &mut state, noise, swings);
    tally.decided_twice += usize::from(is(found.first()));
    if let Some(first) = found.first() {
        tally.firsts[2][index(first.cause)] += 1;
    }
}
