//! Targets that come from elsewhere: another instrument, numbers of the shop, what is usual.

use fallaway_advice::observe::{of_spec, usual_tolerance};
use fallaway_measure::{
    Amount, Fret, InstrumentFamily, Location, Note, Quantity, StringPlace, Unit,
};
use fallaway_order::PutInOrder as _;
use fallaway_record::spec::{HeightBy, StringConstruction};
use fallaway_record::{InstrumentSpec, Moment, SetupId, Target};

use crate::error::{Error, NotFoundKind, Result};
use crate::instrument::Instrument;
use crate::keeping::shop::ShopSpec;
use crate::showing::views::Setup;
use crate::writing::setups::chosen;
use crate::writing::write_options::WriteOptions;

/// Whose label stands at targets that are usual ones.
const USUAL: &str = "usual";

/// Where targets come from.
#[derive(Clone, Copy)]
pub enum TargetSource<'a> {
    /// A setup of another instrument; its default one if none is named.
    Instrument(&'a Instrument, Option<&'a SetupId>),
    /// Numbers of the shop.
    Spec(&'a ShopSpec),
    /// What is usual on such an instrument (common practice, no source). [`Target::by`] of each is "usual",
    /// so that nobody takes them for somebody's wish.
    Usual,
}

/// Targets that were taken from elsewhere.
#[derive(Debug, Clone)]
pub struct TakenTargets {
    /// The setup with them.
    pub setup: Setup,
    /// What could not be taken: read at a fret, string or pickup that this instrument does not have.
    pub left_out: Vec<Quantity>,
    /// Strings that took the number of the string that lies as they do, for want of one with their note.
    pub by_place: Vec<StringPlace>,
}

/// What a setup wants, with what is needed to lay it over another instrument.
pub(crate) struct SourceTargets {
    pub courses: u8,
    pub last_fret: Option<Fret>,
    pub notes: Vec<(StringPlace, Note)>,
    pub targets: Vec<Target>,
}

impl Instrument {
    /// Takes targets from elsewhere into the setup that people call so, which is made if there is none, in
    /// one step. A string takes the number of the string with its note, or else of the one that lies as it
    /// does from the outer ones; what is read at the last fret there is read at the last fret here.
    ///
    /// # Errors
    /// [`Error::NotFound`] if there are no targets; whatever [`Instrument::set_targets`] answers, doubts
    /// left out: the numbers were accepted once.
    pub fn targets_from(
        &self,
        name: &str,
        source: TargetSource<'_>,
        options: impl Into<WriteOptions>,
    ) -> Result<TakenTargets> {
        let options = WriteOptions { accept: crate::Accept::All, ..options.into() };
        let spec = self.details()?.spec;
        let at = options.at.unwrap_or_else(|| self.now());
        let (mut targets, left_out, by_place) = match source {
            TargetSource::Usual => (usual(&spec, at), Vec::new(), Vec::new()),
            TargetSource::Instrument(other, setup) => laid_over(&other.wanted(setup)?, &spec),
            TargetSource::Spec(kept) => {
                let ShopSpec { courses, last_fret, notes, targets, .. } = kept.clone();
                laid_over(&SourceTargets { courses, last_fret, notes, targets }, &spec)
            }
        };
        for target in &mut targets {
            (target.at, target.taken_from) = (at, None);
            if !matches!(source, TargetSource::Usual) {
                target.by.clone_from(&options.by);
            }
        }
        if targets.is_empty() {
            return Err(Error::not_found(NotFoundKind::Targets, name));
        }
        let setup = self.set_targets(name, &targets, options)?;
        Ok(TakenTargets { setup, left_out, by_place })
    }

    /// What a setup of it wants.
    pub(crate) fn wanted(&self, setup: Option<&SetupId>) -> Result<SourceTargets> {
        self.inner.with_record(self.id, |_, loaded| {
            let registers = loaded.registers(0);
            let spec = registers.spec();
            let id = chosen(&registers, setup)?;
            let setup = id.as_ref().and_then(|id| registers.setups().get(id));
            let targets: Vec<Target> =
                setup.map(|setup| setup.targets.values().cloned().collect()).unwrap_or_default();
            if targets.is_empty() {
                let name = spec.name.clone().unwrap_or_default();
                return Err(Error::not_found(NotFoundKind::Targets, name));
            }
            Ok(SourceTargets {
                courses: spec.course_count(),
                last_fret: spec.last_fret(),
                notes: spec.tuning.iter().map(|(place, note)| (*place, *note)).collect(),
                targets,
            })
        })
    }
}

