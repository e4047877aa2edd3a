//! Yrs: two root maps of bytes, stored and sent as updates, in either of its two encodings.

use std::marker::PhantomData;

use fallaway_changes::{Put, VerifiedChange, Writer};
use yrs::updates::decoder::Decode;
use yrs::{Any, Doc, Map, Out, ReadTxn, StateVector, Transact, Update};

use super::{LOG, Library, SPEC, Written, decode, map_of, short_name};
use crate::Fallible;

/// Yrs with one of its encodings.
#[derive(Debug)]
pub struct Yrs<E>(PhantomData<E>);

/// One of the two encodings of yrs.
pub trait Encoding {
    /// What the table calls yrs with it.
    const NAME: &'static str;
    /// Everything since a state.
    fn encode(doc: &Doc, since: &StateVector) -> Vec<u8>;
    /// Reads an update.
    fn decode(bytes: &[u8]) -> Fallible<Update>;
}

/// The encoding that most providers send.
#[derive(Debug)]
pub struct Version1;

/// The denser encoding.
#[derive(Debug)]
pub struct Version2;

impl Encoding for Version1 {
    const NAME: &'static str = "yrs, v1";

    fn encode(doc: &Doc, since: &StateVector) -> Vec<u8> {
        doc.transact().encode_state_as_update_v1(since)
    }

    fn decode(bytes: &[u8]) -> Fallible<Update> {
        Ok(Update::decode_v1(bytes)?)
    }
}

impl Encoding for Version2 {
    const NAME: &'static str = "yrs, v2";

    fn encode(doc: &Doc, since: &StateVector) -> Vec<u8> {
        doc.transact().encode_state_as_update_v2(since)
    }

    fn decode(bytes: &[u8]) -> Fallible<Update> {
        Ok(Update::decode_v2(bytes)?)
    }
}

/// Writes puts in one transaction.
fn put_all(doc: &Doc, puts: &[Put]) {
    // Maps first: asking for one inside a transaction would wait for it for ever.
    let (log, spec) = (doc.get_or_insert_map(LOG), doc.get_or_insert_map(SPEC));
    let mut transaction = doc.transact_mut();
    for put in puts {
        let map = if map_of(put) == LOG { &log } else { &spec };
        map.insert(&mut transaction, put.key.as_str(), Any::from(put.value.as_slice()));
    }
}

fn state(doc: &Doc) -> StateVector {
    doc.transact().state_vector()
}

impl<E: Encoding> Library for Yrs<E> {
    const NAME: &'static str = E::NAME;
    type Doc = Doc;

    fn founded(writer: &Writer) -> Fallible<Doc> {
        // By default its client numbers have 32 bits.
        Ok(Doc::with_client_id(short_name(writer) & u64::from(u32::MAX)))
    }

    fn load(stored: &[u8], writer: &Writer) -> Fallible<Doc> {
        let mut doc = Self::founded(writer)?;
        Self::merge(&mut doc, stored)?;
        Ok(doc)
    }

    fn save(doc: &mut Doc) -> Fallible<Vec<u8>> {
        Ok(E::encode(doc, &StateVector::default()))
    }

    fn write(doc: &mut Doc, changes: &[VerifiedChange]) -> Fallible<Written> {
        let start = state(doc);
        let mut each = Vec::new();
        for change in changes {
            let before = state(doc);
            put_all(doc, &change.ops);
            each.push(E::encode(doc, &before));
        }
        Ok(Written { each, all: E::encode(doc, &start) })
    }

    fn edit(doc: &mut Doc, _: &Writer, put: &Put) -> Fallible<Vec<u8>> {
        let before = state(doc);
        put_all(doc, std::slice::from_ref(put));
        Ok(E::encode(doc, &before))
    }

    fn merge(doc: &mut Doc, message: &[u8]) -> Fallible<()> {
        doc.transact_mut().apply_update(E::decode(message)?)?;
        Ok(())
    }

    fn read(doc: &Doc) -> Fallible<usize> {
        let log = doc.get_or_insert_map(LOG);
        let transaction = doc.transact();
        let mut count = 0;
        for (key, value) in log.iter(&transaction) {
            let Out::Any(Any::Buffer(value)) = value else {
                return Err("an entry that is not bytes".into());
            };
            decode(key, &value)?;
            count += 1;
        }
        Ok(count)
    }
}
