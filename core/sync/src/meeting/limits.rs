//! How much a meeting may take, in bytes and in time.

/// Hints of one preamble: newest keys of the records that a device shares.
pub const MAX_HINTS: usize = 512;
/// Of one record.
pub const MAX_HINTS_OF_RECORD: usize = 64;
/// A preamble has a multiple of so many hints, so that it tells nobody how many records there are.
pub(crate) const HINTS_IN_A_ROW: usize = 8;
/// Bytes of what a device says that it has.
pub const MAX_STATE_BYTES: usize = 1024 * 1024;
/// Bundles of one turn.
pub const MAX_TURN_BUNDLES: usize = 4096;
/// Bytes of these; one bundle more may stand at the end.
pub const MAX_TURN_BYTES: usize = 4 * 1024 * 1024;
/// Bundles that an honest device sends in one turn: they are merged together.
pub const PAGE_BUNDLES: usize = 64;
/// Bytes of these, unless it is one bundle.
pub const PAGE_BYTES: usize = 256 * 1024;
/// Bytes both ways in one meeting over one record, photos not counted.
pub const MAX_MEETING_BYTES: u64 = 64 * 1024 * 1024;
/// Bytes of photos both ways in one meeting over one record.
pub const MAX_PHOTO_BYTES: u64 = 1024 * 1024 * 1024;
/// Photos that are asked for at once.
pub const MAX_WANTS: usize = 256;
/// Parts of photos that are taken in one turn; an honest device sends one.
pub const MAX_TURN_PARTS: usize = 4;
/// Bytes of what is asked for, and of what is said about a part beside its bytes.
pub(crate) const MAX_WANTS_BYTES: usize = 64 * 1024;
pub(crate) const PART_HEAD_BYTES: usize = 64;
/// Turns of one meeting over one record.
pub(crate) const MAX_TURNS: u32 = 4096;
/// Milliseconds until the handshake is made.
pub const HANDSHAKE_MS: u64 = 10_000;
/// Milliseconds in which each frame has to be there, and each one to be sent.
pub const IDLE_MS: u64 = 30_000;
/// Bytes of a bundle that one frame carries.
pub(crate) const PART_BYTES: usize = 32 * 1024;
