//! Screws, bridges, blanks and shims: what to turn, and what that gives.

use fallaway::mechanics;
use fallaway::mechanics::bridge::{Bridge, blank_change};
use fallaway::mechanics::floating::{Floating, FloatingString, Settled, Spring, newtons_per_mm};
use fallaway::mechanics::screws::{self, ASME_B1_1, ISO_261_COARSE, Screw, Thread, rise_of};
use fallaway::mechanics::shim;
use fallaway::mechanics::units::{as_mm, mm};
use fallaway::mechanics::uom::si::angle::degree;
use fallaway::mechanics::uom::si::f64::Force;
use fallaway::mechanics::uom::si::force::newton;

use super::typed::{
    Uncertain, count, fret as number, length, lengths, millimetres, newtons, uncertain_mm,
};
use crate::FallawayError;
use crate::turns::{Turn, TurnDirection};

/// A standard thread.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ThreadInfo {
    /// As it is called: "M3", "#6-32".
    pub designation: String,
    /// Advance for each full turn in mm.
    pub pitch_mm: f64,
    /// Nominal diameter in mm.
    pub nominal_diameter_mm: f64,
    /// Basic pitch diameter in mm (ISO 724).
    pub pitch_diameter_mm: f64,
    /// Basic minor diameter in mm (ISO 724).
    pub minor_diameter_mm: f64,
}

pub use fallaway::mechanics::screws::TurnRounding;

/// How turns are rounded to eighths.
#[uniffi::remote(Enum)]
pub enum TurnRounding {
    /// To the nearest eighth.
    Nearest,
    /// Never past the wanted height.
    ShortOf,
}

/// How far to turn a screw, and what that gives.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ScrewTurn {
    /// How far and which way.
    pub turn: Turn,
    /// The rise that these eighths give, in mm; below zero lowers.
    pub gives_mm: f64,
    /// Wanted minus given, in mm.
    pub left_over_mm: f64,
}

impl From<screws::ScrewTurn> for ScrewTurn {
    fn from(turn: screws::ScrewTurn) -> Self {
        Self {
            turn: Turn {
                eighths: turn.eighths.unsigned_abs(),
                direction: turn.direction,
                text: turn.to_string(),
            },
            gives_mm: as_mm(turn.gives),
            left_over_mm: as_mm(turn.left_over),
        }
    }
}

/// A bridge, by what its height screws do.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum BridgeLayout {
    /// A saddle for each string.
    OwnSaddles {
        /// How many strings.
        strings: u32,
        /// Screws under each saddle, commonly 1 or 2; they are turned alike.
        screws_each: u32,
    },
    /// Saddles that carry several strings, a screw each.
    SharedSaddles {
        /// How many strings each saddle carries, in order.
        sizes: Vec<u32>,
    },
    /// Two posts raise or lower all strings.
    TwoPosts {
        /// Place of the first post across the bridge in mm, from anywhere.
        first_post_mm: f64,
        /// Place of the second post in mm.
        second_post_mm: f64,
        /// Places of the strings in mm, counted alike.
        strings_mm: Vec<f64>,
    },
}

/// What comes of the turns at one string's saddle.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct SaddleOutcome {
    /// The rise that the screws give, in mm.
    pub gives_mm: f64,
    /// Wanted minus given, in mm, with the uncertainty of what was wanted; `None` if nothing was
    /// asked of this string.
    pub left_over_mm: Option<Uncertain>,
}

/// Which screws to turn, and what comes of it.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct BridgeMoves {
    /// What each screw has to advance, in mm; above zero raises.
    pub advances_mm: Vec<f64>,
    /// The same in turns; empty while the thread is not known.
    pub turns: Vec<ScrewTurn>,
    /// One for each string.
    pub strings: Vec<SaddleOutcome>,
}

/// What comes off a saddle blank's underside.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct BlankCut {
    /// Change of its height at the first string in mm; below zero comes off.
    pub at_first_mm: f64,
    /// Change at the last string in mm.
    pub at_last_mm: f64,
    /// Wanted minus given at each string, in mm: only the blank's top can give it.
    pub left_over_mm: Vec<Uncertain>,
}

