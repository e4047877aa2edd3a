//! The part of CBOR that the formats use, in its deterministic form (RFC 8949 section 4.2.1):
//! shortest heads, definite lengths, map keys sorted bytewise and unique, shortest floats.
//!
//! Written here because the general libraries accept every encoding of a value, and signatures and
//! hashes need exactly one. The reader borrows; it allocates nothing, whatever length it is told.

use crate::limits::MAX_DEPTH;

/// Why bytes are not the deterministic CBOR that was expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("at byte {at}: {fault}")]
pub struct CborError {
    /// Offset of the item at fault.
    pub at: usize,
    /// What is wrong with it.
    pub fault: CborFault,
}

/// What can be wrong with an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CborFault {
    /// The bytes end inside an item.
    #[error("the bytes end inside an item")]
    Truncated,
    /// Bytes follow the last item.
    #[error("bytes follow the last item")]
    Trailing,
    /// An integer or a length is written longer than needed.
    #[error("an integer or a length is not in its shortest form")]
    NotShortest,
    /// Indefinite lengths are not deterministic.
    #[error("indefinite lengths are not accepted")]
    Indefinite,
    /// Reserved additional information, or a simple value below 32 in two bytes.
    #[error("not well-formed CBOR")]
    NotWellFormed,
    /// Text is not UTF-8.
    #[error("text is not UTF-8")]
    NotUtf8,
    /// A map has a key twice, or its keys are not sorted.
    #[error("map keys are not sorted and unique")]
    MapOrder,
    /// Arrays, maps and tags nest too deeply.
    #[error("nested deeper than {MAX_DEPTH} levels")]
    TooDeep,
    /// Another kind of item stands where this was expected.
    #[error("expected {0}")]
    Expected(&'static str),
}

const UINT: u8 = 0;
const NEGATIVE: u8 = 1;
const BYTES: u8 = 2;
const TEXT: u8 = 3;
const ARRAY: u8 = 4;
const MAP: u8 = 5;
const TAG: u8 = 6;

/// Reads items one after the other.
#[derive(Debug, Clone)]
pub struct Reader<'a> {
    all: &'a [u8],
    at: usize,
}

struct Head {
    major: u8,
    info: u8,
    argument: u64,
}

/// Each read answers with a [`CborError`] for anything but the item that it expects, in its one form.
#[allow(clippy::missing_errors_doc, reason = "they are alike, and told above")]
impl<'a> Reader<'a> {
    /// Starts at the first byte.
    pub fn new(bytes: &'a [u8]) -> Self {
        Self { all: bytes, at: 0 }
    }

    /// Offset of the next item.
    pub fn position(&self) -> usize {
        self.at
    }

