//! Exchanging records with a relay. The app lends the network; the library decides what is said.

use std::fmt;
use std::sync::Arc;

use fallaway::sync::{MAX_BODY, NoAnswer, TIMEOUT_S};

use crate::callbacks::{ProgressListener, Watched};
use crate::mirror::mirror;
use crate::numbers::count;
use crate::voice::say;
use crate::{FallawayError, Instrument, InstrumentId, MergeReport, Result, Workshop};

/// A header of a request or of an answer.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct HttpHeader {
    /// Its name; upper and lower case do not matter.
    pub name: String,
    /// Its value, as it is sent.
    pub value: String,
}

/// A request to a relay. Its address and headers are secrets of the record: they belong in no log.
#[derive(Clone, PartialEq, Eq, uniffi::Record)]
pub struct HttpRequest {
    /// GET, POST, PUT or DELETE.
    pub method: String,
    /// The whole address: `https://…`, or `http://…` for a relay on this machine.
    pub url: String,
    /// All headers that it needs; the client adds the length of the body.
    pub headers: Vec<HttpHeader>,
    /// The body: empty with GET and DELETE.
    pub body: Vec<u8>,
    /// After so many seconds without an answer it is given up.
    pub timeout_s: u32,
    /// An answer whose body has more bytes is none.
    pub max_body: u32,
}

impl fmt::Debug for HttpRequest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({} bytes)", self.method, self.body.len())
    }
}

impl From<&fallaway::sync::HttpRequest> for HttpRequest {
    fn from(request: &fallaway::sync::HttpRequest) -> Self {
        let headers = request.headers.iter();
        Self {
            method: request.method.as_str().to_owned(),
            url: request.url.clone(),
            headers: headers
                .map(|(name, value)| HttpHeader { name: (*name).to_owned(), value: value.clone() })
                .collect(),
            body: request.body.clone(),
            timeout_s: TIMEOUT_S.into(),
            max_body: count(MAX_BODY),
        }
    }
}

/// The answer of a relay, whatever its status.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct HttpResponse {
    /// The status, such as 200.
    pub status: u32,
    /// The headers as they came.
    pub headers: Vec<HttpHeader>,
    /// The body as it came.
    pub body: Vec<u8>,
}

impl HttpResponse {
    fn typed(self) -> std::result::Result<fallaway::sync::HttpResponse, NoAnswer> {
        let garbage = |reason: &str| NoAnswer {
            why: fallaway::sync::ExchangeFault::Garbage,
            reason: reason.to_owned(),
        };
        if self.body.len() > MAX_BODY {
            return Err(garbage("the answer is too long"));
        }
        let status = u16::try_from(self.status).map_err(|_| garbage("the answer has no status"))?;
        let headers = self.headers.into_iter().map(|one| (one.name, one.value)).collect();
        Ok(fallaway::sync::HttpResponse { status, headers, body: self.body })
    }
}

/// Why no answer came. `reason` is what the platform says of it; it goes to the app's log, so it holds no
/// address.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, uniffi::Error)]
pub enum TransportError {
    /// Nobody answers: no network, or nobody at the address.
    #[error("{reason}")]
    Offline {
        /// In the platform's words.
        reason: String,
    },
    /// It took longer than `timeout_s`.
    #[error("{reason}")]
    Slow {
        /// In the platform's words.
        reason: String,
    },
    /// The certificate is refused: nobody knows who would answer.
    #[error("{reason}")]
    Untrusted {
        /// In the platform's words.
        reason: String,
    },
    /// What answered does not speak HTTP, or has a longer body than `max_body`.
    #[error("{reason}")]
    Garbage {
        /// In the platform's words.
        reason: String,
    },
}

impl From<uniffi::UnexpectedUniFFICallbackError> for TransportError {
    fn from(error: uniffi::UnexpectedUniFFICallbackError) -> Self {
        // Some languages append where it was thrown.
        let reason = error.reason.lines().next().unwrap_or_default().to_owned();
        Self::Offline { reason }
    }
}

impl From<TransportError> for NoAnswer {
    fn from(error: TransportError) -> Self {
        use fallaway::sync::ExchangeFault;
        let (why, reason) = match error {
            TransportError::Offline { reason } => (ExchangeFault::Offline, reason),
            TransportError::Slow { reason } => (ExchangeFault::Slow, reason),
            TransportError::Untrusted { reason } => (ExchangeFault::Untrusted, reason),
            TransportError::Garbage { reason } => (ExchangeFault::Garbage, reason),
        };
        Self { why, reason }
    }
}

