//! What a member operation does: its kinds, each with its one encoding.

use fallaway_changes::cbor::{Builder, CborError, CborFault, ItemKind, Reader};
use fallaway_changes::limits::{MAX_TIME, MIN_TIME, at_most, bounded, is_sorted_unique};
use fallaway_changes::{
    ChangeId, DeviceId, EpochId, ExchangeKey, InviteKey, MemberHash, Signature, Writer,
};

use crate::limits::{
    MAX_DEVICES, MAX_FRONTIER, MAX_LABEL, MAX_MEMBER_HEADS, MAX_OLDER, MAX_PARENTS, MAX_RELAY,
    MAX_RELAYS, MAX_REMOVED, MAX_SEQ,
};
use crate::member_error::MemberError;
use crate::role::Role;

/// Kinds from here on may be ignored by whoever does not know them. Those below say something about
/// who may do what: what saw one that is not known needs a newer version.
pub(crate) const IGNORABLE: u64 = 64;

/// For whom an invitation is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum InviteFor {
    /// Somebody else, who comes in as a person of their own.
    Other = 1,
    /// Another device of the person that invites.
    SamePerson = 2,
}

/// How far a writer's work is taken: its change of that number, and everything before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FrontierPoint {
    /// The writer whose work is meant.
    pub writer: Writer,
    /// Number of its last change that is in.
    pub seq: u64,
    /// That change; of two with one number, this one.
    pub tip: ChangeId,
}

/// How far the work of several writers is taken: sorted, each once. A writer that is not named: not
/// at all.
pub type Frontier = Vec<FrontierPoint>;

/// An epoch key, encrypted to one device's exchange key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WrappedKey {
    /// For which device.
    pub device: DeviceId,
    /// The encapsulated key of HPKE (RFC 9180).
    pub enc: [u8; 32],
    /// The epoch key encrypted, with its tag.
    pub ct: [u8; 48],
}

/// The keys of whoever has the recovery words: they act above all owners.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Recovery {
    /// By which it signs.
    pub device: DeviceId,
    /// To which the newest epoch key is encrypted.
    pub exchange: ExchangeKey,
}

/// Where a relay carries the record.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RelayAddress {
    /// The relay's address: 1 to 200 printable ASCII characters without blanks.
    pub url: String,
    /// The record's log on it.
    pub log: [u8; 16],
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
        /// Who may act above all owners: the keys that follow from the recovery words.
        recovery: Option<Recovery>,
    },
    /// 2: an owner adds a device.
    Add {
        /// The device that is added.
        device: DeviceId,
        /// Its exchange key.
        exchange: ExchangeKey,
        /// What it may do.
        role: Role,
        /// What it is called.
        label: String,
    },
    /// 3: invites one device that is not known yet.
    Invite {
        /// Whoever can sign with this key may join, once.
        key: InviteKey,
        /// What the one that joins may do; never an owner.
        role: Role,
        /// Last stated time of a join, seconds since 1970-01-01T00:00:00Z.
        expires: i64,
        /// For whom. Only owners invite others.
        whom: InviteFor,
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
    /// 5: an owner removes devices. What they wrote within the frontier stays.
    Remove {
        /// Which: sorted, unique, not the author.
        devices: Vec<DeviceId>,
        /// What of theirs the author had when it removed them.
        frontier: Frontier,
        /// Their invitations that nobody has used: sorted, unique.
        invites: Vec<MemberHash>,
        /// Why, for people.
        reason: Option<String>,
    },
    /// 6: an owner gives a member another role.
    SetRole {
        /// Which member; not the author.
        device: DeviceId,
        /// What it may do from then on.
        role: Role,
        /// What of its work the author had.
        frontier: Frontier,
    },
    /// 7: a new key from now on, for the members that its author knew.
    NewEpoch {
        /// The new key's name.
        epoch: EpochId,
        /// The epochs that it takes the place of: sorted, unique.
        parents: Vec<EpochId>,
        /// The key for each member, by device: sorted, unique.
        wrapped: Vec<WrappedKey>,
        /// The parents' keys under the new one.
        older: Vec<u8>,
        /// Where relays carry the record from now on: sorted, unique.
        relays: Vec<RelayAddress>,
    },
    /// 8: an invitation that nobody has used is none any more.
    Withdraw {
        /// The invite operation.
        invite: MemberHash,
    },
    /// 9: an owner takes in work that was held.
    Accept {
        /// How far the held work is taken, writer by writer.
        frontier: Frontier,
    },
    /// 10: a member hands another one an epoch's key that it lacks.
    HandKey {
        /// The epoch whose key is handed on.
        epoch: EpochId,
        /// The epoch's key, wrapped for the member that lacks it.
        wrapped: WrappedKey,
    },
    /// 11: the recovery key gives its place to the next one.
    HandRecovery {
        /// The next one.
        next: Recovery,
    },
    /// 12: the author leaves.
    Leave,
    /// 64: what the author's device is called from now on.
    Rename {
        /// The new label of the device.
        label: String,
    },
    /// A kind of a newer version, kept as it is.
    Unknown {
        /// Its number: 13 or more.
        kind: u64,
        /// One deterministic CBOR item.
        body: Vec<u8>,
    },
}

