//! Random schedules of people who come and go, with every fault that devices and files have: parcels
//! lost, doubled, late and in any order; devices copied, restored, full and killed in the middle of a
//! call; invitations used twice, stolen and withdrawn; removals by one, by two and of one another; a
//! member whose program is its own, and one whose library is newer. In the end whoever stays shows one
//! history, the same people, keys and held work, and no line of theirs is missing.
//!
//! Here stand the world and what must hold of it; the faults are in [`crate::people_faults`].

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use fallaway::record::EntryBody;
use fallaway::{
    Error, HistoryFilter, Instrument, InstrumentId, NewInvitation, Role, WhyAside, Workshop,
    WorkshopOptions,
};
use fallaway_changes::EpochId;
use fallaway_sharing::{Payload, bundle_file, header, is_letter};

use crate::own_program::OwnProgram;
use crate::people_faults::FAULTS;
use crate::realistic::Dice;
use crate::work;
use crate::world::{Seeded, Witness};

/// When schedules begin, in seconds since 1970.
pub const START: i64 = 1_780_000_000;

/// How often each fault has happened, so that a test can see that it did: all of
/// [`crate::people_faults::FAULTS`], and `"something held"`, of schedules at whose end something is.
pub type Faults = BTreeMap<&'static str, u64>;

/// A device of the schedule.
pub(crate) struct Device {
    pub folder: PathBuf,
    pub label: String,
    pub clock: Witness,
    pub workshop: Workshop,
    pub fingerprint: String,
    /// Fingerprints of whom it has known as a member.
    pub met: BTreeSet<String>,
    /// Written on this device so far.
    pub lines: BTreeSet<String>,
    /// A copy of its folder, and whom it had known by then.
    pub backup: Option<(PathBuf, BTreeSet<String>)>,
}

/// A file on its way.
pub(crate) struct Parcel {
    pub from: usize,
    pub to: usize,
    pub file: Vec<u8>,
}

/// What is known of somebody's work from the moment at which an owner took the right to write away.
#[derive(Default)]
pub(crate) struct Out {
    /// How many owners did so.
    pub caps: usize,
    /// It is no member any more.
    pub removed: bool,
    /// It left: nobody has drawn a line through its work, and a copy of it may not have heard of that.
    pub left: bool,
    /// What one of them did not have.
    pub late: BTreeSet<String>,
    /// What none of them had. (What one had it built on, and its work speaks for that where it had not
    /// heard of the others' doing.)
    pub unseen: BTreeSet<String>,
    /// What others wrote who knew of it.
    pub secret: BTreeSet<String>,
}

/// A schedule under way.
pub(crate) struct World {
    pub dice: Dice,
    pub home: PathBuf,
    pub id: InstrumentId,
    pub devices: Vec<Device>,
    /// Whoever decides in the end: the founder, or who came in by the recovery words.
    pub head: usize,
    pub parcels: Vec<Parcel>,
    /// Pairs of devices that do not reach each other.
    pub cut: BTreeSet<(usize, usize)>,
    /// By fingerprint.
    pub out: BTreeMap<String, Out>,
    /// Fingerprints of which two devices exist, or one that has gone back.
    pub doubled: BTreeSet<String>,
    /// Fingerprints of devices of which two used one invitation: one of them is nobody.
    pub rivals: BTreeSet<String>,
    /// Fingerprints of devices that a member has invited, its own: if whoever removes that member has not
    /// heard of them, they are nobody, too.
    pub guests: BTreeSet<String>,
    /// Of lines on top of what such devices, or doubled ones, wrote, of which: whoever is out when one of them turns
    /// out to be nobody, or what two wrote under one name is parted, does not write them again.
    pub on_guests: BTreeMap<String, BTreeSet<String>>,
    /// A member's program has written two changes of one number: one of the two, and what stands on it, is
    /// out, and whoever is out by then does not write it again.
    pub forked: bool,
    /// Fingerprints of devices that forgot the record and could not come back.
    pub away: BTreeSet<String>,
    /// Lines on which somebody else built who took their author for a member.
    pub evidence: BTreeSet<String>,
    /// Lines of which, after their author went back to a backup, this device had the only copy known.
    pub only_at: BTreeMap<String, usize>,
    pub hostile: Option<OwnProgram>,
    /// What a program of its own keeps ready against the founder.
    pub coup: Option<Payload>,
    pub hostile_held: bool,
    pub faults: Faults,
    /// Whether each step is printed: where one seed is asked for.
    tells: bool,
    seeds: u64,
    texts: u64,
}

