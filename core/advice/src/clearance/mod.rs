//! Will it buzz with these numbers, and what if: relief, saddles, strings, tuning, touch.
//!
//! The swing comes from a model with assumed tension, stiffness, decay and touch
//! (`fallaway_mechanics::clearance`): a calibration, not a measurement. It ranks strings and changes;
//! it does not decide. That has to be said beside every number.
//!
//! A [`ClearanceModel`] keeps the swing of each string, so that asking again with another relief, saddle or
//! force is fast; only another tension or note (which change how stiff the string is) or another
//! place of the pluck is worked out anew, and kept too.

mod board_end;
mod play;

use fallaway_measure::{Length, Location, Quantity, StringPlace};
use fallaway_mechanics::clearance::{
    AllowedTouch, Asked, BestRelief, ClearanceMargin, LowestAction, Played, SwingingString,
    clearance, judge, touch_allowed,
};
use fallaway_mechanics::conversions::StringGeometry;
use fallaway_mechanics::envelope::{Method, PluckedString, SwingBasis, SwingModel};
use fallaway_mechanics::envelope_cache::EnvelopeCache;
use fallaway_mechanics::neck::{Joint, NeckLine, ReliefWay};
use fallaway_mechanics::string_line::{GapPlace, NutReading, StringLine};
use fallaway_mechanics::strings::MassBasis;
use fallaway_mechanics::units::mm;
use fallaway_mechanics::{Error, Result, Uncertain};
use fallaway_order::PutInOrder as _;
use fallaway_record::InstrumentSpec;
use uom::si::f64::{Force, Frequency};
use uom::si::force::newton;
use uom::si::frequency::hertz;

use crate::observe::{Crowns, Facts, Input, MeasurandKind, Observation, ReadingIndex};
use crate::strings::{inharmonicity_of, tension_of};

pub(crate) use play::PRIOR_NEWTON;
use play::under_touch;
pub use play::{ForceFrom, TouchBounds, TouchUsed, UnderTouch};

/// One string as it is set up.
#[derive(Debug, Clone, PartialEq)]
pub struct SetString {
    /// Which string it is.
    pub place: StringPlace,
    /// What does not change from visit to visit.
    pub geometry: StringGeometry,
    /// Frequency of the open string in Hz.
    pub hz: f64,
    /// Its pull when it is tuned, with what is not known of it.
    pub tension: Uncertain<Force>,
    /// Inharmonicity of the open string.
    pub inharmonicity: f64,
    /// Relief under it.
    pub relief: Uncertain<Length>,
    /// How the relief was read.
    pub relief_way: ReliefWay,
    /// The action as it was read at `action_at`.
    pub action: Uncertain<Length>,
    /// Where the action was read.
    pub action_at: GapPlace,
    /// The gap over fret 1, open or held at 3, if it is known: then the open string is judged too.
    pub nut: Option<NutReading>,
}

/// What is asked to be otherwise than it was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ClearanceWhatIf {
    /// This relief, saddles untouched: every action moves with it.
    pub relief: Option<Length>,
    /// Each saddle raised by so much, in the order of the strings, or all of them by the only number;
    /// after the relief.
    pub saddles: Vec<Length>,
    /// These actions instead of those read, in the order of the strings; after relief and saddles.
    pub actions: Vec<Length>,
    /// These frequencies in Hz, in the order of the strings; tension follows with the square.
    pub hz: Vec<f64>,
    /// These tensions, in the order of the strings; after the frequencies.
    pub tensions: Vec<Force>,
}

/// How far a string is from what was read.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Departure {
    /// Of the relief, the saddle untouched.
    pub relief: Length,
    /// Of the action as it is read, by the saddle.
    pub action: Length,
}

/// The answer for one string.
#[derive(Debug, Clone, PartialEq)]
pub struct StringClearance {
    /// Which string it is.
    pub place: StringPlace,
    /// Its action with what was asked.
    pub action: Length,
    /// Where the action is read.
    pub action_at: GapPlace,
    /// The smallest margin and where: it buzzes there first, if it is negative.
    pub smallest: ClearanceMargin,
    /// Standard uncertainty of the smallest margin that the readings of relief and action leave; the
    /// model's own error is not in it.
    pub uncertainty: Length,
    /// Every margin, note by note, fret by fret.
    pub map: Vec<ClearanceMargin>,
    /// The lowest clean action at this relief; `None` if no saddle within reach is clean.
    pub lowest: Option<LowestAction>,
    /// The relief that allows the lowest action; `None` as above.
    pub best_relief: Option<BestRelief>,
    /// The hardest touch that stays clean as it is; `None` if the string lies on a fret.
    pub touch: Option<AllowedTouch>,
    /// Whether it stays clean over the whole interval of the touch, if that was learned; else at the
    /// one force.
    pub under_touch: UnderTouch,
    /// By which method and with which assumptions.
    pub basis: SwingBasis,
}

