//! Exchanging a record with its relay: whoever shares it is never online at the same time, and all
//! have one history all the same.

mod drive;
mod former;
mod photos;
mod shelf;

use fallaway_changes::LogId;
use fallaway_sharing::{EpochKey, RelayAddress, Role};
use fallaway_sync::wire::limits::MAX_WAIT_S;
use fallaway_sync::{Mode, RoundReport};
use fallaway_text::errors::Accepted;
use fallaway_text::messages::{photos as say_photos, sync as say};
use fallaway_text::{Phrase, Word};

pub use fallaway_sync::wire::http::{HttpMethod, HttpRequest, HttpResponse};
pub use photos::PhotoFetched;

pub use crate::sharing::receipts::RelayDoubt;

pub use fallaway_sync::{ExchangeFault, SyncBlocked, SyncOutcome};

use self::shelf::Shelf;
use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::keeping::callbacks::{NoProgress, ProgressListener};
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::secrets::draw;
use crate::keeping::workshop_state::WorkshopState;
use crate::sharing::relay::{LogUnit, RelayKept, RelaysKept};
use crate::showing::views::{InstrumentId, MergeReport};
use crate::workshop::Workshop;

/// Longest address of a relay.
const MAX_ADDRESS: usize = 200;

/// Sends one request and waits for its answer, by whatever the platform has for that. A request is given
/// up after [`TIMEOUT_S`] seconds; redirects are not followed; certificates are checked as the platform
/// does; an answer's body is read up to [`MAX_BODY`] bytes.
pub trait HttpTransport: Send + Sync {
    /// The answer, whatever its status.
    ///
    /// # Errors
    /// If none came, and why.
    fn send(&self, request: &HttpRequest) -> Result<HttpResponse, NoAnswer>;

    /// Waits so many milliseconds before the next try.
    fn wait(&self, millis: u64) {
        std::thread::sleep(std::time::Duration::from_millis(millis));
    }

    /// The admission code that the relay's operator gave out, of printable ASCII without spaces. It is shown
    /// only where the relay is asked to open a log; a relay that asks for none passes it over.
    fn admission(&self) -> Option<String> {
        None
    }
}

/// No answer came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoAnswer {
    /// Why: this decides what happens next.
    pub why: ExchangeFault,
    /// What the platform says of it, for the log. May be empty.
    pub reason: String,
}

impl From<ExchangeFault> for NoAnswer {
    fn from(why: ExchangeFault) -> Self {
        Self { why, reason: String::new() }
    }
}

/// Seconds after which a transport gives a request up: a relay may wait for news nearly as long.
pub const TIMEOUT_S: u16 = MAX_WAIT_S + 20;
/// Bytes of an answer that a transport reads.
pub const MAX_BODY: usize = fallaway_sync::wire::limits::MAX_BODY_BYTES;

/// What became of an exchange with a relay.
#[derive(Debug, Clone, PartialEq)]
pub struct SyncReport {
    /// How it ended.
    pub outcome: SyncOutcome,
    /// Bundles that the relay took.
    pub sent: usize,
    /// How many bundles came.
    pub received: usize,
    /// What was merged, a report for each page that came.
    pub merges: Vec<MergeReport>,
    /// The relay had lost what it had, or had gone back: it was filled again from this device.
    pub rebuilt: bool,
    /// Bundles that the relay does not take. They are kept here, and leave by file.
    pub set_aside: usize,
    /// Photos that the relay has now and did not have before.
    pub photos_sent: usize,
    /// Photos that are here and that the relay does not have: the next exchange goes on with them.
    pub photos_waiting: usize,
    /// Devices that the relay has shown something else than this one: it lost that, or keeps it back, or has
    /// two faces. Told once for each.
    pub doubts: Vec<RelayDoubt>,
}

impl SyncReport {
    /// Of a round in which the relay took so many receipts, and so many came: those are not counted, as
    /// nobody wrote anything.
    fn of(
        outcome: SyncOutcome,
        round: &RoundReport,
        receipts: (usize, usize),
        merges: Vec<MergeReport>,
    ) -> Self {
        Self {
            outcome,
            sent: round.sent.saturating_sub(receipts.0),
            received: round.received.saturating_sub(receipts.1),
            merges,
            rebuilt: round.rebuilt,
            set_aside: round.set_aside,
            photos_sent: 0,
            photos_waiting: 0,
            doubts: Vec::new(),
        }
    }

    /// Both as one, which ended as the later one did.
    fn and(mut self, later: Self) -> Self {
        self.merges.extend(later.merges);
        self.doubts.extend(later.doubts);
        Self {
            outcome: later.outcome,
            sent: self.sent + later.sent,
            received: self.received + later.received,
            merges: self.merges,
            rebuilt: later.rebuilt,
            set_aside: later.set_aside,
            photos_sent: self.photos_sent + later.photos_sent,
            photos_waiting: later.photos_waiting,
            doubts: self.doubts,
        }
    }
}