    /// The bytes that were read since `start`.
    pub fn since(&self, start: usize) -> &'a [u8] {
        self.all.get(start..self.at).unwrap_or_default()
    }

    fn rest(&self) -> &'a [u8] {
        self.all.get(self.at..).unwrap_or_default()
    }

    fn fail<T>(at: usize, fault: CborFault) -> Result<T, CborError> {
        Err(CborError { at, fault })
    }

    fn take(&mut self, count: u64, start: usize) -> Result<&'a [u8], CborError> {
        let taken = usize::try_from(count).ok().and_then(|count| self.rest().get(..count));
        match taken {
            Some(taken) => {
                self.at += taken.len();
                Ok(taken)
            }
            None => Self::fail(start, CborFault::Truncated),
        }
    }

    fn head(&mut self) -> Result<Head, CborError> {
        let start = self.at;
        let first = self.take(1, start)?.first().copied().unwrap_or_default();
        let (major, info) = (first >> 5, first & 0x1f);
        let width = match info {
            0..=23 => 0,
            24 => 1,
            25 => 2,
            26 => 4,
            27 => 8,
            31 => return Self::fail(start, CborFault::Indefinite),
            _ => return Self::fail(start, CborFault::NotWellFormed),
        };
        if width == 0 {
            return Ok(Head { major, info, argument: u64::from(info) });
        }
        let argument =
            self.take(width, start)?.iter().fold(0_u64, |sum, byte| (sum << 8) | u64::from(*byte));
        let least = match width {
            1 if major == 7 => 32,
            1 => 24,
            2 => 1 << 8,
            4 => 1 << 16,
            _ => 1 << 32,
        };
        if major == 7 && width > 1 {
            if !float_is_shortest(width, argument) {
                return Self::fail(start, CborFault::NotShortest);
            }
        } else if argument < least {
            let fault = if major == 7 { CborFault::NotWellFormed } else { CborFault::NotShortest };
            return Self::fail(start, fault);
        }
        Ok(Head { major, info, argument })
    }

    fn expect(&mut self, major: u8, what: &'static str) -> Result<u64, CborError> {
        let start = self.at;
        let head = self.head()?;
        if head.major == major {
            Ok(head.argument)
        } else {
            Self::fail(start, CborFault::Expected(what))
        }
    }

    /// An unsigned integer.
    pub fn uint(&mut self) -> Result<u64, CborError> {
        self.expect(UINT, "an unsigned integer")
    }

    /// An integer that fits 64 bits with sign.
    pub fn int(&mut self) -> Result<i64, CborError> {
        let start = self.at;
        let head = self.head()?;
        match (head.major, i64::try_from(head.argument)) {
            (UINT, Ok(value)) => Ok(value),
            (NEGATIVE, Ok(value)) => Ok(-1 - value),
            _ => Self::fail(start, CborFault::Expected("an integer of at most 64 bits")),
        }
    }

    /// A byte string.
    pub fn bytes(&mut self) -> Result<&'a [u8], CborError> {
        let start = self.at;
        let length = self.expect(BYTES, "a byte string")?;
        self.take(length, start)
    }

    /// A byte string of exactly `N` bytes.
    pub fn array_of<const N: usize>(&mut self, what: &'static str) -> Result<[u8; N], CborError> {
        let start = self.at;
        match <[u8; N]>::try_from(self.bytes()?) {
            Ok(bytes) => Ok(bytes),
            Err(_) => Self::fail(start, CborFault::Expected(what)),
        }
    }

    /// Strings of `N` bytes each, one after the other in one byte string. What is allocated is as
    /// large as the bytes that are there.
    pub fn chunks<const N: usize, T: From<[u8; N]>>(
        &mut self,
        what: &'static str,
    ) -> Result<Vec<T>, CborError> {
        let start = self.at;
        let (whole, rest) = self.bytes()?.as_chunks::<N>();
        if rest.is_empty() {
            Ok(whole.iter().map(|bytes| T::from(*bytes)).collect())
        } else {
            Self::fail(start, CborFault::Expected(what))
        }
    }

    /// A text string.
    pub fn text(&mut self) -> Result<&'a str, CborError> {
        let start = self.at;
        let length = self.expect(TEXT, "a text string")?;
        match std::str::from_utf8(self.take(length, start)?) {
            Ok(text) => Ok(text),
            Err(_) => Self::fail(start, CborFault::NotUtf8),
        }
    }

    /// The head of an array; its items follow. The count is not bounded by the bytes that are
    /// there: never allocate by it.
    pub fn array(&mut self) -> Result<u64, CborError> {
        self.expect(ARRAY, "an array")
    }

    /// The head of an array of exactly `count` items.
    pub fn array_len(&mut self, count: u64, what: &'static str) -> Result<(), CborError> {
        let start = self.at;
        if self.array()? == count { Ok(()) } else { Self::fail(start, CborFault::Expected(what)) }
    }

    /// Whether the next item is an unsigned integer, a text, or anything else.
    pub fn peek(&self) -> ItemKind {
        match self.rest().first().map(|first| first >> 5) {
            Some(UINT) => ItemKind::Uint,
            Some(BYTES) => ItemKind::Bytes,
            Some(TEXT) => ItemKind::Text,
            Some(ARRAY) => ItemKind::Array,
            Some(_) => ItemKind::Other,
            None => ItemKind::End,
        }
    }

    /// Any one item, checked to be deterministic and not too deep; its bytes.
    pub fn item(&mut self) -> Result<&'a [u8], CborError> {
        let start = self.at;
        self.skip(MAX_DEPTH)?;
        Ok(self.since(start))
    }

    /// Recursion is bounded by `depth`.
    fn skip(&mut self, depth: usize) -> Result<(), CborError> {
        let start = self.at;
        let head = self.head()?;
        let deeper =
            || depth.checked_sub(1).ok_or(CborError { at: start, fault: CborFault::TooDeep });
        match head.major {
            UINT | NEGATIVE => {}
            BYTES => {
                self.take(head.argument, start)?;
            }
            TEXT => {
                let text = self.take(head.argument, start)?;
                if std::str::from_utf8(text).is_err() {
                    return Self::fail(start, CborFault::NotUtf8);
                }
            }
            ARRAY => {
                let depth = deeper()?;
                for _ in 0..head.argument {
                    self.skip(depth)?;
                }
            }
            MAP => {
                let depth = deeper()?;
                let mut previous: Option<&[u8]> = None;
                for _ in 0..head.argument {
                    let key_at = self.at;
                    self.skip(depth)?;
                    let key = self.since(key_at);
                    if previous.is_some_and(|previous| previous >= key) {
                        return Self::fail(key_at, CborFault::MapOrder);
                    }
                    previous = Some(key);
                    self.skip(depth)?;
                }
            }
            TAG => self.skip(deeper()?)?,
            // Simple values 24 to 31 do not exist; `head` has refused them in two bytes, and in
            // one byte they announce floats or are refused.
            _ => debug_assert!(head.info < 28),
        }
        Ok(())
    }

    /// Succeeds when no byte is left.
    pub fn end(&self) -> Result<(), CborError> {
        if self.rest().is_empty() { Ok(()) } else { Self::fail(self.at, CborFault::Trailing) }
    }
}

