//! Letters: what somebody who holds no key of a record needs first, sealed to a secret that it has.
//!
//! A **welcome** is sealed under a key that follows from the secret of an invitation; the words of
//! the invitation alone read nothing, and neither does the letter. Another letter goes to whoever has
//! the recovery words, encrypted to the key that follows from them. Both travel beside the bundles,
//! and cannot be told apart from outside. Each has one form, whoever seals it.

use chacha20poly1305::aead::AeadInOut;
use zeroize::Zeroizing;

use crate::action::{
    NULL, Recovery, RelayAddress, check_relays, decode_relays, device, encode_relays, is_label,
    operation, role, take_null,
};
use crate::epoch::{EpochKey, NONCE, POLY, UnwrapError};
use crate::identity::{DeviceKeys, InviteSecret};
use crate::limits::MAX_BUNDLE_BYTES;
use crate::member_error::MemberError;
use crate::role::Role;
use crate::seal::{LENGTH, PAD, pad, unpad};
use crate::wrap::{open_from, seal_to};
use fallaway_changes::cbor::{Builder, CborError, Reader};
use fallaway_changes::limits::{TooLarge, at_most};
use fallaway_changes::{DeviceId, MemberHash, RecordId, derive};

const MAGIC: [u8; 3] = [0xfa, 0x11, 0x0b];
const VERSION: u8 = 1;
/// Bytes of the name that says for whom a letter is.
const NAME: usize = 16;
const HEADER: usize = MAGIC.len() + 1 + NAME;
/// Bytes of an encapsulated key.
const ENC: usize = 32;
/// The kind of payload.
const KIND: u64 = 4;

const CONTEXT_WELCOME: &str = "fallaway v1 welcome key";
const CONTEXT_DROP: &str = "fallaway v1 welcome drop";
const CONTEXT_LETTER: &str = "fallaway v1 recovery drop";
const CONTEXT_RANDOM: &str = "fallaway v1 recovery letter randomness";
const INFO: &[u8] = b"fallaway v1 recovery letter";

/// What a letter says.
#[derive(Clone, PartialEq, Eq)]
pub struct Welcome {
    /// The record that the letter lets into.
    pub record: RecordId,
    /// What whoever wrote the letter calls it; a label of 1 to 64 bytes.
    pub name: String,
    /// The newest epoch's key. Those before it come under it.
    pub key: EpochKey,
    /// Where relays carry the record: sorted, unique.
    pub relays: Vec<RelayAddress>,
    /// By which invitation; none in a letter to the recovery key.
    pub invited: Option<Invited>,
}

/// The invitation that a welcome belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Invited {
    /// The device that invites.
    pub by: DeviceId,
    /// The *invite* operation to join by.
    pub invite: MemberHash,
    /// What the joining device may do.
    pub role: Role,
    /// Last stated time of a join, seconds since 1970-01-01T00:00:00Z.
    pub expires: i64,
}

impl std::fmt::Debug for Welcome {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The key hides itself.
        f.debug_struct("Welcome").field("record", &self.record).finish_non_exhaustive()
    }
}

/// Why a letter was not written or read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum LetterError {
    /// Not the bytes of a letter.
    #[error("not a letter")]
    NotALetter,
    /// A form of a newer version.
    #[error("a letter of format {0}, written by a newer version; this one reads format 1")]
    Newer(u8),
    /// It is for somebody else.
    #[error("the letter is for somebody else")]
    OtherReader,
    /// Altered on its way, or sealed otherwise than by these rules.
    #[error("the letter does not open: it was altered")]
    Altered,
    /// What it says is not in form.
    #[error("the letter is malformed: {0}")]
    Malformed(#[from] MemberError),
    /// The recovery key is none.
    #[error("nothing can be encrypted to this recovery key")]
    NotAKey,
}

impl From<CborError> for LetterError {
    fn from(error: CborError) -> Self {
        Self::Malformed(error.into())
    }
}

impl From<TooLarge> for LetterError {
    fn from(error: TooLarge) -> Self {
        Self::Malformed(error.into())
    }
}

impl From<UnwrapError> for LetterError {
    fn from(error: UnwrapError) -> Self {
        match error {
            UnwrapError::NotAKey => Self::NotAKey,
            UnwrapError::NotWrapped | UnwrapError::DoesNotOpen => Self::Altered,
        }
    }
}

