//! Whatever an edit accepts can be committed, carried and read; what it refuses changes nothing.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use common::{Seeded, relief, told};
use fallaway::environment::Clock;
use fallaway::measure::{Amount, Fret, Location, Note, Quantity, Reading, StringPlace, Tool, Unit};
use fallaway::record::spec::{
    BoardCurve, BridgeSpec, FretsSpec, HeightBy, ScaleLength, ScrewPlace, ScrewSpec, StringSpec,
};
use fallaway::record::{
    AdjustedPart, Adjustment, Buzz, Climate, Moment, Pass, PassReading, Remark, SpecField,
    StringChange, Target, Tuning, Turns,
};
use fallaway::{Error, HistoryFilter, Instrument, Role, Workshop, WriteOptions};
use proptest::prelude::*;

/// The first and the last second that a record can state.
const TIMES: [i64; 2] = [-62_135_596_800, 253_402_207_200];
const NOW: i64 = 1_780_000_000;

/// A clock that is set by hand, to anything.
#[derive(Clone)]
struct Set(Arc<AtomicI64>, Arc<AtomicI64>);

impl Clock for Set {
    fn now(&self) -> Moment {
        let offset_min = i16::try_from(self.1.load(Ordering::Relaxed)).unwrap_or(0);
        Moment { unix_s: self.0.load(Ordering::Relaxed), offset_min }
    }
}

impl Set {
    fn right() -> Self {
        Self(Arc::new(AtomicI64::new(NOW)), Arc::default())
    }

    fn to(&self, unix_s: i64, offset_min: i16) {
        self.0.store(unix_s, Ordering::Relaxed);
        self.1.store(i64::from(offset_min), Ordering::Relaxed);
    }
}

#[derive(Debug, Clone)]
struct Step {
    kind: usize,
    text: usize,
    by: Option<usize>,
    number: i64,
    unix_s: i64,
    offset_min: i16,
    many: usize,
}

fn step() -> impl Strategy<Value = Step> {
    let length = || {
        prop_oneof![
            0_usize..3,
            Just(64),
            Just(65),
            Just(500),
            3_999_usize..4_002,
            16_300_usize..16_400,
            Just(70_000)
        ]
    };
    let numbers =
        prop_oneof![Just(0_i64), 1_i64..200, Just(i64::MAX), Just(i64::MIN), any::<i64>()];
    let times = prop_oneof![
        4 => Just(NOW),
        1 => Just(TIMES[0]), 1 => Just(TIMES[0] - 1), 1 => Just(TIMES[1]), 1 => Just(TIMES[1] + 1),
        1 => Just(i64::MIN), 1 => Just(i64::MAX),
    ];
    let offsets =
        prop_oneof![4 => Just(0_i16), 1 => Just(1080), 1 => Just(1081), 1 => Just(i16::MIN)];
    let many = prop_oneof![0_usize..3, Just(48), Just(500)];
    (0_usize..KINDS, length(), prop::option::of(length()), numbers, times, offsets, many).prop_map(
        |(kind, text, by, number, unix_s, offset_min, many)| Step {
            kind,
            text,
            by,
            number,
            unix_s,
            offset_min,
            many,
        },
    )
}

const KINDS: usize = 31;

