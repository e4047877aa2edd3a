//! What was turned, moved, cut or replaced.

use std::fmt;
use std::str::FromStr;

use fallaway_measure::{Amount, Decimal, Location, Side, StringPlace};
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

/// What was adjusted. The numbers are assigned for ever.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AdjustedPart {
    /// The truss rod (1).
    Rod,
    /// Height of a string's saddle (2).
    SaddleHeight(StringPlace),
    /// A saddle fore or aft, for intonation (3).
    SaddlePosition(StringPlace),
    /// A saddle sideways, for spacing (4).
    SaddleSideways(StringPlace),
    /// A nut slot cut or filled (5).
    NutSlot(StringPlace),
    /// The nut replaced or shimmed (6).
    Nut,
    /// One post of a bridge that stands on two (7).
    BridgePost(Side),
    /// The springs of a floating bridge (8).
    Springs,
    /// Height of a pickup on one side; pickup 1 is nearest the bridge (9).
    Pickup {
        /// Which pickup, counted from 1.
        pickup: u8,
        /// Which side; `None` for both.
        side: Option<Side>,
    },
    /// The neck taken off, shimmed or set at another angle (10).
    Neck,
    /// Frets levelled, dressed or replaced (11).
    Frets,
    /// Saddle or bridge replaced or worked on (12).
    Bridge,
    /// Something else that the note describes (13).
    Elsewhere,
    /// One pole piece of a pickup, under a string (14).
    Pole {
        /// Which pickup; 1 is nearest the bridge.
        pickup: u8,
        /// The string over the pole piece.
        place: StringPlace,
    },
    /// Written by a newer version, by its number.
    Other(u32),
}

impl AdjustedPart {
    /// The number on disk and on the wire.
    pub const fn number(self) -> u32 {
        match self {
            Self::Rod => 1,
            Self::SaddleHeight(_) => 2,
            Self::SaddlePosition(_) => 3,
            Self::SaddleSideways(_) => 4,
            Self::NutSlot(_) => 5,
            Self::Nut => 6,
            Self::BridgePost(_) => 7,
            Self::Springs => 8,
            Self::Pickup { .. } => 9,
            Self::Neck => 10,
            Self::Frets => 11,
            Self::Bridge => 12,
            Self::Elsewhere => 13,
            Self::Pole { .. } => 14,
            Self::Other(number) => number,
        }
    }

    /// The string that is meant, if one is.
    pub const fn place(self) -> Option<StringPlace> {
        match self {
            Self::SaddleHeight(place)
            | Self::SaddlePosition(place)
            | Self::SaddleSideways(place)
            | Self::NutSlot(place)
            | Self::Pole { place, .. } => Some(place),
            _ => None,
        }
    }
}

impl fmt::Display for AdjustedPart {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rod => f.write_str("truss rod"),
            Self::SaddleHeight(place) => write!(f, "saddle height, string {place}"),
            Self::SaddlePosition(place) => write!(f, "saddle fore or aft, string {place}"),
            Self::SaddleSideways(place) => write!(f, "saddle sideways, string {place}"),
            Self::NutSlot(place) => write!(f, "nut slot, string {place}"),
            Self::Nut => f.write_str("nut"),
            Self::BridgePost(side) => write!(f, "bridge post, {side}"),
            Self::Springs => f.write_str("springs"),
            Self::Pickup { pickup, side: Some(side) } => write!(f, "pickup {pickup}, {side}"),
            Self::Pickup { pickup, side: None } => write!(f, "pickup {pickup}"),
            Self::Neck => f.write_str("neck joint"),
            Self::Frets => f.write_str("frets"),
            Self::Bridge => f.write_str("bridge"),
            Self::Elsewhere => f.write_str("something else"),
            Self::Pole { pickup, place } => {
                write!(f, "pole piece of pickup {pickup}, string {place}")
            }
            Self::Other(number) => write!(f, "adjustment {number} of a newer version"),
        }
    }
}

/// `[number, ...]`: string, side or pickup follow where the kind has them.
impl<C> Encode<C> for AdjustedPart {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        let number = self.number();
        match self {
            Self::SaddleHeight(place)
            | Self::SaddlePosition(place)
            | Self::SaddleSideways(place)
            | Self::NutSlot(place) => e.array(2)?.u32(number)?.encode(place)?.ok(),
            Self::BridgePost(side) => e.array(2)?.u32(number)?.encode(Location::Side(*side))?.ok(),
            Self::Pickup { pickup, side } => {
                let side = side.map_or(Location::Whole, Location::Side);
                e.array(3)?.u32(number)?.u8(*pickup)?.encode(side)?.ok()
            }
            Self::Pole { pickup, place } => {
                e.array(3)?.u32(number)?.u8(*pickup)?.encode(place)?.ok()
            }
            _ => e.array(1)?.u32(number)?.ok(),
        }
    }
}

