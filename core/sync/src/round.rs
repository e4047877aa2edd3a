//! One device and one log, from the first request until nothing is left: plain data without I/O.

use fallaway_changes::{BundleId, EpochId, LogId};
use fallaway_sharing::bundle_id;

use crate::answer::{self, Answer, Read};
use crate::backoff::Backoff;
use crate::types::{
    ExchangeFault, LogAccess, LogCursor, Mode, Offer, Page, RoundEvent, RoundReport, RoundStep,
    SyncBlocked, SyncOutcome, TakeFault,
};
use crate::wire::access::LogToken;
use crate::wire::http::{HttpMethod, HttpRequest, HttpResponse};
use crate::wire::limits::{MAX_PAGE_BUNDLES, MAX_PAGE_BYTES, MAX_TRIES, MAX_WAIT_S};
use crate::wire::problem::Code;
use crate::wire::{page, route};

/// So many failures in a row, and the round is over until later.
const PATIENCE: u32 = 4;
/// A longer wait is left to whoever began the round.
const LONGEST_WAIT_MS: u64 = 10_000;
/// How often a log may be found other than it was, or its access be changed, in one round.
const MOST_TURNS: u8 = 3;

/// The exchange of one record with one log. Between any two steps it can be dropped: a new one goes on
/// from the cursor that was kept last.
#[derive(Debug, Clone)]
pub struct Round {
    url: String,
    log: LogId,
    admission: Option<String>,
    mode: Mode,
    cursor: LogCursor,
    /// The next page makes what is known of the log void.
    anew: bool,
    keys: Vec<LogAccess>,
    opens: bool,
    told: Vec<EpochId>,
    path: Vec<EpochId>,
    /// Epochs that the log's access has gone through before.
    passed: Vec<EpochId>,
    knock: Option<Vec<u8>>,
    knocked: bool,
    asks_knocks: bool,
    asked_knocks: bool,
    answers: Vec<(BundleId, Vec<Vec<u8>>)>,
    answered: Vec<BundleId>,
    /// Epochs whose token the relay did not take in this round, or that reads up to a number only.
    tried: Vec<EpochId>,
    /// How many of them the relay did not know.
    wrong: usize,
    /// Opening the log was tried in this round.
    asked_to_open: bool,
    /// The epoch whose token reads up to a number only: the people of the record go on under another key.
    retired: Option<EpochId>,
    /// Everything was read that its token reads.
    followed: bool,
    /// The relay has answered since the round began, and nothing followed.
    heard: bool,
    /// How much of the log follows the cursor, as far as is known.
    remaining: u64,
    /// What is to be sent is sent.
    pushing: bool,
    /// Bundles in one push.
    batch: usize,
    turns: u8,
    backoff: Backoff,
    state: State,
    report: RoundReport,
}

/// What the round waits for.
#[derive(Debug, Clone, PartialEq, Eq)]
enum State {
    Idle,
    Offering,
    Opening,
    Exchanging {
        sent: Vec<BundleId>,
    },
    /// Reads up to where the old key ends.
    Following,
    Listening,
    Rotating {
        epoch: EpochId,
    },
    Taking {
        cursor: LogCursor,
        remaining: u64,
        following: bool,
    },
    SettingAside,
    Knocking,
    /// Hears whether the knock was answered.
    Hearing,
    /// Asks who knocks.
    Asking,
    Answering,
    Waiting {
        until: u64,
    },
}

impl Round {
    /// A round of the log at a relay, from where the device has read it.
    pub fn new(url: &str, log: LogId, cursor: LogCursor) -> Self {
        Self {
            url: url.trim_end_matches('/').to_owned(),
            log,
            admission: None,
            mode: Mode::Once,
            cursor,
            anew: false,
            keys: Vec::new(),
            opens: false,
            told: Vec::new(),
            path: Vec::new(),
            passed: Vec::new(),
            knock: None,
            knocked: false,
            asks_knocks: false,
            asked_knocks: false,
            answers: Vec::new(),
            answered: Vec::new(),
            tried: Vec::new(),
            wrong: 0,
            asked_to_open: false,
            retired: None,
            followed: false,
            heard: false,
            remaining: 0,
            pushing: true,
            batch: MAX_PAGE_BUNDLES,
            turns: 0,
            backoff: Backoff::default(),
            state: State::Idle,
            report: RoundReport::default(),
        }
    }

