//! Facts of the trade and laws that clearances keep.

use proptest::prelude::*;
use uom::si::f64::Frequency;
use uom::si::force::newton;
use uom::si::frequency::hertz;

use super::*;
use crate::envelope::{Method, PluckedString, SwingModel};
use crate::neck::{NeckLine, ReliefWay};
use crate::pluck::PluckDirection;
use crate::string_line::NutReading;
use crate::units::inches;

/// A 34 in five-string bass, highest string first: Hz, assumed tension N, assumed inharmonicity.
/// Tensions are those of common medium sets (common practice, no source); the inharmonicity of the
/// low B is Kemp's (SN Applied Sciences 2:636, 2020, abstract), that of the G is published with a contact
/// experiment (Issanchou and others, Applied Acoustics 129 (2018) 217), the others follow the power law
/// between both.
const BASS: [(f64, f64, f64); 5] = [
    (97.999, 170.0, 3.5e-5),
    (73.416, 185.0, 6.0e-5),
    (55.0, 170.0, 1.04e-4),
    (41.203, 155.0, 1.8e-4),
    (30.868, 145.0, 3.1e-4),
];

const OVER_24: GapPlace = GapPlace::stopped_at_1_over(24);

fn plucked(hz: f64, b: f64) -> PluckedString {
    PluckedString {
        scale: mm(863.6),
        frets: 24,
        frequency: Frequency::new::<hertz>(hz),
        inharmonicity: b,
        from_saddle: mm(100.0),
    }
}

fn line(relief: f64, action: Length, joint: f64) -> StringLine {
    let neck = NeckLine::new(mm(863.6), 24, joint)
        .unwrap()
        .with_relief(mm(relief), ReliefWay::largest(24))
        .unwrap();
    StringLine::from_readings(neck, mm(0.0), OVER_24, action, NutReading::OpenOver1(mm(0.5)))
        .unwrap()
}

fn newtons(n: f64) -> Force {
    Force::new::<newton>(n)
}

fn toward(n: f64) -> Touch {
    Touch { force: newtons(n), direction: PluckDirection::TowardBoard }
}

fn margins_of(actions: [Length; 5], relief: f64, force: f64) -> Vec<f64> {
    let method = Method::Modes(SwingModel::default());
    BASS.iter()
        .zip(actions)
        .map(|(&(hz, t, b), action)| {
            let envelope = UnitEnvelope::compute(&plucked(hz, b), method).unwrap();
            let line = line(relief, action, 20.0);
            let string = SwingingString { line: &line, envelope: &envelope, tension: newtons(t) };
            let c = clearance(&string, toward(force), Played::all_fretted(24)).unwrap();
            as_mm(c.smallest.margin)
        })
        .collect()
}

#[test]
fn a_low_set_bass_plays_clean_under_a_light_touch() {
    // Common practice, no source: nearly flat neck, light touch, 1/16 in on the three highest
    // strings, 5/64 to 3/32 in on the low E, 1/8 in on the low B plays clean. Light: below the 1.5 N
    // of an ordinary finger stroke.
    let high = inches(1.0 / 16.0);
    for e in [5.0 / 64.0, 3.0 / 32.0] {
        let actions = [high, high, high, inches(e), inches(1.0 / 8.0)];
        for (place, margin) in margins_of(actions, 0.1, 1.25).into_iter().enumerate() {
            assert!(margin > 0.0, "string {}: {margin}", place + 1);
        }
    }
}

#[test]
fn at_one_height_the_low_strings_touch_first() {
    // Common practice, no source: growth toward the low strings need not be strict among the high
    // ones.
    let m = margins_of([inches(5.0 / 64.0); 5], 0.1, 1.5);
    assert!(m[4] < m[3] && m[3] < m[2], "{m:?}");
}

#[test]
fn sixteenth_of_an_inch_is_about_as_low_as_one_goes() {
    // Common practice, no source: 1/32 in is no playable action for a light touch of 1.5 N.
    let m = margins_of([inches(1.0 / 32.0); 5], 0.1, 1.5);
    assert!(m.iter().all(|margin| *margin < 0.0), "{m:?}");
}

#[test]
fn the_map_names_the_string_that_limits() {
    let method = Method::ClosedForm { factor: 1.1 };
    let envelope = UnitEnvelope::compute(&plucked(41.2, 1e-4), method).unwrap();
    let (high, low) = (line(0.2, mm(2.4), 20.0), line(0.2, mm(1.2), 20.0));
    let of = |line| SwingingString { line, envelope: &envelope, tension: newtons(155.0) };
    let map =
        clearance_map(&[of(&high), of(&low), of(&high)], toward(2.0), Played::all_and_open(24));
    let map = map.unwrap();
    assert_eq!(map.limiting, 1);
    // 24 notes, the open one included, over all frets beyond each.
    assert_eq!(map.strings[0].margins.len(), 24 * 25 / 2);
}

#[test]
fn margins_agree_with_line_and_envelope() {
    let method = Method::ClosedForm { factor: 1.1 };
    let envelope = UnitEnvelope::compute(&plucked(41.2, 1e-4), method).unwrap();
    let line = line(0.25, mm(2.0), 18.0);
    let string = SwingingString { line: &line, envelope: &envelope, tension: newtons(155.0) };
    for margin in clearance(&string, toward(1.5), Played::all_and_open(24)).unwrap().margins {
        let gap = line.gap(margin.place).unwrap();
        let depth = envelope.depth(margin.place, toward(1.5), newtons(155.0)).unwrap();
        assert!(as_mm(gap - margin.gap).abs() < 1e-9, "{:?}", margin.place);
        assert!(as_mm(depth - margin.depth).abs() < 1e-9, "{:?}", margin.place);
    }
}

