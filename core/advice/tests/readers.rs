//! Learned offsets of readers must not make a comparison of two visits less honest: simulated readers
//! with offsets and scatter read a neck on which nothing moves, together and then one after the other.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may fail in this way")]

mod bench;

use std::fmt::Write as _;

use bench::Bench;
use fallaway_advice::compare::{ComparedAt, what_changed};
use fallaway_advice::observe;
use fallaway_advice::observe::EventKind;
use fallaway_record::SetupId;

/// A small generator of numbers, the same on every machine (G. Marsaglia, "Xorshift RNGs", Journal of
/// Statistical Software 8(14), 2003).
struct Dice(u64);

impl Dice {
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// The sum of twelve uniform numbers less six is near enough to a normal one.
    fn normal(&mut self, sd: f64) -> f64 {
        sd * ((0..12).map(|_| self.uniform()).sum::<f64>() - 6.0)
    }
}

/// What a reader with this offset reads: relief, then action, with a dial in hundredths.
fn reads(dice: &mut Dice, offset: f64) -> String {
    let mut see = |truth: f64| truth + offset + dice.normal(0.02);
    let mut lines = String::new();
    let _ = writeln!(lines, "read relief 1 to 24 with dial 0.01 mm: {:.2}", see(0.30));
    let action: Vec<String> =
        [2.0, 2.0, 2.1, 2.2].into_iter().map(|truth| format!("{:.2}", see(truth))).collect();
    let _ =
        writeln!(lines, "read gap stopped at 1 over 24 with dial 0.01 mm: {}", action.join(" "));
    lines
}

/// Whether any part is said to have moved, and half the width of the neck's interval.
fn compare(seed: u64, together: usize) -> (bool, f64) {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let (tech, player) = (dice.normal(0.02), dice.normal(0.02));
    let mut bench = Bench::new("bass-4");
    bench.line("joint 17");
    for _ in 0..together {
        bench.line("visit 30 days later, by tech");
        bench.line("tuned");
        let lines = reads(&mut dice, tech);
        bench.lines(&lines);
        bench.line("reader player");
        let lines = reads(&mut dice, player);
        bench.lines(&lines);
    }
    for (who, offset) in [("tech", tech), ("player", player)] {
        bench.line(&format!("visit 30 days later, by {who}"));
        bench.line("tuned");
        let lines = reads(&mut dice, offset);
        bench.lines(&lines);
    }
    let state = bench.state();
    observe::with_input(&state, &SetupId::main(), bench.now(), |input| {
        let opened = |(_, e): &(usize, &fallaway_advice::observe::Event<'_>)| {
            matches!(e.what, EventKind::VisitOpened)
        };
        let mut visits = input.events.iter().enumerate().filter(opened).map(|(_, e)| e.entry).rev();
        let (to, from) = (visits.next().unwrap(), visits.next().unwrap());
        let (from, to) = (ComparedAt::AsLeft(from), ComparedAt::AsFound(to));
        let changed = what_changed(input, from, to).unwrap();
        let neck = changed.parts.first().unwrap();
        let (low, high) = neck.interval_mm.unwrap();
        (changed.moved().next().is_some(), (high - low) / 2.0)
    })
}

#[test]
fn two_readers_of_a_neck_that_did_not_move_are_seldom_told_that_it_did() {
    let lives = 120;
    let mut width = [0.0, 0.0];
    for (at, together) in [0, 4].into_iter().enumerate() {
        let found: Vec<(bool, f64)> = (1..=lives).map(|seed| compare(seed, together)).collect();
        let wrong = found.iter().filter(|(moved, _)| *moved).count();
        // The bound of a comparison, all its parts together: 5 %.
        assert!(
            wrong * 20 <= lives as usize,
            "{wrong} of {lives} after reading together {together}"
        );
        if let Some(cell) = width.get_mut(at) {
            *cell = found.iter().map(|(_, half)| half).sum::<f64>() / lives as f64;
        }
    }
    // What is known of the readers narrows what can be told of the neck.
    assert!(width[1] < width[0], "{width:?}");
}

#[test]
fn what_was_known_before_anything_was_read_is_no_finding() {
    use fallaway_advice::compare::{InstrumentPart, PartVerdict};
    for days in [0, 90] {
        let mut bench = Bench::new("bass-4");
        bench.line("visit 30 days later, by tech");
        bench.line("tuned");
        bench.line("left relief 1 to 24 with feeler 0.01 mm: 0.20");
        bench.line("left gap stopped at 1 over 24 with rule 1/64 in: 5 5 6 6");
        bench.line(&format!("visit {days} days later, by tech"));
        bench.line("tuned");
        bench.line("read relief 1 to 24 with feeler 0.01 mm: 0.20");
        bench.line("read gap stopped at 1 over 24 with rule 1/64 in: 6 5 6 6");
        observe::with_input(&bench.state(), &SetupId::main(), bench.now(), |input| {
            let opened =
                |e: &&fallaway_advice::observe::Event<'_>| matches!(e.what, EventKind::VisitOpened);
            let mut visits = input.events.iter().filter(opened).map(|e| e.entry).rev();
            let (to, from) = (visits.next().unwrap(), visits.next().unwrap());
            let sides = (ComparedAt::AsLeft(from), ComparedAt::AsFound(to));
            let changed = what_changed(input, sides.0, sides.1).unwrap();
            for part in &changed.parts {
                let open = matches!(
                    part.part,
                    InstrumentPart::Nut(_) | InstrumentPart::Joint | InstrumentPart::Twist
                );
                assert!(!open || part.verdict == PartVerdict::CannotBeTold, "{part:?}");
                assert!(!open || part.interval_mm.is_none(), "{part:?}");
                assert!(part.interval_mm.is_none_or(|(low, high)| high - low < 3.0), "{part:?}");
            }
        });
    }
}

