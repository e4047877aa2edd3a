//! Screws that lift several strings: what they do for all of them, and what posts under saddles with screws
//! of their own do before single saddles are turned (common practice, no source).

use fallaway_measure::{Length, Quantity, StringPlace};
use fallaway_mechanics::Uncertain;
use fallaway_mechanics::bridge::{Bridge, BridgeMove};
use fallaway_mechanics::screws::TurnRounding;
use fallaway_mechanics::units::{as_mm, mm};

use super::context::PlanContext;
use super::step::{PlanStep, ScrewMove};
use crate::observe::{POSTS, TurnedScrew};

/// Posts are turned for the action where they leave at most this share of what all strings are off by, as
/// a sum of squares.
const LEFT_BY_POSTS: f64 = 0.25;
/// So many strings say what posts are to do; fewer may stand off each for itself.
const STRINGS_FOR_POSTS: usize = 3;

/// Screws that lift strings together, and what they are to do.
pub(super) struct Lifting<'a> {
    pub(super) matrix: &'a Bridge,
    pub(super) screws: &'a [TurnedScrew],
    pub(super) alike: u8,
    /// By how much each advances, and what that gives each string.
    pub(super) answer: BridgeMove,
}

impl<'a> Lifting<'a> {
    /// The turns that bring all strings nearest to their targets.
    pub(super) fn new(
        matrix: &'a Bridge,
        screws: &'a [TurnedScrew],
        alike: u8,
        wanted: &[Option<Uncertain<Length>>],
    ) -> Option<Self> {
        let answer = matrix.solve(wanted, TurnRounding::Nearest).ok()?;
        Some(Self { matrix, screws, alike, answer })
    }

    /// The row of a string.
    pub(super) fn row(&self, work: &PlanContext<'_>, place: StringPlace) -> Option<usize> {
        let row = work.facts.bridge.rows.iter().position(|p| *p == place)?;
        self.answer.strings.get(row).map(|_| row)
    }
}

/// By how much each of the bridge's strings is to rise at its saddle, of those that may be moved.
pub(super) fn needs(
    work: &PlanContext<'_>,
    all: &[PlanStep],
    moved: &[StringPlace],
) -> Vec<Option<Uncertain<Length>>> {
    let need = |place: &StringPlace| {
        let step = all.iter().find(|s| s.place() == Some(*place) && s.compared.is_some())?;
        let compared = step.compared.filter(|_| moved.contains(place))?;
        let rise = -compared.off().value / work.per_saddle(step.measurand?)?;
        Some(Uncertain::exact(mm(rise)))
    };
    work.facts.bridge.rows.iter().map(need).collect()
}

/// What the posts do for all strings, where that leaves little for the saddles' own screws. Where a height
/// of the bridge is wanted the posts keep that.
pub(super) fn posts_for_all<T>(
    work: &PlanContext<'_>,
    all: &[PlanStep],
    with: impl FnOnce(Lifting<'_>) -> Option<T>,
) -> Option<T> {
    let matrix = work.facts.bridge.posts.as_ref()?.matrix.as_ref()?;
    let keeps = |quantity| quantity == Quantity::BridgeHeight;
    if work.input().targets.iter().any(|target| keeps(target.measurand.quantity)) {
        return None;
    }
    let wanted = needs(work, all, &work.facts.bridge.rows);
    if wanted.iter().flatten().count() < STRINGS_FOR_POSTS {
        return None;
    }
    let screws = POSTS.map(TurnedScrew::BridgePost);
    let posts = Lifting::new(matrix, &screws, 1, &wanted)?;
    let (mut before, mut after) = (0.0, 0.0);
    for (need, string) in wanted.iter().zip(&posts.answer.strings) {
        let Some(need) = need.map(|need| as_mm(need.value)) else { continue };
        before += need * need;
        after += (need - as_mm(string.gives)).powi(2);
    }
    (after <= LEFT_BY_POSTS * before).then_some(())?;
    with(posts)
}

/// Whether a move turns a post under saddles that have screws of their own.
pub(super) fn turns_posts(work: &PlanContext<'_>, moves: &[ScrewMove]) -> bool {
    let post = matches!(moves.first().map(|one| &one.screw), Some(TurnedScrew::BridgePost(_)));
    post && !work.facts.bridge.only_posts()
}
