//! The record as it lies on the bench today: what was done, which readings still stand, which do not
//! and why.
//!
//! Causality comes first: a reading that was written without knowing of an adjustment counts as
//! before it. The stated time is asked only for what is today.

use fallaway_measure::{Dimension, Location, Quantity, Reading, Tool};
use fallaway_record::{Moment, Posture};

use crate::deed::{Deed, DeedKind};
use crate::input::{Event, Input, Pass, What};
use crate::known::{Bound, COVERAGE, Known};
use crate::learned::{Repeats, readers};
use crate::stale::disturbs;
use crate::thing::Thing;

/// A reading outside a visit, or in one that has ended, is of today for this long: 16 hours.
pub const TODAY_S: i64 = 16 * 3600;
/// A reading in a visit that is still open is of today for this long: a week on the bench.
pub const BENCH_S: i64 = 7 * 24 * 3600;
/// A step of relative humidity, in points, that counts as a season (common practice, no source).
pub const SEASON_POINTS: f64 = 15.0;
/// Hours in one climate before it counts (common practice, no source).
pub const ACCLIMATISED_H: f64 = 24.0;

/// A reading with what is to be known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// The position of its entry in the list of events.
    pub event: usize,
    /// What was read.
    pub thing: Thing,
    /// What was seen, as entered.
    pub reading: Reading,
    /// What it says, with the tool's uncertainty.
    pub known: Known,
    /// With what.
    pub tool: Option<Tool>,
    /// How the instrument lay.
    pub posture: Option<Posture>,
    /// By whom.
    pub by: Option<String>,
    /// When, by the writer's clock.
    pub at: Moment,
    /// Whether the record shows that the strings were at pitch.
    pub tuned: bool,
    /// How its reader repeats a reading with that kind of tool, if the record shows it: then `known`
    /// reckons with it.
    pub repeats: Option<Repeats>,
}

/// How a thing stands today.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing {
    /// Nobody ever read it.
    Never,
    /// Read in earlier visits only: history.
    Earlier {
        /// The last reading.
        last: Seen,
    },
    /// Read today, but something has been done since.
    Stale {
        /// The last reading.
        last: Seen,
        /// What was done.
        deed: DeedKind,
        /// The position of the entry that says so.
        event: usize,
    },
    /// Read, and it stands.
    Read {
        /// The reading to go by: the surest, and of equals the last.
        seen: Seen,
        /// Others that agree.
        agreeing: Vec<Seen>,
        /// Those that two others outvoted.
        outvoted: Vec<Seen>,
        /// Those taken in another posture.
        elsewhere: Vec<Seen>,
    },
    /// Readings with nothing done between them that differ beyond their uncertainties.
    Disagree {
        /// All of them, in order.
        readings: Vec<Seen>,
    },
}

impl Standing {
    /// The reading to go by.
    pub fn seen(&self) -> Option<&Seen> {
        match self {
            Self::Read { seen, .. } => Some(seen),
            _ => None,
        }
    }
}

/// A deed with its place in the record.
#[derive(Debug, Clone)]
pub(crate) struct Done {
    pub(crate) event: usize,
    pub(crate) deed: Deed,
    /// Since when the deed's cause was there, for what came about by itself: readings after it
    /// already know it.
    pub(crate) since_unix_s: Option<i64>,
}

/// The record, sorted for the questions that the plan asks.
pub struct Bench<'i> {
    pub(crate) input: &'i Input<'i>,
    pub(crate) deeds: Vec<Done>,
    /// Positions of the passes of today, in order, each with the deeds not known to it.
    passes: Vec<(usize, Vec<usize>)>,
    /// Positions of today's notes that the strings were brought to pitch.
    tunings: Vec<usize>,
    /// How each reader with each kind of tool repeats a reading.
    repeats: Vec<(readers::Key, Repeats)>,
}

