//! What other strings or another tuning will do, before it is done.

mod intonation;

use fallaway_measure::{Amount, Length, Note, StringPlace};
use fallaway_mechanics::strings::{MassBasis, SetComparison, compare_sets};
use fallaway_mechanics::units::as_mm;
use fallaway_mechanics::{Error, Result, Uncertain};
use fallaway_record::InstrumentSpec;
use fallaway_record::spec::{NutKind, StringConstruction, StringSpec};
use uom::si::f64::Force;
use uom::si::force::newton;

use crate::clearance::{ClearanceModel, ClearanceWhatIf, TouchUsed};
use crate::hazard::Hazard;
use crate::learn::{Interval, TensionLearned};
use crate::observe::{Facts, InterventionKind, MeasurandKind, again};
use crate::strings::{StringTension, tension_of, too_much_stress, weigh};

pub use intonation::SaddleMoves;

/// What is to be otherwise; strings that are not named stay as they are.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OtherStrings {
    /// Other strings by their places: what is fitted instead.
    pub strings: Vec<(StringPlace, StringSpec)>,
    /// Other notes by the places of their strings.
    pub notes: Vec<(StringPlace, Note)>,
}

impl OtherStrings {
    /// The instrument's facts with it.
    pub fn then(&self, spec: &InstrumentSpec) -> InstrumentSpec {
        let mut then = spec.clone();
        for (place, string) in &self.strings {
            then.strings.insert(*place, string.clone());
        }
        for (place, note) in &self.notes {
            // A string that stays keeps its mass, also where only its pack's tension is known.
            let stays = self.strings.iter().all(|(other, _)| other != place);
            if let Some(weighed) = stays.then(|| weigh(spec, *place)).flatten() {
                then.strings.insert(*place, weighed);
            }
            then.tuning.insert(*place, *note);
        }
        then
    }

    /// The question to a desk with these strings and notes: relief and saddles as they are.
    ///
    /// # Errors
    /// [`Error::Missing`] for a string without scale, note or gauge; as the pull of the strings.
    pub fn what_if(&self, spec: &InstrumentSpec, desk: &ClearanceModel) -> Result<ClearanceWhatIf> {
        what_if(&self.then(spec), desk)
    }
}

fn what_if(then: &InstrumentSpec, desk: &ClearanceModel) -> Result<ClearanceWhatIf> {
    let mut what_if = ClearanceWhatIf::default();
    for string in desk.strings() {
        let place = string.place;
        let note = then.tuning.get(&place).ok_or(Error::Missing {
            quantity: "note of the string",
            needed_for: "to forecast its tension",
        })?;
        what_if.hz.push(note.frequency_hz(then.a4_hz()));
        what_if.tensions.push(tension_of(then, place)?.tension.value);
    }
    Ok(what_if)
}

/// Whether a slot that was cut for the present gauge takes the new one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SlotFit {
    /// One of the gauges is not written.
    Unknown,
    /// The string is about as wide as the one that the slot was cut for.
    Fits,
    /// The new string is thicker: it may ride high or bind.
    MayBind,
    /// The new string is thinner: it may rattle or lie deeper.
    MayRattle,
}

/// A string thicker by more than this may bind in its slot, mm (common practice, no source).
pub(crate) const BINDS_MM: f64 = 0.08;
/// A string thinner by more than this may rattle in it, mm (common practice, no source).
pub(crate) const RATTLES_MM: f64 = 0.15;

/// One string before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct StringForecast {
    /// Which string it is.
    pub place: StringPlace,
    /// Its pull now.
    pub before: StringTension,
    /// Its pull then.
    pub after: StringTension,
    /// Its slot in the nut.
    pub slot: SlotFit,
    /// A plain string that would be stressed too far: do not tune it so.
    pub refused: bool,
    /// The lowest clean action now and then, by the clearance model; `None` if it cannot be told.
    pub lowest_action: Option<(Length, Length)>,
    /// Core or note differ, so that the saddle may have to move.
    pub intonation_moves: bool,
    /// How far, by the model of a stiff string; `None` where a core is not known, or nothing changes.
    pub saddle_moves: Option<SaddleMoves>,
}

/// Which way the relief will go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReliefGoes {
    /// More pull: more relief, until the rod is set again.
    Up,
    /// Less pull: less relief.
    Down,
    /// The change of pull is less than the estimate can tell.
    CannotTell,
}

