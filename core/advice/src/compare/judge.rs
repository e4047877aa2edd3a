//! Whether a reading meets its target: the one rule, for plan, card and list.
//!
//! An adjustment is called for when the best estimate lies outside the tolerance (simple acceptance,
//! JCGM 106:2012, 8.2) and the reading tells on which side of the wanted value it lies, that is by more
//! than [`crate::observe::COVERAGE`] standard uncertainties of the difference (JCGM 100:2008, 6.3.3).
//! A turn toward the wanted value then makes it better, however far exactly it is off. Outside the
//! tolerance by the numbers, but not told apart from the wanted value, a turn would be a guess. Of a single
//! reading that is called on target only where it is as fine as the tolerance: a coarser one leaves it open. Of
//! a string's action all that was read decides, by whether a turn would help.

use fallaway_measure::Amount;

use super::against_target::{AgainstTarget, RestsOn};
use super::belief::Belief;
use super::trail::Trail;
use crate::observe::{Bound, COVERAGE, Estimate, EstimateUnit};

/// A string is turned if that helps with at least this probability: if it is outside its tolerance now, and
/// within it afterwards;
const HELPS: f64 = 0.75;
/// with this if it is outside, whatever the turn makes of it;
const SURELY_OUTSIDE: f64 = 0.9;
/// and on the other side of the wanted value with no more than this.
const OTHER_SIDE: f64 = 0.05;
/// Beyond the tolerance by no more than this, in mm or cents, is within it: finer than any tool that strings are read
/// with shows, a dial gauge in ten-thousandths of an inch or a tuner in tenths; no hand turns for that.
const NO_WORK: (f64, f64) = (0.0025, 0.05);
/// A single reading is coarser than its tolerance where its standard uncertainty is more than this many times as
/// large: a tolerance as wide as a hand repeats is meant to be met by that hand (a choice).
const COARSER: f64 = 1.1;
/// How far strings lie off what is wanted of them when they are read, one standard deviation in mm: most stand
/// near it (common practice, no source).
const USUAL_OFF_MM: f64 = 0.7;
/// A reading that is a slip, or the first to show nothing of a turn, with at least this probability is taken
/// again before it is acted upon.
const MAYBE_SLIP: f64 = 0.1;
/// A turn that did nothing with at least this probability, by two readings, is made again.
const MAYBE_SILENT: f64 = 0.2;

/// How a reading lies to its target.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Judgement {
    /// Within the tolerance.
    OnTarget,
    /// Beyond the tolerance by the numbers, but not told apart from what is wanted.
    OnTargetWithinError,
    /// Too much: to be adjusted.
    Above,
    /// Too little: to be adjusted.
    Below,
    /// Only one side of a value was read, or a value more coarsely than the tolerance asks for, and that leaves
    /// open whether it is on target.
    CannotTell,
}

impl Judgement {
    /// Whether nothing is to be done.
    pub const fn on_target(self) -> bool {
        matches!(self, Self::OnTarget | Self::OnTargetWithinError)
    }

    /// Whether it is to be adjusted.
    pub(crate) const fn calls_for_work(self) -> bool {
        matches!(self, Self::Above | Self::Below)
    }
}

/// Judges a reading by its target.
pub fn judge(compared: &AgainstTarget) -> Judgement {
    let off = compared.off();
    match (compared.holds(off.value), off.tells(), off.bound) {
        (false, true, _) if off.value > 0.0 => Judgement::Above,
        (false, true, _) => Judgement::Below,
        (true, _, Bound::Value) => Judgement::OnTarget,
        (false, false, Bound::Value)
            if compared.read.standard_uncertainty <= COARSER * compared.tolerance
                || !compared.is_coarse() =>
        {
            Judgement::OnTargetWithinError
        }
        _ => Judgement::CannotTell,
    }
}

