//! `cargo run --release -p fallaway-visits -- INSTRUMENTS SEED MISREADS`: visits of so many instruments,
//! eight each, one reading in so many misread (0: none). `eventful` before them: a neck and a saddle move between any two visits.
//! `pooled INSTRUMENTS FIRST SEEDS MISREADS`: each goal over so many seeds,
//! with its interval, and all of them by tool and bridge.
//! `bound STRINGS SEED`: what each tool allows at best; `attainable INSTRUMENTS SEED`: the same in visits of
//! instruments with five strings; `nameable STRINGS SEED`: how often a turned saddle can be named; `rods INSTRUMENTS SEED`: how
//! seldom a rod can be turned the wrong way. `trail SEED MISREADS INSTRUMENT` tells one of
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
use std::thread;

use fallaway_visits::bound::rod::CARE;
use fallaway_visits::bound::{self, Attained, NAMINGS, POLICIES};
use fallaway_visits::changed::{Named, Said, Told};
use fallaway_visits::goals::{self, Count};
use fallaway_visits::instrument::BridgeKind;
use fallaway_visits::reader::Held;
use fallaway_visits::visit::{End, LONG, Trial, Turned, Visit, live};

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
        Trial { seed: number(at, 1), misreads, visits: VISITS, eventful: what == "eventful" }
    };
    match what {
        "" | "eventful" => {
            let (visits, told) = run(number(0, 400), trial(1));
            tables(&visits);
            compared(&told);
        }
        "worst" => worst(&run(number(0, 400), trial(1)).0),
        "needless" => needless(&run(number(0, 400), trial(1)).0),
        "bound" => bounds(number(0, 2000) as usize, number(1, 1)),
        "attainable" => attainable(number(0, 200) as usize, number(1, 1)),
        "rods" => rods(number(0, 200) as usize, number(1, 1)),
        "pooled" => pooled(number(0, 240), number(1, 1), number(2, 8), number(3, 120)),
        "nameable" => nameable(number(0, 400) as usize, number(1, 1)),
        "trail" => drop(live(trial(0), number(2, 0), true)),
        other => {
            println!(
                "{other}: not known; accepted: INSTRUMENTS, eventful, pooled, needless, bound, attainable, nameable, rods, worst or trail, then numbers"
            );
            return ExitCode::FAILURE;
        }
    }
    ExitCode::SUCCESS
}

fn run(instruments: u64, trial: Trial) -> (Vec<Visit>, Vec<Told>) {
    let mut visits = Vec::new();
    let mut by_tool = vec![Told::default(); Held::ALL.len() + 1];
    for number in 0..instruments {
        let (of_one, told) = live(trial, number, false);
        let tool = of_one.first().and_then(|v| Held::ALL.iter().position(|h| *h == v.tool));
        by_tool[0].add(&told);
        by_tool[1 + tool.unwrap_or_default()].add(&told);
        visits.extend(of_one);
    }
    (visits, by_tool)
}

/// Comparisons, forecasts and lessons: a row for all, then one for each tool.
fn compared(told: &[Told]) {
    head(
        "comparisons | n | wrongly sure | with a misreading | sure of parts | neck named | saddle \
         at once | read again | slot read again | joint | both at once | read again | \"moved\" right \
         | \"most likely\" right | 20 to 1 right | readings again | forecast relief | action | season | rod",
    );
    let names = ["all"].into_iter().chain(Held::ALL.map(Held::word));
    for (name, t) in names.zip(told) {
        let wrong = |s: Said| percent(s.made - s.right, s.made);
        let right = |s: Said| percent(s.right, s.made);
        let named = |n: Named| format!("{} of {}", percent(n.named, n.happened), n.happened);
        let (once, after) = (&t.at_once, &t.after);
        let n = once.clean.made + once.slipped.made;
        let columns = [
            n.to_string(),
            wrong(once.clean),
            wrong(once.slipped),
            right(once.parts),
            named(once.named[0]),
            named(once.named[1]),
            named(after.named[1]),
            named(after.named[2]),
            named(after.named[3]),
            named(once.both),
            named(after.both),
            format!("{} of {}", right(after.moved), after.moved.made),
            format!("{} of {}", right(once.likely[0]), once.likely[0].made),
            format!("{} of {}", right(once.likely[1]), once.likely[1].made),
            format!("{:.2}", t.again as f64 / n.max(1) as f64),
            right(t.relief),
            right(t.action),
            right(t.season),
            right(t.rod),
        ];
        println!("| {name} | {} |", columns.join(" | "));
    }
}

