//! A scripted day in one workshop on disk, for tests that end the process in the middle of it.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use fallaway::record::SpecField;
use fallaway::sync::{HttpRequest, HttpResponse, HttpTransport, NoAnswer, SyncOutcome};
use fallaway::{
    Error, HistoryFilter, Instrument, Result, Role, Workshop, WorkshopOptions, WriteOptions,
};
use fallaway_relay::{Desk, Engine, Policy, Quotas, ShelvesError};

use crate::work;
use crate::world::{HandClock, Seeded};

const MORNING: i64 = 1_780_300_000;
/// Sealed changes in the prepared store, which is not paused: the day's first seal makes a compaction
/// due.
const SEALED_BEFORE: i64 = 63;

/// Where a day takes place.
#[derive(Debug, Clone)]
pub struct Place {
    /// The workshop's folder.
    pub store: PathBuf,
    /// What a player sends during the day.
    pub post: PathBuf,
    /// The folder of the relay: another computer, which is not killed.
    pub relay: PathBuf,
}

/// A relay without a network between.
struct Straight(Desk);

impl HttpTransport for Straight {
    fn send(&self, request: &HttpRequest) -> std::result::Result<HttpResponse, NoAnswer> {
        Ok(self.0.answer(request, MORNING))
    }
}

impl Place {
    /// Inside a folder.
    pub fn within(folder: &Path) -> Self {
        let inside = |name| folder.join(name);
        Self { store: inside("store"), post: inside("post"), relay: inside("relay") }
    }

    fn exchange(&self, one: &Instrument) -> Result<()> {
        let engine = loop {
            match Engine::in_folder(&self.relay, Quotas::default()) {
                // A child that another test starts holds every open lock until it is a program.
                Err(ShelvesError::Busy) => std::thread::yield_now(),
                opened => break opened.unwrap(),
            }
        };
        let http = Straight(Desk::new(Arc::new(engine), Policy::default()));
        let report = one.sync(&http)?;
        assert_eq!(report.outcome, SyncOutcome::UpToDate);
        Ok(())
    }

    /// The workshop of this place. The clock and the random bytes repeat.
    ///
    /// # Errors
    /// What [`Workshop::open`] answers.
    pub fn open(&self, clock: &HandClock, seed: u64) -> Result<Workshop> {
        Workshop::open(WorkshopOptions {
            clock: Box::new(clock.clone()),
            random: Box::new(Seeded::new(seed)),
            ..WorkshopOptions::new(&self.store, "tech")
        })
    }

    /// A copy of the store and of the relay in another folder. The post is shared.
    #[must_use]
    pub fn copy(&self, folder: &Path) -> Self {
        let to = Self { post: self.post.clone(), ..Self::within(folder) };
        copy(&self.store, &to.store);
        copy(&self.relay, &to.relay);
        to
    }
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for item in fs::read_dir(from).unwrap() {
        let item = item.unwrap();
        let to = to.join(item.file_name());
        if item.file_type().unwrap().is_dir() {
            copy(&item.path(), &to);
        } else {
            fs::copy(item.path(), to).unwrap();
        }
    }
}

/// Makes the store as it is in the morning, and the player's bundle that arrives in the afternoon.
pub fn prepare(place: &Place) {
    fs::create_dir_all(&place.post).unwrap();
    let clock = HandClock::at(MORNING - 100 * 86_400);
    let tech = place.open(&clock, 1).unwrap();
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    bass.set_target(&"stage".parse().unwrap(), &work::target(None, 20, 0), None).unwrap();
    let player =
        Workshop::in_memory("player", Box::new(clock.clone()), Box::new(Seeded::new(2))).unwrap();
    let invitation = bass.invite(Role::Contributor, 9).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    for number in 0..SEALED_BEFORE - 1 {
        clock.wind(86_400);
        bass.begin_visit(None, None).unwrap();
        bass.add_pass(work::relief_pass(8 + number % 5), WriteOptions::sure()).unwrap();
        bass.end_visit(None, None).unwrap();
    }
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    theirs.set_target(&"stage".parse().unwrap(), &work::target(None, 30, 0), None).unwrap();
    theirs.add_remark(work::remark("buzzes in the cold"), None).unwrap();
    theirs.set_spec(&SpecField::About("second pickup hums".into()), None).unwrap();
    fs::write(place.post.join("bundle"), theirs.bundle_out().unwrap().file).unwrap();
    bass.set_relay(Some("https://relay.example")).unwrap();
    place.exchange(&bass).unwrap();
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    theirs.add_remark(work::remark("tried at the rehearsal"), None).unwrap();
    place.exchange(&theirs).unwrap();
}

