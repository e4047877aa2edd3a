//! The numbers card: what was read last, beside what was wanted.
//!
//! A screen reads it from a projection, without loading the record.

use std::collections::BTreeMap;

use fallaway_advice::observe::{Facts, Measurand, disturbs, facts_of, intervention_of};
use fallaway_changes::{ChangeHash, Container, Put};
use fallaway_measure::{
    COVERAGE_FACTOR, Dimension, Length, Location, Quantity, Reading, Taken, Tool,
};
use fallaway_record::{
    Body, Entry, EntryId, Moment, Placed, Registers, SetupId, State, Target, spec::Note,
};
use minicbor::{Decode, Encode};

/// The last reading of one quantity at one place.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct LastReading {
    /// What was read, and which way.
    #[n(0)]
    pub quantity: Quantity,
    /// Where.
    #[n(1)]
    pub location: Location,
    /// What the person saw.
    #[n(2)]
    pub reading: Reading,
    /// With what.
    #[n(3)]
    pub tool: Option<Tool>,
    /// When, by the reader's clock.
    #[n(4)]
    pub at: Moment,
    /// Who read it.
    #[n(5)]
    pub by: Option<String>,
    /// Something has been done since that disturbs it: measure again.
    #[n(6)]
    pub stale: bool,
}

/// The last reading of everything that was ever read, by target key.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Latest(BTreeMap<String, LastReading>);

/// The same as a projection keeps it, with the state of the document that it belongs to.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub(crate) struct KeptLatest {
    #[n(0)]
    heads: Vec<[u8; 32]>,
    #[n(1)]
    readings: Vec<LastReading>,
}

impl KeptLatest {
    pub fn of(latest: &Latest, heads: &[ChangeHash]) -> Self {
        Self { heads: sorted(heads), readings: latest.0.values().cloned().collect() }
    }

    /// The readings, if they belong to a document with these heads.
    pub fn matching(self, heads: &[ChangeHash]) -> Option<Latest> {
        if self.heads != sorted(heads) {
            return None;
        }
        let keyed = self
            .readings
            .into_iter()
            .map(|last| Some((fallaway_record::target_key(last.quantity, last.location)?, last)));
        keyed.collect::<Option<_>>().map(Latest)
    }
}

fn sorted(heads: &[ChangeHash]) -> Vec<[u8; 32]> {
    let mut sorted: Vec<[u8; 32]> = heads.iter().map(|head| head.to_bytes()).collect();
    sorted.sort_unstable();
    sorted
}

