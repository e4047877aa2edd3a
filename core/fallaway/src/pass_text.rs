//! A pass as a person writes it, in one line: "5 5 5 6".

use fallaway_measure::{Location, PassError, Place, Quantity, Reading, Tool, parse_pass};
use fallaway_record::{Body, Pass, PassReading, State};

use crate::error::{Error, Result};
use crate::instrument::Instrument;

/// One quantity, read one way, with one tool, as a person writes it down.
#[derive(Debug, Clone, PartialEq)]
pub struct PassText {
    /// What was read, and which way.
    pub quantity: Quantity,
    /// With what; a number without a unit is in its steps.
    pub tool: Option<Tool>,
    /// The readings, as [`parse_pass`] takes them: "5 5 5 6", with "-" for one that was not read
    /// and "=" for one that is as it was read the last time.
    pub text: String,
    /// Where each was read; if empty, the usual places: the whole for relief, each string that has
    /// a lower neighbour for spacing, else each string.
    pub places: Vec<Location>,
    /// Whether the usual places begin with the lowest string.
    pub low_first: bool,
}

impl Instrument {
    /// Reads a pass that was written as a line; it can be completed with posture and phase, and
    /// then be added. Nothing is stored.
    ///
    /// # Errors
    /// [`Error::BadInput`] that names the reading, what is wrong with it and what would be accepted.
    pub fn read_pass(&self, written: &PassText) -> Result<Pass> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let places = places(&state, written)?;
            let previous = written.text.contains('=').then(|| previous(&state, written, &places));
            let readings = parse_pass(
                &written.text,
                written.tool.as_ref(),
                written.quantity.dimension(),
                places.len(),
                previous.as_deref(),
            )
            .map_err(|error| match error {
                // The field names the reading: its text need not say it again.
                PassError::Reading { position, error } => {
                    Error::bad_input(format!("reading {position}"), error, "")
                }
                PassError::NothingBefore { position } => {
                    Error::bad_input(format!("reading {position}"), error, "")
                }
                other => Error::bad_input("readings", other, ""),
            })?;
            let mut pass = Pass::new(written.quantity, written.tool);
            let read = places.into_iter().zip(readings);
            pass.readings.extend(read.filter_map(|(location, reading)| {
                Some(PassReading { location, reading: reading? })
            }));
            if pass.readings.is_empty() {
                return Err(Error::bad_input("readings", "every one is \"-\"", "at least one"));
            }
            Ok(pass)
        })
    }
}

fn places(state: &State, written: &PassText) -> Result<Vec<Location>> {
    if !written.places.is_empty() {
        return Ok(written.places.clone());
    }
    let courses = state.spec().course_count();
    let last = match written.quantity {
        Quantity::Relief { .. } => return Ok(vec![Location::Whole]),
        Quantity::SpacingBridge | Quantity::SpacingNut => courses.saturating_sub(1),
        _ => courses,
    };
    if last == 0 {
        return Err(Error::bad_input(
            "strings",
            "the number of strings of this instrument is not known",
            "name the strings, or set the courses",
        ));
    }
    let mut places: Vec<Location> =
        (1..=last).filter_map(|course| Place::course(course).ok()).map(Location::Course).collect();
    if written.low_first {
        places.reverse();
    }
    Ok(places)
}

/// What was read at these places last.
fn previous(state: &State, written: &PassText, places: &[Location]) -> Vec<Option<Reading>> {
    let mut found: Vec<Option<Reading>> = vec![None; places.len()];
    let passes = state.entries().rev().filter_map(|placed| match &placed.entry.body {
        Body::Pass(pass) if pass.quantity == written.quantity => {
            (!state.is_retracted(placed.entry.id)).then_some(pass)
        }
        _ => None,
    });
    for pass in passes {
        for (slot, place) in found.iter_mut().zip(places) {
            *slot = slot.or_else(|| pass.at(*place));
        }
        if found.iter().all(Option::is_some) {
            break;
        }
    }
    found
}
