//! The record's side of a meeting: what the other device lacks, and what is made of what comes.

use fallaway_changes::{ChangeId, DeviceId, MemberHash, RecordId, Writer};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};
use fallaway_sharing::{Action, EpochKey, MemberOp, Members, Payload, seal};
use fallaway_store::{Batch, StoreError};
use fallaway_sync::meeting::limits::{PAGE_BUNDLES, PAGE_BYTES};
use fallaway_sync::meeting::{Farewell, MeetingOffer, MeetingState, PhotoPart, PhotoWant};

use fallaway_text::Phrase;

use super::photos::MetPhotos;
use super::quiet::Quiet;
use crate::error::{Error, Result};
use crate::keeping::callbacks::{LogLevel, NoProgress};
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::secrets::Identity;
use crate::keeping::session::Session;
use crate::keeping::workshop_state::{WorkshopState, missing};
use crate::sharing::exchange::{
    handed_on, merge_in, payloads, ready_to_seal, sealing_key, welcome_to,
};
use crate::sharing::known;
use crate::sharing::receipts;
use crate::sharing::relay::{LogUnit, RelayKept, RelaysKept};
use crate::showing::views::MergeReport;

/// Of so many other devices a meeting hands the receipts on.
const MOST_RECEIPTS: usize = 16;

/// One record in a meeting.
pub(super) struct MetRecord<'a> {
    inner: &'a WorkshopState,
    pub id: RecordId,
    /// The key that both have: what is sent is sealed under it, so that the other one can read it,
    /// whatever keys have come since.
    key: Option<EpochKey>,
    /// The invitation by which somebody comes who has no key yet.
    invite: Option<MemberHash>,
    /// Whoever has just been invited is let in, though it was removed once.
    is_invited: bool,
    said: Set<LogUnit>,
    /// What the record is, while nothing was written since the last meeting and it was not read.
    quiet: Option<Quiet>,
    /// The receipts were handed over; how many came.
    gave_receipts: bool,
    pub receipts: usize,
    pub photos: MetPhotos,
    pub sent: usize,
    pub merges: Vec<MergeReport>,
}

/// Who somebody is, by what is here.
enum Peer {
    Member,
    /// Was one: of what happened only what removed it is said.
    Removed,
    /// None that is known: it is told by what this device is a member, and is listened to.
    Stranger,
}

impl<'a> MetRecord<'a> {
    pub(super) fn new(
        inner: &'a WorkshopState,
        id: RecordId,
        key: Option<EpochKey>,
        invite: Option<MemberHash>,
    ) -> Self {
        let said = Set::new();
        let is_invited = invite.is_some();
        Self {
            inner,
            id,
            key,
            invite,
            is_invited,
            said,
            quiet: (!is_invited).then(|| Quiet::load(inner.store.as_ref(), &id)).flatten(),
            gave_receipts: false,
            receipts: 0,
            photos: MetPhotos::default(),
            sent: 0,
            merges: Vec::new(),
        }
    }

    /// What this device has, and a page of what `device` lacks that has said that it has `state`: the
    /// lines first, then what it asks for of photos, a part at a time.
    pub(super) fn offer(
        &mut self,
        device: &DeviceId,
        state: Option<&MeetingState>,
        wants: &[PhotoWant],
    ) -> Result<MeetingOffer> {
        if let Some(offer) = self.again(device, state, wants) {
            return Ok(offer);
        }
        let (mut offer, peer) = self.lines(device, state)?;
        if matches!(peer, Peer::Member) {
            offer.wants = self.photos.wants(self.inner, self.id)?;
            if offer.bundles.is_empty() && offer.letter.is_none() {
                offer.photos.extend(self.photos.next(self.inner, self.id, wants)?);
            }
        }
        Ok(offer)
    }

    /// What this device has, if it is what it had when it met somebody last, and the other one has no other.
    fn again(
        &mut self,
        device: &DeviceId,
        state: Option<&MeetingState>,
        wants: &[PhotoWant],
    ) -> Option<MeetingOffer> {
        let store = self.inner.store.as_ref();
        self.quiet = self.quiet.take().filter(|quiet| {
            wants.is_empty()
                && quiet.members.contains_key(device)
                && state.is_none_or(|state| *state == quiet.state)
                && quiet.is_so(store, &self.id)
        });
        let state = self.quiet.as_ref()?.state.clone();
        Some(MeetingOffer { state, ..MeetingOffer::default() })
    }

