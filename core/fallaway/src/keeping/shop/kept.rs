//! Where it lies: values of the whole store, a map each, of which a newer version's parts are passed over.

use fallaway_changes::RecordId;
use fallaway_order::Map;
use fallaway_order::OneByOne as _;
use minicbor::{Decode, Encode};

use super::model::{Care, Customer, Job, ShopSpec, StringSet};
use crate::error::{Error, Result};
use crate::keeping::workshop_state::WorkshopState;

/// What is kept of an instrument.
#[derive(Debug, Clone, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub(crate) struct KeptOfInstrument {
    #[n(0)]
    pub customer: Option<Customer>,
    #[n(1)]
    #[cbor(default)]
    pub jobs: Vec<Job>,
    #[n(2)]
    pub care: Option<Care>,
    /// The greatest number that a job was given: none is given twice.
    #[n(3)]
    #[cbor(default)]
    pub last_job: u32,
}

/// What is kept for all instruments.
#[derive(Debug, Clone, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub(crate) struct KeptOfShop {
    #[n(0)]
    #[cbor(default)]
    pub specs: Vec<ShopSpec>,
    #[n(1)]
    #[cbor(default)]
    pub sets: Vec<StringSet>,
}

const SHOP: &str = "shop";

fn of_instrument(id: &RecordId) -> String {
    format!("{SHOP} {id}")
}

impl WorkshopState {
    pub(crate) fn shop_of(&self, id: &RecordId) -> Result<KeptOfInstrument> {
        self.kept(&of_instrument(id))
    }

    /// What is kept of each; one whose value cannot be read is left out.
    pub(crate) fn shop_of_all(&self) -> Result<Map<RecordId, KeptOfInstrument>> {
        let beginning = format!("{SHOP} ");
        let values = self.store.metas_from(&beginning)?;
        Ok(values
            .into_iter()
            .filter_map(|(key, bytes)| {
                let id = key.strip_prefix(&beginning)?.parse().ok()?;
                Some((id, minicbor::decode(&bytes).ok()?))
            })
            .in_map())
    }

    /// `None` takes everything that is kept of it away.
    pub(crate) fn keep_shop_of(
        &self,
        id: &RecordId,
        kept: Option<&KeptOfInstrument>,
    ) -> Result<()> {
        self.keep(&of_instrument(id), kept)
    }

    pub(crate) fn shop(&self) -> Result<KeptOfShop> {
        self.kept(SHOP)
    }

    pub(crate) fn keep_shop(&self, kept: &KeptOfShop) -> Result<()> {
        self.keep(SHOP, Some(kept))
    }

    /// A value that cannot be read is as if nothing had been kept, and is not written over.
    fn kept<T: Default + for<'b> Decode<'b, ()>>(&self, key: &str) -> Result<T> {
        match self.store.meta(key)? {
            None => Ok(T::default()),
            Some(bytes) => minicbor::decode(&bytes).map_err(|error| Error::internal("shop", error)),
        }
    }

    fn keep<T: Encode<()>>(&self, key: &str, kept: Option<&T>) -> Result<()> {
        let bytes = kept.map(minicbor::to_vec).transpose();
        let bytes = bytes.map_err(|error| Error::internal("shop", error))?;
        Ok(self.store.set_meta(key, bytes.as_deref())?)
    }
}
