//! What the readings of a string's action say one after the other, with what was done between them: so
//! much as decides with the newest reading. Kept beside the last readings, and carried on entry by entry.

use fallaway_measure::{Location, Quantity, Reading, Tool};
use fallaway_mechanics::units::as_mm;
use fallaway_record::Posture;
use minicbor::{Decode, Encode};

use crate::neck::StringModel;
use crate::observe::{
    Bound, COVERAGE, Done, Estimate, Event, EventKind, Facts, Input, Intervention,
    InterventionKind, Measurand, MeasurandKind, TODAY_S, UnknownTo, disturbs, interventions,
    offset_mm,
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
/// The same beside what the relief, read before and after, explains: with the rod, and with what else bends
/// the neck; and how far the neck bends otherwise than the model, as a share (common practice, no source).
const BESIDE_ROD_MM: f64 = 0.02;
const BESIDE_MM: f64 = 0.06;
const BEND_SHARE: f64 = 0.2;
/// A string that was turned the other way so often, and whose tool does not tell its tolerance, is left so: one more
/// turn would say no more than those before it (common practice, no source).
const TO_AND_FRO: usize = 3;

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
    /// Something else moves it a little: by as much as the relief says that the neck went, or either way.
    #[n(2)]
    Disturbed {
        #[n(0)]
        by: f64,
        #[n(1)]
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
    #[n(4)]
    neck: Option<Neck>,
}

/// The relief beside an action: what it did between two readings says by how much it took the action along.
#[derive(Debug, Clone, Copy, PartialEq, Encode, Decode)]
struct Neck {
    #[n(0)]
    of: Quantity,
    /// By how much the action grows for each mm of relief, and how sure that is.
    #[n(1)]
    ratio: (f64, f64),
    #[n(2)]
    posture: Option<Posture>,
    /// The relief in mm before it was last bent, and as it was last read; each with its standard uncertainty.
    #[n(3)]
    before: (f64, f64),
    #[n(4)]
    last: (f64, f64),
    /// Which clue stands for what bent it after `before`.
    #[n(5)]
    clue: Option<u32>,
    /// How far what bent it moves the action besides, in mm.
    #[n(6)]
    beside: f64,
    /// It was bent since it was last read.
    #[n(7)]
    bent: bool,
}

impl Trail {
    /// Whether trails are kept of a thing: the action of one string.
    pub fn is_kept_of(measurand: Measurand) -> bool {
        measurand.place().is_some() && measurand.kind().is_some_and(MeasurandKind::is_action)
    }

    /// Whether its last two readings, off tools of two graduations and with nothing done and no days gone by between,
    /// differ by more than both leave open, and no third decides: the plan then asks for one. Two off one tool are
    /// weighed as slips are.
    pub fn is_contradicted(&self) -> bool {
        let mut last = self.clues.iter().rev().map_while(|clue| match clue {
            Clue::Read { low, high, scatter } => Some((*low, *high, *scatter)),
            _ => None,
        });
        let (Some(one), Some(other), None) = (last.next(), last.next(), last.next()) else {
            return false;
        };
        let width = |(low, high, _): (f64, f64, f64)| high - low;
        let u = |read: (f64, f64, f64)| (width(read) / 12_f64.sqrt()).hypot(read.2);
        let apart = (f64::midpoint(one.0, one.1) - f64::midpoint(other.0, other.1)).abs();
        let one_tool = (width(one) - width(other)).abs() < 1e-6;
        width(one).is_finite()
            && width(other).is_finite()
            && !one_tool
            && apart > COVERAGE * u(one).hypot(u(other))
    }

    /// How many turns of known thread have taken the string up and down, with no days between, if that is enough:
    /// whoever turns does otherwise than was said, or the screw does.
    pub(super) fn to_and_fro(&self) -> Option<u16> {
        let today = self.clues.iter().rev().take_while(|clue| !matches!(clue, Clue::Later));
        let turns: Vec<f64> = today
            .filter_map(|clue| match clue {
                Clue::Turned { by, .. } if by.abs() > 1e-6 => Some(*by),
                _ => None,
            })
            .collect();
        let reversed = turns.windows(2).filter(|pair| pair.iter().product::<f64>() < 0.0).count();
        u16::try_from(turns.len()).ok().filter(|_| reversed >= TO_AND_FRO)
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
            (self.clues, self.neck) = (Vec::new(), None);
        }
        self.posture = posture.or(self.posture);
        self.days(unix_s);
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

    /// Takes in a reading of the relief of the whole neck, for the action of one string.
    pub fn relief(
        &mut self,
        of: Quantity,
        read: (Reading, Option<Tool>, Option<Posture>, i64),
        measurand: Measurand,
        facts: &Facts,
    ) {
        let (reading, tool, posture, unix_s) = read;
        if !self.clues.is_empty() && unix_s < self.read_unix_s - TODAY_S {
            return;
        }
        if self.clues.is_empty() {
            let mut before = ReliefBefore::default();
            before.read(of, read);
            *self = before.begin(measurand, facts);
            return;
        }
        let known = relief_known(reading, tool);
        self.days(unix_s);
        self.read_unix_s = unix_s;
        let same = |neck: &Neck| {
            neck.of == of && neck.posture.zip(posture).is_none_or(|(before, now)| before == now)
        };
        let (Some(now), Some(neck)) = (known, self.neck.as_mut().filter(|neck| same(neck))) else {
            let ratio = known.and_then(|_| per_relief(measurand, of, facts));
            let neck = |(known, ratio)| Neck::new((of, posture), known, ratio);
            self.neck = known.zip(ratio).map(neck);
            return;
        };
        (neck.last, neck.bent) = (now, false);
        let bent = neck.clue.and_then(|clue| self.clues.get_mut(usize::try_from(clue).ok()?));
        match bent {
            Some(clue) => *clue = neck.took_along(),
            None => neck.before = now,
        }
    }

    /// Takes in what was done.
    pub fn done(&mut self, done: &Intervention, measurand: Measurand, facts: &Facts) {
        let bends = self.neck.is_some_and(|neck| disturbs(done, Measurand::whole(neck.of), facts));
        if self.clues.is_empty() {
            // Bent since it was read, before anything was read of the action.
            self.neck = self.neck.filter(|_| !bends);
            return;
        }
        if !disturbs(done, measurand, facts) {
            return;
        }
        match moved(done, measurand, facts) {
            Some(Clue::Disturbed { sd, .. }) if bends => self.bent(sd, beside(done.kind)),
            Some(clue) => self.push(clue),
            None => (self.clues, self.neck) = (Vec::new(), None),
        }
    }

    /// Days have gone by since the last reading, if they have: the neck may stand elsewhere.
    fn days(&mut self, unix_s: i64) {
        if (unix_s - self.read_unix_s).abs() <= LATER_S {
            return;
        }
        if self.clues.is_empty() {
            self.neck = None;
            return;
        }
        self.push(Clue::Later);
        self.bent(0.0, 0.0);
    }

    /// Something bends the neck, and moves the action by `sd`: how far, the next reading of the relief tells,
    /// if the action is not read and bent again before.
    fn bent(&mut self, sd: f64, beside: f64) {
        let Some(neck) = &mut self.neck else {
            if sd > 0.0 {
                self.push(Clue::Disturbed { by: 0.0, sd });
            }
            return;
        };
        let at = neck.clue.and_then(|clue| usize::try_from(clue).ok());
        let since = at.and_then(|at| self.clues.get(at..)).unwrap_or_default();
        if let Some(Clue::Disturbed { by, sd: so_far }) = since.first()
            && !since.iter().any(|clue| matches!(clue, Clue::Read { .. }))
        {
            let clue = Clue::Disturbed { by: *by, sd: so_far.hypot(sd) };
            (neck.beside, neck.bent) = (neck.beside.hypot(beside), true);
            if let Some(kept) = at.and_then(|at| self.clues.get_mut(at)) {
                *kept = clue;
            }
            return;
        }
        if neck.bent {
            // Read between two bends: what each did nobody can tell.
            self.neck = None;
            return self.bent(sd, beside);
        }
        let clue = u32::try_from(self.clues.len()).ok();
        *neck = Neck { before: neck.last, clue, beside, bent: true, ..*neck };
        self.clues.push(Clue::Disturbed { by: 0.0, sd });
        self.forget();
    }

    fn push(&mut self, clue: Clue) {
        let of_neck = self.neck.and_then(|neck| neck.clue).and_then(|n| usize::try_from(n).ok());
        let last = self.clues.len().checked_sub(1).filter(|last| Some(*last) != of_neck);
        match (last.and_then(|last| self.clues.get_mut(last)), clue) {
            (Some(Clue::Disturbed { by, sd }), Clue::Disturbed { by: more, sd: wider }) => {
                (*by, *sd) = (*by + more, sd.hypot(wider));
            }
            _ => self.clues.push(clue),
        }
        self.forget();
    }

    /// What is too old, and what was done before the first reading, says nothing.
    fn forget(&mut self) {
        let beyond = self.clues.len().saturating_sub(MOST);
        let kept = self.clues.get(beyond..).unwrap_or_default();
        let first = kept.iter().position(|clue| matches!(clue, Clue::Read { .. }));
        let gone = first.map_or(self.clues.len(), |first| beyond + first);
        self.clues.drain(..gone);
        let Some(neck) = self.neck.as_mut().filter(|_| gone > 0) else { return };
        let gone = u32::try_from(gone).unwrap_or(u32::MAX);
        match neck.clue.map(|clue| clue.checked_sub(gone)) {
            Some(None) if neck.bent => self.neck = None,
            Some(None) => (neck.clue, neck.before) = (None, neck.last),
            Some(clue) => neck.clue = clue,
            None => {}
        }
    }
}

impl Neck {
    fn new(of: (Quantity, Option<Posture>), known: (f64, f64), ratio: (f64, f64)) -> Self {
        let (of, posture) = of;
        let (before, last) = (known, known);
        Self { of, ratio, posture, before, last, clue: None, beside: 0.0, bent: false }
    }

    /// What the change of the relief did to the action.
    fn took_along(&self) -> Clue {
        let change = self.last.0 - self.before.0;
        let (ratio, unsure) = self.ratio;
        let by = ratio * change;
        let read = ratio * self.last.1.hypot(self.before.1);
        let sd = read.hypot(unsure * change).hypot(BEND_SHARE * by).hypot(self.beside);
        Clue::Disturbed { by, sd }
    }
}

/// What a reading of the relief says, with its standard uncertainty; `None` if it is a bound.
fn relief_known(reading: Reading, tool: Option<Tool>) -> Option<(f64, f64)> {
    let known = Estimate::of_reading(reading, tool).filter(|k| k.bound == Bound::Value)?;
    Some((known.value, known.standard_uncertainty))
}

/// The relief of the whole neck as it was read last, if nothing was done since that bends it: with that the trail of
/// an action begins that was never read before.
#[derive(Debug, Clone, Copy, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub struct ReliefBefore {
    #[n(0)]
    read: Option<ReadBefore>,
}

