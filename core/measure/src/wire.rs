//! The compact form of readings on disk and on the wire: CBOR (RFC 8949) with numbers instead of
//! names, definite lengths only, one encoding for each value (that integers are written in their
//! shortest form is left to whoever checks the bytes as a whole).
//!
//! ```text
//! amount    = [unit * 10 + places, digits]                          ; 1.98 mm   [2, 198]
//!           / [denominator * 10 + places, numerator, whole inches]  ; 5/64 in   [640, 5, 0]
//!             ; a fraction below zero has the numerator -1 - n
//! reading   = amount / n                ; n: the tool's own notation, see below
//!           / [-1, bound]               ; at most
//!           / [-2, bound]               ; at least
//!           / [-3, bound, bound]        ; between
//! bound     = amount / n
//! tool      = place in the list of usual tools / [kind, graduation: amount]
//! place     = course + 256 * letter     ; letter: 0 none, 1 a, 2 b
//! location  = 0 whole / place / -1 bass side / -2 treble side / other negative: newer version
//! quantity  = [1, stopped, over] / [2, from, to, ? at] / 3 pitch / [4, fret]
//!           / 5 spacing at the bridge / 6 spacing at the nut / [7, pickup, stopped]
//! note      = tstr                      ; as shown: "E1", "Eb1", "A4-2.5"
//! ```
//!
//! A pass stores its tool once. A reading in that tool's own notation is then a single number `n`:
//! with the 1/64 in rule 5 is `5/64 in`, with the 0.01 mm feeler 12 is `0.12 mm`, with the 0.5 mm
//! rule 19 is `1.9 mm`. [`encode_reading`] and [`decode_reading`] take the tool for this; without one
//! each reading stands for itself.

use minicbor::data::Type;
use minicbor::encode::{Error as EncodeError, Write};
use minicbor::{Decode, Decoder, Encode, Encoder, decode};

use crate::{
    Amount, Decimal, Fraction, Fret, InstrumentFamily, Location, Note, Quantity, Reading, Side,
    StringPlace, Tool, ToolKind, Unit, ValueError,
};

const AT_MOST: i32 = -1;
const AT_LEAST: i32 = -2;
const BETWEEN: i32 = -3;

fn invalid(d: &Decoder<'_>, error: &ValueError) -> decode::Error {
    decode::Error::message(error.to_string()).at(d.position())
}

fn wrong(d: &Decoder<'_>, what: &'static str) -> decode::Error {
    decode::Error::message(what).at(d.position())
}

/// The length of a definite array that is not empty; indefinite ones are not deterministic.
fn array(d: &mut Decoder<'_>) -> Result<u64, decode::Error> {
    match d.array()? {
        None => Err(wrong(d, "array of indefinite length")),
        Some(0) => Err(wrong(d, "an empty array")),
        Some(length) => Ok(length),
    }
}

fn is_array(d: &Decoder<'_>) -> Result<bool, decode::Error> {
    Ok(matches!(d.datatype()?, Type::Array | Type::ArrayIndef))
}

/// The number that stands for an amount in a tool's own notation, if the amount is in it.
fn in_tool_notation(amount: Amount, tool: &Tool) -> Option<i64> {
    match (amount, tool.graduation()) {
        (Amount::Decimal { value, unit }, Amount::Decimal { value: step, unit: tool_unit }) => {
            (unit == tool_unit && value.places() == step.places()).then(|| value.digits())
        }
        (Amount::Fraction(read), Amount::Fraction(step)) => {
            let plain = read.denominator() == step.denominator()
                && read.whole() == 0
                && read.numerator().places() == 0;
            let count = read.numerator().digits();
            plain.then_some(if read.negative() { -count } else { count })
        }
        _ => None,
    }
}

fn from_tool_notation(number: i64, tool: &Tool) -> Result<Amount, ValueError> {
    match tool.graduation() {
        Amount::Decimal { value: step, unit } => {
            Ok(Amount::Decimal { value: Decimal::new(number, step.places())?, unit })
        }
        Amount::Fraction(step) => {
            let count = i64::try_from(number.unsigned_abs()).unwrap_or(i64::MAX);
            let numerator = Decimal::new(count, 0)?;
            Ok(Amount::Fraction(Fraction::new(number < 0, 0, numerator, step.denominator())?))
        }
    }
}

