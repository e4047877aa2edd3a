//! The relay of an instrument, and the exchange with it.

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use fallaway::sync::{HttpTransport as _, SyncOutcome, SyncReport};
use serde_json::json;
use ureq::tls::Certificate;

use super::context::Context;
use super::progress::Progress;
use super::sharing::{print_report, read_file};
use crate::cli::{RelayAction, SyncArgs};
use crate::error::{Error, Outcome};
use crate::json as shapes;
use crate::listening::Listening;
use crate::messages::sharing as words;
use crate::web::{Web, certificates};

/// How often `sync --keep` looks whether another run of the app has written: a read of one line of the store.
const LOOKS: Duration = Duration::from_secs(1);

/// Shows which relay carries the record, or changes that.
pub fn relay(context: &mut Context<'_, '_>, action: Option<RelayAction>) -> Outcome {
    let instrument = context.instrument()?;
    match action {
        None => {}
        Some(RelayAction::Set { address }) => instrument.set_relay(Some(&address))?,
        Some(RelayAction::Drop) => instrument.set_relay(None)?,
    }
    let Some(relay) = instrument.relay()? else {
        return context.done(&words::no_relay(), &json!({ "relay": null }));
    };
    let line = words::relay(relay.url.clone(), relay.phrase());
    let (waiting, set_aside) = (relay.waiting, relay.set_aside);
    let data = json!({ "relay": relay.url, "waiting": waiting, "set_aside": set_aside });
    context.done(&line, &data)
}

/// Exchanges once, or waits for news until it is told to stop.
pub fn sync(context: &mut Context<'_, '_>, args: &SyncArgs) -> Outcome {
    let roots = args.root.as_deref().map(|file| roots_in(context, file)).transpose()?;
    let admission = args.admission.as_deref().map(|file| code_in(context, file)).transpose()?;
    let instrument = context.instrument()?;
    let web = Arc::new(Web::new(roots).showing(admission));
    let progress = Progress::to_person(context.common.json);
    let mut report = instrument.sync_watched(web.as_ref(), &progress)?;
    tell(context, &report)?;
    // What another run of the app writes meanwhile is sent soon, not when the relay has waited long enough.
    let to_send = || instrument.relay().ok().flatten().map_or(0, |relay| relay.waiting);
    let listening = Listening::new(Arc::clone(&web), &to_send, LOOKS);
    let mut waits = args.keep;
    while waits {
        match report.outcome {
            SyncOutcome::UpToDate | SyncOutcome::NoNews => {}
            SyncOutcome::Later { wait_ms, .. } => web.wait(wait_ms),
            _ => {
                waits = false;
                continue;
            }
        }
        // Whoever reads along is not kept waiting for what is known.
        context.world.out.flush()?;
        report = instrument.wait_for_news_watched(&listening, &progress)?;
        if report.outcome != SyncOutcome::NoNews {
            tell(context, &report)?;
        }
    }
    match report.outcome {
        SyncOutcome::UpToDate | SyncOutcome::NoNews => Ok(()),
        // Why, and what waits, in a line, and an exit code for scripts.
        _ => {
            let why = report.phrases().into_iter().next();
            let waits = instrument.relay()?.map(|relay| relay.phrase());
            let both = why.zip(waits).map(|(why, waits)| words::not_exchanged(why, waits));
            Err(both.map_or(Error::Declined, Error::Refused))
        }
    }
}

fn roots_in(context: &Context<'_, '_>, file: &Path) -> Outcome<Vec<Certificate<'static>>> {
    let found = certificates(&read_file(context, file)?);
    if found.is_empty() {
        return Err(Error::Refused(words::no_certificate(file.display().to_string())));
    }
    Ok(found)
}

/// What stands in the file that the relay's operator gave out.
fn code_in(context: &Context<'_, '_>, file: &Path) -> Outcome<String> {
    let bytes = read_file(context, file)?;
    let code = String::from_utf8_lossy(&bytes).trim().to_owned();
    if code.is_empty() || !code.bytes().all(|byte| byte.is_ascii_graphic()) {
        return Err(Error::Refused(words::no_admission_code(file.display().to_string())));
    }
    Ok(code)
}

fn tell(context: &mut Context<'_, '_>, report: &SyncReport) -> Outcome {
    if context.common.json {
        let merges: Vec<_> = report.merges.iter().map(shapes::merge).collect();
        return context.json(&json!({
            "up_to_date": report.outcome == SyncOutcome::UpToDate,
            "sent": report.sent,
            "received": report.received,
            "rebuilt": report.rebuilt,
            "set_aside": report.set_aside,
            "merges": merges,
        }));
    }
    for merge in &report.merges {
        print_report(context, merge)?;
    }
    let done = matches!(report.outcome, SyncOutcome::UpToDate | SyncOutcome::NoNews);
    // What keeps the exchange from its end is said last, as the failure.
    for line in report.phrases().iter().skip(usize::from(!done)) {
        context.printer().line(line)?;
    }
    Ok(())
}