/// One reading of it, in mm, with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Encode, Decode)]
struct ReadBefore {
    #[n(0)]
    of: Quantity,
    #[n(1)]
    posture: Option<Posture>,
    #[n(2)]
    known: (f64, f64),
    #[n(3)]
    unix_s: i64,
}

impl ReliefBefore {
    /// Reads a whole history, from its end.
    pub fn of(input: &Input<'_>) -> Self {
        let done = interventions(input);
        let mut unknown = UnknownTo::new(input, &done);
        let mut before = Self::default();
        if let Some((index, read)) = relief_before(input, &mut unknown, input.events.len()) {
            before.read(read.of, read.seen);
            for done in done.iter().filter(|d| d.event > index) {
                before.done(&done.intervention, &input.facts);
            }
        }
        before
    }

    /// Takes in a reading of the relief of the whole neck.
    pub fn read(
        &mut self,
        of: Quantity,
        (reading, tool, posture, unix_s): (Reading, Option<Tool>, Option<Posture>, i64),
    ) {
        let known = relief_known(reading, tool);
        self.read = known.map(|known| ReadBefore { of, posture, known, unix_s });
    }

    /// Takes in what was done.
    pub fn done(&mut self, done: &Intervention, facts: &Facts) {
        self.read = self.read.filter(|read| !disturbs(done, Measurand::whole(read.of), facts));
    }