/// What each tool allows at best.
fn bounds(strings: usize, seed: u64) {
    head("what a tool allows | visit | within 0.2 mm | turns | needless | overshoots");
    for held in Held::ALL {
        for policy in POLICIES {
            for (later, visit) in [(false, "first"), (true, "later")] {
                let b = bound::bound(held, later, policy, strings, seed);
                let percent = |share: f64| format!("{:.1}", 100.0 * share);
                println!(
                    "| {}, {} | {visit} | {} | {:.2} | {} | {} |",
                    held.word(),
                    policy.name,
                    percent(b.within),
                    b.turns,
                    percent(b.needless),
                    percent(b.overshoots)
                );
            }
        }
    }
}

/// What an observer who knows all but the heights attains in whole visits, by from how many per cent on he turns.
fn attainable(instruments: usize, seed: u64) {
    head(
        "an observer | turned if off with | strings in, first visit | later visits | visits with a \
         needless turn, first | later | all | overshoots, first | later",
    );
    for held in Held::ALL {
        for off_with in [0.5, 0.6, 0.7, 0.8, 0.9] {
            let found = bound::visits(held, 1.0 - off_with, instruments, seed);
            let each = |of: fn(&Attained) -> String| found.iter().map(of).collect::<Vec<_>>();
            let needless: usize = found.iter().map(|a| a.needless).sum();
            let columns = [
                each(|a| percent(a.within, a.strings)),
                each(|a| percent(a.needless, a.visits)),
                vec![percent(needless, found.iter().map(|a| a.visits).sum())],
                each(|a| percent(a.overshoots, a.turns)),
            ];
            let name = held.word();
            println!("| {name} | {:.0} % | {} |", 100.0 * off_with, columns.concat().join(" | "));
        }
    }
}

/// How often a turned saddle can be named at all.
fn nameable(strings: usize, seed: u64) {
    head("a saddle turned by 0.8 mm or more, read again | named from | named | of those right");
    for held in [Held::Dial, Held::Rule64, Held::RuleHalf] {
        for of in NAMINGS {
            let (named, right) = bound::naming(held, of, strings, seed);
            let percent = |share: f64| format!("{:.1}", 100.0 * share);
            println!("| {} | {} | {} | {} |", held.word(), of.name, percent(named), percent(right));
        }
    }
}

/// How seldom a rod can be turned the wrong way, by how often its relief is read.
fn rods(instruments: usize, seed: u64) {
    head(
        "an observer, of the rod | visit | rod the wrong way | as often as he expects | relief in | readings \
         | turns",
    );
    for held in [Held::Feeler, Held::Thou, Held::Leaves] {
        for care in CARE {
            let found = bound::rod::rods(held, care, instruments, VISITS, seed);
            for (visit, r) in ["first", "later"].iter().zip(found) {
                let each = |n: usize| format!("{:.2}", n as f64 / r.visits.max(1) as f64);
                let expected = 100.0 * r.expected / r.visits.max(1) as f64;
                println!(
                    "| {}, {} | {visit} | {:.2} | {expected:.2} | {} | {} | {} |",
                    held.word(),
                    care.name,
                    100.0 * r.harmed as f64 / r.visits.max(1) as f64,
                    percent(r.within, r.visits),
                    each(r.readings),
                    each(r.turns)
                );
            }
        }
    }
}

