//! What the graph of member operations says: of an operation, of a device, of an invitation.

use fallaway_changes::{DeviceId, ExchangeKey, MemberHash};

use crate::action::{Frontier, InviteFor};
use crate::role::Role;

/// What became of one operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Status {
    /// It counts, by the rules and all operations that are here.
    Accepted,
    /// It does not count, here and everywhere.
    Skipped(Skip),
    /// Something that it saw, directly or not, has not arrived.
    Waiting,
    /// It is, or saw, an operation of a kind that this version does not know.
    NeedsNewer,
}

/// Why an operation does not count.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Skip {
    /// Its author was no owner, or somebody more senior took that away.
    #[error("its author was no owner")]
    NotOwner,
    /// Its author was no member with the role that it takes.
    #[error("its author was not allowed to")]
    NotAllowed,
    /// An epoch without a key for each member, or with one for somebody else.
    #[error("its keys are not for the members")]
    Recipients,
    /// The join names no accepted invite that it saw.
    #[error("it names no valid invitation")]
    NoInvitation,
    /// The join's stated time is past the invitation's expiry.
    #[error("the invitation had expired")]
    Expired,
    /// The join is not signed by the invitation's key.
    #[error("the invitation's secret was not known to it")]
    NoConsent,
    /// The invitation was withdrawn, or whoever wrote it removed, before anybody saw the join.
    #[error("the invitation was withdrawn by {0}")]
    Withdrawn(MemberHash),
    /// Another join used the invitation.
    #[error("the invitation was used by join {0}")]
    Used(MemberHash),
    /// An owner leaves, and knew of no other one.
    #[error("the last owner cannot leave")]
    LastOwner,
    /// A kind of a newer version, which may be passed over.
    #[error("it is of a kind that this version does not know")]
    UnknownKind,
}

/// Whether a device may write, judged by the member operations that it had seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// It may write, by this role.
    MayWrite(Role),
    /// It is a viewer, or no member.
    MayNot(Option<Role>),
    /// These operations have not arrived.
    Waiting(Vec<MemberHash>),
    /// It had seen an operation that this version does not know.
    NeedsNewer,
}

/// A device that takes part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// The device by its signing key.
    pub device: DeviceId,
    /// Its exchange key; its own statement goes before an owner's.
    pub exchange: ExchangeKey,
    /// What it may do.
    pub role: Role,
    /// What it calls itself; its own statement goes before an owner's. Shown only as
    /// [`crate::Members::labels`] has it.
    pub label: String,
    /// The operation that made it a member.
    pub since: MemberHash,
    /// The first device of the person whose device this is.
    pub person: DeviceId,
}

/// An invitation that nobody has used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenInvitation {
    /// The invite operation.
    pub invite: MemberHash,
    /// The member that invites.
    pub by: DeviceId,
    /// What the one that joins may do.
    pub role: Role,
    /// For whom the invitation is.
    pub whom: InviteFor,
    /// Last stated time of a join, seconds since 1970-01-01T00:00:00Z.
    pub expires: i64,
}

/// A role taken from a device, and what of its work stays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Removal {
    /// The operation that took it.
    pub op: MemberHash,
    /// Who removed it.
    pub by: DeviceId,
    /// The device from which it was taken.
    pub device: DeviceId,
    /// What it may still do.
    pub left: Option<Role>,
    /// How far its work is taken.
    pub frontier: Frontier,
}
