//! The project's chores behind one command: `cargo tool <chore>`.
//!
//! `cargo tool check` runs what the project's check runs, in the same order.
#![forbid(unsafe_code)]

use std::process::{Command, ExitCode};

const HELP: &str = "\
Usage: cargo tool <chore>

  check   run the project's whole check (.ci/run): format, lints, documentation, tests, demo
  quick   format, lints and tests of the core only, for use while editing
  bench   every benchmark, release build
";

fn main() -> ExitCode {
    let chore = std::env::args().nth(1).unwrap_or_default();
    let steps: &[&[&str]] = match chore.as_str() {
        "check" => &[&["bash", ".ci/run"]],
        "quick" => &[
            &["cargo", "fmt", "--all", "--check"],
            &["cargo", "clippy", "--workspace", "--", "-D", "warnings"],
            &["cargo", "test", "--workspace", "--lib"],
        ],
        "bench" => &[&["cargo", "bench", "--workspace"]],
        _ => {
            eprint!("{HELP}");
            return ExitCode::from(2);
        }
    };
    for step in steps {
        let Some((program, arguments)) = step.split_first() else { continue };
        let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");
        match Command::new(program).args(arguments).current_dir(root).status() {
            Ok(status) if status.success() => {}
            Ok(status) => {
                eprintln!("{} ended with {status}", step.join(" "));
                return ExitCode::FAILURE;
            }
            Err(e) => {
                eprintln!("{program} cannot be started: {e}");
                return ExitCode::FAILURE;
            }
        }
    }
    ExitCode::SUCCESS
}
