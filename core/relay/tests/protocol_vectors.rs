//! The golden vectors of the protocol, `tests/vectors/relay/protocol.json`: what a client says, and what a
//! relay answers. Another implementation reads the same file. `FALLAWAY_RECORD=1` writes it anew.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

mod common;

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;

use common::NOON;
use fallaway_changes::LogId;
use fallaway_relay::{Desk, Engine, MemoryShelves, Policy, Quotas};
use fallaway_sharing::{EpochKey, bundle_file, bundle_id};
use fallaway_sync::wire::access::{AccessBody, LogToken};
use fallaway_sync::wire::chain::Position;
use fallaway_sync::wire::http::{HttpMethod, HttpRequest, HttpResponse};
use fallaway_sync::wire::route::{self, BUNDLES, BYTES};
use serde_json::{Value, json};

const LOG: LogId = LogId::from_bytes([7; 16]);

fn file() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/vectors/relay/protocol.json")
}

fn vectors() -> Value {
    serde_json::from_slice(&fs::read(file()).unwrap()).unwrap()
}

fn hex(bytes: &[u8]) -> String {
    data_encoding::HEXLOWER.encode(bytes)
}

fn bytes(text: &Value) -> Vec<u8> {
    data_encoding::HEXLOWER.decode(text.as_str().unwrap().as_bytes()).unwrap()
}

fn key(number: u8) -> EpochKey {
    EpochKey::from_bytes([number; 32])
}

/// Looks like a sealed bundle from outside.
fn sealed(number: u8) -> Vec<u8> {
    let mut sealed = vec![number; 256];
    sealed[..4].copy_from_slice(&[0xfa, 0x11, 0x0a, 1]);
    sealed
}

fn tokens(number: u8) -> Value {
    let (access, admin) =
        (LogToken::access(&key(number), &LOG), LogToken::admin(&key(number), &LOG));
    json!({
        "epoch_key": hex(&[number; 32]),
        "access": access.header(),
        "admin": admin.header(),
        "opens_with": hex(&AccessBody::of(&key(number), &LOG).encode()),
    })
}

/// The places after bundles that are put into the log one after the other.
fn places(numbers: &[u8]) -> Vec<Position> {
    let mut places = vec![Position::start(&LOG)];
    for number in numbers {
        let next = places[places.len() - 1].next(&bundle_id(&sealed(*number)));
        places.push(next);
    }
    places
}

fn request(says: &str, method: &str, path: &str, headers: &[(&str, String)], body: &[u8]) -> Value {
    let headers: serde_json::Map<_, _> =
        headers.iter().map(|(name, value)| ((*name).to_owned(), json!(value))).collect();
    json!({ "says": says, "method": method, "path": path, "headers": headers, "body": hex(body) })
}

