//! Every fact of an instrument, declared once. A key is for ever: add, never reuse.

use fallaway_measure::{Amount, InstrumentFamily, Limit, Note, StringPlace};
use fallaway_order::Map;

use super::check::{Characters, FactFault, Rule};
use super::declare::{At, Part, Stands, facts, split};
use super::{
    BoardCurve, BridgeSpec, FactValue, FretsSpec, Handedness, HeightBy, JointFretSpec, NeckJoint,
    NutKind, RodSpec, ScaleLength, ScrewPlace, ScrewSpec, StringSpec, Stringing,
};

/// A fact that no instrument has.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("no instrument has this {}: {fault}", fact.word())]
pub struct SpecError {
    /// The fact that was to be set.
    pub fact: Fact,
    /// What is wrong with it.
    pub fault: FactFault,
}

facts! {
    /// What its people call it.
    Name(String) = "name" in name: Option<String>, Characters(64);
    /// Anything that identifies it.
    About(String) = "about" in about: Option<String>, Characters(2_000);
    /// Its family, for the ranges that are usual.
    Family(InstrumentFamily) = "family" in family: Option<InstrumentFamily>;
    /// Strings in each course, from the treble side: `[1, 1, 1, 1]` is a four-string.
    Courses(Vec<u8>) = "courses" in courses: Vec<u8>;
    /// The note of a string.
    Tuning(Note) at string: StringPlace = "tuning" in tuning: Map<StringPlace, Note>;
    /// What string is fitted somewhere.
    Strings(StringSpec) at string: StringPlace = "string" in strings: Map<StringPlace, StringSpec>;
    /// Scale length: one for all, fanned, or string by string.
    Scale(ScaleLength) = "scale" in scale: Option<ScaleLength>;
    /// How many frets, and how high their crowns stand.
    Frets(FretsSpec) = "frets" in frets: Option<FretsSpec>;
    /// Where the neck stops bending.
    JointFret(JointFretSpec) = "joint-fret" in joint_fret: Option<JointFretSpec>;
    /// Curve of the board.
    Board(BoardCurve) = "board" in board: Option<BoardCurve>;
    /// What holds the strings at the head end.
    Nut(NutKind) = "nut" in nut: Option<NutKind>;
    /// Centre to centre of the outer strings at the nut.
    NutSpread(Amount) = "nut-spread" in nut_spread: Option<Amount>, Limit::Spread;
    /// Centre to centre of the outer strings at the bridge.
    BridgeSpread(Amount) = "bridge-spread" in bridge_spread: Option<Amount>, Limit::Spread;
    /// How the bridge is built: what its height screws move, whether it floats, how intonation is
    /// set.
    Bridge(BridgeSpec) = "bridge" in bridge: Option<BridgeSpec>;
    /// A screw or nut, with what a clockwise turn does as far as the instrument has shown it.
    Screw(ScrewSpec) at screw: ScrewPlace = "screw" in screws: Map<ScrewPlace, ScrewSpec>;
    /// The truss rod.
    Rod(RodSpec) = "rod" in rod: Option<RodSpec>;
    /// How the neck is attached.
    NeckJoint(NeckJoint) = "neck-joint" in neck_joint: Option<NeckJoint>;
    /// How many pickups; 1 is nearest the bridge.
    Pickups(u8) = "pickups" in pickups: Option<u8>, Limit::Pickups;
    /// How many springs hold a floating bridge.
    Springs(u8) = "springs" in springs: Option<u8>, Limit::Springs;
    /// For which hand it is built.
    Handedness(Handedness) = "handedness" in handedness: Option<Handedness>;
    /// Order of the strings.
    Stringing(Stringing) = "stringing" in stringing: Option<Stringing>;
    /// Frequency of A4; 440 Hz (ISO 16:1975) if nothing is said.
    A4(Amount) = "a4" in a4: Option<Amount>, Limit::A4;
    /// Whether it has no head.
    Headless(bool) = "headless" in headless: Option<bool>;
    /// Strings that run under a tree at the head.
    Trees(Vec<StringPlace>) = "trees" in trees: Option<Vec<StringPlace>>;
}

impl SpecField {
    /// The key under which the fact stands: "scale", "tuning/4", "screw/rod".
    pub fn key(&self) -> String {
        let word = self.fact().word();
        match self.at() {
            At::Instrument => word.to_owned(),
            At::String(place) => format!("{word}/{place}"),
            At::Screw(screw) => format!("{word}/{}", screw.word()),
        }
    }

    /// Every string that it names.
    pub fn strings(&self) -> Vec<StringPlace> {
        let mut strings = match self.value() {
            FactValue::Places(places) => places.clone(),
            FactValue::Scale(ScaleLength::Each(scales)) => {
                scales.iter().map(|(place, _)| *place).collect()
            }
            FactValue::Bridge(BridgeSpec { height: HeightBy::SharedSaddles(saddles), .. }) => {
                saddles.concat()
            }
            _ => Vec::new(),
        };
        if let At::String(place) = self.at() {
            strings.push(place);
        }
        strings
    }

    /// The value that stands under [`SpecField::key`].
    ///
    /// # Errors
    /// None today: every fact of this version encodes. The type leaves room.
    pub fn encode(&self) -> Result<Vec<u8>, SpecError> {
        self.to_cbor().map_err(|error| SpecError {
            fact: self.fact(),
            fault: FactFault::NotWritten { reason: error.to_string() },
        })
    }

    /// Reads the value under a key. `None` if this version does not understand it to the last byte:
    /// then a newer version wrote it, and it is kept as it is.
    pub fn decode(key: &str, value: &[u8]) -> Option<Self> {
        let field = Self::from_cbor(key, value)?;
        let same = field.check().is_ok() && field.encode().as_deref() == Ok(value);
        same.then_some(field)
    }
}

#[cfg(test)]
mod tests {
    use fallaway_order::Set;

    use super::*;
    use crate::spec::InstrumentSpec;

    #[test]
    fn every_fact_has_one_key_and_comes_back_from_its_bytes() {
        let mut whole = InstrumentSpec::default();
        for fact in Fact::ALL {
            let field = fact.example().unwrap();
            assert_eq!(field.check(), Ok(()));
            let bytes = field.encode().unwrap();
            assert_eq!(SpecField::decode(&field.key(), &bytes), Some(field.clone()));
            whole.set(field);
        }
        let keys: Set<String> = whole.fields().iter().map(SpecField::key).collect();
        assert_eq!(keys.len(), Fact::ALL.len());
        for key in keys {
            let before = whole.fields().len();
            whole.unset(&format!("{key}/1a9"));
            assert_eq!(whole.fields().len(), before);
            whole.unset(&key);
            assert_eq!(whole.fields().len(), before - 1, "{key}");
        }
        assert_eq!(whole, InstrumentSpec::default());
    }

    /// The page of the format is what a reader of another make goes by.
    #[test]
    fn the_page_of_the_format_has_every_key() {
        let page = include_str!("../../../../docs/record-format.md");
        for fact in Fact::ALL {
            let word = fact.word();
            let forms = [format!("`{word}`"), format!("`{word}/<")];
            assert!(forms.iter().any(|form| page.contains(form)), "docs/record-format.md: {word}");
        }
    }
}
