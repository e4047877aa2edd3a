//! One instrument: a handle.

use std::sync::Arc;

use crate::Result;

/// One instrument of a workshop. A handle: several may stand for the same instrument, and to close
/// one closes nothing else.
///
/// Calls block and may come from any thread. Calls that write answer `NotAllowed` if this device is
/// a viewer, `ReadOnly` if a newer version wrote the record, `Full`, `Storage`, `Busy`, `Keys` if
/// the store or the keeper say so, and `Closed`; each call names what it may answer besides.
#[derive(uniffi::Object)]
pub struct Instrument {
    pub(crate) inner: fallaway::Instrument,
}

impl Instrument {
    pub(crate) fn of(inner: fallaway::Instrument) -> Arc<Self> {
        Arc::new(Self { inner })
    }
}

#[uniffi::export]
impl Instrument {
    /// The instrument's id; the same on every device.
    pub fn id(&self) -> String {
        self.inner.id().to_string()
    }

    /// The instrument's name.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn name(&self) -> Result<String> {
        Ok(self.inner.name()?)
    }

    /// Writes a remark down: part of a visit if one is open. `by` is who says it, if not the person
    /// at the device. Answers the id of the entry.
    ///
    /// # Errors
    /// `BadInput` for an empty text or one of more than 2000 characters; whatever an edit answers.
    #[uniffi::method(default(by = None))]
    pub fn add_remark(&self, text: String, by: Option<String>) -> Result<String> {
        let remark = fallaway::record::Remark { text, replaces: None, about: None };
        Ok(self.inner.add_remark(remark, by.as_deref())?.to_string())
    }
}
