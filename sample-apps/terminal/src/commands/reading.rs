//! Entering readings.

use fallaway::PassOptions;
use fallaway::measure::{Location, Side};
use fallaway::record::{InstrumentSpec, Pass, PassReading, Phase, Posture};

use fallaway_text::{Phrase, entries, names};

use super::context::Context;
use super::{visits, which};
use crate::cli::{PostureWord, ReadArgs, ReadWhat, SideWord};
use crate::error::Outcome;
use crate::messages::bench as say;
use crate::parse::{minus, tools};
use crate::render::TextTable;
use crate::voice;

/// Enters a pass of readings.
pub fn read(context: &mut Context<'_, '_>, args: &ReadArgs) -> Outcome {
    if args.low_first || args.high_first {
        // What is shown back stands as it was typed.
        context.voice = context.voice.low_first(args.low_first);
        voice::set(context.voice);
    }
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let quantity = which::quantity_of(&instrument, args.what, &args.way, &spec)?;
    let text = minus::plain(&joined(&args.values));
    let named = args.tool.as_ref().map(|label| tools::tool(label)).transpose();
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
            let places = which::listed(text, spec)?;
            if matches!(args.what, ReadWhat::Spacing | ReadWhat::NutSpacing) {
                which::has_next(&places, spec)?;
            }
            places.into_iter().map(Location::Course).collect()
        }
        (None, None) => Vec::new(),
    })
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

/// What was understood: which way of reading, and string by string.
pub fn confirmation(pass: &Pass, spec: &InstrumentSpec) -> (Phrase, TextTable) {
    let head = entries::pass_head(pass);
    let place = |location| names::location_label(spec, location);
    if let [PassReading { location, reading }] = pass.readings.as_slice() {
        let line = match place(*location) {
            Some(place) => say::reading_at(head, place, *reading),
            None => say::reading(head, *reading),
        };
        return (line, TextTable::default());
    }
    let readings = voice::get().by_string(pass.readings.clone(), |read| match read.location {
        Location::Course(place) => Some(((), place.into())),
        _ => None,
    });
    let mut table = TextTable::new(readings.iter().map(|read| place(read.location))).indented(2);
    table.row(readings.iter().map(|read| names::reading(read.reading).of(pass.quantity)));
    (head.into(), table)
}
