//! Bundles in, step by step: opened and verified, judged, applied, filed, told.

use fallaway_order::Set;

use fallaway_advice::observe::facts_of;
use fallaway_changes::{BundleId, ChangeId, DeviceId, RecordId};
use fallaway_order::OneByOne as _;
use fallaway_sharing::{
    Action, ChangeBundle, Payload, bundle_file, bundle_id, handing_key, header, is_letter, seal,
};
use fallaway_store::{Batch, ChangeStanding, StoreError};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;

use super::again::SaidAgain;
use super::candidates::{Arriving, Opened, gather, short_name};
use super::outcome::MergeOutcome;
use super::quotas::DevicesOf;
use super::report;
use super::sealing::take_keys;
use super::unread;
use super::why_aside::WhyAside;
use crate::error::{Error, NotFoundKind, Result};
use crate::keeping::callbacks::{LogLevel, NoProgress, ProgressListener};
use crate::keeping::loaded_record::{LoadedRecord, WriterLabels};
use crate::keeping::notice::Notice;
use crate::keeping::projection;
use crate::keeping::session::Session;
use crate::keeping::workshop_state::{COMPACT_AFTER_MERGE, WorkshopState, missing};
use crate::sharing::receipts;
use crate::sharing::relay::{self, Came, LogPage};
use crate::showing::card::{KeptLatest, Latest};
use crate::showing::views::{MergeReport, RefusedBundle, SecondUse};
use crate::workshop::Workshop;
use crate::writing::setups;

/// How often a merge is tried again after another process was faster.
const ATTEMPTS: usize = 200;

impl Workshop {
    /// Brings the bundles of a file into the record that they belong to, in whatever order they
    /// come, however often. Either all that can be taken is taken, durably, or nothing.
    ///
    /// # Errors
    /// [`Error::Refused`] for bytes that are not a bundle file, or if none of its bundles can be
    /// taken; [`Error::NotFound`] for a record that this device does not share; when the store
    /// cannot be written. Single bundles that are refused are listed in the report.
    pub fn bundle_in(&self, bytes: &[u8]) -> Result<MergeReport> {
        self.bundle_in_watched(bytes, &NoProgress)
    }

    /// The same, and `progress` is told after each bundle how many of the file's are opened and
    /// verified. It can stop the call until they are merged, which is one step.
    ///
    /// # Errors
    /// As [`Workshop::bundle_in`], and [`Error::Cancelled`] if it was stopped: then nothing was
    /// taken.
    pub fn bundle_in_watched(
        &self,
        bytes: &[u8],
        progress: &dyn ProgressListener,
    ) -> Result<MergeReport> {
        let mut sealed = sealed_of(bytes)?;
        // Those are for somebody who joins or recovers.
        sealed.retain(|one| !is_letter(one));
        let id = self.addressee(&sealed)?;
        merge_in(&self.inner, id, &sealed, None, progress)
    }

    /// The record to which the first bundle is addressed.
    fn addressee(&self, sealed: &[&[u8]]) -> Result<RecordId> {
        let first = sealed.first().ok_or_else(|| Error::refused(say::no_bundles()))?;
        let of = header(first)?;
        let _open = self.inner.session()?;
        let records = self.inner.store.records()?;
        let found = records.into_iter().find(|head| head.record.tag(&of.epoch) == of.tag);
        found.map(|head| head.record).ok_or_else(|| Error::NotFound {
            what: NotFoundKind::Instrument,
            name: of.tag.to_string(),
            accepted: Accepted::nothing(NothingAccepted::Unwritten).said(say::not_shared_here()),
        })
    }
}

/// What a bundle file holds, or a bundle without a file around it.
pub(crate) fn sealed_of(bytes: &[u8]) -> Result<Vec<&[u8]>> {
    let single = header(bytes).is_ok() || is_letter(bytes);
    Ok(if single { vec![bytes] } else { bundle_file::read(bytes)? })
}

