//! What the instrument is: one register per fact, and the typed whole that they fold into.

mod bridge;
mod field;
mod neck;
mod strings;
mod templates;

use std::collections::BTreeMap;

use fallaway_measure::{Amount, Family, Fret, Length, Note, Place, STANDARD_A4_HZ};

pub use bridge::{Bridge, Clockwise, HeightBy, IntonationBy, Screw, ScrewPlace, Thread};
pub use field::{SpecError, SpecField};
pub use neck::{
    Board, Frets, Handedness, JointFret, NeckJoint, NutKind, Rod, RodAccess, RodKind, Scale,
    Stringing,
};
pub use strings::{Construction, StringSpec, UnitWeight, UnitWeightUnit};
pub use templates::{Template, templates};

/// What the instrument is, as far as it was written down. Every part is optional: a record starts
/// from nothing or from a template.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Spec {
    /// What its people call it.
    pub name: Option<String>,
    /// Anything that identifies it.
    pub about: Option<String>,
    /// Its family, for the ranges that are usual.
    pub family: Option<Family>,
    /// Strings in each course, from the treble side: `[1, 1, 1, 1]` is a four-string.
    pub courses: Vec<u8>,
    /// The note of each string.
    pub tuning: BTreeMap<Place, Note>,
    /// What string is fitted where.
    pub strings: BTreeMap<Place, StringSpec>,
    /// Scale length.
    pub scale: Option<Scale>,
    /// Frets.
    pub frets: Option<Frets>,
    /// Where the neck stops bending.
    pub joint_fret: Option<JointFret>,
    /// Curve of the board.
    pub board: Option<Board>,
    /// What holds the strings at the head end.
    pub nut: Option<NutKind>,
    /// Centre to centre of the outer strings at the nut.
    pub nut_spread: Option<Amount>,
    /// Centre to centre of the outer strings at the bridge.
    pub bridge_spread: Option<Amount>,
    /// The bridge.
    pub bridge: Option<Bridge>,
    /// Screws and nuts, with what a clockwise turn does as far as the instrument has shown it.
    pub screws: BTreeMap<ScrewPlace, Screw>,
    /// The truss rod.
    pub rod: Option<Rod>,
    /// How the neck is attached.
    pub neck_joint: Option<NeckJoint>,
    /// How many pickups; 1 is nearest the bridge.
    pub pickups: Option<u8>,
    /// For which hand it is built.
    pub handedness: Option<Handedness>,
    /// Order of the strings.
    pub stringing: Option<Stringing>,
    /// Frequency of A4; 440 Hz (ISO 16:1975) if nothing is said.
    pub a4: Option<Amount>,
    /// Whether it has no head.
    pub headless: Option<bool>,
    /// Strings that run under a tree at the head.
    pub trees: Option<Vec<Place>>,
    /// Fields that a newer version wrote, as they stand in the document.
    pub newer: BTreeMap<String, Vec<u8>>,
}

impl Spec {
    /// Puts a field in its place.
    pub fn set(&mut self, field: SpecField) {
        match field {
            SpecField::Name(name) => self.name = Some(name),
            SpecField::About(about) => self.about = Some(about),
            SpecField::Family(family) => self.family = Some(family),
            SpecField::Courses(courses) => self.courses = courses,
            SpecField::Tuning(place, note) => drop(self.tuning.insert(place, note)),
            SpecField::Strings(place, string) => drop(self.strings.insert(place, string)),
            SpecField::Scale(scale) => self.scale = Some(scale),
            SpecField::Frets(frets) => self.frets = Some(frets),
            SpecField::JointFret(joint) => self.joint_fret = Some(joint),
            SpecField::Board(board) => self.board = Some(board),
            SpecField::Nut(nut) => self.nut = Some(nut),
            SpecField::NutSpread(spread) => self.nut_spread = Some(spread),
            SpecField::BridgeSpread(spread) => self.bridge_spread = Some(spread),
            SpecField::Bridge(bridge) => self.bridge = Some(bridge),
            SpecField::Screw(place, screw) => drop(self.screws.insert(place, screw)),
            SpecField::Rod(rod) => self.rod = Some(rod),
            SpecField::NeckJoint(joint) => self.neck_joint = Some(joint),
            SpecField::Pickups(count) => self.pickups = Some(count),
            SpecField::Handedness(hand) => self.handedness = Some(hand),
            SpecField::Stringing(stringing) => self.stringing = Some(stringing),
            SpecField::A4(pitch) => self.a4 = Some(pitch),
            SpecField::Headless(headless) => self.headless = Some(headless),
            SpecField::Trees(trees) => self.trees = Some(trees),
        }
    }

