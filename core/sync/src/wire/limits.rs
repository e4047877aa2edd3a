//! Limits of the protocol. A relay may ask for less than those that are said to be its own.

use fallaway_sharing::limits::MAX_BUNDLE_BYTES;

/// Bundles that one request pushes, and that one page holds.
pub const MAX_PAGE_BUNDLES: usize = 64;
/// Bytes of sealed bundles in one page, unless it is a single larger one.
pub const MAX_PAGE_BYTES: usize = 256 * 1024;
/// Bytes of a body: one bundle of the greatest size, and a page beside it.
pub const MAX_BODY_BYTES: usize = MAX_BUNDLE_BYTES + MAX_PAGE_BYTES;
/// Bytes of the body of a knock.
pub const MAX_KNOCK_BYTES: usize = 4 * 1024;
/// Bytes of the body of an answer to a knock.
pub const MAX_ANSWER_BYTES: usize = 64 * 1024;
/// Knocks that a log keeps.
pub const MAX_KNOCKS: usize = 64;
/// Days that a knock is kept.
pub const KNOCK_DAYS: u16 = 30;
/// Bytes of a parcel.
pub const MAX_PARCEL_BYTES: usize = 64 * 1024;
/// Days that a parcel may be kept.
pub const MAX_PARCEL_DAYS: u16 = 366;
/// Seconds that a relay waits for news, at most.
pub const MAX_WAIT_S: u16 = 55;
/// Capabilities that a client tries in one round.
pub const MAX_TRIES: usize = 4;
