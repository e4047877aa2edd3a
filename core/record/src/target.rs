//! Targets: the numbers that people agree on, in named setups.

use std::fmt;
use std::str::FromStr;

use fallaway_measure::{Amount, Location, Quantity};
use minicbor::{Decode, Encode};

use crate::{EntryId, Moment, place};

/// Names a setup (a set of targets) within a record.
///
/// Two devices that make the same named setup mean the same one.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SetupId(String);

/// A text that does not name a setup.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{text:?} does not name a setup: expected 1 to {} of a to z, 0 to 9 and -, such as \"main\"",
    SetupId::MAX
)]
pub struct SetupIdError {
    /// What was given, cut to 80 characters.
    pub text: String,
}

impl SetupId {
    /// Most characters of such an id.
    pub const MAX: usize = 40;

    /// The setup that a record has before anybody makes another.
    pub fn main() -> Self {
        Self("main".to_owned())
    }

    /// The id as the record has it: "main".
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for SetupId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl FromStr for SetupId {
    type Err = SetupIdError;

    fn from_str(text: &str) -> Result<Self, SetupIdError> {
        let fits = (1..=Self::MAX).contains(&text.len());
        let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
        if fits && text.bytes().all(plain) {
            Ok(Self(text.to_owned()))
        } else {
            Err(SetupIdError { text: text.chars().take(80).collect() })
        }
    }
}

/// What one reading should be.
#[derive(Debug, Clone, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct Target {
    /// What is read, and which way.
    #[n(0)]
    pub quantity: Quantity,
    /// For which string or side, or for the whole instrument.
    #[n(1)]
    pub location: Location,
    /// The wanted value, as it was entered.
    #[n(2)]
    pub wanted: Amount,
    /// How far a reading may lie from it either way, as it was entered.
    #[n(3)]
    pub tolerance: Amount,
    /// Who set it: a free label such as "owner".
    #[n(4)]
    pub by: Option<String>,
    /// When it was set.
    #[n(5)]
    pub at: Moment,
    /// The pass from which it was taken.
    #[n(6)]
    pub taken_from: Option<EntryId>,
}

impl Target {
    /// The key within a setup; `None` for a quantity or location of a newer version.
    pub fn key(&self) -> Option<String> {
        target_key(self.quantity, self.location)
    }

    /// Whether both ask for the same: value and tolerance, whoever wrote them and in whichever
    /// notation.
    pub(crate) fn agrees_with(&self, other: &Self) -> bool {
        let same = |a: Amount, b: Amount| a.compare(b) == Some(std::cmp::Ordering::Equal);
        self.quantity == other.quantity
            && self.location == other.location
            && same(self.wanted, other.wanted)
            && same(self.tolerance, other.tolerance)
    }

    /// Reads the value under a key. `None` if this version does not understand it to the last byte.
    pub(crate) fn decode_exact(key: &str, value: &[u8]) -> Option<Self> {
        let target: Self = minicbor::decode(value).ok()?;
        let same = minicbor::to_vec(&target).ok()? == value && target.key()? == key;
        same.then_some(target)
    }
}

/// The key of a target within its setup: what is read and where, such as `gap-1-24/4`.
///
/// `None` for a quantity or location of a newer version.
pub fn target_key(quantity: Quantity, location: Location) -> Option<String> {
    let what = match quantity {
        Quantity::Gap { stopped, over } => format!("gap-{stopped}-{over}"),
        Quantity::Relief { from, to, at: None } => format!("relief-{from}-{to}"),
        Quantity::Relief { from, to, at: Some(at) } => format!("relief-{from}-{to}-at-{at}"),
        Quantity::FallAway { from, to, at } => format!("fall-away-{from}-{to}-at-{at}"),
        Quantity::Pitch => "pitch".to_owned(),
        Quantity::Intonation { fret } => format!("intonation-{fret}"),
        Quantity::SpacingBridge => "spacing-bridge".to_owned(),
        Quantity::SpacingNut => "spacing-nut".to_owned(),
        Quantity::BridgeHeight => "bridge-height".to_owned(),
        Quantity::BridgeTail => "bridge-tail".to_owned(),
        Quantity::PickupGap { pickup, stopped } => format!("pickup-{pickup}-{stopped}"),
        _ => return None,
    };
    Some(format!("{what}/{}", place::location_word(location)?))
}

/// What a key of the setups container names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum SetupKey<'a> {
    /// `main/name`: what people call the setup.
    Name(SetupId),
    /// `main/target/gap-1-24/4`.
    Target(SetupId, &'a str),
    /// `main/deleted`: the setup as whoever deleted it saw it.
    Deleted(SetupId),
}

impl<'a> SetupKey<'a> {
    pub(crate) fn parse(key: &'a str) -> Option<Self> {
        let (setup, rest) = key.split_once('/')?;
        let setup = setup.parse().ok()?;
        if rest == "name" {
            return Some(Self::Name(setup));
        }
        if rest == "deleted" {
            return Some(Self::Deleted(setup));
        }
        Some(Self::Target(setup, rest.strip_prefix("target/")?))
    }
}

impl fmt::Display for SetupKey<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Name(setup) => write!(f, "{setup}/name"),
            Self::Target(setup, key) => write!(f, "{setup}/target/{key}"),
            Self::Deleted(setup) => write!(f, "{setup}/deleted"),
        }
    }
}
