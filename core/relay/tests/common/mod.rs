//! Small worlds: logs, tokens and bundles by number.
#![allow(dead_code, clippy::unwrap_used, reason = "each test uses a part")]

use fallaway_changes::{BlobId, BundleId, LogId};
use fallaway_relay::{BlobPush, Engine, Push};
use fallaway_sync::wire::access::{AccessBody, TokenHash};
use fallaway_sync::wire::chain::Position;

pub const DAY: i64 = 24 * 60 * 60;
/// When the tests begin.
pub const NOON: i64 = 1_800_000_000;

pub fn log(number: u8) -> LogId {
    LogId::from_bytes([number; 16])
}

pub fn token(number: u8) -> TokenHash {
    TokenHash([number; 32])
}

/// Admin tokens are others than those that read.
pub fn admin(number: u8) -> TokenHash {
    TokenHash([number ^ 0xff; 32])
}

pub fn body(number: u8) -> AccessBody {
    AccessBody { access: token(number), admin: admin(number) }
}

pub fn bundle(number: u8) -> (BundleId, Vec<u8>) {
    let sealed = vec![number; 256 * (1 + usize::from(number % 3))];
    (BundleId::from_bytes(*blake3::hash(&sealed).as_bytes()), sealed)
}

pub fn push(to: u8, by: u8, after: Position, bundles: &[u8]) -> Push {
    let bundles = bundles.iter().map(|number| bundle(*number)).collect();
    Push { log: log(to), token: token(by), after, bundles }
}

/// The parts of a photo, one to three.
pub fn photo(number: u8) -> (BlobId, Vec<Vec<u8>>) {
    let parts: Vec<Vec<u8>> = (0..=number % 3).map(|part| vec![number ^ part; 300]).collect();
    (BlobId::from_bytes(*blake3::hash(&parts.concat()).as_bytes()), parts)
}

/// One of its parts, which may be said to be of another photo.
pub fn push_part(to: u8, by: u8, said: u8, number: u8, part: u32) -> BlobPush {
    let (parts, id) = (photo(number).1, photo(said).0);
    let sealed = parts.get(part as usize).cloned().unwrap_or_default();
    BlobPush { log: log(to), token: token(by), id, part, parts: parts.len() as u32, sealed }
}

/// Everything in a log, read page by page; each end is looked at. `None` if the token reads nothing.
pub fn read_all(engine: &Engine, number: u8, by: u8) -> Option<Vec<Vec<u8>>> {
    let mut at = Position::start(&log(number));
    let mut all = Vec::new();
    loop {
        let portion = engine.items(log(number), token(by), at, 700).ok()?;
        for sealed in &portion.sealed {
            at = at.next(&BundleId::from_bytes(*blake3::hash(sealed).as_bytes()));
        }
        assert_eq!(at, portion.end, "the chain");
        all.extend(portion.sealed);
        if portion.more == 0 {
            return Some(all);
        }
    }
}