fn encode_amount<W: Write>(
    amount: Amount,
    tool: Option<&Tool>,
    e: &mut Encoder<W>,
) -> Result<(), EncodeError<W::Error>> {
    if let Some(number) = tool.and_then(|tool| in_tool_notation(amount, tool)) {
        e.i64(number)?;
        return Ok(());
    }
    match amount {
        Amount::Decimal { value, unit } => {
            let head = u32::from(unit.number()) * 10 + u32::from(value.places());
            e.array(2)?.u32(head)?.i64(value.digits())?;
        }
        Amount::Fraction(fraction) => {
            let numerator = fraction.numerator();
            let head = u32::from(fraction.denominator()) * 10 + u32::from(numerator.places());
            let count = numerator.digits();
            let signed = if fraction.negative() { -1 - count } else { count };
            e.array(3)?.u32(head)?.i64(signed)?.u32(fraction.whole())?;
        }
    }
    Ok(())
}

fn decode_amount(d: &mut Decoder<'_>, tool: Option<&Tool>) -> Result<Amount, decode::Error> {
    if !is_array(d)? {
        let Some(tool) = tool else {
            return Err(wrong(d, "a reading in a tool's notation, but no tool"));
        };
        let number = d.i64()?;
        return from_tool_notation(number, tool).map_err(|error| invalid(d, &error));
    }
    let length = array(d)?;
    let head = d.u32()?;
    decode_amount_after_head(d, length, head, tool)
}

fn decode_amount_after_head(
    d: &mut Decoder<'_>,
    length: u64,
    head: u32,
    tool: Option<&Tool>,
) -> Result<Amount, decode::Error> {
    // A digit of the head: always fits.
    let places = (head % 10) as u8;
    let Ok(number) = u16::try_from(head / 10) else {
        return Err(wrong(d, "unit or denominator above 65535"));
    };
    let amount = match length {
        2 => {
            let digits = d.i64()?;
            Amount::decimal(digits, places, Unit::from_number(number))
        }
        3 => {
            let signed = d.i64()?;
            let whole = d.u32()?;
            let negative = signed < 0;
            // For a number below zero the complement is -1 - n without overflow.
            let count = if negative { !signed } else { signed };
            if negative && count == 0 && whole == 0 {
                return Err(wrong(d, "a zero with a sign"));
            }
            Decimal::new(count, places)
                .and_then(|numerator| Fraction::new(negative, whole, numerator, number))
                .map(Amount::Fraction)
        }
        _ => return Err(wrong(d, "an amount has two or three elements")),
    };
    let amount = amount.map_err(|error| invalid(d, &error))?;
    if tool.is_some_and(|tool| in_tool_notation(amount, tool).is_some()) {
        return Err(wrong(d, "an amount in the tool's notation written out"));
    }
    Ok(amount)
}

/// Encodes a reading; in the tool's own notation as a single number.
///
/// # Errors
/// Only those of the writer behind the encoder.
///
/// ```
/// use fallaway_measure::{Amount, Reading, Tool, wire};
/// let read = Reading::Value(Amount::fraction(5, 64)?);
/// let mut e = minicbor::Encoder::new(Vec::new());
/// wire::encode_reading(&read, Some(&Tool::RULE_64), &mut e)?;
/// assert_eq!(e.writer(), &[5]);
/// let mut d = minicbor::Decoder::new(e.writer());
/// assert_eq!(wire::decode_reading(&mut d, Some(&Tool::RULE_64))?, read);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn encode_reading<W: Write>(
    reading: &Reading,
    tool: Option<&Tool>,
    e: &mut Encoder<W>,
) -> Result<(), EncodeError<W::Error>> {
    match *reading {
        Reading::Value(amount) => encode_amount(amount, tool, e),
        Reading::AtMost(amount) => {
            e.array(2)?.i32(AT_MOST)?;
            encode_amount(amount, tool, e)
        }
        Reading::AtLeast(amount) => {
            e.array(2)?.i32(AT_LEAST)?;
            encode_amount(amount, tool, e)
        }
        Reading::Between { low, high } => {
            e.array(3)?.i32(BETWEEN)?;
            encode_amount(low, tool, e)?;
            encode_amount(high, tool, e)
        }
    }
}

