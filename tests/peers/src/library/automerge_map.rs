//! Plain automerge: two maps of bytes, written through the interface that its documentation
//! recommends (`AutoCommit`), stored by `save`, sent as compressed changes.

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, AutoCommit, ObjId, ObjType, ROOT, ReadDoc, ScalarValue, Value};
use fallaway_changes::{Put, VerifiedChange, Writer};

use super::{LOG, Library, SPEC, Written, decode, map_of};
use crate::Fallible;

/// Plain automerge.
#[derive(Debug)]
pub struct PlainAutomerge;

fn actor(writer: &Writer) -> ActorId {
    ActorId::from(writer.as_bytes())
}

fn map(doc: &AutoCommit, name: &str) -> Fallible<ObjId> {
    match doc.get(ROOT, name)? {
        Some((Value::Object(ObjType::Map), id)) => Ok(id),
        _ => Err(format!("no map {name}").into()),
    }
}

impl Library for PlainAutomerge {
    const NAME: &'static str = "automerge";
    type Doc = AutoCommit;

    fn founded(writer: &Writer) -> Fallible<AutoCommit> {
        // Devices that start apart need one beginning, else their maps are two.
        let mut doc = AutoCommit::new().with_actor(ActorId::from([0; 16]));
        doc.put_object(ROOT, SPEC, ObjType::Map)?;
        doc.put_object(ROOT, LOG, ObjType::Map)?;
        doc.commit_with(CommitOptions::default().with_time(0));
        Ok(doc.with_actor(actor(writer)))
    }

    fn load(stored: &[u8], writer: &Writer) -> Fallible<AutoCommit> {
        Ok(AutoCommit::load(stored)?.with_actor(actor(writer)))
    }

    fn save(doc: &mut AutoCommit) -> Fallible<Vec<u8>> {
        Ok(doc.save())
    }

    fn write(doc: &mut AutoCommit, changes: &[VerifiedChange]) -> Fallible<Written> {
        let mut each = Vec::new();
        for change in changes {
            for put in &change.ops {
                let map = map(doc, map_of(put))?;
                doc.put(map, put.key.as_str(), ScalarValue::Bytes(put.value.clone()))?;
            }
            doc.commit_with(CommitOptions::default().with_time(change.time));
            each.push(last_change(doc)?);
        }
        Ok(Written { all: each.concat(), each })
    }

    fn edit(doc: &mut AutoCommit, _: &Writer, put: &Put) -> Fallible<Vec<u8>> {
        let map = map(doc, map_of(put))?;
        doc.put(map, put.key.as_str(), ScalarValue::Bytes(put.value.clone()))?;
        doc.commit_with(CommitOptions::default().with_time(0));
        last_change(doc)
    }

    fn merge(doc: &mut AutoCommit, message: &[u8]) -> Fallible<()> {
        doc.load_incremental(message)?;
        Ok(())
    }

    fn read(doc: &AutoCommit) -> Fallible<usize> {
        let mut count = 0;
        for item in doc.map_range(map(doc, LOG)?, ..) {
            let automerge::ValueRef::Scalar(automerge::ScalarValueRef::Bytes(value)) = &item.value
            else {
                return Err("an entry that is not bytes".into());
            };
            decode(&item.key, value)?;
            count += 1;
        }
        Ok(count)
    }
}

fn last_change(doc: &mut AutoCommit) -> Fallible<Vec<u8>> {
    let mut change = doc.get_last_local_change().ok_or("nothing was written")?;
    Ok(change.bytes().into_owned())
}
