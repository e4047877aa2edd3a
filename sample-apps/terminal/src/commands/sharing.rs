//! People, invitations, bundles, two values.

use std::fs;
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

use fallaway::record::Moment;
use fallaway::{Contested, Instrument, MergeReport, Role, What};
use serde_json::json;

use super::context::Context;
use super::instruments::changes;
use crate::cli::{BundleAction, InviteArgs, RoleWord, SettleArgs};
use crate::error::{Error, Outcome};
use crate::json as shapes;
use crate::parse::moments;
use crate::render::{Style, Table};
use crate::voice::say;

/// Largest file that is read in: more than any record of a lifetime.
const MAX_FILE: u64 = 256 << 20;

/// Shows who shares the instrument.
pub fn people(context: &mut Context<'_, '_>) -> Outcome {
    let view = context.instrument()?.view()?;
    if context.common.json {
        return context.json(&view.people.iter().map(shapes::person).collect::<Vec<_>>());
    }
    let mut table = Table::new(["device", "may", "fingerprint", ""]);
    for person in &view.people {
        let here = if person.this_device { "this device" } else { "" };
        table.row([
            person.label.clone(),
            person.role.to_string(),
            person.fingerprint.clone(),
            here.to_owned(),
        ]);
    }
    context.printer().table(&table)?;
    Ok(())
}

/// Writes an invitation.
pub fn invite(context: &mut Context<'_, '_>, args: &InviteArgs) -> Outcome {
    let role = match args.role {
        RoleWord::Owner => Role::Owner,
        RoleWord::Contributor => Role::Contributor,
        RoleWord::Viewer => Role::Viewer,
    };
    let instrument = context.instrument()?;
    let text = instrument.invite(role, args.days)?;
    match &args.out {
        None => context.world.out.write_all(text.as_bytes())?,
        Some(file) => {
            let path = context.world.path(file);
            write_new(&path, text.as_bytes(), true)?;
            let line = format!(
                "Invitation written to {}. Send it privately: whoever holds it can join once, and \
                 read the whole history. It is good for {} days.",
                file.display(),
                args.days
            );
            context
                .done(&line, &json!({ "file": file.display().to_string(), "days": args.days }))?;
        }
    }
    Ok(())
}

/// Accepts an invitation.
pub fn accept(context: &mut Context<'_, '_>, file: &Path, look: bool) -> Outcome {
    let bytes = if file == Path::new("-") {
        let mut bytes = Vec::new();
        match context.world.answers.as_mut() {
            Some(typed) => typed.take(1 << 20).read_to_end(&mut bytes),
            None => io::stdin().lock().take(1 << 20).read_to_end(&mut bytes),
        }
        .map_err(|error| Error::file("the input cannot be read", error))?;
        bytes
    } else {
        read_file(context, file)?
    };
    let text = String::from_utf8(bytes).map_err(|_| {
        Error::refused(format!("{} is no invitation: it is not text", file.display()))
    })?;
    let card = fallaway::Workshop::look_at_invitation(&text)?;
    let about = format!(
        "\u{201c}{}\u{201d}: you may join as {} until {}.",
        card.name,
        card.role,
        moments::shown(card.expires)
    );
    let compare = format!(
        "Compare with the screen of whoever invited you (fallaway people): {}",
        card.inviter
    );
    let data = |id: Option<String>| {
        json!({
            "instrument": id, "name": card.name, "role": card.role.to_string(),
            "inviter": card.inviter, "expires": moments::rfc3339(card.expires),
        })
    };
    if look {
        return context.done(&format!("{about}\n{compare}"), &data(None));
    }
    let instrument = context.workshop()?.accept(&text)?;
    if context.common.json {
        return context.json(&data(Some(instrument.id().to_string())));
    }
    let mut printer = context.printer();
    printer.line(&format!("Joined \u{201c}{}\u{201d} as {}.", card.name, card.role))?;
    printer.line(&compare)?;
    printer.text(
        Style::Quiet,
        "Now read in a bundle file from there, and send one of yours back: fallaway bundle",
    )?;
    Ok(())
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
    let what = if new { What::NewSinceLastTime } else { What::Everything };
    let bytes = instrument.bundle_out(what)?;
    let path = context.world.path(file);
    write_new(&path, &bytes, false)?;
    let what = if new { "What is new" } else { "The whole record" };
    let line = format!(
        "{what} is in {} ({}), sealed for the people of this instrument.",
        file.display(),
        size(bytes.len())
    );
    context.done(&line, &json!({ "file": file.display().to_string(), "bytes": bytes.len() }))
}