    fn lines(
        &mut self,
        device: &DeviceId,
        state: Option<&MeetingState>,
    ) -> Result<(MeetingOffer, Peer)> {
        let mut session = self.inner.session()?;
        self.inner.commit_draft(&mut session, self.id)?;
        ready_to_seal(self.inner, &mut session, self.id, true)?;
        Identity::note_sealed(self.inner.store.as_ref(), self.inner.keeper.as_ref())?;
        let identity = &session.identity;
        let loaded = session.records.get(&self.id).ok_or_else(|| missing(self.id))?;
        let mut offer = MeetingOffer::default();
        if let Some(invite) = self.invite.take() {
            self.key = sealing_key(loaded).cloned();
            let now = self.inner.clock.now().unix_s;
            offer.letter = welcome_to(loaded, &identity.keys, &invite, now)?;
        }
        let own = identity.keys.device();
        let peer = match peer(&loaded.members, device) {
            Peer::Removed if self.is_invited => Peer::Stranger,
            peer => peer,
        };
        let told = match peer {
            Peer::Member => {
                offer.state = state_of(loaded);
                None
            }
            Peer::Removed => {
                offer.farewell = Some(Farewell::Removed);
                let removals = loaded.members.removals().into_iter();
                Some(removals.filter(|one| one.device == *device).map(|one| one.op).collect())
            }
            Peer::Stranger => {
                offer.stranger = true;
                Some(loaded.members.member(&own).map(|own| vec![own.since]).unwrap_or_default())
            }
        };
        // Of the operations those that lie behind these.
        let past = told.map(|told: Vec<MemberHash>| past_of(&loaded.members, &told));
        if let (Peer::Stranger, Some(past)) = (&peer, &past) {
            for op in past {
                offer.state.add_op(op);
            }
        }
        let knows = matches!(peer, Peer::Member) && state.is_none();
        let beside = handed_on(self.inner.store.as_ref(), loaded)?;
        let lacks = Lacks::new(loaded, state);
        let wants = |unit: &LogUnit| {
            !self.said.contains(unit)
                && match (unit, &past) {
                    // Nothing is sent to who has not said what it has.
                    _ if knows => false,
                    (LogUnit::Op(op), Some(past)) => past.contains(op) && lacks.unit(unit),
                    (_, Some(_)) | (LogUnit::OwnForm(_), None) => false,
                    (_, None) => lacks.unit(unit),
                }
        };
        let ops = loaded.members.ops().map(|op| LogUnit::Op(op.hash()));
        let changes = loaded.record.links().map(|one| LogUnit::Change(one.id, one.writer, one.seq));
        let open = ops.chain(changes).filter(&wants).count();
        if open == 0 && beside.is_empty() {
            return Ok((offer, peer));
        }
        let Some(key) = &self.key else { return Ok((offer, peer)) };
        // What removed somebody is one page.
        let most = if past.is_some() { usize::MAX } else { PAGE_BUNDLES };
        let mut page = Vec::new();
        let mut bytes = 0;
        for leaving in payloads(loaded, &beside, &wants, most)? {
            let sealed = seal(key, &self.id, &leaving.payload);
            let sealed = sealed.map_err(|error| Error::internal("seal", error))?;
            bytes += sealed.len();
            if bytes > PAGE_BYTES && !offer.bundles.is_empty() && past.is_none() {
                break;
            }
            page.extend(leaving.units.iter().filter(|unit| wants(unit)).copied());
            offer.bundles.push(sealed);
        }
        // What each is known to have, and up to where it has read which log, goes along.
        if past.is_none() && !page.is_empty() && !std::mem::replace(&mut self.gave_receipts, true) {
            let relays = RelaysKept::load(self.inner.store.as_ref(), &self.id);
            let place = |kept: &RelayKept| receipts::read_place(&kept.log, &kept.cursor.position);
            let places: Vec<_> = relays.iter().filter_map(place).collect();
            let all = receipts::to_give(self.inner, &mut session, self.id, &places, MOST_RECEIPTS)?;
            for receipt in all {
                let sealed = seal(key, &self.id, &Payload::Receipt(receipt.into()));
                offer.bundles.push(sealed.map_err(|error| Error::internal("seal", error))?);
            }
        }
        offer.more = open.saturating_sub(page.len()) as u64;
        self.sent += page.len();
        self.said.extend(page);
        Ok((offer, peer))
    }

