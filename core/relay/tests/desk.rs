//! What these tests rule out: that an answer's status, code or headers are not those that the protocol
//! names, and that a malformed request is taken for another.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

mod common;

use std::sync::Arc;

use common::NOON;
use fallaway_changes::LogId;
use fallaway_relay::{Desk, Engine, MemoryShelves, Policy, Quotas};
use fallaway_sharing::{EpochKey, bundle_file, bundle_id};
use fallaway_sync::wire::access::{AccessBody, LogToken};
use fallaway_sync::wire::chain::Position;
use fallaway_sync::wire::http::{HttpMethod, HttpRequest, HttpResponse};
use fallaway_sync::wire::route::{self, BUNDLES, BYTES};

const LOG: LogId = LogId::from_bytes([7; 16]);

fn key(number: u8) -> EpochKey {
    EpochKey::from_bytes([number; 32])
}

/// Looks like a sealed bundle from outside.
fn sealed(number: u8) -> Vec<u8> {
    let mut sealed = vec![number; 768];
    sealed[..4].copy_from_slice(&[0xfa, 0x11, 0x0a, 1]);
    sealed
}

fn desk(admission: Option<&str>) -> Desk {
    let engine = Engine::in_memory(MemoryShelves::default(), Quotas::default());
    Desk::new(Arc::new(engine), Policy { admission: admission.map(str::to_owned) })
}

struct Client<'a>(&'a Desk);

