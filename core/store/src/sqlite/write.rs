//! What a commit writes, inside a transaction that the caller holds.

use std::collections::{BTreeMap, BTreeSet};

use fallaway_changes::{ChangeHash, RecordId, Writer};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension};

use super::codec;
use super::fault::{Fault, moved};
use super::table::{
    CHANGE, CONTESTED, DRAFT, EPOCH_KEY, MEMBER, OUTGOING, PROJECTION, RECORD, SIGNATURE, SNAPSHOT,
    WRITER,
};
use crate::batch::{Batch, ContestedEdit, DraftEdit, Move, OutgoingEdit};
use crate::contract::SnapshotCheck;
use crate::error::StoreError;
use crate::model::{
    DraftLine, Generation, Snapshot, Standing, StoredChange, StoredEpochKey, StoredMemberOp,
    StoredSignature, StoredWriter,
};
use crate::rules;

pub(super) fn blob<const N: usize>(bytes: &[u8; N]) -> ValueRef<'_> {
    ValueRef::Blob(bytes)
}

fn integer(number: impl Into<i64>) -> ValueRef<'static> {
    ValueRef::Integer(number.into())
}

/// The record's generation, if there is such a record.
pub(super) fn generation(
    conn: &Connection,
    record: &RecordId,
) -> Result<Option<Generation>, Fault> {
    let found = RECORD.one(conn, "WHERE id = ?1", [record.as_bytes()], codec::record)?;
    Ok(found.map(|(_, (_, generation))| generation))
}

/// Adds the record's own line.
pub(super) fn create(conn: &Connection, record: &RecordId) -> Result<Generation, Fault> {
    let first = Generation(1);
    if generation(conn, record)?.is_some() {
        return Err(StoreError::RecordExists { record: *record }.into());
    }
    set_generation(conn, record, first)?;
    Ok(first)
}

/// Refuses if the record is not where the caller thinks.
pub(super) fn expect(
    conn: &Connection,
    record: &RecordId,
    expected: Generation,
) -> Result<(), Fault> {
    match generation(conn, record)? {
        None => Err(StoreError::NoSuchRecord { record: *record }.into()),
        Some(current) if current != expected => Err(moved(current)),
        Some(_) => Ok(()),
    }
}

/// Writes the record's line with this generation.
pub(super) fn set_generation(
    conn: &Connection,
    record: &RecordId,
    generation: Generation,
) -> Result<(), Fault> {
    let number = rules::storable("a generation", generation.0)?;
    RECORD.put(conn, &[blob(record.as_bytes()), integer(number)])
}

