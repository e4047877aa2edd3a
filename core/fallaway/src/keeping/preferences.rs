//! How the person at this device works: language, units, order, tools, way of reading. Kept in the
//! store of the device, never in a record: whoever shares it has their own.

use std::path::Path;

use fallaway_measure::{Amount, Limit, Quantity, Tool, Unit, number_in};
use fallaway_record::{Posture, StoppedBy};
use fallaway_store::{SqliteStore, Store};
use fallaway_text::errors::Accepted;
use fallaway_text::messages::errors as say;
use fallaway_text::{InInches, Language, LengthOf, LengthUnit, Units, Voice};
use minicbor::{Decode, Encode};

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::keeping::workshop_state::WorkshopState;
use crate::showing::views::InstrumentId;
use crate::workshop::Workshop;

/// Where they lie in the store.
const META: &str = "preferences";

/// The kinds of length that tools are kept for.
const LENGTHS: [LengthOf; 5] =
    [LengthOf::Relief, LengthOf::Action, LengthOf::Nut, LengthOf::Spacing, LengthOf::Pickup];

/// The tool in hand for each kind of reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct UsualTools {
    /// For relief; commonly feeler leaves.
    pub relief: Option<Tool>,
    /// For action; commonly a rule.
    pub action: Option<Tool>,
    /// At the nut.
    pub nut: Option<Tool>,
    /// For the spacing of strings, and the height of the bridge.
    pub spacing: Option<Tool>,
    /// For the gap of a pickup.
    pub pickup: Option<Tool>,
    /// For pitch and intonation.
    pub tuner: Option<Tool>,
}

impl UsualTools {
    /// Which lengths are told in inches: none where a tool was named that reads millimetres; else all but those
    /// that were read in millimetres last, they or their neighbour (relief and nut are read with feelers).
    fn in_inches(&self, last: impl Fn(LengthOf) -> Option<Unit>) -> InInches {
        let inches = |unit: Unit| matches!(unit, Unit::Inch | Unit::Thou);
        let tool = |of| self.for_lengths(of).map(|tool| tool.graduation().unit());
        let mut named = LENGTHS.into_iter().filter_map(tool).peekable();
        if named.peek().is_none() || !named.all(inches) {
            return InInches::default();
        }
        let beside = |of: LengthOf| match of {
            LengthOf::Relief => LengthOf::Nut,
            LengthOf::Nut => LengthOf::Relief,
            other => other,
        };
        let own = |of| tool(of).or_else(|| last(of));
        let told = |of: &LengthOf| own(*of).or_else(|| own(beside(*of))).is_none_or(inches);
        let kinds = LENGTHS.into_iter().filter(told);
        kinds.fold(InInches::default().and(LengthOf::Other), InInches::and)
    }

    fn for_lengths(&self, of: LengthOf) -> Option<Tool> {
        match of {
            LengthOf::Relief => self.relief,
            LengthOf::Action => self.action,
            LengthOf::Nut => self.nut,
            LengthOf::Spacing => self.spacing,
            LengthOf::Pickup => self.pickup,
            LengthOf::Other => None,
        }
    }

    /// The tool for a quantity.
    pub fn of(&self, quantity: Quantity) -> Option<Tool> {
        match quantity {
            Quantity::Pitch | Quantity::Intonation { .. } => self.tuner,
            // Read with what reads spacing: a caliper.
            Quantity::BridgeHeight | Quantity::BridgeTail => self.spacing,
            other => self.for_lengths(other.into()),
        }
    }
}

/// How the person at this device works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Preferences {
    /// The language; `None`: that of the system, which the app knows.
    pub language: Option<Language>,
    /// The units of numbers.
    pub units: Units,
    /// Whether the lowest string comes first, wherever strings are listed and where a pass is read.
    pub low_first: bool,
    /// The frequency of A4 that a new instrument is given; `None`: 440 Hz (ISO 16:1975).
    pub a4: Option<Amount>,
    /// The tool of a reading that names none and has no unit.
    pub tools: UsualTools,
    /// How an instrument lies while it is read, where a pass does not say.
    pub posture: Option<Posture>,
    /// What stops the string, where a pass does not say.
    pub stopped_by: Option<StoppedBy>,
}

/// How the person at this device works at one instrument, where it differs from how they usually do: kept
/// on the device, never in a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct InstrumentWays {
    /// The units of its numbers; `None`: as everywhere.
    pub units: Option<Units>,
    /// The tools that it is read with; `None`: as everywhere.
    pub tools: UsualTools,
}