/// Targets of one instrument as those of another: with what was left out, and the strings that had to go by
/// where they lie.
fn laid_over(
    from: &SourceTargets,
    spec: &InstrumentSpec,
) -> (Vec<Target>, Vec<Quantity>, Vec<StringPlace>) {
    let (mut targets, mut left_out, mut by_place) = (Vec::<Target>::new(), Vec::new(), Vec::new());
    let courses = (1..=spec.course_count()).filter_map(|course| StringPlace::course(course).ok());
    let courses: Vec<StringPlace> = courses.collect();
    for target in &from.targets {
        let Some(quantity) = here(target.quantity, from.last_fret, spec) else {
            if !left_out.contains(&target.quantity) {
                left_out.push(target.quantity);
            }
            continue;
        };
        let Location::Course(_) = target.location else {
            targets.push(Target { quantity, ..target.clone() });
            continue;
        };
        // Each string of this instrument that takes the number of this one.
        let single = from.targets.iter().filter(|one| one.quantity == target.quantity);
        let whole = single
            .clone()
            .all(|one| matches!(one.location, Location::Course(place) if place.member().is_none()));
        let mut places = if whole { courses.clone() } else { spec.places() };
        // Spacing is read to the next lower string, which the last one has not.
        if matches!(quantity, Quantity::SpacingBridge | Quantity::SpacingNut) {
            places.pop();
        }
        let known: Vec<StringPlace> = single
            .filter_map(|one| match one.location {
                Location::Course(place) => Some(place),
                _ => None,
            })
            .collect();
        for place in places {
            let (other, same_note) = counterpart(place, from, spec, &known);
            if other.map(Location::Course) != Some(target.location) {
                continue;
            }
            if !same_note && !by_place.contains(&place) {
                by_place.push(place);
            }
            targets.push(Target { quantity, location: Location::Course(place), ..target.clone() });
        }
    }
    by_place.put_in_order();
    (targets, left_out, by_place)
}

/// Which string of the other instrument a string goes by, and whether it has the same note.
fn counterpart(
    place: StringPlace,
    from: &SourceTargets,
    spec: &InstrumentSpec,
    known: &[StringPlace],
) -> (Option<StringPlace>, bool) {
    let note_of =
        |place: &StringPlace| from.notes.iter().find(|(at, _)| at == place).map(|(_, note)| *note);
    let own = spec.tuning.get(&place);
    let same = own.and_then(|note| known.iter().find(|other| note_of(other) == Some(*note)));
    if let Some(same) = same {
        return (Some(*same), true);
    }
    let (ours, theirs) = (f64::from(spec.course_count()), f64::from(from.courses));
    let share = f64::from(place.number() - 1) / (ours - 1.0).max(1.0);
    let course = 1.0 + share * (theirs - 1.0).max(0.0);
    let off = |other: &StringPlace| {
        let far = (f64::from(other.number()) - course).abs();
        (far, other.member() != place.member())
    };
    let nearest = known.iter().min_by(|a, b| {
        let ((far_a, other_a), (far_b, other_b)) = (off(a), off(b));
        far_a.total_cmp(&far_b).then(other_a.cmp(&other_b))
    });
    (nearest.copied(), false)
}

/// The same way of reading on an instrument with other frets and pickups; `None` if it has none such.
fn here(quantity: Quantity, last: Option<Fret>, spec: &InstrumentSpec) -> Option<Quantity> {
    let own = spec.last_fret();
    let fret = |fret: Fret| match (own, last) {
        (Some(own), Some(last)) if fret == last => own,
        _ => fret,
    };
    let moved = match quantity {
        Quantity::Gap { stopped, over } => Quantity::Gap { stopped, over: fret(over) },
        Quantity::Relief { from, to, at } => Quantity::Relief { from, to: fret(to), at },
        // Where the edge lies goes with the joint.
        Quantity::FallAway { at, .. } if last == Some(at) => spec.usual_fall_away()?,
        Quantity::PickupGap { pickup, stopped } => {
            Quantity::PickupGap { pickup, stopped: fret(stopped) }
        }
        other => other,
    };
    let frets = match moved {
        Quantity::Gap { stopped, over } => vec![stopped, over],
        Quantity::Relief { from, to, at } => {
            [Some(from), Some(to), at].into_iter().flatten().collect()
        }
        Quantity::FallAway { at, .. } => vec![at],
        Quantity::Intonation { fret } => vec![fret],
        Quantity::PickupGap { stopped, .. } => vec![stopped],
        _ => Vec::new(),
    };
    let has_pickup = match moved {
        Quantity::PickupGap { pickup, .. } => spec.pickups.is_none_or(|count| pickup <= count),
        _ => true,
    };
    (has_pickup && frets.iter().all(|fret| spec.has_fret(*fret))).then_some(moved)
}

