//! Bundles: what leaves for others, and what comes in.

use crate::ContestedField;
use crate::voice::say;
use crate::workshop::count;

pub use fallaway::BundleContent;

/// Which bundles to put out.
#[uniffi::remote(Enum)]
pub enum BundleContent {
    /// The whole record. Nobody can lack anything afterwards.
    Everything,
    /// What this device has written since the last time a bundle was put out.
    NewSinceLastTime,
}

/// How many entries of a kind.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct EntryCount {
    /// The kind with its number, in words: "3 remarks".
    pub kind: String,
    /// How many.
    pub count: u32,
}

/// What one author's bundles brought.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct AddedBy {
    /// The author's device, by the name it gave itself.
    pub by: String,
    /// Entries of the history, by kind.
    pub entries: Vec<EntryCount>,
    /// Facts and targets written.
    pub values: u32,
    /// Entries crossed out.
    pub retracted: u32,
}

/// A bundle that was not taken.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct RefusedBundle {
    /// A short name for it.
    pub bundle: String,
    /// Why.
    pub reason: String,
}

/// What came in.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct MergeReport {
    /// For which instrument, by its id.
    pub instrument: String,
    /// Its name.
    pub name: String,
    /// What each author added.
    pub added: Vec<AddedBy>,
    /// Who joined.
    pub people_added: Vec<String>,
    /// Fields that have two or more values since this merge.
    pub newly_contested: Vec<ContestedField>,
    /// Changes that were here already.
    pub already_here: u32,
    /// Changes that wait for something that has not arrived.
    pub waiting: u32,
    /// Changes that are kept and not applied, with the reason.
    pub set_aside: Vec<String>,
    /// Bundles that were not taken.
    pub refused: Vec<RefusedBundle>,
}

impl From<fallaway::MergeReport> for MergeReport {
    fn from(report: fallaway::MergeReport) -> Self {
        let added = report.added.into_iter().map(|added| AddedBy {
            by: added.by,
            entries: added
                .entries
                .into_iter()
                .map(|(kind, number)| EntryCount { kind: say(&kind), count: count(number) })
                .collect(),
            values: count(added.values),
            retracted: count(added.retracted),
        });
        let refused = report
            .refused
            .into_iter()
            .map(|refused| RefusedBundle { bundle: refused.bundle, reason: say(&refused.reason) });
        Self {
            instrument: report.instrument.to_string(),
            name: report.name,
            added: added.collect(),
            people_added: report.people_added,
            newly_contested: report.newly_contested.into_iter().map(ContestedField::from).collect(),
            already_here: count(report.already_here),
            waiting: count(report.waiting),
            set_aside: report.set_aside.iter().map(say).collect(),
            refused: refused.collect(),
        }
    }
}