/// Runs the schedule of a seed in an empty folder.
///
/// # Panics
/// If the records differ in the end, or a line is missing, doubled, or in where it must not be.
pub fn run(seed: u64, home: &Path) -> Faults {
    let mut world = World::begin(seed, home.to_owned());
    for _ in 0..world.dice.between(12, 32) {
        world.step();
    }
    world.finish(seed);
    world.faults
}

/// The same in a folder of its own, in memory where the system has a folder for that.
///
/// # Panics
/// As [`run`].
pub fn run_anywhere(seed: u64) -> Faults {
    let memory = Path::new("/dev/shm");
    let home = if memory.is_dir() { memory.to_owned() } else { std::env::temp_dir() };
    let home = home.join(format!("fallaway-people-{}-{seed}", std::process::id()));
    drop(fs::remove_dir_all(&home));
    let faults = run(seed, &home);
    remove(&home);
    faults
}

impl World {
    fn begin(seed: u64, home: PathBuf) -> Self {
        let (dice, seeds) = (Dice::new(seed ^ 0x7065_6f70), seed.wrapping_mul(1 << 20));
        let mut world = Self {
            dice,
            home,
            id: InstrumentId::from_bytes([0; 16]),
            devices: Vec::new(),
            head: 0,
            parcels: Vec::new(),
            cut: BTreeSet::new(),
            out: BTreeMap::new(),
            doubled: BTreeSet::new(),
            rivals: BTreeSet::new(),
            guests: BTreeSet::new(),
            on_guests: BTreeMap::new(),
            forked: false,
            away: BTreeSet::new(),
            evidence: BTreeSet::new(),
            only_at: BTreeMap::new(),
            hostile: None,
            coup: None,
            hostile_held: false,
            faults: FAULTS.map(|fault| (fault, 0)).into(),
            tells: std::env::var_os("FALLAWAY_SEED").is_some(),
            seeds,
            texts: 0,
        };
        let founder = world.add();
        let bass = world.devices[founder].workshop.add_instrument("bass-4", "stage bass").unwrap();
        world.id = bass.id();
        for _ in 0..world.dice.between(2, 3) {
            let device = world.add();
            world.join_as(device, Role::Contributor);
        }
        world.strangers_programs();
        world
    }

    /// Tells of a step.
    pub fn tell(&self, step: &dyn std::fmt::Display) {
        if self.tells {
            println!("  {step}");
        }
    }

    pub fn count(&mut self, fault: &'static str) {
        self.tell(&fault);
        *self.faults.entry(fault).or_default() += 1;
    }

    /// Opens a folder; of so many pages at most.
    pub fn open(
        &mut self,
        folder: &Path,
        (label, clock): (&str, &Witness),
        max_pages: Option<u32>,
    ) -> Result<Workshop, Error> {
        self.seeds += 1;
        Workshop::open(WorkshopOptions {
            clock: Box::new(clock.clone()),
            random: Box::new(Seeded::new(self.seeds)),
            max_pages,
            ..WorkshopOptions::new(folder, label)
        })
    }

    /// A device closes its store and opens it again.
    pub fn reopen(&mut self, device: usize) {
        drop(self.devices[device].workshop.shut_down());
        let Device { folder, label, clock, .. } = &self.devices[device];
        let (folder, label, clock) = (folder.clone(), label.clone(), clock.clone());
        self.devices[device].workshop = self.open(&folder, (&label, &clock), None).unwrap();
    }