impl Welcome {
    fn encode(&self) -> Result<Zeroizing<Vec<u8>>, LetterError> {
        self.check()?;
        let mut out = Builder::new();
        out.array(2).uint(KIND).array(5).bytes(self.record.as_bytes()).text(&self.name);
        out.bytes(self.key.as_bytes());
        encode_relays(&self.relays, &mut out);
        match &self.invited {
            None => out.raw(&NULL),
            Some(one) => {
                out.array(4).bytes(one.by.as_bytes()).bytes(one.invite.as_bytes());
                out.uint(one.role as u64).int(one.expires)
            }
        };
        Ok(Zeroizing::new(out.finish()))
    }

    fn decode(bytes: &[u8]) -> Result<Self, LetterError> {
        let mut reader = Reader::new(bytes);
        reader.array_len(2, "a payload of 2 items")?;
        if reader.uint()? != KIND {
            return Err(LetterError::NotALetter);
        }
        reader.array_len(5, "a welcome of 5 items")?;
        let record = reader.array_of("a record id of 16 bytes")?.into();
        let name = reader.text()?.to_owned();
        let key = EpochKey::from_bytes(reader.array_of("an epoch key of 32 bytes")?);
        let relays = decode_relays(&mut reader)?;
        let invited = if take_null(&mut reader)? {
            None
        } else {
            reader.array_len(4, "an invitation of 4 items")?;
            Some(Invited {
                by: device(&mut reader)?,
                invite: operation(&mut reader)?,
                role: role(&mut reader)?,
                expires: reader.int()?,
            })
        };
        reader.end()?;
        let welcome = Self { record, name, key, relays, invited };
        welcome.check()?;
        Ok(welcome)
    }

    fn check(&self) -> Result<(), LetterError> {
        if !is_label(&self.name) {
            return Err(MemberError::Label.into());
        }
        if let Some(one) = &self.invited {
            crate::action::check_time(one.expires)?;
        }
        Ok(check_relays(&self.relays)?)
    }

    /// The welcome for this secret among what came beside it; why there is none, if so.
    ///
    /// # Errors
    /// [`LetterError::OtherReader`] if nothing is addressed to it; what is wrong with the letter that
    /// is.
    pub fn find<'a>(
        secret: &InviteSecret,
        among: impl IntoIterator<Item = &'a [u8]>,
    ) -> Result<Self, LetterError> {
        let found = among.into_iter().map(|bytes| open_welcome(secret, bytes));
        addressed(found)
    }

    /// The same of the letters to the keys of recovery words.
    ///
    /// # Errors
    /// As [`Welcome::find`].
    pub fn find_recovered<'a>(
        keys: &DeviceKeys,
        among: impl IntoIterator<Item = &'a [u8]>,
    ) -> Result<Self, LetterError> {
        addressed(among.into_iter().map(|bytes| open_letter(keys, bytes)))
    }
}

fn addressed(
    mut found: impl Iterator<Item = Result<Welcome, LetterError>>,
) -> Result<Welcome, LetterError> {
    let not_this = [Err(LetterError::OtherReader), Err(LetterError::NotALetter)];
    found.find(|one| !not_this.contains(one)).unwrap_or(Err(LetterError::OtherReader))
}

impl InviteSecret {
    /// Under which name a relay keeps the welcome until it is fetched, and by which it is known.
    pub fn drop_id(&self) -> [u8; 16] {
        derive(CONTEXT_DROP, &[self.as_bytes()])
    }

    fn welcome_key(&self) -> EpochKey {
        EpochKey::from_bytes(derive(CONTEXT_WELCOME, &[self.as_bytes()]))
    }
}

impl Recovery {
    /// Under which name a relay keeps the newest letter to this key, and by which it is known.
    pub fn drop_id(&self) -> [u8; 16] {
        derive(CONTEXT_LETTER, &[self.device.as_bytes()])
    }
}

/// Whether these bytes begin like a letter.
pub fn is_letter(bytes: &[u8]) -> bool {
    bytes.starts_with(&MAGIC)
}

fn header(name: [u8; NAME]) -> Vec<u8> {
    [&MAGIC[..], &[VERSION], &name].concat()
}