/// What [`Reader::peek`] sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ItemKind {
    /// An unsigned integer.
    Uint,
    /// A byte string.
    Bytes,
    /// A text string.
    Text,
    /// An array of items.
    Array,
    /// Another kind of item.
    Other,
    /// No bytes are left.
    End,
}

/// Checks that `bytes` is exactly one deterministic item (RFC 8949 section 4.2.1) that nests at most
/// [`MAX_DEPTH`] levels.
///
/// # Errors
/// [`CborError`].
pub fn check_item(bytes: &[u8]) -> Result<(), CborError> {
    let mut reader = Reader::new(bytes);
    reader.item()?;
    reader.end()
}

/// A float is in its shortest form when no shorter width holds the same value. All NaNs but the
/// half-width quiet one (0xf97e00) are refused.
fn float_is_shortest(width: u64, bits: u64) -> bool {
    match width {
        2 => (bits & 0x7c00) != 0x7c00 || matches!(bits & 0x03ff, 0) || bits == 0x7e00,
        4 => {
            let value = f32::from_bits(bits as u32);
            !value.is_nan() && !fits_half(value)
        }
        _ => {
            let value = f64::from_bits(bits);
            !value.is_nan() && f64::from(value as f32) != value
        }
    }
}

/// Whether a half-width float holds `value`: 11 significant bits, exponent from 2^-24 to 2^15.
fn fits_half(value: f32) -> bool {
    if value == 0.0 || value.is_infinite() {
        return true;
    }
    // A multiple of 2^-24 and of its own 11-bit grid, at most 65504.
    let magnitude = f64::from(value.abs());
    if magnitude > 65_504.0 {
        return false;
    }
    let exponent = ((value.to_bits() >> 23) & 0xff) as i32 - 127;
    let step = 2_f64.powi((exponent - 10).max(-24));
    (magnitude / step).fract() == 0.0
}