    /// A device on which nothing is yet.
    pub fn add(&mut self) -> usize {
        let label = format!("device {}", self.devices.len());
        let folder = self.home.join(&label);
        self.add_from(folder, label)
    }

    /// A device of a folder.
    pub fn add_from(&mut self, folder: PathBuf, label: String) -> usize {
        let clock = Witness::at(START + self.dice.between(-90_000, 90_000));
        let workshop = self.open(&folder, (&label, &clock), None).unwrap();
        let fingerprint = workshop.device().unwrap().fingerprint;
        let (lines, backup) = (BTreeSet::new(), None);
        self.tell(&format_args!("{label} is {} ({fingerprint})", self.devices.len()));
        let met = BTreeSet::new();
        let one = Device { folder, label, clock, workshop, fingerprint, met, lines, backup };
        self.devices.push(one);
        self.devices.len() - 1
    }

    pub fn bass(&self, device: usize) -> Option<Instrument> {
        self.devices[device].workshop.instrument(self.id).ok()
    }

    pub fn invite(&self, role: Role) -> Option<NewInvitation> {
        self.bass(self.head)?.invite(role, 300).ok()
    }

    /// Accepts; a clock that is far off says that it is too late.
    pub fn accept(&mut self, device: usize, with: &NewInvitation) -> bool {
        self.devices[device].workshop.accept(&with.words, &with.welcome).is_ok()
    }

    /// Is invited, takes what the head has, and is known to it.
    pub fn join_as(&mut self, device: usize, role: Role) {
        let Some(invitation) = self.invite(role) else { return };
        if self.accept(device, &invitation) {
            self.carry(self.head, device, true);
            self.carry(device, self.head, true);
        }
    }

    /// What a device hands over; what is unsent may get lost or come twice, nobody knows.
    pub fn file_of(&self, from: usize, everything: bool) -> Option<Vec<u8>> {
        let bass = self.bass(from)?;
        if everything {
            return Some(bass.bundle_out().unwrap().file);
        }
        let unsent = bass.bundle_unsent().unwrap()?;
        bass.delivered(&unsent.token).unwrap();
        Some(unsent.file)
    }

    pub fn carry(&mut self, from: usize, to: usize, everything: bool) {
        self.tell(&format_args!("from {from} to {to}: {}", if everything { "all" } else { "new" }));
        if let Some(file) = self.file_of(from, everything) {
            self.bring_in(to, &file);
        }
    }

    pub fn bring_in(&mut self, to: usize, file: &[u8]) {
        self.tell(&format_args!("{} bytes to {to}", file.len()));
        let again = self.said_again(to);
        match self.devices[to].workshop.bundle_in(file) {
            // Nothing in it for this one.
            Ok(report) => self.tell(&format_args!(
                "  {} in, {} wait, {:?} beside, refused: {:?}",
                report.added.len(),
                report.waiting,
                report.set_aside,
                report.refused.iter().map(|one| one.reason.to_string()).collect::<Vec<_>>()
            )),
            Err(error @ (Error::Refused { .. } | Error::NotFound { .. })) => {
                self.tell(&format_args!("  {error}"));
            }
            Err(error) => panic!("to {to}: {error}"),
        }
        if self.tells
            && let Some(bass) = self.bass(to)
        {
            let (held, waits) = (bass.held().unwrap(), bass.waits_for().unwrap());
            self.tell(&format_args!(
                "  held: {held:?}, {waits:?}, {:?}",
                bass.details().unwrap().role
            ));
        }
        let known = self.people(to);
        self.devices[to].met.extend(known);
        if self.doubled.contains(&self.devices[to].fingerprint) || self.said_again(to) > again {
            // It may have written lines of its own again, on top of what it sees.
            self.speak_for(to);
        }
    }

