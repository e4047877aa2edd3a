//! Limits on a change that arrives from outside. Frozen together with the format: what one version
//! accepts, every version must accept.

/// Bytes of one canonical change.
pub const MAX_CHANGE_BYTES: usize = 192 * 1024;
/// Operations in one change.
pub const MAX_OPS: usize = 8192;
/// Bytes of one key.
pub const MAX_KEY: usize = 256;
/// Bytes of one value.
pub const MAX_VALUE: usize = 16 * 1024;
/// Nested arrays, maps and tags in one value.
pub const MAX_DEPTH: usize = 16;
/// Direct dependencies of one change.
pub const MAX_DEPS: usize = 256;
/// Writers other than its own that one change names.
pub const MAX_WRITERS: usize = 256;
/// Greatest sequence number: it fits into 32 bits with room to count on.
pub const MAX_COUNTER: u64 = (1 << 31) - 1;
/// Earliest stated time, seconds from 1970-01-01T00:00:00Z: the start of the year 1.
pub const MIN_TIME: i64 = -62_135_596_800;
/// Latest stated time: 9999-12-30T22:00:00Z, the last second that has a date of four digits in
/// every time zone.
pub const MAX_TIME: i64 = 253_402_207_200;

/// There is more of something than is accepted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("{what}: {found} is more than {most}")]
pub struct TooLarge {
    /// What was counted.
    pub what: &'static str,
    /// How many there are.
    pub found: u64,
    /// How many are accepted.
    pub most: u64,
}

/// `found` as a size, if it is at most `most`.
///
/// # Errors
/// [`TooLarge`].
pub fn bounded(what: &'static str, found: u64, most: usize) -> Result<usize, TooLarge> {
    match usize::try_from(found) {
        Ok(count) if count <= most => Ok(count),
        _ => Err(TooLarge { what, found, most: most as u64 }),
    }
}

/// Checks that `found` is at most `most`.
///
/// # Errors
/// [`TooLarge`].
pub fn at_most(what: &'static str, found: usize, most: usize) -> Result<(), TooLarge> {
    bounded(what, found as u64, most).map(|_| ())
}

/// Whether the items rise, none twice.
pub fn is_sorted_unique<T: Ord>(items: &[T]) -> bool {
    items.windows(2).all(|pair| matches!(pair, [a, b] if a < b))
}