/// Applies a batch.
pub(super) fn apply(conn: &Connection, record: &RecordId, batch: &Batch) -> Result<(), Fault> {
    let mut admitted = Admitted { conn, record, compacted: None };
    for step in &batch.moves {
        move_change(&mut admitted, step)?;
    }
    for change in &batch.changes {
        if CHANGE
            .one(
                conn,
                BY_HASH,
                [record.as_bytes().as_slice(), change.hash.as_bytes()],
                codec::change,
            )?
            .is_some()
        {
            return Err(StoreError::Known { hash: change.hash }.into());
        }
        if change.standing == Standing::Admitted {
            admitted.expect_free(change.writer, change.seq)?;
        }
        put_change(conn, record, change)?;
    }
    for signature in &batch.signatures {
        put_signature(conn, record, signature)?;
    }
    for edit in &batch.draft {
        match edit {
            DraftEdit::Clear => delete_all(conn, "DELETE FROM draft WHERE record = ?1", record)?,
            DraftEdit::Put(line) => put_draft(conn, record, line)?,
            DraftEdit::Erase(ordinal) => {
                // A number that cannot be stored names no line.
                if let Ok(ordinal) = i64::try_from(*ordinal) {
                    DRAFT.remove(conn, &[blob(record.as_bytes()), integer(ordinal)])?;
                }
            }
        }
    }
    for member in &batch.members {
        put_member(conn, record, member)?;
    }
    for key in &batch.epoch_keys {
        put_epoch_key(conn, record, key)?;
    }
    for writer in &batch.writers {
        put_writer(conn, record, writer)?;
    }
    for (kind, bytes) in &batch.projections {
        let record = blob(record.as_bytes());
        match bytes {
            Some(bytes) => {
                PROJECTION.put(conn, &[record, integer(*kind), ValueRef::Blob(bytes)])?;
            }
            None => PROJECTION.remove(conn, &[record, integer(*kind)])?,
        }
    }
    for edit in &batch.contested {
        match edit {
            ContestedEdit::Clear => {
                delete_all(conn, "DELETE FROM contested WHERE record = ?1", record)?;
            }
            ContestedEdit::Add(at) | ContestedEdit::Remove(at) => {
                let cells = [
                    blob(record.as_bytes()),
                    integer(at.container),
                    ValueRef::Text(at.key.as_bytes()),
                ];
                if matches!(edit, ContestedEdit::Add(_)) {
                    CONTESTED.put(conn, &cells)?;
                } else {
                    CONTESTED.remove(conn, &cells)?;
                }
            }
        }
    }
    for edit in &batch.outgoing {
        let (OutgoingEdit::Add(item) | OutgoingEdit::Done(item)) = edit;
        let (kind, hash) = codec::outgoing_key(item);
        let cells = [blob(record.as_bytes()), integer(kind), ValueRef::Blob(hash)];
        if matches!(edit, OutgoingEdit::Add(_)) {
            OUTGOING.put(conn, &cells)?;
        } else {
            OUTGOING.remove(conn, &cells)?;
        }
    }
    Ok(())
}

const BY_HASH: &str = "WHERE record = ?1 AND hash = ?2";

fn delete_all(conn: &Connection, sql: &str, record: &RecordId) -> Result<(), Fault> {
    conn.prepare_cached(sql)?.execute([record.as_bytes()])?;
    Ok(())
}

/// The numbers that admitted changes have, looked up when first asked for.
struct Admitted<'c> {
    conn: &'c Connection,
    record: &'c RecordId,
    compacted: Option<BTreeMap<Writer, u64>>,
}

impl Admitted<'_> {
    fn expect_free(&mut self, writer: Writer, seq: u64) -> Result<(), Fault> {
        let number = rules::storable("the number of a change", seq)?;
        let compacted = match self.compacted.take() {
            Some(known) => known,
            None => newest_snapshot(self.conn, self.record)?
                .map(|(_, compacted)| compacted)
                .unwrap_or_default(),
        };
        let inside = compacted.get(&writer).is_some_and(|last| seq <= *last);
        self.compacted = Some(compacted);
        let beside = self
            .conn
            .prepare_cached(
                "SELECT n FROM change WHERE record = ?1 AND writer = ?2 AND seq = ?3 \
                 AND standing = 0",
            )?
            .query_row((self.record.as_bytes(), writer.as_bytes(), number), |row| {
                row.get::<_, i64>(0)
            })
            .optional()?
            .is_some();
        if inside || beside { Err(StoreError::Taken { writer, seq }.into()) } else { Ok(()) }
    }
}

fn newest_snapshot(
    conn: &Connection,
    record: &RecordId,
) -> Result<Option<codec::SnapshotRow>, Fault> {
    let newest = "WHERE record = ?1 ORDER BY n DESC LIMIT 1";
    let found = SNAPSHOT.one(conn, newest, [record.as_bytes()], codec::snapshot)?;
    Ok(found.map(|(_, row)| row))
}

fn move_change(admitted: &mut Admitted<'_>, step: &Move) -> Result<(), Fault> {
    let (conn, record) = (admitted.conn, admitted.record);
    let key = [record.as_bytes().as_slice(), step.hash.as_bytes()];
    let Some((_, mut change)) = CHANGE.one(conn, BY_HASH, key, codec::change)? else {
        return Err(StoreError::NoSuchChange { hash: step.hash }.into());
    };
    if step.standing == Standing::Admitted && change.standing != Standing::Admitted {
        admitted.expect_free(change.writer, change.seq)?;
    }
    change.standing = step.standing;
    change.reason.clone_from(&step.reason);
    put_change(conn, record, &change)
}

