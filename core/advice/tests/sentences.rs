//! Each sentence that is said of the advice, in every language, names the reading or the model it rests on; no number stands
//! without a unit; nothing is claimed to be certain. Checked over all golden cases, at each of their
//! expectations, over plans, what changed, what was learned, forecasts, buzzes and other strings.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a test may fail in this way"
)]

mod bench;

use std::path::Path;

use bench::Bench;
use fallaway_advice::buzz::{HeardBuzz, causes};
use fallaway_advice::clearance::{ClearanceModel, TouchUsed};
use fallaway_advice::compare::{ComparedAt, what_changed};
use fallaway_advice::learn;
use fallaway_advice::learn::ForecastClimate;
use fallaway_advice::observe;
use fallaway_advice::observe::EventKind;
use fallaway_record::SetupId;
use fallaway_text::{
    Language, Phrase, Voice, buzz, changed, forecast, learned, plan as plan_text, plan_page,
};

const UNITS: &[&str] = &[
    "mm",
    "cent",
    "turn",
    "turns",
    "Umdrehung",
    "Umdrehungen",
    "cents",
    "Cent",
    "in",
    "Zoll",
    "thou",
    "N",
    "%",
    "GPa",
    "°C",
];

/// Words that name what a sentence rests on: a reading, its reader or tool, a target, the record, a
/// model, or a guess or rule of thumb that says so.
const BASIS: &[&str] = &[
    "Read ",
    "read",
    "reading",
    "measured",
    "target",
    "Target",
    "model",
    "Model",
    "learned",
    "thread",
    "common practice",
    "from memory",
    "noted",
    "by what this instrument has shown",
    "guessed from",
    "earlier turn",
    "Worked out",
    "Seen ",
    "as given",
    "tension, curve",
    "curve of the board",
    "Gemessen",
    "gemessen",
    "Messung",
    "Messpaar",
    "Soll",
    "odell",
    "gelernt",
    "Gewinde",
    "übliche Praxis",
    "aus dem Gedächtnis",
    "eingetragen",
    "was dieses Instrument",
    "geschätzt",
    "früheren Drehung",
    "Berechnet",
    "beobachtet",
    "wie angegeben",
    "angenommen",
    "assumed",
    "Wölbung",
    "schnarrte",
    "Last time",
    "Test: turn",
    "Zur Probe",
    "Letztes Mal",
    "clockwise",
    "Uhrzeigersinn",
    "unerklärte Teil",
    "change in relief",
    "geänderte Halskrümmung",
];

fn plain(word: &str) -> &str {
    word.trim_matches(['(', ')', ',', ';', ':', '.', '!', '?'])
}

/// Decimal numbers and fractions without a unit behind them.
fn bare_numbers(sentence: &str) -> Vec<String> {
    let sentence = sentence.replace('%', " %").replace('\u{a0}', " ");
    let text: Vec<&str> = sentence.split_whitespace().map(plain).collect();
    let number = |word: &str| {
        let digits = word.trim_start_matches(['+', '-', '±']).replace(',', ".");
        let decimal = digits.contains('.') && digits.parse::<f64>().is_ok();
        let fraction = digits
            .split_once('/')
            .is_some_and(|(a, b)| a.parse::<f64>().is_ok() && b.parse::<u32>().is_ok());
        decimal || fraction
    };
    let mut bare = Vec::new();
    for (at, word) in text.iter().enumerate() {
        let unit = text.get(at + 1).is_some_and(|next| UNITS.contains(next));
        // A rule is called by its graduation; inharmonicity has no unit.
        let tool = at > 0
            && matches!(
                text.get(at - 1),
                Some(&("rule" | "inharmonicity" | "Inharmonizität" | "Stahllineal"))
            );
        if number(word) && !unit && !tool {
            bare.push((*word).to_owned());
        }
    }
    bare
}

