//! The demo: two devices, one instrument, a winter.
//!
//! It runs the real commands in-process on two data folders, with a clock of its own, and prints
//! each as a person would type it. The data stays, so that a newcomer can go on from there.

mod stage;
mod story;

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use crate::env::{Env, RunApp};
use crate::error::{Error, Outcome};
use crate::messages::{app, demo as say};
use crate::render::{Printer, Style};
use crate::voice;
use stage::Stage;

/// Says that a folder was made by a demo and may be replaced by the next.
const MARKER: &str = "made-by-the-fallaway-demo";

/// What a demo leaves in its folder, besides the marker.
const LEFT: &[&str] = &[
    "tech",
    "player",
    "invitation.txt",
    "from-tech.fallaway",
    "from-player.fallaway",
    "player-1.fallaway",
    "player-2.fallaway",
    "tech-1.fallaway",
    "settled.fallaway",
    "winter.fallaway",
];

/// Plays the story into a folder.
///
/// # Errors
/// If the folder is not the demo's to replace, if a command of the story fails, or if the two
/// records differ at the end.
pub fn play(into: &Path, world: &mut Env<'_>, run: RunApp) -> Outcome {
    let folder = world.path(into);
    make_room(&folder, into)?;
    let mut stage = Stage::new(&folder, world, run);
    for beat in story::STORY {
        stage.play(beat)?;
    }
    let (tech, player) = (stage.state("tech")?, stage.state("player")?);
    if tech != player {
        return Err(Error::Refused(say::differ(&tech, &player)));
    }
    let program = world.program.clone();
    let mut printer = Printer::new(&mut *world.out, world.colour, world.width);
    printer.blank()?;
    printer.say(Style::Fine, &say::same(&tech))?;
    printer.blank()?;
    let data = into.join("tech");
    printer.line(&say::go_on())?;
    for command in ["card --large", "history --last 12", "learned", "forecast 20C 30%"] {
        printer.raw(&format!("  {program} {command} --data {}\n", data.display()))?;
    }
    printer.line(&say::your_own(&program))?;
    Ok(())
}

/// Makes the folder, or empties one that an earlier demo made.
fn make_room(folder: &Path, shown: &Path) -> Outcome {
    let marker = folder.join(MARKER);
    let is_empty = match fs::read_dir(folder) {
        Ok(mut inside) => inside.next().is_none(),
        Err(error) if error.kind() == ErrorKind::NotFound => true,
        Err(error) => return Err(Error::file(shown, app::cannot_read)(error)),
    };
    if !is_empty && !marker.is_file() {
        return Err(Error::Refused(say::not_from_demo(shown.display().to_string())));
    }
    for name in LEFT {
        let path = folder.join(name);
        let removed = match fs::symlink_metadata(&path) {
            Ok(found) if found.is_dir() => fs::remove_dir_all(&path),
            Ok(_) => fs::remove_file(&path),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
            Err(error) => Err(error),
        };
        removed.map_err(Error::file(shown, app::cannot_empty))?;
    }
    fs::create_dir_all(folder).map_err(Error::file(shown, app::cannot_make))?;
    fs::write(&marker, format!("{}\n", voice::say(&say::marker())))
        .map_err(Error::file(shown, app::cannot_write))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_of_somebody_else_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("tech")).unwrap();
        let refusal = make_room(folder.path(), Path::new("there")).unwrap_err();
        assert!(refusal.to_string().contains("--into"));
        assert!(folder.path().join("tech").is_dir());
    }

    #[test]
    fn a_demo_s_own_folder_is_emptied_of_what_it_left() {
        let folder = tempfile::tempdir().unwrap();
        let inside = folder.path().join("demo");
        make_room(&inside, &inside).unwrap();
        fs::create_dir(inside.join("tech")).unwrap();
        fs::write(inside.join("notes.txt"), "mine").unwrap();
        make_room(&inside, &inside).unwrap();
        assert!(!inside.join("tech").exists());
        assert!(inside.join("notes.txt").exists());
    }
}
