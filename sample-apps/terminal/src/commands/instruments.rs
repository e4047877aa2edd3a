//! Templates, adding, listing and forgetting instruments; what this device remembers of itself.

use clap::CommandFactory as _;
use clap_complete::Shell;
use fallaway::Workshop;

use super::context::Context;
use crate::cli::Cli;
use crate::env::Env;
use crate::error::{Error, Outcome};
use crate::json;
use crate::parse::moments;
use crate::render::{Style, Table};

/// Prints completions for a shell.
pub fn completions(shell: Shell, world: &mut Env<'_>) -> Outcome {
    // Into memory first: a reader that leaves early is no reason to panic.
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "fallaway", &mut script);
    Ok(world.out.write_all(&script)?)
}

/// Lists the kinds of instrument to start from.
pub fn templates(context: &mut Context<'_, '_>) -> Outcome {
    let templates = Workshop::templates();
    if context.common.json {
        return context.json(&templates.iter().map(json::template).collect::<Vec<_>>());
    }
    let mut table = Table::new(["template", "kind", "starts with"]);
    for template in &templates {
        table.row([&template.id, &template.name, &template.summary]);
    }
    let mut printer = context.printer();
    printer.table(&table)?;
    printer.blank()?;
    printer.text(
        Style::Quiet,
        "Add one: fallaway add TEMPLATE NAME; put right what differs: fallaway set",
    )?;
    Ok(())
}

/// Adds an instrument.
pub fn add(context: &mut Context<'_, '_>, template: &str, name: &str) -> Outcome {
    let workshop = context.workshop()?;
    let instrument = workshop.add_instrument(template, name)?;
    let view = instrument.view()?;
    if context.common.json {
        let facts = crate::parse::facts::shown(&view.spec);
        return context.json(&json::instrument(&view, facts));
    }
    let label = workshop.device()?.label;
    let mut printer = context.printer();
    printer.line(&format!("Added \u{201c}{name}\u{201d}. Its facts: fallaway show"))?;
    printer.text(
        Style::Quiet,
        &format!("People whom you invite will see this device as \u{201c}{label}\u{201d}."),
    )?;
    Ok(())
}

/// Lists the instruments of this device.
pub fn list(context: &mut Context<'_, '_>) -> Outcome {
    let all = context.workshop()?.instruments()?;
    if context.common.json {
        return context.json(&all.iter().map(json::summary).collect::<Vec<_>>());
    }
    if all.is_empty() {
        context.printer().line(
            "No instrument yet. Begin with `fallaway templates` and `fallaway add TEMPLATE NAME`.",
        )?;
        return Ok(());
    }
    let mut table = Table::new(["instrument", "last entry", "to look at"]);
    for one in &all {
        let mut notes = Vec::new();
        if one.contested > 0 {
            notes.push(format!("two values in {}", places(one.contested)));
        }
        if one.waiting > 0 {
            notes.push(format!(
                "{} waiting for something that has not arrived",
                changes(one.waiting)
            ));
        }
        let name = if one.name.is_empty() { "(nothing has arrived yet)" } else { &one.name };
        table.row([
            name.to_owned(),
            one.last_entry.map(moments::shown).unwrap_or_default(),
            notes.join("; "),
        ]);
    }
    context.printer().table(&table)?;
    Ok(())
}

/// "one place", "3 places".
pub fn places(count: usize) -> String {
    if count == 1 { "one place".into() } else { format!("{count} places") }
}

/// "one change", "3 changes".
pub fn changes(count: usize) -> String {
    if count == 1 { "one change".into() } else { format!("{count} changes") }
}

/// Shows or sets how this device is shown to others.
pub fn me(context: &mut Context<'_, '_>, name: Option<&str>) -> Outcome {
    if let Some(name) = name {
        let name = name.trim();
        if name.is_empty() || name.chars().count() > 40 || name.chars().any(char::is_control) {
            return Err(Error::usage("a name has 1 to 40 characters: \"tech\", \"player\""));
        }
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
    printer
        .line(&format!("This device is shown to others as \u{201c}{}\u{201d}.", device.label))?;
    printer.text(Style::Quiet, &format!("Fingerprint of its key: {}", device.fingerprint))?;
    Ok(())
}

/// Deletes an instrument from this device.
pub fn forget(context: &mut Context<'_, '_>, name: &str) -> Outcome {
    let workshop = context.workshop()?;
    let found = workshop.instruments()?.into_iter().find(|one| one.name == name);
    let Some(found) = found else {
        return Err(Error::refused(format!(
            "there is no \u{201c}{name}\u{201d} here; to forget an instrument, give its name in full"
        )));
    };
    context.ask(&format!(
        "This deletes \u{201c}{name}\u{201d} and its whole history from this device. What nobody \
         else has is lost; the devices of others keep theirs."
    ))?;
    workshop.forget_instrument(found.id)?;
    let line = format!("\u{201c}{name}\u{201d} is deleted from this device.");
    context.done(&line, &serde_json::json!({ "forgotten": name }))
}
