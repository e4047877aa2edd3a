//! What a relay carries on this machine: durable pushes a second, catching up, memory of those who wait.
//! Client and relay share the processors. `cargo bench -p fallaway-relay --features server`; with
//! `--features postgres` on a PostgreSQL of its own (Debian: postgresql), which shares them too.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a bench")]

#[cfg(feature = "postgres")]
#[path = "../tests/common/cluster.rs"]
mod cluster;
#[path = "../tests/common/process.rs"]
mod process;

use std::io::Write as _;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Barrier};
use std::time::{Duration, Instant};

use fallaway_sync::wire::route;
use process::{Device, Relay, connect, request, sealed};

const CLIENTS: u8 = 64;
const SECONDS: u64 = 10;
const VISITS: u64 = 1000;
const WAITERS: usize = 10_000;
/// Without the limits of what one address may do.
const FREE: [&str; 7] = ["--new-logs", "0", "--pushes", "0", "--connections-each", "0", "--quiet"];

fn main() {
    // Cargo asks every bench for this, also of tests.
    if std::env::args().any(|argument| argument == "--test") {
        return;
    }
    // Never among the sources: who stops it half-way leaves a database behind.
    let usual = || env!("CARGO_TARGET_TMPDIR").to_owned();
    let folder = std::env::var("FALLAWAY_BENCH_FOLDER").unwrap_or_else(|_| usual());
    let folder = tempfile::tempdir_in(folder).unwrap();
    let relay = Relay::start(folder.path(), &[&FREE[..], &["--metrics", "127.0.0.1:0"]].concat());
    println!("SQLite");
    for size in [1, 8] {
        push(&relay, size, None);
    }
    catch_up(relay.address);
    wait(&relay);
    let end = relay.stop();
    assert!(end.success(), "{end}");
    #[cfg(feature = "postgres")]
    on_postgres(folder.path());
}

/// What some processes have used so far.
#[derive(Clone, Copy)]
struct Used {
    /// Processor seconds, in the program and in the system for it.
    seconds: f64,
    /// Bytes handed to the disk.
    written: u64,
}

impl Used {
    /// By a process and, if so wanted, by those that it has begun.
    fn by(process: u32, family: bool) -> Self {
        let mut used = Self { seconds: 0.0, written: 0 };
        for entry in std::fs::read_dir("/proc").unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            let line = std::fs::read_to_string(format!("/proc/{name}/stat"));
            let (Ok(id), Ok(line)) = (name.parse::<u32>(), line) else { continue };
            // Behind the name, which is in brackets: the state, the parent, and further on the ticks.
            let fields: Vec<&str> = line.rsplit(')').next().unwrap().split_whitespace().collect();
            if id != process && !(family && fields[1].parse() == Ok(process)) {
                continue;
            }
            let ticks = |field: usize| fields[field].parse::<f64>().unwrap();
            used.seconds += (ticks(11) + ticks(12)) / 100.0;
            let io = std::fs::read_to_string(format!("/proc/{name}/io")).unwrap_or_default();
            let bytes = io.lines().find_map(|line| line.strip_prefix("write_bytes: "));
            used.written += bytes.map_or(0, |bytes| bytes.parse::<u64>().unwrap());
        }
        used
    }

    /// Microseconds and bytes of one push.
    fn each(self, before: Self, pushes: usize) -> (f64, f64) {
        let pushes = pushes as f64;
        let seconds = self.seconds - before.seconds;
        (seconds * 1e6 / pushes, (self.written - before.written) as f64 / pushes)
    }
}

/// Pushes and catching up, with the database in a process of its own.
#[cfg(feature = "postgres")]
fn on_postgres(folder: &std::path::Path) {
    let cluster = cluster::Cluster::start();
    let address = folder.join("address");
    std::fs::write(&address, cluster.address()).unwrap();
    let database = ["--postgres", address.to_str().unwrap()];
    let relay = Relay::start_with(folder, &[&database[..], &FREE[..]].concat());
    println!("PostgreSQL, as it comes");
    for size in [1, 8] {
        push(&relay, size, Some(cluster.process()));
    }
    catch_up(relay.address);
    let end = relay.stop();
    assert!(end.success(), "{end}");
}

