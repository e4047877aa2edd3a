//! Limits on what crosses between devices. Frozen together with the format: what one version
//! accepts, every version must accept. Those of a change are in [`fallaway_changes::limits`].

/// Bytes of one sealed bundle.
pub const MAX_BUNDLE_BYTES: usize = 4 * 1024 * 1024;
/// Bytes of one sealed bundle that a writer aims to stay below, so that it fits one request. A
/// chain of changes can only be cut where a signature was kept, so keep one at least this often.
pub const USUAL_BUNDLE_BYTES: usize = 128 * 1024;
/// Changes in one bundle.
pub const MAX_CHANGES: usize = 65_536;
/// Operations in one bundle: decoded ones take several times their bytes in memory.
pub const MAX_BUNDLE_OPS: usize = 131_072;
/// Member operations that one member operation or bundle may name as seen.
pub const MAX_MEMBER_HEADS: usize = 256;
/// Bytes of a device's label or a record's name.
pub const MAX_LABEL: usize = 64;
/// Bytes of one member operation.
pub const MAX_MEMBER_BYTES: usize = 16 * 1024;
/// Member operations of one record.
pub const MAX_MEMBER_OPS: usize = 4096;
/// Bytes of the text in which an invitation is looked for.
pub const MAX_INVITATION_BYTES: usize = 64 * 1024;
/// Epoch keys in one invitation.
pub const MAX_EPOCH_KEYS: usize = 64;
/// Characters of a relay's address.
pub const MAX_RELAY: usize = 200;
