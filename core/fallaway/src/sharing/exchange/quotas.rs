//! How much is kept beside the record: a share for each person, and one for all strangers together.
//! Whoever floods fills its own share only.

use std::collections::{HashMap, HashSet};

use fallaway_changes::{ChangeId, DeviceId, Writer};
use fallaway_order::Map;
use fallaway_order::PutInOrder as _;
use fallaway_sharing::ChainProof;
use fallaway_store::ChangeStanding;

use super::candidates::Candidate;
use super::why_aside::WhyAside;
use crate::keeping::loaded_record::LoadedRecord;

/// Changes of one person that wait or are held.
pub(super) const MAX_CHANGES: usize = 512;
/// Bytes of these.
const MAX_BYTES: usize = 4 * 1024 * 1024;

/// What there is room for.
pub(super) struct Room {
    kept: HashSet<ChangeId>,
    asked: Option<(ChangeId, usize)>,
}

impl Room {
    /// Of each share the first of every writer stay: what follows can do nothing without them, and a
    /// signature over them may be the only one over what is in the record.
    pub(super) fn of(
        loaded: &LoadedRecord,
        candidates: &Map<ChangeId, Candidate>,
        aside: &Map<ChangeId, (ChangeStanding, WhyAside)>,
    ) -> Self {
        let devices = DevicesOf::new(loaded);
        let mut shares: Map<Option<DeviceId>, Vec<Line>> = Map::new();
        let share = |device: DeviceId| loaded.members.person(&device);
        for one in loaded.pending.iter().filter(|one| !candidates.contains_key(&one.hash)) {
            let device = devices.of(&one.writer).and_then(share);
            let line = Line { writer: one.writer, seq: one.seq, id: one.hash, bytes: 0 };
            shares.entry(device).or_default().push(line);
        }
        for (id, one) in candidates {
            let beside = aside.get(id);
            if beside.is_some_and(|(standing, _)| *standing != ChangeStanding::Admitted) {
                let Candidate { change, proof, .. } = one;
                let (writer, seq, bytes) = (change.writer, change.seq, change.bytes().len());
                let line = Line { writer, seq, id: *id, bytes };
                shares.entry(share(proof.device)).or_default().push(line);
            }
        }
        Self { kept: shares.values().flat_map(|lines| first_of_each(lines)).collect(), asked: None }
    }

    /// Whether there is room for a change.
    pub(super) fn has(&mut self, id: &ChangeId) -> bool {
        let has = self.kept.contains(id);
        if !has {
            self.asked.get_or_insert((*id, 0)).1 += 1;
        }
        has
    }

    /// The first that there was no room for, and how many there are.
    pub(super) const fn left_out(&self) -> Option<(ChangeId, usize)> {
        self.asked
    }
}

/// A change beside the record.
struct Line {
    writer: Writer,
    seq: u64,
    id: ChangeId,
    bytes: usize,
}

/// What one share has room for: of each writer as many as of every other, from its first on.
fn first_of_each(lines: &[Line]) -> Vec<ChangeId> {
    let mut first: HashMap<Writer, u64> = HashMap::new();
    for one in lines {
        let lowest = first.entry(one.writer).or_insert(one.seq);
        *lowest = one.seq.min(*lowest);
    }
    let from_first = |one: &Line| one.seq - first.get(&one.writer).copied().unwrap_or_default();
    let mut lines: Vec<(u64, ChangeId, usize)> =
        lines.iter().map(|one| (from_first(one), one.id, one.bytes)).collect();
    lines.put_in_order();
    let mut room = MAX_BYTES;
    let fits = lines.into_iter().take(MAX_CHANGES).map_while(|(_, id, bytes)| {
        room = room.checked_sub(bytes)?;
        Some(id)
    });
    fits.collect()
}

/// The devices behind writers.
pub(crate) struct DevicesOf(HashMap<Writer, DeviceId>);

impl DevicesOf {
    pub(crate) fn new(loaded: &LoadedRecord) -> Self {
        let mut devices = HashMap::new();
        for one in &loaded.signatures {
            if !devices.contains_key(&one.writer)
                && let Ok(proof) = ChainProof::decode_kept(&one.bytes)
            {
                devices.insert(one.writer, proof.device);
            }
        }
        Self(devices)
    }

    pub(crate) fn of(&self, writer: &Writer) -> Option<DeviceId> {
        self.0.get(writer).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn writer(number: u8) -> Writer {
        Writer::from_bytes([number; 16])
    }

    fn lines(of: u8, numbers: std::ops::Range<u64>, bytes: usize) -> Vec<Line> {
        let id = |seq: u64| {
            let mut id = [of; 32];
            id[..8].copy_from_slice(&seq.to_be_bytes());
            ChangeId::from_bytes(id)
        };
        numbers.map(|seq| Line { writer: writer(of), seq, id: id(seq), bytes }).collect()
    }

    /// Signatures over changes of an honest device stand at most 127 apart (those of every 64 are kept),
    /// so the one that proves what is in the record has room beside whatever another writer of the same
    /// person floods it with, up to four of them.
    #[test]
    fn whoever_begins_late_has_as_much_room_as_whoever_began_before() {
        let parted = lines(1, 5_001..5_129, 1_000);
        let wanted: HashSet<ChangeId> = parted.iter().map(|one| one.id).collect();
        let flood = (2..5).flat_map(|of| lines(of, 1..2_000, 1_000));
        let kept: HashSet<ChangeId> =
            first_of_each(&parted.into_iter().chain(flood).collect::<Vec<_>>())
                .into_iter()
                .collect();
        assert_eq!(kept.len(), MAX_CHANGES);
        assert!(wanted.is_subset(&kept));
    }

    #[test]
    fn no_share_has_more_than_its_bytes() {
        let kept = first_of_each(&lines(1, 1..100, MAX_BYTES / 10));
        assert_eq!(kept, lines(1, 1..11, 0).iter().map(|one| one.id).collect::<Vec<_>>());
    }
}