/// Decodes what [`encode_reading`] wrote, given the same tool.
///
/// # Errors
/// Malformed or unknown forms, values outside the limits of their types, a number in a tool's
/// notation without a tool.
pub fn decode_reading(d: &mut Decoder<'_>, tool: Option<&Tool>) -> Result<Reading, decode::Error> {
    if !is_array(d)? {
        return decode_amount(d, tool).map(Reading::Value);
    }
    let length = array(d)?;
    let head = d.i64()?;
    if let Ok(head) = u32::try_from(head) {
        return decode_amount_after_head(d, length, head, tool).map(Reading::Value);
    }
    match (i32::try_from(head), length) {
        (Ok(AT_MOST), 2) => decode_amount(d, tool).map(Reading::AtMost),
        (Ok(AT_LEAST), 2) => decode_amount(d, tool).map(Reading::AtLeast),
        (Ok(BETWEEN), 3) => {
            let low = decode_amount(d, tool)?;
            let high = decode_amount(d, tool)?;
            Reading::between(low, high).map_err(|error| invalid(d, &error))
        }
        _ => Err(wrong(d, "unknown form of a reading")),
    }
}

impl<C> Encode<C> for Amount {
    fn encode<W: Write>(&self, e: &mut Encoder<W>, _: &mut C) -> Result<(), EncodeError<W::Error>> {
        encode_amount(*self, None, e)
    }
}

impl<'b, C> Decode<'b, C> for Amount {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        decode_amount(d, None)
    }
}

impl<C> Encode<C> for Reading {
    fn encode<W: Write>(&self, e: &mut Encoder<W>, _: &mut C) -> Result<(), EncodeError<W::Error>> {
        encode_reading(self, None, e)
    }
}

impl<'b, C> Decode<'b, C> for Reading {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        decode_reading(d, None)
    }
}

impl<C> Encode<C> for Tool {
    fn encode<W: Write>(&self, e: &mut Encoder<W>, _: &mut C) -> Result<(), EncodeError<W::Error>> {
        if let Some(place) = Tool::USUAL.iter().position(|usual| usual == self) {
            e.u64(place as u64)?;
        } else {
            e.array(2)?.u32(self.kind().number())?;
            encode_amount(self.graduation(), None, e)?;
        }
        Ok(())
    }
}

impl<'b, C> Decode<'b, C> for Tool {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        if !is_array(d)? {
            let place = usize::from(d.u16()?);
            return Tool::USUAL
                .get(place)
                .copied()
                .ok_or_else(|| wrong(d, "a number outside the list of usual tools"));
        }
        if array(d)? != 2 {
            return Err(wrong(d, "a tool has two elements"));
        }
        let kind = ToolKind::from_number(d.u32()?);
        let graduation = decode_amount(d, None)?;
        let tool = Tool::new(kind, graduation).map_err(|error| invalid(d, &error))?;
        if Tool::USUAL.contains(&tool) {
            return Err(wrong(d, "a usual tool written out"));
        }
        Ok(tool)
    }
}

fn place_number(place: StringPlace) -> u16 {
    // A letter a to z counts from 1.
    let letter = place.member().map_or(0, |member| u32::from(member) - u32::from('a') + 1) as u16;
    u16::from(place.number()) + 256 * letter
}

fn place_from_number(number: u16) -> Result<StringPlace, ValueError> {
    let [course, letter] = number.to_le_bytes();
    let member = match letter {
        0 => None,
        letter => Some(char::from(letter.saturating_add(b'a' - 1))),
    };
    StringPlace::new(course, member)
}

impl<C> Encode<C> for StringPlace {
    fn encode<W: Write>(&self, e: &mut Encoder<W>, _: &mut C) -> Result<(), EncodeError<W::Error>> {
        e.u16(place_number(*self))?;
        Ok(())
    }
}

