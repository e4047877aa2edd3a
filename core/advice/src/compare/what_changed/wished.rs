//! Targets that somebody typed in: what is wanted, not where the instrument once stood. Nothing can have moved
//! since; what can be said is how it stands against them.

use super::sides::{self, ComparedSide, SideAt};
use super::types::AgainstWish;
use crate::compare::{
    AgainstTarget, Judgement, OnScrews, RestsOn, Trails, judge_by, outside_together,
};
use crate::observe::ReadingIndex;

/// Each target that was typed in and whose thing was read on a side, by the rule of plan and card.
pub(super) fn wished(
    bench: &ReadingIndex<'_>,
    read: &ComparedSide,
    at: SideAt,
) -> Vec<AgainstWish> {
    let input = bench.input;
    // What was known before decides with today's readings, as it does in the plan.
    let trails = matches!(at, SideAt::Today).then(|| Trails::after(input, &bench.interventions));
    let mut all: Vec<AgainstWish> = Vec::new();
    for target in typed(bench) {
        let Some(goal) = target.settled() else { continue };
        let of = target.measurand;
        let mut seen = read.taken.iter().filter(|t| t.measurand == of);
        let Some(seen) = seen.find_map(|t| t.seen.clone()) else { continue };
        let compared =
            AgainstTarget::new(seen.known, goal.wanted, goal.tolerance, RestsOn::Reading);
        let Some(compared) = compared else { continue };
        let over_stated = seen.repeats.map(|r| r.over_stated);
        let trail = trails.as_ref().and_then(|trails| trails.get(of));
        let judged = judge_by(&compared, trail, over_stated);
        let (compared, judgement) = (judged.compared, judged.judgement);
        all.push(AgainstWish { measurand: of, wanted: goal.wanted, seen, compared, judgement });
    }
    let held = |one: &AgainstWish| Some((OnScrews::of(&input.facts, one.measurand)?, one.compared));
    let held: Vec<Option<(OnScrews, AgainstTarget)>> = all.iter().map(held).collect();
    let quantities: Vec<_> = all.iter().map(|one| one.measurand.quantity).collect();
    for ((one, own), quantity) in all.iter_mut().zip(&held).zip(&quantities) {
        let Some(own) = own else { continue };
        let alike = held.iter().zip(&quantities).filter(|(_, q)| *q == quantity);
        let alike: Vec<(OnScrews, AgainstTarget)> = alike.filter_map(|(held, _)| *held).collect();
        one.judgement = match (one.judgement, outside_together(*own, &alike)) {
            (Judgement::Above | Judgement::Below, Some(false)) => Judgement::OnTargetWithinError,
            (Judgement::OnTargetWithinError, Some(true)) if one.compared.off().value > 0.0 => {
                Judgement::Above
            }
            (Judgement::OnTargetWithinError, Some(true)) => Judgement::Below,
            (judgement, _) => judgement,
        };
    }
    all
}

/// The targets that were typed in of what tells of neck, saddles and nut.
pub(super) fn typed<'b>(
    bench: &'b ReadingIndex<'_>,
) -> impl Iterator<Item = &'b crate::observe::TargetState> {
    let told = bench.input.targets.iter().filter(|target| sides::tells(target.measurand));
    told.filter(|target| target.settled().is_some_and(|goal| !goal.taken))
}