#[test]
fn what_does_not_fit_is_refused() {
    let method = Method::ClosedForm { factor: 1.1 };
    let mut other = plucked(41.2, 1e-4);
    other.frets = 20;
    let envelope = UnitEnvelope::compute(&other, method).unwrap();
    let line = line(0.2, mm(2.0), 20.0);
    let string = SwingingString { line: &line, envelope: &envelope, tension: newtons(155.0) };
    let said = clearance(&string, toward(1.0), Played::all_fretted(24)).unwrap_err();
    assert!(matches!(said, Error::CountMismatch { given: 20, expected: 24, .. }));

    let envelope = UnitEnvelope::compute(&plucked(41.2, 1e-4), method).unwrap();
    let string = SwingingString { line: &line, envelope: &envelope, tension: newtons(155.0) };
    for played in [Played { first: 1, last: 24 }, Played { first: 5, last: 3 }] {
        assert!(clearance(&string, toward(1.0), played).is_err());
    }
    assert!(clearance(&string, toward(-1.0), Played::all_fretted(24)).is_err());
    let slack = SwingingString { tension: newtons(0.0), ..string };
    assert!(clearance(&slack, toward(1.0), Played::all_fretted(24)).is_err());
    assert!(touch_allowed(&slack, PluckDirection::TowardBoard, Played::all_fretted(24)).is_err());
}

#[test]
fn a_string_that_lies_on_a_fret_allows_no_touch() {
    let envelope =
        UnitEnvelope::compute(&plucked(41.2, 1e-4), Method::ClosedForm { factor: 1.1 }).unwrap();
    let line = line(-0.3, mm(0.3), 20.0);
    let string = SwingingString { line: &line, envelope: &envelope, tension: newtons(155.0) };
    let said = touch_allowed(&string, PluckDirection::TowardBoard, Played::all_fretted(24));
    assert!(matches!(said, Err(Error::Inconsistent { .. })));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn lowest_action_and_allowed_touch_are_inverse(
        relief in 0.0..0.5f64, force in 0.3..4.0f64, joint in 14.0..24.0f64, factor in 0.5..1.5f64,
        tension in 100.0..250.0f64,
    ) {
        let envelope =
            UnitEnvelope::compute(&plucked(41.2, 1e-4), Method::ClosedForm { factor }).unwrap();
        let start = line(relief, mm(2.0), joint);
        let all = Played::all_fretted(24);
        let of = |line| SwingingString { line, envelope: &envelope, tension: newtons(tension) };
        let found = lowest_clean_action(&of(&start), toward(force), all, OVER_24, mm(0.0)).unwrap();
        let set = start.with_saddle_height(found.saddle_height).unwrap();
        prop_assert!(as_mm(set.gap(OVER_24).unwrap() - found.action).abs() < 1e-9);
        let c = clearance(&of(&set), toward(force), all).unwrap();
        prop_assert!(as_mm(c.smallest.margin).abs() < 1e-9);
        let touch = touch_allowed(&of(&set), PluckDirection::TowardBoard, all).unwrap();
        prop_assert!((touch.force.get::<newton>() - force).abs() < 1e-6);
    }

    #[test]
    fn harder_lower_and_slacker_leave_less(
        relief in 0.0..0.4f64, action in 1.0..3.0f64, force in 0.2..4.0f64, more in 1.01..2.0f64,
    ) {
        let envelope =
            UnitEnvelope::compute(&plucked(41.2, 1e-4), Method::ClosedForm { factor: 1.1 }).unwrap();
        let margin = |action: f64, force: f64, tension: f64| {
            let line = line(relief, mm(action), 20.0);
            let string = SwingingString { line: &line, envelope: &envelope, tension: newtons(tension) };
            as_mm(clearance(&string, toward(force), Played::all_fretted(24)).unwrap().smallest.margin)
        };
        let usual = margin(action, force, 155.0);
        prop_assert!(margin(action, force * more, 155.0) < usual);
        prop_assert!(margin(action + 0.1, force, 155.0) > usual);
        prop_assert!(margin(action, force, 155.0 * more) > usual);
    }

    #[test]
    fn no_relief_between_the_limits_allows_a_lower_action_than_the_best(
        force in 0.3..4.0f64, joint in 14.0..24.0f64, other in 0.0..0.6f64,
    ) {
        let envelope =
            UnitEnvelope::compute(&plucked(41.2, 1e-4), Method::ClosedForm { factor: 1.2 }).unwrap();
        let all = Played::all_fretted(24);
        let action_at = |relief: f64| {
            let line = line(relief, mm(2.0), joint);
            let s = SwingingString { line: &line, envelope: &envelope, tension: newtons(155.0) };
            lowest_clean_action(&s, toward(force), all, OVER_24, mm(0.0)).unwrap().action
        };
        let start = line(0.2, mm(2.0), joint);
        let s = SwingingString { line: &start, envelope: &envelope, tension: newtons(155.0) };
        let way = ReliefWay::largest(24);
        let best = best_relief(&s, toward(force), all, OVER_24, way, (mm(0.0), mm(0.6))).unwrap();
        prop_assert!(as_mm(best.action) <= as_mm(action_at(other)) + 1e-6);
        prop_assert!((as_mm(action_at(as_mm(best.relief))) - as_mm(best.action)).abs() < 1e-6);
        for edge in [best.good.0, best.good.1] {
            prop_assert!(as_mm(action_at(as_mm(edge))) <= as_mm(best.action) + 0.02 + 1e-6);
        }
    }
}