/// Each goal over so many seeds: what each shows, all together, and where that lies with 95 %; then all of them by
/// tool and bridge. Two at a time.
fn pooled(instruments: u64, first: u64, seeds: u64, misreads: u64) {
    let of = |seed: u64| {
        let trial = |eventful| Trial { seed, misreads: misreads as f64, visits: VISITS, eventful };
        let usual = run(instruments, trial(false));
        let eventful = run(instruments / 2, trial(true)).1;
        let counts = goals::counts(&usual.0, &usual.1, &eventful);
        let told: Vec<String> = counts.iter().map(|c| format!("{}/{}", c.part, c.of)).collect();
        println!("seed {seed}: {}", told.join(" "));
        (seed, counts, usual)
    };
    let mut all: Vec<_> = thread::scope(|scope| {
        let both = [first, first + 1].map(|from| {
            scope.spawn(move || (from..first + seeds).step_by(2).map(of).collect::<Vec<_>>())
        });
        both.into_iter().flat_map(|lane| lane.join().unwrap()).collect()
    });
    all.sort_by_key(|(seed, ..)| *seed);
    let names: Vec<String> = all.iter().map(|(seed, ..)| format!("seed {seed}")).collect();
    head(&format!("in percent | goal | all | 95 % | of | {}", names.join(" | ")));
    for (at, goal) in goals::GOALS.iter().enumerate() {
        let each: Vec<Count> = all.iter().map(|(_, counts, _)| counts[at]).collect();
        let sum = each.iter().copied().fold(Count::default(), Count::plus);
        let (low, high) = sum.interval();
        let seeds: Vec<String> = each.iter().map(Count::percent).collect();
        println!(
            "| {} | {} | {} | {low:.1} to {high:.1} | {} | {} |",
            goal.name,
            goal.goal,
            sum.percent(),
            sum.of,
            seeds.join(" | ")
        );
    }
    let mut visits = Vec::new();
    let mut told = vec![Told::default(); Held::ALL.len() + 1];
    for (_, _, (of_seed, told_of_seed)) in all {
        visits.extend(of_seed);
        told.iter_mut().zip(&told_of_seed).for_each(|(sum, one)| sum.add(one));
    }
    tables(&visits);
    compared(&told);
}

/// The head of a table.
fn head(columns: &str) {
    println!("\n| {columns} |\n|{}", "---|".repeat(columns.split('|').count()));
}

/// What goes wrong, a line for each visit.
fn worst(visits: &[Visit]) {
    for (at, v) in visits.iter().enumerate() {
        let bad = !matches!(v.end, End::Done | End::StoppedRightly(_))
            || v.rounds > LONG
            || v.rod_harmed
            || v.thread_ended;
        if bad {
            println!(
                "instrument {} visit {}: {:?} after {}, {}, {}{}{}{}",
                v.instrument,
                at % VISITS + 1,
                v.end,
                v.rounds,
                v.bridge.word(),
                v.tool.word(),
                if v.misread { ", misread" } else { "" },
                if v.rod_harmed { ", rod the wrong way" } else { "" },
                if v.thread_ended { ", end of the thread" } else { "" },
            );
        }
    }
}

/// Visits with a needless turn of a saddle or post, by what led to it.
fn needless(visits: &[Visit]) {
    for (at, v) in visits.iter().enumerate() {
        for n in &v.needless {
            println!(
                "{} {} {} | {} | {} | {}{}{}{}| off {:.2} | turns {:+.2}",
                v.instrument,
                at % VISITS + 1,
                v.rounds,
                v.bridge.word(),
                v.tool.word(),
                if v.first { "first " } else { "later " },
                if v.misread { "misread " } else { "" },
                if n.attempt { "test " } else { "" },
                if n.again { "again " } else { "" },
                n.off,
                n.turns
            );
        }
    }
}

/// What keeps a visit in a row.
type Keep = fn(&Visit, Held, BridgeKind) -> bool;

