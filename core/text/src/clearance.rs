//! Will it buzz with these numbers: the answer, the touch, what was assumed, and what it is worth.

use fallaway_advice::clearance::{
    Assumed, ClearanceAnswer, ClearanceModel, ForceFrom, StringClearance, TouchBounds, TouchUsed,
    UnderTouch,
};
use fallaway_advice::observe::{MeasurandKind, Observation};
use fallaway_measure::{Fret, Length, StringPlace};
use fallaway_mechanics::pluck::PluckDirection;
use fallaway_mechanics::string_line::GapPlace;
use fallaway_mechanics::strings::MassBasis;
use fallaway_mechanics::units::as_mm;
use fallaway_order::PutInOrder as _;
use fallaway_record::InstrumentSpec;
use uom::si::force::newton;

use crate::messages::clearance as say;
use crate::{Computed, LengthOf, List, Phrase, Word, names, plan};

/// Width of the finger of the model.
const FINGER_MM: f64 = 10.0;

/// An answer as it stands on a page.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearanceText {
    /// Which string limits, and where.
    pub lead: Phrase,
    /// The headings of the table.
    pub head: [Phrase; 7],
    /// A row for each string.
    pub rows: Vec<[Phrase; 7]>,
    /// Which strings stay clean over a touch that was learned.
    pub under_touch: Option<Phrase>,
    /// What the columns mean.
    pub legend: Phrase,
    /// Finger and place of the pluck, which are assumed.
    pub finger: Phrase,
    /// By which model it was worked out, and what that leaves open.
    pub basis: Phrase,
}

/// An answer in words.
pub fn answer(found: &ClearanceAnswer, spec: &InstrumentSpec) -> ClearanceText {
    answer_of(found, &[], spec)
}

/// An answer in words, actions and relief told as the tools of these readings tell them.
pub fn answer_of(
    found: &ClearanceAnswer,
    rests_on: &[Observation],
    spec: &InstrumentSpec,
) -> ClearanceText {
    let way = found.strings.first().map_or_else(Phrase::empty, |one| way(one.action_at));
    ClearanceText {
        lead: found
            .strings
            .get(found.limiting)
            .map_or_else(Phrase::empty, |limit| lead(limit, found.play, spec)),
        head: [
            say::column_string(),
            say::column_action(),
            say::column_margin(),
            say::column_nearest(),
            say::column_lowest(),
            say::column_relief(),
            say::column_touch(),
        ],
        rows: found.strings.iter().map(|string| row(string, rests_on, spec)).collect(),
        under_touch: under_learned(found, spec),
        legend: say::legend(way, Computed::mm(0.02).of(LengthOf::Action)),
        finger: say::finger(
            Computed::mm(FINGER_MM).places(0),
            Computed::mm(as_mm(found.play.from_saddle)).places(0),
            Word(match found.play.touch.direction {
                PluckDirection::TowardBoard => "toward",
                PluckDirection::AwayFromBoard => "away",
            }),
        ),
        basis: say::model(),
    }
}

fn lead(limit: &StringClearance, play: TouchUsed, spec: &InstrumentSpec) -> Phrase {
    let force = Computed::newtons(play.touch.force.get::<newton>()).places(2);
    let (string, at) = (names::string_label(spec, limit.place), limit.smallest.place);
    let margin = as_mm(limit.smallest.margin);
    let by = Computed::mm(margin.abs()).of(LengthOf::Action);
    let (note, over) = (note(at.stopped), at.over);
    if margin < 0.0 {
        say::lead_buzzes(force, string, note, over, by)
    } else {
        say::lead_clean(force, string, note, over, by)
    }
}

fn note(stopped: usize) -> Phrase {
    match u8::try_from(stopped).ok().filter(|fret| *fret > 0).and_then(|f| Fret::new(f).ok()) {
        Some(fret) => say::fretted(fret),
        None => say::open(),
    }
}

/// A way of reading an action: "open over 12", "fretted at 1 over 24".
pub fn way(at: GapPlace) -> Phrase {
    if at.stopped == 0 { say::way_open(at.over) } else { say::way_fretted(at.stopped, at.over) }
}

