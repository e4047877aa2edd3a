//! How much is kept beside the record: a share for each person, and one for all strangers together.
//! Whoever floods fills its own share only.

use std::collections::{BTreeMap, HashMap, HashSet};

use fallaway_changes::{ChangeId, DeviceId, Writer};
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
    /// Of each share the lowest numbers stay: what follows can do nothing without them.
    pub(super) fn of(
        loaded: &LoadedRecord,
        candidates: &BTreeMap<ChangeId, Candidate>,
        aside: &BTreeMap<ChangeId, (ChangeStanding, WhyAside)>,
    ) -> Self {
        let devices = DevicesOf::new(loaded);
        let mut shares: BTreeMap<Option<DeviceId>, Vec<(u64, ChangeId, usize)>> = BTreeMap::new();
        let share = |device: DeviceId| loaded.members.person(&device);
        for one in loaded.pending.iter().filter(|one| !candidates.contains_key(&one.hash)) {
            let device = devices.of(&one.writer).and_then(share);
            shares.entry(device).or_default().push((one.seq, one.hash, 0));
        }
        for (id, one) in candidates {
            let beside = aside.get(id);
            if beside.is_some_and(|(standing, _)| *standing != ChangeStanding::Admitted) {
                let line = (one.change.seq, *id, one.change.bytes().len());
                shares.entry(share(one.proof.device)).or_default().push(line);
            }
        }
        let mut kept = HashSet::new();
        for lines in shares.values_mut() {
            lines.put_in_order();
            let mut bytes = 0;
            for (_, id, size) in lines.iter().take(MAX_CHANGES) {
                bytes += size;
                if bytes > MAX_BYTES {
                    break;
                }
                kept.insert(*id);
            }
        }
        Self { kept, asked: None }
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
