//! More late work than is kept of one person, on which somebody built who had not heard that its author
//! may not write any more: honest devices end with the same.

#![allow(clippy::unwrap_used, reason = "a test")]

use fallaway::Role;
use fallaway_changes::{Change, Container, Put};
use fallaway_sharing::Payload;
use fallaway_simulation::hostile_program::{House, NOW};
use fallaway_simulation::work;

/// So many changes of as many writers; the author is made a viewer, or removed.
fn late(count: u64, removed: bool) {
    let mut house = House::new(count, Role::Contributor, false);
    let fingerprint = house.mallory.device().fingerprint();
    if removed {
        house.bass.remove_member(&fingerprint, false, None).unwrap();
    } else {
        house.bass.set_role(&fingerprint, Role::Viewer).unwrap();
    }
    let payloads: Vec<Payload> = (0..count)
        .map(|number| {
            let (incarnation, writer) = house.mallory.writer(number);
            let key = format!("late/{number}");
            let ops = vec![Put { container: Container::SPEC, key, value: vec![0x18, 99] }];
            let deps = house.mallory.base.heads();
            let change = Change { writer, seq: 1, time: NOW, deps, ops };
            house.mallory.signed(incarnation, change, &house.mallory.heads).unwrap().1
        })
        .collect();
    let file = house.mallory.file(&payloads);
    // The owner knows, and holds what there is room for; the other one builds on all of it.
    let report = house.tech.bundle_in(&file).unwrap();
    assert!(report.added.is_empty() && !report.set_aside.is_empty(), "{}", report.set_aside.len());
    house.player.bundle_in(&file).unwrap();
    house.theirs.add_remark(work::remark("built on it"), None).unwrap();
    // They meet, write, and let somebody new in.
    house.look(count);
    assert!(work::told(&house.bass).contains("built on it"));
}

#[test]
fn what_is_late_and_built_on_leaves_honest_devices_equal_however_much_it_is() {
    for count in [40, 600] {
        late(count, false);
        late(count, true);
    }
}
