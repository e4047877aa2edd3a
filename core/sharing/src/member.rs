//! Member operations: who may take part in a record, as a signed graph.
//!
//! Each operation names the newest ones that its author had seen. What the graph means is decided
//! in [`crate::Members`]; here is one operation: its form, its hash, its signature. Kinds 5
//! (remove), 6 (change role) and 7 (new epoch) are reserved; every kind that this version does not
//! know is kept as it is.

use std::collections::BTreeSet;
use std::fmt;
use std::str::FromStr;

use crate::identity::{DeviceKeys, InviteSecret, verify};
use crate::limits::{MAX_LABEL, MAX_MEMBER_BYTES, MAX_MEMBER_HEADS};
use fallaway_changes::cbor::{Builder, CborError, CborFault, Reader};
use fallaway_changes::limits::{MAX_TIME, MIN_TIME, TooLarge, at_most, is_sorted_unique};
use fallaway_changes::{DeviceId, ExchangeKey, InviteKey, MemberHash, RecordId, Signature, derive};

/// Begins the signed message of a [`MemberOp`].
const DOMAIN: &str = "fallaway v1 member operation";
/// Begins the message that the invitation's key signs.
const DOMAIN_CONSENT: &str = "fallaway v1 join by invitation";
const CONTEXT_HASH: &str = "fallaway v1 member operation hash";
const CONTEXT_RECORD: &str = "fallaway v1 record id";
const ITEMS: usize = 7;

/// What a member may do. A greater role may do everything that a lesser one may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum Role {
    /// Reads.
    Viewer = 1,
    /// Reads and writes.
    Contributor = 2,
    /// Reads, writes, adds and invites.
    Owner = 3,
}

impl Role {
    fn from_number(number: u64) -> Option<Self> {
        [Self::Viewer, Self::Contributor, Self::Owner]
            .into_iter()
            .find(|role| *role as u64 == number)
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Viewer => "viewer",
            Self::Contributor => "contributor",
            Self::Owner => "owner",
        })
    }
}

/// A text that is no role.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a role is owner, contributor or viewer")]
pub struct RoleError;

impl FromStr for Role {
    type Err = RoleError;

    fn from_str(text: &str) -> Result<Self, RoleError> {
        [Self::Viewer, Self::Contributor, Self::Owner]
            .into_iter()
            .find(|role| role.to_string() == text)
            .ok_or(RoleError)
    }
}

/// What a member operation does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Action {
    /// 1: founds the record; its author is the first owner. The record id is a hash of this.
    Found {
        /// 16 random bytes, so that one device can found any number of records.
        salt: [u8; 16],
        /// The founder's exchange key.
        exchange: ExchangeKey,
        /// What the founder's device is called.
        label: String,
    },
    /// 2: an owner adds a device.
    Add {
        /// The device.
        device: DeviceId,
        /// Its exchange key.
        exchange: ExchangeKey,
        /// What it may do.
        role: Role,
        /// What it is called.
        label: String,
    },
    /// 3: an owner invites one device that it does not know yet.
    Invite {
        /// Whoever can sign with this key may join, once.
        key: InviteKey,
        /// What the one that joins may do.
        role: Role,
        /// Last stated time of a join, seconds since 1970-01-01T00:00:00Z.
        expires: i64,
    },
    /// 4: the author joins by an invitation.
    Join {
        /// The invite operation.
        invite: MemberHash,
        /// The joining device's exchange key.
        exchange: ExchangeKey,
        /// What the joining device is called.
        label: String,
        /// By the invitation's key, over record, invite and both keys of the device.
        consent: Signature,
    },
    /// A kind of a newer version, kept as it is.
    Unknown {
        /// Its number, 5 or more.
        kind: u64,
        /// One deterministic CBOR item.
        body: Vec<u8>,
    },
}

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

/// Why a member operation is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MemberError {
    /// Not the expected CBOR.
    #[error("malformed {0}")]
    Malformed(#[from] CborError),
    /// Something is larger than the limit.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// A founding names nothing as seen; everything else names at least one, sorted and unique.
    #[error("only a founding sees nothing; else what was seen must be sorted and unique")]
    Seen,
    /// A time outside the years 1 to 9999.
    #[error("{0} s is not a time within the years 1 to 9999")]
    Time(i64),
    /// A label that cannot be shown.
    #[error("a label must have 1 to {MAX_LABEL} bytes, no control characters, no blank ends")]
    Label,
    /// The record id is not the hash of its founding.
    #[error("the founding does not give record {0}")]
    NotTheFounding(RecordId),
    /// The device did not sign this.
    #[error("the signature is not by device {0}")]
    BadSignature(DeviceId),
}

impl MemberOp {
    /// Founds a record: its id follows. `salt` must come from a cryptographic random source.
    ///
    /// # Errors
    /// [`MemberError::Label`], [`MemberError::Time`].
    pub fn found(
        keys: &DeviceKeys,
        time: i64,
        salt: [u8; 16],
        label: &str,
    ) -> Result<Self, MemberError> {
        let action = Action::Found { salt, exchange: keys.exchange(), label: label.to_owned() };
        let record = founded(&keys.device(), time, &action);
        Self::sign(keys, record, &BTreeSet::new(), time, action)
    }

    /// Adds a device whose keys are known. Takes effect if the author is an owner.
    ///
    /// # Errors
    /// [`MemberError`]: the label, the time, or no heads in `seen`.
    pub fn add(
        keys: &DeviceKeys,
        record: RecordId,
        seen: &BTreeSet<MemberHash>,
        time: i64,
        (device, exchange): (DeviceId, ExchangeKey),
        role: Role,
        label: &str,
    ) -> Result<Self, MemberError> {
        let action = Action::Add { device, exchange, role, label: label.to_owned() };
        Self::sign(keys, record, seen, time, action)
    }

