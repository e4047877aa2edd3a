//! What this test rules out: that the program answers a request otherwise than the document says that it
//! serves. `cargo tool test relay` prepares the program that draws the requests, and names it in
//! `FALLAWAY_SCHEMATHESIS`.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

#[path = "common/process.rs"]
mod process;

use std::process::Command;

use fallaway_sharing::bundle_file;
use process::{Device, Relay, sealed};

const HOOKS: &str = r#"
from pathlib import Path

import schemathesis
from hypothesis import strategies

files = [file.read_bytes() for file in sorted(Path(__file__).parent.glob("*.bundles"))]
drawn = strategies.one_of(strategies.sampled_from(files), strategies.binary(max_size=600))
schemathesis.openapi.media_type("application/vnd.fallaway.bundles", drawn)
"#;

#[test]
#[ignore = "needs schemathesis, of Python"]
fn the_document_says_how_it_answers() {
    let program = std::env::var_os("FALLAWAY_SCHEMATHESIS").expect("FALLAWAY_SCHEMATHESIS");
    let folder = tempfile::tempdir().unwrap();
    let free =
        ["--new-logs", "0", "--pushes", "0", "--wrong-tokens", "0", "--connections-each", "0"];
    let relay = Relay::start(folder.path(), &free);
    let mut device = Device::new(relay.address, 1, 1);
    device.open().unwrap();
    device.push(&device.start(), &[sealed(1), sealed(2)]).unwrap();
    // What it cannot draw by itself: files that are sound.
    for (number, bundles) in
        [vec![], vec![sealed(1)], vec![sealed(3), sealed(4)]].iter().enumerate()
    {
        let file = folder.path().join(format!("{number}.bundles"));
        std::fs::write(file, bundle_file::write(bundles).unwrap()).unwrap();
    }
    std::fs::write(folder.path().join("hooks.py"), HOOKS).unwrap();
    // A log that is there; waiting would only take time.
    let config = folder.path().join("schemathesis.toml");
    let text = format!(
        "hooks = \"hooks.py\"\n\n[parameters]\n\"path.log\" = \"{}\"\n\"query.wait\" = 0\n\n\
         [checks.negative_data_rejection]\nexpected-statuses = [\"4xx\", \"5xx\"]\n",
        device.log
    );
    std::fs::write(&config, text).unwrap();
    // Bytes at random are no bundle file, and the document cannot say what is one.
    let besides = "positive_data_acceptance";
    let status = Command::new(program)
        .arg("--config-file")
        .arg(&config)
        .arg("run")
        .arg(format!("http://{}/v1/openapi.json", relay.address))
        .args(["--checks", "all", "--exclude-checks", besides])
        .args(["--seed", "1", "--max-examples", "60", "--no-color"])
        .args(["--header", &format!("Authorization: {}", device.token())])
        .current_dir(folder.path())
        .env("PYTHONPATH", folder.path())
        .status();
    assert!(status.unwrap().success());
    // The connection of before has been idle for too long.
    let mut device = Device::new(relay.address, 1, 1);
    assert_eq!(device.items(&device.start(), 0).unwrap().status, 200);
}
