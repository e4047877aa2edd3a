//! Entries of the history.

use std::cmp::Ordering;

use fallaway_measure::{Amount, Decimal, Fraction, StringPlace};
use fallaway_record::{
    AdjustedPart, Adjustment, Buzz, Climate, CouldNot, Entry, EntryBody, FretFinding, FretState,
    InstrumentSpec, Pass, Phase, Posture, Remark, StoppedBy, StringChange, Tuning,
};

use crate::messages::entries as say;
use crate::phrase::{List, Word};
use crate::{Phrase, names};

/// What the entry says, without who and when.
pub fn entry(entry: &Entry, spec: &InstrumentSpec) -> Phrase {
    let said = body(&entry.body, spec);
    match entry.body {
        EntryBody::Unknown { .. } => said,
        _ if entry.newer => say::partly_newer(said),
        _ => said,
    }
}

/// What an entry with this body says.
pub fn body(body: &EntryBody, spec: &InstrumentSpec) -> Phrase {
    match body {
        EntryBody::Visit(visit) => noted(say::visit(), visit.purpose.as_deref()),
        EntryBody::VisitEnd(end) => noted(say::visit_ended(), end.note.as_deref()),
        EntryBody::Pass(pass) => say::pass(pass_head(pass), readings(pass, spec)),
        EntryBody::Adjustment(adjustment) => adjusted(std::slice::from_ref(adjustment), spec),
        EntryBody::StringChange(change) => strings(change, spec),
        EntryBody::Tuning(tuning) => tuned(tuning, spec),
        EntryBody::Climate(of) => climate(of),
        EntryBody::Remark(remark) => remarked(remark, spec),
        EntryBody::Buzz(of) => buzz(of, spec),
        EntryBody::Photo(photo) => noted(say::photo(), photo.caption.as_deref()),
        EntryBody::Unknown { kind, .. } => say::newer(*kind),
    }
}

/// So many entries of the kind of this one: "3 remarks".
pub fn count(body: &EntryBody, count: usize) -> Phrase {
    let kind = match body {
        EntryBody::Visit(_) => "visit",
        EntryBody::VisitEnd(_) => "visit_end",
        EntryBody::Pass(_) => "pass",
        EntryBody::Adjustment(_) => "adjustment",
        EntryBody::StringChange(_) => "string_change",
        EntryBody::Tuning(_) => "tuning",
        EntryBody::Climate(_) => "climate",
        EntryBody::Remark(_) => "remark",
        EntryBody::Buzz(_) => "buzz",
        EntryBody::Photo(_) => "photo",
        EntryBody::Unknown { .. } => "newer",
    };
    say::count(Word(kind), count)
}

fn noted(entry: Phrase, note: Option<&str>) -> Phrase {
    match note {
        Some(note) => say::with_note(entry, note.to_owned()),
        None => entry,
    }
}

/// What was read, which way, with what, in which state: "action at fret 24, fretted at 1, as found".
pub fn pass_head(pass: &Pass) -> List {
    let mut head = vec![names::quantity(pass.quantity)];
    head.extend(pass.phase.map(phase));
    head.extend(pass.tool.map(names::tool));
    head.extend(pass.posture.map(posture));
    head.extend(pass.stopped_by.map(stopped_by));
    head.extend(pass.tuned_minutes_ago.map(say::tuned_before));
    List::comma(head)
}

/// Where in its visit a pass belongs: "as found".
pub fn phase(phase: Phase) -> Phrase {
    say::phase(Word(match phase {
        Phase::AsFound => "found",
        Phase::Working => "working",
        Phase::AsLeft => "left",
        Phase::Other(_) => "newer",
    }))
}

/// "in playing position".
pub fn posture(posture: Posture) -> Phrase {
    say::posture(Word(match posture {
        Posture::Playing => "playing",
        Posture::OnBack => "back",
        Posture::NeckRest => "rest",
        Posture::OnSide => "side",
        Posture::Hanging => "hanging",
        Posture::Other(_) => "newer",
    }))
}

/// "fretted by a capo".
pub fn stopped_by(by: StoppedBy) -> Phrase {
    say::stopped_by(Word(match by {
        StoppedBy::Finger => "finger",
        StoppedBy::Capo => "capo",
        StoppedBy::Other(_) => "newer",
    }))
}

