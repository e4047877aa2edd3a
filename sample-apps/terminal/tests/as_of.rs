//! What only asks can be asked as of an earlier day.

// Helpers of tests fail loudly.
#![allow(clippy::unwrap_used)]

mod common;

use common::Device;

#[test]
fn a_plan_is_that_of_the_day_it_is_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|old one");
    tech.ok("setup|target|mine|relief|0.2 mm");
    let day = "--at|2025-10-06 09:00";
    tech.ok(&format!("tuned|{day}"));
    tech.ok(&format!("read|relief|0.30 mm|--tool|feeler 0.01 mm|{day}"));
    let then = tech.ok("plan|--at|2025-10-06 10:00");
    assert!(then.contains("0.30 mm") && then.contains("rod"), "{then}");
    // Today nothing has been read yet.
    let today = tech.ok("plan");
    assert!(today.contains("Tune to pitch"), "{today}");
}