    /// The same, with what the operator asks for before a log is opened.
    #[must_use]
    pub fn with_admission(mut self, admission: Option<String>) -> Self {
        self.admission = admission;
        self
    }

    /// What was done since the round began.
    pub const fn report(&self) -> &RoundReport {
        &self.report
    }

    /// How many failures there were in a row.
    pub const fn failures(&self) -> u32 {
        self.backoff.failures()
    }

    /// Takes what happened, and says what to do. `now` is in milliseconds of any clock that does not go
    /// back, `random` a number drawn for this call.
    pub fn step(&mut self, now: u64, random: u64, event: RoundEvent) -> RoundStep {
        match (std::mem::replace(&mut self.state, State::Idle), event) {
            (State::Idle, RoundEvent::Start(mode)) => self.begin(mode),
            (State::Offering, RoundEvent::Offered(offer)) => self.offered(offer),
            (State::Exchanging { sent }, RoundEvent::Response(response)) => {
                match answer::read(&response, &self.cursor.position, &sent) {
                    // It says that more follows, and sends nothing.
                    Read::Page(answer)
                        if answer.remaining > 0 && answer.bundles.is_empty() && sent.is_empty() =>
                    {
                        self.wait(ExchangeFault::Garbage, None, now, random)
                    }
                    Read::Page(answer) => self.take(answer, &sent, false),
                    other => self.refused(&other, &sent, now, random),
                }
            }
            (State::Following, RoundEvent::Response(response)) => {
                match answer::read(&response, &self.cursor.position, &[]) {
                    Read::Page(answer) => self.take(answer, &[], true),
                    other => self.refused(&other, &[], now, random),
                }
            }
            (State::Listening, RoundEvent::Response(response)) => {
                match answer::read(&response, &self.cursor.position, &[]) {
                    Read::Page(_) if response.header(route::RETIRED_HEADER).is_some() => {
                        self.retired()
                    }
                    Read::Page(answer) if answer.bundles.is_empty() => {
                        self.backoff.reset();
                        let nothing = self.report.received == 0;
                        RoundStep::Done(if nothing {
                            SyncOutcome::NoNews
                        } else {
                            SyncOutcome::UpToDate
                        })
                    }
                    Read::Page(answer) => self.take(answer, &[], false),
                    other => self.refused(&other, &[], now, random),
                }
            }
            (State::Opening, RoundEvent::Response(response)) => self.opened(&response, now, random),
            (State::Rotating { epoch }, RoundEvent::Response(response)) => {
                self.rotated(epoch, &response, now, random)
            }
            (State::Knocking, RoundEvent::Response(response)) => match answer::refusal(&response) {
                None => self.hear(),
                Some(other) => self.not_let_in(&other, now, random),
            },
            (State::Hearing, RoundEvent::Response(response)) => match answer::refusal(&response) {
                None => self.take_beside(&response, false, now, random),
                Some(other) => self.not_let_in(&other, now, random),
            },
            (State::Asking, RoundEvent::Response(response)) => match answer::refusal(&response) {
                None => self.take_beside(&response, true, now, random),
                Some(Read::Failed { why, retry_after_s }) => {
                    self.wait(why, retry_after_s, now, random)
                }
                // It may be asked again in the next round.
                Some(_) => self.finish(),
            },
            (State::Answering, RoundEvent::Response(response)) => {
                match answer::refusal(&response) {
                    Some(Read::Failed { why, retry_after_s }) => {
                        self.wait(why, retry_after_s, now, random)
                    }
                    _ => self.finish(),
                }
            }
            (
                State::Exchanging { .. }
                | State::Knocking
                | State::Hearing
                | State::Asking
                | State::Answering
                | State::Following
                | State::Listening
                | State::Opening
                | State::Rotating { .. },
                RoundEvent::Failed(why),
            ) => self.wait(why, None, now, random),
            (State::Taking { cursor, remaining, following }, RoundEvent::Taken(Ok(()))) => {
                self.taken(cursor, remaining, following)
            }
            (State::Taking { .. }, RoundEvent::Taken(Err(fault))) => RoundStep::Done(match fault {
                TakeFault::Full => SyncOutcome::Blocked(SyncBlocked::NoRoom),
                TakeFault::Other => SyncOutcome::NotTaken,
            }),
            (State::SettingAside, RoundEvent::IsAside) => self.look(),
            (State::Waiting { until }, RoundEvent::Timer) if now >= until => self.look(),
            (State::Waiting { until }, RoundEvent::Timer) => {
                self.state = State::Waiting { until };
                RoundStep::Wait { until }
            }
            (State::Waiting { .. }, RoundEvent::Network) => {
                self.backoff.reset();
                self.look()
            }
            // Stop, or what was not asked for: the round ends, and nothing is lost by that.
            (_, _) => RoundStep::Done(SyncOutcome::Stopped),
        }
    }