/// A reading judged together with what was known before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JudgedTogether {
    /// How it lies to its target.
    pub judgement: Judgement,
    /// The same comparison, with what all of it says as what was read.
    pub compared: AgainstTarget,
    /// What should have been read, where the reading may be a slip and it calls for work if it is none:
    /// to be read again before anything is turned.
    pub doubted: Option<Estimate>,
    /// By how much the reading lies over what should have been read, where no reading since the last turn
    /// agrees with it.
    pub surprise: Option<Estimate>,
    /// The same, whether or not another agrees.
    pub moved: Option<Estimate>,
    /// What should have been read.
    pub forecast: Option<Estimate>,
    /// How many turns have taken the string up and down, where that is enough, and the tool does not tell the
    /// tolerance: it is left as it stands, within reading error, wherever it is read.
    pub to_and_fro: Option<u16>,
}

/// Judges the action of a string by the reading and its trail: what was read before, and what was turned
/// since. Without a trail, and for a mere bound, by the reading alone.
///
/// Work is called for where the reading lies outside the tolerance, and a turn helps with 75 % or more, on a
/// side that is as good as sure; and where the last turn shows in none of two readings.
pub fn judge_by(
    compared: &AgainstTarget,
    trail: Option<&Trail>,
    over_stated: Option<f64>,
) -> JudgedTogether {
    let by_reading = JudgedTogether {
        judgement: judge(compared),
        compared: *compared,
        doubted: None,
        surprise: None,
        moved: None,
        forecast: None,
        to_and_fro: None,
    };
    let read = compared.read;
    let is_value = read.bound == Bound::Value && read.value >= 0.0;
    let told = compared.rests_on == RestsOn::Reading && read.scale == EstimateUnit::Millimetre;
    let belief = trail.filter(|_| is_value && told).and_then(|t| Belief::of(t, over_stated));
    let Some(mut belief) = belief else { return by_reading };
    let (wanted, tolerance) = (compared.wanted.value, compared.tolerance);
    belief.near(wanted, USUAL_OFF_MM);
    let (middle, u) = belief.estimate();
    let (low, high) = (belief.below(wanted - tolerance), 1.0 - belief.below(wanted + tolerance));
    let over = middle > wanted;
    let other = if over { belief.below(wanted) } else { 1.0 - belief.below(wanted) };
    // The newest reading alone: what lies within its tolerance as read is not turned.
    let reads_off = !compared.holds(belief.newest - wanted);
    // A string that touches does not say how hard: only whether that can be.
    let touches = read.value == 0.0;
    let inside = belief.below(middle + tolerance) - belief.below(middle - tolerance);
    let silent = belief.silent();
    let unseen = reads_off && belief.confirmed && silent >= MAYBE_SILENT;
    let is_off = (unseen || likely_outside(low + high, inside)) && other <= OTHER_SIDE;
    let forecast = belief.forecast().map(|(value, u)| Estimate::mm(value, u));
    let moved = forecast.map(|f| read.minus(f));
    let surprise = moved.filter(|_| !belief.confirmed);
    let doubted = belief.slip >= MAYBE_SLIP || (reads_off && silent >= MAYBE_SLIP);
    if doubted && (is_off || reads_off) && forecast.is_some() && !belief.confirmed {
        let side =
            if by_reading.judgement.calls_for_work() { by_reading.judgement } else { side(over) };
        return JudgedTogether {
            judgement: side,
            doubted: forecast,
            surprise,
            moved,
            forecast,
            ..by_reading
        };
    }
    if touches {
        return by_reading;
    }
    let coarse = reads_off && COVERAGE * read.standard_uncertainty > tolerance;
    let to_and_fro = trail.filter(|_| coarse).and_then(Trail::to_and_fro);
    let read = Estimate { value: middle, standard_uncertainty: u, ..read };
    let compared = AgainstTarget { read, ..*compared };
    let judgement = match (reads_off, is_off && to_and_fro.is_none()) {
        (true, true) => side(over),
        (true, false) => Judgement::OnTargetWithinError,
        (false, _) => Judgement::OnTarget,
    };
    JudgedTogether { judgement, compared, doubted: None, surprise, moved, forecast, to_and_fro }
}

/// Whether a string is to be turned that is outside its tolerance with this probability, and within it with
/// that once it is turned.
pub(super) fn likely_outside(outside: f64, inside: f64) -> bool {
    outside >= (HELPS / inside.max(HELPS)).min(SURELY_OUTSIDE)
}

