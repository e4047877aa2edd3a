//! How the person at this device works: tools, order of strings, language, units, way of reading. The
//! workshop keeps it.

use std::collections::BTreeMap;

use fallaway::measure::{Tool, ToolKind, parse_amount};
use fallaway::{InstrumentWays, Preferences, UsualTools};
use fallaway_text::{Language, List, Phrase, Units, UnitsError, Word, entries, names};
use serde_json::json;

use super::context::Context;
use super::reading::posture;
use crate::cli::{ReadWhat, StringOrder, ToolArgs, UsualArgs};
use crate::error::{Error, Outcome};
use crate::messages::{app, bench as say};
use crate::parse::tools;
use crate::render::Style;
use crate::render::printer::columns;
use crate::voice;

/// The kinds of reading that a tool is kept for, by one reading of each.
const KINDS: [ReadWhat; 6] = [
    ReadWhat::Relief,
    ReadWhat::Action,
    ReadWhat::Nut,
    ReadWhat::Pitch,
    ReadWhat::Spacing,
    ReadWhat::Pickup,
];

/// Where the tool for a kind of reading is kept.
fn of(tools: &mut UsualTools, what: ReadWhat) -> &mut Option<Tool> {
    match what {
        ReadWhat::Relief | ReadWhat::FallAway => &mut tools.relief,
        ReadWhat::Action | ReadWhat::Gap => &mut tools.action,
        ReadWhat::Nut => &mut tools.nut,
        ReadWhat::Pitch | ReadWhat::Intonation => &mut tools.tuner,
        ReadWhat::Spacing | ReadWhat::NutSpacing | ReadWhat::Bridge | ReadWhat::BridgeTail => {
            &mut tools.spacing
        }
        ReadWhat::Pickup => &mut tools.pickup,
    }
}

/// What a tool is for unless the person says otherwise.
fn usual_readings(kind: ToolKind) -> &'static [ReadWhat] {
    match kind {
        ToolKind::Feeler => &[ReadWhat::Relief, ReadWhat::Nut],
        ToolKind::Tuner => &[ReadWhat::Pitch],
        _ => &[ReadWhat::Action, ReadWhat::Spacing, ReadWhat::Pickup],
    }
}

/// The word of the command line for a kind of reading.
fn word(what: ReadWhat) -> &'static str {
    match what {
        ReadWhat::Relief => "relief",
        ReadWhat::FallAway => "fall-away",
        ReadWhat::Action => "action",
        ReadWhat::Nut => "nut",
        ReadWhat::Gap => "gap",
        ReadWhat::Pitch => "pitch",
        ReadWhat::Intonation => "intonation",
        ReadWhat::Spacing => "spacing",
        ReadWhat::NutSpacing => "nut-spacing",
        ReadWhat::Pickup => "pickup",
        ReadWhat::Bridge => "bridge",
        ReadWhat::BridgeTail => "bridge-tail",
    }
}

/// The preferences, with a change if there is one.
fn kept(
    context: &mut Context<'_, '_>,
    change: Option<impl FnOnce(&mut Preferences)>,
) -> Outcome<Preferences> {
    let workshop = context.workshop()?;
    let mut preferences = workshop.preferences()?;
    if let Some(change) = change {
        change(&mut preferences);
        workshop.set_preferences(&preferences)?;
    }
    Ok(preferences)
}

/// Takes a tool in hand, puts it down, or shows the tools.
pub fn tool(context: &mut Context<'_, '_>, args: &ToolArgs) -> Outcome {
    let text = args.tool.join(" ");
    let tool = match text.trim() {
        "" => None,
        label => Some(tools::tool(label).map_err(fallaway::Error::from)?),
    };
    let usual = tool.map_or(&KINDS[..], |tool| usual_readings(tool.kind()));
    let readings = if args.readings.is_empty() { usual } else { &args.readings };
    let change = (args.none || tool.is_some()).then_some(|preferences: &mut Preferences| {
        for what in readings {
            *of(&mut preferences.tools, *what) = tool.filter(|_| !args.none);
        }
    });
    let mut tools =
        if args.only { own_tools(context, change)? } else { kept(context, change)?.tools };
    let known = KINDS.into_iter().filter_map(|what| Some((what, (*of(&mut tools, what))?)));
    let known: Vec<(ReadWhat, Tool)> = known.collect();
    if context.common.json {
        let tools = known.iter().map(|(what, tool)| (word(*what).to_owned(), tool.to_string()));
        return context.json(&json!({ "tools": tools.collect::<BTreeMap<_, _>>() }));
    }
    let mut by_tool: Vec<(Tool, Vec<Phrase>)> = Vec::new();
    for (what, tool) in known {
        let what = say::tool_for(Word(word(what)));
        match by_tool.iter_mut().find(|(known, _)| *known == tool) {
            Some((_, words)) => words.push(what),
            None => by_tool.push((tool, vec![what])),
        }
    }
    let mut printer = context.printer();
    if by_tool.is_empty() {
        printer.line(&say::no_tool())?;
        return Ok(());
    }
    for (tool, words) in by_tool {
        let tool = format!("{}:  ", voice::say(&names::tool(tool)));
        // On a narrow screen the list hangs below a long name.
        let hang = columns(&tool).min(printer.width().saturating_sub(20));
        printer.hung(Style::Plain, &tool, hang, &voice::say(&List::comma(words).into()))?;
    }
    Ok(())
}

