//! The history, taking lines back, crossing entries out.

use fallaway::record::EntryBody;
use fallaway::{HistoryEntry, HistoryFilter, RetractOutcome, Undone};
use fallaway_text::messages as core_messages;
use fallaway_text::{List, Phrase, entries, names};
use serde_json::json;

use super::context::Context;
use crate::cli::{HistoryArgs, KindWord};
use crate::error::{Error, Outcome};
use crate::json as shapes;
use crate::messages::instruments as say;
use crate::parse::moments;
use crate::render::{Style, TableCell, TextTable};
use crate::voice;

/// Shows it.
pub fn show(context: &mut Context<'_, '_>, args: &HistoryArgs) -> Outcome {
    let instrument = context.instrument()?;
    let view = instrument.details()?;
    let mut all = instrument
        .history(&HistoryFilter { hide_retracted: args.clean, ..HistoryFilter::default() })?;
    if let Some(named) = args.visit.as_deref() {
        let visit = if named.trim().is_empty() {
            let open = view.open_visit.as_ref().map(|visit| visit.id);
            open.or_else(|| all.iter().rev().find_map(|view| view.entry.visit))
        } else {
            // The visit's first line, or any line of it.
            let entry = instrument.entry(named)?.entry;
            Some(entry.visit.unwrap_or(entry.id))
        };
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
        printer.line(&say::no_entries())?;
        return Ok(());
    }
    let mut day = String::new();
    let mut table = TextTable::default();
    for one in &all {
        let today = voice::say(&names::day(one.entry.at));
        if today != day {
            printer.table(&std::mem::take(&mut table))?;
            printer.text(Style::Heading, &today)?;
            day = today;
        }
        add_line(&mut table, one, entries::entry(&one.entry, &view.spec));
    }
    printer.table(&table)?;
    Ok(())
}

fn add_line(table: &mut TextTable, view: &HistoryEntry, mut text: Phrase) {
    let time = moments::time(view.entry.at);
    for retraction in &view.retracted {
        let reason = match retraction.reason.as_str() {
            "" => core_messages::facts::newer(),
            reason => reason.into(),
        };
        text = say::crossed_out_because(reason, text);
    }
    if view.replaced_by.is_some() {
        text = say::replaced(text);
    }
    let style = if view.retracted.is_empty() && view.replaced_by.is_none() {
        Style::Plain
    } else {
        Style::Quiet
    };
    let short = format!("  {}", view.short);
    table.styled(
        style,
        [TableCell::from(short), time.into(), Phrase::written(&view.who).into(), text.into()],
    );
}

fn is_a(body: &EntryBody, kind: KindWord) -> bool {
    match kind {
        KindWord::Readings => matches!(body, EntryBody::Pass(_)),
        KindWord::Adjustments => matches!(body, EntryBody::Adjustment(_)),
        KindWord::Strings => matches!(body, EntryBody::StringChange(_) | EntryBody::Tuning(_)),
        KindWord::Climate => matches!(body, EntryBody::Climate(_)),
        KindWord::Remarks => matches!(body, EntryBody::Remark(_)),
        KindWord::Buzz => matches!(body, EntryBody::Buzz(_)),
    }
}

/// Takes back what was written last.
pub fn undo(context: &mut Context<'_, '_>) -> Outcome {
    let instrument = context.instrument()?;
    let reason = voice::say(&core_messages::entries::reason_undo());
    let undone = instrument.undo(&reason, context.options())?;
    told(context, &undone, "taken_back", say::taken_back)
}

/// Makes again what was taken back.
pub fn redo(context: &mut Context<'_, '_>) -> Outcome {
    let instrument = context.instrument()?;
    let undone = instrument.redo(context.options())?;
    told(context, &undone, "made_again", say::made_again)
}

fn told(
    context: &mut Context<'_, '_>,
    undone: &Undone,
    key: &str,
    line: impl Fn(Phrase) -> Phrase,
) -> Outcome {
    let texts = || undone.lines.iter().map(|one| one.text.clone());
    let words: Vec<String> = texts().map(|text| voice::say(&text)).collect();
    context.done(&line(List::semicolon(texts()).into()), &json!({ key: words }))
}

/// Crosses an entry out.
pub fn cross_out(context: &mut Context<'_, '_>, short: &str, reason: &str) -> Outcome {
    if reason.trim().is_empty() {
        return Err(Error::Usage(say::reason_missing()));
    }
    let instrument = context.instrument()?;
    let found = instrument.entry(short)?;
    let spec = instrument.details()?.spec;
    let entry = entries::entry(&found.entry, &spec);
    let words = voice::say(&entry);
    let crossed = instrument.retract(found.entry.id, reason, context.options())?;
    let line = match crossed {
        RetractOutcome::Kept => say::crossed_out(reason, entry),
        RetractOutcome::Erased => say::erased(entry),
    };
    let kept = crossed == RetractOutcome::Kept;
    context.done(&line, &json!({ "crossed_out": words, "kept": kept }))
}