impl Preferences {
    /// As they are at an instrument with ways of its own.
    #[must_use]
    pub fn at(self, ways: &InstrumentWays) -> Self {
        let (own, usual) = (ways.tools, self.tools);
        let tools = UsualTools {
            relief: own.relief.or(usual.relief),
            action: own.action.or(usual.action),
            nut: own.nut.or(usual.nut),
            spacing: own.spacing.or(usual.spacing),
            pickup: own.pickup.or(usual.pickup),
            tuner: own.tuner.or(usual.tuner),
        };
        Self { units: ways.units.unwrap_or(self.units), tools, ..self }
    }

    /// How to speak to the person; `system` is the language that the device is set to.
    pub fn voice(&self, system: Option<Language>) -> Voice {
        self.voice_where(system, |_| None)
    }

    /// The same where something was read already.
    fn voice_where(
        &self,
        system: Option<Language>,
        last: impl Fn(LengthOf) -> Option<Unit>,
    ) -> Voice {
        let voice = Voice::new(self.language.or(system).unwrap_or_default());
        voice.in_units(self.units).low_first(self.low_first).inches(self.tools.in_inches(last))
    }

    /// Those of the workshop in a folder, without opening it: to know the language before anything
    /// else. As usual where there is no workshop yet.
    ///
    /// # Errors
    /// When the store cannot be read.
    pub fn kept_in(folder: &Path) -> Result<Self> {
        if !SqliteStore::is_in(folder) {
            return Ok(Self::default());
        }
        Self::read(&SqliteStore::open(folder)?)
    }

    fn read(store: &dyn Store) -> Result<Self> {
        let kept = store.meta(META)?;
        let kept = kept.and_then(|bytes| minicbor::decode::<Kept>(&bytes).ok());
        Ok(kept.unwrap_or_default().into())
    }

    /// As they lie in the store.
    fn kept(&self) -> Kept {
        let UsualTools { relief, action, nut, spacing, pickup, tuner } = self.tools;
        Kept {
            language: self.language.map(|language| language.tag().to_owned()),
            units: self.units.to_string(),
            low_first: self.low_first,
            a4: self.a4,
            tools: [relief, action, nut, spacing, pickup, tuner],
            posture: self.posture,
            stopped_by: self.stopped_by,
        }
    }

    fn check(&self) -> Result<()> {
        if let Some(a4) = self.a4 {
            let hertz = number_in(a4, Unit::Hertz).unwrap_or(f64::NAN);
            Limit::A4
                .check(hertz)
                .map_err(|outside| Error::from(fallaway_mechanics::Error::Outside(outside)))?;
        }
        sound(&self.units)
    }
}

fn sound(units: &Units) -> Result<()> {
    let lengths = [units.relief, units.action, units.nut, units.spacing, units.pickup, units.other];
    if lengths.into_iter().all(LengthUnit::is_sound) {
        Ok(())
    } else {
        let accepted = Accepted::one_of((1..=7).map(|power| format!("1/{}", 1 << power)));
        let accepted = accepted.said(say::parts_of_an_inch());
        Err(Error::bad_input(field("units"), say::no_such_parts(), accepted))
    }
}

/// What is kept of one instrument, as it lies in the store.
#[derive(Encode, Decode, Default)]
#[cbor(map)]
struct KeptWays {
    #[n(0)]
    units: Option<String>,
    /// Relief, action, nut, spacing, pickup, tuner.
    #[n(1)]
    tools: [Option<Tool>; 6],
}

/// Where the ways at an instrument lie in the store.
fn ways_of(instrument: InstrumentId) -> String {
    format!("{META}/{instrument}")
}

impl Instrument {
    /// How the person at this device works at this instrument, where that differs from
    /// [`Workshop::preferences`].
    ///
    /// # Errors
    /// [`Error::Closed`], or when the store cannot be read.
    pub fn ways(&self) -> Result<InstrumentWays> {
        drop(self.inner.session()?);
        let kept = self.inner.store.meta(&ways_of(self.id))?;
        let kept = kept.and_then(|bytes| minicbor::decode::<KeptWays>(&bytes).ok());
        let KeptWays { units, tools } = kept.unwrap_or_default();
        let [relief, action, nut, spacing, pickup, tuner] = tools;
        Ok(InstrumentWays {
            units: units.and_then(|units| units.parse().ok()),
            tools: UsualTools { relief, action, nut, spacing, pickup, tuner },
        })
    }

