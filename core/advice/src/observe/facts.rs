//! What the plan must know of the instrument. Everything optional is a fact that may be unwritten,
//! or that people disagree about; the plan then says what it cannot work out.

use fallaway_measure::{Quantity, Side, StringPlace};
use fallaway_mechanics::bridge::Bridge;
use fallaway_mechanics::neck::BEFORE_BODY;
use fallaway_mechanics::screws::Screw;
use fallaway_order::PutInOrder as _;
use fallaway_record::AdjustedPart;
use fallaway_record::spec::{NeckJoint, NutKind, RodKind};

use super::intervention::{Intervention, InterventionKind};
use super::measurand::Measurand;
use crate::turns::TurnDirection;

/// The instrument, as far as the plan needs it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Facts {
    /// Strings in the order in which action is set: highest pitch first.
    pub strings: Vec<StringFacts>,
    /// The last fret.
    pub last_fret: Option<u8>,
    /// The fret where the neck stops bending.
    pub joint_fret: Option<u8>,
    /// How many frets the joint may lie to either side.
    pub joint_uncertain_by: u8,
    /// Radius of the board at the last fret in mm; `None` if flat or unwritten.
    pub board_radius_mm: Option<f64>,
    /// From the first to the last string at the nut, in mm.
    pub nut_spread_mm: Option<f64>,
    /// The truss rod.
    pub rod: RodFacts,
    /// What holds the strings at the head end; `None` if unwritten.
    pub nut: Option<NutKind>,
    /// What moves the strings at the bridge.
    pub bridge: BridgeFacts,
    /// How the neck is held.
    pub neck_joint: Option<NeckJoint>,
    /// Advance of a pickup's height screws in mm a turn.
    pub pickup_pitch_mm: Option<f64>,
    /// Which way a pickup's height screws turn to raise it, as shown.
    pub pickup_raises: Option<TurnDirection>,
    /// Facts that people wrote two values for; the plan does not choose between them.
    pub contested: Vec<String>,
}

/// One string or course.
#[derive(Debug, Clone, PartialEq)]
pub struct StringFacts {
    /// Its place, counted from the treble side.
    pub place: StringPlace,
    /// The wanted frequency in Hz.
    pub pitch_hz: Option<f64>,
    /// Scale length in mm.
    pub scale_mm: Option<f64>,
    /// Offset of the string's path from the middle of the board in mm, toward the bass side
    /// positive, at the bridge.
    pub offset_mm: Option<f64>,
    /// Its diameter in mm.
    pub gauge_mm: Option<f64>,
    /// A single wire without winding; `None` if unwritten.
    pub plain: Option<bool>,
}

/// The truss rod.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RodFacts {
    /// Which ways the rod works; `None` if unwritten.
    pub kind: Option<RodKind>,
    /// Which way the nut turns for less relief, as shown on this instrument and written down.
    pub less_relief: Option<TurnDirection>,
}

/// A screw, or several of one part that are turned alike.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum TurnedScrew {
    /// The truss rod.
    Rod,
    /// The height of a saddle, of one string or more.
    SaddleHeight(Vec<StringPlace>),
    /// A post of the bridge.
    BridgePost(Side),
    /// The screws of the spring claw, all alike.
    SpringClaw,
    /// A saddle fore and aft.
    SaddlePosition(StringPlace),
    /// The height of a pickup, at one side of it if it has two.
    Pickup {
        /// Which; 1 is nearest the bridge.
        pickup: u8,
        /// At which side.
        side: Option<Side>,
    },
}

impl TurnedScrew {
    /// The part that it moves, as the record names it: `None` for the saddle of no string. One saddle of
    /// several strings is named by the first: the others move with it.
    pub fn part(&self) -> Option<AdjustedPart> {
        Some(match self {
            Self::Rod => AdjustedPart::Rod,
            Self::SaddleHeight(places) => AdjustedPart::SaddleHeight(*places.first()?),
            Self::BridgePost(side) => AdjustedPart::BridgePost(*side),
            Self::SpringClaw => AdjustedPart::Springs,
            Self::SaddlePosition(place) => AdjustedPart::SaddlePosition(*place),
            Self::Pickup { pickup, side } => AdjustedPart::Pickup { pickup: *pickup, side: *side },
        })
    }
}

/// What kind of bridge, by what its height screws do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BridgeKind {
    /// It is not written how the bridge is built.
    #[default]
    Unknown,
    /// A saddle for each string, each with its own height screws.
    OwnSaddles,
    /// Saddles that carry several strings.
    SharedSaddles,
    /// Two posts raise or lower all strings.
    TwoPosts,
    /// Balances on springs.
    Floating,
    /// No height screws: a saddle blank.
    Fixed,
}

