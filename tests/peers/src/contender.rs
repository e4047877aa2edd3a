//! One library with the record in it, ready to be measured.

use std::hint::black_box;
use std::marker::PhantomData;

use fallaway_changes::{VerifiedChange, Container, Put};
use fallaway_record::Record;

use crate::library::{Library, Written};
use crate::timing::{Sample, timed};
use crate::{Fallible, people, realistic};

/// What is timed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// From stored bytes to a document.
    Load,
    /// The same, and a fact is set and stands in bytes that can be sent.
    Edit,
    /// From stored bytes to every entry decoded.
    Read,
    /// From a document that took in a visit to the bytes to store.
    Save,
    /// From stored bytes, one visit by somebody else, to the bytes to store again.
    Cycle,
    /// A round of one visit by somebody else goes into a document in use.
    RoundOfOne,
    /// A round of forty visits.
    RoundOfForty,
    /// A hundred visits meet a hundred others that were written apart.
    Offline,
}

impl Measure {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Load,
        Self::Edit,
        Self::Read,
        Self::Save,
        Self::Cycle,
        Self::RoundOfOne,
        Self::RoundOfForty,
        Self::Offline,
    ];

    /// What the command line calls it.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Load => "load",
            Self::Edit => "edit",
            Self::Read => "read",
            Self::Save => "save",
            Self::Cycle => "cycle",
            Self::RoundOfOne => "round-1",
            Self::RoundOfForty => "round-40",
            Self::Offline => "offline",
        }
    }

    /// What the table calls it.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Load => "load",
            Self::Edit => "load, set a fact, have its update",
            Self::Read => "load, decode every entry",
            Self::Save => "save after a visit came in",
            Self::Cycle => "load, merge 1 visit, save",
            Self::RoundOfOne => "merge a round of 1 visit",
            Self::RoundOfForty => "merge a round of 40 visits",
            Self::Offline => "merge 100 x 100 visits",
        }
    }
}

/// The same visits for every library.
#[derive(Debug)]
pub struct Data {
    /// The template, then a thousand visits.
    pub history: Vec<VerifiedChange>,
    /// A visit of another writer who had seen all of that.
    pub first: Vec<VerifiedChange>,
    /// Forty more of them.
    pub round: Vec<VerifiedChange>,
    /// A hundred visits on one device.
    pub here: Vec<VerifiedChange>,
    /// A hundred on another, neither having seen the other.
    pub there: Vec<VerifiedChange>,
    /// A fact to set.
    pub fact: Put,
}

impl Data {
    /// Visits with invented readings, the same on every run.
    ///
    /// # Errors
    /// If the record refuses its own.
    pub fn invent() -> Fallible<Self> {
        let (bench, phone) = (people::bench(), people::phone());
        let empty = Record::create(people::RECORD)?;
        let history = realistic::changes(people::RECORD, bench, 1_000, 42);
        let mut record = Record::create(people::RECORD)?;
        record.apply(&history)?;
        let mut round = realistic::Chain::after(&record, phone, 7);
        let apart = |writer, seed| realistic::Chain::after(&empty, writer, seed).take(100);
        let (key, value) = (people::FIELD.key(), people::FIELD.encode()?);
        Ok(Self {
            first: round.by_ref().take(1).collect(),
            round: round.take(40).collect(),
            here: apart(bench, 1).collect(),
            there: apart(phone, 2).collect(),
            history,
            fact: Put { container: Container::SPEC, key, value, pred: Vec::new() },
        })
    }

    /// Values of the entries and facts of the record, one after the other.
    pub fn values(&self) -> Vec<u8> {
        self.puts().flat_map(|put| put.value.iter().copied()).collect()
    }

    /// Their keys.
    pub fn keys(&self) -> Vec<u8> {
        self.puts().flat_map(|put| put.key.bytes()).collect()
    }

    fn puts(&self) -> impl Iterator<Item = &Put> {
        self.history.iter().flat_map(|change| &change.ops)
    }
}

/// A library with its data, whatever its types.
pub trait Contender {
    /// What the table calls it.
    fn name(&self) -> &'static str;
    /// Does one thing once.
    ///
    /// # Errors
    /// If the library refuses, or did not do what it was asked.
    fn run(&self, measure: Measure) -> Fallible<Sample>;
    /// The bytes to store.
    fn stored(&self) -> &[u8];
    /// Forty visits, as they would be sent.
    fn round(&self) -> &Written;
}

