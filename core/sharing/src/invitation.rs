//! An invitation as a small text that survives mail: what it is in words, then labelled lines.
//!
//! Whoever holds the text can join once and can read the record. The reader takes Windows line
//! ends, extra blanks, quoting (`> `) and lines that a mail program has broken. A checksum tells
//! damage apart from a wrong key; it is no protection against forgery, which the operations'
//! signatures give.

use std::fmt;
use std::fmt::Write as _;

use chrono::{DateTime, SecondsFormat};
use data_encoding::BASE32_NOPAD;

use crate::action::is_label;
use crate::epoch::EpochKey;
use crate::identity::InviteSecret;
use crate::limits::{MAX_EPOCH_KEYS, MAX_INVITATION_BYTES, MAX_RELAY};
use crate::role::Role;
use fallaway_changes::limits::{MAX_TIME, MIN_TIME};
use fallaway_changes::limits::{TooLarge, at_most};
use fallaway_changes::{DeviceId, MemberHash, RecordId, derive};

const FIRST_LINE: &str = "Fallaway invitation, format ";
const LAST_LINE: &str = "End of the invitation";
const FORMAT: &str = "1";
const CONTEXT_CHECK: &str = "fallaway v1 invitation checksum";

/// Everything that one device needs to join a record and read it.
#[derive(Clone, PartialEq, Eq)]
pub struct Invitation {
    /// The record.
    pub record: RecordId,
    /// What the inviter calls it; a label of 1 to 64 bytes.
    pub name: String,
    /// What the joining device may do.
    pub role: Role,
    /// The device that invites.
    pub inviter: DeviceId,
    /// The *invite* operation to join by.
    pub invite: MemberHash,
    /// Last stated time of a join, seconds since 1970-01-01T00:00:00Z.
    pub expires: i64,
    /// Address of a relay that carries the record.
    pub relay: Option<String>,
    /// Proves that the invitation was held; works once.
    pub secret: InviteSecret,
    /// The keys of the record's epochs; at least one.
    pub epoch_keys: Vec<EpochKey>,
}

impl fmt::Debug for Invitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // The secrets hide themselves.
        f.debug_struct("Invitation")
            .field("record", &self.record)
            .field("role", &self.role)
            .field("invite", &self.invite)
            .finish_non_exhaustive()
    }
}

