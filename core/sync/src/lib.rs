//! How a record crosses a relay: what client and relay share, and the client itself.
//!
//! No I/O, no clock, no randomness of its own: requests go out as data, answers come in as data.
//! What both sides say stands in [`wire`].

#![forbid(unsafe_code)]
#![warn(unreachable_pub)]

mod answer;
mod backoff;
mod round;
mod types;
pub mod wire;

pub use backoff::Backoff;
pub use round::Round;
pub use types::{
    ExchangeFault, LogAccess, LogCursor, Mode, Offer, Page, RoundEvent, RoundReport, RoundStep,
    SyncBlocked, SyncOutcome, TakeFault,
};