/// By how much the relief changes, as learned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReliefChange {
    /// In mm, with an interval that holds 95 %; more relief is above zero.
    pub mm: Interval,
    /// From how many changes of strings or tuning it was learned.
    pub observations: usize,
}

/// What the change will do.
#[derive(Debug, Clone, PartialEq)]
pub struct StringsForecast {
    /// Each string, before and after.
    pub strings: Vec<StringForecast>,
    /// Tensions compared, with the sum on the neck.
    pub compared: SetComparison,
    /// Pull then minus pull now, on the neck. A string that stays has one mass, known or not, so that
    /// its part is as sure as the change of pitch is.
    pub difference: Uncertain<Force>,
    /// Which way the relief goes.
    pub relief: ReliefGoes,
    /// By how much, as this instrument has shown it; `None` while it has not: then only the direction is
    /// known.
    pub relief_change: Option<ReliefChange>,
    /// What can harm.
    pub cautions: Vec<Hazard>,
    /// What is to be read again afterwards, in the order of the work.
    pub again: Vec<MeasurandKind>,
}

/// Forecasts a change of strings or tuning. `desk` and `play` give the actions, if relief and action
/// were ever read.
///
/// # Errors
/// [`Error::Missing`] for a string without scale, note or gauge; [`Error::Inconsistent`] if nothing
/// changes; as the functions of `fallaway_mechanics::strings`.
pub fn forecast(
    spec: &InstrumentSpec,
    facts: &Facts,
    change: &OtherStrings,
    desk: Option<&mut ClearanceModel>,
    play: TouchUsed,
) -> Result<StringsForecast> {
    if change.strings.is_empty() && change.notes.is_empty() {
        return Err(Error::Inconsistent {
            what: "change of strings",
            reason: "nothing would change; name gauges or notes",
        });
    }
    let then = change.then(spec);
    let mut strings = Vec::new();
    for place in spec.places() {
        let (before, after) = (tension_of(spec, place)?, tension_of(&then, place)?);
        let plain = then.strings.get(&place).and_then(|s| s.construction)
            == Some(StringConstruction::Plain);
        let hz = then.tuning.get(&place).map_or(0.0, |n| n.frequency_hz(then.a4_hz()));
        let scale = then.scale_of(place).map_or(0.0, as_mm);
        strings.push(StringForecast {
            place,
            before,
            after,
            slot: slot(gauge(spec, place), gauge(&then, place)),
            refused: plain && too_much_stress(scale, hz, gauge(&then, place)),
            lowest_action: None,
            intonation_moves: before.tension != after.tension,
            saddle_moves: (before.tension != after.tension)
                .then(|| intonation::saddle_moves((spec, &before), (&then, &after), place))
                .flatten(),
        });
    }
    if let Some(desk) = desk {
        actions(desk, &then, &mut strings, play);
    }
    let tensions = |of: fn(&StringForecast) -> StringTension| -> Vec<_> {
        strings.iter().map(|s| of(s).tension).collect()
    };
    let compared = compare_sets(&tensions(|s| s.before), &tensions(|s| s.after))?;
    let difference = difference(&strings, change, (spec, &then));
    let relief = if difference.value.abs() <= difference.standard_uncertainty * 2.0 {
        ReliefGoes::CannotTell
    } else if difference.value.value > 0.0 {
        ReliefGoes::Up
    } else {
        ReliefGoes::Down
    };
    let mut cautions = Vec::new();
    if !change.strings.is_empty() {
        cautions.extend([Hazard::Eyes, Hazard::SharpTools]);
    }
    if compared.rise_to_warn {
        cautions.push(Hazard::TensionRise);
    }
    if strings.iter().any(|s| s.refused) {
        cautions.push(Hazard::Stress);
    }
    if facts.nut == Some(NutKind::Locking) {
        cautions.push(Hazard::LockingNut);
    }
    if facts.floating() {
        cautions.push(Hazard::FloatingRepeat);
    }
    let kind = if change.strings.is_empty() {
        InterventionKind::Tuning
    } else {
        InterventionKind::Strings
    };
    Ok(StringsForecast {
        strings,
        compared,
        difference,
        relief,
        relief_change: None,
        cautions,
        again: again(kind, facts),
    })
}

impl StringsForecast {
    /// The same with what this instrument has shown of relief and pull.
    #[must_use]
    pub fn with_learned(mut self, pull: &TensionLearned) -> Self {
        let newtons = self.difference.value.get::<newton>();
        let mm = pull.at(newtons).filter(|_| self.relief != ReliefGoes::CannotTell);
        self.relief_change =
            mm.map(|mm| ReliefChange { mm, observations: pull.per_newton.observations });
        self
    }
}

