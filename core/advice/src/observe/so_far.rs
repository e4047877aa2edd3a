//! What the readings so far say of those to come: kept beside the last readings, and carried on entry
//! by entry, so that one more entry does not ask for the whole history.

use fallaway_measure::{Dimension, Location, Quantity, Reading, Tool, ToolKind};
use fallaway_order::PutInOrder as _;
use fallaway_record::{Entry, EntryBody, EntryId, Phase, Posture};
use minicbor::{Decode, Encode};

use super::done::{ACCLIMATISED_H, SEASON_POINTS, with_seasons};
use super::facts::Facts;
use super::from_record::what;
use super::input::{EventKind, Input, TODAY_S};
use super::intervention::Intervention;
use super::measurand::Measurand;
use super::repeatability::{ReaderTally, counts, last_passes, share, slips, tallies};
use super::stale::disturbs;

/// More readers' passes than this are not carried on.
const MOST: usize = 256;

/// How each reader repeats, the passes that a reading may repeat, and the last season.
#[derive(Debug, Clone, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub struct SoFar {
    #[n(0)]
    readers: Vec<Reader>,
    #[n(1)]
    passes: Vec<LastPass>,
    /// The humidity that the next season is told by, in percent.
    #[n(2)]
    humidity: Option<f64>,
}

/// How somebody with a kind of tool repeats.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
struct Reader {
    #[n(0)]
    by: String,
    #[n(1)]
    tool: Option<u32>,
    #[n(2)]
    readings: u32,
    #[n(3)]
    squares: f64,
}

/// The last pass over a quantity by one reader with one kind of tool in one posture.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
struct LastPass {
    #[n(0)]
    by: String,
    #[n(1)]
    quantity: Quantity,
    #[n(2)]
    tool: Option<Tool>,
    #[n(3)]
    posture: Option<Posture>,
    #[n(4)]
    unix_s: i64,
    /// Readings that nothing has disturbed since.
    #[n(5)]
    readings: Vec<(Location, Reading)>,
    /// The visit that it belongs to.
    #[n(6)]
    visit: Option<EntryId>,
}

impl SoFar {
    /// Reads a whole history.
    pub(crate) fn of(input: &Input<'_>) -> Self {
        let (done, humidity) = with_seasons(input);
        let readers = tallies(input, &done).into_iter().filter_map(|((by, kind), tally)| {
            let tool = kind.map(ToolKind::number);
            Some(Reader { by: by?, tool, readings: tally.readings, squares: tally.squares })
        });
        let passes = last_passes(input).into_iter().filter_map(|position| {
            let event = input.events.get(position)?;
            let EventKind::Pass(pass) = &event.what else { return None };
            let since = done.get(done.partition_point(|d| d.event <= position)..);
            let mut last = LastPass {
                by: event.by.as_deref()?.to_owned(),
                quantity: pass.quantity,
                tool: pass.tool,
                posture: pass.posture,
                unix_s: event.at.unix_s,
                readings: pass.readings.iter().map(|one| (one.location, one.reading)).collect(),
                visit: event.visit.and_then(|visit| Some(input.events.get(visit)?.entry)),
            };
            for done in since.unwrap_or_default() {
                if last.readings.is_empty() {
                    break;
                }
                last.disturb(&done.intervention, &input.facts);
            }
            Some(last)
        });
        let mut so_far = Self { readers: readers.collect(), passes: passes.collect(), humidity };
        so_far.readers.put_in_order_by(|a, b| (&a.by, a.tool).cmp(&(&b.by, b.tool)));
        so_far
    }

    /// Takes in the newest entry. `false` if the whole history has to be read anew: another season.
    #[must_use]
    pub fn carry_on(&mut self, entry: &Entry, facts: &Facts) -> bool {
        match what(&entry.body) {
            EventKind::Done(intervention) => {
                self.passes.iter_mut().for_each(|pass| pass.disturb(&intervention, facts));
            }
            EventKind::Climate {
                humidity_percent: Some(now), hours_there: Some(hours), ..
            } if hours >= ACCLIMATISED_H => {
                let before = *self.humidity.get_or_insert(now);
                return (now - before).abs() < SEASON_POINTS;
            }
            EventKind::Pass(_) => self.repeat(entry),
            _ => {}
        }
        self.passes.len() <= MOST
    }

    fn repeat(&mut self, entry: &Entry) {
        let (EntryBody::Pass(pass), Some(by)) = (&entry.body, entry.by.as_deref()) else { return };
        if !counts(pass.quantity) {
            return;
        }
        let kind = pass.tool.map(Tool::kind);
        let new = LastPass {
            by: by.to_owned(),
            quantity: pass.quantity,
            tool: pass.tool,
            posture: pass.posture,
            unix_s: entry.at.unix_s,
            readings: pass.readings.iter().map(|one| (one.location, one.reading)).collect(),
            visit: entry.visit,
        };
        let same = |last: &LastPass| {
            last.by == by
                && last.quantity == pass.quantity
                && last.tool.map(Tool::kind) == kind
                && last.posture == pass.posture
        };
        let Some(place) = self.passes.iter().position(same) else {
            self.passes.push(new);
            return;
        };
        // In the order of their last passes, as a whole history gives them.
        let earlier = self.passes.remove(place);
        let near = (new.unix_s - earlier.unix_s).abs() <= TODAY_S && new.visit == earlier.visit;
        if near && pass.phase != Some(Phase::AsLeft) {
            let shares = pass.readings.iter().filter_map(|read| {
                let before = earlier.at(read.location).map(|reading| (reading, earlier.tool));
                let after = new.at(read.location).map(|reading| (reading, new.tool));
                share(before?, after?)
            });
            let shares: Vec<f64> = shares.collect();
            let slip = slips(&shares);
            for share in shares.into_iter().filter(|share| !slip(*share)) {
                self.count(by, kind, share);
            }
        }
        self.passes.push(new);
    }

    fn count(&mut self, by: &str, kind: Option<ToolKind>, share: f64) {
        let tool = kind.map(ToolKind::number);
        let key = (by, tool);
        let place = self.readers.binary_search_by(|one| (one.by.as_str(), one.tool).cmp(&key));
        let place = place.unwrap_or_else(|place| {
            let new = Reader { by: by.to_owned(), tool, readings: 0, squares: 0.0 };
            self.readers.insert(place, new);
            place
        });
        if let Some(own) = self.readers.get_mut(place) {
            own.readings += 1;
            own.squares += share * share;
        }
    }

    /// The standard deviation of one reading over what the tool states, if the readings so far show
    /// it for this reader with this kind of tool.
    pub fn over_stated(
        &self,
        by: Option<&str>,
        quantity: Quantity,
        tool: Option<Tool>,
    ) -> Option<f64> {
        if quantity.dimension() != Dimension::Length {
            return None;
        }
        let key = (by?, tool.map(|tool| tool.kind().number()));
        let place = self.readers.binary_search_by(|one| (one.by.as_str(), one.tool).cmp(&key));
        let own = self.readers.get(place.ok()?)?;
        let tally = ReaderTally { readings: own.readings, squares: own.squares };
        tally.repeatability().map(|repeats| repeats.over_stated)
    }
}

impl LastPass {
    fn disturb(&mut self, done: &Intervention, facts: &Facts) {
        let quantity = self.quantity;
        self.readings.retain(|(location, _)| {
            !disturbs(done, Measurand { quantity, location: *location }, facts)
        });
    }

    fn at(&self, location: Location) -> Option<Reading> {
        self.readings.iter().rev().find(|(at, _)| *at == location).map(|(_, reading)| *reading)
    }
}
