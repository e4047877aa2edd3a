//! The facts of an instrument.

use super::context::Context;
use crate::error::{Error, Outcome};
use crate::json;
use crate::parse::facts::{self, Without};
use crate::parse::minus;
use crate::render::{Style, Table};

/// Shows them.
pub fn show(context: &mut Context<'_, '_>) -> Outcome {
    let view = context.instrument()?.view()?;
    let known = facts::shown(&view.spec);
    if context.common.json {
        return context.json(&json::instrument(&view, known));
    }
    let mut table = Table::new(Vec::<String>::new()).indented(2);
    for (fact, value) in known {
        table.row([fact, value]);
    }
    let newer = view.spec.newer.len();
    let mut printer = context.printer();
    printer.heading(&view.name)?;
    printer.table(&table)?;
    if newer > 0 {
        printer.text(Style::Quiet, &format!("  and {newer} written by a newer version"))?;
    }
    if let Some(reason) = &view.read_only {
        printer.hung(Style::Caution, "Read only: ", 11, reason)?;
    }
    if let Some(visit) = &view.open_visit {
        let purpose = visit.purpose.as_deref().unwrap_or("no purpose noted");
        printer.line(&format!("A visit is open: {purpose}"))?;
    }
    if view.contested > 0 {
        let text = format!(
            "Two values in {}: fallaway two-values",
            super::instruments::places(view.contested)
        );
        printer.text(Style::Caution, &text)?;
    }
    if view.waiting > 0 {
        let text = format!(
            "{} waiting for something that has not arrived",
            super::instruments::changes(view.waiting)
        );
        printer.line(&text)?;
    }
    printer.text(Style::Quiet, &format!("State of the record: {}", view.state))?;
    Ok(())
}

/// Lists every fact that can be set.
pub fn list(context: &mut Context<'_, '_>) -> Outcome {
    if context.common.json {
        let facts: Vec<_> = facts::FACTS
            .iter()
            .map(|(fact, example, meaning)| {
                serde_json::json!({ "field": fact, "example": example, "meaning": meaning })
            })
            .collect();
        return context.json(&facts);
    }
    let mut table = Table::new(["fact", "example", "what it is"]);
    for (fact, example, meaning) in facts::FACTS {
        table.row([*fact, *example, *meaning]);
    }
    context.printer().table(&table)?;
    Ok(())
}

/// Takes one back.
pub fn unset(context: &mut Context<'_, '_>, fact: &str) -> Outcome {
    let instrument = context.instrument()?;
    let edits = facts::without(fact, &instrument.view()?.spec).map_err(Error::Usage)?;
    for edit in &edits {
        match edit {
            Without::Fact(key) => instrument.unset_spec(key)?,
            Without::Part(rest) => instrument.set_spec(rest)?,
        }
    }
    if context.common.json {
        let view = instrument.view()?;
        let known = facts::shown(&view.spec);
        return context.json(&json::instrument(&view, known));
    }
    context.printer().line(&format!("{fact}: not known any more"))?;
    Ok(())
}

/// Sets one.
pub fn set(context: &mut Context<'_, '_>, fact: &str, value: &[String]) -> Outcome {
    let instrument = context.instrument()?;
    let value: Vec<String> = value.iter().map(|word| minus::plain(word)).collect();
    let fields = facts::fields(fact, &value, &instrument.view()?.spec).map_err(Error::Usage)?;
    // All are checked before the first is stored.
    for field in &fields {
        field.check().map_err(|error| Error::usage(error.to_string()))?;
    }
    for field in &fields {
        instrument.set_spec(field)?;
    }
    if context.common.json {
        let view = instrument.view()?;
        let known = facts::shown(&view.spec);
        return context.json(&json::instrument(&view, known));
    }
    let known = facts::shown(&instrument.view()?.spec);
    let shown = known.into_iter().find(|(name, _)| name == fact).map(|(_, value)| value);
    context.printer().line(&format!("{fact}: {}", shown.unwrap_or_default()))?;
    Ok(())
}