/// Carries requests to relays, by the client of the platform. Each language has one ready: an app writes its
/// own if it has a network stack of its own.
///
/// It is called on the thread that called the library, with no lock held. It follows no redirect, checks
/// certificates as the platform does, and keeps nothing: no cache, no cookies.
#[uniffi::export(with_foreign)]
pub trait HttpTransport: Send + Sync {
    /// Sends one request and waits for its answer, whatever its status.
    ///
    /// # Errors
    /// If no answer came, and why; the exchange tries again later. Anything else that is thrown counts as
    /// `Offline`.
    fn send(&self, request: HttpRequest) -> std::result::Result<HttpResponse, TransportError>;
}

pub(crate) struct Carrier(pub(crate) Arc<dyn HttpTransport>);

impl fallaway::sync::HttpTransport for Carrier {
    fn send(
        &self,
        request: &fallaway::sync::HttpRequest,
    ) -> std::result::Result<fallaway::sync::HttpResponse, NoAnswer> {
        self.0.send(request.into())?.typed()
    }
}

mirror! {
    /// Why an exchange did not succeed this time.
    ExchangeFault = fallaway::sync::ExchangeFault {
        /// Nobody answers: no network, or no relay at the address.
        Offline,
        /// It took too long.
        Slow,
        /// The relay's certificate is refused.
        Untrusted,
        /// The answer is none of a relay.
        Garbage,
        /// The relay asks to come back later.
        Busy,
        /// The relay has no room left.
        Full,
    }
}

mirror! {
    /// Why nothing can be exchanged until a person does something.
    SyncBlocked = fallaway::sync::SyncBlocked {
        /// The relay takes none of the keys of this device.
        NoAccess,
        /// The people of the record go on under a key that this device was not given.
        NoKey,
        /// The same for a newcomer, who has knocked: whoever shares the record lets it in with the next
        /// exchange.
        Knocked,
        /// The relay has nothing of the record yet that this newcomer can read.
        NotYet,
        /// The record was deleted on the relay.
        Deleted,
        /// The operator asks for a code before a record is taken.
        Admission,
        /// There is no room on this device.
        NoRoom,
    }
}

/// How an exchange ended.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum SyncOutcome {
    /// Everything is exchanged.
    UpToDate,
    /// Nothing came while it waited.
    NoNews,
    /// Everything of others is here, and the relay has no room for what this device has.
    RelayFull,
    /// Not this time: make the call again later.
    Later {
        /// What stood in the way this time.
        why: ExchangeFault,
        /// After so many milliseconds; sooner, if the network has come back meanwhile.
        wait_ms: u64,
    },
    /// Not until a person does something.
    Blocked {
        /// What is in the way.
        why: SyncBlocked,
    },
    /// It was told to stop. What has come stays.
    Stopped,
    /// What came after this app was built: show the sentences beside it.
    Newer,
}

impl From<fallaway::sync::SyncOutcome> for SyncOutcome {
    fn from(outcome: fallaway::sync::SyncOutcome) -> Self {
        use fallaway::sync::SyncOutcome as Core;
        match outcome {
            Core::UpToDate => Self::UpToDate,
            Core::NoNews => Self::NoNews,
            Core::RelayFull => Self::RelayFull,
            Core::Later { why, wait_ms } => Self::Later { why: why.into(), wait_ms },
            Core::Blocked(why) => Self::Blocked { why: why.into() },
            // What could not be taken is an error of the call.
            Core::NotTaken | Core::Stopped => Self::Stopped,
        }
    }
}

/// What became of an exchange with a relay.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SyncReport {
    /// How it ended.
    pub outcome: SyncOutcome,
    /// Bundles that the relay took.
    pub sent: u32,
    /// How many bundles came.
    pub received: u32,
    /// What was merged, a report for each page that came.
    pub merges: Vec<MergeReport>,
    /// The relay had lost what it had, or had gone back: it was filled again from this device. Each device
    /// is told once.
    pub rebuilt: bool,
    /// Bundles that the relay does not take. They are kept here, and leave by file.
    pub set_aside: u32,
    /// Photos that the relay has now and did not have before.
    pub photos_sent: u32,
    /// Photos that are here and that the relay does not have: the next exchange goes on with them.
    pub photos_waiting: u32,
    /// All of it in words, the outcome first.
    pub sentences: Vec<String>,
}

