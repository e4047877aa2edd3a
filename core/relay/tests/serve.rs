//! What these tests rule out: that the program answers otherwise than the protocol says, lets itself be
//! held up, guessed or overrun, or tells what it must not.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

#[path = "common/planted.rs"]
mod planted;
#[path = "common/process.rs"]
mod process;

use std::io::{Read as _, Write as _};
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use fallaway_sharing::{bundle_file, bundle_id};
use fallaway_sync::wire::route::{self, BUNDLES};
use planted::Planted;
use process::{Device, PATIENCE, Relay, Reply, aside, connect, reply, request, sealed};
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::pem::PemObject as _;
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName};
use tokio_rustls::rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};

fn get(address: SocketAddr, path: &str) -> Reply {
    let mut stream = connect(address).unwrap();
    stream.write_all(&request("GET", path, &[], b"")).unwrap();
    reply(&mut stream).unwrap()
}

/// A relay with an open log.
fn opened(more: &[&str]) -> (tempfile::TempDir, Relay, Device) {
    let folder = tempfile::tempdir().unwrap();
    let relay = Relay::start(folder.path(), more);
    let mut device = Device::new(relay.address, 1, 1);
    assert_eq!(device.open().unwrap().status, 201);
    (folder, relay, device)
}

#[test]
fn a_visit_crosses_and_whoever_waits_hears_of_it() {
    let (_folder, relay, mut device) = opened(&["--metrics", "127.0.0.1:0"]);
    let start = device.start();
    let mut other = Device::new(relay.address, 1, 1);
    let waits = aside(move || other.items(&start, 55));
    let gauge = |name: &str| {
        let text = String::from_utf8(get(relay.metrics.unwrap(), "/metrics").body).unwrap();
        let line = text.lines().find(|line| line.starts_with(name)).unwrap_or_default().to_owned();
        line.rsplit(' ').next().and_then(|value| value.parse::<f64>().ok())
    };
    // Waits for the other to wait; if it does not, the next assertion says so.
    for _ in 0..500 {
        if gauge("fallaway_relay_waiters") == Some(1.0) {
            break;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    let visit = [sealed(1)];
    let answer = device.push(&start, &visit).unwrap();
    assert_eq!(answer.status, 200);
    assert_eq!(answer.accepted(), [1]);
    assert_eq!(answer.position(), start.next(&bundle_id(&visit[0])));
    assert_eq!(bundle_file::read(&answer.body), Ok(Vec::new()));
    let heard = waits.recv_timeout(PATIENCE).unwrap().unwrap();
    assert_eq!(bundle_file::read(&heard.body).unwrap(), visit);
    // A replayed push is answered as the first was.
    let again = device.push(&start, &visit).unwrap();
    assert_eq!((again.accepted(), again.position()), (answer.accepted(), answer.position()));
    assert_eq!(device.read_all(), visit);
    assert_eq!(gauge("fallaway_relay_pushed_bundles_total{kind=\"new\"}"), Some(1.0));
    assert_eq!(gauge("fallaway_relay_pushed_bundles_total{kind=\"repeat\"}"), Some(1.0));

    let document = get(relay.address, "/v1/openapi.json");
    let document: serde_json::Value = serde_json::from_slice(&document.body).unwrap();
    assert_eq!(document["openapi"], "3.1.0");
    assert_eq!(get(relay.address, "/health").status, 200);
    assert_eq!(get(relay.address, "/ready").status, 200);
    assert_eq!(get(relay.address, "/v1/relay").status, 200);
    assert_eq!(get(relay.address, "/metrics").status, 404);
    assert!(relay.stop().success());
}

/// Around a request that waits the relay takes the connection apart: what comes after it must find one.
#[test]
fn a_connection_goes_on_after_a_request_that_waited() {
    let (_folder, relay, device) = opened(&[]);
    let (token, start) = (device.token(), device.start());
    let wait = format!("{}&wait=1", route::query(&start, 262_144));
    let path = route::of_log(route::ITEMS, &device.log) + &wait;
    let headers = [("Authorization", token.as_str())];
    let closing = [headers[0], ("Connection", "close")];
    let mut stream = connect(relay.address).unwrap();
    // The next two do not wait for the answers to those before them.
    for bytes in [
        request("GET", &path, &headers, b""),
        request("GET", "/health", &[], b""),
        request("HEAD", &path, &closing, b""),
    ] {
        stream.write_all(&bytes).unwrap();
    }
    let mut all = Vec::new();
    stream.read_to_end(&mut all).unwrap();
    let all = String::from_utf8_lossy(&all).to_ascii_lowercase();
    let answers: Vec<&str> = all.split("http/1.1 ").skip(1).collect();
    assert_eq!(answers.len(), 3, "{all}");
    assert!(answers.iter().all(|answer| answer.starts_with("200 ok\r\n")), "{all}");
    let sequence = "fallaway-seq: 0\r\n";
    assert!(answers[0].contains(sequence) && !answers[0].contains("connection: close"), "{all}");
    assert!(answers[1].ends_with("\r\n\r\nok\n"), "{all}");
    let length = "\r\ncontent-length: ";
    assert!(answers[2].contains(sequence) && answers[2].contains(length), "{all}");
    assert!(answers[2].ends_with("connection: close\r\n\r\n"), "{all}");
    assert!(relay.stop().success());
}

#[test]
fn a_visit_is_one_round_trip_of_less_than_a_kibibyte_each_way() {
    let (_folder, relay, device) = opened(&[]);
    let path =
        route::of_log(route::EXCHANGE, &device.log) + &route::query(&device.start(), 262_144);
    let token = device.token();
    let headers = [("Authorization", token.as_str()), ("Content-Type", BUNDLES)];
    // A visit of eight lines is 768 bytes sealed.
    let file = bundle_file::write(&[sealed(1)]).unwrap();
    let sent = request("POST", &path, &headers, &file);
    let mut stream = connect(relay.address).unwrap();
    stream.write_all(&sent).unwrap();
    let mut received = vec![0; 4096];
    let count = stream.read(&mut received).unwrap();
    assert!(received.starts_with(b"HTTP/1.1 200"));
    let around = sent.len() - 768;
    println!("{} bytes sent, {around} of them around the bundle; {count} received", sent.len());
    assert!(sent.len() < 1536 && count < 1024, "{} {count}", sent.len());
}

#[test]
fn what_is_too_large_or_nothing_known_is_refused() {
    let (_folder, relay, mut device) = opened(&[]);
    let token = device.token();
    let path = route::of_log(route::EXCHANGE, &device.log);
    let headers = [("Authorization", token.as_str()), ("Content-Type", BUNDLES)];
    // Said in advance, the body is not even sent.
    let mut stream = connect(relay.address).unwrap();
    let head = format!(
        "POST {path} HTTP/1.1\r\nHost: relay\r\nAuthorization: {token}\r\nContent-Type: {BUNDLES}\r\n"
    );
    stream.write_all(format!("{head}Content-Length: 5000000\r\n\r\n").as_bytes()).unwrap();
    assert_eq!(reply(&mut stream).unwrap().code(), (413, "too-large"));
    // Not said, it is not read to its end.
    let mut stream = connect(relay.address).unwrap();
    stream.write_all(format!("{head}Transfer-Encoding: chunked\r\n\r\n").as_bytes()).unwrap();
    let chunk = [&b"10000\r\n"[..], &vec![0; 0x10000], b"\r\n"].concat();
    for _ in 0..100 {
        // It stops reading at some time.
        if stream.write_all(&chunk).is_err() {
            break;
        }
    }
    if let Ok(answer) = reply(&mut stream) {
        assert_eq!(answer.code(), (413, "too-large"));
    }
    let answer = device.send("POST", &path, &headers, b"hello").unwrap();
    assert_eq!(answer.code(), (400, "bad-bundle"));
    let answer = device.send("PATCH", &path, &headers, b"").unwrap();
    assert_eq!((answer.code(), answer.header("allow")), ((405, "method"), Some("POST")));
    assert_eq!(answer.header("content-type"), Some("application/problem+json"));
    assert_eq!(device.send("GET", "/", &[], b"").unwrap().code(), (404, "not-found"));
    let long = "x".repeat(20_000);
    let answer = device.send("GET", "/v1/relay", &[("X-Long", &long)], b"").unwrap();
    assert_eq!(answer.status, 431);
    let mut stream = connect(relay.address).unwrap();
    stream.write_all(b"\x16\x03\x01 this is no HTTP\r\n\r\n").unwrap();
    assert_eq!(reply(&mut stream).unwrap().status, 400);
    assert_eq!(get(relay.address, "/ready").status, 200);
}

#[test]
fn whoever_guesses_is_shut_out_and_others_are_not() {
    let (_folder, relay, mut device) = opened(&["--plaintext-behind-proxy"]);
    device.more.push(("X-Forwarded-For", "198.51.100.7, 192.0.2.1".to_owned()));
    let mut guesses = Device::new(relay.address, 1, 9);
    // What stands before the proxy's own entry is made up.
    let mut made_up = 0;
    let mut guess = |device: &mut Device| {
        made_up += 1;
        device.more = vec![("X-Forwarded-For", format!("203.0.113.{made_up}, 192.0.2.9"))];
        device.items(&device.start(), 0).unwrap()
    };
    for _ in 0..6 {
        assert_eq!(guess(&mut guesses).code(), (401, "no-access"));
    }
    let shut = guess(&mut guesses);
    assert_eq!(shut.code(), (429, "too-many"));
    assert!(shut.header("retry-after").unwrap().parse::<u64>().unwrap() > 60);
    // Even with the right token.
    guesses.key = 1;
    assert_eq!(guess(&mut guesses).code(), (429, "too-many"));
    assert_eq!(device.items(&device.start(), 0).unwrap().status, 200);
    // A log that is not there looks like one that is.
    device.log = fallaway_changes::LogId::from_bytes([77; 16]);
    let answer = device.items(&device.start(), 0).unwrap();
    assert_eq!(
        (answer.code(), answer.header("www-authenticate")),
        ((401, "no-access"), Some("Fallaway realm=\"relay\""))
    );
}

#[test]
fn new_logs_and_pushes_are_counted() {
    let (_folder, relay, mut device) = opened(&["--new-logs", "2", "--pushes", "1"]);
    assert_eq!(Device::new(relay.address, 2, 1).open().unwrap().status, 201);
    assert_eq!(Device::new(relay.address, 3, 1).open().unwrap().code(), (429, "too-many"));
    let start = device.start();
    let codes: Vec<u16> = (0..30).map(|_| device.push(&start, &[]).unwrap().status).collect();
    assert!(codes.starts_with(&[200; 10]) && codes.contains(&429), "{codes:?}");
}

#[test]
fn slow_clients_are_let_go() {
    let (_folder, relay, device) = opened(&[]);
    let path = route::of_log(route::EXCHANGE, &device.log);
    let head =
        format!("POST {path} HTTP/1.1\r\nHost: relay\r\nAuthorization: {}\r\n", device.token());
    let send = |bytes: &str| {
        let mut stream = connect(relay.address).unwrap();
        stream.write_all(bytes.as_bytes()).unwrap();
        stream
    };
    let body = format!("{head}Content-Type: {BUNDLES}\r\nContent-Length: 900\r\n\r\nabc");
    let (silent, half) = (send(""), send(&head));
    let mut slow = send(&body);
    assert_eq!(reply(&mut slow).unwrap().code(), (408, "slow"));
    for mut stream in [silent, half, slow] {
        // The relay ends it: nothing more comes.
        let mut rest = Vec::new();
        stream.read_to_end(&mut rest).unwrap();
        assert!(rest.is_empty() || rest.starts_with(b"HTTP/1.1 408"), "{rest:?}");
    }
}

#[test]
fn one_address_has_so_many_connections() {
    let (_folder, relay, mut device) = opened(&["--connections-each", "3"]);
    // The device has one.
    device.items(&device.start(), 0).unwrap();
    let _held = [connect(relay.address).unwrap(), connect(relay.address).unwrap()];
    let refused = || {
        let mut stream = connect(relay.address).unwrap();
        // It is closed unread.
        let _ = stream.write_all(&request("GET", "/health", &[], b""));
        reply(&mut stream).is_err()
    };
    // The others may not have been taken yet.
    assert!((0..500).any(|_| refused()));
    assert_eq!(device.items(&device.start(), 0).unwrap().status, 200);
}

#[test]
fn it_stops_when_it_is_told_and_answers_who_waits() {
    let (_folder, mut relay, mut device) = opened(&[]);
    let start = device.start();
    let address = relay.address;
    let waits = aside(move || device.items(&start, 55));
    // Whether it waits already or not: it is answered, or its connection is refused.
    std::thread::sleep(Duration::from_millis(300));
    relay.signal("-TERM");
    assert!(relay.wait().success());
    if let Ok(answer) = waits.recv_timeout(PATIENCE).unwrap() {
        assert_eq!(answer.position(), start);
    }
    assert!(connect(address).is_err());
    assert!(relay.journal().contains("\"stopped\""));
}

#[test]
fn no_plaintext_beyond_this_machine() {
    let folder = tempfile::tempdir().unwrap();
    let start = |more: &[&str]| {
        std::process::Command::new(env!("CARGO_BIN_EXE_fallaway-relay"))
            .args(["serve", "--listen", "0.0.0.0:0", "--data"])
            .arg(folder.path())
            .args(more)
            .output()
            .unwrap()
    };
    let refused = start(&[]);
    assert!(!refused.status.success());
    assert!(String::from_utf8(refused.stderr).unwrap().contains("--tls-cert"));
    let missing = start(&["--tls-cert", "/nowhere", "--tls-key", "/nowhere"]);
    assert!(String::from_utf8(missing.stderr).unwrap().contains("/nowhere"));
}

#[test]
fn it_speaks_tls_and_reads_its_certificate_again() {
    let tls = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/tls");
    let files = tempfile::tempdir().unwrap();
    for name in ["certificate.pem", "key.pem"] {
        std::fs::copy(tls.join(name), files.path().join(name)).unwrap();
    }
    let [certificate, key] = ["certificate.pem", "key.pem"].map(|name| files.path().join(name));
    let folder = tempfile::tempdir().unwrap();
    let more = ["--tls-cert", certificate.to_str().unwrap(), "--tls-key", key.to_str().unwrap()];
    let relay = Relay::start(folder.path(), &more);
    let mut roots = RootCertStore::empty();
    roots.add(CertificateDer::from_pem_file(tls.join("certificate.pem")).unwrap()).unwrap();
    let config = ClientConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_root_certificates(roots)
        .with_no_client_auth();
    let config = Arc::new(config);
    let asks = || {
        let name = ServerName::try_from("localhost").unwrap();
        let client = ClientConnection::new(Arc::clone(&config), name).unwrap();
        let mut stream = StreamOwned::new(client, connect(relay.address).unwrap());
        stream.write_all(&request("GET", "/health", &[], b"")).unwrap();
        reply(&mut stream).unwrap().status
    };
    assert_eq!(asks(), 200);
    // Plaintext is none of its languages.
    let mut stream = connect(relay.address).unwrap();
    stream.write_all(&request("GET", "/health", &[], b"")).unwrap();
    assert!(reply(&mut stream).is_err());
    // A file that is not sound changes nothing; one that is, is taken.
    std::fs::write(&certificate, "no certificate").unwrap();
    let said = |count: usize| {
        relay.signal("-HUP");
        for _ in 0..500 {
            if relay.journal().matches("certificates read again").count() == count {
                return;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        panic!("{}", relay.journal());
    };
    said(1);
    assert_eq!(asks(), 200);
    std::fs::copy(tls.join("certificate.pem"), &certificate).unwrap();
    said(2);
    assert_eq!(asks(), 200);
}

#[test]
fn no_room_is_said_and_reading_goes_on() {
    let (_folder, _relay, mut device) = opened(&["--log-bytes", "2000", "--max-bytes", "2500"]);
    let start = device.start();
    let end = device.push(&start, &[sealed(1), sealed(2)]).unwrap().position();
    let over = device.push(&end, &[sealed(3)]).unwrap();
    assert_eq!((over.code(), over.header("retry-after")), ((507, "quota"), Some("900")));
    assert_eq!(device.read_all(), [sealed(1), sealed(2)]);
    let mut other = Device::new(device.address, 2, 1);
    assert_eq!(other.open().unwrap().status, 201);
    let over = other.push(&other.start(), &[sealed(3), sealed(4)]).unwrap();
    assert_eq!(over.code(), (507, "full"));
}

#[test]
fn planted_words_tokens_and_names_are_found_nowhere() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("admission"), "planted-admission-word\n").unwrap();
    let admission = folder.path().join("admission");
    let relay = Relay::start(folder.path(), &["--admission-file", admission.to_str().unwrap()]);
    let mut device = Device::new(relay.address, 0xb3, 1);
    assert_eq!(device.open().unwrap().code(), (403, "admission"));
    device.more.push(("Fallaway-Admission", "planted-admission-word".to_owned()));
    assert_eq!(device.open().unwrap().status, 201);
    device.more.clear();
    let mut planted = Planted::bring(&mut device);
    planted.words.push(b"planted-admission-word".to_vec());
    let copy = folder.path().join("data/copy");
    fallaway_relay::backup(&folder.path().join("data"), &copy).unwrap();
    // In the journal, not even the log's name and the client's port are.
    assert!(!relay.journal().contains(&device.log.to_string()));
    assert!(relay.journal().contains("\"route\":\"/v1/logs/{log}/exchange\""));
    assert!(relay.stop().success());
    let mut looked = 0;
    for entry in std::fs::read_dir(folder.path().join("data")).unwrap() {
        let bytes = std::fs::read(entry.unwrap().path()).unwrap();
        looked += bytes.len();
        planted.look_in(&bytes, "the data");
    }
    let journal = std::fs::read(folder.path().join("journal")).unwrap();
    planted.look_in(&journal, "the journal");
    assert!(looked > 20_000, "{looked}");
}
