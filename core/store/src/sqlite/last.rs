//! The last commit, noted beside the database.
//!
//! A damaged write-ahead log reads as a shorter one: what it held last is gone, and nothing in the
//! database says so. The note does. It is written after the commit is durable and is not synced
//! itself, so after a power cut it may lag behind, and then a loss goes unnoticed; it never runs
//! ahead, so what it reports is true.

use std::fs::{File, OpenOptions};
use std::io::{Read as _, Seek as _, SeekFrom, Write as _};
use std::path::Path;

use fallaway_changes::RecordId;
use rusqlite::{Connection, TransactionBehavior};

use super::codec::Line;
use super::fault::Fault;
use super::tally::{SUM, Tally};
use super::{damage, write};
use crate::model::{Damage, DamagedPart, Generation};

/// Separates this checksum from every other use of the hash. Frozen.
const CONTEXT: &str = "fallaway v1 store last commit";

/// Record, generation (little-endian), checksum.
const BYTES: usize = RecordId::LEN + 8 + SUM;

/// The file that holds the note, open for writing. Nothing but a notice hangs on it, so a failure
/// to write it is let pass.
pub(super) struct Last(Option<File>);

impl Last {
    /// Opens the note, and reads it.
    pub(super) fn open(path: &Path) -> (Self, Option<(RecordId, Generation)>) {
        let file =
            OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path);
        let Ok(mut file) = file else { return (Self(None), None) };
        let mut bytes = [0; BYTES];
        let noted = file.read_exact(&mut bytes).ok().and_then(|()| parse(&bytes));
        (Self(Some(file)), noted)
    }

    /// None, where nothing can be noted.
    pub(super) const fn none() -> Self {
        Self(None)
    }

    /// Notes a commit that is durable.
    pub(super) fn note(&self, record: &RecordId, generation: Generation) {
        self.write(&spell(record, generation));
    }

    /// Forgets the last commit, before its record is deleted.
    pub(super) fn clear(&self) {
        self.write(&[0; BYTES]);
    }

    fn write(&self, bytes: &[u8]) {
        if let Some(mut file) = self.0.as_ref() {
            let _ = file.seek(SeekFrom::Start(0)).and_then(|_| file.write_all(bytes));
        }
    }
}

fn spell(record: &RecordId, generation: Generation) -> Vec<u8> {
    let mut bytes = record.as_bytes().to_vec();
    bytes.extend(generation.0.to_le_bytes());
    bytes.extend(sum(&bytes));
    bytes
}

fn parse(bytes: &[u8]) -> Option<(RecordId, Generation)> {
    let (record, rest) = bytes.split_first_chunk()?;
    let (generation, _) = rest.split_first_chunk()?;
    let (record, generation) =
        (RecordId::from_bytes(*record), Generation(u64::from_le_bytes(*generation)));
    (spell(&record, generation) == bytes).then_some((record, generation))
}

fn sum(bytes: &[u8]) -> [u8; SUM] {
    let mut sum = [0; SUM];
    blake3::Hasher::new_derive_key(CONTEXT).update(bytes).finalize_xof().fill(&mut sum);
    sum
}

/// Reports what is missing if the database does not have the noted commit any more.
pub(super) fn compare(
    conn: &mut Connection,
    last: &Last,
    (record, noted): (RecordId, Generation),
) -> Result<(), Fault> {
    let reached = |line: Option<Line>| line.is_some_and(|line| line.generation >= noted);
    if reached(write::line(conn, &record)?) {
        return Ok(());
    }
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let line = write::line(&tx, &record)?;
    if reached(line) {
        return Ok(());
    }
    report(&tx, record)?;
    // Whoever loaded the record with the lost writes loads it again.
    let next = Generation(noted.0.saturating_add(1));
    let tally = line.map_or(Tally::default(), |line| line.tally);
    if line.is_some() {
        write::set_line(&tx, &record, Line { generation: next, tally })?;
    }
    tx.commit()?;
    if line.is_some() {
        last.note(&record, next);
    } else {
        last.clear();
    }
    Ok(())
}

/// Adds a line to what is damaged.
pub(super) fn report(conn: &Connection, record: RecordId) -> Result<(), Fault> {
    let damage = Damage {
        record: Some(record),
        part: DamagedPart::LastWrites,
        name: "fallaway.db".to_owned(),
        reason:
            "it does not have the last writes any more: it or its log was damaged, removed, or \
                 replaced by an earlier copy"
                .to_owned(),
    };
    damage::report(conn, &damage, "")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_is_read_back_and_a_torn_one_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("last");
        let record = RecordId::from_bytes([7; RecordId::LEN]);
        let (last, none) = Last::open(&path);
        assert_eq!(none, None);
        last.note(&record, Generation(1));
        last.note(&record, Generation(70_000));
        let noted = Some((record, Generation(70_000)));
        assert_eq!(Last::open(&path).1, noted);
        let mut bytes = std::fs::read(&path).unwrap();
        bytes[17] ^= 1;
        std::fs::write(&path, bytes).unwrap();
        assert_eq!(Last::open(&path).1, None);
        last.note(&record, Generation(70_000));
        assert_eq!(Last::open(&path).1, noted);
        last.clear();
        assert_eq!(Last::open(&path).1, None);
    }
}
