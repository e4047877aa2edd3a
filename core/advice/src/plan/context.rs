//! What every step needs: the bench, the model of each string, what the instrument has shown; and
//! how a step opens, by comparing a reading with a target.

use fallaway_measure::Quantity;
use fallaway_mechanics::screws::Screw;
use fallaway_mechanics::units::as_mm;

use super::step::{PlanStep, StepKind, StepRemark, StepVerdict, WhyNot};
use crate::compare::{
    AgainstTarget, JudgedTogether, Judgement, RestsOn, SIDE_MM, StringModels, Trails, judge_by,
};
use crate::learn::follow::UsualEffect;
use crate::learn::{ScrewResponse, response};
use crate::observe::{
    Bound, Estimate, Facts, Freshness, Input, Measurand, MeasurandKind, Observation, ReadingIndex,
    Wanted,
};

/// How far a turn of a screw of known thread may lie from its advance and the model of the neck, as a
/// standard deviation of the natural logarithm (common practice, no source).
const THREAD_LN_SD: f64 = 0.08;

/// Everything the steps draw on.
pub(crate) struct PlanContext<'b> {
    pub bench: &'b ReadingIndex<'b>,
    pub facts: &'b Facts,
    pub rod: ScrewResponse,
    /// How each way of reading action answers the height screws.
    pub heights: Vec<(Quantity, ScrewResponse)>,
    /// And the posts under saddles that have height screws besides.
    pub(super) posts: Vec<(Quantity, ScrewResponse)>,
    pub models: StringModels,
    trails: Trails,
}

/// How a step opened.
pub(crate) enum StepOpening {
    /// The verdict stands.
    Closed(PlanStep),
    /// Off, beyond the tolerance and beyond what the reading can tell.
    Off(PlanStep, AgainstTarget),
}

impl<'b> PlanContext<'b> {
    pub(crate) fn new(bench: &'b ReadingIndex<'b>) -> Self {
        let facts = &bench.input.facts;
        let models = StringModels::of(bench);
        let mut work = Self {
            bench,
            facts,
            rod: response::rod(bench),
            heights: Vec::new(),
            posts: Vec::new(),
            models,
            trails: Trails::after(bench.input, &bench.interventions),
        };
        let mut ways: Vec<Quantity> = Vec::new();
        for measurand in work.measurands(MeasurandKind::is_action) {
            if !ways.contains(&measurand.quantity) {
                ways.push(measurand.quantity);
            }
        }
        if facts.bridge.posts.is_some() {
            let of_posts = |q| (q, response::posts(bench, q, &|of| work.post_effect(of)));
            work.posts = ways.iter().copied().map(of_posts).collect();
        }
        let learned =
            ways.into_iter().map(|q| (q, response::height(bench, q, &|of| work.thread_effect(of))));
        work.heights = learned.collect();
        work
    }

    /// What a turn of a height screw does to an action, by its thread and the model of the neck.
    pub(super) fn thread_effect(&self, of: Measurand) -> Option<UsualEffect> {
        self.effect(*self.facts.bridge.matrix.as_ref()?.screws().first()?, of)
    }

    /// What a turn of a post does to an action where it stands.
    pub(super) fn post_effect(&self, of: Measurand) -> Option<UsualEffect> {
        self.effect(self.facts.bridge.post, of)
    }

    fn effect(&self, screw: Screw, of: Measurand) -> Option<UsualEffect> {
        let per_turn = as_mm(screw.thread?.pitch()) * self.per_saddle(of)?;
        Some(UsualEffect { per_turn, ln_sd: THREAD_LN_SD, is_thread: true })
    }

    /// By how much the gap grows for each mm by which the saddle rises.
    pub(crate) fn per_saddle(&self, of: Measurand) -> Option<f64> {
        let ratio = self.models.of_string(of.place()?)?.per_saddle(of.quantity)?;
        (ratio.value > 1e-3).then_some(ratio.value)
    }

    /// How an action answers the height screws.
    pub(crate) fn height(&self, quantity: Quantity) -> Option<&ScrewResponse> {
        self.heights.iter().find(|(q, _)| *q == quantity).map(|(_, response)| response)
    }

    /// How an action answers the posts under saddles that have height screws besides.
    pub(crate) fn posts(&self, quantity: Quantity) -> Option<&ScrewResponse> {
        self.posts.iter().find(|(q, _)| *q == quantity).map(|(_, response)| response)
    }

    /// What the screws that move a thing have shown.
    fn responses(&self, of: Measurand) -> impl Iterator<Item = &ScrewResponse> {
        let [one, other] = match of.kind() {
            Some(MeasurandKind::Relief) => [Some(&self.rod), None],
            Some(kind) if kind.is_action() => [self.height(of.quantity), self.posts(of.quantity)],
            _ => [None, None],
        };
        one.into_iter().chain(other)
    }