impl Action {
    /// Whether this version does not know it, and must not pass it over.
    pub(crate) fn needs_newer(&self) -> bool {
        matches!(self, Self::Unknown { kind, .. } if *kind < IGNORABLE)
    }

    /// Number and body: two items.
    pub(crate) fn encode(&self, out: &mut Builder) {
        match self {
            Self::Found { salt, exchange, label, recovery } => {
                out.uint(1).array(4).bytes(salt).bytes(exchange.as_bytes()).text(label);
                match recovery {
                    Some(keys) => encode_recovery(keys, out),
                    None => out.raw(&NULL),
                };
            }
            Self::Add { device, exchange, role, label } => {
                out.uint(2).array(4).bytes(device.as_bytes()).bytes(exchange.as_bytes());
                out.uint(*role as u64).text(label);
            }
            Self::Invite { key, role, expires, whom } => {
                out.uint(3).array(4).bytes(key.as_bytes()).uint(*role as u64).int(*expires);
                out.uint(*whom as u64);
            }
            Self::Join { invite, exchange, label, consent } => {
                out.uint(4).array(4).bytes(invite.as_bytes()).bytes(exchange.as_bytes());
                out.text(label).bytes(consent.as_bytes());
            }
            Self::Remove { devices, frontier, invites, reason } => {
                out.uint(5).array(4).chunks(devices);
                encode_frontier(frontier, out);
                out.chunks(invites);
                match reason {
                    Some(reason) => out.text(reason),
                    None => out.raw(&NULL),
                };
            }
            Self::SetRole { device, role, frontier } => {
                out.uint(6).array(3).bytes(device.as_bytes()).uint(*role as u64);
                encode_frontier(frontier, out);
            }
            Self::NewEpoch { epoch, parents, wrapped, older, relays } => {
                out.uint(7).array(5).bytes(epoch.as_bytes()).chunks(parents).array(wrapped.len());
                for one in wrapped {
                    encode_wrapped(one, out);
                }
                out.bytes(older);
                encode_relays(relays, out);
            }
            Self::Withdraw { invite } => {
                out.uint(8).array(1).bytes(invite.as_bytes());
            }
            Self::Accept { frontier } => {
                out.uint(9).array(1);
                encode_frontier(frontier, out);
            }
            Self::HandKey { epoch, wrapped } => {
                out.uint(10).array(2).bytes(epoch.as_bytes());
                encode_wrapped(wrapped, out);
            }
            Self::HandRecovery { next } => {
                out.uint(11).array(1);
                encode_recovery(next, out);
            }
            Self::Leave => {
                out.uint(12).array(0);
            }
            Self::Rename { label } => {
                out.uint(64).array(1).text(label);
            }
            Self::Unknown { kind, body } => {
                out.uint(*kind).raw(body);
            }
        }
    }

