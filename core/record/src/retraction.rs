//! Crossing out: an entry is never erased, it is crossed out with a reason.

use minicbor::{Decode, Encode};

use crate::Moment;

/// Why an entry no longer counts.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Retraction {
    /// When it was crossed out.
    #[n(0)]
    pub at: Moment,
    /// Who did it: a free label.
    #[n(1)]
    pub by: Option<String>,
    /// Why it no longer counts; an edit takes 1 to 500 characters.
    #[n(2)]
    pub reason: String,
}
