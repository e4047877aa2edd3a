//! What a client shows a relay, and what the relay keeps of it.
//!
//! Both tokens follow from an epoch's key and the log's id, so every member of that epoch can show
//! them, a removed one only the old ones, and one relay cannot use what it was shown at another.

use std::fmt;

use data_encoding::BASE64URL_NOPAD;
use fallaway_changes::LogId;
use fallaway_sharing::EpochKey;
use zeroize::Zeroizing;

/// Domain separation; frozen with the protocol.
const CONTEXT_ACCESS: &str = "fallaway v1 relay access";
const CONTEXT_ADMIN: &str = "fallaway v1 relay admin";
/// The scheme of the `Authorization` header (RFC 9110, section 11.6.2).
pub const SCHEME: &str = "Fallaway";
/// What a refusal asks for (RFC 9110, section 11.6.1). It has a realm though none is needed: the HTTP client
/// of Swift on Linux ends the process where a scheme stands alone.
pub const CHALLENGE: &str = "Fallaway realm=\"relay\"";

/// 32 bytes that open a log, or that rule it. Wiped from memory when dropped; never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct LogToken(Zeroizing<[u8; 32]>);

impl LogToken {
    /// What reads and writes the log, in the epoch of this key.
    pub fn access(key: &EpochKey, log: &LogId) -> Self {
        Self(Zeroizing::new(key.derived(CONTEXT_ACCESS, &[log.as_bytes()])))
    }

    /// What changes the log's access, or deletes it, in the epoch of this key.
    pub fn admin(key: &EpochKey, log: &LogId) -> Self {
        Self(Zeroizing::new(key.derived(CONTEXT_ADMIN, &[log.as_bytes()])))
    }

    /// What the relay keeps.
    pub fn hash(&self) -> TokenHash {
        TokenHash(*blake3::hash(self.0.as_slice()).as_bytes())
    }

    /// The value of the `Authorization` header.
    pub fn header(&self) -> String {
        format!("{SCHEME} {}", BASE64URL_NOPAD.encode(self.0.as_slice()))
    }

    /// Reads the value of an `Authorization` header; `None` for anything else.
    pub fn from_header(value: &str) -> Option<Self> {
        let (scheme, token) = value.split_once(' ')?;
        // 32 bytes are 43 characters: a longer text is not looked at.
        if !scheme.eq_ignore_ascii_case(SCHEME) || token.len() != 43 {
            return None;
        }
        let bytes = Zeroizing::new(BASE64URL_NOPAD.decode(token.as_bytes()).ok()?);
        Some(Self(Zeroizing::new(bytes.as_slice().try_into().ok()?)))
    }
}

impl fmt::Debug for LogToken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("LogToken(..)")
    }
}

/// BLAKE3 of a token: what a relay compares, in constant time.
#[derive(Clone, Copy)]
pub struct TokenHash(pub [u8; 32]);

impl PartialEq for TokenHash {
    fn eq(&self, other: &Self) -> bool {
        blake3::Hash::from(self.0) == blake3::Hash::from(other.0)
    }
}

impl Eq for TokenHash {}

impl fmt::Debug for TokenHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("TokenHash(..)")
    }
}

/// The body that opens a log, or changes its access: the hash of its access token and that of its
/// admin token.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AccessBody {
    /// Of the token that reads and writes.
    pub access: TokenHash,
    /// Of the token that changes the access.
    pub admin: TokenHash,
}

impl AccessBody {
    /// Bytes of it.
    pub const LEN: usize = 64;

    /// Of the epoch of this key.
    pub fn of(key: &EpochKey, log: &LogId) -> Self {
        Self { access: LogToken::access(key, log).hash(), admin: LogToken::admin(key, log).hash() }
    }

    /// The bytes of the body.
    pub fn encode(&self) -> Vec<u8> {
        [self.access.0, self.admin.0].concat()
    }

    /// Reads a body; `None` for anything but [`AccessBody::LEN`] bytes.
    pub fn decode(bytes: &[u8]) -> Option<Self> {
        let (access, rest) = bytes.split_first_chunk::<32>()?;
        let admin = <[u8; 32]>::try_from(rest).ok()?;
        Some(Self { access: TokenHash(*access), admin: TokenHash(admin) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_belongs_to_one_epoch_one_log_and_one_use() {
        let (key, other) = (EpochKey::from_bytes([1; 32]), EpochKey::from_bytes([2; 32]));
        let (log, elsewhere) = (LogId::from_bytes([3; 16]), LogId::from_bytes([4; 16]));
        let token = LogToken::access(&key, &log);
        assert_ne!(token, LogToken::access(&other, &log));
        assert_ne!(token, LogToken::access(&key, &elsewhere));
        assert_ne!(token, LogToken::admin(&key, &log));
        assert_eq!(LogToken::from_header(&token.header()), Some(token.clone()));
        assert_eq!(format!("{token:?}"), "LogToken(..)");
    }

    #[test]
    fn what_is_no_header_is_no_token() {
        let header = LogToken::access(&EpochKey::from_bytes([1; 32]), &LogId::from_bytes([3; 16]));
        let header = header.header();
        for wrong in [
            "",
            "Fallaway",
            "Fallaway ",
            &header[..header.len() - 1],
            &format!("{header}A"),
            &header.replace("Fallaway", "Bearer"),
            "Fallaway ===========================================",
        ] {
            assert_eq!(LogToken::from_header(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn a_body_has_one_length() {
        let body = AccessBody::of(&EpochKey::from_bytes([1; 32]), &LogId::from_bytes([3; 16]));
        assert_eq!(AccessBody::decode(&body.encode()), Some(body));
        assert_eq!(AccessBody::decode(&body.encode()[1..]), None);
        assert_eq!(AccessBody::decode(&[0; 65]), None);
    }
}