    fn begin(&mut self, mode: Mode) -> RoundStep {
        self.mode = mode;
        self.try_anew();
        self.asked_to_open = false;
        self.knocked = false;
        self.passed.clear();
        self.asked_knocks = false;
        self.answered.clear();
        self.retired = None;
        self.heard = false;
        self.remaining = 0;
        self.pushing = true;
        self.batch = MAX_PAGE_BUNDLES;
        self.turns = 0;
        self.report = RoundReport::default();
        self.look()
    }

    /// Looks what there is to send, and with which keys.
    fn look(&mut self) -> RoundStep {
        self.state = State::Offering;
        let end = self.cursor.caught_up && self.remaining == 0;
        let bundles = if self.pushing && end { self.batch } else { 0 };
        let retired = self.retired;
        RoundStep::Offer { bundles, bytes: MAX_PAGE_BYTES, at_end: self.heard, retired }
    }

    fn offered(&mut self, offer: Offer) -> RoundStep {
        self.keys = offer.keys;
        self.opens = offer.opens;
        self.told = offer.told;
        self.path = offer.path;
        self.knock = offer.knock;
        self.asks_knocks = offer.asks_knocks;
        self.answers = offer.answers;
        if self.retired.is_some() && !self.followed {
            return self.follow();
        }
        if self.key().is_none() {
            if self.retired.is_some() && self.knock.is_some() && !self.knocked {
                return self.knock();
            }
            let why = if self.retired.is_some() || self.keys.is_empty() {
                SyncBlocked::NoKey
            } else if self.opens {
                SyncBlocked::NoAccess
            } else {
                SyncBlocked::NotYet
            };
            return RoundStep::Done(SyncOutcome::Blocked(why));
        }
        let nothing_left = offer.bundles.is_empty() && self.cursor.caught_up;
        if self.heard && nothing_left {
            return self.finish();
        }
        if self.mode == Mode::Listen && nothing_left {
            return self.listen();
        }
        let sent = offer.bundles.iter().map(|sealed| bundle_id(sealed)).collect();
        // A page of what is sealed here is one that can be written.
        let body = page::write(&offer.bundles).unwrap_or_default();
        let path = route::of_log(route::EXCHANGE, &self.log)
            + &route::query(&self.cursor.position, MAX_PAGE_BYTES);
        let token = self.key().map(|key| key.access.clone());
        self.send(
            State::Exchanging { sent },
            HttpMethod::Post,
            &path,
            token,
            (route::BUNDLES, body),
        )
    }

    /// The key to show: the one that was taken last, else the newest that was not refused, of those first
    /// that the log tells of.
    fn key(&self) -> Option<&LogAccess> {
        let open = |key: &&LogAccess| !self.tried.contains(&key.epoch);
        let last = self.keys.iter().filter(open).find(|key| Some(key.epoch) == self.cursor.epoch);
        let told = || self.keys.iter().filter(open).find(|key| self.told.contains(&key.epoch));
        last.or_else(told)
            .or_else(|| self.keys.iter().find(open))
            .filter(|_| self.wrong < MAX_TRIES)
    }

    fn try_anew(&mut self) {
        self.tried.clear();
        self.wrong = 0;
    }

    /// Says at the log's side table that this device would join, with the key that reads no further.
    fn knock(&mut self) -> RoundStep {
        let body = page::write(self.knock.as_slice()).unwrap_or_default();
        let path = route::of_log(route::KNOCKS, &self.log);
        let token = self.old_token();
        self.send(State::Knocking, HttpMethod::Post, &path, token, (route::BUNDLES, body))
    }

    fn hear(&mut self) -> RoundStep {
        let Some(knock) = &self.knock else {
            return RoundStep::Done(SyncOutcome::Blocked(SyncBlocked::NoKey));
        };
        let path = route::of_answer(&self.log, &bundle_id(knock));
        let token = self.old_token();
        self.send(State::Hearing, HttpMethod::Get, &path, token, ("", Vec::new()))
    }

