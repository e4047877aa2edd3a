//! Random schedules of people who come and go: removals, copied devices, one invitation used twice,
//! devices that forget a record and come back. In the end whoever stays shows one history, and no line
//! of theirs is missing.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use fallaway::record::EntryBody;
use fallaway::{
    Error, HistoryFilter, Instrument, NewInvitation, Role, WhyAside, Workshop, WorkshopOptions,
};

use crate::realistic::Dice;
use crate::work;
use crate::world::{HandClock, Seeded};

const START: i64 = 1_780_000_000;

/// How often each fault has happened, so that a test can see that it did.
#[derive(Debug, Clone, Copy, Default)]
pub struct Faults {
    /// Members removed while they and others wrote on.
    pub removed: usize,
    /// Devices copied with their keys.
    pub copied: usize,
    /// Invitations used by two devices.
    pub joined_twice: usize,
    /// Devices that forgot the record and came back.
    pub came_back: usize,
    /// Schedules at whose end something is held.
    pub held: usize,
}

struct Device {
    folder: PathBuf,
    label: String,
    workshop: Workshop,
    fingerprint: String,
    /// Written on this device so far.
    lines: BTreeSet<String>,
}

struct World {
    dice: Dice,
    home: PathBuf,
    devices: Vec<Device>,
    removed: BTreeSet<usize>,
    seeds: u64,
    texts: u64,
    faults: Faults,
}

/// Runs the schedule of a seed in an empty folder.
///
/// # Panics
/// If the records differ in the end, or a line is missing or doubled.
pub fn run(seed: u64, home: &Path) -> Faults {
    let mut world = World::begin(seed, home.to_owned());
    for _ in 0..world.dice.between(12, 32) {
        world.step();
    }
    world.finish(seed);
    world.faults
}

impl World {
    fn begin(seed: u64, home: PathBuf) -> Self {
        let (dice, seeds) = (Dice::new(seed ^ 0x7065_6f70), seed.wrapping_mul(1 << 20));
        let (devices, removed) = (Vec::new(), BTreeSet::new());
        let faults = Faults::default();
        let mut world = Self { dice, home, devices, removed, seeds, texts: 0, faults };
        let founder = world.add();
        world.devices[founder].workshop.add_instrument("bass-4", "stage bass").unwrap();
        for _ in 0..world.dice.between(2, 3) {
            let device = world.add();
            let invitation = world.invite();
            world.join(device, &invitation);
            world.carry(device, founder, true);
        }
        world
    }

    fn open(&mut self, folder: &Path, label: &str) -> Workshop {
        self.seeds += 1;
        Workshop::open(WorkshopOptions {
            clock: Box::new(HandClock::at(START + self.dice.between(-90_000, 90_000))),
            random: Box::new(Seeded::new(self.seeds)),
            ..WorkshopOptions::new(folder, label)
        })
        .unwrap()
    }

    fn add(&mut self) -> usize {
        let label = format!("device {}", self.devices.len());
        let folder = self.home.join(&label);
        let workshop = self.open(&folder, &label);
        let fingerprint = workshop.device().unwrap().fingerprint;
        let lines = BTreeSet::new();
        self.devices.push(Device { folder, label, workshop, fingerprint, lines });
        self.devices.len() - 1
    }

    fn bass(&self, device: usize) -> Option<Instrument> {
        self.devices[device].workshop.instrument_named("stage").ok()
    }

    fn invite(&self) -> NewInvitation {
        self.bass(0).unwrap().invite(Role::Contributor, 300).unwrap()
    }

    /// Joins and takes what the founder has.
    fn join(&mut self, device: usize, with: &NewInvitation) {
        self.devices[device].workshop.accept(&with.words, &with.welcome).unwrap();
        self.carry(0, device, true);
    }

    fn carry(&mut self, from: usize, to: usize, everything: bool) {
        let Some(bass) = self.bass(from) else { return };
        let bundle = if everything {
            bass.bundle_out().unwrap()
        } else {
            let Some(unsent) = bass.bundle_unsent().unwrap() else { return };
            // It may get lost, or come twice: nobody knows.
            bass.delivered(&unsent.token).unwrap();
            unsent
        };
        match self.devices[to].workshop.bundle_in(&bundle.file) {
            // Nothing in it for this one.
            Ok(_) | Err(Error::Refused { .. } | Error::NotFound { .. }) => {}
            Err(error) => panic!("from {from} to {to}: {error}"),
        }
    }

    fn write(&mut self, device: usize) {
        let Some(bass) = self.bass(device) else { return };
        self.texts += 1;
        let text = format!("line {} of {}", self.texts, self.devices[device].label);
        match bass.add_remark(work::remark(&text), None) {
            Ok(_) => drop(self.devices[device].lines.insert(text)),
            Err(Error::NotAllowed { .. }) => {}
            Err(error) => panic!("{device}: {error}"),
        }
    }

