//! `cargo run --release -p fallaway-visits -- INSTRUMENTS SEED MISREADS`: visits of so many instruments,
//! eight each, one reading in so many misread (0: none). `trail SEED MISREADS INSTRUMENT` tells one of
//! them step by step; `worst INSTRUMENTS SEED MISREADS` names the visits that went wrong.
#![forbid(unsafe_code)]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a simulation, no part of the library"
)]

use std::env;
use std::process::ExitCode;

use fallaway_visits::instrument::BridgeKind;
use fallaway_visits::reader::Held;
use fallaway_visits::visit::{End, Trial, Turned, Visit, live};

/// Visits of each instrument.
const VISITS: usize = 8;

fn main() -> ExitCode {
    let words: Vec<String> = env::args().skip(1).collect();
    let (what, numbers) = match words.first() {
        Some(word) if word.parse::<u64>().is_err() => (word.as_str(), &words[1..]),
        _ => ("", &words[..]),
    };
    let number = |at: usize, or: u64| numbers.get(at).and_then(|n| n.parse().ok()).unwrap_or(or);
    let trial = |at| {
        let misreads = number(at + 1, 120) as f64;
        Trial { seed: number(at, 1), misreads, visits: VISITS }
    };
    match what {
        "" => tables(&all(number(0, 400), trial(1))),
        "worst" => worst(&all(number(0, 400), trial(1))),
        "trail" => drop(live(trial(0), number(2, 0), true)),
        other => {
            println!("{other}: not known; accepted: INSTRUMENTS, worst or trail, then numbers");
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}

fn all(instruments: u64, trial: Trial) -> Vec<Visit> {
    (0..instruments).flat_map(|number| live(trial, number, false)).collect()
}

/// What goes wrong, a line for each visit.
fn worst(visits: &[Visit]) {
    for (at, v) in visits.iter().enumerate() {
        let bad =
            !matches!(v.end, End::Done | End::StoppedRightly(_)) || v.rod_harmed || v.thread_ended;
        if bad {
            println!(
                "instrument {} visit {}: {:?}, {}, {}{}{}{}",
                v.instrument,
                at % VISITS + 1,
                v.end,
                v.bridge.word(),
                v.tool.word(),
                if v.misread { ", misread" } else { "" },
                if v.rod_harmed { ", rod the wrong way" } else { "" },
                if v.thread_ended { ", end of the thread" } else { "" },
            );
        }
    }
}

fn tables(visits: &[Visit]) {
    let of = |name: &str, keep: &dyn Fn(&Visit) -> bool| {
        line(name, &visits.iter().filter(|v| keep(v)).collect::<Vec<_>>());
    };
    println!(
        "| visits | n | done | stopped rightly | falsely | > 25 rounds | cannot follow | relief in | \
         strings in | all in | (1.5) | rod turns | saddle turns | needless rod | needless saddle | \
         overshoot rod | saddle | rod harmed | thread ended |"
    );
    println!("|{}", "---|".repeat(19));
    of("all", &|_| true);
    for tool in Held::ALL {
        of(tool.word(), &|v| v.tool == tool);
        of("  first visit", &|v| v.tool == tool && v.first);
    }
    for bridge in BridgeKind::ALL {
        of(bridge.word(), &|v| v.bridge == bridge);
    }
    of("with a misreading", &|v| v.misread);
    of("without", &|v| !v.misread);
}

fn percent(part: usize, of: usize) -> String {
    format!("{:.1}", 100.0 * part as f64 / of.max(1) as f64)
}

fn line(name: &str, visits: &[&Visit]) {
    let n = visits.len();
    let share = |f: &dyn Fn(&Visit) -> bool| percent(visits.iter().filter(|v| f(v)).count(), n);
    let strings = visits.iter().map(|v| v.strings_off.len()).sum();
    let within = |v: &Visit, t: f64| v.strings_off.iter().filter(|off| off.abs() <= t).count();
    let all_in = |v: &Visit, t: f64| v.relief_off.abs() <= t && within(v, t) == v.strings_off.len();
    let sum = |f: &dyn Fn(&Visit) -> usize| visits.iter().map(|v| f(v)).sum::<usize>();
    let each = |f: &dyn Fn(&Visit) -> usize| format!("{:.2}", sum(f) as f64 / n.max(1) as f64);
    let over = |of: fn(&Visit) -> Turned| {
        percent(sum(&|v| of(v).overshoots), sum(&|v| of(v).advices - of(v).tries))
    };
    let columns = [
        n.to_string(),
        share(&|v| v.end == End::Done),
        share(&|v| matches!(v.end, End::StoppedRightly(_))),
        share(&|v| matches!(v.end, End::StoppedFalsely(_))),
        share(&|v| v.end == End::Endless),
        share(&|v| matches!(v.end, End::CannotFollow(_))),
        share(&|v| v.relief_off.abs() <= 1.0),
        percent(sum(&|v| within(v, 1.0)), strings),
        share(&|v| all_in(v, 1.0)),
        share(&|v| all_in(v, 1.5)),
        each(&|v| v.rod.advices),
        each(&|v| v.saddles.advices),
        share(&|v| v.rod.needless > 0),
        share(&|v| v.saddles.needless > 0),
        over(|v| v.rod),
        over(|v| v.saddles),
        share(&|v| v.rod_harmed),
        share(&|v| v.thread_ended),
    ];
    println!("| {name} | {} |", columns.join(" | "));
}
