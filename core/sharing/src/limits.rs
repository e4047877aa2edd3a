//! Limits on what crosses between devices. Frozen together with the format: what one version
//! accepts, every version must accept. Those of a change are in [`fallaway_changes::limits`].

/// Bytes of one sealed bundle.
pub const MAX_BUNDLE_BYTES: usize = 4 * 1024 * 1024;
/// Bytes of a photo.
pub const MAX_BLOB_BYTES: usize = 16 * 1024 * 1024;
/// Bytes of a photo that are sealed at once.
pub const BLOB_PART_BYTES: usize = 1024 * 1024;
/// Bytes of a sealed part that is not the last: Poly1305 adds 16.
pub const SEALED_PART_BYTES: usize = BLOB_PART_BYTES + 16;
/// Sealed parts of a photo.
pub const MAX_BLOB_PARTS: u32 = (MAX_BLOB_BYTES / BLOB_PART_BYTES) as u32;
/// Changes in one bundle.
pub const MAX_CHANGES: usize = 65_536;
/// Operations in one bundle: decoded ones take several times their bytes in memory.
pub const MAX_BUNDLE_OPS: usize = 131_072;
/// Member operations that one member operation or bundle may name as seen.
pub const MAX_MEMBER_HEADS: usize = 256;
/// Bytes of a device's label or a record's name.
pub const MAX_LABEL: usize = 64;
/// Bytes of one member operation.
pub const MAX_MEMBER_BYTES: usize = 32 * 1024;
/// Member operations of one record that are kept, if they count. Whoever wrote the most gives up what
/// is beyond.
pub const MAX_KEPT_OPS: usize = 4096;
/// Member operations of one record that wait for others.
pub const MAX_WAITING_OPS: usize = 256;
/// The same of one device.
pub const MAX_WAITING_OPS_OF_DEVICE: usize = 32;
/// Member operations of one member that are kept although they do not count.
pub const MAX_VOID_OPS_OF_DEVICE: usize = 64;
/// Joins of one record that are kept although another device had used their invitation.
pub const MAX_SECOND_JOINS: usize = 64;
/// Greatest number of a change.
pub const MAX_SEQ: u64 = (1 << 31) - 1;
/// Devices that one operation removes.
pub const MAX_REMOVED: usize = 16;
/// Writers that one frontier names.
pub const MAX_FRONTIER: usize = 256;
/// Devices that a record is shared by: so many keys an epoch has.
pub const MAX_DEVICES: usize = 128;
/// Epochs that one epoch takes the place of.
pub const MAX_PARENTS: usize = 64;
/// Bytes of the older keys under an epoch's.
pub const MAX_OLDER: usize = 24 + MAX_PARENTS * 32 + 16;
/// Bytes of the text in which an invitation is looked for.
pub const MAX_INVITATION_BYTES: usize = 4 * 1024;
/// Member operations, and changes, that a receipt names.
pub const MAX_RECEIPT_HEADS: usize = 64;
/// Characters of a relay's address.
pub const MAX_RELAY: usize = 200;
/// Relays that carry a record.
pub const MAX_RELAYS: usize = 3;