type Step = fn(&Workshop, &Place) -> Result<()>;

/// The day: each step is one call whose effect must be whole, or not there.
pub const DAY: [(&str, Step); 19] = [
    ("a second instrument", |w, _| w.add_instrument("guitar-6", "loan").map(drop)),
    ("a visit", |w, _| w.instrument_named("stage")?.begin_visit(Some("rattles"), None).map(drop)),
    ("an adjustment", |w, _| {
        w.instrument_named("stage")?.add_adjustment(work::rod(2), None).map(drop)
    }),
    ("a pass", |w, _| {
        w.instrument_named("stage")?
            .add_pass(work::relief_pass(12), WriteOptions::sure().by("tech"))
            .map(drop)
    }),
    ("another pass", |w, _| {
        w.instrument_named("stage")?
            .add_pass(work::action_pass("5 5 5 6"), WriteOptions::sure())
            .map(drop)
    }),
    ("a slip", |w, _| {
        w.instrument_named("stage")?.add_remark(work::remark("slip"), None).map(drop)
    }),
    ("the slip erased", |w, _| {
        let bass = w.instrument_named("stage")?;
        let slip = bass.history(&HistoryFilter { last: Some(1), ..HistoryFilter::default() })?;
        slip.iter().try_for_each(|one| bass.retract(one.entry.id, "", None).map(drop))
    }),
    ("a setup", |w, _| w.instrument_named("stage")?.take_setup("stage", None, None).map(drop)),
    ("another target", |w, _| {
        w.instrument_named("stage")?.set_target(
            &"stage".parse().unwrap(),
            &work::target(None, 25, 0),
            None,
        )
    }),
    ("the visit's end", |w, _| w.instrument_named("stage")?.end_visit(None, None)),
    ("an entry crossed out", |w, _| {
        let bass = w.instrument_named("stage")?;
        let all = bass.history(&HistoryFilter::default())?;
        let pass = all.iter().find(|one| one.entry.visit.is_some());
        let pass = pass.ok_or(Error::Closed)?;
        bass.retract(pass.entry.id, "wrong leaf", None).map(drop)
    }),
    ("an invitation", |w, _| w.instrument_named("stage")?.invite(Role::Viewer, 9).map(drop)),
    ("a bundle out", |w, place| {
        let bass = w.instrument_named("stage")?;
        let unsent = bass.bundle_unsent()?.ok_or(Error::Closed)?;
        bass.delivered(&unsent.token)?;
        // Handed over: what the test compares is the store.
        fs::write(place.post.join(format!("out of {}", std::process::id())), unsent.file)
            .map_err(|e| Error::Storage { reason: e.to_string().into() })
    }),
    ("a bundle in", |w, place| {
        let bytes = fs::read(place.post.join("bundle"))
            .map_err(|e| Error::Storage { reason: e.to_string().into() })?;
        let report = w.bundle_in(&bytes)?;
        assert_eq!(report.newly_contested.len(), 1, "{report:?}");
        Ok(())
    }),
    ("an exchange with the relay", |w, place| place.exchange(&w.instrument_named("stage")?)),
    ("a settled target", |w, _| {
        let bass = w.instrument_named("stage")?;
        let contested = bass.contested()?;
        contested.iter().try_for_each(|one| bass.settle(one, 0, None))
    }),
    ("a fact", |w, _| w.instrument_named("loan")?.set_spec(&SpecField::Pickups(2), None)),
    ("another exchange, which only sends", |w, place| {
        place.exchange(&w.instrument_named("stage")?)
    }),
    ("the evening", |w, _| w.pause()),
];

/// Works through the day and tells after each step that it returned.
///
/// # Errors
/// The first error of a step.
pub fn live(place: &Place, returned: impl Fn(&str)) -> Result<()> {
    let clock = HandClock::at(MORNING);
    let workshop = place.open(&clock, 3)?;
    for (name, step) in DAY {
        clock.wind(60);
        step(&workshop, place)?;
        returned(name);
    }
    Ok(())
}

/// What the store holds after each step, before the first one at place 0.
pub fn expected(place: &Place) -> Vec<String> {
    let clock = HandClock::at(MORNING);
    let workshop = place.open(&clock, 3).unwrap();
    let mut held = vec![dump(&workshop)];
    for (_, step) in DAY {
        clock.wind(60);
        step(&workshop, place).unwrap();
        held.push(dump(&workshop));
    }
    held
}