fn put_change(conn: &Connection, record: &RecordId, change: &StoredChange) -> Result<(), Fault> {
    let reason = change.reason.as_ref().map_or(ValueRef::Null, |text| text.as_str().into());
    CHANGE.put(
        conn,
        &[
            blob(record.as_bytes()),
            blob(change.hash.as_bytes()),
            blob(change.writer.as_bytes()),
            integer(rules::storable("the number of a change", change.seq)?),
            ValueRef::Blob(&codec::join(&change.deps)),
            integer(change.standing.number()),
            reason,
            ValueRef::Blob(&change.bytes),
        ],
    )
}

fn put_signature(
    conn: &Connection,
    record: &RecordId,
    signature: &StoredSignature,
) -> Result<(), Fault> {
    SIGNATURE.put(
        conn,
        &[
            blob(record.as_bytes()),
            blob(signature.writer.as_bytes()),
            integer(rules::storable("the number of a signed change", signature.seq)?),
            blob(signature.hash.as_bytes()),
            ValueRef::Blob(&signature.bytes),
        ],
    )
}

fn put_draft(conn: &Connection, record: &RecordId, line: &DraftLine) -> Result<(), Fault> {
    let (entry_writer, entry_number) = match &line.entry {
        None => (ValueRef::Null, ValueRef::Null),
        Some(entry) => (
            blob(entry.writer.as_bytes()),
            integer(rules::storable("the number of an entry", entry.number)?),
        ),
    };
    DRAFT.put(
        conn,
        &[
            blob(record.as_bytes()),
            integer(rules::storable("the ordinal of a draft line", line.ordinal)?),
            integer(line.container),
            line.key.as_str().into(),
            ValueRef::Blob(&line.value),
            ValueRef::Blob(&line.preds),
            entry_writer,
            entry_number,
            integer(line.started_at),
        ],
    )
}

fn put_member(conn: &Connection, record: &RecordId, member: &StoredMemberOp) -> Result<(), Fault> {
    MEMBER.put(
        conn,
        &[
            blob(record.as_bytes()),
            blob(member.hash.as_bytes()),
            integer(member.standing.number()),
            ValueRef::Blob(&member.bytes),
        ],
    )
}

fn put_epoch_key(conn: &Connection, record: &RecordId, key: &StoredEpochKey) -> Result<(), Fault> {
    EPOCH_KEY.put(
        conn,
        &[blob(record.as_bytes()), blob(key.epoch.as_bytes()), ValueRef::Blob(&key.wrapped)],
    )
}

fn put_writer(conn: &Connection, record: &RecordId, writer: &StoredWriter) -> Result<(), Fault> {
    let next_entry = rules::storable("the next entry number", writer.next_entry)?;
    let key = [record.as_bytes().as_slice(), writer.writer.as_bytes()];
    let stored = WRITER.one(conn, "WHERE record = ?1 AND writer = ?2", key, codec::writer)?;
    if let Some((_, stored)) = stored
        && stored.next_entry > writer.next_entry
    {
        return Err(StoreError::NumberWentBack {
            writer: writer.writer,
            stored: stored.next_entry,
            given: writer.next_entry,
        }
        .into());
    }
    WRITER.put(
        conn,
        &[
            blob(record.as_bytes()),
            blob(writer.writer.as_bytes()),
            ValueRef::Blob(&writer.incarnation),
            integer(next_entry),
        ],
    )
}

