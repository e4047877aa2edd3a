//! Two devices in one network, as programs: one listens, the other comes.

// Helpers of tests fail loudly.
#![allow(clippy::panic, clippy::unwrap_used, clippy::indexing_slicing)]

use std::fs;
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Output, Stdio};

struct Device(PathBuf);

impl Device {
    fn named(folder: &Path, name: &str) -> Self {
        let device = Self(folder.join(name));
        device.ok(&["me", name]);
        device
    }

    fn command(&self, words: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_fallaway"));
        command
            .env("FALLAWAY_DATA", &self.0)
            .env_remove("FALLAWAY_INSTRUMENT")
            .env("LC_ALL", "C")
            .env_remove("LANGUAGE")
            .args(words)
            .stdin(Stdio::null());
        command
    }

    fn run(&self, words: &[&str]) -> Output {
        self.command(words).output().unwrap()
    }

    fn ok(&self, words: &[&str]) -> String {
        let ran = self.run(words);
        assert!(ran.status.success(), "{words:?}: {}", String::from_utf8_lossy(&ran.stderr));
        String::from_utf8(ran.stdout).unwrap()
    }

    /// Begins to listen, and tells what is to be typed on the other device.
    fn listen(&self) -> Listening {
        let mut command = self.command(&["meet", "--listen", "127.0.0.1:0"]);
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut line = String::new();
        while !line.contains("--code") {
            line.clear();
            assert!(out.read_line(&mut line).unwrap() > 0, "it ended: {:?}", child.wait());
        }
        let words: Vec<String> = line.split_whitespace().map(str::to_owned).collect();
        assert_eq!(words[..2], ["fallaway", "meet"]);
        Listening { child, out, words: words[1..].to_vec() }
    }
}

struct Listening {
    child: Child,
    out: BufReader<ChildStdout>,
    words: Vec<String>,
}

impl Listening {
    fn words(&self) -> Vec<&str> {
        self.words.iter().map(String::as_str).collect()
    }

    /// What it says from here on, when it ends well.
    fn rest(mut self) -> String {
        let mut said = String::new();
        self.out.read_to_string(&mut said).unwrap();
        assert!(self.child.wait().unwrap().success(), "{said}");
        said
    }
}

impl Drop for Listening {
    fn drop(&mut self) {
        // It has ended already, mostly.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn two_devices_meet_and_a_newcomer_joins_by_words_alone() {
    let folder = tempfile::tempdir().unwrap();
    let (tech, player) =
        (Device::named(folder.path(), "tech"), Device::named(folder.path(), "player"));
    tech.ok(&["add", "bass-5", "blue five"]);
    tech.ok(&["remark", "rattles at the sixth fret"]);
    let words = folder.path().join("words.txt");
    tech.ok(&["invite", "contributor", "--out", words.to_str().unwrap()]);

    let listening = tech.listen();
    let mut typed = listening.words();
    typed.extend(["--words", words.to_str().unwrap()]);
    let said = player.ok(&typed);
    assert!(said.contains("“blue five”: tech and this device have the same now"), "{said}");
    assert!(said.contains("1 remark") && !said.contains("not arrived yet"), "{said}");
    let said = listening.rest();
    assert!(said.contains("player has joined"), "{said}");

    player.ok(&["remark", "hums on stage"]);
    let listening = player.listen();
    // Other digits first: it goes on waiting.
    let mut wrong = listening.words();
    let digits = if wrong[3] == "000000" { "000001" } else { "000000" };
    wrong[3] = digits;
    let refused = tech.run(&wrong);
    assert_eq!(refused.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("digits"));
    let said = tech.ok(&listening.words());
    assert!(said.contains("from player: 1 remark"), "{said}");
    listening.rest();
    assert_eq!(tech.ok(&["history"]), player.ok(&["history"]));

    // Both know what the other has, until something is written that only one of them has.
    let known = tech.ok(&["people", "--known"]);
    let player_line = |known: &str| {
        known.lines().find(|line| line.trim_start().starts_with("player")).unwrap().to_owned()
    };
    assert!(player_line(&known).contains("has everything that is here"), "{known}");
    tech.ok(&["remark", "slot filed"]);
    tech.ok(&["bundle", "out", folder.path().join("all").to_str().unwrap()]);
    let known = tech.ok(&["people", "--known"]);
    assert!(player_line(&known).contains("has everything up to"), "{known}");
    fs::remove_file(words).unwrap();
}

#[test]
fn who_does_not_say_where_to_is_told_how_and_nobody_there_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let tech = Device::named(folder.path(), "tech");
    let how = tech.run(&["meet"]);
    assert_eq!(how.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&how.stderr).contains("meet --listen"));
    let nobody = tech.run(&["meet", "127.0.0.1:1", "--code", "123456"]);
    assert_eq!(nobody.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&nobody.stderr).contains("127.0.0.1:1"));
}
