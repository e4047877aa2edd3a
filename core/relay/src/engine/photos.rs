//! Photos in a log: their parts are in rows, or in a store with their names in rows.
//!
//! No object is in the store that the rows do not know. Before one is sent its name is noted, with the time from
//! which it may be taken away; the transaction that makes it a part of a photo takes the note away, and the one
//! that takes the photo away notes it again. So a process may end anywhere, and several may share a store.

use super::{DAY, Engine, enter_whole, ruled};
use crate::model::{BlobPush, BlobTaken, EngineError, Quotas, ShelvesError};
use crate::objects::{ObjectName, ObjectPlace};
use crate::rows::{BlobRow, LogRow, LogRows, WorkHint};
use fallaway_changes::{BlobId, LogId};
use fallaway_sync::wire::access::TokenHash;

/// For how long whoever takes an object away is given, before another tries.
const GOING: i64 = 60 * 60;
/// Objects that one sweep takes away.
const OBJECTS_AT_ONCE: usize = 64;

impl Engine {
    /// Puts the parts of photos that come from now on into a store.
    #[must_use]
    pub fn with_objects(self, objects: Box<dyn ObjectPlace>) -> Self {
        Self { objects: Some(objects), ..self }
    }

    /// Takes a part of a photo into a log. The photo can be had once every part is there, and they are what
    /// its id names.
    ///
    /// # Errors
    /// [`EngineError::NoAccess`], [`EngineError::Gone`], [`EngineError::Retired`], [`EngineError::Quota`],
    /// [`EngineError::Full`].
    pub fn put_blob_part(&self, push: BlobPush, now: i64) -> Result<BlobTaken, EngineError> {
        let BlobPush { log, token, id, part, parts, sealed } = push;
        let of = Brought { log, token, id, part, parts, bytes: sealed.len() as u64 };
        if let Some(objects) = &self.objects {
            return self.put_away(objects.as_ref(), of, sealed, now);
        }
        let quotas = self.quotas;
        self.write_now(WorkHint::log(log), move |rows| {
            match of.look(rows, false, quotas)? {
                Look::Told(taken) => return Ok(taken),
                Look::Complete => {}
                Look::New(seen) => {
                    if !of.add(rows, &seen, &sealed, false, now)? {
                        return Ok(BlobTaken::Lacking);
                    }
                }
            }
            let mut hasher = blake3::Hasher::new();
            for part in 0..parts {
                hasher.update(&rows.blob_part(&log, &id, part)?.unwrap_or_default());
            }
            of.judged(rows, hasher.finalize().as_bytes() == id.as_bytes(), now)
        })
    }

    fn put_away(
        &self,
        objects: &dyn ObjectPlace,
        of: Brought,
        sealed: Vec<u8>,
        now: i64,
    ) -> Result<BlobTaken, EngineError> {
        let (quotas, hint) = (self.quotas, || WorkHint::log(of.log));
        let name = ObjectName::of(&of.log, &of.id, of.part, &sealed);
        let look = self.write_now(hint(), move |rows| {
            let look = of.look(rows, true, quotas)?;
            if matches!(look, Look::New(_)) {
                if rows.object(&name)?.is_some_and(|at| at < 0) {
                    return Err(going());
                }
                rows.put_object(&name, Some(now.saturating_add(DAY)))?;
            }
            Ok(look)
        })?;
        let told = match look {
            Look::Told(taken) => Some(taken),
            Look::Complete => None,
            Look::New(_) => {
                objects.put(&name, sealed)?;
                self.write_now(hint(), move |rows| of.arrived(rows, &name, quotas, now))?
            }
        };
        match told {
            Some(taken) => Ok(taken),
            None => self.judge_away(objects, of, now),
        }
    }

    /// Looks whether parts in the store are what the id names.
    fn judge_away(
        &self,
        objects: &dyn ObjectPlace,
        of: Brought,
        now: i64,
    ) -> Result<BlobTaken, EngineError> {
        let Some(names) = self.read(|rows| of.names(rows))? else { return Ok(BlobTaken::Lacking) };
        let mut hasher = blake3::Hasher::new();
        for name in &names {
            hasher.update(&objects.get(name)?.unwrap_or_default());
        }
        let right = hasher.finalize().as_bytes() == of.id.as_bytes();
        self.write_now(WorkHint::log(of.log), move |rows| {
            match rows.blob(&of.log, &of.id)? {
                Some(blob) if blob.whole => Ok(BlobTaken::Same),
                // Others came in their place meanwhile: whoever brought those looks at them.
                _ if of.names(rows)?.as_ref() != Some(&names) => Ok(BlobTaken::Lacking),
                _ => of.judged(rows, right, now),
            }
        })
    }

    /// How many parts a photo has, and which of them are there.
    ///
    /// # Errors
    /// [`EngineError::NotFound`], [`EngineError::NoAccess`], [`EngineError::Retired`].
    pub fn blob(
        &self,
        log: LogId,
        token: TokenHash,
        id: BlobId,
    ) -> Result<(u32, Vec<u32>), EngineError> {
        self.read(|rows| {
            enter_whole(rows, &log, &token)?;
            let row = rows.blob(&log, &id)?.ok_or(EngineError::NotFound)?;
            Ok((row.parts, rows.blob_parts(&log, &id)?))
        })
    }