fn side(over: bool) -> Judgement {
    if over { Judgement::Above } else { Judgement::Below }
}

impl AgainstTarget {
    /// A reading beside what is wanted. `None` if the two are not of one kind.
    pub fn new(
        read: Estimate,
        wanted: Amount,
        tolerance: Amount,
        rests_on: RestsOn,
    ) -> Option<Self> {
        let wanted = Estimate::of_amount(wanted).filter(|w| w.scale == read.scale)?;
        let tolerance = Estimate::of_amount(tolerance).filter(|t| t.scale == read.scale)?;
        Some(Self { read, wanted, tolerance: tolerance.value.abs(), rests_on })
    }

    /// Whether so much off what is wanted is within the tolerance, as far as that is ever worked on.
    fn holds(&self, off: f64) -> bool {
        let (mm, cents) = NO_WORK;
        let more = if self.read.scale == EstimateUnit::Cent { cents } else { mm };
        off.abs() <= self.tolerance + more
    }
}

#[cfg(test)]
mod tests {
    use super::super::trail::Clue;
    use super::*;
    use fallaway_measure::{Reading, Tool, Unit};

    fn judged(read: Reading, tool: Tool) -> Judgement {
        let mm = |digits| Amount::decimal(digits, 2, Unit::Millimetre).unwrap();
        let read = Estimate::of_reading(read, Some(tool)).unwrap();
        let against = AgainstTarget::new(read, mm(25), mm(5), RestsOn::Reading).unwrap();
        judge(&against)
    }

    fn hundredths(digits: i64) -> Amount {
        Amount::decimal(digits, 2, Unit::Millimetre).unwrap()
    }

    #[test]
    fn beyond_the_tolerance_and_told_apart_from_the_target_is_off() {
        // A 0.01 mm feeler: u = hypot(0.005 / sqrt(3), 0.015) = 0.0153 mm, twice that 0.031 mm.
        let feeler = |digits| judged(Reading::Value(hundredths(digits)), Tool::FEELER_MM);
        assert_eq!(feeler(30), Judgement::OnTarget);
        assert_eq!(feeler(31), Judgement::Above);
        assert_eq!(feeler(19), Judgement::Below);
        // The 1/64 in rule (u about 0.125 mm) cannot tell 0.34 from 0.25 mm, and is coarser than 0.05 mm.
        let rule = |digits| judged(Reading::Value(hundredths(digits)), Tool::RULE_64);
        assert_eq!(rule(34), Judgement::CannotTell);
        assert_eq!(rule(27), Judgement::OnTarget);
        assert_eq!(rule(60), Judgement::Above);
        // It is as fine as 0.15 mm.
        let read = Estimate::of_reading(Reading::Value(hundredths(45)), Some(Tool::RULE_64));
        let (wanted, wide) = (hundredths(25), hundredths(15));
        let against = AgainstTarget::new(read.unwrap(), wanted, wide, RestsOn::Reading);
        assert_eq!(judge(&against.unwrap()), Judgement::OnTargetWithinError);
    }

    /// What is wanted is 2.0 mm give or take 0.2; readings in sixty-fourths.
    fn by(trail: &Trail, marks: i32) -> JudgedTogether {
        let sixty_fourths = Reading::Value(Amount::fraction(marks, 64).unwrap());
        let read = Estimate::of_reading(sixty_fourths, Some(Tool::RULE_64)).unwrap();
        let wanted = Amount::decimal(20, 1, Unit::Millimetre).unwrap();
        let tolerance = Amount::decimal(2, 1, Unit::Millimetre).unwrap();
        let against = AgainstTarget::new(read, wanted, tolerance, RestsOn::Reading).unwrap();
        judge_by(&against, Some(trail), None)
    }

    fn rule(trail: &mut Trail, marks: i32, day: i64) {
        let sixty_fourths = Reading::Value(Amount::fraction(marks, 64).unwrap());
        trail.read(sixty_fourths, Some(Tool::RULE_64), None, day * 86_400);
    }