/// Merges these bundles of one record. With a `page` of a log, everything that can be taken is, and the
/// place in the log is kept with it.
pub(crate) fn merge_in(
    inner: &WorkshopState,
    id: RecordId,
    sealed: &[&[u8]],
    page: Option<&LogPage>,
    progress: &dyn ProgressListener,
) -> Result<MergeReport> {
    let mut session = inner.session()?;
    let session = &mut *session;
    for _ in 0..ATTEMPTS {
        match inner.noting(merge(inner, session, id, sealed, page, progress)) {
            Err(Error::Busy { .. }) => {
                session.records.remove(&id);
            }
            Err(error) => {
                // What is in memory may be ahead of the store.
                session.records.remove(&id);
                return Err(error);
            }
            Ok(report) => return Ok(report),
        }
    }
    Err(Error::busy(say::other_processes()))
}

/// One attempt; [`Error::Busy`] if another process was faster, or this device goes on as a new
/// writer.
fn merge(
    inner: &WorkshopState,
    session: &mut Session,
    id: RecordId,
    sealed: &[&[u8]],
    page: Option<&LogPage>,
    progress: &dyn ProgressListener,
) -> Result<MergeReport> {
    inner.refresh(session, id)?;
    let loaded = session.records.get(&id).ok_or_else(|| missing(id))?;
    let opened = Opened::open(loaded, sealed, progress)?;
    let nothing =
        opened.members.is_empty() && opened.changes.is_empty() && opened.receipts.is_empty();
    if nothing && page.is_none() {
        let mut batch = Batch::new();
        let kept = unread::kept(inner.store.as_ref(), &id);
        unread::keep(&kept, &[opened.unread, kept.clone()].concat(), &mut batch);
        if let Some(loaded) = session.records.get_mut(&id)
            && !batch.projections.is_empty()
        {
            loaded.generation = inner.store.commit(&id, loaded.generation, &batch)?;
        }
        let reason =
            opened.refused.into_iter().next().map_or_else(say::nothing_in_it, |one| one.reason);
        return Err(Error::refused(reason));
    }
    merge_opened(inner, session, id, opened, page)
}

/// Judges anew what is here, after this device has changed who may do what.
pub(crate) fn judge_again(
    inner: &WorkshopState,
    session: &mut Session,
    id: RecordId,
) -> Result<MergeReport> {
    for _ in 0..ATTEMPTS {
        inner.refresh(session, id)?;
        match merge_opened(inner, session, id, Opened::default(), None) {
            Err(Error::Busy { .. }) => drop(session.records.remove(&id)),
            done => return done,
        }
    }
    Err(Error::busy(say::other_processes()))
}

