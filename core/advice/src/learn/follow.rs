//! Reading after reading of one thing: what each should have been, by the last good one and what was
//! turned since.
//!
//! A reading that its forecast allows is good, and what was turned before it teaches. One that it does
//! not allow is doubted until the next: that fits the forecast, and the doubted reading was a slip; or
//! it fits the doubted reading, and the forecast was wrong. Only then does the turn teach. A bound is
//! an interval: from a value to a bound it teaches a direction and a least size, from a bound to the
//! same bound nothing.

use fallaway_measure::Quantity;
use fallaway_record::{EntryId, Posture};

use crate::observe::{
    Bound, Done, Estimate, EventKind, Intervention, Measurand, Observation, ReadingIndex, disturbs,
};
use crate::turns::{TurnDirection, sign};

/// One reading before, a turn, one reading after.
#[derive(Debug, Clone, PartialEq)]
pub struct ResponsePair {
    /// The reading before the turn.
    pub before: Observation,
    /// The reading after the turn, of the same thing in the same way.
    pub after: Observation,
    /// Turns between, clockwise positive.
    pub turns: f64,
    /// The entries that say so.
    pub interventions: Vec<EntryId>,
    /// The change of the reading.
    pub change: Estimate,
    /// The logarithm of the odds that clockwise makes the reading larger, against smaller, where the thread
    /// is known: a turn that does little cannot have done a whole mark.
    pub way_odds: Option<f64>,
}

impl ResponsePair {
    /// Whether it tells which way the screws work.
    pub(crate) fn shows(&self) -> bool {
        self.change.tells() && self.way_odds.is_none_or(|odds| odds.abs() > TELLS_WAY)
    }
}

/// How much one turn's effect scatters from the next, as a share (common practice, no source).
pub(super) const SCATTER: f64 = 0.2;
/// A before and an after further apart than this say more of the weather than of the screw: 3 days
/// (common practice, no source).
pub(crate) const PAIR_S: i64 = 3 * 24 * 3600;
/// A reading more than this many standard uncertainties beyond its forecast is doubted: 3 is about
/// one in 400 of a normal distribution, and for the marks of a rule always more than one mark.
const DOUBT: f64 = 3.0;
/// The logarithm of the odds from which turns of a known thread tell which way they work: 20 to 1.
pub(super) const TELLS_WAY: f64 = 3.0;
/// How far the response to one turn may lie from the usual one, in its standard deviations.
const REACH: f64 = 2.5;
/// How far a hand misses the turn that it writes down, in turns (common practice, no source).
const HAND: f64 = 0.02;

/// How much a turn usually does, before an instrument has shown its own.
#[derive(Debug, Clone, Copy)]
pub(crate) struct UsualEffect {
    /// Median in mm (cents) a turn, without sign.
    pub per_turn: f64,
    /// Standard deviation of its natural logarithm.
    pub ln_sd: f64,
    /// Whether it is the advance of a known thread: then it is not learned.
    pub is_thread: bool,
}

/// The screws whose turns are followed, and what is known of them beforehand.
pub(super) struct Screws<'s> {
    /// The readings that they move.
    pub reads: &'s dyn Fn(Quantity) -> bool,
    /// The turns of an intervention as they act on a thing; `None` if it is not of these screws.
    pub turns: &'s dyn Fn(&Intervention, Measurand) -> Option<f64>,
    /// What a turn usually does.
    pub usual: &'s dyn Fn(Measurand) -> Option<UsualEffect>,
    /// Which way makes the reading smaller, as written down.
    pub written: Option<TurnDirection>,
}

/// A reading that its forecast does not allow.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct DoubtedReading {
    pub seen: Observation,
    pub forecast: Estimate,
}

/// What the readings came to.
#[derive(Debug, Default)]
pub(super) struct Followed {
    pub pairs: Vec<ResponsePair>,
    /// Readings still in doubt: the last of their thing.
    pub doubts: Vec<DoubtedReading>,
    /// Doubted readings that the next one did not bear out, by entry and thing.
    pub slips: Vec<(EntryId, Measurand)>,
}

