//! One run in another language: entries, facts and refusals follow it.

// Helpers of tests fail loudly.
#![allow(clippy::unwrap_used)]

mod common;

use common::Device;

#[test]
fn a_run_can_be_asked_for_in_german() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-5|blue five");
    tech.ok("read|relief|0.30 mm");
    let history = tech.ok("--language|de|history");
    let history = history.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(history.contains("Halskrümmung, gegriffen am 1. und 24. Bund: 0,30 mm"), "{history}");
    let english = tech.ok("history").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(english.contains("relief, fretted at 1 and 24: 0.30 mm"), "{english}");
    // The lowest string is a B; German calls that note H.
    tech.ok("read|action|1.9 1.9 2.0 2.2 2.3 mm");
    assert!(tech.ok("--language|de|card").contains("5 (H)"));
    assert!(tech.ok("card").contains("5 (B)"));
    let refused = tech.refused(2, "--language|tlh|history");
    assert!(refused.contains("de"), "{refused}");
}
