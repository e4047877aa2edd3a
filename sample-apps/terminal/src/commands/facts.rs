//! The facts of an instrument.

use fallaway::WriteOptions;
use fallaway::record::SpecField;
use fallaway::record::spec::JointFretSpec;
use fallaway_text::facts::sheet;
use fallaway_text::{Phrase, errors, safe};

use super::context::Context;
use crate::error::{Error, Outcome};
use crate::json;
use crate::messages::{bench, instruments as say};
use crate::parse::facts::{self, Without};
use crate::parse::minus;
use crate::render::{Style, TextTable};
use crate::voice;

/// Shows them.
pub fn show(context: &mut Context<'_, '_>) -> Outcome {
    let view = context.instrument()?.details()?;
    if context.common.json {
        return context.json(&json::instrument(&view, facts::shown(&view.spec)));
    }
    let mut table = TextTable::default().indented(2);
    for (fact, value) in sheet(&view.spec, &voice::get()) {
        table.row([fact, value]);
    }
    let newer = view.spec.newer.len();
    let mut printer = context.printer();
    printer.text(Style::Heading, &safe(&view.name))?;
    printer.table(&table)?;
    if newer > 0 {
        printer.say(Style::Quiet, &say::newer_facts(newer))?;
    }
    if let Some(reason) = &view.read_only {
        printer.say(Style::Caution, &say::read_only(reason.clone()))?;
    }
    if let Some(visit) = &view.open_visit {
        let purpose = visit.purpose.as_deref().map_or_else(bench::no_purpose, Phrase::written);
        printer.line(&say::visit_open(purpose))?;
    }
    if view.contested > 0 {
        let places = say::list_contested(view.contested);
        printer.say(Style::Caution, &say::two_values_hint(places))?;
    }
    if view.waiting > 0 {
        printer.line(&say::list_waiting(view.waiting))?;
    }
    printer.say(Style::Quiet, &say::state(&view.history_digest))?;
    Ok(())
}

/// Lists every fact that can be set.
pub fn list(context: &mut Context<'_, '_>) -> Outcome {
    if context.common.json {
        let facts: Vec<_> = facts::FACTS
            .iter()
            .map(|row| {
                let (field, example, meaning) = (row.word, row.example(), row.meaning());
                serde_json::json!({ "field": field, "example": example, "meaning": meaning })
            })
            .collect();
        return context.json(&facts);
    }
    let mut table = TextTable::headed(&say::head_facts());
    for row in facts::FACTS {
        table.row([row.word.to_owned(), row.example(), row.meaning()]);
    }
    context.printer().table(&table)?;
    Ok(())
}

/// Takes one back.
pub fn unset(context: &mut Context<'_, '_>, fact: &str) -> Outcome {
    let instrument = context.instrument()?;
    let edits = facts::without(fact, &instrument.details()?.spec).map_err(Error::Usage)?;
    for edit in &edits {
        match edit {
            Without::Fact(key) => instrument.unset_spec(key, context.options())?,
            Without::Part(rest) => instrument.set_spec(rest, WriteOptions::sure())?,
        }
    }
    if context.common.json {
        let view = instrument.details()?;
        let known = facts::shown(&view.spec);
        return context.json(&json::instrument(&view, known));
    }
    context.printer().text(Style::Plain, &voice::say(&say::unset(fact)))?;
    Ok(())
}

/// A neck stops bending so many frets before the body, as a rule.
const BEFORE_BODY: u8 = fallaway::mechanics::neck::BEFORE_BODY as u8;

/// Sets one.
pub fn set(context: &mut Context<'_, '_>, fact: &str, value: &[String]) -> Outcome {
    let instrument = context.instrument()?;
    let value: Vec<String> = value.iter().map(|word| minus::plain(word)).collect();
    let fields = facts::fields(fact, &value, &instrument.details()?.spec).map_err(Error::Usage)?;
    // What cannot be is told in the words of this command.
    for field in &fields {
        field.check().map_err(|error| Error::Usage(errors::fact(&error).phrase()))?;
    }
    context.sure(|options| instrument.set_specs(&fields, options))?;
    if context.common.json {
        let view = instrument.details()?;
        let known = facts::shown(&view.spec);
        return context.json(&json::instrument(&view, known));
    }
    let known = facts::shown(&instrument.details()?.spec);
    let shown = known.into_iter().find(|(name, _)| name == fact).map(|(_, value)| value);
    let mut printer = context.printer();
    printer.text(Style::Plain, &voice::say(&say::set(fact, shown.unwrap_or_default())))?;
    for field in &fields {
        if let SpecField::JointFret(JointFretSpec { fret, uncertain_by: by @ 1.. }) = field {
            let stops = fret.number().saturating_sub(BEFORE_BODY).max(1);
            printer.say(Style::Quiet, &say::joint_why(stops, *by))?;
        }
    }
    Ok(())
}
