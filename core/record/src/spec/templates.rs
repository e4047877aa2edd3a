//! General starting points. Every value is a usual one (common practice, no source) that the
//! owner corrects; none is a target, and none stands for a maker's model.

use fallaway_measure::{Amount, Decimal, Fret, InstrumentFamily, Limit, Note, Unit, number_in};

use super::{
    BoardCurve, BridgeSpec, FretsSpec, Handedness, HeightBy, InstrumentSpec, IntonationBy,
    JointFretSpec, NeckJoint, NutKind, RodKind, RodSpec, ScaleLength, ScrewPlace, ScrewSpec,
    StringConstruction, StringSpec, Stringing, ThreadSpec,
};

/// A general starting point.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// The word by which it is chosen.
    pub id: &'static str,
    /// What a record made from it starts with.
    pub spec: InstrumentSpec,
}

/// Note number (MIDI 1.0: C4 is 60), gauge in thousandths of an inch, construction; from the treble side,
/// the strings of a course one after the other.
type Strings = [(u8, u16, StringConstruction)];

/// What holds the strings, and what can be turned.
#[derive(Clone, Copy)]
enum Hardware {
    /// Saddles of their own on two height screws each, pickups, a neck that is bolted on.
    Electric,
    /// A fixed saddle and a glued neck with a rod.
    Acoustic,
    /// The same without a rod.
    NoRod,
    /// A bridge on two adjusters that is moved as a whole.
    LooseBridge,
}

/// What differs from template to template. Lengths in millimetres where nothing else is said.
struct Plan<'a> {
    id: &'static str,
    family: InstrumentFamily,
    strings: &'a Strings,
    /// Strings in each course.
    of_course: u8,
    /// Thousandths of an inch: the highest string and the lowest.
    scale: (u32, u32),
    frets: u8,
    joint: u8,
    /// Inches; 0 is flat.
    radius: u16,
    nut_spread: u16,
    bridge_spread: u16,
    hardware: Hardware,
}

const PLAIN: StringConstruction = StringConstruction::Plain;
const WOUND: StringConstruction = StringConstruction::RoundWound;
const NYLON: StringConstruction = StringConstruction::Polymer;

const BASS: &Strings = &[
    (48, 32, WOUND),
    (43, 45, WOUND),
    (38, 65, WOUND),
    (33, 85, WOUND),
    (28, 105, WOUND),
    (23, 130, WOUND),
];
const GUITAR: &Strings = &[
    (64, 10, PLAIN),
    (59, 13, PLAIN),
    (55, 17, PLAIN),
    (50, 26, WOUND),
    (45, 36, WOUND),
    (40, 46, WOUND),
    (35, 59, WOUND),
    (30, 74, WOUND),
];
const BARITONE: &Strings = &[
    (59, 13, PLAIN),
    (54, 17, PLAIN),
    (50, 26, WOUND),
    (45, 36, WOUND),
    (40, 46, WOUND),
    (35, 62, WOUND),
];
const ACOUSTIC: &Strings = &[
    (64, 12, PLAIN),
    (59, 16, PLAIN),
    (55, 24, WOUND),
    (50, 32, WOUND),
    (45, 42, WOUND),
    (40, 53, WOUND),
];
/// The thinner string of a course first: it lies nearer the bass side on some, which is for the owner to say.
const TWELVE: &Strings = &[
    (64, 10, PLAIN),
    (64, 10, PLAIN),
    (59, 14, PLAIN),
    (59, 14, PLAIN),
    (55, 23, WOUND),
    (67, 8, PLAIN),
    (50, 30, WOUND),
    (62, 12, PLAIN),
    (45, 39, WOUND),
    (57, 18, WOUND),
    (40, 47, WOUND),
    (52, 27, WOUND),
];
const CLASSICAL: &Strings = &[
    (64, 28, NYLON),
    (59, 32, NYLON),
    (55, 40, NYLON),
    (50, 29, NYLON),
    (45, 35, NYLON),
    (40, 43, NYLON),
];
const MANDOLIN: &Strings = &[
    (76, 11, PLAIN),
    (76, 11, PLAIN),
    (69, 15, PLAIN),
    (69, 15, PLAIN),
    (62, 26, WOUND),
    (62, 26, WOUND),
    (55, 40, WOUND),
    (55, 40, WOUND),
];
/// The fourth string an octave up, as most are strung.
const UKULELE: &Strings = &[(69, 24, NYLON), (64, 32, NYLON), (60, 36, NYLON), (67, 26, NYLON)];