/// What follows the header of a letter for this reader.
fn body(bytes: &[u8], name: [u8; NAME]) -> Result<&[u8], LetterError> {
    let rest = bytes.strip_prefix(&MAGIC).ok_or(LetterError::NotALetter)?;
    match rest.split_first() {
        Some((&VERSION, rest)) if bytes.len().is_multiple_of(PAD) => {
            at_most("bytes of a letter", bytes.len(), MAX_BUNDLE_BYTES)?;
            rest.strip_prefix(&name).ok_or(LetterError::OtherReader)
        }
        Some((0 | &VERSION, _)) | None => Err(LetterError::NotALetter),
        Some((newer, _)) => Err(LetterError::Newer(*newer)),
    }
}

/// The padded text of a letter with so many bytes around it.
fn text_of(welcome: &Welcome, around: usize) -> Result<Zeroizing<Vec<u8>>, LetterError> {
    let payload = welcome.encode()?;
    let whole = (around + LENGTH + payload.len() + POLY).next_multiple_of(PAD);
    Ok(Zeroizing::new(pad(&payload, whole - around - POLY)))
}

/// Seals a welcome under the secret of its invitation.
///
/// # Errors
/// [`LetterError::Malformed`].
pub fn seal_welcome(secret: &InviteSecret, welcome: &Welcome) -> Result<Vec<u8>, LetterError> {
    let mut text = text_of(welcome, HEADER + NONCE)?;
    let mut out = header(secret.drop_id());
    let key = secret.welcome_key();
    let nonce = key.nonce(&out, &text);
    let sealed =
        key.cipher().encrypt_inout_detached((&nonce).into(), &out, text.as_mut_slice().into());
    let tag = sealed.map_err(|_| LetterError::Altered)?;
    out.extend(nonce);
    out.extend(text.iter());
    out.extend(tag);
    Ok(out)
}

/// Opens a welcome with the secret of its invitation.
///
/// # Errors
/// [`LetterError`].
pub fn open_welcome(secret: &InviteSecret, bytes: &[u8]) -> Result<Welcome, LetterError> {
    let body = body(bytes, secret.drop_id())?;
    let (nonce, body) = body.split_first_chunk::<NONCE>().ok_or(LetterError::NotALetter)?;
    let (text, tag) = body.split_last_chunk::<POLY>().ok_or(LetterError::NotALetter)?;
    let (key, header) = (secret.welcome_key(), header(secret.drop_id()));
    let mut text = Zeroizing::new(text.to_vec());
    key.cipher()
        .decrypt_inout_detached(nonce.into(), &header, text.as_mut_slice().into(), tag.into())
        .map_err(|_| LetterError::Altered)?;
    if key.nonce(&header, &text) != *nonce {
        return Err(LetterError::Altered);
    }
    Welcome::decode(unpad(&text).map_err(|_| LetterError::Altered)?)
}

/// Encrypts a letter to the recovery key.
///
/// # Errors
/// [`LetterError::NotAKey`], [`LetterError::Malformed`].
pub fn seal_letter(recovery: &Recovery, welcome: &Welcome) -> Result<Vec<u8>, LetterError> {
    let text = text_of(welcome, HEADER + ENC)?;
    let mut out = header(recovery.drop_id());
    // Only members know the key in the text: what is drawn from it is random to everybody else.
    let random = derive(CONTEXT_RANDOM, &[recovery.exchange.as_bytes(), &text]);
    let (enc, ct) = seal_to(&recovery.exchange, INFO, &out, &text, random)?;
    out.extend(enc);
    out.extend(ct);
    Ok(out)
}

