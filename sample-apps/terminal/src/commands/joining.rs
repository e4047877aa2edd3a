//! Coming in: invitations, and the recovery words.

use std::io::{self, Read as _};
use std::path::Path;

use serde_json::json;

use super::context::Context;
use super::sharing::{read_file, role, typed, write_new};
use crate::cli::{AcceptArgs, InviteArgs, RecoverArgs, WordsArgs};
use crate::error::{Error, Outcome};
use crate::messages::{app, sharing as words};
use crate::parse::moments;
use crate::render::Style;
use crate::render::codes::drawn;

/// Largest input of words that is read in.
const MAX_WORDS: u64 = 1 << 16;

/// Invites a device.
pub fn invite(context: &mut Context<'_, '_>, args: &InviteArgs) -> Outcome {
    let instrument = context.instrument()?;
    let given = typed(args.role);
    // Before there is an invitation that would be lost.
    for file in args.welcome.iter().chain(&args.out) {
        let path = context.world.path(file);
        context.may_write(&path)?;
    }
    let new = if args.own_device {
        instrument.invite_own_device(given, args.days)?
    } else {
        instrument.invite(given, args.days)?
    };
    if let Some(file) = &args.welcome {
        write_new(&context.world.path(file), &new.welcome, true)?;
    }
    let shown = |file: &Path| file.display().to_string();
    let out = args.out.as_deref();
    if let Some(file) = out {
        let text = format!("{}\n", new.words);
        write_new(&context.world.path(file), text.as_bytes(), true)?;
    }
    let codes = if args.qr {
        let welcome = fallaway::codes(&new.welcome).map_err(fallaway::Error::from)?;
        Some([vec![new.code.clone()], welcome].concat())
    } else {
        None
    };
    if context.common.json {
        return context.json(&json!({
            "codes": codes,
            "id": new.id, "days": args.days, "expires": moments::rfc3339(new.expires),
            "file": out.map(shown), "welcome": args.welcome.as_deref().map(shown),
            "words": out.is_none().then_some(&new.words),
            "code": out.is_none().then_some(&new.code),
        }));
    }
    let mut printer = context.printer();
    if let Some(file) = out {
        printer.line(&words::invited(shown(file), args.days))?;
    } else {
        printer.words(Style::Strong, &new.words)?;
        printer.words(Style::Plain, &new.code)?;
        printer.line(&words::invited_words(args.days))?;
    }
    if let Some(codes) = codes {
        for (number, code) in (1..).zip(&codes) {
            printer.line(&words::code_of(number, codes.len()))?;
            for line in drawn(code).map_err(Error::Refused)? {
                printer.drawn(&line)?;
            }
        }
        return Ok(printer.say(Style::Quiet, &words::codes_next())?);
    }
    let next = match &args.welcome {
        Some(file) => words::invited_welcome(shown(file)),
        None => words::invited_next(),
    };
    Ok(printer.say(Style::Quiet, &next)?)
}

/// The words that were typed, are in their file, or are typed in now.
fn words_of(context: &mut Context<'_, '_>, given: &WordsArgs) -> Outcome<String> {
    if !given.words.is_empty() {
        return Ok(given.words.join(" "));
    }
    words_in(context, given.words_file.as_deref().unwrap_or(Path::new("-")))
}

/// The words in a file; `-` for what is typed in now.
pub(super) fn words_in(context: &mut Context<'_, '_>, file: &Path) -> Outcome<String> {
    let bytes = if file == Path::new("-") {
        let mut bytes = Vec::new();
        match context.world.answers.as_mut() {
            Some(typed) => typed.take(MAX_WORDS).read_to_end(&mut bytes),
            None => io::stdin().lock().take(MAX_WORDS).read_to_end(&mut bytes),
        }
        .map_err(|error| Error::File(app::cannot_read_input(), error))?;
        bytes
    } else {
        read_file(context, file)?
    };
    String::from_utf8(bytes).map_err(|_| Error::Refused(words::not_words()))
}

/// Accepts an invitation.
pub fn accept(context: &mut Context<'_, '_>, args: &AcceptArgs) -> Outcome {
    let bundle = read_file(context, &args.given.file)?;
    let text = words_of(context, &args.given)?;
    let card = fallaway::Workshop::look_at_invitation(&text, &bundle)?;
    let compare = words::compare(&card.inviter);
    let data = |id: Option<String>| {
        json!({
            "instrument": id, "name": card.name, "role": card.role.to_string(),
            "inviter": card.inviter, "expires": moments::rfc3339(card.expires),
        })
    };
    if args.look {
        if context.common.json {
            return context.json(&data(None));
        }
        let mut printer = context.printer();
        printer.line(&words::invitation(&card.name, role(card.role), card.expires))?;
        return Ok(printer.line(&compare)?);
    }
    let instrument = context.workshop()?.accept(&text, &bundle)?;
    if context.common.json {
        return context.json(&data(Some(instrument.id().to_string())));
    }
    let relay = instrument.relay()?.is_some();
    let mut printer = context.printer();
    printer.line(&words::joined(&card.name, role(card.role)))?;
    printer.line(&compare)?;
    let next = if relay { words::joined_sync() } else { words::joined_next() };
    printer.say(Style::Quiet, &next)?;
    Ok(())
}

/// Shows the recovery words, or says that they are written down.
pub fn recovery_words(context: &mut Context<'_, '_>, written_down: bool) -> Outcome {
    let instrument = context.instrument()?;
    if written_down {
        instrument.recovery_words_written_down()?;
        return context.done(&words::written_down(), &json!({ "words": null }));
    }
    let kept = instrument.recovery_words()?;
    if context.common.json {
        return context.json(&json!({ "words": kept }));
    }
    let mut printer = context.printer();
    match kept {
        None => printer.line(&words::no_recovery_words())?,
        Some(kept) => {
            printer.words(Style::Strong, &kept)?;
            printer.line(&words::recovery_hint())?;
        }
    }
    Ok(())
}

/// Makes this device an owner by the recovery words, removes what is lost, and draws new words.
pub fn recover(context: &mut Context<'_, '_>, args: &RecoverArgs) -> Outcome {
    let bundle = read_file(context, &args.given.file)?;
    let text = words_of(context, &args.given)?;
    let instrument = context.workshop()?.recover(&text, &bundle)?;
    if !args.lost.is_empty() {
        instrument.remove_with_words(&text, &args.lost, None)?;
    }
    let new = instrument.renew_recovery_words(&text)?;
    if context.common.json {
        return context.json(&json!({
            "instrument": instrument.id().to_string(), "removed": args.lost, "words": new,
        }));
    }
    let name = instrument.name()?;
    let mut printer = context.printer();
    printer.line(&words::recovered(&name))?;
    printer.words(Style::Strong, &new)?;
    printer.line(&words::recovery_hint())?;
    Ok(printer.say(Style::Quiet, &words::recovered_next())?)
}
