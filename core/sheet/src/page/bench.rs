//! The page in the lid of the case: large numbers.

use fallaway_advice::hazard::Hazard;
use fallaway_measure::Amount;
use fallaway_text::{Phrase, Voice, cautions};

use super::messages as say;
use super::{LargeNumber, SheetBlock, SheetPage};

/// A number of the page.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchNumber {
    /// What it is of.
    pub what: Phrase,
    /// Which string; none for the whole instrument.
    pub place: Option<Phrase>,
    /// What is wanted, and how far a reading may lie from it.
    pub wanted: Option<(Amount, Amount)>,
    /// What was read last.
    pub read: Option<Phrase>,
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
    /// The numbers.
    pub numbers: Vec<BenchNumber>,
    /// What hands have to know: tuning, strings, threads, which way the rod turns.
    pub facts: Vec<(Phrase, Phrase)>,
}

/// The page: what is wanted, large; what was read last beside it; the facts that hands need.
pub fn bench_sheet(of: &BenchSheet, voice: &Voice) -> SheetPage {
    let mut blocks = Vec::new();
    let numbers: Vec<LargeNumber> =
        of.numbers.iter().filter_map(|number| large(number, voice)).collect();
    if !numbers.is_empty() {
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

fn large(of: &BenchNumber, voice: &Voice) -> Option<LargeNumber> {
    let label = match &of.place {
        Some(place) => say::large_of(place.clone(), of.what.clone()),
        None => of.what.clone(),
    };
    let label = voice.sentence(&label);
    let read = of.read.as_ref();
    let last = read.map(|read| voice.say(&say::large_read(read.clone())));
    let (number, beside) = match (of.wanted, read) {
        _ if of.two_values => {
            (voice.say(&say::not_read()), vec![voice.say(&crate::messages::two_values())])
        }
        (Some((wanted, tolerance)), _) => {
            let wanted = voice.say(&fallaway_text::names::amount(wanted));
            (wanted, vec![voice.say(&say::large_within(tolerance))])
        }
        (None, Some(read)) => {
            return Some(LargeNumber { number: voice.say(read), label, beside: String::new() });
        }
        (None, None) => return None,
    };
    let beside: Vec<String> = beside.into_iter().chain(last).collect();
    Some(LargeNumber { number, label, beside: beside.join("; ") })
}
