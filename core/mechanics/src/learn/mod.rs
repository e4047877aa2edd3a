//! What an instrument's own record teaches: numerical building blocks.
//!
//! | part | question |
//! |---|---|
//! | [`regression`] | linear regression with weak priors and honest intervals |
//! | [`student`] | quantiles of Student's t |
//! | [`season`] | how relief follows moisture, rod and string tension; forecast |
//! | [`rod`] | millimetres of relief per turn of the rod, and how far to turn |
//!
//! These functions see only numbers that a record gives them; which readings count (tuned, of like
//! posture, after acclimatisation) is decided by the caller.

pub mod regression;
pub mod rod;
pub mod season;
pub mod student;

pub use regression::{Coefficient, DataPoint, Prediction, Regression, regress};
pub use rod::{RodAdvice, RodPair, RodResponse, rod_response};
pub use season::{ReliefVisit, SeasonModel, Thin, learn_season};
