//! What was found at single frets: high crowns, wear, loose ends.

use fallaway::measure::{Amount, Fret, Length, Quantity, StringPlace};
use fallaway::mechanics::crowns::{EdgeWay, Oddity, fall_away, odd_crowns, rocking};
use fallaway::mechanics::frets::positions;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::record::{EntryBody, FretFinding, FretState, InstrumentSpec, Remark};
use fallaway::{Instrument, NewEntry};
use fallaway_text::{Computed, List, Phrase, entries, errors};

use super::context::Context;
use super::given;
use super::which::{has_fret, listed};
use crate::cli::FretArgs;
use crate::error::{Error, Outcome};
use crate::json;
use crate::messages::{bench as say, parse};
use crate::parse::places;
use crate::render::TextTable;
use crate::voice;

/// From this much on a crown counts as high or low (common practice, no source).
const TOLERANCE_MM: f64 = 0.03;

/// Notes what was found at a fret, or shows what is known.
pub fn fret(context: &mut Context<'_, '_>, args: &FretArgs) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let found = match &args.fret {
        Some(frets) => named(frets, args, &spec)?,
        None if args.heights.is_empty() => return known(context, &instrument, &spec),
        None => off_level(&args.heights, &spec)?,
    };
    let end = board_end(&args.heights, &spec)?;
    if found.is_empty() {
        context.done(&say::frets_level(), &serde_json::json!({ "entries": [] }))?;
        return say_end(context, end);
    }
    let text = args.note.clone().unwrap_or_default();
    let bodies: Vec<EntryBody> = found
        .iter()
        .map(|one| {
            let remark =
                Remark { text: text.clone(), fret: Some(one.clone()), ..Remark::default() };
            EntryBody::Remark(remark)
        })
        .collect();
    let options = context.options();
    let new = bodies.iter().map(|body| NewEntry::new(body.clone(), &options));
    let ids = instrument.write_all(&new.collect::<Vec<_>>())?;
    let said = List::semicolon(found.iter().map(|one| entries::fret_finding(one, &spec))).ranked();
    context.stored_with(&instrument, &ids, &said.into(), &TextTable::default())?;
    say_end(context, end)
}

fn say_end(context: &mut Context<'_, '_>, end: Option<Phrase>) -> Outcome {
    if let Some(end) = end.filter(|_| !context.common.json) {
        context.printer().line(&end)?;
    }
    Ok(())
}

/// What the words say of each fret.
fn named(frets: &str, args: &FretArgs, spec: &InstrumentSpec) -> Outcome<Vec<FretFinding>> {
    let strings = args.strings.as_deref().map(|text| listed(text, spec)).transpose()?;
    let Some((word, by)) = args.found.split_first() else {
        return Err(Error::Usage(say::fret_how()));
    };
    let state = match word.as_str() {
        "high" | "rocks" | "rocking" => FretState::High,
        "level" => FretState::Level,
        "worn" | "low" => FretState::Worn,
        "lifting" | "loose" => FretState::Lifting,
        _ => return Err(Error::Usage(say::fret_how())),
    };
    let by: Option<Amount> = if by.is_empty() {
        None
    } else {
        Some(given::amount("fret", &by.join(" "), fallaway::measure::Dimension::Length)?)
    };
    let all_along: Vec<StringPlace> = Vec::new();
    let mut found = Vec::new();
    for part in frets.split(',').filter(|part| !part.is_empty()) {
        let (from, to) = places::frets(part).map_err(Error::Usage)?;
        for number in from.number()..=to.number() {
            let fret = fret_of(number, spec)?;
            let strings = strings.clone().unwrap_or_else(|| all_along.clone());
            found.push(FretFinding { fret, state, strings, by });
        }
    }
    Ok(found)
}

fn fret_of(number: u8, spec: &InstrumentSpec) -> Outcome<Fret> {
    if number == 0 {
        return Err(Error::Usage(parse::not_frets("0")));
    }
    let fret = Fret::new(number).map_err(|error| Error::Usage(errors::value(&error)))?;
    has_fret(spec, fret)?;
    Ok(fret)
}

/// Heights of the crowns under a straight edge, fret 1 first: those that stand off the line through their
/// neighbours.
fn off_level(heights: &[String], spec: &InstrumentSpec) -> Outcome<Vec<FretFinding>> {
    let heights = given::lengths("heights", heights)?;
    let last = u8::try_from(heights.len()).unwrap_or(u8::MAX);
    fret_of(last, spec)?;
    let scale: Length = spec
        .places()
        .first()
        .and_then(|place| spec.scale_of(*place))
        .ok_or_else(|| Error::Usage(say::fret_scale()))?;
    let tolerance = mm(TOLERANCE_MM);
    let checks = rocking(&positions(scale, heights.len())?, &heights, tolerance)?;
    let mut found = Vec::new();
    for odd in odd_crowns(&checks, tolerance)? {
        let (fret, by, state) = match odd {
            Oddity::Proud { fret, by } => (fret, by, FretState::High),
            Oddity::Low { fret, by } => (fret, by, FretState::Worn),
        };
        let hundredths = (as_mm(by).abs() * 100.0).round() as i64;
        let by = Amount::decimal(hundredths, 2, fallaway::measure::Unit::Millimetre).ok();
        let fret = fret_of(u8::try_from(fret).unwrap_or(u8::MAX), spec)?;
        found.push(FretFinding { fret, state, strings: Vec::new(), by });
    }
    Ok(found)
}

/// How the board ends by the heights of its crowns, where they reach so far and tell of more than a
/// straight edge would.
fn board_end(heights: &[String], spec: &InstrumentSpec) -> Outcome<Option<Phrase>> {
    let Some(Quantity::FallAway { from, to, at }) = spec.usual_fall_away() else { return Ok(None) };
    let Some(scale) = spec.places().first().and_then(|place| spec.scale_of(*place)) else {
        return Ok(None);
    };
    if heights.len() < usize::from(at.number()) {
        return Ok(None);
    }
    let heights = given::lengths("heights", heights)?;
    let way = EdgeWay::new(from.number().into(), to.number().into(), at.number().into());
    let each = mm(TOLERANCE_MM / 2.0);
    let end = fall_away(&positions(scale, heights.len())?, &heights, each, way)?;
    if end.value.abs() <= 2.0 * end.standard_uncertainty {
        return Ok(None);
    }
    let by = Computed::mm(as_mm(end.value).abs()).of(Quantity::FallAway { from, to, at });
    let rises = end.value < mm(0.0);
    Ok(Some(if rises {
        say::frets_rise(at, from, to, by)
    } else {
        say::frets_fall_away(at, from, to, by)
    }))
}

/// What is known of the frets.
fn known(context: &mut Context<'_, '_>, instrument: &Instrument, spec: &InstrumentSpec) -> Outcome {
    let mut found = instrument.fret_findings()?;
    found.sort_by_key(|one| one.fret);
    if context.common.json {
        return context.json(&found.iter().map(json::fret_finding).collect::<Vec<_>>());
    }
    if found.is_empty() {
        context.printer().line(&say::frets_unknown())?;
        return Ok(());
    }
    let mut table = TextTable::default();
    for one in &found {
        let said: Phrase = entries::fret_finding(one, spec);
        table.row([voice::get().sentence(&said)]);
    }
    context.printer().table(&table)?;
    Ok(())
}
