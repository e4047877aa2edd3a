//! How a record crosses a relay, and from one device to another that it meets.
//!
//! No I/O, no clock, no randomness of its own: requests go out as data, answers come in as data.
//! What client and relay say stands in [`wire`], the meeting of two devices in [`meeting`].

#![forbid(unsafe_code)]
#![warn(unreachable_pub)]

mod answer;
mod backoff;
pub mod meeting;
mod round;
mod types;
pub mod wire;

pub use backoff::Backoff;
pub use round::Round;
pub use types::{
    ExchangeFault, LogAccess, LogCursor, Mode, Offer, Page, RoundEvent, RoundReport, RoundStep,
    SyncBlocked, SyncOutcome, TakeFault,
};
