#![forbid(unsafe_code)]
#![warn(unreachable_pub)]
//! The set-up mathematics of a fretted instrument, as pure functions.
//!
//! No input or output, no clock, no state kept between calls. Lengths, forces and the rest are
//! typed quantities of the `uom` crate; everything that can go wrong with a caller's numbers comes
//! back as [`Error`], which names the quantity, the value, its unit and what would be accepted.
//!
//! # Where things are
//!
//! | module | question |
//! |---|---|
//! | [`frets`] | where does fret n lie? |
//! | [`neck`] | how high is each crown, and how much relief is that? |
//! | [`crowns`] | does a straight edge rock; which crown stands proud, by how much? |
//! | [`string_line`] | how far is the string from fret j when stopped at m; what must the saddle do? |
//! | [`conversions`] | what would another way of reading show, and how surely? |
//! | [`board`] | how does the arch lie under the strings; which saddles give equal gaps? |
//! | [`spacing`] | where do strings lie across nut and bridge? |
//! | [`screws`] | how far to turn a screw, in the hand's words |
//! | [`bridge`] | which screws move which strings; what is left over |
//! | [`floating`] | what a bridge on springs does when one string changes |
//! | [`shim`] | which wedge in the neck pocket replaces a saddle move |
//! | [`state`] | what moved since last time: neck, joint, saddle or nut? |
//! | [`uncertain`] | a value and how well it is known |
//! | [`units`] | short ways to write and read lengths |
//! | [`error`] | what a refusal says |
//! | [`pitch`] | notes, frequencies, cents |
//! | [`strings`] | mass, tension, sets, what a string bears, drift |
//! | [`stiff_string`] | partials of a string that resists bending |
//! | [`intonation`] | where saddle and nut must stand |
//! | [`pluck`] | the swing of an ideal string in closed form |
//! | [`modal`] | the swing of a stiff, damped string: the model |
//! | [`envelope`] | how low a plucked string comes over every fret |
//! | [`envelope_cache`] | envelopes kept between questions |
//! | [`clearance`] | will it buzz; the lowest action, the best relief, the touch |
//! | [`wood`] | how moist wood becomes in given air |
//! | [`learn`] | what the record teaches of rod and season |
//! | [`pickups`] | gaps under the strings |
//!
//! # Conventions
//!
//! - x runs from the nut along a string, z from the board toward the strings.
//! - The straight part of a neck, from the joint fret to the saddle, is z = 0 ("the body's frame").
//! - Curvature is positive when the nut end bends up toward the strings: positive relief.
//! - `g(m, j)` is the gap between the underside of a string stopped at fret m and the top of fret
//!   j; m = 0 is the open string resting in its nut slot.
//!
//! # How certainty is carried
//!
//! A number computed from readings is an [`Uncertain`]: a value and its standard uncertainty,
//! propagated to first order (JCGM 100:2008, "GUM", 5.1.2).

pub mod board;
pub mod bridge;
pub mod clearance;
pub mod conversions;
pub mod crowns;
pub mod envelope;
pub mod envelope_cache;
pub mod error;
pub mod floating;
pub mod frets;
pub mod intonation;
pub mod learn;
pub mod modal;
pub mod neck;
pub mod pickups;
pub mod pitch;
pub mod pluck;
pub mod screws;
pub mod shim;
pub mod spacing;
pub mod state;
pub mod stiff_string;
pub mod string_line;
pub mod strings;
pub mod uncertain;
pub mod units;
pub mod wood;

pub use error::{Error, Result};
pub use uncertain::Uncertain;
/// The crate of the typed quantities, in the version that the functions here take.
pub use uom;