/// Reads files in, one after the other: one that is refused is no reason to leave the others out.
fn bundles_in(context: &mut Context<'_, '_>, files: &[PathBuf]) -> Outcome {
    let mut reports = Vec::new();
    let mut failures = Vec::new();
    for file in files {
        match bundle_in(context, file) {
            Ok(report) => {
                if !report.refused.is_empty() {
                    failures.push(Error::refused(format!(
                        "{}: {} of its bundles were refused; the others are in",
                        file.display(),
                        report.refused.len()
                    )));
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
                context.margin().hung(Style::Plain, "fallaway: ", 10, &failure.to_string())?;
            }
            Err(last)
        }
    }
}

fn bundle_in(context: &mut Context<'_, '_>, file: &Path) -> Outcome<MergeReport> {
    let bytes = read_file(context, file)?;
    context.workshop()?.bundle_in(&bytes).map_err(|error| match error {
        fallaway::Error::Refused { reason } => {
            Error::refused(format!("{}: {}", file.display(), say(&reason)))
        }
        fallaway::Error::BadInput { field, reason, .. } => {
            Error::refused(format!("{}: {}: {}", file.display(), say(&field), say(&reason)))
        }
        fallaway::Error::NotFound { accepted, .. } => {
            Error::refused(format!("{}: {}", file.display(), say(&accepted)))
        }
        other => Error::Library(other),
    })
}

fn print_report(context: &mut Context<'_, '_>, report: &MergeReport) -> Outcome {
    let me = context.label().to_owned();
    let mut printer = context.printer();
    let mut lines = Vec::new();
    for person in report.people_added.iter().filter(|person| **person != me) {
        lines.push((Style::Plain, format!("{person} has joined")));
    }
    for added in &report.added {
        let mut parts: Vec<String> = added.entries.iter().map(|(count, _)| say(count)).collect();
        if added.values > 0 {
            let word = if added.values == 1 { "value" } else { "values" };
            parts.push(format!("{} {word}", added.values));
        }
        if added.retracted > 0 {
            parts.push(format!("{} crossed out", added.retracted));
        }
        if !parts.is_empty() {
            lines.push((Style::Plain, format!("from {}: {}", added.by, parts.join(", "))));
        }
    }
    if lines.is_empty() {
        lines.push((Style::Plain, "nothing new".to_owned()));
    }
    if report.waiting > 0 {
        lines.push((
            Style::Plain,
            format!(
                "{} waiting for something that has not arrived yet; nothing is lost",
                changes(report.waiting)
            ),
        ));
    }
    for reason in &report.set_aside {
        lines.push((Style::Caution, format!("set aside: {reason}")));
    }
    for refused in &report.refused {
        lines.push((Style::Caution, format!("refused {}: {}", refused.bundle, refused.reason)));
    }
    for contested in &report.newly_contested {
        let values: Vec<String> = contested
            .versions
            .iter()
            .map(|version| format!("{} ({})", say(&version.shown), version.by))
            .collect();
        lines.push((
            Style::Caution,
            format!("two values, {}: {}", say(&contested.label), values.join(" or ")),
        ));
    }
    printer.text(Style::Strong, &format!("Into \u{201c}{}\u{201d}", report.name))?;
    for (style, line) in lines {
        printer.hung(style, "  ", 4, &line)?;
    }
    if !report.newly_contested.is_empty() {
        printer
            .text(Style::Quiet, "Both are kept until somebody settles it: fallaway two-values")?;
    }
    Ok(())
}

fn size(bytes: usize) -> String {
    if bytes < 10_000 { format!("{bytes} bytes") } else { format!("{} kB", bytes / 1000) }
}

/// The fields with two or more values, each value in the order in which it was written, so that the
/// numbers of a list mean the same on every device.
fn listed(instrument: &Instrument) -> Outcome<Vec<Contested>> {
    let mut contested = instrument.contested()?;
    for field in &mut contested {
        field.versions.sort_by(|a, b| (a.at, &a.by, a.op).cmp(&(b.at, &b.by, b.op)));
    }
    Ok(contested)
}

/// Shows the values that were written apart.
pub fn two_values(context: &mut Context<'_, '_>) -> Outcome {
    let contested = listed(&context.instrument()?)?;
    let offset_min = context.now().offset_min;
    if context.common.json {
        return context.json(&shapes::two_values(&contested));
    }
    let mut printer = context.printer();
    if contested.is_empty() {
        printer.line("No conflicting values.")?;
        return Ok(());
    }
    for (place, contested) in (1..).zip(&contested) {
        printer.text(Style::Strong, &format!("{place}  {}", say(&contested.label)))?;
        let mut table = Table::default().indented(3);
        for (number, version) in (1..).zip(&contested.versions) {
            let meanwhile = if version.displayed { "shown meanwhile" } else { "" };
            table.row([
                number.to_string(),
                say(&version.shown),
                version.by.clone(),
                moments::shown(Moment { offset_min, ..version.at }),
                meanwhile.to_owned(),
            ]);
        }
        printer.table(&table)?;
    }
    printer.text(
        Style::Quiet,
        "Decide: fallaway settle PLACE VALUE, for example: fallaway settle 1 2",
    )?;
    Ok(())
}

/// Decides between them.
pub fn settle(context: &mut Context<'_, '_>, args: &SettleArgs) -> Outcome {
    let instrument = context.instrument()?;
    let contested = listed(&instrument)?;
    let count = contested.len();
    let Some(place) = args.place.checked_sub(1).and_then(|index| contested.get(index)) else {
        return Err(Error::usage(match count {
            0 => "nothing has two values".to_owned(),
            1 => format!("there is no place {}; accepted: 1", args.place),
            _ => format!("there is no place {}; accepted: 1 to {count}", args.place),
        }));
    };
    let Some((index, kept)) =
        args.keep.checked_sub(1).and_then(|index| Some((index, place.versions.get(index)?)))
    else {
        return Err(Error::usage(format!(
            "{} has no value {}; accepted: 1 to {}",
            say(&place.label),
            args.keep,
            place.versions.len()
        )));
    };
    instrument.settle(place, index)?;
    let (label, value) = (say(&place.label), say(&kept.shown));
    let line = format!("Settled: {label}: {value} ({}).", kept.by);
    let data = json!({ "field": place.field, "label": label, "kept": value });
    context.done(&line, &data)
}

fn read_file(context: &Context<'_, '_>, file: &Path) -> Outcome<Vec<u8>> {
    let path = context.world.path(file);
    let failed = |error| Error::file(format!("{} cannot be read", file.display()), error);
    let opened = fs::File::open(&path).map_err(failed)?;
    let length = opened.metadata().map_err(failed)?.len();
    if length > MAX_FILE {
        return Err(Error::refused(format!(
            "{} has {length} bytes; accepted: up to {MAX_FILE}",
            file.display()
        )));
    }
    let mut bytes = Vec::new();
    opened.take(MAX_FILE).read_to_end(&mut bytes).map_err(failed)?;
    Ok(bytes)
}

/// Writes a file whole or not at all; a private one only for its owner to read.
fn write_new(path: &Path, bytes: &[u8], private: bool) -> Outcome {
    let failed = |error| Error::file(format!("{} cannot be written", path.display()), error);
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
