//! Random schedules of devices that share a record by a relay, over a network that loses, doubles and
//! spoils what it carries, and a relay that is wiped, goes back to yesterday's copy and asks to come later.
//! Now and then a file goes by hand, or two meet in one room over a stream that may be cut. In the end
//! every device and the relay have everything.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;
use std::sync::{Arc, Mutex};

use fallaway::meeting::MeetingOutcome;
use fallaway::record::{EntryBody, SpecField};
use fallaway::sync::{
    ExchangeFault, HttpMethod, HttpRequest, HttpResponse, HttpTransport, NoAnswer, SyncBlocked,
    SyncOutcome, SyncReport,
};
use fallaway::{Error, HistoryFilter, Instrument, ProgressListener, Role, Workshop};
use fallaway_relay::{Desk, Engine, MemoryShelves, Policy, Quotas};

use crate::met;
use crate::realistic::Dice;
use crate::work;
use crate::world::{HandClock, Seeded};

const START: i64 = 1_780_000_000;
const URL: &str = "https://relay.example";
const OTHER: &str = "https://other.example";

/// How often each fault has happened, so that a test can see that it did.
#[derive(Debug, Clone, Copy, Default)]
pub struct RelayFaults {
    /// Requests that never arrived.
    pub lost: usize,
    /// Answers that never arrived: the relay has done what was asked.
    pub unanswered: usize,
    /// Requests that arrived twice.
    pub doubled: usize,
    /// Answers that were damaged or cut.
    pub spoiled: usize,
    /// Answers that asked to come later.
    pub busy: usize,
    /// Exchanges that were stopped on the way.
    pub stopped: usize,
    /// The relay lost everything.
    pub wiped: usize,
    /// The relay went back to an earlier copy.
    pub went_back: usize,
    /// Files carried by hand beside the relay.
    pub by_hand: usize,
    /// Two that met in one room.
    pub met: usize,
    /// Meetings that were cut on the way.
    pub cut: usize,
    /// Members removed, so that the log's access changed.
    pub removed: usize,
    /// Newcomers who got the history from the relay.
    pub joined: usize,
    /// A log was found other than it was, and read anew.
    pub rebuilt: usize,
    /// A newcomer knocked, since the others had gone on under another key.
    pub knocked: usize,
    /// An exchange was refused for good, as it has to be for who was removed.
    pub shut_out: usize,
    /// Pushes that the relay had no room for.
    pub full: usize,
    /// A device was shown a log of its own, and what it pushed was not shown to the others.
    pub two_views: usize,
    /// A relay was found to show two devices different things.
    pub accused: usize,
}

impl RelayFaults {
    /// Every count of what must happen in a hundred schedules, by its name.
    pub fn counts(&self) -> [(&'static str, usize); 18] {
        [
            ("lost", self.lost),
            ("unanswered", self.unanswered),
            ("doubled", self.doubled),
            ("spoiled", self.spoiled),
            ("busy", self.busy),
            ("stopped", self.stopped),
            ("wiped", self.wiped),
            ("went back", self.went_back),
            ("by hand", self.by_hand),
            ("met", self.met),
            ("cut", self.cut),
            ("removed", self.removed),
            ("joined", self.joined),
            ("rebuilt", self.rebuilt),
            ("knocked", self.knocked),
            ("shut out", self.shut_out),
            ("full", self.full),
            ("two views", self.two_views),
        ]
    }

    /// The sum of both.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            lost: self.lost + other.lost,
            unanswered: self.unanswered + other.unanswered,
            doubled: self.doubled + other.doubled,
            spoiled: self.spoiled + other.spoiled,
            busy: self.busy + other.busy,
            stopped: self.stopped + other.stopped,
            wiped: self.wiped + other.wiped,
            went_back: self.went_back + other.went_back,
            by_hand: self.by_hand + other.by_hand,
            met: self.met + other.met,
            cut: self.cut + other.cut,
            removed: self.removed + other.removed,
            joined: self.joined + other.joined,
            rebuilt: self.rebuilt + other.rebuilt,
            knocked: self.knocked + other.knocked,
            shut_out: self.shut_out + other.shut_out,
            full: self.full + other.full,
            two_views: self.two_views + other.two_views,
            accused: self.accused + other.accused,
        }
    }
}

