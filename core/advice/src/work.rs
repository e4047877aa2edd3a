//! What every step needs: the bench, the model of each string, what the instrument has shown; and
//! how a step opens, by comparing a reading with a target.

use fallaway_measure::{Location, Place, Quantity};

use crate::bench::{Bench, Seen, Standing};
use crate::facts::Facts;
use crate::input::{Goal, Input};
use crate::known::{Bound, Known};
use crate::learn::{self, Response};
use crate::neck::StringModel;
use crate::plan::{Basis, Compared, Remark, Step, StepKind, Verdict, Why};
use crate::thing::{Class, Thing};

/// Uncertainty in mm of relief read on one side, for a string somewhere between the sides (common
/// practice, no source).
const SIDE_MM: f64 = 0.05;

/// Everything the steps draw on.
pub(crate) struct Work<'b> {
    pub bench: &'b Bench<'b>,
    pub facts: &'b Facts,
    pub rod: Response,
    models: Vec<(Place, StringModel)>,
}

/// How a step opened.
pub(crate) enum Opened {
    /// The verdict stands.
    Closed(Step),
    /// Off, beyond the tolerance and beyond what the reading can tell.
    Off(Step, Compared),
}

impl<'b> Work<'b> {
    pub fn new(bench: &'b Bench<'b>) -> Self {
        let facts = &bench.input.facts;
        let mut models: Vec<(Place, StringModel)> = facts
            .strings
            .iter()
            .filter_map(|s| Some((s.place, StringModel::new(s.scale_mm?, facts)?)))
            .collect();
        for thing in bench.read_today() {
            let Standing::Read { seen, .. } = bench.standing(thing, None) else { continue };
            for (place, model) in &mut models {
                match (thing.quantity, thing.location) {
                    (Quantity::Relief { .. }, Location::Side(_)) => {
                        let u = seen.known.standard_uncertainty.hypot(SIDE_MM);
                        let known = Known { standard_uncertainty: u, ..seen.known };
                        model.read(thing.quantity, known);
                    }
                    (Quantity::Relief { .. }, Location::Whole) => {
                        model.read(thing.quantity, seen.known);
                    }
                    (_, Location::Course(of)) if of == *place => {
                        model.read(thing.quantity, seen.known);
                    }
                    _ => {}
                }
            }
        }
        Self { bench, facts, rod: learn::rod(bench), models }
    }

    pub fn input(&self) -> &'b Input<'b> {
        self.bench.input
    }

    pub fn model(&self, place: Place) -> Option<&StringModel> {
        self.models.iter().find(|(p, _)| *p == place).map(|(_, m)| m)
    }

    /// The model that stands for the instrument where no string is named: the middle string's.
    pub fn middle_model(&self) -> Option<&StringModel> {
        self.models.get(self.models.len() / 2).map(|(_, m)| m)
    }

    /// All things of the wanted classes that have a target or were read today, targets first.
    pub fn things(&self, wanted: impl Fn(Class) -> bool) -> Vec<Thing> {
        let mut things: Vec<Thing> = Vec::new();
        let wished = self.input().wishes.iter().map(|w| w.thing);
        for thing in wished.chain(self.bench.read_today()) {
            if thing.class().is_some_and(&wanted) && !things.contains(&thing) {
                things.push(thing);
            }
        }
        things
    }

