//! What a record was when a meeting ended with nothing left. As long as nothing was written here since, the
//! next meeting says that again without reading the record, and finds it equal without that.

use fallaway_changes::{ChangeId, DeviceId, MemberHash, RecordId};
use fallaway_order::Map;
use fallaway_order::OneByOne as _;
use fallaway_store::{Batch, Generation, Store};
use fallaway_sync::meeting::MeetingState;
use minicbor::bytes::{ByteArray, ByteVec};
use minicbor::{Decode, Encode};

use crate::keeping::projection;

/// A record that was equal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Quiet {
    /// Of this one everything here is told.
    pub generation: Generation,
    pub state: MeetingState,
    pub heads: Vec<ChangeId>,
    /// The newest operations on the members.
    pub member_heads: Vec<MemberHash>,
    pub name: String,
    /// The members, and what they are called.
    pub members: Map<DeviceId, String>,
}

/// The form in the store.
#[derive(Encode, Decode)]
#[cbor(map)]
struct Kept {
    #[n(0)]
    generation: u64,
    #[n(1)]
    state: ByteVec,
    #[n(2)]
    heads: Vec<ByteArray<32>>,
    #[n(3)]
    name: String,
    #[n(4)]
    members: Vec<(ByteArray<32>, String)>,
    #[n(5)]
    member_heads: Vec<ByteArray<32>>,
}

impl Quiet {
    /// What is kept, if it is still so.
    pub(super) fn load(store: &dyn Store, id: &RecordId) -> Option<Self> {
        let bytes = store.projection(id, projection::QUIET).ok().flatten()?;
        let kept: Kept = projection::decode(&bytes)?;
        let members = kept.members.into_iter();
        let quiet = Self {
            generation: Generation(kept.generation),
            state: MeetingState::decode(&kept.state).ok()?,
            heads: kept.heads.iter().map(|id| ChangeId::from_bytes(**id)).collect(),
            member_heads: kept.member_heads.iter().map(|id| MemberHash::from_bytes(**id)).collect(),
            name: kept.name,
            members: members.map(|(id, label)| (DeviceId::from_bytes(*id), label)).in_map(),
        };
        quiet.is_so(store, id).then_some(quiet)
    }

    /// Whether nothing was written since.
    pub(super) fn is_so(&self, store: &dyn Store, id: &RecordId) -> bool {
        store.generation(id).is_ok_and(|now| now == self.generation)
    }

    /// The same after the commit of this batch, in which it is put.
    pub(super) fn put(&self, batch: &mut Batch) {
        let members = self.members.iter();
        let kept = Kept {
            generation: self.generation.0.saturating_add(1),
            state: self.state.encode().into(),
            heads: self.heads.iter().map(|id| id.to_bytes().into()).collect(),
            member_heads: self.member_heads.iter().map(|id| id.to_bytes().into()).collect(),
            name: self.name.clone(),
            members: members.map(|(id, label)| (id.to_bytes().into(), label.clone())).collect(),
        };
        batch.projections.push((projection::QUIET, Some(projection::encode(&kept))));
    }
}