/// Makes the edit; `Ok(false)` if the numbers do not even make a value to hand over.
fn edit(bass: &Instrument, step: &Step) -> Result<bool, Error> {
    let text = "ä".repeat(step.text);
    let by = step.by.map(|length| "b".repeat(length));
    let by = by.as_deref();
    let note = Some(text.clone());
    let course = u8::try_from(step.number.rem_euclid(50)).unwrap();
    let place = StringPlace::course(course).unwrap_or(StringPlace::course(1).unwrap());
    let fret = Fret::new(u8::try_from(step.number.rem_euclid(37)).unwrap()).unwrap();
    let many = || vec![place; step.many];
    let at = Moment { unix_s: step.unix_s, offset_min: step.offset_min };
    let Ok(mm) = Amount::decimal(step.number, 2, Unit::Millimetre) else { return Ok(false) };
    let Ok(percent) = Amount::decimal(step.number, 0, Unit::Percent) else { return Ok(false) };
    let target = |quantity, location| Target {
        quantity,
        location,
        wanted: mm,
        tolerance: mm,
        by: by.map(str::to_owned),
        at,
        taken_from: None,
    };
    let adjusted = |what| Adjustment {
        what,
        turns: Some(Turns::eighths(i16::try_from(step.number % 100).unwrap())),
        amount: Some(mm),
        note: note.clone(),
    };
    match step.kind {
        0 => {
            let mut pass = Pass::new(relief(), Some(Tool::FEELER_MM));
            let read = PassReading { location: Location::Whole, reading: Reading::Value(mm) };
            pass.readings = vec![read; step.many];
            bass.add_pass(pass, WriteOptions { by: by.map(str::to_owned), ..WriteOptions::sure() })
                .map(drop)
        }
        1 => {
            let mut pass = Pass::new(Quantity::Gap { stopped: Fret::OPEN, over: fret }, None);
            let location = Location::Course(place);
            pass.readings = vec![PassReading { location, reading: Reading::AtMost(mm) }];
            pass.tuned_minutes_ago = u16::try_from(step.many).ok();
            bass.add_pass(pass, WriteOptions { by: by.map(str::to_owned), ..WriteOptions::sure() })
                .map(drop)
        }
        2 => bass.add_adjustment(adjusted(AdjustedPart::Rod), by).map(drop),
        3 => bass.add_adjustment(adjusted(AdjustedPart::SaddleHeight(place)), by).map(drop),
        4 => {
            let fitted =
                StringSpec { name: note.clone(), gauge: Some(mm), ..StringSpec::default() };
            let fitted = many().into_iter().map(|place| (place, fitted.clone())).collect();
            let change =
                StringChange { strings: many(), set: note.clone(), fitted, note: note.clone() };
            bass.add_string_change(&change, by).map(drop)
        }
        5 => {
            let tuned = Note::new(u8::try_from(step.number.rem_euclid(128)).unwrap()).unwrap();
            let changed = many().into_iter().map(|place| (place, tuned)).collect();
            bass.add_tuning(&Tuning { strings: many(), changed, note }, by).map(drop)
        }
        6 => {
            let climate = Climate {
                temperature: None,
                humidity: Some(percent),
                where_kept: note,
                hours_there: u32::try_from(step.many).ok(),
            };
            bass.add_climate(climate, by).map(drop)
        }
        7 => bass.add_remark(Remark { text, ..Remark::default() }, by).map(drop),
        8 => {
            let last =
                bass.history(&HistoryFilter { last: Some(1), ..HistoryFilter::default() })?;
            let replaces = last.first().map(|view| view.entry.id);
            bass.add_remark(Remark { text, replaces, about: replaces, ..Remark::default() }, by)
                .map(drop)
        }
        9 => {
            let to = Fret::new(u8::try_from(step.many % 37).unwrap()).unwrap();
            bass.add_buzz(Buzz { string: place, from: fret, to, note }, by).map(drop)
        }
        10 => bass.begin_visit(Some(&text), None).map(drop),
        11 => bass.end_visit(None, None),
        12 => match bass
            .history(&HistoryFilter { last: Some(1), ..HistoryFilter::default() })?
            .first()
        {
            Some(view) => bass.retract(view.entry.id, &text, by).map(drop),
            None => Ok(()),
        },
        13 => match bass.history(&HistoryFilter::default())?.first() {
            Some(view) => bass.retract(view.entry.id, &text, by).map(drop),
            None => Ok(()),
        },
        14 => bass.add_setup(&text, None).map(drop),
        15 => bass.set_target(&"stage".parse().unwrap(), &target(relief(), Location::Whole), None),
        16 => {
            let gap = Quantity::Gap { stopped: Fret::OPEN, over: fret };
            bass.set_target(&"stage".parse().unwrap(), &target(gap, Location::Course(place)), None)
        }
        17 => bass.remove_target(&"stage".parse().unwrap(), relief(), Location::Whole, None),
        18 => bass.take_setup("stage", None, None).map(drop),
        19 => bass.set_spec(&SpecField::Name(text), None),
        20 => bass.set_spec(&SpecField::About(text), None),
        21 => {
            let counts = vec![u8::try_from(step.number.rem_euclid(4)).unwrap(); step.many];
            bass.set_spec(&SpecField::Courses(counts), None)
        }
        22 => bass.set_spec(
            &SpecField::Scale(ScaleLength::Each(
                many().into_iter().map(|place| (place, mm)).collect(),
            )),
            None,
        ),
        23 => bass.set_spec(&SpecField::Trees(many()), None),
        24 => {
            let height = HeightBy::SharedSaddles(vec![many(); step.many % 40]);
            bass.set_spec(
                &SpecField::Bridge(BridgeSpec {
                    height,
                    floating: false,
                    intonation: None,
                    sideways: None,
                    posts: None,
                }),
                None,
            )
        }
        25 => {
            bass.set_spec(&SpecField::Board(BoardCurve::Cylinder(mm)), None)?;
            bass.set_spec(&SpecField::Screw(ScrewPlace::Rod, ScrewSpec::default()), None)?;
            bass.set_spec(&SpecField::A4(mm), None)
        }
        26 => bass.set_spec(
            &SpecField::Frets(FretsSpec { height: Some(mm), ..FretsSpec::count(course) }),
            None,
        ),
        27 => {
            let keys = ["name", "scale", "courses", "frets", "tuning/4", "nothing", "", &text];
            bass.unset_spec(keys[step.many % keys.len()], None)
        }
        28 => bass.rename_setup(&"stage".parse().unwrap(), &text, None),
        29 => bass.delete_setup(&"stage".parse().unwrap(), None),
        _ => bass.bring_back_setup(&"stage".parse().unwrap(), None),
    }
    .map(|()| true)
}

