//! Rows that tests store.
#![allow(dead_code, clippy::indexing_slicing, reason = "each test binary uses some of these")]

use fallaway_changes::{ChangeId, MemberHash, RecordId, Writer};
use fallaway_store::{
    ChangeStanding, DraftLine, EntryRef, Snapshot, StoredChange, StoredMemberOp, StoredSignature,
    StoredWriter,
};

pub fn record(number: u8) -> RecordId {
    RecordId::from_bytes([number; 16])
}

pub fn writer(number: u8) -> Writer {
    Writer::from_bytes([number; 16])
}

/// A hash that tells writer, number and branch.
pub fn hash(by: u8, seq: u64, branch: u8) -> ChangeId {
    let mut bytes = [branch; 32];
    bytes[0] = by;
    bytes[1..9].copy_from_slice(&seq.to_le_bytes());
    ChangeId::from_bytes(bytes)
}

pub fn change(by: u8, seq: u64, standing: ChangeStanding) -> StoredChange {
    StoredChange {
        hash: hash(by, seq, 0),
        writer: writer(by),
        seq,
        deps: if seq > 1 { vec![hash(by, seq - 1, 0)] } else { Vec::new() },
        standing,
        reason: (standing != ChangeStanding::Admitted).then(|| format!("{standing:?} in a test")),
        bytes: format!("change {seq} of {by}").into_bytes(),
    }
}

pub fn signature(by: u8, seq: u64) -> StoredSignature {
    StoredSignature { writer: writer(by), seq, hash: hash(by, seq, 0), bytes: vec![by; 64] }
}

pub fn member(number: u8, standing: ChangeStanding) -> StoredMemberOp {
    StoredMemberOp { hash: MemberHash::from_bytes([number; 32]), standing, bytes: vec![number; 40] }
}

pub fn line(ordinal: u64, by: u8) -> DraftLine {
    DraftLine {
        ordinal,
        container: 3,
        key: format!("entry {ordinal}"),
        value: vec![by; 24],
        entry: Some(EntryRef { writer: writer(by), number: ordinal }),
        started_at: 1_700_000_000,
    }
}

pub fn this_writer(by: u8, next_entry: u64) -> StoredWriter {
    StoredWriter { writer: writer(by), incarnation: vec![by; 8], next_entry }
}

pub fn snapshot(text: &str, heads: &[ChangeId], changes: u64) -> Snapshot {
    Snapshot { bytes: text.as_bytes().to_vec(), heads: heads.to_vec(), changes }
}
