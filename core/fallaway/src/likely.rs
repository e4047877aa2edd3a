//! Times at which something can have happened.

use fallaway_measure::LimitUnit;
use fallaway_record::Moment;
use fallaway_text::errors::Accepted;
use fallaway_text::messages::errors as say;
use fallaway_text::names;

use crate::error::{Error, Result, field};

/// Before it nobody read a set-up down to sixty-fourths.
const YEAR_1900: i64 = -2_208_988_800;
const DAY_S: i64 = 24 * 60 * 60;

/// Refuses a time before 1900, and one after tomorrow: clocks differ.
pub(crate) fn likely(at: Option<Moment>, now: Moment) -> Result<()> {
    let (earliest, latest) = (YEAR_1900, now.unix_s.saturating_add(DAY_S));
    match at.filter(|at| !(earliest..=latest).contains(&at.unix_s)) {
        None => Ok(()),
        Some(at) => Err(Error::bad_input(
            field("time"),
            say::time_unlikely(names::moment(at)),
            Accepted::from_to(earliest as f64, latest as f64, LimitUnit::Second)
                .said(say::time_likely()),
        )),
    }
}
