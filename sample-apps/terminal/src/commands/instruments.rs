//! Templates, adding, listing and forgetting instruments; what this device remembers of itself.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use clap::CommandFactory as _;
use clap_complete::Shell;
use fallaway::{InstrumentId, InstrumentSummary, Preferences, WorkState, Workshop};
use fallaway_text::{List, Phrase, names, plan, safe};

use super::context::Context;
use crate::cli::{AddArgs, Cli, help};
use crate::env::Env;
use crate::error::{Error, Outcome};
use crate::json;
use crate::messages::instruments as say;
use crate::render::{Style, TextTable};
use crate::voice;

/// Prints completions for a shell.
pub fn completions(shell: Shell, world: &mut Env<'_>) -> Outcome {
    // Into memory first: a reader that leaves early is no reason to panic.
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "fallaway", &mut script);
    world.out.write_all(&script)?;
    Ok(world.out.write_all(with_names(shell).as_bytes())?)
}

/// Every command in the order of the work; for programs by name, with what it is for.
pub fn commands(json: bool, world: &mut Env<'_>) -> Outcome {
    let grammar = help::everything(Cli::command(), voice::get().language);
    if json {
        let one = |command: &clap::Command| {
            let about = command.get_about().map(ToString::to_string);
            serde_json::json!({ "command": command.get_name(), "about": about })
        };
        let all: Vec<_> = grammar.get_subcommands().map(one).collect();
        writeln!(world.out, "{:#}", serde_json::Value::from(all))?;
        return Ok(());
    }
    let text = grammar.term_width(world.width).render_help();
    let text = if world.colour { text.ansi().to_string() } else { text.to_string() };
    Ok(world.out.write_all(text.as_bytes())?)
}

/// What asks for the names of the instruments when they are needed. They may come from other people:
/// no shell reads them as anything but text.
fn with_names(shell: Shell) -> &'static str {
    match shell {
        Shell::Bash => include_str!("names.bash"),
        Shell::Zsh => include_str!("names.zsh"),
        Shell::Fish => include_str!("names.fish"),
        _ => "",
    }
}

/// Lists the kinds of instrument to start from.
pub fn templates(context: &mut Context<'_, '_>) -> Outcome {
    let low_first = Preferences::kept_in(&context.folder)?.low_first;
    let templates = Workshop::templates_in_order(low_first);
    if context.common.json {
        return context.json(&templates.iter().map(json::template).collect::<Vec<_>>());
    }
    let mut table = TextTable::headed(&say::head_templates());
    for template in &templates {
        table.row([template.id.into(), template.name.clone(), template.summary.clone()]);
    }
    let mut printer = context.printer();
    printer.table(&table)?;
    printer.blank()?;
    printer.say(Style::Quiet, &say::templates_hint())?;
    Ok(())
}

/// Adds an instrument.
pub fn add(context: &mut Context<'_, '_>, args: &AddArgs) -> Outcome {
    let (template, name) = (args.template.as_str(), args.name.as_str());
    let workshop = context.workshop()?;
    let instrument = workshop.add_sized_instrument(template, name, args.courses, args.frets)?;
    let view = instrument.details()?;
    if context.common.json {
        let facts = crate::parse::facts::shown(&view.spec);
        return context.json(&json::instrument(&view, facts));
    }
    let label = workshop.device()?.label;
    let mut printer = context.printer();
    printer.line(&say::added(name))?;
    printer.say(Style::Quiet, &say::added_as(label))?;
    Ok(())
}

/// Adds an instrument like another.
pub fn copy(context: &mut Context<'_, '_>, name: &str, new_name: &str) -> Outcome {
    let workshop = context.workshop()?;
    let other = workshop.instrument_named(name)?;
    let before = other.name()?;
    let copied = workshop.copy_instrument(&other, new_name)?.name()?;
    let data = serde_json::json!({ "copied": before, "name": copied });
    context.done(&say::copied(&before, &copied), &data)
}

