use super::*;
use crate::neck::ReliefWay;
use crate::units::{as_mm, per_mm};
use proptest::prelude::*;

const LAST: GapPlace = GapPlace::stopped_at_1_over(24);

fn line(joint: f64, relief: f64) -> StringLine {
    let neck = NeckLine::new(mm(863.6), 24, joint)
        .unwrap()
        .with_relief(mm(relief), ReliefWay::largest(24))
        .unwrap();
    StringLine::from_readings(neck, mm(0.0), LAST, mm(2.0), NutReading::OpenOver1(mm(0.5))).unwrap()
}

#[test]
fn a_risen_relief_raises_every_string_over_the_last_fret() {
    // Common practice, no source: raising the relief with untouched saddles raises every string
    // over the last fret. How much: independent numerical solution in the reference data.
    for (joint, over_last, open_over_12) in [(24.0, 0.106, 0.182), (16.0, 0.072, 0.156)] {
        let before = line(joint, 0.2);
        let after = before
            .with_neck(before.neck().with_relief(mm(0.3), ReliefWay::largest(24)).unwrap())
            .unwrap();
        let rise = |place| as_mm(after.gap(place).unwrap() - before.gap(place).unwrap());
        assert!((rise(LAST) - over_last).abs() < 6e-4, "{}", rise(LAST));
        assert!((rise(GapPlace::OPEN_OVER_12) - open_over_12).abs() < 6e-4);
        // The rod brings every reading back with the saddles untouched.
        let restored = after.with_neck(before.neck().clone()).unwrap();
        assert_eq!(restored, before);
    }
}

#[test]
fn a_straight_neck_makes_the_gaps_grow_in_proportion() {
    let flat = line(16.0, 0.0);
    for over in 2..=24 {
        let gap = as_mm(flat.gap(GapPlace::new(1, over)).unwrap());
        let x = |n| as_mm(flat.neck().position(n).unwrap());
        let expected = 2.0 * (x(over) - x(1)) / (x(24) - x(1));
        assert!((gap - expected).abs() < 1e-12);
    }
}

#[test]
fn the_same_reading_twice_does_not_tell_saddle_and_nut() {
    let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
    let twice = StringLine::from_readings(
        neck,
        mm(0.0),
        GapPlace::OPEN_OVER_1,
        mm(0.5),
        NutReading::OpenOver1(mm(0.5)),
    );
    assert!(matches!(twice, Err(Error::Undetermined { .. })));
}

#[test]
fn a_saddle_over_the_frets_is_refused() {
    let neck = NeckLine::new(mm(100.0), 36, 16.0).unwrap();
    assert!(StringLine::new(neck, mm(-12.0), mm(2.0), mm(0.3)).is_err());
}

#[test]
fn proud_fret_lowers_its_gap_alone() {
    let mut offsets = [mm(0.0); 24];
    offsets[11] = mm(0.1);
    let before = line(16.0, 0.2);
    let after = before.with_neck(before.neck().with_crown_offsets(&offsets).unwrap()).unwrap();
    let change = |m, j| {
        let place = GapPlace::new(m, j);
        as_mm(after.gap(place).unwrap() - before.gap(place).unwrap())
    };
    assert!((change(0, 12) + 0.1).abs() < 1e-12);
    assert!(change(0, 11).abs() < 1e-12);
    assert!(change(12, 20) > 0.0);
}

proptest! {
    #[test]
    fn readings_and_line_are_exact_inverses(
        scale in 500.0..1000.0f64, joint in 10.0..24.0f64, relief in -0.3..0.6f64,
        action in 0.5..4.0f64, nut in 0.0..1.5f64, comp in -3.0..8.0f64,
        held in proptest::bool::ANY, stopped in 0usize..=5, over in 12usize..=22,
    ) {
        let neck = NeckLine::new(mm(scale), 22, joint).unwrap()
            .with_relief(mm(relief), ReliefWay::largest(22)).unwrap();
        let place = GapPlace::new(stopped, over);
        let reading = if held { NutReading::HeldAt3Over1(mm(nut)) } else { NutReading::OpenOver1(mm(nut)) };
        let line = StringLine::from_readings(neck, mm(comp), place, mm(action), reading).unwrap();
        prop_assert!((as_mm(line.gap(place).unwrap()) - action).abs() < 1e-9);
        let back = if held { line.gap_held(3, 1) } else { line.gap(GapPlace::OPEN_OVER_1) };
        prop_assert!((as_mm(back.unwrap()) - nut).abs() < 1e-9);
        prop_assert!((line.saddle_height_for(place, mm(action)).unwrap() - line.saddle_height()).abs() < mm(1e-9));
    }

    #[test]
    fn saddle_move_changes_the_gap_by_what_was_wanted(
        joint in 10.0..24.0f64, change in -1.0..1.0f64, m in 0usize..20, span in 1usize..4,
    ) {
        let before = line(joint, 0.2);
        let place = GapPlace::new(m, m + span);
        let step = saddle_move(before.neck(), mm(0.0), place, mm(change)).unwrap();
        prop_assume!(as_mm(step).abs() < 25.0);
        let after = before.with_saddle_height(before.saddle_height() + step).unwrap();
        let got = as_mm(after.gap(place).unwrap() - before.gap(place).unwrap());
        prop_assert!((got - change).abs() < 1e-9);
    }

    #[test]
    fn a_higher_saddle_raises_every_gap(h in -5.0..10.0f64, more in 0.001..5.0f64, m in 0usize..23) {
        let low = line(16.0, 0.2).with_saddle_height(mm(h)).unwrap();
        let high = low.with_saddle_height(mm(h + more)).unwrap();
        for j in m + 1..=24 {
            prop_assert!(high.gap(GapPlace::new(m, j)).unwrap() > low.gap(GapPlace::new(m, j)).unwrap());
        }
    }

    #[test]
    fn everything_scales_together(factor in 0.5..2.0f64, k in -1e-5..1e-5f64) {
        let small = NeckLine::new(mm(650.0), 22, 16.0).unwrap().with_curvature(per_mm(k)).unwrap();
        let big = NeckLine::new(mm(650.0 * factor), 22, 16.0).unwrap().with_curvature(per_mm(k / factor)).unwrap();
        let a = StringLine::new(small, mm(2.0), mm(3.0), mm(0.4)).unwrap();
        let b = StringLine::new(big, mm(2.0 * factor), mm(3.0 * factor), mm(0.4 * factor)).unwrap();
        for place in [GapPlace::OPEN_OVER_1, GapPlace::OPEN_OVER_12, GapPlace::new(1, 22), GapPlace::new(5, 6)] {
            let (ga, gb) = (as_mm(a.gap(place).unwrap()), as_mm(b.gap(place).unwrap()));
            prop_assert!((gb - factor * ga).abs() < 1e-9);
        }
    }

    #[test]
    fn nothing_accepted_gives_nan(
        h in proptest::num::f64::ANY, q in proptest::num::f64::ANY, comp in proptest::num::f64::ANY,
        m in 0usize..40, j in 0usize..40,
    ) {
        let neck = NeckLine::new(mm(650.0), 22, 16.0).unwrap();
        if let Ok(line) = StringLine::new(neck, mm(comp), mm(h), mm(q)) {
            for gap in [line.gap(GapPlace::new(m, j)), line.gap_held(m, j)].into_iter().flatten() {
                prop_assert!(as_mm(gap).is_finite());
            }
        }
    }
}
