//! What becomes of the rows of a photo when a part of it comes, and when it goes.

use fallaway_changes::{BlobId, LogId};
use fallaway_sync::wire::access::TokenHash;

use crate::entry::enter_whole;
use crate::model::{BlobTaken, EngineError, Quotas, ShelvesError};
use crate::objects::ObjectName;
use crate::rows::{BlobRow, LogRow, LogRows};

/// Somebody is taking away what would be put there.
pub(crate) fn going() -> EngineError {
    ShelvesError::Engine("the object is being taken away".to_owned()).into()
}

/// The name that a row keeps.
pub(crate) fn named(kept: &[u8]) -> Result<ObjectName, ShelvesError> {
    let name = kept.try_into().map(ObjectName);
    name.map_err(|_| ShelvesError::Engine("a row has no name of an object".to_owned()))
}

/// A part that came, without its bytes.
#[derive(Clone, Copy)]
pub(crate) struct Brought {
    pub(crate) log: LogId,
    pub(crate) token: TokenHash,
    pub(crate) id: BlobId,
    pub(crate) part: u32,
    pub(crate) parts: u32,
    pub(crate) bytes: u64,
}

/// What there is to do with it.
pub(crate) enum PartLook {
    /// Nothing.
    Told(BlobTaken),
    /// All parts are there, and nobody has looked at them.
    Complete,
    /// To be added.
    New(Seen),
}

/// What was found beside it.
pub(crate) struct Seen {
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
    pub(crate) fn look(
        &self,
        rows: &mut dyn LogRows,
        away: bool,
        quotas: Quotas,
    ) -> Result<PartLook, EngineError> {
        let Self { log, token, id, part, parts, bytes } = self;
        let row = enter_whole(rows, log, token)?;
        let before = rows.blob(log, id)?;
        if before.is_some_and(|blob| blob.whole) {
            return Ok(PartLook::Told(BlobTaken::Same));
        }
        // Who counts otherwise begins anew: one of the two is wrong.
        let counts = before.filter(|blob| blob.parts == *parts && blob.away == away);
        let here = if counts.is_some() { rows.blob_parts(log, id)? } else { Vec::new() };
        if here.contains(part) {
            let complete = here.len() as u64 == u64::from(*parts);
            return Ok(if complete {
                PartLook::Complete
            } else {
                PartLook::Told(BlobTaken::Lacking)
            });
        }
        let seen = Seen { row, before, counts, here: here.len() };
        let grown = |held: u64| held.saturating_sub(seen.freed()).saturating_add(*bytes);
        if grown(seen.row.bytes) > quotas.log_bytes {
            return Err(EngineError::Quota);
        }
        if grown(rows.total()?) > quotas.total_bytes {
            return Err(EngineError::Full);
        }
        Ok(PartLook::New(seen))
    }

    /// Adds it, and says whether all are there now.
    pub(crate) fn add(
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
    pub(crate) fn arrived(
        &self,
        rows: &mut dyn LogRows,
        name: &ObjectName,
        quotas: Quotas,
        now: i64,
    ) -> Result<Option<BlobTaken>, EngineError> {
        let told = match self.look(rows, true, quotas)? {
            PartLook::New(seen) => {
                if rows.object(name)?.is_none_or(|at| at < 0) {
                    return Err(going());
                }
                rows.put_object(name, None)?;
                let complete = self.add(rows, &seen, &name.0, true, now)?;
                return Ok((!complete).then_some(BlobTaken::Lacking));
            }
            PartLook::Told(taken) => Some(taken),
            PartLook::Complete => None,
        };
        // Somebody else was faster: with the same bytes, or with others, and then nobody needs these.
        let kept = rows.blob_part(&self.log, &self.id, self.part)?;
        let same = kept.as_deref() == Some(&name.0[..]);
        rows.put_object(name, (!same).then_some(now))?;
        Ok(told)
    }

    /// The names of all parts in the store, if they are there.
    pub(crate) fn names(
        &self,
        rows: &mut dyn LogRows,
    ) -> Result<Option<Vec<ObjectName>>, EngineError> {
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
    pub(crate) fn judged(
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
pub(crate) fn drop_blob(
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
