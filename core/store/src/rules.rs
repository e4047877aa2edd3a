//! Rules that every store applies in the same way.

use fallaway_changes::{ChangeId, Writer};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _, Set};

use crate::contract::SIGNATURE_STRIDE;
use crate::error::StoreError;

/// The greatest number that is stored: databases count with a sign.
pub(crate) const GREATEST: u64 = i64::MAX as u64;

/// Checks that a number can be stored.
pub(crate) fn storable(what: &'static str, value: u64) -> Result<i64, StoreError> {
    i64::try_from(value).map_err(|_| StoreError::TooGreat { what, value, limit: GREATEST })
}

/// What a counter stands at; one that was never set, or holds something else, at 0.
pub(crate) fn counter(value: Option<&[u8]>) -> u64 {
    value.and_then(|bytes| bytes.try_into().ok()).map_or(0, u64::from_be_bytes)
}

/// Of one writer's signed numbers inside a snapshot: those whose signatures stay. The newest
/// proves the whole chain; the last one of every stride lets the chain be handed on in pieces.
pub(crate) fn kept_signatures(signed: &Set<u64>) -> Set<u64> {
    let mut last_of_stride = Map::new();
    for &seq in signed {
        // Ascending, so the greatest of each stride wins. Stride 0 holds numbers 1 to 64.
        last_of_stride.insert(seq.saturating_sub(1) / SIGNATURE_STRIDE, seq);
    }
    last_of_stride.into_values().in_set()
}

/// Moves each writer's greatest contained number on over the given changes.
///
/// # Errors
/// [`StoreError::NotCompactable`] if a writer's numbers leave a gap.
pub(crate) fn advance(
    compacted: &Map<Writer, u64>,
    contained: impl IntoIterator<Item = (Writer, u64, ChangeId)>,
) -> Result<Map<Writer, u64>, StoreError> {
    let mut sorted: Vec<_> = contained.into_iter().collect();
    sorted.put_in_order();
    let mut through = compacted.clone();
    for (writer, seq, hash) in sorted {
        let last = through.entry(writer).or_insert(0);
        if seq.checked_sub(1) != Some(*last) {
            return Err(StoreError::NotCompactable {
                hash,
                reason: "an earlier change of its writer is not among those named",
            });
        }
        *last = seq;
    }
    Ok(through)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_and_the_last_of_each_stride_stay() {
        let signed: Set<u64> = (1..=200).collect();
        assert_eq!(kept_signatures(&signed), Set::from([64, 128, 192, 200]));
        let sparse = Set::from([3, 60, 70, 71]);
        assert_eq!(kept_signatures(&sparse), Set::from([60, 71]));
        assert_eq!(kept_signatures(&Set::new()), Set::new());
    }

    #[test]
    fn a_gap_is_refused() {
        let writer = Writer::from_bytes([1; 16]);
        let hash = ChangeId::from_bytes([2; 32]);
        let start = Map::from([(writer, 4)]);
        assert_eq!(
            advance(&start, [(writer, 6, hash), (writer, 5, hash)]),
            Ok(Map::from([(writer, 6)]))
        );
        for seq in [0, 4, 6] {
            assert!(advance(&start, [(writer, seq, hash)]).is_err(), "{seq}");
        }
    }
}