fn row(string: &StringClearance, rests_on: &[Observation], spec: &InstrumentSpec) -> [Phrase; 7] {
    let tool = |kinds: &[MeasurandKind], place: Option<StringPlace>| {
        let is_it = |seen: &&Observation| {
            seen.measurand.kind().is_some_and(|kind| kinds.contains(&kind))
                && seen.measurand.place() == place
        };
        rests_on.iter().find(is_it).and_then(plan::read_with)
    };
    let of_action = [MeasurandKind::ActionOpen, MeasurandKind::ActionStopped];
    let (rule, leaves) =
        (tool(&of_action, Some(string.place)), tool(&[MeasurandKind::Relief], None));
    let margin = |length: Length| Computed::mm(as_mm(length)).of(LengthOf::Action);
    let action = |length: Length| margin(length).with(rule);
    let relief = |length: Length| Computed::mm(as_mm(length)).of(LengthOf::Relief).with(leaves);
    let spread = 2.0 * as_mm(string.uncertainty);
    let at = string.smallest.place;
    [
        names::string_label(spec, string.place),
        names::computed(action(string.action)),
        say::margin(
            margin(string.smallest.margin).bare(),
            // Never shown as none at all.
            Computed::mm(spread).places(if spread < 0.01 { 3 } else { 2 }).of(LengthOf::Action),
        ),
        say::nearest(at.stopped, at.over),
        string
            .lowest
            .map_or_else(say::none, |lowest| names::computed(action(lowest.action).at_least())),
        string.best_relief.map_or_else(say::none, |best| {
            say::range(relief(best.good.0).bare(), relief(best.good.1))
        }),
        string.touch.map_or_else(say::none, |touch| {
            names::computed(Computed::newtons(touch.force.get::<newton>()).at_most())
        }),
    ]
}

fn under_learned(found: &ClearanceAnswer, spec: &InstrumentSpec) -> Option<Phrase> {
    let ForceFrom::Learned { low_newton, high_newton, .. } = found.play.touch_from else {
        return None;
    };
    let parts = [UnderTouch::Clean, UnderTouch::Touches, UnderTouch::CannotBeTold]
        .into_iter()
        .filter_map(|kind| {
            let of = found.strings.iter().filter(|string| string.under_touch == kind);
            let labels: Vec<Phrase> =
                of.map(|string| names::string_label(spec, string.place)).collect();
            (!labels.is_empty()).then(|| say::under_part(under_touch(kind), List::comma(labels)))
        });
    let force = |newtons| Computed::newtons(newtons).places(2);
    Some(say::under_learned(force(low_newton), force(high_newton), List::semicolon(parts)))
}

/// What has to be said beside every number of the model.
pub fn caveat() -> Phrase {
    say::caveat()
}

/// How hard it is played, and what that rests on.
pub fn touch(play: &TouchUsed) -> Phrase {
    let force = |newtons| Computed::newtons(newtons).places(2);
    let from = match play.touch_from {
        ForceFrom::Assumed => say::touch_assumed(),
        ForceFrom::Given => say::touch_given(),
        ForceFrom::Learned { observations, low_newton, high_newton, sides } => {
            let (low, high) = (force(low_newton), force(high_newton));
            match sides {
                TouchBounds::AtMost => say::touch_learned_upper(low, high, observations),
                TouchBounds::AtLeast => say::touch_learned_lower(low, high, observations),
                TouchBounds::Contradict => say::touch_learned_contradict(low, high, observations),
                TouchBounds::Neither | TouchBounds::Both => {
                    say::touch_learned(low, high, observations)
                }
            }
        }
    };
    say::touch(force(play.touch.force.get::<newton>()), from)
}

/// Whether a string stays clean.
pub fn under_touch(under: UnderTouch) -> Phrase {
    match under {
        UnderTouch::Clean => say::clean(),
        UnderTouch::Touches => say::touches(),
        UnderTouch::CannotBeTold => say::untold(),
    }
}

/// Where a string's mass comes from.
pub fn mass(source: MassBasis) -> Phrase {
    match source {
        MassBasis::Pack => say::mass_pack(),
        MassBasis::Construction => say::mass_wire(),
        MassBasis::OuterDiameter => say::mass_guessed(),
    }
}

