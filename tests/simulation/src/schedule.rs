//! Random schedules: several devices edit one instrument and exchange bundle files in any order,
//! twice, late or never; the oracle says what each of them must show.

use std::collections::BTreeMap;

use fallaway::measure::{Amount, Note};
use fallaway::record::{
    Buzz, Climate, EntryId, InstrumentSpec, SpecField, StringChange, target_key,
};
use fallaway::{
    ContestedField, Error, HistoryFilter, Instrument, NewInvitation, RetractOutcome, Role,
    Workshop, WriteOptions,
};
use fallaway_changes::Container;

use crate::oracle::{Load, Oracle};
use crate::realistic::Dice;
use crate::work;
use crate::world::{HandClock, Seeded};

const START: i64 = 1_780_000_000;
const SETUP: &str = "stage";

struct Device {
    label: String,
    clock: HandClock,
    workshop: Workshop,
    instrument: Option<Instrument>,
}

/// A bundle file on its way.
struct Parcel {
    to: usize,
    bytes: Vec<u8>,
    load: Load,
}

/// One schedule under way.
struct Simulation {
    dice: Dice,
    devices: Vec<Device>,
    oracle: Oracle,
    parcels: Vec<Parcel>,
    /// Invitations that nobody has used.
    invitations: Vec<(NewInvitation, usize)>,
    counter: u64,
}

/// How often something that matters has happened, so that a test can see that it did.
#[derive(Debug, Clone, Copy, Default)]
pub struct Tally {
    /// Files brought in before the end.
    pub delivered: usize,
    /// Files of which something had to wait.
    pub waited: usize,
    /// Fields that became contested.
    pub contested: usize,
    /// Fields that were settled.
    pub settled: usize,
    /// Fields contested at the end.
    pub left: usize,
}

/// Runs the schedule of a seed and compares every step with the oracle.
///
/// # Panics
/// With the first difference.
pub fn run(seed: u64) -> Tally {
    let mut dice = Dice::new(seed);
    let devices = dice.between(2, 5) as usize;
    let mut simulation = Simulation::begin(dice, seed, devices);
    let mut tally = Tally::default();
    let steps = simulation.dice.between(5, 20);
    for _ in 0..steps {
        simulation.step(&mut tally);
    }
    simulation.finish(&mut tally);
    tally
}

impl Simulation {
    fn begin(mut dice: Dice, seed: u64, count: usize) -> Self {
        let mut devices: Vec<Device> = (0..count)
            .map(|number| {
                // Clocks are wrong by up to a year.
                let clock = HandClock::at(START + dice.between(-31_000_000, 31_000_000));
                let label = format!("device {}", ["a", "b", "c", "d", "e"][number]);
                let random = Seeded::new(seed.wrapping_mul(8).wrapping_add(number as u64));
                let workshop =
                    Workshop::in_memory(&label, Box::new(clock.clone()), Box::new(random)).unwrap();
                Device { label, clock, workshop, instrument: None }
            })
            .collect();
        let founder = &mut devices[0];
        founder.instrument = Some(founder.workshop.add_instrument("bass-4", "stage bass").unwrap());
        let oracle = Oracle::new(count);
        let (parcels, invitations) = (Vec::new(), Vec::new());
        let mut simulation = Self { dice, devices, oracle, parcels, invitations, counter: 0 };
        // The template's facts are the founder's first writes.
        for field in simulation.fields() {
            simulation.set_spec(0, &field);
        }
        simulation.check(0);
        // Most join at once, the others whenever it comes to them.
        for device in 1..count {
            if simulation.chance(70) {
                simulation.accept(device);
            }
        }
        simulation.welcome();
        simulation
    }

    /// Those who have joined get what the founder has.
    fn welcome(&mut self) {
        let (bytes, load) = self.everything(0);
        for to in 1..self.devices.len() {
            if self.devices[to].instrument.is_some() {
                self.bring_in(to, &bytes, &load, &mut Tally::default());
            }
        }
    }

