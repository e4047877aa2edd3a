//! Numbers as both formats write them.

/// A number of two or four bytes, most significant first.
pub(super) fn number(bytes: &[u8]) -> usize {
    bytes.iter().fold(0, |number, byte| number << 8 | usize::from(*byte))
}