/// The network, and the relay behind it.
struct Network {
    desk: Desk,
    /// Another relay.
    other: Desk,
    /// The relay as it shows itself to one device alone.
    aside: Mutex<Option<Desk>>,
    shelves: MemoryShelves,
    inner: Mutex<(Dice, RelayFaults)>,
    /// Percent of requests that something happens to.
    rough: Mutex<i64>,
}

impl HttpTransport for Network {
    fn send(&self, request: &HttpRequest) -> Result<HttpResponse, NoAnswer> {
        let rough = *self.rough.lock().unwrap();
        let mut inner = self.inner.lock().unwrap();
        let (dice, faults) = &mut *inner;
        let aside = self.aside.lock().unwrap();
        let desk = if request.url.starts_with(OTHER) { &self.other } else { &self.desk };
        let answer = || aside.as_ref().unwrap_or(desk).answer(request, START);
        if dice.between(1, 100) > rough {
            return Ok(answer());
        }
        match dice.between(1, 6) {
            1 => {
                faults.lost += 1;
                Err(ExchangeFault::Offline.into())
            }
            2 => {
                faults.unanswered += 1;
                answer();
                Err(ExchangeFault::Slow.into())
            }
            3 => {
                faults.doubled += 1;
                answer();
                Ok(answer())
            }
            4 => {
                faults.spoiled += 1;
                let mut answer = answer();
                let place = dice.roll() as usize % (answer.body.len() + 1);
                match answer.body.get_mut(place) {
                    Some(byte) => *byte ^= 1 << (dice.roll() % 8),
                    None => answer.headers.clear(),
                }
                Ok(answer)
            }
            5 if request.method == HttpMethod::Post => {
                faults.full += 1;
                let headers = vec![("Fallaway-Problem".to_owned(), "quota".to_owned())];
                Ok(HttpResponse { status: 507, headers, body: Vec::new() })
            }
            _ => {
                faults.busy += 1;
                let headers = vec![("Retry-After".to_owned(), "1".to_owned())];
                Ok(HttpResponse { status: 503, headers, body: Vec::new() })
            }
        }
    }

    fn wait(&self, _: u64) {}
}

/// Stops after so many steps.
struct Patience(Mutex<i64>);

impl ProgressListener for Patience {
    fn at(&self, _: u64, _: u64) -> ControlFlow<()> {
        let mut left = self.0.lock().unwrap();
        *left -= 1;
        if *left == 0 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

struct Device {
    label: String,
    workshop: Workshop,
    clock: HandClock,
    fingerprint: String,
    /// Written on this device while it was a member.
    lines: BTreeSet<String>,
    removed: bool,
}

struct World {
    dice: Dice,
    seed: u64,
    network: Network,
    yesterday: MemoryShelves,
    devices: Vec<Device>,
    texts: u64,
}

/// Runs the schedule of a seed.
///
/// # Panics
/// If the records differ in the end, or a line is missing or doubled.
pub fn run(seed: u64) -> RelayFaults {
    let mut world = World::begin(seed);
    for _ in 0..world.dice.between(10, 40) {
        world.step();
    }
    world.finish();
    world.network.inner.into_inner().unwrap().1
}

/// When the relay that a record moves away from loses everything.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lost {
    /// Never.
    Never,
    /// Before the record moves.
    Before,
    /// After that, and before anybody has said so there.
    AtOnce,
    /// When whoever moved it has left word there.
    AfterTheWord,
    /// Before the newcomers have come in.
    BeforeAnyoneCame,
    /// Somewhen, with whatever else happens.
    Somewhen,
}

impl Lost {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Never,
        Self::Before,
        Self::AtOnce,
        Self::AfterTheWord,
        Self::BeforeAnyoneCame,
        Self::Somewhen,
    ];
}