/// A library with its data.
pub struct Ready<'a, L: Library> {
    data: &'a Data,
    stored: Vec<u8>,
    first: Vec<u8>,
    round: Written,
    here: Vec<u8>,
    there: Vec<u8>,
    library: PhantomData<L>,
}

/// Entries in these changes.
fn entries<'a>(changes: impl IntoIterator<Item = &'a VerifiedChange>) -> usize {
    let is_entry = |put: &&Put| put.container == Container::LOG;
    changes.into_iter().flat_map(|change| &change.ops).filter(is_entry).count()
}

impl<'a, L: Library> Ready<'a, L> {
    /// Writes everything once.
    ///
    /// # Errors
    /// If the library refuses, or gives back other entries than were written.
    pub fn new(data: &'a Data) -> Fallible<Self> {
        let (bench, phone) = (people::bench(), people::phone());
        let mut doc = L::founded(&bench)?;
        L::write(&mut doc, &data.history)?;
        let stored = L::save(&mut doc)?;
        let mut other = L::load(&stored, &phone)?;
        let first = L::write(&mut other, &data.first)?.all;
        let round = L::write(&mut other, &data.round)?;
        let mut here = L::founded(&bench)?;
        L::write(&mut here, &data.here)?;
        let here = L::save(&mut here)?;
        let there = L::write(&mut L::founded(&phone)?, &data.there)?.all;
        Ok(Self { data, stored, first, round, here, there, library: PhantomData })
    }

    /// Merges a message into a document in use. What a library leaves for later when it loads is
    /// done before.
    fn merged(mut doc: L::Doc, message: &[u8], expected: usize) -> Fallible<Sample> {
        black_box(L::read(&doc)?);
        let (merged, sample) = timed(|| L::merge(&mut doc, black_box(message)));
        merged?;
        same(L::read(&doc)?, expected)?;
        Ok(sample)
    }

    /// The record on a device that has met the other writer once.
    fn in_use(&self) -> Fallible<L::Doc> {
        let mut doc = L::load(&self.stored, &people::bench())?;
        L::merge(&mut doc, &self.first)?;
        Ok(doc)
    }
}

/// Nothing was lost.
fn same(found: usize, expected: usize) -> Fallible<()> {
    if found == expected {
        Ok(())
    } else {
        Err(format!("{found} entries, expected {expected}").into())
    }
}

impl<L: Library> Contender for Ready<'_, L> {
    fn name(&self) -> &'static str {
        L::NAME
    }

    fn run(&self, measure: Measure) -> Fallible<Sample> {
        let bench = people::bench();
        let stored = black_box(self.stored.as_slice());
        let history = entries(&self.data.history);
        let before = history + entries(&self.data.first);
        match measure {
            Measure::Load => {
                let (doc, sample) = timed(|| L::load(stored, &bench));
                doc.map(|_| sample)
            }
            Measure::Edit => {
                let (made, sample) = timed(|| {
                    let mut doc = L::load(stored, &bench)?;
                    let update = L::edit(&mut doc, &bench, &self.data.fact)?;
                    Fallible::Ok((doc, update))
                });
                made.map(|_| sample)
            }
            Measure::Read => {
                let (read, sample) = timed(|| {
                    let doc = L::load(stored, &bench)?;
                    let count = L::read(&doc)?;
                    Fallible::Ok((doc, count))
                });
                same(read?.1, history)?;
                Ok(sample)
            }
            Measure::Save => {
                let mut doc = self.in_use()?;
                let (saved, sample) = timed(|| L::save(&mut doc));
                saved.map(|_| sample)
            }
            Measure::Cycle => {
                let (made, sample) = timed(|| {
                    let mut doc = L::load(stored, &bench)?;
                    L::merge(&mut doc, &self.first)?;
                    let saved = L::save(&mut doc)?;
                    Fallible::Ok((doc, saved))
                });
                made.map(|_| sample)
            }
            Measure::RoundOfOne => {
                let (one, message) = (self.data.round.iter().take(1), self.round.each.first());
                let message = message.ok_or("no visit to merge")?;
                Self::merged(self.in_use()?, message, before + entries(one))
            }
            Measure::RoundOfForty => {
                let after = before + entries(&self.data.round);
                Self::merged(self.in_use()?, &self.round.all, after)
            }
            Measure::Offline => {
                let both = entries(self.data.here.iter().chain(&self.data.there));
                Self::merged(L::load(&self.here, &bench)?, &self.there, both)
            }
        }
    }

    fn stored(&self) -> &[u8] {
        &self.stored
    }

    fn round(&self) -> &Written {
        &self.round
    }
}