impl StringClearance {
    /// Of each note, the smallest margin over the frets beyond it, lowest note first: a row of the
    /// map of the instrument.
    pub fn by_note(&self) -> Vec<ClearanceMargin> {
        let mut rows: Vec<ClearanceMargin> = Vec::new();
        for margin in &self.map {
            match rows.iter_mut().find(|row| row.place.stopped == margin.place.stopped) {
                Some(row) if margin.margin < row.margin => *row = *margin,
                Some(_) => {}
                None => rows.push(*margin),
            }
        }
        rows.put_in_order_by_key(|row| row.place.stopped);
        rows
    }
}

/// The answer for the instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearanceAnswer {
    /// String by string, in the order given.
    pub strings: Vec<StringClearance>,
    /// Which string limits: the index of the one with the smallest margin.
    pub limiting: usize,
    /// How it was played, and where the force comes from.
    pub play: TouchUsed,
}

/// What was taken for granted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Assumed {
    /// A string that no action was read of is left out.
    LeftOut(StringPlace),
    /// A string's tension, and how stiff it is.
    Tension {
        /// The string whose tension was assumed or worked out.
        string: StringPlace,
        /// The tension in N.
        newtons: f64,
        /// Where the mass behind it comes from.
        source: MassBasis,
        /// Inharmonicity of the open string.
        inharmonicity: f64,
        /// Whether that is assumed from the note, not worked out from the wire.
        from_note: bool,
    },
    /// Where the neck stops bending (common practice, no source).
    Joint {
        /// The last fret that bends.
        fret: u8,
        /// By how many frets it may lie elsewhere.
        by: u8,
    },
    /// Frets level, saddles at the scale length.
    Level,
    /// The board falls away toward its end as it was read, or rises, evenly from one fret on (common
    /// practice, no source).
    FallAway {
        /// From which fret on.
        from: u8,
        /// Where it was read.
        at: u8,
        /// Under which string or on which side it was read; or on the board as a whole.
        location: Location,
        /// By how much there, in mm; below zero: it rises.
        mm: f64,
    },
    /// A crown stands above the others, or below, as it was found; the others are taken as level.
    Crown {
        /// The fret whose crown stands out of line.
        fret: u8,
        /// Under which string.
        string: StringPlace,
        /// By how much, in mm.
        mm: f64,
    },
}

/// A set-up, and the swing of its strings kept between questions.
#[derive(Debug, Default)]
pub struct ClearanceModel {
    strings: Vec<SetString>,
    cache: EnvelopeCache,
    /// The readings that it rests on.
    pub rests_on: Vec<Observation>,
    /// Readings among them that something was done to since: measure again.
    pub out_of_date: Vec<Observation>,
    /// What was taken for granted.
    pub assumed: Vec<Assumed>,
    /// The instrument as the model takes it.
    pub facts: Facts,
    /// The facts as they are written, from which strings have their names.
    pub spec: InstrumentSpec,
}

/// The limits between which the best relief is looked for.
const RELIEF_MM: (f64, f64) = (-0.1, 0.8);

impl ClearanceModel {
    /// A desk for strings whose numbers are given.
    pub fn new(strings: Vec<SetString>) -> Self {
        Self { strings, ..Self::default() }
    }

    /// The strings as they were read.
    pub fn strings(&self) -> &[SetString] {
        &self.strings
    }

