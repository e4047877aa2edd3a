//! What the instrument is: one register per fact, and the typed whole that they fold into.

mod bridge;
mod check;
mod declare;
mod facts;
mod neck;
mod strings;
mod templates;
mod value;

use fallaway_measure::{Amount, Fret, Length, Quantity, STANDARD_A4_HZ, StringPlace};

pub use bridge::{
    BridgeSpec, Clockwise, HeightBy, IntonationBy, ScrewPlace, ScrewSpec, ThreadSpec,
};
pub use check::FactFault;
pub use declare::At;
pub use facts::{Fact, InstrumentSpec, SpecError, SpecField};
pub use neck::{
    BoardCurve, FretsSpec, Handedness, JointFretSpec, NeckJoint, NutKind, RodAccess, RodKind,
    RodSpec, ScaleLength, Stringing,
};
pub use strings::{StringConstruction, StringSpec, UnitWeight, UnitWeightUnit};
pub use templates::{Template, templates};
pub use value::FactValue;

impl InstrumentSpec {
    /// How many courses the instrument has; 0 if that is not known.
    pub fn course_count(&self) -> u8 {
        self.courses.len() as u8
    }

    /// Every string by its place, from the treble side; the strings of a course that has several
    /// are lettered.
    pub fn places(&self) -> Vec<StringPlace> {
        let mut places = Vec::new();
        for (course, strings) in (1_u8..).zip(&self.courses) {
            let letters = (b'a'..=b'z').take(usize::from(*strings)).map(char::from);
            match strings {
                1 => places.extend(StringPlace::course(course)),
                _ => places.extend(letters.filter_map(|l| StringPlace::new(course, Some(l)).ok())),
            }
        }
        places
    }

    /// Whether the instrument has this string or course; `true` while its courses are not known.
    pub fn has(&self, place: StringPlace) -> bool {
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

    /// How the fall-away of the board is read when nobody says otherwise: a straight edge on the four frets
    /// before the first one over the body and on that one, the gap at the last fret (common practice, no
    /// source). `None` where the frets are not known, or too few.
    pub fn usual_fall_away(&self) -> Option<Quantity> {
        let last = self.last_fret()?.number();
        let body = self.joint_fret.map(|joint| joint.fret.number());
        // A neck that goes on to the last fret has its end there: the last four are looked at.
        let to = body.filter(|body| body + 2 <= last).unwrap_or(last.saturating_sub(4));
        Quantity::fall_away(to.saturating_sub(4).max(1), to, last).ok()
    }

    /// Scale length of a string (of its course, for a string of several).
    ///
    /// On a fanned board the strings between the outer two are spread evenly, which is how such
    /// boards are laid out when nothing else is said (common practice, no source).
    pub fn scale_of(&self, place: StringPlace) -> Option<Length> {
        match self.scale.as_ref()? {
            ScaleLength::Same(amount) => amount.length(),
            ScaleLength::Fanned { bass, treble } => {
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
            ScaleLength::Each(strings) => {
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
