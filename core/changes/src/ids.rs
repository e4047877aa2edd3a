//! Identifiers: fixed-size byte strings, each with one text form.
//!
//! A [`Writer`] shows as base64url without padding (RFC 4648 section 5), because entry keys in a
//! record are made of it; everything else shows as lower-case hexadecimal.

use std::fmt;
use std::str::FromStr;

use data_encoding::{BASE32_NOPAD, BASE64URL_NOPAD, Encoding, HEXLOWER};

/// Text or bytes that are not the identifier they should be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("not a {kind}: expected {bytes} bytes as {form}")]
pub struct IdError {
    /// Which identifier was wanted.
    pub kind: &'static str,
    /// How many bytes it has.
    pub bytes: usize,
    /// The accepted text form.
    pub form: &'static str,
}

macro_rules! identifier {
    ($(#[$doc:meta])* $name:ident, $len:literal, $kind:literal, $encoding:ident, $form:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name([u8; $len]);

        impl $name {
            /// Number of bytes.
            pub const LEN: usize = $len;

            /// Takes the bytes as they are.
            pub const fn from_bytes(bytes: [u8; $len]) -> Self {
                Self(bytes)
            }

            /// The bytes, as they stand in the formats.
            pub const fn as_bytes(&self) -> &[u8; $len] {
                &self.0
            }

            /// A copy of the bytes.
            pub const fn to_bytes(self) -> [u8; $len] {
                self.0
            }
        }

        impl From<[u8; $len]> for $name {
            fn from(bytes: [u8; $len]) -> Self {
                Self(bytes)
            }
        }

        impl From<$name> for [u8; $len] {
            fn from(id: $name) -> Self {
                id.0
            }
        }

        impl TryFrom<&[u8]> for $name {
            type Error = IdError;

            fn try_from(bytes: &[u8]) -> Result<Self, IdError> {
                <[u8; $len]>::try_from(bytes)
                    .map(Self)
                    .map_err(|_| IdError { kind: $kind, bytes: $len, form: $form })
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let encoding: &Encoding = &$encoding;
                f.write_str(&encoding.encode(&self.0))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, concat!(stringify!($name), "({})"), self)
            }
        }

        impl FromStr for $name {
            type Err = IdError;

            fn from_str(text: &str) -> Result<Self, IdError> {
                let wrong = IdError { kind: $kind, bytes: $len, form: $form };
                // The length is looked at first, so that a huge text costs nothing.
                if text.len() > 2 * $len {
                    return Err(wrong);
                }
                match $encoding.decode(text.as_bytes()) {
                    Ok(bytes) => Self::try_from(bytes.as_slice()),
                    Err(_) => Err(wrong),
                }
            }
        }
    };
}

identifier!(
    /// Names one record (one instrument). It commits to its founding operation, so nobody else can
    /// found a record of the same name.
    RecordId, 16, "record id", HEXLOWER, "32 hexadecimal digits"
);
identifier!(
    /// Who writes in a record: one incarnation of one device. Made by [`writer`].
    Writer, 16, "writer", BASE64URL_NOPAD, "22 characters of base64url"
);
identifier!(
    /// Names a change. Made by [`VerifiedChange`](crate::VerifiedChange) of its record and its canonical
    /// bytes, so it commits to both, and through the dependencies to everything before it.
    ChangeId, 32, "change id", HEXLOWER, "64 hexadecimal digits"
);
identifier!(
    /// The BLAKE3 hash of a member operation.
    MemberHash, 32, "member operation hash", HEXLOWER, "64 hexadecimal digits"
);
identifier!(
    /// What a relay sees instead of the record id. Made by [`RecordId::tag`].
    Tag, 16, "record tag", HEXLOWER, "32 hexadecimal digits"
);
identifier!(
    /// Names an epoch key without revealing it.
    EpochId, 16, "epoch id", HEXLOWER, "32 hexadecimal digits"
);
identifier!(
    /// The BLAKE3 hash of a sealed bundle's bytes.
    BundleId, 32, "bundle id", HEXLOWER, "64 hexadecimal digits"
);
identifier!(
    /// The BLAKE3 hash of a sealed photo's bytes: what a store and a relay know it by.
    BlobId, 32, "blob id", HEXLOWER, "64 hexadecimal digits"
);
identifier!(
    /// Names a record's log on a relay. Drawn at random, so that it says nothing about the record.
    LogId, 16, "log id", HEXLOWER, "32 hexadecimal digits"
);
identifier!(
    /// Drawn at random whenever a device starts to write in a record and cannot prove that it
    /// continues its own earlier writing (first start, restored backup).
    Incarnation, 16, "incarnation", HEXLOWER, "32 hexadecimal digits"
);
identifier!(
    /// A device's Ed25519 public key.
    DeviceId, 32, "device id", HEXLOWER, "64 hexadecimal digits"
);

