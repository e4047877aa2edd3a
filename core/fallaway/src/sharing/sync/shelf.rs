//! The record's side of a round: what there is to send, and what is made of what comes.

use fallaway_changes::{BundleId, DeviceId, EpochId, LogId, MemberHash, RecordId};
use fallaway_order::Map;
use fallaway_order::OneByOne as _;
use fallaway_sharing::{Action, EpochKey, MemberOp, Payload, Receipt, bundle_id, open, seal};
use fallaway_store::{Batch, StoreError};
use fallaway_sync::wire::limits::{MAX_ANSWER_BYTES, MAX_PAGE_BUNDLES};
use fallaway_sync::wire::problem::Code;
use fallaway_sync::{LogAccess, Offer, Page};
use fallaway_text::messages::errors as say;

use crate::error::{Error, Result};
use crate::keeping::callbacks::NoProgress;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::secrets::Identity;
use crate::keeping::workshop_state::{WorkshopState, missing};
use crate::sharing::exchange::{
    KeysOfOps, handed_on, merge_in, newest_first, payloads, ready_to_seal, sealed_forms,
};
use crate::sharing::known::somebody_may_not_know;
use crate::sharing::receipts::{self, Receipts};
use crate::sharing::relay::{self, Came, LogPage, LogUnit, RelayKept, RelaysKept};
use crate::showing::views::MergeReport;

/// How often a commit is tried again after another process was faster.
const ATTEMPTS: usize = 200;

/// The relay of one record, as a round sees it.
pub(super) struct Shelf<'a> {
    pub inner: &'a WorkshopState,
    pub id: RecordId,
    pub url: String,
    pub log: LogId,
    /// The record has left this log: it gets what tells of that, and not what is written since.
    pub former: bool,
    /// What is in the bundles that were offered last.
    offered: Map<BundleId, Vec<LogUnit>>,
    /// This device's receipt, where it was offered.
    receipt: Option<(BundleId, Receipt)>,
    /// How many receipts the relay took in this round, and how many came.
    pub receipts: (usize, usize),
    /// Who has knocked in this round.
    knocks: Vec<Vec<u8>>,
}

impl<'a> Shelf<'a> {
    pub(super) fn new(inner: &'a WorkshopState, id: RecordId, url: String, log: LogId) -> Self {
        Self {
            inner,
            id,
            url,
            log,
            former: false,
            offered: Map::new(),
            receipt: None,
            receipts: (0, 0),
            knocks: Vec::new(),
        }
    }

    /// What the store has of this log; as of a log that was never read where it has nothing.
    pub(super) fn kept(&self) -> RelayKept {
        let known = RelaysKept::load(self.inner.store.as_ref(), &self.id);
        let kept = known.of(&self.url, &self.log).cloned();
        kept.unwrap_or_else(|| RelayKept::new(self.url.clone(), self.log))
    }

    /// Changes what is kept of this log.
    pub(super) fn keep(&self, change: impl Fn(&mut RelayKept)) -> Result<()> {
        self.commit(|_, batch| {
            let before = RelaysKept::load(self.inner.store.as_ref(), &self.id);
            let mut all = before.clone();
            all.change(&self.url, self.log, &change);
            if all != before {
                all.put(batch);
            }
        })
    }

    /// The record is carried by this log, be it again.
    pub(super) fn come_back(&self) -> Result<()> {
        self.commit(|_, batch| {
            let before = RelaysKept::load(self.inner.store.as_ref(), &self.id);
            let mut all = before.clone();
            all.come_back(&self.url, &self.log);
            if all != before {
                all.put(batch);
            }
        })
    }

    /// Looks no more at this log.
    pub(super) fn leave(&self) -> Result<()> {
        self.commit(|_, batch| {
            let mut all = RelaysKept::load(self.inner.store.as_ref(), &self.id);
            all.leave(&self.url, &self.log);
            all.put(batch);
        })
    }

