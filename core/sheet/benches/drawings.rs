//! What a drawing and a page cost, against what a screen can spare: a scene 1 ms, its SVG 2 ms, a PDF page
//! 50 ms.
//!
//! `cargo bench -p fallaway-sheet --features pdf --bench drawings`. A bass with 200 readings.

#![forbid(unsafe_code)]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a benchmark")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use fallaway_advice::observe::Estimate;
use fallaway_measure::{Amount, Fret, Quantity, Unit};
use fallaway_record::Moment;
use fallaway_sheet::{
    CustomerNumber, CustomerSheet, DrawingWidth, Gap, History, HistoryPoint, Neck, Scene,
    SheetPage, Theme, customer_sheet, history, neck, sheet_html, svg,
};
use fallaway_text::{Phrase, Voice, names};

const RUNS: usize = 200;
const RELIEF: Quantity = Quantity::Relief { from: Fret::OPEN, to: Fret::OPEN, at: None };

fn mm(hundredths: i64) -> Amount {
    Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap()
}

fn drawn_neck(voice: &Voice) -> Scene {
    let gap = |quantity, read: i64| Gap {
        quantity,
        read: Some((Estimate::mm(read as f64 / 100.0, 0.01), names::amount(mm(read)))),
        before: None,
        wanted: Some((mm(read - 5), mm(5))),
        two_values: false,
        out_of_date: false,
    };
    let relief = Quantity::relief(1, 24).unwrap();
    let gaps = vec![gap(relief, 30), gap(Quantity::gap(1, 24).unwrap(), 210)];
    neck(&Neck { scale_mm: 863.6, frets: 24, string: None, gaps }, voice)
}

fn drawn_history(voice: &Voice) -> Scene {
    let at = |day: i64| Moment { unix_s: 1_700_000_000 + day * 86_400, offset_min: 0 };
    let point = |day: i64| HistoryPoint {
        at: at(day),
        read: Estimate::mm(0.3 + (day % 7) as f64 / 50.0, 0.01),
        said: names::amount(mm(30 + day % 7 * 2)),
    };
    let of = History {
        two_values: false,
        quantity: RELIEF,
        place: None,
        points: (0..200).map(point).collect(),
        wanted: Some((mm(30), mm(5))),
        deeds: Vec::new(),
        air: Vec::new(),
        forecast: Vec::new(),
    };
    history(&of, DrawingWidth::Page, voice)
}

fn page(voice: &Voice) -> SheetPage {
    let number = |string: i64| CustomerNumber {
        what: names::quantity(Quantity::gap(1, 24).unwrap()),
        place: Some(Phrase::written(format!("string {string}"))),
        found: Some(names::amount(mm(236))),
        wanted: Some((mm(220), mm(10))),
        left: Some(names::amount(mm(220))),
        left_known: Some(Estimate::mm(2.2, 0.02)),
        two_values: false,
    };
    let of = CustomerSheet {
        name: "walnut five".to_owned(),
        at: Moment { unix_s: 1_700_000_000, offset_min: 0 },
        purpose: None,
        by: vec!["tech".to_owned()],
        numbers: (1..=12).map(number).collect(),
        done: (0..8).map(|step| Phrase::written(format!("saddle {step}: 1/4 turn"))).collect(),
        notes: Vec::new(),
        tuning: Vec::new(),
        strings: Vec::new(),
        strings_since: None,
        air: None,
        watch: None,
        still: Vec::new(),
        open: Vec::new(),
        neck: Some(drawn_neck(voice)),
    };
    customer_sheet(&of, voice)
}

fn timed<T>(name: &str, budget_ms: f64, runs: usize, mut work: impl FnMut() -> T) {
    // The first call reads the messages of a language.
    black_box(work());
    let mut took: Vec<Duration> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            black_box(work());
            start.elapsed()
        })
        .collect();
    took.sort_unstable();
    let ms = |at: usize| took[at].as_secs_f64() * 1_000.0;
    println!(
        "{name:<24} median {:>8.3} ms, 95 % {:>8.3} ms, budget {budget_ms} ms",
        ms(runs / 2),
        ms(runs * 95 / 100)
    );
}

fn main() {
    let voice = Voice::default();
    timed("neck, scene", 1.0, RUNS, || drawn_neck(&voice));
    timed("200 readings, scene", 1.0, RUNS, || drawn_history(&voice));
    let (neck, history) = (drawn_neck(&voice), drawn_history(&voice));
    timed("neck, SVG", 2.0, RUNS, || svg(&neck, Theme::Light));
    timed("200 readings, SVG", 2.0, RUNS, || svg(&history, Theme::Light));
    let page = page(&voice);
    timed("page, HTML", 50.0, RUNS, || sheet_html(&page, fallaway_sheet::Paper::A4));
    #[cfg(feature = "pdf")]
    timed("page, PDF", 50.0, 40, || {
        fallaway_sheet::sheet_pdf(&page, fallaway_sheet::Paper::A4).unwrap()
    });
}
