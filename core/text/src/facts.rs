//! Facts about the instrument: what each is called, by its key, and its value, by its type. Whoever
//! adds a type of value is asked by the compiler how it is said.

use std::sync::LazyLock;

use fallaway_measure::{Amount, InstrumentFamily, StringPlace};
use fallaway_record::spec::{
    At, BoardCurve, BridgeSpec, Clockwise, Fact, FactValue, FretsSpec, Handedness, HeightBy,
    IntonationBy, NeckJoint, NutKind, RodAccess, RodKind, RodSpec, ScaleLength, ScrewPlace,
    ScrewSpec, StringConstruction, StringSpec, Stringing, ThreadSpec, UnitWeight, UnitWeightUnit,
};
use fallaway_record::{InstrumentSpec, SpecField};

use crate::messages::facts as say;
use crate::messages::measure::as_entered;
use crate::phrase::{Computed, List, Word};
use crate::{Message, MessageFile, Phrase, Voice, names};

static FILE: MessageFile = MessageFile { catalogue: &crate::CATALOGUE, name: "fact_names" };

static NAMES: LazyLock<Vec<Message>> =
    LazyLock::new(|| Fact::ALL.iter().map(|fact| Message::new(&FILE, fact.word())).collect());

/// What a fact is called, wherever it stands: "scale length", "tuning".
pub fn called(fact: Fact) -> Phrase {
    match NAMES.iter().find(|message| message.id() == fact.word()) {
        Some(message) => Phrase::new(message, []),
        None => Phrase::written(fact.word()),
    }
}

/// What a fact is called: "scale length", "string 4 (E)", "tuning of string 4".
pub fn name(field: &SpecField, spec: &InstrumentSpec) -> Phrase {
    match (field.at(), field.fact()) {
        (At::Instrument, fact) => called(fact),
        (At::String(place), Fact::Strings) => names::string(spec, place),
        // Without its note: that is what the fact may say.
        (At::String(place), fact) => {
            say::at_string(called(fact), names::string(&InstrumentSpec::default(), place))
        }
        (At::Screw(place), _) => screw_name(place),
    }
}

/// A fact's value: "12 in", "individual saddles, 2 height screws each".
pub fn value(field: &SpecField, spec: &InstrumentSpec) -> Phrase {
    match field.value() {
        FactValue::Text(text) => Phrase::written(text.as_str()),
        FactValue::Amount(amount) => as_entered(*amount),
        FactValue::Count(count) => say::count(*count),
        FactValue::YesNo(yes) => say::yes_no(*yes),
        FactValue::Places(places) if places.is_empty() => say::none(),
        FactValue::Places(places) => names::strings(spec, places),
        FactValue::Family(of) => family(*of),
        FactValue::Courses(courses) => courses_of(courses),
        FactValue::Note(note) => names::note(*note),
        FactValue::String(string) => string_spec(string),
        FactValue::Scale(of) => scale(of, spec),
        FactValue::Frets(of) => frets(*of),
        FactValue::JointFret(joint) => say::joint_fret_at(joint.fret, joint.uncertain_by),
        FactValue::Board(of) => board(*of),
        FactValue::Nut(kind) => nut(*kind),
        FactValue::Bridge(of) => bridge(of, spec),
        FactValue::Screw(of) => screw(field.at(), of),
        FactValue::Rod(of) => rod(*of),
        FactValue::NeckJoint(joint) => neck_joint(*joint),
        FactValue::Handedness(hand) => handedness(*hand),
        FactValue::Stringing(order) => stringing(*order),
    }
}

/// Every fact that is known, with its name; the notes of the strings in one line. The strings stand in the
/// person's order.
pub fn sheet(spec: &InstrumentSpec, voice: &Voice) -> Vec<(Phrase, Phrase)> {
    let mut lines: Vec<(Phrase, Phrase)> = Vec::new();
    let mut tuned = false;
    let fields = voice.by_string(spec.fields(), |field| match field.at() {
        At::String(place) => Some((field.fact(), place.into())),
        _ => None,
    });
    for field in fields {
        if field.fact() == Fact::Tuning {
            if !tuned {
                let notes = spec.tuning.values().map(|note| names::note(*note));
                let notes = voice.in_order(notes.collect());
                lines.push((called(Fact::Tuning), List::space(notes).into()));
            }
            tuned = true;
            continue;
        }
        lines.push((name(&field, spec), value(&field, spec)));
    }
    lines
}