    /// Keeps how the person at this device works at this instrument: readings of it without a unit go by
    /// these tools from now on.
    ///
    /// # Errors
    /// [`Error::BadInput`] for parts of an inch that no rule has; when the store cannot be written.
    pub fn set_ways(&self, ways: &InstrumentWays) -> Result<()> {
        if let Some(units) = &ways.units {
            sound(units)?;
        }
        drop(self.inner.session()?);
        let UsualTools { relief, action, nut, spacing, pickup, tuner } = ways.tools;
        let kept = KeptWays {
            units: ways.units.map(|units| units.to_string()),
            tools: [relief, action, nut, spacing, pickup, tuner],
        };
        let kept = minicbor::to_vec(kept);
        let kept = kept.map_err(|error| Error::internal("preferences", error))?;
        let kept = (*ways != InstrumentWays::default()).then_some(kept.as_slice());
        Ok(self.inner.store.set_meta(&ways_of(self.id), kept)?)
    }

    /// How the person at this device works at this instrument: as everywhere, but for its own ways.
    ///
    /// # Errors
    /// As [`Instrument::ways`].
    pub fn preferences(&self) -> Result<Preferences> {
        Ok(self.inner.preferences()?.at(&self.ways()?))
    }

    /// How to speak to the person of this instrument: as [`Preferences::voice`], but what was read in
    /// millimetres last, and has no tool named for it, is told so beside tools in inches. Reads projections only.
    ///
    /// # Errors
    /// As [`Instrument::ways`].
    pub fn voice(&self, system: Option<Language>) -> Result<Voice> {
        let readings = self.card_data()?.readings;
        Ok(self.preferences()?.voice_where(system, |of| {
            let of_kind = readings.iter().filter(|last| LengthOf::from(last.quantity) == of);
            let last = of_kind.max_by_key(|last| last.at.unix_s)?;
            last.reading.high().or_else(|| last.reading.low()).map(Amount::unit)
        }))
    }
}

/// As they lie in the store: what a newer version adds is passed over, and what it writes that is
/// not understood is as if nobody had said it.
#[derive(Encode, Decode, Default)]
#[cbor(map)]
struct Kept {
    #[n(0)]
    language: Option<String>,
    #[n(1)]
    units: String,
    #[n(2)]
    low_first: bool,
    #[n(3)]
    a4: Option<Amount>,
    /// Relief, action, nut, spacing, pickup, tuner.
    #[n(4)]
    tools: [Option<Tool>; 6],
    #[n(5)]
    posture: Option<Posture>,
    #[n(6)]
    stopped_by: Option<StoppedBy>,
}

impl From<Kept> for Preferences {
    fn from(kept: Kept) -> Self {
        let [relief, action, nut, spacing, pickup, tuner] = kept.tools;
        Self {
            language: kept.language.as_deref().and_then(Language::named),
            units: kept.units.parse().unwrap_or_default(),
            low_first: kept.low_first,
            a4: kept.a4,
            tools: UsualTools { relief, action, nut, spacing, pickup, tuner },
            posture: kept.posture,
            stopped_by: kept.stopped_by,
        }
    }
}

impl WorkshopState {
    /// How the person at this device works.
    pub(crate) fn preferences(&self) -> Result<Preferences> {
        Preferences::read(self.store.as_ref())
    }

    /// An instrument leaves this device.
    pub(crate) fn forget_ways(&self, instrument: InstrumentId) -> Result<()> {
        Ok(self.store.set_meta(&ways_of(instrument), None)?)
    }
}

impl Workshop {
    /// How the person at this device works: language, units, order of strings, A4, tools, way of
    /// reading. Everything as usual until somebody says otherwise.
    ///
    /// # Errors
    /// [`Error::Closed`], or when the store cannot be read.
    pub fn preferences(&self) -> Result<Preferences> {
        drop(self.inner.session()?);
        self.inner.preferences()
    }

