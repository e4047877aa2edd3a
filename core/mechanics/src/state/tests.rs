use super::*;
use crate::neck::Joint;
use crate::units::as_mm;

/// A small generator of reproducible noise (xorshift; G. Marsaglia, 2003).
struct Noise(u64);

impl Noise {
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        // Sum of twelve uniforms: close enough to normal out to three deviations.
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }
}

fn model(joint: Joint) -> Model {
    Model::new(
        (0..4)
            .map(|i| StateString {
                geometry: StringGeometry::level(mm(863.6), 24, joint),
                across: f64::from(i) / 3.0,
            })
            .collect(),
    )
    .unwrap()
}

const LAST: What = What::Gap(Place::stopped_at_1_over(24));
const RELIEF: What = What::Relief(ReliefWay { from: 1, to: 24, at: None });
const OPEN1: What = What::Gap(Place::OPEN_OVER_1);

/// Exact reading of a true state (scaled as in the solver) at a true joint.
fn truth(model: &Model, state: &[f64], what: What, string: usize) -> f64 {
    solve::linear(model, what, string, 0.0).unwrap().at(state)
}

fn read(what: What, string: usize, value: f64, u: f64) -> Reading {
    Reading::new(what, string, Value::Read(Estimate::new(mm(value), mm(u)).unwrap()))
}

fn true_state(noise: &mut Noise) -> Vec<f64> {
    let mut state = vec![noise.between(1.0, 8.0), noise.between(1.0, 8.0), 0.0];
    state.extend((0..4).map(|_| noise.between(2.0, 4.0)));
    state.extend((0..4).map(|_| noise.between(0.2, 0.6)));
    state
}

/// Reads everything with a 1/64 in rule and 0.01 mm feelers, with repeatability.
fn visit(world: &Model, state: &[f64], noise: &mut Noise) -> Vec<Reading> {
    let graduation = 25.4 / 64.0;
    let rule_u = (graduation * graduation / 12.0 + 0.05f64 * 0.05).sqrt();
    let feeler_u = (0.01f64 * 0.01 / 12.0 + 0.015f64 * 0.015).sqrt();
    let mut readings = Vec::new();
    for string in 0..4 {
        let action = truth(world, state, LAST, string) + 0.05 * noise.normal();
        readings.push(read(LAST, string, (action / graduation).round() * graduation, rule_u));
        let nut = truth(world, state, OPEN1, string) + 0.015 * noise.normal();
        readings.push(read(OPEN1, string, (nut / 0.01).round() * 0.01, feeler_u));
        if string == 0 || string == 3 {
            let relief = truth(world, state, RELIEF, string) + 0.015 * noise.normal();
            readings.push(read(RELIEF, string, (relief / 0.01).round() * 0.01, feeler_u));
        }
    }
    readings
}

#[test]
fn quantile_agrees_with_tables() {
    // Abramowitz & Stegun, table 26.6: 5 % two-sided is 1.960, 1 % is 2.576.
    assert!((solve::two_sided(0.05) - 1.960).abs() < 1.5e-3);
    assert!((solve::two_sided(0.01) - 2.576).abs() < 1.5e-3);
}

#[test]
fn exact_readings_give_the_state_back() {
    let model = model(Joint::known(16.0).unwrap());
    let state = vec![4.0, 5.0, 0.5, 2.5, 2.6, 2.7, 2.8, 0.3, 0.35, 0.4, 0.45];
    let beyond = What::Gap(Place::new(17, 24));
    let mut readings = Vec::new();
    for string in 0..4 {
        for what in [RELIEF, LAST, OPEN1, What::Gap(Place::OPEN_OVER_12), beyond] {
            readings.push(read(what, string, truth(&model, &state, what, string), 1e-3));
        }
    }
    let found = estimate(&model, &readings).unwrap();
    assert!(found.contradictions().is_empty());
    for string in 0..4 {
        let saddle = found.saddle(string).unwrap();
        assert!((as_mm(saddle.value) - state[3 + string]).abs() < 0.02);
        let nut = found.nut(string).unwrap();
        assert!((as_mm(nut.value) - state[7 + string]).abs() < 0.02);
    }
    assert!((found.tilt().unwrap().value.value - 0.5e-3).abs() < 5e-5);
    assert_eq!(found.undetermined().unwrap(), []);
}

#[test]
fn without_frets_beyond_the_joint_tilt_and_saddles_are_one() {
    let model = model(Joint::known(24.0).unwrap());
    let mut noise = Noise(7);
    let state = true_state(&mut noise);
    let found = estimate(&model, &visit(&model, &state, &mut noise)).unwrap();
    let alone = found.saddle(0).unwrap().standard_uncertainty;
    let with_tilt = found.string_height(0).unwrap().standard_uncertainty;
    assert!(alone > with_tilt * 3.0, "{alone:?} {with_tilt:?}");
    assert!(found.undetermined().unwrap().contains(&Part::Tilt));
}

#[test]
fn a_misread_value_is_named() {
    let model = model(Joint::known(16.0).unwrap());
    let mut noise = Noise(11);
    let state = true_state(&mut noise);
    let mut readings = visit(&model, &state, &mut noise);
    let wrong = readings.len();
    let good = truth(&model, &state, LAST, 2);
    readings.push(read(LAST, 2, good + 1.6, 0.12)); // a sixteenth too much
    let found = estimate(&model, &readings).unwrap();
    assert!(found.contradictions().iter().any(|c| c.reading == wrong));
}