/// A family of instruments: "bass".
pub fn family(family: InstrumentFamily) -> Phrase {
    say::family_kind(Word(match family {
        InstrumentFamily::Bass => "bass",
        InstrumentFamily::Guitar => "guitar",
        InstrumentFamily::Other(_) => "other",
    }))
}

fn courses_of(courses: &[u8]) -> Phrase {
    let strings = courses.iter().map(|strings| u32::from(*strings)).sum();
    if courses.iter().all(|strings| *strings == 1) {
        say::strings_count(strings)
    } else {
        say::courses_count(courses.len(), strings)
    }
}

/// What a string is: "0.105 in, round-wound".
pub(crate) fn string_spec(string: &StringSpec) -> Phrase {
    let StringSpec { gauge, construction: made, core, unit_weight, pack_tension, name } = string;
    let mut parts: Vec<Phrase> = Vec::new();
    parts.extend(name.as_deref().map(Phrase::written));
    parts.extend(gauge.map(as_entered));
    parts.extend(made.map(construction));
    parts.extend(core.map(say::core));
    parts.extend(unit_weight.map(weight));
    parts.extend(pack_tension.map(say::pack_tension));
    if parts.is_empty() { say::nothing_known() } else { List::comma(parts).into() }
}

/// How a string is made: "round-wound".
pub fn construction(construction: StringConstruction) -> Phrase {
    say::construction(Word(match construction {
        StringConstruction::Plain => "plain",
        StringConstruction::RoundWound => "round",
        StringConstruction::HalfWound => "half",
        StringConstruction::FlatWound => "flat",
        StringConstruction::TapeWound => "tape",
        StringConstruction::Polymer => "polymer",
        StringConstruction::Other(_) => "newer",
    }))
}

fn weight(weight: UnitWeight) -> Phrase {
    let value = Computed::plain(weight.value.value(), weight.value.places());
    let unit = Word(match weight.unit {
        UnitWeightUnit::PoundPerInch => "pound_per_inch",
        UnitWeightUnit::GramPerMetre => "gram_per_metre",
        UnitWeightUnit::Other(_) => "newer",
    });
    say::unit_weight(names::computed(value), unit)
}

fn scale(scale: &ScaleLength, spec: &InstrumentSpec) -> Phrase {
    match scale {
        ScaleLength::Same(length) => as_entered(*length),
        ScaleLength::Fanned { bass, treble } => say::scale_fanned(*bass, *treble),
        ScaleLength::Each(strings) => {
            let each = |(place, length): &(StringPlace, Amount)| {
                say::scale_of(names::string_label(spec, *place), *length)
            };
            List::comma(strings.iter().map(each)).into()
        }
    }
}

fn frets(frets: FretsSpec) -> Phrase {
    match frets.height {
        _ if frets.is_fretless() => say::fretless(),
        Some(height) => say::frets_high(frets.count, height),
        None => say::frets_count(frets.count),
    }
}

fn board(board: BoardCurve) -> Phrase {
    match board {
        BoardCurve::Flat => say::flat(),
        BoardCurve::Cylinder(radius) => say::radius(radius),
        BoardCurve::Compound { nut, last_fret } => say::compound(nut, last_fret),
    }
}

/// A kind of nut: "slotted nut".
pub fn nut(kind: NutKind) -> Phrase {
    say::nut_kind(Word(match kind {
        NutKind::Slotted => "slotted",
        NutKind::ZeroFret => "zero_fret",
        NutKind::Locking => "locking",
        NutKind::Compensated => "compensated",
        NutKind::Roller => "roller",
        NutKind::Other(_) => "newer",
    }))
}