    /// Everything that a device has, and it counts as delivered.
    fn everything(&mut self, device: usize) -> (Vec<u8>, Load) {
        let bundle = self.instrument(device).bundle_out().unwrap();
        self.instrument(device).delivered(&bundle.token).unwrap();
        (bundle.file, self.oracle.bundle_out(device, true))
    }

    fn chance(&mut self, percent: i64) -> bool {
        self.dice.between(1, 100) <= percent
    }

    fn pick(&mut self, count: usize) -> usize {
        (self.dice.roll() % count as u64) as usize
    }

    /// The registers that schedules write, with few enough values that two devices agree sometimes.
    fn fields(&mut self) -> Vec<SpecField> {
        let note = Note::new(self.dice.between(40, 43) as u8).unwrap();
        vec![
            SpecField::About(format!("with pickup {}", self.dice.between(1, 9))),
            SpecField::Pickups(self.dice.between(1, 3) as u8),
            SpecField::A4(work::hertz(self.dice.between(438, 444))),
            SpecField::Tuning(work::course(1), note),
            SpecField::Strings(work::course(1), work::string(self.dice.between(40, 45))),
        ]
    }

    fn step(&mut self, tally: &mut Tally) {
        let device = self.pick(self.devices.len());
        // Half an hour makes a draft a change; clocks are set back now and then.
        let seconds = if self.chance(5) { -7200 } else { self.dice.between(1, 900) };
        self.devices[device].clock.wind(seconds);
        if self.devices[device].instrument.is_none() {
            self.accept(device);
            return;
        }
        match self.dice.between(1, 100) {
            1..=48 => {
                self.edit(device, tally);
                self.check(device);
            }
            49..=66 => self.send(device),
            67..=93 => self.deliver(tally),
            94..=97 => self.lose(),
            _ => self.invite(device),
        }
    }

    fn invite(&mut self, device: usize) {
        let Some(instrument) = &self.devices[device].instrument else { return };
        match instrument.invite(Role::Contributor, 366) {
            Ok(invitation) => {
                let number = self.oracle.invite(device);
                self.invitations.push((invitation, number));
            }
            Err(Error::NotAllowed { .. }) => assert_ne!(device, 0, "the founder may invite"),
            Err(error) => panic!("{error}"),
        }
    }

    fn accept(&mut self, device: usize) {
        if self.invitations.is_empty() {
            self.invite(0);
        }
        let place = self.pick(self.invitations.len());
        let (invitation, number) = self.invitations.remove(place);
        // Invitations expire; the newcomer's clock may be beyond that.
        match self.devices[device].workshop.accept(&invitation.words, &invitation.welcome) {
            Ok(instrument) => {
                self.devices[device].instrument = Some(instrument);
                self.oracle.join(device, number);
                self.check(device);
            }
            Err(Error::Refused { .. }) => {
                let sober = START - self.devices[device].clock.seconds();
                self.devices[device].clock.wind(sober);
            }
            Err(error) => panic!("{error}"),
        }
    }

    fn send(&mut self, device: usize) {
        let Some(instrument) = &self.devices[device].instrument else { return };
        let everything = self.counter.is_multiple_of(3);
        self.counter += 1;
        let bundle = if everything {
            Some(instrument.bundle_out().unwrap())
        } else {
            instrument.bundle_unsent().unwrap()
        };
        let load = self.oracle.bundle_out(device, everything);
        let Some(bundle) = bundle else { return };
        instrument.delivered(&bundle.token).unwrap();
        let bytes = bundle.file;
        for to in 0..self.devices.len() {
            if to == device || !self.chance(60) {
                continue;
            }
            for _ in 0..if self.chance(15) { 2 } else { 1 } {
                self.parcels.push(Parcel { to, bytes: bytes.clone(), load: load.clone() });
            }
        }
    }

    fn lose(&mut self) {
        if !self.parcels.is_empty() {
            let place = self.pick(self.parcels.len());
            self.parcels.swap_remove(place);
        }
    }

