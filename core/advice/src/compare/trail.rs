//! What the readings of a string's action say one after the other, with what was done between them: so
//! much as decides with the newest reading. Kept beside the last readings, and carried on entry by entry.

use fallaway_measure::{Reading, Tool};
use fallaway_mechanics::units::as_mm;
use fallaway_record::Posture;
use minicbor::{Decode, Encode};

use crate::neck::StringModel;
use crate::observe::{
    Bound, Done, Estimate, EventKind, Facts, Input, Intervention, InterventionKind, Measurand,
    MeasurandKind, TODAY_S, disturbs, interventions, knows, offset_mm,
};
use crate::turns::sign;

/// Of more than so many clues the oldest say nothing any more.
const MOST: usize = 20;
/// So many readings back a history is read: with some entered late, still more than enough.
const LAST: usize = 2 * MOST;
/// Readings further apart than this are of different times: 3 days.
const LATER_S: i64 = 3 * 24 * 3600;
/// How far a turn of a known thread lies from its advance and the model of the neck, as a share, and how
/// far a hand misses the turn that it writes down, in turns (common practice, no source).
const TURN_SHARE: f64 = 0.08;
const HAND: f64 = 0.02;
/// How far an action moves, one standard deviation in mm: with a turn of the rod, with a rod turned by
/// who knows how much, with strings, tuning, air and what else touches it lightly (common practice, no
/// source).
const ROD_MM: f64 = 0.5;
const ROD_UNWRITTEN_MM: f64 = 0.15;
const LIGHTLY_MM: f64 = 0.1;

/// A reading, or what happened between two.
#[derive(Debug, Clone, Copy, PartialEq, Encode, Decode)]
pub(super) enum Clue {
    /// What was read lies between these two marks, in mm; it is repeated to `scatter`.
    #[n(0)]
    Read {
        #[n(0)]
        low: f64,
        #[n(1)]
        high: f64,
        #[n(2)]
        scatter: f64,
    },
    /// Screws of known thread move it by so much, upward positive; `written` if it is written down which
    /// way they go, else as most go.
    #[n(1)]
    Turned {
        #[n(0)]
        by: f64,
        #[n(1)]
        sd: f64,
        #[n(2)]
        written: bool,
    },
    /// Something else moves it a little, either way.
    #[n(2)]
    Disturbed {
        #[n(0)]
        sd: f64,
    },
    /// Days go by.
    #[n(3)]
    Later,
}

/// The last readings of one action, with what was done between.
#[derive(Debug, Clone, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Trail {
    #[n(0)]
    pub(super) clues: Vec<Clue>,
    #[n(1)]
    read_unix_s: i64,
    #[n(2)]
    posture: Option<Posture>,
    /// How far the newest reading's tool may lie off as a whole, one standard deviation in mm.
    #[n(3)]
    pub(super) offset: f64,
}

impl Trail {
    /// Whether trails are kept of a thing: the action of one string.
    pub fn is_kept_of(measurand: Measurand) -> bool {
        measurand.place().is_some() && measurand.kind().is_some_and(MeasurandKind::is_action)
    }

    /// Takes in a reading of the thing.
    pub fn read(
        &mut self,
        reading: Reading,
        tool: Option<Tool>,
        posture: Option<Posture>,
        unix_s: i64,
    ) {
        // Of an earlier day, entered later: it says nothing of what is known since.
        if !self.clues.is_empty() && unix_s < self.read_unix_s - TODAY_S {
            return;
        }
        let Some(known) = Estimate::of_reading(reading, tool) else { return };
        let Some(exact) = Estimate::of_reading_repeating(reading, tool, Some(0.0)) else { return };
        // A reading in another posture is of another thing.
        if self.posture.zip(posture).is_some_and(|(before, now)| before != now) {
            self.clues.clear();
        }
        self.posture = posture.or(self.posture);
        if !self.clues.is_empty() && (unix_s - self.read_unix_s).abs() > LATER_S {
            self.clues.push(Clue::Later);
        }
        self.read_unix_s = unix_s;
        self.offset = offset_mm(tool.map(Tool::kind));
        // Half of the scatter stays in the exact one, whoever reads.
        let square = known.standard_uncertainty.powi(2) - exact.standard_uncertainty.powi(2);
        let scatter = (square.max(0.0) / 0.75).sqrt().max(1e-3);
        let rounding = known.standard_uncertainty.powi(2) - scatter * scatter;
        let half = (3.0 * rounding.max(0.0)).sqrt();
        let (low, high) = match known.bound {
            Bound::Value => (known.value - half, known.value + half),
            Bound::AtMost => (f64::NEG_INFINITY, known.value),
            Bound::AtLeast => (known.value, f64::INFINITY),
        };
        self.push(Clue::Read { low, high, scatter });
    }

    /// Takes in what was done.
    pub fn done(&mut self, done: &Intervention, measurand: Measurand, facts: &Facts) {
        if self.clues.is_empty() || !disturbs(done, measurand, facts) {
            return;
        }
        match moved(done, measurand, facts) {
            Some(clue) => self.push(clue),
            None => self.clues.clear(),
        }
    }

    fn push(&mut self, clue: Clue) {
        match (self.clues.last_mut(), clue) {
            (Some(Clue::Disturbed { sd }), Clue::Disturbed { sd: more }) => *sd = sd.hypot(more),
            _ => self.clues.push(clue),
        }
        let beyond = self.clues.len().saturating_sub(MOST);
        self.clues.drain(..beyond);
        // What was done before the first reading says nothing.
        let first = self.clues.iter().position(|clue| matches!(clue, Clue::Read { .. }));
        self.clues.drain(..first.unwrap_or(self.clues.len()));
    }
}

