//! Runs a round: its steps are done one after the other, and nothing is held while a request is on its
//! way.

use std::ops::ControlFlow;

use fallaway_order::OneByOne as _;
use fallaway_record::Moment;
use fallaway_sharing::Receipt;
use fallaway_sync::{Mode, Round, RoundEvent, RoundStep, SyncBlocked, SyncOutcome, TakeFault};

use super::shelf::Shelf;
use super::{HttpTransport, NoAnswer, SyncReport, address};
use crate::error::{Error, NotFoundKind, Result};
use crate::instrument::Instrument;
use crate::keeping::callbacks::{LogLevel, ProgressListener};
use crate::keeping::secrets::draw;
use crate::sharing::receipts::{self, Receipts, RelayDoubt};
use crate::sharing::relay::{RelayKept, RelaysKept};

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
            report.doubts = self.new_doubts()?;
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
        let kept = RelayKept::load(self.inner.store.as_ref(), &self.id);
        let before = kept.map(|kept| (kept.url, kept.log)).filter(|before| *before != now);
        let Some((url, log)) = before else {
            let report =
                self.round(http, mode, progress, Shelf::new(&self.inner, self.id, now.0, now.1))?;
            return self.look_at_former(http, progress, report);
        };
        // Who knows the former relay alone hears there that the record has moved.
        let shelf = Shelf::new(&self.inner, self.id, url.clone(), log);
        let left = self.round(http, Mode::Once, progress, shelf)?;
        let stays = match left.outcome {
            SyncOutcome::Stopped => true,
            // It may be gone for good.
            SyncOutcome::Later { .. } => {
                Shelf::new(&self.inner, self.id, url, log).note_leaving()? < LEAVING
            }
            _ => false,
        };
        if stays {
            return Ok(left);
        }
        let (url, log) = here()?;
        let shelf = Shelf::new(&self.inner, self.id, url, log);
        shelf.come_back()?;
        Ok(left.and(self.round(http, mode, progress, shelf)?))
    }

    /// Where the record was carried before, somebody may look for it who has not heard, and may have
    /// filled that log anew if it was lost.
    fn look_at_former(
        &self,
        http: &dyn HttpTransport,
        progress: &dyn ProgressListener,
        mut report: SyncReport,
    ) -> Result<SyncReport> {
        if !matches!(report.outcome, SyncOutcome::UpToDate | SyncOutcome::NoNews) {
            return Ok(report);
        }
        for (url, log) in self.former_relays()? {
            let mut shelf = Shelf::new(&self.inner, self.id, url.clone(), log);
            shelf.former = true;
            let seen = self.round(http, Mode::Once, progress, shelf)?;
            let shelf = Shelf::new(&self.inner, self.id, url, log);
            match seen.outcome {
                SyncOutcome::Stopped => return Ok(report.and(seen)),
                SyncOutcome::Later { .. } if shelf.note_leaving()? < LEAVING => {}
                // A newcomer may be let in, or the log be opened, by others.
                SyncOutcome::Blocked(SyncBlocked::Knocked | SyncBlocked::NotYet) => {}
                SyncOutcome::Later { .. } | SyncOutcome::Blocked(_) => shelf.leave()?,
                _ => {}
            }
            // How the exchange ended, the relay says that carries the record.
            let outcome = report.outcome;
            report = seen.and(report);
            report.outcome = outcome;
        }
        Ok(report)
    }

    /// Whom the relay has shown something else than this device, where nobody was told yet.
    fn new_doubts(&self) -> Result<Vec<RelayDoubt>> {
        let store = self.inner.store.as_ref();
        let now = self.inner.clock.now();
        let found = self.inner.with_record(self.id, |identity, loaded| {
            let Some((url, log)) = address(&self.inner, loaded) else { return Ok(None) };
            let all = RelaysKept::load(store, &self.id);
            let Some(kept) = all.of(&url, &log) else { return Ok(None) };
            let (known, own) = (Receipts::load(store, &self.id), identity.keys.device());
            let by: Vec<Receipt> = receipts::doubts(&known, loaded, kept)
                .filter(|one| one.device != own)
                .cloned()
                .collect();
            let told = by.iter().map(receipts::mark).in_set();
            let mut labels = loaded.members.labels(&own);
            let new = by.iter().filter(|one| !kept.told.contains(&receipts::mark(one)));
            let new: Vec<RelayDoubt> = new
                .filter_map(|one| {
                    let at = Moment { unix_s: one.time, ..now };
                    labels.remove(&one.device).map(|device| RelayDoubt { device, at })
                })
                .collect();
            Ok((kept.told != told).then_some((url, log, told, new)))
        })?;
        let Some((url, log, told, new)) = found else { return Ok(Vec::new()) };
        let shelf = Shelf::new(&self.inner, self.id, url, log);
        shelf.keep(|kept| kept.told.clone_from(&told))?;
        Ok(new)
    }

    fn round(
        &self,
        http: &dyn HttpTransport,
        mode: Mode,
        progress: &dyn ProgressListener,
        mut shelf: Shelf<'_>,
    ) -> Result<SyncReport> {
        let mut round =
            Round::new(&shelf.url, shelf.log, shelf.kept().cursor).with_admission(http.admission());
        let mut merges = Vec::new();
        let mut now = 0;
        let mut failed = None;
        let mut event = RoundEvent::Start(mode);
        loop {
            let random = u64::from_le_bytes(draw(self.inner.random.as_ref())?);
            event = match round.step(now, random, event) {
                RoundStep::Offer { bundles, bytes, at_end, retired } => {
                    RoundEvent::Offered(shelf.offer((bundles, bytes), at_end, retired)?)
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
                    return Ok(SyncReport::of(outcome, round.report(), shelf.receipts, merges));
                }
            };
        }
    }
}