impl<'b, C> Decode<'b, C> for StringPlace {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        let number = d.u16()?;
        place_from_number(number).map_err(|error| invalid(d, &error))
    }
}

impl<C> Encode<C> for Location {
    fn encode<W: Write>(&self, e: &mut Encoder<W>, _: &mut C) -> Result<(), EncodeError<W::Error>> {
        e.i64(match *self {
            Location::Whole => 0,
            Location::Course(place) => i64::from(place_number(place)),
            Location::Side(Side::Bass) => -1,
            Location::Side(Side::Treble) => -2,
            Location::Other(number) => -1 - i64::from(number),
        })?;
        Ok(())
    }
}

impl<'b, C> Decode<'b, C> for Location {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        match d.i64()? {
            0 => Ok(Location::Whole),
            -1 => Ok(Location::Side(Side::Bass)),
            -2 => Ok(Location::Side(Side::Treble)),
            other if other < 0 => u32::try_from(!other)
                .map(Location::Other)
                .map_err(|_| wrong(d, "the number of a location is too large")),
            place => u16::try_from(place)
                .map_err(|_| wrong(d, "the number of a string is too large"))
                .and_then(|number| place_from_number(number).map_err(|error| invalid(d, &error)))
                .map(Location::Course),
        }
    }
}

impl<C> Encode<C> for Fret {
    fn encode<W: Write>(&self, e: &mut Encoder<W>, _: &mut C) -> Result<(), EncodeError<W::Error>> {
        e.u8(self.number())?;
        Ok(())
    }
}

impl<'b, C> Decode<'b, C> for Fret {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        let number = d.u8()?;
        Fret::new(number).map_err(|error| invalid(d, &error))
    }
}

/// As it is shown, "Eb1" or "A4-2.5".
impl<C> Encode<C> for Note {
    fn encode<W: Write>(&self, e: &mut Encoder<W>, _: &mut C) -> Result<(), EncodeError<W::Error>> {
        e.str(&self.to_string())?;
        Ok(())
    }
}

impl<'b, C> Decode<'b, C> for Note {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        let text = d.str()?;
        text.parse()
            .ok()
            .filter(|note: &Note| note.to_string() == text)
            .ok_or_else(|| wrong(d, "no such note"))
    }
}

impl<C> Encode<C> for InstrumentFamily {
    fn encode<W: Write>(&self, e: &mut Encoder<W>, _: &mut C) -> Result<(), EncodeError<W::Error>> {
        e.u16(self.number())?;
        Ok(())
    }
}

impl<'b, C> Decode<'b, C> for InstrumentFamily {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        d.u16().map(InstrumentFamily::from_number)
    }
}

/// [`Quantity::Other`] is refused: its details are only in the bytes it came in.
impl<C> Encode<C> for Quantity {
    fn encode<W: Write>(&self, e: &mut Encoder<W>, _: &mut C) -> Result<(), EncodeError<W::Error>> {
        match *self {
            Quantity::Gap { stopped, over } => {
                e.array(3)?.u8(1)?.u8(stopped.number())?.u8(over.number())?;
            }
            Quantity::Relief { from, to, at } => {
                e.array(if at.is_some() { 4 } else { 3 })?.u8(2)?;
                e.u8(from.number())?.u8(to.number())?;
                if let Some(at) = at {
                    e.u8(at.number())?;
                }
            }
            Quantity::Pitch => {
                e.u8(3)?;
            }
            Quantity::Intonation { fret } => {
                e.array(2)?.u8(4)?.u8(fret.number())?;
            }
            Quantity::SpacingBridge => {
                e.u8(5)?;
            }
            Quantity::SpacingNut => {
                e.u8(6)?;
            }
            Quantity::PickupGap { pickup, stopped } => {
                e.array(3)?.u8(7)?.u8(pickup)?.u8(stopped.number())?;
            }
            Quantity::BridgeHeight => {
                e.u8(8)?;
            }
            Quantity::BridgeTail => {
                e.u8(9)?;
            }
            Quantity::FallAway { from, to, at } => {
                e.array(4)?.u8(10)?.u8(from.number())?.u8(to.number())?.u8(at.number())?;
            }
            Quantity::Other(_) => {
                return Err(EncodeError::message(
                    "a quantity that a newer version wrote cannot be written again",
                ));
            }
        }
        Ok(())
    }
}