    fn not_let_in(&mut self, read: &Read, now: u64, random: u64) -> RoundStep {
        match *read {
            Read::Failed { why, retry_after_s } => self.wait(why, retry_after_s, now, random),
            Read::Refused { code: Code::NotFound, .. } => {
                RoundStep::Done(SyncOutcome::Blocked(SyncBlocked::Knocked))
            }
            _ => RoundStep::Done(SyncOutcome::Blocked(SyncBlocked::NoKey)),
        }
    }

    /// Takes what does not lie in the log: knocks, or the answer to one.
    fn take_beside(
        &mut self,
        response: &HttpResponse,
        knocks: bool,
        now: u64,
        random: u64,
    ) -> RoundStep {
        let Ok(found) = page::read(&response.body) else {
            return self.wait(ExchangeFault::Garbage, None, now, random);
        };
        self.backoff.reset();
        self.knocked |= !knocks;
        let bundles: Vec<Vec<u8>> = found.into_iter().map(|(_, sealed)| sealed.to_vec()).collect();
        if bundles.is_empty() {
            return if knocks { self.finish() } else { self.look() };
        }
        let (cursor, accepted, trail) = (self.cursor, Vec::new(), Vec::new());
        self.state = State::Taking { cursor, remaining: 0, following: false };
        // Its cursor may be the one of a log that begins anew: who keeps that forgets what it was known to have.
        let anew = std::mem::take(&mut self.anew);
        RoundStep::Take(Page { bundles, accepted, trail, cursor, anew, remaining: 0, knocks })
    }

    /// The token that was taken last and reads no further.
    fn old_token(&self) -> Option<LogToken> {
        let key = self.keys.iter().find(|key| Some(key.epoch) == self.retired);
        key.map(|key| key.access.clone())
    }

    fn finish(&mut self) -> RoundStep {
        let token = self.key().map(|key| key.access.clone());
        if self.asks_knocks && !std::mem::replace(&mut self.asked_knocks, true) {
            let path = route::of_log(route::KNOCKS, &self.log);
            return self.send(State::Asking, HttpMethod::Get, &path, token, ("", Vec::new()));
        }
        while let Some((knock, bundles)) = self.answers.pop() {
            if !self.answered.contains(&knock)
                && let Ok(body) = page::write(&bundles)
            {
                self.answered.push(knock);
                let path = route::of_answer(&self.log, &knock);
                let body = (route::BUNDLES, body);
                return self.send(State::Answering, HttpMethod::Put, &path, token, body);
            }
        }
        // Who knows only older keys reads no further. Before the new one is on the log, nobody could
        // follow: so this comes last.
        let goes =
            |epoch: &&EpochId| !self.passed.contains(epoch) && Some(**epoch) != self.cursor.epoch;
        let may = self.pushing && self.turns < MOST_TURNS;
        let next = self.path.iter().find(goes).filter(|_| may);
        let next = next.and_then(|epoch| self.keys.iter().find(|key| key.epoch == *epoch));
        if let (Some(next), Some(shown)) = (next, self.key()) {
            let (epoch, body) = (next.epoch, next.body.encode());
            let token = Some(shown.admin.clone());
            self.turns += u8::from(self.path.last() == Some(&epoch));
            // Only where the new epoch is on the log: at this place, with this chain.
            let path = route::of_log(route::ACCESS, &self.log)
                + &route::query(&self.cursor.position, MAX_PAGE_BYTES);
            let state = State::Rotating { epoch };
            return self.send(state, HttpMethod::Put, &path, token, (route::BYTES, body));
        }
        self.backoff.reset();
        RoundStep::Done(if self.pushing { SyncOutcome::UpToDate } else { SyncOutcome::RelayFull })
    }

    fn listen(&mut self) -> RoundStep {
        let query = route::query(&self.cursor.position, MAX_PAGE_BYTES);
        let wait = format!("&{}={MAX_WAIT_S}", route::WAIT);
        let path = route::of_log(route::ITEMS, &self.log) + &query + &wait;
        let token = self.key().map(|key| key.access.clone());
        self.send(State::Listening, HttpMethod::Get, &path, token, ("", Vec::new()))
    }