fn tables(visits: &[Visit]) {
    let mut rows: Vec<(String, Vec<&Visit>)> = Vec::new();
    let mut row = |name: &str, (tool, bridge): (Held, BridgeKind), keep: Keep| {
        let kept = visits.iter().filter(|v| keep(v, tool, bridge)).collect();
        rows.push((name.to_owned(), kept));
    };
    let any = (Held::Dial, BridgeKind::Own);
    row("all", any, |_, _, _| true);
    for tool in Held::ALL {
        let first = format!("{}, first visit", tool.word());
        row(tool.word(), (tool, any.1), |v, tool, _| v.tool == tool && !v.first);
        row(&first, (tool, any.1), |v, tool, _| v.tool == tool && v.first);
    }
    for bridge in BridgeKind::ALL {
        row(bridge.word(), (any.0, bridge), |v, _, bridge| v.bridge == bridge);
    }
    for tool in Held::ALL {
        for bridge in BridgeKind::ALL {
            let name = format!("{}, {}", tool.word(), bridge.word());
            row(&name, (tool, bridge), |v, tool, bridge| v.tool == tool && v.bridge == bridge);
        }
    }
    row("with a misreading", any, |v, _, _| v.misread);
    row("without", any, |v, _, _| !v.misread);
    head(
        "visits | n | done | stopped rightly | falsely | beyond 25 rounds | endless | cannot follow | relief in \
         | strings in | all in | in 1.5 tolerances",
    );
    for (name, visits) in &rows {
        ends(name, visits);
    }
    head(
        "turns | of the rod | of saddles | needless, rod | saddles | overshoots, rod | saddles | rod \
         the wrong way | end of a thread",
    );
    for (name, visits) in &rows {
        turns(name, visits);
    }
}

fn percent(part: usize, of: usize) -> String {
    format!("{:.1}", 100.0 * part as f64 / of.max(1) as f64)
}

fn share(visits: &[&Visit], of: impl Fn(&Visit) -> bool) -> String {
    percent(visits.iter().filter(|v| of(v)).count(), visits.len())
}

fn sum(visits: &[&Visit], of: impl Fn(&Visit) -> usize) -> usize {
    visits.iter().map(|v| of(v)).sum()
}

/// How visits end, and what is truly within its tolerance then.
fn ends(name: &str, visits: &[&Visit]) {
    let within = |v: &Visit, t: f64| v.strings_off.iter().filter(|off| off.abs() <= t).count();
    let all_in = |v: &Visit, t: f64| v.relief_off.abs() <= t && within(v, t) == v.strings_off.len();
    let columns = [
        visits.len().to_string(),
        share(visits, |v| v.end == End::Done),
        share(visits, |v| matches!(v.end, End::StoppedRightly(_))),
        share(visits, |v| matches!(v.end, End::StoppedFalsely(_))),
        share(visits, |v| v.rounds > LONG),
        share(visits, |v| v.end == End::Endless),
        share(visits, |v| matches!(v.end, End::CannotFollow(_))),
        share(visits, |v| v.relief_off.abs() <= 1.0),
        percent(sum(visits, |v| within(v, 1.0)), sum(visits, |v| v.strings_off.len())),
        share(visits, |v| all_in(v, 1.0)),
        share(visits, |v| all_in(v, 1.5)),
    ];
    println!("| {name} | {} |", columns.join(" | "));
}

/// What was turned, for each visit; needless and harm in so many of visits, overshoots of advices.
fn turns(name: &str, visits: &[&Visit]) {
    let each = |n: usize| format!("{:.2}", n as f64 / visits.len().max(1) as f64);
    let over = |of: fn(&Visit) -> Turned| {
        percent(sum(visits, |v| of(v).overshoots), sum(visits, |v| of(v).advices - of(v).tries))
    };
    let columns = [
        each(sum(visits, |v| v.rod.advices)),
        each(sum(visits, |v| v.saddles.advices)),
        share(visits, |v| v.rod.needless > 0),
        share(visits, |v| v.saddles.needless > 0),
        over(|v| v.rod),
        over(|v| v.saddles),
        share(visits, |v| v.rod_harmed),
        share(visits, |v| v.thread_ended),
    ];
    println!("| {name} | {} |", columns.join(" | "));
}