impl<'b, C> Decode<'b, C> for Quantity {
    fn decode(d: &mut Decoder<'b>, ctx: &mut C) -> Result<Self, decode::Error> {
        if !is_array(d)? {
            return Ok(match d.u32()? {
                3 => Quantity::Pitch,
                5 => Quantity::SpacingBridge,
                6 => Quantity::SpacingNut,
                8 => Quantity::BridgeHeight,
                9 => Quantity::BridgeTail,
                1 | 2 | 4 | 7 | 10 => return Err(wrong(d, "a quantity without its frets")),
                other => Quantity::Other(other),
            });
        }
        let length = array(d)?;
        let number = d.u32()?;
        let mut fret = |d: &mut Decoder<'b>| Fret::decode(d, ctx);
        Ok(match (number, length) {
            (1, 3) => Quantity::Gap { stopped: fret(d)?, over: fret(d)? },
            (2, 3) => Quantity::Relief { from: fret(d)?, to: fret(d)?, at: None },
            (2, 4) => Quantity::Relief { from: fret(d)?, to: fret(d)?, at: Some(fret(d)?) },
            (4, 2) => Quantity::Intonation { fret: fret(d)? },
            (7, 3) => Quantity::PickupGap { pickup: d.u8()?, stopped: fret(d)? },
            (10, 4) => Quantity::FallAway { from: fret(d)?, to: fret(d)?, at: fret(d)? },
            (1..=10, _) => return Err(wrong(d, "a quantity with the wrong number of frets")),
            (other, _) => {
                for _ in 1..length {
                    d.skip()?;
                }
                Quantity::Other(other)
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Dimension, parse_pass, parse_reading};

    fn bytes<T: Encode<()>>(value: T) -> Vec<u8> {
        minicbor::to_vec(value).unwrap()
    }

    fn read(text: &str, tool: Option<&Tool>) -> Reading {
        parse_reading(text, tool, Dimension::Length).unwrap()
    }

    /// RFC 8949, section 3: small integers are one byte, an array of n below 24 starts with 0x80 + n.
    #[test]
    fn bytes_of_the_documented_examples() {
        assert_eq!(bytes(read("1.98 mm", None)), [0x82, 2, 0x18, 198]);
        assert_eq!(bytes(read("5/64", None)), [0x83, 0x19, 0x02, 0x80, 5, 0]);
        assert_eq!(bytes(read("-5/64", None)), [0x83, 0x19, 0x02, 0x80, 0x25, 0]);
        assert_eq!(bytes(read("touches", None)), [0x82, 0x20, 0x82, 0, 0]);
        assert_eq!(bytes(Tool::RULE_64), [0]);
        assert_eq!(bytes(Tool::TUNER_TENTH), [9]);
        assert_eq!(bytes(StringPlace::course(4).unwrap()), [4]);
        assert_eq!(bytes(StringPlace::new(3, Some('a')).unwrap()), [0x19, 1, 3]);
        assert_eq!(bytes(Location::Whole), [0]);
        assert_eq!(bytes(Location::Side(Side::Bass)), [0x20]);
        let action = Quantity::Gap { stopped: Fret::OPEN, over: Fret::new(12).unwrap() };
        assert_eq!(bytes(action), [0x83, 1, 0, 12]);
        assert_eq!(bytes(Quantity::Pitch), [3]);
    }

    /// The numbers are assigned for ever: this list only ever stays as it is.
    #[test]
    fn numbers_never_change() {
        let tools = [
            "rule 1/64",
            "rule 1/32",
            "rule 0.5 mm",
            "rule 1 mm",
            "feeler 0.01 mm",
            "feeler 1 thou",
            "caliper 0.02 mm",
            "dial 0.01 mm",
            "tuner 1 cent",
            "tuner 0.1 cent",
        ];
        assert_eq!(Tool::USUAL.map(|tool| tool.to_string()), tools);
        for (number, label) in (0_u8..).zip(tools) {
            assert_eq!(bytes(label.parse::<Tool>().unwrap()), [number], "{label}");
        }
        let units = ["mm", "in", "thou", "cent", "Hz", "%", "°C", "N", "°", "turn", "°F"];
        for (number, symbol) in (0..).zip(units) {
            assert_eq!(Unit::from_number(number).to_string(), symbol);
        }
        let kinds = ["rule", "feeler", "caliper", "dial", "tuner"];
        for (number, name) in (1..).zip(kinds) {
            assert_eq!(ToolKind::from_number(number).to_string(), name);
        }
        assert_eq!([InstrumentFamily::Bass.number(), InstrumentFamily::Guitar.number()], [1, 2]);
    }

    #[test]
    fn a_pass_takes_a_byte_or_two_a_reading() {
        for (text, tool, wanted) in [
            ("5 5 5 6 6", Tool::RULE_64, &[5, 5, 5, 6, 6][..]),
            ("12 - 14 -3 0", Tool::FEELER_THOU, &[12, 0xf6, 14, 0x22, 0]),
            ("1.5 2.0 2.5", Tool::RULE_HALF_MM, &[15, 20, 0x18, 25]),
        ] {
            let count = text.split(' ').count();
            let pass = parse_pass(text, Some(&tool), Dimension::Length, count, None).unwrap();
            let mut e = Encoder::new(Vec::new());
            for reading in &pass {
                match reading {
                    Some(reading) => encode_reading(reading, Some(&tool), &mut e).unwrap(),
                    None => drop(e.null().unwrap()),
                }
            }
            assert_eq!(e.writer(), wanted, "{text}");
        }
    }

    #[test]
    fn one_encoding_for_each_value() {
        let refused = |bytes: &[u8], tool: Option<&Tool>| {
            decode_reading(&mut Decoder::new(bytes), tool).unwrap_err().to_string()
        };
        // 5/64 in written out, although the tool's notation has it as 5.
        let out = bytes(read("5/64", None));
        assert!(refused(&out, Some(&Tool::RULE_64)).contains("written out"));
        // A minus before nothing: numerator -1 - 0, no whole inches.
        assert!(refused(&[0x83, 0x19, 0x02, 0x80, 0x20, 0], None).contains("sign"));
        // An interval from 2 mm to 1 mm.
        let exchanged = [0x83, 0x22, 0x82, 0, 2, 0x82, 0, 1];
        assert!(refused(&exchanged, None).contains("above"), "{}", refused(&exchanged, None));
        assert!(refused(&[5], None).contains("no tool"));
        assert!(refused(&[0x80], None).contains("empty"));
        assert!(refused(&[0x9f, 0, 0, 0xff], None).contains("indefinite"));
        assert!(refused(&[0x83, 0, 5, 0], None).contains("1/0 in"));
        let usual = [0x82, 1, 0x83, 0x19, 0x02, 0x80, 1, 0];
        assert!(minicbor::decode::<Tool>(&usual).unwrap_err().to_string().contains("written out"));
        assert!(minicbor::decode::<Tool>(&[10]).is_err());
    }

    #[test]
    fn what_a_newer_version_wrote_is_kept_by_its_number() {
        assert_eq!(
            minicbor::decode::<Quantity>(&[0x83, 0x18, 90, 1, 0x80]).unwrap(),
            Quantity::Other(90)
        );
        assert_eq!(minicbor::decode::<Quantity>(&[0x18, 90]).unwrap(), Quantity::Other(90));
        assert!(minicbor::to_vec(Quantity::Other(90)).is_err());
        assert_eq!(minicbor::decode::<Location>(&[0x28]).unwrap(), Location::Other(8));
        let tool = [0x82, 0x18, 77, 0x82, 2, 5];
        let tool: Tool = minicbor::decode(&tool).unwrap();
        assert_eq!(
            (tool.kind(), tool.to_string()),
            (ToolKind::Other(77), "tool 77 0.05 mm".into())
        );
    }
}
