use super::*;
use crate::units::{as_mm, as_per_mm};
use proptest::prelude::*;

fn bass() -> NeckLine {
    NeckLine::new(mm(863.6), 24, 16.0).unwrap()
}

#[test]
fn back_bow_is_negative_relief() {
    let way = ReliefWay::largest(24);
    let up = bass().with_relief(mm(0.3), way).unwrap();
    let down = bass().with_relief(mm(-0.3), way).unwrap();
    assert!((as_mm(down.relief(way).unwrap().gap) + 0.3).abs() < 1e-12);
    assert!((as_per_mm(up.curvature()) + as_per_mm(down.curvature())).abs() < 1e-18);
}

#[test]
fn relief_over_the_body_says_nothing_about_the_neck() {
    let way = ReliefWay { from: 17, to: 24, at: None };
    assert!(matches!(bass().curvature_for_relief(mm(0.1), way), Err(Error::Undetermined { .. })));
}

#[test]
fn ways_that_cannot_be_read_are_refused() {
    for way in [
        ReliefWay { from: 1, to: 2, at: None },
        ReliefWay { from: 0, to: 24, at: None },
        ReliefWay { from: 1, to: 25, at: None },
        ReliefWay { from: 1, to: 24, at: Some(24) },
        ReliefWay { from: 1, to: 24, at: Some(1) },
        ReliefWay { from: usize::MAX, to: 3, at: None },
    ] {
        assert!(bass().relief(way).is_err(), "{way:?}");
    }
}

#[test]
fn a_tilt_makes_no_relief_before_the_joint() {
    let tilted =
        NeckLine::new(mm(863.6), 24, 24.0).unwrap().with_tilt(Angle::new::<radian>(0.002)).unwrap();
    let gap = as_mm(tilted.relief(ReliefWay::largest(24)).unwrap().gap);
    assert!(gap.abs() < 1e-12, "{gap}");
    let joint_at_16 = bass().with_tilt(Angle::new::<radian>(0.002)).unwrap();
    let gap = as_mm(joint_at_16.relief(ReliefWay::largest(16)).unwrap().gap);
    assert!(gap.abs() < 1e-12, "{gap}");
}

#[test]
fn fanned_strings_share_a_curvature_and_scale_their_relief() {
    let way = ReliefWay::largest(24);
    let treble = NeckLine::new(mm(863.6), 24, 20.0).unwrap().with_relief(mm(0.2), way).unwrap();
    let bass =
        NeckLine::new(mm(939.8), 24, 20.0).unwrap().with_curvature(treble.curvature()).unwrap();
    let expected = 0.2 * (939.8f64 / 863.6).powi(2);
    assert!((as_mm(bass.relief(way).unwrap().gap) - expected).abs() < 1e-9);
}

proptest! {
    #[test]
    fn relief_and_curvature_are_exact_inverses(
        scale in 300.0..1200.0f64, frets in 12usize..=27, joint in 8.0..24.0f64,
        relief in -1.0..1.0f64, named in proptest::option::of(2usize..8),
    ) {
        let neck = NeckLine::new(mm(scale), frets, joint).unwrap();
        let way = ReliefWay { from: 1, to: frets, at: named };
        let bent = neck.with_relief(mm(relief), way).unwrap();
        let back = bent.relief(way).unwrap();
        prop_assert!((as_mm(back.gap) - relief).abs() < 1e-10);
    }

    #[test]
    fn relief_rises_with_curvature_and_scales(
        scale in 300.0..1000.0f64, joint in 8.0..24.0f64, a in 0.0..1e-5f64, b in 0.0..1e-5f64,
        factor in 1.0..2.5f64,
    ) {
        let way = ReliefWay::largest(20);
        let gap = |scale: f64, k: f64| {
            let neck = NeckLine::new(mm(scale), 20, joint).unwrap();
            as_mm(neck.with_curvature(per_mm(k)).unwrap().relief(way).unwrap().gap)
        };
        prop_assert!((gap(scale, a) <= gap(scale, b)) == (a <= b) || (a - b).abs() < 1e-15);
        // Everything times a factor: same shape, relief times the factor.
        prop_assert!((gap(scale * factor, a / factor) - factor * gap(scale, a)).abs() < 1e-9);
    }

    #[test]
    fn nothing_accepted_gives_nan(
        scale in proptest::num::f64::ANY, k in proptest::num::f64::ANY,
        joint in proptest::num::f64::ANY, offset in proptest::num::f64::ANY, at in 0usize..40,
    ) {
        if let Ok(neck) = NeckLine::new(mm(scale), 22, joint)
            && let Ok(neck) = neck.with_curvature(per_mm(k))
            && let Ok(neck) = neck.with_crown_offsets(&[mm(offset); 22])
            && let Ok(relief) = neck.relief(ReliefWay { from: 1, to: 22, at: Some(at) })
        {
            prop_assert!(as_mm(relief.gap).is_finite());
        }
    }
}
