//! What two people wrote apart is shown as everything else about the instrument is: never in the
//! shapes of a program, in any language.

// Helpers of tests fail loudly.
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use fallaway::Role;
use fallaway::measure::{Amount, StringPlace, Unit};
use fallaway::record::SpecField;
use fallaway::record::spec::{
    BoardCurve, BridgeSpec, Clockwise, HeightBy, RodAccess, RodKind, RodSpec, ScaleLength,
    ScrewPlace, ScrewSpec, StringSpec,
};
use fallaway::text::{Language, Voice};

use common::{news, workshop};

/// The same fact from two people.
fn facts() -> Vec<(SpecField, SpecField)> {
    let inch = |digits| Amount::decimal(digits, 0, Unit::Inch).unwrap();
    let place = |course| StringPlace::course(course).unwrap();
    let bridge = |height| {
        SpecField::Bridge(BridgeSpec {
            height,
            floating: false,
            intonation: None,
            sideways: None,
            posts: None,
        })
    };
    let screw = |clockwise| {
        SpecField::Screw(
            ScrewPlace::Rod,
            ScrewSpec { clockwise: Some(clockwise), ..ScrewSpec::default() },
        )
    };
    let string = |digits| {
        let gauge = Some(Amount::decimal(digits, 3, Unit::Inch).unwrap());
        SpecField::Strings(place(4), StringSpec { gauge, ..StringSpec::default() })
    };
    let rod = |access| SpecField::Rod(RodSpec { kind: RodKind::OneWay, access: Some(access) });
    vec![
        (
            SpecField::Board(BoardCurve::Cylinder(inch(12))),
            SpecField::Board(BoardCurve::Compound { nut: inch(10), last_fret: inch(16) }),
        ),
        (
            bridge(HeightBy::OwnSaddles { screws: 2 }),
            bridge(HeightBy::SharedSaddles(vec![vec![place(1), place(2)], vec![place(3)]])),
        ),
        (rod(RodAccess::Head), rod(RodAccess::Heel)),
        (
            SpecField::Scale(ScaleLength::Same(inch(34))),
            SpecField::Scale(ScaleLength::Fanned { bass: inch(35), treble: inch(33) }),
        ),
        (screw(Clockwise::More), screw(Clockwise::Less)),
        (string(105), string(100)),
    ]
}

#[test]
fn contested_facts_read_like_facts() {
    let (tech, player) = (workshop("tech", 1), workshop("player", 2));
    let one = tech.add_instrument("bass-5", "stage bass").unwrap();
    let invitation = one.invite(Role::Contributor, 7).unwrap();
    let other = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&one.bundle_out().unwrap().file).unwrap();
    tech.bundle_in(&other.bundle_out().unwrap().file).unwrap();
    for (mine, theirs) in facts() {
        one.set_spec(&mine, None).unwrap();
        other.set_spec(&theirs, None).unwrap();
    }
    tech.bundle_in(&news(&other)).unwrap();

    player.bundle_in(&news(&one)).unwrap();
    // Both see the same, and the same of it is used until somebody chooses.
    let seen = |instrument: &fallaway::Instrument| {
        let mut all: Vec<String> = instrument
            .contested()
            .unwrap()
            .iter()
            .map(|field| {
                let versions = field.versions.iter().map(|version| version.shown.to_string());
                format!("{}: {}", field.label, versions.collect::<Vec<_>>().join(" | "))
            })
            .collect();
        all.sort();
        all
    };
    assert_eq!(seen(&one), seen(&other));

    let contested = one.contested().unwrap();
    assert_eq!(contested.len(), facts().len());
    for language in Language::all() {
        let voice = Voice::new(language);
        for field in &contested {
            let versions = field.versions.iter().map(|version| voice.say(&version.shown));
            for text in versions.chain([voice.say(&field.label)]) {
                assert!(!text.contains(['{', '_', '/']) && !text.contains("::"), "{text}");
            }
        }
    }
    let mut labels: Vec<String> = contested.iter().map(|one| one.label.to_string()).collect();
    labels.sort();
    let expected = [
        "bridge",
        "fingerboard radius",
        "scale length",
        "string 4 (E)",
        "truss rod",
        "truss-rod nut",
    ];
    assert_eq!(labels, expected);
    let mut values: Vec<String> =
        contested.iter().flat_map(|one| &one.versions).map(|one| one.shown.to_string()).collect();
    values.sort();
    assert!(values.contains(&"10 in at the nut, 16 in at the last fret".into()), "{values:?}");
    assert!(values.contains(&"clockwise reduces relief".into()), "{values:?}");
    assert!(values.contains(&"one-way truss rod, adjusted at the heel".into()), "{values:?}");
}