    /// How many entries a device shows that say again what is out of the record, where there may be any.
    fn said_again(&self, device: usize) -> usize {
        let may_be = self.forked || !self.rivals.is_empty() || !self.guests.is_empty();
        let Some(bass) = self.bass(device).filter(|_| may_be) else { return 0 };
        let history = bass.history(&HistoryFilter::default()).unwrap();
        history.iter().filter(|one| one.entry.again.is_some()).count()
    }

    /// What a device shows, by text.
    pub fn said(&self, device: usize) -> BTreeMap<String, usize> {
        let mut said = BTreeMap::new();
        let Some(bass) = self.bass(device) else { return said };
        for one in bass.history(&HistoryFilter::default()).unwrap() {
            if let EntryBody::Remark(remark) = one.entry.body {
                *said.entry(remark.text).or_default() += 1;
            }
        }
        said
    }

    /// Fingerprints of the members, as a device knows them.
    pub fn people(&self, device: usize) -> BTreeSet<String> {
        let people = self.bass(device).map(|bass| bass.details().unwrap().people);
        people.into_iter().flatten().map(|one| one.fingerprint).collect()
    }

    /// What a device writes next follows all that it shows; it speaks for what those wrote of whom it
    /// does not know that they are out.
    pub fn speak_for(&mut self, device: usize) {
        let (known, said) = (self.people(device), self.said(device));
        let own = &self.devices[device].fingerprint;
        for other in &self.devices {
            if other.fingerprint != *own && known.contains(&other.fingerprint) {
                let seen = other.lines.iter().filter(|line| said.contains_key(*line));
                self.evidence.extend(seen.cloned());
            }
        }
    }

    pub fn write(&mut self, device: usize) -> Option<String> {
        let bass = self.bass(device)?;
        self.speak_for(device);
        self.texts += 1;
        let text = format!("line {} of {}", self.texts, self.devices[device].label);
        match bass.add_remark(work::remark(&text), None) {
            Ok(_) => {}
            // Of no member, or only a reader; somebody asks for a newer version.
            Err(Error::NotAllowed { .. } | Error::ReadOnly { .. }) => return None,
            Err(error) => panic!("{device}: {error}"),
        }
        self.tell(&format_args!("{text}"));
        let shaky = [&self.rivals, &self.guests, &self.doubled];
        if shaky.iter().any(|set| !set.is_empty()) {
            let said = self.said(device);
            let is_shaky = |one: &&Device| shaky.iter().any(|set| set.contains(&one.fingerprint));
            let guests = self.devices.iter().filter(is_shaky);
            let on = guests.filter(|one| one.lines.iter().any(|line| said.contains_key(line)));
            let on = on.map(|one| one.fingerprint.clone()).collect();
            self.on_guests.insert(text.clone(), on);
        }
        let own = self.devices[device].fingerprint.clone();
        if !self.out.is_empty() {
            let (known, met) = (self.people(device), &self.devices[device].met);
            for (fingerprint, out) in &mut self.out {
                // Whoever has not heard of somebody's coming has heard of no removal either.
                let knows = met.contains(fingerprint) && !known.contains(fingerprint);
                if *fingerprint == own {
                    out.late.insert(text.clone());
                    out.unseen.insert(text.clone());
                } else if out.removed && knows && known.contains(&own) {
                    out.secret.insert(text.clone());
                }
            }
        }
        self.devices[device].lines.insert(text.clone());
        Some(text)
    }