impl<'i> Bench<'i> {
    /// Sorts the record.
    pub fn new(input: &'i Input<'i>) -> Self {
        let deeds = deeds(input);
        let openings = newest_openings(input);
        let ended: Vec<usize> = live(input)
            .filter(|(_, e)| matches!(e.what, What::VisitEnded))
            .filter_map(|(_, e)| e.visit)
            .collect();
        let today = |index: usize, event: &Event<'_>| {
            let age = input.now_unix_s.saturating_sub(event.at.unix_s);
            match event.visit {
                // An entry that names a visit without having seen it belongs to none.
                Some(visit)
                    if openings.contains(&visit)
                        && (visit == index || input.causality.precedes(visit, index)) =>
                {
                    age <= if ended.contains(&visit) { TODAY_S } else { BENCH_S }
                }
                Some(_) => false,
                None => {
                    age <= TODAY_S && !openings.iter().any(|&o| input.causality.precedes(index, o))
                }
            }
        };
        // What every newest visit knew of, all its readings know of.
        let recent: Vec<usize> = (0..deeds.len())
            .filter(|&d| {
                deeds.get(d).is_some_and(|done| {
                    openings.is_empty()
                        || !openings.iter().all(|&o| input.causality.precedes(done.event, o))
                })
            })
            .collect();
        let mut passes = Vec::new();
        let mut tunings = Vec::new();
        for (index, event) in live(input) {
            match &event.what {
                What::Tuned if today(index, event) => tunings.push(index),
                // Another tuning is a tuning, too.
                What::Done(deed) if deed.kind == DeedKind::Tuning && today(index, event) => {
                    tunings.push(index);
                }
                What::Pass(pass) if today(index, event) => {
                    if pass.quantity == Quantity::Pitch {
                        tunings.push(index);
                    }
                    let in_visit = event.visit.is_some();
                    let unknown = |&d: &usize| {
                        deeds.get(d).is_some_and(|done| !knows(input, index, event, done))
                    };
                    let missed = if in_visit {
                        recent.iter().copied().filter(unknown).collect()
                    } else {
                        (0..deeds.len()).filter(unknown).collect()
                    };
                    passes.push((index, missed));
                }
                _ => {}
            }
        }
        let mut bench = Self { input, deeds, passes, tunings, repeats: Vec::new() };
        bench.repeats = readers::repeats(&bench);
        bench
    }

    /// How a thing stands. `posture` is the one that a target was meant for.
    pub fn standing(&self, thing: Thing, posture: Option<Posture>) -> Standing {
        let mut valid = Vec::new();
        let mut stale = None;
        for (index, missed) in &self.passes {
            let Some(seen) = self.seen(*index, thing) else { continue };
            let disturbed = missed
                .iter()
                .rev()
                .filter_map(|&d| self.deeds.get(d))
                .find(|done| disturbs(&done.deed, thing, &self.input.facts));
            match disturbed {
                Some(done) => stale = Some((seen, done.deed.kind, done.event)),
                None => valid.push(seen),
            }
        }
        if !valid.is_empty() {
            return judge(valid, posture);
        }
        match stale {
            Some((last, deed, event)) => Standing::Stale { last, deed, event },
            None => match self.last_ever(thing) {
                Some(last) => Standing::Earlier { last },
                None => Standing::Never,
            },
        }
    }

    /// Every thing that was read today, in the order of the record.
    pub fn read_today(&self) -> Vec<Thing> {
        let mut things = Vec::new();
        for (index, _) in &self.passes {
            let Some(pass) = self.pass(*index) else { continue };
            for read in pass.readings.iter() {
                let thing = Thing { quantity: pass.quantity, location: read.location };
                if !things.contains(&thing) {
                    things.push(thing);
                }
            }
        }
        things
    }

    /// Every thing that was ever read, in the order of the record.
    pub(crate) fn ever_read(&self) -> Vec<Thing> {
        let mut known = std::collections::HashSet::new();
        let mut things = Vec::new();
        for (_, event) in live(self.input) {
            let What::Pass(pass) = &event.what else { continue };
            for read in pass.readings.iter() {
                let thing = Thing { quantity: pass.quantity, location: read.location };
                if known.insert(thing) {
                    things.push(thing);
                }
            }
        }
        things
    }

    /// The last deed that disturbs a reading, of any visit, and that its reader did not know of.
    pub(crate) fn done_since(&self, seen: &Seen) -> Option<DeedKind> {
        let event = self.input.events.get(seen.event)?;
        let missed = self.deeds.iter().rev().find(|done| {
            !knows(self.input, seen.event, event, done)
                && disturbs(&done.deed, seen.thing, &self.input.facts)
        });
        missed.map(|done| done.deed.kind)
    }

    /// The last reading of a thing that was not crossed out, of any visit.
    pub(crate) fn last_ever(&self, thing: Thing) -> Option<Seen> {
        (0..self.input.events.len())
            .rev()
            .filter(|&i| self.input.events.get(i).is_some_and(|e| !e.struck))
            .find_map(|i| self.seen(i, thing))
    }

    /// What was done since the strings were last brought to pitch today: the last deed that moves
    /// the pitch. `Ok` if they are at pitch as far as the record shows, `Err(None)` if nobody noted
    /// it today.
    pub(crate) fn pitch_since(&self) -> Result<(), Option<(DeedKind, usize)>> {
        let missed_by = |at: usize| {
            self.deeds.iter().rev().find(|done| {
                self.moves_pitch(&done.deed, None)
                    && done.event != at
                    && !self.input.causality.precedes(done.event, at)
                    && done.deed.kind != DeedKind::Season
            })
        };
        match self.tunings.last() {
            Some(&at) => match missed_by(at) {
                Some(done) => Err(Some((done.deed.kind, done.event))),
                None => Ok(()),
            },
            None => Err(None),
        }
    }

    /// Whether anything but pitch was read today, in the knowledge of what `deed` says was done.
    pub(crate) fn read_since(&self, deed: Option<usize>) -> bool {
        self.passes.iter().any(|(index, _)| {
            self.pass(*index).is_some_and(|p| p.quantity != Quantity::Pitch)
                && deed.is_none_or(|d| self.input.causality.precedes(d, *index))
        })
    }

    /// Whether a reading of the pitch still stands: nobody noted that it was tuned after it.
    pub(crate) fn pitch_stands(&self, reading: usize) -> bool {
        !self.tunings.iter().any(|&at| {
            at != reading && self.pass(at).is_none() && !self.input.causality.precedes(at, reading)
        })
    }

    /// Whether a reading is of today.
    pub(crate) fn is_today(&self, reading: usize) -> bool {
        self.passes.iter().any(|(index, _)| *index == reading)
    }

    /// Whether final numbers were written down today and nothing was done since.
    pub(crate) fn as_left_stands(&self) -> bool {
        self.passes.iter().any(|(index, missed)| {
            missed.is_empty() && self.pass(*index).is_some_and(|p| p.as_left)
        })
    }

    fn pass(&self, index: usize) -> Option<&Pass<'i>> {
        match self.input.events.get(index).map(|e| &e.what) {
            Some(What::Pass(pass)) => Some(pass),
            _ => None,
        }
    }

    pub(crate) fn seen(&self, index: usize, thing: Thing) -> Option<Seen> {
        let event = self.input.events.get(index)?;
        let pass = self.pass(index)?;
        if pass.quantity != thing.quantity {
            return None;
        }
        let reading = pass.readings.iter().rev().find(|r| r.location == thing.location)?.reading;
        let repeats = self.repeats(event, pass);
        Some(Seen {
            event: index,
            thing,
            reading,
            known: Known::of_reading_repeating(reading, pass.tool, repeats.map(|r| r.over_stated))?,
            tool: pass.tool,
            posture: pass.posture,
            by: event.by.as_deref().map(str::to_owned),
            at: event.at,
            tuned: pass.says_tuned || self.tuned_before(index, thing.location),
            repeats,
        })
    }

    /// How the reader of an entry repeats a reading of a length.
    fn repeats(&self, event: &Event<'_>, pass: &Pass<'_>) -> Option<Repeats> {
        if self.repeats.is_empty() || pass.quantity.dimension() != Dimension::Length {
            return None;
        }
        let kind = pass.tool.map(Tool::kind);
        let own = |((by, tool), _): &&(readers::Key, Repeats)| {
            *tool == kind && by.as_deref() == event.by.as_deref()
        };
        // Somebody unnamed may be anybody.
        self.repeats.iter().find(own).filter(|((by, _), _)| by.is_some()).map(|(_, r)| *r)
    }

    /// What a reading says with the uncertainty that its tool states, whoever read it.
    pub(crate) fn stated(&self, index: usize, thing: Thing) -> Option<Known> {
        let pass = self.pass(index).filter(|pass| pass.quantity == thing.quantity)?;
        let read = pass.readings.iter().rev().find(|r| r.location == thing.location)?;
        Known::of_reading(read.reading, pass.tool)
    }

    /// Whether a note of tuning came before the reading with nothing between that moves the pitch.
    fn tuned_before(&self, reading: usize, location: Location) -> bool {
        let precedes = |a, b| self.input.causality.precedes(a, b);
        self.tunings.iter().rev().any(|&tuning| {
            precedes(tuning, reading)
                && !self.deeds.iter().rev().any(|done| {
                    precedes(done.event, reading)
                        && done.event != tuning
                        && !precedes(done.event, tuning)
                        && self.moves_pitch(&done.deed, Some(location))
                })
        })
    }

    fn moves_pitch(&self, deed: &Deed, location: Option<Location>) -> bool {
        let location = location.unwrap_or(Location::Whole);
        let thing = Thing { quantity: Quantity::Pitch, location };
        disturbs(deed, thing, &self.input.facts)
    }
}