    fn deliver(&mut self, tally: &mut Tally) {
        if self.parcels.is_empty() {
            return;
        }
        let place = self.pick(self.parcels.len());
        let Parcel { to, bytes, load } = self.parcels.swap_remove(place);
        self.bring_in(to, &bytes, &load, tally);
        self.check(to);
    }

    fn bring_in(&mut self, to: usize, bytes: &[u8], load: &Load, tally: &mut Tally) {
        let device = &self.devices[to];
        let result = device.workshop.bundle_in(bytes);
        if load.is_empty() {
            // At most a key for somebody who has joined, which nobody wrote.
            match result {
                Ok(report) => assert!(report.added.is_empty() && report.people_added.is_empty()),
                Err(error) => assert!(matches!(error, Error::Refused { .. }), "{error:?}"),
            }
            return;
        }
        if device.instrument.is_none() {
            assert!(matches!(result, Err(Error::NotFound { .. })), "{result:?}");
            return;
        }
        let report = result.unwrap();
        assert!(report.refused.is_empty() && report.set_aside.is_empty(), "{report:?}");
        let before = self.oracle.contested(to);
        self.oracle.bundle_in(to, load);
        let after = self.oracle.contested(to);
        let mut expected: Vec<&String> =
            after.keys().filter(|field| !before.contains_key(*field)).collect();
        expected.sort();
        let mut told: Vec<&String> = report.newly_contested.iter().map(|one| &one.field).collect();
        told.sort();
        assert_eq!(told, expected, "newly contested at {to}");
        assert_eq!(
            report.waiting,
            self.oracle.waiting(to),
            "waiting at {to}: {report:?}, {load:?}"
        );
        tally.delivered += 1;
        tally.waited += usize::from(report.waiting > 0);
        tally.contested += expected.len();
    }

    fn now(&self, device: usize) -> i64 {
        self.devices[device].clock.seconds()
    }

    fn instrument(&self, device: usize) -> Instrument {
        self.devices[device].instrument.clone().unwrap()
    }

    fn edit(&mut self, device: usize, tally: &mut Tally) {
        if !self.oracle.is_member(device) {
            let refused = self.instrument(device).add_remark(work::remark("too early"), None);
            assert!(matches!(refused, Err(Error::NotAllowed { .. })), "{refused:?}");
            return;
        }
        if !self.oracle.has_facts(device) || self.chance(20) {
            self.counter += 1;
            let text = format!("remark {} of {device}", self.counter);
            let id = self.instrument(device).add_remark(work::remark(&text), None).unwrap();
            self.oracle.entry(device, self.now(device), id);
            return;
        }
        if self.chance(15) && !self.instrument(device).contested().unwrap().is_empty() {
            self.settle(device, tally);
            return;
        }
        match self.dice.between(1, 11) {
            1 | 2 => self.log(device),
            3..=5 => {
                let fields = self.fields();
                let field = fields[self.pick(fields.len())].clone();
                self.set_spec(device, &field);
            }
            6..=8 => self.set_target(device),
            9 => self.change_strings(device),
            10 => self.retract(device),
            _ => self.visit(device),
        }
    }

    fn set_spec(&mut self, device: usize, field: &SpecField) {
        self.instrument(device).set_spec(field, WriteOptions::sure()).unwrap();
        let key = format!("{}/{}", Container::SPEC.0, field.key());
        self.oracle.write(device, self.now(device), &key, shown(field));
    }

    fn set_target(&mut self, device: usize) {
        let string = [None, Some(1), Some(4)][self.pick(3)];
        let target = work::target(string, self.dice.between(20, 24), self.now(device));
        let instrument = self.instrument(device);
        let key = target_key(target.quantity, target.location).unwrap();
        let key = format!("{}/{SETUP}/target/{key}", Container::SETUPS.0);
        let setups = instrument.setups().unwrap();
        let same = |t: &&fallaway::TargetView| t.target.key() == target.key();
        let present = setups.iter().flat_map(|setup| &setup.targets).find(same).is_some();
        let shown = if present && self.chance(20) {
            instrument
                .remove_target(&SETUP.parse().unwrap(), target.quantity, target.location, None)
                .unwrap();
            "removed".to_owned()
        } else {
            instrument.set_target(&SETUP.parse().unwrap(), &target, WriteOptions::sure()).unwrap();
            format!("{} \u{b1} {}", target.wanted, target.tolerance)
        };
        self.oracle.write(device, self.now(device), &key, shown);
    }

