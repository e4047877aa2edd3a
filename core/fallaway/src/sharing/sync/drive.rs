//! Runs a round: its steps are done one after the other, and nothing is held while a request is on its
//! way.

use std::ops::ControlFlow;

use fallaway_changes::LogId;
use fallaway_sync::{Mode, Round, RoundEvent, RoundStep, SyncOutcome, TakeFault};

use super::shelf::Shelf;
use super::{HttpTransport, NoAnswer, SyncReport, address};
use crate::error::{Error, NotFoundKind, Result};
use crate::instrument::Instrument;
use crate::keeping::callbacks::{LogLevel, ProgressListener};
use crate::keeping::secrets::draw;
use crate::sharing::relay::RelayKept;

/// How often a former relay is tried before it is left without word.
const LEAVING: u32 = 3;

impl Instrument {
    /// Bundles first, then photos: a photo is of use to whoever has its line.
    pub(super) fn exchange(
        &self,
        http: &dyn HttpTransport,
        mode: Mode,
        progress: &dyn ProgressListener,
    ) -> Result<SyncReport> {
        let mut report = self.exchange_bundles(http, mode, progress)?;
        if matches!(report.outcome, SyncOutcome::UpToDate | SyncOutcome::NoNews) {
            let at =
                self.inner.with_record(self.id, |_, loaded| Ok(address(&self.inner, loaded)))?;
            if let Some(at) = at {
                let photos = self.carry_photos(http, progress, at)?;
                report.photos_sent = photos.sent;
                report.photos_waiting = photos.waiting;
            }
        }
        Ok(report)
    }

    fn exchange_bundles(
        &self,
        http: &dyn HttpTransport,
        mode: Mode,
        progress: &dyn ProgressListener,
    ) -> Result<SyncReport> {
        let here = || {
            let found =
                self.inner.with_record(self.id, |_, loaded| Ok(address(&self.inner, loaded)))?;
            found.ok_or_else(|| Error::not_found(NotFoundKind::Relay, ""))
        };
        let now = here()?;
        let before = RelayKept::load(self.inner.store.as_ref(), &self.id);
        let before = before.map(|kept| (kept.url, kept.log)).filter(|before| *before != now);
        let Some(before) = before else { return self.round(http, mode, progress, now) };
        // Who knows the former relay alone hears there that the record has moved.
        let left = self.round(http, Mode::Once, progress, before.clone())?;
        let stays = match left.outcome {
            SyncOutcome::Stopped => true,
            // It may be gone for good.
            SyncOutcome::Later { .. } => {
                let (url, log) = before;
                Shelf::new(&self.inner, self.id, url, log).note_leaving()? < LEAVING
            }
            _ => false,
        };
        if stays { Ok(left) } else { Ok(left.and(self.round(http, mode, progress, here()?)?)) }
    }

    fn round(
        &self,
        http: &dyn HttpTransport,
        mode: Mode,
        progress: &dyn ProgressListener,
        (url, log): (String, LogId),
    ) -> Result<SyncReport> {
        let mut shelf = Shelf::new(&self.inner, self.id, url.clone(), log);
        let mut round = Round::new(&url, log, shelf.kept().cursor);
        let mut merges = Vec::new();
        let mut now = 0;
        let mut failed = None;
        let mut event = RoundEvent::Start(mode);
        loop {
            let random = u64::from_le_bytes(draw(self.inner.random.as_ref())?);
            event = match round.step(now, random, event) {
                RoundStep::Offer { bundles, bytes, at_end } => {
                    RoundEvent::Offered(shelf.offer((bundles, bytes), at_end)?)
                }
                RoundStep::Send(request) => match http.send(&request) {
                    Ok(response) => RoundEvent::Response(response),
                    Err(NoAnswer { why, reason }) => {
                        self.inner.log(LogLevel::Warning, || {
                            format!("no answer from a relay ({}): {reason}", why.word())
                        });
                        RoundEvent::Failed(why)
                    }
                },
                RoundStep::Take(page) => {
                    let came = (round.report().received + round.report().sent) as u64;
                    match shelf.take(&page) {
                        Ok(report) => {
                            merges.extend(report);
                            let total = came.saturating_add(page.remaining);
                            match progress.at(came, total) {
                                ControlFlow::Continue(()) => RoundEvent::Taken(Ok(())),
                                ControlFlow::Break(()) => RoundEvent::Stop,
                            }
                        }
                        Err(error) => {
                            let full = matches!(error, Error::Full { .. });
                            failed = Some(error);
                            let why = if full { TakeFault::Full } else { TakeFault::Other };
                            RoundEvent::Taken(Err(why))
                        }
                    }
                }
                RoundStep::SetAside { id, why } => {
                    shelf.set_aside(id, why)?;
                    RoundEvent::IsAside
                }
                RoundStep::Wait { until } => {
                    http.wait(until.saturating_sub(now));
                    now = until;
                    match progress.at(0, 0) {
                        ControlFlow::Continue(()) => RoundEvent::Timer,
                        ControlFlow::Break(()) => RoundEvent::Stop,
                    }
                }
                RoundStep::Done(SyncOutcome::NotTaken) => {
                    return Err(failed.unwrap_or(Error::Cancelled));
                }
                RoundStep::Done(outcome) => {
                    return Ok(SyncReport::of(outcome, round.report(), merges));
                }
            };
        }
    }
}
