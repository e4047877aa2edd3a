//! Two devices that meet: one listens, the other comes, and over any stream of bytes both end with the
//! same record. No relay, no file.
//!
//! As in a round, nothing here does I/O or knows the time: each event is answered by one step.

mod end;
mod frames;
mod incoming;
mod key;
pub mod limits;
mod noise;
mod opening;
mod photos;
mod types;

pub use end::Meeting;
pub use frames::MeetingState;
pub use key::MeetingKey;
pub use photos::{PhotoPart, PhotoWant};
pub use types::{
    Farewell, MeetingEvent, MeetingFault, MeetingOffer, MeetingOutcome, MeetingReport, MeetingStep,
};
