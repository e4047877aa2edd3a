//! Two devices that never meet: they share an instrument through a relay alone, over HTTP.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use std::io::{self, BufRead as _, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::thread;

use common::Device;
use fallaway_relay::{Ask, Desk, Engine, Fields, MemoryShelves, Policy, Quotas, RelayPath};

/// 2026-03-02, for a relay whose time stands still.
const NOON: i64 = 1_772_449_200;

/// A relay on this machine, until the test ends.
fn relay() -> SocketAddr {
    let engine = Engine::in_memory(MemoryShelves::default(), Quotas::default());
    let desk = Desk::new(Arc::new(engine), Policy::default());
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    thread::spawn(move || {
        for stream in listener.incoming() {
            // A client that leaves is its own business.
            let _ = stream.and_then(|stream| serve(&desk, &stream));
        }
    });
    address
}

/// One request, one answer.
fn serve(desk: &Desk, mut stream: &TcpStream) -> io::Result<()> {
    let mut reader = BufReader::new(stream);
    let mut line = String::new();
    reader.read_line(&mut line)?;
    let mut words = line.split_whitespace().map(str::to_owned);
    let (method, target) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
    let mut headers = Vec::new();
    loop {
        let mut line = String::new();
        reader.read_line(&mut line)?;
        let Some((name, value)) = line.trim_end().split_once(':') else { break };
        headers.push((name.to_owned(), value.trim().to_owned()));
    }
    let field = |name: &str| {
        let found = headers.iter().find(|(known, _)| known.eq_ignore_ascii_case(name));
        found.map(|(_, value)| value.clone())
    };
    let length = field("content-length").map_or(0, |length| length.parse().unwrap());
    let mut body = vec![0; length];
    reader.read_exact(&mut body)?;
    let (path, query) = target.split_once('?').unwrap_or((&target, ""));
    let place = RelayPath::read(path).unwrap();
    let ask = Ask { place, method, query: query.to_owned(), fields: Fields::read(field), body };
    let answer = desk.answer_ask(ask, NOON);
    let mut head = format!("HTTP/1.1 {} said\r\nConnection: close\r\n", answer.status);
    for (name, value) in &answer.headers {
        head.extend([format!("{name}: {value}\r\n")]);
    }
    head.extend([format!("Content-Length: {}\r\n\r\n", answer.body.len())]);
    stream.write_all(head.as_bytes())?;
    stream.write_all(&answer.body)
}

#[test]
fn two_devices_share_an_instrument_through_a_relay_alone() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    let mut player = Device::new(folder.path(), "player");
    let address = format!("http://{}", relay());

    tech.ok("add|bass-4|walnut four");
    tech.ok("read|relief|0.30 mm");
    assert!(tech.ok("relay").contains("No relay"));
    assert!(tech.run("relay|--json").json()["relay"].is_null());
    tech.refused(1, "sync");
    tech.refused(2, "relay|set|http://relay.example");
    tech.ok(&format!("relay|set|{address}"));
    let kept = tech.run("relay|--json").json();
    assert_eq!(kept["relay"], address.as_str());
    assert!(kept["waiting"].as_u64().unwrap() > 0, "{kept}");

    let code = tech.run("invite|contributor|--welcome|welcome.fallaway|--json").json()["code"]
        .as_str()
        .unwrap()
        .to_owned();
    let sent = tech.run("sync|--json").json();
    assert_eq!(sent["up_to_date"], true, "{sent}");
    assert!(sent["sent"].as_u64().unwrap() > 0, "{sent}");
    assert_eq!(tech.run("relay|--json").json()["waiting"], 0);

    // The welcome holds no history, only how to come in.
    // Where a relay carries the record nobody is asked for a file.
    let next = player.ok(&format!("accept|welcome.fallaway|{code}"));
    assert!(next.contains("fallaway sync") && !next.contains("bundle"), "{next}");
    player.ok("sync");
    tech.ok("sync");
    player.ok("sync");
    let people = |one: &mut Device| one.run("people|--json").json().as_array().unwrap().len();
    assert_eq!((people(&mut tech), people(&mut player)), (2, 2));
    assert!(player.ok("history").contains("0.30 mm"));

    // The same target, written apart, and an entry of each.
    tech.ok("setup|target|stage|relief|0.40 mm");
    player.ok("setup|target|stage|relief|0.20 mm");
    tech.ok("remark|fret 3 is worn");
    player.ok("remark|tried at the rehearsal");
    tech.ok("sync");
    let came = player.run("sync|--json").json();
    assert!(came["received"].as_u64().unwrap() > 0, "{came}");
    let said = tech.ok("sync");
    assert!(said.contains("bundle received"), "{said}");
    for one in [&mut tech, &mut player] {
        let history = one.ok("history");
        assert!(history.contains("fret 3 is worn"), "{history}");
        assert!(history.contains("tried at the rehearsal"), "{history}");
        assert_eq!(one.run("two-values|--json").json().as_array().unwrap().len(), 1);
    }

    player.ok("settle|1|1");
    player.ok("sync");
    tech.ok("sync");
    assert_eq!(tech.run("two-values|--json").json().as_array().unwrap().len(), 0);
    let target = |one: &mut Device| one.run("setup|--json").json();
    let settled = target(&mut tech);
    assert!(settled.to_string().contains("stage"), "{settled}");
    assert_eq!(settled, target(&mut player));

    tech.ok("relay|drop");
    assert!(tech.run("relay|--json").json()["relay"].is_null());
}

#[test]
fn a_relay_that_cannot_be_reached_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    // Nobody listens there any more.
    let gone = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
    tech.ok("add|bass-4|walnut four");
    tech.ok(&format!("relay|set|http://{gone}"));
    let said = tech.refused(1, "sync");
    assert!(said.contains("cannot be reached"), "{said}");
    assert!(tech.run("relay|--json").json()["waiting"].as_u64().unwrap() > 0);
}
