//! Bundles that cannot be read yet: their key, or a version that knows their kind, has not come. They
//! are kept sealed and tried again at each new key.

use fallaway_order::Set;

use fallaway_changes::{BundleId, RecordId};
use fallaway_sharing::bundle_id;
use fallaway_store::{Batch, Store};
use minicbor::bytes::ByteVec;

use crate::keeping::projection;

/// Bytes that are kept of a record. What came last goes before what came first: anybody can make
/// bundles that nobody reads, and what was honest is sent again.
const MAX_BYTES: usize = 4 * 1024 * 1024;
/// How many.
const MAX_BUNDLES: usize = 256;

/// What is kept.
pub(super) fn kept(store: &dyn Store, id: &RecordId) -> Vec<Vec<u8>> {
    let bytes = store.projection(id, projection::UNREAD).ok().flatten();
    let bundles: Option<Vec<ByteVec>> = bytes.and_then(|bytes| projection::decode(&bytes));
    bundles.unwrap_or_default().into_iter().map(Vec::from).collect()
}

/// Keeps these, the newest first, in the place of what was kept. Answers which are kept now, and whether
/// there were more.
pub(super) fn keep(
    before: &[Vec<u8>],
    unread: &[Vec<u8>],
    batch: &mut Batch,
) -> (Vec<BundleId>, bool) {
    let (mut known, mut bytes) = (Set::new(), 0);
    let mut kept: Vec<ByteVec> = Vec::new();
    let mut missed = false;
    for bundle in unread {
        let id = bundle_id(bundle);
        if known.contains(&id) {
            continue;
        }
        bytes += bundle.len();
        if kept.len() == MAX_BUNDLES || bytes > MAX_BYTES {
            missed = true;
            break;
        }
        known.insert(id);
        kept.push(bundle.clone().into());
    }
    let same = before.len() == kept.len() && before.iter().zip(&kept).all(|(a, b)| a == &**b);
    if !same {
        let bytes = (!kept.is_empty()).then(|| projection::encode(&kept));
        batch.projections.push((projection::UNREAD, bytes));
    }
    (known.into_iter().collect(), missed)
}