/// The tools at the instrument, with a change of those that are its own if there is one.
fn own_tools(
    context: &mut Context<'_, '_>,
    change: Option<impl FnOnce(&mut Preferences)>,
) -> Outcome<UsualTools> {
    let instrument = context.instrument()?;
    let mut ways = instrument.ways()?;
    if let Some(change) = change {
        let mut own = Preferences { tools: ways.tools, ..Preferences::default() };
        change(&mut own);
        ways.tools = own.tools;
        instrument.set_ways(&ways)?;
    }
    Ok(instrument.preferences()?.tools)
}

/// Shows or sets which string is read first.
pub fn order(context: &mut Context<'_, '_>, order: Option<StringOrder>) -> Outcome {
    let change = order.map(|order| {
        move |preferences: &mut Preferences| preferences.low_first = order == StringOrder::LowFirst
    });
    let which = if kept(context, change)?.low_first { "lowest" } else { "highest" };
    context.done(&say::order(Word(which)), &json!({ "first": which }))
}

/// The language of the app.
pub fn language(context: &mut Context<'_, '_>, tag: Option<&str>) -> Outcome {
    if let Some(tag) = tag {
        let language = Language::named(tag).filter(|one| one.tag().eq_ignore_ascii_case(tag));
        let chosen = match (tag, language) {
            ("auto", _) => None,
            (_, Some(language)) => Some(language),
            (_, None) => return Err(Context::language_unknown(tag)),
        };
        let change = |preferences: &mut Preferences| preferences.language = chosen;
        context.voice = kept(context, Some(change))?.voice(context.world.language);
        voice::set(context.voice);
    }
    let line = app::language(app::language_name());
    let tag = context.voice.language.tag();
    context.done(&line, &json!({ "language": tag }))
}

/// The units in which computed lengths are shown.
pub fn units(context: &mut Context<'_, '_>, units: Option<&str>, only: bool) -> Outcome {
    let units = units
        .map(str::parse::<Units>)
        .transpose()
        .map_err(|error: UnitsError| Error::Usage(app::units_unknown(&error.part)))?;
    let units = if only {
        let instrument = context.instrument()?;
        if units.is_some() {
            instrument.set_ways(&InstrumentWays { units, ..instrument.ways()? })?;
        }
        instrument.preferences()?.units
    } else {
        let change =
            units.map(|units| move |preferences: &mut Preferences| preferences.units = units);
        kept(context, change)?.units
    };
    context.voice.units = units;
    voice::set(context.voice);
    let units = units.to_string();
    context.done(&app::units(&units), &json!({ "units": units }))
}

/// How an instrument is usually read, and the A4 that a new one is given.
pub fn usual(context: &mut Context<'_, '_>, args: &UsualArgs) -> Outcome {
    let a4 = args.a4.as_deref().map(|text| {
        let hertz = parse_amount(text, None, fallaway::measure::Dimension::Frequency);
        hertz.map_err(|error| Error::from(fallaway::Error::from(error)))
    });
    let a4 = a4.transpose()?;
    let says = args.posture.is_some() || args.capo || args.finger || a4.is_some() || args.none;
    let change = says.then_some(|preferences: &mut Preferences| {
        if args.none {
            (preferences.posture, preferences.stopped_by, preferences.a4) = (None, None, None);
        }
        preferences.posture = args.posture.map(posture).or(preferences.posture);
        preferences.stopped_by = args.stopped_by().or(preferences.stopped_by);
        preferences.a4 = a4.or(preferences.a4);
    });
    let Preferences { posture, stopped_by, a4, .. } = kept(context, change)?;
    let parts =
        [posture.map(entries::posture), stopped_by.map(entries::stopped_by), a4.map(say::usual_a4)];
    let parts: Vec<_> = parts.into_iter().flatten().collect();
    let line = if parts.is_empty() { say::nothing_usual() } else { say::usual(List::comma(parts)) };
    let word = |part: Option<fallaway_text::Phrase>| part.map(|part| voice::say(&part));
    let data = json!({
        "posture": word(posture.map(entries::posture)),
        "stopped_by": word(stopped_by.map(entries::stopped_by)),
        "a4": a4.map(|a4| a4.to_string()),
    });
    context.done(&line, &data)
}
