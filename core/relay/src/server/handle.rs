//! One request, from its head to its answer.

use std::convert::Infallible;
use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use fallaway_sync::wire::http::HttpResponse;
use fallaway_sync::wire::problem::Code;
use fallaway_sync::wire::route::{self, RETIRED_HEADER};
use http_body_util::{BodyExt as _, Full};
use hyper::body::{Body as _, Bytes, Incoming};
use hyper::{HeaderMap, Request, Response};
use tokio::sync::oneshot;
use tokio::time::{timeout, timeout_at};

use super::heard::Heard;
use super::openapi;
use super::reading::{WORK, blocking, read_items};
use super::state::{RelayState, now};
use super::waiting::{Wait, WaitingPlace};
use crate::desk::{Ask, Fields, RelayPath, refuse};
use crate::model::{EngineError, ShelvesError};

/// For the first bytes of a body; each KiB more gives a second more.
const BODY: Duration = Duration::from_secs(10);
/// For room in memory.
const ROOM: Duration = Duration::from_secs(10);

type Answer = Response<Full<Bytes>>;

/// An answer, or what it waits for.
enum Answered {
    Now(HttpResponse),
    Later(Wait),
}

/// Answers a request, and says so to the journal and the metrics. One that waits takes its seat, and the
/// connection is taken away from around it.
pub(super) async fn handle(
    state: Arc<RelayState>,
    peer: SocketAddr,
    place: Arc<WaitingPlace>,
    request: Request<Incoming>,
) -> Result<Answer, Infallible> {
    let heard = Heard::new(&state, peer, &request);
    match answer(&state, &heard, request).await {
        Answered::Now(response) => {
            heard.answered(&state, &response);
            Ok(written(response))
        }
        Answered::Later(wait) => {
            place.take(heard, wait);
            std::future::pending().await
        }
    }
}

async fn answer(state: &Arc<RelayState>, heard: &Heard, request: Request<Incoming>) -> Answered {
    let Some(place) = heard.place else {
        return Answered::Now(about_the_relay(state, &request));
    };
    let method = heard.answers();
    let ask = match admit(state, heard, place, request).await {
        Ok(ask) => ask,
        Err(response) => return Answered::Now(response),
    };
    Answered::Now(match (place, method) {
        (RelayPath::Exchange(_), "POST") => exchange(state, &ask).await,
        (RelayPath::Items(_), "GET") => return items(state, &ask).await,
        _ => {
            let response = blocking(state, move |state| state.desk.answer_ask(ask, now())).await;
            // Whoever waits at a log is told that its access changed, or that it is gone.
            let photo = matches!(place, RelayPath::Blob(..) | RelayPath::BlobPart(..));
            let changed = matches!((method, response.status), ("PUT" | "DELETE", 200..300));
            if let (Some(log), true, false) = (place.log(), changed, photo) {
                state.news.tell(log);
            }
            response
        }
    })
}

/// What is asked, if it may be.
async fn admit(
    state: &Arc<RelayState>,
    heard: &Heard,
    place: RelayPath,
    request: Request<Incoming>,
) -> Result<Ask, HttpResponse> {
    let method = heard.answers();
    if !place.allow().split(", ").any(|allowed| allowed == method) {
        let mut response = refuse(Code::Method);
        response.headers.push(("Allow".to_owned(), place.allow().to_owned()));
        return Err(response);
    }
    let passed = state.gate.pass(&place, method, heard.from, request.headers(), heard.began);
    passed.map_err(too_many)?;
    let query = request.uri().query().unwrap_or_default().to_owned();
    let fields = fields(request.headers());
    let body = read_body(state, &place, request).await.map_err(refuse)?;
    if matches!(method, "POST" | "PUT") && state.full.load(Ordering::Relaxed) {
        return Err(refuse(Code::Full));
    }
    Ok(Ask { place, method: method.to_owned(), query, fields, body: body.bytes })
}

/// What is not part of the protocol.
fn about_the_relay<B>(state: &RelayState, request: &Request<B>) -> HttpResponse {
    let path = request.uri().path();
    if !matches!(path, "/health" | "/ready" | "/v1/openapi.json") {
        return refuse(Code::NotFound);
    }
    if !matches!(request.method().as_str(), "GET" | "HEAD") {
        let mut response = refuse(Code::Method);
        response.headers.push(("Allow".to_owned(), "GET, HEAD".to_owned()));
        return response;
    }
    let said = |media: &str, body: String| HttpResponse {
        status: 200,
        headers: vec![("Content-Type".to_owned(), media.to_owned())],
        body: body.into_bytes(),
    };
    match path {
        "/v1/openapi.json" => said("application/json", openapi::document().to_string()),
        "/ready" if !state.ready.load(Ordering::Relaxed) => refuse(Code::Unavailable),
        _ => said("text/plain; charset=utf-8", "ok\n".to_owned()),
    }
}

