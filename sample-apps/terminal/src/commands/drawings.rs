//! `fallaway draw`: pictures of the record.

use std::path::Path;

use fallaway::measure::{Location, Quantity, StringPlace};
use fallaway::sheet::{DrawingWidth, Scene, sheet_html, sheet_text, svg};
use fallaway::{CardLine, Instrument, Occasion};
use fallaway_text::messages::card as say;

use super::advice::{compared_with, named};
use super::context::Context;
use super::sharing::{typed, write_new};
use crate::cli::{DrawArgs, DrawKind, SheetArgs};
use crate::error::{Error, Outcome};
use crate::json;
use crate::messages::{drawings, sharing};
use crate::render::Style;
use crate::render::picture::in_characters;

/// Draws; without a file it says in words what the picture shows.
pub fn draw(context: &mut Context<'_, '_>, args: &DrawArgs) -> Outcome {
    if args.since.is_some() && args.kind != DrawKind::Changed {
        return Err(Error::Usage(drawings::since_of_changed()));
    }
    let instrument = context.instrument()?;
    let setup = named(&instrument, args.setup.as_deref())?;
    let setup = setup.as_ref();
    let voice = context.voice;
    let scenes = match args.kind {
        DrawKind::Turn => instrument.draw_turns(setup, &voice)?,
        DrawKind::Neck => vec![instrument.draw_neck(args.string, setup, &voice)?],
        DrawKind::Clearance => {
            vec![instrument.draw_clearance(instrument.play_of(None)?, &voice)?]
        }
        DrawKind::Saddles => vec![instrument.draw_saddles(setup, &voice)?],
        DrawKind::Intonation => vec![instrument.draw_intonation(setup, &voice)?],
        DrawKind::Spacing => vec![instrument.draw_spacing(setup, &voice)?],
        DrawKind::Changed => {
            let (since, setup) = (args.since.as_deref(), args.setup.as_deref());
            let from = compared_with(&instrument, since, args.found, setup)?;
            vec![instrument.draw_changes(&from, &Occasion::Today, DrawingWidth::Page, &voice)?]
        }
        DrawKind::Relief | DrawKind::Action => match read_most(&instrument, args)? {
            Some((quantity, location)) => {
                vec![instrument.draw_history(
                    quantity,
                    location,
                    setup,
                    DrawingWidth::Page,
                    &voice,
                )?]
            }
            None => Vec::new(),
        },
    };
    if context.common.json {
        return context.json(&json::drawings::scenes(&scenes));
    }
    if scenes.is_empty() {
        return Ok(context.printer().line(&nothing(args.kind))?);
    }
    let Some(file) = &args.out else {
        // Of the others the sentences are as good as a picture of letters.
        let helps = matches!(args.kind, DrawKind::Neck | DrawKind::Relief | DrawKind::Action);
        return told(context, &scenes, helps && !args.words);
    };
    for (number, scene) in scenes.iter().enumerate() {
        let path = numbered(file, number);
        let whole = context.world.path(&path);
        context.may_write(&whole)?;
        write_new(&whole, svg(scene, args.theme.theme()).as_bytes(), false)?;
        context.printer().line(&drawings::written(path.display().to_string()))?;
    }
    Ok(())
}

/// A page to hand over; without a file as plain text. An invitation stands on it only if it was asked for.
pub fn sheet(context: &mut Context<'_, '_>, args: &SheetArgs) -> Outcome {
    let instrument = context.instrument()?;
    let setup = named(&instrument, args.setup.as_deref())?;
    let setup = setup.as_ref();
    let page = if args.bench {
        instrument.bench_sheet(setup, &context.voice)?
    } else {
        // A visit is named by any of its entries.
        let of = args.visit.as_deref().map(|short| instrument.entry(short)).transpose()?;
        let visit = of.map(|view| view.entry.visit.unwrap_or(view.entry.id));
        instrument.customer_sheet(visit, setup, &context.voice)?
    };
    let out = args.out.as_deref().map(|file| context.world.path(file));
    // Before there is an invitation that nobody would see.
    if let Some(whole) = &out {
        context.may_write(whole)?;
    }
    let page = match args.invite.map(typed) {
        Some(role) => {
            let invitation = instrument.invite(role, args.days)?.for_sheet(role);
            page.inviting(&invitation, &context.voice).map_err(fallaway::Error::from)?
        }
        None => page,
    };
    let ending = args.out.as_deref().and_then(Path::extension).and_then(|one| one.to_str());
    let paper = args.paper.paper();
    if context.common.json && args.out.is_none() {
        return context.json(&json::drawings::page(&page));
    }
    let bytes = match ending {
        Some("pdf") => fallaway::sheet::sheet_pdf(&page, paper).map_err(fallaway::Error::from)?,
        Some("html" | "htm") => sheet_html(&page, paper).into_bytes(),
        _ => sheet_text(&page).into_bytes(),
    };
    let Some(file) = &args.out else {
        let mut printer = context.printer();
        for line in String::from_utf8_lossy(&bytes).lines() {
            printer.text(Style::Plain, line)?;
        }
        return Ok(());
    };
    // Who has the words of an invitation can use them: such a page is for its writer's eyes first.
    write_new(&context.world.path(file), &bytes, args.invite.is_some())?;
    if context.common.json {
        return context.json(&json::drawings::page(&page));
    }
    let mut printer = context.printer();
    printer.line(&drawings::written(file.display().to_string()))?;
    if args.invite.is_some() {
        printer.say(Style::Quiet, &sharing::invited_next())?;
    }
    Ok(())
}

fn nothing(kind: DrawKind) -> fallaway_text::Phrase {
    match kind {
        DrawKind::Turn => drawings::nothing_to_turn(),
        _ => say::nothing(),
    }
}

/// The second picture of one answer has a number in its name.
fn numbered(file: &Path, number: usize) -> std::path::PathBuf {
    if number == 0 {
        return file.to_owned();
    }
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    let ending = file.extension().map_or_else(String::new, |one| format!(".{}", one.display()));
    file.with_file_name(format!("{stem}-{}{ending}", number + 1))
}

fn told(context: &mut Context<'_, '_>, scenes: &[Scene], drawn: bool) -> Outcome {
    let mut printer = context.printer();
    for scene in scenes {
        printer.text(Style::Heading, &scene.title)?;
        let picture = if drawn { in_characters(scene, printer.width()) } else { Vec::new() };
        for line in &picture {
            printer.drawn(line)?;
        }
        // Where no drawing stands, what it magnifies and which of its frets have numbers says nothing.
        let told = if picture.is_empty() { scene.told() } else { &scene.sentences };
        for sentence in told {
            printer.hung(Style::Plain, "", 2, sentence)?;
        }
    }
    Ok(())
}

/// What a history is drawn of: relief, or the action of the string that is named, or else of the last.
fn read_most(instrument: &Instrument, args: &DrawArgs) -> Outcome<Option<(Quantity, Location)>> {
    let fits = |line: &&CardLine| match (args.kind, line.quantity) {
        (DrawKind::Relief, Quantity::Relief { .. }) => true,
        (DrawKind::Action, Quantity::Gap { over, .. }) => {
            over.number() > 3
                && args
                    .string
                    .is_none_or(|place: StringPlace| line.location == Location::Course(place))
        }
        _ => false,
    };
    let card = instrument.card(None)?;
    let found = card.lines.iter().rfind(fits);
    Ok(found.map(|line| (line.quantity, line.location)))
}
