//! What this device knows of the log that a record has on a relay, and how a merge keeps it up to date.

mod kept;
mod known;

use fallaway_order::Set;

use fallaway_changes::{BundleId, LogId, RecordId};
use fallaway_record::Record;
use fallaway_store::{Batch, Store};
use fallaway_sync::LogCursor;
use fallaway_sync::wire::chain::Chain;

pub(crate) use kept::{RelayKept, RelaysKept};
pub(crate) use known::{LogUnit, units_of};

/// A page of a log on its way into the record.
pub(crate) struct LogPage {
    pub url: String,
    pub log: LogId,
    /// The bundles that lie in the log: no others that are opened beside them, as those of a file whose key
    /// comes with this page.
    pub bundles: Set<BundleId>,
    /// The chain at each of its numbers.
    pub trail: Vec<Chain>,
    /// Where the cursor is with it.
    pub cursor: LogCursor,
    /// What the log was known to have is void.
    pub anew: bool,
    /// What of this device's the log has now.
    pub accepted: Vec<LogUnit>,
}

/// What a merge did with sealed bundles.
#[derive(Default)]
pub(crate) struct Came {
    /// Those that it opened.
    pub opened: Vec<(BundleId, Vec<LogUnit>)>,
    /// Those that nobody could open yet, all of the record.
    pub unread: Vec<BundleId>,
    /// More could not be opened than is kept.
    pub missed: bool,
    /// A key came.
    pub key: bool,
    /// Something left the document.
    pub left: bool,
}

/// Puts what is known of the log after a merge into its batch: the place in the log moves in the same
/// transaction as what was read. `record` is the document as it is then.
pub(crate) fn note(
    store: &dyn Store,
    id: &RecordId,
    record: &Record,
    page: Option<&LogPage>,
    came: &Came,
    batch: &mut Batch,
) {
    let before = RelaysKept::load(store, id);
    let mut all = before.clone();
    if let Some(page) = page {
        all.change(&page.url, page.log, |kept| {
            if page.anew {
                kept.begin_anew();
            }
            kept.go_on(page.cursor, &page.trail);
            kept.leaving = 0;
            kept.known.unread.extend(came.unread.iter().filter(|id| page.bundles.contains(id)));
            kept.missed |= came.missed;
            let opened = came.opened.iter().filter(|(id, _)| page.bundles.contains(id));
            for unit in opened.flat_map(|(_, units)| units).chain(&page.accepted) {
                kept.known.add(record, unit);
            }
        });
    }
    for kept in all.iter_mut() {
        for (id, units) in &came.opened {
            if kept.known.unread.remove(id) {
                for unit in units {
                    kept.known.add(record, unit);
                }
            }
        }
        // Whatever pushed out what came of this log, be it a file.
        kept.missed |= came.missed && kept.known.unread.iter().any(|id| !came.unread.contains(id));
        kept.known.unread.retain(|id| came.unread.contains(id));
        if kept.missed && came.key {
            // What was not kept can perhaps be read now.
            kept.read_again();
        }
        if came.left {
            kept.begin_anew();
        }
    }
    if before != all {
        all.put(batch);
    }
}

#[cfg(test)]
mod tests {
    use fallaway_changes::MemberHash;
    use fallaway_store::MemoryStore;
    use fallaway_sync::wire::chain::Position;

    use super::*;

    const URL: &str = "https://relay.example";

    /// The relay's log after a merge, in a store that already holds what the merges before have noted.
    fn after(store: &MemoryStore, page: Option<&LogPage>, came: &Came) -> RelayKept {
        let id = RecordId::from_bytes([1; 16]);
        let mut batch = Batch::new();
        note(store, &id, &Record::create(id), page, came, &mut batch);
        let head = store.records().unwrap().into_iter().find(|head| head.record == id);
        match head {
            None => drop(store.create(&id, &batch).unwrap()),
            Some(head) => drop(store.commit(&id, head.generation, &batch).unwrap()),
        }
        RelayKept::load(store, &id).unwrap()
    }

    fn page(seq: u64, bundles: &[BundleId]) -> LogPage {
        let log = LogId::from_bytes([2; 16]);
        let start = LogCursor::start(&log);
        LogPage {
            url: URL.to_owned(),
            log,
            bundles: bundles.iter().copied().collect(),
            trail: Vec::new(),
            cursor: LogCursor { position: Position { seq, ..start.position }, ..start },
            anew: false,
            accepted: Vec::new(),
        }
    }

    #[test]
    fn what_was_opened_or_kept_beside_a_page_is_not_in_the_log() {
        let store = MemoryStore::new();
        let [of_log, of_file] = [3, 4].map(|byte| BundleId::from_bytes([byte; 32]));
        let [in_log, in_file] = [5, 6].map(|byte| MemberHash::from_bytes([byte; 32]));
        let closed = Came { unread: vec![of_file, of_log], ..Came::default() };
        let kept = after(&store, Some(&page(1, &[of_log])), &closed);
        assert_eq!(kept.known.unread, Set::from([of_log]));
        // A later page brings the key of both.
        let opened =
            vec![(of_log, vec![LogUnit::Op(in_log)]), (of_file, vec![LogUnit::Op(in_file)])];
        let came = Came { opened, key: true, ..Came::default() };
        let kept = after(&store, Some(&page(2, &[])), &came);
        assert_eq!(kept.known.ops, Set::from([in_log]));
        assert!(kept.known.unread.is_empty() && !kept.missed);
    }

    #[test]
    fn a_log_of_which_something_was_pushed_out_is_read_again_with_the_next_key() {
        let store = MemoryStore::new();
        let [of_log, of_file] = [3, 4].map(|byte| BundleId::from_bytes([byte; 32]));
        let closed = Came { unread: vec![of_log], ..Came::default() };
        assert!(!after(&store, Some(&page(1, &[of_log])), &closed).missed);
        let full = Came { unread: vec![of_file], missed: true, ..Came::default() };
        assert!(after(&store, None, &full).missed);
        let kept = after(&store, None, &Came { key: true, ..Came::default() });
        assert_eq!((kept.cursor.position.seq, kept.missed), (0, false));
    }
}
