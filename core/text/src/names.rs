//! Quantities, strings, places, tools, notes, turns: each said in one way.

use fallaway_measure::{
    Accidental, Amount, Decimal, Dimension, Fret, Letter, Location, Note, Quantity, Reading, Side,
    StringPlace, Tool, ToolKind,
};
use fallaway_record::{InstrumentSpec, Moment, Turns};

use crate::Phrase;
use crate::messages::measure as say;
use crate::phrase::{Computed, Day, List, Word, arguments};

// What has a name can stand in a message by itself.
arguments! {
    Quantity => |named| Self::Phrase(quantity(named));
    Reading => |named| Self::Phrase(reading(named));
    Tool => |named| Self::Phrase(tool(named));
}

impl Phrase {
    /// What a person wrote, as it was written but for [`crate::safe`].
    pub fn written(text: impl Into<String>) -> Self {
        say::written(text.into())
    }

    /// Nothing to say.
    pub fn empty() -> Self {
        Self::written("")
    }
}

impl From<List> for Phrase {
    fn from(list: List) -> Self {
        say::row(list)
    }
}

/// A computed number.
pub fn computed(number: Computed) -> Phrase {
    say::number(number)
}

/// An amount as it was entered.
pub fn amount(amount: Amount) -> Phrase {
    say::as_entered(amount)
}

/// Day and time of day.
pub fn moment(at: Moment) -> Phrase {
    say::moment(at)
}

/// The day of a moment, where it was written down, without the time.
pub fn day(at: Moment) -> Phrase {
    say::day(Day(at))
}

/// What is read, and which way: "action at fret 24, fretted at 1".
pub fn quantity(quantity: Quantity) -> Phrase {
    match quantity {
        // Near the nut, or held down above: that tells the depth of the slot.
        Quantity::Gap { stopped, over } if over.number() == 1 || stopped > over => {
            if stopped.is_open() { say::nut_open(over) } else { say::nut(stopped, over) }
        }
        Quantity::Gap { stopped: Fret::OPEN, over } => say::action_open(over),
        Quantity::Gap { stopped, over } => say::action(stopped, over),
        Quantity::Relief { from, to, at: None } => say::relief(from, to),
        Quantity::Relief { from, to, at: Some(at) } => say::relief_at(from, to, at),
        Quantity::FallAway { from, to, at } => say::fall_away(from, to, at),
        Quantity::Pitch => say::pitch(),
        Quantity::Intonation { fret } => say::intonation(fret),
        Quantity::SpacingBridge => say::spacing_bridge(),
        Quantity::SpacingNut => say::spacing_nut(),
        Quantity::BridgeHeight => say::bridge_height(),
        Quantity::BridgeTail => say::bridge_tail(),
        Quantity::PickupGap { pickup, stopped: Fret::OPEN } => say::pickup_open(pickup),
        Quantity::PickupGap { pickup, stopped } => say::pickup(pickup, stopped),
        Quantity::Other(number) => say::quantity_newer(number),
    }
}

/// What was seen: "5/64 in", "at most 0.2 mm", "0.010 in to 0.012 in".
pub fn reading(reading: Reading) -> Phrase {
    match reading {
        Reading::Value(amount) => say::as_entered(amount),
        Reading::AtMost(amount) => say::at_most(amount),
        Reading::AtLeast(amount) => say::at_least(amount),
        Reading::Between { low, high } => say::between(low, high),
    }
}

/// What an amount measures: "a length".
pub fn dimension(dimension: Dimension) -> Phrase {
    say::dimension(dimension_word(dimension))
}

/// By which a message tells what an amount measures.
pub(crate) fn dimension_word(dimension: Dimension) -> Word {
    Word(match dimension {
        Dimension::Length => "length",
        Dimension::Interval => "interval",
        Dimension::Frequency => "frequency",
        Dimension::Share => "share",
        Dimension::Temperature => "temperature",
        Dimension::Force => "force",
        Dimension::Rotation => "rotation",
        Dimension::Other => "newer",
    })
}

/// A string by its number and note: "4 (E)"; by its number alone if its tuning is not known.
pub fn string_label(spec: &InstrumentSpec, place: StringPlace) -> Phrase {
    string_tuned(place, spec.tuning.get(&place).copied())
}

/// The same for whoever knows no more of the instrument than this string's note.
pub fn string_tuned(place: StringPlace, note: Option<Note>) -> Phrase {
    match note {
        Some(note) => say::string_label(place, note_letter(note)),
        None => say::string_number(place),
    }
}

/// The same in a sentence: "string 4 (E)".
pub fn string(spec: &InstrumentSpec, place: StringPlace) -> Phrase {
    say::string(string_label(spec, place))
}

/// Several: "strings 1 (G), 2 (D)"; none stands for all strings.
pub fn strings(spec: &InstrumentSpec, places: &[StringPlace]) -> Phrase {
    if places.is_empty() {
        return say::strings_all();
    }
    let labels = places.iter().map(|place| string_label(spec, *place));
    say::strings(places.len(), List::comma(labels))
}

/// Where something is read: "string 4 (E)", "bass side"; `None` for the instrument as a whole.
pub fn location(spec: &InstrumentSpec, location: Location) -> Option<Phrase> {
    match location {
        Location::Whole => None,
        Location::Course(place) => Some(string(spec, place)),
        Location::Side(of) => Some(side(of)),
        Location::Other(number) => Some(say::location_newer(number)),
    }
}

