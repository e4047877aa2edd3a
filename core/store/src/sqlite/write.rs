//! What a commit writes, inside a transaction that the caller holds.

use fallaway_changes::{ChangeId, RecordId, Writer};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension};

use super::census;
use super::codec::{self, Line};
use super::fault::{Fault, moved};
use super::table::{
    BLOB, CHANGE, DRAFT, EPOCH_KEY, MEMBER, META, OUTGOING, PROJECTION, RECORD, Row, SIGNATURE,
    SNAPSHOT, WRITER, delete, stored_sum,
};
use super::tally::Tally;
use crate::batch::{Batch, DraftEdit, Move, OutgoingEdit};
use crate::contract::SnapshotCheck;
use crate::error::StoreError;
use crate::model::{
    ChangeStanding, DraftLine, Generation, Snapshot, StoredBlobPart, StoredChange, StoredEpochKey,
    StoredMemberOp, StoredSignature, StoredWriter,
};
use crate::rules;

pub(super) fn blob<const N: usize>(bytes: &[u8; N]) -> ValueRef<'_> {
    ValueRef::Blob(bytes)
}

fn integer(number: impl Into<i64>) -> ValueRef<'static> {
    ValueRef::Integer(number.into())
}

/// The record's own line, if there is such a record.
pub(super) fn line(conn: &Connection, record: &RecordId) -> Result<Option<Line>, Fault> {
    match RECORD.one(conn, "WHERE id = ?1", [record.as_bytes()], codec::record) {
        // Nothing of the record can be had without it: the repair makes it anew.
        Err(Fault::Rows(_)) => Err(Fault::Corrupt("a record's own line is damaged".to_owned())),
        found => Ok(found?.map(|row| row.value.1)),
    }
}

/// Adds the record's own line, with nothing of the record yet.
pub(super) fn create(conn: &Connection, record: &RecordId) -> Result<Line, Fault> {
    if line(conn, record)?.is_some() {
        return Err(StoreError::RecordExists { record: *record }.into());
    }
    let first = Line { generation: Generation(1), tally: Tally::default() };
    set_line(conn, record, first)?;
    let mut records = census::wanted(conn)?;
    records.add(record.as_bytes());
    census::set(conn, records)?;
    Ok(first)
}

/// The record's own line, if the record is where the caller thinks.
pub(super) fn expect(
    conn: &Connection,
    record: &RecordId,
    expected: Generation,
) -> Result<Line, Fault> {
    match line(conn, record)? {
        None => Err(StoreError::NoSuchRecord { record: *record }.into()),
        Some(line) if line.generation != expected => Err(moved(line.generation)),
        Some(line) => Ok(line),
    }
}

/// Writes the record's own line.
pub(super) fn set_line(conn: &Connection, record: &RecordId, line: Line) -> Result<(), Fault> {
    let generation = rules::storable("a generation", line.generation.0)?;
    let Tally { rows, sums } = line.tally;
    RECORD.put(conn, &[blob(record.as_bytes()), integer(generation), integer(rows), blob(&sums)])
}

