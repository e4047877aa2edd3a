//! Visits that have just ended.

use fallaway::Instrument;

use super::context::Context;
use crate::error::Outcome;
use crate::messages::bench as say;

/// So long after its end a visit may still be meant.
const JUST_S: i64 = 30 * 60;

/// Asks whether a new visit is meant where the last one ended a moment ago: in a new one everything is
/// measured anew.
pub fn another_visit(context: &mut Context<'_, '_>, instrument: &Instrument) -> Outcome {
    let now = context.now();
    if instrument.current_visit()?.is_some() || now != context.world.clock.now() {
        return Ok(());
    }
    let Some(last) = instrument.visits()?.pop() else { return Ok(()) };
    match last.ended {
        Some(ended) if (0..JUST_S).contains(&(now.unix_s - ended.unix_s)) => {
            context.ask_about(&[format!("visit {}", ended.unix_s)], &say::another_visit(ended))
        }
        _ => Ok(()),
    }
}