/// A reading and what was turned since.
struct Since<'a> {
    before: Observation,
    turns: f64,
    interventions: Vec<&'a Done>,
}

impl Since<'_> {
    fn new(before: Observation) -> Self {
        Self { before, turns: 0.0, interventions: Vec::new() }
    }

    /// Whether a later reading can be held beside it: soon enough, and in the knowledge of what was done.
    fn reaches(&self, bench: &ReadingIndex<'_>, seen: &Observation) -> bool {
        let causality = bench.input.causality;
        (seen.at.unix_s - self.before.at.unix_s).abs() <= PAIR_S
            && self.interventions.iter().all(|d| {
                causality.precedes(self.before.event, d.event)
                    && causality.precedes(d.event, seen.event)
            })
    }
}

/// What is known of one thing.
struct Track<'a> {
    /// The last good reading.
    good: Since<'a>,
    /// The last good value, where the last good reading is a bound.
    value: Option<Since<'a>>,
    /// A reading that its forecast did not allow, and that forecast.
    doubted: Option<(Since<'a>, Estimate)>,
}

impl<'a> Track<'a> {
    fn all(&mut self) -> impl Iterator<Item = &mut Since<'a>> {
        let Self { good, value, doubted } = self;
        [Some(good), value.as_mut(), doubted.as_mut().map(|(since, _)| since)].into_iter().flatten()
    }

    /// Takes in the next reading of the thing.
    fn take(&mut self, seen: Observation, shown: &mut Shown<'_>, found: &mut Followed) {
        let forecast = shown.forecast(&self.good);
        if forecast.is_none_or(|f| f.allows(seen.known)) {
            if let Some((since, _)) = self.doubted.take() {
                found.slips.push((since.before.entry, seen.measurand));
            }
            if let Some(value) = &self.value {
                shown.learn(value, &seen, found);
            }
            shown.learn(&self.good, &seen, found);
        } else {
            let confirmed = self.doubted.as_ref().is_some_and(|(since, _)| {
                shown.forecast(since).is_none_or(|f| f.allows(seen.known))
            });
            if !confirmed {
                let expected = forecast.map_or(self.good.before.known, |f| f.expected);
                self.doubted = Some((Since::new(seen), expected));
                return;
            }
            self.doubted = None;
            if self.good.interventions.is_empty() {
                shown.relearn(&self.good.before, &seen, found);
            } else {
                shown.learn(&self.good, &seen, found);
            }
        }
        let is_bound = |o: &Observation| as_read(o).bound != Bound::Value;
        let next_is_bound = is_bound(&seen);
        let last = std::mem::replace(&mut self.good, Since::new(seen));
        if !next_is_bound {
            self.value = None;
        } else if !is_bound(&last.before) {
            self.value = Some(last);
        }
    }
}

/// What should be read: anything from `low` to `high`.
#[derive(Debug, Clone, Copy)]
struct Range {
    low: f64,
    high: f64,
    expected: Estimate,
}

impl Range {
    /// Whether forecast and reading can both be true.
    fn allows(self, read: Estimate) -> bool {
        let u = self.expected.standard_uncertainty.hypot(read.standard_uncertainty);
        let above = read.bound != Bound::AtMost && read.value > self.high + DOUBT * u;
        let below = read.bound != Bound::AtLeast && read.value < self.low - DOUBT * u;
        match read.bound {
            Bound::Value => !above && !below,
            Bound::AtMost => read.value >= self.low - DOUBT * u,
            Bound::AtLeast => read.value <= self.high + DOUBT * u,
        }
    }
}

/// What the screws have shown so far.
struct Shown<'s> {
    screws: &'s Screws<'s>,
    /// Sums of the least squares of change over turns.
    top: f64,
    bottom: f64,
    /// How many turns told that clockwise makes the reading larger, less those that told the opposite.
    votes: i32,
    told: i32,
}

