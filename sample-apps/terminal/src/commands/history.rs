//! The history, taking lines back, crossing entries out.

use fallaway::record::Body;
use fallaway::{EntryView, Filter, RetractOutcome};
use serde_json::json;

use super::context::Context;
use crate::cli::{HistoryArgs, KindWord};
use crate::error::{Error, Outcome};
use crate::json as shapes;
use crate::parse::moments;
use crate::render::{Style, Table, entries};

/// Shows it.
pub fn show(context: &mut Context<'_, '_>, args: &HistoryArgs) -> Outcome {
    let instrument = context.instrument()?;
    let view = instrument.view()?;
    let mut all =
        instrument.history(&Filter { hide_retracted: args.clean, ..Filter::default() })?;
    if args.visit {
        let visit = view
            .open_visit
            .as_ref()
            .map(|visit| visit.id)
            .or_else(|| all.iter().rev().find_map(|view| view.entry.visit));
        all.retain(|view| Some(view.entry.id) == visit || view.entry.visit == visit);
    }
    if let Some(kind) = args.only {
        all.retain(|view| is_a(&view.entry.body, kind));
    }
    if let Some(last) = args.last {
        let first = all.len().saturating_sub(last);
        all.drain(..first);
    }
    if context.common.json {
        return context
            .json(&all.iter().map(|one| shapes::entry(one, &view.spec)).collect::<Vec<_>>());
    }
    let mut printer = context.printer();
    if all.is_empty() {
        printer.line("There is no such entry yet.")?;
        return Ok(());
    }
    let mut day = String::new();
    let mut table = Table::default();
    for one in &all {
        let today = moments::day(one.entry.at);
        if today != day {
            printer.table(&std::mem::take(&mut table))?;
            printer.text(Style::Heading, &today)?;
            day = today;
        }
        add_line(&mut table, one, &entries::words(&one.entry, &view.spec));
    }
    printer.table(&table)?;
    Ok(())
}

fn add_line(table: &mut Table, view: &EntryView, words: &str) {
    let time = moments::shown(view.entry.at).split(' ').nth(1).unwrap_or_default().to_owned();
    let who = view.entry.by.clone().unwrap_or_else(|| view.device.clone());
    let mut text = words.to_owned();
    for retraction in &view.retracted {
        text = format!("crossed out ({}): {text}", retraction.reason);
    }
    if view.replaced_by.is_some() {
        text = format!("replaced by a later remark: {text}");
    }
    let style = if view.retracted.is_empty() && view.replaced_by.is_none() {
        Style::Plain
    } else {
        Style::Quiet
    };
    table.styled(style, [format!("  {}", view.short), time, who, text]);
}

fn is_a(body: &Body, kind: KindWord) -> bool {
    match kind {
        KindWord::Readings => matches!(body, Body::Pass(_)),
        KindWord::Adjustments => matches!(body, Body::Adjustment(_)),
        KindWord::Strings => matches!(body, Body::StringChange(_) | Body::Tuning(_)),
        KindWord::Climate => matches!(body, Body::Climate(_)),
        KindWord::Remarks => matches!(body, Body::Remark(_)),
        KindWord::Buzz => matches!(body, Body::Buzz(_)),
    }
}

/// Takes the last line back.
pub fn undo(context: &mut Context<'_, '_>) -> Outcome {
    let instrument = context.instrument()?;
    let view = instrument.view()?;
    let last = instrument.history(&Filter::default())?.into_iter().rev().find(|one| one.draft);
    let Some(last) = last else {
        return Err(Error::refused(
            "nothing can be taken back: every line belongs to a visit that has ended or to a bundle \
             that has left. Cross it out: fallaway cross-out ENTRY \"reason\"",
        ));
    };
    let words = entries::words(&last.entry, &view.spec);
    instrument.retract(last.entry.id, "taken back", Some(context.by()))?;
    context.done(&format!("Taken back: {words}"), &json!({ "taken_back": words }))
}

/// Crosses an entry out.
pub fn cross_out(context: &mut Context<'_, '_>, short: &str, reason: &str) -> Outcome {
    if reason.trim().is_empty() {
        return Err(Error::usage("say why: fallaway cross-out ENTRY \"reason\""));
    }
    let instrument = context.instrument()?;
    let found = instrument.entry(short)?;
    let spec = instrument.view()?.spec;
    let words = entries::words(&found.entry, &spec);
    let crossed = instrument.retract(found.entry.id, reason, Some(context.by()))?;
    let line = match crossed {
        RetractOutcome::Kept => format!("Crossed out ({reason}): {words}"),
        RetractOutcome::Erased => format!("Taken back, nobody had seen it yet: {words}"),
    };
    let kept = crossed == RetractOutcome::Kept;
    context.done(&line, &json!({ "crossed_out": words, "kept": kept }))
}
