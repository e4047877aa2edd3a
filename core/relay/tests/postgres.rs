//! What these tests rule out: that PostgreSQL answers otherwise than memory, and that of what several
//! processes said they have, something is lost, doubled or out of its place when one of them is killed, or
//! the database is, with a pooler between. They need the server's programs (Debian: postgresql, pgbouncer).

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

#[path = "common/calls.rs"]
mod calls;
#[path = "common/cluster.rs"]
mod cluster;
mod common;
#[path = "common/kill.rs"]
mod kill;
#[path = "common/planted.rs"]
mod planted;
#[path = "common/process.rs"]
mod process;

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use calls::{Call, calls, say};
use cluster::Cluster;
use common::{DAY, NOON, read_all};
use fallaway_relay::{Engine, MemoryShelves, Quotas};
use fallaway_sharing::bundle_file;
use kill::{Told, look_at, push_on};
use planted::{Planted, holds};
use process::{Device, PATIENCE, Relay, aside, sealed};
use proptest::test_runner::{Config, TestRunner};

#[test]
fn memory_and_postgres_answer_the_same() {
    let cluster = Cluster::start();
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let quotas = Quotas { log_bytes: 4000, total_bytes: 6000, accesses: 4 };
    let open = || {
        let watch = Box::new(|_, _| ());
        Engine::on_postgres(&cluster.address(), runtime.handle().clone(), quotas, watch).unwrap()
    };
    let clear = || {
        runtime.block_on(async {
            let address = cluster.address();
            let (client, connection) =
                tokio_postgres::connect(&address, tokio_postgres::NoTls).await.unwrap();
            tokio::spawn(connection);
            client
                .batch_execute("TRUNCATE log, access, item, knock, parcel, blob, blob_part, object")
                .await
                .unwrap();
        });
    };
    drop(open());
    let mut runner =
        TestRunner::new(Config { cases: 24, failure_persistence: None, ..Config::default() });
    let outcome = runner.run(&calls(), |calls| {
        clear();
        let memory = Engine::in_memory(MemoryShelves::default(), quotas);
        let mut far = open();
        let (mut now, mut places) = (NOON, Vec::new());
        for call in &calls {
            match call {
                Call::Days(days) => now += days * DAY,
                Call::Reopen => far = open(),
                _ => {}
            }
            let (said, end) = say(&memory, call, &places, now);
            assert_eq!(said, say(&far, call, &places, now).0, "{call:?}");
            places.extend(end);
            assert_eq!(memory.held(), far.held(), "{call:?}");
        }
        for (number, by) in [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2)] {
            assert_eq!(read_all(&memory, number, by), read_all(&far, number, by));
        }
        Ok(())
    });
    outcome.unwrap();
}

const FREE: [&str; 7] = ["--new-logs", "0", "--pushes", "0", "--connections-each", "0", "--quiet"];

#[test]
fn three_processes_on_one_database_keep_what_they_said_when_they_are_killed() {
    let cluster = Cluster::start();
    let folders = [(); 3].map(|()| tempfile::tempdir().unwrap());
    let file = folders[0].path().join("address");
    std::fs::write(&file, cluster.pooled()).unwrap();
    let data = ["--postgres", file.to_str().unwrap()];
    let start = |number: usize, more: &[&str]| {
        Relay::start_with(folders[number].path(), &[&data[..], &FREE[..], more].concat())
    };
    let mut relays: Vec<Option<Relay>> = (0..3).map(|number| Some(start(number, &[]))).collect();
    let addresses: Vec<_> = relays.iter().flatten().map(|relay| relay.address).collect();
    for log in 0..kill::LOGS {
        assert_eq!(Device::new(addresses[0], log, 1).open().unwrap().status, 201);
    }
    // Who waits at one process hears of what another has taken.
    let mut waits = Device::new(addresses[1], 0, 1);
    let start_of_log = waits.start();
    let heard = aside(move || waits.items(&start_of_log, 55));
    std::thread::sleep(Duration::from_secs(3));
    let first = [sealed(u64::MAX)];
    Device::new(addresses[2], 0, 1).push(&start_of_log, &first).unwrap();
    let heard = heard.recv_timeout(PATIENCE).unwrap().unwrap();
    assert_eq!(bundle_file::read(&heard.body).unwrap(), first);

    let (told, stop) = (Told::default(), Arc::new(AtomicBool::new(false)));
    let clients: Vec<_> = (0..24)
        .map(|client| {
            let (told, stop) = (Arc::clone(&told), Arc::clone(&stop));
            let address = addresses[client as usize % 3];
            std::thread::spawn(move || push_on(address, client, &told, &stop))
        })
        .collect();
    for round in 0..12 {
        let before = told.lock().unwrap().len();
        while told.lock().unwrap().len() < before + 50 {
            std::thread::sleep(Duration::from_millis(5));
        }
        std::thread::sleep(Duration::from_millis(u64::from(round as u32) * 37 % 200));
        if round % 4 == 3 {
            cluster.cut();
            cluster.begin();
        } else {
            let number = round % 3;
            relays[number].take().unwrap().kill();
            let listen = addresses[number].to_string();
            relays[number] = Some(start(number, &["--listen", &listen]));
        }
    }
    stop.store(true, Ordering::Relaxed);
    let done: Vec<(u64, u64)> = clients.into_iter().map(|client| client.join().unwrap()).collect();
    let repeats: u64 = done.iter().map(|(_, repeats)| repeats).sum();
    look_at(addresses[1], &told.lock().unwrap(), repeats);
}

#[test]
fn planted_words_tokens_and_names_are_in_no_dump_of_the_database() {
    let cluster = Cluster::start();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("address");
    std::fs::write(&file, cluster.address()).unwrap();
    let relay = Relay::start_with(folder.path(), &["--postgres", file.to_str().unwrap()]);
    let mut device = Device::new(relay.address, 0xb3, 1);
    assert_eq!(device.open().unwrap().status, 201);
    let planted = Planted::bring(&mut device);
    let dump = cluster.dump();
    for sealed in &planted.sealed {
        let digits = data_encoding::HEXLOWER.encode(sealed);
        assert!(holds(&dump, digits.as_bytes()), "what was brought is there, sealed");
    }
    planted.look_in(&dump, "the dump");
    planted.look_in(relay.journal().as_bytes(), "the journal");
    // Nor in what the database itself writes.
    let log = std::fs::read(cluster.log()).unwrap();
    planted.look_in(&log, "the database's log");
}
