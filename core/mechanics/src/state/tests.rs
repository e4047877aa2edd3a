use super::*;
use crate::neck::Joint;
use crate::units::as_mm;
use proptest::prelude::*;

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
    Bench::BASS.model(joint)
}

const LAST: What = What::Gap(GapPlace::stopped_at_1_over(24));
const RELIEF: What = What::Relief(ReliefWay { from: 1, to: 24, at: None });
const OPEN1: What = What::Gap(GapPlace::OPEN_OVER_1);

/// Exact reading of a true state (scaled as in the solver) at a true joint.
fn truth(model: &Model, state: &[f64], what: What, string: usize) -> f64 {
    solve::linear(model, what, string, 0.0).unwrap().at(state)
}

fn read(what: What, string: usize, value: f64, u: f64) -> StateReading {
    StateReading::new(what, string, Value::Read(Uncertain::new(mm(value), mm(u)).unwrap()))
}

/// An instrument on the bench and how it is read.
#[derive(Debug, Clone, Copy)]
struct Bench {
    strings: usize,
    /// Scale of the treble and the bass side, mm.
    scale: (f64, f64),
    frets: usize,
    joint: f64,
    /// Action is read open over 12 with a 0.5 mm rule instead of stopped at 1 with 1/64 in.
    open: bool,
    /// Curvature of a winter, 1e-6/mm.
    winter: f64,
}

impl Bench {
    const BASS: Self = Self {
        strings: 4,
        scale: (863.6, 863.6),
        frets: 24,
        joint: 16.0,
        open: false,
        winter: 6.0,
    };
    const GUITAR: Self = Self {
        strings: 6,
        scale: (647.7, 647.7),
        frets: 22,
        joint: 16.0,
        open: true,
        winter: 14.0,
    };
    const FANNED: Self = Self {
        strings: 5,
        scale: (863.6, 939.8),
        frets: 24,
        joint: 20.0,
        open: false,
        winter: 6.0,
    };

    fn model(&self, joint: Joint) -> Model {
        let string = |i: usize| {
            let across = i as f64 / (self.strings - 1) as f64;
            let scale = self.scale.0 + (self.scale.1 - self.scale.0) * across;
            StateString { geometry: StringGeometry::level(mm(scale), self.frets, joint), across }
        };
        Model::new((0..self.strings).map(string).collect()).unwrap()
    }

    fn true_state(&self, noise: &mut Noise) -> Vec<f64> {
        let mut state = vec![noise.between(1.0, 8.0), noise.between(1.0, 8.0), 0.0];
        state.extend((0..self.strings).map(|_| noise.between(2.0, 4.0)));
        state.extend((0..self.strings).map(|_| noise.between(0.2, 0.6)));
        state
    }

    /// Reads everything: action with a rule, nut and outer relief with 0.01 mm feelers, each with
    /// repeatability.
    fn visit(&self, world: &Model, state: &[f64], noise: &mut Noise) -> Vec<StateReading> {
        let graduation = if self.open { 0.5 } else { 25.4 / 64.0 };
        let action = if self.open {
            What::Gap(GapPlace::OPEN_OVER_12)
        } else {
            What::Gap(GapPlace::stopped_at_1_over(self.frets))
        };
        let relief = What::Relief(ReliefWay::largest(self.frets));
        let rule_u = (graduation * graduation / 12.0 + 0.05f64 * 0.05).sqrt();
        let feeler_u = (0.01f64 * 0.01 / 12.0 + 0.015f64 * 0.015).sqrt();
        let mut readings = Vec::new();
        for string in 0..self.strings {
            let gap = truth(world, state, action, string) + 0.05 * noise.normal();
            let gap = (gap / graduation).round() * graduation;
            readings.push(read(action, string, gap, rule_u));
            let nut = truth(world, state, OPEN1, string) + 0.015 * noise.normal();
            readings.push(read(OPEN1, string, (nut / 0.01).round() * 0.01, feeler_u));
            if string == 0 || string + 1 == self.strings {
                let gap = truth(world, state, relief, string) + 0.015 * noise.normal();
                readings.push(read(relief, string, (gap / 0.01).round() * 0.01, feeler_u));
            }
        }
        readings
    }
}

