//! The desk of the shop: what is open on all instruments, and which are due again.

use chrono::{DateTime, Datelike as _, Months, NaiveDate};
use fallaway_order::PutInOrder as _;
use fallaway_record::Moment;

use super::model::{Care, Customer, Job};
use crate::error::Result;
use crate::showing::views::{InstrumentId, InstrumentSummary};
use crate::workshop::Workshop;

/// A job that is open, with the instrument that it is about.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenWork {
    /// The instrument that the job is about.
    pub instrument: InstrumentId,
    /// What it is called.
    pub name: String,
    /// Whose the instrument is; `None` if this device was not told.
    pub customer: Option<Customer>,
    /// What is to be done.
    pub job: Job,
}

/// An instrument that is to be looked at again.
#[derive(Debug, Clone, PartialEq)]
pub struct DueAgain {
    /// The instrument that is due.
    pub instrument: InstrumentId,
    /// What it is called.
    pub name: String,
    /// Whose the instrument is; `None` if this device was not told.
    pub customer: Option<Customer>,
    /// When something was written down last.
    pub last: Option<Moment>,
    /// Since when it is due.
    pub since: Moment,
}

impl Workshop {
    /// Says in the list what is open on each, and which are due: in one reading of what the shop keeps.
    pub(crate) fn with_work(&self, all: &mut [InstrumentSummary]) -> Result<()> {
        let kept = self.inner.shop_of_all()?;
        let now = self.inner.clock.now();
        for one in all {
            let Some(kept) = kept.get(&one.id) else { continue };
            one.open_work = kept.jobs.iter().filter(|job| job.done.is_none()).count();
            one.due = kept.care.as_ref().and_then(|care| due_since(care, one.last_entry, now));
        }
        Ok(())
    }

    /// The open jobs of all instruments that were not put away: those with a day first, by the day; then
    /// the others as they were taken in.
    ///
    /// # Errors
    /// [`crate::Error::Closed`], or when the store cannot be read.
    pub fn open_work(&self) -> Result<Vec<OpenWork>> {
        let mut open = Vec::new();
        let mut all = self.inner.shop_of_all()?;
        for one in self.instruments()? {
            let Some(kept) = all.remove(&one.id) else { continue };
            let jobs = kept.jobs.into_iter().filter(|job| job.done.is_none());
            open.extend(jobs.map(|job| OpenWork {
                instrument: one.id,
                name: one.name.clone(),
                customer: kept.customer.clone(),
                job,
            }));
        }
        let day = |moment: Moment| moment.unix_s;
        open.put_in_order_by_key(|one| (one.job.due.map_or(i64::MAX, day), day(one.job.begun)));
        Ok(open)
    }

    /// The instruments that are due again, the longest first: so many months after something was written
    /// down last, or because a month has begun since then in which they are looked at every year.
    ///
    /// # Errors
    /// As [`Workshop::open_work`].
    pub fn due_again(&self) -> Result<Vec<DueAgain>> {
        let mut all = self.inner.shop_of_all()?;
        let mut due = Vec::new();
        for one in self.instruments()? {
            due.extend(one.due.map(|since| DueAgain {
                instrument: one.id,
                name: one.name,
                customer: all.remove(&one.id).and_then(|kept| kept.customer),
                last: one.last_entry,
                since,
            }));
        }
        due.put_in_order_by_key(|one| one.since.unix_s);
        Ok(due)
    }
}

/// Since when an instrument is due, if it is.
fn due_since(care: &Care, last: Option<Moment>, now: Moment) -> Option<Moment> {
    let Some(last) = last else { return Some(now) };
    let (today, read) = (date(now)?, date(last)?);
    let after = care.after_months.and_then(|months| {
        read.checked_add_months(Months::new(months.into())).filter(|day| *day <= today)
    });
    let began = care.in_months.iter().filter_map(|month| {
        let of_year = |year| NaiveDate::from_ymd_opt(year, (*month).into(), 1);
        [of_year(today.year()), of_year(today.year() - 1)]
            .into_iter()
            .flatten()
            .find(|day| *day <= today)
            .filter(|day| read < *day)
    });
    let day = after.into_iter().chain(began).min()?;
    let noon = day.and_hms_opt(12, 0, 0)?.and_utc().timestamp();
    Moment::new(noon - i64::from(now.offset_min) * 60, now.offset_min)
}

fn date(moment: Moment) -> Option<NaiveDate> {
    let seconds = moment.unix_s.checked_add(i64::from(moment.offset_min) * 60)?;
    Some(DateTime::from_timestamp(seconds, 0)?.date_naive())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read_moment;

    fn moment(text: &str) -> Moment {
        read_moment(text, Moment { unix_s: 0, offset_min: 60 }).unwrap()
    }

    #[test]
    fn an_instrument_is_due_months_after_it_was_read_or_when_a_month_begins() {
        let care =
            |after_months, in_months: &[u8]| Care { after_months, in_months: in_months.into() };
        let due = |care: &Care, last: &str, now: &str| {
            due_since(care, Some(moment(last)), moment(now))
                .map(|since| date(since).unwrap().to_string())
        };
        let half = care(Some(6), &[]);
        assert_eq!(due(&half, "2026-01-31", "2026-07-30"), None);
        assert_eq!(due(&half, "2026-01-31", "2026-07-31").as_deref(), Some("2026-07-31"));
        let twice = care(None, &[3, 9]);
        assert_eq!(due(&twice, "2026-03-02", "2026-08-31"), None);
        assert_eq!(due(&twice, "2026-03-02", "2026-09-05").as_deref(), Some("2026-09-01"));
        // Over the turn of a year.
        assert_eq!(due(&twice, "2025-08-30", "2026-01-05").as_deref(), Some("2025-09-01"));
        assert_eq!(due_since(&half, None, moment("2026-01-05")), Some(moment("2026-01-05")));
    }
}
