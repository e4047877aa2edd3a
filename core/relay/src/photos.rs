//! Photos in a log: their parts are in rows, or in a store with their names in rows.
//!
//! No object is in the store that the rows do not know. Before one is sent its name is noted, with the time from
//! which it may be taken away; the transaction that makes it a part of a photo takes the note away, and the one
//! that takes the photo away notes it again. So a process may end anywhere, and several may share a store.

use fallaway_changes::{BlobId, LogId};
use fallaway_sync::wire::access::TokenHash;

use crate::engine::Engine;
use crate::entry::{DAY, enter_whole, ruled};
use crate::model::{BlobPush, BlobTaken, EngineError, ShelvesError};
use crate::objects::{ObjectName, ObjectPlace};
use crate::photo_rows::{Brought, PartLook, drop_blob, going, named};
use crate::rows::WorkHint;

/// For how long whoever takes an object away is given, before another tries.
const GOING: i64 = 60 * 60;
/// Objects that one sweep takes away.
const OBJECTS_AT_ONCE: usize = 64;

impl Engine {
    /// Puts the parts of photos that come from now on into a store.
    #[must_use]
    pub fn with_objects(mut self, objects: Box<dyn ObjectPlace>) -> Self {
        self.objects = Some(objects);
        self
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
                PartLook::Told(taken) => return Ok(taken),
                PartLook::Complete => {}
                PartLook::New(seen) => {
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
            if matches!(look, PartLook::New(_)) {
                if rows.object(&name)?.is_some_and(|at| at < 0) {
                    return Err(going());
                }
                rows.put_object(&name, Some(now.saturating_add(DAY)))?;
            }
            Ok(look)
        })?;
        let told = match look {
            PartLook::Told(taken) => Some(taken),
            PartLook::Complete => None,
            PartLook::New(_) => {
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
