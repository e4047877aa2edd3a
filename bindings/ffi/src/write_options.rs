//! What may be said beside anything that is written.

use fallaway::Accept;

use crate::{Doubt, Moment, Result};

/// When something happened and who did it; what is not said is as usual: now, and whoever is at the
/// device.
#[derive(Debug, Clone, Default, PartialEq, uniffi::Record)]
pub struct WriteOptions {
    /// When it happened, if not now: a page of a notebook, a reading of yesterday. It belongs to the
    /// visit of that time.
    #[uniffi(default = None)]
    pub at: Option<Moment>,
    /// Who read it or did it, 1 to 64 characters.
    #[uniffi(default = None)]
    pub by: Option<String>,
    /// The doubts that the person has answered with yes, as the error `Unsure` named them. Any other
    /// is asked about.
    #[uniffi(default = [])]
    pub accept: Vec<Doubt>,
}

impl WriteOptions {
    pub(crate) fn typed(self) -> Result<fallaway::WriteOptions> {
        Ok(fallaway::WriteOptions {
            at: self.at.map(Moment::typed).transpose()?,
            by: self.by,
            accept: Accept::These(self.accept.into_iter().map(|doubt| doubt.id).collect()),
        })
    }
}

/// The options of a call that may have none.
pub(crate) fn typed(options: Option<WriteOptions>) -> Result<fallaway::WriteOptions> {
    options.unwrap_or_default().typed()
}