fn true_state(noise: &mut Noise) -> Vec<f64> {
    Bench::BASS.true_state(noise)
}

fn visit(world: &Model, state: &[f64], noise: &mut Noise) -> Vec<StateReading> {
    Bench::BASS.visit(world, state, noise)
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
    let beyond = What::Gap(GapPlace::new(17, 24));
    let mut readings = Vec::new();
    for string in 0..4 {
        for what in [RELIEF, LAST, OPEN1, What::Gap(GapPlace::OPEN_OVER_12), beyond] {
            readings.push(read(what, string, truth(&model, &state, what, string), 1e-3));
        }
    }
    let found = estimate(&model, &readings).unwrap();
    assert_eq!(found.contradictions().len(), 0);
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
    assert!(found.undetermined().unwrap().contains(&StatePart::Tilt));
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
    let known = model(Joint::first_over_body(18).unwrap());
    let mut noise = Noise(0x5eed);
    let (mut wrong, lives) = (0, 1000);
    for _ in 0..lives {
        let joint = noise.between(14.0, 18.0);
        let world = model(Joint::known(joint).unwrap());
        let state = true_state(&mut noise);
        let before = visit(&world, &state, &mut noise);
        let after = visit(&world, &state, &mut noise);
        let c = compare(&known, &before, &after, &[]).unwrap();
        wrong += usize::from(c.parts.iter().any(|p| p.verdict == PartVerdict::Moved));
    }
    assert!(wrong * 20 < lives, "{wrong} of {lives}");
}

/// What a simulated life does to an instrument between two visits.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Event {
    /// Winter: the whole neck by some 0.25 mm of relief.
    Neck,
    /// Twice that.
    NeckFar,
    /// The bass side only.
    Twist,
    /// A saddle shaken down.
    Saddle,
    /// A worn nut slot.
    Nut,
    /// The joint gave way.
    Joint,
}

impl Event {
    const ALL: [Self; 6] =
        [Self::Neck, Self::NeckFar, Self::Twist, Self::Saddle, Self::Nut, Self::Joint];

    fn happen(self, state: &mut [f64], strings: usize, curvature: f64) {
        match self {
            Self::Neck => {
                state[0] += curvature;
                state[1] += curvature;
            }
            Self::NeckFar => {
                state[0] += 2.0 * curvature;
                state[1] += 2.0 * curvature;
            }
            Self::Twist => state[1] += 1.5 * curvature,
            Self::Saddle => state[3 + 2] -= 1.5,
            Self::Nut => state[3 + strings + 1] -= 0.15,
            Self::Joint => state[2] += 1.5,
        }
    }

    fn explains(self, part: StatePart) -> bool {
        matches!(
            (self, part),
            (Self::Neck | Self::NeckFar, StatePart::CurvatureTreble | StatePart::CurvatureBass)
                | (Self::Twist, StatePart::CurvatureBass)
                | (Self::Saddle, StatePart::Saddle(2) | StatePart::StringHeight(2))
                | (Self::Nut, StatePart::Nut(1))
                | (Self::Joint, StatePart::Tilt | StatePart::StringHeight(_))
        )
    }

    /// The part that a good comparison names; none for the joint, which few readings can tell.
    fn culprit(self) -> Option<StatePart> {
        match self {
            Self::Neck | Self::NeckFar | Self::Twist => Some(StatePart::CurvatureBass),
            Self::Saddle => Some(StatePart::StringHeight(2)),
            Self::Nut => Some(StatePart::Nut(1)),
            Self::Joint => None,
        }
    }
}

