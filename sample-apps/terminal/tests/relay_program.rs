//! Devices and the relay as programs, with TLS between them.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

mod common;

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::{Duration, Instant};

use common::Device;

/// Much longer than anything should take.
const PATIENCE: Duration = Duration::from_mins(3);

/// A program that ends with the test; what it says, line by line.
struct Running {
    child: Child,
    said: Receiver<String>,
}

impl Running {
    fn start(command: &mut Command, its_errors: bool) -> Self {
        let command = command.stdin(Stdio::null());
        let mut child = if its_errors {
            command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap()
        } else {
            command.stdout(Stdio::piped()).stderr(Stdio::inherit()).spawn().unwrap()
        };
        let (tell, said) = mpsc::channel();
        let lines: Box<dyn std::io::Read + Send> = match (child.stdout.take(), child.stderr.take())
        {
            (Some(out), _) => Box::new(out),
            (None, errors) => Box::new(errors.unwrap()),
        };
        thread::spawn(move || {
            for line in BufReader::new(lines).lines().map_while(Result::ok) {
                if tell.send(line).is_err() {
                    return;
                }
            }
        });
        Self { child, said }
    }

    /// The next line with this in it, and those before it.
    fn until(&self, wanted: &str) -> Vec<String> {
        let mut lines = Vec::new();
        loop {
            match self.said.recv_timeout(PATIENCE) {
                Ok(line) => lines.push(line),
                Err(error) => panic!("{wanted:?}: {error}: {lines:?}"),
            }
            if lines.last().is_some_and(|line| line.contains(wanted)) {
                return lines;
            }
        }
    }

