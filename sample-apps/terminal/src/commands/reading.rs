//! Entering readings.

use fallaway::advice::observe::{Measurand, MeasurandKind};
use fallaway::measure::{Fret, Location, Quantity, Side, StringPlace, Tool};
use fallaway::record::{InstrumentSpec, Pass, PassReading, Phase, Posture};
use fallaway::{Instrument, PassOptions, UsualReading};

use fallaway_text::{Phrase, entries, errors, names};

use super::bench;
use super::context::Context;
use super::visits;
use crate::cli::{PostureWord, ReadArgs, SideWord, WayArgs, What};
use crate::error::{Error, Outcome};
use crate::messages::bench as say;
use crate::parse::minus;
use crate::render::Table;

/// Enters a pass of readings.
pub fn read(context: &mut Context<'_, '_>, args: &ReadArgs) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let quantity = quantity_of(&instrument, args.what, &args.way, &spec)?;
    let text = minus::plain(&joined(&args.values));
    let named = args.tool.as_ref().map(|label| label.parse::<Tool>()).transpose();
    let named = named.map_err(fallaway::Error::from)?;
    let options = PassOptions {
        places: places(args, &spec)?,
        low_first: (args.low_first || args.high_first).then_some(args.low_first),
        phase: match (args.as_found, args.as_left) {
            (true, _) => Some(Phase::AsFound),
            (_, true) => Some(Phase::AsLeft),
            _ => None,
        },
        posture: args.posture.map(posture),
        stopped_by: args.stopped_by(),
        tuned_minutes_ago: args.tuned,
    };
    let pass = instrument.read_pass_text(quantity, &text, named, &options)?;
    visits::another_visit(context, &instrument)?;
    let id = context.sure(|options| instrument.add_pass(pass.clone(), options))?;
    let (line, table) = confirmation(&pass, &spec);
    context.stored_with(&instrument, &[id], &line, &table)
}

/// Where the values were read, if the options say so.
fn places(args: &ReadArgs, spec: &InstrumentSpec) -> Outcome<Vec<Location>> {
    Ok(match (args.way.side, &args.strings) {
        (Some(SideWord::Bass), _) => vec![Location::Side(Side::Bass)],
        (Some(SideWord::Treble), _) => vec![Location::Side(Side::Treble)],
        (None, Some(text)) => {
            let places = bench::listed(text, spec)?;
            if matches!(args.what, What::Spacing | What::NutSpacing) {
                has_next(&places, spec)?;
            }
            places.into_iter().map(Location::Course).collect()
        }
        (None, None) => Vec::new(),
    })
}

/// Refuses the lowest string where spacing is meant, which is read to the next lower one.
pub fn has_next(places: &[StringPlace], spec: &InstrumentSpec) -> Outcome {
    match spec.places().last() {
        Some(last) if places.contains(last) => Err(Error::Usage(say::no_next_string(*last))),
        _ => Ok(()),
    }
}

/// The words as one line. A word of its own that has several words in it was quoted by the person:
/// it is one reading.
pub fn joined(values: &[String]) -> String {
    let several = values.iter().any(|value| value.trim().contains(' ')) && values.len() > 1;
    values.join(if several { "; " } else { " " })
}

pub fn posture(word: PostureWord) -> Posture {
    match word {
        PostureWord::Playing => Posture::Playing,
        PostureWord::Back => Posture::OnBack,
        PostureWord::Rest => Posture::NeckRest,
        PostureWord::Side => Posture::OnSide,
        PostureWord::Hanging => Posture::Hanging,
    }
}

/// What is read, and which way: what the options say, else the way in which this instrument was read last,
/// or in which something is wanted of it; else the usual way.
pub fn quantity_of(
    instrument: &Instrument,
    what: What,
    way: &WayArgs,
    spec: &InstrumentSpec,
) -> Outcome<Quantity> {
    let kinds: &[MeasurandKind] = match what {
        What::Relief => &[MeasurandKind::Relief],
        What::Action => &[MeasurandKind::ActionOpen, MeasurandKind::ActionStopped],
        What::Nut => &[MeasurandKind::NutOpen, MeasurandKind::NutHeld],
        What::Intonation => &[MeasurandKind::Intonation, MeasurandKind::IntonationNearNut],
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
fn quantity(what: What, way: &WayArgs, spec: &InstrumentSpec) -> Outcome<Quantity> {
    let fret = |number: u8| -> Outcome<Fret> {
        let fret = Fret::new(number).map_err(|error| Error::Usage(errors::value(&error)))?;
        bench::has_fret(spec, fret)?;
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
        What::Action if way.open || way.stopped == Some(0) => {
            Quantity::Gap { stopped: Fret::OPEN, over: over(fret(12))? }
        }
        What::Action => Quantity::Gap { stopped: given(way.stopped, 1)?, over: over(last())? },
        What::Nut => {
            let stopped = if way.open { Fret::OPEN } else { given(way.stopped, 3)? };
            Quantity::Gap { stopped, over: over(fret(1))? }
        }
        What::Gap => match (way.stopped.or(way.open.then_some(0)), way.over) {
            (Some(stopped), Some(over)) => {
                Quantity::Gap { stopped: fret(stopped)?, over: fret(over)? }
            }
            _ => {
                return Err(Error::Usage(say::which_gap()));
            }
        },
        What::Relief => {
            let (from, to) = match way.between.as_slice() {
                [from, to] => (fret(*from)?, fret(*to)?),
                _ => (fret(1)?, last()?),
            };
            Quantity::Relief { from, to, at: way.at_fret.map(fret).transpose()? }
        }
        What::Pitch => Quantity::Pitch,
        What::Intonation => Quantity::Intonation { fret: given(way.fret, 12)? },
        What::Spacing => Quantity::SpacingBridge,
        What::NutSpacing => Quantity::SpacingNut,
        What::Bridge => Quantity::BridgeHeight,
        What::BridgeTail => Quantity::BridgeTail,
        What::Pickup => {
            let stopped =
                if way.open { Fret::OPEN } else { way.stopped.map_or_else(last, fret)? };
            Quantity::PickupGap { pickup: way.pickup.unwrap_or(1), stopped }
        }
    };
    match quantity {
        Quantity::Gap { stopped, over } if stopped == over => {
            Err(Error::Usage(say::no_gap(stopped, over)))
        }
        Quantity::Relief { from, to, .. } if from >= to => {
            Err(Error::Usage(say::not_beyond(to, from)))
        }
        _ => Ok(quantity),
    }
}

/// What was understood: which way of reading, and string by string.
pub fn confirmation(pass: &Pass, spec: &InstrumentSpec) -> (Phrase, Table) {
    let head = entries::pass_head(pass);
    let place = |location| names::location_label(spec, location);
    if let [PassReading { location, reading }] = pass.readings.as_slice() {
        let line = match place(*location) {
            Some(place) => say::reading_at(head, place, *reading),
            None => say::reading(head, *reading),
        };
        return (line, Table::default());
    }
    let mut table = Table::new(pass.readings.iter().map(|read| place(read.location))).indented(2);
    table.row(pass.readings.iter().map(|read| names::reading(read.reading).of(pass.quantity)));
    (head.into(), table)
}