/// Writes items one after the other, always in their shortest form.
#[derive(Debug, Clone, Default)]
pub struct Builder {
    out: Vec<u8>,
}

impl Builder {
    /// An empty builder, for one item or several in a row.
    pub fn new() -> Self {
        Self::default()
    }

    /// How many bytes are written.
    pub fn len(&self) -> usize {
        self.out.len()
    }

    /// Whether nothing is written yet.
    pub fn is_empty(&self) -> bool {
        self.out.is_empty()
    }

    /// The bytes written.
    pub fn finish(self) -> Vec<u8> {
        self.out
    }

    fn head(&mut self, major: u8, argument: u64) -> &mut Self {
        let major = major << 5;
        match argument {
            0..=23 => self.out.push(major | argument as u8),
            24..=0xff => self.out.extend([major | 0x18, argument as u8]),
            0x100..=0xffff => {
                self.out.push(major | 0x19);
                self.out.extend((argument as u16).to_be_bytes());
            }
            0x1_0000..=0xffff_ffff => {
                self.out.push(major | 0x1a);
                self.out.extend((argument as u32).to_be_bytes());
            }
            _ => {
                self.out.push(major | 0x1b);
                self.out.extend(argument.to_be_bytes());
            }
        }
        self
    }

    /// An unsigned integer.
    pub fn uint(&mut self, value: u64) -> &mut Self {
        self.head(UINT, value)
    }

    /// An integer, in as few bytes as it takes.
    pub fn int(&mut self, value: i64) -> &mut Self {
        match u64::try_from(value) {
            Ok(value) => self.head(UINT, value),
            Err(_) => self.head(NEGATIVE, (-1 - value) as u64),
        }
    }

    /// A byte string.
    pub fn bytes(&mut self, value: &[u8]) -> &mut Self {
        self.head(BYTES, value.len() as u64).raw(value)
    }

    /// Fixed-size strings, one after the other in one byte string.
    pub fn chunks<const N: usize, T: Copy + Into<[u8; N]>>(&mut self, items: &[T]) -> &mut Self {
        self.head(BYTES, (items.len() * N) as u64);
        for item in items {
            self.raw(&(*item).into());
        }
        self
    }

    /// A text string.
    pub fn text(&mut self, value: &str) -> &mut Self {
        self.head(TEXT, value.len() as u64).raw(value.as_bytes())
    }

    /// The head of an array; the caller writes `count` items.
    pub fn array(&mut self, count: usize) -> &mut Self {
        self.head(ARRAY, count as u64)
    }

