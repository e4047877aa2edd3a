//! Who is out: removals, leaving, invitations withdrawn, and what is held.

use fallaway::{HeldWork, WhyAside};
use fallaway_text::{Phrase, names};
use serde_json::json;

use super::context::Context;
use super::sharing::{print_report, role};
use crate::cli::RemoveArgs;
use crate::error::Outcome;
use crate::json as shapes;
use crate::messages::sharing as words;
use crate::parse::moments;
use crate::render::{Style, TextTable};
use crate::voice::say;

/// Shows who came, who went, and who was given which role: when, and by whom.
pub fn history(context: &mut Context<'_, '_>) -> Outcome {
    let history = context.instrument()?.details()?.people_history;
    if context.common.json {
        return context.json(&history.iter().map(shapes::people_event).collect::<Vec<_>>());
    }
    let mut table = TextTable::headed(&words::head_people_history());
    for event in &history {
        table.row([names::moment(event.at), event.phrase()]);
    }
    Ok(context.printer().table(&table)?)
}

/// Removes a member.
pub fn remove(context: &mut Context<'_, '_>, args: &RemoveArgs) -> Outcome {
    let (instrument, at) = (context.instrument()?, context.options().at);
    let (all_devices, reason) = (args.all_devices, args.reason.as_deref());
    instrument.remove_member_at(&args.fingerprint, all_devices, reason, at)?;
    let data = json!({ "fingerprint": args.fingerprint, "all_devices": args.all_devices });
    context.done(&words::removed(args.fingerprint.clone()), &data)
}

/// Says that a fingerprint was compared by voice.
pub fn compared(context: &mut Context<'_, '_>, fingerprint: &str) -> Outcome {
    context.instrument()?.compared(fingerprint)?;
    let data = json!({ "fingerprint": fingerprint, "compared": true });
    context.done(&words::now_compared(fingerprint.to_owned()), &data)
}

/// Leaves the record.
pub fn leave(context: &mut Context<'_, '_>) -> Outcome {
    let at = context.options().at;
    context.instrument()?.leave_at(at)?;
    context.done(&words::left(), &json!({ "left": true }))
}

/// Withdraws an invitation, or shows those that are open.
pub fn withdraw(context: &mut Context<'_, '_>, invitation: Option<&str>) -> Outcome {
    let instrument = context.instrument()?;
    if let Some(invitation) = invitation {
        instrument.withdraw_at(invitation, context.options().at)?;
        let data = json!({ "withdrawn": invitation });
        return context.done(&words::withdrawn(invitation.to_owned()), &data);
    }
    let open = instrument.open_invitations()?;
    if context.common.json {
        let one = |one: &fallaway::InvitationView| {
            json!({
                "id": one.id, "role": one.role.to_string(), "by": one.by,
                "own_device": one.own_device, "expires": moments::rfc3339(one.expires),
            })
        };
        return context.json(&open.iter().map(one).collect::<Vec<_>>());
    }
    if open.is_empty() {
        return Ok(context.printer().line(&words::no_invitations())?);
    }
    let mut table = TextTable::headed(&words::head_invitations());
    for one in open {
        let until = names::moment(one.expires);
        table.row([Phrase::written(&one.id), role(one.role), Phrase::written(&one.by), until]);
    }
    Ok(context.printer().table(&table)?)
}

/// Shows what is held, and of whom.
pub fn held(context: &mut Context<'_, '_>) -> Outcome {
    let held = context.instrument()?.held()?;
    if context.common.json {
        let one = |one: &HeldWork| {
            json!({
                "device": one.device, "fingerprint": one.fingerprint,
                "why": say(&one.why.phrase()), "entries": one.entries, "values": one.values,
                "first": moments::rfc3339(one.first), "last": moments::rfc3339(one.last),
            })
        };
        return context.json(&held.iter().map(one).collect::<Vec<_>>());
    }
    if held.is_empty() {
        return Ok(context.printer().line(&words::nothing_held())?);
    }
    let mut printer = context.printer();
    for one in held {
        let (entries, values) = (one.entries, one.values);
        let line = words::held(&one.device, entries, values, one.why.phrase(), &one.fingerprint);
        // It begins with what a device calls itself.
        printer.hung(Style::Plain, "", 2, &say(&line))?;
    }
    Ok(printer.line(&words::held_hint())?)
}

/// Takes in what is held of a device.
pub fn accept_held(context: &mut Context<'_, '_>, fingerprint: &str) -> Outcome {
    let instrument = context.instrument()?;
    let named = |one: &&HeldWork| one.fingerprint == fingerprint || one.device == fingerprint;
    let held = instrument.held()?;
    if let Some(copied) = held.iter().filter(named).find(|one| one.why == WhyAside::Fork) {
        context.ask(&words::held_ask(&copied.device))?;
    }
    let report = instrument.accept_held(fingerprint)?;
    if context.common.json {
        return context.json(&shapes::merge(&report));
    }
    print_report(context, &report)
}