#[test]
fn nothing_moved_is_rarely_called_moved() {
    // Facts outside: by construction nothing moved, so each claim is wrong.
    let known = model(Joint::first_over_body(16).unwrap());
    let mut noise = Noise(0x5eed);
    let (mut wrong, lives) = (0, 1000);
    for _ in 0..lives {
        let joint = noise.between(14.0, 18.0);
        let world = model(Joint::known(joint).unwrap());
        let state = true_state(&mut noise);
        let before = visit(&world, &state, &mut noise);
        let after = visit(&world, &state, &mut noise);
        let c = compare(&known, &before, &after, &[]).unwrap();
        wrong += usize::from(c.parts.iter().any(|p| p.verdict == Verdict::Moved));
    }
    assert!(wrong * 20 < lives, "{wrong} of {lives}");
}

#[test]
fn a_moved_part_does_not_make_others_be_called_moved() {
    let known = model(Joint::first_over_body(16).unwrap());
    let mut noise = Noise(0xfa11);
    let (mut wrong, mut missed, lives) = ([0; 4], [0; 4], 800);
    for life in 0..lives {
        let world = model(Joint::known(noise.between(14.0, 18.0)).unwrap());
        let state = true_state(&mut noise);
        let mut later = state.clone();
        let what = life % 4;
        match what {
            0 => {
                // Winter: the whole neck by some 0.25 mm of relief.
                later[0] += 6.0;
                later[1] += 6.0;
            }
            1 => later[3 + 2] -= 1.5,  // a saddle shaken down
            2 => later[7 + 1] -= 0.15, // a worn nut slot
            _ => later[2] += 1.5,      // the joint gave way
        }
        let before = visit(&world, &state, &mut noise);
        let after = visit(&world, &later, &mut noise);
        let c = compare(&known, &before, &after, &[]).unwrap();
        let moved =
            |part: Part| c.parts.iter().any(|p| p.part == part && p.verdict == Verdict::Moved);
        let allowed = |part: Part| {
            matches!(
                (what, part),
                (0, Part::CurvatureTreble | Part::CurvatureBass)
                    | (1, Part::Saddle(2) | Part::StringHeight(2))
                    | (2, Part::Nut(1))
                    | (3, Part::Tilt | Part::StringHeight(_))
            )
        };
        let bad = known.parts().into_iter().any(|p| moved(p) && !allowed(p));
        wrong[what] += usize::from(bad);
        missed[what] += usize::from(match what {
            0 => !moved(Part::CurvatureTreble),
            1 => !moved(Part::StringHeight(2)),
            2 => !moved(Part::Nut(1)),
            _ => false,
        });
    }
    // Each kind of change by itself, and all four together.
    let each = lives / 4;
    for kind in 0..4 {
        assert!(wrong[kind] * 20 < each, "kind {kind}: {wrong:?} of {each}");
        assert!(missed[kind] * 5 < each, "kind {kind}: {missed:?} of {each}");
    }
}

#[test]
fn the_best_further_reading_tells_what_could_not_be_told() {
    let known = model(Joint::known(16.0).unwrap());
    let mut noise = Noise(3);
    let state = true_state(&mut noise);
    let full = visit(&known, &state, &mut noise);
    // Nobody read the action of string 2 this time.
    let thin: Vec<_> =
        full.iter().copied().filter(|r| !(r.string == 2 && r.what == LAST)).collect();
    let candidates = usual_candidates(&known, mm(0.12), mm(0.02)).unwrap();
    let c = compare(&known, &full, &thin, &candidates).unwrap();
    let part = c.parts.iter().find(|p| p.part == Part::StringHeight(2)).unwrap();
    assert_eq!(part.verdict, Verdict::CannotBeTold);
    let best = candidates[part.best_reading.unwrap()];
    assert_eq!(best.string, 2);
    assert!(matches!(best.what, What::Gap(_)));
}

#[test]
fn an_offset_that_both_visits_share_cancels() {
    let known = model(Joint::known(16.0).unwrap());
    let mut noise = Noise(5);
    let state = true_state(&mut noise);
    let with = |id: u32, readings: &[Reading]| -> Vec<Reading> {
        readings
            .iter()
            .map(|r| Reading {
                shared: Some(SharedOffset { id, standard_uncertainty: mm(0.2) }),
                ..*r
            })
            .collect()
    };
    let (a, b) = (visit(&known, &state, &mut noise), visit(&known, &state, &mut noise));
    let u = |c: &Comparison| as_mm(c.parts[3].change.standard_uncertainty);
    let same = compare(&known, &with(1, &a), &with(1, &b), &[]).unwrap();
    let different = compare(&known, &with(1, &a), &with(2, &b), &[]).unwrap();
    assert!(u(&same) < u(&different));
}

#[test]
fn impossible_readings_are_refused() {
    let known = model(Joint::known(16.0).unwrap());
    let far = read(What::Gap(Place::new(1, 30)), 0, 1.0, 0.1);
    assert!(estimate(&known, &[far]).is_err());
    assert!(estimate(&known, &[read(LAST, 9, 1.0, 0.1)]).is_err());
    let nan = Reading::new(LAST, 0, Value::Between(mm(f64::NAN), mm(1.0)));
    assert!(estimate(&known, &[nan]).is_err());
    // No readings at all: everything is undetermined, nothing fails.
    let empty = estimate(&known, &[]).unwrap();
    assert_eq!(empty.undetermined().unwrap().len(), known.parts().len());
}