/// Why a text is not an invitation that can be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum InvitationError {
    /// No line begins an invitation.
    #[error("no invitation here: a line \"{FIRST_LINE}{FORMAT}\" is expected")]
    NotAnInvitation,
    /// A format of a newer version.
    #[error("an invitation of format {0}, written by a newer version; this one reads format 1")]
    Newer(String),
    /// The last line is missing.
    #[error("the invitation is cut short: the line \"{LAST_LINE}\" is missing")]
    Truncated,
    /// Too long.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// A line is missing.
    #[error("the invitation has no line \"{0}:\"")]
    Missing(&'static str),
    /// A line stands twice.
    #[error("the invitation has two lines \"{0}:\"")]
    Twice(&'static str),
    /// A value cannot be read.
    #[error("the invitation's line \"{label}:\" is wrong: {expected} is expected")]
    Value {
        /// Which line.
        label: &'static str,
        /// What is accepted.
        expected: &'static str,
    },
    /// The checksum differs.
    #[error("the invitation was damaged: its check line should be {expected}")]
    Damaged {
        /// The checksum of what was read.
        expected: String,
    },
    /// Its time is over.
    #[error("the invitation expired at {expired}; ask for a new one")]
    Expired {
        /// When, in UTC.
        expired: String,
    },
}

const NAME: &str = "Name";
const ROLE: &str = "Role";
const EXPIRES: &str = "Expires";
const INVITER: &str = "Inviter";
const RECORD: &str = "Record";
const INVITE: &str = "Invite";
const RELAY: &str = "Relay";
const SECRET: &str = "Secret";
const KEY: &str = "Key";
const CHECK: &str = "Check";

impl Invitation {
    /// Whether the invitation can still be used at `now` (seconds since 1970-01-01T00:00:00Z).
    ///
    /// # Errors
    /// [`InvitationError::Expired`].
    pub fn check_time(&self, now: i64) -> Result<(), InvitationError> {
        if now <= self.expires {
            Ok(())
        } else {
            Err(InvitationError::Expired { expired: utc(self.expires) })
        }
    }

    /// The text to hand over.
    ///
    /// # Errors
    /// [`InvitationError::Value`], [`InvitationError::TooLarge`] if a field is not one that
    /// [`Invitation::parse`] accepts.
    pub fn to_text(&self) -> Result<String, InvitationError> {
        self.check()?;
        let mut lines = vec![
            (NAME, self.name.clone()),
            (ROLE, self.role.to_string()),
            (EXPIRES, utc(self.expires)),
            (INVITER, base32(self.inviter.as_bytes())),
            (RECORD, base32(self.record.as_bytes())),
            (INVITE, base32(self.invite.as_bytes())),
        ];
        lines.extend(self.relay.clone().map(|relay| (RELAY, relay)));
        lines.push((SECRET, base32(self.secret.as_bytes())));
        lines.extend(self.epoch_keys.iter().map(|key| (KEY, base32(key.as_bytes()))));
        let check = checksum(lines.iter().map(|(label, value)| (*label, value.as_str())));
        lines.push((CHECK, check));

        let mut out = String::new();
        // Writing to a String cannot fail.
        let _ = write!(
            out,
            "This invitation lets one device join the record of an instrument.\n\
             Keep it private: whoever holds it can read the record.\n\
             \n\
             It works once, until {}, as {}.\n\
             Hand it over by a way that only the two of you can read, and compare\n\
             the inviter's fingerprint by voice: {}\n\
             To join, give this whole text to the program that you keep records with.\n\
             \n\
             {FIRST_LINE}{FORMAT}\n",
            utc(self.expires),
            self.role,
            self.inviter.fingerprint(),
        );
        for (label, value) in &lines {
            let _ = writeln!(out, "{label}: {value}");
        }
        let _ = writeln!(out, "{LAST_LINE}");
        Ok(out)
    }

    fn check(&self) -> Result<(), InvitationError> {
        let wrong = |label, expected| Err(InvitationError::Value { label, expected });
        if !is_label(&self.name) || collapse(&self.name) != self.name {
            return wrong(NAME, EXPECTED_NAME);
        }
        if !(MIN_TIME..=MAX_TIME).contains(&self.expires) {
            return wrong(EXPIRES, EXPECTED_TIME);
        }
        if self.relay.as_deref().is_some_and(|relay| !is_relay(relay)) {
            return wrong(RELAY, EXPECTED_RELAY);
        }
        if self.epoch_keys.is_empty() {
            return Err(InvitationError::Missing(KEY));
        }
        Ok(at_most("epoch keys", self.epoch_keys.len(), MAX_EPOCH_KEYS)?)
    }

    /// Finds and reads an invitation in a text, such as a mail that quotes it.
    ///
    /// # Errors
    /// [`InvitationError`]; expiry is asked separately with [`Invitation::check_time`].
    pub fn parse(text: &str) -> Result<Self, InvitationError> {
        at_most("bytes of an invitation", text.len(), MAX_INVITATION_BYTES)?;
        let lines = Lines::find(text)?;
        let check = lines.required(CHECK)?;
        let expected =
            checksum(lines.0.iter().filter(|line| line.0 != CHECK).map(|line| (line.0, &*line.1)));
        if check.to_ascii_uppercase() != expected {
            return Err(InvitationError::Damaged { expected });
        }
        let mut epoch_keys = Vec::new();
        for (_, value) in lines.0.iter().filter(|(label, _)| *label == KEY) {
            epoch_keys.push(EpochKey::from_bytes(from_base32(KEY, value)?));
        }
        let wrong = |label, expected| InvitationError::Value { label, expected };
        let expires = DateTime::parse_from_rfc3339(lines.required(EXPIRES)?);
        let expires = expires.map_err(|_| wrong(EXPIRES, EXPECTED_TIME))?;
        let role = lines.required(ROLE)?.parse();
        let invitation = Self {
            record: from_base32(RECORD, lines.required(RECORD)?)?.into(),
            name: lines.required(NAME)?.to_owned(),
            role: role.map_err(|_| wrong(ROLE, "owner, contributor or viewer"))?,
            inviter: from_base32(INVITER, lines.required(INVITER)?)?.into(),
            invite: from_base32(INVITE, lines.required(INVITE)?)?.into(),
            expires: expires.timestamp(),
            relay: lines.optional(RELAY)?.map(str::to_owned),
            secret: InviteSecret::from_bytes(from_base32(SECRET, lines.required(SECRET)?)?),
            epoch_keys,
        };
        invitation.check()?;
        Ok(invitation)
    }
}

const EXPECTED_NAME: &str = "1 to 64 bytes without control characters or doubled blanks";
const EXPECTED_TIME: &str = "a time such as 2026-11-25T18:00:00Z, years 1 to 9999";
const EXPECTED_RELAY: &str = "an address of 1 to 200 printable ASCII characters without blanks";

/// The labelled lines of an invitation, in order; broken lines joined.
struct Lines(Vec<(&'static str, String)>);

impl Lines {
    const LABELS: [&str; 10] =
        [NAME, ROLE, EXPIRES, INVITER, RECORD, INVITE, RELAY, SECRET, KEY, CHECK];

    fn find(text: &str) -> Result<Self, InvitationError> {
        let mut lines = text.lines().map(unquote);
        let format =
            lines.find_map(|line| collapse(line).strip_prefix(FIRST_LINE).map(str::to_owned));
        match format {
            None => return Err(InvitationError::NotAnInvitation),
            Some(format) if format != FORMAT => return Err(InvitationError::Newer(format)),
            Some(_) => {}
        }
        let mut found: Vec<(&'static str, String)> = Vec::new();
        for line in lines {
            let line = collapse(line);
            if line == LAST_LINE {
                for (_, value) in found.iter_mut().filter(|(label, _)| *label != NAME) {
                    value.retain(|letter| letter != ' ');
                }
                return Ok(Self(found));
            }
            let labelled = line.split_once(':').and_then(|(label, value)| {
                let known = Self::LABELS.into_iter().find(|known| *known == label.trim_end());
                known.map(|label| (label, value.trim_start().to_owned()))
            });
            match (labelled, found.last_mut()) {
                (Some(labelled), _) => found.push(labelled),
                (None, Some((_, value))) if !line.is_empty() => {
                    if !value.is_empty() {
                        value.push(' ');
                    }
                    value.push_str(&line);
                }
                (None, _) => {}
            }
        }
        Err(InvitationError::Truncated)
    }

    fn optional(&self, label: &'static str) -> Result<Option<&str>, InvitationError> {
        let mut values = self.0.iter().filter(|line| line.0 == label);
        match (values.next(), values.next()) {
            (_, Some(_)) => Err(InvitationError::Twice(label)),
            (value, None) => Ok(value.map(|line| line.1.as_str())),
        }
    }

    fn required(&self, label: &'static str) -> Result<&str, InvitationError> {
        self.optional(label)?.ok_or(InvitationError::Missing(label))
    }
}

/// A line without what mail programs put in front of it.
fn unquote(line: &str) -> &str {
    line.trim_start_matches(|letter: char| letter == '>' || letter == '|' || letter.is_whitespace())
}

/// Runs of white space (no-break spaces included) become one blank; the ends lose theirs.
fn collapse(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn is_relay(relay: &str) -> bool {
    !relay.is_empty()
        && relay.len() <= MAX_RELAY
        && relay.bytes().all(|byte| byte.is_ascii_graphic())
}

fn utc(seconds: i64) -> String {
    // Out of range only if `check` was not asked; such a time is refused before it is written.
    DateTime::from_timestamp(seconds, 0)
        .unwrap_or_default()
        .to_rfc3339_opts(SecondsFormat::Secs, true)
}

fn base32(bytes: &[u8]) -> String {
    BASE32_NOPAD.encode(bytes)
}

fn from_base32<const N: usize>(
    label: &'static str,
    value: &str,
) -> Result<[u8; N], InvitationError> {
    let expected = "the letters and digits of base32 (RFC 4648), all of them";
    let wrong = InvitationError::Value { label, expected };
    let bytes = BASE32_NOPAD.decode(value.to_ascii_uppercase().as_bytes());
    bytes.ok().and_then(|bytes| bytes.try_into().ok()).ok_or(wrong)
}

/// Eight letters over labels and values in order; base32 values count in upper case.
fn checksum<'a>(lines: impl Iterator<Item = (&'static str, &'a str)>) -> String {
    let mut text = String::new();
    for (label, value) in lines {
        let upper = [INVITER, RECORD, INVITE, SECRET, KEY].contains(&label);
        let value = if upper { value.to_ascii_uppercase() } else { value.to_owned() };
        let _ = writeln!(text, "{label}:{value}");
    }
    base32(&derive::<5>(CONTEXT_CHECK, &[text.as_bytes()]))
}

#[cfg(test)]
#[path = "invitation_tests.rs"]
mod tests;
