//! The real binary: streams, exit codes, folders that may not be written, readers that leave early.

// Helpers of tests fail loudly.
#![allow(clippy::panic, clippy::unwrap_used)]

use std::io::Read as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

fn fallaway(data: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_fallaway"));
    command
        .env("FALLAWAY_DATA", data)
        .env_remove("FALLAWAY_INSTRUMENT")
        .env_remove("FALLAWAY_MAX_PAGES")
        .stdin(Stdio::null());
    command
}

fn run(data: &Path, words: &[&str]) -> Output {
    fallaway(data).args(words).output().unwrap()
}

#[test]
fn help_is_an_answer_and_nonsense_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let help = run(folder.path(), &["--help"]);
    assert_eq!(help.status.code(), Some(0));
    assert!(String::from_utf8_lossy(&help.stdout).contains("Every day"));
    assert!(
        String::from_utf8_lossy(&run(folder.path(), &["commands"]).stdout).contains("At the bench")
    );
    assert_eq!(help.stderr.len(), 0);
    let nothing = run(folder.path(), &[]);
    assert_eq!(nothing.status.code(), Some(2));
    let nonsense = run(folder.path(), &["frobnicate"]);
    assert_eq!(nonsense.status.code(), Some(2));
    assert_eq!(nonsense.stdout.len(), 0);
}

#[test]
fn there_is_no_colour_off_a_terminal() {
    let folder = tempfile::tempdir().unwrap();
    run(folder.path(), &["add", "bass-4", "walnut four"]);
    for words in [&["show"][..], &["templates"], &["plan"], &["read", "relief", "x"]] {
        let output = run(folder.path(), words);
        assert!(!output.stdout.contains(&0x1b) && !output.stderr.contains(&0x1b), "{words:?}");
    }
}

#[test]
fn a_reader_that_leaves_early_is_no_panic() {
    let folder = tempfile::tempdir().unwrap();
    let mut child = fallaway(folder.path())
        .args(["completions", "bash"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut said = String::new();
    child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    let status = child.wait().unwrap();
    assert_eq!((status.code(), said.as_str()), (Some(0), ""));
}

#[test]
fn completions_know_the_commands() {
    let folder = tempfile::tempdir().unwrap();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let output = run(folder.path(), &["completions", shell]);
        assert_eq!(output.status.code(), Some(0), "{shell}");
        assert!(String::from_utf8_lossy(&output.stdout).contains("cross-out"), "{shell}");
    }
}

/// A copy of the binary where everybody may run it, and whether this is the superuser: then commands run as
/// the user that owns nothing.
#[cfg(unix)]
fn for_everybody(folder: &Path) -> (std::path::PathBuf, bool) {
    use std::fs;
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};

    let is_root = fs::metadata(folder).unwrap().uid() == 0;
    fs::set_permissions(folder, fs::Permissions::from_mode(0o755)).unwrap();
    // The binary may lie where that user may not look. Another process copies it: a file that this
    // one has open for writing, if only in a child of another test, cannot be run.
    let binary = folder.join("fallaway");
    let copied = Command::new("cp").arg(env!("CARGO_BIN_EXE_fallaway")).arg(&binary).status();
    assert!(copied.unwrap().success());
    (binary, is_root)
}