impl Shown<'_> {
    /// Which sign a clockwise turn's change has.
    fn clockwise(&self) -> Option<f64> {
        let shown = f64::from(self.votes.signum());
        match self.screws.written.map(|lessens| -sign(lessens)) {
            // What told against what is written leaves both ways open.
            Some(written) if written * f64::from(self.votes) > -1.0 => Some(written),
            Some(_) => None,
            None => (self.votes != 0).then_some(shown),
        }
    }

    fn effect(&self, measurand: Measurand) -> Option<UsualEffect> {
        let usual = (self.screws.usual)(measurand);
        if usual.is_some_and(|u| u.is_thread) || self.told == 0 || self.bottom <= 0.0 {
            return usual;
        }
        let per_turn = (self.top / self.bottom).abs();
        let sd = (1.0 / self.bottom).sqrt() / per_turn.max(1e-6);
        let ln_sd = sd.max(SCATTER + 0.05);
        Some(UsualEffect { per_turn, ln_sd, is_thread: false })
    }

    /// What should be read after `since`; `None` if anything may.
    fn forecast(&self, since: &Since<'_>) -> Option<Range> {
        let before = as_read(&since.before);
        let (mut low, mut high, mut middle) = (0.0, 0.0, 0.0);
        let u = before.standard_uncertainty;
        if !since.interventions.is_empty() {
            let effect = self.effect(since.before.measurand)?;
            let hand = HAND * since.interventions.len() as f64 * effect.per_turn;
            let size = since.turns.abs() * effect.per_turn;
            let most = size * (REACH * effect.ln_sd).exp() + hand;
            // A screw with play, a rod in its dead zone: less, down to nothing, where no thread says
            // how much.
            let least =
                if effect.is_thread { size * (-REACH * effect.ln_sd).exp() - hand } else { 0.0 };
            match self.clockwise().map(|clockwise| clockwise * since.turns) {
                Some(way) if way > 0.0 => (low, high, middle) = (least, most, size),
                Some(way) if way < 0.0 => (low, high, middle) = (-most, -least, -size),
                _ => (low, high) = (-most, most),
            }
        }
        let (low, high) = match before.bound {
            Bound::Value => (before.value + low, before.value + high),
            Bound::AtMost => (f64::NEG_INFINITY, before.value + high),
            Bound::AtLeast => (before.value + low, f64::INFINITY),
        };
        let expected = Estimate { value: before.value + middle, standard_uncertainty: u, ..before };
        Some(Range { low, high, expected })
    }

    /// A turn between two readings teaches. Of two turns that share a reading, and that both tell only if
    /// this one reading is right, none does: it was a slip, and the turns are taken together.
    fn learn(&mut self, since: &Since<'_>, after: &Observation, found: &mut Followed) {
        let shared = |pair: &ResponsePair| {
            pair.after.event == since.before.event
                && pair.after.measurand == since.before.measurand
                && is_slip_between(pair, since, after)
        };
        if let Some(at) = found.pairs.iter().rposition(shared) {
            let first = found.pairs.remove(at);
            self.weigh(&first, -1.0);
            found.slips.push((first.after.entry, first.after.measurand));
            let Some(change) = change(as_read(&first.before), as_read(after)) else { return };
            let turns = first.turns + since.turns;
            if turns == 0.0 {
                return;
            }
            let entries = first.interventions.iter().copied();
            let together = ResponsePair {
                way_odds: self.way_odds(change, turns, after.measurand),
                after: after.clone(),
                turns,
                interventions: entries.chain(since.interventions.iter().map(|d| d.entry)).collect(),
                change,
                before: first.before,
            };
            self.weigh(&together, 1.0);
            found.pairs.push(together);
            return;
        }
        let Some(change) = change(as_read(&since.before), as_read(after)) else { return };
        // The same turn, its bound read again: it taught that already.
        let entries: Vec<EntryId> = since.interventions.iter().map(|d| d.entry).collect();
        let again = |pair: &ResponsePair| {
            pair.interventions == entries
                && pair.before.event == since.before.event
                && pair.before.measurand == since.before.measurand
        };
        if since.turns == 0.0 || found.pairs.iter().any(again) {
            return;
        }
        let pair = ResponsePair {
            way_odds: self.way_odds(change, since.turns, after.measurand),
            before: since.before.clone(),
            after: after.clone(),
            turns: since.turns,
            interventions: entries,
            change,
        };
        self.weigh(&pair, 1.0);
        found.pairs.push(pair);
    }

    /// By normal distributions: the change against what the thread does the one way, and the other.
    fn way_odds(&self, change: Estimate, turns: f64, of: Measurand) -> Option<f64> {
        let thread = (self.screws.usual)(of).filter(|usual| usual.is_thread)?;
        let u = change.standard_uncertainty.max(1e-6);
        Some(2.0 * change.value * turns * thread.per_turn / (u * u))
    }

    /// The newest good reading is wrong: two after it agree, with nothing done between. What it taught
    /// is taken back, and taught by them.
    fn relearn(&mut self, wrong: &Observation, seen: &Observation, found: &mut Followed) {
        let ends_in = |pair: &ResponsePair| {
            pair.after.event == wrong.event && pair.after.measurand == wrong.measurand
        };
        found.slips.push((wrong.entry, wrong.measurand));
        let Some(at) = found.pairs.iter().rposition(ends_in) else { return };
        let taught = found.pairs.remove(at);
        self.weigh(&taught, -1.0);
        let Some(change) = change(as_read(&taught.before), as_read(seen)) else { return };
        let way_odds = self.way_odds(change, taught.turns, seen.measurand);
        let pair = ResponsePair { after: seen.clone(), change, way_odds, ..taught };
        self.weigh(&pair, 1.0);
        found.pairs.push(pair);
    }

    /// Counts what a pair tells, or takes it back (`by` is -1).
    fn weigh(&mut self, pair: &ResponsePair, by: f64) {
        let ResponsePair { turns, change, .. } = pair;
        if pair.shows() {
            self.told += by as i32;
            self.votes += (by * (change.value * turns).signum()) as i32;
        }
        if change.bound == Bound::Value {
            let sd = change.standard_uncertainty.hypot(SCATTER * change.value).max(1e-6);
            self.top += by * turns * change.value / (sd * sd);
            self.bottom += by * turns * turns / (sd * sd);
        }
    }
}