pub use fallaway::mechanics::shim::ShimThickEnd;

/// Which end of the pocket a shim's thick end points to.
#[uniffi::remote(Enum)]
pub enum ShimThickEnd {
    /// Toward the bridge: tips the neck back and lowers the action.
    TowardBridge,
    /// Toward the nut: raises the action.
    TowardNut,
}

/// A wedge for the neck pocket.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct PocketShim {
    /// Angle in degrees.
    pub angle_deg: f64,
    /// Thickness at the thick end in mm.
    pub thickness_mm: Uncertain,
    /// Where the thick end goes.
    pub thick_end: ShimThickEnd,
}

/// One string on a bridge that balances on springs.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct FloatingStringInfo {
    /// Stiffness along itself in N/mm: modulus times area of the core over its length.
    pub stiffness_n_per_mm: f64,
    /// Height over the pivot in mm.
    pub arm_mm: f64,
    /// Distance of the witness point behind the pivot in mm.
    pub reach_mm: f64,
}

/// A bridge that balances on springs. Everything is taken as proportional: small changes.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FloatingBridge {
    /// How many springs, all alike.
    pub springs: u32,
    /// Stiffness of one in N/mm.
    pub spring_n_per_mm: f64,
    /// Their distance from the pivot in mm.
    pub spring_arm_mm: f64,
    /// The strings, in any one order.
    pub strings: Vec<FloatingStringInfo>,
}

/// Where such a bridge settles.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FloatingSettled {
    /// Turned by so much, in degrees; above zero: toward the nut.
    pub angle_deg: f64,
    /// Change of each string's tension in N.
    pub tensions_n: Vec<f64>,
    /// Rise of each string's witness point in mm.
    pub heights_mm: Vec<f64>,
    /// What the pegs add to each string's tension, in N.
    pub added_n: Vec<f64>,
}

fn thread_info(thread: Thread) -> ThreadInfo {
    ThreadInfo {
        designation: thread.designation().unwrap_or_default().to_owned(),
        pitch_mm: as_mm(thread.pitch()),
        nominal_diameter_mm: thread.nominal_diameter().map_or(0.0, as_mm),
        pitch_diameter_mm: thread.pitch_diameter().map_or(0.0, as_mm),
        minor_diameter_mm: thread.minor_diameter().map_or(0.0, as_mm),
    }
}

fn screw(pitch_mm: Option<f64>, raises: Option<TurnDirection>) -> Result<Screw, mechanics::Error> {
    let thread = pitch_mm.map(|pitch| Thread::own(mm(pitch))).transpose()?;
    Ok(Screw { thread, raises })
}

/// A standard thread by its designation: ISO 261 coarse ("M3") and ASME B1.1 ("#6-32").
///
/// # Errors
/// `BadInput` with the designations that are known.
#[uniffi::export]
pub fn screw_thread(designation: String) -> Result<ThreadInfo, FallawayError> {
    Ok(thread_info(Thread::named(&designation)?))
}

/// Every standard thread that is known by name.
#[uniffi::export]
pub fn screw_threads() -> Vec<ThreadInfo> {
    let names = ISO_261_COARSE.iter().map(|t| t.0).chain(ASME_B1_1.iter().map(|t| t.0));
    names.filter_map(|name| Thread::named(name).ok()).map(thread_info).collect()
}

/// The turns for a wanted rise of what a screw carries, in eighths and in the hand's words.
///
/// `rise_mm` below zero lowers; `raises`: which way raises, as this
/// instrument has shown it; `None`: try an eighth and read.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn turns_for_rise(
    rise_mm: f64,
    pitch_mm: f64,
    raises: Option<TurnDirection>,
    rounding: TurnRounding,
) -> Result<ScrewTurn, FallawayError> {
    let screw = screw(Some(pitch_mm), raises)?;
    Ok(screws::ScrewTurn::for_rise(mm(rise_mm), screw, rounding)?.into())
}

