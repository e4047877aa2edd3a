//! A store with a realistic record in it, written through the library as an app would.

use std::path::Path;

use fallaway::environment::SystemRandom;
use fallaway::measure::{Amount, Unit};
use fallaway::record::EntryBody;
use fallaway::{Instrument, Result, Workshop, WorkshopOptions, WriteOptions};
use fallaway_changes::{VerifiedChange, Writer};
use fallaway_record::Record;
use fallaway_store::{ChangeStanding, SqliteStore, Store};

use crate::realistic::{self, Dice};
use crate::work;
use crate::world::HandClock;

/// What the record takes.
#[derive(Debug, Clone, Copy)]
pub struct Sizes {
    /// Visits, each one change.
    pub visits: usize,
    /// Entries of the log.
    pub entries: usize,
    /// The document as it is saved.
    pub document_bytes: usize,
    /// The database's file.
    pub database_bytes: u64,
}

/// Writes a store with so many visits of eight passes over five strings. The readings are random.
///
/// # Errors
/// What the library answers; the folder should be new.
pub fn write(folder: &Path, visits: usize, seed: u64) -> Result<Sizes> {
    let clock = HandClock::at(1_515_402_000);
    let workshop = Workshop::open(WorkshopOptions {
        clock: Box::new(clock.clone()),
        random: Box::new(SystemRandom),
        ..WorkshopOptions::new(folder, "tech")
    })?;
    let bass = workshop.add_instrument("bass-5", "stage bass")?;
    for (string, hundredths) in [(None, 25), (Some(1), 200), (Some(3), 220), (Some(5), 250)] {
        bass.set_target(
            &"stage".parse().unwrap(),
            &work::target(string, hundredths, clock.seconds()),
            None,
        )?;
    }
    let mut dice = Dice::new(seed);
    for _ in 0..visits {
        clock.wind(dice.between(86_400, 4 * 86_400));
        visit(&bass, &clock, &mut dice)?;
    }
    workshop.shut_down()?;
    measure(folder, visits)
}

/// One visit of eight passes, sealed.
///
/// # Errors
/// What the library answers.
pub fn visit(bass: &Instrument, clock: &HandClock, dice: &mut Dice) -> Result<()> {
    bass.begin_visit(None, None)?;
    let writer = Writer::from_bytes([0; 16]);
    for entry in realistic::visit(writer, 1, clock.seconds(), dice) {
        let wait = entry.at.unix_s - clock.seconds();
        clock.wind(wait);
        if let EntryBody::Pass(pass) = entry.body {
            bass.add_pass(pass, WriteOptions::sure().by("tech"))?;
        }
    }
    bass.end_visit(None, None)
}

/// A target that no schedule uses, for one more edit.
pub fn another_target(number: i64, at: i64) -> fallaway::record::Target {
    let tolerance = Amount::decimal(7, 2, Unit::Millimetre);
    let mut target = work::target(Some(2), 200 + number % 50, at);
    target.tolerance = tolerance.unwrap_or(target.tolerance);
    target
}

fn measure(folder: &Path, visits: usize) -> Result<Sizes> {
    let internal =
        |e: &dyn std::fmt::Display| fallaway::Error::Storage { reason: e.to_string().into() };
    let store = SqliteStore::open(folder).map_err(|e| internal(&e))?;
    let mut sizes = Sizes { visits, entries: 0, document_bytes: 0, database_bytes: 0 };
    for head in store.records().map_err(|e| internal(&e))? {
        let loaded = store.load(&head.record).map_err(|e| internal(&e))?;
        let mut record = match &loaded.snapshot {
            Some(snapshot) => {
                Record::load(head.record, &snapshot.bytes).map_err(|e| internal(&e))?
            }
            None => Record::create(head.record),
        };
        let admitted = loaded.changes.iter().filter(|one| one.standing == ChangeStanding::Admitted);
        let loose: Vec<VerifiedChange> = admitted
            .filter_map(|one| VerifiedChange::kept(&head.record, one.bytes.clone()).ok())
            .collect();
        record.apply(&loose);
        sizes.entries += record.state().entries().count();
        sizes.document_bytes += record.save().len();
    }
    store.pause().map_err(|e| internal(&e))?;
    let file = std::fs::metadata(folder.join("fallaway.db")).map_err(|e| internal(&e))?;
    sizes.database_bytes = file.len();
    Ok(sizes)
}