/// What clients say in the conversation.
fn requests() -> Vec<Value> {
    let authorization = |number| ("Authorization", LogToken::access(&key(number), &LOG).header());
    let admin = |number| ("Authorization", LogToken::admin(&key(number), &LOG).header());
    let sends = |media: &str| ("Content-Type", media.to_owned());
    let body = |number| AccessBody::of(&key(number), &LOG).encode();
    let bundles = |numbers: &[u8]| {
        bundle_file::write(&numbers.iter().map(|n| sealed(*n)).collect::<Vec<_>>()).unwrap()
    };
    let at = places(&[1, 2, 3]);
    let log = route::of_log(route::LOG, &LOG);
    let exchange =
        |place: &Position| route::of_log(route::EXCHANGE, &LOG) + &route::query(place, 262_144);
    let items =
        |place: &Position, max| route::of_log(route::ITEMS, &LOG) + &route::query(place, max);
    let push = |says: &str, number, place: &Position, numbers: &[u8]| {
        let headers = [authorization(number), sends(BUNDLES)];
        request(says, "POST", &exchange(place), &headers, &bundles(numbers))
    };
    let get =
        |says: &str, number, path: &str| request(says, "GET", path, &[authorization(number)], &[]);
    let elsewhere = Position { seq: 2, ..at[1] };
    let access = route::of_log(route::ACCESS, &LOG) + &route::query(&at[3], 262_144);
    let knocks = route::of_log(route::KNOCKS, &LOG);
    let answer = route::of_answer(&LOG, &bundle_id(&sealed(9)));
    let parcel = format!("/v1/parcels/{}", "0a".repeat(16));
    let owner = LogToken::access(&key(1), &LOG).header().replace("Fallaway ", "");
    let owned = [sends(BYTES), ("Fallaway-Owner", owner), ("Fallaway-Days", "3".to_owned())];
    vec![
        request("opens the log", "PUT", &log, &[sends(BYTES)], &body(1)),
        request("opens it again", "PUT", &log, &[sends(BYTES)], &body(1)),
        request("opens it with other tokens", "PUT", &log, &[sends(BYTES)], &body(2)),
        get("reads the empty log", 1, &items(&at[0], 262_144)),
        push("pushes two bundles", 1, &at[0], &[1, 2]),
        push("pushes them again, since no answer came", 1, &at[0], &[1, 2]),
        get("another device reads from the beginning", 1, &items(&at[0], 262_144)),
        get("a page of at most 256 bytes", 1, &items(&at[0], 256)),
        push("pushes a third one, and one that is there", 1, &at[1], &[3, 1]),
        get("goes on behind the end", 1, &items(&at[3], 262_144)),
        get("names a place that the log does not have", 1, &items(&elsewhere, 262_144)),
        push("pushes from there: nothing is taken", 1, &elsewhere, &[4]),
        get("shows a token that is none of the log's", 2, &items(&at[0], 262_144)),
        request("shows none", "GET", &items(&at[0], 262_144), &[], &[]),
        request(
            "pushes what is no bundle file",
            "POST",
            &exchange(&at[3]),
            &[authorization(1), sends(BUNDLES)],
            b"hello",
        ),
        request(
            "pushes under another media type",
            "POST",
            &exchange(&at[3]),
            &[authorization(1), sends(BYTES)],
            &bundles(&[4]),
        ),
        request(
            "a method that is not there",
            "DELETE",
            &exchange(&at[3]),
            &[authorization(1)],
            &[],
        ),
        request(
            "makes the tokens of the next epoch live",
            "PUT",
            &access,
            &[admin(1), sends(BYTES)],
            &body(2),
        ),
        push("pushes with the retired token", 1, &at[3], &[4]),
        get("reads with it", 1, &items(&at[0], 262_144)),
        request(
            "knocks with it",
            "POST",
            &knocks,
            &[authorization(1), sends(BUNDLES)],
            &bundles(&[9]),
        ),
        get("asks for knocks with the live token", 2, &knocks),
        get("asks for an answer before there is one", 1, &answer),
        request("answers", "PUT", &answer, &[authorization(2), sends(BUNDLES)], &bundles(&[5])),
        get("fetches the answer", 1, &answer),
        get("asks for knocks again", 2, &knocks),
        request("leaves a parcel", "PUT", &parcel, &owned, b"a welcome"),
        request("fetches it", "GET", &parcel, &[], &[]),
        request("takes it away", "DELETE", &parcel, &owned, &[]),
        request("fetches it again", "GET", &parcel, &[], &[]),
        request("deletes the log with the retired admin token", "DELETE", &log, &[admin(1)], &[]),
        request("deletes the log", "DELETE", &log, &[admin(2)], &[]),
        get("reads a log that was deleted", 2, &items(&at[0], 262_144)),
    ]
}

