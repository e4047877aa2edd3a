//! An invitation: a secret of 128 bits, as twelve words to read out or as the text of a QR code.
//!
//! Whoever has it and the welcome that lies beside the record's bundles can join, once. By itself it
//! reads nothing. The address of a relay that keeps the welcome may stand behind it.
//!
//! The text of a code has capitals, digits and signs only, so that the code stays small:
//! `FALLAWAY:1:` and 32 letters and digits of base32 (RFC 4648) over the secret and a checksum of four
//! bytes; with an address, `:` and that in base32.

use std::fmt;

use data_encoding::BASE32_NOPAD;

use crate::action::is_address;
use crate::identity::InviteSecret;
use crate::limits::MAX_INVITATION_BYTES;
use crate::words::{WordsError, secret_of};
use fallaway_changes::derive;
use fallaway_changes::limits::{TooLarge, at_most};

const SCHEME: &str = "FALLAWAY";
const FORMAT: &str = "1";
const CONTEXT_CHECK: &str = "fallaway v1 invitation checksum";
const CHECK: usize = 4;
/// The words of a secret.
const COUNT: usize = 12;

/// What one device needs to join a record, beside the welcome.
#[derive(Clone, PartialEq, Eq)]
pub struct Invitation {
    /// Proves that the invitation was held, opens the welcome; works once.
    pub secret: InviteSecret,
    /// Address of a relay that keeps the welcome.
    pub relay: Option<String>,
}

impl fmt::Debug for Invitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // The secret hides itself.
        f.debug_struct("Invitation").field("relay", &self.relay).finish_non_exhaustive()
    }
}

/// Why a text is not an invitation that can be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum InvitationError {
    /// The text is longer than any invitation.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// The words are none.
    #[error(transparent)]
    Words(#[from] WordsError),
    /// A format of a newer version.
    #[error("an invitation of format {0}, written by a newer version; this one reads format 1")]
    Newer(String),
    /// The text of a code that is cut or altered.
    #[error("the text of the code is cut short or was altered")]
    Damaged,
    /// What stands behind the invitation is no address of a relay.
    #[error("the address of the relay must have 1 to 200 printable characters without blanks")]
    Relay,
}

impl Invitation {
    /// Twelve words, and the relay's address behind them.
    pub fn words(&self) -> String {
        let words = self.secret.words();
        match &self.relay {
            Some(relay) => format!("{} {relay}", *words),
            None => (*words).clone(),
        }
    }

    /// The text of a QR code.
    pub fn code(&self) -> String {
        let secret = self.secret.as_bytes();
        let checked = [&secret[..], &check(secret)].concat();
        let relay = self.relay.as_ref().map(|relay| format!(":{}", base32(relay.as_bytes())));
        format!("{SCHEME}:{FORMAT}:{}{}", base32(&checked), relay.unwrap_or_default())
    }

    /// Reads twelve words, however they are spaced, in either case, or the text of a code; with an
    /// address behind it or without.
    ///
    /// # Errors
    /// [`InvitationError`].
    pub fn parse(text: &str) -> Result<Self, InvitationError> {
        at_most("bytes of an invitation", text.len(), MAX_INVITATION_BYTES)?;
        let text = text.trim();
        let mut parts = text.split(':');
        if parts.next().is_some_and(|scheme| scheme.eq_ignore_ascii_case(SCHEME)) {
            return Self::of_code(parts);
        }
        let parts: Vec<&str> = text.split_whitespace().collect();
        let (words, relay) = match parts.split_at_checked(COUNT) {
            Some((words, [relay])) if relay.contains(':') => (words, Some((*relay).to_owned())),
            _ => (parts.as_slice(), None),
        };
        if !relay.as_deref().is_none_or(is_address) {
            return Err(InvitationError::Relay);
        }
        let secret = InviteSecret::from_bytes(*secret_of(&words.join(" "))?);
        Ok(Self { secret, relay })
    }

