//! The project's own record, over everything that it checks.

use std::collections::BTreeSet;

use fallaway_changes::{MemberHash, Put, VerifiedChange, Writer};
use fallaway_record::{Draft, Record};
use fallaway_sharing::{ChainProof, ChangeBundle};

use super::{Library, Written};
use crate::{Fallible, people};

/// The record of `fallaway-record`: automerge inside, canonical changes outside.
#[derive(Debug)]
pub struct Ours;

impl Library for Ours {
    const NAME: &'static str = "record";
    type Doc = Record;

    fn founded(_: &Writer) -> Fallible<Record> {
        Ok(Record::create(people::RECORD)?)
    }

    fn load(stored: &[u8], _: &Writer) -> Fallible<Record> {
        Ok(Record::load(people::RECORD, stored)?)
    }

    fn save(record: &mut Record) -> Fallible<Vec<u8>> {
        Ok(record.save()?)
    }

    fn write(record: &mut Record, changes: &[VerifiedChange]) -> Fallible<Written> {
        admit(record, changes)?;
        let each = changes.iter().map(|change| sign(std::slice::from_ref(change)));
        Ok(Written { each: each.collect::<Fallible<_>>()?, all: sign(changes)? })
    }

    fn edit(record: &mut Record, writer: &Writer, _: &Put) -> Fallible<Vec<u8>> {
        let draft = Draft::new();
        let put = record.editor(*writer, &draft).set_spec(&people::FIELD)?;
        Ok(record.prepare(*writer, 0, vec![put])?.bytes().to_vec())
    }

    fn merge(record: &mut Record, message: &[u8]) -> Fallible<()> {
        let bundle = ChangeBundle::decode(message)?;
        admit(record, bundle.changes())
    }

    fn read(record: &Record) -> Fallible<usize> {
        Ok(record.state().entries().count())
    }
}

fn admit(record: &mut Record, changes: &[VerifiedChange]) -> Fallible<()> {
    let applied = record.apply(changes)?;
    if applied.admitted.len() == changes.len() {
        Ok(())
    } else {
        Err(format!("not admitted: {:?} {:?}", applied.refused, applied.waiting).into())
    }
}

/// What goes into the seal: the changes, and the proof that their author wrote them.
fn sign(changes: &[VerifiedChange]) -> Fallible<Vec<u8>> {
    let last = changes.last().ok_or("no changes")?;
    let seen = BTreeSet::from([MemberHash::from_bytes([3; 32])]);
    let (keys, incarnation) = people::identity(&last.writer);
    let proof = ChainProof::sign(&keys, people::RECORD, incarnation, last.seq, last.id(), &seen);
    Ok(ChangeBundle::new(proof, changes.to_vec())?.encode())
}
