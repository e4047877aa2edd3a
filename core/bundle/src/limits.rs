//! Limits on everything that arrives from outside. Frozen together with the format: what one
//! version accepts, every version must accept.

/// Bytes of one sealed bundle.
pub const MAX_BUNDLE_BYTES: usize = 256 * 1024;
/// Bytes of one canonical change.
pub const MAX_CHANGE_BYTES: usize = 192 * 1024;
/// Changes in one bundle.
pub const MAX_CHANGES: usize = 1024;
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
/// Predecessors of one operation.
pub const MAX_PREDS: usize = 256;
/// Writers other than its own that one change names.
pub const MAX_WRITERS: usize = 256;
/// Greatest operation counter and sequence number. The document library keeps counters in 32 bits
/// in places; staying below 2^31 keeps clear of every overflow.
pub const MAX_COUNTER: u64 = (1 << 31) - 1;
/// Earliest stated time, seconds from 1970-01-01T00:00:00Z: the start of the year 1.
pub const MIN_TIME: i64 = -62_135_596_800;
/// Latest stated time: the end of the year 9999.
pub const MAX_TIME: i64 = 253_402_300_799;
/// Member operations that one member operation or bundle may name as seen.
pub const MAX_MEMBER_HEADS: usize = 64;
/// Bytes of a device's label or a record's name.
pub const MAX_LABEL: usize = 64;
/// Bytes of one member operation.
pub const MAX_MEMBER_BYTES: usize = 8 * 1024;