    /// Keeps how the person at this device works. Cards, passes and new instruments go by it from
    /// now on; what is said goes by [`Preferences::voice`].
    ///
    /// # Errors
    /// [`Error::BadInput`] for an A4 outside its limits and for parts of an inch that no rule has;
    /// when the store cannot be written.
    pub fn set_preferences(&self, preferences: &Preferences) -> Result<()> {
        preferences.check()?;
        drop(self.inner.session()?);
        let kept = minicbor::to_vec(preferences.kept());
        let kept = kept.map_err(|error| Error::internal("preferences", error))?;
        Ok(self.inner.store.set_meta(META, Some(&kept))?)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use fallaway_record::SpecField;

    use super::*;
    use crate::WorkshopOptions;
    use crate::keeping::environment::{SystemClock, SystemRandom};

    fn workshop() -> Workshop {
        Workshop::in_memory("tech", Box::new(SystemClock), Box::new(SystemRandom)).unwrap()
    }

    fn hertz(number: i64) -> Amount {
        Amount::decimal(number, 0, Unit::Hertz).unwrap()
    }

    #[test]
    fn preferences_are_kept_as_they_were_set() {
        let workshop = workshop();
        assert_eq!(workshop.preferences().unwrap(), Preferences::default());
        let set = Preferences {
            language: Language::named("de"),
            units: "1/32, relief thou".parse().unwrap(),
            low_first: true,
            a4: Some(hertz(442)),
            tools: UsualTools { relief: Some(Tool::FEELER_THOU), ..UsualTools::default() },
            posture: Some(Posture::Playing),
            stopped_by: Some(StoppedBy::Capo),
        };
        workshop.set_preferences(&set).unwrap();
        assert_eq!(workshop.preferences().unwrap(), set);
        let low = Preferences { a4: Some(hertz(300)), ..set };
        assert!(matches!(workshop.set_preferences(&low), Err(Error::BadInput { .. })));
        assert_eq!(workshop.preferences().unwrap(), set);
    }

    #[test]
    fn they_are_known_before_the_workshop_is_open() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(Preferences::kept_in(folder.path()).unwrap(), Preferences::default());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        let workshop = Workshop::open(WorkshopOptions::new(folder.path(), "tech")).unwrap();
        let set = Preferences { low_first: true, ..Preferences::default() };
        workshop.set_preferences(&set).unwrap();
        assert_eq!(Preferences::kept_in(folder.path()).unwrap(), set);
    }

    #[test]
    fn an_instrument_may_have_ways_of_its_own() {
        let workshop = workshop();
        let usual = Preferences {
            tools: UsualTools { action: Some(Tool::RULE_64), ..UsualTools::default() },
            ..Preferences::default()
        };
        workshop.set_preferences(&usual).unwrap();
        let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
        let guitar = workshop.add_instrument("guitar-6", "red six").unwrap();
        let caliper: Tool = "caliper 0.02 mm".parse().unwrap();
        let own = InstrumentWays {
            units: Some("mm".parse().unwrap()),
            tools: UsualTools { action: Some(caliper), ..UsualTools::default() },
        };
        guitar.set_ways(&own).unwrap();
        assert_eq!(guitar.ways().unwrap(), own);
        assert_eq!(guitar.preferences().unwrap().tools.action, Some(caliper));
        assert_eq!(bass.preferences().unwrap(), usual);
        let read = |one: &Instrument, text: &str| {
            let gap = fallaway_measure::Quantity::gap(1, 20).unwrap();
            one.read_pass_text(gap, text, None, &crate::PassOptions::default()).unwrap().tool
        };
        assert_eq!(read(&guitar, "2 2 2 2 2 2"), Some(caliper));
        assert_eq!(read(&bass, "5 5 5 6"), Some(Tool::RULE_64));
        guitar.set_ways(&InstrumentWays::default()).unwrap();
        assert_eq!(guitar.preferences().unwrap(), usual);
    }

    #[test]
    fn what_is_read_in_millimetres_is_told_so_beside_tools_in_inches() {
        let workshop = workshop();
        let rule = Some(Tool::RULE_64);
        let tools = UsualTools { action: rule, spacing: rule, pickup: rule, ..Default::default() };
        let mut usual = Preferences { tools, ..Preferences::default() };
        workshop.set_preferences(&usual).unwrap();
        let bass = workshop.add_instrument("bass-4", "walnut bass").unwrap();
        let in_inches = || {
            let voice = bass.voice(None).unwrap();
            [LengthOf::Relief, LengthOf::Nut, LengthOf::Action, LengthOf::Other]
                .map(|of| voice.inches.has(of))
        };
        let relief = Quantity::relief(1, 24).unwrap();
        let read = |text: &str| {
            bass.add_pass_text(relief, text, None).unwrap();
        };
        assert_eq!(in_inches(), [true; 4]);
        // The rule's inches are no unit of who reads relief in millimetres, nor of the same feelers at the nut.
        read("0.30 mm");
        assert_eq!(in_inches(), [false, false, true, true]);
        read("12 thou");
        assert_eq!(in_inches(), [true; 4]);
        // With feelers in millimetres in hand they are understood everywhere.
        usual.tools.relief = Some("feeler 0.05 mm".parse().unwrap());
        workshop.set_preferences(&usual).unwrap();
        assert_eq!(in_inches(), [false; 4]);
    }

    #[test]
    fn a_new_instrument_is_given_the_preferred_a4() {
        let workshop = workshop();
        let a4 = hertz(442);
        workshop.set_preferences(&Preferences { a4: Some(a4), ..Preferences::default() }).unwrap();
        let spec =
            workshop.add_instrument("bass-4", "walnut bass").unwrap().details().unwrap().spec;
        assert!(spec.fields().contains(&SpecField::A4(a4)));
    }
}
