//! Chores of the Rust side alone.

use std::path::Path;
use std::process::Command;

use crate::steps::{Outcome, root, run, run_command, target};

/// The project's whole check.
pub fn check() -> Outcome {
    run("bash", &[".ci/run"])
}

/// Format, lints and tests of the libraries only, for use while editing.
pub fn quick() -> Outcome {
    run("cargo", &["fmt", "--all", "--check"])?;
    run("cargo", &["clippy", "--workspace", "--", "-D", "warnings"])?;
    run("cargo", &["test", "--workspace", "--lib"])
}

/// Every benchmark.
pub fn bench() -> Outcome {
    run("cargo", &["bench", "--workspace"])
}

/// Writes the golden vectors of recorded instruments anew: tests/vectors/README.md names them.
pub fn record_vectors() -> Outcome {
    let vectors = ["test", "--locked", "--package", "fallaway-ffi", "--test", "vectors"];
    run("cargo", &[&vectors[..], &["--", "--ignored"]].concat())
}

/// The relay as a program: its network is built and tested here only. Needs PostgreSQL's programs.
pub fn relay() -> Outcome {
    let server = ["--package", "fallaway-relay", "--features", "postgres,s3"];
    run("cargo", &[&["clippy"], &server[..], &["--all-targets", "--", "-D", "warnings"]].concat())?;
    let mut tests = Command::new("cargo");
    tests.args([&["test"], &server[..]].concat()).current_dir(root());
    // Schedules of whole devices; four of them run without this.
    tests.env("FALLAWAY_WHOLE", "100");
    run_command(tests)?;
    // The terminal app over it, with TLS.
    let mut story = Command::new("cargo");
    story.args(["test", "--package", "fallaway-terminal", "--test", "relay_program"]);
    story.args(["--", "--ignored"]).current_dir(root());
    story.env("FALLAWAY_RELAY_PROGRAM", target().join("debug/fallaway-relay"));
    run_command(story)?;
    // Requests that are drawn from the document that it serves.
    let folder = target().join("relay-python");
    let wanted = root().join("core/relay/tests/requirements.txt");
    let text = |path: &Path| path.display().to_string();
    run("python3", &["-m", "venv", &text(&folder)])?;
    let python = text(&folder.join("bin/python"));
    run(&python, &["-m", "pip", "install", "--quiet", "--requirement", &text(&wanted)])?;
    let mut described = Command::new("cargo");
    described.args([&["test"], &server[..], &["--test", "described", "--", "--ignored"]].concat());
    described.current_dir(root());
    described.env("FALLAWAY_SCHEMATHESIS", folder.join("bin/schemathesis"));
    run_command(described)
}
