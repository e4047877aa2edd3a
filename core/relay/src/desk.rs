//! Requests in, answers out, without a server: what each path of the protocol means.
//!
//! A simulation calls [`Desk::answer`]; the server stands on the same parts, and adds what a network
//! needs: waiting, limits of time and of addresses.

use std::sync::Arc;

use data_encoding::HEXLOWER;
use fallaway_changes::{BlobId, BundleId, LogId};
use fallaway_sharing::limits::{MAX_BLOB_BYTES, MAX_BLOB_PARTS, SEALED_PART_BYTES};
use fallaway_sync::wire::access::{AccessBody, CHALLENGE, LogToken, SCHEME, TokenHash};
use fallaway_sync::wire::blob::is_part;
use fallaway_sync::wire::chain::{Chain, Position};
use fallaway_sync::wire::http::{HttpRequest, HttpResponse};
use fallaway_sync::wire::limits::{
    MAX_ANSWER_BYTES, MAX_BODY_BYTES, MAX_KNOCK_BYTES, MAX_PAGE_BYTES, MAX_PARCEL_BYTES,
    MAX_PARCEL_DAYS, MAX_WAIT_S,
};
use fallaway_sync::wire::page::{self, PageError};
use fallaway_sync::wire::problem::Code;
use fallaway_sync::wire::route::{
    self, ACCEPTED_HEADER, ADMISSION_HEADER, BUNDLES, BYTES, CHAIN_HEADER, DAYS_HEADER,
    HERE_HEADER, MORE_HEADER, OWNER_HEADER, PARTS_HEADER, PROBLEM, PROBLEM_HEADER, RETIRED_HEADER,
    SEQ_HEADER,
};

use crate::engine::Engine;
use crate::model::{BlobPush, BlobTaken, EngineError, Made, Portion, Push, Pushed};

/// What an operator decides.
#[derive(Debug, Clone, Default)]
pub struct Policy {
    /// What must be shown before a log is opened; nothing if `None`.
    pub admission: Option<String>,
}

/// Answers requests: the relay without a server around it.
#[derive(Clone)]
pub struct Desk {
    engine: Arc<Engine>,
    policy: Policy,
}

/// Where a request goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RelayPath {
    /// A log as a whole.
    Log(LogId),
    /// Push, and what follows.
    Exchange(LogId),
    /// What follows in a log.
    Items(LogId),
    /// Who may use a log.
    Access(LogId),
    /// Who knocks at a log, for whoever may answer.
    Knocks(LogId),
    /// The answer to a knock.
    Answer(LogId, BundleId),
    /// A photo, all of its parts.
    Blob(LogId, BlobId),
    /// A part of one.
    BlobPart(LogId, BlobId, u32),
    /// A parcel, by its id.
    Parcel([u8; 16]),
    /// The relay itself.
    Relay,
}

impl RelayPath {
    /// Reads a path; `None` if nothing is there.
    pub fn read(path: &str) -> Option<Self> {
        let mut parts = path.strip_prefix("/v1/")?.split('/');
        let first = (parts.next()?, parts.next());
        let rest = [parts.next(), parts.next(), parts.next(), parts.next()];
        let bytes = |text: &str| HEXLOWER.decode(text.as_bytes()).ok();
        Some(match (first, rest) {
            (("relay", None), _) => Self::Relay,
            (("parcels", Some(id)), [None, ..]) => Self::Parcel(bytes(id)?.try_into().ok()?),
            (("logs", Some(log)), rest) => {
                let log = LogId::try_from(bytes(log)?.as_slice()).ok()?;
                match rest {
                    [None, ..] => Self::Log(log),
                    [Some("exchange"), None, ..] => Self::Exchange(log),
                    [Some("items"), None, ..] => Self::Items(log),
                    [Some("access"), None, ..] => Self::Access(log),
                    [Some("knocks"), None, ..] => Self::Knocks(log),
                    [Some("knocks"), Some(id), Some("answer"), None] => {
                        Self::Answer(log, BundleId::try_from(bytes(id)?.as_slice()).ok()?)
                    }
                    [Some("blobs"), Some(id), part, None] => {
                        let id = BlobId::try_from(bytes(id)?.as_slice()).ok()?;
                        match part {
                            None => Self::Blob(log, id),
                            Some(part) => Self::BlobPart(log, id, part_number(part)?),
                        }
                    }
                    _ => return None,
                }
            }
            _ => return None,
        })
    }