    /// Opens a step: target against reading. A thing without a target is `Measure` if `ask` and it
    /// was not read, else not applicable.
    pub fn open(&self, kind: StepKind, thing: Thing, ask: bool) -> Opened {
        let settled_by_default = default_goal(thing);
        let wish = self.input().wish(thing);
        let goal = wish.and_then(|w| w.settled()).cloned().or(match wish {
            None => settled_by_default,
            Some(_) => None,
        });
        let standing = self.bench.standing(thing, goal.as_ref().and_then(|g| g.posture));
        let mut step = Step::new(kind, Some(thing), Verdict::Measure);
        step.seen = standing.seen().cloned();
        step.target.clone_from(&goal);
        if let Some(wish) = wish.filter(|w| w.contested) {
            step.verdict = Verdict::TwoValues { values: wish.values.clone() };
            return Opened::Closed(step);
        }
        let (read, rests_on) = match standing {
            Standing::Read { seen, outvoted, elsewhere, .. } => {
                if !seen.tuned && thing.class() != Some(Class::Pitch) {
                    step.remarks.push(Remark::TuningNotNoted);
                }
                step.remarks.extend(outvoted.into_iter().map(Remark::Outvoted));
                step.remarks.extend(elsewhere.into_iter().map(Remark::OtherPosture));
                (seen.known, Basis::Reading)
            }
            Standing::Disagree { readings } => {
                step.seen = readings.last().cloned();
                step.verdict = Verdict::Disagree { readings };
                return Opened::Closed(step);
            }
            other => {
                let Some((known, from)) = self.converted(thing).filter(|_| goal.is_some()) else {
                    step.verdict = unread(&mut step.remarks, other, goal.is_some() || ask);
                    return Opened::Closed(step);
                };
                step.remarks.push(Remark::ConvertedFrom(from.clone()));
                let same_way = from.thing.quantity == thing.quantity;
                step.seen = Some(from);
                (known, if same_way { Basis::ElsewhereOnInstrument } else { Basis::Converted })
            }
        };
        let Some(compared) = goal.as_ref().and_then(|g| compared(read, g, rests_on)) else {
            step.verdict = Verdict::NotApplicable { why: Why::NoTarget };
            return Opened::Closed(step);
        };
        step.compared = Some(compared);
        let off = compared.off();
        let within = off.value.abs() <= compared.tolerance * (1.0 + 1e-9);
        step.verdict = match (within, off.tells(), off.bound) {
            (false, true, _) => return Opened::Off(step, compared),
            (true, _, Bound::Value) => Verdict::Fine,
            (false, false, Bound::Value) => Verdict::Same,
            // A bound that leaves open whether it is fine.
            _ => Verdict::Measure,
        };
        Opened::Closed(step)
    }

    /// A reading of another way, or of another place, turned into the way of `thing`.
    fn converted(&self, thing: Thing) -> Option<(Known, Seen)> {
        let class = thing.class()?;
        let kin = |other: Class| {
            (class == Class::Relief && other == Class::Relief)
                || (class.is_action() && other.is_action())
                || (class.is_nut() && other.is_nut())
        };
        let from = self
            .bench
            .read_today()
            .into_iter()
            .filter(|t| t.class().is_some_and(kin))
            .filter(|t| t.place() == thing.place() || class == Class::Relief)
            .find_map(|t| self.bench.standing(t, None).seen().cloned())?;
        if from.known.bound != Bound::Value {
            return None;
        }
        if from.thing.quantity == thing.quantity {
            let u = from.known.standard_uncertainty.hypot(SIDE_MM);
            return Some((Known { standard_uncertainty: u, ..from.known }, from));
        }
        let model = match thing.place() {
            Some(place) => self.model(place)?,
            None => self.middle_model()?,
        };
        Some((model.expect(thing.quantity)?, from))
    }
}

/// How far off pitch an open string may be, in cents, if nobody says otherwise (common practice, no
/// source).
pub const PITCH_CENT: i64 = 3;

fn compared(read: Known, goal: &Goal, rests_on: Basis) -> Option<Compared> {
    let wanted = Known::of_amount(goal.wanted).filter(|w| w.scale == read.scale)?;
    let tolerance = Known::of_amount(goal.tolerance).filter(|t| t.scale == read.scale)?;
    Some(Compared { read, wanted, tolerance: tolerance.value.abs(), rests_on })
}

/// The verdict for a thing that has no reading that stands.
fn unread(remarks: &mut Vec<Remark>, standing: Standing, wanted: bool) -> Verdict {
    if !wanted {
        return Verdict::NotApplicable { why: Why::NothingAsked };
    }
    match standing {
        Standing::Stale { last, deed, event } => {
            remarks.push(Remark::LastTime(last));
            Verdict::MeasureAgain { deed, event }
        }
        Standing::Earlier { last } => {
            remarks.push(Remark::LastTime(last));
            Verdict::Measure
        }
        _ => Verdict::Measure,
    }
}

/// Pitch is wanted at 0 cents, whether or not somebody wrote that down.
fn default_goal(thing: Thing) -> Option<Goal> {
    use fallaway_measure::{Amount, Unit};
    (thing.quantity == Quantity::Pitch).then(|| Goal {
        wanted: Amount::zero(Unit::Cent),
        tolerance: Amount::decimal(PITCH_CENT, 0, Unit::Cent).unwrap_or(Amount::zero(Unit::Cent)),
        posture: None,
        by: None,
        at: None,
    })
}