    /// Reads what the old key still reads. The epoch that follows is in there.
    fn follow(&mut self) -> RoundStep {
        let query = route::query(&self.cursor.position, MAX_PAGE_BYTES);
        let path = route::of_log(route::ITEMS, &self.log) + &query;
        let token = self.old_token();
        self.send(State::Following, HttpMethod::Get, &path, token, ("", Vec::new()))
    }

    fn send(
        &mut self,
        state: State,
        method: HttpMethod,
        path: &str,
        token: Option<LogToken>,
        (kind, body): (&str, Vec<u8>),
    ) -> RoundStep {
        let mut headers = Vec::new();
        headers.extend(token.map(|token| ("Authorization", token.header())));
        if !kind.is_empty() {
            headers.push(("Content-Type", kind.to_owned()));
        }
        if state == State::Opening {
            let admission = self.admission.clone();
            headers.extend(admission.map(|code| (route::ADMISSION_HEADER, code)));
        }
        self.state = state;
        RoundStep::Send(HttpRequest { method, url: format!("{}{path}", self.url), headers, body })
    }

    fn take(&mut self, answer: Answer, sent: &[BundleId], following: bool) -> RoundStep {
        self.backoff.reset();
        let Answer { bundles, accepted, trail, end, remaining } = answer;
        self.remaining = remaining;
        let epoch = if following { self.cursor.epoch } else { self.key().map(|key| key.epoch) };
        let caught_up = self.cursor.caught_up || (remaining == 0 && !following);
        let cursor = LogCursor { position: end, caught_up, epoch };
        self.heard = remaining == 0 && !following;
        self.retired = self.retired.filter(|_| following);
        self.report.received += bundles.len();
        self.report.sent += sent.len();
        if !sent.is_empty() {
            self.batch = (self.batch * 2).min(MAX_PAGE_BUNDLES);
        }
        let nothing = bundles.is_empty() && sent.is_empty() && cursor == self.cursor && !self.anew;
        if nothing {
            return self.taken(cursor, remaining, following);
        }
        let anew = std::mem::take(&mut self.anew);
        self.state = State::Taking { cursor, remaining, following };
        let knocks = false;
        RoundStep::Take(Page { bundles, accepted, trail, cursor, anew, remaining, knocks })
    }

    fn taken(&mut self, cursor: LogCursor, remaining: u64, following: bool) -> RoundStep {
        self.cursor = cursor;
        self.followed |= following && remaining == 0;
        if following {
            // The relay knows this device: its other keys are no guesses.
            self.wrong = 0;
        }
        if following && remaining > 0 { self.follow() } else { self.look() }
    }

    fn opened(&mut self, response: &HttpResponse, now: u64, random: u64) -> RoundStep {
        match answer::refusal(response) {
            None => {
                self.report.opened = response.status == 201;
                self.asked_to_open = true;
                self.try_anew();
                // It is kept at once: a log that went back may stand at the same place, with an older key,
                // and whoever has the newer one only waits until it goes on from there.
                match self.keys.last().map(|key| key.epoch) {
                    Some(epoch) if self.cursor.epoch != Some(epoch) => self.shown(epoch),
                    _ => self.look(),
                }
            }
            Some(Read::Refused { code: Code::NoAccess, .. }) => {
                self.asked_to_open = true;
                self.try_another()
            }
            Some(Read::Refused { code: Code::Admission, .. }) => {
                RoundStep::Done(SyncOutcome::Blocked(SyncBlocked::Admission))
            }
            Some(other) => self.refused(&other, &[], now, random),
        }
    }

    fn rotated(
        &mut self,
        epoch: EpochId,
        response: &HttpResponse,
        now: u64,
        random: u64,
    ) -> RoundStep {
        match answer::refusal(response) {
            None => {
                self.backoff.reset();
                self.report.rotated = true;
                self.tried.retain(|tried| *tried != epoch);
                // With that the relay has dropped every answer that it kept, as none brings this key: whoever
                // turned to it answers those who wait, be it once more.
                self.asked_knocks = false;
                self.answered.clear();
                self.shown(epoch)
            }
            // The log has gone on from that epoch already.
            Some(Read::Refused { code: Code::Taken, .. }) => {
                self.passed.push(epoch);
                self.finish()
            }
            // Somebody else was faster: the exchange finds out how.
            Some(Read::Refused { code: Code::NoAccess, .. }) => {
                self.heard = false;
                self.look()
            }
            Some(other) => self.refused(&other, &[], now, random),
        }
    }