    /// The methods that are answered there, as the `Allow` header names them.
    pub const fn allow(&self) -> &'static str {
        match self {
            Self::Log(_) => "PUT, DELETE",
            Self::Exchange(_) => "POST",
            Self::Items(_) | Self::Relay => "GET, HEAD",
            Self::Access(_) => "PUT",
            Self::Knocks(_) => "GET, HEAD, POST",
            Self::Answer(..) | Self::BlobPart(..) => "GET, HEAD, PUT",
            Self::Blob(..) => "GET, HEAD, DELETE",
            Self::Parcel(_) => "GET, HEAD, PUT, DELETE",
        }
    }

    /// The log that it is about.
    pub const fn log(&self) -> Option<&LogId> {
        match self {
            Self::Log(log)
            | Self::Exchange(log)
            | Self::Items(log)
            | Self::Access(log)
            | Self::Knocks(log)
            | Self::Answer(log, _)
            | Self::Blob(log, _)
            | Self::BlobPart(log, ..) => Some(log),
            Self::Parcel(_) | Self::Relay => None,
        }
    }

    /// Bytes of a body that are read there at most.
    pub const fn most(&self) -> usize {
        match self {
            Self::Exchange(_) => MAX_BODY_BYTES,
            Self::Log(_) | Self::Access(_) | Self::Items(_) | Self::Blob(..) | Self::Relay => {
                AccessBody::LEN
            }
            Self::BlobPart(..) => SEALED_PART_BYTES,
            // A bundle file is a little more than its bundle.
            Self::Knocks(_) => MAX_KNOCK_BYTES + 64,
            Self::Answer(..) => MAX_ANSWER_BYTES,
            Self::Parcel(_) => MAX_PARCEL_BYTES,
        }
    }
}

/// The header fields that mean something.
#[derive(Debug, Clone, Default)]
pub struct Fields {
    /// `Authorization`
    pub authorization: Option<String>,
    /// `Content-Type`
    pub media: Option<String>,
    /// `Fallaway-Admission`
    pub admission: Option<String>,
    /// `Fallaway-Owner`
    pub owner: Option<String>,
    /// `Fallaway-Days`
    pub days: Option<String>,
}

impl Fields {
    /// Takes them from wherever they are.
    pub fn read(mut field: impl FnMut(&'static str) -> Option<String>) -> Self {
        Self {
            authorization: field("authorization"),
            media: field("content-type"),
            admission: field(ADMISSION_HEADER),
            owner: field(OWNER_HEADER),
            days: field(DAYS_HEADER),
        }
    }
}

/// A request, whoever brought it.
#[derive(Debug, Clone)]
pub struct Ask {
    /// Where it goes.
    pub place: RelayPath,
    /// Its method, such as `GET`.
    pub method: String,
    /// Behind the question mark.
    pub query: String,
    /// Its header fields.
    pub fields: Fields,
    /// Its body, as it came.
    pub body: Vec<u8>,
}

/// What follows is asked for, and for how long one would wait.
#[derive(Debug, Clone, Copy)]
pub struct ItemsAsked {
    /// The log that is read.
    pub log: LogId,
    /// Of the token that is shown.
    pub token: TokenHash,
    /// Up to where the asker knows the log.
    pub after: Position,
    /// Bytes at most.
    pub most: usize,
    /// How many seconds one would wait for something new.
    pub wait: u16,
}

impl Desk {
    /// Over an engine.
    pub fn new(engine: Arc<Engine>, policy: Policy) -> Self {
        Self { engine, policy }
    }

    /// What it stands on.
    pub fn engine(&self) -> &Engine {
        &self.engine
    }

    /// The answer to a request as a client makes it. Does not wait for news.
    pub fn answer(&self, request: &HttpRequest, now: i64) -> HttpResponse {
        let at = request.url.find("/v1/").unwrap_or(request.url.len());
        let whole = request.url.get(at..).unwrap_or_default();
        let (path, query) = whole.split_once('?').unwrap_or((whole, ""));
        let Some(place) = RelayPath::read(path) else { return refuse(Code::NotFound) };
        let headers = &request.headers;
        let fields = Fields::read(|name| {
            let found = headers.iter().find(|(known, _)| known.eq_ignore_ascii_case(name));
            found.map(|(_, value)| value.clone())
        });
        let (method, query) = (request.method.as_str().to_owned(), query.to_owned());
        self.answer_ask(Ask { place, method, query, fields, body: request.body.clone() }, now)
    }