identifier!(
    /// A device's X25519 public key, to which new epoch keys will be sealed.
    ExchangeKey, 32, "exchange key", HEXLOWER, "64 hexadecimal digits"
);
identifier!(
    /// The Ed25519 public key of an invitation; its secret half follows from the invitation.
    InviteKey, 32, "invitation key", HEXLOWER, "64 hexadecimal digits"
);
identifier!(
    /// An Ed25519 signature.
    Signature, 64, "signature", HEXLOWER, "128 hexadecimal digits"
);

/// Domain separation of every identifier made here (BLAKE3 `derive_key` contexts). Frozen:
/// a changed context changes every identifier.
const CONTEXT_WRITER: &str = "fallaway v1 writer";
const CONTEXT_TAG: &str = "fallaway v1 record tag";
const CONTEXT_CHANGE: &str = "fallaway v1 change id";
const CONTEXT_FOUNDING: &str = "fallaway v1 founding change id";
const CONTEXT_FINGERPRINT: &str = "fallaway v1 device fingerprint";

/// The first `N` bytes of BLAKE3 in key derivation mode over the parts, in order. The parts must
/// have fixed lengths, or the last one only may vary.
pub fn derive<const N: usize>(context: &str, parts: &[&[u8]]) -> [u8; N] {
    let mut hasher = blake3::Hasher::new_derive_key(context);
    for part in parts {
        hasher.update(part);
    }
    let mut out = [0; N];
    hasher.finalize_xof().fill(&mut out);
    out
}

/// The writer of one incarnation of a device in a record:
/// the first 16 bytes of BLAKE3 over device key, record id and incarnation.
pub fn writer(device: &DeviceId, record: &RecordId, incarnation: &Incarnation) -> Writer {
    Writer(derive(CONTEXT_WRITER, &[&device.0, &record.0, &incarnation.0]))
}

impl ChangeId {
    /// The id of the change with these canonical bytes.
    pub fn of(record: &RecordId, canonical: &[u8]) -> Self {
        Self(derive(CONTEXT_CHANGE, &[&record.0, canonical]))
    }

    /// The id of the change that every record begins with. Nobody writes or sends it.
    pub fn founding(record: &RecordId) -> Self {
        Self(derive(CONTEXT_FOUNDING, &[&record.0]))
    }
}

impl RecordId {
    /// The tag under which bundles of this record travel while an epoch lasts. It does not reveal the
    /// record id, and who does not know that cannot tell that two epochs are of one record.
    pub fn tag(&self, epoch: &EpochId) -> Tag {
        Tag(derive(CONTEXT_TAG, &[&self.0, &epoch.0]))
    }
}

impl DeviceId {
    /// Sixteen letters and digits in groups of four (80 bits) that two people can compare aloud.
    pub fn fingerprint(&self) -> String {
        let digest: [u8; 10] = derive(CONTEXT_FINGERPRINT, &[&self.0]);
        let text = BASE32_NOPAD.encode(&digest);
        let mut out = String::with_capacity(19);
        for (place, letter) in text.chars().enumerate() {
            if place > 0 && place % 4 == 0 {
                out.push('-');
            }
            out.push(letter);
        }
        out
    }
}