impl RelayView {
    /// What waits, in words.
    pub fn phrase(&self) -> Phrase {
        say::waits(self.waiting)
    }
}

impl SyncReport {
    /// In words, the outcome first.
    pub fn phrases(&self) -> Vec<Phrase> {
        let mut lines = vec![match self.outcome {
            SyncOutcome::UpToDate => say::up_to_date(),
            SyncOutcome::NoNews => say::no_news(),
            SyncOutcome::RelayFull => say::relay_full(),
            SyncOutcome::Stopped | SyncOutcome::NotTaken => say::stopped(),
            SyncOutcome::Later { why, wait_ms } => {
                say::later(Word(why.word()), wait_ms.div_ceil(1_000))
            }
            SyncOutcome::Blocked(why) => say::blocked(Word(why.word())),
        }];
        let counts =
            [(self.sent, say::sent as fn(usize) -> Phrase), (self.received, say::received)];
        lines.extend(counts.into_iter().filter(|(n, _)| *n > 0).map(|(n, said)| said(n)));
        lines.extend(self.rebuilt.then(say::rebuilt));
        lines.extend(self.doubts.iter().map(RelayDoubt::phrase));
        lines.extend((self.photos_sent > 0).then(|| say_photos::sent(self.photos_sent)));
        lines.extend((self.photos_waiting > 0).then(|| say_photos::waiting(self.photos_waiting)));
        lines.extend((self.set_aside > 0).then(|| say::set_aside(self.set_aside)));
        lines
    }
}

/// The relay of an instrument, as this device knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RelayView {
    /// The address of the relay, as the record carries it.
    pub url: String,
    /// How much it is not known to have: changes, what the people of the record did, and what is not part
    /// of a change yet.
    pub waiting: usize,
    /// Bundles that it does not take.
    pub set_aside: usize,
}

impl Instrument {
    /// The relay that carries this record, if there is one.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn relay(&self) -> Result<Option<RelayView>> {
        self.inner.with_record(self.id, |_, loaded| {
            let Some((url, log)) = address(&self.inner, loaded) else { return Ok(None) };
            let known = RelaysKept::load(self.inner.store.as_ref(), &self.id);
            let kept = known.of(&url, &log).cloned();
            let kept = kept.unwrap_or_else(|| RelayKept::new(url.clone(), log));
            let ops = loaded.members.ops().map(|op| LogUnit::Op(op.hash()));
            let changes =
                loaded.record.links().map(|link| LogUnit::Change(link.id, link.writer, link.seq));
            let lacks = |unit: &LogUnit| !kept.known.has(&loaded.record, unit);
            let waiting = ops.chain(changes).filter(lacks).count();
            let waiting = waiting + usize::from(!loaded.draft.is_empty());
            Ok(Some(RelayView { url, waiting, set_aside: kept.aside.len() }))
        })
    }

    /// Exchanges with the relay until nothing is left to send or to take. What has come is merged page by
    /// page, each durably with the place in the relay's log, so the call may end or be killed at any
    /// moment and the next one goes on from there.
    ///
    /// # Errors
    /// [`Error::NotFound`] if the record has no relay; when the store cannot be written. That the relay
    /// cannot be reached or refuses is no error: the report's outcome says so.
    pub fn sync(&self, http: &dyn HttpTransport) -> Result<SyncReport> {
        self.sync_watched(http, &NoProgress)
    }

    /// The same, and `progress` is told how many bundles have come, of how many. It can stop the call;
    /// what has come by then stays.
    ///
    /// # Errors
    /// As [`Instrument::sync`].
    pub fn sync_watched(
        &self,
        http: &dyn HttpTransport,
        progress: &dyn ProgressListener,
    ) -> Result<SyncReport> {
        self.exchange(http, Mode::Once, progress)
    }

    /// Sends what waits, then waits for news for up to [`TIMEOUT_S`] seconds and takes them.
    /// [`SyncOutcome::NoNews`] if none came.
    ///
    /// # Errors
    /// As [`Instrument::sync`].
    pub fn wait_for_news(&self, http: &dyn HttpTransport) -> Result<SyncReport> {
        self.wait_for_news_watched(http, &NoProgress)
    }

    /// The same, with progress as of [`Instrument::sync_watched`]. A wait that is under way ends with its
    /// request.
    ///
    /// # Errors
    /// As [`Instrument::sync`].
    pub fn wait_for_news_watched(
        &self,
        http: &dyn HttpTransport,
        progress: &dyn ProgressListener,
    ) -> Result<SyncReport> {
        self.exchange(http, Mode::Listen, progress)
    }
}

