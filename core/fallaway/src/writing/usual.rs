//! What is usually read of an instrument, in which order and with which tool: for an entry form.

use std::collections::HashMap;

use fallaway_advice::observe::{Measurand, MeasurandKind, of_spec};
use fallaway_measure::{Fret, Location, Quantity, Reading, Tool};
use fallaway_order::PutInOrder as _;
use fallaway_record::spec::HeightBy;
use fallaway_record::{EntryBody, InstrumentSpec, Moment, Pass};
use fallaway_text::{Phrase, names};

use crate::error::Result;
use crate::instrument::Instrument;
use crate::writing::pass_text::{PassOptions, places};

/// A quantity that is usually read.
#[derive(Debug, Clone, PartialEq)]
pub struct UsualReading {
    /// What, and which way.
    pub quantity: Quantity,
    /// Where, in the order in which it was read the last time.
    pub locations: Vec<Location>,
    /// The same in words, as on the card: "4 (E)", "bass side".
    pub places: Vec<Phrase>,
    /// What was read the last time at each of them, in the same order; `None` where nothing was.
    pub before: Vec<Option<Reading>>,
    /// The tool that was used last, or else the one that is preferred.
    pub tool: Option<Tool>,
    /// When it was read last; `None` if it never was.
    pub last: Option<Moment>,
    /// How many passes of it there are.
    pub passes: usize,
}

/// A quantity that was read at least this often, for each time of the one that was read most often, is
/// a usual one.
const OFTEN: usize = 8;

impl Instrument {
    /// What is usually read of this instrument, in the order of the work: what has been read often, what
    /// has a target, and relief and action in any case, in the usual way where no other is known.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn usual_readings(&self) -> Result<Vec<UsualReading>> {
        Ok(self.usual_and_other_readings()?.0)
    }

    /// What else can be read of this instrument, in the order of the work: what was read rarely, and in its
    /// usual way whatever was never read: pitch, fall-away, nut, spacing, a bridge that floats or stands on
    /// posts, the open action at fret 12, each pickup, intonation.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn other_readings(&self) -> Result<Vec<UsualReading>> {
        Ok(self.usual_and_other_readings()?.1)
    }

    fn usual_and_other_readings(&self) -> Result<(Vec<UsualReading>, Vec<UsualReading>)> {
        let preferences = self.preferences()?;
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let spec = state.spec();
            let mut read: HashMap<Quantity, UsualReading> = HashMap::new();
            let mut before: HashMap<(Quantity, Location), Reading> = HashMap::new();
            for placed in state.entries().filter(|placed| !state.is_retracted(placed.entry.id)) {
                let EntryBody::Pass(pass) = &placed.entry.body else { continue };
                let known = read.entry(pass.quantity).or_insert_with(|| never(pass.quantity));
                known.passes += 1;
                known.last = Some(placed.entry.at);
                known.locations = locations(pass);
                known.tool = pass.tool.or(known.tool);
                let seen =
                    pass.readings.iter().map(|one| ((pass.quantity, one.location), one.reading));
                before.extend(seen);
            }
            let most = read.values().map(|one| one.passes).max().unwrap_or(0);
            let mut other: HashMap<Quantity, UsualReading> = HashMap::new();
            let (often, rarely): (HashMap<_, _>, HashMap<_, _>) =
                read.into_iter().partition(|(_, one)| one.passes * OFTEN >= most);
            let mut read = often;
            other.extend(rarely);
            let setups = state.registers().setups().values();
            let wanted = setups.flat_map(|setup| setup.targets.values()).map(|one| one.quantity);
            let facts = of_spec(spec);
            for quantity in wanted {
                let rare = other.remove(&quantity);
                read.entry(quantity).or_insert_with(|| rare.unwrap_or_else(|| never(quantity)));
            }
            let relief = &[MeasurandKind::Relief][..];
            let action = &[MeasurandKind::ActionOpen, MeasurandKind::ActionStopped][..];
            let usual = [(relief, facts.usual_relief()), (action, facts.usual_action())];
            for (kinds, quantity) in usual {
                let kind = |one: Quantity| Measurand::whole(one).kind();
                if !read.keys().any(|one| kind(*one).is_some_and(|kind| kinds.contains(&kind))) {
                    read.extend(quantity.map(|quantity| (quantity, never(quantity))));
                }
            }
            for quantity in readable(spec).filter(|one| !read.contains_key(one)) {
                other.entry(quantity).or_insert_with(|| never(quantity));
            }
            let complete = |one: &mut UsualReading| {
                one.tool = one.tool.or_else(|| preferences.tools.of(one.quantity));
                if one.locations.is_empty() {
                    let low_first = Some(preferences.low_first);
                    let options = PassOptions { low_first, ..PassOptions::default() };
                    one.locations = places(spec, one.quantity, &options).unwrap_or_default();
                }
                let last = |at: &Location| before.get(&(one.quantity, *at)).copied();
                one.before = one.locations.iter().map(last).collect();
                let words = |at: &Location| {
                    let label = names::location_label(spec, *at);
                    label.unwrap_or_else(|| Phrase::written(at.to_string()))
                };
                one.places = one.locations.iter().map(words).collect();
            };
            let in_order = |read: HashMap<Quantity, UsualReading>| {
                let mut all: Vec<UsualReading> = read.into_values().collect();
                all.iter_mut().for_each(complete);
                all.put_in_order_by_key(|one| (rank(one.quantity), one.quantity.to_string()));
                all
            };
            Ok((in_order(read), in_order(other)))
        })
    }
}

