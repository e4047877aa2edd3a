//! What a screen costs on this side of the border: the library's own call, the call with its types
//! made ready to cross, and how many bytes then cross.
//!
//! `cargo bench -p fallaway-ffi --bench screens`. A five-string bass with 60 visits of relief, action
//! and nut, the last one today. Foreign code adds the reading of those bytes; each language's own
//! measurements say how much.

#![forbid(unsafe_code)]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a benchmark")]

use std::hint::black_box;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{Duration, Instant};

use fallaway::advice::clearance::TouchUsed;
use fallaway_ffi::{
    AdjustedPart, Adjustment, ClearanceWhatIf, Entered, ForeignError, HistoryFilter, Instrument,
    Location, Moment, NewTarget, Occasion, PluckDirection, Quantity, StringPlace, TimeSource, Tool,
    Touch, TuningChange, UniFfiTag, VisitId, Workshop, WorkshopOptions,
};
use uniffi::Lower;

const RELIEF: Quantity = Quantity::Relief { from_fret: 1, to_fret: 24, at_fret: None };
const ACTION: Quantity = Quantity::Gap { stopped_fret: 1, over_fret: 24 };
const NUT: Quantity = Quantity::Gap { stopped_fret: 3, over_fret: 1 };
const VISITS: usize = 60;
const RUNS: usize = 200;

struct Clock(Arc<AtomicI64>);

impl TimeSource for Clock {
    fn now(&self) -> Result<Moment, ForeignError> {
        Ok(Moment { unix_s: self.0.load(Ordering::Relaxed), offset_min: 0 })
    }
}

impl fallaway::environment::Clock for Clock {
    fn now(&self) -> fallaway::record::Moment {
        fallaway::record::Moment { unix_s: self.0.load(Ordering::Relaxed), offset_min: 0 }
    }
}

fn entered(text: &str) -> Entered {
    Entered { text: text.to_owned(), value: None, unit: None }
}

fn read(bass: &Instrument, quantity: Quantity, tool: Tool, text: String) {
    bass.add_pass_text(quantity, text, Some(tool), None, None).unwrap();
}

/// The bass, and the visit before the last.
fn record(workshop: &Workshop, seconds: &AtomicI64) -> (Arc<Instrument>, VisitId) {
    let bass = workshop.add_instrument("bass-5", "walnut five").unwrap();
    let mut before = None;
    for course in 1..=5 {
        let location = Location::OneString { place: StringPlace { course, letter: None } };
        let (wanted, tolerance) = (entered("2.00 mm"), entered("0.10 mm"));
        let target = NewTarget { quantity: ACTION, location, wanted, tolerance };
        bass.set_target("stage".parse().unwrap(), target, None).unwrap();
    }
    let (wanted, tolerance) = (entered("0.30 mm"), entered("0.05 mm"));
    let relief = NewTarget { quantity: RELIEF, location: Location::Whole, wanted, tolerance };
    bass.set_target("stage".parse().unwrap(), relief, None).unwrap();
    for visit in 0..VISITS {
        seconds.fetch_add(20 * 86_400, Ordering::Relaxed);
        let opened = bass.begin_visit(None, None).unwrap();
        let tuned = TuningChange { strings: Vec::new(), changed: Vec::new(), note: None };
        bass.add_tuning(tuned, None).unwrap();
        let drift = visit % 7;
        read(&bass, RELIEF, Tool::FeelerMm, format!("0.{}", 25 + 2 * drift));
        read(&bass, ACTION, Tool::DialMm, format!("2.0{drift} 2.0{drift} 2.10 2.10 2.2{drift}"));
        read(&bass, NUT, Tool::FeelerMm, "0.20 0.20 0.20 0.20 0.20".to_owned());
        if visit + 1 < VISITS {
            before = Some(opened);
            let turned =
                Adjustment { part: AdjustedPart::Rod, turns: Some(0.125), moved: None, note: None };
            bass.add_adjustment(turned, None).unwrap();
            bass.end_visit(None, None).unwrap();
        }
    }
    (bass, before.unwrap())
}

