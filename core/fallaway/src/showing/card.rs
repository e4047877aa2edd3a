//! The numbers card: what was read last, beside what was wanted.
//!
//! A screen reads it from a projection, without loading the record.

use std::cmp::Reverse;
use std::collections::HashMap;

use fallaway_advice::compare::{
    AgainstTarget, JudgedTogether, Judgement, OnScrews, ReliefBefore, RestsOn, Trail, Trails,
    judge_by, outside_together,
};
use fallaway_advice::observe::{
    Estimate, Facts, Measurand, MeasurandKind, SoFar, TODAY_S, disturbs, intervention_of,
    last_readings, with_input,
};
use fallaway_changes::{ChangeId, Container, Put};
use fallaway_measure::{Location, Note, Quantity, Reading, Tool};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _};
use fallaway_record::{
    Entry, EntryBody, EntryId, InstrumentSpec, Moment, Pass, PassReading, Placed, Registers,
    SetupId, State, Target,
};
use fallaway_text::messages::card as say;
use fallaway_text::{List, Phrase, names};
use minicbor::{Decode, Encode};

use crate::showing::views::SetupName;

/// The last reading of one quantity at one place.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct LastReading {
    /// What was read, and which way.
    #[n(0)]
    pub quantity: Quantity,
    /// Of which string or side, or of the whole instrument.
    #[n(1)]
    pub location: Location,
    /// What the person saw.
    #[n(2)]
    pub reading: Reading,
    /// The tool that was used; `None` if that was not said.
    #[n(3)]
    pub tool: Option<Tool>,
    /// When, by the reader's clock.
    #[n(4)]
    pub at: Moment,
    /// Who read it; `None` if that was not said.
    #[n(5)]
    pub by: Option<String>,
    /// Something has been done since that disturbs it: measure again.
    #[n(6)]
    pub stale: bool,
    /// The standard deviation of one reading by this reader over what the tool states, if the record
    /// shows it.
    #[n(7)]
    pub over_stated: Option<f64>,
    /// What was read before it and done since, as far as it decides with it.
    #[n(8)]
    #[cbor(default)]
    pub trail: Trail,
    /// The screws that hold the string of an action.
    #[n(9)]
    pub held: Option<OnScrews>,
}

impl LastReading {
    /// A reading of a pass, under its target key.
    fn of(entry: &Entry, pass: &Pass, read: &PassReading) -> Option<(String, Self)> {
        let key = fallaway_record::target_key(pass.quantity, read.location)?;
        let last = Self {
            quantity: pass.quantity,
            location: read.location,
            reading: read.reading,
            tool: pass.tool,
            at: entry.at,
            by: entry.by.clone(),
            stale: false,
            over_stated: None,
            trail: Trail::default(),
            held: None,
        };
        Some((key, last))
    }
}

/// The last reading of everything that was ever read, by target key, and what carries them on.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Latest {
    readings: Map<String, LastReading>,
    so_far: SoFar,
    /// With what the trail of a string begins that was never read.
    relief: ReliefBefore,
    /// How many photos there are that nobody crossed out.
    photos: u32,
}

/// The same as a projection keeps it, with the state of the document that it belongs to.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub(crate) struct KeptLatest {
    #[n(0)]
    heads: Vec<[u8; 32]>,
    #[n(1)]
    readings: Vec<LastReading>,
    #[n(2)]
    so_far: SoFar,
    #[n(3)]
    relief: ReliefBefore,
    #[n(4)]
    photos: u32,
}

impl KeptLatest {
    pub(crate) fn of(latest: &Latest, heads: &[ChangeId]) -> Self {
        Self {
            heads: sorted(heads),
            readings: latest.readings.values().cloned().collect(),
            so_far: latest.so_far.clone(),
            relief: latest.relief,
            photos: latest.photos,
        }
    }