fn merge_opened(
    inner: &WorkshopState,
    session: &mut Session,
    id: RecordId,
    opened: Opened,
    page: Option<&LogPage>,
) -> Result<MergeReport> {
    let Opened { members, mut changes, mut receipts, refused: mut unopened, mut unread, units } =
        opened;
    let mut came = Came { opened: units, ..Came::default() };
    let loaded = session.records.get(&id).ok_or_else(|| missing(id))?;
    if is_written_elsewhere(loaded, &changes) {
        go_on_as_a_new_writer(inner, session, id)?;
    }
    // The draft's values were written without seeing what comes now.
    if session.records.get(&id).is_some_and(|loaded| !loaded.draft.is_empty()) {
        inner.commit_draft(session, id)?;
        inner.refresh(session, id)?;
    }
    let Session { identity, records, changed, notices, .. } = session;
    let loaded = records.get_mut(&id).ok_or_else(|| missing(id))?;

    let mut batch = Batch::new();
    let own = identity.keys.device();
    let mut arriving = Arriving::at(loaded, &own);
    let mut devices = loaded.members.handing_keys().len();
    arriving.take(loaded, &own, members)?;
    let kept = unread::kept(inner.store.as_ref(), &id);
    unread.extend(kept.iter().cloned());
    // A key that came opens what waited for it, and that may hold another one; whoever came, what is handed to it.
    loop {
        let before = std::mem::replace(&mut devices, loaded.members.handing_keys().len());
        let opens_more = take_keys(identity, loaded, &mut batch) || devices != before;
        if !opens_more || unread.is_empty() {
            break;
        }
        let again = Opened::open(loaded, &unread, &NoProgress)?;
        if is_written_elsewhere(loaded, &again.changes) {
            identity.renew(inner.store.as_ref(), inner.keeper.as_ref(), inner.random.as_ref())?;
            notices.push(Notice::NewWriter);
            return Err(Error::busy(say::record_moved()));
        }
        came.opened.extend(again.units);
        unopened = again.refused;
        unread = again.unread;
        changes.extend(again.changes);
        receipts.extend(again.receipts);
        arriving.take(loaded, &own, again.members)?;
    }
    if !unread.is_empty() {
        // What hands a key to somebody of whom nothing has come yet, and has come in its other form.
        let known = handed_forms(loaded);
        unread.retain(|bytes| !known.contains(&bundle_id(bytes)));
        let known: Set<String> = known.iter().map(short_name).in_set();
        unopened.retain(|one| !known.contains(&one.bundle));
    }
    let (people_added, second_uses) = arriving.file(loaded, &own, &changes, &mut batch);
    let receipts_came = receipts.len();
    receipts::take(inner.store.as_ref(), loaded, receipts, &mut batch);
    (came.unread, came.missed) = unread::keep(&kept, &unread, &mut batch);
    let gathered = gather(loaded, changes, loaded.beside(inner.store.as_ref())?);
    let heads = loaded.record.heads();
    let before = inner.kept_latest(loaded);
    let mut outcome = MergeOutcome::of(loaded, &gathered, !batch.members.is_empty());
    let own = SaidAgain::of(loaded, identity, &gathered, &outcome);
    if own.is_of(&loaded.writer) {
        // The branch of this writer ends here.
        identity.renew(inner.store.as_ref(), inner.keeper.as_ref(), inner.random.as_ref())?;
        return Err(Error::busy(say::record_moved()));
    }
    came.left = outcome.before.is_some();
    came.key = !batch.epoch_keys.is_empty();
    relay::note(inner.store.as_ref(), &id, &loaded.record, page, &came, &mut batch);
    let already_here = gathered.already_here;
    let taken = outcome.took_something()
        || !batch.members.is_empty()
        || !batch.projections.is_empty()
        || !batch.epoch_keys.is_empty();
    if let (false, 0, Some(first)) =
        (taken, already_here, unopened.iter().chain(&outcome.refused).next())
    {
        return Err(Error::refused(first.reason.clone()));
    }
    outcome.file(loaded, &gathered, &mut batch);
    outcome.wrote_more = own.write(loaded, identity, &mut batch);
    project(inner, loaded, (before, &heads), &outcome, &mut batch);
    let members_added = batch.members.len();
    let left = std::mem::take(&mut outcome.moved_out);
    match inner.store.commit(&id, loaded.generation, &batch) {
        Ok(generation) => loaded.filed(batch, left, generation),
        Err(StoreError::Moved { .. }) => return Err(Error::busy(say::record_moved())),
        Err(error) => return Err(error.into()),
    }
    changed.insert(id);
    let copied = copied(loaded, &identity.keys.device(), &outcome);
    if copied.own && !notices.contains(&Notice::Copied) {
        notices.push(Notice::Copied);
    }
    inner.log(LogLevel::Info, || {
        format!(
            "merged: {} changes in, {} beside, {} out, {} refused, {members_added} member \
             operations, {already_here} here before",
            outcome.admitted.len(),
            outcome.aside.len(),
            outcome.left.len(),
            unopened.len() + outcome.refused.len(),
        )
    });
    inner.compact_if(loaded, COMPACT_AFTER_MERGE)?;
    let labels = loaded.writer_labels(identity);
    let mut refused = unopened;
    refused.append(&mut outcome.refused);
    let copied = copied.labels;
    let told =
        Told { people_added, second_uses, already_here, refused, copied, receipts: receipts_came };
    Ok(report_of(inner, loaded, &labels, &outcome, told))
}

/// The names of the bundles in which the keys that are handed on here reach whom they are for.
fn handed_forms(loaded: &LoadedRecord) -> Set<BundleId> {
    let handed = loaded.members.ops().filter_map(|op| match op.action() {
        Action::HandKey { wrapped, .. } => {
            let key = handing_key(&loaded.id, &wrapped.device);
            seal(&key, &loaded.id, &Payload::Member(op.clone())).ok()
        }
        _ => None,
    });
    handed.map(|sealed| bundle_id(&sealed)).in_set()
}

/// Whether a bundle brought work of this device's writer that the store lacks: it is older than what
/// the device has written, or the device was copied.
fn is_written_elsewhere(loaded: &LoadedRecord, changes: &[ChangeBundle]) -> bool {
    let own = changes.iter().filter(|bundle| bundle.proof().writer() == loaded.writer);
    own.flat_map(ChangeBundle::changes).any(|change| {
        let id = change.id();
        !loaded.record.contains(&id) && !loaded.pending.iter().any(|one| one.hash == id)
    })
}