    /// Every field that is set, in the order of a sheet.
    pub fn fields(&self) -> Vec<SpecField> {
        let mut fields = Vec::new();
        let mut add = |field: Option<SpecField>| fields.extend(field);
        add(self.name.clone().map(SpecField::Name));
        add(self.about.clone().map(SpecField::About));
        add(self.family.map(SpecField::Family));
        add((!self.courses.is_empty()).then(|| SpecField::Courses(self.courses.clone())));
        self.tuning.iter().for_each(|(place, note)| add(Some(SpecField::Tuning(*place, *note))));
        for (place, string) in &self.strings {
            add(Some(SpecField::Strings(*place, string.clone())));
        }
        add(self.scale.clone().map(SpecField::Scale));
        add(self.frets.map(SpecField::Frets));
        add(self.joint_fret.map(SpecField::JointFret));
        add(self.board.map(SpecField::Board));
        add(self.nut.map(SpecField::Nut));
        add(self.nut_spread.map(SpecField::NutSpread));
        add(self.bridge_spread.map(SpecField::BridgeSpread));
        add(self.bridge.clone().map(SpecField::Bridge));
        for (place, screw) in &self.screws {
            add(Some(SpecField::Screw(*place, screw.clone())));
        }
        add(self.rod.map(SpecField::Rod));
        add(self.neck_joint.map(SpecField::NeckJoint));
        add(self.pickups.map(SpecField::Pickups));
        add(self.handedness.map(SpecField::Handedness));
        add(self.stringing.map(SpecField::Stringing));
        add(self.a4.map(SpecField::A4));
        add(self.headless.map(SpecField::Headless));
        add(self.trees.clone().map(SpecField::Trees));
        fields
    }

    /// How many courses the instrument has; 0 if that is not known.
    pub fn course_count(&self) -> u8 {
        self.courses.len() as u8
    }

    /// Every string by its place, from the treble side; the strings of a course that has several
    /// are lettered.
    pub fn places(&self) -> Vec<Place> {
        let mut places = Vec::new();
        for (course, strings) in (1_u8..).zip(&self.courses) {
            let letters = (b'a'..=b'z').take(usize::from(*strings)).map(char::from);
            match strings {
                1 => places.extend(Place::course(course)),
                _ => places.extend(letters.filter_map(|l| Place::new(course, Some(l)).ok())),
            }
        }
        places
    }

    /// Whether the instrument has this string or course; `true` while its courses are not known.
    pub fn has(&self, place: Place) -> bool {
        if self.courses.is_empty() {
            return true;
        }
        let course = usize::from(place.number()).wrapping_sub(1);
        match (self.courses.get(course), place.member()) {
            (Some(_), None) => true,
            // The string of a course that has only one is the course.
            (Some(1), Some(_)) | (None, _) => false,
            (Some(strings), Some(letter)) => (letter as u32) < u32::from('a') + u32::from(*strings),
        }
    }

    /// Whether the instrument has this fret (the nut is 0); `true` while its frets are not known.
    pub fn has_fret(&self, fret: Fret) -> bool {
        self.frets.is_none_or(|frets| frets.is_fretless() || fret.number() <= frets.count)
    }

    /// The last fret; `None` if it is not known or the board has none.
    pub fn last_fret(&self) -> Option<Fret> {
        let frets = self.frets.filter(|frets| !frets.is_fretless())?;
        Fret::new(frets.count).ok()
    }

    /// Scale length of a string (of its course, for a string of several).
    ///
    /// On a fanned board the strings between the outer two are spread evenly, which is how such
    /// boards are laid out when nothing else is said (common practice, no source).
    pub fn scale_of(&self, place: Place) -> Option<Length> {
        match self.scale.as_ref()? {
            Scale::Same(amount) => amount.length(),
            Scale::Fanned { bass, treble } => {
                let (bass, treble) = (bass.length()?, treble.length()?);
                let count = self.course_count();
                if place.number() > count {
                    return None;
                }
                if count < 2 {
                    return Some(bass);
                }
                let share = f64::from(place.number() - 1) / f64::from(count - 1);
                Some(treble + (bass - treble) * share)
            }
            Scale::Each(strings) => {
                let exact = strings.iter().find(|(at, _)| *at == place);
                let course = || strings.iter().find(|(at, _)| at.number() == place.number());
                exact.or_else(course)?.1.length()
            }
        }
    }

    /// Frequency of A4 in hertz: 440 (ISO 16:1975) if nothing else is set.
    pub fn a4_hz(&self) -> f64 {
        self.a4.map_or(STANDARD_A4_HZ, Amount::number)
    }
}
