//! What this instrument has shown: how its relief answers the rod, how its strings answer their
//! height screws, and which way each turns.
//!
//! A response is learned from a good reading before and a good reading after ([`super::follow`]), by
//! readers who knew of what was done, with nothing else between. The size of the rod's response starts
//! from a log-normal prior: median 0.15 mm of relief per quarter turn, within a factor of 2 (from
//! memory, common practice). The direction is known when this instrument has shown it, or when
//! somebody wrote it down; what is written counts for more than one turn that tells the opposite.

use fallaway_measure::{Location, Quantity};
use fallaway_mechanics::learn::rod::{PRIOR_FACTOR, PRIOR_MEDIAN_MM};
use fallaway_mechanics::learn::{RodPair, rod_response};
use fallaway_mechanics::units::{as_mm, mm};
use fallaway_record::EntryId;

use super::follow::{
    DoubtedReading, Followed, ResponsePair, SCATTER, Screws, TELLS_WAY, UsualEffect, follow,
};
use super::rod_way;
use crate::observe::{
    Bound, COVERAGE, Intervention, InterventionKind, Measurand, MeasurandKind, ReadingIndex,
};
use crate::turns::{TurnDirection, direction_of, sign};

/// What a screw or the rod does, as learned.
#[derive(Debug, Clone, PartialEq)]
pub struct ScrewResponse {
    /// Median size in mm per full turn, without sign.
    pub mm_per_turn: f64,
    /// Standard deviation of its natural logarithm.
    pub ln_sd: f64,
    /// Which way it turns to make the reading smaller; `None` while it has not been shown.
    pub lessens: Option<TurnDirection>,
    /// Of a rod whose way nobody wrote down, and that few turns have told: the probability that clockwise
    /// makes the reading smaller.
    pub(crate) clockwise_lessens: Option<f64>,
    /// The observations it rests on.
    pub pairs: Vec<ResponsePair>,
    /// Two observations that tell, and tell opposite directions, the newest among them, with no
    /// majority on its side: positions in `pairs`. Against what is written, two that agree.
    pub contradicts: Option<(usize, usize)>,
    /// Observations left out because more of them tell the other direction, or what is written:
    /// positions in `pairs`.
    pub outvoted: Vec<usize>,
    /// How many more observations tell the opposite of the written direction than tell the same.
    pub against_written: usize,
    /// Readings that their forecast did not allow, and that were not taken again.
    pub(crate) doubts: Vec<DoubtedReading>,
    /// Readings that were doubted and that the next did not bear out.
    pub(crate) slips: Vec<(EntryId, Measurand)>,
}

impl ScrewResponse {
    /// The largest response that is still likely: one standard deviation up.
    pub fn high(&self) -> f64 {
        self.mm_per_turn * self.ln_sd.exp()
    }

    /// Standard uncertainty of the effect of `turns`, in mm.
    pub(crate) fn uncertainty_mm(&self, turns: f64) -> f64 {
        // Log-normal: sd = median * e^(s^2/2) * sqrt(e^(s^2) - 1).
        let s2 = self.ln_sd * self.ln_sd;
        turns.abs() * self.mm_per_turn * (s2 / 2.0).exp() * (s2.exp() - 1.0).sqrt()
    }
}

/// How far a turn of a post may lie from the advance of its thread, as a standard deviation of the natural
/// logarithm (common practice, no source).
const POST_LN_SD: f64 = 0.08;
/// How far the rear edge of a floating bridge goes for a turn of both claw screws, in mm, and within what
/// factor: wood screws advance 1.5 to 2 mm a turn, levers are about alike (common practice, no source).
pub const CLAW_MM: f64 = 1.5;
const CLAW_LN_SD: f64 = 0.5;