fn go_on_as_a_new_writer(inner: &WorkshopState, session: &mut Session, id: RecordId) -> Result<()> {
    let (store, keeper) = (inner.store.as_ref(), inner.keeper.as_ref());
    session.identity.renew(store, keeper, inner.random.as_ref())?;
    session.notices.push(Notice::NewWriter);
    session.records.remove(&id);
    inner.refresh(session, id)
}

/// Devices of which a second history came to light.
struct Copied {
    labels: Vec<String>,
    own: bool,
}

fn copied(loaded: &LoadedRecord, own: &DeviceId, outcome: &MergeOutcome) -> Copied {
    let forked: Set<&ChangeId> = outcome
        .aside
        .iter()
        .chain(&outcome.left)
        .filter(|(_, (_, why))| *why == WhyAside::Fork)
        .map(|(id, _)| id)
        .in_set();
    let lines = loaded.pending.iter().filter(|one| forked.contains(&one.hash));
    let devices = DevicesOf::new(loaded);
    let devices: Set<DeviceId> = lines.filter_map(|one| devices.of(&one.writer)).in_set();
    let labels = loaded.members.labels(own);
    let label = |device: &DeviceId| labels.get(device).cloned();
    Copied {
        labels: devices
            .iter()
            .map(|device| label(device).unwrap_or_else(|| device.fingerprint()))
            .collect(),
        own: devices.contains(own),
    }
}

/// Puts the projections of the record as it is after the merge into the batch. `before` is what was
/// read last before it, and the heads that the record had.
fn project(
    inner: &WorkshopState,
    loaded: &mut LoadedRecord,
    before: (Option<Latest>, &[ChangeId]),
    outcome: &MergeOutcome,
    batch: &mut Batch,
) {
    // What follows everything that was here is taken in. Anything else asks for a new reading of the
    // history, which is left to whoever wants the numbers next: of many merges only the last one counts.
    let (latest, heads) = before;
    let following = outcome.following(heads);
    let facts = facts_of(loaded.record.registers());
    loaded.latest = latest
        .zip(following)
        .and_then(|(mut latest, puts)| latest.absorb_puts(puts, &facts).then_some(latest));
    if loaded.latest.is_some() {
        inner.project(loaded, inner.clock.now(), batch);
    } else {
        inner.project_line(loaded, inner.clock.now(), batch);
        batch.projections.push((projection::CARD, None));
    }
    let kept = loaded.latest.as_ref().map(|latest| KeptLatest::of(latest, &loaded.record.heads()));
    batch.projections.push((projection::LATEST, kept.as_ref().map(projection::encode)));
}

/// What the steps have found out that the record does not say.
struct Told {
    people_added: Vec<String>,
    second_uses: Vec<SecondUse>,
    already_here: usize,
    refused: Vec<RefusedBundle>,
    copied: Vec<String>,
    receipts: usize,
}

fn report_of(
    inner: &WorkshopState,
    loaded: &LoadedRecord,
    labels: &WriterLabels,
    outcome: &MergeOutcome,
    told: Told,
) -> MergeReport {
    let now = inner.clock.now();
    let registers = loaded.registers(now.unix_s);
    let shown = (labels, now.offset_min);
    let contested = outcome.newly_contested.iter().filter_map(|(container, key)| {
        let register = registers.get(*container, key)?;
        register.contested.then(|| setups::view(&registers, *container, key, register, shown))
    });
    let set_aside = loaded
        .pending
        .iter()
        .filter(|one| matches!(one.standing, ChangeStanding::Held | ChangeStanding::Quarantined));
    MergeReport {
        instrument: loaded.id,
        name: registers.spec().name.clone().unwrap_or_default(),
        added: report::added(outcome.admitted.iter(), labels),
        people_added: told.people_added,
        second_uses: told.second_uses,
        newly_contested: contested.collect(),
        already_here: told.already_here,
        waiting: loaded.count(ChangeStanding::Waiting),
        set_aside: set_aside.map(|one| WhyAside::stored(one.reason.as_deref())).collect(),
        copied: told.copied,
        refused: told.refused,
        receipts: told.receipts,
    }
}