    /// What it has said by its end.
    fn end(mut self) -> Vec<String> {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        self.said.iter().collect()
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // It has ended already, mostly.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn certificate(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../core/relay/tests/tls").join(name)
}

/// Starts the relay with what is typed behind its name; with it, its address.
fn relay(arguments: &[String]) -> (Running, String) {
    let program = std::env::var("FALLAWAY_RELAY_PROGRAM").unwrap();
    let running = Running::start(Command::new(program).args(arguments), true);
    let line = running.until("\"listening\"").pop().unwrap();
    let line: serde_json::Value = serde_json::from_str(&line).unwrap();
    let address = format!("https://{}", line["more"]["address"].as_str().unwrap());
    (running, address)
}

/// One with its data in a folder, on a port that was its own before or is free.
fn relay_in(folder: &Path, port: &str) -> (Running, String) {
    let listen = format!("127.0.0.1:{port}");
    let (pem, key) = (certificate("certificate.pem"), certificate("key.pem"));
    let words = ["serve", "--data", folder.to_str().unwrap(), "--listen", &listen, "--tls-cert"];
    let more = [pem.to_str().unwrap(), "--tls-key", key.to_str().unwrap()];
    let words = words.into_iter().chain(more).map(str::to_owned).collect::<Vec<_>>();
    relay(&words)
}

/// A relay that takes new records only from whom its operator gave a code.
#[test]
#[ignore = "needs the relay program: `cargo tool test relay` builds it and runs this"]
fn a_relay_that_asks_for_an_admission_code_is_shown_it() {
    let folder = tempfile::tempdir().unwrap();
    let code = folder.path().join("code");
    fs::write(&code, "only-our-own-people\n").unwrap();
    let (pem, key) = (certificate("certificate.pem"), certificate("key.pem"));
    let data = folder.path().join("relay");
    let words = ["serve", "--listen", "127.0.0.1:0", "--data", data.to_str().unwrap()];
    let more = ["--tls-cert", pem.to_str().unwrap(), "--tls-key", key.to_str().unwrap()];
    let guard = ["--admission-file", code.to_str().unwrap()];
    let words: Vec<_> = words.into_iter().chain(more).chain(guard).map(str::to_owned).collect();
    let (_relay, address) = relay(&words);

    let mut tech = Device::new(folder.path(), "tech");
    let mut player = Device::new(folder.path(), "player");
    tech.ok("add|bass-4|walnut four");
    tech.ok(&format!("relay|set|{address}"));
    let sync = format!("sync|--root|{}", pem.display());
    assert!(tech.refused(1, &sync).contains("admission code"));
    fs::write(folder.path().join("wrong"), "two words\n").unwrap();
    for (file, why) in [("wrong", "one word"), ("none", "none")] {
        let file = folder.path().join(file);
        let said = tech.refused(1, &format!("{sync}|--admission|{}", file.display()));
        assert!(said.contains(why), "{said}");
    }
    fs::write(folder.path().join("other"), "somebody-elses\n").unwrap();
    let other = folder.path().join("other");
    let said = tech.refused(1, &format!("{sync}|--admission|{}", other.display()));
    assert!(said.contains("admission code"), "{said}");
    tech.ok(&format!("{sync}|--admission|{}", code.display()));
    assert_eq!(tech.run("relay|--json").json()["waiting"], 0);
    // Once it is open, nobody needs the code: who is invited has none.
    let invited = tech.run("invite|contributor|--welcome|welcome.fallaway|--json").json();
    tech.ok(&sync);
    player.ok(&format!("accept|welcome.fallaway|{}", invited["code"].as_str().unwrap()));
    player.ok(&sync);
    end_equal(&mut tech, &mut player);
}

fn exchange(device: &mut Device) -> String {
    device.ok(&format!("sync|--root|{}", certificate("certificate.pem").display()))
}

/// What both have is the same, and nothing of it has two values.
fn end_equal(one: &mut Device, other: &mut Device) {
    assert_eq!(one.ok("history"), other.ok("history"));
    assert_eq!(one.run("setup|--json").json(), other.run("setup|--json").json());
    for device in [one, other] {
        assert!(device.run("two-values|--json").json().as_array().unwrap().is_empty());
    }
}

#[test]
#[ignore = "needs the relay program: `cargo tool test relay` builds it and runs this"]
fn the_story_of_the_readme() {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../README.md");
    let page = fs::read_to_string(page).unwrap();
    let (_, story) = page.split_once("```text\nrelay$").unwrap();
    let story = format!("relay${}", story.split_once("```").unwrap().0);

    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    let mut player = Device::new(folder.path(), "player");
    tech.ok("add|bass-5|blue five");
    let mut running = None;
    let (mut address, mut twelve) = (String::new(), String::new());
    let mut played = 0;
    for line in story.lines() {
        let (who, typed) = line.split_once('$').unwrap();
        let typed = typed.split(" #").next().unwrap();
        let mut words: Vec<String> = typed.split_whitespace().map(str::to_owned).collect();
        if who == "relay" {
            assert_eq!(words.remove(0), "fallaway-relay");
            for word in &mut words {
                *word = match word.as_str() {
                    "relay" => folder.path().join("relay").display().to_string(),
                    "relay.pem" => certificate("certificate.pem").display().to_string(),
                    "relay.key" => certificate("key.pem").display().to_string(),
                    "0.0.0.0:4620" => "127.0.0.1:0".to_owned(),
                    same => same.to_owned(),
                };
            }
            let (started, at) = relay(&words);
            (running, address) = (Some(started), at);
            continue;
        }
        assert_eq!(words.remove(0), "fallaway");
        let command = words.join("|").replace("https://relay.example:4620", &address);
        let command = command.replace("...", &twelve);
        let device = if who == "tech" { &mut tech } else { &mut player };
        // Its certificate is one of the test's own.
        let said = if command == "sync" { exchange(device) } else { device.ok(&command) };
        if command.starts_with("invite") {
            // Twelve words and the relay's address, and after them the code.
            let words = said.split_whitespace().take_while(|word| !word.starts_with("FALLAWAY:"));
            twelve = words.collect::<Vec<_>>().join("|");
            assert_eq!(twelve.split('|').count(), 13, "{said}");
        }
        if command == "two-values" {
            assert!(said.contains("0.20 mm") && said.contains("0.40 mm"), "{said}");
        }
        played += 1;
    }
    assert!(running.is_some() && played > 10, "{played}");
    let people = |one: &mut Device| one.run("people|--json").json().as_array().unwrap().len();
    assert_eq!((people(&mut tech), people(&mut player)), (2, 2));
    end_equal(&mut tech, &mut player);
}

/// A certificate that nobody believes is the end of an exchange, and nothing is lost.
#[test]
#[ignore = "needs the relay program: `cargo tool test relay` builds it and runs this"]
fn a_certificate_that_is_not_trusted_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let (_relay, address) = relay_in(&folder.path().join("relay"), "0");
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok(&format!("relay|set|{address}"));
    let said = tech.refused(1, "sync");
    assert!(said.contains("certificate is not accepted"), "{said}");
    assert!(said.contains("wait to be sent"), "{said}");
    fs::write(folder.path().join("no.pem"), "nothing").unwrap();
    assert!(tech.refused(1, "sync|--root|no.pem").contains("BEGIN CERTIFICATE"));
    exchange(&mut tech);
    assert_eq!(tech.run("relay|--json").json()["waiting"], 0);
}