/// Lists the instruments of this device, or those that were put away; of them those whose name has a text.
pub fn list(
    context: &mut Context<'_, '_>,
    archived: bool,
    search: Option<&str>,
    names: bool,
) -> Outcome {
    if !context.folder.exists() {
        return match (names, context.common.json) {
            (true, _) => Ok(()),
            (_, true) => context.json(&[(); 0]),
            _ => Ok(context.printer().line(&say::no_instruments())?),
        };
    }
    let workshop = context.workshop()?;
    let mut all = if archived { workshop.archived_instruments() } else { workshop.instruments() }?;
    let there = !all.is_empty();
    if let Some(text) = search {
        let wanted = text.trim().to_lowercase();
        all.retain(|one| one.name.to_lowercase().contains(&wanted));
        if there && all.is_empty() && !context.common.json {
            context.printer().line(&say::none_called(text))?;
            return Ok(());
        }
    }
    if names {
        // As they are typed, for a shell to complete; nothing in them steers a terminal.
        for one in all.iter().filter(|one| !one.name.is_empty()) {
            writeln!(context.world.out, "{}", safe(&one.name))?;
        }
        return Ok(());
    }
    let states = under_way(&workshop, &all)?;
    if context.common.json {
        let row = |one| json::summary(one, states.get(&one.id));
        return context.json(&all.iter().map(row).collect::<Vec<_>>());
    }
    if all.is_empty() {
        let none = if archived { say::none_archived() } else { say::no_instruments() };
        context.printer().line(&none)?;
        return Ok(());
    }
    let mut table = TextTable::headed(&say::head_list());
    for one in &all {
        let mut notes = states.get(&one.id).map(state_notes).unwrap_or_default();
        if one.contested > 0 {
            notes.push(say::list_contested(one.contested));
        }
        if one.waiting > 0 {
            notes.push(say::list_waiting(one.waiting));
        }
        if one.aside > 0 {
            notes.push(say::list_aside(one.aside));
        }
        let unnamed = one.name.is_empty();
        let name = if unnamed { say::list_unnamed() } else { Phrase::written(&one.name) };
        let last = one.last_entry.map_or_else(Phrase::empty, names::moment);
        table.row([name, last, List::semicolon(notes).into()]);
    }
    context.printer().table(&table)?;
    Ok(())
}

/// So many instruments that were written to last are asked what is next.
const ASKED: usize = 12;

/// Where the work stands on the instruments that were written to last.
fn under_way(
    workshop: &Workshop,
    all: &[InstrumentSummary],
) -> Outcome<BTreeMap<InstrumentId, WorkState>> {
    let mut last: Vec<&InstrumentSummary> =
        all.iter().filter(|one| one.last_entry.is_some()).collect();
    last.sort_by_key(|one| Reverse(one.last_entry));
    let mut states = BTreeMap::new();
    for one in last.into_iter().take(ASKED) {
        states.insert(one.id, workshop.instrument(one.id)?.work_state()?);
    }
    Ok(states)
}

fn state_notes(state: &WorkState) -> Vec<Phrase> {
    let next = state.next.map(|kind| say::list_next(plan::kind(kind)));
    let drafted = state.is_drafted.then(say::list_drafted);
    let unsent = (state.unsent > 0).then(|| say::list_unsent(state.unsent));
    [next, drafted, unsent].into_iter().flatten().collect()
}

/// Calls an instrument something else.
pub fn rename(context: &mut Context<'_, '_>, name: &str, new_name: &str) -> Outcome {
    let workshop = context.workshop()?;
    let instrument = workshop.instrument_named(name)?;
    let before = instrument.name()?;
    workshop.rename_instrument(instrument.id(), new_name, context.options())?;
    let data = serde_json::json!({ "renamed": before, "name": new_name.trim() });
    context.done(&say::renamed(&before, new_name.trim()), &data)
}

/// Puts an instrument away, or brings it back.
pub fn archive(context: &mut Context<'_, '_>, name: &str, back: bool) -> Outcome {
    let workshop = context.workshop()?;
    let instrument = workshop.instrument_named(name)?;
    let name = instrument.name()?;
    if back {
        workshop.bring_back_instrument(instrument.id())?;
    } else {
        workshop.archive_instrument(instrument.id())?;
    }
    let line = if back { say::brought_back(&name) } else { say::archived(&name) };
    context.done(&line, &serde_json::json!({ "name": name, "archived": !back }))
}

/// Shows or sets how this device is shown to others.
pub fn me(context: &mut Context<'_, '_>, name: Option<&str>) -> Outcome {
    if let Some(name) = name {
        let name = name.trim();
        if name.is_empty() || name.chars().count() > 40 || name.chars().any(char::is_control) {
            return Err(Error::Usage(say::me_wrong()));
        }
        // A name that is refused is not kept: nothing would open under it.
        context.settings.label = None;
        context.workshop()?.rename_device(name)?;
        context.settings.label = Some(name.to_owned());
        context.settings.save(&context.folder)?;
    }
    let device = context.workshop()?.device()?;
    if context.common.json {
        return context.json(&serde_json::json!({
            "label": device.label, "fingerprint": device.fingerprint,
        }));
    }
    let mut printer = context.printer();
    printer.line(&say::me(&device.label))?;
    printer.say(Style::Quiet, &say::fingerprint(&device.fingerprint))?;
    Ok(())
}

/// Deletes an instrument from this device.
pub fn forget(context: &mut Context<'_, '_>, name: &str) -> Outcome {
    let workshop = context.workshop()?;
    let found = workshop.instruments()?.into_iter().find(|one| one.name == name);
    let Some(found) = found else {
        return Err(Error::Refused(say::forget_wrong(name)));
    };
    context.ask(&say::forget_ask(name))?;
    workshop.remove_from_this_device(found.id)?;
    context.done(&say::forgotten(name), &serde_json::json!({ "forgotten": name }))
}