/// Entries that are not crossed out, with their positions.
fn live<'i>(input: &'i Input<'i>) -> impl Iterator<Item = (usize, &'i Event<'i>)> {
    input.events.iter().enumerate().filter(|(_, e)| !e.struck)
}

/// Whether a reading was taken in the knowledge of a deed.
fn knows(input: &Input<'_>, index: usize, event: &Event<'_>, done: &Done) -> bool {
    input.causality.precedes(done.event, index)
        || done.since_unix_s.is_some_and(|since| event.at.unix_s >= since)
}

/// Everything that was done, seasons among it.
fn deeds(input: &Input<'_>) -> Vec<Done> {
    let mut humidity: Option<f64> = None;
    let mut deeds = Vec::new();
    for (index, event) in live(input) {
        match &event.what {
            What::Done(deed) => {
                deeds.push(Done { event: index, deed: deed.clone(), since_unix_s: None });
            }
            What::Climate { humidity_percent: Some(now), hours_there: Some(hours), .. }
                if *hours >= ACCLIMATISED_H =>
            {
                if humidity.is_some_and(|before| (now - before).abs() >= SEASON_POINTS) {
                    let there_s = (hours * 3600.0) as i64;
                    deeds.push(Done {
                        event: index,
                        deed: Deed::whole(DeedKind::Season),
                        since_unix_s: Some(event.at.unix_s.saturating_sub(there_s)),
                    });
                    humidity = Some(*now);
                } else if humidity.is_none() {
                    humidity = Some(*now);
                }
            }
            _ => {}
        }
    }
    deeds
}