/// The rise that so many eighths give, in mm; above zero eighths raise.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn rise_of_turns_mm(eighths: i32, pitch_mm: f64) -> Result<f64, FallawayError> {
    Ok(as_mm(rise_of(eighths, Thread::own(mm(pitch_mm))?)?))
}

/// Which screws of a bridge to turn for the wanted rises at the saddles, in the least-squares sense
/// with the smallest turns; what the bridge cannot do is left over.
///
/// `wanted_mm`: one for each string, `None` where nothing is asked.
///
/// # Errors
/// `BadInput` outside the limits, or for another number of wishes than strings.
#[uniffi::export]
pub fn bridge_moves(
    bridge: BridgeLayout,
    pitch_mm: Option<f64>,
    raises: Option<TurnDirection>,
    wanted_mm: Vec<Option<Uncertain>>,
    rounding: TurnRounding,
) -> Result<BridgeMoves, FallawayError> {
    let screw = screw(pitch_mm, raises)?;
    let bridge = match bridge {
        BridgeLayout::OwnSaddles { strings, screws_each } => {
            Bridge::own_saddles(count(strings), count(screws_each), screw)?
        }
        BridgeLayout::SharedSaddles { sizes } => {
            let sizes: Vec<usize> = sizes.into_iter().map(count).collect();
            Bridge::shared_saddles(&sizes, screw)?
        }
        BridgeLayout::TwoPosts { first_post_mm, second_post_mm, strings_mm } => {
            let posts = [mm(first_post_mm), mm(second_post_mm)];
            Bridge::two_posts(posts, &lengths(&strings_mm), screw)?
        }
    };
    let wanted = wanted_mm.into_iter().map(|wish| wish.map(length).transpose());
    let wanted: Vec<Option<mechanics::Uncertain<_>>> =
        wanted.collect::<Result<_, mechanics::Error>>()?;
    let found = bridge.solve(&wanted, rounding)?;
    Ok(BridgeMoves {
        advances_mm: found.screws.iter().map(|screw| as_mm(screw.advance)).collect(),
        turns: found.screws.iter().filter_map(|screw| screw.turn).map(Into::into).collect(),
        strings: found
            .strings
            .iter()
            .map(|string| SaddleOutcome {
                gives_mm: as_mm(string.gives),
                left_over_mm: string.left_over.map(uncertain_mm),
            })
            .collect(),
    })
}

/// What comes off a fixed saddle's underside for wanted rises at the strings' places across the
/// bridge: twice the change wanted open over 12.
///
/// It cannot be undone: go by readings, not by predictions, and stop 0.1 mm high (common practice, no
/// source).
///
/// # Errors
/// `BadInput` outside the limits, or for lists of different length.
#[uniffi::export]
pub fn saddle_blank_cut(
    places_mm: Vec<f64>,
    wanted_mm: Vec<Uncertain>,
) -> Result<BlankCut, FallawayError> {
    let wanted = wanted_mm.into_iter().map(length).collect::<Result<Vec<_>, mechanics::Error>>()?;
    let found = blank_change(&lengths(&places_mm), &wanted)?;
    Ok(BlankCut {
        at_first_mm: as_mm(found.at_first),
        at_last_mm: as_mm(found.at_last),
        left_over_mm: found.left_over.into_iter().map(uncertain_mm).collect(),
    })
}

/// The wedge in the neck pocket that replaces moving every saddle by `saddle_move_mm`
/// (below zero lowers the action). Neck screws are touched only with slack strings.
///
/// `saddle_mm` and `pocket_edge_mm` (the pocket's edge nearest the nut) from the nut.
///
/// # Errors
/// `BadInput` outside the limits, or when the pocket does not lie before the saddle.
#[uniffi::export]
pub fn pocket_shim(
    saddle_move_mm: Uncertain,
    saddle_mm: f64,
    pocket_edge_mm: f64,
    pocket_length_mm: f64,
) -> Result<PocketShim, FallawayError> {
    let wanted = length(saddle_move_mm)?;
    let found = shim::pocket_shim(wanted, mm(saddle_mm), mm(pocket_edge_mm), mm(pocket_length_mm))?;
    Ok(PocketShim {
        angle_deg: found.angle.get::<degree>(),
        thickness_mm: uncertain_mm(found.thickness),
        thick_end: found.thick_end,
    })
}