/// How relief answers the rod.
pub(crate) fn rod(bench: &ReadingIndex<'_>) -> ScrewResponse {
    let usual =
        UsualEffect { per_turn: PRIOR_MEDIAN_MM, ln_sd: PRIOR_FACTOR.ln(), is_thread: false };
    let written = bench.input.facts.rod.less_relief;
    let followed = follow(
        bench,
        &Screws {
            reads: &|quantity| MeasurandKind::of(quantity) == Some(MeasurandKind::Relief),
            turns: &|done, _| done.turns.filter(|_| done.kind == InterventionKind::Rod),
            usual: &|_| Some(usual),
            written,
        },
    );
    let mut way = Way::of(&followed.pairs, written);
    let unsettled = written.is_none() && !rod_way::is_settled(&followed.pairs);
    let clockwise_lessens = unsettled.then(|| rod_way::clockwise_lessens(bench)).flatten();
    if let Some(most) = clockwise_lessens {
        way.lessens = match most {
            _ if most >= rod_way::KNOWN => Some(TurnDirection::Clockwise),
            _ if most <= 1.0 - rod_way::KNOWN => Some(TurnDirection::Anticlockwise),
            _ => None,
        };
    }
    let observed = observed(&followed.pairs, &way.outvoted);
    let size = observed.and_then(|(rate, sd)| {
        // All pairs in one: the same likelihood as each for itself, at the cost of one.
        let change = fallaway_mechanics::Uncertain::new(mm(rate), mm(sd)).ok()?;
        let [low, middle, high] =
            rod_response(&[RodPair { turns: 1.0, change }]).ok()?.per_turn.map(as_mm);
        (low > 0.0).then(|| (middle, ((high / low).ln() / 2.0).max(1e-3)))
    });
    let size = size.unwrap_or((usual.per_turn, usual.ln_sd));
    ScrewResponse { clockwise_lessens, ..way.response(size, followed) }
}

/// How action, read as `quantity`, answers the height screws, from the whole instrument: its screws
/// are alike. `thread` gives the effect of a turn where the thread is known.
pub(crate) fn height(
    bench: &ReadingIndex<'_>,
    quantity: Quantity,
    thread: &dyn Fn(Measurand) -> Option<UsualEffect>,
) -> ScrewResponse {
    let facts = &bench.input.facts;
    let raises = facts.bridge.matrix.as_ref().and_then(|m| m.screws().first()?.raises);
    // Posts under saddles with screws of their own have lessons of their own.
    let posts = facts.bridge.only_posts();
    let turns = |done: &Intervention, of: Measurand| {
        let own = done.post.is_some() == posts;
        Some(done.turns.filter(|_| own)? * facts.share(done, of.place()?)?)
    };
    of_screws(bench, quantity, &turns, thread, raises.map(TurnDirection::reversed))
}

/// How action, read as `quantity`, answers the posts under saddles that have screws of their own.
pub(crate) fn posts(
    bench: &ReadingIndex<'_>,
    quantity: Quantity,
    thread: &dyn Fn(Measurand) -> Option<UsualEffect>,
) -> ScrewResponse {
    let facts = &bench.input.facts;
    let turns = |done: &Intervention, of: Measurand| {
        done.post?;
        Some(done.turns? * facts.share(done, of.place()?)?)
    };
    let written = facts.bridge.post.raises.map(TurnDirection::reversed);
    of_screws(bench, quantity, &turns, thread, written)
}

/// How the height of the bridge at a post answers that post.
pub(crate) fn bridge_height(bench: &ReadingIndex<'_>) -> ScrewResponse {
    let post = bench.input.facts.bridge.post;
    let turns = |done: &Intervention, of: Measurand| match of.location {
        Location::Side(side) => done.turns.filter(|_| done.post == Some(side)),
        _ => None,
    };
    let usual = |_| {
        let per_turn = as_mm(post.thread?.pitch());
        Some(UsualEffect { per_turn, ln_sd: POST_LN_SD, is_thread: true })
    };
    let written = post.raises.map(TurnDirection::reversed);
    of_screws(bench, Quantity::BridgeHeight, &turns, &usual, written)
}