/// Each client in a log of its own, one push after the other.
fn push(relay: &Relay, size: u64, database: Option<u32>) {
    let stop = Arc::new(AtomicBool::new(false));
    let ready = Arc::new(Barrier::new(usize::from(CLIENTS) + 1));
    let address = relay.address;
    let clients: Vec<_> = (0..CLIENTS)
        .map(|client| {
            let (stop, ready) = (Arc::clone(&stop), Arc::clone(&ready));
            std::thread::spawn(move || {
                let mut device = Device::new(address, client, 1);
                device.open().unwrap();
                let mut at = device.items(&device.start(), 0).unwrap().position();
                while device.items(&at, 0).unwrap().position() != at {
                    at = device.items(&at, 0).unwrap().position();
                }
                let mut times = Vec::new();
                let mut number = at.seq << 8 | u64::from(client);
                ready.wait();
                while !stop.load(Ordering::Relaxed) {
                    let bundles: Vec<Vec<u8>> =
                        (0..size).map(|one| sealed(number + (one << 8))).collect();
                    let began = Instant::now();
                    let answer = device.push(&at, &bundles).unwrap();
                    assert_eq!(answer.status, 200);
                    times.push(began.elapsed());
                    at = answer.position();
                    number += size << 8;
                }
                times
            })
        })
        .collect();
    let used = || {
        let own = Used::by(std::process::id(), false);
        (own, Used::by(relay.process(), false), database.map(|process| Used::by(process, true)))
    };
    let before = used();
    ready.wait();
    let began = Instant::now();
    std::thread::sleep(Duration::from_secs(SECONDS));
    stop.store(true, Ordering::Relaxed);
    let mut times: Vec<Duration> =
        clients.into_iter().flat_map(|client| client.join().unwrap()).collect();
    let took = began.elapsed().as_secs_f64();
    times.sort_unstable();
    let rate = times.len() as f64 / took;
    println!(
        "{CLIENTS} clients, {size} bundles of 768 bytes a push: {rate:.0} pushes/s, {:.0} bundles/s; \
         half within {:.1} ms, 99 of 100 within {:.1} ms",
        rate * size as f64,
        times[times.len() / 2].as_secs_f64() * 1e3,
        times[times.len() * 99 / 100].as_secs_f64() * 1e3,
    );
    let after = used();
    let (clients, _) = after.0.each(before.0, times.len());
    let (own, mut written) = after.1.each(before.1, times.len());
    let mut served = own;
    print!("    processor time of a push: clients {clients:.0} us, relay {own:.0} us");
    if let Some((before, after)) = before.2.zip(after.2) {
        let (database, bytes) = after.each(before, times.len());
        print!(", database {database:.0} us");
        (served, written) = (served + database, written + bytes);
    }
    let cores = std::thread::available_parallelism().unwrap().get() as f64;
    println!(
        "; {:.1} kB to the disk; with the clients elsewhere {cores} cores would carry {:.0} pushes/s",
        written / 1e3,
        cores * 1e6 / served
    );
}

/// A new device fetches a log of many visits.
fn catch_up(address: SocketAddr) {
    let mut device = Device::new(address, 200, 1);
    device.open().unwrap();
    let mut at = device.start();
    for page in 0..VISITS.div_ceil(50) {
        let visits: Vec<Vec<u8>> = (0..50).map(|one| sealed(page * 50 + one)).collect();
        at = device.push(&at, &visits).unwrap().position();
    }
    let mut new = Device::new(address, 200, 1);
    let began = Instant::now();
    let all = new.read_all();
    println!("{} visits fetched in {:.0} ms", all.len(), began.elapsed().as_secs_f64() * 1e3);
}

/// Bytes that a process has in memory.
fn resident(process: u32) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap();
    let line = status.lines().find(|line| line.starts_with("VmRSS:")).unwrap();
    let kib: u64 = line.split_whitespace().nth(1).unwrap().parse().unwrap();
    kib * 1024
}

fn wait(relay: &Relay) {
    let device = Device::new(relay.address, 200, 1);
    let token = device.token();
    let path = route::of_log(route::ITEMS, &device.log);
    let mut reading = Device::new(relay.address, 200, 1);
    let mut end = reading.start();
    while reading.items(&end, 0).unwrap().position() != end {
        end = reading.items(&end, 0).unwrap().position();
    }
    let ask = format!("{path}{}&wait=55", route::query(&end, 262_144));
    let ask = request("GET", &ask, &[("Authorization", &token)], b"");
    let before = resident(relay.process());
    let numbers = || {
        let mut stream = connect(relay.metrics.unwrap()).unwrap();
        stream.write_all(&request("GET", "/metrics", &[], b"")).unwrap();
        let text = String::from_utf8(process::reply(&mut stream).unwrap().body).unwrap();
        let line = text.lines().find(|line| line.starts_with("fallaway_relay_waiters ")).unwrap();
        line.rsplit(' ').next().unwrap().parse::<usize>().unwrap()
    };
    let mut held = Vec::new();
    while held.len() < WAITERS {
        let Ok(mut stream) = connect(relay.address) else { break };
        stream.write_all(&ask).unwrap();
        held.push(stream);
        // They come as devices do, not all within a second.
        if held.len() % 100 == 0 {
            std::thread::sleep(Duration::from_millis(50));
        }
    }
    let began = Instant::now();
    let mut waiting = 0;
    while waiting < held.len() && began.elapsed() < Duration::from_secs(40) {
        std::thread::sleep(Duration::from_millis(200));
        waiting = numbers();
    }
    let each = (resident(relay.process()) - before) as f64 / waiting as f64;
    println!(
        "{waiting} wait: {each:.0} bytes each; {} MiB in all",
        resident(relay.process()) >> 20
    );
    // One push, and all of them hear.
    let began = Instant::now();
    // Its connection has been idle for too long.
    let mut reading = Device::new(relay.address, 200, 1);
    let pushed = reading.push(&end, &[sealed(u64::MAX)]).unwrap();
    assert_eq!(pushed.status, 200);
    let mut heard = 0;
    for stream in &mut held {
        heard += usize::from(process::reply(stream).is_ok_and(|reply| reply.body.len() > 768));
    }
    println!("{heard} heard of a push within {:.1} s", began.elapsed().as_secs_f64());
}