/// Runs it as that user.
#[cfg(unix)]
fn unprivileged(binary: &Path, is_root: bool, data: &Path, words: &[&str]) -> Output {
    use std::os::unix::process::CommandExt as _;

    let mut command = Command::new(binary);
    command.args(words).arg("--data").arg(data).stdin(Stdio::null()).current_dir("/");
    if is_root {
        command.uid(65_534).gid(65_534);
    }
    command.output().unwrap()
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_is_said() {
    use std::fs;
    use std::os::unix::fs::PermissionsExt as _;

    let folder = tempfile::tempdir().unwrap();
    let locked = folder.path().join("locked");
    fs::create_dir(&locked).unwrap();
    let (binary, is_root) = for_everybody(folder.path());
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).unwrap();
    let words = ["add", "bass-4", "walnut four"];
    let output = unprivileged(&binary, is_root, &locked.join("data"), &words);
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.contains("locked") || said.contains("ermission"), "{said}");
    assert!(fs::read_dir(&locked).unwrap().next().is_none());
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_only_be_read_is_read() {
    use std::fs;
    use std::os::unix::fs::PermissionsExt as _;

    let folder = tempfile::tempdir().unwrap();
    let (binary, is_root) = for_everybody(folder.path());
    let data = folder.path().join("data");
    fs::create_dir(&data).unwrap();
    fs::set_permissions(&data, fs::Permissions::from_mode(0o777)).unwrap();
    for words in [&["add", "bass-4", "one"][..], &["read", "relief", "0.3 mm"]] {
        let output = unprivileged(&binary, is_root, &data, words);
        assert!(output.status.success(), "{output:?}");
    }
    let only_read = |mode: u32, below: u32| {
        let keys = data.join("keys");
        for file in fs::read_dir(&data).unwrap().map(|one| one.unwrap().path()) {
            let mode = if file == keys { mode } else { below };
            fs::set_permissions(&file, fs::Permissions::from_mode(mode)).unwrap();
        }
        fs::set_permissions(&data, fs::Permissions::from_mode(mode)).unwrap();
    };
    only_read(0o555, 0o444);
    let shown = |words: &[&str]| unprivileged(&binary, is_root, &data, words);
    for words in [&["list"][..], &["card"], &["plan"], &["history"], &["show"], &["setup"]] {
        let output = shown(words);
        assert!(output.status.success(), "{words:?}: {output:?}");
        assert!(!output.stdout.is_empty(), "{words:?}");
    }
    let refused = shown(&["read", "relief", "0.2 mm"]);
    only_read(0o755, 0o644);
    assert_eq!(refused.status.code(), Some(1), "{refused:?}");
}

#[cfg(target_os = "linux")]
#[test]
fn output_that_cannot_be_written_is_a_failure() {
    let folder = tempfile::tempdir().unwrap();
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = fallaway(folder.path()).arg("templates").stdout(full).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("could not be written"));
}

#[cfg(unix)]
#[test]
fn entries_carry_the_offset_of_the_computers_zone() {
    let folder = tempfile::tempdir().unwrap();
    run(folder.path(), &["add", "bass-4", "walnut four"]);
    // POSIX zones count west of Greenwich: Nepal's time is 5:45 east of it.
    for (zone, offset) in [("NPT-5:45", "+05:45"), ("NST3:30", "-03:30"), ("UTC0", "+00:00")] {
        let noted =
            fallaway(folder.path()).env("TZ", zone).args(["remark", zone]).output().unwrap();
        assert_eq!(noted.status.code(), Some(0), "{noted:?}");
        let history = run(folder.path(), &["history", "--json"]);
        let text = String::from_utf8_lossy(&history.stdout).into_owned();
        assert!(text.contains(&format!("{offset}\"")), "{zone}: {text}");
    }
}

#[test]
fn the_environment_names_the_instrument_of_every_command() {
    let folder = tempfile::tempdir().unwrap();
    run(folder.path(), &["add", "bass-4", "walnut four"]);
    run(folder.path(), &["add", "guitar-6-short", "white six"]);
    let of = |name: &str, words: &[&str]| {
        let mut command = fallaway(folder.path());
        let output = command.env("FALLAWAY_INSTRUMENT", name).args(words).output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{words:?}: {output:?}");
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    for words in [&["show", "--json"][..], &["calc", "positions", "--json"], &["card"], &["plan"]] {
        assert_ne!(of("walnut four", words), "", "{words:?}");
    }
    for words in [&["show"][..], &["calc", "positions"], &["card"]] {
        assert_ne!(of("walnut four", words), of("white six", words), "{words:?}");
    }
    let mut unknown = fallaway(folder.path());
    let unknown = unknown.env("FALLAWAY_INSTRUMENT", "nobody's").args(["calc", "positions"]);
    assert_eq!(unknown.output().unwrap().status.code(), Some(1));
}