/// Every template, the most common ones first. Scale lengths, notes, gauges and spreads are usual ones
/// (common practice, from memory).
pub fn templates() -> Vec<Template> {
    let bass = |id, strings: std::ops::Range<usize>, nut_spread, bridge_spread| Plan {
        id,
        family: InstrumentFamily::Bass,
        strings: BASS.get(strings).unwrap_or(BASS),
        of_course: 1,
        scale: (34_000, 34_000),
        frets: 24,
        joint: 17,
        radius: 12,
        nut_spread,
        bridge_spread,
        hardware: Hardware::Electric,
    };
    let guitar = |id, strings, nut_spread, bridge_spread| Plan {
        id,
        family: InstrumentFamily::Guitar,
        strings: GUITAR.get(..strings).unwrap_or(GUITAR),
        of_course: 1,
        scale: (25_500, 25_500),
        frets: 22,
        joint: 16,
        radius: 12,
        nut_spread,
        bridge_spread,
        hardware: Hardware::Electric,
    };
    let acoustic = |id, strings, of_course, nut_spread, bridge_spread| Plan {
        id,
        family: InstrumentFamily::Other(0),
        strings,
        of_course,
        scale: (25_400, 25_400),
        frets: 20,
        joint: 14,
        radius: 16,
        nut_spread,
        bridge_spread,
        hardware: Hardware::Acoustic,
    };
    let ukulele = |id, scale, frets, joint| Plan {
        scale: (scale, scale),
        frets,
        joint,
        radius: 0,
        hardware: Hardware::NoRod,
        ..acoustic(id, UKULELE, 1, 28, 40)
    };
    let plans = [
        bass("bass-4", 1..5, 30, 57),
        bass("bass-5", 1..6, 37, 72),
        bass("bass-6", 0..6, 45, 85),
        Plan { scale: (33_000, 35_000), ..bass("bass-5-fanned", 1..6, 37, 72) },
        Plan {
            scale: (30_000, 30_000),
            frets: 20,
            joint: 16,
            ..bass("bass-4-short", 1..5, 30, 57)
        },
        Plan { scale: (32_000, 32_000), ..bass("bass-4-medium", 1..5, 30, 57) },
        guitar("guitar-6", 6, 35, 52),
        guitar("guitar-7", 7, 42, 63),
        Plan { scale: (27_000, 27_000), frets: 24, joint: 17, ..guitar("guitar-8", 8, 48, 73) },
        Plan { scale: (24_750, 24_750), ..guitar("guitar-6-short", 6, 35, 52) },
        Plan { scale: (25_000, 25_500), ..guitar("guitar-6-fanned", 6, 35, 52) },
        Plan { scale: (25_500, 27_000), ..guitar("guitar-7-fanned", 7, 42, 63) },
        Plan { strings: TWELVE, of_course: 2, ..guitar("guitar-12", 6, 39, 52) },
        Plan { strings: BARITONE, scale: (27_000, 27_000), ..guitar("baritone-6", 6, 35, 52) },
        acoustic("acoustic-6", ACOUSTIC, 1, 37, 55),
        acoustic("acoustic-12", TWELVE, 2, 40, 56),
        Plan {
            // 650 mm.
            scale: (25_591, 25_591),
            frets: 19,
            joint: 12,
            radius: 0,
            hardware: Hardware::NoRod,
            ..acoustic("classical-6", CLASSICAL, 1, 43, 58)
        },
        Plan {
            scale: (13_875, 13_875),
            joint: 12,
            radius: 0,
            hardware: Hardware::LooseBridge,
            ..acoustic("mandolin-8", MANDOLIN, 2, 24, 40)
        },
        ukulele("ukulele-soprano", 13_600, 12, 12),
        ukulele("ukulele-concert", 15_000, 18, 14),
        ukulele("ukulele-tenor", 17_000, 18, 14),
    ];
    plans.into_iter().map(Plan::template).collect()
}

