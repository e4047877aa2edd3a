//! Member operations: who may take part in a record, as a signed graph.
//!
//! Each operation names the newest ones that its author had seen. What the graph means is decided
//! in [`crate::Members`]; here is one operation: its form, its hash, its signature.

use fallaway_order::Set;

use crate::action::{Action, InviteFor, Recovery, check_time};
use crate::identity::{DeviceKeys, InviteSecret, verify};
use crate::limits::{MAX_MEMBER_BYTES, MAX_MEMBER_HEADS};
use crate::member_error::MemberError;
use crate::role::Role;
use fallaway_changes::cbor::{Builder, Reader};
use fallaway_changes::limits::{at_most, is_sorted_unique};
use fallaway_changes::{DeviceId, ExchangeKey, InviteKey, MemberHash, RecordId, Signature, derive};

/// Begins the signed message of a [`MemberOp`].
const DOMAIN: &str = "fallaway v1 member operation";
/// Begins the message that the invitation's key signs.
const DOMAIN_CONSENT: &str = "fallaway v1 join by invitation";
const CONTEXT_HASH: &str = "fallaway v1 member operation hash";
const CONTEXT_RECORD: &str = "fallaway v1 record id";
const ITEMS: usize = 7;

/// One signed operation on the members of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MemberOp {
    record: RecordId,
    seen: Vec<MemberHash>,
    device: DeviceId,
    time: i64,
    action: Action,
    signature: Signature,
    hash: MemberHash,
}

impl MemberOp {
    /// Founds a record: its id follows. `salt` must come from a cryptographic random source.
    /// `recovery` are the keys that follow from the recovery words.
    ///
    /// # Errors
    /// [`MemberError::Label`], [`MemberError::Time`].
    pub fn found(
        keys: &DeviceKeys,
        time: i64,
        salt: [u8; 16],
        label: &str,
        recovery: Option<Recovery>,
    ) -> Result<Self, MemberError> {
        let (exchange, label) = (keys.exchange(), label.to_owned());
        let action = Action::Found { salt, exchange, label, recovery };
        let record = founded(&keys.device(), time, &action);
        Self::sign(keys, record, &Set::new(), time, action)
    }

    /// Adds a device whose keys are known. Takes effect if the author is an owner.
    ///
    /// # Errors
    /// [`MemberError`]: the label, the time, or no heads in `seen`.
    pub fn add(
        keys: &DeviceKeys,
        record: RecordId,
        seen: &Set<MemberHash>,
        time: i64,
        (device, exchange): (DeviceId, ExchangeKey),
        role: Role,
        label: &str,
    ) -> Result<Self, MemberError> {
        let action = Action::Add { device, exchange, role, label: label.to_owned() };
        Self::sign(keys, record, seen, time, action)
    }

    /// Invites the one device that will hold `secret`, as what and until when. Takes effect if the
    /// author is an owner, or invites another device of its own as no more than itself.
    ///
    /// # Errors
    /// [`MemberError`]: a time, the role owner, or no heads in `seen`.
    pub fn invite(
        keys: &DeviceKeys,
        record: RecordId,
        seen: &Set<MemberHash>,
        time: i64,
        secret: &InviteSecret,
        (role, whom): (Role, InviteFor),
        expires: i64,
    ) -> Result<Self, MemberError> {
        let action = Action::Invite { key: secret.key(&record), role, expires, whom };
        Self::sign(keys, record, seen, time, action)
    }

    /// The secret of an invitation that `keys` wrote. It follows from the device's own keys and from
    /// everything else that the operation says: nothing of it need be kept.
    pub fn invite_secret(
        keys: &DeviceKeys,
        record: &RecordId,
        seen: &Set<MemberHash>,
        time: i64,
        (role, whom): (Role, InviteFor),
        expires: i64,
    ) -> InviteSecret {
        let mut out = Builder::new();
        out.array(6).bytes(record.as_bytes());
        out.chunks(&seen.iter().copied().collect::<Vec<_>>()).int(time);
        out.uint(role as u64).uint(whom as u64).int(expires);
        keys.invite_secret(&out.finish())
    }

