//! What is done at the bench besides reading: visits, tools, adjustments, notes.

use fallaway::advice::hazard::Hazard;
use fallaway::measure::StringPlace;
use fallaway::record::{
    AdjustedPart, Adjustment, Buzz, Climate, EntryBody, InstrumentSpec, Remark, SpecField,
    StringChange, Tuning,
};
use fallaway::{NewEntry, is_against_the_known_way};

use fallaway_text::messages::errors as errors_of;
use fallaway_text::{Phrase, cautions, entries, errors, names};
use serde_json::json;

use super::context::Context;
use super::which::{has_fret, has_string, listed};
use super::{shop, visits};
use crate::cli::{BuzzArgs, ClimateArgs, DidArgs, RemarkArgs, StringsArgs, TunedArgs, VisitAction};
use crate::error::{Error, Outcome};
use crate::messages::{bench as say, hints, parse};
use crate::parse::adjustments::{self, Adjusted};
use crate::parse::places;
use crate::parse::{climate as air, facts, minus, moments};
use crate::render::{Style, TextTable};

/// Begins, ends or shows a visit.
pub fn visit(context: &mut Context<'_, '_>, action: Option<VisitAction>) -> Outcome {
    let instrument = context.instrument()?;
    match action {
        Some(VisitAction::Begin { purpose }) => {
            if let Some(open) = instrument.current_visit()? {
                let question = say::visit_is_open(open.begun);
                context.ask_about(&[question.to_string()], &question)?;
            }
            let id = instrument.begin_visit(purpose.as_deref(), context.options())?;
            let line = match purpose {
                Some(purpose) => say::visit_begun_for(purpose),
                None => say::visit_begun(),
            };
            context.stored(&instrument, id, &line)
        }
        Some(VisitAction::End) => {
            instrument.end_visit(None, context.options())?;
            context.done(&say::visit_ended(), &json!({ "visit": null }))
        }
        None => {
            let Some(visit) = instrument.current_visit()? else {
                return context.done(&say::no_visit(), &json!({ "visit": null }));
            };
            let purpose = visit.purpose.as_deref().map_or_else(say::no_purpose, Phrase::written);
            let line = say::visit_open(visit.begun, purpose);
            let begun = moments::rfc3339(visit.begun);
            context.done(&line, &json!({ "visit": { "purpose": visit.purpose, "begun": begun } }))
        }
    }
}

/// Enters what was adjusted.
pub fn did(context: &mut Context<'_, '_>, args: &DidArgs) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let words: Vec<String> = args.words.iter().map(|word| minus::plain(word)).collect();
    let words = adjustments::with_numbers(&words, &spec).map_err(Error::Usage)?;
    let Adjusted { adjustments, more } =
        adjustments::adjustments(&words, args.note.as_deref(), &spec.places())
            .map_err(Error::Usage)?;
    for adjustment in &adjustments {
        if let Some(place) = adjustment.what.place() {
            has_string(&spec, place)?;
        }
    }
    let what = entries::adjusted(&adjustments, &spec);
    let pickup = |one: &Adjustment| {
        matches!(one.what, AdjustedPart::Pickup { .. } | AdjustedPart::Pole { .. })
    };
    let line = if adjustments.iter().all(pickup) { say::did_pickup(what) } else { say::did(what) };
    let springs = adjustments.iter().any(|one| one.what == AdjustedPart::Springs);
    let poles = adjustments.iter().any(|one| matches!(one.what, AdjustedPart::Pole { .. }));
    if let Some(more) = more {
        against_known_way(context, &spec, &adjustments, more)?;
    }
    visits::another_visit(context, &instrument)?;
    let far = adjustments.iter().any(|one| one.what == AdjustedPart::Rod && is_far(one));
    let bodies: Vec<EntryBody> = adjustments.into_iter().map(EntryBody::Adjustment).collect();
    let ids = context.sure(|options| {
        let entry = |body: &EntryBody| NewEntry::new(body.clone(), &options);
        instrument.write_all(&bodies.iter().map(entry).collect::<Vec<_>>())
    })?;
    context.stored_with(&instrument, &ids, &line, &TextTable::default())?;
    if far {
        caution(context, Hazard::RodQuarter)?;
        caution(context, Hazard::RodStop)?;
    }
    if poles {
        caution(context, Hazard::PolePieces)?;
    }
    if springs { caution(context, Hazard::Springs) } else { Ok(()) }
}

/// Whether a rod was turned farther than is usual between two readings.
fn is_far(one: &Adjustment) -> bool {
    one.turns.is_some_and(|turns| turns.value().abs() > 0.25)
}

/// What can hurt, beside the answer.
fn caution(context: &mut Context<'_, '_>, hazard: Hazard) -> Outcome {
    if context.common.json {
        return Ok(());
    }
    let voice = context.voice;
    let first = format!("{} ", voice.say(&hints::caution()));
    let text = voice.sentence(&cautions::text(hazard));
    context.margin().hung(Style::Caution, &first, 2, &text)?;
    Ok(())
}

/// Asks about a screw that is known to work the other way. Where the move was measured, the library asks.
fn against_known_way(
    context: &mut Context<'_, '_>,
    spec: &InstrumentSpec,
    adjustments: &[Adjustment],
    more: bool,
) -> Outcome {
    let is_against = |one: &Adjustment| {
        let turns = one.turns.filter(|_| one.amount.is_none());
        turns.is_some_and(|turns| is_against_the_known_way(spec, one.what, turns, more))
    };
    if !adjustments.iter().any(is_against) {
        return Ok(());
    }
    let question =
        errors_of::of_what(entries::adjusted(adjustments, spec), errors_of::against_known_way());
    context.ask_about(&[question.to_string()], &question)
}

