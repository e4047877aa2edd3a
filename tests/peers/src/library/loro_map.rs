//! Loro: two root maps of bytes, stored as its snapshot (which it loads lazily), sent as updates.

use fallaway_changes::{Put, VerifiedChange, Writer};
use loro::{ExportMode, LoroDoc, LoroValue, ValueOrContainer};

use super::{LOG, Library, Written, decode, map_of, short_name};
use crate::Fallible;

/// Loro.
#[derive(Debug)]
pub struct Loro;

impl Library for Loro {
    const NAME: &'static str = "loro";
    type Doc = LoroDoc;

    fn founded(writer: &Writer) -> Fallible<LoroDoc> {
        let doc = LoroDoc::new();
        doc.set_peer_id(short_name(writer))?;
        Ok(doc)
    }

    fn load(stored: &[u8], writer: &Writer) -> Fallible<LoroDoc> {
        let doc = LoroDoc::from_snapshot(stored)?;
        doc.set_peer_id(short_name(writer))?;
        Ok(doc)
    }

    fn save(doc: &mut LoroDoc) -> Fallible<Vec<u8>> {
        Ok(doc.export(ExportMode::Snapshot)?)
    }

    fn write(doc: &mut LoroDoc, changes: &[VerifiedChange]) -> Fallible<Written> {
        let start = doc.oplog_vv();
        let mut each = Vec::new();
        for change in changes {
            let before = doc.oplog_vv();
            for put in &change.ops {
                doc.get_map(map_of(put)).insert(&put.key, put.value.as_slice())?;
            }
            doc.commit();
            each.push(doc.export(ExportMode::updates(&before))?);
        }
        Ok(Written { each, all: doc.export(ExportMode::updates(&start))? })
    }

    fn edit(doc: &mut LoroDoc, _: &Writer, put: &Put) -> Fallible<Vec<u8>> {
        let before = doc.oplog_vv();
        doc.get_map(map_of(put)).insert(&put.key, put.value.as_slice())?;
        doc.commit();
        Ok(doc.export(ExportMode::updates(&before))?)
    }

    fn merge(doc: &mut LoroDoc, message: &[u8]) -> Fallible<()> {
        let status = doc.import(message)?;
        if status.pending.is_some() { Err("something is missing".into()) } else { Ok(()) }
    }

    fn read(doc: &LoroDoc) -> Fallible<usize> {
        let mut read = Ok(0);
        doc.get_map(LOG).for_each(|key, value| {
            let value = match value {
                ValueOrContainer::Value(LoroValue::Binary(value)) => decode(key, &value),
                _ => Err("an entry that is not bytes".into()),
            };
            match (&mut read, value) {
                (Ok(count), Ok(_)) => *count += 1,
                (Ok(_), Err(error)) => read = Err(error),
                (Err(_), _) => {}
            }
        });
        read
    }
}
