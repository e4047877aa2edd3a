//! What the library tells an app: changes, progress, lines for a log.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use std::ops::ControlFlow;
use std::sync::{Arc, Mutex};

use common::{news, relief_pass, told, workshop};
use fallaway::record::Remark;
use fallaway::{
    ChangeListener, Error, InstrumentId, LogLevel, LogSink, ProgressListener, Role, Workshop,
    WorkshopOptions,
};

fn remark(text: &str) -> Remark {
    Remark { text: text.into(), ..Remark::default() }
}

/// Writes down what it is told, and looks at the instrument as it is told.
struct Looking {
    workshop: Workshop,
    told: Mutex<Vec<(InstrumentId, usize)>>,
}

impl ChangeListener for Looking {
    fn changed(&self, instruments: &[InstrumentId]) {
        for id in instruments {
            let entries = self.workshop.instrument(*id).and_then(|one| {
                // The change is there, and the workshop can be used.
                one.history(&fallaway::HistoryFilter::default())
            });
            self.told.lock().unwrap().push((*id, entries.map_or(0, |all| all.len())));
        }
    }
}

#[test]
fn a_listener_is_told_after_each_change_and_may_use_the_workshop() {
    let tech = workshop("tech", 1);
    let looking = Arc::new(Looking { workshop: tech.clone(), told: Mutex::default() });
    let listening = tech.listen(looking.clone()).unwrap();
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    bass.add_remark(remark("one"), None).unwrap();
    bass.add_remark(remark("two"), None).unwrap();
    // Reading tells nothing, and what was refused tells nothing.
    bass.card(None).unwrap();
    bass.add_remark(remark(""), None).unwrap_err();
    let id = bass.id();
    assert_eq!(*looking.told.lock().unwrap(), [(id, 0), (id, 1), (id, 2)]);

    listening.cancel();
    listening.cancel();
    bass.add_remark(remark("three"), None).unwrap();
    assert_eq!(looking.told.lock().unwrap().len(), 3);
}

#[test]
fn a_workshop_that_is_shut_down_holds_no_listener() {
    let tech = workshop("tech", 1);
    let looking = Arc::new(Looking { workshop: tech.clone(), told: Mutex::default() });
    tech.listen(looking.clone()).unwrap();
    assert_eq!(Arc::strong_count(&looking), 2);
    tech.shut_down().unwrap();
    assert_eq!(Arc::strong_count(&looking), 1);
}

#[test]
fn a_merge_is_told_once_with_the_instrument() {
    let (tech, player) = (workshop("tech", 1), workshop("player", 2));
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    let looking = Arc::new(Looking { workshop: player.clone(), told: Mutex::default() });
    player.listen(looking.clone()).unwrap();
    bass.add_remark(remark("one"), None).unwrap();
    bass.add_remark(remark("two"), None).unwrap();
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    assert_eq!(*looking.told.lock().unwrap(), [(theirs.id(), 2)]);
}

struct Panicking;

impl ChangeListener for Panicking {
    fn changed(&self, _: &[InstrumentId]) {
        panic!("a listener of the app fails");
    }
}

#[test]
fn a_listener_that_panics_does_no_harm_to_anybody_else() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    tech.listen(Arc::new(Panicking)).unwrap();
    let looking = Arc::new(Looking { workshop: tech.clone(), told: Mutex::default() });
    tech.listen(looking.clone()).unwrap();
    bass.add_remark(remark("one"), None).unwrap();
    assert_eq!(*looking.told.lock().unwrap(), [(bass.id(), 1)]);
}

/// Stops at a step, and calls the workshop from where it must not.
struct Stopping<'a> {
    at: u64,
    workshop: &'a Workshop,
    seen: Mutex<Vec<(u64, u64)>>,
}

impl ProgressListener for Stopping<'_> {
    fn at(&self, done: u64, total: u64) -> ControlFlow<()> {
        self.seen.lock().unwrap().push((done, total));
        assert!(matches!(self.workshop.instruments(), Err(Error::Busy { .. })));
        if done == self.at { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

#[test]
fn what_is_stopped_leaves_things_as_they_were() {
    let (tech, player) = (workshop("tech", 1), workshop("player", 2));
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    bass.add_pass(relief_pass("12"), Some("tech")).unwrap();

    let stop = Stopping { at: 2, workshop: &tech, seen: Mutex::default() };
    assert_eq!(bass.bundle_unsent_watched(&stop), Err(Error::Cancelled));
    let (_, total) = stop.seen.lock().unwrap()[0];
    assert_eq!(*stop.seen.lock().unwrap(), [(1, total), (2, total)]);
    // What was stopped was not sent: the next bundle carries it.
    let bundle = news(&bass);

    let before = told(&theirs);
    let stop = Stopping { at: total, workshop: &player, seen: Mutex::default() };
    assert_eq!(player.bundle_in_watched(&bundle, &stop), Err(Error::Cancelled));
    assert_eq!(told(&theirs), before);
    let watch = Stopping { at: 0, workshop: &player, seen: Mutex::default() };
    player.bundle_in_watched(&bundle, &watch).unwrap();
    assert_eq!(watch.seen.lock().unwrap().last(), Some(&(total, total)));
    assert_eq!(theirs.details().unwrap().history_digest, bass.details().unwrap().history_digest);
}

#[derive(Default)]
struct Lines(Arc<Mutex<Vec<(LogLevel, String)>>>);

impl LogSink for Lines {
    fn log(&self, level: LogLevel, line: &str) {
        self.0.lock().unwrap().push((level, line.to_owned()));
    }
}

#[test]
fn the_log_tells_what_happened_and_names_nobody() {
    let folder = tempfile::tempdir().unwrap();
    let lines = Lines::default();
    let kept = Arc::clone(&lines.0);
    let mut options = WorkshopOptions::new(folder.path(), "player");
    options.log = Some(Box::new(lines));
    let player = Workshop::open(options).unwrap();
    let now = player.add_instrument("bass-4", "other").unwrap();
    now.add_remark(remark("secret words"), None).unwrap();
    // Bytes that are no bundle are refused.
    player.bundle_in(b"no bundle").unwrap_err();
    player.shut_down().unwrap();
    let kept = kept.lock().unwrap();
    let text: Vec<&str> = kept.iter().map(|(_, line)| line.as_str()).collect();
    assert_eq!(text.first(), Some(&"opened: 0 records"));
    assert_eq!(text.last(), Some(&"shut down"));
    for private in ["other", "secret words", "player"] {
        assert!(!text.iter().any(|line| line.contains(private)), "{private}: {text:?}");
    }
}