    /// Reads the body of a kind.
    pub(crate) fn decode(kind: u64, reader: &mut Reader<'_>) -> Result<Self, MemberError> {
        Ok(match kind {
            0 => return Err(expected(reader, "a kind of member operation from 1").into()),
            1 => {
                reader.array_len(4, "a founding of 4 items")?;
                Self::Found {
                    salt: reader.array_of("a salt of 16 bytes")?,
                    exchange: exchange(reader)?,
                    label: reader.text()?.to_owned(),
                    recovery: if take_null(reader)? {
                        None
                    } else {
                        Some(decode_recovery(reader)?)
                    },
                }
            }
            2 => {
                reader.array_len(4, "an addition of 4 items")?;
                Self::Add {
                    device: device(reader)?,
                    exchange: exchange(reader)?,
                    role: role(reader)?,
                    label: reader.text()?.to_owned(),
                }
            }
            3 => {
                reader.array_len(4, "an invite of 4 items")?;
                Self::Invite {
                    key: reader.array_of("an invitation key of 32 bytes")?.into(),
                    role: role(reader)?,
                    expires: reader.int()?,
                    whom: match reader.uint()? {
                        1 => InviteFor::Other,
                        2 => InviteFor::SamePerson,
                        _ => return Err(expected(reader, "for whom: 1 or 2").into()),
                    },
                }
            }
            4 => {
                reader.array_len(4, "a join of 4 items")?;
                Self::Join {
                    invite: operation(reader)?,
                    exchange: exchange(reader)?,
                    label: reader.text()?.to_owned(),
                    consent: reader.array_of("a signature of 64 bytes")?.into(),
                }
            }
            5 => {
                reader.array_len(4, "a removal of 4 items")?;
                Self::Remove {
                    devices: reader.chunks("device ids of 32 bytes each")?,
                    frontier: decode_frontier(reader)?,
                    invites: reader.chunks("operation hashes of 32 bytes each")?,
                    reason: if take_null(reader)? { None } else { Some(reader.text()?.to_owned()) },
                }
            }
            6 => {
                reader.array_len(3, "a change of role of 3 items")?;
                Self::SetRole {
                    device: device(reader)?,
                    role: role(reader)?,
                    frontier: decode_frontier(reader)?,
                }
            }
            7 => {
                reader.array_len(5, "an epoch of 5 items")?;
                let epoch = reader.array_of("an epoch id of 16 bytes")?.into();
                let parents = reader.chunks("epoch ids of 16 bytes each")?;
                let count = bounded("keys of an epoch", reader.array()?, MAX_DEVICES)?;
                let wrapped = (0..count).map(|_| decode_wrapped(reader));
                let wrapped = wrapped.collect::<Result<_, _>>()?;
                let older = reader.bytes()?.to_vec();
                Self::NewEpoch { epoch, parents, wrapped, older, relays: decode_relays(reader)? }
            }
            8 => {
                reader.array_len(1, "a withdrawal of 1 item")?;
                Self::Withdraw { invite: operation(reader)? }
            }
            9 => {
                reader.array_len(1, "an acceptance of 1 item")?;
                Self::Accept { frontier: decode_frontier(reader)? }
            }
            10 => {
                reader.array_len(2, "a key handed on, of 2 items")?;
                Self::HandKey {
                    epoch: reader.array_of("an epoch id of 16 bytes")?.into(),
                    wrapped: decode_wrapped(reader)?,
                }
            }
            11 => {
                reader.array_len(1, "the recovery key handed on, of 1 item")?;
                Self::HandRecovery { next: decode_recovery(reader)? }
            }
            12 => {
                reader.array_len(0, "a leave of no items")?;
                Self::Leave
            }
            64 => {
                reader.array_len(1, "a name of 1 item")?;
                Self::Rename { label: reader.text()?.to_owned() }
            }
            kind => Self::Unknown { kind, body: reader.item()?.to_vec() },
        })
    }

