//! What each device is known to have: by what it wrote after having seen it, by meetings, and by what it says
//! in its receipts.

use std::collections::{BTreeMap, BTreeSet};

use fallaway_changes::{ChangeId, DeviceId, RecordId};
use fallaway_order::PutInOrder as _;
use fallaway_record::Moment;
use fallaway_store::{Batch, Store};
use fallaway_text::Phrase;
use fallaway_text::messages::sharing as say;
use fallaway_text::names;
use minicbor::bytes::ByteArray;
use minicbor::{Decode, Encode};

use crate::error::Result;
use crate::instrument::Instrument;
use crate::keeping::projection;
use crate::sharing::exchange::DevicesOf;
use crate::sharing::receipts::{self, Receipts};

/// Devices of which a meeting is kept in mind.
const MOST_MET: usize = 128;
/// Heads of a document that are kept in mind.
const MOST_HEADS: usize = 64;

/// What one device is known to have of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceState {
    /// What the device calls itself, told apart from others of that name.
    pub label: String,
    /// The short text that names its key.
    pub fingerprint: String,
    /// Whether it is this device.
    pub this_device: bool,
    /// When it was last heard of: when it wrote the newest that is here, by its own clock, or met this
    /// device, by this one's. None if only its coming is known.
    pub last_heard: Option<Moment>,
    /// Changes of the record, as it is here, that it is not known to have. Of this device none.
    pub not_known: usize,
    /// Everything that was written before then, by the clocks of those who wrote, it is known to have.
    /// None if it is not known to have the first.
    pub has_until: Option<Moment>,
}

impl DeviceState {
    /// What it has, in words.
    pub fn phrase(&self) -> Phrase {
        match (self.not_known, self.has_until) {
            (0, _) => say::has_all(),
            (lacks, Some(until)) => say::has_until(names::moment(until), lacks),
            (_, None) => say::has_unknown(),
        }
    }
}

/// A meeting after which both had the same.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
struct Met {
    #[n(0)]
    device: ByteArray<32>,
    #[n(1)]
    unix_s: i64,
    #[n(2)]
    heads: Vec<ByteArray<32>>,
}

fn meetings(store: &dyn Store, id: &RecordId) -> Vec<Met> {
    let bytes = store.projection(id, projection::MET).ok().flatten();
    bytes.and_then(|bytes| projection::decode(&bytes)).unwrap_or_default()
}

/// Keeps in mind that this device and another have the same now, with these newest changes.
pub(crate) fn note_met(
    store: &dyn Store,
    id: &RecordId,
    heads: &[ChangeId],
    (device, unix_s): (DeviceId, i64),
    batch: &mut Batch,
) {
    let device: ByteArray<32> = device.to_bytes().into();
    let mut all = meetings(store, id);
    all.retain(|met| met.device != device);
    let heads = heads.iter().take(MOST_HEADS).map(|id| id.to_bytes().into()).collect();
    all.insert(0, Met { device, unix_s, heads });
    all.truncate(MOST_MET);
    batch.projections.push((projection::MET, Some(projection::encode(&all))));
}

/// What is known of one device.
#[derive(Default)]
struct Signs {
    last: Option<i64>,
    /// Changes that it had, and with them all that they rest on.
    had: BTreeSet<ChangeId>,
}

impl Signs {
    fn at(&mut self, unix_s: i64) {
        self.last = Some(self.last.map_or(unix_s, |last| last.max(unix_s)));
    }
}

impl Instrument {
    /// What each device of the record's people is known to have. A device that has only read says
    /// so over the relay, at most once an hour; what it has read from a file since is not known to anybody.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn device_states(&self) -> Result<Vec<DeviceState>> {
        let now = self.now();
        let met = meetings(self.inner.store.as_ref(), &self.id);
        let receipts = Receipts::load(self.inner.store.as_ref(), &self.id);
        self.inner.with_record(self.id, |identity, loaded| {
            let own = identity.keys.device();
            let links: Vec<_> = loaded.record.links().collect();
            let writers = DevicesOf::new(loaded);
            let mut signs: BTreeMap<DeviceId, Signs> = BTreeMap::new();
            for link in &links {
                if let Some(device) = writers.of(&link.writer) {
                    let signs = signs.entry(device).or_default();
                    signs.at(link.time);
                    signs.had.insert(link.id);
                }
            }
            for op in loaded.members.ops() {
                signs.entry(*op.device()).or_default().at(op.time());
            }
            for met in met {
                let signs = signs.entry(DeviceId::from_bytes(*met.device)).or_default();
                signs.at(met.unix_s);
                signs.had.extend(met.heads.iter().map(|id| ChangeId::from_bytes(**id)));
            }
            for receipt in receipts.of_members(loaded) {
                let signs = signs.entry(receipt.device).or_default();
                signs.at(receipt.time);
                signs.had.extend(receipts::named(receipt, links.iter().map(|link| link.id)));
            }
            let labels = loaded.members.labels(&own);
            let moment = |unix_s| Moment { unix_s, ..now };
            let states = loaded.members.members().into_iter().map(|member| {
                let Signs { last, mut had } = signs.remove(&member.device).unwrap_or_default();
                let this_device = member.device == own;
                // Each change follows what it rests on.
                for link in links.iter().rev() {
                    if had.contains(&link.id) {
                        had.extend(&link.deps);
                    }
                }
                let has = |id: &ChangeId| this_device || had.contains(id);
                let times = links.iter().map(|link| (link.time, !has(&link.id))).collect();
                let (not_known, until) = lacks_and_until(times);
                DeviceState {
                    label: labels.get(&member.device).cloned().unwrap_or(member.label),
                    fingerprint: member.device.fingerprint(),
                    this_device,
                    last_heard: last.map(moment),
                    not_known,
                    has_until: until.map(moment),
                }
            });
            Ok(states.collect())
        })
    }
}

/// Of changes by their time, and whether a device is not known to have them: how many those are, and up to
/// when it has all.
fn lacks_and_until(mut changes: Vec<(i64, bool)>) -> (usize, Option<i64>) {
    // Of what was written in one second, what it has comes first: it was there first, or both were written
    // at once.
    changes.put_in_order();
    let until = changes.iter().take_while(|(_, lacks)| !lacks).last();
    (changes.iter().filter(|(_, lacks)| *lacks).count(), until.map(|(time, _)| *time))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_within_a_second_does_not_hide_what_is_known() {
        assert_eq!(lacks_and_until(vec![(5, true), (5, false)]), (1, Some(5)));
        assert_eq!(lacks_and_until(vec![(7, true), (5, false), (6, false)]), (1, Some(6)));
        assert_eq!(lacks_and_until(vec![(5, true), (6, false)]), (1, None));
        assert_eq!(lacks_and_until(vec![(5, false), (6, false)]), (0, Some(6)));
    }
}