/// The bridge: which screw moves which string, and by how much.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BridgeFacts {
    /// What its height screws move.
    pub kind: BridgeKind,
    /// From height screws to strings; a row for each of `rows`, a column for each of `screws`.
    pub matrix: Option<Bridge>,
    /// The strings of the rows.
    pub rows: Vec<StringPlace>,
    /// Which screws the columns are.
    pub screws: Vec<TurnedScrew>,
    /// How many screws are turned alike in each column.
    pub alike: u8,
    /// Two posts under all strings, where the saddles have height screws besides.
    pub posts: Option<Posts>,
    /// A screw of a post: more is a higher bridge.
    pub post: Screw,
    /// A screw of the spring claw: more is more pull.
    pub claw: Screw,
    /// The thread of an intonation screw.
    pub intonation_pitch_mm: Option<f64>,
    /// Which way an intonation screw turns to lengthen the string, as shown.
    pub lengthens: Option<TurnDirection>,
}

/// Two posts of a bridge whose saddles have height screws besides.
#[derive(Debug, Clone, PartialEq)]
pub struct Posts {
    /// From the posts to the strings of [`BridgeFacts::rows`], treble post first; `None` where the spread of
    /// the strings is unwritten.
    pub matrix: Option<Bridge>,
}

/// The posts of a bridge, in the order of a matrix.
pub(crate) const POSTS: [Side; 2] = [Side::Treble, Side::Bass];

impl BridgeFacts {
    /// Whether posts are its only height screws.
    pub fn only_posts(&self) -> bool {
        matches!(self.screws.first(), Some(TurnedScrew::BridgePost(_)))
    }

    /// Whether it floats on two posts.
    pub fn floats_on_posts(&self) -> bool {
        self.kind == BridgeKind::Floating && (self.posts.is_some() || self.only_posts())
    }

    /// The height screw that something done turned: of a post or of a saddle.
    pub(crate) fn turned(&self, done: &Intervention) -> Option<Screw> {
        if done.post.is_some() {
            return Some(self.post);
        }
        self.matrix.as_ref()?.screws().first().copied()
    }
}

impl Facts {
    /// Screws hold the neck, as far as anybody knows.
    pub(crate) fn neck_may_be_screwed_on(&self) -> bool {
        !matches!(self.neck_joint, Some(NeckJoint::Glued | NeckJoint::Through))
    }

    /// The string at a place.
    pub fn string(&self, place: StringPlace) -> Option<&StringFacts> {
        self.strings.iter().find(|s| s.place == place)
    }

    /// A string's offset from the middle of the board over a fret, in mm, from the one at the bridge:
    /// straight from nut to bridge. `None` where the spread at one of them is unwritten.
    pub fn offset_over(&self, at_bridge: f64, fret: f64) -> Option<f64> {
        let offsets = self.strings.iter().filter_map(|s| s.offset_mm);
        let most = offsets.clone().fold(f64::NEG_INFINITY, f64::max);
        let least = offsets.fold(f64::INFINITY, f64::min);
        let spread = most - least;
        if spread.is_nan() || spread < 1.0 {
            return None;
        }
        let at_nut = at_bridge * self.nut_spread_mm? / spread;
        // The frets of equal temperament.
        let along = 1.0 - 2_f64.powf(-fret / 12.0);
        Some(at_nut + (at_bridge - at_nut) * along)
    }

    /// The fret where the neck stops bending, and how many frets it may lie to either side. A joint fret
    /// that is written with its doubt is the first fret over the body, and a neck stops bending
    /// [`BEFORE_BODY`] frets before it; one without doubt is that place itself. Unwritten, the body begins
    /// at the fourth fret from the last, give or take two (common practice, no source).
    pub fn joint(&self) -> Option<(u8, u8)> {
        let before = |body: u8| body.saturating_sub(BEFORE_BODY as u8).max(1);
        match (self.joint_fret, self.last_fret) {
            (Some(joint), _) if self.joint_uncertain_by == 0 => Some((joint, 0)),
            (Some(body), _) => Some((before(body), self.joint_uncertain_by)),
            (None, Some(last)) => Some((before(last.saturating_sub(4)), 2)),
            (None, None) => None,
        }
    }

