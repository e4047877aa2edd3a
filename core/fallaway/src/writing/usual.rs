//! What is usually read of an instrument, in which order and with which tool: for an entry form.

use std::collections::HashMap;

use fallaway_advice::observe::{Measurand, MeasurandKind, of_spec};
use fallaway_measure::{Location, Quantity, Reading, Tool};
use fallaway_order::PutInOrder as _;
use fallaway_record::{EntryBody, Moment, Pass};
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
            read.retain(|_, one| one.passes * OFTEN >= most);
            let setups = state.registers().setups().values();
            let wanted = setups.flat_map(|setup| setup.targets.values()).map(|one| one.quantity);
            let facts = of_spec(spec);
            for quantity in wanted {
                read.entry(quantity).or_insert_with(|| never(quantity));
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
            let mut all: Vec<UsualReading> = read.into_values().collect();
            for one in &mut all {
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
            }
            all.put_in_order_by_key(|one| (rank(one.quantity), one.quantity.to_string()));
            Ok(all)
        })
    }
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
