//! Clients that push on while processes are killed, and what must be there at the end.
#![allow(dead_code, clippy::unwrap_used, reason = "each test uses a part")]

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use fallaway_changes::BundleId;

use crate::process::{Device, ids, sealed};

/// Logs that clients share.
pub const LOGS: u8 = 4;

/// What clients were told: the number of each bundle.
pub type Told = Arc<Mutex<BTreeMap<(u8, BundleId), u64>>>;

/// Pushes one bundle after the other, as a device that is there and gone, until it is to stop.
pub fn push_on(address: SocketAddr, client: u64, told: &Told, stop: &AtomicBool) -> (u64, u64) {
    let log = (client % u64::from(LOGS)) as u8;
    let mut device = Device::new(address, log, 1);
    let mut at = device.start();
    let (mut number, mut repeats) = (client << 32, 0);
    while !stop.load(Ordering::Relaxed) {
        let bundles = [sealed(number), sealed(number + 1)];
        match device.push(&at, &bundles) {
            Ok(answer) if answer.status == 200 => {
                let numbers = answer.accepted();
                let mut told = told.lock().unwrap();
                for (id, seq) in ids(&bundles).into_iter().zip(numbers) {
                    let before = told.insert((log, id), seq);
                    assert!(before.is_none_or(|before| before == seq), "another number");
                }
                at = answer.position();
                number += 2;
            }
            Ok(answer) => assert_eq!(answer.status, 503, "{answer:?}"),
            // Killed: it may have been kept or not. The same again.
            Err(_) => {
                repeats += 1;
                std::thread::sleep(Duration::from_millis(20));
            }
        }
    }
    (number - (client << 32), repeats)
}

/// All that was said is there once, in its place, and nothing is left out.
pub fn look_at(address: SocketAddr, told: &BTreeMap<(u8, BundleId), u64>, repeats: u64) {
    let mut kept = 0;
    for log in 0..LOGS {
        // Its reading looks at the chain; its places are the numbers.
        let all = ids(&Device::new(address, log, 1).read_all());
        kept += all.len();
        let mut once = all.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), all.len(), "a bundle is there twice");
        for ((_, id), seq) in told.iter().filter(|((of, _), _)| *of == log) {
            assert_eq!(all.get(*seq as usize - 1), Some(id), "number {seq}");
        }
    }
    println!("{} told, {kept} kept, {repeats} requests cut off", told.len());
    assert!(told.len() >= 600 && repeats > 0, "{} {repeats}", told.len());
}
