//! Chores of the Rust side alone.

use crate::steps::{Outcome, run};

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

/// The relay as a program: its network is built and tested here only. Needs PostgreSQL's programs.
pub fn relay() -> Outcome {
    let server = ["--package", "fallaway-relay", "--features", "postgres"];
    run("cargo", &[&["clippy"], &server[..], &["--all-targets", "--", "-D", "warnings"]].concat())?;
    run("cargo", &[&["test"], &server[..]].concat())
}
