//! What the library tells an app: changes, lines for a log; and an app's own clock and randomness.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing)]

mod common;

use std::sync::{Arc, Mutex};

use common::{carry, options, share, target, workshop};
use fallaway_ffi::{
    ChangeListener, ForeignError, InstrumentId, LogLevel, LogSink, Moment, RandomSource, Role,
    TimeSource, Workshop,
};

/// Reads the instrument's name whenever it is told, and then throws if it is to.
struct Looking {
    workshop: Arc<Workshop>,
    told: Mutex<Vec<String>>,
    throws: bool,
}

impl ChangeListener for Looking {
    fn changed(&self, instruments: Vec<InstrumentId>) -> Result<(), ForeignError> {
        for id in instruments {
            let instrument = self.workshop.instrument(id).unwrap();
            self.told.lock().unwrap().push(instrument.name().unwrap());
        }
        if self.throws {
            return Err(uniffi::UnexpectedUniFFICallbackError::new("out of luck").into());
        }
        Ok(())
    }
}

#[derive(Default)]
struct Lines(Mutex<Vec<(LogLevel, String)>>);

impl LogSink for Lines {
    fn log(&self, level: LogLevel, line: String) -> Result<(), ForeignError> {
        self.0.lock().unwrap().push((level, line));
        Err(ForeignError::Failed { reason: "nobody is told of this".to_owned() })
    }
}

#[test]
fn a_listener_is_told_until_it_is_cancelled_and_may_throw() {
    let folder = tempfile::tempdir().unwrap();
    let lines = Arc::new(Lines::default());
    let sink: Arc<dyn LogSink> = Arc::clone(&lines) as _;
    let open = Workshop::open(options(folder.path(), "tech"), None, Some(sink), None, None);
    let tech = Arc::new(open.unwrap());
    let looking = |throws| {
        let workshop = Arc::clone(&tech);
        Arc::new(Looking { workshop, told: Mutex::default(), throws })
    };
    let (calm, throwing) = (looking(false), looking(true));
    let first = tech.listen(Arc::clone(&calm) as _).unwrap();
    let second = tech.listen(Arc::clone(&throwing) as _).unwrap();
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    bass.add_remark("one".to_owned(), None, None, None).unwrap();
    assert_eq!(*calm.told.lock().unwrap(), ["walnut bass", "walnut bass"]);
    assert_eq!(*throwing.told.lock().unwrap(), ["walnut bass", "walnut bass"]);
    first.cancel();
    first.cancel();
    // To drop the place does not end it.
    drop(second);
    bass.add_remark("two".to_owned(), None, None, None).unwrap();
    assert_eq!(calm.told.lock().unwrap().len(), 2);
    assert_eq!(throwing.told.lock().unwrap().len(), 3);

    let lines = lines.0.lock().unwrap();
    let failed = lines
        .iter()
        .filter(|(level, line)| *level == LogLevel::Warning && line.contains("out of luck"));
    assert_eq!(failed.count(), 3);
    assert!(lines.iter().all(|(_, line)| !line.contains("walnut")), "{lines:?}");
}

struct Fixed;

impl TimeSource for Fixed {
    fn now(&self) -> Result<Moment, ForeignError> {
        Ok(Moment { unix_s: 1_780_000_000, offset_min: 120 })
    }
}

impl RandomSource for Fixed {
    fn draw(&self, count: u32) -> Result<Vec<u8>, ForeignError> {
        Ok(vec![7; usize::try_from(count).unwrap_or_default()])
    }
}

#[test]
fn time_and_randomness_can_be_given() {
    let open =
        || Workshop::in_memory("tech", Some(Arc::new(Fixed)), Some(Arc::new(Fixed))).unwrap();
    let (one, other) = (open(), open());
    assert_eq!(one.device(), other.device());
    assert_ne!(one.device(), workshop("tech").device());
    let bass = one.add_instrument("bass-4", "walnut bass").unwrap();
    let id = bass.add_remark("one".to_owned(), None, None, None).unwrap();
    let at = bass.entry(id).unwrap().at;
    assert_eq!(at, Moment { unix_s: 1_780_000_000, offset_min: 120 });
}

/// Two hours east of UTC, whose bytes differ from those of another device.
struct Elsewhere;

impl TimeSource for Elsewhere {
    fn now(&self) -> Result<Moment, ForeignError> {
        Ok(Moment { unix_s: 1_780_000_000, offset_min: 120 })
    }
}

/// A person reads what a clock on the wall would show.
#[test]
fn times_of_contested_values_and_invitations_are_told_by_the_device_s_own_clock() {
    let open = |label| Workshop::in_memory(label, Some(Arc::new(Elsewhere)), None).unwrap();
    let (tech, player) = (open("tech"), open("player"));
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let theirs = share(&tech, &bass, &player, Role::Contributor);
    let stage = || "stage".parse().unwrap();
    bass.set_target(stage(), target(4, "2 mm"), None).unwrap();
    theirs.set_target(stage(), target(4, "3 mm"), None).unwrap();
    carry(&theirs, &tech);
    let contested = bass.contested().unwrap();
    let versions = &contested.iter().find(|field| field.versions.len() > 1).unwrap().versions;
    assert!(versions.iter().all(|one| one.at.offset_min == 120), "{versions:?}");
    let invitation = bass.invite(Role::Viewer, 1).unwrap();
    assert_eq!(invitation.expires, Moment { unix_s: 1_780_086_400, offset_min: 120 });
    let open = bass.open_invitations().unwrap();
    assert!(open.iter().all(|one| one.expires.offset_min == 120), "{open:?}");
}

struct Broken;

impl TimeSource for Broken {
    fn now(&self) -> Result<Moment, ForeignError> {
        Err(ForeignError::Failed { reason: "no battery".to_owned() })
    }
}

impl RandomSource for Broken {
    fn draw(&self, _: u32) -> Result<Vec<u8>, ForeignError> {
        Ok(vec![7])
    }
}

#[test]
fn without_a_time_the_device_s_own_is_used_and_without_randomness_nothing_goes() {
    let tech = Workshop::in_memory("tech", Some(Arc::new(Broken)), None).unwrap();
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let id = bass.add_remark("one".to_owned(), None, None, None).unwrap();
    assert!(bass.entry(id).unwrap().at.unix_s > 1_780_000_000);
    let refused = Workshop::in_memory("tech", None, Some(Arc::new(Broken))).err();
    let Some(fallaway_ffi::FallawayError::Keys { reason, .. }) = refused else { panic!() };
    assert!(reason.contains("1 random bytes instead of"), "{reason}");
}