/// Whether the reading between two turns is wrong: both turns tell, together they do nothing, and
/// at the rate that they tell together they should.
fn is_slip_between(first: &ResponsePair, then: &Since<'_>, after: &Observation) -> bool {
    let (before, after) = (as_read(&first.before), as_read(after));
    let values = [before, first.change, after].iter().all(|e| e.bound == Bound::Value);
    let Some(second) = change(as_read(&then.before), after) else { return false };
    let turns = first.turns + then.turns;
    let together = after.minus(before);
    let expected = first.change.value / first.turns * turns;
    let missing = (expected - together.value).abs();
    values
        && then.turns != 0.0
        && first.change.tells()
        && second.tells()
        && !together.tells()
        && missing > DOUBT * together.standard_uncertainty.hypot(SCATTER * expected)
}

/// A reading of nothing is a bound: a string that touches does not say how hard.
fn as_read(seen: &Observation) -> Estimate {
    if seen.touches() { Estimate { bound: Bound::AtMost, ..seen.known } } else { seen.known }
}

/// The change from one reading to the next, or the side of it that is known; `None` from a bound to
/// the same bound.
fn change(before: Estimate, after: Estimate) -> Option<Estimate> {
    let bound = match (before.bound, after.bound) {
        (Bound::Value, after) => after,
        (Bound::AtMost, Bound::Value | Bound::AtLeast) => Bound::AtLeast,
        (Bound::AtLeast, Bound::Value | Bound::AtMost) => Bound::AtMost,
        (Bound::AtMost, Bound::AtMost) | (Bound::AtLeast, Bound::AtLeast) => return None,
    };
    Some(Estimate { bound, ..after.minus(before) })
}

/// A reading beside which nothing has been held yet: most of a long record are never looked at again.
struct Start<'a> {
    event: usize,
    unix_s: i64,
    turns: f64,
    interventions: Vec<&'a Done>,
}