    /// Merges a page, and keeps parts of photos.
    pub(super) fn take(&mut self, bundles: &[Vec<u8>], photos: Vec<PhotoPart>) -> Result<()> {
        self.quiet = None;
        self.photos.take(self.inner, self.id, photos)?;
        if bundles.is_empty() {
            return Ok(());
        }
        let sealed: Vec<&[u8]> = bundles.iter().map(Vec::as_slice).collect();
        match merge_in(self.inner, self.id, &sealed, None, &NoProgress) {
            Ok(report) => {
                self.receipts += report.receipts;
                self.merges.push(report);
            }
            // Nothing of it can be taken: that is told at the end, by what the other one lacks.
            Err(Error::Refused { reason }) => {
                self.inner.log(LogLevel::Warning, || not_taken(&reason));
            }
            Err(error) => return Err(error),
        }
        Ok(())
    }

    /// Keeps in mind that both have the same now.
    pub(super) fn note_met(&self, device: DeviceId) -> Result<()> {
        let now = self.inner.clock.now().unix_s;
        let store = self.inner.store.as_ref();
        let mut session = self.inner.session()?;
        let quiet = if let Some(quiet) = &self.quiet {
            quiet.clone()
        } else {
            self.inner.refresh(&mut session, self.id)?;
            let Session { identity, records, .. } = &mut *session;
            let loaded = records.get(&self.id).ok_or_else(|| missing(self.id))?;
            quiet_of(loaded, identity, now)
        };
        let mut batch = Batch::new();
        let both_have = (quiet.heads.as_slice(), quiet.member_heads.as_slice());
        known::note_met(store, &self.id, both_have, (device, now), &mut batch);
        let is_whole = session.records.get(&self.id).is_none_or(|one| one.draft.is_empty());
        if is_whole && self.photos.lacks_nothing() {
            quiet.put(&mut batch);
        }
        match store.commit(&self.id, quiet.generation, &batch) {
            Ok(generation) => {
                let loaded = session.records.get_mut(&self.id);
                if let Some(loaded) = loaded.filter(|one| one.generation == quiet.generation) {
                    loaded.generation = generation;
                }
            }
            // Somebody else wrote: it was the same a moment ago, and is no more.
            Err(StoreError::Moved { .. }) => drop(session.records.remove(&self.id)),
            Err(error) => return Err(error.into()),
        }
        Ok(())
    }

    /// What the record is called, and the other device.
    pub(super) fn names(&self, device: Option<&DeviceId>) -> Result<(String, String)> {
        if let (Some(quiet), Some(device)) = (&self.quiet, device) {
            let with = quiet.members.get(device).cloned();
            return Ok((quiet.name.clone(), with.unwrap_or_else(|| device.fingerprint())));
        }
        self.inner.with_record(self.id, |identity, loaded| {
            let now = self.inner.clock.now().unix_s;
            let name = loaded.registers(now).spec().name.clone().unwrap_or_default();
            let mut labels = loaded.members.labels(&identity.keys.device());
            let with =
                device.map(|device| labels.remove(device).unwrap_or_else(|| device.fingerprint()));
            Ok((name, with.unwrap_or_default()))
        })
    }
}

/// For the log: the kind alone. What it says of whom is nobody's business who reads a log.
fn not_taken(reason: &Phrase) -> String {
    format!("a page of a meeting: {}", reason.id())
}