/// Each reading with its place: "1 (G) 5/64 in; 2 (D) 5/64 in".
pub fn readings(pass: &Pass, spec: &InstrumentSpec) -> List {
    List::semicolon(pass.readings.iter().map(|read| {
        let reading = names::reading(read.reading).of(pass.quantity);
        match names::location_label(spec, read.location) {
            Some(location) => say::read_at(location, reading),
            None => reading,
        }
    }))
}

/// What was adjusted: "saddle height, 4 (E)". Several differ in the string, or the side, only.
fn part(what: AdjustedPart, strings: Phrase, count: usize) -> Phrase {
    match what {
        AdjustedPart::Rod => say::rod(),
        AdjustedPart::SaddleHeight(_) => say::saddle_height(strings),
        AdjustedPart::SaddlePosition(_) => say::saddle_position(strings),
        AdjustedPart::SaddleSideways(_) => say::saddle_sideways(strings),
        AdjustedPart::NutSlot(_) => say::nut_slot(strings),
        AdjustedPart::Nut => say::nut(),
        AdjustedPart::BridgePost(_) if count > 1 => say::bridge_posts(),
        AdjustedPart::BridgePost(side) => say::bridge_post(names::side_word(side)),
        AdjustedPart::Springs => say::springs(),
        AdjustedPart::Pickup { pickup, side: Some(side) } => {
            say::pickup_side(pickup, names::side_word(side))
        }
        AdjustedPart::Pickup { pickup, side: None } => say::pickup(pickup),
        AdjustedPart::Neck => say::neck(),
        AdjustedPart::Frets => say::frets(),
        AdjustedPart::Bridge => say::bridge(),
        AdjustedPart::Elsewhere => say::elsewhere(),
        AdjustedPart::Pole { pickup, .. } => say::pole(pickup, strings),
        AdjustedPart::Other(code) => say::part_newer(code),
    }
}

/// Adjustments that differ in the string only: "saddle height, strings 1 (G), 2 (D): 1/8 turn
/// clockwise".
pub fn adjusted(adjustments: &[Adjustment], spec: &InstrumentSpec) -> Phrase {
    let Some(first) = adjustments.first() else { return say::elsewhere() };
    let places: Vec<StringPlace> = adjustments.iter().filter_map(|one| one.what.place()).collect();
    let part = part(first.what, names::strings(spec, &places), adjustments.len());
    let mut details = Vec::new();
    details.extend(first.turns.map(names::turns));
    details.extend(first.amount.map(|amount| moved(first.what, amount)));
    details.extend(first.note.as_deref().map(|note| went(note).unwrap_or_else(|| note.into())));
    if details.is_empty() { part } else { say::adjusted(part, List::comma(details)) }
}

/// Which way a part went, where that is all that was noted: whoever reads it has it in their language,
/// whatever the writer's was.
fn went(note: &str) -> Option<Phrase> {
    const WAYS: [(&str, [&str; 2]); 8] = [
        ("up", ["up", "höher"]),
        ("down", ["down", "tiefer"]),
        ("back", ["back", "nach hinten"]),
        ("forward", ["forward", "nach vorn"]),
        ("bass", ["toward the bass side", "zur Bassseite"]),
        ("treble", ["toward the treble side", "zur Diskantseite"]),
        ("filled", ["filled", "aufgefüllt"]),
        ("filed", ["filed", "gefeilt"]),
    ];
    let (way, _) = WAYS.iter().find(|(_, written)| written.contains(&note.trim()))?;
    Some(say::went(Word(way)))
}

/// A move; the record keeps its direction as a sign.
fn moved(what: AdjustedPart, amount: Amount) -> Phrase {
    let (above, below) = match what {
        AdjustedPart::SaddleHeight(_)
        | AdjustedPart::BridgePost(_)
        | AdjustedPart::Pickup { .. }
        | AdjustedPart::Pole { .. } => ("up", "down"),
        AdjustedPart::SaddlePosition(_) => ("back", "forward"),
        AdjustedPart::SaddleSideways(_) => ("treble", "bass"),
        AdjustedPart::NutSlot(_) => ("filled", "filed"),
        AdjustedPart::Neck | AdjustedPart::Nut => ("thicker", "thinner"),
        AdjustedPart::Rod
        | AdjustedPart::Springs
        | AdjustedPart::Frets
        | AdjustedPart::Bridge
        | AdjustedPart::Elsewhere
        | AdjustedPart::Other(_) => return say::moved(Word("by"), amount),
    };
    let way = if amount.sign() == Ordering::Less { below } else { above };
    say::moved(Word(way), magnitude(amount))
}