    /// The keys, and so many bundles and bytes that the log is not known to have. When everything of the
    /// log was read, epochs that began at once are made one.
    pub(super) fn offer(
        &mut self,
        (most, most_bytes): (usize, usize),
        at_end: bool,
        retired: Option<EpochId>,
    ) -> Result<Offer> {
        let mut session = self.inner.session()?;
        self.inner.commit_draft(&mut session, self.id)?;
        ready_to_seal(self.inner, &mut session, self.id, at_end)?;
        Identity::note_sealed(self.inner.store.as_ref(), self.inner.keeper.as_ref())?;
        let kept = self.kept();
        let sends = most > 0 && !self.former;
        if sends && at_end {
            receipts::write_if_due(self.inner, &mut session, self.id, &kept)?;
        }
        let loaded = session.records.get(&self.id).ok_or_else(|| missing(self.id))?;
        let held: Vec<_> = loaded.epoch_keys.iter().map(EpochKey::id).collect();
        let keys = newest_first(loaded).into_iter().map(|key| LogAccess::of(key, &self.log));
        let of_ops = KeysOfOps::new(loaded).ok_or_else(|| Error::keys(say::no_key()))?;
        let mut offer = Offer {
            keys: keys.collect(),
            opens: has_the_first_key(loaded, &held),
            told: told(loaded, &kept),
            path: path(loaded, &held, kept.cursor.epoch),
            knock: own_join(loaded, &session.identity, retired)?,
            asks_knocks: self.may_be_knocked_at(loaded, &session.identity.keys.device()),
            ..Offer::default()
        };
        for knock in &self.knocks {
            offer.answers.extend(answer(loaded, &of_ops, knock));
        }
        self.offered.clear();
        if most == 0 {
            return Ok(offer);
        }
        let beside = handed_on(self.inner.store.as_ref(), loaded)?;
        let is_word = |unit: &LogUnit| matches!(unit, LogUnit::Op(_) | LogUnit::OwnForm(_));
        let wants = |unit: &LogUnit| {
            !kept.known.has(&loaded.record, unit) && (!self.former || is_word(unit))
        };
        // Of those that the relay does not take, others may follow.
        let wanted = payloads(loaded, &beside, &wants, most + kept.aside.len())?;
        let mut bytes = 0;
        for one in wanted {
            let mut forms = sealed_forms(&of_ops, loaded, &one.payload)?;
            forms.retain(|sealed| !kept.aside.contains_key(&bundle_id(sealed)));
            bytes += forms.iter().map(Vec::len).sum::<usize>();
            let full = offer.bundles.len() + forms.len() > most || bytes > most_bytes;
            if full && !offer.bundles.is_empty() {
                break;
            }
            // The log has it when it has the last of its forms.
            if let Some(last) = forms.last() {
                self.offered.insert(bundle_id(last), one.units);
            }
            offer.bundles.extend(forms);
        }
        let own = Receipts::load(self.inner.store.as_ref(), &self.id);
        let own = own.waiting(&session.identity.keys.device(), &kept).filter(|_| sends);
        if let Some(own) = own.filter(|_| offer.bundles.len() < most) {
            let payload = Payload::Receipt(own.clone().into());
            let sealed = sealed_forms(&of_ops, loaded, &payload)?;
            self.receipt = sealed.first().map(|sealed| (bundle_id(sealed), own.clone()));
            offer.bundles.extend(sealed);
        }
        Ok(offer)
    }

    /// Whether somebody could knock: an invitation is open, or the record has gone on to a key of which some
    /// member is not known to have heard: it may be where it cannot read that.
    fn may_be_knocked_at(&self, loaded: &LoadedRecord, own: &DeviceId) -> bool {
        let now = self.inner.clock.now().unix_s;
        if !loaded.members.open_invitations(now).is_empty() {
            return true;
        }
        let newest = loaded.members.newest_epochs();
        let later: Vec<MemberHash> = loaded
            .members
            .epochs()
            .filter(|(epoch, op)| match op.action() {
                Action::NewEpoch { parents, .. } => newest.contains(epoch) && !parents.is_empty(),
                _ => false,
            })
            .map(|(_, op)| op.hash())
            .collect();
        let knows =
            |heads: &[MemberHash]| later.iter().all(|op| loaded.members.had_seen(heads, op));
        let said = || Receipts::load(self.inner.store.as_ref(), &self.id);
        !later.is_empty() && somebody_may_not_know(loaded, &said(), own, knows)
    }

    /// Merges a page, and keeps its cursor in the same transaction.
    pub(super) fn take(&mut self, page: &Page) -> Result<Option<MergeReport>> {
        let store = self.inner.store.as_ref();
        if page.anew && !self.former {
            let own = self.inner.session()?.identity.keys.device();
            self.commit(|_, batch| receipts::forget_own(store, &self.id, &own, batch))?;
            // That the log is another one is told as that.
            let told = Receipts::load(store, &self.id).marks();
            self.keep(|kept| kept.told.clone_from(&told))?;
        }
        let report = self.take_page(page)?;
        let sent = self.receipt.take_if(|(id, _)| page.accepted.contains(id));
        if let Some((_, sent)) = sent {
            self.receipts.0 += 1;
            self.keep(|kept| {
                // Unless it is read again from its beginning, which may have become another one.
                if kept.cursor.position.seq > 0 {
                    kept.receipt = Some(receipts::mark(&sent));
                }
            })?;
        }
        let came = report.as_ref().map(|report| report.receipts).unwrap_or_default();
        self.receipts.1 += came;
        // What only tells who has what is no news for a person.
        Ok(report.filter(|_| came < page.bundles.len()))
    }