fn peer(members: &Members, device: &DeviceId) -> Peer {
    let mut ops = members.ops();
    if members.member(device).is_some() {
        Peer::Member
    } else if members.was_member(device) {
        Peer::Removed
    } else if !ops.any(|op| matches!(op.action(), Action::Found { .. })) {
        // Who has only come in knows nobody: whoever has the key is one of those who let it in.
        Peer::Member
    } else {
        Peer::Stranger
    }
}

/// These operations, and all that they rest on.
fn past_of(members: &Members, heads: &[MemberHash]) -> Set<MemberHash> {
    let ops = members.ops().map(MemberOp::hash);
    ops.filter(|op| heads.contains(op) || members.had_seen(heads, op)).in_set()
}

/// What the record is now.
fn quiet_of(loaded: &LoadedRecord, identity: &Identity, now: i64) -> Quiet {
    let mut members = loaded.members.labels(&identity.keys.device());
    members.retain(|device, _| loaded.members.member(device).is_some());
    Quiet {
        generation: loaded.generation,
        state: state_of(loaded),
        heads: loaded.record.heads(),
        member_heads: newest_of(&loaded.members),
        name: loaded.registers(now).spec().name.clone().unwrap_or_default(),
        members,
    }
}

/// The newest operations on the members, and what those have not seen: keys that were handed over.
fn newest_of(members: &Members) -> Vec<MemberHash> {
    let heads: Vec<MemberHash> = members.heads().into_iter().collect();
    let beside = members.ops().map(MemberOp::hash).filter(|op| !members.had_seen(&heads, op));
    let beside: Vec<MemberHash> = beside.collect();
    [heads, beside].concat()
}

fn state_of(loaded: &LoadedRecord) -> MeetingState {
    let mut state = MeetingState::default();
    loaded.members.ops().for_each(|op| state.add_op(&op.hash()));
    for writer in loaded.record.writers() {
        if let Some((count, last)) = loaded.record.last_of(&writer) {
            state.add_writer(writer, count, last);
        }
    }
    loaded.pending.iter().for_each(|one| state.add_beside(&one.hash));
    state
}

/// What another device lacks, by what it has said.
struct Lacks<'a> {
    state: MeetingState,
    own: Map<Writer, Vec<ChangeId>>,
    loaded: &'a LoadedRecord,
}

impl<'a> Lacks<'a> {
    fn new(loaded: &'a LoadedRecord, state: Option<&MeetingState>) -> Self {
        let ids = |writer: Writer| (writer, loaded.record.ids_of(&writer));
        let own = loaded.record.writers().into_iter().map(ids).collect();
        Self { state: state.cloned().unwrap_or_default(), own, loaded }
    }

    fn unit(&self, unit: &LogUnit) -> bool {
        match unit {
            LogUnit::Op(op) | LogUnit::OwnForm(op) => !self.state.has_op(op),
            LogUnit::Change(id, writer, seq) => {
                !self.state.has_beside(id) && !self.has_inside(id, writer, *seq)
            }
        }
    }

    /// Whether its document has a change, as far as this device can tell: of numbers that it has not
    /// got itself it cannot, and the other one will send them.
    fn has_inside(&self, id: &ChangeId, writer: &Writer, seq: u64) -> bool {
        let Some((count, last)) = self.state.writer(writer) else { return false };
        if seq > count {
            return false;
        }
        let own = self.own.get(writer).map(Vec::as_slice).unwrap_or_default();
        let place = usize::try_from(count).ok().and_then(|count| count.checked_sub(1));
        let branch = match place.and_then(|place| own.get(place)) {
            Some(here) => *here == last,
            None => true,
        };
        branch && (self.loaded.record.contains(id) || *id == last)
    }
}

#[cfg(test)]
mod tests {
    use fallaway_text::messages::{errors, sharing};

    use super::*;

    #[test]
    fn no_name_and_no_text_of_what_was_refused_reaches_the_log() {
        let planted = "a name of somebody";
        let reason = sharing::stranger(planted.to_owned());
        assert!(reason.to_string().contains(planted));
        assert_eq!(not_taken(&reason), "a page of a meeting: stranger");
        let within = errors::refused(reason);
        assert!(!not_taken(&within).contains(planted));
    }
}
