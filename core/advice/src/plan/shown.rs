//! Which way the screws of an instrument work, as readings before and after a turn have shown: what the plan
//! goes by.

use fallaway_measure::Quantity;
use fallaway_record::spec::{Clockwise, ScrewPlace};

use super::context::PlanContext;
use crate::learn::{ScrewLearned, ScrewResponse, response};
use crate::observe::{Input, MeasurandKind, ReadingIndex};
use crate::turns::TurnDirection;

/// Every kind of screw but the rod of which at least one turn has shown something; of two ways of reading, the
/// one that more turns tell of.
pub fn screws_learned(input: &Input<'_>) -> Vec<ScrewLearned> {
    let bench = ReadingIndex::new(input);
    let work = PlanContext::new(&bench);
    let mut found: Vec<ScrewLearned> = Vec::new();
    let mut add = |one: Option<ScrewLearned>| {
        let Some(one) = one else { return };
        let alike =
            |other: &&mut ScrewLearned| (other.screw, other.pickup) == (one.screw, one.pickup);
        match found.iter_mut().find(alike) {
            Some(other) if other.observations >= one.observations => {}
            Some(other) => *other = one,
            None => found.push(one),
        }
    };
    let only_posts = work.facts.bridge.only_posts();
    let heights = if only_posts { ScrewPlace::BridgePost } else { ScrewPlace::SaddleHeight };
    for (_, shown) in &work.heights {
        add(of(heights, None, Clockwise::Less, shown));
    }
    for (_, shown) in &work.posts {
        add(of(ScrewPlace::BridgePost, None, Clockwise::Less, shown));
    }
    let mut quantities: Vec<Quantity> = Vec::new();
    for measurand in bench.ever_read() {
        if !quantities.contains(&measurand.quantity) {
            quantities.push(measurand.quantity);
        }
    }
    for quantity in quantities {
        match (quantity, MeasurandKind::of(quantity)) {
            (Quantity::BridgeHeight, _) => {
                let shown = response::bridge_height(&bench);
                add(of(ScrewPlace::BridgePost, None, Clockwise::Less, &shown));
            }
            (Quantity::BridgeTail, _) => {
                let shown = response::claw(&bench);
                add(of(ScrewPlace::SpringClaw, None, Clockwise::More, &shown));
            }
            (Quantity::PickupGap { pickup, .. }, _) => {
                let shown = response::pickup(&bench, quantity);
                add(of(ScrewPlace::Pickup, Some(pickup), Clockwise::More, &shown));
            }
            (_, Some(MeasurandKind::Intonation | MeasurandKind::IntonationNearNut)) => {
                // A longer string is flatter.
                let shown = response::intonation(&bench, quantity);
                add(of(ScrewPlace::SaddlePosition, None, Clockwise::More, &shown));
            }
            _ => {}
        }
    }
    found
}

/// What was shown; `lessens` is what a turn does that makes the reading smaller.
fn of(
    screw: ScrewPlace,
    pickup: Option<u8>,
    lessens: Clockwise,
    shown: &ScrewResponse,
) -> Option<ScrewLearned> {
    let observations = shown.pairs.len() - shown.outvoted.len();
    let contradict = shown.contradicts.is_some();
    if observations == 0 || (shown.lessens.is_none() && !contradict) {
        return None;
    }
    let other = match lessens {
        Clockwise::More => Clockwise::Less,
        _ => Clockwise::More,
    };
    let clockwise = shown.lessens.map(|way| match way {
        TurnDirection::Clockwise => lessens,
        TurnDirection::Anticlockwise => other,
    });
    Some(ScrewLearned { screw, pickup, clockwise, observations })
}
