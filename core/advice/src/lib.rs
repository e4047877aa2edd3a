#![forbid(unsafe_code)]
//! The plan.

pub mod bench;
pub mod card;
pub mod caution;
mod chain;
pub mod deed;
pub mod facts;
pub mod from_record;
pub mod guard;
pub mod hand;
pub mod input;
pub mod known;
pub mod learn;
pub mod neck;
pub mod plan;
mod relief;
mod saddle;
pub mod setup;
pub mod since;
pub mod stale;
mod steps;
pub mod thing;
pub mod words;
mod work;

pub use chain::plan;