/// Puts a snapshot in place of the changes that it contains.
pub(super) fn compact(
    conn: &Connection,
    record: &RecordId,
    snapshot: &Snapshot,
    contained: &[ChangeHash],
    check: SnapshotCheck<'_>,
) -> Result<(), Fault> {
    let contained: BTreeSet<ChangeHash> = contained.iter().copied().collect();
    let rows = CHANGE.read(conn, "WHERE record = ?1", [record.as_bytes()], codec::change)?;
    if !rows.bad.is_empty() {
        return Err(Fault::Rows(rows.bad));
    }
    let beside: BTreeMap<ChangeHash, StoredChange> =
        rows.sound.into_iter().map(|(_, change)| (change.hash, change)).collect();
    let mut inside = Vec::with_capacity(contained.len());
    for hash in &contained {
        match beside.get(hash) {
            None => return Err(StoreError::NoSuchChange { hash: *hash }.into()),
            Some(change) if change.standing != Standing::Admitted => {
                let reason = "it is not admitted";
                return Err(StoreError::NotCompactable { hash: *hash, reason }.into());
            }
            Some(change) => inside.push((change.writer, change.seq, change.hash)),
        }
    }
    let before = newest_snapshot(conn, record)?;
    let compacted = before.map(|(_, compacted)| compacted).unwrap_or_default();
    let compacted = rules::advance(&compacted, inside)?;

    SNAPSHOT.insert(
        conn,
        &[
            blob(record.as_bytes()),
            ValueRef::Blob(&codec::join(&snapshot.heads)),
            integer(rules::storable("the number of changes in a snapshot", snapshot.changes)?),
            ValueRef::Blob(&codec::join_compacted(&compacted)),
            ValueRef::Blob(&snapshot.bytes),
        ],
    )?;
    // Read back what was just written (its checksum is compared on the way) and let the caller
    // see that it loads, before anything is deleted.
    let written = newest_snapshot(conn, record)?;
    let read_back = written.map(|(written, _)| written.bytes).unwrap_or_default();
    check(&read_back).map_err(|reason| StoreError::CheckFailed { reason })?;

    conn.prepare_cached(
        "DELETE FROM snapshot WHERE record = ?1 AND n NOT IN \
         (SELECT n FROM snapshot WHERE record = ?1 ORDER BY n DESC LIMIT 2)",
    )?
    .execute([record.as_bytes()])?;
    for hash in &contained {
        CHANGE.remove(conn, &[blob(record.as_bytes()), blob(hash.as_bytes())])?;
    }
    thin_signatures(conn, record, &compacted, |hash| {
        beside.contains_key(hash) && !contained.contains(hash)
    })
}

/// Drops the signatures over contained changes that need not stay. A change that is still kept one
/// by one (a fork that lost, for instance) keeps its signature.
fn thin_signatures(
    conn: &Connection,
    record: &RecordId,
    compacted: &BTreeMap<Writer, u64>,
    is_beside: impl Fn(&ChangeHash) -> bool,
) -> Result<(), Fault> {
    let rows = SIGNATURE.read(conn, "WHERE record = ?1", [record.as_bytes()], codec::signature)?;
    if !rows.bad.is_empty() {
        return Err(Fault::Rows(rows.bad));
    }
    let mut signed: BTreeMap<Writer, Vec<StoredSignature>> = BTreeMap::new();
    for (_, signature) in rows.sound {
        let within = compacted.get(&signature.writer).is_some_and(|last| signature.seq <= *last);
        if within && !is_beside(&signature.hash) {
            signed.entry(signature.writer).or_default().push(signature);
        }
    }
    for signatures in signed.into_values() {
        let stay = rules::kept_signatures(&signatures.iter().map(|kept| kept.seq).collect());
        for gone in signatures.iter().filter(|signature| !stay.contains(&signature.seq)) {
            SIGNATURE.remove(
                conn,
                &[
                    blob(record.as_bytes()),
                    blob(gone.writer.as_bytes()),
                    integer(rules::storable("the number of a signed change", gone.seq)?),
                    blob(gone.hash.as_bytes()),
                ],
            )?;
        }
    }
    Ok(())
}