fn magnitude(amount: Amount) -> Amount {
    match amount {
        Amount::Decimal { value, unit } => Amount::Decimal {
            // The same digits are within the same limits.
            value: Decimal::new(value.digits().abs(), value.places()).unwrap_or(value),
            unit,
        },
        Amount::Fraction(fraction) => Amount::Fraction(
            Fraction::new(false, fraction.whole(), fraction.numerator(), fraction.denominator())
                .unwrap_or(fraction),
        ),
    }
}

fn labels(places: &[StringPlace], spec: &InstrumentSpec) -> List {
    List::comma(places.iter().map(|place| names::string_label(spec, *place)))
}

fn strings(change: &StringChange, spec: &InstrumentSpec) -> Phrase {
    let changed = match change.strings.as_slice() {
        [] => say::all_strings_changed(),
        places => say::strings_changed(places.len(), labels(places, spec)),
    };
    let gauged = |(place, fitted): &(StringPlace, fallaway_record::spec::StringSpec)| {
        Some(say::gauge(*place, fitted.gauge?))
    };
    let gauges: Vec<Phrase> = change.fitted.iter().filter_map(gauged).collect();
    let mut details: Vec<Phrase> = Vec::new();
    details.extend(change.set.as_deref().map(Phrase::written));
    details.extend((!gauges.is_empty()).then(|| List::comma(gauges).into()));
    details.extend(change.note.as_deref().map(Phrase::written));
    if details.is_empty() { changed } else { say::adjusted(changed, List::semicolon(details)) }
}

fn tuned(tuning: &Tuning, spec: &InstrumentSpec) -> Phrase {
    let tuned = match tuning.strings.as_slice() {
        [] => say::all_tuned(),
        places => say::tuned(places.len(), labels(places, spec)),
    };
    let notes =
        tuning.changed.iter().map(|(place, note)| say::tuned_to(*place, names::note(*note)));
    let tuned =
        if tuning.changed.is_empty() { tuned } else { say::from_now_on(tuned, List::comma(notes)) };
    noted(tuned, tuning.note.as_deref())
}

fn climate(climate: &Climate) -> Phrase {
    let mut parts = Vec::new();
    parts.extend(climate.temperature.map(names::amount));
    parts.extend(climate.humidity.map(say::humidity));
    parts.extend(climate.where_kept.as_deref().map(Phrase::written));
    parts.extend(climate.hours_there.map(say::hours_there));
    say::climate(List::comma(parts))
}

fn remarked(remark: &Remark, spec: &InstrumentSpec) -> Phrase {
    let why = Phrase::written(remark.text.as_str());
    if let Some(found) = &remark.fret {
        let note = Some(remark.text.as_str()).filter(|text| !text.is_empty());
        return noted(fret_finding(found, spec), note);
    }
    match remark.could_not {
        None | Some(CouldNot::Other(_)) => why,
        Some(CouldNot::Move(what)) => {
            let places: Vec<StringPlace> = what.place().into_iter().collect();
            say::could_not_move(part(what, names::strings(spec, &places), 1), why)
        }
        Some(CouldNot::Read { quantity, location }) => {
            let what = [Some(names::quantity(quantity)), names::location_label(spec, location)];
            say::could_not_read(List::comma(what.into_iter().flatten()), why)
        }
    }
}

/// What was found at a fret: "fret 7, under string 4 (E): stands high by 0.08 mm".
pub fn fret_finding(found: &FretFinding, spec: &InstrumentSpec) -> Phrase {
    let state = Word(match found.state {
        FretState::High => "high",
        FretState::Level => "level",
        FretState::Worn => "worn",
        FretState::Lifting => "lifting",
        FretState::Other(_) => "newer",
    });
    let fret = names::frets(found.fret, found.fret);
    let place = match found.strings.as_slice() {
        [] => fret,
        strings => say::fret_under(fret, names::strings(spec, strings)),
    };
    match found.by {
        Some(by) => say::fret_by(place, state, names::amount(by)),
        None => say::fret_found(place, state),
    }
}

fn buzz(buzz: &Buzz, spec: &InstrumentSpec) -> Phrase {
    let where_it_buzzes = names::frets(buzz.from, buzz.to);
    noted(say::buzz(names::string(spec, buzz.string), where_it_buzzes), buzz.note.as_deref())
}