    fn open_visit(&mut self, device: usize) {
        let instrument = self.instrument(device);
        if instrument.current_visit().unwrap().is_none() {
            let id = instrument.begin_visit(None, None).unwrap();
            self.oracle.entry(device, self.now(device), id);
        }
    }

    fn visit(&mut self, device: usize) {
        let instrument = self.instrument(device);
        if instrument.current_visit().unwrap().is_some() {
            instrument.end_visit(None, None).unwrap();
            self.oracle.end_visit(device, self.now(device));
        } else {
            self.open_visit(device);
        }
    }

    fn log(&mut self, device: usize) {
        self.open_visit(device);
        let instrument = self.instrument(device);
        let id = match self.dice.between(1, 5) {
            1 => instrument
                .add_pass(work::relief_pass(self.dice.between(4, 14)), WriteOptions::sure()),
            2 => {
                instrument.add_pass(work::action_pass("5 5 6 6"), WriteOptions::sure().by("player"))
            }
            3 => instrument.add_adjustment(work::rod(self.dice.between(-4, 4) as i16), None),
            4 => {
                let humidity = Amount::decimal(48, 0, fallaway::measure::Unit::Percent).ok();
                instrument.add_climate(Climate { humidity, ..Climate::default() }, None)
            }
            _ => {
                let fret = fallaway::measure::Fret::new(7).unwrap();
                let string = work::course(1);
                instrument.add_buzz(Buzz { string, from: fret, to: fret, note: None }, None)
            }
        };
        self.oracle.entry(device, self.now(device), id.unwrap());
    }

    fn change_strings(&mut self, device: usize) {
        self.open_visit(device);
        let string = work::string(self.dice.between(40, 45));
        let fitted = vec![(work::course(1), string.clone())];
        let change = StringChange { fitted, ..StringChange::default() };
        let id = self.instrument(device).add_string_change(&change, WriteOptions::sure()).unwrap();
        let now = self.now(device);
        self.oracle.entry(device, now, id);
        let field = SpecField::Strings(work::course(1), string);
        let key = format!("{}/{}", Container::SPEC.0, field.key());
        self.oracle.write(device, now, &key, shown(&field));
    }

    fn retract(&mut self, device: usize) {
        let instrument = self.instrument(device);
        let history = instrument.history(&HistoryFilter::default()).unwrap();
        let visits = |id: EntryId| history.iter().any(|one| one.entry.visit == Some(id));
        let ids: Vec<EntryId> =
            history.iter().map(|one| one.entry.id).filter(|id| !visits(*id)).collect();
        if ids.is_empty() {
            return;
        }
        let id = ids[self.pick(ids.len())];
        // An end of a visit has no name that the oracle knows; nothing else is left out.
        if !self.oracle.entries(device).0.contains(&id) {
            return;
        }
        let now = self.now(device);
        self.oracle.edit_begins(device, now);
        let already =
            self.oracle.retracted(device).remove(&id).unwrap_or_default().contains(&device);
        match instrument.retract(id, "slip", None) {
            Ok(RetractOutcome::Erased) => {
                assert!(self.oracle.is_drafted(device, id));
                self.oracle.erase(device, id);
            }
            Ok(RetractOutcome::Kept) => {
                assert!(!self.oracle.is_drafted(device, id) && !already);
                self.oracle.retract(device, now, id);
            }
            Err(Error::BadInput { .. }) => assert!(already, "{id} at {device}"),
            Err(error) => panic!("{error}"),
        }
    }