    /// The readings, if they belong to a document with these heads.
    pub(crate) fn matching(self, heads: &[ChangeId]) -> Option<Latest> {
        if self.heads != sorted(heads) {
            return None;
        }
        let keyed = self
            .readings
            .into_iter()
            .map(|last| Some((fallaway_record::target_key(last.quantity, last.location)?, last)));
        let readings = keyed.collect::<Option<_>>()?;
        Some(Latest { readings, so_far: self.so_far, relief: self.relief, photos: self.photos })
    }
}

fn is_photo(entry: &Entry) -> bool {
    matches!(entry.body, EntryBody::Photo(_))
}

/// The screws that hold the string of an action.
fn held(facts: &Facts, of: Measurand) -> Option<OnScrews> {
    OnScrews::of(facts, of).filter(|_| Trail::is_kept_of(of))
}

fn sorted(heads: &[ChangeId]) -> Vec<[u8; 32]> {
    let mut sorted: Vec<[u8; 32]> = heads.iter().map(|head| head.to_bytes()).collect();
    sorted.put_in_order();
    sorted
}

impl Latest {
    /// Reads a whole history. What was done without having seen a reading counts as after it.
    pub(crate) fn of<'a>(state: &State, entries: impl Iterator<Item = &'a Placed>) -> Self {
        // Of thousands of readings only the last are kept, but for one dated on an earlier day.
        let mut known: HashMap<(Quantity, Location), (&Entry, &Pass, &PassReading)> =
            HashMap::new();
        let mut photos = 0_u32;
        for placed in entries.filter(|placed| !state.is_retracted(placed.entry.id)) {
            photos = photos.saturating_add(u32::from(is_photo(&placed.entry)));
            let EntryBody::Pass(pass) = &placed.entry.body else { continue };
            for read in &pass.readings {
                let of = (pass.quantity, read.location);
                let earlier = known
                    .get(&of)
                    .is_some_and(|(kept, ..)| placed.entry.at.unix_s < kept.at.unix_s - TODAY_S);
                if !earlier {
                    known.insert(of, (&placed.entry, pass, read));
                }
            }
        }
        let mut readings: Map<String, LastReading> = known
            .into_values()
            .filter_map(|(entry, pass, read)| LastReading::of(entry, pass, read))
            .in_map();
        // Whether a reading still stands does not hang on the day, nor on a setup.
        let ((last, so_far), trails, relief, facts) =
            with_input(state, &SetupId::main(), 0, |input| {
                let trails = Trails::of(input);
                (last_readings(input), trails, ReliefBefore::of(input), input.facts.clone())
            });
        for last in last {
            let Measurand { quantity, location } = last.measurand;
            let key = fallaway_record::target_key(quantity, location);
            if let Some(kept) = key.and_then(|key| readings.get_mut(&key)) {
                kept.stale = last.overtaken_by.is_some();
                kept.over_stated = last.repeats.map(|repeats| repeats.over_stated);
                kept.reading = last.between.unwrap_or(kept.reading);
                kept.trail = trails.get(last.measurand).cloned().unwrap_or_default();
                kept.held = held(&facts, last.measurand);
            }
        }
        Self { readings, so_far, relief, photos }
    }

    /// Takes in one more entry, the newest. `false` if the whole history has to be read anew: a
    /// climate may be another season.
    #[must_use]
    pub(crate) fn absorb(&mut self, entry: &Entry, facts: &Facts) -> bool {
        if !self.so_far.carry_on(entry, facts) {
            return false;
        }
        self.photos = self.photos.saturating_add(u32::from(is_photo(entry)));
        if let EntryBody::Pass(pass) = &entry.body {
            self.relief_before(entry, pass);
            for read in &pass.readings {
                let Some((key, mut last)) = LastReading::of(entry, pass, read) else { continue };
                let before = self.readings.remove(&key);
                if let Some(before) =
                    before.clone().filter(|b| last.at.unix_s < b.at.unix_s - TODAY_S)
                {
                    self.readings.insert(key, before);
                    continue;
                }
                let measurand = Measurand { quantity: last.quantity, location: last.location };
                last.held = held(facts, measurand);
                if Trail::is_kept_of(measurand) {
                    last.trail = match before {
                        Some(before) => before.trail,
                        None => self.relief.begin(measurand, facts),
                    };
                    last.trail.read(read.reading, pass.tool, pass.posture, entry.at.unix_s);
                }
                self.readings.insert(key, last);
                if measurand.location == Location::Whole {
                    self.relief_read(entry, pass, read, facts);
                }
            }
            // How its reader repeats may be known better now.
            for last in self.readings.values_mut().filter(|last| last.by == entry.by) {
                last.over_stated =
                    self.so_far.over_stated(last.by.as_deref(), last.quantity, last.tool);
            }
        } else if let Some(done) = intervention_of(&entry.body) {
            self.relief.done(&done, facts);
            for last in self.readings.values_mut() {
                let measurand = Measurand { quantity: last.quantity, location: last.location };
                last.stale |= disturbs(&done, measurand, facts);
                last.trail.done(&done, measurand, facts);
            }
        }
        true
    }

    /// The relief was read, for strings that were not read yet.
    fn relief_before(&mut self, entry: &Entry, pass: &Pass) {
        let mut readings = pass.readings.iter().filter(|read| read.location == Location::Whole);
        let of_neck = matches!(pass.quantity, Quantity::Relief { .. });
        if let Some(read) = readings.next().filter(|_| of_neck) {
            let seen = (read.reading, pass.tool, pass.posture, entry.at.unix_s);
            self.relief.read(pass.quantity, seen);
        }
    }

    /// The relief was read, and it says what it did to each action.
    fn relief_read(&mut self, entry: &Entry, pass: &Pass, read: &PassReading, facts: &Facts) {
        if !matches!(pass.quantity, Quantity::Relief { .. }) {
            return;
        }
        let seen = (read.reading, pass.tool, pass.posture, entry.at.unix_s);
        for last in self.readings.values_mut() {
            let of = Measurand { quantity: last.quantity, location: last.location };
            if Trail::is_kept_of(of) {
                last.trail.relief(pass.quantity, seen, of, facts);
            }
        }
    }

    /// Takes in operations that follow everything so far. `false` if they do more than add
    /// entries and targets, so that the whole history has to be read anew: what was crossed out may
    /// have been the last reading of something, or a deed, and a fact may decide what disturbs what.
    #[must_use]
    pub(crate) fn absorb_puts<'a>(
        &mut self,
        puts: impl IntoIterator<Item = &'a Put>,
        facts: &Facts,
    ) -> bool {
        for put in puts {
            match put.container {
                Container::LOG => {
                    let id = put.key.parse::<EntryId>();
                    let entry = id.ok().and_then(|id| Entry::decode(id, &put.value).ok());
                    if entry.is_some_and(|entry| !self.absorb(&entry, facts)) {
                        return false;
                    }
                }
                container if keeps_readings(container, &put.key) => {}
                _ => return false,
            }
        }
        true
    }

    /// What was read last under a target key.
    pub(crate) fn reading(&self, key: &str) -> Option<Reading> {
        self.readings.get(key).map(|last| last.reading)
    }

    pub(crate) fn into_readings(self) -> Vec<LastReading> {
        self.readings.into_values().collect()
    }
}