    /// Answers a question. The first takes some tens of milliseconds a string (release build), those
    /// after it with the same notes and pluck much less.
    ///
    /// # Errors
    /// [`Error::TooFew`] without strings; [`Error::CountMismatch`] for a list of another length than
    /// the strings; as the functions of `fallaway_mechanics::clearance`.
    pub fn ask(&mut self, what_if: &ClearanceWhatIf, play: TouchUsed) -> Result<ClearanceAnswer> {
        if self.strings.is_empty() {
            return Err(Error::TooFew { quantity: "strings with an action", given: 0, needed: 1 });
        }
        check_counts(what_if, self.strings.len())?;
        let mut answers = Vec::with_capacity(self.strings.len());
        for (index, string) in self.strings.iter().enumerate() {
            answers.push(ask_string(string, index, what_if, play, &mut self.cache)?);
        }
        let smallest = |(_, a): &(usize, &StringClearance), (_, b): &(usize, &StringClearance)| {
            a.smallest.margin.value.total_cmp(&b.smallest.margin.value)
        };
        let limiting = answers.iter().enumerate().min_by(smallest).map_or(0, |(index, _)| index);
        Ok(ClearanceAnswer { strings: answers, limiting, play })
    }

    /// Every margin of one string that departs from what was read; `None` for a string that is not
    /// there.
    ///
    /// # Errors
    /// As [`ClearanceModel::ask`].
    pub(crate) fn margins(
        &mut self,
        index: usize,
        departure: &Departure,
        play: TouchUsed,
    ) -> Result<Option<Vec<ClearanceMargin>>> {
        let Some(string) = self.strings.get(index) else { return Ok(None) };
        let plucked = plucked(string, string.hz, string.tension.value, play);
        let envelope = self.cache.get(&plucked, Method::Modes(SwingModel::default()))?;
        let (relief, action) = (string.relief.value, string.action.value);
        let mut line = line_of(string, relief, action, string.geometry.joint.fret)?;
        if departure.relief != mm(0.0) {
            let neck = line.neck().with_relief(relief + departure.relief, string.relief_way)?;
            line = line.with_neck(neck)?;
        }
        if departure.action != mm(0.0) {
            let gap = line.gap(string.action_at)? + departure.action;
            line = line.with_saddle_height(line.saddle_height_for(string.action_at, gap)?)?;
        }
        let asked =
            SwingingString { line: &line, envelope: &envelope, tension: string.tension.value };
        Ok(Some(clearance(&asked, play.touch, played(string))?.margins))
    }

    /// The set-up of an instrument: its facts, and the latest readings of relief, action and nut.
    /// Strings without an action are left out, and said.
    ///
    /// # Errors
    /// [`Error::Undetermined`] for a fretless board (the string is meant to lie on it);
    /// [`Error::Missing`] if frets, scale, gauges, relief or every action are unknown.
    pub fn of_record(input: &Input<'_>, spec: &InstrumentSpec) -> Result<Self> {
        let facts = &input.facts;
        let missing = |quantity| Error::Missing { quantity, needed_for: "to tell clearance" };
        let last = match spec.frets {
            Some(frets) if frets.is_fretless() => {
                return Err(Error::Undetermined {
                    what: "clearance",
                    reason: "the board has no frets; the string is meant to lie on it",
                });
            }
            _ => usize::from(facts.last_fret.ok_or(missing("number of frets"))?),
        };
        let bench = ReadingIndex::new(input);
        let mut desk = Self { facts: facts.clone(), spec: spec.clone(), ..Self::default() };
        let relief =
            latest(&bench, |class, _| class == MeasurandKind::Relief).ok_or(missing("relief"))?;
        desk.take(&bench, relief.clone());
        let joint = joint_of(facts, &mut desk.assumed)?;
        let crowns = Crowns::of(input);
        for string in &facts.strings {
            let place = string.place;
            let at = |class: fn(MeasurandKind) -> bool| {
                latest(&bench, |c, of| class(c) && of == Some(place))
            };
            let Some(action) = at(MeasurandKind::is_action) else {
                desk.assumed.push(Assumed::LeftOut(place));
                continue;
            };
            let nut = at(MeasurandKind::is_nut);
            let (mut string, assumed) =
                set_string(spec, place, (joint, last), &relief, &action, nut.as_ref())?;
            desk.assumed.push(assumed);
            let alone = crowns.offsets_mm(place, last.try_into().unwrap_or(u8::MAX));
            for (fret, by) in (1..).zip(alone.iter().flatten()).filter(|(_, by)| **by != 0.0) {
                desk.assumed.push(Assumed::Crown { fret, string: place, mm: *by });
            }
            let end = board_end::of(&bench, facts, place, &string.geometry)?;
            if let Some(end) = &end
                && !desk.rests_on.contains(&end.seen)
            {
                let (from, at, location) = (end.from, end.at, end.seen.measurand.location);
                desk.assumed.push(Assumed::FallAway { from, at, location, mm: end.mm });
                desk.take(&bench, end.seen.clone());
            }
            string.geometry.crown_offsets = board_end::together(alone, end);
            for seen in nut.into_iter().chain([action]) {
                desk.take(&bench, seen);
            }
            desk.strings.push(string);
        }
        desk.assumed.push(Assumed::Level);
        if desk.strings.is_empty() { Err(missing("action of a string")) } else { Ok(desk) }
    }