    fn settle(&mut self, device: usize, tally: &mut Tally) {
        let instrument = self.instrument(device);
        let mut contested: Vec<ContestedField> = instrument.contested().unwrap();
        if contested.is_empty() {
            return;
        }
        let one = contested.swap_remove(self.pick(contested.len()));
        let keep = self.pick(one.versions.len());
        instrument.settle(&one, keep, None).unwrap();
        let shown = one.versions[keep].shown.to_string();
        self.oracle.write(device, self.now(device), &one.field, shown);
        tally.settled += 1;
    }

    /// What a device shows is what the oracle says.
    fn check(&self, device: usize) {
        let Some(instrument) = &self.devices[device].instrument else { return };
        let contested = instrument.contested().unwrap();
        let shown: BTreeMap<String, Vec<(usize, String)>> = contested
            .into_iter()
            .map(|one| {
                let values = one.versions.into_iter().map(|version| {
                    let by = self.devices.iter().position(|device| device.label == version.device);
                    (by.unwrap_or(usize::MAX), version.shown.to_string())
                });
                let mut values: Vec<_> = values.collect();
                values.sort();
                (one.field, values)
            })
            .collect();
        assert_eq!(shown, self.oracle.contested(device), "contested at {device}");

        let history = instrument.history(&HistoryFilter::default()).unwrap();
        let (named, all) = self.oracle.entries(device);
        let shown: std::collections::BTreeSet<EntryId> =
            history.iter().map(|one| one.entry.id).collect();
        assert!(named.is_subset(&shown), "missing at {device}: {:?}", named.difference(&shown));
        assert_eq!(shown.len(), all, "entries at {device}");
        let retracted: BTreeMap<EntryId, usize> = history
            .iter()
            .filter(|one| !one.retracted.is_empty())
            .map(|one| (one.entry.id, one.retracted.len()))
            .collect();
        let expected: BTreeMap<EntryId, usize> =
            self.oracle.retracted(device).into_iter().map(|(id, by)| (id, by.len())).collect();
        assert_eq!(retracted, expected, "crossed out at {device}");
        let view = instrument.details().unwrap();
        assert_eq!(view.waiting, self.oracle.waiting(device), "waiting at {device}");
    }

    /// Everything goes round until nothing new comes.
    fn finish(&mut self, tally: &mut Tally) {
        let count = self.devices.len();
        for device in 0..count {
            while self.devices[device].instrument.is_none() {
                self.accept(device);
            }
        }
        // Once round gathers everything, the second time gives it to everybody.
        for from in (0..count).chain(0..count - 1) {
            self.hand_over(from, (from + 1) % count, tally);
        }
        let quiet = self.instrument(count - 1).details().unwrap();
        self.hand_over(0, count - 1, tally);
        let still = self.instrument(count - 1).details().unwrap();
        assert!(
            quiet.history_digest == still.history_digest && quiet.people == still.people,
            "no rest"
        );
        let told = work::told(&self.instrument(0));
        for device in 0..self.devices.len() {
            self.check(device);
            assert_eq!(self.oracle.waiting(device), 0, "device {device}");
            let same = work::told(&self.instrument(device));
            assert_eq!(same, told, "device 0 and {device}");
        }
        tally.left += self.oracle.contested(0).len();
        // What one settles is settled for those who hear of it.
        let before = tally.settled;
        self.settle(0, tally);
        if tally.settled > before {
            self.hand_over(0, 1, tally);
            self.check(1);
            assert_eq!(work::told(&self.instrument(1)), work::told(&self.instrument(0)));
        }
    }

    /// One device gives another everything that it has.
    fn hand_over(&mut self, from: usize, to: usize, tally: &mut Tally) {
        let (bytes, load) = self.everything(from);
        self.bring_in(to, &bytes, &load, tally);
    }
}

/// A fact as the library shows it.
fn shown(field: &SpecField) -> String {
    fallaway::text::facts::value(field, &InstrumentSpec::default()).to_string()
}