#[test]
fn a_side_that_is_compared_with_itself_has_nothing_between() {
    let mut bench = Bench::new("bass-4");
    bench.line("joint 17");
    bench.line("visit 30 days later, by tech");
    bench.line("tuned");
    // The rod was turned between the readings of one visit: what stands at its end was partly read
    // before and partly after.
    bench.line("read gap stopped at 3 over 1 with dial 0.01 mm: 0.02 0.03 0.02 0.03");
    bench.line("turned rod 1/4");
    bench.line("tuned");
    bench.lines(&reads(&mut Dice(7), 0.0));
    observe::with_input(&bench.state(), &SetupId::main(), bench.now(), |input| {
        let visit = input.events.iter().find(|e| matches!(e.what, EventKind::VisitOpened));
        let left = ComparedAt::AsLeft(visit.unwrap().entry);
        let other = what_changed(input, left, ComparedAt::Today).unwrap();
        for changed in [what_changed(input, left, left).unwrap(), other] {
            assert_eq!(changed.noted, []);
            for part in &changed.parts {
                assert!(part.change.value.abs() < 1e-9, "{part:?}");
            }
        }
    });
}

#[test]
fn one_side_of_a_number_is_no_number_in_other_air() {
    use fallaway_advice::learn::{ForecastClimate, forecast};
    let forecast_of = |third: &str| {
        let mut bench = Bench::new("bass-4");
        for (humidity, relief) in [(45, "0.20"), (60, "0.30")] {
            bench.line("visit 90 days later, by tech");
            bench.line(&format!("climate {humidity} 48"));
            bench.line("tuned");
            bench.line(&format!("read relief 1 to 24 with feeler 0.01 mm: {relief}"));
            bench.line(&format!("read gap stopped at 1 over 24 with rule 1/64 in: 5 5 {third} 6"));
        }
        let air = ForecastClimate {
            name: "hall".to_owned(),
            temperature_c: None,
            humidity_percent: 50.0,
        };
        observe::with_input(&bench.state(), &SetupId::main(), bench.now(), |input| {
            forecast(input, &[air]).unwrap().there.first().unwrap().action.len()
        })
    };
    // What lies on the frets is left out; what reads a number is not.
    assert_eq!((forecast_of("5"), forecast_of("0"), forecast_of("<=1")), (4, 3, 3));
}

#[test]
fn what_was_turned_before_a_string_was_read_is_no_reason_why_it_moved_since() {
    use fallaway_advice::compare::{InstrumentPart, PartVerdict};
    let mut bench = Bench::new("bass-4");
    bench.line("visit 30 days later, by tech");
    bench.line("tuned");
    bench.line("read relief 1 to 24 with feeler 0.01 mm: 0.20");
    bench.line("read gap stopped at 1 over 24 with dial 0.01 mm: 2.00 2.40 2.20 2.40");
    // String 2 is set and read again; the readings of the others stand.
    bench.line("turned saddle 2 -1/2");
    bench.line("tuned");
    bench.line("read gap stopped at 1 over 24 with dial 0.01 mm: - 2.10 - -");
    bench.line("visit 90 days later, by tech");
    bench.line("tuned");
    bench.line("read relief 1 to 24 with feeler 0.01 mm: 0.20");
    bench.line("read gap stopped at 1 over 24 with dial 0.01 mm: 2.00 1.50 2.20 2.40");
    observe::with_input(&bench.state(), &SetupId::main(), bench.now(), |input| {
        let opened =
            |e: &&fallaway_advice::observe::Event<'_>| matches!(e.what, EventKind::VisitOpened);
        let mut visits = input.events.iter().filter(opened).map(|e| e.entry).rev();
        let (to, from) = (visits.next().unwrap(), visits.next().unwrap());
        let sides = (ComparedAt::AsLeft(from), ComparedAt::AsFound(to));
        let changed = what_changed(input, sides.0, sides.1).unwrap();
        assert_eq!(changed.noted, []);
        let second = fallaway_measure::StringPlace::course(2).unwrap();
        let verdict = changed.part(InstrumentPart::Saddle(second)).unwrap().verdict;
        assert_ne!(verdict, PartVerdict::NotBeyondRead);
        assert_eq!(changed.likely.first().unwrap().part, InstrumentPart::Saddle(second));
    });
}
