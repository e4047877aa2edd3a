//! People, invitations, bundles, two values.

use std::fs;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

use fallaway::{MergeReport, Role, WaitingFor};
use fallaway_text::{List, Phrase, Word, names};
use serde_json::json;

use super::context::Context;
use super::progress::Progress;
use crate::cli::{BundleAction, RoleArgs, RoleWord};
use crate::error::{Error, Outcome};
use crate::json as shapes;
use crate::messages::{app, sharing as words};
use crate::render::{Style, TextTable};
use crate::voice::say;

/// Largest file that is read in: more than any record of a lifetime.
const MAX_FILE: u64 = 256 << 20;

/// Shows who shares the instrument.
pub fn people(context: &mut Context<'_, '_>) -> Outcome {
    let instrument = context.instrument()?;
    let (view, outside) = (instrument.details()?, instrument.second_uses()?);
    if context.common.json {
        return context.json(&view.people.iter().map(shapes::person).collect::<Vec<_>>());
    }
    let mut table = TextTable::headed(&words::head_people());
    for person in &view.people {
        table.row([
            Phrase::written(&person.label),
            role(person.role),
            Phrase::written(&person.fingerprint),
            match (person.this_device, person.compared) {
                (true, _) => words::this_device(),
                (false, true) => words::fingerprint_compared(),
                (false, false) => words::not_compared(),
            },
        ]);
    }
    let mut printer = context.printer();
    printer.table(&table)?;
    for one in &outside {
        // It begins with what a device calls itself.
        printer.hung(Style::Caution, "", 2, &say(&one.phrase()))?;
    }
    Ok(())
}

/// Shows what each device is known to have.
pub fn known(context: &mut Context<'_, '_>) -> Outcome {
    let states = context.instrument()?.device_states()?;
    if context.common.json {
        return context.json(&states.iter().map(shapes::device_state).collect::<Vec<_>>());
    }
    let mut table = TextTable::headed(&words::head_known());
    for state in &states {
        let heard = if state.this_device {
            words::this_device()
        } else {
            state.last_heard.map_or_else(words::never_heard, names::moment)
        };
        table.row([Phrase::written(&state.label), heard, state.phrase()]);
    }
    let mut printer = context.printer();
    printer.table(&table)?;
    Ok(printer.line(&words::known_hint())?)
}

/// Gives a member another role.
pub fn role_of(context: &mut Context<'_, '_>, args: &RoleArgs) -> Outcome {
    let given = typed(args.role);
    let at = context.options().at;
    context.instrument()?.set_role_at(&args.fingerprint, given, at)?;
    let data = json!({ "fingerprint": args.fingerprint, "role": given.to_string() });
    context.done(&words::role_given(args.fingerprint.clone(), role(given)), &data)?;
    Ok(())
}

/// Sets aside that somebody's device asks for a newer version.
pub fn write_anyway(context: &mut Context<'_, '_>) -> Outcome {
    let instrument = context.instrument()?;
    let asked = instrument.details()?.read_only.is_some();
    if !asked {
        return context.done(&words::nobody_asks(), &json!({ "set_aside": false }));
    }
    instrument.write_anyway()?;
    context.done(&words::written_anyway(), &json!({ "set_aside": true }))
}

pub(super) fn typed(role: RoleWord) -> Role {
    match role {
        RoleWord::Owner => Role::Owner,
        RoleWord::Contributor => Role::Contributor,
        RoleWord::Viewer => Role::Viewer,
    }
}

/// Bundles out and in.
pub fn bundle(context: &mut Context<'_, '_>, action: BundleAction) -> Outcome {
    match action {
        BundleAction::Out { file, new } => bundle_out(context, &file, new),
        BundleAction::In { files } => bundles_in(context, &files),
    }
}

fn bundle_out(context: &mut Context<'_, '_>, file: &Path, new: bool) -> Outcome {
    let instrument = context.instrument()?;
    let path = context.world.path(file);
    let bundle = if new { instrument.bundle_lacking()? } else { Some(instrument.bundle_out()?) };
    let Some(bundle) = bundle else {
        let others = instrument.device_states()?.into_iter().filter(|one| !one.this_device);
        let others: Vec<Phrase> = others.map(|one| Phrase::written(one.label)).collect();
        let line = match others[..] {
            [] => words::nothing_unsent(),
            _ => words::nothing_unsent_for(List::comma(others)),
        };
        return context.done(&line, &json!({ "file": null, "bytes": 0 }));
    };
    context.may_write(&path)?;
    write_new(&path, &bundle.file, false)?;
    // The file is there: it is in the person's hands now.
    instrument.delivered(&bundle.token)?;
    let bytes = bundle.file.len();
    let (file, size) = (file.display().to_string(), size(bytes));
    let data = json!({ "file": file, "bytes": bytes });
    let line = if new { words::what_is_new(file, size) } else { words::whole_record(file, size) };
    context.done(&line, &data)
}

/// Reads files in, one after the other: one that is refused is no reason to leave the others out.
fn bundles_in(context: &mut Context<'_, '_>, files: &[PathBuf]) -> Outcome {
    let mut reports = Vec::new();
    let mut failures = Vec::new();
    for file in files {
        match bundle_in(context, file) {
            Ok(report) => {
                if !report.refused.is_empty() {
                    let file = file.display().to_string();
                    let why = words::some_refused(file, report.refused.len());
                    failures.push(Error::Refused(why));
                }
                if !context.common.json {
                    print_report(context, &report)?;
                }
                reports.push(report);
            }
            Err(failure) => failures.push(failure),
        }
    }
    if context.common.json && !reports.is_empty() {
        context.json(&reports.iter().map(shapes::merge).collect::<Vec<_>>())?;
    }
    match failures.pop() {
        None => Ok(()),
        Some(last) => {
            for failure in failures {
                context.margin().failure(&failure)?;
            }
            Err(last)
        }
    }
}

