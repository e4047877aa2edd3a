//! Whose an instrument is, what is to be done on it and what was, and when it is due again: kept and shown.

use fallaway_order::PutInOrder as _;
use fallaway_text::errors::Accepted;
use fallaway_text::messages::errors as say;

use super::kept::KeptOfInstrument;
use super::model::{Care, Customer, Job};
use crate::error::{Error, NotFoundKind, Result, field, there_are};
use crate::instrument::Instrument;

fn check(job: &Job) -> Result<()> {
    check_text("job", &job.what, 1, 500)?;
    job.waits_for.as_deref().map_or(Ok(()), |part| check_text("part", part, 1, 200))?;
    job.parts.iter().try_for_each(|part| check_text("part", &part.what, 1, 200))
}

/// A text of the shop is one that can be shown: so many characters, none of them a control character.
pub(super) fn check_text(what: &'static str, text: &str, least: usize, most: usize) -> Result<()> {
    let length = text.trim().chars().count();
    if (least..=most).contains(&length) && !text.contains(|c: char| c.is_control() && c != '\n') {
        return Ok(());
    }
    let accepted = Accepted::between(least, most).said(say::shop_text_accepted(least, most));
    Err(Error::bad_input(field(what), say::shop_text(), accepted))
}

impl Instrument {
    /// Whose it is and how to reach them, if this device was told.
    ///
    /// # Errors
    /// When the store cannot be read.
    pub fn customer(&self) -> Result<Option<Customer>> {
        Ok(self.shop()?.customer)
    }

    /// Keeps whose it is, on this device only; `None` forgets it.
    ///
    /// # Errors
    /// [`Error::BadInput`] for an empty name, and for texts that are too long; when the store cannot be
    /// written.
    pub fn set_customer(&self, customer: Option<&Customer>) -> Result<()> {
        if let Some(customer) = customer {
            check_text("name", &customer.name, 1, 120)?;
            check_text("contact", &customer.contact, 0, 500)?;
        }
        self.keep(|kept| {
            kept.customer = customer.cloned();
            Ok(())
        })
    }

    /// The jobs on it, open ones first, each part in the order of their numbers.
    ///
    /// # Errors
    /// When the store cannot be read.
    pub fn jobs(&self) -> Result<Vec<Job>> {
        let mut jobs = self.shop()?.jobs;
        jobs.put_in_order_by_key(|job| (job.done.is_some(), job.number));
        Ok(jobs)
    }

    /// Keeps a job, on this device only: a new one (number 0), which is given a number, or one that there
    /// is, as it stands now. A job that is not tied to a visit is tied to the open one.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a number that no job has; [`Error::BadInput`] for texts that are empty or too
    /// long; when the store cannot be written.
    pub fn keep_job(&self, job: &Job) -> Result<Job> {
        check(job)?;
        let mut job = job.clone();
        if job.visit.is_none() && job.done.is_none() {
            job.visit = self.current_visit()?.map(|visit| visit.id);
        }
        self.keep(|kept| {
            if job.number == 0 {
                kept.last_job = kept.last_job.saturating_add(1);
                job.number = kept.last_job;
                kept.jobs.push(job.clone());
                return Ok(());
            }
            let numbers: Vec<String> = kept.jobs.iter().map(|one| one.number.to_string()).collect();
            let there = kept.jobs.iter_mut().find(|one| one.number == job.number);
            *there.ok_or_else(|| no_job(job.number, numbers))? = job.clone();
            Ok(())
        })?;
        Ok(job)
    }

    /// Forgets a job.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a number that no job has; when the store cannot be written.
    pub fn remove_job(&self, number: u32) -> Result<()> {
        self.keep(|kept| {
            let numbers: Vec<String> = kept.jobs.iter().map(|one| one.number.to_string()).collect();
            let before = kept.jobs.len();
            kept.jobs.retain(|job| job.number != number);
            if kept.jobs.len() == before { Err(no_job(number, numbers)) } else { Ok(()) }
        })
    }

    /// How often it is looked at again, if that was said.
    ///
    /// # Errors
    /// When the store cannot be read.
    pub fn care(&self) -> Result<Option<Care>> {
        Ok(self.shop()?.care)
    }

    /// Keeps how often it is looked at again, on this device only; `None` forgets it.
    ///
    /// # Errors
    /// [`Error::BadInput`] for months that no year has; when the store cannot be written.
    pub fn set_care(&self, care: Option<&Care>) -> Result<()> {
        if let Some(care) = care {
            let after = care.after_months.is_none_or(|months| (1..=120).contains(&months));
            let within = care.in_months.iter().all(|month| (1..=12).contains(month));
            let something = care.after_months.is_some() || !care.in_months.is_empty();
            if !(after && within && something) {
                let accepted =
                    if after { Accepted::between(1, 12) } else { Accepted::between(1, 120) };
                let accepted = accepted.said(say::care_accepted());
                return Err(Error::bad_input(field("care"), say::care(), accepted));
            }
        }
        self.keep(|kept| {
            kept.care = care.cloned();
            Ok(())
        })
    }

    pub(super) fn shop(&self) -> Result<KeptOfInstrument> {
        drop(self.inner.session()?);
        self.inner.store.generation(&self.id)?;
        self.inner.shop_of(&self.id)
    }

    fn keep(&self, change: impl FnOnce(&mut KeptOfInstrument) -> Result<()>) -> Result<()> {
        let mut session = self.inner.session()?;
        self.inner.store.generation(&self.id)?;
        let mut kept = self.inner.shop_of(&self.id)?;
        change(&mut kept)?;
        self.inner.keep_shop_of(&self.id, Some(&kept))?;
        session.changed.insert(self.id);
        Ok(())
    }
}

fn no_job(number: u32, there: Vec<String>) -> Error {
    Error::NotFound {
        what: NotFoundKind::Job,
        name: number.to_string(),
        accepted: there_are(there),
    }
}