/// The record moves to another relay, and whoever meets the others at the former one alone goes with it,
/// whenever that one loses what it has.
///
/// # Panics
/// As [`run`].
pub fn moves(seed: u64, lost: Lost) {
    let mut world = World::begin(seed);
    *world.network.rough.lock().unwrap() = 0;
    let all: Vec<usize> = (0..world.devices.len()).collect();
    let wipe = |world: &World| {
        world.network.shelves.restore(&MemoryShelves::default());
        world.faults(|faults| faults.wiped += 1);
    };
    if lost != Lost::BeforeAnyoneCame {
        for device in all.iter().chain(&all).chain(&all) {
            world.bass(*device).sync(&world.network).unwrap();
        }
    }
    if lost == Lost::Before {
        wipe(&world);
    }
    let mover = if lost == Lost::BeforeAnyoneCame { 0 } else { world.any() };
    world.bass(mover).set_relay(Some(OTHER)).unwrap();
    if lost == Lost::AfterTheWord {
        world.bass(mover).sync(&world.network).unwrap();
    }
    if lost == Lost::Somewhen {
        *world.network.rough.lock().unwrap() = world.dice.between(0, 40);
        for step in 0..20 {
            if step == seed % 20 {
                wipe(&world);
            }
            world.step();
        }
    } else if lost != Lost::Never {
        wipe(&world);
    }
    for device in all {
        world.write(device);
    }
    world.finish();
}

impl World {
    fn begin(seed: u64) -> Self {
        let dice = Dice::new(seed ^ 0x7265_6c61);
        let shelves = MemoryShelves::default();
        let engine = Engine::in_memory(shelves.clone(), Quotas::default());
        let other = Engine::in_memory(MemoryShelves::default(), Quotas::default());
        let network = Network {
            desk: Desk::new(Arc::new(engine), Policy::default()),
            other: Desk::new(Arc::new(other), Policy::default()),
            aside: Mutex::new(None),
            shelves,
            inner: Mutex::new((Dice::new(seed ^ 0x6e65_7477), RelayFaults::default())),
            rough: Mutex::new(0),
        };
        let yesterday = MemoryShelves::default();
        let mut world = Self { dice, seed, network, yesterday, devices: Vec::new(), texts: 0 };
        let founder = world.add();
        let bass = world.devices[founder].workshop.add_instrument("bass-4", "stage bass").unwrap();
        bass.set_relay(Some(URL)).unwrap();
        for _ in 0..world.dice.between(1, 3) {
            world.join();
        }
        *world.network.rough.lock().unwrap() = world.dice.between(0, 40);
        world
    }

    fn add(&mut self) -> usize {
        let number = self.devices.len();
        let label = format!("device {number}");
        let clock = HandClock::at(START + self.dice.between(-90_000, 90_000));
        let random = Seeded::new(self.seed.wrapping_mul(64).wrapping_add(number as u64));
        let workshop =
            Workshop::in_memory(&label, Box::new(clock.clone()), Box::new(random)).unwrap();
        let fingerprint = workshop.device().unwrap().fingerprint;
        let lines = BTreeSet::new();
        self.devices.push(Device { label, workshop, clock, fingerprint, lines, removed: false });
        number
    }

    fn faults(&self, note: impl FnOnce(&mut RelayFaults)) {
        note(&mut self.network.inner.lock().unwrap().1);
    }

    fn bass(&self, device: usize) -> Instrument {
        self.devices[device].workshop.instrument_named("stage").unwrap()
    }

    /// A newcomer: everything comes from the relay.
    fn join(&mut self) {
        if self.devices.len() == 6 {
            return;
        }
        let invited = self.bass(0).invite(Role::Contributor, 300).unwrap();
        let device = self.add();
        self.devices[device].workshop.accept(&invited.words, &invited.welcome).unwrap();
        self.faults(|faults| faults.joined += 1);
    }