    fn any(&mut self) -> usize {
        (self.dice.roll() % self.devices.len() as u64) as usize
    }

    /// One that is neither the founder nor removed.
    fn member(&mut self) -> Option<usize> {
        let device = self.any();
        let fingerprint = &self.devices[device].fingerprint;
        let people = self.bass(0).unwrap().details().unwrap().people;
        let is_member = people.iter().any(|one| one.fingerprint == *fingerprint);
        (device != 0 && is_member && !self.removed.contains(&device)).then_some(device)
    }

    fn step(&mut self) {
        let device = self.any();
        match self.dice.between(1, 100) {
            1..=45 => self.write(device),
            46..=82 => {
                let to = self.any();
                if to != device {
                    let everything = self.dice.roll().is_multiple_of(3);
                    self.carry(device, to, everything);
                }
            }
            83..=87 => self.remove(),
            88..=91 => self.copy(),
            92..=95 => self.join_twice(),
            96..=97 => self.come_back(),
            _ => self.devices[device].workshop.trim().unwrap(),
        }
    }

    fn remove(&mut self) {
        let Some(device) = self.member() else { return };
        let fingerprint = self.devices[device].fingerprint.clone();
        self.bass(0).unwrap().remove_member(&fingerprint, false, None).unwrap();
        let of_it =
            (0..self.devices.len()).filter(|other| self.devices[*other].fingerprint == fingerprint);
        self.removed.extend(of_it.collect::<Vec<_>>());
        self.faults.removed += 1;
        self.write(device);
    }

    fn copy(&mut self) {
        let Some(device) = self.member() else { return };
        let label = self.devices[device].label.clone();
        let (from, to) = (self.devices[device].folder.clone(), self.devices.len());
        let folder = self.home.join(format!("copy {to}"));
        self.devices[device].workshop.shut_down().unwrap();
        copy(&from, &folder);
        self.devices[device].workshop = self.open(&from, &label);
        let workshop = self.open(&folder, &label);
        let fingerprint = self.devices[device].fingerprint.clone();
        let lines = BTreeSet::new();
        self.devices.push(Device { folder, label, workshop, fingerprint, lines });
        self.faults.copied += 1;
        for one in [device, to] {
            self.write(one);
            let bass = self.bass(one).unwrap();
            drop(bass.bundle_out().unwrap());
        }
    }

    fn join_twice(&mut self) {
        let invitation = self.invite();
        for _ in 0..2 {
            let device = self.add();
            self.join(device, &invitation);
            self.write(device);
            let to = self.any();
            self.carry(device, to, true);
            self.write(to);
        }
        self.faults.joined_twice += 1;
    }

    fn come_back(&mut self) {
        let Some(device) = self.member() else { return };
        // What nobody else has is forgotten with it: that is meant.
        self.carry(device, 0, true);
        let id = self.bass(device).unwrap().id();
        self.devices[device].workshop.remove_from_this_device(id).unwrap();
        let invitation = self.invite();
        self.join(device, &invitation);
        self.write(device);
        self.carry(device, 0, true);
        self.faults.came_back += 1;
    }

    fn finish(&mut self, seed: u64) {
        let stay: Vec<usize> =
            (0..self.devices.len()).filter(|one| !self.removed.contains(one)).collect();
        for _ in 0..3 {
            for from in &stay {
                for to in stay.iter().filter(|to| *to != from) {
                    self.carry(*from, *to, true);
                }
            }
        }
        let founder = self.bass(0).unwrap();
        let people = founder.details().unwrap().people;
        let people: BTreeSet<String> = people.into_iter().map(|one| one.fingerprint).collect();
        let told = work::told(&founder);
        let held = held(&founder);
        self.faults.held += usize::from(!held.is_empty());
        let mut said: BTreeMap<String, usize> = BTreeMap::new();
        for one in founder.history(&HistoryFilter::default()).unwrap() {
            if let EntryBody::Remark(remark) = one.entry.body {
                *said.entry(remark.text).or_default() += 1;
            }
        }
        for device in stay {
            let one = &self.devices[device];
            if !people.contains(&one.fingerprint) {
                continue;
            }
            let bass = self.bass(device).unwrap();
            assert_eq!(work::told(&bass), told, "seed {seed}: {} ({device})", one.label);
            assert_eq!(self::held(&bass), held, "seed {seed}: held at {} ({device})", one.label);
            for line in &one.lines {
                assert_eq!(said.get(line), Some(&1), "seed {seed}: {line} ({device})\n{said:#?}");
            }
        }
    }
}

/// What is held of removed members. What somebody wrote who was never a member is not handed on, so
/// not everybody has that, nor what hangs on it.
fn held(bass: &Instrument) -> Vec<(String, usize)> {
    let held = bass.held().unwrap().into_iter().filter(|one| one.why == WhyAside::Removed);
    held.map(|one| (one.fingerprint, one.entries)).collect()
}

/// Everything, the keys too.
fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, &target).unwrap();
        }
    }
}