/// The same for a column of a table: "4 (E)".
pub fn location_label(spec: &InstrumentSpec, at: Location) -> Option<Phrase> {
    match at {
        Location::Course(place) => Some(string_label(spec, place)),
        Location::Whole | Location::Side(_) | Location::Other(_) => location(spec, at),
    }
}

/// A side of the instrument: "bass side".
pub fn side(side: Side) -> Phrase {
    say::side(side_word(side))
}

/// The word by which messages choose a side.
pub(crate) const fn side_word(side: Side) -> Word {
    Word(match side {
        Side::Bass => "bass",
        Side::Treble => "treble",
    })
}

/// A note without its octave: "E", "Eb".
pub(crate) fn note_letter(note: Note) -> Phrase {
    let letter = Word(match note.letter() {
        Letter::C => "C",
        Letter::D => "D",
        Letter::E => "E",
        Letter::F => "F",
        Letter::G => "G",
        Letter::A => "A",
        Letter::B => "B",
    });
    say::note(
        letter,
        Word(match note.accidental() {
            Accidental::DoubleFlat => "double_flat",
            Accidental::Flat => "flat",
            Accidental::Natural => "natural",
            Accidental::Sharp => "sharp",
            Accidental::DoubleSharp => "double_sharp",
        }),
    )
}

/// A note with its octave (scientific pitch notation) and its offset in cents: "E1", "A4−2.5".
pub fn note(note: Note) -> Phrase {
    let cents = match note.cents().digits() {
        0 => Phrase::empty(),
        _ => computed(Computed::exact(note.cents().value()).signed()),
    };
    say::note_octave(note_letter(note), note.octave().into(), cents)
}

/// A tool with its graduation: "rule 1/64 in".
pub fn tool(tool: Tool) -> Phrase {
    let (word, code) = tool_word(tool.kind());
    say::tool(word, tool.graduation(), code)
}

/// A kind of tool: "feeler gauge"; "tool" if none is known.
pub(crate) fn tool_kind(kind: Option<ToolKind>) -> Phrase {
    let (word, code) = kind.map_or((Word("none"), 0), tool_word);
    say::tool_kind(word, code)
}

const fn tool_word(kind: ToolKind) -> (Word, u32) {
    match kind {
        ToolKind::SteelRule => (Word("rule"), 0),
        ToolKind::Feeler => (Word("feeler"), 0),
        ToolKind::Caliper => (Word("caliper"), 0),
        ToolKind::DialGauge => (Word("dial"), 0),
        ToolKind::Tuner => (Word("tuner"), 0),
        ToolKind::Other(code) => (Word("newer"), code),
    }
}

/// Eighths of a turn, clockwise above zero, as seen from the tool: "1 1/8 turns clockwise".
pub fn eighths(eighths: i32) -> Phrase {
    let size = eighths_size(eighths.unsigned_abs());
    turned(eighths_text(eighths.unsigned_abs()), size, eighths.signum())
}

/// Eighths of a turn of which the direction is not known: "1/8 turn".
pub fn eighths_either_way(eighths: u32) -> Phrase {
    turned(eighths_text(eighths), eighths_size(eighths), 0)
}

const fn eighths_size(eighths: u32) -> Word {
    Word(if eighths > 8 { "more" } else { "part" })
}

/// A turn that is too small to count in eighths; above zero clockwise, 0 if not known.
pub(crate) fn under_an_eighth(direction: i32) -> Phrase {
    say::turns_under(Word(match direction.signum() {
        1 => "clockwise",
        -1 => "anticlockwise",
        _ => "unknown",
    }))
}

/// What somebody turned: "1/4 turn clockwise", "0.3 turn clockwise".
pub fn turns(turns: Turns) -> Phrase {
    let magnitude = turns.value().abs();
    let sixteenths = magnitude * 16.0;
    let size = Word(if magnitude > 1.0 { "more" } else { "part" });
    let text = if sixteenths == sixteenths.round() {
        parts_text(sixteenths as u32, 16)
    } else {
        // The digits as they were written, without the sign.
        let digits = turns.amount().digits().abs();
        let plain = Decimal::new(digits, turns.amount().places()).unwrap_or(turns.amount());
        let number = Computed::plain(plain.value(), plain.places());
        return turned(say::number(number), size, turns.amount().digits().signum() as i32);
    };
    turned(text, size, turns.amount().digits().signum() as i32)
}

fn turned(text: Phrase, size: Word, direction: i32) -> Phrase {
    match direction {
        1 => say::turns_clockwise(text, size),
        -1 => say::turns_anticlockwise(text, size),
        _ => say::turns(text, size),
    }
}

fn eighths_text(eighths: u32) -> Phrase {
    parts_text(eighths, 8)
}

/// "1 1/8", reduced.
fn parts_text(count: u32, of: u32) -> Phrase {
    let (whole, mut top, mut bottom) = (count / of, count % of, of);
    while top > 0 && top % 2 == 0 {
        (top, bottom) = (top / 2, bottom / 2);
    }
    Phrase::written(match (whole, top) {
        (_, 0) => whole.to_string(),
        (0, _) => format!("{top}/{bottom}"),
        _ => format!("{whole} {top}/{bottom}"),
    })
}

/// Frets of a buzz: "open", "fret 3", "frets 3 to 6".
pub fn frets(from: Fret, to: Fret) -> Phrase {
    match (from.is_open(), from == to) {
        (true, true) => say::fret_open(),
        (true, false) => say::frets_from_open(to),
        (false, true) => say::fret(from),
        (false, false) => say::frets(from, to),
    }
}
