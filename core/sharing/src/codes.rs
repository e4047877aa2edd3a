//! A bundle file as a series of QR codes, for two devices that can show and see and nothing else: a
//! welcome, a join, the news of a visit. Each code has one text,
//!
//! `FW1/<series>/<number>/<count>/<bytes>`
//!
//! in which `series` is the beginning of the BLAKE3 hash of all bytes, eight hexadecimal digits, and the
//! bytes are in Base45 (RFC 9285). All of its signs are in the alphanumeric mode of QR codes (ISO/IEC
//! 18004), which keeps them small. The codes may be seen in any order and however often.

use data_encoding::HEXUPPER;
use fallaway_order::Map;

const SCHEME: &str = "FW1";
/// Bytes in one code: about 470 signs, which a phone reads off a screen at arm's length.
const BYTES: usize = 300;
/// Codes of one series: nobody holds a phone up for longer.
const MAX_CODES: usize = 64;
/// Most bytes of a series.
pub const MAX_CODE_BYTES: usize = BYTES * MAX_CODES;
/// Longest text that is looked at: a QR code holds no more.
const MAX_TEXT: usize = 4_296;
const SIGNS: &[u8; 45] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";

/// Why something is no part of a series of codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    /// There is too much for codes.
    #[error("{0} bytes are too much for codes; they hold 1 to {MAX_CODE_BYTES}")]
    TooMuch(usize),
    /// The text is of something else.
    #[error("not a code of a series")]
    Other,
    /// It begins like one, and is damaged.
    #[error("the text of the code is cut short or was altered")]
    Damaged,
}

/// The texts of the codes for these bytes, in order.
///
/// # Errors
/// [`CodeError::TooMuch`].
pub fn codes(bytes: &[u8]) -> Result<Vec<String>, CodeError> {
    if bytes.is_empty() || bytes.len() > MAX_CODE_BYTES {
        return Err(CodeError::TooMuch(bytes.len()));
    }
    let (series, count) = (series(bytes), bytes.len().div_ceil(BYTES));
    let parts = (1..).zip(bytes.chunks(BYTES));
    Ok(parts
        .map(|(number, part)| format!("{SCHEME}/{series}/{number}/{count}/{}", base45(part)))
        .collect())
}

fn series(bytes: &[u8]) -> String {
    let hash = blake3::hash(bytes);
    HEXUPPER.encode(hash.as_bytes().get(..4).unwrap_or_default())
}

/// How far a series has been seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CodesSeen {
    /// How many of its codes.
    pub seen: usize,
    /// How many there are.
    pub count: usize,
    /// The bytes, when all were seen.
    pub bytes: Option<Vec<u8>>,
}

/// Puts a series together from what a camera sees.
#[derive(Debug, Clone, Default)]
pub struct CodeCollector {
    series: String,
    count: usize,
    parts: Map<usize, Vec<u8>>,
}

impl CodeCollector {
    /// Nothing was seen yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes the text of one code. One of another series begins that series.
    ///
    /// # Errors
    /// [`CodeError::Other`] for a text that is no such code, [`CodeError::Damaged`] for one that was
    /// altered: what was seen before stays, unless all was seen and it does not come out, which begins
    /// anew.
    pub fn take(&mut self, text: &str) -> Result<CodesSeen, CodeError> {
        let text = text.trim();
        if text.len() > MAX_TEXT {
            return Err(CodeError::Other);
        }
        let mut fields = text.splitn(5, '/');
        if fields.next() != Some(SCHEME) {
            return Err(CodeError::Other);
        }
        let (Some(series), Some(number), Some(count), Some(part)) =
            (fields.next(), fields.next(), fields.next(), fields.next())
        else {
            return Err(CodeError::Damaged);
        };
        let number = of_text(number).ok_or(CodeError::Damaged)?;
        let count = of_text(count).ok_or(CodeError::Damaged)?;
        let is_series = series.len() == 8 && HEXUPPER.decode(series.as_bytes()).is_ok();
        if !is_series || number > count || count > MAX_CODES {
            return Err(CodeError::Damaged);
        }
        let part = from_base45(part).filter(|part| !part.is_empty() && part.len() <= BYTES);
        let part = part.ok_or(CodeError::Damaged)?;
        if (self.series.as_str(), self.count) != (series, count) {
            *self = Self { series: series.to_owned(), count, parts: Map::new() };
        }
        self.parts.insert(number, part);
        let seen = self.parts.len();
        let mut bytes = None;
        if seen == count {
            let all: Vec<u8> = self.parts.values().flatten().copied().collect();
            if self::series(&all) != self.series {
                self.parts.clear();
                return Err(CodeError::Damaged);
            }
            bytes = Some(all);
        }
        Ok(CodesSeen { seen, count, bytes })
    }
}