impl Template {
    /// The same with another number of courses or frets. Courses that the template does not have get no
    /// notes and no strings; the spreads grow with the courses. Where the board ends the neck may bend
    /// no further.
    #[must_use]
    pub fn sized(mut self, courses: Option<u8>, frets: Option<u8>) -> Self {
        let spec = &mut self.spec;
        if let Some(courses) = courses.filter(|count| *count != spec.course_count()) {
            let before = spec.course_count();
            let of_course = spec.courses.first().copied().unwrap_or(1);
            spec.courses = vec![of_course; usize::from(courses)];
            spec.tuning.retain(|place, _| place.number() <= courses);
            spec.strings.retain(|place, _| place.number() <= courses);
            let gaps = |count: u8| f64::from(count.saturating_sub(1).max(1));
            for spread in [&mut spec.nut_spread, &mut spec.bridge_spread].into_iter().flatten() {
                let mm = number_in(*spread, Unit::Millimetre).unwrap_or_default();
                let wider = (mm * gaps(courses) / gaps(before)).round();
                let wider = wider.clamp(Limit::Spread.least(), Limit::Spread.most());
                *spread = whole(wider as u32, 0, Unit::Millimetre);
            }
        }
        if let Some(frets) = frets {
            spec.frets = Some(FretsSpec::count(frets));
            spec.joint_fret = spec.joint_fret.filter(|joint| joint.fret.number() <= frets);
        }
        self
    }
}

impl Plan<'_> {
    fn template(self) -> Template {
        Template { id: self.id, spec: self.spec() }
    }

    fn spec(self) -> InstrumentSpec {
        let inches = |thou| whole(thou, 3, Unit::Inch);
        let of_course = usize::from(self.of_course.max(1));
        let electric = matches!(self.hardware, Hardware::Electric);
        let (height, intonation) = match self.hardware {
            Hardware::Electric => (HeightBy::OwnSaddles { screws: 2 }, IntonationBy::OwnSaddles),
            Hardware::Acoustic | Hardware::NoRod => (HeightBy::Fixed, IntonationBy::Fixed),
            Hardware::LooseBridge => (HeightBy::TwoPosts, IntonationBy::WholeBridge),
        };
        let rod = match self.hardware {
            Hardware::NoRod => RodKind::Absent,
            _ => RodKind::OneWay,
        };
        let mut spec = InstrumentSpec {
            family: Some(self.family),
            courses: vec![self.of_course; self.strings.len() / of_course],
            scale: Some(match self.scale {
                (treble, bass) if treble == bass => ScaleLength::Same(inches(treble)),
                (treble, bass) => {
                    ScaleLength::Fanned { bass: inches(bass), treble: inches(treble) }
                }
            }),
            frets: Some(FretsSpec::count(self.frets)),
            joint_fret: Fret::new(self.joint).ok().map(JointFretSpec::usual),
            board: Some(match self.radius {
                0 => BoardCurve::Flat,
                radius => BoardCurve::Cylinder(whole(radius.into(), 0, Unit::Inch)),
            }),
            nut: Some(NutKind::Slotted),
            nut_spread: Some(whole(self.nut_spread.into(), 0, Unit::Millimetre)),
            bridge_spread: Some(whole(self.bridge_spread.into(), 0, Unit::Millimetre)),
            bridge: Some(BridgeSpec {
                height,
                floating: false,
                intonation: Some(intonation),
                sideways: Some(false),
                posts: None,
            }),
            rod: Some(RodSpec { kind: rod, access: None }),
            neck_joint: Some(if electric { NeckJoint::BoltOn } else { NeckJoint::Glued }),
            pickups: electric.then_some(2),
            handedness: Some(Handedness::Right),
            stringing: Some(Stringing::Usual),
            ..InstrumentSpec::default()
        };
        for (place, (note, thou, construction)) in spec.places().into_iter().zip(self.strings) {
            if let Some(note) = Note::new(*note) {
                spec.tuning.insert(place, note);
            }
            let string = StringSpec {
                // As packs print it: .045 in.
                gauge: Some(whole((*thou).into(), 3, Unit::Inch)),
                construction: Some(*construction),
                ..StringSpec::default()
            };
            spec.strings.insert(place, string);
        }
        if electric {
            let m3 = ThreadSpec { designation: Some("M3".to_owned()), pitch: None };
            for place in [ScrewPlace::SaddleHeight, ScrewPlace::SaddlePosition] {
                spec.screws
                    .insert(place, ScrewSpec { thread: Some(m3.clone()), ..ScrewSpec::default() });
            }
        }
        spec
    }
}