/// What was taken for granted, a sentence each.
pub fn assumed(all: &[Assumed], spec: &InstrumentSpec) -> Vec<Phrase> {
    let mut said: Vec<Phrase> = all.iter().filter_map(|one| alone(one, all, spec)).collect();
    for source in [MassBasis::Pack, MassBasis::Construction, MassBasis::OuterDiameter] {
        let strings = of_strings(all, spec, |one| match *one {
            Assumed::Tension { string, newtons, source: from, .. } => (from == source)
                .then(|| (string, names::computed(Computed::newtons(newtons).places(0)))),
            _ => None,
        });
        said.extend(strings.map(|strings| say::assumed_tension(strings, mass(source))));
    }
    for assumed in [true, false] {
        let strings = of_strings(all, spec, |one| match *one {
            Assumed::Tension { string, inharmonicity, from_note, .. } => (from_note == assumed)
                .then(|| (string, names::computed(Computed::plain(inharmonicity * 1e5, 1)))),
            _ => None,
        });
        let from = if assumed { say::inharmonicity_assumed() } else { say::inharmonicity_wire() };
        said.extend(strings.map(|strings| say::assumed_inharmonicity(strings, from)));
    }
    said
}

/// Whether this is something that was read or found of the board, beside what is taken for level.
fn is_known(one: &Assumed) -> bool {
    matches!(one, Assumed::FallAway { .. } | Assumed::Crown { .. })
}

fn alone(one: &Assumed, all: &[Assumed], spec: &InstrumentSpec) -> Option<Phrase> {
    match *one {
        Assumed::LeftOut(place) => Some(say::assumed_left_out(names::string_label(spec, place))),
        Assumed::Joint { fret, by } => Some(say::assumed_joint(fret, by)),
        Assumed::Level => Some(if all.iter().any(is_known) {
            say::assumed_level_else()
        } else {
            say::assumed_level()
        }),
        Assumed::FallAway { from, at, location, mm } => {
            let by = names::computed(Computed::mm(mm.abs()).of(LengthOf::Relief));
            let way = if mm < 0.0 { say::board_rises(by) } else { say::board_falls(by) };
            Some(match names::location_label(spec, location) {
                Some(place) => say::assumed_board_end_at(place, from, at, way),
                None => say::assumed_board_end(from, at, way),
            })
        }
        Assumed::Crown { fret, string, mm } => {
            let by = names::computed(Computed::mm(mm).signed());
            Some(say::assumed_crown(fret, names::string_label(spec, string), by))
        }
        Assumed::Tension { .. } => None,
    }
}

/// Each string with its number, if any has one.
fn of_strings(
    all: &[Assumed],
    spec: &InstrumentSpec,
    number: impl Fn(&Assumed) -> Option<(StringPlace, Phrase)>,
) -> Option<List> {
    let each: Vec<Phrase> = all
        .iter()
        .filter_map(number)
        .map(|(place, number)| say::string_to(names::string_label(spec, place), number))
        .collect();
    (!each.is_empty()).then(|| List::semicolon(each))
}

/// Readings that something was done to since; `None` if there are none.
pub fn out_of_date(model: &ClearanceModel) -> Option<Phrase> {
    let mut kinds: Vec<_> =
        model.out_of_date.iter().filter_map(|seen| seen.measurand.kind()).collect();
    kinds.put_in_order();
    (!kinds.is_empty()).then(|| say::out_of_date(plan::to_measure(&kinds)))
}

/// What is asked to be otherwise: another relief.
pub fn what_if_relief(relief: Length) -> Phrase {
    say::what_if_relief(Computed::mm(as_mm(relief)).of(LengthOf::Relief))
}

/// Another height of a saddle.
pub fn what_if_saddle(place: StringPlace, by: Length, spec: &InstrumentSpec) -> Phrase {
    let by = Computed::mm(as_mm(by)).signed().of(LengthOf::Action);
    say::what_if_saddle(names::string(spec, place), by)
}

/// The line that says that other actions were asked for.
pub fn what_if_actions() -> Phrase {
    say::what_if_actions()
}

/// Other notes, the tension going with them.
pub fn what_if_notes() -> Phrase {
    say::what_if_notes()
}

/// Other gauges or notes, each with its string.
pub fn what_if_strings(
    changes: impl IntoIterator<Item = (StringPlace, Phrase)>,
    spec: &InstrumentSpec,
) -> Phrase {
    let changes =
        changes.into_iter().map(|(place, to)| say::string_to(names::string_label(spec, place), to));
    say::what_if_strings(List::semicolon(changes))
}
