//! What most likely happened, with odds.
//!
//! Whether a saddle, a slot, the twist or the joint moved, the explanations of all readings weigh
//! against slips (`doubt`). A neck moves with every season: how likely it is that it moved the way that
//! is told, the interval says. That all strings moved alike is told by their mean, which is surer than each.

use fallaway_mechanics::state::StatePart;
use fallaway_mechanics::units::as_mm;
use fallaway_order::PutInOrder as _;

use super::doubt::{Compared, Doubts};
use super::model::Layout;
use super::sides::ComparedSide;
use super::types::{HowSure, InstrumentPart, LikelyChange, MOST_ODDS, PartChange, PartVerdict};
use crate::normal;
use crate::observe::{COVERAGE, Estimate, MeasurandKind, Observation, number};

/// Odds from which it is said that a part moved, and that it most likely did.
const MOVED: f64 = 20.0;
const LIKELY: f64 = 2.0;
/// Changes of less than this, in mm, are none: of relief, of anything else (a choice).
const LEAST_NECK: f64 = 0.02;
const LEAST: f64 = 0.05;
/// How often all strings move alike, how far then, and how far they do all the same (one standard
/// deviation in mm; common practice, no source).
const ALIKE: f64 = 0.03;
const ALIKE_MUCH: f64 = 0.8;
const ALIKE_QUIET: f64 = 0.05;
/// So many strings must have moved that way.
const MOST_STRINGS: f64 = 0.6;
/// Most parts that are named.
const MOST_NAMED: usize = 3;

/// What most likely happened, the surest first.
pub(super) fn likely(
    layout: &Layout,
    doubts: &Doubts,
    (ends, all): ([&ComparedSide; 2], &[Compared]),
    parts: &[PartChange],
) -> Vec<LikelyChange> {
    let Some(first) = all.first() else { return Vec::new() };
    let mut found: Vec<LikelyChange> = Vec::new();
    for (index, of) in first.found.parts.iter().enumerate() {
        let Some(part) = layout.part(of.part) else { continue };
        let Some(change) = parts.iter().find(|p| p.part == part) else { continue };
        let probability = match part {
            InstrumentPart::Neck => that_way(doubts, all, index, LEAST_NECK),
            _ if !change.noted.is_empty() => that_way(doubts, all, index, LEAST),
            InstrumentPart::Heights => alike(change.change, parts),
            _ => doubts.moved(of.part),
        };
        // That their mean moved with one of them is no news.
        if part == InstrumentPart::Heights && probability <= 0.0 {
            continue;
        }
        let told = change.verdict == PartVerdict::Moved;
        let odds = probability / (1.0 - probability).max(1e-6) / tempered(part);
        // That it moved is said where the interval says so under every explanation, too.
        let odds = if told { odds.clamp(MOVED, MOST_ODDS) } else { odds.min(MOVED - 1.0) };
        if odds < LIKELY || !told && change.change.value.abs() < LEAST_NECK {
            continue;
        }
        let how_sure = if odds >= MOVED { HowSure::Moved } else { HowSure::MostLikely };
        found.push(LikelyChange {
            part,
            change: change.change,
            odds,
            how_sure,
            ..decided(doubts, of.part, ends, change)
        });
    }
    apart_from_all(&mut found);
    found.put_in_order_by(|a, b| b.odds.total_cmp(&a.odds));
    found.truncate(MOST_NAMED);
    found
}

/// How much too sure the explanations are of a part: how often slots wear and joints give way is known to a factor
/// only (chosen on one seed of `tests/visits`).
const fn tempered(part: InstrumentPart) -> f64 {
    match part {
        InstrumentPart::Neck | InstrumentPart::Saddle(_) | InstrumentPart::Heights => 1.0,
        InstrumentPart::Nut(_) | InstrumentPart::Twist | InstrumentPart::Joint => 6.0,
    }
}

/// The probability that a part moved the way that is told, by more than the least.
fn that_way(doubts: &Doubts, all: &[Compared], index: usize, least: f64) -> f64 {
    let change = |one: &Compared| {
        let change = one.found.parts.get(index)?.change;
        Some((as_mm(change.value), as_mm(change.standard_uncertainty)))
    };
    let Some((first, _)) = all.first().and_then(change) else { return 0.0 };
    let (mut sum, mut weights) = (0.0, 0.0);
    for (one, explanation) in all.iter().zip(&doubts.explanations) {
        let Some((value, u)) = change(one) else { continue };
        let beyond = (value * first.signum() - least) / u.max(1e-6);
        sum += explanation.weight * normal::below(beyond);
        weights += explanation.weight;
    }
    if weights > 0.0 { sum / weights } else { 0.0 }
}

/// The probability that all strings moved alike, by their mean.
fn alike(mean: Estimate, parts: &[PartChange]) -> f64 {
    let saddles: Vec<f64> = parts
        .iter()
        .filter(|p| matches!(p.part, InstrumentPart::Saddle(_)))
        .map(|p| p.change.value)
        .collect();
    // That way, and not by little beside the mean.
    let with =
        saddles.iter().filter(|v| **v * mean.value.signum() > mean.value.abs() / 4.0).count();
    if (with as f64) < MOST_STRINGS * saddles.len() as f64 {
        return 0.0;
    }
    let density = |sd: f64| {
        let sd = sd.hypot(mean.standard_uncertainty);
        (-0.5 * (mean.value / sd).powi(2)).exp() / sd
    };
    let (much, quiet) = (ALIKE * density(ALIKE_MUCH), (1.0 - ALIKE) * density(ALIKE_QUIET));
    much / (much + quiet).max(f64::MIN_POSITIVE)
}

/// What speaks against it, and what would decide.
fn decided(
    doubts: &Doubts,
    told: StatePart,
    ends: [&ComparedSide; 2],
    change: &PartChange,
) -> LikelyChange {
    let against = doubts.against(told, ends);
    let again = against.filter(|(end, _)| *end == 1).map(|(_, seen)| seen.measurand);
    let seen = against.map(|(_, seen)| seen);
    LikelyChange {
        part: change.part,
        change: change.change,
        odds: 1.0,
        how_sure: HowSure::MostLikely,
        against: seen.cloned(),
        decide: again.or(change.would_tell),
        another_tool: seen.is_some_and(|seen| within_a_mark(seen, change.change)),
    }
}

/// Whether a change is no more than a mark or so of the tool that a gap was read with.
fn within_a_mark(seen: &Observation, change: Estimate) -> bool {
    let mark = seen.tool.and_then(|tool| number(tool.graduation(), change.scale));
    let is_action = seen.measurand.kind().is_some_and(MeasurandKind::is_action);
    // One mark, and what a saddle moves beyond its gap.
    is_action
        && mark.is_some_and(|mark| mark > 0.1 && change.value.abs() < 1.5 * COVERAGE * mark / 2.0)
}

/// Where all moved alike, a single string is named only if it stands apart.
fn apart_from_all(found: &mut Vec<LikelyChange>) {
    let Some(mean) = found.iter().find(|l| l.part == InstrumentPart::Heights).cloned() else {
        return;
    };
    found.retain(|one| match one.part {
        InstrumentPart::Saddle(_) => {
            let apart = one.change.value - mean.change.value;
            apart.abs()
                > COVERAGE * one.change.standard_uncertainty.max(mean.change.value.abs() / 2.0)
        }
        _ => true,
    });
}