/// How the rear edge of the bridge answers the spring claw, its screws turned alike and the strings at
/// pitch again: the springs are then as long as before, so the edge goes about as far as the claw, by the
/// lever of the bridge.
pub(crate) fn claw(bench: &ReadingIndex<'_>) -> ScrewResponse {
    let claw = bench.input.facts.bridge.claw;
    let turns = |done: &Intervention, _: Measurand| {
        done.turns.filter(|_| done.kind == InterventionKind::Spring)
    };
    let per_turn = claw.thread.map_or(CLAW_MM, |thread| as_mm(thread.pitch()));
    let usual = |_| Some(UsualEffect { per_turn, ln_sd: CLAW_LN_SD, is_thread: false });
    // More pull draws the rear edge down.
    let of_claw = of_screws(bench, Quantity::BridgeTail, &turns, &usual, claw.raises);
    if of_claw.mm_per_turn > 1e-6 {
        return of_claw;
    }
    ScrewResponse { mm_per_turn: per_turn, ln_sd: CLAW_LN_SD, ..of_claw }
}

/// How intonation, read as `quantity`, answers the screws that move saddles fore and aft.
pub(crate) fn intonation(bench: &ReadingIndex<'_>, quantity: Quantity) -> ScrewResponse {
    let turns = |done: &Intervention, of: Measurand| {
        let own = done.places.as_slice() == [of.place()?];
        done.turns.filter(|_| own && done.kind == InterventionKind::SaddleForeAft)
    };
    // A longer string is flatter.
    of_screws(bench, quantity, &turns, &|_| None, bench.input.facts.bridge.lengthens)
}

/// How a pickup's gaps answer its screws.
pub(crate) fn pickup(bench: &ReadingIndex<'_>, quantity: Quantity) -> ScrewResponse {
    let number = match quantity {
        Quantity::PickupGap { pickup, .. } => Some(pickup),
        _ => None,
    };
    let turns = |done: &Intervention, _: Measurand| {
        let own = done.kind == InterventionKind::Pickup && done.pickup == number;
        done.turns.filter(|_| own)
    };
    of_screws(bench, quantity, &turns, &|_| None, bench.input.facts.pickup_raises)
}

fn of_screws(
    bench: &ReadingIndex<'_>,
    quantity: Quantity,
    turns: &dyn Fn(&Intervention, Measurand) -> Option<f64>,
    usual: &dyn Fn(Measurand) -> Option<UsualEffect>,
    written: Option<TurnDirection>,
) -> ScrewResponse {
    let reads = |of: Quantity| of == quantity;
    let followed = follow(bench, &Screws { reads: &reads, turns, usual, written });
    let way = Way::of(&followed.pairs, written);
    let (rate, sd) = observed(&followed.pairs, &way.outvoted).unwrap_or((0.0, 0.0));
    let per_turn = rate.abs();
    way.response((per_turn, sd / per_turn.max(1e-9)), followed)
}

/// Change for each turn, clockwise positive, and its standard uncertainty: least squares through the
/// origin.
fn observed(pairs: &[ResponsePair], outvoted: &[usize]) -> Option<(f64, f64)> {
    let (mut top, mut bottom) = (0.0, 0.0);
    for (index, pair) in pairs.iter().enumerate() {
        let sd = pair.change.standard_uncertainty.hypot(SCATTER * pair.change.value);
        if sd > 0.0 && pair.change.bound == Bound::Value && !outvoted.contains(&index) {
            top += pair.turns * pair.change.value / (sd * sd);
            bottom += pair.turns * pair.turns / (sd * sd);
        }
    }
    (bottom > 0.0).then(|| (top / bottom, (1.0 / bottom).sqrt()))
}

