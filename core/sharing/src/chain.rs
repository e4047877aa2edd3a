//! Bundles of changes: consecutive changes of one writer under one signature.
//!
//! The author signs the hash of the last change. Each change names its writer's previous one among
//! its dependencies, by hash, so that the one signature proves the whole chain before it: it is
//! enough to keep a writer's newest proof. This crate cannot compute the hashes (they come from
//! rebuilding each change in the document library), so [`ChangeBundle::verify_chain`] takes them
//! from its caller.

use std::collections::BTreeSet;

use crate::identity::{DeviceKeys, verify};
use crate::limits::{MAX_BUNDLE_BYTES, MAX_BUNDLE_OPS, MAX_CHANGES, MAX_MEMBER_HEADS};
use fallaway_changes::cbor::{Builder, CborError, Reader};
use fallaway_changes::limits::{TooLarge, at_most, bounded, is_sorted_unique};
use fallaway_changes::{BODY_ITEMS, Change, ChangeError};
use fallaway_changes::{
    ChangeHash, DeviceId, Incarnation, MemberHash, RecordId, Signature, Writer, writer,
};

/// Begins the signed message of a [`ChainProof`].
const DOMAIN: &str = "fallaway v1 signed chain of changes";
const PROOF_ITEMS: usize = 7;

/// A writer's signature over its newest change, and so over its whole chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChainProof {
    /// The record.
    pub record: RecordId,
    /// Who signs.
    pub device: DeviceId,
    /// Which incarnation of the device; with the device and the record it gives the writer.
    pub incarnation: Incarnation,
    /// Number of the change that is signed.
    pub seq: u64,
    /// Hash of the change that is signed.
    pub hash: ChangeHash,
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
    /// Well-formed, but not in the one form that it has.
    #[error("not in its canonical form")]
    NotCanonical,
    /// Something is larger than the limit.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// Member heads missing, unsorted or twice.
    #[error("member heads must be given, sorted and unique")]
    MemberHeads,
    /// No changes.
    #[error("a bundle of changes has no changes")]
    Empty,
    /// A change at fault.
    #[error("change {seq}: {error}")]
    Change {
        /// Its number.
        seq: u64,
        /// What is wrong with it.
        error: ChangeError,
    },
    /// A change of somebody else.
    #[error("change {seq} is by writer {found}, the bundle by {expected}")]
    WrongWriter {
        /// Its number.
        seq: u64,
        /// Its writer.
        found: Writer,
        /// The writer of the bundle, from device, record and incarnation.
        expected: Writer,
    },
    /// The numbers do not run up to the signed one.
    #[error("change {found} stands where {expected} was expected")]
    WrongNumber {
        /// The number found.
        found: u64,
        /// The number expected.
        expected: u64,
    },
    /// A change's operations are numbered below those of the writer's previous change.
    #[error("change {0} numbers its operations not above those of the previous one")]
    CounterOrder(u64),
    /// The device did not sign this.
    #[error("the signature is not by device {0}")]
    BadSignature(DeviceId),
}

/// Why a chain of changes is not what the author signed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum VerifyError<E> {
    /// A change could not be rebuilt.
    #[error("change {seq} cannot be rebuilt: {error}")]
    Rebuild {
        /// Its number.
        seq: u64,
        /// The rebuilder's reason.
        error: E,
    },
    /// A change does not name its writer's previous one.
    #[error("change {0} does not depend on the one before it")]
    Unlinked(u64),
    /// The last change is not the one that was signed.
    #[error("the last change has hash {found}, the author signed {signed}")]
    WrongHash {
        /// Hash of the rebuilt change.
        found: ChangeHash,
        /// Hash in the proof.
        signed: ChangeHash,
    },
}

impl ChainProof {
    /// Signs that `hash` is this writer's change number `seq`, made having seen `member_heads`.
    pub fn sign(
        keys: &DeviceKeys,
        record: RecordId,
        incarnation: Incarnation,
        seq: u64,
        hash: ChangeHash,
        member_heads: &BTreeSet<MemberHash>,
    ) -> Self {
        let mut proof = Self {
            record,
            device: keys.device(),
            incarnation,
            seq,
            hash,
            member_heads: member_heads.iter().copied().collect(),
            signature: Signature::from_bytes([0; 64]),
        };
        proof.signature = keys.sign(&proof.message());
        proof
    }

    fn message(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(8)
            .text(DOMAIN)
            .bytes(self.record.tag().as_bytes())
            .bytes(self.record.as_bytes())
            .bytes(self.device.as_bytes())
            .bytes(self.writer().as_bytes())
            .uint(self.seq)
            .bytes(self.hash.as_bytes())
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
            .bytes(self.hash.as_bytes())
            .chunks(&self.member_heads)
            .bytes(self.signature.as_bytes());
    }

    fn decode_items(reader: &mut Reader<'_>) -> Result<Self, CborError> {
        Ok(Self {
            record: reader.array_of("a record id of 16 bytes")?.into(),
            device: reader.array_of("a device id of 32 bytes")?.into(),
            incarnation: reader.array_of("an incarnation of 16 bytes")?.into(),
            seq: reader.uint()?,
            hash: reader.array_of("a change hash of 32 bytes")?.into(),
            member_heads: reader.chunks("member heads of 32 bytes each")?,
            signature: reader.array_of("a signature of 64 bytes")?.into(),
        })
    }
}