    /// One part of a photo that is whole, and how many it has.
    ///
    /// # Errors
    /// As [`Engine::blob`].
    pub fn blob_part(
        &self,
        log: LogId,
        token: TokenHash,
        id: BlobId,
        part: u32,
    ) -> Result<(u32, Vec<u8>), EngineError> {
        let (row, kept) = self.read(|rows| {
            enter_whole(rows, &log, &token)?;
            let row = rows.blob(&log, &id)?.filter(|row| row.whole);
            let row = row.ok_or(EngineError::NotFound)?;
            let kept = rows.blob_part(&log, &id, part)?.ok_or(EngineError::NotFound)?;
            Ok((row, kept))
        })?;
        if !row.away {
            return Ok((row.parts, kept));
        }
        let none = || ShelvesError::Engine("photos are in a store that is not named".to_owned());
        let objects = self.objects.as_ref().ok_or_else(none)?;
        let name = named(&kept)?;
        // A store that lost it, or gives something else, has it no more.
        let found = objects.get(&name)?.filter(|it| ObjectName::of(&log, &id, part, it) == name);
        Ok((row.parts, found.ok_or(EngineError::NotFound)?))
    }

    /// Takes a photo away.
    ///
    /// # Errors
    /// [`EngineError::NotFound`]; [`EngineError::NoAccess`] but for the admin token.
    pub fn remove_blob(
        &self,
        log: LogId,
        admin: TokenHash,
        id: BlobId,
        now: i64,
    ) -> Result<(), EngineError> {
        self.write_now(WorkHint::log(log), move |rows| {
            let row = ruled(rows, &log, &admin)?;
            if row.admin != admin {
                return Err(EngineError::NoAccess);
            }
            rows.blob(&log, &id)?.ok_or(EngineError::NotFound)?;
            drop_blob(rows, &log, &id, now)
        })
    }

    /// Takes some objects out of the store that belong to no photo any more; answers whether there may be more.
    ///
    /// # Errors
    /// [`EngineError::Shelves`].
    pub fn sweep_objects(&self, now: i64) -> Result<bool, EngineError> {
        let Some(objects) = &self.objects else { return Ok(false) };
        let due = self.write_now(WorkHint::default(), move |rows| {
            let due = rows.objects_due(now, GOING - now, OBJECTS_AT_ONCE)?;
            for name in &due {
                rows.put_object(name, Some(-now))?;
            }
            Ok(due)
        })?;
        let more = due.len() >= OBJECTS_AT_ONCE;
        for name in due {
            objects.remove(&name)?;
            self.write_now(WorkHint::default(), move |rows| Ok(rows.put_object(&name, None)?))?;
        }
        Ok(more)
    }
}

/// Somebody is taking away what would be put there.
fn going() -> EngineError {
    ShelvesError::Engine("the object is being taken away".to_owned()).into()
}

/// The name that a row keeps.
fn named(kept: &[u8]) -> Result<ObjectName, ShelvesError> {
    let name = kept.try_into().map(ObjectName);
    name.map_err(|_| ShelvesError::Engine("a row has no name of an object".to_owned()))
}

/// A part that came, without its bytes.
#[derive(Clone, Copy)]
struct Brought {
    log: LogId,
    token: TokenHash,
    id: BlobId,
    part: u32,
    parts: u32,
    bytes: u64,
}

/// What there is to do with it.
enum Look {
    /// Nothing.
    Told(BlobTaken),
    /// All parts are there, and nobody has looked at them.
    Complete,
    /// To be added.
    New(Seen),
}

/// What was found beside it.
struct Seen {
    row: LogRow,
    before: Option<BlobRow>,
    /// What it adds to; if nothing, what was there before goes.
    counts: Option<BlobRow>,
    here: usize,
}

impl Seen {
    /// Bytes that go.
    fn freed(&self) -> u64 {
        let goes = self.before.filter(|_| self.counts.is_none());
        goes.map_or(0, |blob| blob.bytes)
    }
}

impl Brought {
    fn look(
        &self,
        rows: &mut dyn LogRows,
        away: bool,
        quotas: Quotas,
    ) -> Result<Look, EngineError> {
        let Self { log, token, id, part, parts, bytes } = self;
        let row = enter_whole(rows, log, token)?;
        let before = rows.blob(log, id)?;
        if before.is_some_and(|blob| blob.whole) {
            return Ok(Look::Told(BlobTaken::Same));
        }
        // Who counts otherwise begins anew: one of the two is wrong.
        let counts = before.filter(|blob| blob.parts == *parts && blob.away == away);
        let here = if counts.is_some() { rows.blob_parts(log, id)? } else { Vec::new() };
        if here.contains(part) {
            let complete = here.len() as u64 == u64::from(*parts);
            return Ok(if complete { Look::Complete } else { Look::Told(BlobTaken::Lacking) });
        }
        let seen = Seen { row, before, counts, here: here.len() };
        let grown = |held: u64| held.saturating_sub(seen.freed()).saturating_add(*bytes);
        if grown(seen.row.bytes) > quotas.log_bytes {
            return Err(EngineError::Quota);
        }
        if grown(rows.total()?) > quotas.total_bytes {
            return Err(EngineError::Full);
        }
        Ok(Look::New(seen))
    }