impl Latest {
    /// Reads a whole history. What was done without having seen a reading counts as after it.
    pub fn of<'a>(state: &State, entries: impl Iterator<Item = &'a Placed>) -> Self {
        let facts = facts_of(state.registers());
        let mut latest = Self::default();
        let mut read_in: BTreeMap<String, &Placed> = BTreeMap::new();
        let mut interventions = Vec::new();
        for placed in entries.filter(|placed| !state.is_retracted(placed.entry.id)) {
            for key in latest.read(&placed.entry) {
                read_in.insert(key, placed);
            }
            interventions.extend(
                intervention_of(&placed.entry.body).map(|intervention| (placed, intervention)),
            );
        }
        for (key, last) in &mut latest.0 {
            let Some(read) = read_in.get(key) else { continue };
            let measurand = Measurand { quantity: last.quantity, location: last.location };
            last.stale = interventions.iter().any(|(done, intervention)| {
                !state.placed_precedes(done, read) && disturbs(intervention, measurand, &facts)
            });
        }
        latest
    }

    /// Takes in one more entry, the newest.
    pub fn absorb(&mut self, entry: &Entry, facts: &Facts) {
        self.read(entry);
        if let Some(intervention) = intervention_of(&entry.body) {
            for last in self.0.values_mut() {
                let measurand = Measurand { quantity: last.quantity, location: last.location };
                last.stale |= disturbs(&intervention, measurand, facts);
            }
        }
    }

    /// Takes in operations that follow everything so far. `false` if they do more than add
    /// entries and targets, so that the whole history has to be read anew: what was crossed out may
    /// have been the last reading of something, or a deed, and a fact may decide what disturbs what.
    #[must_use]
    pub fn absorb_puts<'a>(
        &mut self,
        puts: impl IntoIterator<Item = &'a Put>,
        facts: &Facts,
    ) -> bool {
        for put in puts {
            match put.container {
                Container::LOG => {
                    let id = put.key.parse::<EntryId>();
                    let entry = id.ok().and_then(|id| Entry::decode(id, &put.value).ok());
                    if let Some(entry) = entry {
                        self.absorb(&entry, facts);
                    }
                }
                container if keeps_readings(container, &put.key) => {}
                _ => return false,
            }
        }
        true
    }

    /// Reads an entry's pass, if it is one; the keys of what was read.
    fn read(&mut self, entry: &Entry) -> Vec<String> {
        let Body::Pass(pass) = &entry.body else { return Vec::new() };
        let mut keys = Vec::new();
        for read in &pass.readings {
            let Some(key) = fallaway_record::target_key(pass.quantity, read.location) else {
                continue;
            };
            let last = LastReading {
                quantity: pass.quantity,
                location: read.location,
                reading: read.reading,
                tool: pass.tool,
                at: entry.at,
                by: entry.by.clone(),
                stale: false,
            };
            self.0.insert(key.clone(), last);
            keys.push(key);
        }
        keys
    }

    /// What was read last under a target key.
    pub fn reading(&self, key: &str) -> Option<Reading> {
        self.0.get(key).map(|last| last.reading)
    }

    pub fn into_readings(self) -> Vec<LastReading> {
        self.0.into_values().collect()
    }
}

/// Whether a target or fact has no say in which reading is the last, and in what disturbs it.
pub(crate) fn keeps_readings(container: Container, key: &str) -> bool {
    let part = key.split_once('/').map_or(key, |(part, _)| part);
    container == Container::SETUPS
        || (container == Container::SPEC
            && matches!(part, "name" | "about" | "string" | "tuning" | "screw"))
}

/// A target as the projection keeps it.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub(crate) struct KeptTarget {
    #[n(0)]
    pub target: Target,
    #[n(1)]
    pub contested: bool,
}

/// A setup as the projection keeps it.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub(crate) struct KeptSetup {
    #[n(0)]
    pub id: String,
    #[n(1)]
    pub name: String,
    #[n(2)]
    pub targets: Vec<KeptTarget>,
}

/// Everything that a numbers card shows, in one blob.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub(crate) struct CardData {
    #[n(0)]
    pub name: String,
    #[n(1)]
    pub tuning: Vec<(String, String)>,
    #[n(2)]
    pub readings: Vec<LastReading>,
    #[n(3)]
    pub setups: Vec<KeptSetup>,
}

impl CardData {
    pub fn of(registers: &Registers, latest: Latest) -> Self {
        let spec = registers.spec();
        let note = |note: &Note| note.letter().to_owned();
        let setups = registers.setups().iter().map(|(id, setup)| KeptSetup {
            id: id.to_string(),
            name: setup.name.clone().unwrap_or_else(|| id.to_string()),
            targets: targets(registers, id),
        });
        Self {
            name: spec.name.clone().unwrap_or_default(),
            tuning: spec.tuning.iter().map(|(p, n)| (p.to_string(), note(n))).collect(),
            readings: latest.into_readings(),
            setups: setups.collect(),
        }
    }
}

fn targets(registers: &Registers, id: &SetupId) -> Vec<KeptTarget> {
    let Some(setup) = registers.setups().get(id) else { return Vec::new() };
    let kept = setup.targets.values().map(|target| KeptTarget {
        contested: registers.target_contested(id, target.quantity, target.location),
        target: target.clone(),
    });
    kept.collect()
}

