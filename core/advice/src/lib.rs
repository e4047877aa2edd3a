#![forbid(unsafe_code)]
#![warn(unreachable_pub)]
//! From the record of an instrument to what to do next: the plan.
//!
//! Everything here is pure: no input or output, no clock. [`observe::with_input`] lays a record
//! out as an [`observe::Input`]; [`plan()`] makes the plan of it,
//! [`observe::targets_from_visit`] targets from what a visit left. Results are typed data;
//! the crate `fallaway-text` turns them into sentences.
//!
//! Each floor draws only on those above it in this table:
//!
//! | question | where |
//! |---|---|
//! | turns as a hand makes them; what can harm; what a string weighs and pulls | [`turns`], [`hazard`], [`strings`] |
//! | what was read and done, which readings stand, how well a number is known | [`observe`] |
//! | one string over its neck: conversions and forecasts | [`neck`] |
//! | will it buzz, and what if | [`clearance`] |
//! | why a note buzzes | [`buzz`] |
//! | what the record teaches, with intervals; forecasts | [`learn`] |
//! | what other strings or another tuning will do | [`change_strings`] |
//! | a reading against its target; what moved since the setup or between two visits | [`compare`] |
//! | the plan: its steps and what they come to | [`plan`](mod@plan) |
//!
//! # What the plan keeps to
//!
//! - Steps come in the order of the trade, because each disturbs those after it; what disturbs what
//!   is one table, [`observe::TABLE`].
//! - A reading counts if it is of today, was not crossed out, and whoever took it knew of everything
//!   that was done and disturbs it.
//! - An adjustment is advised only beyond the tolerance and beyond what the reading can tell. The one
//!   exception: a relief within its tolerance that explains every action that is off.
//! - Turns are given up to the next reading. What follows is a forecast.
//! - Which way a screw works is known when this instrument has shown it, or when somebody wrote down
//!   that it has.
//!
//! ```
//! use fallaway_advice::{observe::{Facts, InOrder, Input}, plan, plan::StepKind};
//! // Nothing is wanted yet: the plan asks for that first.
//! let input = Input {
//!     facts: Facts::default(),
//!     targets: Vec::new(),
//!     events: Vec::new(),
//!     causality: &InOrder,
//!     now_unix_s: 0,
//! };
//! let plan = plan(&input);
//! let next = plan.next_step().unwrap();
//! assert_eq!(next.kind, StepKind::Targets);
//! ```

pub mod buzz;
pub mod change_strings;
pub mod clearance;
pub mod compare;
pub mod hazard;
pub mod learn;
pub mod neck;
mod normal;
pub mod observe;
pub mod plan;
pub mod strings;
pub mod turns;

pub use plan::plan;
