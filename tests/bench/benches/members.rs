//! What it costs to know who is in: 128 devices, 4,096 operations, 40 epochs.
//!
//! Run with `cargo bench -p fallaway-bench --bench members`.

#![forbid(unsafe_code)]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, dead_code, reason = "a bench")]

#[path = "common/stopwatch.rs"]
mod stopwatch;

use fallaway_changes::{EpochId, MemberHash, RecordId};
use fallaway_sharing::{
    Action, DeviceKeys, InviteFor, InviteSecret, MemberOp, Members, Role, WrappedKey,
};

const DEVICES: usize = 128;
const OPERATIONS: usize = 4_096;
const EPOCHS: usize = 40;
/// Devices that are owners.
const OWNERS: usize = 4;
const NOW: i64 = 1_790_000_000;

/// A record in which all of it happened, each time after the last few operations.
struct History {
    id: RecordId,
    keys: Vec<DeviceKeys>,
    ops: Vec<MemberOp>,
}

impl History {
    fn new() -> Self {
        let keys = |number: usize| DeviceKeys::from_seed(&[number as u8; 32]);
        let mut keys: Vec<DeviceKeys> = (0..DEVICES).map(keys).collect();
        let founding = MemberOp::found(&keys[0], NOW, [7; 16], "device 0", None).unwrap();
        let id = *founding.record();
        keys[1..].sort_by_key(DeviceKeys::device);
        let mut history = Self { id, keys, ops: vec![founding] };
        for number in 1..DEVICES {
            let role = if number < OWNERS { Role::Owner } else { Role::Contributor };
            let (device, exchange) =
                (history.keys[number].device(), history.keys[number].exchange());
            let label = format!("device {number}");
            history.add(0, 1, Action::Add { device, exchange, role, label });
        }
        let rest = OPERATIONS - history.ops.len();
        for number in 0..rest {
            let by = number * 37 % DEVICES;
            let action = history.action(number, by, rest.div_ceil(EPOCHS));
            history.add(by, 1 + number % 3, action);
        }
        history
    }

    fn action(&self, number: usize, by: usize, epoch_every: usize) -> Action {
        let device = self.keys[(number * 61 + 1) % DEVICES].device();
        let wrapped = |device| WrappedKey { device, enc: [1; 32], ct: [2; 48] };
        let epoch = EpochId::from_bytes([(number / epoch_every) as u8; 16]);
        if number.is_multiple_of(epoch_every) {
            let mut devices: Vec<_> = self.keys.iter().map(DeviceKeys::device).collect();
            devices.sort_unstable();
            let wrapped = devices.into_iter().map(wrapped).collect();
            return Action::NewEpoch {
                epoch,
                parents: Vec::new(),
                wrapped,
                older: vec![0; 72],
                relays: Vec::new(),
            };
        }
        let secret = InviteSecret::from_bytes([number as u8; 16]);
        let (key, expires) = (secret.key(&self.id), NOW + 1);
        match number % 4 {
            0 if by < OWNERS => Action::Accept { frontier: Vec::new() },
            1 if by < OWNERS => {
                Action::Invite { key, role: Role::Viewer, expires, whom: InviteFor::Other }
            }
            2 => Action::Invite { key, role: Role::Viewer, expires, whom: InviteFor::SamePerson },
            _ => Action::HandKey { epoch, wrapped: wrapped(device) },
        }
    }

    fn add(&mut self, by: usize, seen: usize, action: Action) {
        let seen = self.ops.iter().rev().take(seen).map(MemberOp::hash).collect();
        self.ops.push(MemberOp::sign(&self.keys[by], self.id, &seen, NOW, action).unwrap());
    }
}

fn load(id: RecordId, ops: impl Iterator<Item = MemberOp>, own: &DeviceKeys) -> Members {
    let mut members = Members::new(id);
    for op in ops {
        members.insert(op).unwrap();
    }
    members.keep(&own.device(), Default::default);
    assert_eq!(members.members().len(), DEVICES);
    members
}

/// The least of some runs and the median, in milliseconds of processor time.
fn timed<T>(what: &str, mut work: impl FnMut() -> T) {
    let mut taken: Vec<f64> =
        (0..101).map(|_| stopwatch::timed(&mut work).0.processor.as_secs_f64() * 1e3).collect();
    taken.sort_by(f64::total_cmp);
    println!("{what}: {:.3} ms, median {:.3} ms", taken[0], taken[taken.len() / 2]);
}

fn main() {
    let history = History::new();
    let own = &history.keys[5];
    let stored: Vec<Vec<u8>> = history.ops.iter().map(MemberOp::encode).collect();
    let full = load(history.id, history.ops.iter().cloned(), own);
    assert_eq!((full.ops().count(), full.epochs().count()), (OPERATIONS, EPOCHS));

    timed("read the stored operations", || {
        stored.iter().map(|bytes| MemberOp::decode_kept(bytes).unwrap()).collect::<Vec<_>>()
    });
    timed("the same, and know who is in", || {
        let ops = stored.iter().map(|bytes| MemberOp::decode_kept(bytes).unwrap());
        load(history.id, ops, own)
    });
    let heads: Vec<MemberHash> = full.heads().into_iter().collect();
    timed("judge who may write, by the heads of a change", || full.standing(&own.device(), &heads));
}