    /// The answer to a request that was read.
    pub fn answer_ask(&self, ask: Ask, now: i64) -> HttpResponse {
        self.try_answer(ask, now).unwrap_or_else(|problem| problem)
    }

    /// The push in a request, and how much of what follows is wanted.
    ///
    /// # Errors
    /// The answer, if there is nothing to push.
    pub fn read_push(&self, ask: &Ask) -> Result<(Push, usize), HttpResponse> {
        let RelayPath::Exchange(log) = ask.place else { return Err(refuse(Code::NotFound)) };
        let token = token(ask)?;
        fits(ask)?;
        media(ask, BUNDLES)?;
        let query = Query::read(&ask.query, &log)?;
        let bundles = page::read(&ask.body).map_err(|error| bad_page(&error))?;
        let bundles = bundles.into_iter().map(|(id, sealed)| (id, sealed.to_vec())).collect();
        Ok((Push { log, token, after: query.after, bundles }, query.most))
    }

    /// The answer to a push.
    ///
    /// # Errors
    /// The answer, if it was refused.
    pub fn answer_push(
        &self,
        pushed: &Pushed,
        portion: &Portion,
    ) -> Result<HttpResponse, HttpResponse> {
        let mut response = page_of(portion)?;
        response.headers.push((ACCEPTED_HEADER.to_owned(), route::accepted(&pushed.accepted)));
        Ok(response)
    }

    /// What a request asks to follow.
    ///
    /// # Errors
    /// The answer, if it asks for nothing that is there.
    pub fn read_items(&self, ask: &Ask) -> Result<ItemsAsked, HttpResponse> {
        let RelayPath::Items(log) = ask.place else { return Err(refuse(Code::NotFound)) };
        let token = token(ask)?;
        let Query { after, most, wait } = Query::read(&ask.query, &log)?;
        Ok(ItemsAsked { log, token, after, most, wait })
    }