    fn step(&mut self) {
        let device = self.any();
        match self.dice.between(1, 100) {
            1..=35 => self.write(device),
            36..=75 => drop(self.sync(device)),
            76..=79 => self.listen(device),
            80..=82 => self.by_hand(device),
            83..=84 => self.meet(device),
            85..=88 => self.yesterday = self.network.shelves.copy(),
            89..=91 => {
                self.network.shelves.restore(&self.yesterday);
                self.faults(|faults| faults.went_back += 1);
            }
            92..=93 => {
                self.network.shelves.restore(&MemoryShelves::default());
                self.faults(|faults| faults.wiped += 1);
            }
            94..=95 => self.remove(),
            96 => self.shown_another(device),
            97..=98 => self.join(),
            _ => self.devices[device].workshop.trim().unwrap(),
        }
    }

    fn any(&mut self) -> usize {
        (self.dice.roll() % self.devices.len() as u64) as usize
    }

    fn write(&mut self, device: usize) {
        self.texts += 1;
        let text = format!("line {} of {}", self.texts, self.devices[device].label);
        let bass = self.bass(device);
        match bass.add_remark(work::remark(&text), None) {
            Ok(_) if self.devices[device].removed => {}
            Ok(_) => drop(self.devices[device].lines.insert(text.clone())),
            Err(Error::NotAllowed { .. }) => return,
            Err(error) => panic!("{device}: {error}"),
        }
        if self.dice.between(1, 100) <= 30 {
            let about = SpecField::About(format!("as of {text}"));
            bass.set_spec(&about, None).unwrap();
        }
    }

    fn sync(&mut self, device: usize) -> SyncOutcome {
        let steps = if self.dice.between(1, 100) <= 15 { self.dice.between(1, 3) } else { 0 };
        let patience = Patience(Mutex::new(steps));
        let report = self.bass(device).sync_watched(&self.network, &patience);
        let report = report.unwrap_or_else(|e| panic!("seed {}: {device}: {e}", self.seed));
        self.faults(|faults| {
            faults.stopped += usize::from(report.outcome == SyncOutcome::Stopped);
            faults.rebuilt += usize::from(report.rebuilt);
        });
        self.accused(&report);
        self.judge(device, report.outcome);
        report.outcome
    }

    /// A relay is accused of nothing that it has not done.
    fn accused(&self, report: &SyncReport) {
        let honest = {
            let faults = &self.network.inner.lock().unwrap().1;
            (faults.two_views, faults.wiped, faults.went_back) == (0, 0, 0)
        };
        assert!(!honest || report.doubts.is_empty(), "seed {}: {report:?}", self.seed);
        self.faults(|faults| faults.accused += report.doubts.len());
    }

    /// Only whoever was removed may be shut out for good; that others come in is seen at the end.
    fn judge(&self, device: usize, outcome: SyncOutcome) {
        if outcome == SyncOutcome::Blocked(SyncBlocked::Knocked) {
            self.faults(|faults| faults.knocked += 1);
        } else if let SyncOutcome::Blocked(why) = outcome {
            // A newcomer can have a newer key than the relay knows, until another member comes; or have heard
            // an answer from before the last change of keys.
            let shut_out =
                matches!(why, SyncBlocked::NoAccess | SyncBlocked::NoKey | SyncBlocked::NotYet);
            assert!(shut_out, "seed {}: {device}: {why:?}", self.seed);
            self.faults(|faults| faults.shut_out += 1);
        }
    }

    fn listen(&mut self, device: usize) {
        let report = self.bass(device).wait_for_news(&self.network).unwrap();
        self.judge(device, report.outcome);
    }

    fn by_hand(&mut self, from: usize) {
        let to = self.any();
        if to == from {
            return;
        }
        let bundle = self.bass(from).bundle_out();
        let bundle = match bundle {
            Ok(bundle) => bundle,
            Err(Error::Keys { .. }) => return,
            Err(error) => panic!("{error}"),
        };
        match self.devices[to].workshop.bundle_in(&bundle.file) {
            Ok(_) | Err(Error::Refused { .. }) => {}
            Err(error) => panic!("from {from} to {to}: {error}"),
        }
        self.faults(|faults| faults.by_hand += 1);
    }

