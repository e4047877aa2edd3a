//! Running commands one after the other, loudly, until one fails.

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What went wrong, in a line for the person at the terminal.
pub type Outcome<T = ()> = Result<T, String>;

/// The root of the repository.
pub fn root() -> PathBuf {
    let tool = Path::new(env!("CARGO_MANIFEST_DIR"));
    tool.ancestors().nth(2).unwrap_or(tool).to_path_buf()
}

/// Where cargo puts what it builds: `CARGO_TARGET_DIR`, or `target` in the root.
pub fn target() -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(folder) => root().join(folder),
        None => root().join("target"),
    }
}

/// Deletes a folder with all that is in it, if it is there.
pub fn remove(folder: &Path) -> Outcome {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            Err(format!("{} cannot be deleted: {error}", folder.display()))
        }
        _ => Ok(()),
    }
}

/// Says what runs, runs it in the root, and fails if it does.
pub fn run<A: AsRef<OsStr>>(program: &str, arguments: &[A]) -> Outcome {
    run_in(&root(), program, arguments)
}

/// The same in another folder.
pub fn run_in<A: AsRef<OsStr>>(folder: &Path, program: &str, arguments: &[A]) -> Outcome {
    let mut command = Command::new(program);
    command.args(arguments).current_dir(folder);
    run_command(command)
}

/// Says what runs, runs it, and fails if it does.
pub fn run_command(mut command: Command) -> Outcome {
    let mut said = command.get_program().to_string_lossy().into_owned();
    for argument in command.get_args() {
        said.push(' ');
        said.push_str(&argument.to_string_lossy());
    }
    eprintln!("+ {said}");
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("{said} ended with {status}")),
        Err(error) => Err(format!("{said} cannot be started: {error}")),
    }
}

/// Runs a command quietly and gives what it printed.
pub fn output(command: &mut Command) -> Outcome<String> {
    let program = command.get_program().to_string_lossy().into_owned();
    let output = command.output().map_err(|error| format!("{program}: {error}"))?;
    if output.status.success() {
        Ok(String::from_utf8_lossy(&output.stdout).into_owned())
    } else {
        Err(format!("{program} ended with {}", output.status))
    }
}

/// Where Rust keeps the tools of LLVM that it brings for this machine.
pub fn rusts_own_tools() -> Outcome<PathBuf> {
    let say = |what| output(Command::new("rustc").args(["--print", what]));
    let (sysroot, host) = (say("sysroot")?, say("host-tuple")?);
    Ok(Path::new(sysroot.trim()).join("lib/rustlib").join(host.trim()).join("bin"))
}