/// Of the share by which a mass guessed from an outer diameter may be off, what the strings of one maker
/// differ by among themselves: [`OF_ONE_KIND`] of `GAUGE_WIDTH`, 2.6 % of 3 % (the spread of the chart that
/// the guess comes from). The rest goes with the kind of string, and is the same for all of a kind.
const OF_ONE_KIND: f64 = 2.6 / 3.0;
/// Two strings of one gauge and kind differ by so much of their pull (as a pack does: common practice, no
/// source).
const PACK_TO_PACK: f64 = 0.01;

/// The change of the sum. Two sets of one kind do not err apart: what goes with the kind of string is off
/// the same way before and after, for every string.
fn difference(
    strings: &[StringForecast],
    change: &OtherStrings,
    (now, then): (&InstrumentSpec, &InstrumentSpec),
) -> Uncertain<Force> {
    let mut value = Force::default();
    let (mut alone, mut together) = (Vec::new(), Force::default());
    for string in strings {
        let (before, after) = (string.before.tension, string.after.tension);
        value += after.value - before.value;
        let wider = after.standard_uncertainty - before.standard_uncertainty;
        let guessed = |of: &StringTension| of.source == MassBasis::OuterDiameter;
        let made =
            |spec: &InstrumentSpec| spec.strings.get(&string.place).and_then(|s| s.construction);
        let same_kind =
            guessed(&string.before) && guessed(&string.after) && made(now) == made(then);
        let same_gauge = gauge(now, string.place) == gauge(then, string.place);
        if change.strings.iter().all(|(place, _)| *place != string.place) {
            // One string, one mass: both pulls are off by the same share.
            alone.push(wider);
        } else if same_kind && same_gauge {
            alone.extend([wider, before.value * PACK_TO_PACK, after.value * PACK_TO_PACK]);
        } else if same_kind {
            alone.extend([before, after].map(|of| of.standard_uncertainty * OF_ONE_KIND));
            together += wider * (1.0 - OF_ONE_KIND * OF_ONE_KIND).sqrt();
        } else {
            alone.extend([before, after].map(|of| of.standard_uncertainty));
        }
    }
    alone.push(together);
    Uncertain::from_contributions(value, &alone)
}

fn gauge(spec: &InstrumentSpec, place: StringPlace) -> Option<f64> {
    spec.strings.get(&place)?.gauge.and_then(Amount::length).map(as_mm)
}

fn slot(before: Option<f64>, after: Option<f64>) -> SlotFit {
    match before.zip(after).map(|(before, after)| after - before) {
        None => SlotFit::Unknown,
        Some(wider) if wider > BINDS_MM => SlotFit::MayBind,
        Some(wider) if wider < -RATTLES_MM => SlotFit::MayRattle,
        Some(_) => SlotFit::Fits,
    }
}