/// Opens a letter with the keys of the recovery words.
///
/// # Errors
/// [`LetterError`].
pub fn open_letter(keys: &DeviceKeys, bytes: &[u8]) -> Result<Welcome, LetterError> {
    let name = keys.as_recovery().drop_id();
    let body = body(bytes, name)?;
    let (enc, ct) = body.split_first_chunk::<ENC>().ok_or(LetterError::NotALetter)?;
    let text = open_from(keys, INFO, &header(name), (enc, ct))?;
    Welcome::decode(unpad(&text).map_err(|_| LetterError::Altered)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{keys, record};
    use proptest::prelude::*;

    fn welcome(invited: bool) -> Welcome {
        let invited = invited.then(|| Invited {
            by: keys(1).device(),
            invite: MemberHash::from_bytes([2; 32]),
            role: Role::Contributor,
            expires: 1_790_000_000,
        });
        let relay = RelayAddress { url: "https://relay.example".to_owned(), log: [6; 16] };
        let key = EpochKey::from_bytes([4; 32]);
        Welcome { record: record(), name: "bass".to_owned(), key, relays: vec![relay], invited }
    }

    fn secret(byte: u8) -> InviteSecret {
        InviteSecret::from_bytes([byte; 16])
    }

    #[test]
    fn letters_open_for_their_reader_only() {
        let (sealed, words) = (seal_welcome(&secret(3), &welcome(true)).unwrap(), keys(200));
        let letter = seal_letter(&words.as_recovery(), &welcome(false)).unwrap();
        for bytes in [&sealed, &letter] {
            assert_eq!((bytes.len(), is_letter(bytes)), (256, true));
        }
        assert_eq!(open_welcome(&secret(3), &sealed), Ok(welcome(true)));
        assert_eq!(open_letter(&words, &letter), Ok(welcome(false)));
        assert_eq!(open_welcome(&secret(4), &sealed), Err(LetterError::OtherReader));
        assert_eq!(open_letter(&keys(9), &letter), Err(LetterError::OtherReader));
        let both = [letter.as_slice(), sealed.as_slice(), b"other"];
        assert_eq!(Welcome::find(&secret(3), both), Ok(welcome(true)));
        assert_eq!(Welcome::find_recovered(&words, both), Ok(welcome(false)));
        assert_eq!(Welcome::find(&secret(5), both), Err(LetterError::OtherReader));
        // Whoever seals it again gets the same bytes.
        assert_eq!(seal_welcome(&secret(3), &welcome(true)), Ok(sealed));
        assert_eq!(seal_letter(&words.as_recovery(), &welcome(false)), Ok(letter));
    }

    #[test]
    fn what_is_wrong_is_told() {
        let sealed = seal_welcome(&secret(3), &welcome(true)).unwrap();
        let open = |bytes: &[u8]| open_welcome(&secret(3), bytes).unwrap_err();
        assert_eq!(open(b"words"), LetterError::NotALetter);
        assert_eq!(open(&sealed[..100]), LetterError::NotALetter);
        let mut newer = sealed.clone();
        newer[3] = 2;
        assert_eq!(open(&newer), LetterError::Newer(2));
        let mut unnamed = welcome(true);
        unnamed.name = " ".to_owned();
        let error = seal_welcome(&secret(3), &unnamed).unwrap_err();
        assert_eq!(error, LetterError::Malformed(MemberError::Label));
        let nobody = Recovery { device: keys(1).device(), exchange: [0; 32].into() };
        assert_eq!(seal_letter(&nobody, &welcome(false)), Err(LetterError::NotAKey));
        assert!(!format!("{:?}", welcome(true)).contains("key"));
    }

    proptest! {
        #[test]
        fn any_flipped_bit_is_refused(bit in 0..256 * 8_usize) {
            let mut sealed = seal_welcome(&secret(3), &welcome(true)).unwrap();
            let mut letter = seal_letter(&keys(200).as_recovery(), &welcome(false)).unwrap();
            sealed[bit / 8] ^= 1 << (bit % 8);
            letter[bit / 8] ^= 1 << (bit % 8);
            prop_assert!(open_welcome(&secret(3), &sealed).is_err());
            prop_assert!(open_letter(&keys(200), &letter).is_err());
        }

        #[test]
        fn any_text_is_read_or_refused(text in prop::collection::vec(any::<u8>(), 0..200)) {
            let _ = Welcome::decode(&text);
            let _ = open_welcome(&secret(3), &text);
            let _ = open_letter(&keys(200), &text);
        }

        #[test]
        fn any_damaged_text_is_read_or_refused(
            damage in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..4),
            cut in 0..200_usize,
            invited in any::<bool>(),
        ) {
            let mut text = welcome(invited).encode().unwrap().to_vec();
            text.truncate(text.len().min(cut.max(8)));
            for (at, byte) in damage {
                let at = at.index(text.len());
                text[at] = byte;
            }
            // What is read keeps the rules.
            if let Ok(read) = Welcome::decode(&text) {
                prop_assert!(read.check().is_ok());
            }
        }
    }
}