/// Text key of the entry that `writer` numbered `number`: the writer, a point, a letter that tells
/// how many digits follow (a for one), and the number.
///
/// With the letter the keys of a writer sort as the numbers do.
pub fn entry_key(writer: &Writer, number: u64) -> String {
    let digits = number.to_string();
    // At most 20 digits: a to t.
    let count = char::from(b'a' + (digits.len() as u8 - 1));
    format!("{writer}.{count}{digits}")
}

/// Reads an entry key. `None` unless it is exactly what [`entry_key`] writes.
pub fn parse_entry_key(key: &str) -> Option<(Writer, u64)> {
    let (writer, number) = key.split_once('.')?;
    let (count, digits) = number.as_bytes().split_first()?;
    let counted = usize::from(count.checked_sub(b'a')?) + 1 == digits.len();
    let plain = digits.iter().all(u8::is_ascii_digit);
    let shortest = digits.len() == 1 || digits.first() != Some(&b'0');
    if !(counted && plain && shortest) {
        return None;
    }
    // The writer's text has one form, because trailing bits must be zero.
    Some((writer.parse().ok()?, number.get(1..)?.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The official vectors, `test_vectors/test_vectors.json` of the BLAKE3 team: input of 0 bytes.
    #[test]
    fn blake3_of_its_official_vectors() {
        let hash = blake3::hash(b"").to_hex();
        assert_eq!(&*hash, "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262");
        let keyed = blake3::keyed_hash(b"whats the Elvish word for friend", b"").to_hex();
        assert_eq!(&*keyed, "92b2b75604ed3c761f9d6f62392c8a9227ad0ea3f09573e783f1498a4ed60d26");
        let derived: [u8; 32] = derive("BLAKE3 2019-12-27 16:29:52 test vectors context", &[]);
        assert_eq!(
            HEXLOWER.encode(&derived),
            "2cc39783c223154fea8dfb7c1b1660f2ac2dcbd1c1de8277b0b0dd39b7e50d7d"
        );
    }

    #[test]
    fn text_forms_round_trip() {
        let record = RecordId::from_bytes([0xab; 16]);
        assert_eq!(record.to_string(), "abababababababababababababababab");
        assert_eq!(record.to_string().parse(), Ok(record));
        let writer = Writer::from_bytes([0xff; 16]);
        assert_eq!(writer.to_string().len(), 22);
        assert_eq!(writer.to_string().parse(), Ok(writer));
        assert!("zz".parse::<RecordId>().is_err());
        // The last character of 22 carries four unused bits, which must be zero.
        assert!("_____________________z".parse::<Writer>().is_err());
    }

    #[test]
    fn entry_keys_have_one_form() {
        let writer = Writer::from_bytes([7; 16]);
        let key = entry_key(&writer, 12);
        assert_eq!(parse_entry_key(&key), Some((writer, 12)));
        for wrong in [
            "",
            ".",
            "x.1",
            &format!("{writer}.012"),
            &format!("{writer}.+1"),
            &format!("{writer}."),
        ] {
            assert_eq!(parse_entry_key(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn the_writer_depends_on_all_three() {
        let device = DeviceId::from_bytes([1; 32]);
        let other = DeviceId::from_bytes([2; 32]);
        let record = RecordId::from_bytes([3; 16]);
        let first = Incarnation::from_bytes([4; 16]);
        let base = writer(&device, &record, &first);
        assert_ne!(base, writer(&other, &record, &first));
        assert_ne!(base, writer(&device, &RecordId::from_bytes([5; 16]), &first));
        assert_ne!(base, writer(&device, &record, &Incarnation::from_bytes([6; 16])));
    }

    #[test]
    fn a_fingerprint_can_be_read_aloud() {
        let text = DeviceId::from_bytes([9; 32]).fingerprint();
        assert_eq!(text.len(), 19);
        assert!(text.split('-').all(|group| group.len() == 4));
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused(text in ".{0,80}") {
            let _ = text.parse::<Writer>();
            let _ = text.parse::<ChangeId>();
            if let Some((writer, number)) = parse_entry_key(&text) {
                prop_assert_eq!(entry_key(&writer, number), text);
            }
        }
    }
}