    /// Whether the instrument has the string and the frets of a measurand, as far as they are written.
    /// Spacing is read to the next lower string, which the last has not.
    pub fn has(&self, of: Measurand) -> bool {
        let last_fret = self.last_fret.unwrap_or(u8::MAX);
        let fret = match of.quantity {
            Quantity::Gap { stopped, over } => stopped.max(over).number(),
            Quantity::Relief { to, .. } => to.number(),
            Quantity::FallAway { at, .. } => at.number(),
            Quantity::Intonation { fret } => fret.number(),
            Quantity::PickupGap { stopped, .. } => stopped.number(),
            _ => 0,
        };
        match of.quantity {
            Quantity::BridgeHeight if !self.bridge.floats_on_posts() => return false,
            Quantity::BridgeTail if !self.floating() => return false,
            _ => {}
        }
        let spacing = matches!(of.quantity, Quantity::SpacingBridge | Quantity::SpacingNut);
        let numbers = || self.strings.iter().map(|s| s.place.number());
        let string = match (of.place(), numbers().max()) {
            (Some(place), Some(last)) if spacing => place.number() < last,
            (Some(place), Some(_)) => numbers().any(|number| number == place.number()),
            _ => true,
        };
        fret <= last_fret && string
    }

    /// Whether strings balance against springs, so that each move disturbs all.
    pub fn floating(&self) -> bool {
        self.bridge.kind == BridgeKind::Floating
    }

    /// Every string that moves when the height screws of `place` are turned, itself included.
    pub(crate) fn moved_with(&self, place: StringPlace) -> Vec<StringPlace> {
        if self.floating() {
            return self.strings.iter().map(|s| s.place).collect();
        }
        self.lifted_with(place)
    }

    /// Every string that the height screws of `place` lift, itself included.
    pub(crate) fn lifted_with(&self, place: StringPlace) -> Vec<StringPlace> {
        if self.bridge.kind == BridgeKind::TwoPosts || self.bridge.only_posts() {
            return self.strings.iter().map(|s| s.place).collect();
        }
        let mut moved = vec![place];
        let row = self.bridge.rows.iter().position(|p| *p == place);
        if let (Some(matrix), Some(row)) = (&self.bridge.matrix, row) {
            for screw in 0..matrix.screws().len() {
                let strings = matrix.moved_by(screw);
                if strings.contains(&row) {
                    moved.extend(strings.iter().filter_map(|s| self.bridge.rows.get(*s)));
                }
            }
        }
        moved.put_in_order();
        moved.dedup();
        moved
    }

    /// By how much of its turns an intervention on a height screw moves a string: 1 for its own screw,
    /// the lever of its place for a post. `None` for what moves it by an unknown share, or not at all.
    pub fn share(&self, done: &Intervention, place: StringPlace) -> Option<f64> {
        if done.kind != InterventionKind::SaddleHeight {
            return None;
        }
        if let Some(side) = done.post {
            let of_posts = self.bridge.posts.as_ref();
            let matrix =
                of_posts.map_or(self.bridge.matrix.as_ref(), |posts| posts.matrix.as_ref());
            let screw = POSTS.iter().position(|post| *post == side);
            let row = self.bridge.rows.iter().position(|p| *p == place);
            let lever = |matrix: &Bridge| matrix.lever(row?, screw?);
            return matrix.and_then(lever).or_else(|| self.near(place, side));
        }
        match done.places.as_slice() {
            [turned] if *turned == place => Some(1.0),
            [turned]
                if self.bridge.kind == BridgeKind::SharedSaddles
                    && self.moved_with(*turned).contains(&place) =>
            {
                Some(1.0)
            }
            _ => None,
        }
    }

    /// The share of a post's turns at a string where the spread of the strings is not known: from
    /// nine tenths for the string beside it to one tenth for the farthest (a choice).
    fn near(&self, place: StringPlace, side: Side) -> Option<f64> {
        let most = self.strings.iter().map(|s| s.place.number()).max()?;
        let across = f64::from(place.number() - 1) / f64::from(most.saturating_sub(1).max(1));
        let bass = 0.1 + 0.8 * across;
        Some(if side == Side::Bass { bass } else { 1.0 - bass })
    }

    /// Whether the neck is as long as a bass's, which bows more than a guitar's: from a scale of 760 mm on
    /// (30 in; common practice, no source).
    pub(crate) fn has_long_neck(&self) -> bool {
        self.strings.iter().find_map(|s| s.scale_mm).is_none_or(|mm| mm >= 760.0)
    }

    /// How relief is read when no target or reading says otherwise: stopped at the first and the
    /// last fret.
    pub fn usual_relief(&self) -> Option<Quantity> {
        use fallaway_measure::Fret;
        let to = Fret::new(self.last_fret?).ok()?;
        Some(Quantity::Relief { from: Fret::new(1).ok()?, to, at: None })
    }

    /// How action is read when no target or reading says otherwise: stopped at 1 over the last
    /// fret, steady and free of the nut.
    pub fn usual_action(&self) -> Option<Quantity> {
        super::measurand::gap(1, self.last_fret?)
    }
}