    fn take(&mut self, bench: &ReadingIndex<'_>, seen: Observation) {
        if bench.done_since(&seen).is_some() {
            self.out_of_date.push(seen.clone());
        }
        self.rests_on.push(seen);
    }
}

/// One string with readings of it, on a neck with this joint and last fret; and what was taken for
/// granted.
pub(crate) fn set_string(
    spec: &InstrumentSpec,
    place: StringPlace,
    (joint, last): (Joint, usize),
    relief: &Observation,
    action: &Observation,
    nut: Option<&Observation>,
) -> Result<(SetString, Assumed)> {
    let missing = |quantity| Error::Missing { quantity, needed_for: "to tell clearance" };
    let scale = spec.scale_of(place).ok_or(missing("scale length"))?;
    let pull = tension_of(spec, place)?;
    let (inharmonicity, from_note) = inharmonicity_of(spec, place, &pull);
    let note = spec.tuning.get(&place).ok_or(missing("note of the string"))?;
    let nut = nut.and_then(|seen| {
        let gap = seen.known.length()?.value;
        match MeasurandKind::of(seen.measurand.quantity)? {
            MeasurandKind::NutOpen => Some(NutReading::OpenOver1(gap)),
            MeasurandKind::NutHeld if held_at_3(seen.measurand.quantity) => {
                Some(NutReading::HeldAt3Over1(gap))
            }
            _ => None,
        }
    });
    let assumed = Assumed::Tension {
        string: place,
        newtons: pull.tension.value.get::<newton>(),
        source: pull.source,
        inharmonicity,
        from_note,
    };
    let string = SetString {
        place,
        geometry: StringGeometry::level(scale, last, joint),
        hz: note.frequency_hz(spec.a4_hz()),
        tension: pull.tension,
        inharmonicity,
        relief: relief.known.length().ok_or(missing("relief"))?,
        relief_way: relief_way(relief.measurand.quantity, last),
        action: action.known.length().ok_or(missing("action"))?,
        action_at: over(action.measurand.quantity).ok_or(missing("action"))?,
        nut,
    };
    Ok((string, assumed))
}

/// The force at which a string as set just touches, over these notes, pushed toward the board 100 mm
/// from the saddle; in N, with the standard uncertainty that readings and tension leave, as a share.
pub(crate) fn force_that_touches(
    string: &SetString,
    notes: Played,
    cache: &mut EnvelopeCache,
) -> Result<(f64, f64)> {
    let play = TouchUsed::with_force(1.0);
    let plucked = plucked(string, string.hz, string.tension.value, play);
    let envelope = cache.get(&plucked, Method::Modes(SwingModel::default()))?;
    let (relief, action, joint) = (string.relief, string.action, string.geometry.joint);
    let force = |relief: Length, action: Length, fret: f64| -> Result<f64> {
        let line = line_of(string, relief, action, fret)?;
        let asked =
            SwingingString { line: &line, envelope: &envelope, tension: string.tension.value };
        Ok(touch_allowed(&asked, play.touch.direction, notes)?.force.get::<newton>())
    };
    let at = force(relief.value, action.value, joint.fret)?;
    let last = (joint.fret + joint.standard_uncertainty).min(string.geometry.frets as f64);
    // A string that a further standard deviation lays on a fret is known no better than that.
    let moved = [
        force(relief.value + relief.standard_uncertainty, action.value, joint.fret),
        force(relief.value, action.value + action.standard_uncertainty, joint.fret),
        force(relief.value, action.value, last),
    ];
    let share = string.tension.standard_uncertainty / string.tension.value;
    let squares: f64 = moved.into_iter().map(|f| f.map_or(1.0, |f| (f / at - 1.0).powi(2))).sum();
    Ok((at, squares.sqrt().hypot(share.value)))
}

