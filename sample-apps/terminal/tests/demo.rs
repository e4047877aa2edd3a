//! The demo is the README's first command: it has to tell its story and to end with equal records.

// Helpers of tests fail loudly.
#![allow(clippy::unwrap_used)]

mod common;

use std::path::Path;

use common::Device;

const README: &str = include_str!("../../../README.md");

/// What the README shows is what the demo prints, line by line.
fn the_readme_is_honest(story: &str) {
    let blocks = README.split("```console\n").skip(1).map(|rest| rest.split("```").next().unwrap());
    let mut shown = 0;
    for line in blocks.flat_map(str::lines) {
        // The app adds how to take a line back where there is room.
        let printed = story.lines().any(|l| l == line || l.starts_with(&format!("{line}  (")));
        assert!(printed, "README shows {line:?}, which the demo does not print");
        shown += 1;
    }
    assert!(shown > 20);
}

/// The README's pictures are those of the demo; `FALLAWAY_RECORD=1` writes them anew.
fn the_picture_is_current(name: &str, drawn: &Path) {
    let kept =
        Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../docs/pictures/{name}.svg"));
    let drawn = std::fs::read_to_string(drawn).unwrap();
    if std::env::var_os("FALLAWAY_RECORD").is_some() {
        std::fs::write(&kept, &drawn).unwrap();
    }
    assert_eq!(std::fs::read_to_string(&kept).unwrap(), drawn, "{name}.svg is not the demo's");
}

#[test]
fn the_story_ends_with_equal_records_and_leaves_them_to_go_on_with() {
    let folder = tempfile::tempdir().unwrap();
    let mut world = Device::new(folder.path(), "nobody");
    let story = world.ok("demo|--into|play");
    the_readme_is_honest(&story);
    let flat = story.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        // The first eighth of the rod is a test, and loosens; then the record knows which way it works.
        "which way this one works is not known yet, so loosen first",
        "clockwise reduces relief",
        "measure again",
        // The second file came first, and the first brings nothing more.
        "nothing new",
        // The same number, written apart.
        "two values",
        "2.60 mm",
        "2.30 mm",
        "Settled",
        // A winter later: the rod, not the saddles.
        "Next: relief",
        "relief explains",
        "Both devices hold the same record",
    ] {
        assert!(flat.contains(said), "{said:?} is missing in\n{story}");
    }
    // What it left can be gone on with.
    let mut tech = Device::new(&folder.path().join("play"), "tech");
    let card = tech.ok("card");
    assert!(card.contains("0.33 mm"), "{card}");
    let picture = |tech: &mut Device, kind: &str, name: &str| {
        tech.ok(&format!("draw|{kind}|--theme|light|--out|picture.svg|--sure"));
        the_picture_is_current(name, &folder.path().join("play/picture.svg"));
    };
    picture(&mut tech, "relief", "relief");
    picture(&mut tech, "saddles", "saddles");
    // A month of heating later, nothing having been turned.
    for line in [
        "tuned",
        "read|relief|0.44 mm|--tool|feeler 0.01 mm",
        "read|action|2.08 2.10 2.09 2.48 2.70 mm|--tool|dial 0.01 mm",
    ] {
        tech.ok(&format!("{line}|--at|2026-02-20 09:00|--sure"));
    }
    picture(&mut tech, "neck", "neck");
    // Only a folder that a demo made is replaced.
    world.ok("demo|--into|play");
    std::fs::create_dir(folder.path().join("mine")).unwrap();
    std::fs::write(folder.path().join("mine/letter.txt"), "dear").unwrap();
    world.refused(1, "demo|--into|mine");
    assert!(folder.path().join("mine/letter.txt").exists());
}