    fn take_page(&mut self, page: &Page) -> Result<Option<MergeReport>> {
        let accepted = page.accepted.iter().filter_map(|id| self.offered.get(id));
        let log_page = LogPage {
            url: self.url.clone(),
            log: self.log,
            bundles: page.bundles.iter().map(|sealed| bundle_id(sealed)).in_set(),
            trail: page.trail.clone(),
            cursor: page.cursor,
            anew: page.anew,
            accepted: accepted.flatten().copied().collect(),
        };
        if page.bundles.is_empty() {
            self.commit(|loaded, batch| {
                let (store, record) = (self.inner.store.as_ref(), &loaded.record);
                let all = RelaysKept::load(store, &self.id);
                let unread = all.iter().flat_map(|kept| kept.known.unread.iter().copied());
                let unread = unread.collect();
                let came = Came { unread, ..Came::default() };
                relay::note(store, &self.id, record, Some(&log_page), &came, batch);
            })?;
            return Ok(None);
        }
        let sealed: Vec<&[u8]> = page.bundles.iter().map(Vec::as_slice).collect();
        if page.knocks {
            self.knocks.clone_from(&page.bundles);
            // Anybody with an old key can knock: what is no join is nobody's business.
            return match merge_in(self.inner, self.id, &sealed, None, &NoProgress) {
                Ok(report) => Ok(Some(report)),
                Err(Error::Refused { .. }) => Ok(None),
                Err(error) => Err(error),
            };
        }
        merge_in(self.inner, self.id, &sealed, Some(&log_page), &NoProgress).map(Some)
    }

    /// Does not offer a bundle again that the relay does not take.
    pub(super) fn set_aside(&self, id: BundleId, why: Code) -> Result<()> {
        self.keep(|kept| drop(kept.aside.insert(id, why.as_str().to_owned())))
    }

    /// Counts how often in a row this relay was not reached since the record has moved to another.
    pub(super) fn note_leaving(&self) -> Result<u32> {
        let leaving = self.kept().leaving.saturating_add(1);
        self.keep(|kept| kept.leaving = leaving)?;
        Ok(leaving)
    }

    pub(super) fn commit(&self, put: impl Fn(&LoadedRecord, &mut Batch)) -> Result<()> {
        let mut session = self.inner.session()?;
        for _ in 0..ATTEMPTS {
            self.inner.refresh(&mut session, self.id)?;
            let loaded = session.records.get_mut(&self.id).ok_or_else(|| missing(self.id))?;
            let mut batch = Batch::new();
            put(loaded, &mut batch);
            if batch == Batch::new() {
                return Ok(());
            }
            match self.inner.store.commit(&self.id, loaded.generation, &batch) {
                Ok(generation) => {
                    loaded.generation = generation;
                    return Ok(());
                }
                Err(StoreError::Moved { .. }) => drop(session.records.remove(&self.id)),
                Err(error) => return Err(error.into()),
            }
        }
        Err(Error::busy(say::other_processes()))
    }
}

/// This device's join, unless it knows that it was removed, sealed under the key whose token reads no further:
/// others have that one, and perhaps none that this device has begun itself.
fn own_join(
    loaded: &LoadedRecord,
    identity: &Identity,
    retired: Option<EpochId>,
) -> Result<Option<Vec<u8>>> {
    let device = identity.keys.device();
    if loaded.members.was_member(&device) && loaded.members.member(&device).is_none() {
        return Ok(None);
    }
    let is_own =
        |op: &&MemberOp| op.device() == &device && matches!(op.action(), Action::Join { .. });
    let key = loaded.epoch_keys.iter().find(|key| Some(key.id()) == retired);
    let (Some(key), Some(join)) = (key, loaded.members.ops().find(is_own)) else {
        return Ok(None);
    };
    let sealed = seal(key, &loaded.id, &Payload::Member(join.clone()));
    sealed.map(Some).map_err(|error| Error::internal("seal", error))
}

