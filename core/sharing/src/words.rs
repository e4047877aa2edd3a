//! Secrets of 128 bits as twelve words that can be read out and written down (BIP-39, English list).
//!
//! The words carry a checksum of four bits: a word that was misheard is found 15 times out of 16.

use sha2::{Digest as _, Sha256};
use zeroize::Zeroizing;

use crate::action::Recovery;
use crate::identity::{DeviceKeys, InviteSecret};
use fallaway_changes::derive;

const CONTEXT_RECOVERY: &str = "fallaway v1 recovery seed";
const COUNT: usize = 12;

/// Why words are not a secret.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WordsError {
    /// Not twelve.
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

/// The English list of BIP-39 in its order, which is that of the alphabet.
const LIST: &str = include_str!("words.txt");

/// Bits that a word stands for.
const BITS: u32 = 11;

fn list() -> Vec<&'static str> {
    LIST.lines().collect()
}

/// The first four bits of the hash, as the standard has it for secrets of 128 bits.
fn checksum(secret: &[u8; 16]) -> usize {
    Sha256::digest(secret).first().map_or(0, |byte| usize::from(byte >> 4))
}

/// The words of a secret, with blanks between them.
pub fn words_of(secret: &[u8; 16]) -> Zeroizing<String> {
    let list = list();
    let bits = Zeroizing::new(u128::from_be_bytes(*secret));
    // Of the last word seven bits are the secret's, and four the checksum.
    let first = (1..COUNT as u32).map(|place| *bits >> (u128::BITS - BITS * place));
    let last = (*bits << 4) | checksum(secret) as u128;
    // As long as it can get: a text that grows leaves copies behind.
    let mut words = Zeroizing::new(String::with_capacity(COUNT * 9));
    for place in first.chain([last]) {
        if !words.is_empty() {
            words.push(' ');
        }
        words.push_str(list.get((place & 0x7ff) as usize).copied().unwrap_or_default());
    }
    words
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
    let list = list();
    let (mut bits, mut last) = (Zeroizing::new(0_u128), 0);
    for (place, word) in (1..).zip(words) {
        let word = Zeroizing::new(word.to_lowercase());
        let Ok(found) = list.binary_search(&word.as_str()) else {
            return Err(WordsError::Unknown { place, word: word.chars().take(12).collect() });
        };
        // Four bits of the last one are the checksum's.
        let (shift, kept) = if place == COUNT { (BITS - 4, found >> 4) } else { (BITS, found) };
        *bits = (*bits << shift) | kept as u128;
        last = found;
    }
    let secret = Zeroizing::new(bits.to_be_bytes());
    if last & 0xf == checksum(&secret) { Ok(secret) } else { Err(WordsError::Checksum) }
}

impl InviteSecret {
    /// The secret in twelve words.
    pub fn words(&self) -> Zeroizing<String> {
        words_of(self.as_bytes())
    }

    /// Reads what [`InviteSecret::words`] gave.
    ///
    /// # Errors
    /// [`WordsError`].
    pub fn from_words(text: &str) -> Result<Self, WordsError> {
        Ok(Self::from_bytes(*secret_of(text)?))
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
    fn the_list_is_that_of_another_library() {
        assert!(list().is_sorted());
        assert_eq!(list(), bip39::Language::English.word_list());
    }

    proptest! {
        #[test]
        fn words_are_those_of_another_library(secret: [u8; 16], wrong in 0_usize..2048, at in 0_usize..12) {
            use bip39::{Language, Mnemonic};
            let theirs = Mnemonic::from_entropy_in(Language::English, &secret).unwrap().to_string();
            prop_assert_eq!(&*words_of(&secret), &theirs);
            prop_assert_eq!(*secret_of(&theirs).unwrap(), secret);
            let mut words: Vec<&str> = theirs.split(' ').collect();
            words[at] = list()[wrong];
            let words = words.join(" ");
            let read = Mnemonic::parse_in_normalized(Language::English, &words).is_ok();
            prop_assert_eq!(secret_of(&words).is_ok(), read);
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