    fn try_answer(&self, ask: Ask, now: i64) -> Result<HttpResponse, HttpResponse> {
        let engine = &self.engine;
        match (ask.place, ask.method.as_str()) {
            (RelayPath::Relay, "GET") => Ok(self.relay()),
            (RelayPath::Log(log), "PUT") => {
                fits(&ask)?;
                media(&ask, BYTES)?;
                let shown = ask.fields.admission.as_deref();
                if let Some(wanted) = &self.policy.admission
                    && !shown.is_some_and(|shown| same(shown, wanted))
                {
                    return Err(refuse(Code::Admission));
                }
                let made = engine.open_log(log, access_body(&ask)?, now)?;
                Ok(empty(if made == Made::New { 201 } else { 200 }))
            }
            (RelayPath::Log(log), "DELETE") => {
                engine.delete_log(log, token(&ask)?, now)?;
                Ok(empty(204))
            }
            (RelayPath::Exchange(_), "POST") => {
                let (push, most) = self.read_push(&ask)?;
                let both = engine.exchange(push, most, now)?;
                self.answer_push(&both.pushed, &both.portion)
            }
            (RelayPath::Items(_), "GET") => {
                let ItemsAsked { log, token, after, most, .. } = self.read_items(&ask)?;
                page_of(&engine.items(log, token, after, most)?)
            }
            (RelayPath::Access(log), "PUT") => {
                let admin = token(&ask)?;
                fits(&ask)?;
                media(&ask, BYTES)?;
                let Query { after, .. } = Query::read(&ask.query, &log)?;
                let end = engine.change_access(log, admin, after, access_body(&ask)?)?;
                Ok(HttpResponse { headers: position(&end), ..empty(204) })
            }
            (RelayPath::Knocks(log), "POST") => {
                let token = token(&ask)?;
                let (id, knock) = one_bundle(&ask)?;
                engine.knock(log, token, id, knock, now)?;
                Ok(empty(202))
            }
            (RelayPath::Knocks(log), "GET") => {
                let knocks = engine.knocks(log, token(&ask)?, now)?;
                Ok(bundles(page::write(&knocks).map_err(|error| bad_page(&error))?))
            }
            (RelayPath::Answer(log, id), "PUT") => {
                let token = token(&ask)?;
                fits(&ask)?;
                media(&ask, BUNDLES)?;
                page::read(&ask.body).map_err(|error| bad_page(&error))?;
                engine.answer(log, token, id, ask.body, now)?;
                Ok(empty(204))
            }
            (RelayPath::Answer(log, id), "GET") => {
                Ok(bundles(engine.answered(log, token(&ask)?, id, now)?))
            }
            (RelayPath::Blob(log, id), "GET") => {
                let (parts, here) = engine.blob(log, token(&ask)?, id)?;
                let here = here.iter().map(u32::to_string).collect::<Vec<_>>().join(",");
                let headers = vec![parts_of(parts), (HERE_HEADER.to_owned(), here)];
                Ok(HttpResponse { headers, ..empty(204) })
            }
            (RelayPath::Blob(log, id), "DELETE") => {
                engine.remove_blob(log, token(&ask)?, id, now)?;
                Ok(empty(204))
            }
            (RelayPath::BlobPart(log, id, part), "PUT") => {
                let token = token(&ask)?;
                fits(&ask)?;
                media(&ask, BYTES)?;
                let parts = read_parts(&ask.query)?;
                if !is_part(part, parts, ask.body.len()) {
                    return Err(refuse(Code::BadRequest));
                }
                let push = BlobPush { log, token, id, part, parts, sealed: ask.body };
                match engine.put_blob_part(push, now)? {
                    BlobTaken::Whole => Ok(empty(201)),
                    BlobTaken::Same => Ok(empty(200)),
                    BlobTaken::Lacking => Ok(empty(202)),
                    BlobTaken::Wrong => Err(refuse(Code::BadBlob)),
                }
            }
            (RelayPath::BlobPart(log, id, part), "GET") => {
                let (parts, body) = engine.blob_part(log, token(&ask)?, id, part)?;
                let media = ("Content-Type".to_owned(), BYTES.to_owned());
                Ok(HttpResponse { status: 200, headers: vec![media, parts_of(parts)], body })
            }
            (RelayPath::Parcel(id), "PUT") => {
                let owner = owner(&ask)?;
                fits(&ask)?;
                media(&ask, BYTES)?;
                let days = ask.fields.days.as_deref().and_then(|days| days.parse().ok());
                let days: u16 = days.ok_or_else(|| refuse(Code::BadRequest))?;
                if !(1..=MAX_PARCEL_DAYS).contains(&days) {
                    return Err(refuse(Code::BadRequest));
                }
                let made = engine.leave_parcel(id, owner, ask.body, days, now)?;
                Ok(empty(if made == Made::New { 201 } else { 200 }))
            }
            (RelayPath::Parcel(id), "GET") => {
                let body = engine.parcel(id, now)?;
                let headers = vec![("Content-Type".to_owned(), BYTES.to_owned())];
                Ok(HttpResponse { status: 200, headers, body })
            }
            (RelayPath::Parcel(id), "DELETE") => {
                engine.remove_parcel(id, owner(&ask)?, now)?;
                Ok(empty(204))
            }
            (place, _) => {
                let mut response = refuse(Code::Method);
                response.headers.push(("Allow".to_owned(), place.allow().to_owned()));
                Err(response)
            }
        }
    }