/// Lives in which one thing happens: (wrongly sure, culprit missed), of `lives`.
fn live(bench: &Bench, event: Event, lives: usize, noise: &mut Noise) -> (usize, usize) {
    let known = bench.model(Joint::first_over_body(bench.joint as usize + 2).unwrap());
    let (mut wrong, mut missed) = (0, 0);
    for _ in 0..lives {
        let joint = noise.between(bench.joint - 2.0, bench.joint + 2.0);
        let world = bench.model(Joint::known(joint).unwrap());
        let state = bench.true_state(noise);
        let mut later = state.clone();
        event.happen(&mut later, bench.strings, bench.winter);
        let before = bench.visit(&world, &state, noise);
        let after = bench.visit(&world, &later, noise);
        let c = compare(&known, &before, &after, &[]).unwrap();
        let moved: Vec<StatePart> =
            c.parts.iter().filter(|p| p.verdict == PartVerdict::Moved).map(|p| p.part).collect();
        wrong += usize::from(moved.iter().any(|p| !event.explains(*p)));
        missed += usize::from(event.culprit().is_some_and(|p| !moved.contains(&p)));
    }
    (wrong, missed)
}

#[test]
fn a_moved_part_does_not_make_others_be_called_moved() {
    let mut noise = Noise(0xfa11);
    for bench in [Bench::BASS, Bench::GUITAR, Bench::FANNED] {
        let lives = 150;
        let mut all = 0;
        for event in Event::ALL {
            let (wrong, missed) = live(&bench, event, lives, &mut noise);
            all += wrong;
            assert!(wrong * 10 < lives, "{bench:?} {event:?}: {wrong} wrong");
            if bench.strings == 4 {
                assert!(missed * 5 < lives, "{event:?}: {missed} missed");
            }
        }
        assert!(all * 20 < lives * Event::ALL.len(), "{bench:?}: {all} wrongly sure");
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
    let part = c.parts.iter().find(|p| p.part == StatePart::StringHeight(2)).unwrap();
    assert_eq!(part.verdict, PartVerdict::CannotBeTold);
    let best = candidates[part.best_reading.unwrap()];
    assert_eq!(best.string, 2);
    assert!(matches!(best.what, What::Gap(_)));
}

#[test]
fn an_offset_that_both_visits_share_cancels() {
    let known = model(Joint::known(16.0).unwrap());
    let mut noise = Noise(5);
    let state = true_state(&mut noise);
    let with = |id: u32, readings: &[StateReading]| -> Vec<StateReading> {
        readings
            .iter()
            .map(|r| StateReading {
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
    let far = read(What::Gap(GapPlace::new(1, 30)), 0, 1.0, 0.1);
    assert!(estimate(&known, &[far]).is_err());
    assert!(estimate(&known, &[read(LAST, 9, 1.0, 0.1)]).is_err());
    let nan = StateReading::new(LAST, 0, Value::Between(mm(f64::NAN), mm(1.0)));
    assert!(estimate(&known, &[nan]).is_err());
    // No readings at all: everything is undetermined, nothing fails.
    let empty = estimate(&known, &[]).unwrap();
    assert_eq!(empty.undetermined().unwrap().len(), known.parts().len());
}

proptest! {
    #[test]
    fn nothing_accepted_gives_nan(
        values in proptest::collection::vec((proptest::num::f64::ANY, 0.0..5.0f64, 0usize..4, 0usize..30, 0usize..30), 0..8),
    ) {
        let known = model(Joint::first_over_body(18).unwrap());
        let readings: Vec<_> = values.iter().map(|(value, u, string, m, j)| {
            let value = Value::Read(Uncertain { value: mm(*value), standard_uncertainty: mm(*u) });
            StateReading::new(What::Gap(GapPlace::new(*m, *j)), *string, value)
        }).collect();
        if let Ok(c) = compare(&known, &readings, &readings, &[]) {
            for part in c.parts {
                prop_assert!(as_mm(part.change.value).is_finite());
                prop_assert!(as_mm(part.change.standard_uncertainty).is_finite());
            }
        }
    }

    #[test]
    fn the_same_visit_twice_moved_nothing(seed in 1u64..u64::MAX) {
        let known = model(Joint::first_over_body(18).unwrap());
        let mut noise = Noise(seed);
        let state = true_state(&mut noise);
        let readings = visit(&known, &state, &mut noise);
        let c = compare(&known, &readings, &readings, &[]).unwrap();
        for part in c.parts {
            prop_assert!(part.verdict != PartVerdict::Moved);
            prop_assert!(as_mm(part.change.value).abs() < 1e-6);
        }
    }
}

#[test]
fn strings_on_one_screw_are_told_together() {
    // Both of a shared saddle read a mark of a rule higher: two say more than one.
    let open = model(Joint::known(16.0).unwrap());
    let held =
        open.clone().with_screws(vec![vec![(0, 1.0), (1, 1.0)], vec![(2, 1.0)], vec![(3, 1.0)]]);
    let read_at = |action: f64| -> Vec<StateReading> {
        let gaps = (0..4).map(|s| read(LAST, s, if s < 2 { action } else { 2.0 }, 0.125));
        gaps.chain([read(RELIEF, 0, 0.2, 0.015), read(RELIEF, 3, 0.2, 0.015)]).collect()
    };
    let told = |model: &Model| {
        let found = compare(model, &read_at(2.0), &read_at(2.4), &[]).unwrap();
        let of =
            |s| found.parts.iter().find(|p| p.part == StatePart::StringHeight(s)).unwrap().clone();
        [0, 2].map(|s| as_mm(of(s).change.standard_uncertainty))
    };
    let (alone, together) = (told(&open), told(&held.unwrap()));
    assert!(together[0] < 0.9 * alone[0], "{together:?} {alone:?}");
    assert!((together[1] - alone[1]).abs() < 0.02, "{together:?} {alone:?}");
}

#[test]
fn a_slot_that_holds_lets_an_open_string_tell_of_its_saddle() {
    let model = model(Joint::known(16.0).unwrap());
    let open = |action: f64| {
        vec![
            read(RELIEF, 0, 0.2, 0.015),
            read(RELIEF, 3, 0.2, 0.015),
            read(What::Gap(GapPlace::OPEN_OVER_12), 0, action, 0.05),
        ]
    };
    let told = |nut: Length| {
        let between = BetweenVisits { nut, ..BetweenVisits::default() };
        let part = vec![StatePart::StringHeight(0)];
        let found = compare_parts_knowing(&model, &open(2.0), &open(2.5), &[], part, &between);
        found.unwrap().parts[0].verdict
    };
    assert_eq!(told(mm(10.0)), PartVerdict::CannotBeTold);
    assert_eq!(told(mm(0.15)), PartVerdict::Moved);
}

#[test]
fn a_post_that_was_turned_is_one_surprise() {
    // The bass post of a bridge went down; the strings follow it by their places.
    let shares = [0.1, 0.35, 0.65, 0.9];
    let post = |bass: bool| {
        let share = |s: f64| if bass { s } else { 1.0 - s };
        shares.iter().enumerate().map(|(n, s)| (n, share(*s))).collect::<Vec<_>>()
    };
    let model =
        model(Joint::known(16.0).unwrap()).with_screws(vec![post(false), post(true)]).unwrap();
    let visit = |down: f64| -> Vec<StateReading> {
        let gap = |s: usize| 2.0 - 0.73 * down * shares[s];
        let gaps = (0..4).map(|s| read(LAST, s, gap(s), 0.05));
        gaps.chain([read(RELIEF, 0, 0.2, 0.015), read(RELIEF, 3, 0.2, 0.015)]).collect()
    };
    let visits = [visit(0.0), visit(0.0), visit(1.0)];
    let account = |readings| Account { readings, trusted: false, noted: &[] };
    let found = doubts(&model, &visits.each_ref().map(|v| account(v))).unwrap();
    let named: Vec<StatePart> = found[0].moved.iter().map(|(_, part)| *part).collect();
    assert_eq!(named, [1, 2, 3].map(StatePart::StringHeight), "{found:?}");
    assert!(found[0].wrong.is_empty());
}
