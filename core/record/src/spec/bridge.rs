//! The bridge as a matrix from screws to strings, and the screws.

use fallaway_measure::{Amount, StringPlace};
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

use crate::numbered::numbered;

/// What a turn of a height screw moves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HeightBy {
    /// Each string has its own saddle.
    OwnSaddles {
        /// Height screws of one saddle; two are turned alike so that the saddle stays level.
        screws: u8,
    },
    /// Saddles that carry several strings each.
    SharedSaddles(Vec<Vec<StringPlace>>),
    /// Two posts carry all strings; each moves the strings by how near they are.
    TwoPosts,
    /// Nothing turns: the height is cut or shimmed.
    Fixed,
}

/// `[1, screws]`, `[2, [[place, ...], ...]]`, `[3]`, `[4]`.
impl<C> Encode<C> for HeightBy {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        match self {
            Self::OwnSaddles { screws } => e.array(2)?.u8(1)?.u8(*screws)?.ok(),
            Self::SharedSaddles(saddles) => e.array(2)?.u8(2)?.encode(saddles)?.ok(),
            Self::TwoPosts => e.array(1)?.u8(3)?.ok(),
            Self::Fixed => e.array(1)?.u8(4)?.ok(),
        }
    }
}

impl<'b, C> Decode<'b, C> for HeightBy {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        match (d.array()?, d.u8()?) {
            (Some(2), 1) => Ok(Self::OwnSaddles { screws: d.u8()? }),
            (Some(2), 2) => Ok(Self::SharedSaddles(d.decode()?)),
            (Some(1), 3) => Ok(Self::TwoPosts),
            (Some(1), 4) => Ok(Self::Fixed),
            _ => Err(decode::Error::message("a bridge of a newer version")),
        }
    }
}

numbered! {
    /// What can be moved for intonation.
    IntonationBy {
        /// Each saddle on its own.
        OwnSaddles = 1, "each saddle";
        /// Saddles that carry several strings.
        SharedSaddles = 2, "shared saddles";
        /// The bridge as a whole.
        WholeBridge = 3, "the whole bridge";
        /// Nothing can be moved.
        Fixed = 4, "fixed";
    }
}

/// How the bridge is built, and what can be moved on it.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct BridgeSpec {
    /// What a height screw moves.
    #[n(0)]
    pub height: HeightBy,
    /// Springs balance the strings: a change of one string moves all.
    #[n(1)]
    pub floating: bool,
    /// What can be moved for intonation.
    #[n(2)]
    pub intonation: Option<IntonationBy>,
    /// Whether saddles can be moved sideways.
    #[n(3)]
    pub sideways: Option<bool>,
    /// Whether it stands on two posts, besides what [`Self::height`] says of the saddles.
    #[n(4)]
    pub posts: Option<bool>,
}

/// Which screw or nut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ScrewPlace {
    /// The nut of the truss rod. More: more relief.
    Rod,
    /// Height of a saddle. More: a higher saddle.
    SaddleHeight,
    /// A saddle fore and aft. More: a longer string.
    SaddlePosition,
    /// A post of the bridge. More: a higher bridge.
    BridgePost,
    /// Height of a pickup. More: nearer to the strings.
    Pickup,
    /// A spring claw. More: more spring pull.
    SpringClaw,
}

impl ScrewPlace {
    /// Every screw that this version knows.
    pub const KNOWN: [Self; 6] = [
        Self::Rod,
        Self::SaddleHeight,
        Self::SaddlePosition,
        Self::BridgePost,
        Self::Pickup,
        Self::SpringClaw,
    ];

    /// The word that stands for it in keys.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Rod => "rod",
            Self::SaddleHeight => "saddle-height",
            Self::SaddlePosition => "saddle-position",
            Self::BridgePost => "bridge-post",
            Self::Pickup => "pickup",
            Self::SpringClaw => "spring-claw",
        }
    }
}

numbered! {
    /// What a clockwise turn, as seen from the tool, does. Known only when this instrument has shown
    /// it. What "more" means is said at each [`ScrewPlace`].
    Clockwise {
        /// A clockwise turn gives more.
        More = 1, "clockwise gives more";
        /// A clockwise turn gives less.
        Less = 2, "clockwise gives less";
    }
}

/// The thread of a screw: its designation, its pitch as measured, or both.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct ThreadSpec {
    /// Its designation, such as "M3" (ISO 261, coarse series) or "#6-32" (ASME B1.1).
    #[n(0)]
    pub designation: Option<String>,
    /// Advance per turn, where it was measured or has no designation.
    #[n(1)]
    pub pitch: Option<Amount>,
}

/// A screw or nut.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct ScrewSpec {
    /// Its thread, from which a turn has its travel; `None` if unwritten.
    #[n(0)]
    pub thread: Option<ThreadSpec>,
    /// What a clockwise turn does; `None` until the instrument has shown it.
    #[n(1)]
    pub clockwise: Option<Clockwise>,
    /// The key or driver that fits: "5 mm hex".
    #[n(2)]
    pub key: Option<String>,
}
