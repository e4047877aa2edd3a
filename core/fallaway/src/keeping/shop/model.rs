//! What is kept: whose an instrument is, the work on it, numbers and string sets of the shop.

use fallaway_measure::{Fret, Note, StringPlace};
use fallaway_record::spec::StringSpec;
use fallaway_record::{EntryId, Moment, Target};
use minicbor::{Decode, Encode};

use super::money::Money;

/// Whose an instrument is, and how to reach them.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Customer {
    /// A name, or a role: at most 120 characters.
    #[n(0)]
    pub name: String,
    /// Telephone, address, hours: at most 500 characters.
    #[n(1)]
    #[cbor(default)]
    pub contact: String,
}

/// A piece of work on an instrument.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Job {
    /// Its number on this instrument, from 1; 0 for one that is new.
    #[n(0)]
    pub number: u32,
    /// What is to be done, in the words of the shop: 1 to 500 characters.
    #[n(1)]
    pub what: String,
    /// When it was taken in.
    #[n(2)]
    pub begun: Moment,
    /// What it waits for: a part, an answer.
    #[n(3)]
    pub waits_for: Option<String>,
    /// When it is to be ready.
    #[n(4)]
    pub due: Option<Moment>,
    /// When it was done; `None` while it is open.
    #[n(5)]
    pub done: Option<Moment>,
    /// Minutes of work that went into it.
    #[n(6)]
    #[cbor(default)]
    pub minutes: u32,
    /// Parts that went in.
    #[n(7)]
    #[cbor(default)]
    pub parts: Vec<JobPart>,
    /// What the work costs, the parts not counted.
    #[n(8)]
    pub price: Option<Money>,
    /// The visit in which it was done, if in one.
    #[n(9)]
    pub visit: Option<EntryId>,
}

/// A part that a job needed.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct JobPart {
    /// What: 1 to 200 characters.
    #[n(0)]
    pub what: String,
    /// What it costs; `None` if that was not said.
    #[n(1)]
    pub price: Option<Money>,
}

/// How often an instrument is looked at again.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Care {
    /// So many months after something was written down last: 1 to 120.
    #[n(0)]
    pub after_months: Option<u8>,
    /// When these months of a year (1 to 12) begin, as seasons change where it is played.
    #[n(1)]
    #[cbor(default)]
    pub in_months: Vec<u8>,
}

impl Job {
    /// A job that is new.
    pub fn new(what: impl Into<String>, begun: Moment) -> Self {
        Self {
            number: 0,
            what: what.into(),
            begun,
            waits_for: None,
            due: None,
            done: None,
            minutes: 0,
            parts: Vec::new(),
            price: None,
            visit: None,
        }
    }

    /// Work and parts together, one sum for each currency.
    pub fn total(&self) -> Vec<Money> {
        Money::sums(self.price.iter().chain(self.parts.iter().filter_map(|one| one.price.as_ref())))
    }
}

/// Targets that the shop uses over and over, such as "roundwound, medium touch".
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct ShopSpec {
    /// What it is called: 1 to 80 characters.
    #[n(0)]
    pub name: String,
    /// The targets, as they stand on the instrument from which it was kept.
    #[n(1)]
    pub targets: Vec<Target>,
    /// How many courses that instrument has.
    #[n(2)]
    pub courses: u8,
    /// Its last fret.
    #[n(3)]
    pub last_fret: Option<Fret>,
    /// The notes of its strings.
    #[n(4)]
    #[cbor(default)]
    pub notes: Vec<(StringPlace, Note)>,
}

/// A set of strings as it is bought.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct StringSet {
    /// What it is called: 1 to 80 characters.
    #[n(0)]
    pub name: String,
    /// Its strings, the highest first.
    #[n(1)]
    pub strings: Vec<StringSpec>,
}