/// A number in its shortest form: 34 in, 25.5 in.
fn whole(digits: u32, places: u8, unit: Unit) -> Amount {
    let (mut digits, mut places) = (digits, places);
    while unit == Unit::Inch && digits >= 1000 && places > 0 && digits.is_multiple_of(10) {
        digits /= 10;
        places -= 1;
    }
    // Five digits and at most three places are always accepted.
    let value = Decimal::new(i64::from(digits), places).unwrap_or(Decimal::ZERO);
    Amount::Decimal { value, unit }
}

#[cfg(test)]
mod tests {
    use fallaway_measure::StringPlace;

    use super::super::SpecField;
    use super::*;

    #[test]
    fn every_template_is_accepted_and_round_trips() {
        for template in templates() {
            let mut folded = InstrumentSpec::default();
            for field in template.spec.fields() {
                field.check().unwrap();
                let value = field.encode().unwrap();
                assert_eq!(SpecField::decode(&field.key(), &value).as_ref(), Some(&field));
                folded.set(field);
            }
            assert_eq!(folded, template.spec, "{}", template.id);
            assert_eq!(folded.places().len(), folded.tuning.len());
            assert!(
                folded.tuning.keys().chain(folded.strings.keys()).all(|place| folded.has(*place))
            );
            assert!(folded.places().iter().all(|place| folded.scale_of(*place).is_some()));
        }
    }

    #[test]
    fn a_template_of_another_size_has_no_notes_where_it_had_no_strings() {
        let guitar = |courses, frets| {
            let all = templates();
            let guitar = all.into_iter().find(|one| one.id == "guitar-6").unwrap();
            guitar.sized(courses, frets).spec
        };
        let nine = guitar(Some(9), Some(27));
        assert_eq!((nine.course_count(), nine.tuning.len(), nine.strings.len()), (9, 6, 6));
        assert_eq!(nine.last_fret().map(Fret::number), Some(27));
        // Eight gaps for five: 52 mm become 83 mm.
        assert_eq!(nine.bridge_spread, Some(whole(83, 0, Unit::Millimetre)));
        let three = guitar(Some(3), Some(12));
        assert_eq!((three.tuning.len(), three.joint_fret), (3, None));
        for spec in [nine, three, guitar(Some(1), Some(0))] {
            assert!(spec.fields().iter().all(|field| field.check().is_ok()));
        }
        assert_eq!(guitar(None, None), guitar(Some(6), Some(22)));
    }

    #[test]
    fn a_course_of_two_has_a_note_for_each() {
        let all = templates();
        let twelve = &all.iter().find(|one| one.id == "acoustic-12").unwrap().spec;
        assert_eq!((twelve.course_count(), twelve.places().len()), (6, 12));
        let note =
            |letter| *twelve.tuning.get(&StringPlace::new(6, Some(letter)).unwrap()).unwrap();
        assert_eq!((note('a'), note('b')), (Note::new(40).unwrap(), Note::new(52).unwrap()));
    }

    /// The middle string of five lies midway between 33 in and 35 in: 34 in = 863.6 mm.
    #[test]
    fn fanned_scales_are_spread_evenly() {
        let all = templates();
        let fanned = &all.iter().find(|t| t.id == "bass-5-fanned").unwrap().spec;
        let scale = fanned.scale_of(StringPlace::course(3).unwrap()).unwrap();
        assert!((scale.value - 0.8636).abs() < 1e-12);
    }
}