/// The saddle move that a wedge is worth, in mm; below zero lowers the action. As [`pocket_shim`].
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn shim_effect_mm(
    thickness_mm: f64,
    thick_end: ShimThickEnd,
    saddle_mm: f64,
    pocket_edge_mm: f64,
    pocket_length_mm: f64,
) -> Result<f64, FallawayError> {
    let (saddle, edge, length) = (mm(saddle_mm), mm(pocket_edge_mm), mm(pocket_length_mm));
    Ok(as_mm(shim::effect(mm(thickness_mm), thick_end, saddle, edge, length)?))
}

impl FloatingBridge {
    fn floating(&self) -> Result<Floating, mechanics::Error> {
        let spring =
            Spring { stiffness: newtons_per_mm(self.spring_n_per_mm), arm: mm(self.spring_arm_mm) };
        // More springs than any cavity holds are refused by their number, not by memory.
        let springs = vec![spring; count(self.springs).min(1_000)];
        let strings = self.strings.iter().map(|string| FloatingString {
            stiffness: newtons_per_mm(string.stiffness_n_per_mm),
            arm: mm(string.arm_mm),
            reach: mm(string.reach_mm),
        });
        Floating::new(&springs, &strings.collect::<Vec<_>>())
    }
}

fn settled(settled: &Settled, added_n: Vec<f64>) -> FloatingSettled {
    FloatingSettled {
        angle_deg: settled.angle.get::<degree>(),
        tensions_n: settled.tensions.iter().map(Force::get::<newton>).collect(),
        heights_mm: millimetres(&settled.heights),
        added_n,
    }
}

/// Where a floating bridge settles when the pegs add so much tension to each string, in N: the others
/// go flat and all heights rise.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn floating_pulled(
    bridge: FloatingBridge,
    added_n: Vec<f64>,
) -> Result<FloatingSettled, FallawayError> {
    let added: Vec<_> = added_n.iter().copied().map(newtons).collect();
    Ok(settled(&bridge.floating()?.pull(&added)?, added_n))
}

/// What the pegs must add so that each string's tension changes by so much, in N.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn floating_pegs_for(
    bridge: FloatingBridge,
    wanted_n: Vec<f64>,
) -> Result<FloatingSettled, FallawayError> {
    let wanted: Vec<_> = wanted_n.iter().copied().map(newtons).collect();
    let (added, found) = bridge.floating()?.added_for(&wanted)?;
    Ok(settled(&found, added.iter().map(Force::get::<newton>).collect()))
}

/// How far the springs' anchor must move to keep the bridge where it is while each string's tension
/// changes by so much, in mm; above zero stretches the springs.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn floating_anchor_mm(
    bridge: FloatingBridge,
    wanted_n: Vec<f64>,
) -> Result<f64, FallawayError> {
    let wanted: Vec<_> = wanted_n.iter().copied().map(newtons).collect();
    Ok(as_mm(bridge.floating()?.anchor_for(&wanted)?))
}

/// How many rounds of tuning, string after string, bring each within `within_n` of the wanted change.
///
/// # Errors
/// `BadInput` outside the limits, or after 100 rounds.
#[uniffi::export]
pub fn floating_rounds(
    bridge: FloatingBridge,
    wanted_n: Vec<f64>,
    within_n: f64,
) -> Result<u32, FallawayError> {
    let wanted: Vec<_> = wanted_n.iter().copied().map(newtons).collect();
    Ok(number(bridge.floating()?.rounds(&wanted, newtons(within_n))?))
}