    /// What a trail is before its first reading.
    #[must_use]
    pub fn begin(&self, measurand: Measurand, facts: &Facts) -> Trail {
        let Some(read) = &self.read else { return Trail::default() };
        let ratio = per_relief(measurand, read.of, facts);
        let neck = ratio.map(|ratio| Neck::new((read.of, read.posture), read.known, ratio));
        Trail { read_unix_s: read.unix_s, neck, ..Trail::default() }
    }
}

/// How far what bends a neck moves the action besides, in mm.
const fn beside(done: InterventionKind) -> f64 {
    match done {
        InterventionKind::Rod => BESIDE_ROD_MM,
        _ => BESIDE_MM,
    }
}

/// By how much an action grows for each mm of a relief, and how sure that is.
fn per_relief(measurand: Measurand, relief: Quantity, facts: &Facts) -> Option<(f64, f64)> {
    let scale_mm = facts.string(measurand.place()?)?.scale_mm?;
    let ratio = StringModel::new(scale_mm, facts)?.per_relief(measurand.quantity, relief)?;
    ratio.value.is_finite().then_some((ratio.value, ratio.standard_uncertainty))
}

/// By how much something done moves an action; `None` if nobody can tell.
fn moved(done: &Intervention, measurand: Measurand, facts: &Facts) -> Option<Clue> {
    let place = measurand.place()?;
    match done.kind {
        InterventionKind::SaddleHeight => {
            let Some(share) = facts.share(done, place) else {
                // Another string's saddle, on a bridge that balances.
                return Some(Clue::Disturbed { by: 0.0, sd: LIGHTLY_MM });
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
            sd.is_finite().then_some(Clue::Disturbed { by: 0.0, sd })
        }
        InterventionKind::Strings
        | InterventionKind::Tuning
        | InterventionKind::Season
        | InterventionKind::Nut
        | InterventionKind::SaddleForeAft
        | InterventionKind::SaddleSideways => Some(Clue::Disturbed { by: 0.0, sd: LIGHTLY_MM }),
        _ => None,
    }
}

/// By how much an action grows for each mm at its saddle.
pub(super) fn per_saddle(measurand: Measurand, facts: &Facts) -> Option<f64> {
    let scale_mm = facts.string(measurand.place()?)?.scale_mm?;
    let ratio = StringModel::new(scale_mm, facts)?.per_saddle(measurand.quantity)?;
    (ratio.value > 1e-3).then_some(ratio.value)
}

/// A trail that is being read, from the first reading that may still say something; with the relief as it
/// was read before.
struct Kept {
    of: Measurand,
    from: usize,
    trail: Trail,
}

/// The relief of the whole neck, if an event is a reading of it.
fn relief_in(event: &Event<'_>) -> Option<Reading> {
    let EventKind::Pass(pass) = &event.what else { return None };
    let of_neck = MeasurandKind::of(pass.quantity) == Some(MeasurandKind::Relief);
    let mut readings = pass.readings.iter().filter(|_| of_neck);
    readings.find(|read| read.location == Location::Whole).map(|read| read.reading)
}

/// A reading of the relief of the whole neck, as it stands in the history.
struct ReliefRead {
    of: Quantity,
    seen: (Reading, Option<Tool>, Option<Posture>, i64),
}

/// The last one before an event, and where it stands; not one that was written apart from something done before it in
/// the record, for that is of an earlier state.
fn relief_before(
    input: &Input<'_>,
    unknown: &mut UnknownTo<'_, '_>,
    before: usize,
) -> Option<(usize, ReliefRead)> {
    let events = input.events.get(..before).unwrap_or_default();
    events.iter().enumerate().rev().filter(|(_, event)| !event.retracted).find_map(
        |(index, event)| {
            let EventKind::Pass(pass) = &event.what else { return None };
            let reading = relief_in(event)?;
            let of = Measurand::whole(pass.quantity);
            let apart = unknown.event(index).any(|d| disturbs(&d.intervention, of, &input.facts));
            let seen = (reading, pass.tool, pass.posture, event.at.unix_s);
            (!apart).then_some((index, ReliefRead { of: pass.quantity, seen }))
        },
    )
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
        let mut unknown = UnknownTo::new(input, done);
        let first = relief_before(input, &mut unknown, first).map_or(first, |(index, _)| index);
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
            if let Some(read) = relief_in(event) {
                let of = Measurand::whole(pass.quantity);
                let mut apart = unknown.event(index);
                if !apart.any(|d| disturbs(&d.intervention, of, &input.facts)) {
                    let read = (read, pass.tool, pass.posture, event.at.unix_s);
                    for kept in &mut all {
                        kept.trail.relief(pass.quantity, read, kept.of, &input.facts);
                    }
                }
                continue;
            }
            // Written apart from something done before it in the record: of an earlier state.
            let mut apart: Option<Vec<&Done>> = None;
            for read in pass.readings.iter() {
                let measurand = Measurand { quantity: pass.quantity, location: read.location };
                let kept = all.iter_mut().find(|kept| kept.of == measurand);
                let Some(kept) = kept.filter(|kept| kept.from <= index) else { continue };
                let apart = apart.get_or_insert_with(|| unknown.event(index).collect());
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::belief::Belief;
    use crate::observe::{StringFacts, gap};
    use fallaway_measure::{Amount, Fret, StringPlace, Unit};

    fn place() -> StringPlace {
        StringPlace::course(1).unwrap()
    }

    fn bass() -> Facts {
        let string = StringFacts {
            place: place(),
            pitch_hz: None,
            scale_mm: Some(863.6),
            offset_mm: None,
            gauge_mm: None,
            plain: None,
        };
        let joint_fret = Some(24);
        Facts { last_fret: Some(24), joint_fret, strings: vec![string], ..Facts::default() }
    }

    /// Of a bass that is read stopped at 1 over 24 with a rule of half millimetres.
    struct Hand(Trail, i64);

    impl Hand {
        fn action() -> Measurand {
            Measurand::string(gap(1, 24).unwrap(), place())
        }

        fn relief(&mut self, hundredths: i64) {
            let fret = |n| Fret::new(n).unwrap();
            let of = Quantity::Relief { from: fret(1), to: fret(24), at: None };
            let mm = Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap();
            let read = (Reading::Value(mm), Some(Tool::FEELER_MM), None, self.1);
            self.0.relief(of, read, Self::action(), &bass());
        }

        fn reads(&mut self, halves: i64) {
            let mm = Amount::decimal(5 * halves, 1, Unit::Millimetre).unwrap();
            self.0.read(Reading::Value(mm), Some(Tool::RULE_HALF_MM), None, self.1);
        }

        fn rod(&mut self) {
            self.0.done(&Intervention::rod(Some(0.25)), Self::action(), &bass());
        }

        fn later(&mut self) {
            self.1 += 90 * 86_400;
        }

        fn middle(&self) -> (f64, f64) {
            Belief::of(&self.0, None).unwrap().estimate()
        }

        fn gone(&self) -> Option<f64> {
            self.0.clues.iter().rev().find_map(|clue| match clue {
                Clue::Disturbed { by, .. } => Some(*by),
                _ => None,
            })
        }
    }

    /// -0.20 mm of relief, saddles untouched, joint at 24: -0.212 mm stopped at 1 over 24, solved from first
    /// principles in core/mechanics/tests/reference/data/geometry.json.
    const TAKEN: f64 = -0.212;

    fn near(a: Option<f64>, b: f64) -> bool {
        a.is_some_and(|a| (a - b).abs() < 2e-3)
    }

    #[test]
    fn a_turn_of_the_rod_tells_where_between_two_marks_a_string_stood() {
        let mut hand = Hand(Trail::default(), 0);
        hand.relief(40);
        hand.reads(5);
        hand.rod();
        hand.relief(20);
        assert!(near(hand.gone(), TAKEN), "{:?}", hand.gone());
        hand.reads(4);
        // Under 2.5 mm before, so over 2.25 - 0.21 now; and under 2.0 mm, so below 2.25.
        let (middle, u) = hand.middle();
        assert!((middle - 2.14).abs() < 0.06 && u < 0.12, "{middle} {u}");
        // Without the relief the turn only loosens what was known.
        let mut blind = Hand(Trail::default(), 0);
        blind.reads(5);
        blind.rod();
        blind.reads(4);
        assert!(blind.middle().1 > u, "{:?}", blind.middle());
    }

    #[test]
    fn the_relief_counts_whenever_it_is_read_and_the_last_reading_of_it() {
        let mut hand = Hand(Trail::default(), 0);
        hand.relief(40);
        hand.reads(5);
        hand.rod();
        hand.relief(35);
        hand.rod();
        hand.relief(20);
        assert!(near(hand.gone(), TAKEN), "two turns are one bend: {:?}", hand.gone());
        hand.reads(4);
        hand.relief(22);
        assert!(near(hand.gone(), 0.9 * TAKEN), "read again: {:?}", hand.gone());
        hand.later();
        hand.reads(5);
        hand.relief(42);
        assert!(near(hand.gone(), -TAKEN), "read after the action: {:?}", hand.gone());
    }

    #[test]
    fn what_two_bends_did_with_a_reading_between_them_nobody_can_tell() {
        let mut hand = Hand(Trail::default(), 0);
        hand.relief(40);
        hand.reads(5);
        hand.rod();
        hand.reads(5);
        hand.rod();
        hand.relief(20);
        assert_eq!(hand.gone(), Some(0.0));
        // And a relief from before the last days says nothing of today's.
        let mut hand = Hand(Trail::default(), 0);
        hand.relief(40);
        hand.later();
        hand.reads(5);
        hand.relief(20);
        assert_eq!(hand.gone(), None);
    }
}
