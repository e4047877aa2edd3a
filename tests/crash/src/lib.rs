#![forbid(unsafe_code)]
#![cfg(target_os = "linux")]
//! Kills a program at each of its writes.
//!
//! A small library in C is loaded before the C library of the program under test; it counts the
//! calls that change files under one folder and ends the program at a chosen one, as a kill (before
//! the call or halfway through it) or a power cut (with everything unsynced undone) would. The test
//! then opens the folder and compares what it finds with what the program had acknowledged.
//!
//! Needs `cc`, and says so loudly where there is none.

use std::ffi::OsStr;
use std::io;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// What a line of the program's output begins with when it acknowledges a step.
const ACKNOWLEDGED: &str = "acknowledged ";

/// The exit code of a program that was ended.
const ENDED: i32 = 137;

/// How the program ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// Killed before the call.
    Before,
    /// Killed with half of the write done.
    Torn,
    /// Power cut before the call: every write since the last sync of its file is undone.
    Lost,
    /// Not at all: from this call on the disk is full.
    Full,
}

impl How {
    fn word(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::Torn => "torn",
            Self::Lost => "lost",
            Self::Full => "full",
        }
    }
}

/// What a run of the program left.
#[derive(Debug)]
pub struct Run {
    /// Whether the program was ended at the chosen call; false when it ran to its end first.
    pub ended: bool,
    /// What it acknowledged, in order.
    pub acknowledged: Vec<String>,
    /// Everything that it printed, for the message of a failed test.
    pub output: Output,
}

/// The compiled library.
#[derive(Debug, Clone)]
pub struct Shim {
    library: PathBuf,
}

impl Shim {
    /// Compiles the library into this folder (not the one under test).
    ///
    /// # Errors
    /// When there is no `cc`, or it fails.
    pub fn build(folder: &Path) -> io::Result<Self> {
        let source = folder.join("shim.c");
        let library = folder.join("shim.so");
        std::fs::write(&source, include_str!("shim.c"))?;
        let made = Command::new("cc")
            .args(["-shared", "-fPIC", "-O1"])
            .arg("-o")
            .args([&library, &source])
            .arg("-ldl")
            .output()
            .map_err(|error| io::Error::other(format!("the crash tests need cc: {error}")))?;
        if made.status.success() {
            Ok(Self { library })
        } else {
            let said = String::from_utf8_lossy(&made.stderr).into_owned();
            Err(io::Error::other(format!("cc failed on the crash library: {said}")))
        }
    }

    /// Runs the program until its `at`-th call (counted from 1) that changes a file under `folder`.
    ///
    /// # Errors
    /// When the program cannot be run, or ends in a way that was not asked for.
    pub fn run(&self, mut program: Command, folder: &Path, at: u64, how: How) -> io::Result<Run> {
        let output = program
            .env("LD_PRELOAD", &self.library)
            .env("FALLAWAY_CRASH_FOLDER", folder.canonicalize()?)
            .env("FALLAWAY_CRASH_AT", at.to_string())
            .env("FALLAWAY_CRASH_HOW", how.word())
            .stdin(Stdio::null())
            .output()?;
        let ended = output.status.code() == Some(ENDED);
        if !ended && !output.status.success() {
            return Err(io::Error::other(format!("the program failed: {output:?}")));
        }
        let acknowledged = String::from_utf8_lossy(&output.stdout)
            .lines()
            .filter_map(|line| line.split_once(ACKNOWLEDGED))
            .map(|(_, step)| step.to_owned())
            .collect();
        Ok(Run { ended, acknowledged, output })
    }
}

/// Says that a step has been done for good. For the program under test.
pub fn acknowledge(step: &str) {
    use io::Write as _;
    let mut out = io::stdout().lock();
    // If nobody listens, nobody compares.
    let _ = writeln!(out, "{ACKNOWLEDGED}{step}").and_then(|()| out.flush());
}

/// The running test program once more, with only this test, which sees the variable.
///
/// # Errors
/// When the program's own path cannot be found.
pub fn child(test: &str, variable: &str, value: impl AsRef<OsStr>) -> io::Result<Command> {
    let mut command = Command::new(std::env::current_exe()?);
    command.args(["--exact", test, "--nocapture", "--test-threads=1"]).env(variable, value);
    Ok(command)
}
