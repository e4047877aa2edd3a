//! Entering readings.

use fallaway::PassOptions;
use fallaway::measure::{Fret, Location, Quantity, Side, Tool};
use fallaway::record::{Pass, PassReading, Phase, Posture, Spec, StoppedBy};

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
    let named = args.tool.as_ref().map(|label| label.parse::<Tool>()).transpose();
    let named = named.map_err(|error| Error::usage(error.to_string()))?;
    let tool = named.or_else(|| context.settings.tool(args.what));
    let options = PassOptions {
        places: places(args, &spec)?,
        low_first: args.low_first
            || (!args.high_first && context.settings.order() == Order::LowFirst),
        tool_in_hand: named.is_none(),
        phase: match (args.as_found, args.as_left) {
            (true, _) => Some(Phase::AsFound),
            (_, true) => Some(Phase::AsLeft),
            _ => None,
        },
        posture: args.posture.map(posture),
        stopped_by: match (args.capo, args.finger) {
            (true, _) => Some(StoppedBy::Capo),
            (_, true) => Some(StoppedBy::Finger),
            _ => None,
        },
        tuned_minutes_ago: args.tuned,
        ..PassOptions::default()
    };
    let pass = instrument.read_pass_text(quantity, &text, tool, &options)?;
    let by = Some(context.by().to_owned());
    let id = context.sure(|confirm| instrument.add_pass(pass.clone(), by.as_deref(), confirm))?;
    let (line, table) = confirmation(&pass, &spec);
    context.stored_with(&instrument, id, &line, &table)
}

/// Where the values were read, if the options say so.
fn places(args: &ReadArgs, spec: &Spec) -> Outcome<Vec<Location>> {
    Ok(match (args.way.side, &args.strings) {
        (Some(SideWord::Bass), _) => vec![Location::Side(Side::Bass)],
        (Some(SideWord::Treble), _) => vec![Location::Side(Side::Treble)],
        (None, Some(text)) => {
            bench::listed(text, spec)?.into_iter().map(Location::Course).collect()
        }
        (None, None) => Vec::new(),
    })
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
