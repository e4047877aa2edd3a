//! Bundles of changes: consecutive changes of one writer under one signature.
//!
//! The author signs the id of the last change. Each change names its writer's previous one among
//! its dependencies, by its id, so that the one signature proves the whole chain before it: it is
//! enough to keep a writer's newest proof. A [`ChangeBundle`] exists only if all of that holds.

use fallaway_order::Set;

use fallaway_changes::cbor::{Builder, CborError, Reader};
use fallaway_changes::limits::{TooLarge, at_most, bounded, is_sorted_unique};
use fallaway_changes::{
    ChangeError, ChangeId, DeviceId, Incarnation, LinkError, MemberHash, RecordId, Signature,
    SignedTip, UnverifiedChange, VerifiedChange, Writer, verify_chain, writer,
};

use crate::identity::{DeviceKeys, verify};
use crate::limits::{MAX_BUNDLE_BYTES, MAX_BUNDLE_OPS, MAX_CHANGES, MAX_MEMBER_HEADS};

/// Begins the signed message of a [`ChainProof`].
const DOMAIN: &str = "fallaway v1 signed chain of changes";
const PROOF_ITEMS: usize = 7;

/// A writer's signature over its newest change, and so over its whole chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChainProof {
    /// The record that the changes belong to.
    pub record: RecordId,
    /// The device that signs.
    pub device: DeviceId,
    /// Which incarnation of the device; with the device and the record it gives the writer.
    pub incarnation: Incarnation,
    /// Number of the change that is signed.
    pub seq: u64,
    /// The change that is signed.
    pub tip: ChangeId,
    /// The newest member operations that the author had seen: sorted, unique, at least one.
    pub member_heads: Vec<MemberHash>,
    /// Over all of the above.
    pub signature: Signature,
}

/// Why a proof or a bundle of changes is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ChainError {
    /// Not the expected CBOR.
    #[error("malformed {0}")]
    Malformed(#[from] CborError),
    /// Something is larger than the limit.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// Member heads missing, unsorted or twice.
    #[error("member heads must be given, sorted and unique")]
    MemberHeads,
    /// A change at fault.
    #[error("change {seq}: {error}")]
    Change {
        /// The number of the change in its writer's chain.
        seq: u64,
        /// What is wrong with it.
        error: ChangeError,
    },
    /// The changes are not those that were signed.
    #[error(transparent)]
    Link(#[from] LinkError),
    /// There is no number for this many changes up to the signed one.
    #[error("{count} changes cannot end at number {seq}")]
    Count {
        /// How many there are.
        count: u64,
        /// The signed number.
        seq: u64,
    },
    /// The device did not sign this.
    #[error("the signature is not by device {0}")]
    BadSignature(DeviceId),
}

impl ChainProof {
    /// Signs that `tip` is this writer's change number `seq`, made having seen `member_heads`.
    pub fn sign(
        keys: &DeviceKeys,
        record: RecordId,
        incarnation: Incarnation,
        seq: u64,
        tip: ChangeId,
        member_heads: &Set<MemberHash>,
    ) -> Self {
        let mut proof = Self {
            record,
            device: keys.device(),
            incarnation,
            seq,
            tip,
            member_heads: member_heads.iter().copied().collect(),
            signature: Signature::from_bytes([0; 64]),
        };
        proof.signature = keys.sign(&proof.message());
        proof
    }

    fn message(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(7)
            .text(DOMAIN)
            .bytes(self.record.as_bytes())
            .bytes(self.device.as_bytes())
            .bytes(self.writer().as_bytes())
            .uint(self.seq)
            .bytes(self.tip.as_bytes())
            .chunks(&self.member_heads);
        out.finish()
    }

    /// The writer whose chain this proves.
    pub fn writer(&self) -> Writer {
        writer(&self.device, &self.record, &self.incarnation)
    }

    /// Checks the signature.
    ///
    /// # Errors
    /// [`ChainError::BadSignature`], [`ChainError::MemberHeads`], [`ChainError::TooLarge`].
    pub fn verify(&self) -> Result<(), ChainError> {
        at_most("member heads", self.member_heads.len(), MAX_MEMBER_HEADS)?;
        if self.member_heads.is_empty() || !is_sorted_unique(&self.member_heads) {
            return Err(ChainError::MemberHeads);
        }
        if verify(self.device.as_bytes(), &self.message(), &self.signature) {
            Ok(())
        } else {
            Err(ChainError::BadSignature(self.device))
        }
    }

    /// The canonical bytes.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(PROOF_ITEMS);
        self.encode_items(&mut out);
        out.finish()
    }

    /// Reads canonical bytes and checks the signature.
    ///
    /// # Errors
    /// [`ChainError`].
    pub fn decode(bytes: &[u8]) -> Result<Self, ChainError> {
        let proof = Self::decode_kept(bytes)?;
        proof.verify()?;
        Ok(proof)
    }

    /// Reads canonical bytes that this device has verified before and kept in its own store. The
    /// signature is not checked again.
    ///
    /// # Errors
    /// [`ChainError`].
    pub fn decode_kept(bytes: &[u8]) -> Result<Self, ChainError> {
        let mut reader = Reader::new(bytes);
        reader.array_len(PROOF_ITEMS as u64, "a proof of 7 items")?;
        let proof = Self::decode_items(&mut reader)?;
        reader.end()?;
        Ok(proof)
    }

    fn encode_items(&self, out: &mut Builder) {
        out.bytes(self.record.as_bytes())
            .bytes(self.device.as_bytes())
            .bytes(self.incarnation.as_bytes())
            .uint(self.seq)
            .bytes(self.tip.as_bytes())
            .chunks(&self.member_heads)
            .bytes(self.signature.as_bytes());
    }

    fn decode_items(reader: &mut Reader<'_>) -> Result<Self, CborError> {
        Ok(Self {
            record: reader.array_of("a record id of 16 bytes")?.into(),
            device: reader.array_of("a device id of 32 bytes")?.into(),
            incarnation: reader.array_of("an incarnation of 16 bytes")?.into(),
            seq: reader.uint()?,
            tip: reader.array_of("a change id of 32 bytes")?.into(),
            member_heads: reader.chunks("member heads of 32 bytes each")?,
            signature: reader.array_of("a signature of 64 bytes")?.into(),
        })
    }
}