/// Usual numbers in hundredths of a millimetre.
struct Usual {
    relief: i64,
    /// Of the highest string and of the lowest, open over 12.
    action: (i64, i64),
    /// At fret 1, held down at 3.
    nut: i64,
    /// Of the highest string and of the lowest, stopped at the last fret.
    pickup: Option<(i64, i64)>,
}

/// What is usual on such an instrument, medium strings and a medium touch (common practice, no source).
fn usual(spec: &InstrumentSpec, at: Moment) -> Vec<Target> {
    let fixed = spec.bridge.as_ref().is_some_and(|bridge| bridge.height == HeightBy::Fixed);
    let gut = spec
        .strings
        .values()
        .any(|string| string.construction == Some(StringConstruction::Polymer));
    let short = spec
        .places()
        .first()
        .and_then(|place| spec.scale_of(*place))
        .is_some_and(|scale| scale.value < 0.5);
    let numbers = match spec.family {
        Some(InstrumentFamily::Bass) => {
            Usual { relief: 30, action: (200, 250), nut: 15, pickup: Some((250, 300)) }
        }
        Some(InstrumentFamily::Guitar) => {
            Usual { relief: 20, action: (150, 200), nut: 10, pickup: Some((200, 250)) }
        }
        _ if gut && short => Usual { relief: 10, action: (240, 260), nut: 10, pickup: None },
        _ if gut => Usual { relief: 15, action: (300, 400), nut: 15, pickup: None },
        _ if short => Usual { relief: 10, action: (130, 160), nut: 8, pickup: None },
        _ if fixed => Usual { relief: 20, action: (180, 240), nut: 10, pickup: None },
        _ => Usual { relief: 20, action: (180, 230), nut: 10, pickup: None },
    };
    let mut targets = Vec::new();
    let mut want = |quantity, location, wanted: Option<Amount>| {
        let Some(wanted) = wanted else { return };
        let tolerance = usual_tolerance(quantity, wanted);
        let by = Some(USUAL.to_owned());
        targets.push(Target { quantity, location, wanted, tolerance, by, at, taken_from: None });
    };
    let mm = |hundredths| Amount::decimal(hundredths, 2, Unit::Millimetre).ok();
    if let Some(quantity) = of_spec(spec).usual_relief() {
        want(quantity, Location::Whole, mm(numbers.relief));
    }
    let courses = spec.course_count();
    let between = |(high, low): (i64, i64), course: u8| {
        let share = f64::from(course - 1) / f64::from(courses.saturating_sub(1).max(1));
        // To a twentieth of a millimetre: nobody reads it finer over 12.
        let exact = high as f64 + (low - high) as f64 * share;
        (exact / 5.0).round() as i64 * 5
    };
    for course in 1..=courses {
        let Ok(place) = StringPlace::course(course) else { continue };
        let place = Location::Course(place);
        want(Quantity::nut(), place, mm(numbers.nut));
        if let Ok(quantity) = Quantity::gap(0, 12) {
            want(quantity, place, mm(between(numbers.action, course)));
        }
        if let (Some(pickup), Some(stopped), Some(1..)) =
            (numbers.pickup, spec.last_fret(), spec.pickups)
        {
            want(Quantity::PickupGap { pickup: 1, stopped }, place, mm(between(pickup, course)));
        }
        let cents = Amount::decimal(0, 0, Unit::Cent).ok();
        want(Quantity::Pitch, place, cents);
        if let Ok(fret) = Fret::new(12) {
            want(Quantity::Intonation { fret }, place, cents);
        }
    }
    targets.retain(|target| here(target.quantity, None, spec).is_some());
    targets
}
