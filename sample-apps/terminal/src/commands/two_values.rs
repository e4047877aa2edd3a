//! Values that people wrote apart, and the choice between them.

use std::collections::BTreeMap;
use std::fs;

use fallaway::record::Moment;
use fallaway::{ContestedField, Instrument};
use fallaway_text::{List, Phrase, names};
use serde_json::json;

use super::context::Context;
use crate::cli::SettleArgs;
use crate::error::{Error, Outcome};
use crate::json as shapes;
use crate::messages::sharing as words;
use crate::render::{Style, TextTable};
use crate::voice::{self, say};

/// The numbers under which places were shown, in the data folder: they stay while others are settled.
const FILE: &str = "places.json";

/// Fields that are settled as one: a set of strings, a tuning, a row of targets, by the same people.
struct Place {
    number: usize,
    fields: Vec<ContestedField>,
}

impl Place {
    /// What is to be settled, in words.
    fn label(&self) -> Phrase {
        List::semicolon(self.fields.iter().map(|field| field.label.clone())).into()
    }

    /// A value of every field: what is shown, who wrote it and when, whether it is used meanwhile.
    fn value(&self, index: usize) -> Option<(Phrase, &str, Moment, bool)> {
        let versions: Vec<_> =
            self.fields.iter().filter_map(|field| field.versions.get(index)).collect();
        let first = versions.first()?;
        let shown = List::semicolon(versions.iter().map(|version| version.shown.clone()));
        let who = first.by.as_ref().unwrap_or(&first.device);
        Some((shown.into(), who.as_str(), first.at, first.displayed))
    }

    fn values(&self) -> usize {
        self.fields.first().map_or(0, |field| field.versions.len())
    }
}

/// The places with two or more values, each value in the order in which it was written, so that the
/// numbers of a list mean the same on every device.
fn places(context: &Context<'_, '_>, instrument: &Instrument) -> Outcome<Vec<Place>> {
    let mut groups: Vec<(String, Vec<ContestedField>)> = Vec::new();
    for mut field in instrument.contested()? {
        field.versions.sort_by(|a, b| (a.at, &a.device, a.op).cmp(&(b.at, &b.device, b.op)));
        let kind = field.field.rsplit_once('/').map_or(field.field.as_str(), |(kind, _)| kind);
        let by: Vec<&str> = field.versions.iter().map(|one| one.device.as_str()).collect();
        // What differs at one string was one stroke of somebody's pen at all of them.
        let together = ["/string", "/tuning"].iter().any(|end| kind.ends_with(end))
            || kind.contains("/target/");
        let key = if together {
            format!("{kind} {}", by.join(" "))
        } else {
            format!("{} {}", field.field, by.join(" "))
        };
        match groups.iter_mut().find(|(known, _)| *known == key) {
            Some((_, fields)) => fields.push(field),
            None => groups.push((key, vec![field])),
        }
    }
    let voice = voice::get();
    for (_, fields) in &mut groups {
        let about = |field: &ContestedField| Some(((), field.label.about()?));
        *fields = voice.by_string(std::mem::take(fields), about);
    }
    let numbers = numbers(context, &instrument.id().to_string(), &groups);
    let place = |(number, (_, fields))| Place { number, fields };
    Ok(numbers.into_iter().zip(groups).map(place).collect())
}

/// The numbers of these places: those under which they were shown before, else the next ones.
fn numbers<T>(context: &Context<'_, '_>, instrument: &str, groups: &[(String, T)]) -> Vec<usize> {
    let path = context.folder.join(FILE);
    let bytes = fs::read(&path).unwrap_or_default();
    let mut kept: BTreeMap<String, Vec<String>> =
        serde_json::from_slice(&bytes).unwrap_or_default();
    let shown = kept.entry(instrument.to_owned()).or_default();
    let before = shown.clone();
    if !groups.iter().any(|(key, _)| shown.contains(key)) {
        shown.clear();
    }
    let mut numbers = Vec::new();
    for (key, _) in groups {
        let at = shown.iter().position(|one| one == key).unwrap_or_else(|| {
            shown.push(key.clone());
            shown.len() - 1
        });
        numbers.push(at + 1);
    }
    if *shown != before
        && let Ok(text) = serde_json::to_vec(&kept)
    {
        // Where it cannot be kept, the list is numbered anew.
        let _ = fs::write(&path, text);
    }
    numbers
}

/// Shows the values that were written apart.
pub fn two_values(context: &mut Context<'_, '_>) -> Outcome {
    let instrument = context.instrument()?;
    let mut places = places(context, &instrument)?;
    places.sort_by_key(|place| place.number);
    let offset_min = context.now().offset_min;
    if context.common.json {
        let fields = places.iter().flat_map(|place| {
            place.fields.iter().map(|field| shapes::two_values(place.number, field))
        });
        return context.json(&fields.collect::<Vec<_>>());
    }
    let mut printer = context.printer();
    if places.is_empty() {
        printer.line(&words::no_conflict())?;
        return Ok(());
    }
    for place in &places {
        printer.say(Style::Strong, &words::place(place.number, place.label()))?;
        let mut table = TextTable::default().indented(3);
        for index in 0..place.values() {
            let Some((shown, device, at, displayed)) = place.value(index) else { continue };
            table.row([
                Phrase::written((index + 1).to_string()),
                shown,
                Phrase::written(device),
                names::moment(Moment { offset_min, ..at }),
                if displayed { words::meanwhile() } else { Phrase::empty() },
            ]);
        }
        printer.table(&table)?;
    }
    printer.say(Style::Quiet, &words::settle_hint())?;
    Ok(())
}

/// Decides between them.
pub fn settle(context: &mut Context<'_, '_>, args: &SettleArgs) -> Outcome {
    let instrument = context.instrument()?;
    let places = places(context, &instrument)?;
    let Some(place) = places.iter().find(|place| place.number == args.place) else {
        let numbers = places.iter().map(|place| Phrase::written(place.number.to_string()));
        return Err(Error::Usage(match places.len() {
            0 => words::nothing_to_settle(),
            _ => words::no_place(args.place, List::comma(numbers)),
        }));
    };
    let index = args.keep.checked_sub(1);
    let Some((index, (shown, device, ..))) =
        index.and_then(|index| Some((index, place.value(index)?)))
    else {
        return Err(Error::Usage(words::no_value(place.label(), args.keep, place.values())));
    };
    instrument.settle_all(&place.fields, index, context.options())?;
    let (label, value) = (say(&place.label()), say(&shown));
    let line = words::settled(place.label(), shown, device);
    let fields: Vec<&str> = place.fields.iter().map(|field| field.field.as_str()).collect();
    let data = json!({ "field": fields.first(), "fields": fields, "label": label, "kept": value });
    context.done(&line, &data)
}