    /// Invites the one device that will hold `secret`. Takes effect if the author is an owner.
    ///
    /// # Errors
    /// [`MemberError`]: a time, or no heads in `seen`.
    pub fn invite(
        keys: &DeviceKeys,
        record: RecordId,
        seen: &BTreeSet<MemberHash>,
        time: i64,
        secret: &InviteSecret,
        role: Role,
        expires: i64,
    ) -> Result<Self, MemberError> {
        let action = Action::Invite { key: secret.key(&record), role, expires };
        Self::sign(keys, record, seen, time, action)
    }

    /// Joins by an invitation. A newcomer that has seen no operation yet names the invite alone.
    ///
    /// # Errors
    /// [`MemberError`]: the label, the time, or too many heads in `seen`.
    pub fn join(
        keys: &DeviceKeys,
        record: RecordId,
        seen: &BTreeSet<MemberHash>,
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

    pub(crate) fn sign(
        keys: &DeviceKeys,
        record: RecordId,
        seen: &BTreeSet<MemberHash>,
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
        op.check()?;
        at_most("bytes of a member operation", op.encode().len(), MAX_MEMBER_BYTES)?;
        Ok(op)
    }

    /// The record.
    pub fn record(&self) -> &RecordId {
        &self.record
    }

    /// The newest operations that the author had seen: sorted, unique.
    pub fn seen(&self) -> &[MemberHash] {
        &self.seen
    }

    /// The author.
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

    fn check(&self) -> Result<(), MemberError> {
        self.check_form()?;
        self.check_signature()
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
        match &self.action {
            Action::Found { label, .. } => {
                check_label(label)?;
                if founded(&self.device, self.time, &self.action) != self.record {
                    return Err(MemberError::NotTheFounding(self.record));
                }
            }
            Action::Add { label, .. } | Action::Join { label, .. } => check_label(label)?,
            Action::Invite { expires, .. } => check_time(*expires)?,
            Action::Unknown { .. } => {}
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
        let op = Self::decode_kept(bytes)?;
        op.check_signature()?;
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
        let action = decode_action(kind, &mut reader)?;
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
    match action {
        Action::Found { salt, exchange, label } => {
            out.uint(1).array(3).bytes(salt).bytes(exchange.as_bytes()).text(label)
        }
        Action::Add { device, exchange, role, label } => out
            .uint(2)
            .array(4)
            .bytes(device.as_bytes())
            .bytes(exchange.as_bytes())
            .uint(*role as u64)
            .text(label),
        Action::Invite { key, role, expires } => {
            out.uint(3).array(3).bytes(key.as_bytes()).uint(*role as u64).int(*expires)
        }
        Action::Join { invite, exchange, label, consent } => out
            .uint(4)
            .array(4)
            .bytes(invite.as_bytes())
            .bytes(exchange.as_bytes())
            .text(label)
            .bytes(consent.as_bytes()),
        Action::Unknown { kind, body } => out.uint(*kind).raw(body),
    };
}

fn decode_action(kind: u64, reader: &mut Reader<'_>) -> Result<Action, MemberError> {
    let at = reader.position();
    let role = |number| {
        let fault = CborFault::Expected("a role: 1, 2 or 3");
        Role::from_number(number).ok_or(CborError { at, fault })
    };
    Ok(match kind {
        0 => {
            let fault = CborFault::Expected("a kind of member operation from 1");
            return Err(CborError { at, fault }.into());
        }
        1 => {
            reader.array_len(3, "a founding of 3 items")?;
            Action::Found {
                salt: reader.array_of("a salt of 16 bytes")?,
                exchange: reader.array_of("an exchange key of 32 bytes")?.into(),
                label: reader.text()?.to_owned(),
            }
        }
        2 => {
            reader.array_len(4, "an addition of 4 items")?;
            Action::Add {
                device: reader.array_of("a device id of 32 bytes")?.into(),
                exchange: reader.array_of("an exchange key of 32 bytes")?.into(),
                role: role(reader.uint()?)?,
                label: reader.text()?.to_owned(),
            }
        }
        3 => {
            reader.array_len(3, "an invite of 3 items")?;
            Action::Invite {
                key: reader.array_of("an invitation key of 32 bytes")?.into(),
                role: role(reader.uint()?)?,
                expires: reader.int()?,
            }
        }
        4 => {
            reader.array_len(4, "a join of 4 items")?;
            Action::Join {
                invite: reader.array_of("an operation hash of 32 bytes")?.into(),
                exchange: reader.array_of("an exchange key of 32 bytes")?.into(),
                label: reader.text()?.to_owned(),
                consent: reader.array_of("a signature of 64 bytes")?.into(),
            }
        }
        kind => Action::Unknown { kind, body: reader.item()?.to_vec() },
    })
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

fn check_time(time: i64) -> Result<(), MemberError> {
    if (MIN_TIME..=MAX_TIME).contains(&time) { Ok(()) } else { Err(MemberError::Time(time)) }
}

/// Whether a text can stand as a label or a name.
pub(crate) fn is_label(text: &str) -> bool {
    !text.is_empty()
        && text.len() <= MAX_LABEL
        && text.trim() == text
        && !text.chars().any(char::is_control)
}

fn check_label(label: &str) -> Result<(), MemberError> {
    if is_label(label) { Ok(()) } else { Err(MemberError::Label) }
}

#[cfg(test)]
#[path = "member_tests.rs"]
mod tests;
