//! The tables, as Markdown.

use std::io::Write;

use fallaway_changes::VerifiedChange;
use flate2::Compression;
use flate2::write::DeflateEncoder;

use crate::Fallible;
use crate::contender::{Contender, Data, Measure};
use crate::timing::{Middle, Sample, middle};

/// What was built, word for word.
const LOCK: &str = include_str!("../Cargo.lock");

/// Versions, processors, load: what somebody needs to judge the figures.
pub fn conditions(turns: usize) {
    let versions = ["automerge", "loro", "yrs"].map(|name| format!("{name} {}", version(name)));
    let cores = std::thread::available_parallelism().map_or(0, std::num::NonZero::get);
    println!("{}; {cores} processors; {turns} turns", versions.join(", "));
    load_average("at the start");
}

/// The system's load average, where it tells.
pub fn load_average(when: &str) {
    if let Ok(load) = std::fs::read_to_string("/proc/loadavg") {
        println!("\nload average {when}: {}", load.trim());
    }
}

fn version(name: &str) -> &'static str {
    let package =
        LOCK.split("[[package]]").find(|text| text.contains(&format!("name = \"{name}\"\n")));
    let line =
        package.and_then(|text| text.lines().find_map(|line| line.strip_prefix("version = ")));
    line.map_or("", |line| line.trim_matches('"'))
}

fn deflated(bytes: &[u8]) -> Fallible<usize> {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?.len())
}

/// Bytes stored and sent.
///
/// # Errors
/// If a memory buffer cannot be written to.
pub fn sizes(data: &Data, contenders: &[Box<dyn Contender + '_>]) -> Fallible<()> {
    let (values, keys) = (data.values(), data.keys());
    let each = |size: fn(&VerifiedChange) -> usize| spread(data.round.iter().map(size));
    let sum = |size: fn(&VerifiedChange) -> usize| data.round.iter().map(size).sum::<usize>();
    println!("\nBytes. One visit: median of 40, quartiles in brackets.\n");
    println!("| | stored | stored, then deflated | one visit sent | 40 visits in one message |");
    println!("|---|---|---|---|---|");
    println!(
        "| values alone | {} | {} | {} | {} |",
        values.len(),
        deflated(&values)?,
        each(value_bytes),
        sum(value_bytes),
    );
    println!(
        "| keys alone | {} | {} | {} | {} |",
        keys.len(),
        deflated(&keys)?,
        each(key_bytes),
        sum(key_bytes)
    );
    println!(
        "| record, without its author's proof | | | {} | {} |",
        each(|change| change.bytes().len()),
        sum(|change| change.bytes().len()),
    );
    for contender in contenders {
        println!(
            "| {} | {} | {} | {} | {} |",
            contender.name(),
            contender.stored().len(),
            deflated(contender.stored())?,
            spread(contender.round().each.iter().map(Vec::len)),
            contender.round().all.len(),
        );
    }
    Ok(())
}

fn value_bytes(change: &VerifiedChange) -> usize {
    change.ops.iter().map(|put| put.value.len()).sum()
}

fn key_bytes(change: &VerifiedChange) -> usize {
    change.ops.iter().map(|put| put.key.len()).sum()
}

fn spread(sizes: impl Iterator<Item = usize>) -> String {
    let middle = middle(sizes.map(|size| size as f64));
    format!("{:.0} [{:.0}, {:.0}]", middle.median, middle.lower, middle.upper)
}

/// Heads the table of times.
pub fn times_head() {
    println!("\nProcessor time in milliseconds, and its ratio to the record's in the same turn;");
    println!("medians, quartiles in brackets. Time by the clock beside it.\n");
    println!("| what | who | processor ms | ratio to the record | clock ms |");
    println!("|---|---|---|---|---|");
}

/// The rows of one measure.
pub fn times(measure: Measure, contenders: &[Box<dyn Contender + '_>], samples: &[Vec<Sample>]) {
    let Some(ours) = samples.first() else { return };
    for (contender, own) in contenders.iter().zip(samples) {
        let processor = middle(own.iter().map(|sample| sample.processor_ms));
        let clock = middle(own.iter().map(|sample| sample.clock_ms));
        let pairs = own.iter().zip(ours);
        let ratio = middle(pairs.map(|(own, ours)| own.processor_ms / ours.processor_ms));
        println!(
            "| {} | {} | {} | {} | {} |",
            measure.title(),
            contender.name(),
            bracketed(processor),
            bracketed(ratio),
            digits(clock.median),
        );
    }
}

fn bracketed(middle: Middle) -> String {
    let Middle { lower, median, upper } = middle;
    format!("{} [{}, {}]", digits(median), digits(lower), digits(upper))
}

/// Three digits that count, no more than three behind the point.
fn digits(number: f64) -> String {
    match number {
        10.0.. => format!("{number:.1}"),
        1.0..10.0 => format!("{number:.2}"),
        _ => format!("{number:.3}"),
    }
}