    /// What the relay grants, for people and programs.
    fn relay(&self) -> HttpResponse {
        let body = format!(
            "{{\"protocol\":1,\"version\":\"{}\",\"admission\":{},\"log_bytes\":{},\
             \"body_bytes\":{MAX_BODY_BYTES},\"blob_bytes\":{MAX_BLOB_BYTES},\"wait_seconds\":{MAX_WAIT_S},\
             \"parcel_days\":{MAX_PARCEL_DAYS},\"idle_logs_expire\":false}}",
            env!("CARGO_PKG_VERSION"),
            self.policy.admission.is_some(),
            self.engine.quotas().log_bytes,
        );
        let headers = vec![("Content-Type".to_owned(), "application/json".to_owned())];
        HttpResponse { status: 200, headers, body: body.into_bytes() }
    }
}

/// The answer that refuses with this code.
pub fn refuse(code: Code) -> HttpResponse {
    let (status, name) = (code.status(), code.as_str());
    let body = format!(
        "{{\"type\":\"about:blank\",\"title\":\"{}\",\"status\":{status},\"detail\":\"{}\",\
         \"code\":\"{name}\"}}",
        phrase(status),
        detail(code),
    );
    let mut headers = vec![
        ("Content-Type".to_owned(), PROBLEM.to_owned()),
        (PROBLEM_HEADER.to_owned(), name.to_owned()),
    ];
    let more = match code {
        Code::NoAccess => Some(("WWW-Authenticate", CHALLENGE)),
        Code::TooMany => Some(("Retry-After", "60")),
        Code::Unavailable => Some(("Retry-After", "5")),
        Code::Full | Code::Quota => Some(("Retry-After", "900")),
        _ => None,
    };
    headers.extend(more.map(|(name, value)| (name.to_owned(), value.to_owned())));
    HttpResponse { status, headers, body: body.into_bytes() }
}

impl From<EngineError> for HttpResponse {
    fn from(error: EngineError) -> Self {
        let mut response = refuse(error.code());
        match error {
            EngineError::Retired(number) => {
                response.headers.push((RETIRED_HEADER.to_owned(), number.to_string()));
            }
            EngineError::Diverged(end) => response.headers.extend(position(&end)),
            _ => {}
        }
        response
    }
}

/// The answer that gives a portion.
///
/// # Errors
/// The answer that says that it cannot be given.
pub fn page_of(portion: &Portion) -> Result<HttpResponse, HttpResponse> {
    let file = page::write(&portion.sealed).map_err(|_| refuse(Code::Unavailable))?;
    let mut response = bundles(file);
    response.headers.extend(position(&portion.end));
    response.headers.push((MORE_HEADER.to_owned(), portion.more.to_string()));
    let retired = portion.retired.map(|number| (RETIRED_HEADER.to_owned(), number.to_string()));
    response.headers.extend(retired);
    Ok(response)
}

/// The words of RFC 9110 for a status.
const fn phrase(status: u16) -> &'static str {
    match status {
        400 => "Bad Request",
        401 => "Unauthorized",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        408 => "Request Timeout",
        409 => "Conflict",
        410 => "Gone",
        413 => "Content Too Large",
        415 => "Unsupported Media Type",
        422 => "Unprocessable Content",
        429 => "Too Many Requests",
        507 => "Insufficient Storage",
        _ => "Service Unavailable",
    }
}

const fn detail(code: Code) -> &'static str {
    match code {
        Code::Diverged => "The log does not go on from there: read it from its beginning.",
        Code::Retired => "The token reads to a number and writes no more.",
        Code::NoAccess => "No such log, or the token is none of its own.",
        Code::Gone => "The log was deleted.",
        Code::Admission => "New logs need the operator's word in Fallaway-Admission.",
        Code::TooLarge => "The body is larger than is taken here.",
        Code::BadBundle => "The body is not a bundle file with sound bundles.",
        Code::BadBlob => "The parts are not those that the id names: send them all again.",
        Code::BadRequest => "The request is not in the form that the document describes.",
        Code::NotFound => "There is no such thing.",
        Code::Taken => "It is there already and belongs to somebody else.",
        Code::Method => "The method is not answered here; Allow names those that are.",
        Code::MediaType => "The media type is not taken here.",
        Code::TooMany => "Too many requests: wait as long as Retry-After says.",
        Code::Quota => "The log has reached the size that it is granted.",
        Code::Full => "The relay has no room left.",
        Code::Slow => "The request came too slowly.",
        Code::Unavailable => "The relay cannot answer now.",
    }
}

fn empty(status: u16) -> HttpResponse {
    HttpResponse { status, ..HttpResponse::default() }
}

fn bundles(file: Vec<u8>) -> HttpResponse {
    let headers = vec![("Content-Type".to_owned(), BUNDLES.to_owned())];
    HttpResponse { status: 200, headers, body: file }
}

fn position(at: &Position) -> Vec<(String, String)> {
    vec![
        (SEQ_HEADER.to_owned(), at.seq.to_string()),
        (CHAIN_HEADER.to_owned(), at.chain.to_string()),
    ]
}

fn parts_of(parts: u32) -> (String, String) {
    (PARTS_HEADER.to_owned(), parts.to_string())
}

fn bad_page(error: &PageError) -> HttpResponse {
    refuse(match error {
        PageError::TooMany(_) => Code::TooLarge,
        _ => Code::BadBundle,
    })
}

