//! Writing changes at the end of a document.
//!
//! The library applies changes by walking through every map that they write into, from its first key
//! on: the whole log, for one more entry. Changes that follow everything in the document can be
//! written as the document's own instead, which looks each key up. What comes of it must have the
//! very hash of the change that was built, so it is the same change; if it has not, the caller goes
//! the long way.

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{Automerge, Change as LibraryChange, ReadDoc, ScalarValue, Value};
use fallaway_changes::{Put, VerifiedChange};

use super::{genesis, rebuild};

/// With more operations than this, one walk through the maps takes less time.
const MOST_OPS: usize = 100;

/// Whether these changes, each with the one that the library is to hold, can be written so.
pub(super) fn fits(doc: &Automerge, round: &[(&VerifiedChange, LibraryChange)]) -> bool {
    if round.iter().map(|(change, _)| change.ops.len()).sum::<usize>() > MOST_OPS {
        return false;
    }
    let mut heads = doc.get_heads();
    round.iter().all(|(change, built)| {
        let follows = heads.iter().all(|head| built.deps().contains(head));
        heads = vec![built.hash()];
        follows && change.ops.iter().all(|put| is_own(doc, put))
    })
}

/// Whether the library makes the same operation of a value that it is told to put. It leaves out or
/// turns into another one what puts a value that is there.
fn is_own(doc: &Automerge, put: &Put) -> bool {
    let Ok(here) = doc.get_all(genesis::object(put.container), put.key.as_str()) else {
        return false;
    };
    let same = |value: &Value<'_>| value.as_bytes() == Some(put.value.as_slice());
    here.len() == put.pred.len() && !here.iter().any(|(value, _)| same(value))
}

/// Writes the changes. `false` if what came of it differs: then the document is of no use any more.
pub(super) fn write(doc: &mut Automerge, round: &[(&VerifiedChange, LibraryChange)]) -> bool {
    round.iter().all(|(change, built)| {
        doc.set_actor(rebuild::actor(&change.writer));
        let mut transaction = doc.transaction();
        let written = change.ops.iter().all(|put| {
            let value = ScalarValue::Bytes(put.value.clone());
            transaction.put(genesis::object(put.container), put.key.as_str(), value).is_ok()
        });
        let options = CommitOptions::default().with_time(change.time);
        let (hash, _) = transaction.commit_with(options);
        written && hash == Some(built.hash())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Record;
    use fallaway_changes::{Container, OpId, RecordId, Writer};

    const WRITERS: [Writer; 2] = [Writer::from_bytes([1; 16]), Writer::from_bytes([2; 16])];

    fn put(key: &str, pred: Vec<OpId>) -> Put {
        Put { container: Container::SPEC, key: key.to_owned(), value: vec![1], pred }
    }

    fn other_value(put: Put) -> Put {
        Put { value: vec![2], ..put }
    }

    fn built(record: &Record, change: &VerifiedChange) -> LibraryChange {
        let graph = record.graph();
        let deps = change.deps.iter().filter_map(|dep| graph.get(dep));
        let deps = deps.map(|node| automerge::ChangeHash(node.library)).collect();
        rebuild::build(change, &rebuild::Wide::default(), deps).unwrap()
    }

    #[test]
    fn what_follows_everything_and_only_adds_is_the_same_change_both_ways() {
        let mut record = Record::create(RecordId::from_bytes([1; 16])).unwrap();
        let old = record.prepare(WRITERS[1], 1, vec![put("old", Vec::new())]).unwrap();
        let apart = record.prepare(WRITERS[0], 2, vec![put("apart", Vec::new())]).unwrap();
        record.apply(std::slice::from_ref(&old)).unwrap();
        let doc = || record.document().doc.clone();
        let one = |change: &VerifiedChange| built(&record, change);

        let seen = record.versions(Container::SPEC, "old")[0].op;
        let mut puts = ["z", "a", "old 2"].map(|key| put(key, Vec::new())).to_vec();
        puts.push(other_value(put("old", vec![seen])));
        let next = record.prepare(WRITERS[0], -3, puts).unwrap();
        let change = one(&next);
        let round = [(&next, change.clone())];
        assert!(fits(&doc(), &round));
        let (mut short, mut long) = (doc(), doc());
        assert!(write(&mut short, &round));
        long.apply_changes([change]).unwrap();
        assert_eq!(short.get_heads(), long.get_heads());
        assert_eq!(short.save(), long.save());

        // Written apart, or once more what is there: the long way.
        let over = record.prepare(WRITERS[0], 4, vec![put("old", vec![seen])]).unwrap();
        for other in [&apart, &over] {
            let change = one(other);
            assert!(!fits(&doc(), &[(other, change)]));
        }
        // Another change than the one that was built is found out.
        let change = one(&over);
        assert!(!write(&mut doc(), &[(&next, change)]));
    }
}
