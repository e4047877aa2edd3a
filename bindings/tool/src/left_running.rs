//! Whether what a page's commands started is still there after they ended: a compiler that stays behind
//! for the next build, say.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::steps::Outcome;

/// The variable by which a process is known, with all that it starts.
const MARK: &str = "FALLAWAY_STARTED_FOR";

/// Marks a command, and with it all that it starts, by the folder that it works on.
pub fn mark(command: &mut Command, folder: &Path) {
    command.env(MARK, folder);
}

/// Fails if something that was marked with this folder is running. Knows nothing where there is no
/// `/proc`.
pub fn nothing(folder: &Path) -> Outcome {
    let mark = format!("{MARK}={}", folder.display());
    let running = fs::read_dir("/proc").into_iter().flatten().flatten().filter_map(|process| {
        let told = |name| fs::read(process.path().join(name)).unwrap_or_default();
        let marked = told("environ").split(|byte| *byte == 0).any(|one| one == mark.as_bytes());
        // One that has ended and was not yet collected has no command line.
        let line = String::from_utf8_lossy(&told("cmdline")).replace('\0', " ");
        (marked && !line.is_empty()).then_some(line)
    });
    let running: Vec<String> = running.collect();
    if running.is_empty() {
        return Ok(());
    }
    Err(format!("what was run in {} left running: {}", folder.display(), running.join("; ")))
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;
    use std::io::{Read as _, Write as _};
    use std::process::Stdio;

    #[test]
    fn what_stays_behind_is_found_and_what_has_ended_is_not() {
        let folder = std::env::temp_dir().join(format!("fallaway-marked-{}", std::process::id()));
        let mut command = Command::new("cat");
        command.stdin(Stdio::piped()).stdout(Stdio::piped());
        mark(&mut command, &folder);
        let mut running = command.spawn().unwrap();
        // Once it has said something it is what it was started as, with its environment.
        running.stdin.as_mut().unwrap().write_all(b"x").unwrap();
        running.stdout.as_mut().unwrap().read_exact(&mut [0]).unwrap();
        assert!(nothing(&folder).unwrap_err().contains("cat"));
        nothing(&folder.join("another")).unwrap();
        running.kill().unwrap();
        running.wait().unwrap();
        nothing(&folder).unwrap();
    }
}