struct Pair {
    clock: Set,
    bass: Instrument,
    tech: Workshop,
    player: Workshop,
    theirs: Instrument,
}

fn pair() -> Pair {
    let clock = Set::right();
    let tech =
        Workshop::in_memory("tech", Box::new(clock.clone()), Box::new(Seeded::new(1))).unwrap();
    let player =
        Workshop::in_memory("player", Box::new(Set::right()), Box::new(Seeded::new(2))).unwrap();
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    Pair { clock, bass, tech, player, theirs }
}

impl Pair {
    /// Everything that a person sees, but for what has only become old enough to be a change.
    fn shown(&self) -> String {
        let history = self.bass.history(&HistoryFilter::default()).unwrap();
        let entries: Vec<_> =
            history.iter().map(|view| (&view.entry, &view.retracted, view.replaced_by)).collect();
        let (spec, setups) = (self.bass.details().unwrap().spec, self.bass.setups().unwrap());
        format!("{:?}{spec:?}{setups:?}{entries:?}", self.bass.card(None).unwrap())
    }

    /// The draft becomes a change, crosses, and both devices read the same from what they stored.
    fn carried(&self) {
        self.clock.to(NOW, 0);
        let report = self.player.bundle_in(&self.bass.bundle_out().unwrap().file);
        let report = report.unwrap();
        assert_eq!((report.refused, report.waiting), (Vec::new(), 0));
        assert_eq!(report.set_aside, []);
        self.tech.trim().unwrap();
        self.player.trim().unwrap();
        assert_eq!(told(&self.bass), told(&self.theirs));
        assert!(self.bass.details().unwrap().spec.newer.is_empty());
        let history = self.bass.history(&HistoryFilter::default()).unwrap();
        assert!(history.iter().all(|view| !view.draft && !view.entry.newer));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn what_is_accepted_can_be_committed_and_carried(
        steps in prop::collection::vec(step(), 1..12),
    ) {
        let pair = pair();
        for step in &steps {
            let before = pair.shown();
            pair.clock.to(step.unix_s, step.offset_min);
            match edit(&pair.bass, step) {
                Ok(_) => {}
                Err(Error::Internal { reason, .. }) => panic!("{step:?}: {reason}"),
                // Three facts are set one by one.
                Err(_) if step.kind == 25 => {}
                // A visit that is open is ended before another one begins.
                Err(_) if step.kind == 10 => {}
                Err(_) => {
                    prop_assert_eq!(before, pair.shown(), "refused: {:?}", step);
                }
            }
        }
        pair.carried();
    }
}

#[test]
fn each_kind_at_its_limits_alone() {
    let lengths = [0, 1, 64, 65, 500, 501, 4000, 4001, 8100, 70_000];
    for kind in 0..KINDS {
        let pair = pair();
        for (text, unix_s) in
            lengths.into_iter().zip([NOW, TIMES[0], TIMES[1], NOW].into_iter().cycle())
        {
            for many in [1, 48] {
                let step = Step { kind, text, by: None, number: 42, unix_s, offset_min: 0, many };
                pair.clock.to(unix_s, 0);
                if let Err(Error::Internal { reason, .. }) = edit(&pair.bass, &step) {
                    panic!("{step:?}: {reason}");
                }
            }
        }
        pair.carried();
    }
}

#[test]
fn a_draft_that_is_full_becomes_a_change_and_the_edit_is_taken() {
    let pair = pair();
    for _ in 0..80 {
        let remark = Remark { text: "x".repeat(4000), ..Remark::default() };
        pair.bass.add_remark(remark, None).unwrap();
    }
    let history = pair.bass.history(&HistoryFilter::default()).unwrap();
    assert_eq!(history.len(), 80);
    assert!(!history[0].draft && history[79].draft);
    pair.carried();
}

#[test]
fn a_clock_that_no_calendar_knows_is_refused_and_the_record_stays_writable() {
    let pair = pair();
    let remark = || Remark { text: "fits".into(), ..Remark::default() };
    for wrong in [TIMES[0] - 1, TIMES[1] + 1, i64::MIN, i64::MAX] {
        pair.clock.to(wrong, 0);
        let refused = pair.bass.add_remark(remark(), None).unwrap_err();
        assert!(matches!(refused, Error::BadInput { .. }), "{refused}");
        let refused = pair.bass.set_spec(&SpecField::Name("other".into()), None).unwrap_err();
        assert!(matches!(refused, Error::BadInput { .. }), "{refused}");
    }
    pair.clock.to(NOW, 0);
    pair.bass.add_remark(remark(), None).unwrap();
    pair.carried();
}