    /// Adds it, and says whether all are there now.
    fn add(
        &self,
        rows: &mut dyn LogRows,
        seen: &Seen,
        kept: &[u8],
        away: bool,
        now: i64,
    ) -> Result<bool, EngineError> {
        let Self { log, id, part, parts, bytes, .. } = self;
        let freed = seen.freed();
        if seen.before.is_some() && seen.counts.is_none() {
            forget(rows, log, id, now)?;
        }
        let new = BlobRow { parts: *parts, whole: false, away, bytes: 0, at: now };
        let blob = seen.counts.unwrap_or(new);
        let size = blob.bytes.saturating_add(*bytes);
        rows.put_blob(log, id, Some(&BlobRow { bytes: size, ..blob }))?;
        rows.add_blob_part(log, id, *part, kept)?;
        let held = seen.row.bytes.saturating_sub(freed).saturating_add(*bytes);
        rows.put_log(log, &LogRow { bytes: held, touched: now, ..seen.row.clone() })?;
        let size = |bytes: u64| i64::try_from(bytes).unwrap_or(i64::MAX);
        rows.grow(size(*bytes) - size(freed));
        Ok(seen.here as u64 + 1 == u64::from(*parts))
    }

    /// Its bytes are in the store. `None` if all parts are there, and have to be looked at.
    fn arrived(
        &self,
        rows: &mut dyn LogRows,
        name: &ObjectName,
        quotas: Quotas,
        now: i64,
    ) -> Result<Option<BlobTaken>, EngineError> {
        let told = match self.look(rows, true, quotas)? {
            Look::New(seen) => {
                if rows.object(name)?.is_none_or(|at| at < 0) {
                    return Err(going());
                }
                rows.put_object(name, None)?;
                let complete = self.add(rows, &seen, &name.0, true, now)?;
                return Ok((!complete).then_some(BlobTaken::Lacking));
            }
            Look::Told(taken) => Some(taken),
            Look::Complete => None,
        };
        // Somebody else was faster: with the same bytes, or with others, and then nobody needs these.
        let kept = rows.blob_part(&self.log, &self.id, self.part)?;
        let same = kept.as_deref() == Some(&name.0[..]);
        rows.put_object(name, (!same).then_some(now))?;
        Ok(told)
    }

    /// The names of all parts in the store, if they are there.
    fn names(&self, rows: &mut dyn LogRows) -> Result<Option<Vec<ObjectName>>, EngineError> {
        let mut names = Vec::new();
        if !rows.blob(&self.log, &self.id)?.is_some_and(|blob| blob.away) {
            return Ok(None);
        }
        for part in 0..self.parts {
            match rows.blob_part(&self.log, &self.id, part)? {
                Some(kept) => names.push(named(&kept)?),
                None => return Ok(None),
            }
        }
        Ok(Some(names))
    }

    /// Somebody has looked at all parts.
    fn judged(
        &self,
        rows: &mut dyn LogRows,
        right: bool,
        now: i64,
    ) -> Result<BlobTaken, EngineError> {
        let Some(blob) = rows.blob(&self.log, &self.id)? else { return Ok(BlobTaken::Lacking) };
        if right {
            rows.put_blob(&self.log, &self.id, Some(&BlobRow { whole: true, ..blob }))?;
            return Ok(BlobTaken::Whole);
        }
        drop_blob(rows, &self.log, &self.id, now)?;
        Ok(BlobTaken::Wrong)
    }
}

/// Takes a photo out of the rows; what it has in the store is noted.
fn forget(rows: &mut dyn LogRows, log: &LogId, id: &BlobId, now: i64) -> Result<(), EngineError> {
    if rows.blob(log, id)?.is_some_and(|blob| blob.away) {
        for part in rows.blob_parts(log, id)? {
            if let Some(kept) = rows.blob_part(log, id, part)? {
                rows.put_object(&named(&kept)?, Some(now))?;
            }
        }
    }
    Ok(rows.put_blob(log, id, None)?)
}

/// Takes a photo out of a log, and its bytes out of what that has.
pub(super) fn drop_blob(
    rows: &mut dyn LogRows,
    log: &LogId,
    id: &BlobId,
    now: i64,
) -> Result<(), EngineError> {
    // First, so that nobody adds to it meanwhile.
    let row = rows.log(log)?;
    let bytes = rows.blob(log, id)?.map_or(0, |blob| blob.bytes);
    forget(rows, log, id, now)?;
    // What a deleted log held is counted no more.
    if let Some(row) = row.filter(|row| row.gone.is_none()) {
        rows.put_log(log, &LogRow { bytes: row.bytes.saturating_sub(bytes), ..row })?;
        rows.grow(-i64::try_from(bytes).unwrap_or(i64::MAX));
    }
    Ok(())
}