impl SignedTip for ChainProof {
    fn writer(&self) -> Writer {
        self.writer()
    }

    fn seq(&self) -> u64 {
        self.seq
    }

    fn tip(&self) -> ChangeId {
        self.tip
    }
}

/// Consecutive changes of one writer, the last one signed: the signature is right, and every change
/// is one that it proves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangeBundle {
    proof: ChainProof,
    changes: Vec<VerifiedChange>,
}

impl ChangeBundle {
    /// Puts changes under a proof.
    ///
    /// # Errors
    /// [`ChainError`]: the signature, changes that it does not prove, or the size.
    pub fn new(
        proof: ChainProof,
        changes: impl IntoIterator<Item = VerifiedChange>,
    ) -> Result<Self, ChainError> {
        proof.verify()?;
        Self::under_kept(proof, changes)
    }

    /// The same, under a proof that this device has verified before and kept in its own store. The
    /// signature is not checked again.
    ///
    /// # Errors
    /// [`ChainError`]: changes that it does not prove, or the size.
    pub fn under_kept(
        proof: ChainProof,
        changes: impl IntoIterator<Item = VerifiedChange>,
    ) -> Result<Self, ChainError> {
        let changes: Vec<_> = changes.into_iter().map(UnverifiedChange::from).collect();
        at_most("changes", changes.len(), MAX_CHANGES)?;
        let ops = changes.iter().map(|change| change.ops.len()).sum();
        at_most("operations of a bundle", ops, MAX_BUNDLE_OPS)?;
        let bundle = Self { changes: verify_chain(&proof, changes)?, proof };
        at_most("bytes of a bundle of changes", bundle.encode().len(), MAX_BUNDLE_BYTES)?;
        Ok(bundle)
    }

    /// The author's signature and what it covers.
    pub fn proof(&self) -> &ChainProof {
        &self.proof
    }

    /// The changes, in the order of their numbers.
    pub fn changes(&self) -> &[VerifiedChange] {
        &self.changes
    }

    /// Gives up the parts.
    pub fn into_parts(self) -> (ChainProof, Vec<VerifiedChange>) {
        (self.proof, self.changes)
    }

    /// The canonical bytes.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(PROOF_ITEMS + 1);
        self.proof.encode_items(&mut out);
        out.array(self.changes.len());
        for change in &self.changes {
            // Writer and number follow from the proof.
            out.array(VerifiedChange::BODY_ITEMS).raw(change.body());
        }
        out.finish()
    }

    /// Reads canonical bytes and proves everything that can be proved without the record: the form,
    /// the signature, and that these are the changes which the author signed. The reader takes
    /// deterministic items only, so no other bytes give this bundle.
    ///
    /// # Errors
    /// [`ChainError`].
    pub fn decode(bytes: &[u8]) -> Result<Self, ChainError> {
        Self::decode_beside(bytes, &|_| false)
    }

    /// The same; a signature that was `found_right` before is not checked again.
    pub(crate) fn decode_beside(
        bytes: &[u8],
        found_right: &dyn Fn(&ChainProof) -> bool,
    ) -> Result<Self, ChainError> {
        at_most("bytes of a bundle of changes", bytes.len(), MAX_BUNDLE_BYTES)?;
        let mut reader = Reader::new(bytes);
        reader.array_len(PROOF_ITEMS as u64 + 1, "a bundle of changes of 8 items")?;
        let proof = ChainProof::decode_items(&mut reader)?;
        // Before anything is allocated for changes: a stranger's bundle goes no further.
        if !found_right(&proof) {
            proof.verify()?;
        }
        let count = bounded("changes", reader.array()?, MAX_CHANGES)? as u64;
        let first = proof.seq.checked_sub(count).and_then(|before| before.checked_add(1));
        let Some(first) = first else {
            return Err(ChainError::Count { count, seq: proof.seq });
        };
        let writer = proof.writer();
        let (mut changes, mut ops) = (Vec::new(), 0);
        for seq in first..=proof.seq {
            let change = UnverifiedChange::read(&mut reader, &proof.record, writer, seq);
            let change = change.map_err(|error| ChainError::Change { seq, error })?;
            ops += change.ops.len();
            at_most("operations of a bundle", ops, MAX_BUNDLE_OPS)?;
            changes.push(change);
        }
        reader.end()?;
        Ok(Self { changes: verify_chain(&proof, changes)?, proof })
    }
}

#[cfg(test)]
#[path = "chain_tests.rs"]
mod tests;
