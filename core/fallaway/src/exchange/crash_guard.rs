//! A note of what is being merged, so that bytes that kill the process are found out.
//!
//! Bundles are checked before they come near the document, and panics are caught. What remains is a
//! merge that aborts the whole process, again at every start. So the merge first writes down what it
//! is about to apply. A later merge that finds such a note while it holds the lock knows that an
//! earlier one died with it. It applies those changes in their order, but in pieces, each noted before
//! it is applied; the next one takes the piece that a second one died with change by change. So the
//! third death has one change in its note, which is set aside, and all others enter.

use std::collections::BTreeSet;
use std::fs::File;
use std::ops::Range;

use fallaway_changes::{ChangeId, RecordId};
use fallaway_store::Batch;
use fallaway_text::messages::errors as say;
use minicbor::{Decode, Encode};

use super::why_aside::WhyAside;
use crate::error::{Error, Result};
use crate::workshop_state::WorkshopState;

/// After so many deaths a change is set aside.
const DEATHS: u32 = 3;
/// Into so many pieces a round goes after the first death.
const PIECES: usize = 256;

#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
struct Note {
    #[n(0)]
    deaths: u32,
    #[n(1)]
    version: String,
    #[n(2)]
    hashes: Vec<[u8; 32]>,
}

/// Holds the turn to merge; other processes wait until it is dropped.
pub(super) struct Turn {
    _lock: Option<File>,
    key: String,
    /// What an earlier merge died with.
    suspects: BTreeSet<ChangeId>,
    /// How often it did.
    deaths: u32,
}

impl Turn {
    /// Waits for the turn, and reads what an earlier merge has left.
    pub fn take(inner: &WorkshopState, id: RecordId) -> Result<Self> {
        let lock = match &inner.merge_lock {
            Some(path) => {
                let storage = |e: std::io::Error| {
                    Error::storage(say::not_writable(path.display().to_string(), e.to_string()))
                };
                let file = File::options()
                    .create(true)
                    .truncate(false)
                    .write(true)
                    .open(path)
                    .map_err(storage)?;
                file.lock().map_err(storage)?;
                Some(file)
            }
            None => None,
        };
        let key = format!("merging {id}");
        let note = inner.store.meta(&key)?.and_then(|bytes| minicbor::decode::<Note>(&bytes).ok());
        // Each version of the library tries again: it may have learned to cope.
        let note = note.filter(|note| note.version == env!("CARGO_PKG_VERSION"));
        let note = note.unwrap_or_default();
        let suspects = note.hashes.into_iter().map(ChangeId::from_bytes).collect();
        Ok(Self { _lock: lock, key, suspects, deaths: note.deaths })
    }

    /// Why a change is not applied any more, if so.
    pub fn verdict(&self, id: &ChangeId) -> Option<WhyAside> {
        (is_found(&self.suspects, self.deaths) && self.suspects.contains(id))
            .then_some(WhyAside::Deaths)
    }

    /// The pieces in which changes, in order, are to be applied, each with the number of deaths to
    /// note before it.
    pub fn pieces(&self, order: &[ChangeId]) -> Vec<(Range<usize>, u32)> {
        pieces(order, &self.suspects, self.deaths)
    }

    /// Writes down what is about to be applied. Counted as one more death until it is cleared.
    pub fn note(&self, inner: &WorkshopState, hashes: &[ChangeId], deaths: u32) -> Result<()> {
        let note = Note {
            deaths,
            version: env!("CARGO_PKG_VERSION").to_owned(),
            hashes: hashes.iter().map(|hash| hash.to_bytes()).collect(),
        };
        let bytes = minicbor::to_vec(&note).map_err(|e| Error::internal("merge note", e))?;
        Ok(inner.store.set_note(&self.key, &bytes)?)
    }

    /// The merge is over once this batch is durable.
    pub fn clear_with(&self, batch: &mut Batch) {
        batch.done_with.push(self.key.clone());
    }

    /// The merge is over.
    pub fn clear(&self, inner: &WorkshopState) -> Result<()> {
        Ok(inner.store.set_meta(&self.key, None)?)
    }
}

/// Whether the one change is known that merges die with.
fn is_found(suspects: &BTreeSet<ChangeId>, deaths: u32) -> bool {
    deaths >= DEATHS && suspects.len() == 1
}

fn pieces(
    order: &[ChangeId],
    suspects: &BTreeSet<ChangeId>,
    deaths: u32,
) -> Vec<(Range<usize>, u32)> {
    let suspect = |id: &ChangeId| suspects.contains(id);
    let (first, last) = (order.iter().position(suspect), order.iter().rposition(suspect));
    let (Some(first), Some(last)) = (first, last) else {
        return (!order.is_empty()).then_some((0..order.len(), 1)).into_iter().collect();
    };
    let end = last + 1;
    let size = if deaths >= 2 { 1 } else { (end - first).div_ceil(PIECES) };
    let mut pieces = vec![(0..first, 1)];
    let starts = (first..end).step_by(size);
    pieces.extend(starts.map(|start| (start..end.min(start + size), deaths.min(DEATHS - 1) + 1)));
    pieces.push((end..order.len(), 1));
    pieces.retain(|(piece, _)| !piece.is_empty());
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn id(number: usize) -> ChangeId {
        let mut bytes = [0; ChangeId::LEN];
        bytes[..8].copy_from_slice(&(number as u64).to_be_bytes());
        ChangeId::from_bytes(bytes)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

        #[test]
        fn after_three_deaths_exactly_the_culprit_is_known(
            count in 1..70_000_usize,
            culprit: prop::sample::Index,
        ) {
            let order: Vec<_> = (0..count).map(id).collect();
            let culprit = culprit.index(count);
            let (mut suspects, mut deaths) = (BTreeSet::new(), 0);
            for death in 1..=3 {
                let pieces = pieces(&order, &suspects, deaths);
                prop_assert_eq!(pieces.iter().map(|(piece, _)| piece.len()).sum::<usize>(), count);
                prop_assert!(pieces.windows(2).all(|pair| pair[0].0.end == pair[1].0.start));
                // It dies in the piece that holds the culprit, with the note of that piece.
                let (piece, noted) = pieces.into_iter().find(|(piece, _)| piece.contains(&culprit)).unwrap();
                prop_assert_eq!(noted, death);
                suspects = order[piece].iter().copied().collect();
                deaths = noted;
                prop_assert_eq!(is_found(&suspects, deaths), death == 3);
            }
            prop_assert_eq!(suspects, BTreeSet::from([id(culprit)]));
        }
    }

    #[test]
    fn without_a_note_a_round_goes_at_once() {
        let order: Vec<_> = (0..5).map(id).collect();
        assert_eq!(pieces(&order, &BTreeSet::new(), 0), [(0..5, 1)]);
        assert_eq!(pieces(&[], &BTreeSet::new(), 0), []);
        // What the note names is not here.
        assert_eq!(pieces(&order, &BTreeSet::from([id(9)]), 3), [(0..5, 1)]);
    }
}