impl<'b, C> Decode<'b, C> for AdjustedPart {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        let items = d.array()?.unwrap_or(0);
        let number = d.u32()?;
        let (adjusted, read) = match number {
            1 => (Self::Rod, 1),
            2 => (Self::SaddleHeight(d.decode()?), 2),
            3 => (Self::SaddlePosition(d.decode()?), 2),
            4 => (Self::SaddleSideways(d.decode()?), 2),
            5 => (Self::NutSlot(d.decode()?), 2),
            6 => (Self::Nut, 1),
            7 => (Self::BridgePost(side(d)?.ok_or_else(no_side)?), 2),
            8 => (Self::Springs, 1),
            9 => (Self::Pickup { pickup: d.u8()?, side: side(d)? }, 3),
            10 => (Self::Neck, 1),
            11 => (Self::Frets, 1),
            12 => (Self::Bridge, 1),
            13 => (Self::Elsewhere, 1),
            14 => (Self::Pole { pickup: d.u8()?, place: d.decode()? }, 3),
            other => (Self::Other(other), 1),
        };
        for _ in read..items {
            d.skip()?;
        }
        Ok(adjusted)
    }
}

/// A side is written as a location; the whole stands for both sides.
fn side(d: &mut Decoder<'_>) -> Result<Option<Side>, decode::Error> {
    match d.decode()? {
        Location::Whole => Ok(None),
        Location::Side(side) => Ok(Some(side)),
        _ => Err(no_side()),
    }
}

fn no_side() -> decode::Error {
    decode::Error::message("expected the bass or the treble side")
}

/// How far something was turned, in turns; above zero is clockwise as seen from the tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Turns(Decimal);

/// A text that does not say how far something was turned.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{text:?} is not a number of turns: expected such as \"1/4\", \"-1/8\", \"1 1/2\", \"0.3\", \
     at most {} turns, optionally followed by cw or ccw (clockwise, anticlockwise)",
    Turns::MAX
)]
pub struct TurnsError {
    /// What was given, cut to 40 characters.
    pub text: String,
}

impl Turns {
    /// Most turns in one entry, either way.
    pub const MAX: i64 = 100;

    /// A number of eighths of a turn.
    pub fn eighths(eighths: i16) -> Self {
        // 125 thousandths an eighth; trailing zeros are dropped so that one value has one form.
        let (mut digits, mut places) = (i64::from(eighths) * 125, 3);
        while places > 0 && digits % 10 == 0 {
            digits /= 10;
            places -= 1;
        }
        Self(Decimal::new(digits, places).unwrap_or(Decimal::ZERO))
    }

    /// An exact number of turns; `None` beyond [`Self::MAX`].
    pub fn exact(turns: Decimal) -> Option<Self> {
        (turns.value().abs() <= Self::MAX as f64).then_some(Self(turns))
    }

    /// The number of turns.
    pub const fn amount(self) -> Decimal {
        self.0
    }

    /// The number of turns as a plain number.
    pub fn value(self) -> f64 {
        self.0.value()
    }
}

/// In the hand's words where the number is a whole count of eighths: "1/4 turn clockwise".
impl fmt::Display for Turns {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let magnitude = self.value().abs();
        let eighths = magnitude * 8.0;
        let unit = if magnitude > 1.0 { "turns" } else { "turn" };
        if eighths == eighths.round() && magnitude <= Self::MAX as f64 {
            let (whole, rest) = (eighths as u32 / 8, eighths as u32 % 8);
            let part = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"]
                .get(rest as usize)
                .copied()
                .unwrap_or_default();
            match (whole, rest) {
                (_, 0) => write!(f, "{whole} {unit}")?,
                (0, _) => write!(f, "{part} {unit}")?,
                _ => write!(f, "{whole} {part} {unit}")?,
            }
        } else {
            write!(f, "{} {unit}", self.0.to_string().trim_start_matches('-'))?;
        }
        match self.0.digits() {
            0 => Ok(()),
            1.. => f.write_str(" clockwise"),
            _ => f.write_str(" anticlockwise"),
        }
    }
}

impl FromStr for Turns {
    type Err = TurnsError;

    fn from_str(text: &str) -> Result<Self, TurnsError> {
        parse_turns(text).ok_or_else(|| TurnsError { text: text.chars().take(40).collect() })
    }
}

