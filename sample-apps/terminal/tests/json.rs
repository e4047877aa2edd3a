//! What `--json` prints is described: every field that comes out stands in `docs/json.md`.

// Helpers of tests fail loudly.
#![allow(clippy::panic, clippy::unwrap_used)]

mod common;

use std::collections::BTreeSet;

use common::Device;
use serde_json::Value;

const DESCRIPTION: &str = include_str!("../../../docs/json.md");

fn fields(value: &Value, into: &mut BTreeSet<String>) {
    match value {
        Value::Object(object) => {
            for (name, value) in object {
                into.insert(name.clone());
                // The keys of this one are kinds of reading.
                if name != "tools" {
                    fields(value, into);
                }
            }
        }
        Value::Array(items) => items.iter().for_each(|item| fields(item, into)),
        _ => {}
    }
}

#[test]
fn every_command_speaks_json_and_every_field_is_described() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    let mut player = Device::new(folder.path(), "player");
    let mut seen = BTreeSet::new();
    let mut say = |device: &mut Device, words: &str| {
        let ran = device.run(&format!("{words}|--json"));
        assert_eq!(ran.code, 0, "{words}: {ran:?}");
        fields(&ran.json(), &mut seen);
    };
    for words in [
        "templates",
        "add|bass-4|walnut four",
        "set|scale|34 in",
        "set|--list",
        "list",
        "show",
        "me",
        "tool|rule|1/64",
        "order|high-first",
        "usual|--posture|playing|--capo|--a4|442 Hz",
        "visit",
        "visit|begin|too high",
        "visit",
        "climate|21C|45%|--hours|24",
        "tuned",
        "read|relief|0.60 mm|--as-found",
        "read|action|6|6|6|7",
        "read|pitch|2|-1|0|1",
        "setup|target|stage|relief|0.30 mm",
        "setup|target|stage|action|all|5/64",
        "setup|target|stage|pitch|all|0 cent",
        "plan",
        "cannot|the screw is stuck",
        "history",
        "undo",
        "next",
        "changed",
        "did|rod|1/8|cw",
        "did|saddle|1|back|0.5 mm",
        "strings|--only|4",
        "buzz|4|3-6|hard",
        "remark|third fret",
        "undo",
        "redo",
        "undo",
        "setup",
        "setup|drop|stage|action|4",
        "card",
        "learned",
        "forecast|20C|25%",
        "clearance|--relief|0.30 mm|--saddle|4=+0.1mm",
        "why-buzz|4|3-6",
        "before-strings|--notes|4=D1",
        "history",
        "draw|clearance",
        "draw|neck",
        "draw|turn",
        "draw|relief",
        "sheet",
        "sheet|--bench",
        "people",
        "people|--history",
        "two-values",
        "invite|contributor|--out|invitation.txt",
        "bundle|out|tech.fallaway",
        "recovery-words",
    ] {
        say(&mut tech, words);
    }
    let short =
        tech.run("history|--json|--clean|--last|1").json()[0]["short"].as_str().unwrap().to_owned();
    say(&mut tech, &format!("cross-out|{short}|a slip"));
    say(&mut player, "accept|tech.fallaway|--words|invitation.txt|--look");
    say(&mut player, "accept|tech.fallaway|--words|invitation.txt");
    say(&mut player, "bundle|in|tech.fallaway");
    // The same target, written apart.
    player.ok("setup|target|stage|relief|0.20 mm");
    tech.ok("setup|target|stage|relief|0.40 mm");
    player.ok("bundle|out|player.fallaway");
    say(&mut tech, "bundle|in|player.fallaway");
    say(&mut tech, "two-values");
    say(&mut tech, "settle|1|1");
    say(&mut tech, "forget|walnut four|--sure");
    assert!(seen.len() > 60, "{seen:?}");
    let missing: Vec<&String> =
        seen.iter().filter(|name| !DESCRIPTION.contains(&format!("`{name}`"))).collect();
    assert!(missing.is_empty(), "docs/json.md does not describe {missing:?}");
}