    /// One item that is already encoded.
    pub fn raw(&mut self, item: &[u8]) -> &mut Self {
        self.out.extend_from_slice(item);
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn hex(text: &str) -> Vec<u8> {
        data_encoding::HEXLOWER.decode(text.as_bytes()).unwrap()
    }

    /// RFC 8949, appendix A, "Examples of Encoded CBOR Data Items".
    #[test]
    fn integers_of_rfc_8949_appendix_a() {
        let unsigned: [(u64, &str); 12] = [
            (0, "00"),
            (1, "01"),
            (10, "0a"),
            (23, "17"),
            (24, "1818"),
            (25, "1819"),
            (100, "1864"),
            (1000, "1903e8"),
            (1_000_000, "1a000f4240"),
            (1_000_000_000_000, "1b000000e8d4a51000"),
            (u64::MAX, "1bffffffffffffffff"),
            (u64::from(u32::MAX), "1affffffff"),
        ];
        for (value, text) in unsigned {
            let mut builder = Builder::new();
            builder.uint(value);
            assert_eq!(builder.finish(), hex(text));
            assert_eq!(Reader::new(&hex(text)).uint(), Ok(value));
        }
        for (value, text) in [(-1, "20"), (-10, "29"), (-100, "3863"), (-1000, "3903e7")] {
            let mut builder = Builder::new();
            builder.int(value);
            assert_eq!(builder.finish(), hex(text));
            assert_eq!(Reader::new(&hex(text)).int(), Ok(value));
        }
    }

    /// RFC 8949, appendix A: deterministic examples are accepted.
    #[test]
    fn items_of_rfc_8949_appendix_a() {
        for text in [
            "f90000",
            "f98000",
            "f93c00",
            "fb3ff199999999999a",
            "f93e00",
            "f97bff",
            "fa47c35000",
            "fa7f7fffff",
            "fb7e37e43c8800759c",
            "f90001",
            "f90400",
            "f9c400",
            "fbc010666666666666",
            "f97c00",
            "f97e00",
            "f9fc00",
            "f4",
            "f5",
            "f6",
            "f7",
            "f0",
            "f8ff",
            "c11a514b67b0",
            "40",
            "4401020304",
            "60",
            "6449455446",
            "62c3bc",
            "80",
            "83010203",
            "8301820203820405",
            "a0",
            "a201020304",
            "a26161016162820203",
            "826161a161626163",
        ] {
            assert_eq!(check_item(&hex(text)), Ok(()), "{text}");
        }
    }

    /// RFC 8949, appendix A (other widths and indefinite forms) and appendix F (not well-formed).
    #[test]
    fn other_forms_are_refused() {
        for (text, fault) in [
            ("1817", CborFault::NotShortest),
            ("190017", CborFault::NotShortest),
            ("1b0000000000000001", CborFault::NotShortest),
            ("5800", CborFault::NotShortest),
            ("fa7f800000", CborFault::NotShortest),
            ("fa7fc00000", CborFault::NotShortest),
            ("fb7ff0000000000000", CborFault::NotShortest),
            ("fb3ff0000000000000", CborFault::NotShortest),
            ("fa3f800000", CborFault::NotShortest),
            ("5f42010243030405ff", CborFault::Indefinite),
            ("9fff", CborFault::Indefinite),
            ("bfff", CborFault::Indefinite),
            ("ff", CborFault::Indefinite),
            ("1c", CborFault::NotWellFormed),
            ("fc", CborFault::NotWellFormed),
            ("f800", CborFault::NotWellFormed),
            ("f81f", CborFault::NotWellFormed),
            ("18", CborFault::Truncated),
            ("41", CborFault::Truncated),
            ("8100ff", CborFault::Trailing),
            ("a1", CborFault::Truncated),
            ("a201000100", CborFault::MapOrder),
            ("a202000100", CborFault::MapOrder),
            ("61ff", CborFault::NotUtf8),
            ("9bffffffffffffffff", CborFault::Truncated),
            ("5bffffffffffffffff", CborFault::Truncated),
        ] {
            assert_eq!(check_item(&hex(text)).map_err(|error| error.fault), Err(fault), "{text}");
        }
    }

    #[test]
    fn depth_is_bounded() {
        let mut deep = vec![0x81; MAX_DEPTH];
        deep.push(0);
        assert_eq!(check_item(&deep), Ok(()));
        deep.insert(0, 0x81);
        assert_eq!(check_item(&deep).unwrap_err().fault, CborFault::TooDeep);
        assert!(check_item(&vec![0xc1; 100_000]).is_err());
    }

    proptest! {
        #[test]
        fn a_float_has_one_form(value: f32) {
            prop_assume!(!value.is_nan());
            let wide = [&[0xfb][..], &f64::from(value).to_bits().to_be_bytes()].concat();
            prop_assert!(check_item(&wide).is_err());
        }

        #[test]
        fn an_item_never_panics(bytes in prop::collection::vec(any::<u8>(), 0..64)) {
            let _ = check_item(&bytes);
        }

        #[test]
        fn integers_round_trip(value: i64, unsigned: u64) {
            let mut builder = Builder::new();
            builder.int(value).uint(unsigned);
            let bytes = builder.finish();
            let mut reader = Reader::new(&bytes);
            prop_assert_eq!(reader.int(), Ok(value));
            prop_assert_eq!(reader.uint(), Ok(unsigned));
            prop_assert_eq!(reader.end(), Ok(()));
        }
    }
}