    /// What no author may write, whoever it is.
    pub(crate) fn check(&self, author: &DeviceId) -> Result<(), MemberError> {
        match self {
            Self::Found { label, .. }
            | Self::Add { label, .. }
            | Self::Join { label, .. }
            | Self::Rename { label } => check_label(label),
            Self::Invite { role, expires, .. } => {
                check_time(*expires)?;
                if *role < Role::Owner { Ok(()) } else { Err(MemberError::OwnerInvited) }
            }
            Self::Remove { devices, frontier, invites, reason } => {
                at_most("devices removed", devices.len(), MAX_REMOVED)?;
                at_most("invitations withdrawn", invites.len(), MAX_MEMBER_HEADS)?;
                if devices.is_empty() || !is_sorted_unique(devices) || !is_sorted_unique(invites) {
                    return Err(MemberError::Order);
                }
                if devices.contains(author) {
                    return Err(MemberError::Oneself);
                }
                reason.as_deref().map_or(Ok(()), check_label)?;
                check_frontier(frontier)
            }
            Self::SetRole { device, .. } if device == author => Err(MemberError::Oneself),
            Self::SetRole { frontier, .. } | Self::Accept { frontier } => check_frontier(frontier),
            Self::NewEpoch { parents, wrapped, older, relays, .. } => {
                at_most("parents of an epoch", parents.len(), MAX_PARENTS)?;
                at_most("keys of an epoch", wrapped.len(), MAX_DEVICES)?;
                at_most("bytes of older keys", older.len(), MAX_OLDER)?;
                let sorted = wrapped.is_sorted_by(|one, next| one.device < next.device);
                if wrapped.is_empty() || !sorted || !is_sorted_unique(parents) {
                    return Err(MemberError::Order);
                }
                check_relays(relays)
            }
            Self::HandRecovery { next } if next.device == *author => Err(MemberError::Oneself),
            Self::Withdraw { .. }
            | Self::HandKey { .. }
            | Self::HandRecovery { .. }
            | Self::Leave
            | Self::Unknown { .. } => Ok(()),
        }
    }
}

/// The null of CBOR.
pub(crate) const NULL: [u8; 1] = [0xf6];

pub(crate) fn expected(reader: &Reader<'_>, what: &'static str) -> CborError {
    CborError { at: reader.position(), fault: CborFault::Expected(what) }
}

/// Whether a null comes next; it is taken.
pub(crate) fn take_null(reader: &mut Reader<'_>) -> Result<bool, CborError> {
    if reader.peek() != ItemKind::Other {
        return Ok(false);
    }
    let wrong = expected(reader, "a value or null");
    if reader.item()? == NULL { Ok(true) } else { Err(wrong) }
}

pub(crate) fn role(reader: &mut Reader<'_>) -> Result<Role, CborError> {
    let number = reader.uint()?;
    Role::from_number(number).ok_or_else(|| expected(reader, "a role: 1, 2 or 3"))
}

pub(crate) fn device(reader: &mut Reader<'_>) -> Result<DeviceId, CborError> {
    Ok(reader.array_of("a device id of 32 bytes")?.into())
}

fn exchange(reader: &mut Reader<'_>) -> Result<ExchangeKey, CborError> {
    Ok(reader.array_of("an exchange key of 32 bytes")?.into())
}

pub(crate) fn operation(reader: &mut Reader<'_>) -> Result<MemberHash, CborError> {
    Ok(reader.array_of("an operation hash of 32 bytes")?.into())
}

fn encode_recovery<'a>(keys: &Recovery, out: &'a mut Builder) -> &'a mut Builder {
    out.array(2).bytes(keys.device.as_bytes()).bytes(keys.exchange.as_bytes())
}

fn decode_recovery(reader: &mut Reader<'_>) -> Result<Recovery, CborError> {
    reader.array_len(2, "the keys of recovery words, 2 items")?;
    Ok(Recovery { device: device(reader)?, exchange: exchange(reader)? })
}

pub(crate) fn encode_relays(relays: &[RelayAddress], out: &mut Builder) {
    out.array(relays.len());
    for relay in relays {
        out.array(2).text(&relay.url).bytes(&relay.log);
    }
}

pub(crate) fn decode_relays(reader: &mut Reader<'_>) -> Result<Vec<RelayAddress>, MemberError> {
    let count = bounded("relays of a record", reader.array()?, MAX_RELAYS)?;
    let mut relays = Vec::new();
    for _ in 0..count {
        reader.array_len(2, "a relay of 2 items")?;
        let url = reader.text()?.to_owned();
        relays.push(RelayAddress { url, log: reader.array_of("a log id of 16 bytes")? });
    }
    check_relays(&relays)?;
    Ok(relays)
}