/// The lowest clean actions now and then, where the desk can tell both.
fn actions(
    desk: &mut ClearanceModel,
    then: &InstrumentSpec,
    strings: &mut [StringForecast],
    play: TouchUsed,
) {
    let Ok(what_if) = what_if(then, desk) else { return };
    let (Ok(now), Ok(later)) =
        (desk.ask(&ClearanceWhatIf::default(), play), desk.ask(&what_if, play))
    else {
        return;
    };
    for (now, later) in now.strings.iter().zip(&later.strings) {
        if let Some(string) = strings.iter_mut().find(|s| s.place == now.place) {
            string.lowest_action =
                now.lowest.zip(later.lowest).map(|(now, later)| (now.action, later.action));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observe::of_spec;
    use fallaway_measure::{Dimension, parse_amount};

    fn bass() -> InstrumentSpec {
        let template = fallaway_record::spec::templates().into_iter().find(|t| t.id == "bass-4");
        let mut spec = template.unwrap().spec;
        for (place, gauge) in
            spec.places().into_iter().zip(["0.045 in", "0.065 in", "0.085 in", "0.105 in"])
        {
            spec.strings.insert(place, of(gauge, StringConstruction::RoundWound));
        }
        spec
    }

    fn of(gauge: &str, made: StringConstruction) -> StringSpec {
        StringSpec {
            gauge: Some(parse_amount(gauge, None, Dimension::Length).unwrap()),
            construction: Some(made),
            ..StringSpec::default()
        }
    }

    fn ask(change: &OtherStrings) -> Result<StringsForecast> {
        let spec = bass();
        forecast(&spec, &of_spec(&spec), change, None, TouchUsed::with_force(1.5))
    }

    #[test]
    fn two_semitones_down_are_a_fifth_less_on_that_string() {
        // Tension goes with the square of the frequency: 2^(-1/3).
        let low = StringPlace::course(4).unwrap();
        let change =
            OtherStrings { notes: vec![(low, "D1".parse().unwrap())], ..OtherStrings::default() };
        let found = ask(&change).unwrap();
        let last = &found.strings[3];
        let ratio = last.after.tension.value / last.before.tension.value;
        assert!((ratio.value - 2f64.powf(-1.0 / 3.0)).abs() < 1e-9);
        assert!(found.strings[..3].iter().all(|s| s.before == s.after));
        assert!(found.compared.total.change.value.get::<newton>() < 0.0);
        // The mass may be off by a sixth; that the pull falls is sure.
        assert_eq!(found.relief, ReliefGoes::Down);
        assert!(
            found.again.contains(&MeasurandKind::Relief) && !found.cautions.contains(&Hazard::Eyes)
        );
    }

    #[test]
    fn a_much_heavier_set_warns_and_may_bind() {
        let spec = bass();
        let heavier = ["0.055 in", "0.080 in", "0.105 in", "0.135 in"];
        let strings =
            spec.places().into_iter().zip(heavier.map(|g| of(g, StringConstruction::RoundWound)));
        let found =
            ask(&OtherStrings { strings: strings.collect(), ..OtherStrings::default() }).unwrap();
        assert!(found.cautions.contains(&Hazard::TensionRise));
        assert!(found.cautions.contains(&Hazard::Eyes));
        assert_eq!(found.relief, ReliefGoes::Up);
        assert!(found.strings.iter().all(|s| s.slot == SlotFit::MayBind));
    }

    #[test]
    fn a_plain_string_near_breaking_is_refused() {
        // 4 rho L^2 f^2 of A2 on 34 in is 0.28 GPa; of A4 4.5 GPa.
        let high = StringPlace::course(1).unwrap();
        let change = OtherStrings {
            strings: vec![(high, of("0.010 in", StringConstruction::Plain))],
            notes: vec![(high, "A4".parse().unwrap())],
        };
        let found = ask(&change).unwrap();
        assert!(found.strings[0].refused && found.cautions.contains(&Hazard::Stress));
    }

    #[test]
    fn two_sets_of_one_kind_do_not_err_apart() {
        let places = bass().places();
        let set = |gauges: [&str; 4]| OtherStrings {
            strings: places
                .iter()
                .copied()
                .zip(gauges.map(|gauge| of(gauge, StringConstruction::RoundWound)))
                .collect(),
            notes: Vec::new(),
        };
        let (same, lighter) = (
            ask(&set(["0.045 in", "0.065 in", "0.085 in", "0.105 in"])).unwrap(),
            ask(&set(["0.040 in", "0.060 in", "0.080 in", "0.100 in"])).unwrap(),
        );
        let pulls = |of: &StringsForecast| -> Vec<(f64, f64)> {
            let newtons = |of: &StringTension| of.tension.value.get::<newton>();
            of.strings.iter().map(|one| (newtons(&one.before), newtons(&one.after))).collect()
        };
        let spread = |of: &StringsForecast| of.difference.standard_uncertainty.get::<newton>();
        // The same set anew: as one pack differs from the next, each string by itself.
        let alone: f64 =
            pulls(&same).iter().map(|(a, b)| (0.01 * a).powi(2) + (0.01 * b).powi(2)).sum();
        assert!((spread(&same) - alone.sqrt()).abs() < 1e-6, "{}", spread(&same));
        // Another: 2.6 % of each pull by itself, and of the change as a whole what is left of 3 %.
        let all = pulls(&lighter);
        let alone: f64 = all.iter().map(|(a, b)| 0.026_f64.powi(2) * (a * a + b * b)).sum();
        let change: f64 = all.iter().map(|(a, b)| b - a).sum();
        let together = (0.03_f64.powi(2) - 0.026_f64.powi(2)).sqrt() * change;
        let expected = (alone + together * together).sqrt();
        assert!((spread(&lighter) - expected).abs() < 1e-6, "{} {expected}", spread(&lighter));
    }

    #[test]
    fn nothing_changes() {
        assert!(matches!(ask(&OtherStrings::default()), Err(Error::Inconsistent { .. })));
    }
}
