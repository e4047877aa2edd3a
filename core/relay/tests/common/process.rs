//! A relay as a process, and a client that speaks plain HTTP/1.1 with it.
#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test"
)]

use std::io::{self, BufRead as _, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use fallaway_changes::{BundleId, LogId};
use fallaway_sharing::{EpochKey, bundle_file, bundle_id};
use fallaway_sync::wire::access::{AccessBody, LogToken};
use fallaway_sync::wire::chain::Position;
use fallaway_sync::wire::route::{self, BUNDLES, BYTES};

/// Much longer than anything should take.
pub const PATIENCE: Duration = Duration::from_mins(2);

/// A relay.
pub struct Relay {
    child: Child,
    pub address: SocketAddr,
    pub metrics: Option<SocketAddr>,
    /// What it has said so far.
    journal: PathBuf,
}

impl Relay {
    /// Starts one, on a port of its own choice unless `more` names another.
    pub fn start(folder: &Path, more: &[&str]) -> Self {
        let data = folder.join("data");
        Self::start_with(folder, &[&["--data", data.to_str().unwrap()], more].concat())
    }

    /// Starts one whose data are wherever `more` says.
    pub fn start_with(folder: &Path, more: &[&str]) -> Self {
        let journal = folder.join("journal");
        let file = std::fs::OpenOptions::new().create(true).append(true).open(&journal).unwrap();
        let before = file.metadata().unwrap().len() as usize;
        let mut command = Command::new(env!("CARGO_BIN_EXE_fallaway-relay"));
        command.arg("serve");
        if !more.contains(&"--listen") {
            command.args(["--listen", "127.0.0.1:0"]);
        }
        let child = command.args(more).stdin(Stdio::null()).stderr(file).spawn().unwrap();
        let mut relay = Self { child, address: ([127, 0, 0, 1], 0).into(), metrics: None, journal };
        let began = Instant::now();
        loop {
            let said = std::fs::read_to_string(&relay.journal).unwrap();
            let line = said[before..].lines().find(|line| line.contains("\"listening\""));
            if let Some(line) = line.filter(|line| line.ends_with('}')) {
                let line: serde_json::Value = serde_json::from_str(line).unwrap();
                relay.address = line["more"]["address"].as_str().unwrap().parse().unwrap();
                let metrics = line["more"]["metrics"].as_str();
                relay.metrics = metrics.map(|address| address.parse().unwrap());
                return relay;
            }
            if let Some(status) = relay.child.try_wait().unwrap() {
                panic!("the relay ended with {status}: {}", &said[before..]);
            }
            assert!(began.elapsed() < PATIENCE, "the relay does not listen: {said}");
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    /// SIGKILL.
    pub fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    pub fn process(&self) -> u32 {
        self.child.id()
    }

    pub fn signal(&self, name: &str) {
        let sent = Command::new("kill").args([name, &self.child.id().to_string()]).status();
        assert!(sent.unwrap().success());
    }

    /// SIGTERM, and the end.
    pub fn stop(mut self) -> ExitStatus {
        self.signal("-TERM");
        self.wait()
    }

    pub fn wait(&mut self) -> ExitStatus {
        let began = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status;
            }
            assert!(began.elapsed() < PATIENCE, "the relay does not end");
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    pub fn journal(&self) -> String {
        std::fs::read_to_string(&self.journal).unwrap()
    }
}

impl Drop for Relay {
    fn drop(&mut self) {
        // It has ended already, mostly.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// An answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reply {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Reply {
    pub fn header(&self, name: &str) -> Option<&str> {
        let found = self.headers.iter().find(|(known, _)| known.eq_ignore_ascii_case(name));
        found.map(|(_, value)| value.as_str())
    }

    pub fn code(&self) -> (u16, &str) {
        (self.status, self.header("fallaway-problem").unwrap_or_default())
    }

    pub fn position(&self) -> Position {
        let seq = self.header("fallaway-seq").unwrap().parse().unwrap();
        Position { seq, chain: self.header("fallaway-chain").unwrap().parse().unwrap() }
    }

    pub fn accepted(&self) -> Vec<u64> {
        route::read_accepted(self.header("fallaway-accepted").unwrap(), 64).unwrap()
    }
}

/// The bytes of a request.
pub fn request(method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Vec<u8> {
    let mut out = format!("{method} {path} HTTP/1.1\r\nHost: relay\r\n").into_bytes();
    for (name, value) in headers {
        out.extend(format!("{name}: {value}\r\n").into_bytes());
    }
    if !body.is_empty() || method != "GET" {
        out.extend(format!("Content-Length: {}\r\n", body.len()).into_bytes());
    }
    out.extend(b"\r\n");
    out.extend(body);
    out
}

/// Reads an answer.
pub fn reply(stream: &mut impl Read) -> io::Result<Reply> {
    // Nothing follows an answer before the next request: it may read ahead.
    let mut reader = BufReader::with_capacity(2048, stream);
    let mut line = String::new();
    reader.read_line(&mut line)?;
    let status = line.split(' ').nth(1).and_then(|status| status.parse().ok());
    let status = status.ok_or(io::ErrorKind::UnexpectedEof)?;
    let mut headers = Vec::new();
    loop {
        line.clear();
        reader.read_line(&mut line)?;
        let Some((name, value)) = line.trim_end().split_once(':') else { break };
        headers.push((name.to_owned(), value.trim().to_owned()));
    }
    let mut reply = Reply { status, headers, body: Vec::new() };
    let length = reply.header("content-length").map_or(0, |length| length.parse().unwrap());
    reply.body = vec![0; length];
    reader.read_exact(&mut reply.body)?;
    Ok(reply)
}

pub fn connect(address: SocketAddr) -> io::Result<TcpStream> {
    let stream = TcpStream::connect(address)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    stream.set_nodelay(true)?;
    Ok(stream)
}

/// One device, in one log.
pub struct Device {
    pub address: SocketAddr,
    stream: Option<TcpStream>,
    pub log: LogId,
    pub key: u8,
    /// Headers that it sends besides.
    pub more: Vec<(&'static str, String)>,
}

impl Device {
    pub fn new(address: SocketAddr, log: u8, key: u8) -> Self {
        let log = LogId::from_bytes([log; 16]);
        Self { address, stream: None, log, key, more: Vec::new() }
    }

    fn key(&self) -> EpochKey {
        EpochKey::from_bytes([self.key; 32])
    }

    pub fn token(&self) -> String {
        LogToken::access(&self.key(), &self.log).header()
    }

    pub fn admin(&self) -> String {
        LogToken::admin(&self.key(), &self.log).header()
    }

    pub fn send(
        &mut self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> io::Result<Reply> {
        let mut all: Vec<(&str, &str)> = headers.to_vec();
        all.extend(self.more.iter().map(|(name, value)| (*name, value.as_str())));
        let bytes = request(method, path, &all, body);
        let mut stream = match self.stream.take() {
            Some(stream) => stream,
            None => connect(self.address)?,
        };
        stream.write_all(&bytes)?;
        let answer = reply(&mut stream)?;
        if answer.header("connection") != Some("close") {
            self.stream = Some(stream);
        }
        Ok(answer)
    }

    pub fn open(&mut self) -> io::Result<Reply> {
        let body = AccessBody::of(&self.key(), &self.log).encode();
        let path = route::of_log(route::LOG, &self.log);
        self.send("PUT", &path, &[("Content-Type", BYTES)], &body)
    }

    pub fn push(&mut self, after: &Position, bundles: &[Vec<u8>]) -> io::Result<Reply> {
        let token = self.token();
        let path = route::of_log(route::EXCHANGE, &self.log) + &route::query(after, 262_144);
        let file = bundle_file::write(bundles).unwrap();
        self.send("POST", &path, &[("Authorization", &token), ("Content-Type", BUNDLES)], &file)
    }

    pub fn items(&mut self, after: &Position, wait: u16) -> io::Result<Reply> {
        let token = self.token();
        let query = format!("{}&wait={wait}", route::query(after, 262_144));
        let path = route::of_log(route::ITEMS, &self.log) + &query;
        self.send("GET", &path, &[("Authorization", &token)], b"")
    }

    pub fn start(&self) -> Position {
        Position::start(&self.log)
    }

    /// The whole log; its chain is looked at.
    pub fn read_all(&mut self) -> Vec<Vec<u8>> {
        let (mut at, mut all) = (self.start(), Vec::new());
        loop {
            let answer = self.items(&at, 0).unwrap();
            assert_eq!(answer.status, 200);
            for sealed in bundle_file::read(&answer.body).unwrap() {
                at = at.next(&bundle_id(sealed));
                all.push(sealed.to_vec());
            }
            assert_eq!(at, answer.position());
            if answer.header("fallaway-more") == Some("0") {
                return all;
            }
        }
    }
}

/// Looks like a sealed bundle from outside.
pub fn sealed(number: u64) -> Vec<u8> {
    let mut sealed = vec![0x5a; 768];
    sealed[..4].copy_from_slice(&[0xfa, 0x11, 0x0a, 1]);
    sealed[100..108].copy_from_slice(&number.to_be_bytes());
    sealed
}

pub fn ids(bundles: &[Vec<u8>]) -> Vec<BundleId> {
    bundles.iter().map(|sealed| bundle_id(sealed)).collect()
}

/// Runs in another thread, so that a test can go on.
pub fn aside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> mpsc::Receiver<T> {
    let (tell, told) = mpsc::channel();
    std::thread::spawn(move || drop(tell.send(work())));
    told
}