/// The openings of visits after which, as far as each writer knew, no other was opened.
fn newest_openings(input: &Input<'_>) -> Vec<usize> {
    let mut newest: Vec<usize> = Vec::new();
    let openings = live(input).filter(|(_, e)| matches!(e.what, What::VisitOpened));
    for (index, _) in openings.collect::<Vec<_>>().into_iter().rev() {
        if !newest.iter().any(|&later| input.causality.precedes(index, later)) {
            newest.push(index);
        }
    }
    newest
}

/// Which of several readings of one thing to go by, or that they disagree.
pub(crate) fn judge(readings: Vec<Seen>, posture: Option<Posture>) -> Standing {
    let (alike, elsewhere) = of_one_posture(readings, posture);
    let friends = |a: &Seen| alike.iter().filter(|b| !differ(a.known, b.known)).count();
    // Of those with most others on their side the surest, and of equals the last.
    let best = alike.iter().max_by(|a, b| {
        friends(a)
            .cmp(&friends(b))
            .then(b.known.standard_uncertainty.total_cmp(&a.known.standard_uncertainty))
            .then(a.event.cmp(&b.event))
    });
    let Some(best) = best.cloned() else { return Standing::Never };
    let on_side = friends(&best);
    if on_side == alike.len() || on_side > alike.len() - on_side {
        let (agreeing, outvoted) = alike
            .into_iter()
            .filter(|s| s.event != best.event)
            .partition(|s| !differ(s.known, best.known));
        Standing::Read { seen: best, agreeing, outvoted, elsewhere }
    } else {
        Standing::Disagree { readings: alike }
    }
}

/// Like with like: if readings were taken in different postures, those of the wanted one, else those
/// in playing position, else those of the last one; a reading that does not say counts with each.
fn of_one_posture(readings: Vec<Seen>, wanted: Option<Posture>) -> (Vec<Seen>, Vec<Seen>) {
    let has = |p: Posture| readings.iter().any(|s| s.posture == Some(p));
    let chosen = wanted
        .filter(|&p| has(p))
        .or_else(|| has(Posture::Playing).then_some(Posture::Playing))
        .or_else(|| readings.iter().rev().find_map(|s| s.posture));
    readings.into_iter().partition(|s| s.posture.is_none() || s.posture == chosen)
}

/// Whether two readings of one thing differ beyond both uncertainties.
pub(crate) fn differ(a: Known, b: Known) -> bool {
    let apart = a.value - b.value;
    let limit = COVERAGE * a.standard_uncertainty.hypot(b.standard_uncertainty);
    let above = |k: Known| k.bound != Bound::AtMost;
    let below = |k: Known| k.bound != Bound::AtLeast;
    (apart > limit && above(a) && below(b)) || (-apart > limit && above(b) && below(a))
}