    /// The secret of this operation, if it is an invite that `keys` wrote.
    pub fn own_secret(&self, keys: &DeviceKeys) -> Option<InviteSecret> {
        let Action::Invite { key, role, expires, whom } = &self.action else { return None };
        let seen = self.seen.iter().copied().collect();
        let of = (*role, *whom);
        let secret = Self::invite_secret(keys, &self.record, &seen, self.time, of, *expires);
        (self.device == keys.device() && secret.key(&self.record) == *key).then_some(secret)
    }

    /// Joins by an invitation. A newcomer that has seen no operation yet names the invite alone.
    ///
    /// # Errors
    /// [`MemberError`]: the label, the time, or too many heads in `seen`.
    pub fn join(
        keys: &DeviceKeys,
        record: RecordId,
        seen: &Set<MemberHash>,
        time: i64,
        invite: MemberHash,
        secret: &InviteSecret,
        label: &str,
    ) -> Result<Self, MemberError> {
        let exchange = keys.exchange();
        let message = consent_message(&record, &invite, &keys.device(), &exchange);
        let consent = secret.sign(&record, &message);
        let action = Action::Join { invite, exchange, label: label.to_owned(), consent };
        let mut seen = seen.clone();
        if seen.is_empty() {
            seen.insert(invite);
        }
        Self::sign(keys, record, &seen, time, action)
    }

    /// Signs any action.
    ///
    /// # Errors
    /// [`MemberError`]: what the action may not be, the time, or no heads in `seen`.
    pub fn sign(
        keys: &DeviceKeys,
        record: RecordId,
        seen: &Set<MemberHash>,
        time: i64,
        action: Action,
    ) -> Result<Self, MemberError> {
        let mut op = Self {
            record,
            seen: seen.iter().copied().collect(),
            device: keys.device(),
            time,
            action,
            signature: Signature::from_bytes([0; 64]),
            hash: MemberHash::from_bytes([0; 32]),
        };
        let content = op.content();
        op.signature = keys.sign(&message(&content));
        op.hash = hash_of(&content);
        op.check_form()?;
        at_most("bytes of a member operation", op.encode().len(), MAX_MEMBER_BYTES)?;
        Ok(op)
    }

    /// The record whose members it is about.
    pub fn record(&self) -> &RecordId {
        &self.record
    }

    /// The newest operations that the author had seen: sorted, unique.
    pub fn seen(&self) -> &[MemberHash] {
        &self.seen
    }

    /// The author: a device, or the key of the recovery words.
    pub fn device(&self) -> &DeviceId {
        &self.device
    }

    /// Stated time, seconds since 1970-01-01T00:00:00Z.
    pub fn time(&self) -> i64 {
        self.time
    }

    /// What it does.
    pub fn action(&self) -> &Action {
        &self.action
    }

    /// Hash of all but the signature.
    pub fn hash(&self) -> MemberHash {
        self.hash
    }

    /// Whether the invitation's `key` consents to this join.
    pub(crate) fn consented(&self, key: &InviteKey) -> bool {
        match &self.action {
            Action::Join { invite, exchange, consent, .. } => {
                let message = consent_message(&self.record, invite, &self.device, exchange);
                verify(key.as_bytes(), &message, consent)
            }
            _ => false,
        }
    }

    fn check_signature(&self) -> Result<(), MemberError> {
        if verify(self.device.as_bytes(), &message(&self.content()), &self.signature) {
            Ok(())
        } else {
            Err(MemberError::BadSignature(self.device))
        }
    }