    fn of_code<'a>(mut parts: impl Iterator<Item = &'a str>) -> Result<Self, InvitationError> {
        match parts.next() {
            Some(FORMAT) => {}
            Some(other) if !other.is_empty() && other.bytes().all(|byte| byte.is_ascii_digit()) => {
                return Err(InvitationError::Newer(other.chars().take(8).collect()));
            }
            _ => return Err(InvitationError::Damaged),
        }
        let bytes = parts.next().and_then(from_base32).ok_or(InvitationError::Damaged)?;
        let (secret, sum) = bytes.split_first_chunk::<16>().ok_or(InvitationError::Damaged)?;
        if sum != check(secret) {
            return Err(InvitationError::Damaged);
        }
        let relay = match parts.next() {
            None => None,
            Some(text) => {
                let relay = from_base32(text).and_then(|bytes| String::from_utf8(bytes).ok());
                Some(relay.filter(|relay| is_address(relay)).ok_or(InvitationError::Relay)?)
            }
        };
        match parts.next() {
            None => Ok(Self { secret: InviteSecret::from_bytes(*secret), relay }),
            Some(_) => Err(InvitationError::Damaged),
        }
    }
}

fn check(secret: &[u8; 16]) -> [u8; CHECK] {
    derive(CONTEXT_CHECK, &[secret])
}

fn base32(bytes: &[u8]) -> String {
    BASE32_NOPAD.encode(bytes)
}

fn from_base32(text: &str) -> Option<Vec<u8>> {
    BASE32_NOPAD.decode(text.to_ascii_uppercase().as_bytes()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn invitation(relay: Option<&str>) -> Invitation {
        let secret = InviteSecret::from_bytes([0x7f; 16]);
        Invitation { secret, relay: relay.map(str::to_owned) }
    }

    #[test]
    fn words_and_codes_are_read_with_an_address_and_without() {
        for relay in [None, Some("https://relay.example:8443/r?x=1")] {
            let given = invitation(relay);
            for text in [given.words(), given.code(), given.code().to_lowercase()] {
                assert_eq!(
                    Invitation::parse(&format!("\n {text} \n")),
                    Ok(given.clone()),
                    "{text}"
                );
            }
            assert_eq!(Invitation::parse(&given.words().replace(' ', " \n ")), Ok(given));
        }
        let words = invitation(None).words();
        assert!(words.starts_with("legal winner thank year"), "{words}");
        let code = invitation(None).code();
        assert_eq!((code.len(), code.starts_with("FALLAWAY:1:P57")), (43, true), "{code}");
        assert!(!format!("{:?}", invitation(None)).contains("127"));
    }

    #[test]
    fn what_is_wrong_is_told() {
        let parse = |text: &str| Invitation::parse(text).unwrap_err();
        assert_eq!(parse("not an invitation"), InvitationError::Words(WordsError::Count(3)));
        assert!(matches!(parse(&"x".repeat(5000)), InvitationError::TooLarge(_)));
        let given = invitation(Some("https://relay.example"));
        assert_eq!(parse(&given.code().replace(":1:", ":2:")), InvitationError::Newer("2".into()));
        assert_eq!(parse("FALLAWAY"), InvitationError::Damaged);
        assert_eq!(parse(&given.code()[..40]), InvitationError::Damaged);
        assert_eq!(parse(&format!("{}:MFRA", given.code())), InvitationError::Damaged);
        assert_eq!(parse(&format!("{}:EA", invitation(None).code())), InvitationError::Relay);
        let long = format!("{} :{}", invitation(None).words(), "x".repeat(200));
        assert_eq!(parse(&long), InvitationError::Relay);
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,300}") {
            let _ = Invitation::parse(&text);
            let _ = Invitation::parse(&format!("FALLAWAY:1:{text}"));
        }

        #[test]
        fn an_altered_letter_of_a_code_is_found(place in 11..43_usize, letter in "[A-Z2-7]") {
            let mut code = invitation(None).code();
            let other = code.as_bytes()[place] != letter.as_bytes()[0];
            code.replace_range(place..=place, &letter);
            prop_assert_eq!(Invitation::parse(&code).is_err(), other);
        }
    }
}