/// For who knocks under an older key: the operations on the members since that key, and those that hand it one,
/// under it, so that it finds the newer one in them. Nothing for who has not joined by what is here, nor as
/// long as nobody has given it the key that is sealed under: an answer is given once.
fn answer(
    loaded: &LoadedRecord,
    of_ops: &KeysOfOps<'_>,
    knock: &[u8],
) -> Option<(BundleId, Vec<Vec<u8>>)> {
    let (header, payload) = open(&loaded.id, &loaded.epoch_keys, knock).ok()?;
    let Payload::Member(join) = payload else { return None };
    loaded.members.member(join.device())?;
    let key = loaded.epoch_keys.iter().find(|key| key.id() == header.epoch)?;
    let keys = newest_first(loaded);
    let older: Vec<EpochId> =
        keys.iter().skip_while(|key| key.id() != header.epoch).map(|key| key.id()).collect();
    let is_for_it = |op: &MemberOp| match op.action() {
        Action::HandKey { wrapped, .. } => wrapped.device == *join.device(),
        _ => false,
    };
    let held: Vec<EpochId> = loaded.epoch_keys.iter().map(EpochKey::id).collect();
    let sealing = loaded.members.sealing_epoch(&held)?;
    let gives = |op: &MemberOp| match op.action() {
        Action::HandKey { epoch, .. } => *epoch == sealing && is_for_it(op),
        Action::NewEpoch { epoch, wrapped, .. } => {
            *epoch == sealing && wrapped.iter().any(|one| one.device == *join.device())
        }
        _ => false,
    };
    if !loaded.members.ops().any(gives) {
        return None;
    }
    let newer = loaded.members.ops().filter(|op| {
        // Keys for others it finds in the log.
        if let Action::HandKey { .. } = op.action() {
            return is_for_it(op);
        }
        let mut own = of_ops.of(op).into_iter().map(|key| key.id());
        own.any(|own| own == header.epoch || !older.contains(&own))
    });
    let mut sealed = Vec::new();
    for op in newer {
        sealed.push(seal(key, &loaded.id, &Payload::Member(op.clone())).ok()?);
    }
    // The newest are the ones that are missing.
    let mut bytes = 0;
    let fits = |bundle: &&Vec<u8>| {
        bytes += bundle.len();
        bytes <= MAX_ANSWER_BYTES - 1024
    };
    let mut newest: Vec<Vec<u8>> =
        sealed.iter().rev().take(MAX_PAGE_BUNDLES).take_while(fits).cloned().collect();
    newest.reverse();
    Some((bundle_id(knock), newest))
}

/// A newcomer does not have it before it has read the history.
fn has_the_first_key(loaded: &LoadedRecord, held: &[EpochId]) -> bool {
    loaded.members.epochs().any(|(epoch, op)| match op.action() {
        Action::NewEpoch { parents, .. } => parents.is_empty() && held.contains(&epoch),
        _ => false,
    })
}

/// Epochs that the log tells of, and those of which this device has heard by nothing but a key: it came
/// with an invitation, from somebody who uses it.
fn told(loaded: &LoadedRecord, kept: &RelayKept) -> Vec<EpochId> {
    let begun: Map<EpochId, MemberHash> =
        loaded.members.epochs().map(|(epoch, op)| (epoch, op.hash())).in_map();
    let told = |epoch: &EpochId| begun.get(epoch).is_none_or(|op| kept.known.ops.contains(op));
    loaded.epoch_keys.iter().map(EpochKey::id).filter(told).collect()
}

/// The epochs from the one whose token the log took last to the one that is sealed under, those that
/// began beside each other too. None if it may stay where it is.
fn path(loaded: &LoadedRecord, held: &[EpochId], shown: Option<EpochId>) -> Vec<EpochId> {
    let Some(sealing) = loaded.members.sealing_epoch(held) else { return Vec::new() };
    // What lies under the key that was shown the log has gone through: else whoever began its epoch had
    // been left out of that one.
    let under = |epoch: Option<EpochId>| {
        let key = loaded.epoch_keys.iter().find(|key| Some(key.id()) == epoch);
        key.map(|key| loaded.members.opened_by(std::slice::from_ref(key))).unwrap_or_default()
    };
    let (passed, ahead) = (under(shown), under(Some(sealing)));
    let newest = loaded.members.newest_epochs();
    let may_stay = loaded.members.epochs().any(|(epoch, op)| {
        Some(epoch) == shown && newest.contains(&epoch) && loaded.members.is_clean(&op.hash())
    });
    let goes = |epoch: &EpochId| ahead.contains_key(epoch) && !passed.contains_key(epoch);
    let all = loaded.members.epochs().map(|(epoch, _)| epoch);
    all.filter(goes).filter(|_| !may_stay).collect()
}