/// Everything that people wrote. Whether it is a draft or a change is the library's own matter.
pub fn dump(workshop: &Workshop) -> String {
    let mut text = String::new();
    for summary in workshop.instruments().unwrap() {
        let one = workshop.instrument(summary.id).unwrap();
        let view = one.details().unwrap();
        writeln!(text, "{} {} {:?}", summary.id, summary.name, view.spec).unwrap();
        assert_eq!(one.name().unwrap(), summary.name);
        for person in &view.people {
            writeln!(text, "{} {}", person.label, person.role).unwrap();
        }
        writeln!(text, "open: {:?}", view.open_visit).unwrap();
        for setup in one.setups().unwrap() {
            writeln!(text, "{setup:?}").unwrap();
        }
        let contested = one.contested().unwrap();
        assert_eq!(contested.len(), summary.contested);
        for field in contested {
            let values = field.versions.into_iter().map(|v| (v.device, v.shown.to_string()));
            let values: BTreeMap<_, _> = values.collect();
            writeln!(text, "{}: {values:?}", field.field).unwrap();
        }
        for entry in one.history(&HistoryFilter::default()).unwrap() {
            let (retracted, replaced) = (entry.retracted, entry.replaced_by);
            writeln!(text, "{:?} {retracted:?} {replaced:?}", entry.entry).unwrap();
        }
        for line in one.card(None).unwrap().lines {
            writeln!(text, "{line:?}").unwrap();
        }
    }
    text
}

/// The work of the next day: it must go on whatever happened. Returns what it wrote.
pub fn next_day(place: &Place) -> String {
    let clock = HandClock::at(MORNING + 2 * 86_400);
    let workshop = place.open(&clock, 4).unwrap();
    assert_eq!(workshop.notices().unwrap(), []);
    let bass = workshop.instrument_named("stage").unwrap();
    bass.begin_visit(None, None).unwrap();
    bass.add_pass(work::relief_pass(11), WriteOptions::sure().by("next day")).unwrap();
    bass.end_visit(None, None).unwrap();
    // The player's bundle once more: all of it is here, or comes in now.
    workshop.bundle_in(&fs::read(place.post.join("bundle")).unwrap()).unwrap();
    let history = bass.history(&HistoryFilter::default()).unwrap();
    assert!(history.iter().any(|one| one.entry.by.as_deref() == Some("next day")));
    assert!(history.iter().all(|one| !one.draft));
    workshop.shut_down().unwrap();
    let again = place.open(&clock, 5).unwrap();
    let bass = again.instrument_named("stage").unwrap();
    let view = bass.details().unwrap();
    assert_eq!((view.waiting, view.set_aside), (0, 0));
    // Whatever was cut off: the relay has everything after one exchange, and nothing twice.
    place.exchange(&bass).unwrap();
    assert_eq!(bass.relay().unwrap().unwrap().waiting, 0);
    let heard = bass.history(&HistoryFilter::default()).unwrap();
    let heard = heard.iter().filter(|one| format!("{:?}", one.entry).contains("at the rehearsal"));
    assert_eq!(heard.count(), 1);
    dump(&again)
}

/// A newcomer gets the whole record from what is left, and sees the same: by file, and by the relay.
pub fn share(place: &Place) {
    let clock = HandClock::at(MORNING + 3 * 86_400);
    let workshop = place.open(&clock, 6).unwrap();
    let bass = workshop.instrument_named("stage").unwrap();
    let newcomer =
        Workshop::in_memory("newcomer", Box::new(clock.clone()), Box::new(Seeded::new(7))).unwrap();
    let invitation = bass.invite(Role::Contributor, 9).unwrap();
    let theirs = newcomer.accept(&invitation.words, &invitation.welcome).unwrap();
    let report = newcomer.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    assert!(report.refused.is_empty() && report.waiting == 0, "{report:?}");
    workshop.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    assert_eq!(work::told(&bass), work::told(&theirs));
    let remote =
        Workshop::in_memory("remote", Box::new(clock.clone()), Box::new(Seeded::new(9))).unwrap();
    let invitation = bass.invite(Role::Contributor, 9).unwrap();
    place.exchange(&bass).unwrap();
    let theirs = remote.accept(&invitation.words, &invitation.welcome).unwrap();
    for one in [&theirs, &bass, &theirs] {
        place.exchange(one).unwrap();
    }
    assert_eq!(work::told(&bass), work::told(&theirs));
}