/// What can be read of an instrument besides relief and action as its people read them, each in the usual way
/// (common practice, no source).
fn readable(spec: &InstrumentSpec) -> impl Iterator<Item = Quantity> {
    let gap = |stopped, over| Quantity::gap(stopped, over).ok();
    let has = |fret| spec.last_fret().is_none_or(|last| last.number() >= fret);
    let bridge = spec.bridge.as_ref();
    let floats = bridge.is_some_and(|bridge| {
        bridge.floating || bridge.posts == Some(true) || bridge.height == HeightBy::TwoPosts
    });
    let stopped = spec.last_fret().unwrap_or(Fret::OPEN);
    let pickups = 1..=spec.pickups.unwrap_or(0);
    let fixed = [
        Some(Quantity::Pitch),
        spec.usual_fall_away(),
        gap(0, 1),
        gap(3, 1),
        Some(Quantity::SpacingNut),
        Some(Quantity::SpacingBridge),
        floats.then_some(Quantity::BridgeHeight),
        floats.then_some(Quantity::BridgeTail),
        gap(0, 12).filter(|_| has(12)),
        Fret::new(12).ok().filter(|_| has(12)).map(|fret| Quantity::Intonation { fret }),
    ];
    fixed
        .into_iter()
        .flatten()
        .chain(pickups.map(move |pickup| Quantity::PickupGap { pickup, stopped }))
}

fn never(quantity: Quantity) -> UsualReading {
    let (locations, places, before) = (Vec::new(), Vec::new(), Vec::new());
    UsualReading { quantity, locations, places, before, tool: None, last: None, passes: 0 }
}

fn locations(pass: &Pass) -> Vec<Location> {
    pass.readings.iter().map(|read| read.location).collect()
}

/// Where a quantity comes in the chain of work.
fn rank(quantity: Quantity) -> u8 {
    match Measurand::whole(quantity).kind() {
        Some(MeasurandKind::Pitch) => 0,
        Some(MeasurandKind::Relief | MeasurandKind::FallAway) => 1,
        Some(MeasurandKind::NutOpen | MeasurandKind::NutHeld) => 2,
        Some(
            MeasurandKind::SpacingBridge
            | MeasurandKind::SpacingNut
            | MeasurandKind::BridgeHeight
            | MeasurandKind::BridgeTail,
        ) => 3,
        Some(MeasurandKind::ActionOpen | MeasurandKind::ActionStopped) => 4,
        Some(MeasurandKind::PickupGap) => 5,
        Some(MeasurandKind::Intonation | MeasurandKind::IntonationNearNut) => 6,
        None => 7,
    }
}
