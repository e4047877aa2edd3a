//! Entering readings.

use fallaway::measure::{
    Amount, Fret, Location, PassError, Place, Quantity, Reading, Side, Tool, Unit, parse_pass,
};
use fallaway::record::{Body, Pass, PassReading, Phase, Posture, Spec, StoppedBy};
use fallaway::{Filter, Instrument};

use super::bench;
use super::context::Context;
use crate::cli::{Order, PostureWord, ReadArgs, SideWord, WayArgs, What};
use crate::error::{Error, Outcome};
use crate::parse::minus;
use crate::render::{Table, entries, names};

/// Enters a pass of readings.
pub fn read(context: &mut Context<'_, '_>, args: &ReadArgs) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.view()?.spec;
    let quantity = quantity(args.what, &args.way, &spec)?;
    let text = minus::plain(&joined(&args.values));
    let tool = tool(context, args, &text)?;
    let locations = Locations::of(context, args, &spec)?;
    let before = |locations: &[Location]| previous(&instrument, quantity, locations);
    let (locations, values) = locations.match_values(|locations| {
        let before = before(locations)?;
        let read =
            parse_pass(&text, tool.as_ref(), quantity.dimension(), locations.len(), Some(&before));
        Ok(read)
    })?;
    let mut pass = Pass::new(quantity, tool);
    pass.readings = locations
        .into_iter()
        .zip(values)
        .filter_map(|(location, reading)| Some(PassReading { location, reading: reading? }))
        .collect();
    if pass.readings.is_empty() {
        return Err(Error::usage("nothing was read: every value is -"));
    }
    pass.phase = match (args.as_found, args.as_left) {
        (true, _) => Some(Phase::AsFound),
        (_, true) => Some(Phase::AsLeft),
        _ => None,
    };
    pass.posture = args.posture.map(posture);
    pass.stopped_by = match (args.capo, args.finger) {
        (true, _) => Some(StoppedBy::Capo),
        (_, true) => Some(StoppedBy::Finger),
        _ => None,
    };
    pass.tuned_minutes_ago = args.tuned;
    let by = Some(context.by().to_owned());
    let id = context.sure(|sure| instrument.add_pass(pass.clone(), by.as_deref(), sure))?;
    let (line, table) = confirmation(&pass, &spec);
    context.stored_with(&instrument, id, &line, &table)
}

/// The words as one line. A word of its own that has several words in it was quoted by the person:
/// it is one reading.
fn joined(values: &[String]) -> String {
    let several = values.iter().any(|value| value.trim().contains(' ')) && values.len() > 1;
    values.join(if several { "; " } else { " " })
}

fn posture(word: PostureWord) -> Posture {
    match word {
        PostureWord::Playing => Posture::Playing,
        PostureWord::Back => Posture::OnBack,
        PostureWord::Rest => Posture::NeckRest,
        PostureWord::Side => Posture::OnSide,
        PostureWord::Hanging => Posture::Hanging,
    }
}

/// What is read, and which way: what the options say, else the usual way on this instrument.
pub fn quantity(what: What, way: &WayArgs, spec: &Spec) -> Outcome<Quantity> {
    let fret = |number: u8| -> Outcome<Fret> {
        let fret = Fret::new(number).map_err(|error| Error::usage(error.to_string()))?;
        bench::has_fret(spec, fret)?;
        Ok(fret)
    };
    let given = |number: Option<u8>, usual: u8| fret(number.unwrap_or(usual));
    let last = || {
        spec.last_fret().ok_or_else(|| {
            Error::usage("there is no last fret here: say --over FRET, or `fallaway set frets 24`")
        })
    };
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
                return Err(Error::usage(
                    "which gap? Say --stopped FRET (0 is open) and --over FRET",
                ));
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
        What::Pickup => {
            let stopped =
                if way.open { Fret::OPEN } else { way.stopped.map_or_else(last, fret)? };
            Quantity::PickupGap { pickup: way.pickup.unwrap_or(1), stopped }
        }
    };
    match quantity {
        Quantity::Gap { stopped, over } if stopped == over => {
            Err(Error::usage(format!("stopped at {stopped}, the string has no gap over {over}")))
        }
        Quantity::Relief { from, to, .. } if from >= to => {
            Err(Error::usage(format!("fret {to} does not lie beyond fret {from}")))
        }
        _ => Ok(quantity),
    }
}