    /// The log takes the token of this epoch now, and nothing else has changed.
    fn shown(&mut self, epoch: EpochId) -> RoundStep {
        let cursor = LogCursor { epoch: Some(epoch), ..self.cursor };
        self.state = State::Taking { cursor, remaining: 0, following: false };
        RoundStep::Take(Page {
            bundles: Vec::new(),
            accepted: Vec::new(),
            trail: Vec::new(),
            cursor,
            anew: std::mem::take(&mut self.anew),
            remaining: 0,
            knocks: false,
        })
    }

    fn refused(&mut self, read: &Read, sent: &[BundleId], now: u64, random: u64) -> RoundStep {
        let (code, retry_after_s) = match *read {
            Read::Refused { code, retry_after_s } => (code, retry_after_s),
            Read::Failed { why, retry_after_s } => {
                return self.wait(why, retry_after_s, now, random);
            }
            Read::Page(_) => return self.wait(ExchangeFault::Garbage, None, now, random),
        };
        match code {
            Code::Diverged if self.cursor.position.seq > 0 && self.turns < MOST_TURNS => {
                self.turns += 1;
                self.anew = true;
                self.heard = false;
                self.report.rebuilt = true;
                self.cursor = LogCursor { epoch: self.cursor.epoch, ..LogCursor::start(&self.log) };
                if self.retired.is_some() { self.follow() } else { self.look() }
            }
            Code::Retired => self.retired(),
            Code::NoAccess => {
                if self.retired.is_some() && !self.followed {
                    // The log went away while it was read to the end of the old key.
                    self.retired = None;
                    self.try_anew();
                }
                if self.asked_to_open || !self.opens {
                    return self.try_another();
                }
                // With the oldest key: whoever has not heard of the newer ones yet can read it too.
                let Some(oldest) = self.keys.last() else {
                    return RoundStep::Done(SyncOutcome::Blocked(SyncBlocked::NoKey));
                };
                let (token, body) = (Some(oldest.access.clone()), oldest.body.encode());
                let path = route::of_log(route::LOG, &self.log);
                self.send(State::Opening, HttpMethod::Put, &path, token, (route::BYTES, body))
            }
            Code::Gone => RoundStep::Done(SyncOutcome::Blocked(SyncBlocked::Deleted)),
            Code::Admission => RoundStep::Done(SyncOutcome::Blocked(SyncBlocked::Admission)),
            Code::TooLarge | Code::BadBundle => match sent {
                [] => self.wait(ExchangeFault::Garbage, retry_after_s, now, random),
                [id] => {
                    self.report.set_aside += 1;
                    self.state = State::SettingAside;
                    RoundStep::SetAside { id: *id, why: code }
                }
                several => {
                    self.batch = (several.len() / 2).max(1);
                    self.look()
                }
            },
            Code::Quota | Code::Full if !sent.is_empty() => {
                // What others have is still there to be taken.
                self.pushing = false;
                self.look()
            }
            Code::Quota | Code::Full => self.wait(ExchangeFault::Full, retry_after_s, now, random),
            _ => self.wait(ExchangeFault::Garbage, retry_after_s, now, random),
        }
    }

    /// The relay does not know the key that was shown.
    fn try_another(&mut self) -> RoundStep {
        self.tried.extend(self.key().map(|key| key.epoch));
        self.wrong += 1;
        self.look()
    }

    /// The key that was shown reads up to a number, and writes no more.
    fn retired(&mut self) -> RoundStep {
        let Some(shown) = self.key().map(|key| key.epoch) else {
            return RoundStep::Done(SyncOutcome::Blocked(SyncBlocked::NoKey));
        };
        self.retired = Some(shown);
        self.followed = false;
        self.heard = false;
        self.tried.push(shown);
        self.follow()
    }

    fn wait(
        &mut self,
        why: ExchangeFault,
        retry_after_s: Option<u64>,
        now: u64,
        random: u64,
    ) -> RoundStep {
        let wait_ms = self.backoff.next(random, retry_after_s);
        if self.backoff.failures() >= PATIENCE || wait_ms > LONGEST_WAIT_MS {
            return RoundStep::Done(SyncOutcome::Later { why, wait_ms });
        }
        let until = now.saturating_add(wait_ms);
        self.state = State::Waiting { until };
        RoundStep::Wait { until }
    }
}

#[cfg(test)]
#[path = "round_tests.rs"]
#[allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]
mod tests;