/// By how much something done moves an action; `None` if nobody can tell.
fn moved(done: &Intervention, measurand: Measurand, facts: &Facts) -> Option<Clue> {
    let place = measurand.place()?;
    match done.kind {
        InterventionKind::SaddleHeight => {
            let Some(share) = facts.share(done, place) else {
                // Another string's saddle, on a bridge that balances.
                return Some(Clue::Disturbed { sd: LIGHTLY_MM });
            };
            let screw = facts.bridge.turned(done)?;
            let per_turn = as_mm(screw.thread?.pitch()) * per_saddle(measurand, facts)?;
            let turns = done.turns? * share;
            let upward = screw.raises.map_or(1.0, sign);
            let by = upward * turns * per_turn;
            let sd = (TURN_SHARE * by).hypot(HAND * share * per_turn);
            by.is_finite().then_some(Clue::Turned { by, sd, written: screw.raises.is_some() })
        }
        InterventionKind::Rod => {
            let sd = done.turns.map_or(ROD_UNWRITTEN_MM, |turns| ROD_MM * turns.abs() + 0.02);
            sd.is_finite().then_some(Clue::Disturbed { sd })
        }
        InterventionKind::Strings
        | InterventionKind::Tuning
        | InterventionKind::Season
        | InterventionKind::Nut
        | InterventionKind::SaddleForeAft
        | InterventionKind::SaddleSideways => Some(Clue::Disturbed { sd: LIGHTLY_MM }),
        _ => None,
    }
}

/// By how much an action grows for each mm at its saddle.
pub(super) fn per_saddle(measurand: Measurand, facts: &Facts) -> Option<f64> {
    let scale_mm = facts.string(measurand.place()?)?.scale_mm?;
    let ratio = StringModel::new(scale_mm, facts)?.per_saddle(measurand.quantity)?;
    (ratio.value > 1e-3).then_some(ratio.value)
}

/// A trail that is being read, from the first reading that may still say something.
struct Kept {
    of: Measurand,
    from: usize,
    trail: Trail,
}

/// The last readings of each action, so many that older ones have no part in its clues.
fn last_readings(input: &Input<'_>) -> Vec<Kept> {
    let mut all: Vec<(Kept, usize)> = Vec::new();
    for (index, event) in input.events.iter().enumerate().rev().filter(|(_, e)| !e.retracted) {
        let EventKind::Pass(pass) = &event.what else { continue };
        if !MeasurandKind::of(pass.quantity).is_some_and(MeasurandKind::is_action) {
            continue;
        }
        for read in pass.readings.iter() {
            let of = Measurand { quantity: pass.quantity, location: read.location };
            match all.iter_mut().find(|(kept, _)| kept.of == of) {
                Some((_, count)) if *count >= LAST => {}
                Some((kept, count)) => {
                    kept.from = index;
                    *count += 1;
                }
                None if !Trail::is_kept_of(of) => {}
                None => all.push((Kept { of, from: index, trail: Trail::default() }, 1)),
            }
        }
    }
    all.into_iter().map(|(kept, _)| kept).collect()
}

/// The trails of all actions of a history.
pub struct Trails(Vec<(Measurand, Trail)>);

impl Trails {
    /// Reads a whole history.
    pub fn of(input: &Input<'_>) -> Self {
        Self::after(input, &interventions(input))
    }

    pub(crate) fn after(input: &Input<'_>, done: &[Done]) -> Self {
        let mut all = last_readings(input);
        let first = all.iter().map(|kept| kept.from).min().unwrap_or_default();
        let mut next = done.iter().peekable();
        for (index, event) in input.events.iter().enumerate().skip(first) {
            if event.retracted {
                continue;
            }
            while let Some(done) = next.next_if(|d| d.event <= index) {
                for kept in &mut all {
                    kept.trail.done(&done.intervention, kept.of, &input.facts);
                }
            }
            let EventKind::Pass(pass) = &event.what else { continue };
            // Written apart from something done before it in the record: of an earlier state.
            let mut apart: Option<Vec<&Done>> = None;
            for read in pass.readings.iter() {
                let measurand = Measurand { quantity: pass.quantity, location: read.location };
                let kept = all.iter_mut().find(|kept| kept.of == measurand);
                let Some(kept) = kept.filter(|kept| kept.from <= index) else { continue };
                let apart = apart.get_or_insert_with(|| {
                    let before = done.get(..done.partition_point(|d| d.event <= index));
                    let before = before.unwrap_or_default().iter();
                    before.filter(|d| !knows(input, index, event, d)).collect()
                });
                if !apart.iter().any(|d| disturbs(&d.intervention, measurand, &input.facts)) {
                    kept.trail.read(read.reading, pass.tool, pass.posture, event.at.unix_s);
                }
            }
        }
        for done in next {
            for kept in &mut all {
                kept.trail.done(&done.intervention, kept.of, &input.facts);
            }
        }
        Self(all.into_iter().map(|kept| (kept.of, kept.trail)).collect())
    }

    /// The trail of a thing.
    pub fn get(&self, measurand: Measurand) -> Option<&Trail> {
        self.0.iter().find(|(of, _)| *of == measurand).map(|(_, trail)| trail)
    }
}