    #[test]
    fn a_neighbouring_mark_at_a_later_visit_is_no_reason_to_turn_and_two_marks_are_read_again() {
        let mut trail = Trail::default();
        rule(&mut trail, 5, 0);
        rule(&mut trail, 6, 90);
        // 5/64 is 1.98 mm, 6/64 is 2.38 mm: the string stands between them.
        let found = by(&trail, 6);
        assert_eq!(found.judgement, Judgement::OnTargetWithinError);
        let between = found.compared.read.value;
        assert!(between > 2.05 && between < 2.3, "{between}");
        // The first reading alone calls for work, as it did before anything else was known.
        let mut alone = Trail::default();
        rule(&mut alone, 6, 0);
        assert_eq!(by(&alone, 6).judgement, Judgement::Above);
        // Two marks: turned, or misread. Once it is read again, it was turned.
        let mut moved = Trail::default();
        rule(&mut moved, 5, 0);
        rule(&mut moved, 8, 90);
        let doubted = by(&moved, 8);
        assert_eq!(doubted.judgement, Judgement::Above);
        assert!((doubted.doubted.unwrap().value - 1.98).abs() < 0.1, "{doubted:?}");
        rule(&mut moved, 8, 90);
        let sure = by(&moved, 8);
        assert_eq!((sure.judgement, sure.doubted), (Judgement::Above, None));
        assert!((sure.compared.read.value - 3.17).abs() < 0.1, "{sure:?}");
    }

    #[test]
    fn a_turn_that_does_not_show_is_read_again_and_then_made_again() {
        // The thread and the neck say 0.4 mm down, which is a mark: 6/64 should have become 5/64.
        let mut trail = Trail::default();
        rule(&mut trail, 6, 0);
        trail.clues.push(Clue::Turned { by: -0.4, sd: 0.04, written: true });
        rule(&mut trail, 6, 0);
        let once = by(&trail, 6);
        assert_eq!(once.judgement, Judgement::Above);
        assert!((once.doubted.unwrap().value - 1.98).abs() < 0.1, "{once:?}");
        rule(&mut trail, 6, 0);
        let again = by(&trail, 6);
        assert_eq!((again.judgement, again.doubted), (Judgement::Above, None));
    }

    #[test]
    fn a_turn_has_to_help() {
        // A dial gauge brings what is turned within the tolerance, a coarse rule six times in seven.
        assert!(likely_outside(0.76, 1.0) && !likely_outside(0.74, 1.0));
        assert!(likely_outside(0.88, 0.86) && !likely_outside(0.86, 0.86));
        // What is surely off is turned, however little is known of it then.
        assert!(likely_outside(0.91, 0.4));
    }

    #[test]
    fn a_reading_within_the_tolerance_is_on_target() {
        let mut trail = Trail::default();
        rule(&mut trail, 5, 0);
        assert_eq!(by(&trail, 5).judgement, Judgement::OnTarget);
    }

    #[test]
    fn what_no_tool_tells_from_the_tolerance_is_no_work() {
        // 10 thou is 0.254 mm (1 in = 25.4 mm exactly): 0.0508 mm over 8 thou, 0.0008 mm more than 0.05 mm.
        let thou = |n| Amount::decimal(n, 0, Unit::Thou).unwrap();
        let of = |n| {
            let read = Estimate::of_reading(Reading::Value(thou(n)), Some(Tool::FEELER_THOU));
            let against =
                AgainstTarget::new(read.unwrap(), thou(8), hundredths(5), RestsOn::Reading);
            judge(&against.unwrap())
        };
        assert_eq!([of(10), of(6)], [Judgement::OnTarget; 2]);
        assert_eq!([of(11), of(5)], [Judgement::Above, Judgement::Below]);
    }

    #[test]
    fn a_bound_judges_on_its_own_side_only() {
        let at_least = |digits| judged(Reading::AtLeast(hundredths(digits)), Tool::FEELER_MM);
        assert_eq!(at_least(40), Judgement::Above);
        assert_eq!(at_least(25), Judgement::CannotTell);
        assert_eq!(at_least(10), Judgement::CannotTell);
    }
}