impl From<fallaway::sync::SyncReport> for SyncReport {
    fn from(report: fallaway::sync::SyncReport) -> Self {
        Self {
            sentences: report.phrases().iter().map(say).collect(),
            outcome: report.outcome.into(),
            sent: count(report.sent),
            received: count(report.received),
            merges: report.merges.into_iter().map(MergeReport::from).collect(),
            rebuilt: report.rebuilt,
            set_aside: count(report.set_aside),
            photos_sent: count(report.photos_sent),
            photos_waiting: count(report.photos_waiting),
        }
    }
}

/// What became of the exchange of one instrument among all.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct InstrumentSync {
    /// Which instrument, by its id.
    pub instrument: InstrumentId,
    /// What was exchanged; none if it failed.
    pub report: Option<SyncReport>,
    /// Why it failed: the error that `Instrument.sync` answers.
    pub failed: Option<FallawayError>,
}

/// The relay of an instrument, as this device knows it.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct RelayView {
    /// The address of the relay, as the record carries it.
    pub url: String,
    /// How much it is not known to have: changes, what the people of the record did, and what is not part
    /// of a change yet. All that waits here for the others, whoever wrote it.
    pub waiting: u32,
    /// Bundles that it does not take. They leave by file.
    pub set_aside: u32,
    /// What waits, in words.
    pub text: String,
}

impl From<fallaway::sync::RelayView> for RelayView {
    fn from(relay: fallaway::sync::RelayView) -> Self {
        Self {
            text: say(&relay.phrase()),
            url: relay.url,
            waiting: count(relay.waiting),
            set_aside: count(relay.set_aside),
        }
    }
}

#[uniffi::export]
impl Instrument {
    /// The relay that carries this record, and what waits for it; `None` if there is none.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn relay(&self) -> Result<Option<RelayView>> {
        Ok(self.inner().relay()?.map(RelayView::from))
    }

    /// Has the record carried by the relay at this address from now on; by none, if it is `None`. Whoever
    /// shares the record learns of it with the next bundle.
    ///
    /// # Errors
    /// `BadInput` for an address that is none, or that is not encrypted and not on this machine;
    /// whatever an edit answers.
    pub fn set_relay(&self, url: Option<String>) -> Result<()> {
        Ok(self.inner().set_relay(url.as_deref())?)
    }

    /// Exchanges with the relay until nothing is left to send or to take. What has come is merged page by
    /// page, each durably, so the call may be stopped or killed at any moment and the next one goes on from
    /// there. Nothing is locked while a request is under way: other calls go on beside it. `progress` is
    /// told how many bundles have come, of how many.
    ///
    /// # Errors
    /// `NotFound` if the record has no relay; when the store cannot be written; `Closed`. That the relay
    /// cannot be reached, or refuses, is no error: the report's outcome says so.
    #[uniffi::method(default(progress = None))]
    pub fn sync(
        &self,
        http: Arc<dyn HttpTransport>,
        progress: Option<Arc<dyn ProgressListener>>,
    ) -> Result<SyncReport> {
        Ok(self.inner().sync_watched(&Carrier(http), &Watched(progress))?.into())
    }

    /// Sends what waits, then waits for news, up to about a minute, and takes them; the outcome is
    /// `NoNews` if none came. For an app that is looked at: call it again and again. A wait that is under
    /// way ends with its request.
    ///
    /// # Errors
    /// As `sync`.
    #[uniffi::method(default(progress = None))]
    pub fn wait_for_news(
        &self,
        http: Arc<dyn HttpTransport>,
        progress: Option<Arc<dyn ProgressListener>>,
    ) -> Result<SyncReport> {
        Ok(self.inner().wait_for_news_watched(&Carrier(http), &Watched(progress))?.into())
    }
}

#[uniffi::export]
impl Workshop {
    /// `Instrument.sync` for every instrument that has a relay, those that were put away too. One that
    /// fails does not keep the others from it. For work in the background.
    ///
    /// # Errors
    /// `Closed`, or when the store cannot be read.
    #[uniffi::method(default(progress = None))]
    pub fn sync(
        &self,
        http: Arc<dyn HttpTransport>,
        progress: Option<Arc<dyn ProgressListener>>,
    ) -> Result<Vec<InstrumentSync>> {
        let reports = self.inner().sync_watched(&Carrier(http), &Watched(progress))?;
        let told = reports.into_iter().map(|(id, report)| {
            let (report, failed) = match report {
                Ok(report) => (Some(report.into()), None),
                Err(error) => (None, Some(error.into())),
            };
            InstrumentSync { instrument: id.into(), report, failed }
        });
        Ok(told.collect())
    }
}