    fn check_form(&self) -> Result<(), MemberError> {
        at_most("operations seen", self.seen.len(), MAX_MEMBER_HEADS)?;
        let founding = matches!(self.action, Action::Found { .. });
        if self.seen.is_empty() != founding || !is_sorted_unique(&self.seen) {
            return Err(MemberError::Seen);
        }
        check_time(self.time)?;
        self.action.check(&self.device)?;
        if founding && founded(&self.device, self.time, &self.action) != self.record {
            return Err(MemberError::NotTheFounding(self.record));
        }
        Ok(())
    }

    /// Everything but the signature, as the items of an array without its head.
    fn content(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.bytes(self.record.as_bytes()).chunks(&self.seen);
        statement(&self.device, self.time, &self.action, &mut out);
        out.finish()
    }

    /// The canonical bytes.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(ITEMS).raw(&self.content()).bytes(self.signature.as_bytes());
        out.finish()
    }

    /// Reads canonical bytes and checks form and signature, not authority.
    ///
    /// # Errors
    /// [`MemberError`].
    pub fn decode(bytes: &[u8]) -> Result<Self, MemberError> {
        Self::decode_beside(bytes, &|_| false)
    }

    /// The same; a signature that was `found_right` before is not checked again.
    pub(crate) fn decode_beside(
        bytes: &[u8],
        found_right: &dyn Fn(&Self) -> bool,
    ) -> Result<Self, MemberError> {
        let op = Self::decode_kept(bytes)?;
        if !found_right(&op) {
            op.check_signature()?;
        }
        Ok(op)
    }

    /// Reads canonical bytes that this device has verified before and kept in its own store. The
    /// signature is not checked again.
    ///
    /// # Errors
    /// [`MemberError`].
    pub fn decode_kept(bytes: &[u8]) -> Result<Self, MemberError> {
        at_most("bytes of a member operation", bytes.len(), MAX_MEMBER_BYTES)?;
        let mut reader = Reader::new(bytes);
        reader.array_len(ITEMS as u64, "a member operation of 7 items")?;
        let record = reader.array_of("a record id of 16 bytes")?.into();
        let seen = reader.chunks("operation hashes of 32 bytes each")?;
        let device = reader.array_of("a device id of 32 bytes")?.into();
        let time = reader.int()?;
        let kind = reader.uint()?;
        let action = Action::decode(kind, &mut reader)?;
        let signature = reader.array_of("a signature of 64 bytes")?.into();
        reader.end()?;
        let hash = MemberHash::from_bytes([0; 32]);
        let mut op = Self { record, seen, device, time, action, signature, hash };
        op.hash = hash_of(&op.content());
        op.check_form()?;
        Ok(op)
    }
}

/// The record that a founding gives: its hash, which commits to the founder's device.
fn founded(device: &DeviceId, time: i64, action: &Action) -> RecordId {
    let mut out = Builder::new();
    statement(device, time, action, &mut out);
    RecordId::from_bytes(derive(CONTEXT_RECORD, &[&out.finish()]))
}

/// Author, time, kind and body: four items.
fn statement(device: &DeviceId, time: i64, action: &Action, out: &mut Builder) {
    out.bytes(device.as_bytes()).int(time);
    action.encode(out);
}

/// What a device signs.
fn message(content: &[u8]) -> Vec<u8> {
    let mut out = Builder::new();
    out.array(ITEMS).text(DOMAIN).raw(content);
    out.finish()
}

fn hash_of(content: &[u8]) -> MemberHash {
    MemberHash::from_bytes(derive(CONTEXT_HASH, &[content]))
}

fn consent_message(
    record: &RecordId,
    invite: &MemberHash,
    device: &DeviceId,
    exchange: &ExchangeKey,
) -> Vec<u8> {
    let mut out = Builder::new();
    out.array(5)
        .text(DOMAIN_CONSENT)
        .bytes(record.as_bytes())
        .bytes(invite.as_bytes())
        .bytes(device.as_bytes())
        .bytes(exchange.as_bytes());
    out.finish()
}

#[cfg(test)]
#[path = "member_tests.rs"]
mod tests;