fn median(mut work: impl FnMut()) -> Duration {
    for _ in 0..3 {
        work();
    }
    let mut runs: Vec<Duration> = (0..RUNS)
        .map(|_| {
            let begun = Instant::now();
            work();
            begun.elapsed()
        })
        .collect();
    runs.sort();
    runs[RUNS / 2]
}

/// The library's call, the exported call with its answer written for the border, and the bytes.
fn screen<T: Lower<UniFfiTag>>(
    name: &str,
    mut inner: impl FnMut(),
    mut exported: impl FnMut() -> T,
) {
    let plain = median(&mut inner);
    let mut bytes = 0;
    let crossing = median(|| {
        let mut buffer = Vec::new();
        T::write(exported(), &mut buffer);
        bytes = black_box(buffer).len();
    });
    println!("{name}: library {plain:.1?}, ready to cross {crossing:.1?}, {bytes} bytes");
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let seconds = Arc::new(AtomicI64::new(1_700_000_000));
    let options = WorkshopOptions {
        folder: folder.path().to_str().unwrap().to_owned(),
        label: "tech".to_owned(),
        replace_garbage: false,
        max_pages: None,
        face: 1,
    };
    let clock = Arc::new(Clock(seconds.clone()));
    let workshop = Workshop::open(options, None, None, Some(clock), None).unwrap();
    let (bass, before) = record(&workshop, &seconds);
    // The same record by the library's own types.
    drop(bass);
    workshop.pause().unwrap();
    let bass = workshop.instrument_named("walnut five").unwrap();
    let options = fallaway::WorkshopOptions {
        clock: Box::new(Clock(seconds)),
        ..fallaway::WorkshopOptions::new(folder.path(), "tech")
    };
    let core = fallaway::Workshop::open(options).unwrap().instrument_named("walnut five").unwrap();

    screen("card", || drop(black_box(core.card(None).unwrap())), || bass.card(None).unwrap());
    screen("plan", || drop(black_box(core.plan(None).unwrap())), || bass.plan(None).unwrap());
    let visit = before.to_string().parse().unwrap();
    screen(
        "what changed",
        || {
            let (from, to) = (
                fallaway::Occasion::AsLeft(visit),
                fallaway::Occasion::Setup("stage".parse().unwrap()),
            );
            drop(black_box(core.what_changed(&from, &to).unwrap()));
        },
        || {
            let from = Occasion::AsLeft { visit: before };
            bass.what_changed(from, Occasion::Setup { setup: "stage".parse().unwrap() }).unwrap()
        },
    );
    screen("learned", || drop(black_box(core.learned().unwrap())), || bass.learned().unwrap());
    screen(
        "history, last 50",
        || {
            let filter =
                fallaway::HistoryFilter { last: Some(50), ..fallaway::HistoryFilter::default() };
            drop(black_box(core.history(&filter).unwrap()));
        },
        || {
            let filter = HistoryFilter { last: Some(50), ..HistoryFilter::default() };
            bass.history(&filter).unwrap()
        },
    );
    let touch = Touch {
        force_n: Some(1.5),
        direction: PluckDirection::TowardBoard,
        from_saddle_mm: 100.0,
        spare_mm: 0.0,
    };
    let mut desk = core.clearance().unwrap();
    let bench = bass.clearance_model(touch, None).unwrap();
    let mut relief = 0.0;
    let mut what_if = move || {
        relief = (relief + 0.01) % 0.5;
        ClearanceWhatIf { relief_mm: Some(relief), ..ClearanceWhatIf::default() }
    };
    screen(
        "clearance slider",
        || {
            let what_if = fallaway::advice::clearance::ClearanceWhatIf::default();
            drop(black_box(desk.ask(&what_if, TouchUsed::with_force(1.5)).unwrap()));
        },
        || bench.ask(touch, Some(what_if()), None, false).unwrap(),
    );
    let cold = || {
        let begun = Instant::now();
        let what_if = ClearanceWhatIf::default();
        drop(black_box(bass.clearance(touch, None, Some(what_if), None, false).unwrap()));
        begun.elapsed()
    };
    let mut runs: Vec<Duration> = (0..9).map(|_| cold()).collect();
    runs.sort();
    println!("clearance, everything in one call, cold: {:.1?}", runs[4]);
}
