//! The report of a merge: who added what.

use fallaway_changes::{Container, VerifiedChange};
use fallaway_order::Map;
use fallaway_record::{Entry, EntryBody, EntryId};
use fallaway_text::entries;

use crate::keeping::loaded_record::WriterLabels;
use crate::showing::views::{AddedBy, EntryCount};

/// Entries by kind, values of registers, retractions.
type Brought = (Map<u32, (EntryBody, usize)>, usize, usize);

/// Counts what admitted changes brought, by author.
pub(super) fn added<'a>(
    changes: impl Iterator<Item = &'a VerifiedChange>,
    labels: &WriterLabels,
) -> Vec<AddedBy> {
    let mut by_author: Map<String, Brought> = Map::new();
    for change in changes {
        let label = labels.label(&change.writer);
        let (entries, values, retracted) = by_author.entry(label).or_default();
        for put in &change.ops {
            match put.container {
                Container::LOG => {
                    let body = body(&put.key, &put.value);
                    // The end of a visit is no news beside what the visit brought.
                    if !matches!(body, EntryBody::VisitEnd(_)) {
                        entries.entry(body.kind().number()).or_insert((body, 0)).1 += 1;
                    }
                }
                Container::RETRACTED => *retracted += 1,
                // It stands beside the value that it is about.
                Container::STATED => {}
                _ => *values += 1,
            }
        }
    }
    let added = by_author.into_iter().map(|(device, (entries, values, retracted))| AddedBy {
        device,
        entries: entries.into_values().map(|(body, count)| entry_count(&body, count)).collect(),
        values,
        retracted,
    });
    added.collect()
}

fn entry_count(body: &EntryBody, count: usize) -> EntryCount {
    EntryCount { kind: body.kind(), count, text: entries::count(body, count) }
}

fn body(key: &str, value: &[u8]) -> EntryBody {
    let entry = key.parse::<EntryId>().ok().and_then(|id| Entry::decode(id, value).ok());
    entry.map_or(EntryBody::Unknown { kind: 0, raw: Vec::new() }, |entry| entry.body)
}