fn send(desk: &Desk, request: &Value) -> HttpResponse {
    let method = match request["method"].as_str().unwrap() {
        "GET" => HttpMethod::Get,
        "POST" => HttpMethod::Post,
        "PUT" => HttpMethod::Put,
        "DELETE" => HttpMethod::Delete,
        other => panic!("{other}"),
    };
    let known = ["Authorization", "Content-Type", "Fallaway-Owner", "Fallaway-Days"];
    let header = |(name, value): (&String, &Value)| {
        let name = known.iter().find(|known| *known == name).unwrap();
        (*name, value.as_str().unwrap().to_owned())
    };
    let headers = request["headers"].as_object().unwrap().iter().map(header).collect();
    let url = format!("https://relay.example{}", request["path"].as_str().unwrap());
    let body = bytes(&request["body"]);
    desk.answer(&HttpRequest { method, url, headers, body }, NOON)
}

/// An answer as the file has it: of a problem its code alone, since its words are for people.
fn told(answer: &HttpResponse) -> Value {
    let mut headers = serde_json::Map::new();
    for (name, value) in &answer.headers {
        headers.insert(name.clone(), json!(value));
    }
    let is_problem = answer.header("Content-Type") == Some(route::PROBLEM);
    let body = if is_problem { String::new() } else { hex(&answer.body) };
    json!({ "status": answer.status, "headers": headers, "body": body })
}

fn desk(engine: Engine) -> Desk {
    Desk::new(Arc::new(engine), Policy::default())
}

fn in_memory() -> Desk {
    desk(Engine::in_memory(MemoryShelves::default(), Quotas::default()))
}

#[test]
fn what_clients_derive_and_say_is_in_the_vectors() {
    let chain: Vec<Value> = places(&[1, 2, 3])
        .iter()
        .map(|place| json!({ "number": place.seq, "chain": place.chain.to_string() }))
        .collect();
    let ids: Vec<String> = [1, 2, 3].iter().map(|n| bundle_id(&sealed(*n)).to_string()).collect();
    let mut made = json!({
        "about": "a log, its tokens, its chain, and a conversation with a relay, in this order; \
                  bodies in hexadecimal. The body of a problem (RFC 9457) is for people, and not compared",
        "source": "docs/sync-protocol.md",
        "log": LOG.to_string(),
        "tokens": [tokens(1), tokens(2)],
        "bundle_ids": ids,
        "chain": chain,
    });
    let desk = in_memory();
    let mut conversation = requests();
    for one in &mut conversation {
        let answer = told(&send(&desk, one));
        one["answer"] = answer;
    }
    made["conversation"] = json!(conversation);
    if std::env::var_os("FALLAWAY_RECORD").is_some() {
        fs::create_dir_all(file().parent().unwrap()).unwrap();
        fs::write(file(), serde_json::to_string_pretty(&made).unwrap() + "\n").unwrap();
    }
    assert_eq!(vectors(), made);
}

#[test]
fn a_relay_answers_the_conversation_of_the_vectors() {
    let folder = tempfile::tempdir().unwrap();
    let sqlite = Engine::in_folder(folder.path(), Quotas::default()).unwrap();
    for desk in [in_memory(), desk(sqlite)] {
        for one in vectors()["conversation"].as_array().unwrap() {
            assert_eq!(told(&send(&desk, one)), one["answer"], "{}", one["says"]);
        }
    }
}

/// What the page shows is in the vectors, so that both cannot go apart.
#[test]
fn the_page_shows_what_is_in_the_vectors() {
    let page = include_str!("../../../docs/sync-protocol.md");
    let (_, example) = page.split_once("## Example\n").unwrap();
    let shown = |what: &str| {
        let line = example.lines().find_map(|line| line.trim().strip_prefix(what)).unwrap();
        line.trim().to_owned()
    };
    let vectors = vectors();
    assert_eq!(shown("access "), vectors["tokens"][0]["access"]);
    assert_eq!(shown("admin "), vectors["tokens"][0]["admin"]);
    assert_eq!(shown("id of bundle 1 "), vectors["bundle_ids"][0]);
    for number in 0..3 {
        assert_eq!(shown(&format!("chain {number} ")), vectors["chain"][number]["chain"]);
    }
}