/// Whether a target or fact has no say in which reading is the last, and in what disturbs it.
pub(crate) fn keeps_readings(container: Container, key: &str) -> bool {
    let part = key.split_once('/').map_or(key, |(part, _)| part);
    container == Container::SETUPS
        || (container == Container::SPEC && matches!(part, "name" | "about" | "string" | "tuning"))
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

impl KeptSetup {
    fn named(&self) -> Option<SetupName> {
        Some(SetupName { id: self.id.parse().ok()?, name: self.name.clone() })
    }
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
    #[n(4)]
    pub photos: u32,
}

impl CardData {
    pub(crate) fn of(registers: &Registers, latest: Latest) -> Self {
        let spec = registers.spec();
        let note = |note: &Note| note.name();
        let setups = registers.setups().keys().map(|id| KeptSetup {
            id: id.to_string(),
            name: registers.setup_name(id).to_owned(),
            targets: targets(registers, id),
        });
        Self {
            name: spec.name.clone().unwrap_or_default(),
            tuning: spec.tuning.iter().map(|(p, n)| (p.to_string(), note(n))).collect(),
            photos: latest.photos,
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
pub enum CardStanding {
    /// Within the tolerance.
    Within,
    /// Outside the tolerance by the numbers, but not told apart from what is wanted.
    SameAsFarAsReadable,
    /// Above the target: to be adjusted.
    Above,
    /// Below the target: to be adjusted.
    Below,
    /// Something has been done since the reading that disturbs it.
    MeasureAgain,
    /// The target has several values: there is nothing to compare with.
    TwoValues,
    /// There is no target to compare with.
    NoTarget,
    /// There is a target, and nothing was read.
    NotRead,
    /// Both are there, and the reading is a bound that does not tell on which side of the target it lies, one
    /// that another of the same day contradicts, or one that is coarser than the tolerance: measure again.
    CannotTell,
}

/// One line of a card.
#[derive(Debug, Clone, PartialEq)]
pub struct CardLine {
    /// What is read, and which way.
    pub quantity: Quantity,
    /// Which string, which side, or the whole instrument.
    pub location: Location,
    /// The place in words, such as "4 (E)".
    pub place: Phrase,
    /// What was read last.
    pub last: Option<LastReading>,
    /// The target; `None` if there is none.
    pub target: Option<Target>,
    /// How the one lies to the other.
    pub standing: CardStanding,
}

/// The numbers of an instrument, for a screen that is read at arm's length.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// The instrument's name.
    pub name: String,
    /// The setup whose targets are shown; `None` if the instrument has none.
    pub setup: Option<SetupName>,
    /// All setups of the instrument, to switch between; empty if there are none.
    pub setups: Vec<SetupName>,
    /// The lines, relief first, then action, from the highest-pitched string to the lowest, or the
    /// other way round if that is preferred.
    pub lines: Vec<CardLine>,
    /// How many photos the instrument has, crossed out ones left out; whether their files are here,
    /// [`crate::Instrument::photos`] says.
    pub photos: u32,
}

impl Card {
    /// Puts targets of a setup (the first one if none is named) and last readings side by side, of each
    /// quantity the lowest string first if so wished. `Err` carries the names that there are.
    pub(crate) fn of(
        data: &CardData,
        setup: Option<&SetupId>,
        low_first: bool,
    ) -> Result<Self, Vec<String>> {
        let setups: Vec<SetupName> = data.setups.iter().filter_map(KeptSetup::named).collect();
        let names = || setups.iter().map(|setup| setup.name.clone()).collect::<Vec<_>>();
        let chosen = match setup {
            Some(wanted) => {
                let named = |kept: &&KeptSetup| kept.id == wanted.as_str();
                Some(data.setups.iter().find(named).ok_or_else(names)?)
            }
            None => data.setups.first(),
        };
        let mut merged: Map<(u8, String), CardLine> = Map::new();
        let blank = |quantity, location| CardLine {
            quantity,
            location,
            place: data.place(location),
            last: None,
            target: None,
            standing: CardStanding::NoTarget,
        };
        for last in &data.readings {
            let key = (rank(last.quantity), sort_key(last.quantity, last.location));
            let line = merged.entry(key).or_insert_with(|| blank(last.quantity, last.location));
            line.last = Some(last.clone());
            if last.stale {
                line.standing = CardStanding::MeasureAgain;
            }
        }
        for kept in chosen.into_iter().flat_map(|setup| &setup.targets) {
            let (quantity, location) = (kept.target.quantity, kept.target.location);
            let key = (rank(quantity), sort_key(quantity, location));
            let line = merged.entry(key).or_insert_with(|| blank(quantity, location));
            line.standing = match (&line.last, kept.contested) {
                (_, true) => CardStanding::TwoValues,
                (Some(last), false) if last.stale => CardStanding::MeasureAgain,
                (Some(last), false) => compare(last, &kept.target),
                (None, false) => CardStanding::NotRead,
            };
            line.target = Some(kept.target.clone());
        }
        let mut lines: Vec<CardLine> = merged.into_values().collect();
        of_courses(&mut lines);
        judge_together(&mut lines);
        if low_first {
            lines.chunk_by_mut(|a, b| a.quantity == b.quantity).for_each(<[CardLine]>::reverse);
        }
        Ok(Self {
            name: data.name.clone(),
            setup: chosen.and_then(KeptSetup::named),
            setups,
            lines,
            photos: data.photos,
        })
    }

    /// When its numbers were read: the newest of them, and what has not been read since an earlier day, of
    /// which the neck may have made something else. `None` if nothing was read.
    pub fn read_when(&self) -> Option<Phrase> {
        let newest =
            self.lines.iter().filter_map(|line| line.last.as_ref()).map(|last| last.at).max()?;
        // What was read of a quantity last, at any place.
        let mut read: Vec<(Quantity, Moment)> = Vec::new();
        for line in &self.lines {
            let Some(last) = &line.last else { continue };
            match read.iter_mut().find(|(quantity, _)| *quantity == line.quantity) {
                Some((_, at)) => *at = last.at.max(*at),
                None => read.push((line.quantity, last.at)),
            }
        }
        let mut earlier: Map<Reverse<i64>, (Moment, Vec<Phrase>)> = Map::new();
        for (quantity, at) in read.into_iter().filter(|(_, at)| day(*at) < day(newest)) {
            let of_day = earlier.entry(Reverse(day(at))).or_insert_with(|| (at, Vec::new()));
            of_day.1.push(names::quantity(quantity));
        }
        let earlier = earlier.into_values();
        let earlier = earlier.map(|(at, of)| say::read_earlier(names::day(at), List::comma(of)));
        let newest = say::last_read(names::moment(newest));
        Some(List::sentences(std::iter::once(newest).chain(earlier)).into())
    }
}

/// The day by the reader's clock, counted.
fn day(at: Moment) -> i64 {
    (at.unix_s + i64::from(at.offset_min) * 60).div_euclid(86_400)
}

impl CardData {
    fn place(&self, location: Location) -> Phrase {
        let text = location.to_string();
        let Location::Course(place) = location else {
            let label = names::location_label(&InstrumentSpec::default(), location);
            return label.unwrap_or_else(|| Phrase::written(text));
        };
        // Kept without its octave, which no label shows.
        let kept = self.tuning.iter().find(|(place, _)| *place == text);
        let note = kept.and_then(|(_, letter)| format!("{letter}0").parse().ok());
        names::string_tuned(place, note)
    }
}

/// The order of the chain of work.
const fn rank(quantity: Quantity) -> u8 {
    match quantity {
        Quantity::Pitch => 0,
        Quantity::Relief { .. } => 1,
        Quantity::FallAway { .. } => 2,
        Quantity::Gap { over, .. } if over.number() == 1 => 3,
        Quantity::SpacingNut => 4,
        Quantity::SpacingBridge | Quantity::BridgeHeight | Quantity::BridgeTail => 5,
        Quantity::Gap { .. } => 6,
        Quantity::PickupGap { .. } => 7,
        Quantity::Intonation { .. } => 8,
        Quantity::Other(_) => 9,
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

/// Judges the last reading by the target, by the rule of the plan.
fn judged(last: &LastReading, target: &Target) -> Option<JudgedTogether> {
    let read = Estimate::of_reading_repeating(last.reading, last.tool, last.over_stated)?;
    let compared = AgainstTarget::new(read, target.wanted, target.tolerance, RestsOn::Reading)?;
    Some(judge_by(&compared, Some(&last.trail), last.over_stated))
}

/// Whether a gap at the nut was read more coarsely than its tolerance: it passes no target then, as in the plan.
fn is_too_coarse(last: &LastReading, target: &Target) -> bool {
    MeasurandKind::of(last.quantity).is_some_and(MeasurandKind::is_nut)
        && judged(last, target)
            .is_some_and(|judged| judged.judgement.on_target() && judged.compared.is_coarse())
}

/// Whether the last reading meets the target.
fn compare(last: &LastReading, target: &Target) -> CardStanding {
    // Two tools that contradict each other: which is right a third reading tells.
    if last.trail.is_contradicted() {
        return CardStanding::CannotTell;
    }
    if is_too_coarse(last, target) {
        return CardStanding::CannotTell;
    }
    match judged(last, target).map(|judged| judged.judgement) {
        Some(Judgement::OnTarget) => CardStanding::Within,
        Some(Judgement::OnTargetWithinError) => CardStanding::SameAsFarAsReadable,
        Some(Judgement::Above) => CardStanding::Above,
        Some(Judgement::Below) => CardStanding::Below,
        Some(Judgement::CannotTell) | None => CardStanding::CannotTell,
    }
}

/// What was read or is wanted of a course stands with each of its strings, as in the plan: the course has no line of
/// its own then.
fn of_courses(lines: &mut Vec<CardLine>) {
    let course = |line: &CardLine| match line.location {
        Location::Course(place) if place.member().is_none() => {
            Some((line.quantity, place.number()))
        }
        _ => None,
    };
    let of_course = |line: &CardLine| match line.location {
        Location::Course(place) if place.member().is_some() => {
            Some((line.quantity, place.number()))
        }
        _ => None,
    };
    let courses: Vec<CardLine> =
        lines.iter().filter(|line| course(line).is_some()).cloned().collect();
    let mut said: Vec<(Quantity, u8)> = Vec::new();
    for line in lines.iter_mut() {
        let Some(key) = of_course(line) else { continue };
        let Some(of) = courses.iter().find(|one| course(one) == Some(key)) else { continue };
        said.push(key);
        if line.last.is_none() {
            line.last.clone_from(&of.last);
        }
        if line.target.is_none() {
            line.target.clone_from(&of.target);
        }
        line.standing = match (&line.last, &line.target) {
            _ if CardStanding::TwoValues == line.standing => CardStanding::TwoValues,
            (Some(last), _) if last.stale => CardStanding::MeasureAgain,
            (Some(last), Some(target)) => compare(last, target),
            (None, Some(_)) => CardStanding::NotRead,
            (_, None) => CardStanding::NoTarget,
        };
    }
    lines.retain(|line| course(line).is_none_or(|key| !said.contains(&key)));
}

/// Strings on the same screws are judged together, as in the plan.
fn judge_together(lines: &mut [CardLine]) {
    use CardStanding::{Above, Below, SameAsFarAsReadable, Within};
    let read = |line: &CardLine| {
        let stands = matches!(line.standing, Within | SameAsFarAsReadable | Above | Below);
        let (last, target) = line.last.as_ref().zip(line.target.as_ref()).filter(|_| stands)?;
        let judged = judged(last, target)?;
        Some((line.quantity, (last.held?, judged.compared), judged.to_and_fro.is_some()))
    };
    let all: Vec<_> = lines.iter().map(read).collect();
    for (line, own) in lines.iter_mut().zip(&all) {
        let Some((quantity, own, false)) = own else { continue };
        let alike = all.iter().flatten().filter(|(q, ..)| q == quantity);
        let alike: Vec<(OnScrews, AgainstTarget)> = alike.map(|(_, held, _)| *held).collect();
        line.standing = match (line.standing, outside_together(*own, &alike)) {
            (Above | Below, Some(false)) => SameAsFarAsReadable,
            (SameAsFarAsReadable, Some(true)) if own.1.off().value > 0.0 => Above,
            (SameAsFarAsReadable, Some(true)) => Below,
            (standing, _) => standing,
        };
    }
}