/// Applies a batch.
pub(super) fn apply(
    conn: &Connection,
    record: &RecordId,
    batch: &Batch,
    tally: &mut Tally,
) -> Result<(), Fault> {
    if batch.unpacked {
        unpack(conn, record, tally)?;
    }
    for hash in &batch.dropped {
        CHANGE.remove(conn, &[blob(record.as_bytes()), blob(hash.as_bytes())], tally)?;
        let signed = "DELETE FROM signature WHERE record = ?1 AND hash = ?2 RETURNING sum";
        delete(conn, signed, (record.as_bytes(), hash.as_bytes()), tally)?;
    }
    let mut admitted = Admitted { conn, record, compacted: None };
    for step in &batch.moves {
        move_change(&mut admitted, step, tally)?;
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
        if change.standing == ChangeStanding::Admitted {
            admitted.expect_free(change.writer, change.seq)?;
        }
        put_change(conn, record, change, tally)?;
    }
    for signature in &batch.signatures {
        put_signature(conn, record, signature, tally)?;
    }
    for edit in &batch.draft {
        match edit {
            DraftEdit::Clear => {
                let clear = "DELETE FROM draft WHERE record = ?1 RETURNING sum";
                delete(conn, clear, [record.as_bytes()], tally)?;
            }
            DraftEdit::Put(line) => put_draft(conn, record, line, tally)?,
            DraftEdit::Erase(ordinal) => {
                // A number that cannot be stored names no line.
                if let Ok(ordinal) = i64::try_from(*ordinal) {
                    DRAFT.remove(conn, &[blob(record.as_bytes()), integer(ordinal)], tally)?;
                }
            }
        }
    }
    for hash in &batch.members_dropped {
        MEMBER.remove(conn, &[blob(record.as_bytes()), blob(hash.as_bytes())], tally)?;
    }
    for member in &batch.members {
        put_member(conn, record, member, tally)?;
    }
    for key in &batch.epoch_keys {
        put_epoch_key(conn, record, key, tally)?;
    }
    for writer in &batch.writers {
        put_writer(conn, record, writer, tally)?;
    }
    for (kind, bytes) in &batch.projections {
        let record = blob(record.as_bytes());
        match bytes {
            Some(bytes) => {
                PROJECTION.put(conn, &[record, integer(*kind), ValueRef::Blob(bytes)])?;
            }
            // Projections are rebuilt, and not counted.
            None => PROJECTION.remove(conn, &[record, integer(*kind)], &mut Tally::default())?,
        }
    }
    for edit in &batch.outgoing {
        let (OutgoingEdit::Add(item) | OutgoingEdit::Done(item)) = edit;
        let (kind, hash) = codec::outgoing_key(item);
        let cells = [blob(record.as_bytes()), integer(kind), ValueRef::Blob(hash)];
        if matches!(edit, OutgoingEdit::Add(_)) {
            OUTGOING.put_counted(conn, &cells, tally)?;
        } else {
            OUTGOING.remove(conn, &cells, tally)?;
        }
    }
    for id in &batch.blobs_dropped {
        let gone = "DELETE FROM blob WHERE record = ?1 AND blob = ?2";
        conn.prepare_cached(gone)?.execute((record.as_bytes(), id.as_bytes()))?;
    }
    for part in &batch.blobs {
        put_blob_part(conn, record, part)?;
    }
    for key in &batch.counters {
        count_on(conn, key, 0)?;
    }
    Ok(())
}

/// Writes a part of a photo. No tally counts it: one that is gone can be fetched again.
pub(super) fn put_blob_part(
    conn: &Connection,
    record: &RecordId,
    part: &StoredBlobPart,
) -> Result<(), Fault> {
    let StoredBlobPart { blob: id, part, parts, bytes } = part;
    let cells = [
        blob(record.as_bytes()),
        blob(id.as_bytes()),
        integer(*part),
        integer(*parts),
        ValueRef::Blob(bytes),
    ];
    BLOB.put(conn, &cells)
}

/// Drops the snapshots. Only the newest is counted.
fn unpack(conn: &Connection, record: &RecordId, tally: &mut Tally) -> Result<(), Fault> {
    if let Some(newest) = newest_snapshot(conn, record)? {
        tally.remove(&newest.sum);
    }
    conn.prepare_cached("DELETE FROM snapshot WHERE record = ?1")?.execute([record.as_bytes()])?;
    Ok(())
}

/// Moves a counter of the store on.
pub(super) fn count_on(conn: &Connection, key: &str, at_least: u64) -> Result<u64, Fault> {
    let row = META.one(conn, "WHERE key = ?1", [key], codec::meta)?;
    let stored = row.as_ref().map(|row| row.value.as_slice());
    let next = rules::counter(stored).saturating_add(1).max(at_least);
    META.put(conn, &[ValueRef::Text(key.as_bytes()), ValueRef::Blob(&next.to_be_bytes())])?;
    Ok(next)
}

const BY_HASH: &str = "WHERE record = ?1 AND hash = ?2";

/// The numbers that admitted changes have, looked up when first asked for.
struct Admitted<'c> {
    conn: &'c Connection,
    record: &'c RecordId,
    compacted: Option<Map<Writer, u64>>,
}

