//! What a member may do.

use std::fmt;
use std::str::FromStr;

/// What a member may do. A greater role may do everything that a lesser one may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum Role {
    /// Reads, and may write nothing.
    Viewer = 1,
    /// Reads and writes.
    Contributor = 2,
    /// Reads, writes, and says who takes part.
    Owner = 3,
}

impl Role {
    pub(crate) fn from_number(number: u64) -> Option<Self> {
        [Self::Viewer, Self::Contributor, Self::Owner]
            .into_iter()
            .find(|role| *role as u64 == number)
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Viewer => "viewer",
            Self::Contributor => "contributor",
            Self::Owner => "owner",
        })
    }
}

/// A text that is no role.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a role is owner, contributor or viewer")]
pub struct RoleError;

impl FromStr for Role {
    type Err = RoleError;

    fn from_str(text: &str) -> Result<Self, RoleError> {
        [Self::Viewer, Self::Contributor, Self::Owner]
            .into_iter()
            .find(|role| role.to_string() == text)
            .ok_or(RoleError)
    }
}