impl Instrument {
    /// Has the record carried by the relay at this address from now on, or by none. Everybody who shares
    /// the record learns of it with the next bundle; the next exchange leaves word at the relay of before.
    ///
    /// # Errors
    /// [`Error::BadInput`] for an address that is none, or that is not encrypted and not on this machine;
    /// [`Error::NotAllowed`] if this device may only read; when the store cannot be written.
    pub fn set_relay(&self, url: Option<&str>) -> Result<()> {
        let url = url.map(checked_address).transpose()?;
        // Whoever was invited knows that relay, though this device may never have been there.
        let before =
            self.inner.with_record(self.id, |_, loaded| Ok(address(&self.inner, loaded)))?;
        if let Some((former, log)) = before.filter(|(former, _)| Some(former) != url.as_ref()) {
            Shelf::new(&self.inner, self.id, former, log).keep(|_| {})?;
        }
        let random = self.inner.random.as_ref();
        self.write_member_op(Role::Contributor, |keys, loaded, now| {
            let before = loaded.members.relays();
            let relays = match &url {
                None => Vec::new(),
                // The same one keeps its log.
                Some(url) => match before.iter().find(|relay| relay.url == *url) {
                    Some(same) => vec![same.clone()],
                    None => vec![RelayAddress { url: url.clone(), log: draw(random)? }],
                },
            };
            let key = EpochKey::from_bytes(draw(random)?);
            let mut drawn = Vec::new();
            for _ in 0..loaded.members.members().len() {
                drawn.push(draw(random)?);
            }
            let next = || drawn.pop().unwrap_or_default();
            let held = &loaded.epoch_keys;
            let op = loaded.members.begin_epoch_at(relays, keys, &key, held, now, next);
            Ok((op.map_err(|e| Error::internal("epoch", e))?, ()))
        })
    }
}

impl Workshop {
    /// [`Instrument::sync`] with every instrument that has a relay. One that cannot be exchanged does not
    /// keep the others from it.
    ///
    /// # Errors
    /// [`Error::Closed`], or when the store cannot be read.
    pub fn sync(
        &self,
        http: &dyn HttpTransport,
    ) -> Result<Vec<(InstrumentId, Result<SyncReport>)>> {
        self.sync_watched(http, &NoProgress)
    }

    /// The same, with progress for each instrument in its turn. One at which it is stopped is the last.
    ///
    /// # Errors
    /// As [`Workshop::sync`].
    pub fn sync_watched(
        &self,
        http: &dyn HttpTransport,
        progress: &dyn ProgressListener,
    ) -> Result<Vec<(InstrumentId, Result<SyncReport>)>> {
        let mut reports = Vec::new();
        for one in self.all_instruments()? {
            let instrument = self.instrument(one.id)?;
            if instrument.relay()?.is_none() {
                continue;
            }
            let report = instrument.sync_watched(http, progress);
            let stopped = report.as_ref().is_ok_and(|one| one.outcome == SyncOutcome::Stopped);
            reports.push((one.id, report));
            if stopped {
                break;
            }
        }
        Ok(reports)
    }
}

/// Where the record's log is.
fn address(inner: &WorkshopState, loaded: &LoadedRecord) -> Option<(String, LogId)> {
    if let Some(relay) = loaded.members.relays().into_iter().next() {
        return Some((relay.url, LogId::from_bytes(relay.log)));
    }
    if loaded.members.epochs().next().is_some() {
        return None;
    }
    // A newcomer knows it from its welcome.
    let kept = RelayKept::load(inner.store.as_ref(), &loaded.id);
    kept.map(|kept| (kept.url, kept.log))
}

/// The address of a relay as it is kept: encrypted on its way, or on this machine.
fn checked_address(url: &str) -> Result<String> {
    let url = url.trim().trim_end_matches('/');
    let refused = |said: Phrase| {
        let accepted = Accepted::like("https://relay.example").said(said);
        Err(Error::bad_input(field("relay"), say::no_address(url.to_owned()), accepted))
    };
    let (secure, rest) = match (url.strip_prefix("https://"), url.strip_prefix("http://")) {
        (Some(rest), _) => (true, rest),
        (_, Some(rest)) => (false, rest),
        _ => return refused(say::address()),
    };
    let host = rest.split(['/', ':', '?', '#']).next().unwrap_or_default();
    let local = host == "localhost" || host == "127.0.0.1" || rest.starts_with("[::1]");
    let plain = url.len() <= MAX_ADDRESS && url.bytes().all(|byte| byte.is_ascii_graphic());
    let bare = !rest.contains(['?', '#', '@', '\\']);
    if !plain || !bare || (host.is_empty() && !rest.starts_with('[')) {
        return refused(say::address());
    }
    if secure || local { Ok(url.to_owned()) } else { refused(say::address_secure()) }
}
