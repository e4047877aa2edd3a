//! Secrets of 128 bits as twelve words that can be read out and written down (BIP-39, English list).
//!
//! The words carry a checksum of four bits: a word that was misheard is found 15 times out of 16.

use bip39::{Language, Mnemonic};
use zeroize::Zeroizing;

use crate::action::Recovery;
use crate::identity::{DeviceKeys, InviteSecret};
use fallaway_changes::derive;

const CONTEXT_RECOVERY: &str = "fallaway v1 recovery seed";
const COUNT: usize = 12;

/// Why words are not a secret.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WordsError {
    /// There are more words than twelve, or fewer.
    #[error("twelve words are expected, not {0}")]
    Count(usize),
    /// One that is not in the list.
    #[error("word {place}, {word:?}, is not in the list")]
    Unknown {
        /// Which, from 1.
        place: usize,
        /// The word as it was read, at most 12 letters of it.
        word: String,
    },
    /// They do not belong together.
    #[error("a word is wrong or stands in another's place: their checksum differs")]
    Checksum,
}

/// The words of a secret, with blanks between them.
pub fn words_of(secret: &[u8; 16]) -> Zeroizing<String> {
    // 16 bytes are a length that the standard has.
    let words = Mnemonic::from_entropy_in(Language::English, secret);
    Zeroizing::new(words.map_or_else(|_| String::new(), |words| words.to_string()))
}

/// The secret of twelve words, however they are spaced, in either case.
///
/// # Errors
/// [`WordsError`].
pub fn secret_of(text: &str) -> Result<Zeroizing<[u8; 16]>, WordsError> {
    // Whatever is handed in, no more than this is looked at.
    let words: Vec<&str> = text.split_whitespace().take(COUNT + 1).collect();
    if words.len() != COUNT {
        return Err(WordsError::Count(text.split_whitespace().take(1000).count()));
    }
    let words: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
    let known = Language::English.word_list();
    for (place, word) in (1..).zip(&words) {
        if !known.contains(&word.as_str()) {
            let word = word.chars().take(12).collect();
            return Err(WordsError::Unknown { place, word });
        }
    }
    let text = Zeroizing::new(words.join(" "));
    let words = Mnemonic::parse_in_normalized(Language::English, &text);
    let (bytes, _) = words.map_err(|_| WordsError::Checksum)?.to_entropy_array();
    let bytes = Zeroizing::new(bytes);
    let secret = bytes.first_chunk::<16>().ok_or(WordsError::Checksum)?;
    Ok(Zeroizing::new(*secret))
}

impl InviteSecret {
    /// The secret in twelve words.
    pub fn words(&self) -> Zeroizing<String> {
        words_of(self.as_bytes())
    }
}

impl DeviceKeys {
    /// The keys that follow from the secret of the recovery words. The founding names them; whoever has
    /// the words acts above all owners.
    pub fn recovery(secret: &[u8; 16]) -> Self {
        Self::from_seed(&Zeroizing::new(derive(CONTEXT_RECOVERY, &[secret])))
    }

    /// The public half, for a founding or for handing the place on.
    pub fn as_recovery(&self) -> Recovery {
        Recovery { device: self.device(), exchange: self.exchange() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The test vectors that BIP-39 names (entropy of zeros, of 7f, of ff).
    #[test]
    fn words_of_the_standard() {
        for (byte, words) in [
            (
                0x00,
                "abandon abandon abandon abandon abandon abandon abandon abandon abandon \
                    abandon abandon about",
            ),
            (0x7f, "legal winner thank year wave sausage worth useful legal winner thank yellow"),
            (0xff, "zoo zoo zoo zoo zoo zoo zoo zoo zoo zoo zoo wrong"),
        ] {
            assert_eq!(*words_of(&[byte; 16]), words);
            assert_eq!(*secret_of(words).unwrap(), [byte; 16]);
        }
    }

    #[test]
    fn what_is_wrong_is_named() {
        let words = "Legal  winner thank\nyear wave SAUSAGE worth useful legal winner thank yellow";
        assert_eq!(*secret_of(words).unwrap(), [0x7f; 16]);
        assert_eq!(secret_of("legal winner"), Err(WordsError::Count(2)));
        let unknown = WordsError::Unknown { place: 3, word: "thanks".to_owned() };
        assert_eq!(secret_of(&words.replacen("thank", "thanks", 1)), Err(unknown));
        assert_eq!(secret_of(&words.replace("yellow", "zoo")), Err(WordsError::Checksum));
        assert!(secret_of(&"zoo ".repeat(100_000)).is_err());
    }

    #[test]
    fn recovery_keys_follow_from_the_words() {
        let keys = DeviceKeys::recovery(&[1; 16]);
        assert_eq!(keys.device(), DeviceKeys::recovery(&[1; 16]).device());
        assert_ne!(keys.device(), DeviceKeys::recovery(&[2; 16]).device());
    }

    proptest! {
        #[test]
        fn words_round_trip(secret: [u8; 16]) {
            prop_assert_eq!(*secret_of(&words_of(&secret)).unwrap(), secret);
        }
    }
}