    /// In one room. What has come before the stream is cut stays.
    fn meet(&mut self, comes: usize) {
        let listens = self.any();
        if listens == comes {
            return;
        }
        let cut = (self.dice.between(1, 100) <= 40).then(|| self.dice.between(0, 6_000) as usize);
        let both = [&self.devices[comes].workshop, &self.devices[listens].workshop];
        for report in met::meet(both, cut) {
            let report = report.unwrap_or_else(|e| panic!("seed {}: met: {e}", self.seed));
            let is_cut = matches!(report.outcome, MeetingOutcome::Failed(_));
            assert!(!is_cut || cut.is_some(), "seed {}: {report:?}", self.seed);
            self.faults(|faults| {
                faults.met += usize::from(report.outcome == MeetingOutcome::UpToDate);
                faults.cut += usize::from(is_cut);
            });
        }
    }

    /// The relay shows a device a log of its own for one exchange.
    fn shown_another(&mut self, device: usize) {
        self.write(device);
        let engine = Engine::in_memory(self.network.shelves.copy(), Quotas::default());
        let desk = Desk::new(Arc::new(engine), Policy::default());
        *self.network.aside.lock().unwrap() = Some(desk);
        self.sync(device);
        *self.network.aside.lock().unwrap() = None;
        self.faults(|faults| faults.two_views += 1);
    }

    fn remove(&mut self) {
        let device = self.any();
        let fingerprint = self.devices[device].fingerprint.clone();
        let people = self.bass(0).details().unwrap().people;
        let known = |one: &Device| people.iter().any(|p| p.fingerprint == one.fingerprint);
        if device == 0 || self.devices[device].removed || !known(&self.devices[device]) {
            return;
        }
        // Who has joined and is not known yet is left behind by one change of keys, and knocks.
        let left_behind = self.devices.iter().any(|one| !one.removed && !known(one));
        if left_behind && self.devices.iter().any(|one| one.removed) {
            return;
        }
        self.bass(0).remove_member(&fingerprint, false, None).unwrap();
        self.devices[device].removed = true;
        self.faults(|faults| faults.removed += 1);
        self.write(device);
    }

    fn finish(&mut self) {
        *self.network.rough.lock().unwrap() = 0;
        let seed = self.seed;
        let stay: Vec<usize> =
            (0..self.devices.len()).filter(|one| !self.devices[*one].removed).collect();
        // Three until everybody is in, two for what the last one brings, two until each has said what it has.
        for round in 0..7 {
            for device in &stay {
                // What each has said to have is an hour old.
                self.devices[*device].clock.wind(7_200);
                let report = self.bass(*device).sync(&self.network).unwrap();
                self.judge(*device, report.outcome);
                // Whoever knocked is let in by the others' next exchange, and goes on with its own.
                let ended = report.outcome == SyncOutcome::UpToDate;
                assert!(ended || round < 3, "seed {seed}: {device} in round {round}: {report:?}");
            }
        }
        let founder = self.bass(0);
        let told = work::told(&founder);
        let mut said: BTreeMap<String, usize> = BTreeMap::new();
        for one in founder.history(&HistoryFilter::default()).unwrap() {
            if let EntryBody::Remark(remark) = one.entry.body {
                *said.entry(remark.text).or_default() += 1;
            }
        }
        for device in stay {
            let one = &self.devices[device];
            let bass = self.bass(device);
            assert_eq!(work::told(&bass), told, "seed {seed}: {}", one.label);
            for line in &one.lines {
                assert_eq!(said.get(line), Some(&1), "seed {seed}: {line}\n{said:#?}");
            }
            let relay = bass.relay().unwrap().unwrap();
            assert_eq!((relay.waiting, relay.set_aside), (0, 0), "seed {seed}: {}", one.label);
            // Everybody is known to have everything, and no relay is accused any longer.
            for state in bass.device_states().unwrap() {
                let by = &one.label;
                assert_eq!(state.not_known, 0, "seed {seed}: by {by}: {state:?}");
            }
            // And then nothing more is sent, nor comes.
            let report = bass.sync(&self.network).unwrap();
            assert_eq!((report.sent, report.received), (0, 0), "seed {seed}: {}", one.label);
            assert!(report.doubts.is_empty(), "seed {seed}: {report:?}");
        }
    }
}
