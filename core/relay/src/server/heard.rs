//! What a request was, for whoever keeps count.

use std::net::{IpAddr, SocketAddr};
use std::time::Instant;

use fallaway_sync::wire::http::HttpResponse;
use fallaway_sync::wire::route::{self, PROBLEM_HEADER};
use hyper::body::{Body as _, Incoming};
use hyper::{HeaderMap, Request, Version};

use super::journal::Served;
use super::slots::source;
use super::state::RelayState;
use crate::desk::RelayPath;

/// What the journal, the numbers and the limits need of a request.
pub(super) struct Heard {
    pub(super) began: Instant,
    pub(super) from: IpAddr,
    pub(super) place: Option<RelayPath>,
    route: &'static str,
    method: &'static str,
    received: usize,
    /// Whether the connection goes on after the answer.
    pub(super) stays: bool,
}

impl Heard {
    pub(super) fn new(state: &RelayState, peer: SocketAddr, request: &Request<Incoming>) -> Self {
        let place = RelayPath::read(request.uri().path());
        let closes = request.headers().get_all("connection").iter().any(|value| {
            value.to_str().is_ok_and(|value| value.to_ascii_lowercase().contains("close"))
        });
        Self {
            began: Instant::now(),
            from: source_of(state, peer, request.headers()),
            place,
            route: route_of(request.uri().path(), place.as_ref()),
            method: method_of(request),
            received: usize::try_from(request.body().size_hint().lower()).unwrap_or(usize::MAX),
            stays: request.version() == Version::HTTP_11 && !closes,
        }
    }

    /// Whether the answer has no body.
    pub(super) fn is_head(&self) -> bool {
        self.method == "HEAD"
    }

    /// The method whose answer it is.
    pub(super) fn answers(&self) -> &'static str {
        if self.is_head() { "GET" } else { self.method }
    }

    /// Says what became of it.
    pub(super) fn answered(&self, state: &RelayState, response: &HttpResponse) {
        let Self { began, from, place, route, method, received, .. } = *self;
        let code = response.header(PROBLEM_HEADER).unwrap_or_default();
        if !code.is_empty() {
            state.metrics.refused(code);
        }
        state.metrics.request(route, method, response.status);
        let micros = u64::try_from(began.elapsed().as_micros()).unwrap_or(u64::MAX);
        let (status, sent) = (response.status, response.body.len());
        let log = place.as_ref().and_then(RelayPath::log);
        state.journal.request(&Served { method, route, log, status, code, micros, received, sent });
        if let Some(place) = place {
            state.gate.passed(&place, self.answers(), from, status, began);
        }
    }
}

/// The template of a path: what may stand in a journal.
fn route_of(path: &str, place: Option<&RelayPath>) -> &'static str {
    match (place, path) {
        (Some(RelayPath::Log(_)), _) => route::LOG,
        (Some(RelayPath::Exchange(_)), _) => route::EXCHANGE,
        (Some(RelayPath::Items(_)), _) => route::ITEMS,
        (Some(RelayPath::Access(_)), _) => route::ACCESS,
        (Some(RelayPath::Knocks(_)), _) => route::KNOCKS,
        (Some(RelayPath::Answer(..)), _) => route::ANSWER,
        (Some(RelayPath::Blob(..)), _) => route::BLOB,
        (Some(RelayPath::BlobPart(..)), _) => route::BLOB_PART,
        (Some(RelayPath::Parcel(_)), _) => route::PARCEL,
        (Some(RelayPath::Relay), _) => route::RELAY,
        (None, "/health") => "/health",
        (None, "/ready") => "/ready",
        (None, "/v1/openapi.json") => "/v1/openapi.json",
        (None, _) => "other",
    }
}

/// What may stand in a journal of a method, which a client makes up.
fn method_of<B>(request: &Request<B>) -> &'static str {
    match request.method().as_str() {
        "GET" => "GET",
        "HEAD" => "HEAD",
        "POST" => "POST",
        "PUT" => "PUT",
        "DELETE" => "DELETE",
        _ => "other",
    }
}

/// Behind a proxy, whom it names last: what stands before that, a client may have made up.
fn source_of(state: &RelayState, peer: SocketAddr, headers: &HeaderMap) -> IpAddr {
    let named = || {
        let last = headers.get_all("x-forwarded-for").iter().next_back()?.to_str().ok()?;
        last.rsplit(',').next()?.trim().parse().ok()
    };
    source(if state.behind_proxy { named().unwrap_or(peer.ip()) } else { peer.ip() })
}