/// The latest reading of a class, with the string it belongs to.
fn latest(
    bench: &ReadingIndex<'_>,
    wanted: impl Fn(MeasurandKind, Option<fallaway_measure::StringPlace>) -> bool,
) -> Option<Observation> {
    bench
        .ever_read()
        .into_iter()
        .filter(|measurand| measurand.kind().is_some_and(|class| wanted(class, measurand.place())))
        .filter_map(|measurand| bench.last_ever(measurand))
        .max_by_key(|seen| seen.event)
}

pub(crate) fn joint_of(facts: &Facts, assumed: &mut Vec<Assumed>) -> Result<Joint> {
    let missing = Error::Missing { quantity: "number of frets", needed_for: "to tell clearance" };
    let (fret, by) = facts.joint().ok_or(missing)?;
    if facts.joint_fret.is_none() {
        assumed.push(Assumed::Joint { fret, by });
    }
    let standard_uncertainty = f64::from(by) / 3f64.sqrt();
    Ok(Joint { standard_uncertainty, ..Joint::known(f64::from(fret))? })
}

fn over(quantity: Quantity) -> Option<GapPlace> {
    match quantity {
        Quantity::Gap { stopped, over } => {
            Some(GapPlace::new(usize::from(stopped.number()), usize::from(over.number())))
        }
        _ => None,
    }
}

fn held_at_3(quantity: Quantity) -> bool {
    matches!(quantity, Quantity::Gap { stopped, over } if stopped.number() == 3 && over.number() == 1)
}

fn relief_way(quantity: Quantity, last: usize) -> ReliefWay {
    match quantity {
        Quantity::Relief { from, to, at } => ReliefWay {
            from: usize::from(from.number()),
            to: usize::from(to.number()),
            at: at.map(|fret| usize::from(fret.number())),
        },
        _ => ReliefWay::largest(last),
    }
}

fn check_counts(what_if: &ClearanceWhatIf, strings: usize) -> Result<()> {
    for (quantity, given) in [
        ("saddle moves", if let [_] = what_if.saddles[..] { 0 } else { what_if.saddles.len() }),
        ("actions", what_if.actions.len()),
        ("frequencies", what_if.hz.len()),
        ("tensions", what_if.tensions.len()),
    ] {
        if given != 0 && given != strings {
            return Err(Error::CountMismatch { quantity, given, expected: strings });
        }
    }
    Ok(())
}

/// The string's line with these numbers of relief and action as read.
fn line_of(string: &SetString, relief: Length, action: Length, joint: f64) -> Result<StringLine> {
    line_over(string, neck_of(string, relief, joint)?, action)
}

/// The neck under a string with this relief.
fn neck_of(string: &SetString, relief: Length, joint: f64) -> Result<NeckLine> {
    let geometry = StringGeometry { joint: Joint::known(joint)?, ..string.geometry.clone() };
    geometry.neck()?.with_relief(relief, string.relief_way)
}

/// The string's line over this neck.
fn line_over(string: &SetString, neck: NeckLine, action: Length) -> Result<StringLine> {
    let nut = string.nut.unwrap_or(NutReading::OpenOver1(mm(0.5)));
    StringLine::from_readings(neck, string.geometry.compensation, string.action_at, action, nut)
}

/// The line with what is asked.
fn moved(
    line: &StringLine,
    string: &SetString,
    index: usize,
    what_if: &ClearanceWhatIf,
) -> Result<StringLine> {
    let mut line = line.clone();
    if let Some(relief) = what_if.relief {
        let neck = line.neck().with_relief(relief, string.relief_way)?;
        line = line.with_neck(neck)?;
    }
    let rise = match what_if.saddles.as_slice() {
        [all] => Some(all),
        each => each.get(index),
    };
    if let Some(rise) = rise {
        line = line.with_saddle_height(line.saddle_height() + *rise)?;
    }
    if let Some(action) = what_if.actions.get(index) {
        line = line.with_saddle_height(line.saddle_height_for(string.action_at, *action)?)?;
    }
    Ok(line)
}

/// The string as the swing model wants it.
fn plucked(string: &SetString, hz: f64, tension: Force, play: TouchUsed) -> PluckedString {
    PluckedString {
        scale: string.geometry.scale,
        frets: string.geometry.frets,
        frequency: Frequency::new::<hertz>(hz),
        // B goes with one over the tension.
        inharmonicity: string.inharmonicity * (string.tension.value / tension).value,
        from_saddle: play.from_saddle,
    }
}

