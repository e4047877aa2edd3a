//! The report of a merge: who added what.

use std::collections::BTreeMap;

use fallaway_changes::{Change, Container};
use fallaway_record::{Entry, EntryId};

use crate::loaded_record::WriterLabels;
use crate::views::Added;

/// Counts what admitted changes brought, by author.
pub(super) fn added(changes: &[Change], labels: &WriterLabels) -> Vec<Added> {
    let mut by_author: BTreeMap<String, (BTreeMap<&'static str, usize>, usize, usize)> =
        BTreeMap::new();
    for change in changes {
        let label = labels.label(&change.writer);
        let (entries, values, retracted) = by_author.entry(label).or_default();
        for put in &change.ops {
            match put.container {
                Container::LOG => {
                    *entries.entry(kind(&put.key, &put.value)).or_default() += 1;
                }
                Container::STRUCK => *retracted += 1,
                _ => *values += 1,
            }
        }
    }
    let added = by_author.into_iter().map(|(by, (entries, values, retracted))| Added {
        by,
        entries: entries.into_iter().map(|(kind, count)| (kind.to_owned(), count)).collect(),
        values,
        retracted,
    });
    added.collect()
}

fn kind(key: &str, value: &[u8]) -> &'static str {
    let entry = key.parse::<EntryId>().ok().and_then(|id| Entry::decode(id, value).ok());
    entry.map_or("entry of a newer version", |entry| entry.body.name())
}