    /// An owner has taken somebody's right to write away.
    pub fn put_out(&mut self, owner: usize, fingerprint: &str, removed: bool) {
        let said = self.said(owner);
        self.devices[owner].met.insert(fingerprint.to_owned());
        let of_it = self.devices.iter().filter(|one| one.fingerprint == fingerprint);
        let lines: BTreeSet<String> = of_it.flat_map(|one| one.lines.clone()).collect();
        self.tell(&format_args!("{fingerprint} is put out by {owner}, removed: {removed}"));
        let out = self.out.entry(fingerprint.to_owned()).or_default();
        let new = lines.into_iter().filter(|line| !said.contains_key(line));
        let new: BTreeSet<String> = new.collect();
        if out.caps == 0 {
            out.unseen.clone_from(&new);
        }
        out.unseen.retain(|line| new.contains(line));
        out.caps += 1;
        out.removed |= removed;
        out.late.extend(new);
    }

    pub fn is_out(&self, device: usize) -> bool {
        self.out.get(&self.devices[device].fingerprint).is_some_and(|out| out.removed)
    }

    pub fn any(&mut self) -> usize {
        (self.dice.roll() % self.devices.len() as u64) as usize
    }

    pub fn chance(&mut self, percent: i64) -> bool {
        self.dice.between(1, 100) <= percent
    }

    /// A member that an owner may rule over: neither the head nor the founder, nor one that is out.
    pub fn member(&mut self, owner: usize) -> Option<usize> {
        let device = self.any();
        let known = self.people(owner).contains(&self.devices[device].fingerprint);
        (device > 0 && device != self.head && device != owner && known && !self.is_out(device))
            .then_some(device)
    }

    pub fn reach(&self, one: usize, other: usize) -> bool {
        one != other && !self.cut.contains(&(one.min(other), one.max(other)))
    }

    fn step(&mut self) {
        let device = self.any();
        self.devices[device].clock.clock.wind(60);
        match self.dice.between(1, 100) {
            1..=36 => drop(self.write(device)),
            37..=58 => {
                let to = self.any();
                if self.reach(device, to) {
                    let everything = self.dice.roll().is_multiple_of(3);
                    self.carry(device, to, everything);
                }
            }
            59..=68 => self.post(device),
            69..=80 => self.deliver(),
            _ => self.fault(),
        }
    }

    fn finish(&mut self, seed: u64) {
        self.cut.clear();
        while let Some(parcel) = self.parcels.pop() {
            if self.dice.roll().is_multiple_of(2) {
                self.tell(&format_args!("a parcel of {}", parcel.from));
                self.bring_in(parcel.to, &parcel.file);
            }
        }
        if self.chance(12) {
            self.recover();
        }
        let stay: Vec<usize> = (0..self.devices.len()).filter(|one| !self.is_out(*one)).collect();
        for from in &stay {
            self.carry(*from, self.head, true);
        }
        self.bass(self.head).unwrap().write_anyway().unwrap();
        // Who holds the same hands on the same bytes: those are brought in again only where something
        // has come since, which may have made room for what is in them.
        let mut brought: BTreeMap<(usize, Vec<u8>), String> = BTreeMap::new();
        for _ in 0..3 {
            for from in &stay {
                // A round: one file, that everybody gets.
                let Some(file) = self.file_of(*from, true) else { continue };
                for to in stay.iter().filter(|to| *to != from) {
                    let key = (*to, file.clone());
                    if brought.get(&key) != Some(&self.standing(*to)) {
                        self.bring_in(*to, &file);
                        brought.insert(key, self.standing(*to));
                    }
                }
            }
        }
        self.check(seed, &stay);
    }

    /// What a device has, in short.
    fn standing(&self, device: usize) -> String {
        let Some(bass) = self.bass(device) else { return String::new() };
        let view = bass.details().unwrap();
        let (people, beside) = (view.people.len(), (view.waiting, view.set_aside));
        format!("{} {people} {beside:?}", view.history_digest)
    }