/// The way to a smaller reading, if the rate is told from zero. A positive rate: clockwise makes the
/// reading larger.
fn shown(observed: Option<(f64, f64)>) -> Option<TurnDirection> {
    let (rate, _) = observed.filter(|(rate, sd)| rate.abs() > COVERAGE * sd)?;
    direction_of(-rate)
}

/// The way to a smaller reading by all turns of a known thread together; `None` where none is known.
#[expect(clippy::option_option, reason = "no thread, and a thread that has not told")]
fn by_thread(pairs: &[ResponsePair]) -> Option<Option<TurnDirection>> {
    let odds: Vec<f64> = pairs.iter().filter_map(|pair| pair.way_odds).collect();
    let all: f64 = odds.iter().sum();
    (!odds.is_empty()).then(|| direction_of(-all).filter(|_| all.abs() > TELLS_WAY))
}

/// Which way some screws work.
struct Way {
    lessens: Option<TurnDirection>,
    contradicts: Option<(usize, usize)>,
    outvoted: Vec<usize>,
    against_written: usize,
}

impl Way {
    /// By what the pairs tell and what is written. What is written stands against one pair that tells
    /// the opposite: a reading before it may have been a slip, or the hand have turned the other way.
    /// Against two, and more than agree with it, it is in doubt. Without it the more decide; where the
    /// newest two are among the fewer, or half, it is in doubt.
    fn of(pairs: &[ResponsePair], written: Option<TurnDirection>) -> Self {
        let told: Vec<(usize, f64)> = pairs
            .iter()
            .enumerate()
            .filter(|(_, pair)| pair.shows())
            .map(|(at, pair)| (at, (pair.change.value * pair.turns).signum()))
            .collect();
        // Clockwise is positive: what lessens clockwise has a negative product.
        let expected = written.map(|lessens| -sign(lessens));
        let newest = told.last().map(|&(_, sign)| sign);
        // Several that agree do not turn round on one that tells the opposite.
        let one =
            |newest: f64| told.iter().rev().take_while(|(_, sign)| *sign == newest).count() == 1;
        let newest = newest.map(|newest| {
            let others = told.iter().filter(|(_, sign)| *sign != newest).count();
            if others >= 2 && others * 2 > told.len() && one(newest) { -newest } else { newest }
        });
        let Some(held) = expected.or(newest) else {
            let lessens = by_thread(pairs).unwrap_or_else(|| shown(observed(pairs, &[])));
            return Self { lessens, contradicts: None, outvoted: Vec::new(), against_written: 0 };
        };
        let against: Vec<usize> =
            told.iter().filter(|&&(_, sign)| sign != held).map(|&(at, _)| at).collect();
        let agree = told.len() - against.len();
        let last_against = against.last().copied();
        let contradicts = match (written, last_against, told.last()) {
            (Some(_), Some(last), _) if against.len() >= 2 && against.len() > agree => {
                against.iter().rev().nth(1).map(|&other| (other, last))
            }
            (None, Some(other), Some(&(newest, _))) if against.len() * 2 >= told.len() => {
                Some((other, newest))
            }
            _ => None,
        };
        if contradicts.is_some() {
            let against_written = written.map_or(0, |_| against.len() - agree);
            return Self { lessens: None, contradicts, outvoted: Vec::new(), against_written };
        }
        let against_written = written.map_or(0, |_| against.len().saturating_sub(agree));
        Self { lessens: direction_of(-held), contradicts, outvoted: against, against_written }
    }

    fn response(self, (mm_per_turn, ln_sd): (f64, f64), followed: Followed) -> ScrewResponse {
        let Self { lessens, contradicts, outvoted, against_written } = self;
        let Followed { pairs, doubts, slips } = followed;
        ScrewResponse {
            mm_per_turn,
            ln_sd,
            lessens,
            clockwise_lessens: None,
            pairs,
            contradicts,
            outvoted,
            against_written,
            doubts,
            slips,
        }
    }
}