/// How a reading lies to its target.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Within the tolerance.
    Within,
    /// Outside the tolerance by the numbers, but not by more than the reading can tell.
    SameAsFarAsReadable,
    /// Above the tolerance.
    Above,
    /// Below the tolerance.
    Below,
    /// Something has been done since the reading that disturbs it.
    MeasureAgain,
    /// The target has several values: there is nothing to compare with.
    TwoValues,
    /// There is no target, or no reading, or a bound that tells nothing.
    Unknown,
}

/// One line of a card.
#[derive(Debug, Clone, PartialEq)]
pub struct CardLine {
    /// What is read, and which way.
    pub quantity: Quantity,
    /// Where.
    pub location: Location,
    /// The place in words, such as "4 (E)".
    pub place: String,
    /// What was read last.
    pub last: Option<LastReading>,
    /// What is wanted.
    pub target: Option<Target>,
    /// How the one lies to the other.
    pub standing: Standing,
}

/// The numbers of an instrument, for a screen that is read at arm's length.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// The instrument's name.
    pub name: String,
    /// The setup whose targets are shown; `None` if the instrument has none.
    pub setup: Option<String>,
    /// The names of all setups.
    pub setups: Vec<String>,
    /// The lines, relief first, then action, from the highest-pitched string to the lowest.
    pub lines: Vec<CardLine>,
}

impl Card {
    /// Puts targets of a setup (by id or name; the only one if not named) and last readings side by
    /// side. `Err` carries the names that there are.
    pub(crate) fn of(data: &CardData, setup: Option<&str>) -> Result<Self, Vec<String>> {
        let names: Vec<String> = data.setups.iter().map(|setup| setup.name.clone()).collect();
        let chosen = match setup {
            Some(wanted) => {
                let named = |kept: &&KeptSetup| kept.id == wanted || kept.name == wanted;
                Some(data.setups.iter().find(named).ok_or_else(|| names.clone())?)
            }
            None => data.setups.first(),
        };
        let mut merged: BTreeMap<(u8, String), CardLine> = BTreeMap::new();
        let blank = |quantity, location| CardLine {
            quantity,
            location,
            place: data.place(location),
            last: None,
            target: None,
            standing: Standing::Unknown,
        };
        for last in &data.readings {
            let key = (rank(last.quantity), sort_key(last.quantity, last.location));
            let line = merged.entry(key).or_insert_with(|| blank(last.quantity, last.location));
            line.last = Some(last.clone());
            if last.stale {
                line.standing = Standing::MeasureAgain;
            }
        }
        for kept in chosen.into_iter().flat_map(|setup| &setup.targets) {
            let (quantity, location) = (kept.target.quantity, kept.target.location);
            let key = (rank(quantity), sort_key(quantity, location));
            let line = merged.entry(key).or_insert_with(|| blank(quantity, location));
            line.standing = match (&line.last, kept.contested) {
                (_, true) => Standing::TwoValues,
                (Some(last), false) if last.stale => Standing::MeasureAgain,
                (Some(last), false) => compare(last, &kept.target),
                (None, false) => Standing::Unknown,
            };
            line.target = Some(kept.target.clone());
        }
        Ok(Self {
            name: data.name.clone(),
            setup: chosen.map(|setup| setup.name.clone()),
            setups: names,
            lines: merged.into_values().collect(),
        })
    }
}

impl CardData {
    fn place(&self, location: Location) -> String {
        let text = location.to_string();
        match self.tuning.iter().find(|(place, _)| *place == text) {
            Some((place, note)) => format!("{place} ({note})"),
            None => text,
        }
    }
}