impl Client<'_> {
    fn send(
        &self,
        method: HttpMethod,
        path: &str,
        headers: &[(&'static str, &str)],
        body: &[u8],
    ) -> HttpResponse {
        let url = format!("https://relay.example{path}");
        let headers = headers.iter().map(|(name, value)| (*name, (*value).to_owned())).collect();
        self.0.answer(&HttpRequest { method, url, headers, body: body.to_vec() }, NOON)
    }

    fn open(&self, number: u8) -> u16 {
        let body = AccessBody::of(&key(number), &LOG).encode();
        let path = route::of_log(route::LOG, &LOG);
        self.send(HttpMethod::Put, &path, &[("Content-Type", BYTES)], &body).status
    }

    fn exchange(&self, number: u8, query: &str, body: &[u8]) -> HttpResponse {
        let token = LogToken::access(&key(number), &LOG).header();
        let headers = [("Authorization", token.as_str()), ("Content-Type", BUNDLES)];
        let path = route::of_log(route::EXCHANGE, &LOG) + query;
        self.send(HttpMethod::Post, &path, &headers, body)
    }

    fn items(&self, number: u8, query: &str) -> HttpResponse {
        let token = LogToken::access(&key(number), &LOG).header();
        let path = route::of_log(route::ITEMS, &LOG) + query;
        self.send(HttpMethod::Get, &path, &[("authorization", &token)], b"")
    }
}

fn code(response: &HttpResponse) -> (u16, &str) {
    (response.status, response.header("fallaway-problem").unwrap_or_default())
}

#[test]
fn a_log_is_opened_once_and_a_visit_is_one_request() {
    let desk = desk(None);
    let client = Client(&desk);
    assert_eq!(client.open(1), 201);
    assert_eq!(client.open(1), 200);
    assert_eq!(client.open(2), 401);
    let start = Position::start(&LOG);
    let file = bundle_file::write(&[sealed(1)]).unwrap();
    let answer = client.exchange(1, &route::query(&start, 262_144), &file);
    let end = start.next(&bundle_id(&sealed(1)));
    assert_eq!(answer.status, 200);
    assert_eq!(answer.header("fallaway-accepted"), Some("1"));
    assert_eq!(answer.header("fallaway-seq"), Some("1"));
    assert_eq!(answer.header("fallaway-chain"), Some(end.chain.to_string().as_str()));
    assert_eq!(answer.header("fallaway-more"), Some("0"));
    assert_eq!(bundle_file::read(&answer.body), Ok(Vec::new()));
    let answer = client.items(1, "");
    assert_eq!(bundle_file::read(&answer.body).unwrap(), [sealed(1)]);
    assert_eq!(code(&client.items(2, "")), (401, "no-access"));
    let elsewhere = Position { seq: 9, ..end };
    let answer = client.items(1, &route::query(&elsewhere, 9));
    assert_eq!(code(&answer), (409, "diverged"));
    assert_eq!(answer.header("Fallaway-Seq"), Some("1"));
    assert!(String::from_utf8(answer.body).unwrap().contains(r#""code":"diverged""#));
}

#[test]
fn what_is_not_in_form_is_refused_with_its_code() {
    let desk = desk(None);
    let client = Client(&desk);
    client.open(1);
    let file = bundle_file::write(&[sealed(1)]).unwrap();
    for query in [
        "?after=1",
        "?after=-1",
        "?after=x",
        "?after=+1",
        "?max=999999999",
        "?after=0&after=0",
        "?wait=56",
        "?chain=00",
        "?after=99999999999999999999&chain=00000000000000000000000000000000",
    ] {
        assert_eq!(code(&client.exchange(1, query, &file)), (400, "bad-request"), "{query}");
    }
    assert_eq!(code(&client.exchange(1, "", b"hello")), (400, "bad-bundle"));
    let other = bundle_file::write(&[[0; 256]]).unwrap();
    assert_eq!(code(&client.exchange(1, "", &other)), (400, "bad-bundle"));
    let many = bundle_file::write(&vec![sealed(1); 65]).unwrap();
    assert_eq!(code(&client.exchange(1, "", &many)), (413, "too-large"));
    assert_eq!(code(&client.exchange(1, "", &vec![0; 4_456_449])), (413, "too-large"));
    let token = LogToken::access(&key(1), &LOG).header();
    let path = route::of_log(route::EXCHANGE, &LOG);
    let answer = client.send(HttpMethod::Post, &path, &[("Authorization", &token)], &file);
    assert_eq!(code(&answer), (415, "media-type"));
    let answer = client.send(HttpMethod::Delete, &path, &[("Authorization", &token)], &file);
    assert_eq!((code(&answer), answer.header("Allow")), ((405, "method"), Some("POST")));
    for path in [
        "/v1",
        "/v1/logs",
        "/v1/logs/x",
        "/v1/logs//items",
        "/v2/relay",
        "/v1/relay/x",
        "/v1/parcels/0",
        "/v1/logs/07070707070707070707070707070707/knocks/0/answer/x",
    ] {
        let answer = client.send(HttpMethod::Get, path, &[], b"");
        assert_eq!(code(&answer), (404, "not-found"), "{path}");
    }
}

#[test]
fn access_knocks_and_parcels() {
    let desk = desk(Some("word"));
    let client = Client(&desk);
    assert_eq!(client.open(1), 403);
    let path = route::of_log(route::LOG, &LOG);
    let body = AccessBody::of(&key(1), &LOG).encode();
    let headers = [("Content-Type", BYTES), ("Fallaway-Admission", "word")];
    assert_eq!(client.send(HttpMethod::Put, &path, &headers, &body).status, 201);
    let file = bundle_file::write(&[sealed(1)]).unwrap();
    client.exchange(1, "", &file);
    let admin = LogToken::admin(&key(1), &LOG).header();
    let headers = [("Content-Type", BYTES), ("Authorization", admin.as_str())];
    let access = route::of_log(route::ACCESS, &LOG);
    let answer = client.send(HttpMethod::Put, &access, &headers, &[0; 63]);
    assert_eq!(code(&answer), (400, "bad-request"));
    let next = AccessBody::of(&key(2), &LOG).encode();
    let answer = client.send(HttpMethod::Put, &access, &headers, &next);
    assert_eq!((answer.status, answer.header("Fallaway-Seq")), (204, Some("1")));
    let late = client.exchange(1, "", &file);
    assert_eq!((code(&late), late.header("Fallaway-Retired")), ((409, "retired"), Some("1")));
    assert_eq!(client.items(1, "").header("fallaway-retired"), Some("1"));

    let token = [1, 2].map(|number| LogToken::access(&key(number), &LOG).header());
    let shown = |who: usize| [("Authorization", token[who].as_str()), ("Content-Type", BUNDLES)];
    let knocks = route::of_log(route::KNOCKS, &LOG);
    assert_eq!(client.send(HttpMethod::Post, &knocks, &shown(0), &file).status, 202);
    let both = bundle_file::write(&[sealed(1), sealed(2)]).unwrap();
    let answer = client.send(HttpMethod::Post, &knocks, &shown(0), &both);
    assert_eq!(code(&answer), (400, "bad-bundle"));
    let answer = client.send(HttpMethod::Get, &knocks, &shown(1), b"");
    assert_eq!(bundle_file::read(&answer.body).unwrap(), [sealed(1)]);
    let path = format!("{knocks}/{}/answer", bundle_id(&sealed(1)));
    assert_eq!(client.send(HttpMethod::Get, &path, &shown(0), b"").status, 404);
    assert_eq!(client.send(HttpMethod::Put, &path, &shown(1), &both).status, 204);
    assert_eq!(client.send(HttpMethod::Get, &path, &shown(0), b"").body, both);

    let path = format!("/v1/parcels/{}", "0a".repeat(16));
    let owner = |token: &LogToken| token.header().replace("Fallaway ", "");
    let (mine, other) =
        (owner(&LogToken::access(&key(1), &LOG)), owner(&LogToken::access(&key(2), &LOG)));
    let shown =
        |owner, days| [("Content-Type", BYTES), ("Fallaway-Owner", owner), ("Fallaway-Days", days)];
    let put =
        |owner, days| client.send(HttpMethod::Put, &path, &shown(owner, days), b"a drop").status;
    assert_eq!(put(&mine, "0"), 400);
    assert_eq!(put(&mine, "367"), 400);
    assert_eq!(put("x", "3"), 400);
    assert_eq!(put(&mine, "3"), 201);
    assert_eq!(put(&mine, "3"), 200);
    assert_eq!(put(&other, "3"), 409);
    assert_eq!(client.send(HttpMethod::Get, &path, &[], b"").body, b"a drop");
    assert_eq!(client.send(HttpMethod::Delete, &path, &shown(&mine, "3"), b"").status, 204);
    assert_eq!(client.send(HttpMethod::Get, &path, &[], b"").status, 404);

    let delete = client.send(HttpMethod::Delete, &route::of_log(route::LOG, &LOG), &headers, b"");
    assert_eq!(delete.status, 401, "an admin token of before deletes nothing");
    let admin = LogToken::admin(&key(2), &LOG).header();
    let headers = [("Authorization", admin.as_str())];
    let delete = client.send(HttpMethod::Delete, &route::of_log(route::LOG, &LOG), &headers, b"");
    assert_eq!(delete.status, 204);
    assert_eq!(code(&client.items(2, "")), (410, "gone"));
    let policy = client.send(HttpMethod::Get, "/v1/relay", &[], b"");
    assert!(String::from_utf8(policy.body).unwrap().contains(r#""admission":true"#));
}

#[test]
fn photos_are_brought_and_fetched_part_by_part() {
    use fallaway_sharing::{BlobKey, seal_blob};
    use fallaway_sync::wire::blob::BlobPlace;
    let desk = desk(None);
    let client = Client(&desk);
    assert_eq!(client.open(1), 201);
    let photo = vec![7; 1024 * 1024 + 5];
    let sealed = seal_blob(&BlobKey::from_bytes([3; 32]), &photo).unwrap();
    let token = LogToken::access(&key(1), &LOG);
    let url = "https://relay.example";
    let at = |part| BlobPlace { log: LOG, blob: sealed.id, part };
    let send = |request: &HttpRequest| desk.answer(request, NOON);
    let put =
        |part: u32, parts, body: &[u8]| send(&at(part).put(url, &token, parts, body.to_vec()));
    assert_eq!(send(&at(0).ask(url, &token)).status, 404);
    assert_eq!(put(1, 2, &sealed.parts[1]).status, 202);
    let asked = send(&at(0).ask(url, &token));
    let header = |name| asked.header(name).map(str::to_owned);
    assert_eq!(asked.status, 204);
    assert_eq!(header(route::PARTS_HEADER).as_deref(), Some("2"));
    assert_eq!(header(route::HERE_HEADER).as_deref(), Some("1"));
    assert_eq!(send(&at(1).get(url, &token)).status, 404, "it is not whole yet");
    assert_eq!(put(0, 2, &sealed.parts[0]).status, 201);
    assert_eq!(put(0, 2, &sealed.parts[0]).status, 200);
    let got = send(&at(1).get(url, &token));
    assert_eq!((got.status, &got.body), (200, &sealed.parts[1]));
    assert_eq!(got.header("content-type"), Some(BYTES));
    // What is no part of a photo.
    let full = &sealed.parts[0];
    for (part, parts, body) in
        [(0, 2, &full[1..]), (2, 2, &full[..]), (0, 0, &full[..]), (0, 17, full), (0, 1, &[])]
    {
        assert_eq!(put(part, parts, body).status, 400, "{part} of {parts}, {} bytes", body.len());
    }
    let more = [full.as_slice(), &[0]].concat();
    assert_eq!(put(0, 1, &more).status, 413);
    assert_eq!(put(0, 1, b"another photo").header(route::PROBLEM_HEADER), None, "it was whole");
    let other = BlobPlace { blob: fallaway_changes::BlobId::from_bytes([1; 32]), ..at(0) };
    let wrong = send(&other.put(url, &token, 1, vec![1; 4112]));
    assert_eq!((wrong.status, wrong.header(route::PROBLEM_HEADER)), (422, Some("bad-blob")));
    // A path has one form.
    for path in [format!("{}/16", at(0).path().trim_end_matches("/0")), at(0).path() + "0"] {
        assert_eq!(client.send(HttpMethod::Get, &path, &[], b"").status, 404, "{path}");
    }
    let stranger = LogToken::access(&key(2), &LOG);
    assert_eq!(send(&at(0).get(url, &stranger)).status, 401);
    let admin = LogToken::admin(&key(1), &LOG).header();
    let path = route::of_blob(&LOG, &sealed.id);
    let delete = |token: &str| {
        client.send(HttpMethod::Delete, &path, &[("Authorization", token)], b"").status
    };
    assert_eq!((delete(&token.header()), delete(&admin), delete(&admin)), (401, 204, 404));
}
