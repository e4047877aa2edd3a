//! Which member operations are not worth keeping.
//!
//! Whoever holds the epoch key can make any number of operations. What counts is kept; of what waits
//! or does not count each device has a share, and strangers have none. What an operation that
//! counts has seen is kept whatever it is: else whoever lacks it waits for ever. So it is, within a share of
//! all strangers together, with what changes of the record name as seen, and with what that has seen.

use fallaway_order::{Map, Set};

use crate::limits::{
    MAX_KEPT_OPS, MAX_SECOND_JOINS, MAX_VOID_OPS_OF_DEVICE, MAX_WAITING_OPS,
    MAX_WAITING_OPS_OF_DEVICE,
};
use crate::member::MemberOp;
use crate::members_view::View;
use crate::standing::{Skip, Status};
use fallaway_changes::{DeviceId, MemberHash};
use fallaway_order::PutInOrder as _;

/// What may go. What `own` wrote never does. `named` is what changes name as seen, and asked only if it
/// decides something.
pub(crate) fn surplus(
    ops: &Map<MemberHash, MemberOp>,
    view: &View,
    own: &DeviceId,
    named: impl FnOnce() -> Set<MemberHash>,
) -> Set<MemberHash> {
    let seen_by_others = view.seen_by_others();
    let (mut waiting, mut void, mut counting) = (Vec::new(), Vec::new(), Vec::new());
    for (hash, op) in ops.iter().filter(|(_, op)| op.device() != own) {
        let line = (view.depth(hash), *hash, *op.device());
        match view.status.get(hash) {
            Some(Status::Accepted) => counting.push(line),
            Some(Status::Skipped(_)) => void.push(line),
            _ => waiting.push(line),
        }
    }
    let mut gone = Set::new();
    let mut of_device: Map<DeviceId, usize> = Map::new();
    let mut beyond = |device: &DeviceId, most: usize| {
        let count = of_device.entry(*device).or_default();
        *count += 1;
        *count > most
    };

    // Members' first: a stranger can be any number of devices.
    waiting.put_in_order_by_key(|(_, hash, device)| (!view.was_member(device), *hash));
    let mut kept = 0;
    for (_, hash, device) in waiting {
        if kept >= MAX_WAITING_OPS || beyond(&device, MAX_WAITING_OPS_OF_DEVICE) {
            gone.insert(hash);
        } else {
            kept += 1;
        }
    }
    void.retain(|(_, hash, _)| !seen_by_others(hash));
    let of_members = void.iter().all(|(_, _, device)| view.was_member(device));
    let named = if of_members { Set::new() } else { with_past(ops, named()) };
    void.put_in_order_by_key(|(depth, hash, device)| {
        (!named.contains(hash), *depth, *hash, *device)
    });
    // Whoever came second with an invitation wrote before it could know: others may have built on it. So
    // may they on who was in by an invitation of somebody who is out, by what was known later.
    let came_second =
        |hash: &MemberHash| matches!(view.status.get(hash), Some(Status::Skipped(Skip::Used(_))));
    let mut second: Set<DeviceId> = Set::new();
    for (_, hash, device) in void {
        let kept = if view.was_member(&device) {
            !beyond(&device, MAX_WAITING_OPS_OF_DEVICE + MAX_VOID_OPS_OF_DEVICE)
        } else if second.contains(&device) {
            // What it wrote after it had joined comes after its join.
            !beyond(&device, MAX_WAITING_OPS_OF_DEVICE)
        } else {
            let may_matter = named.contains(&hash) || came_second(&hash);
            second.len() < MAX_SECOND_JOINS && may_matter && second.insert(device)
        };
        if !kept {
            gone.insert(hash);
        }
    }

    // A member that writes without end gives up its latest, before anybody else gives up anything.
    let total = counting.len();
    let mut by_device: Map<DeviceId, Vec<(u32, MemberHash)>> = Map::new();
    for (depth, hash, device) in counting {
        by_device.entry(device).or_default().push((depth, hash));
    }
    for ops in by_device.values_mut() {
        ops.put_in_order();
        ops.retain(|(_, hash)| !seen_by_others(hash));
    }
    for _ in MAX_KEPT_OPS..total {
        let most = by_device.values_mut().max_by_key(|ops| ops.len());
        let Some((_, hash)) = most.and_then(Vec::pop) else { break };
        gone.insert(hash);
    }
    gone
}

/// These and all that they have seen, as far as it is here.
fn with_past(ops: &Map<MemberHash, MemberOp>, named: Set<MemberHash>) -> Set<MemberHash> {
    let mut open: Vec<MemberHash> = named.into_iter().collect();
    let mut all = Set::new();
    while let Some(hash) = open.pop() {
        if all.insert(hash) {
            open.extend(ops.get(&hash).into_iter().flat_map(MemberOp::seen));
        }
    }
    all
}
