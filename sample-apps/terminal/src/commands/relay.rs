//! The relay of an instrument, and the exchange with it.

use fallaway::sync::{HttpTransport as _, SyncOutcome, SyncReport};
use serde_json::json;

use super::context::Context;
use super::sharing::print_report;
use crate::cli::RelayAction;
use crate::error::{Error, Outcome};
use crate::json as shapes;
use crate::messages::sharing as words;
use crate::web::Web;

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
pub fn sync(context: &mut Context<'_, '_>, keep: bool) -> Outcome {
    let (instrument, web) = (context.instrument()?, Web::new());
    let mut report = instrument.sync(&web)?;
    tell(context, &report)?;
    let mut waits = keep;
    while waits {
        match report.outcome {
            SyncOutcome::UpToDate | SyncOutcome::NoNews => {}
            SyncOutcome::Later { wait_ms, .. } => web.wait(wait_ms),
            _ => {
                waits = false;
                continue;
            }
        }
        report = instrument.wait_for_news(&web)?;
        if report.outcome != SyncOutcome::NoNews {
            tell(context, &report)?;
        }
    }
    match report.outcome {
        SyncOutcome::UpToDate | SyncOutcome::NoNews => Ok(()),
        // Why, in a line, and an exit code for scripts.
        _ => Err(report.phrases().into_iter().next().map_or(Error::Declined, Error::Refused)),
    }
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