    fn check(&mut self, seed: u64, stay: &[usize]) {
        let head = self.bass(self.head).unwrap();
        let (people, said) = (self.people(self.head), self.said(self.head));
        let (told, held) = (work::told(&head), self.held(&head));
        let keys = epochs(&head);
        for device in stay {
            let one = &self.devices[*device];
            if !people.contains(&one.fingerprint) {
                continue;
            }
            let Some(bass) = self.bass(*device) else {
                assert!(self.away.contains(&one.fingerprint), "seed {seed}: gone from {device}");
                continue;
            };
            let name = format!("{} ({device})", one.label);
            let here = work::told(&bass);
            let differs = here.lines().zip(told.lines()).find(|(one, other)| one != other);
            assert!(here == told, "seed {seed}: {name}: {differs:#?}");
            assert_eq!(self.held(&bass), held, "seed {seed}: held at {name}");
            assert_eq!(epochs(&bass), keys, "seed {seed}: keys at {name}");
            let late = self.out.get(&one.fingerprint).map(|out| &out.late);
            for line in &one.lines {
                match said.get(line) {
                    Some(1) => {}
                    None if late.is_some_and(|late| late.contains(line)) => {}
                    // Who is out hands over nothing.
                    None if self.only_at.get(line).is_some_and(|at| self.is_out(*at)) => {}
                    found => panic!("seed {seed}: {found:?} of {line} ({device})\n{said:#?}"),
                }
            }
        }
        let is_nobody = |one: &String| {
            self.rivals.contains(one)
                || self.doubled.contains(one)
                || !(people.contains(one) || self.out.contains_key(one))
        };
        for (fingerprint, out) in self.out.iter().filter(|(_, out)| out.removed) {
            if people.contains(fingerprint) {
                // Who removed it was out itself, by somebody before them.
                continue;
            }
            let of_it = 0..self.devices.len();
            let of_it: Vec<usize> =
                of_it.filter(|one| self.devices[*one].fingerprint == *fingerprint).collect();
            for line in of_it.iter().flat_map(|one| &self.devices[*one].lines) {
                let is_in = said.contains_key(line);
                if out.unseen.contains(line) {
                    let spoken_for = out.left || self.evidence.contains(line);
                    assert!(!is_in || spoken_for, "seed {seed}: {line} is in after the removal");
                } else if !out.late.contains(line)
                    && !self.doubled.contains(fingerprint)
                    && !self.rivals.contains(fingerprint)
                    && !self.on_guests.get(line).into_iter().flatten().any(is_nobody)
                    && !self.forked
                {
                    assert!(is_in, "seed {seed}: {line} was there before the removal");
                }
            }
            for device in of_it {
                let Some(file) = self.file_of(self.head, true) else { continue };
                drop(self.devices[device].workshop.bundle_in(&file));
                let read = self.said(device);
                let read = out.secret.iter().find(|line| read.contains_key(*line));
                assert_eq!(read, None, "seed {seed}: read after the removal ({device})");
            }
        }
        if !held.is_empty() {
            self.count("something held");
        }
    }

    /// What is held of removed members. What somebody wrote who was never a member is not handed on, so
    /// not everybody has that, nor what hangs on it; of a flood everybody keeps what comes first.
    fn held(&self, bass: &Instrument) -> Vec<(String, usize)> {
        let hostile = self.hostile.as_ref().filter(|_| self.hostile_held);
        let hostile = hostile.map(|one| one.device().fingerprint());
        let held = bass.held().unwrap().into_iter();
        let held = held.filter(|one| one.why == WhyAside::Removed);
        let held = held.filter(|one| Some(&one.fingerprint) != hostile.as_ref());
        held.map(|one| (one.fingerprint, one.entries)).collect()
    }
}

/// The epochs under which a device seals the record.
fn epochs(bass: &Instrument) -> BTreeSet<EpochId> {
    let file = bass.bundle_out().unwrap().file;
    let sealed = bundle_file::read(&file).unwrap().into_iter().filter(|one| !is_letter(one));
    sealed.map(|one| header(one).unwrap().epoch).collect()
}

/// Takes a folder away with everything in it.
pub(crate) fn remove(folder: &Path) {
    fs::remove_dir_all(folder).unwrap();
}