/// A thing in one posture, and what is known of it.
struct Tracked<'a> {
    of: Measurand,
    posture: Option<Posture>,
    known: Known<'a>,
}

enum Known<'a> {
    Start(Start<'a>),
    Track(Box<Track<'a>>),
}

impl Tracked<'_> {
    /// Takes in the next reading of the thing.
    fn take(
        &mut self,
        (bench, index): (&ReadingIndex<'_>, usize),
        unix_s: i64,
        shown: &mut Shown<'_>,
        found: &mut Followed,
    ) {
        if let Known::Start(start) = &mut self.known
            && (unix_s - start.unix_s).abs() <= PAIR_S
            && let Some(before) = bench.seen(start.event, self.of)
        {
            let good = Since {
                before,
                turns: start.turns,
                interventions: std::mem::take(&mut start.interventions),
            };
            self.known = Known::Track(Box::new(Track { good, value: None, doubted: None }));
        }
        match &mut self.known {
            Known::Track(track) => {
                let Some(seen) = bench.seen(index, self.of) else { return };
                if track.all().all(|since| since.reaches(bench, &seen)) {
                    track.take(seen, shown, found);
                } else {
                    self.known = Known::start(index, unix_s);
                }
            }
            Known::Start(_) => self.known = Known::start(index, unix_s),
        }
    }
}

impl Known<'_> {
    const fn start(event: usize, unix_s: i64) -> Self {
        Self::Start(Start { event, unix_s, turns: 0.0, interventions: Vec::new() })
    }
}

/// Follows all readings that some screws move, in the order of the record.
pub(super) fn follow(bench: &ReadingIndex<'_>, screws: &Screws<'_>) -> Followed {
    let mut tracks: Vec<Tracked<'_>> = Vec::new();
    let mut found = Followed::default();
    let mut shown = Shown { screws, top: 0.0, bottom: 0.0, votes: 0, told: 0 };
    let mut next_done = bench.interventions.iter().peekable();
    for (index, event) in bench.input.events.iter().enumerate() {
        while let Some(done) = next_done.next_if(|d| d.event <= index) {
            tracks.retain_mut(|track| note(bench, done, screws, track));
        }
        let EventKind::Pass(pass) = &event.what else { continue };
        if event.retracted || !(screws.reads)(pass.quantity) {
            continue;
        }
        let measurands = pass
            .readings
            .iter()
            .map(|r| Measurand { quantity: pass.quantity, location: r.location });
        let (unix_s, posture) = (event.at.unix_s, pass.posture);
        for of in measurands {
            match tracks.iter_mut().find(|t| t.of == of && t.posture == posture) {
                Some(track) => track.take((bench, index), unix_s, &mut shown, &mut found),
                None => tracks.push(Tracked { of, posture, known: Known::start(index, unix_s) }),
            }
        }
    }
    let doubts = tracks.into_iter().filter_map(|t| match t.known {
        Known::Track(track) => track.doubted,
        Known::Start(_) => None,
    });
    found.doubts =
        doubts.map(|(since, forecast)| DoubtedReading { seen: since.before, forecast }).collect();
    found
}

/// A turn of the screws adds to the readings it moves; whatever else disturbs them ends them.
fn note<'a>(
    bench: &ReadingIndex<'_>,
    done: &'a Done,
    screws: &Screws<'_>,
    track: &mut Tracked<'a>,
) -> bool {
    let measurand = track.of;
    if !disturbs(&done.intervention, measurand, &bench.input.facts) {
        return true;
    }
    match (screws.turns)(&done.intervention, measurand).filter(|turns| turns.is_finite()) {
        Some(turns) => {
            match &mut track.known {
                Known::Start(start) => {
                    start.turns += turns;
                    start.interventions.push(done);
                }
                Known::Track(track) => {
                    for since in track.all() {
                        since.turns += turns;
                        since.interventions.push(done);
                    }
                }
            }
            true
        }
        None => false,
    }
}