fn parse_turns(text: &str) -> Option<Turns> {
    // A hyphen as it is typed, or a minus sign as it is shown.
    let text = text.trim().to_ascii_lowercase().replace('\u{2212}', "-");
    let mut rest = text.as_str();
    let mut sign = 1;
    for (suffix, factor) in
        [("anticlockwise", -1), ("counterclockwise", -1), ("ccw", -1), ("clockwise", 1), ("cw", 1)]
    {
        if let Some(before) = rest.strip_suffix(suffix) {
            (rest, sign) = (before.trim_end(), factor);
            // "-1/4 ccw" would say it twice.
            if rest.starts_with(['-', '+']) {
                return None;
            }
            break;
        }
    }
    for suffix in ["turns", "turn"] {
        if let Some(before) = rest.strip_suffix(suffix) {
            rest = before.trim_end();
            break;
        }
    }
    if let Some(after) = rest.strip_prefix('-') {
        (rest, sign) = (after, -sign);
    } else if let Some(after) = rest.strip_prefix('+') {
        rest = after;
    }
    let digits = |text: &str| -> Option<i64> {
        let plain = !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b.is_ascii_digit());
        if plain { text.parse().ok() } else { None }
    };
    let (digits, places) = if let Some((front, bottom)) = rest.split_once('/') {
        let (whole, top) = match front.rsplit_once(' ') {
            Some((whole, top)) => (digits(whole.trim())?, digits(top)?),
            None => (0, digits(front)?),
        };
        let bottom = digits(bottom.trim_start())?;
        if !matches!(bottom, 2 | 4 | 8 | 16 | 32) {
            return None;
        }
        // 1/32 is 0.03125: five places carry every one of these exactly.
        ((whole * bottom + top) * 100_000 / bottom, 5)
    } else if let Some((whole, part)) = rest.split_once(['.', ',']) {
        let part_digits = digits(part)?;
        let places = u8::try_from(part.len()).ok()?;
        let whole = if whole.is_empty() { 0 } else { digits(whole)? };
        let scale = 10_i64.checked_pow(u32::from(places))?;
        (whole.checked_mul(scale)?.checked_add(part_digits)?, places)
    } else {
        (digits(rest)?, 0)
    };
    let (mut digits, mut places) = (digits * sign, places);
    while places > 0 && digits % 10 == 0 {
        digits /= 10;
        places -= 1;
    }
    Turns::exact(Decimal::new(digits, places).ok()?)
}

impl<C> Encode<C> for Turns {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        e.array(2)?.i64(self.0.digits())?.u8(self.0.places())?.ok()
    }
}

impl<'b, C> Decode<'b, C> for Turns {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        if d.array()? != Some(2) {
            return Err(decode::Error::message("turns are an array of two"));
        }
        let (digits, places) = (d.i64()?, d.u8()?);
        Decimal::new(digits, places)
            .ok()
            .and_then(Self::exact)
            .ok_or_else(|| decode::Error::message("too many turns"))
    }
}

/// Something was turned, moved, cut or replaced.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct Adjustment {
    /// What was worked on.
    #[n(0)]
    pub what: AdjustedPart,
    /// How far it was turned.
    #[n(1)]
    pub turns: Option<Turns>,
    /// How far it moved, where that was read: height up, saddle away from the nut (longer string),
    /// sideways toward the treble side, and shim thickness are above zero.
    #[n(2)]
    pub amount: Option<Amount>,
    /// What was noticed, in free text.
    #[n(3)]
    pub note: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_with_too_many_digits_are_refused() {
        for text in ["999999.0000000000000", "999999,999999999999999999", "1.0000000", "9999999"] {
            assert!(text.parse::<Turns>().is_err(), "{text}");
        }
    }

    #[test]
    fn turns_are_read_and_shown_in_the_hand_s_words() {
        for (text, shown) in [
            ("1/4", "1/4 turn clockwise"),
            ("-1/8", "1/8 turn anticlockwise"),
            ("\u{2212}1/8", "1/8 turn anticlockwise"),
            ("1 1/2 ccw", "1 1/2 turns anticlockwise"),
            ("0.25 turn clockwise", "1/4 turn clockwise"),
            ("0,3", "0.3 turn clockwise"),
            ("2", "2 turns clockwise"),
            ("1/16", "0.0625 turn clockwise"),
            ("0", "0 turn"),
        ] {
            let turns: Turns = text.parse().unwrap();
            assert_eq!(turns.to_string(), shown, "{text}");
            assert_eq!(shown.parse::<Turns>().unwrap(), turns, "{shown}");
        }
        for text in ["", "-", "1/3", "a", "101", "-1/4 ccw", "1/0", "1e3", "9999999999999999999"] {
            let error = text.parse::<Turns>().unwrap_err();
            assert!(error.to_string().contains("1/4"), "{text}");
        }
        assert_eq!(Turns::eighths(2), "1/4".parse().unwrap());
    }

    #[test]
    fn every_adjusted_part_round_trips() {
        let place = StringPlace::new(3, Some('b')).unwrap();
        for what in [
            AdjustedPart::Rod,
            AdjustedPart::SaddleHeight(place),
            AdjustedPart::SaddlePosition(place),
            AdjustedPart::SaddleSideways(place),
            AdjustedPart::NutSlot(place),
            AdjustedPart::Nut,
            AdjustedPart::BridgePost(Side::Treble),
            AdjustedPart::Springs,
            AdjustedPart::Pickup { pickup: 2, side: Some(Side::Bass) },
            AdjustedPart::Pickup { pickup: 1, side: None },
            AdjustedPart::Neck,
            AdjustedPart::Frets,
            AdjustedPart::Bridge,
            AdjustedPart::Elsewhere,
            AdjustedPart::Pole { pickup: 2, place },
            AdjustedPart::Other(99),
        ] {
            let bytes = minicbor::to_vec(what).unwrap();
            assert_eq!(minicbor::decode::<AdjustedPart>(&bytes).unwrap(), what);
        }
    }
}
