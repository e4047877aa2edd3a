//! Two devices in one room, over a stream in memory that may be cut at any byte.

#[path = "../../../core/fallaway/tests/common/wire.rs"]
mod wire;

use fallaway::meeting::{MeetOptions, MeetReport};
use fallaway::{Error, Workshop};

const DIGITS: &str = "471108";

/// Lets two devices meet, the first of which comes and the second listens; the stream is cut after so
/// many bytes, if at all.
///
/// # Errors
/// Whatever a meeting answers, of each.
///
/// # Panics
/// If one of them does.
pub fn meet(
    [comes, listens]: [&Workshop; 2],
    cut: Option<usize>,
) -> [Result<MeetReport, Error>; 2] {
    let options =
        |listens| MeetOptions { listens, digits: DIGITS.to_owned(), only: None, invitation: None };
    wire::meet((comes, options(false)), (listens, options(true)), cut).0
}