impl Admitted<'_> {
    fn expect_free(&mut self, writer: Writer, seq: u64) -> Result<(), Fault> {
        let number = rules::storable("the number of a change", seq)?;
        let compacted = match self.compacted.take() {
            Some(known) => known,
            None => {
                newest_snapshot(self.conn, self.record)?.map(|row| row.value.1).unwrap_or_default()
            }
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
) -> Result<Option<Row<codec::SnapshotRow>>, Fault> {
    let newest = "WHERE record = ?1 ORDER BY n DESC LIMIT 1";
    SNAPSHOT.one(conn, newest, [record.as_bytes()], codec::snapshot)
}

/// The newest snapshot's checksum as a tally of one row, or of none if there is no snapshot.
pub(super) fn newest_snapshot_sum(conn: &Connection, record: &RecordId) -> Result<Tally, Fault> {
    let mut tally = Tally::default();
    let newest = "SELECT sum FROM snapshot WHERE record = ?1 ORDER BY n DESC LIMIT 1";
    let mut statement = conn.prepare_cached(newest)?;
    let add = |row: &rusqlite::Row<'_>| {
        tally.add(stored_sum(row, 0));
        Ok(())
    };
    statement.query_row([record.as_bytes()], add).optional()?;
    Ok(tally)
}

fn move_change(admitted: &mut Admitted<'_>, step: &Move, tally: &mut Tally) -> Result<(), Fault> {
    let (conn, record) = (admitted.conn, admitted.record);
    let key = [record.as_bytes().as_slice(), step.hash.as_bytes()];
    let Some(row) = CHANGE.one(conn, BY_HASH, key, codec::change)? else {
        return Err(StoreError::NoSuchChange { hash: step.hash }.into());
    };
    let mut change = row.value;
    if step.standing == ChangeStanding::Admitted && change.standing != ChangeStanding::Admitted {
        admitted.expect_free(change.writer, change.seq)?;
    }
    change.standing = step.standing;
    change.reason.clone_from(&step.reason);
    put_change(conn, record, &change, tally)
}

/// Adds a change, or puts it in place of the one with its hash.
fn put_change(
    conn: &Connection,
    record: &RecordId,
    change: &StoredChange,
    tally: &mut Tally,
) -> Result<(), Fault> {
    let reason = change.reason.as_ref().map_or(ValueRef::Null, |text| text.as_str().into());
    CHANGE.put_counted(
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
        tally,
    )
}

fn put_signature(
    conn: &Connection,
    record: &RecordId,
    signature: &StoredSignature,
    tally: &mut Tally,
) -> Result<(), Fault> {
    SIGNATURE.put_counted(
        conn,
        &[
            blob(record.as_bytes()),
            blob(signature.writer.as_bytes()),
            integer(rules::storable("the number of a signed change", signature.seq)?),
            blob(signature.hash.as_bytes()),
            ValueRef::Blob(&signature.bytes),
        ],
        tally,
    )
}

fn put_draft(
    conn: &Connection,
    record: &RecordId,
    line: &DraftLine,
    tally: &mut Tally,
) -> Result<(), Fault> {
    let (entry_writer, entry_number) = match &line.entry {
        None => (ValueRef::Null, ValueRef::Null),
        Some(entry) => (
            blob(entry.writer.as_bytes()),
            integer(rules::storable("the number of an entry", entry.number)?),
        ),
    };
    DRAFT.put_counted(
        conn,
        &[
            blob(record.as_bytes()),
            integer(rules::storable("the ordinal of a draft line", line.ordinal)?),
            integer(line.container),
            line.key.as_str().into(),
            ValueRef::Blob(&line.value),
            entry_writer,
            entry_number,
            integer(line.started_at),
        ],
        tally,
    )
}

fn put_member(
    conn: &Connection,
    record: &RecordId,
    member: &StoredMemberOp,
    tally: &mut Tally,
) -> Result<(), Fault> {
    MEMBER.put_counted(
        conn,
        &[
            blob(record.as_bytes()),
            blob(member.hash.as_bytes()),
            integer(member.standing.number()),
            ValueRef::Blob(&member.bytes),
        ],
        tally,
    )
}

fn put_epoch_key(
    conn: &Connection,
    record: &RecordId,
    key: &StoredEpochKey,
    tally: &mut Tally,
) -> Result<(), Fault> {
    let cells = [blob(record.as_bytes()), blob(key.epoch.as_bytes()), ValueRef::Blob(&key.wrapped)];
    EPOCH_KEY.put_counted(conn, &cells, tally)
}