/// A number from 1, without zeros in front.
fn of_text(text: &str) -> Option<usize> {
    let number = text.parse::<usize>().ok().filter(|number| *number > 0)?;
    (number.to_string() == text).then_some(number)
}

/// RFC 9285, section 4: two bytes are three signs, the least first; a byte that is left is two.
fn base45(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len().div_ceil(2) * 3);
    for pair in bytes.chunks(2) {
        let mut value = pair.iter().fold(0_usize, |value, byte| value << 8 | usize::from(*byte));
        for _ in 0..=pair.len() {
            let sign = SIGNS.get(value % SIGNS.len()).copied().unwrap_or_default();
            text.push(char::from(sign));
            value /= SIGNS.len();
        }
    }
    text
}

fn from_base45(text: &str) -> Option<Vec<u8>> {
    let place = |sign: &u8| SIGNS.iter().position(|one| one == sign);
    let mut bytes = Vec::with_capacity(text.len() / 3 * 2 + 1);
    for group in text.as_bytes().chunks(3) {
        let signs = group.iter().rev().map(place);
        let value =
            signs.into_iter().try_fold(0, |value, sign| Some(value * SIGNS.len() + sign?))?;
        match group.len() {
            3 => bytes.extend(u16::try_from(value).ok()?.to_be_bytes()),
            2 => bytes.push(u8::try_from(value).ok()?),
            _ => return None,
        }
    }
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// RFC 9285, section 4.3 and 4.4.
    #[test]
    fn base45_of_its_rfc() {
        for (bytes, text) in [
            ("AB", "BB8"),
            ("Hello!!", "%69 VD92EX0"),
            ("base-45", "UJCLQE7W581"),
            ("ietf!", "QED8WEX0"),
        ] {
            assert_eq!(base45(bytes.as_bytes()), text);
            assert_eq!(from_base45(text), Some(bytes.as_bytes().to_vec()));
        }
        // Section 6: what is more than two bytes, or than one, is refused.
        assert_eq!(from_base45("GGW"), None);
        assert_eq!(from_base45("::"), None);
        assert_eq!(from_base45("A"), None);
        assert_eq!(from_base45("ab8"), None);
    }

    #[test]
    fn what_is_no_code_is_told_from_what_is_damaged() {
        let mut collector = CodeCollector::new();
        assert_eq!(collector.take("FALLAWAY:1:P57"), Err(CodeError::Other));
        assert_eq!(collector.take("https://example.org/a/b/c/d"), Err(CodeError::Other));
        for text in [
            "FW1",
            "FW1/",
            "FW1/00000000/1/1/",
            "FW1/0000000/1/1/BB8",
            "FW1/abcdefab/1/1/BB8",
            "FW1/00000000/2/1/BB8",
            "FW1/00000000/0/1/BB8",
            "FW1/00000000/01/1/BB8",
            "FW1/00000000/1/65/BB8",
            "FW1/00000000/1/1/::",
            "FW1/00000000/1/1/BB8",
        ] {
            assert_eq!(collector.take(text), Err(CodeError::Damaged), "{text}");
        }
        assert_eq!(codes(&[]), Err(CodeError::TooMuch(0)));
        assert!(codes(&vec![0; MAX_CODE_BYTES]).is_ok());
        assert!(codes(&vec![0; MAX_CODE_BYTES + 1]).is_err());
    }

    proptest! {
        #[test]
        fn codes_in_any_order_and_twice_give_the_bytes(
            bytes in prop::collection::vec(any::<u8>(), 1..2_000),
            order in any::<u64>(),
        ) {
            let mut texts = codes(&bytes).unwrap();
            let alphanumeric = |text: &String| text.bytes().all(|sign| SIGNS.contains(&sign));
            prop_assert!(texts.iter().all(alphanumeric));
            let count = texts.len();
            texts.rotate_left((order % count as u64) as usize);
            texts.insert(0, texts[0].clone());
            let mut collector = CodeCollector::new();
            let seen: Vec<_> = texts.iter().map(|text| collector.take(text).unwrap()).collect();
            let last = seen.last().unwrap();
            prop_assert_eq!((last.seen, last.count), (count, count));
            prop_assert_eq!(last.bytes.as_ref(), Some(&bytes));
            prop_assert!(count == 1 || seen[1].bytes.is_none());
        }

        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,200}") {
            let mut collector = CodeCollector::new();
            let _ = collector.take(&text);
            let _ = collector.take(&format!("FW1/00000000/1/2/{text}"));
        }
    }
}