fn fields(headers: &HeaderMap) -> Fields {
    Fields::read(|name| headers.get(name)?.to_str().ok().map(str::to_owned))
}

/// A body, and the memory that it is granted.
struct Whole {
    bytes: Vec<u8>,
    _room: Option<tokio::sync::OwnedSemaphorePermit>,
}

async fn read_body(
    state: &RelayState,
    place: &RelayPath,
    request: Request<Incoming>,
) -> Result<Whole, Code> {
    let mut body = request.into_body();
    let most = place.most();
    if body.is_end_stream() {
        return Ok(Whole { bytes: Vec::new(), _room: None });
    }
    if body.size_hint().lower() > most as u64 {
        return Err(Code::TooLarge);
    }
    let expected = body.size_hint().upper().map_or(most, |upper| most.min(upper as usize));
    let kib = u32::try_from(expected.div_ceil(1024)).unwrap_or(u32::MAX);
    let room = timeout(ROOM, Arc::clone(&state.body_kib).acquire_many_owned(kib)).await;
    let Ok(Ok(room)) = room else { return Err(Code::Unavailable) };
    let began = tokio::time::Instant::now();
    let mut bytes = Vec::new();
    loop {
        let until = began + BODY + Duration::from_millis(bytes.len() as u64);
        match timeout_at(until, body.frame()).await {
            Err(_) => return Err(Code::Slow),
            Ok(None) => break,
            Ok(Some(Err(_))) => return Err(Code::BadRequest),
            Ok(Some(Ok(frame))) => {
                if let Ok(data) = frame.into_data() {
                    if bytes.len() + data.len() > most {
                        return Err(Code::TooLarge);
                    }
                    bytes.extend_from_slice(&data);
                }
            }
        }
    }
    Ok(Whole { bytes, _room: Some(room) })
}

async fn exchange(state: &Arc<RelayState>, ask: &Ask) -> HttpResponse {
    let (push, most) = match state.desk.read_push(ask) {
        Ok(read) => read,
        Err(response) => return response,
    };
    let (log, token, after, all) = (push.log, push.token, push.after, push.bundles.len());
    let (tell, told) = oneshot::channel();
    // Whoever has gone meanwhile does not hear it.
    let done = Box::new(move |pushed| drop(tell.send(pushed)));
    state.desk.engine().push(push, now(), done);
    let closed = || Err(EngineError::from(ShelvesError::Closed));
    let pushed = match timeout(WORK, told).await {
        Ok(told) => told.unwrap_or_else(|_| closed()),
        Err(_) => return refuse(Code::Unavailable),
    };
    let pushed = match pushed {
        Ok(pushed) => pushed,
        Err(error) => return error.into(),
    };
    state.metrics.pushed(pushed.new, all);
    if pushed.new > 0 {
        state.news.tell(&log);
    }
    let alone = pushed.alone_since(&after);
    let follow = move |state: &RelayState| {
        let portion = state.desk.engine().follow(log, token, after, most, &pushed);
        let portion = portion.map_err(HttpResponse::from);
        let page = portion.and_then(|portion| state.desk.answer_push(&pushed, &portion));
        page.unwrap_or_else(|problem| problem)
    };
    // Then nothing is read from the disk.
    if alone { follow(state) } else { blocking(state, follow).await }
}

/// What follows, at once or when something comes.
async fn items(state: &Arc<RelayState>, ask: &Ask) -> Answered {
    let asked = match state.desk.read_items(ask) {
        Ok(asked) => asked,
        Err(response) => return Answered::Now(response),
    };
    if asked.wait == 0 {
        return Answered::Now(read_items(state, asked).await);
    }
    // What comes while it reads is heard.
    let waiter = state.news.wait(asked.log);
    let response = read_items(state, asked).await;
    let nothing = response.status == 200
        && response.header(RETIRED_HEADER).is_none()
        && response.header(route::SEQ_HEADER) == Some(asked.after.seq.to_string().as_str());
    if !nothing || *state.stop.borrow() {
        return Answered::Now(response);
    }
    Answered::Later(Wait { waiter, asked, nothing: response })
}

fn too_many(wait: Duration) -> HttpResponse {
    let mut response = refuse(Code::TooMany);
    response.headers.retain(|(name, _)| name != "Retry-After");
    let seconds = wait.as_secs().saturating_add(1).to_string();
    response.headers.push(("Retry-After".to_owned(), seconds));
    response
}

fn written(response: HttpResponse) -> Answer {
    let mut out = Response::builder().status(response.status);
    for (name, value) in &response.headers {
        out = out.header(name, value);
    }
    let out = out.header("Cache-Control", "no-store").body(Full::new(response.body.into()));
    // No header of ours can be refused.
    out.unwrap_or_else(|_| Response::new(Full::default()))
}