    pub(crate) fn input(&self) -> &'b Input<'b> {
        self.bench.input
    }

    /// All things of the wanted classes that have a target or were read today, targets first.
    pub(crate) fn measurands(&self, wanted: impl Fn(MeasurandKind) -> bool) -> Vec<Measurand> {
        let mut measurands: Vec<Measurand> = Vec::new();
        let wished = self.input().targets.iter().map(|w| w.measurand);
        for measurand in wished.chain(self.bench.read_today()) {
            if measurand.kind().is_some_and(&wanted) && !measurands.contains(&measurand) {
                measurands.push(measurand);
            }
        }
        measurands
    }

    /// Opens a step: target against reading. A thing without a target is `Measure` if `ask` and it
    /// was not read, else not applicable.
    pub(crate) fn open(&self, kind: StepKind, measurand: Measurand, ask: bool) -> StepOpening {
        self.open_judged(kind, measurand, ask).0
    }

    /// The same, with what the reading was judged by.
    pub(crate) fn open_judged(
        &self,
        kind: StepKind,
        measurand: Measurand,
        ask: bool,
    ) -> (StepOpening, Option<JudgedTogether>) {
        if !self.facts.has(measurand) {
            let of_bridge =
                matches!(measurand.quantity, Quantity::BridgeHeight | Quantity::BridgeTail);
            let why = if of_bridge { WhyNot::BridgeStands } else { WhyNot::NoSuchPlace };
            let verdict = StepVerdict::NotApplicable { why };
            return (StepOpening::Closed(PlanStep::new(kind, Some(measurand), verdict)), None);
        }
        let (mut step, compared) = match self.compare(kind, measurand, ask) {
            Ok(compared) => compared,
            Err(closed) => return (StepOpening::Closed(closed), None),
        };
        let over_stated = step.seen.as_ref().and_then(|s| s.repeats).map(|r| r.over_stated);
        let judged = judge_by(&compared, self.trails.get(measurand), over_stated);
        let JudgedTogether { judgement, compared, doubted, .. } = judged;
        step.compared = Some(compared);
        step.verdict = match judgement {
            // What stood at an earlier visit is not worked on before it is read again.
            Judgement::Above | Judgement::Below
                if step.seen.as_ref().is_some_and(|seen| !self.bench.is_today(seen.event)) =>
            {
                step.compared = None;
                StepVerdict::Measure
            }
            Judgement::Above | Judgement::Below => {
                // Before anything is turned for a reading that its forecast does not allow, it is
                // taken again.
                let doubt = self.responses(measurand).find_map(|r| {
                    let seen = step.seen.as_ref()?;
                    r.doubts
                        .iter()
                        .find(|d| d.seen.entry == seen.entry && d.seen.measurand == seen.measurand)
                });
                match doubt.map(|d| d.forecast).or(doubted) {
                    Some(forecast) => StepVerdict::ReadAgain { forecast },
                    None => return (StepOpening::Off(step, compared), Some(judged)),
                }
            }
            Judgement::OnTarget => StepVerdict::Fine,
            Judgement::OnTargetWithinError => StepVerdict::Same,
            Judgement::CannotTell => {
                let read = compared.rests_on == RestsOn::Reading;
                if read && compared.is_coarse() {
                    StepVerdict::MeasureFiner
                } else {
                    StepVerdict::Measure
                }
            }
        };
        (StepOpening::Closed(step), Some(judged))
    }

