//! Which strings and frets are meant, and which way of reading.

use fallaway::advice::observe::{Measurand, MeasurandKind};
use fallaway::measure::{Fret, Location, Quantity, StringPlace};
use fallaway::record::InstrumentSpec;
use fallaway::{Instrument, UsualReading};

use fallaway_text::errors;

use crate::cli::{ReadWhat, WayArgs};
use crate::error::{Error, Outcome};
use crate::messages::{bench as say, parse};
use crate::parse::places::{self, Strings};

/// Refuses a string that the instrument does not have.
pub fn has_string(spec: &InstrumentSpec, place: StringPlace) -> Outcome {
    if spec.has(place) {
        return Ok(());
    }
    let count = spec.course_count();
    Err(Error::Usage(say::no_string(place, count)))
}

/// Refuses a fret that the instrument does not have.
pub fn has_fret(spec: &InstrumentSpec, fret: Fret) -> Outcome {
    if spec.has_fret(fret) {
        return Ok(());
    }
    let last = spec.last_fret().map_or(0, Fret::number);
    Err(Error::Usage(say::no_fret(fret, last)))
}

/// A list of strings that the instrument has.
pub fn listed(text: &str, spec: &InstrumentSpec) -> Outcome<Vec<StringPlace>> {
    let text = &places::numbered(text, spec).map_err(Error::Usage)?;
    let places = match places::strings(text).map_err(Error::Usage)? {
        Some(Strings::All) => spec.places(),
        Some(Strings::These(places)) => places,
        None => return Err(Error::Usage(parse::not_strings(text))),
    };
    let mut known = Vec::new();
    for place in places {
        has_string(spec, place)?;
        // Named twice is named once.
        if !known.contains(&place) {
            known.push(place);
        }
    }
    Ok(known)
}

/// Refuses the lowest string where spacing is meant, which is read to the next lower one.
pub fn has_next(places: &[StringPlace], spec: &InstrumentSpec) -> Outcome {
    match spec.places().last() {
        Some(last) if places.contains(last) => Err(Error::Usage(say::no_next_string(*last))),
        _ => Ok(()),
    }
}

/// What is read, and which way: what the options say, else the way in which this instrument was read last,
/// or in which something is wanted of it; else the usual way.
pub fn quantity_of(
    instrument: &Instrument,
    what: ReadWhat,
    way: &WayArgs,
    spec: &InstrumentSpec,
) -> Outcome<Quantity> {
    let kinds: &[MeasurandKind] = match what {
        ReadWhat::Relief => &[MeasurandKind::Relief],
        ReadWhat::FallAway => &[MeasurandKind::FallAway],
        ReadWhat::Action => &[MeasurandKind::ActionOpen, MeasurandKind::ActionStopped],
        ReadWhat::Nut => &[MeasurandKind::NutOpen, MeasurandKind::NutHeld],
        ReadWhat::Intonation => &[MeasurandKind::Intonation, MeasurandKind::IntonationNearNut],
        _ => return quantity(what, way, spec),
    };
    if !way.is_usual() {
        return quantity(what, way, spec);
    }
    let is_it = |one: &UsualReading| {
        let of = Measurand { quantity: one.quantity, location: Location::Whole };
        of.kind().is_some_and(|kind| kinds.contains(&kind))
    };
    let known = instrument.usual_readings()?.into_iter().filter(is_it);
    let last = known.max_by_key(|one| one.last.map(|at| at.unix_s));
    last.map_or_else(|| quantity(what, way, spec), |one| Ok(one.quantity))
}

/// What is read, and which way: what the options say, else the usual way.
fn quantity(what: ReadWhat, way: &WayArgs, spec: &InstrumentSpec) -> Outcome<Quantity> {
    let fret = |number: u8| -> Outcome<Fret> {
        let fret = Fret::new(number).map_err(|error| Error::Usage(errors::value(&error)))?;
        has_fret(spec, fret)?;
        Ok(fret)
    };
    let given = |number: Option<u8>, usual: u8| fret(number.unwrap_or(usual));
    let unknown = || match spec.course_count() {
        0 => Error::Refused(say::not_arrived()),
        _ => Error::Usage(say::no_last_fret()),
    };
    let last = || spec.last_fret().ok_or_else(unknown);
    let over = |usual: Outcome<Fret>| way.over.map_or(usual, fret);
    let quantity = match what {
        ReadWhat::Action if way.open || way.stopped == Some(0) => {
            Quantity::Gap { stopped: Fret::OPEN, over: over(fret(12))? }
        }
        ReadWhat::Action => Quantity::Gap { stopped: given(way.stopped, 1)?, over: over(last())? },
        ReadWhat::Nut => {
            let stopped = if way.open { Fret::OPEN } else { given(way.stopped, 3)? };
            Quantity::Gap { stopped, over: over(fret(1))? }
        }
        ReadWhat::Gap => match (way.stopped.or(way.open.then_some(0)), way.over) {
            (Some(stopped), Some(over)) => {
                Quantity::Gap { stopped: fret(stopped)?, over: fret(over)? }
            }
            _ => {
                return Err(Error::Usage(say::which_gap()));
            }
        },
        ReadWhat::Relief => {
            let (from, to) = match way.between.as_slice() {
                [from, to] => (fret(*from)?, fret(*to)?),
                _ => (fret(1)?, last()?),
            };
            Quantity::Relief { from, to, at: way.at_fret.map(fret).transpose()? }
        }
        ReadWhat::FallAway => {
            let usual = spec.usual_fall_away();
            let (from, to, at) = match (way.between.as_slice(), usual) {
                (&[from, to], _) => (fret(from)?, fret(to)?, last()?),
                (_, Some(Quantity::FallAway { from, to, at })) => (from, to, at),
                _ => {
                    last()?;
                    return Err(Error::Usage(say::which_edge()));
                }
            };
            let at = way.at_fret.map_or(Ok(at), fret)?;
            Quantity::FallAway { from, to, at }
        }
        ReadWhat::Pitch => Quantity::Pitch,
        ReadWhat::Intonation => Quantity::Intonation { fret: given(way.fret, 12)? },
        ReadWhat::Spacing => Quantity::SpacingBridge,
        ReadWhat::NutSpacing => Quantity::SpacingNut,
        ReadWhat::Bridge => Quantity::BridgeHeight,
        ReadWhat::BridgeTail => Quantity::BridgeTail,
        ReadWhat::Pickup => {
            let stopped =
                if way.open { Fret::OPEN } else { way.stopped.map_or_else(last, fret)? };
            Quantity::PickupGap { pickup: way.pickup.unwrap_or(1), stopped }
        }
    };
    match quantity {
        Quantity::Gap { stopped, over } if stopped == over => {
            Err(Error::Usage(say::no_gap(stopped, over)))
        }
        Quantity::Relief { from, to, .. } | Quantity::FallAway { from, to, .. } if from >= to => {
            Err(Error::Usage(say::not_beyond(to, from)))
        }
        Quantity::FallAway { to, at, .. } if to >= at => Err(Error::Usage(say::not_beyond(at, to))),
        _ => Ok(quantity),
    }
}