/// The open string is judged where its nut was read.
fn played(string: &SetString) -> Played {
    match string.nut {
        Some(_) => Played::all_and_open(string.geometry.frets),
        None => Played::all_fretted(string.geometry.frets),
    }
}

fn ask_string(
    string: &SetString,
    index: usize,
    what_if: &ClearanceWhatIf,
    play: TouchUsed,
    cache: &mut EnvelopeCache,
) -> Result<StringClearance> {
    let geometry = &string.geometry;
    let hz = what_if.hz.get(index).copied().unwrap_or(string.hz);
    let tension = match what_if.tensions.get(index) {
        Some(tension) => *tension,
        None => string.tension.value * (hz / string.hz).powi(2),
    };
    let plucked = plucked(string, hz, tension, play);
    let envelope = cache.get(&plucked, Method::Modes(SwingModel::default()))?;
    let (relief, action, joint) = (string.relief, string.action, geometry.joint);
    // The neck as read is bent once; another reading of the action changes the saddle alone.
    let neck = neck_of(string, relief.value, joint.fret)?;
    let with = |neck, action| moved(&line_over(string, neck, action)?, string, index, what_if);
    let line = with(neck.clone(), action.value)?;
    let asked = SwingingString { line: &line, envelope: &envelope, tension };
    let played = played(string);
    let at = string.action_at;
    let more = neck_of(string, relief.value + relief.standard_uncertainty, joint.fret)?;
    let last = (joint.fret + joint.standard_uncertainty).min(geometry.frets as f64);
    let shifted = [
        with(more, action.value)?,
        with(neck, action.value + action.standard_uncertainty)?,
        with(neck_of(string, relief.value, last)?, action.value)?,
    ];
    let found = judge(
        &asked,
        &shifted,
        play.touch,
        Asked {
            played,
            read_at: at,
            spare: play.spare,
            way: string.relief_way,
            relief: (mm(RELIEF_MM.0), mm(RELIEF_MM.1)),
        },
    )?;
    let allowed = found.touch.ok();
    Ok(StringClearance {
        place: string.place,
        action: line.gap(at)?,
        action_at: at,
        smallest: found.clearance.smallest,
        uncertainty: found.smallest.standard_uncertainty,
        map: found.clearance.margins,
        lowest: found.lowest.ok(),
        best_relief: found.best_relief.ok(),
        touch: allowed,
        under_touch: under_touch(allowed.map(|a| a.force.get::<newton>()), play),
        basis: found.clearance.basis,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use fallaway_mechanics::units::as_mm;

    /// The reference's strings (pluck.json): Hz, tension N, inharmonicity.
    const G: (f64, f64, f64) = (97.999, 170.0, 2e-5);
    const E: (f64, f64, f64) = (41.203, 155.0, 1e-4);

    fn string(place: u8, (hz, t, b): (f64, f64, f64), relief: f64, action: f64) -> SetString {
        SetString {
            place: StringPlace::course(place).unwrap(),
            geometry: StringGeometry::level(mm(863.6), 24, Joint::known(24.0).unwrap()),
            hz,
            tension: Uncertain::exact(Force::new::<newton>(t)),
            inharmonicity: b,
            relief: Uncertain::new(mm(relief), mm(0.02)).unwrap(),
            relief_way: ReliefWay::largest(24),
            action: Uncertain::new(mm(action), mm(0.05)).unwrap(),
            action_at: GapPlace::stopped_at_1_over(24),
            nut: None,
        }
    }

    #[test]
    fn two_newton_ask_for_what_the_reference_says() {
        // pluck.json and its report: at 2 N vertical and 0.20 mm of relief about 1.6 mm on the G
        // (3.196 N for one period) and 2.0 to 2.4 mm on the E.
        let mut desk = ClearanceModel::new(vec![string(1, G, 0.2, 2.0), string(4, E, 0.2, 2.0)]);
        let answer = desk.ask(&ClearanceWhatIf::default(), TouchUsed::with_force(2.0)).unwrap();
        let lowest = |i: usize| as_mm(answer.strings[i].lowest.unwrap().action);
        assert!(lowest(0) < lowest(1));
        assert!((1.9..2.5).contains(&lowest(1)), "{}", lowest(1));
        assert_eq!(answer.limiting, 1);
        let best = answer.strings[1].best_relief.unwrap();
        assert!((0.1..0.35).contains(&as_mm(best.relief)), "{best:?}");
    }

    #[test]
    fn a_note_has_the_margin_of_the_fret_that_it_comes_nearest_to() {
        let mut desk = ClearanceModel::new(vec![string(4, E, 0.2, 2.2)]);
        let answer = desk.ask(&ClearanceWhatIf::default(), TouchUsed::with_force(2.0)).unwrap();
        let string = &answer.strings[0];
        let notes = string.by_note();
        // Frets 1 to 23 can be played; each has the least margin of its row of the map.
        assert_eq!(notes.len(), 23);
        for (note, fret) in notes.iter().zip(1..) {
            assert_eq!(note.place.stopped, fret);
            let row = string.map.iter().filter(|m| m.place.stopped == fret);
            assert!(
                row.clone().count() == 24 - fret && row.clone().all(|m| m.margin >= note.margin)
            );
        }
        let least =
            notes.iter().map(|n| n.margin).fold(notes[0].margin, |a, b| if b < a { b } else { a });
        assert_eq!(least, string.smallest.margin);
    }

    #[test]
    fn questions_move_margins_the_way_they_must() {
        let mut desk = ClearanceModel::new(vec![string(4, E, 0.2, 2.2)]);
        let play = TouchUsed::with_force(2.0);
        let margin = |desk: &mut ClearanceModel, what_if: &ClearanceWhatIf, play| {
            as_mm(desk.ask(what_if, play).unwrap().strings[0].smallest.margin)
        };
        let plain = margin(&mut desk, &ClearanceWhatIf::default(), play);
        let raised = ClearanceWhatIf { saddles: vec![mm(0.5)], ..ClearanceWhatIf::default() };
        assert!(margin(&mut desk, &raised, play) > plain);
        let slack = ClearanceWhatIf { hz: vec![36.7], ..ClearanceWhatIf::default() };
        assert!(margin(&mut desk, &slack, play) < plain);
        assert!(margin(&mut desk, &ClearanceWhatIf::default(), TouchUsed::with_force(1.0)) > plain);
        let same = ClearanceWhatIf {
            relief: Some(mm(0.2)),
            actions: vec![mm(2.2)],
            ..ClearanceWhatIf::default()
        };
        assert!((margin(&mut desk, &same, play) - plain).abs() < 1e-9);
    }

    #[test]
    fn the_touch_it_allows_leaves_nothing() {
        let mut desk = ClearanceModel::new(vec![string(1, G, 0.2, 1.6)]);
        let allowed =
            desk.ask(&ClearanceWhatIf::default(), TouchUsed::with_force(1.0)).unwrap().strings[0]
                .touch;
        let force = allowed.unwrap().force.get::<newton>();
        let at_limit = desk.ask(&ClearanceWhatIf::default(), TouchUsed::with_force(force)).unwrap();
        assert!(as_mm(at_limit.strings[0].smallest.margin).abs() < 1e-6);
    }

    #[test]
    fn a_touch_that_was_learned_is_judged_over_its_interval() {
        let mut desk = ClearanceModel::new(vec![string(1, G, 0.2, 1.6)]);
        let mut under = |low_newton: f64, high_newton: f64| {
            let play = TouchUsed {
                touch_from: ForceFrom::Learned {
                    observations: 3,
                    low_newton,
                    high_newton,
                    sides: TouchBounds::Both,
                },
                ..TouchUsed::with_force(low_newton)
            };
            desk.ask(&ClearanceWhatIf::default(), play).unwrap().strings[0].under_touch
        };
        // About 2 N are allowed (see above).
        assert_eq!(under(0.3, 0.5), UnderTouch::Clean);
        assert_eq!(under(0.3, 6.0), UnderTouch::CannotBeTold);
        assert_eq!(under(5.0, 6.0), UnderTouch::Touches);
    }

    #[test]
    fn lists_of_another_length_are_refused() {
        let mut desk = ClearanceModel::new(vec![string(1, G, 0.2, 1.6)]);
        let wrong = ClearanceWhatIf { actions: vec![mm(1.0); 2], ..ClearanceWhatIf::default() };
        let refused = desk.ask(&wrong, TouchUsed::with_force(1.0));
        assert!(matches!(refused, Err(Error::CountMismatch { expected: 1, .. })));
        let none =
            ClearanceModel::default().ask(&ClearanceWhatIf::default(), TouchUsed::with_force(1.0));
        assert!(matches!(none, Err(Error::TooFew { .. })));
    }
}