fn keeps(folder: &Path, label: &str) -> Running {
    let mut command = Command::new(env!("CARGO_BIN_EXE_fallaway"));
    command.args(["sync", "--keep", "--root"]).arg(certificate("certificate.pem"));
    command.env("FALLAWAY_DATA", folder.join(label)).env("FALLAWAY_LANGUAGE", "en");
    Running::start(&mut command, false)
}

/// Waits for a line with this in it from one of them; how many of each have said so. Who comes first fills the
/// relay again, so that the other may find nothing missing.
fn until_one(clients: &[Running; 2], wanted: &str) -> [usize; 2] {
    let mut said = [0; 2];
    let began = Instant::now();
    while said == [0; 2] {
        assert!(began.elapsed() < PATIENCE, "{wanted:?}: nobody says so");
        for (client, said) in clients.iter().zip(&mut said) {
            let line = client.said.recv_timeout(Duration::from_millis(100));
            *said += usize::from(line.is_ok_and(|line| line.contains(wanted)));
        }
    }
    said
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
    }
}

/// At the beginning of a line or within one.
const NOTICE: &str = "he relay had lost what it had";

/// Words that only the devices may know.
const PLANTED: [&str; 4] = ["walnut four", "fret 3 is worn", "tried at the rehearsal", "0.31 mm"];

#[test]
#[ignore = "needs the relay program: `cargo tool test relay` builds it and runs this"]
fn yesterdays_copy_of_the_relays_folder_costs_one_notice_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("relay");
    let (running, address) = relay_in(&data, "0");
    let port = address.rsplit(':').next().unwrap().to_owned();
    let mut tech = Device::new(folder.path(), "tech");
    let mut player = Device::new(folder.path(), "player");
    tech.ok("add|bass-4|walnut four");
    tech.ok("read|relief|0.31 mm");
    tech.ok(&format!("relay|set|{address}"));
    let invited = tech.run("invite|contributor|--welcome|welcome.fallaway|--json").json();
    exchange(&mut tech);
    player.ok(&format!("accept|welcome.fallaway|{}", invited["code"].as_str().unwrap()));
    exchange(&mut player);
    exchange(&mut tech);
    exchange(&mut player);

    // Yesterday's copy, made while it stands still.
    let mut said = running.end();
    let yesterday = folder.path().join("yesterday");
    copy(&data, &yesterday);
    let (running, _) = relay_in(&data, &port);
    tech.ok("remark|fret 3 is worn");
    player.ok("remark|tried at the rehearsal");
    exchange(&mut tech);
    exchange(&mut player);
    exchange(&mut tech);

    // Two clients run, and the folder goes back by a day under them.
    let clients = [keeps(folder.path(), "tech"), keeps(folder.path(), "player")];
    for client in &clients {
        client.until("verything is exchanged");
    }
    said.extend(running.end());
    let today = folder.path().join("today");
    fs::rename(&data, &today).unwrap();
    copy(&yesterday, &data);
    let (running, _) = relay_in(&data, &port);
    let mut noticed = until_one(&clients, NOTICE);
    // What is written from now on reaches both.
    tech.ok("remark|new strings next week");
    exchange(&mut tech);
    let notices = |lines: &[String]| lines.iter().filter(|line| line.contains(NOTICE)).count();
    noticed[1] += notices(&clients[1].until("1 remark"));
    for (client, before) in clients.into_iter().zip(noticed) {
        let rest = client.end();
        assert!(before + notices(&rest) <= 1, "one notice is enough: {before}, {rest:?}");
    }
    exchange(&mut tech);
    exchange(&mut player);
    for one in [&mut tech, &mut player] {
        let history = one.ok("history");
        for remark in ["fret 3 is worn", "tried at the rehearsal", "new strings next week"] {
            assert_eq!(history.matches(remark).count(), 1, "{history}");
        }
    }
    end_equal(&mut tech, &mut player);

    // And the relay has read nothing of it.
    said.extend(running.end());
    let mut looked = 0;
    for place in [&data, &yesterday, &today] {
        for entry in fs::read_dir(place).unwrap() {
            let bytes = fs::read(entry.unwrap().path()).unwrap();
            looked += bytes.len();
            let text = String::from_utf8_lossy(&bytes);
            assert!(!PLANTED.iter().any(|word| text.contains(word)), "{}", place.display());
        }
    }
    assert!(looked > 10_000, "{looked}");
    let said = said.join("\n");
    assert!(!PLANTED.iter().any(|word| said.contains(word)), "{said}");
}
