//! General starting points. Every value is a usual one (common practice, no source) that the
//! owner corrects; none is a target, and none stands for a maker's model.

use fallaway_measure::{Amount, Decimal, Fret, InstrumentFamily, Note, StringPlace, Unit};

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

/// Note number, gauge in thousandths of an inch, construction; from the treble side.
type Strings = [(u8, u16, StringConstruction)];

/// What differs from template to template.
struct Plan<'a> {
    family: InstrumentFamily,
    strings: &'a Strings,
    scale: ScaleLength,
    frets: u8,
    joint: u8,
    radius: Amount,
    nut_spread_mm: u16,
    bridge_spread_mm: u16,
    saddle_screws: u8,
}

const PLAIN: StringConstruction = StringConstruction::Plain;
const WOUND: StringConstruction = StringConstruction::RoundWound;

const BASS: &Strings =
    &[(43, 45, WOUND), (38, 65, WOUND), (33, 85, WOUND), (28, 105, WOUND), (23, 130, WOUND)];
const BASS_SIX: &Strings = &[
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
];

/// Every template, the most common ones first.
pub fn templates() -> Vec<Template> {
    let inches = |digits, places| whole(digits, places, Unit::Inch);
    let bass = |strings, scale, nut_spread_mm, bridge_spread_mm| Plan {
        family: InstrumentFamily::Bass,
        strings,
        scale,
        frets: 24,
        joint: 17,
        radius: inches(12, 0),
        nut_spread_mm,
        bridge_spread_mm,
        saddle_screws: 2,
    };
    let guitar = |strings, nut_spread_mm, bridge_spread_mm| Plan {
        family: InstrumentFamily::Guitar,
        strings,
        scale: ScaleLength::Same(inches(255, 1)),
        frets: 22,
        joint: 16,
        radius: inches(12, 0),
        nut_spread_mm,
        bridge_spread_mm,
        saddle_screws: 2,
    };
    let long = || ScaleLength::Same(inches(34, 0));
    let fanned = ScaleLength::Fanned { bass: inches(35, 0), treble: inches(33, 0) };
    let four = BASS.get(..4).unwrap_or(BASS);
    let six = GUITAR.get(..6).unwrap_or(GUITAR);
    [
        ("bass-4", bass(four, long(), 30, 57)),
        ("bass-5", bass(BASS, long(), 37, 72)),
        ("bass-6", bass(BASS_SIX, long(), 45, 85)),
        ("bass-5-fanned", bass(BASS, fanned, 37, 72)),
        ("guitar-6", guitar(six, 35, 52)),
        ("guitar-7", guitar(GUITAR, 42, 63)),
    ]
    .into_iter()
    .map(|(id, plan)| Template { id, spec: plan.spec() })
    .collect()
}

impl Plan<'_> {
    fn spec(self) -> InstrumentSpec {
        let mut spec = InstrumentSpec {
            family: Some(self.family),
            courses: vec![1; self.strings.len()],
            scale: Some(self.scale),
            frets: Some(FretsSpec::count(self.frets)),
            joint_fret: Fret::new(self.joint).ok().map(JointFretSpec::usual),
            board: Some(BoardCurve::Cylinder(self.radius)),
            nut: Some(NutKind::Slotted),
            nut_spread: Some(whole(self.nut_spread_mm, 0, Unit::Millimetre)),
            bridge_spread: Some(whole(self.bridge_spread_mm, 0, Unit::Millimetre)),
            bridge: Some(BridgeSpec {
                height: HeightBy::OwnSaddles { screws: self.saddle_screws },
                floating: false,
                intonation: Some(IntonationBy::OwnSaddles),
                sideways: Some(false),
                posts: None,
            }),
            rod: Some(RodSpec { kind: RodKind::OneWay, access: None }),
            neck_joint: Some(NeckJoint::BoltOn),
            pickups: Some(2),
            handedness: Some(Handedness::Right),
            stringing: Some(Stringing::Usual),
            ..InstrumentSpec::default()
        };
        for (course, (note, thou, construction)) in (1..).zip(self.strings) {
            let Ok(place) = StringPlace::course(course) else { continue };
            if let Some(note) = Note::new(*note) {
                spec.tuning.insert(place, note);
            }
            let string = StringSpec {
                // As packs print it: .045 in.
                gauge: Some(whole(*thou, 3, Unit::Inch)),
                construction: Some(*construction),
                ..StringSpec::default()
            };
            spec.strings.insert(place, string);
        }
        let m3 = ThreadSpec { designation: Some("M3".to_owned()), pitch: None };
        for place in [ScrewPlace::SaddleHeight, ScrewPlace::SaddlePosition] {
            spec.screws
                .insert(place, ScrewSpec { thread: Some(m3.clone()), ..ScrewSpec::default() });
        }
        spec
    }
}

fn whole(digits: u16, places: u8, unit: Unit) -> Amount {
    // Five digits and at most three places are always accepted.
    let value = Decimal::new(i64::from(digits), places).unwrap_or(Decimal::ZERO);
    Amount::Decimal { value, unit }
}

#[cfg(test)]
mod tests {
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

    /// The middle string of five lies midway between 33 in and 35 in: 34 in = 863.6 mm.
    #[test]
    fn fanned_scales_are_spread_evenly() {
        let all = templates();
        let fanned = &all.iter().find(|t| t.id == "bass-5-fanned").unwrap().spec;
        let scale = fanned.scale_of(StringPlace::course(3).unwrap()).unwrap();
        assert!((scale.value - 0.8636).abs() < 1e-12);
    }
}
