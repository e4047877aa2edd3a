//! Numbers as they cross.

/// A count or a position.
pub(crate) fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}