fn bundle_in(context: &mut Context<'_, '_>, file: &Path) -> Outcome<MergeReport> {
    let bytes = read_file(context, file)?;
    let progress = Progress::to_person(context.common.json);
    context.workshop()?.bundle_in_watched(&bytes, &progress).map_err(|error| {
        let why = match &error {
            fallaway::Error::Refused { reason } => reason.clone(),
            fallaway::Error::NotFound { accepted, .. } => accepted.text.clone(),
            fallaway::Error::BadInput { .. } => error.phrase(),
            _ => return Error::Library(error),
        };
        Error::Refused(words::of_file(file.display().to_string(), why))
    })
}

pub(super) fn print_report(context: &mut Context<'_, '_>, report: &MergeReport) -> Outcome {
    let me = context.label().to_owned();
    let mut lines = Vec::new();
    for person in report.people_added.iter().filter(|person| **person != me) {
        lines.push((Style::Plain, words::person_joined(person)));
    }
    for one in &report.second_uses {
        lines.push((Style::Caution, one.phrase()));
    }
    for added in &report.added {
        let mut parts: Vec<Phrase> = added.entries.iter().map(|one| one.text.clone()).collect();
        if added.values > 0 {
            parts.push(words::values(added.values));
        }
        if added.retracted > 0 {
            parts.push(words::crossed_out(added.retracted));
        }
        if !parts.is_empty() {
            lines.push((Style::Plain, words::from(&added.device, List::comma(parts))));
        }
    }
    if lines.is_empty() {
        lines.push((Style::Plain, words::nothing_new()));
    }
    if report.waiting == 0 && report.name.is_empty() {
        lines.push((Style::Plain, words::nothing_arrived()));
    }
    if report.waiting > 0 {
        let waits = context.workshop()?.instrument(report.instrument)?.waits_for()?;
        lines.extend(waits.map(|waits| (Style::Plain, waiting(&waits))));
    }
    for device in &report.copied {
        lines.push((Style::Caution, words::copied(device)));
    }
    for why in &report.set_aside {
        lines.push((Style::Caution, words::set_aside(why.phrase())));
    }
    for refused in &report.refused {
        lines.push((Style::Caution, words::refused(&refused.bundle, refused.reason.clone())));
    }
    for contested in &report.newly_contested {
        let values =
            contested.versions.iter().map(|one| words::value_by(one.shown.clone(), &one.device));
        let line = words::conflict(contested.label.clone(), List::or(values));
        lines.push((Style::Caution, line));
    }
    let mut printer = context.printer();
    let unnamed = report.name.is_empty();
    let name = if unnamed { words::unnamed() } else { words::merged(&report.name) };
    printer.say(Style::Strong, &name)?;
    for (style, line) in lines {
        printer.hung(style, "  ", 4, &say(&line))?;
    }
    if !report.newly_contested.is_empty() {
        printer.say(Style::Quiet, &words::both_kept())?;
    }
    Ok(())
}

/// What waits, for what, and whom to ask.
pub(super) fn waiting(waits: &WaitingFor) -> Phrase {
    let count = waits.changes;
    let what = if waits.of.is_empty() {
        words::waiting_unknown(count)
    } else {
        words::waiting_of(count, List::comma(waits.of.iter().map(Phrase::written)))
    };
    if waits.ask.is_empty() {
        words::waiting_ask_anybody(what)
    } else {
        words::waiting_ask(what, List::or(waits.ask.iter().map(Phrase::written)))
    }
}

pub(super) fn size(bytes: usize) -> Phrase {
    if bytes < 10_000 { words::bytes(bytes) } else { words::kilobytes(bytes / 1000) }
}

pub(super) fn role(role: Role) -> Phrase {
    words::role(Word(match role {
        Role::Owner => "owner",
        Role::Contributor => "contributor",
        Role::Viewer => "viewer",
    }))
}

pub(super) fn read_file(context: &Context<'_, '_>, file: &Path) -> Outcome<Vec<u8>> {
    let path = context.world.path(file);
    let failed = Error::file(file, app::cannot_read);
    let opened = fs::File::open(&path).map_err(&failed)?;
    let length = opened.metadata().map_err(&failed)?.len();
    if length > MAX_FILE {
        let file = file.display().to_string();
        return Err(Error::Refused(words::too_large(file, length, MAX_FILE)));
    }
    let mut bytes = Vec::new();
    opened.take(MAX_FILE).read_to_end(&mut bytes).map_err(failed)?;
    Ok(bytes)
}

/// Writes a file whole or not at all; a private one only for its owner to read.
pub fn write_new(path: &Path, bytes: &[u8], private: bool) -> Outcome {
    let failed = Error::file(path, app::cannot_write);
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".new");
    let fresh = path.with_file_name(name);
    let mut options = fs::OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    if private {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    #[cfg(not(unix))]
    let _ = private;
    let written = options.open(&fresh).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    written.and_then(|()| fs::rename(&fresh, path)).map_err(|error| {
        let _ = fs::remove_file(&fresh);
        failed(error)
    })
}