fn put_writer(
    conn: &Connection,
    record: &RecordId,
    writer: &StoredWriter,
    tally: &mut Tally,
) -> Result<(), Fault> {
    let next_entry = rules::storable("the next entry number", writer.next_entry)?;
    let key = [record.as_bytes().as_slice(), writer.writer.as_bytes()];
    let stored = WRITER.one(conn, "WHERE record = ?1 AND writer = ?2", key, codec::writer)?;
    if let Some(stored) = stored
        && stored.value.next_entry > writer.next_entry
    {
        return Err(StoreError::NumberWentBack {
            writer: writer.writer,
            stored: stored.value.next_entry,
            given: writer.next_entry,
        }
        .into());
    }
    WRITER.put_counted(
        conn,
        &[
            blob(record.as_bytes()),
            blob(writer.writer.as_bytes()),
            ValueRef::Blob(&writer.incarnation),
            integer(next_entry),
        ],
        tally,
    )
}

/// Puts a snapshot in place of the changes that it contains.
pub(super) fn compact(
    conn: &Connection,
    record: &RecordId,
    snapshot: &Snapshot,
    (contained, signed): (&[ChangeId], &[ChangeId]),
    check: SnapshotCheck<'_>,
    tally: &mut Tally,
) -> Result<(), Fault> {
    let contained: Set<ChangeId> = contained.iter().copied().in_set();
    let rows = CHANGE.read(conn, "WHERE record = ?1", [record.as_bytes()], codec::change)?;
    let beside: Map<ChangeId, StoredChange> =
        rows.all_sound()?.into_iter().map(|change| (change.hash, change)).in_map();
    let mut inside = Vec::with_capacity(contained.len());
    for hash in &contained {
        match beside.get(hash) {
            None => return Err(StoreError::NoSuchChange { hash: *hash }.into()),
            Some(change) if change.standing != ChangeStanding::Admitted => {
                let reason = "it is not admitted";
                return Err(StoreError::NotCompactable { hash: *hash, reason }.into());
            }
            Some(change) => inside.push((change.writer, change.seq, change.hash)),
        }
    }
    let before = newest_snapshot(conn, record)?;
    // Of the snapshots only the newest is counted: it alone is read.
    if let Some(before) = &before {
        tally.remove(&before.sum);
    }
    let compacted = before.map(|row| row.value.1).unwrap_or_default();
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
        tally,
    )?;
    // Read back what was just written (its checksum is compared on the way) and let the caller
    // see that it loads, before anything is deleted.
    let written = newest_snapshot(conn, record)?;
    let read_back = written.map(|row| row.value.0.bytes).unwrap_or_default();
    check(&read_back).map_err(|reason| StoreError::CheckFailed { reason })?;

    conn.prepare_cached(
        "DELETE FROM snapshot WHERE record = ?1 AND n NOT IN \
         (SELECT n FROM snapshot WHERE record = ?1 ORDER BY n DESC LIMIT 2)",
    )?
    .execute([record.as_bytes()])?;
    for hash in &contained {
        CHANGE.remove(conn, &[blob(record.as_bytes()), blob(hash.as_bytes())], tally)?;
    }
    let stays = |hash: &ChangeId| {
        signed.contains(hash) || (beside.contains_key(hash) && !contained.contains(hash))
    };
    thin_signatures(conn, record, &compacted, stays, tally)
}

/// Drops the signatures over contained changes that need not stay. A change that is still kept one
/// by one (a fork that lost, for instance) keeps its signature, and so does one that asks for it.
fn thin_signatures(
    conn: &Connection,
    record: &RecordId,
    compacted: &Map<Writer, u64>,
    stays: impl Fn(&ChangeId) -> bool,
    tally: &mut Tally,
) -> Result<(), Fault> {
    let rows = SIGNATURE.read(conn, "WHERE record = ?1", [record.as_bytes()], codec::signature)?;
    let mut signed: Map<Writer, Vec<StoredSignature>> = Map::new();
    for signature in rows.all_sound()? {
        let within = compacted.get(&signature.writer).is_some_and(|last| signature.seq <= *last);
        if within && !stays(&signature.hash) {
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
                tally,
            )?;
        }
    }
    Ok(())
}