/// Consecutive changes of one writer, the last one signed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangeBundle {
    proof: ChainProof,
    changes: Vec<Change>,
}

impl ChangeBundle {
    /// Puts changes under a proof and checks all but their hashes.
    ///
    /// # Errors
    /// [`ChainError`]: the signature, the writer and number of each change, each change's own
    /// rules, or the size.
    pub fn new(proof: ChainProof, changes: Vec<Change>) -> Result<Self, ChainError> {
        let bundle = Self { proof, changes };
        bundle.proof.verify()?;
        bundle.check()?;
        at_most("bytes of a bundle of changes", bundle.encode().len(), MAX_BUNDLE_BYTES)?;
        Ok(bundle)
    }

    /// Checks all but the signature and the hashes.
    fn check(&self) -> Result<(), ChainError> {
        at_most("changes", self.changes.len(), MAX_CHANGES)?;
        let ops = self.changes.iter().map(|change| change.ops.len()).sum();
        at_most("operations of a bundle", ops, MAX_BUNDLE_OPS)?;
        if self.changes.is_empty() {
            return Err(ChainError::Empty);
        }
        let expected = self.proof.writer();
        let mut previous_end = 0;
        for (place, change) in self.changes.iter().enumerate() {
            let seq = change.seq;
            change.validate().map_err(|error| ChainError::Change { seq, error })?;
            if change.writer != expected {
                return Err(ChainError::WrongWriter { seq, found: change.writer, expected });
            }
            let left = (self.changes.len() - 1 - place) as u64;
            if seq.checked_add(left) != Some(self.proof.seq) {
                let expected = self.proof.seq.saturating_sub(left);
                return Err(ChainError::WrongNumber { found: seq, expected });
            }
            if change.start_op <= previous_end {
                return Err(ChainError::CounterOrder(seq));
            }
            previous_end = change.end_op();
        }
        Ok(())
    }

    /// The author's signature and what it covers.
    pub fn proof(&self) -> &ChainProof {
        &self.proof
    }

    /// The changes, in the order of their numbers.
    pub fn changes(&self) -> &[Change] {
        &self.changes
    }

    /// Gives up the parts.
    pub fn into_parts(self) -> (ChainProof, Vec<Change>) {
        (self.proof, self.changes)
    }

    /// Checks that the changes are those which the author signed: `hash_of` rebuilds each change,
    /// each one after the first must depend on the one before, and the last must have the signed
    /// hash. Returns the hashes in order.
    ///
    /// That the first change depends on its writer's change before it (if it is not number 1)
    /// must be checked against the record.
    ///
    /// # Errors
    /// [`VerifyError`].
    pub fn verify_chain<E>(
        &self,
        mut hash_of: impl FnMut(&Change) -> Result<ChangeHash, E>,
    ) -> Result<Vec<ChangeHash>, VerifyError<E>> {
        let mut hashes: Vec<ChangeHash> = Vec::with_capacity(self.changes.len());
        for change in &self.changes {
            let seq = change.seq;
            if hashes.last().is_some_and(|previous| change.deps.binary_search(previous).is_err()) {
                return Err(VerifyError::Unlinked(seq));
            }
            hashes.push(hash_of(change).map_err(|error| VerifyError::Rebuild { seq, error })?);
        }
        match hashes.last() {
            Some(found) if *found != self.proof.hash => {
                Err(VerifyError::WrongHash { found: *found, signed: self.proof.hash })
            }
            _ => Ok(hashes),
        }
    }

    /// The canonical bytes.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(PROOF_ITEMS + 1);
        self.proof.encode_items(&mut out);
        out.array(self.changes.len());
        for change in &self.changes {
            // Writer and number follow from the proof.
            out.array(BODY_ITEMS);
            change.encode_body(&mut out);
        }
        out.finish()
    }

    /// Reads canonical bytes and checks all but the hashes.
    ///
    /// # Errors
    /// [`ChainError`].
    pub fn decode(bytes: &[u8]) -> Result<Self, ChainError> {
        at_most("bytes of a bundle of changes", bytes.len(), MAX_BUNDLE_BYTES)?;
        let mut reader = Reader::new(bytes);
        reader.array_len(PROOF_ITEMS as u64 + 1, "a bundle of changes of 8 items")?;
        let proof = ChainProof::decode_items(&mut reader)?;
        // Before anything is allocated for changes: a stranger's bundle goes no further.
        proof.verify()?;
        let count = bounded("changes", reader.array()?, MAX_CHANGES)? as u64;
        let first = proof.seq.checked_sub(count).and_then(|before| before.checked_add(1));
        let Some(first) = first else {
            return Err(ChainError::WrongNumber { found: 0, expected: 1 });
        };
        let writer = proof.writer();
        let (mut changes, mut ops) = (Vec::new(), 0);
        for seq in first..=proof.seq {
            reader.array_len(BODY_ITEMS as u64, "a change of 5 items")?;
            let change = Change::decode_body(&mut reader, writer, seq);
            let change = change.map_err(|error| ChainError::Change { seq, error })?;
            ops += change.ops.len();
            at_most("operations of a bundle", ops, MAX_BUNDLE_OPS)?;
            changes.push(change);
        }
        reader.end()?;
        let bundle = Self { proof, changes };
        bundle.check()?;
        if bundle.encode() == bytes { Ok(bundle) } else { Err(ChainError::NotCanonical) }
    }
}

#[cfg(test)]
#[path = "chain_tests.rs"]
mod tests;
