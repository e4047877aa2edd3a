use super::*;
use proptest::prelude::*;

#[test]
fn a_smaller_radius_shows_more_arc() {
    // Common practice, no source: 7.5 or 9 in shows more arc across the strings than 20 in.
    let arc = |inches: f64| as_mm(crown_drop(mm(inches * 25.4), mm(19.0)).unwrap());
    assert!(arc(7.5) > arc(9.0) && arc(9.0) > arc(20.0));
}

#[test]
fn copying_the_boards_radius_leaves_the_outer_strings_low() {
    let board = Surface::cylinder(mm(241.3)).unwrap();
    let place = GapPlace::stopped_at_1_over(20);
    let outer = StringPath::new(mm(863.6), 20, mm(-14.25), mm(-28.5)).unwrap();
    let middle = StringPath::new(mm(863.6), 20, mm(0.0), mm(0.0)).unwrap();
    let top = saddle_height_for(&board, &middle, place, mm(2.0)).unwrap();
    let copied = top - crown_drop(mm(241.3), mm(28.5)).unwrap();
    let low = as_mm(gap(&board, &outer, place, copied).unwrap());
    assert!((low - 1.915_532).abs() < 2e-6, "{low}");
}

#[test]
fn a_flat_row_has_no_radius() {
    let points = [-20.0, -10.0, 0.0, 10.0, 20.0].map(|y| (mm(y), mm(3.0)));
    let fit = fit_arc(&points, Centre::At(mm(0.0)), mm(0.02)).unwrap();
    assert_eq!(fit.radius, None);
    assert!(fit.curvature.standard_uncertainty > crate::units::per_mm(0.0));
}

#[test]
fn points_without_spread_are_refused() {
    let same = [(mm(5.0), mm(1.0)); 4];
    assert!(fit_arc(&same, Centre::Free, mm(0.0)).is_err());
    assert!(fit_arc(&same[..1], Centre::At(mm(0.0)), mm(0.0)).is_err());
}

proptest! {
    #[test]
    fn a_cone_under_the_spread_has_no_hump(
        r in 180.0..500.0f64, nut in 20.0..60.0f64, ratio in 1.0..2.0f64, part in -1.0..1.0f64,
    ) {
        let cone = Surface::cone_under(mm(r), mm(nut), mm(nut * ratio), mm(863.6)).unwrap();
        let path = StringPath::new(mm(863.6), 22, mm(part * nut / 2.0), mm(part * nut * ratio / 2.0)).unwrap();
        prop_assert!(as_mm(hump(&cone, &path).unwrap().gap).abs() < 1e-9);
    }

    #[test]
    fn no_arch_on_a_flat_board(y in -60.0..60.0f64, s in -60.0..60.0f64) {
        let path = StringPath::new(mm(863.6), 22, mm(y), mm(s)).unwrap();
        prop_assert_eq!(hump(&Surface::flat(), &path).unwrap().gap, mm(0.0));
        // A very large radius tends to flat.
        let nearly = Surface::cylinder(mm(10_000.0)).unwrap();
        prop_assert!(as_mm(hump(&nearly, &path).unwrap().gap).abs() < 0.2);
    }

    #[test]
    fn the_fit_finds_the_arc(r in 150.0..600.0f64, top in -5.0..20.0f64, centre in -10.0..10.0f64) {
        let points: Vec<_> = [-28.0, -17.0, -6.0, 6.0, 17.0, 28.0].iter().map(|y| {
            let d: f64 = y - centre;
            (mm(*y), mm(top - (r - (r * r - d * d).sqrt())))
        }).collect();
        let fit = fit_arc(&points, Centre::Free, mm(0.0)).unwrap();
        prop_assert!((as_mm(fit.radius.unwrap()) - r).abs() < 1e-4 * r);
        prop_assert!((as_mm(fit.centre) - centre).abs() < 1e-3);
    }

    #[test]
    fn nothing_accepted_gives_nan(
        r in proptest::num::f64::ANY, nut in proptest::num::f64::ANY, saddle in proptest::num::f64::ANY,
    ) {
        if let Ok(board) = Surface::compound((mm(0.0), mm(300.0)), (mm(600.0), mm(r)))
            && let Ok(path) = StringPath::new(mm(863.6), 22, mm(nut), mm(saddle))
            && let Ok(h) = hump(&board, &path)
        {
            prop_assert!(as_mm(h.gap).is_finite());
        }
    }
}
