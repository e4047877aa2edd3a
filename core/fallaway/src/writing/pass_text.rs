//! A pass as a person writes it, in one line: "5 5 5 6".

use fallaway_advice::observe::{LastRead, last_readings, with_input};
use fallaway_measure::{
    Amount, Location, PassError, Quantity, Reading, Side, StringPlace, Tool, Unit, parse_pass,
};
use fallaway_record::{
    EntryBody, EntryId, InstrumentSpec, Pass, PassReading, Phase, Posture, SetupId, StoppedBy,
    target_key,
};

use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::{errors as say, readings};
use fallaway_text::{Phrase, errors};

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::keeping::preferences::Preferences;
use crate::showing::card::Latest;
use crate::writing::open_visit::open_visit;
use crate::writing::write_options::WriteOptions;

/// How a pass was taken, and where; what is not said is as usual.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PassOptions {
    /// Where each was read; if empty, the usual places: the whole for relief, each string that has
    /// a lower neighbour for spacing, each string or the two sides for a pickup, else each string.
    pub places: Vec<Location>,
    /// Whether the usual places begin with the lowest string; if not said, as is preferred.
    pub low_first: Option<bool>,
    /// Where in the visit it belongs.
    pub phase: Option<Phase>,
    /// How the instrument lay; if not said, as is preferred.
    pub posture: Option<Posture>,
    /// What stopped the string; if not said, as is preferred.
    pub stopped_by: Option<StoppedBy>,
    /// Minutes since the instrument was tuned.
    pub tuned_minutes_ago: Option<u16>,
}

impl PassOptions {
    /// With what the person at the device prefers where nothing is said.
    fn or_as_preferred(&self, preferences: &Preferences) -> Self {
        Self {
            low_first: self.low_first.or(Some(preferences.low_first)),
            posture: self.posture.or(preferences.posture),
            stopped_by: self.stopped_by.or(preferences.stopped_by),
            ..self.clone()
        }
    }
}

impl Instrument {
    /// Writes a pass down as a person does: "5 5 5 6", with "-" for a string that was not read and
    /// "=" for one that is as it was read the last time: where that still stands, it is not read once more;
    /// a number without a unit is in the steps of
    /// the tool. Opens a visit if none is open.
    ///
    /// ```
    /// # use fallaway::measure::{Quantity, Tool};
    /// # fn example(bass: &fallaway::Instrument) -> Result<(), Box<dyn std::error::Error>> {
    /// bass.add_pass_text(Quantity::gap(1, 24)?, "5 5 5 6", Tool::RULE_64)?;
    /// # Ok(())
    /// # }
    /// ```
    ///
    /// # Errors
    /// As [`Instrument::read_pass_text`] and [`Instrument::add_pass`].
    pub fn add_pass_text(
        &self,
        quantity: Quantity,
        text: &str,
        tool: impl Into<Option<Tool>>,
    ) -> Result<EntryId> {
        self.add_pass_text_with(quantity, text, tool, &PassOptions::default(), None)
    }

    /// The same with what is not as usual.
    ///
    /// # Errors
    /// As [`Instrument::add_pass_text`].
    pub fn add_pass_text_with(
        &self,
        quantity: Quantity,
        text: &str,
        tool: impl Into<Option<Tool>>,
        taken: &PassOptions,
        options: impl Into<WriteOptions>,
    ) -> Result<EntryId> {
        self.add_pass(self.read_pass_text(quantity, text, tool, taken)?, options)
    }

    /// Reads a pass that was written as a line, with the preferred tool if none is named and the line
    /// does not name other units. Nothing is stored.
    ///
    /// # Errors
    /// [`Error::BadInput`] that names the reading, what is wrong with it and what would be accepted.
    pub fn read_pass_text(
        &self,
        quantity: Quantity,
        text: &str,
        tool: impl Into<Option<Tool>>,
        options: &PassOptions,
    ) -> Result<Pass> {
        let preferences = self.preferences()?;
        let options = &options.or_as_preferred(&preferences);
        // Where the line names units other than those of its marks, another tool was used, and it is
        // not known which.
        let preferred = || preferences.tools.of(quantity).filter(|tool| fits_marks(text, tool));
        let tool = tool.into().or_else(preferred);
        let now = self.inner.clock.now().unix_s;
        let (spec, latest) = self.inner.with_record(self.id, |_, loaded| {
            let latest = text.contains('=').then(|| self.inner.latest_with_draft(loaded, now));
            Ok((loaded.registers(now).spec().clone(), latest))
        })?;
        let read = |places: &[Location]| {
            let last = |place: &Location| {
                latest
                    .as_ref()
                    .and_then(|latest: &Latest| latest.reading(&target_key(quantity, *place)?))
            };
            let previous: Vec<Option<Reading>> = places.iter().map(last).collect();
            let dimension = quantity.dimension();
            parse_pass(text, tool.as_ref(), dimension, places.len(), Some(&previous))
        };
        let mut places = places(&spec, quantity, options)?;
        let mut readings = read(&places);
        if let Err(PassError::Count { found: 2, .. }) = readings
            && options.places.is_empty()
            && matches!(quantity, Quantity::PickupGap { .. })
        {
            places = vec![Location::Side(Side::Treble), Location::Side(Side::Bass)];
            if options.low_first == Some(true) {
                places.reverse();
            }
            readings = read(&places);
        }
        let readings = readings.map_err(|error| refused(error, quantity, options, &places))?;
        let mut pass = Pass::new(quantity, tool);
        let read = places.into_iter().zip(readings);
        pass.readings.extend(
            read.filter_map(|(location, reading)| {
                Some(PassReading { location, reading: reading? })
            }),
        );
        if text.contains('=') && options.phase.is_none() {
            let standing = self.standing(quantity)?;
            // What stands as it was read is not read once more by saying so.
            let said_again = |read: &PassReading| standing.contains(&(read.location, read.reading));
            let all = pass.readings.len();
            pass.readings.retain(|read| !said_again(read));
            if pass.readings.is_empty() && all > 0 {
                return Err(Error::bad_input(
                    field("readings"),
                    say::stands_as_read(),
                    Accepted::nothing(NothingAccepted::Already).said(say::at_least_one()),
                ));
            }
        }
        if pass.readings.is_empty() {
            return Err(Error::bad_input(
                field("readings"),
                say::no_readings_given(),
                Accepted::like(quantity.dimension().examples()).said(say::at_least_one()),
            ));
        }
        pass.phase = options.phase;
        pass.posture = options.posture;
        pass.stopped_by = options.stopped_by;
        pass.tuned_minutes_ago = options.tuned_minutes_ago;
        Ok(pass)
    }
}

