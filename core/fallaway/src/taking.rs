//! Taking a setup from a visit: its last readings become targets.

use std::collections::BTreeMap;

use fallaway_measure::{Amount, Dimension, Reading, Unit};
use fallaway_record::{Body, EntryId, Moment, Pass, PassReading, Phase, Placed, State, Target};

use crate::error::{Error, Result};

/// The targets that a visit's last readings make.
pub(crate) fn targets_of_visit(
    state: &State,
    visit: Option<EntryId>,
    at: Moment,
) -> Result<Vec<Target>> {
    let visit = match visit {
        Some(visit) => visit,
        None => last_visit_with_readings(state)
            .ok_or_else(|| Error::not_found("visit", "with readings"))?,
    };
    let mut chosen: BTreeMap<String, (bool, Target)> = BTreeMap::new();
    for placed in state.of_visit(visit).filter(|placed| !state.is_struck(placed.entry.id)) {
        let Body::Pass(pass) = &placed.entry.body else { continue };
        if pass.phase == Some(Phase::AsFound) {
            continue;
        }
        let as_left = pass.phase == Some(Phase::AsLeft);
        for read in &pass.readings {
            let Some(target) = target(placed, pass, read, at) else { continue };
            let Some(key) = target.key() else { continue };
            // A later reading replaces an earlier one, but nothing replaces "as left".
            let keep = chosen.get(&key).is_some_and(|(left, _)| *left && !as_left);
            if !keep {
                chosen.insert(key, (as_left, target));
            }
        }
    }
    if chosen.is_empty() {
        return Err(Error::NotFound {
            what: "reading",
            name: "to take a setup from".to_owned(),
            accepted: "read the numbers first; readings marked as found do not count".to_owned(),
        });
    }
    Ok(chosen.into_values().map(|(_, target)| target).collect())
}

fn last_visit_with_readings(state: &State) -> Option<EntryId> {
    let mut passes = state.entries().rev().filter(|placed| {
        matches!(placed.entry.body, Body::Pass(_)) && !state.is_struck(placed.entry.id)
    });
    passes.find_map(|placed| placed.entry.visit)
}

/// One reading as a target; `None` for a bound, which names no number.
fn target(placed: &Placed, pass: &Pass, read: &PassReading, at: Moment) -> Option<Target> {
    let wanted = match read.reading {
        Reading::Value(amount) => amount,
        // The leaf that goes is what the next person tries first.
        Reading::Between { low, .. } => low,
        Reading::AtMost(_) | Reading::AtLeast(_) => return None,
    };
    Some(Target {
        quantity: pass.quantity,
        location: read.location,
        wanted,
        tolerance: tolerance(pass)?,
        by: placed.entry.by.clone(),
        at,
        taken_from: Some(placed.entry.id),
    })
}

/// Until somebody sets another one: 1/64 in or 0.2 mm for a gap, 0.05 mm for relief and the nut,
/// 2 cents, 0.5 mm for spacing (common practice, no source).
fn tolerance(pass: &Pass) -> Option<Amount> {
    use fallaway_measure::Quantity;
    let fraction_rule =
        pass.tool.is_some_and(|tool| matches!(tool.graduation(), Amount::Fraction(_)));
    match (pass.quantity, pass.quantity.dimension()) {
        (Quantity::Relief { .. }, _) => Amount::decimal(5, 2, Unit::Millimetre).ok(),
        (Quantity::Gap { over, .. }, _) if over.number() == 1 => {
            Amount::decimal(5, 2, Unit::Millimetre).ok()
        }
        (Quantity::SpacingBridge | Quantity::SpacingNut, _) => {
            Amount::decimal(5, 1, Unit::Millimetre).ok()
        }
        (_, Dimension::Length) if fraction_rule => Amount::fraction(1, 64).ok(),
        (_, Dimension::Length) => Amount::decimal(2, 1, Unit::Millimetre).ok(),
        (_, Dimension::Interval) => Amount::decimal(2, 0, Unit::Cent).ok(),
        _ => None,
    }
}