    /// A reading beside its target; or the step as it is without one.
    #[expect(clippy::result_large_err, reason = "a step is made for each thing, and kept")]
    fn compare(
        &self,
        kind: StepKind,
        measurand: Measurand,
        ask: bool,
    ) -> Result<(PlanStep, AgainstTarget), PlanStep> {
        let settled_by_default = default_goal(measurand);
        let target_state = self.input().target_state(measurand);
        let goal = target_state.and_then(|w| w.settled()).cloned().or(match target_state {
            None => settled_by_default,
            Some(_) => None,
        });
        let is_slip = |seen: &Observation| {
            self.responses(measurand).any(|r| r.slips.contains(&(seen.entry, seen.measurand)))
        };
        let posture = goal.as_ref().and_then(|g| g.posture);
        let standing = self.bench.standing_without(measurand, posture, &is_slip);
        let mut step = PlanStep::new(kind, Some(measurand), StepVerdict::Measure);
        step.seen = standing.seen().cloned();
        step.target.clone_from(&goal);
        if let Some(target_state) = target_state.filter(|w| w.contested) {
            step.verdict = StepVerdict::TwoValues { values: target_state.values.clone() };
            return Err(step);
        }
        let (read, rests_on) = match standing {
            Freshness::Read { seen, outvoted, elsewhere, .. } => {
                // A straight edge on the frets asks for no string at pitch.
                let at_any_pitch = [MeasurandKind::Pitch, MeasurandKind::FallAway];
                if !seen.tuned && !measurand.kind().is_some_and(|kind| at_any_pitch.contains(&kind))
                {
                    step.remarks.push(StepRemark::TuningNotNoted);
                }
                step.remarks.extend(outvoted.into_iter().map(StepRemark::Outvoted));
                step.remarks.extend(elsewhere.into_iter().map(StepRemark::OtherPosture));
                (seen.known, RestsOn::Reading)
            }
            Freshness::Disagree { readings } => {
                step.seen = readings.last().cloned();
                step.verdict = StepVerdict::Disagree { readings };
                return Err(step);
            }
            // No season and no turn of a screw moves a gap at the nut of a string that is held down behind
            // it: what was read at an earlier visit stands until the slot or the strings are changed.
            Freshness::Earlier { last }
                if goal.is_some()
                    && measurand.kind() == Some(MeasurandKind::NutHeld)
                    && self.bench.done_since(&last).is_none() =>
            {
                step.remarks.push(StepRemark::LastTime(last.clone()));
                let known = last.known;
                step.seen = Some(last);
                (known, RestsOn::Reading)
            }
            other => {
                let Some((known, from)) = self.converted(measurand).filter(|_| goal.is_some())
                else {
                    step.verdict = unread(&mut step.remarks, other, goal.is_some() || ask);
                    return Err(step);
                };
                step.remarks.push(StepRemark::ConvertedFrom(from.clone()));
                let same_way = from.measurand.quantity == measurand.quantity;
                step.seen = Some(from);
                (known, if same_way { RestsOn::ElsewhereOnInstrument } else { RestsOn::Converted })
            }
        };
        let Some(compared) =
            goal.as_ref().and_then(|g| AgainstTarget::new(read, g.wanted, g.tolerance, rests_on))
        else {
            step.verdict = StepVerdict::NotApplicable { why: WhyNot::NoTarget };
            return Err(step);
        };
        Ok((step, compared))
    }

    /// A reading of another way, or of another place, turned into the way of `measurand`.
    fn converted(&self, measurand: Measurand) -> Option<(Estimate, Observation)> {
        let class = measurand.kind()?;
        let kin = |other: MeasurandKind| {
            (class == MeasurandKind::Relief && other == MeasurandKind::Relief)
                || (class.is_action() && other.is_action())
                || (class.is_nut() && other.is_nut())
        };
        let from = self
            .bench
            .read_today()
            .into_iter()
            .filter(|t| t.kind().is_some_and(kin))
            .filter(|t| t.place() == measurand.place() || class == MeasurandKind::Relief)
            .find_map(|t| self.bench.standing(t, None).seen().cloned())?;
        if from.known.bound != Bound::Value {
            return None;
        }
        if from.measurand.quantity == measurand.quantity {
            let u = from.known.standard_uncertainty.hypot(SIDE_MM);
            return Some((Estimate { standard_uncertainty: u, ..from.known }, from));
        }
        let model = match measurand.place() {
            Some(place) => self.models.of_string(place)?,
            None => self.models.middle()?,
        };
        Some((model.expect(measurand.quantity)?, from))
    }
}

/// How far off pitch an open string may be, in cents, if nobody says otherwise (common practice, no
/// source).
pub(crate) const PITCH_CENT: i64 = 3;

/// The verdict for a thing that has no reading that stands.
fn unread(remarks: &mut Vec<StepRemark>, standing: Freshness, wanted: bool) -> StepVerdict {
    if !wanted {
        return StepVerdict::NotApplicable { why: WhyNot::NothingAsked };
    }
    match standing {
        Freshness::Stale { last, intervention, entry } => {
            remarks.push(StepRemark::LastTime(last));
            StepVerdict::MeasureAgain { intervention, entry }
        }
        Freshness::Earlier { last } => {
            remarks.push(StepRemark::LastTime(last));
            StepVerdict::Measure
        }
        _ => StepVerdict::Measure,
    }
}

/// Pitch is wanted at 0 cents, whether or not somebody wrote that down.
fn default_goal(measurand: Measurand) -> Option<Wanted> {
    use fallaway_measure::{Amount, Unit};
    (measurand.quantity == Quantity::Pitch).then(|| Wanted {
        wanted: Amount::zero(Unit::Cent),
        tolerance: Amount::decimal(PITCH_CENT, 0, Unit::Cent).unwrap_or(Amount::zero(Unit::Cent)),
        posture: None,
        by: None,
        at: None,
        taken: false,
    })
}
