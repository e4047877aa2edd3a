//! A relay for the tests of a language: the program itself, on this machine, as long as the tests run.

use std::fs;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::steps::{Outcome, remove, run, target};

/// What `cargo tool test relay` builds too.
const BUILD: [&str; 7] =
    ["build", "--package", "fallaway-relay", "--features", "postgres", "--bin", "fallaway-relay"];

/// Longer than it takes to start.
const PATIENCE: Duration = Duration::from_mins(1);

/// One that runs until this is dropped.
pub struct RunningRelay {
    child: Child,
    /// `http://127.0.0.1:…`
    pub address: String,
}

impl RunningRelay {
    /// Builds it and starts it on a port of its own choice, with an empty folder.
    pub fn start(language: &str) -> Outcome<Self> {
        run("cargo", &BUILD)?;
        let folder = target().join("bindings").join(format!("{language}-relay"));
        remove(&folder)?;
        fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
        let journal = folder.join("journal");
        let said = fs::File::create(&journal).map_err(|error| error.to_string())?;
        let mut program = Command::new(target().join("debug/fallaway-relay"));
        program.arg("serve").arg("--data").arg(folder.join("data"));
        program.args(["--listen", "127.0.0.1:0", "--new-logs", "10000"]);
        let child = program.stdin(Stdio::null()).stderr(said).spawn();
        let child = child.map_err(|error| format!("the relay cannot be started: {error}"))?;
        let mut relay = Self { child, address: String::new() };
        relay.address = relay.listening(&journal)?;
        Ok(relay)
    }

    /// The address, which its journal says.
    fn listening(&mut self, journal: &PathBuf) -> Outcome<String> {
        let began = Instant::now();
        loop {
            let said = fs::read_to_string(journal).map_err(|error| error.to_string())?;
            let line = said.lines().find(|line| line.contains("\"listening\""));
            let address = line.and_then(|line| line.split_once("\"address\":\""));
            if let Some((address, _)) = address.and_then(|(_, rest)| rest.split_once('"')) {
                return Ok(format!("http://{address}"));
            }
            let ended = self.child.try_wait().map_err(|error| error.to_string())?;
            if ended.is_some() || began.elapsed() > PATIENCE {
                return Err(format!("the relay does not listen: {said}"));
            }
            sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for RunningRelay {
    fn drop(&mut self) {
        // It has ended already, perhaps.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
