//! When a value of a register was put and by whom, where that is not when its change was written and whoever
//! wrote it: a fact that somebody read off a drawing last week, a choice that the owner made.

use fallaway_changes::Container;
use minicbor::{Decode, Encode};

use crate::Moment;

/// What somebody stated of a write. It stands beside the value, in the same change.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Stated {
    /// When it happened.
    #[n(0)]
    pub at: Option<Moment>,
    /// Who did it: a free label.
    #[n(1)]
    pub by: Option<String>,
}

impl Stated {
    /// Whether nothing was said.
    pub const fn is_empty(&self) -> bool {
        self.at.is_none() && self.by.is_none()
    }
}

/// The key of what is stated of a register.
pub(crate) fn stated_key(container: Container, key: &str) -> String {
    format!("{}/{key}", container.0)
}