fn bridge(bridge: &BridgeSpec, spec: &InstrumentSpec) -> Phrase {
    let BridgeSpec { height, floating, intonation, sideways, posts } = bridge;
    let mut parts = vec![match height {
        HeightBy::OwnSaddles { screws } => say::own_saddles(*screws),
        HeightBy::SharedSaddles(saddles) => say::shared_saddles(List::semicolon(
            saddles.iter().map(|saddle| names::strings(spec, saddle)),
        )),
        HeightBy::TwoPosts => say::two_posts(),
        HeightBy::Fixed => say::fixed(),
    }];
    parts.extend((*posts == Some(true)).then(say::on_posts));
    parts.extend(floating.then(say::floating));
    parts.extend(intonation.map(|by| {
        say::intonation_by(Word(match by {
            IntonationBy::OwnSaddles => "own",
            IntonationBy::SharedSaddles => "shared",
            IntonationBy::WholeBridge => "whole",
            IntonationBy::Fixed => "fixed",
            IntonationBy::Other(_) => "newer",
        }))
    }));
    parts.extend(sideways.map(say::sideways));
    List::comma(parts).into()
}

const fn screw_word(place: ScrewPlace) -> Word {
    Word(match place {
        ScrewPlace::Rod => "rod",
        ScrewPlace::SaddleHeight => "saddle_height",
        ScrewPlace::SaddlePosition => "saddle_position",
        ScrewPlace::BridgePost => "bridge_post",
        ScrewPlace::Pickup => "pickup",
        ScrewPlace::SpringClaw => "spring_claw",
    })
}

/// What a screw is called: "truss-rod nut".
pub(crate) fn screw_name(place: ScrewPlace) -> Phrase {
    say::screw(screw_word(place))
}

/// What a clockwise turn of a screw does: "clockwise reduces relief".
pub fn clockwise(place: ScrewPlace, clockwise: Clockwise) -> Phrase {
    let way = Word(match clockwise {
        Clockwise::More => "more",
        Clockwise::Less => "less",
        Clockwise::Other(_) => "newer",
    });
    say::clockwise(screw_word(place), way)
}

fn screw(at: At, screw: &ScrewSpec) -> Phrase {
    let ScrewSpec { thread, clockwise: way, key } = screw;
    let mut parts: Vec<Phrase> = Vec::new();
    if let Some(ThreadSpec { designation, pitch }) = thread {
        parts.extend(designation.as_deref().map(Phrase::written));
        parts.extend(pitch.map(say::thread_pitch));
    }
    if let (Some(way), At::Screw(place)) = (way, at) {
        parts.push(clockwise(place, *way));
    }
    parts.extend(key.clone().map(say::key));
    if parts.is_empty() { say::nothing_known() } else { List::comma(parts).into() }
}

fn rod(rod: RodSpec) -> Phrase {
    let kind = say::rod_kind(Word(match rod.kind {
        RodKind::Absent => "absent",
        RodKind::OneWay => "one_way",
        RodKind::TwoWay => "two_way",
        RodKind::Other(_) => "newer",
    }));
    let access = rod.access.map(|access| {
        say::rod_access(Word(match access {
            RodAccess::Head => "head",
            RodAccess::Heel => "heel",
            RodAccess::Other(_) => "newer",
        }))
    });
    List::comma([Some(kind), access].into_iter().flatten()).into()
}

fn neck_joint(joint: NeckJoint) -> Phrase {
    say::neck_joint_kind(Word(match joint {
        NeckJoint::BoltOn => "bolt_on",
        NeckJoint::Glued => "glued",
        NeckJoint::Through => "through",
        NeckJoint::Other(_) => "newer",
    }))
}

fn handedness(hand: Handedness) -> Phrase {
    say::hand(Word(match hand {
        Handedness::Right => "right",
        Handedness::Left => "left",
        Handedness::Other(_) => "newer",
    }))
}

fn stringing(order: Stringing) -> Phrase {
    say::order(Word(match order {
        Stringing::Usual => "usual",
        Stringing::Reversed => "reversed",
        Stringing::Other(_) => "newer",
    }))
}