/// The tool: the one that is named, else the one in hand, unless the readings are in another unit
/// than its marks: then another tool was used, and which is not known.
fn tool(context: &Context<'_, '_>, args: &ReadArgs, text: &str) -> Outcome<Option<Tool>> {
    if let Some(label) = &args.tool {
        let tool = label.parse().map_err(|error| Error::usage(format!("{error}")))?;
        return Ok(Some(tool));
    }
    let Some(tool) = context.settings.tool(args.what) else { return Ok(None) };
    let lower = text.to_lowercase();
    let says = |unit: &str| lower.split(|c: char| !c.is_alphabetic()).any(|word| word == unit);
    let written = [
        (says("mm"), Unit::Millimetre),
        (says("thou"), Unit::Thou),
        (says("in") || says("inch") || lower.contains(['/', '"']), Unit::Inch),
    ];
    let marks = match tool.graduation() {
        Amount::Fraction(_) => Unit::Inch,
        amount @ Amount::Decimal { .. } => amount.unit(),
    };
    let other = written.iter().any(|(written, unit)| *written && *unit != marks);
    Ok(if other { None } else { Some(tool) })
}

/// Where the values were read, in the order in which they stand.
enum Locations {
    /// These.
    These(Vec<Location>),
    /// Each string, or the two sides if only two values are there.
    StringsOrSides(Vec<Location>, [Location; 2]),
}

impl Locations {
    fn of(context: &Context<'_, '_>, args: &ReadArgs, spec: &Spec) -> Outcome<Self> {
        let side = args.way.side.map(|side| match side {
            SideWord::Bass => Side::Bass,
            SideWord::Treble => Side::Treble,
        });
        if let Some(side) = side {
            return Ok(Self::These(vec![Location::Side(side)]));
        }
        if let Some(text) = &args.strings {
            let places = bench::listed(text, spec)?;
            return Ok(Self::These(places.into_iter().map(Location::Course).collect()));
        }
        if args.what == What::Relief {
            return Ok(Self::These(vec![Location::Whole]));
        }
        let count = spec.course_count();
        if count == 0 {
            return Err(Error::usage(
                "the number of strings is not known here: name them with --strings 1-4",
            ));
        }
        // Spacing is read from a string to the next lower one, so the lowest has none.
        let last =
            if matches!(args.what, What::Spacing | What::NutSpacing) { count - 1 } else { count };
        let mut places = (1..=last)
            .map(|course| Place::course(course).map(Location::Course))
            .collect::<Result<Vec<_>, _>>()
            .map_err(|error| Error::usage(error.to_string()))?;
        let low_first = match (args.low_first, args.high_first) {
            (true, _) => true,
            (_, true) => false,
            _ => context.settings.order() == Order::LowFirst,
        };
        let mut sides = [Location::Side(Side::Treble), Location::Side(Side::Bass)];
        if low_first {
            places.reverse();
            sides.reverse();
        }
        Ok(if args.what == What::Pickup && places.len() > 2 {
            Self::StringsOrSides(places, sides)
        } else {
            Self::These(places)
        })
    }

    fn match_values(
        self,
        read: impl Fn(&[Location]) -> Outcome<Result<Vec<Option<Reading>>, PassError>>,
    ) -> Outcome<(Vec<Location>, Vec<Option<Reading>>)> {
        let refused = |error: PassError| {
            let more = match &error {
                PassError::Count { .. } => {
                    "; one value for each string, the highest first; name the strings with --strings \
                     if you read only some"
                }
                _ => "",
            };
            Error::usage(format!("{error}{more}"))
        };
        match self {
            Self::These(locations) => {
                let values = read(&locations)?.map_err(refused)?;
                Ok((locations, values))
            }
            Self::StringsOrSides(strings, sides) => match read(&strings)? {
                Err(PassError::Count { found: 2, .. }) => {
                    let values = read(&sides)?.map_err(refused)?;
                    Ok((sides.to_vec(), values))
                }
                other => {
                    let values = other.map_err(refused)?;
                    Ok((strings, values))
                }
            },
        }
    }
}

/// What was read at these places last, for "=".
fn previous(
    instrument: &Instrument,
    quantity: Quantity,
    locations: &[Location],
) -> Outcome<Vec<Option<Reading>>> {
    let mut found: Vec<Option<Reading>> = vec![None; locations.len()];
    let history = instrument.history(&Filter { hide_retracted: true, ..Filter::default() })?;
    for view in history.iter().rev() {
        let Body::Pass(pass) = &view.entry.body else { continue };
        if pass.quantity != quantity {
            continue;
        }
        for (slot, location) in found.iter_mut().zip(locations) {
            if slot.is_none() {
                *slot = pass.at(*location);
            }
        }
        if found.iter().all(Option::is_some) {
            break;
        }
    }
    Ok(found)
}

/// What was understood: which way of reading, and string by string.
fn confirmation(pass: &Pass, spec: &Spec) -> (String, Table) {
    let head = bench::capital(&entries::pass_head(pass));
    if let [PassReading { location, reading }] = pass.readings.as_slice() {
        let place = names::location(spec, *location);
        let place = if place.is_empty() { place } else { format!(", {place}") };
        return (format!("{head}{place}: {reading}"), Table::default());
    }
    let places = pass.readings.iter().map(|read| names::location(spec, read.location));
    let mut table = Table::new(places).indented(2);
    table.row(pass.readings.iter().map(|read| read.reading.to_string()));
    (head, table)
}