impl Instrument {
    /// What was read last in the open visit, nothing having been done since that disturbs it.
    fn standing(&self, quantity: Quantity) -> Result<Vec<(Location, Reading)>> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let Some(visit) = open_visit(loaded, now) else { return Ok(Vec::new()) };
            let state = loaded.state(now);
            let (last, _) = with_input(&state, &SetupId::main(), now, last_readings);
            let stands = |read: LastRead| {
                let entry = &state.get(read.entry)?.entry;
                let EntryBody::Pass(pass) = &entry.body else { return None };
                let of = read.measurand;
                let here = entry.visit == Some(visit.id) && of.quantity == quantity;
                if !here || read.overtaken_by.is_some() {
                    return None;
                }
                Some((of.location, pass.at(of.location)?))
            };
            Ok(last.into_iter().filter_map(stands).collect())
        })
    }
}

fn refused(
    error: PassError,
    quantity: Quantity,
    options: &PassOptions,
    places: &[Location],
) -> Error {
    // The field names the reading: its text need not say it again.
    let cell = |position: usize, reason: Phrase, accepted: Accepted| {
        let place = places.get(position.saturating_sub(1)).copied();
        Error::bad_input(say::field_reading(position), reason, accepted)
            .in_cell(Some(position), place)
    };
    match error {
        PassError::Reading { position, error } => {
            cell(position, errors::reading(&error), errors::reading_accepts(&error))
        }
        PassError::NothingBefore { position } => {
            let accepted = Accepted::like(quantity.dimension().examples()).unsaid();
            cell(position, readings::nothing_before(), accepted)
        }
        PassError::Count { .. } if options.places.is_empty() => {
            let accepted = if matches!(quantity, Quantity::PickupGap { .. }) {
                readings::each_or_both_sides()
            } else if options.low_first == Some(true) {
                readings::each_lowest_first()
            } else {
                readings::each_highest_first()
            };
            let accepted = Accepted { text: accepted, ..errors::pass_accepts(&error) };
            Error::bad_input(field("readings"), errors::pass(&error), accepted)
        }
        PassError::Count { .. } => Error::from(error),
    }
}

/// Whether the line names no unit other than those of the tool's marks, and none of another notation: who
/// writes decimals of an inch does not read marks of a fraction.
fn fits_marks(text: &str, tool: &Tool) -> bool {
    let lower = text.to_lowercase();
    let says = |unit: &str| lower.split(|c: char| !c.is_alphabetic()).any(|word| word == unit);
    let inch = ["in", "inch", "inches", "zoll"].into_iter().any(says);
    let decimals = inch && lower.contains('.') && !lower.contains('/');
    if decimals && matches!(tool.graduation(), Amount::Fraction(_)) {
        return false;
    }
    let written = [
        (says("mm"), Unit::Millimetre),
        (says("thou") || says("mil") || says("mils"), Unit::Thou),
        (inch || lower.contains(['/', '"']), Unit::Inch),
    ];
    let marks = match tool.graduation() {
        Amount::Fraction(_) => Unit::Inch,
        amount @ Amount::Decimal { .. } => amount.unit(),
    };
    written.iter().all(|(written, unit)| !written || *unit == marks)
}

pub(crate) fn places(
    spec: &InstrumentSpec,
    quantity: Quantity,
    options: &PassOptions,
) -> Result<Vec<Location>> {
    if !options.places.is_empty() {
        return Ok(options.places.clone());
    }
    let courses = spec.course_count();
    let last = match quantity {
        Quantity::Relief { .. } | Quantity::FallAway { .. } | Quantity::BridgeTail => {
            return Ok(vec![Location::Whole]);
        }
        Quantity::BridgeHeight => {
            let mut posts = vec![Location::Side(Side::Treble), Location::Side(Side::Bass)];
            if options.low_first == Some(true) {
                posts.reverse();
            }
            return Ok(posts);
        }
        // Read from a string to the next lower one: the lowest has none.
        Quantity::SpacingBridge | Quantity::SpacingNut => courses.saturating_sub(1),
        _ => courses,
    };
    if last == 0 {
        return Err(Error::bad_input(
            field("strings"),
            say::strings_unknown(),
            Accepted::nothing(NothingAccepted::Unwritten).said(say::name_strings()),
        ));
    }
    let mut places: Vec<Location> = (1..=last)
        .filter_map(|course| StringPlace::course(course).ok())
        .map(Location::Course)
        .collect();
    if options.low_first == Some(true) {
        places.reverse();
    }
    Ok(places)
}
