#![forbid(unsafe_code)]
//! From the record of an instrument to what to do next: the plan.
//!
//! Everything here is pure: no input or output, no clock. [`from_record::with_input`] lays a record
//! out as an [`input::Input`]; [`plan()`] makes the plan of it,
//! [`setup::from_visit`] targets from what a visit left. Results are typed data;
//! [`words`] turns them into sentences for whoever does not render them.
//!
//! | question | where |
//! |---|---|
//! | what was read or is wanted, and how the chain of work treats it | [`thing`] |
//! | what was done, and what it makes out of date | [`deed`], [`stale`] |
//! | which readings stand today, and which disagree | [`bench`](mod@bench) |
//! | how well a number is known | [`known`] |
//! | one string over its neck: conversions and forecasts | [`neck`] |
//! | how the rod and the screws answer, as shown | [`learn`] |
//! | everything the record teaches, with intervals; forecasts | [`learned`](mod@learned) |
//! | turns in the hand's words | [`hand`] |
//! | the plan: its steps and what they come to | [`plan`](mod@plan) |
//! | what moved since the setup, in the plan | [`since`] |
//! | what changed between two visits, or setup and today | [`what_changed`](mod@what_changed) |
//! | what must be so before work that cannot be undone | [`guard`] |
//! | what can harm | [`caution`] |
//! | what a string weighs and pulls, by what is known of it | [`strings`] |
//! | will it buzz, and what if | [`clearance`] |
//! | why a note buzzes | [`buzz`] |
//! | what other strings or another tuning will do | [`change_strings`] |
//!
//! # What the plan keeps to
//!
//! - Steps come in the order of the trade, because each disturbs those after it; what disturbs what
//!   is one table, [`stale::TABLE`].
//! - A reading counts if it is of today, was not crossed out, and whoever took it knew of everything
//!   that was done and disturbs it.
//! - An adjustment is advised only beyond the tolerance and beyond what the reading can tell. The one
//!   exception: a relief within its tolerance that explains every action that is off.
//! - Turns are given up to the next reading. What follows is a forecast.
//! - Which way a screw works is known when this instrument has shown it, or when somebody wrote down
//!   that it has.
//!
//! ```
//! use fallaway_advice::{input::{InOrder, Input}, facts::Facts, plan, words};
//! // Nothing is known yet: the plan begins at the beginning.
//! let input = Input {
//!     facts: Facts::default(),
//!     wishes: Vec::new(),
//!     events: Vec::new(),
//!     causality: &InOrder,
//!     now_unix_s: 0,
//! };
//! let plan = plan(&input);
//! let next = plan.next_step().unwrap();
//! assert_eq!(words::step(next, &input.facts).title, "tune to pitch");
//! ```

pub mod bench;
pub mod buzz;
pub mod caution;
mod chain;
pub mod change_strings;
pub mod clearance;
pub mod deed;
pub mod facts;
pub mod from_record;
pub mod guard;
pub mod hand;
pub mod input;
pub mod known;
pub mod learn;
pub mod learned;
pub mod neck;
pub mod plan;
mod radius;
mod relief;
mod saddle;
pub mod setup;
pub mod since;
pub mod stale;
mod steps;
pub mod strings;
mod strings_then;
pub mod thing;
pub mod what_changed;
pub mod words;
mod work;

pub use chain::plan;
