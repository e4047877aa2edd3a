//! What a device has verified before. It keeps that, so the same signature need not be checked again:
//! most of a file that brings everything is here already.

use fallaway_changes::MemberHash;

use crate::chain::ChainProof;
use crate::member::MemberOp;

/// Signatures that were found right before.
pub trait VerifiedBefore {
    /// The member operation of this hash, if it is here. Another signature under it is another
    /// matter, and is checked.
    fn op(&self, hash: &MemberHash) -> Option<&MemberOp>;

    /// Whether this proof is here, its signature included.
    fn has_proof(&self, proof: &ChainProof) -> bool;
}

/// Nothing is known: everything is checked.
pub(crate) struct Nothing;

impl VerifiedBefore for Nothing {
    fn op(&self, _: &MemberHash) -> Option<&MemberOp> {
        None
    }

    fn has_proof(&self, _: &ChainProof) -> bool {
        false
    }
}