fn says_a_number(sentence: &str) -> bool {
    let text: Vec<&str> = sentence.split_whitespace().map(plain).collect();
    text.windows(2).any(|pair| match pair {
        [number, unit] => UNITS.contains(unit) && number.chars().any(|c| c.is_ascii_digit()),
        _ => false,
    })
}

/// What is said wrongly by a sentence, if anything.
fn fault(sentence: &str) -> Option<String> {
    let bare = bare_numbers(sentence);
    if !bare.is_empty() {
        return Some(format!("{} without a unit: {sentence}", bare.join(", ")));
    }
    let verdict = ["moved", "contradict", "explains", "bewegt", "widersprechen", "erklärt"]
        .iter()
        .any(|word| sentence.contains(word));
    let based = BASIS.iter().any(|word| sentence.contains(word));
    if (says_a_number(sentence) || verdict) && !based {
        return Some(format!("rests on nothing named: {sentence}"));
    }
    let sure = [
        "certain",
        "definitely",
        "surely",
        "guarantee",
        "exactly",
        "proves",
        "sicher",
        "gewiss",
        "garantiert",
        "beweist",
    ];
    let claimed = sentence.split(|c: char| !c.is_alphabetic()).find(|w| sure.contains(w));
    claimed.map(|word| format!("claims to be {word}: {sentence}"))
}

/// Everything that is said of a bench as it stands.
fn everything(bench: &Bench) -> Vec<Phrase> {
    let mut said = Vec::new();
    let plan = bench.plan();
    let state = bench.state();
    let spec = state.spec();
    for step in &plan.steps {
        said.extend(plan_text::step(step, spec).sentences().cloned());
    }
    said.extend(plan.drift.iter().flat_map(|drift| plan_page::drift_sentences(drift, spec)));
    observe::with_input(&state, &SetupId::main(), bench.now(), |input| {
        let opened = input.events.iter().filter(|e| matches!(e.what, EventKind::VisitOpened));
        let visits = opened.map(|e| e.entry);
        let mut sides = vec![ComparedAt::Setup];
        sides.extend(visits.flat_map(|v| [ComparedAt::AsFound(v), ComparedAt::AsLeft(v)]));
        for from in sides.iter().rev().take(4) {
            if let Ok(found) = what_changed(input, *from, ComparedAt::Today) {
                said.extend(changed::sentences(&found, spec));
            }
        }
        said.extend(learned::sentences(&learn::learned_with(input, &state), spec));
        let climate = |humidity_percent| ForecastClimate {
            name: "another climate".into(),
            temperature_c: None,
            humidity_percent,
        };
        if let Ok(there) = learn::forecast(input, &[climate(25.0), climate(60.0)]) {
            said.extend(forecast::sentences(&there, spec));
        }
        if let Ok(mut desk) = ClearanceModel::of_record(input, spec) {
            for heard in [(0, 0), (3, 6), (12, 12)] {
                let heard = HeardBuzz { string: 0, from: heard.0, to: heard.1 };
                for suspect in causes(&mut desk, heard, TouchUsed::assumed()).unwrap() {
                    said.extend(buzz::sentences(&suspect));
                }
            }
        }
    });
    said
}

#[test]
fn every_sentence_rests_on_something_and_no_number_is_bare() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/vectors/advice");
    let (mut faults, mut sentences) = (Vec::new(), 0);
    for file in std::fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        let text = std::fs::read_to_string(&path).unwrap();
        let mut bench: Option<Bench> = None;
        for line in text.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#')) {
            if let Some(template) = line.strip_prefix("instrument ") {
                bench = Some(Bench::new(template));
                continue;
            }
            let bench = bench.as_mut().expect("the first line names the instrument");
            if !line.starts_with("expect ") {
                bench.line(line);
                continue;
            }
            for phrase in everything(bench) {
                for language in Language::all() {
                    sentences += 1;
                    faults.extend(fault(&Voice::new(language).sentence(&phrase)));
                }
            }
        }
    }
    faults.sort();
    faults.dedup();
    assert!(sentences > 1000, "{sentences}");
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}