fn token(ask: &Ask) -> Result<TokenHash, HttpResponse> {
    let token = ask.fields.authorization.as_deref().and_then(LogToken::from_header);
    token.map(|token| token.hash()).ok_or_else(|| refuse(Code::NoAccess))
}

fn owner(ask: &Ask) -> Result<TokenHash, HttpResponse> {
    let shown = ask.fields.owner.as_deref();
    let token = shown.and_then(|shown| LogToken::from_header(&format!("{SCHEME} {shown}")));
    token.map(|token| token.hash()).ok_or_else(|| refuse(Code::BadRequest))
}

fn fits(ask: &Ask) -> Result<(), HttpResponse> {
    if ask.body.len() <= ask.place.most() { Ok(()) } else { Err(refuse(Code::TooLarge)) }
}

/// Parameters of the type do not matter.
fn media(ask: &Ask, wanted: &str) -> Result<(), HttpResponse> {
    let named = ask.fields.media.as_deref().and_then(|media| media.split(';').next());
    let right = named.is_some_and(|named| named.trim().eq_ignore_ascii_case(wanted));
    if right { Ok(()) } else { Err(refuse(Code::MediaType)) }
}

fn access_body(ask: &Ask) -> Result<AccessBody, HttpResponse> {
    AccessBody::decode(&ask.body).ok_or_else(|| refuse(Code::BadRequest))
}

/// The one bundle of a knock.
fn one_bundle(ask: &Ask) -> Result<(BundleId, Vec<u8>), HttpResponse> {
    fits(ask)?;
    media(ask, BUNDLES)?;
    let bundles = page::read(&ask.body).map_err(|error| bad_page(&error))?;
    match bundles.as_slice() {
        [(id, sealed)] if sealed.len() <= MAX_KNOCK_BYTES => Ok((*id, sealed.to_vec())),
        [_] => Err(refuse(Code::TooLarge)),
        _ => Err(refuse(Code::BadBundle)),
    }
}

/// Compares without saying by its time where the difference is.
fn same(shown: &str, wanted: &str) -> bool {
    blake3::hash(shown.as_bytes()) == blake3::hash(wanted.as_bytes())
}

/// Where a page begins, and how much of it is wanted.
struct Query {
    after: Position,
    most: usize,
    wait: u16,
}

impl Query {
    fn read(query: &str, log: &LogId) -> Result<Self, HttpResponse> {
        Self::parse(query, log).ok_or_else(|| refuse(Code::BadRequest))
    }

    fn parse(query: &str, log: &LogId) -> Option<Self> {
        let (mut after, mut chain, mut most, mut wait) = (None, None, None, None);
        for pair in query.split('&').filter(|pair| !pair.is_empty()) {
            let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
            let twice = match name {
                route::AFTER => after.replace(number(value)?).is_some(),
                route::CHAIN => chain.replace(value.parse::<Chain>().ok()?).is_some(),
                route::MAX => most.replace(number(value)?).is_some(),
                route::WAIT => wait.replace(number(value)?).is_some(),
                _ => false,
            };
            if twice {
                return None;
            }
        }
        let after = match (after.unwrap_or(0), chain) {
            (0, None) => Position::start(log),
            (seq, chain) => Position { seq, chain: chain? },
        };
        let most = usize::try_from(most.unwrap_or(MAX_PAGE_BYTES as u64)).ok()?;
        let wait = u16::try_from(wait.unwrap_or(0)).ok()?;
        let fine = most <= MAX_PAGE_BYTES && wait <= MAX_WAIT_S;
        fine.then_some(Self { after, most, wait })
    }
}

/// How many parts a photo has, out of a query.
fn read_parts(query: &str) -> Result<u32, HttpResponse> {
    let mut named = query.split('&').filter_map(|pair| pair.strip_prefix("parts="));
    let parts = named.next().and_then(number).and_then(|parts| u32::try_from(parts).ok());
    match (parts, named.next()) {
        (Some(parts), None) => Ok(parts),
        _ => Err(refuse(Code::BadRequest)),
    }
}

/// The number of a part, in its one form.
fn part_number(text: &str) -> Option<u32> {
    let part = number(text).and_then(|part| u32::try_from(part).ok())?;
    (part < MAX_BLOB_PARTS && part.to_string() == text).then_some(part)
}

/// Digits and nothing else, within what a database counts.
fn number(text: &str) -> Option<u64> {
    let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse().ok().filter(|number| digits && i64::try_from(*number).is_ok())
}