pub(crate) fn check_relays(relays: &[RelayAddress]) -> Result<(), MemberError> {
    at_most("relays of a record", relays.len(), MAX_RELAYS)?;
    if !relays.iter().all(|relay| is_address(&relay.url)) {
        return Err(MemberError::Relay);
    }
    if is_sorted_unique(relays) { Ok(()) } else { Err(MemberError::Order) }
}

/// Whether a text can be the address of a relay.
pub(crate) fn is_address(url: &str) -> bool {
    (1..=MAX_RELAY).contains(&url.len()) && url.bytes().all(|byte| byte.is_ascii_graphic())
}

fn encode_wrapped(one: &WrappedKey, out: &mut Builder) {
    out.array(3).bytes(one.device.as_bytes()).bytes(&one.enc).bytes(&one.ct);
}

fn decode_wrapped(reader: &mut Reader<'_>) -> Result<WrappedKey, CborError> {
    reader.array_len(3, "a wrapped key of 3 items")?;
    Ok(WrappedKey {
        device: device(reader)?,
        enc: reader.array_of("an encapsulated key of 32 bytes")?,
        ct: reader.array_of("an encrypted key of 48 bytes")?,
    })
}

fn encode_frontier(frontier: &[FrontierPoint], out: &mut Builder) {
    out.array(frontier.len());
    for point in frontier {
        out.array(3).bytes(point.writer.as_bytes()).uint(point.seq).bytes(point.tip.as_bytes());
    }
}

fn decode_frontier(reader: &mut Reader<'_>) -> Result<Frontier, MemberError> {
    let count = bounded("writers of a frontier", reader.array()?, MAX_FRONTIER)?;
    let mut frontier = Vec::new();
    for _ in 0..count {
        reader.array_len(3, "a point of a frontier, of 3 items")?;
        frontier.push(FrontierPoint {
            writer: reader.array_of("a writer of 16 bytes")?.into(),
            seq: reader.uint()?,
            tip: reader.array_of("a change id of 32 bytes")?.into(),
        });
    }
    Ok(frontier)
}

fn check_frontier(frontier: &[FrontierPoint]) -> Result<(), MemberError> {
    at_most("writers of a frontier", frontier.len(), MAX_FRONTIER)?;
    let sorted = frontier.is_sorted_by(|one, next| one.writer < next.writer);
    let numbers = frontier.iter().all(|point| (1..=MAX_SEQ).contains(&point.seq));
    if sorted && numbers { Ok(()) } else { Err(MemberError::Order) }
}

pub(crate) fn check_time(time: i64) -> Result<(), MemberError> {
    if (MIN_TIME..=MAX_TIME).contains(&time) { Ok(()) } else { Err(MemberError::Time(time)) }
}

/// Whether a text can stand as a label or a name: nothing in it that is not seen.
pub fn is_label(text: &str) -> bool {
    !text.is_empty()
        && text.len() <= MAX_LABEL
        && text.trim() == text
        && !text.chars().any(|letter| letter.is_control() || is_unseen(letter))
}

/// Characters that change how others are shown, or show nothing: the format characters of Unicode
/// (general categories Cf, Zl, Zp) and the Hangul fillers.
fn is_unseen(letter: char) -> bool {
    matches!(
        letter,
        '\u{ad}'
            | '\u{600}'..='\u{605}'
            | '\u{61c}'
            | '\u{6dd}'
            | '\u{70f}'
            | '\u{890}'..='\u{891}'
            | '\u{8e2}'
            | '\u{115f}'..='\u{1160}'
            | '\u{180e}'
            | '\u{200b}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{3164}'
            | '\u{feff}'
            | '\u{ffa0}'
            | '\u{fff9}'..='\u{fffb}'
            | '\u{110bd}'
            | '\u{110cd}'
            | '\u{13430}'..='\u{1343f}'
            | '\u{1bca0}'..='\u{1bca3}'
            | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0001}'
            | '\u{e0020}'..='\u{e007f}'
    )
}

fn check_label(label: &str) -> Result<(), MemberError> {
    if is_label(label) { Ok(()) } else { Err(MemberError::Label) }
}
