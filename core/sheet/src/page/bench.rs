//! The page in the lid of the case: large numbers.

use fallaway_advice::hazard::Hazard;
use fallaway_measure::Amount;
use fallaway_text::{List, Phrase, Voice, cautions};

use super::messages as say;
use super::{LargeNumber, SheetBlock, SheetPage};

/// So many numbers stand in one block.
const FEW: usize = 9;

/// A number of the page.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchNumber {
    /// What it is of.
    pub what: Phrase,
    /// Which string; none for the whole instrument.
    pub place: Option<Phrase>,
    /// What is wanted, and how far a reading may lie from it.
    pub wanted: Option<(Amount, Amount)>,
    /// What was read last, of each of its strings; one where it is the same.
    pub reads: Vec<Option<Phrase>>,
    /// People wrote two targets.
    pub two_values: bool,
}

/// What the page is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchSheet {
    /// The instrument's name.
    pub name: String,
    /// The setup whose targets are shown.
    pub setup: Option<String>,
    /// The numbers that are read at arm's length.
    pub numbers: Vec<BenchNumber>,
    /// What hands have to know: tuning, strings, threads, which way the rod turns.
    pub facts: Vec<(Phrase, Phrase)>,
}

/// The page: what is wanted, large; what was read last beside it; the facts that hands need.
pub fn bench_sheet(of: &BenchSheet, voice: &Voice) -> SheetPage {
    let mut blocks = Vec::new();
    // Many are found by what they are of, which then stands over them once, with what they may be off by.
    let many = of.numbers.iter().filter_map(|one| large(one, (false, false), voice)).count() > FEW;
    for kind in of.numbers.chunk_by(|one, other| !many || one.what == other.what) {
        let grouped = many && kind.len() > 1;
        let within = |one: &BenchNumber| one.wanted.map(|(_, tolerance)| tolerance);
        let within = kind.first().and_then(within).filter(|first| {
            grouped && kind.iter().all(|one| within(one) == Some(*first) && !one.two_values)
        });
        let as_told = (grouped, within.is_some());
        let numbers: Vec<LargeNumber> =
            kind.iter().filter_map(|one| large(one, as_told, voice)).collect();
        if numbers.is_empty() {
            continue;
        }
        if let (true, Some(first)) = (grouped, kind.first()) {
            let told =
                List::comma([first.what.clone()].into_iter().chain(within.map(say::large_within)));
            blocks.push(SheetBlock::Heading(voice.sentence(&told.into())));
        }
        blocks.push(SheetBlock::Numbers(numbers));
    }
    if !of.facts.is_empty() {
        blocks.push(SheetBlock::Heading(voice.sentence(&say::facts())));
        let said = |(name, value): &(Phrase, Phrase)| (voice.sentence(name), voice.say(value));
        blocks.push(SheetBlock::Facts(of.facts.iter().map(said).collect()));
    }
    for hazard in [Hazard::RodQuarter, Hazard::RodStop] {
        blocks.push(SheetBlock::Caution(voice.sentence(&cautions::text(hazard))));
    }
    let subtitle = match &of.setup {
        Some(setup) => say::bench_of(Phrase::written(setup)),
        None => say::bench(),
    };
    SheetPage {
        title: voice.say(&Phrase::written(&of.name)),
        subtitle: voice.sentence(&subtitle),
        language: voice.language.tag().to_owned(),
        blocks,
    }
}

/// A number with what it is of and where; without what it is of, and what it may be off by, where that
/// stands over it.
fn large(of: &BenchNumber, (grouped, within): (bool, bool), voice: &Voice) -> Option<LargeNumber> {
    let label = match &of.place {
        Some(place) if grouped => place.clone(),
        Some(place) => say::large_of(place.clone(), of.what.clone()),
        None => of.what.clone(),
    };
    let label = voice.sentence(&label);
    let read = of.reads.iter().any(Option::is_some).then(|| {
        let said = |read: &Option<Phrase>| read.clone().unwrap_or_else(say::not_read);
        Phrase::from(List::comma(of.reads.iter().map(said)))
    });
    let last = read.clone().map(|read| voice.say(&say::large_read(read)));
    let (number, beside) = match (of.wanted, read) {
        _ if of.two_values => {
            (voice.say(&say::not_read()), vec![voice.say(&crate::messages::two_values())])
        }
        (Some((wanted, tolerance)), _) => {
            let wanted = voice.say(&fallaway_text::names::amount(wanted));
            let beside = (!within).then(|| voice.say(&say::large_within(tolerance)));
            (wanted, beside.into_iter().collect())
        }
        (None, Some(read)) => {
            return Some(LargeNumber { number: voice.say(&read), label, beside: String::new() });
        }
        (None, None) => return None,
    };
    let beside: Vec<String> = beside.into_iter().chain(last).collect();
    Some(LargeNumber { number, label, beside: beside.join("; ") })
}
