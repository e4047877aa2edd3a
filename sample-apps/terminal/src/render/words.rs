//! Names of things and entries of the history, in the voice of this run.

/// Strings, places, quantities.
pub mod names {
    use fallaway::measure::{Fret, Location, Quantity, StringPlace};
    use fallaway::record::InstrumentSpec;
    use fallaway::text::names;

    use crate::voice::say;

    /// A string with its note, "4 (E)".
    pub fn string(spec: &InstrumentSpec, place: StringPlace) -> String {
        say(&names::string_label(spec, place))
    }

    /// Where something was read; empty for the instrument as a whole.
    pub fn location(spec: &InstrumentSpec, location: Location) -> String {
        names::location_label(spec, location).map_or_else(String::new, |label| say(&label))
    }

    /// What is read and which way.
    pub fn quantity(quantity: Quantity) -> String {
        say(&names::quantity(quantity))
    }

    /// Frets of a buzz.
    pub fn frets(from: Fret, to: Fret) -> String {
        say(&names::frets(from, to))
    }
}

/// Entries of the history.
pub mod entries {
    use fallaway::record::{Adjustment, Entry, EntryBody, InstrumentSpec, Pass};
    use fallaway::text::entries;

    use crate::voice::say;

    /// What an entry says, without who and when.
    pub fn words(entry: &Entry, spec: &InstrumentSpec) -> String {
        say(&entries::entry(entry, spec))
    }

    /// What an entry with this body says.
    pub fn body(body: &EntryBody, spec: &InstrumentSpec) -> String {
        say(&entries::body(body, spec))
    }

    /// What was read, which way, with what, in which state.
    pub fn pass_head(pass: &Pass) -> String {
        say(&entries::pass_head(pass).into())
    }

    /// Adjustments that differ in the string only.
    pub fn adjusted_together(adjustments: &[Adjustment], spec: &InstrumentSpec) -> String {
        say(&entries::adjusted(adjustments, spec))
    }
}