/// Enters that the strings were tuned.
pub fn tuned(context: &mut Context<'_, '_>, args: &TunedArgs) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let mut tuning = Tuning { note: args.note.clone(), ..Tuning::default() };
    if !args.changed.is_empty() {
        for field in facts::fields("tuning", &args.changed, &spec).map_err(Error::Usage)? {
            if let SpecField::Tuning(place, note) = field {
                has_string(&spec, place)?;
                tuning.changed.push((place, note));
            }
        }
    }
    let changed = !tuning.changed.is_empty();
    visits::another_visit(context, &instrument)?;
    let id = context.sure(|options| instrument.add_tuning(&tuning, options))?;
    let line = if changed { say::tuned_other() } else { say::tuned() };
    context.stored(&instrument, id, &line)
}

/// Enters a change of strings.
pub fn strings(context: &mut Context<'_, '_>, args: &StringsArgs) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    if let Some(pack) = &args.pack {
        let fitted = shop::fitted(context, &instrument, pack)?;
        return strung(context, StringChange { note: args.note.clone(), ..fitted });
    }
    let only = args.only.as_deref().map(|text| listed(text, &spec)).transpose()?;
    let mut change = StringChange {
        strings: only.unwrap_or_default(),
        set: args.set.clone().filter(|set| !set.trim().is_empty()),
        note: args.note.clone(),
        ..StringChange::default()
    };
    if !args.gauges.is_empty() {
        for field in gauges(&args.gauges, &change.strings, &spec)? {
            field.check().map_err(|error| Error::Usage(errors::fact(&error).phrase()))?;
            if let SpecField::Strings(place, string) = field {
                change.fitted.push((place, string));
            }
        }
    }
    strung(context, change)
}

fn strung(context: &mut Context<'_, '_>, change: StringChange) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    visits::another_visit(context, &instrument)?;
    let id = context.sure(|options| instrument.add_string_change(&change, options))?;
    let entry = EntryBody::StringChange(change);
    context.stored(&instrument, id, &say::strings(entries::body(&entry, &spec)))?;
    caution(context, Hazard::Eyes)
}

/// Gauges for all strings, or for those that were changed.
fn gauges(
    words: &[String],
    only: &[StringPlace],
    spec: &InstrumentSpec,
) -> Outcome<Vec<SpecField>> {
    if only.is_empty() {
        return facts::fields("gauges", words, spec).map_err(Error::Usage);
    }
    let text = words.join(" ");
    let unit = text
        .split_whitespace()
        .last()
        .filter(|w| !w.starts_with(|c: char| c.is_ascii_digit() || c == '.'));
    let values: Vec<&str> = text.split_whitespace().filter(|word| Some(*word) != unit).collect();
    if values.len() != only.len() {
        return Err(Error::Usage(parse::count_of_strings(values.len(), only.len())));
    }
    let mut fields = Vec::new();
    for (place, value) in only.iter().zip(values) {
        let word = format!("{place}={value} {}", unit.unwrap_or_default());
        fields.extend(facts::fields("gauges", &[word], spec).map_err(Error::Usage)?);
    }
    Ok(fields)
}

/// Enters the air around the instrument.
pub fn climate(context: &mut Context<'_, '_>, args: &ClimateArgs) -> Outcome {
    let words: Vec<String> = args.air.iter().map(|word| minus::plain(word)).collect();
    let air = air::air(&words).map_err(Error::Usage)?;
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let climate = Climate {
        temperature: air.temperature,
        humidity: air.humidity,
        where_kept: args.place.clone(),
        hours_there: args.hours,
    };
    let text = entries::body(&EntryBody::Climate(climate.clone()), &spec);
    let id = context.sure(|options| instrument.add_climate(climate.clone(), options))?;
    context.stored(&instrument, id, &text)
}

/// Notes where it buzzes.
pub fn buzz(context: &mut Context<'_, '_>, args: &BuzzArgs) -> Outcome {
    let instrument = context.instrument()?;
    let spec = instrument.details()?.spec;
    let string = places::string_of(&args.string, &spec).map_err(Error::Usage)?;
    has_string(&spec, string)?;
    let (from, to) = places::frets(&args.frets).map_err(Error::Usage)?;
    for fret in [from, to] {
        has_fret(&spec, fret)?;
    }
    let buzz = Buzz { string, from, to, note: args.note.clone() };
    let line = say::buzz(names::string_label(&spec, string), names::frets(from, to));
    let id = instrument.add_buzz(buzz, context.options())?;
    context.stored(&instrument, id, &line)
}

/// Notes anything else.
pub fn remark(context: &mut Context<'_, '_>, args: &RemarkArgs) -> Outcome {
    let instrument = context.instrument()?;
    if args.text.trim().is_empty() {
        return Err(Error::Usage(say::remark_empty()));
    }
    let replaces = match &args.replaces {
        Some(short) => Some(instrument.entry(short)?.entry.id),
        None => None,
    };
    let remark = Remark { text: args.text.clone(), replaces, ..Remark::default() };
    let id = instrument.add_remark(remark, context.options())?;
    context.stored(&instrument, id, &say::remark())
}