/// The order of the chain of work.
const fn rank(quantity: Quantity) -> u8 {
    match quantity {
        Quantity::Pitch => 0,
        Quantity::Relief { .. } => 1,
        Quantity::Gap { over, .. } if over.number() == 1 => 2,
        Quantity::SpacingNut => 3,
        Quantity::SpacingBridge => 4,
        Quantity::Gap { .. } => 5,
        Quantity::PickupGap { .. } => 6,
        Quantity::Intonation { .. } => 7,
        _ => 8,
    }
}

fn sort_key(quantity: Quantity, location: Location) -> String {
    let place = match location {
        Location::Course(place) => {
            format!("{:03}{}", place.number(), place.member().unwrap_or(' '))
        }
        other => format!("~{other}"),
    };
    format!("{quantity}/{place}")
}

/// Whether the last reading still meets the target: beyond the tolerance, and beyond what reading
/// it can tell ([`COVERAGE_FACTOR`] standard uncertainties).
fn compare(last: &LastReading, target: &Target) -> Standing {
    let numbers = match target.quantity.dimension() {
        Dimension::Length => lengths(last, target),
        Dimension::Interval => cents(last, target),
        _ => None,
    };
    let Some((value, uncertainty, wanted, tolerance)) = numbers else { return Standing::Unknown };
    let off = value - wanted;
    let beyond = off.abs() - tolerance;
    if beyond <= 1e-9 {
        Standing::Within
    } else if beyond <= COVERAGE_FACTOR * uncertainty {
        Standing::SameAsFarAsReadable
    } else if off > 0.0 {
        Standing::Above
    } else {
        Standing::Below
    }
}

/// Value, standard uncertainty, wanted value and tolerance, all in millimetres.
fn lengths(last: &LastReading, target: &Target) -> Option<(f64, f64, f64, f64)> {
    let (value, uncertainty) = Taken::new(&last.reading, last.tool.as_ref()).length()?;
    let mm = |length: Length| length.get::<uom::si::length::millimeter>();
    let (wanted, tolerance) = (target.wanted.length()?, target.tolerance.length()?);
    Some((mm(value), mm(uncertainty), mm(wanted), mm(tolerance)))
}

/// The same in cents.
fn cents(last: &LastReading, target: &Target) -> Option<(f64, f64, f64, f64)> {
    let (value, uncertainty) = Taken::new(&last.reading, last.tool.as_ref()).cents()?;
    Some((value, uncertainty, target.wanted.number(), target.tolerance.number()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use fallaway_measure::{Amount, Fret, Unit};

    fn standing(thousandths: i64, tool: Option<Tool>) -> Standing {
        let quantity =
            Quantity::Relief { from: Fret::new(1).unwrap(), to: Fret::new(20).unwrap(), at: None };
        let at = Moment { unix_s: 0, offset_min: 0 };
        let mm = |digits| Amount::decimal(digits, 3, Unit::Millimetre).unwrap();
        let last = LastReading {
            quantity,
            location: Location::Whole,
            reading: Reading::Value(mm(thousandths)),
            tool,
            at,
            by: None,
            stale: false,
        };
        let target = Target {
            quantity,
            location: Location::Whole,
            wanted: mm(250),
            tolerance: mm(50),
            by: None,
            at,
            taken_from: None,
        };
        compare(&last, &target)
    }

    #[test]
    fn a_reading_is_off_only_beyond_tolerance_and_beyond_what_the_tool_tells() {
        // A 0.01 mm feeler: u = hypot(0.005 / sqrt(3), 0.015) = 0.0153 mm, twice that 0.031 mm.
        let feeler = Some(Tool::FEELER_MM);
        assert_eq!(standing(300, feeler), Standing::Within);
        assert_eq!(standing(325, feeler), Standing::SameAsFarAsReadable);
        assert_eq!(standing(340, feeler), Standing::Above);
        assert_eq!(standing(160, feeler), Standing::Below);
        // The 1/64 in rule cannot tell 0.34 from 0.25 mm.
        assert_eq!(standing(340, Some(Tool::RULE_64)), Standing::SameAsFarAsReadable);
    }
}
