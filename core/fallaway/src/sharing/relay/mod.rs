//! What this device knows of the log that a record has on a relay, and how a merge keeps it up to date.

mod kept;
mod known;

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
            kept.known.unread.extend(&came.unread);
            kept.missed |= came.missed;
            for unit in came.opened.iter().flat_map(|(_, units)| units).chain(&page.accepted) {
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
