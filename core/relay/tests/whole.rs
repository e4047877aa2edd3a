//! Whole devices and a whole relay: stores in folders, processes, TCP between them. Devices are killed in
//! the middle of an exchange, the relay too; it goes back to yesterday's folder, and loses everything. In the
//! end every device has every line that it was told is kept, once, and the relay's files show none of them.
//!
//! `FALLAWAY_WHOLE` sets how many schedules are run (4 if it is not set), and `FALLAWAY_SEED` runs a single one.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

#[path = "common/process.rs"]
mod process;

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write as _;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use std::{env, fs, thread};

use fallaway::record::{EntryBody, Remark};
use fallaway::sync::{
    ExchangeFault, HttpRequest, HttpResponse, HttpTransport, NoAnswer, SyncOutcome,
};
use fallaway::{HistoryFilter, Instrument, Role, Workshop, WorkshopOptions};
use process::{Relay, connect, reply, request};

/// Tells a child whose store it opens, and where the relay is.
const FOLDER: &str = "FALLAWAY_WHOLE_FOLDER";
const ADDRESS: &str = "FALLAWAY_WHOLE_ADDRESS";
/// Stands in every line.
const PLANTED: &str = "planted words of the player";

/// A connection for each request.
struct Tcp(SocketAddr);

impl Tcp {
    fn answer(&self, asked: &HttpRequest) -> std::io::Result<HttpResponse> {
        let path = asked.url.splitn(4, '/').nth(3).unwrap_or_default();
        let headers: Vec<(&str, &str)> =
            asked.headers.iter().map(|(name, value)| (*name, value.as_str())).collect();
        let mut stream = connect(self.0)?;
        stream.write_all(&request(
            asked.method.as_str(),
            &format!("/{path}"),
            &headers,
            &asked.body,
        ))?;
        let answer = reply(&mut stream)?;
        Ok(HttpResponse { status: answer.status, headers: answer.headers, body: answer.body })
    }
}

impl HttpTransport for Tcp {
    fn send(&self, request: &HttpRequest) -> Result<HttpResponse, NoAnswer> {
        self.answer(request).map_err(|_| ExchangeFault::Offline.into())
    }

    fn wait(&self, millis: u64) {
        thread::sleep(Duration::from_millis(millis.min(20)));
    }
}

fn open(folder: &Path) -> Workshop {
    let label = folder.file_name().unwrap().to_str().unwrap();
    Workshop::open(WorkshopOptions::new(folder, label)).unwrap()
}

fn bass(workshop: &Workshop) -> Instrument {
    workshop.instrument_named("stage").unwrap()
}

/// A child's part: one exchange. Does nothing unless a parent asks for it.
#[test]
fn child() {
    let (Some(folder), Ok(address)) = (env::var_os(FOLDER), env::var(ADDRESS)) else { return };
    let workshop = open(&PathBuf::from(folder));
    bass(&workshop).sync(&Tcp(address.parse().unwrap())).unwrap();
}

/// Numbers that follow from a seed (SplitMix64: Steele, Lea and Flood, OOPSLA 2014).
struct Dice(u64);

impl Dice {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % end
    }

    fn pause(&mut self, most_ms: u64) {
        thread::sleep(Duration::from_millis(self.below(most_ms)));
    }
}

fn copy(from: &Path, to: &Path) {
    let _ = fs::remove_dir_all(to);
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
    }
}

struct World {
    dice: Dice,
    folder: PathBuf,
    relay: Option<Relay>,
    address: SocketAddr,
    /// The folder of each device, and what it was told is kept.
    devices: Vec<(PathBuf, BTreeSet<String>)>,
    faults: BTreeMap<&'static str, usize>,
}

impl World {
    fn begin(seed: u64, folder: &Path) -> Self {
        let relay = Relay::start(folder, &["--new-logs", "0", "--pushes", "0", "--quiet"]);
        let address = relay.address;
        let mut world = Self {
            dice: Dice(seed),
            folder: folder.to_owned(),
            relay: Some(relay),
            address,
            devices: Vec::new(),
            faults: BTreeMap::new(),
        };
        for number in 0..2 + world.dice.below(2) {
            let folder = folder.join(format!("device {number}"));
            fs::create_dir_all(&folder).unwrap();
            let workshop = open(&folder);
            match world.devices.first() {
                None => {
                    let bass = workshop.add_instrument("bass-4", "stage bass").unwrap();
                    bass.set_relay(Some(&format!("http://{address}"))).unwrap();
                }
                Some((first, _)) => {
                    let first = open(first);
                    let invited = bass(&first).invite(Role::Contributor, 7).unwrap();
                    workshop.accept(&invited.words, &invited.welcome).unwrap();
                    // Both ways, so that everybody is known before anything is lost.
                    for one in [&first, &workshop, &first, &workshop] {
                        bass(one).sync(&Tcp(address)).unwrap();
                    }
                }
            }
            world.devices.push((folder, BTreeSet::new()));
        }
        let (data, yesterday) = world.folders();
        world.stopped(|_| copy(&data, &yesterday));
        world
    }

    fn folders(&self) -> (PathBuf, PathBuf) {
        (self.folder.join("data"), self.folder.join("yesterday"))
    }

    /// Kills the relay, does something to what it leaves, and starts it again at the same place.
    fn stopped(&mut self, then: impl FnOnce(&Path)) {
        self.relay.take().unwrap().kill();
        then(&self.folder);
        let listen = self.address.to_string();
        let more = ["--listen", &listen, "--new-logs", "0", "--pushes", "0", "--quiet"];
        self.relay = Some(Relay::start(&self.folder, &more));
    }

    fn count(&mut self, fault: &'static str) {
        *self.faults.entry(fault).or_default() += 1;
    }

    fn any(&mut self) -> usize {
        self.dice.below(self.devices.len() as u64) as usize
    }

    fn exchange(&self, device: usize) -> Child {
        Command::new(env::current_exe().unwrap())
            .args(["--exact", "child"])
            .env(FOLDER, &self.devices[device].0)
            .env(ADDRESS, self.address.to_string())
            .stdout(Stdio::null())
            .spawn()
            .unwrap()
    }

    fn write(&mut self, device: usize, number: usize) {
        let text = format!("{PLANTED}, {number}");
        let (folder, lines) = &mut self.devices[device];
        let remark = Remark { text: text.clone(), ..Remark::default() };
        bass(&open(folder)).add_remark(remark, None).unwrap();
        lines.insert(text);
    }

    fn step(&mut self, number: usize) {
        let device = self.any();
        let (data, yesterday) = self.folders();
        match self.dice.below(16) {
            0..=5 => self.write(device, number),
            6..=7 => {
                let other = self.any();
                for mut child in [self.exchange(device), self.exchange(other)] {
                    assert!(child.wait().unwrap().success());
                }
                self.count("two at once");
            }
            8..=10 => {
                let mut child = self.exchange(device);
                self.dice.pause(120);
                child.kill().unwrap();
                child.wait().unwrap();
                self.count("a device killed");
            }
            11..=12 => {
                let mut child = self.exchange(device);
                self.dice.pause(120);
                self.stopped(|_| ());
                assert!(child.wait().unwrap().success());
                self.count("the relay killed");
            }
            13 => self.stopped(|_| copy(&data, &yesterday)),
            14 => {
                self.stopped(|_| copy(&yesterday, &data));
                self.count("yesterday's folder");
            }
            _ => {
                self.stopped(|_| fs::remove_dir_all(&data).unwrap());
                self.count("everything lost");
            }
        }
    }

    fn finish(&mut self, seed: u64) {
        let all: Vec<Workshop> = self.devices.iter().map(|(folder, _)| open(folder)).collect();
        for _ in 0..3 {
            for one in &all {
                bass(one).sync(&Tcp(self.address)).unwrap();
            }
        }
        for (one, (folder, _)) in all.iter().zip(&self.devices) {
            let report = bass(one).sync(&Tcp(self.address)).unwrap();
            let left = (report.outcome, report.sent, report.received);
            assert_eq!(left, (SyncOutcome::UpToDate, 0, 0), "seed {seed}: {}", folder.display());
            assert_eq!(
                bass(one).relay().unwrap().unwrap().waiting,
                0,
                "seed {seed}: {}",
                folder.display()
            );
        }
        let kept: Vec<String> =
            self.devices.iter().flat_map(|(_, lines)| lines.iter().cloned()).collect();
        for (one, (folder, _)) in all.iter().zip(&self.devices) {
            let history = bass(one).history(&HistoryFilter::default()).unwrap();
            let said = history.into_iter().filter_map(|line| match line.entry.body {
                EntryBody::Remark(remark) => Some(remark.text),
                _ => None,
            });
            let (mut said, mut kept) = (said.collect::<Vec<_>>(), kept.clone());
            said.sort_unstable();
            kept.sort_unstable();
            assert_eq!(said, kept, "seed {seed}: {}", folder.display());
        }
        self.relay.take().unwrap().kill();
        for file in fs::read_dir(self.folders().0).unwrap() {
            let bytes = fs::read(file.unwrap().path()).unwrap();
            let planted = PLANTED.as_bytes();
            assert!(!bytes.windows(planted.len()).any(|part| part == planted), "seed {seed}");
        }
    }
}

#[test]
fn whatever_is_killed_all_have_every_line_once() {
    let number = |name: &str| env::var(name).ok().map(|text| text.parse::<u64>().unwrap());
    let seeds = match number("FALLAWAY_SEED") {
        Some(seed) => seed..seed + 1,
        None => 0..number("FALLAWAY_WHOLE").unwrap_or(4),
    };
    let (count, mut faults) = (seeds.end - seeds.start, BTreeMap::new());
    for seed in seeds {
        let folder = tempfile::tempdir().unwrap();
        let mut world = World::begin(seed, folder.path());
        for number in 0..8 + world.dice.below(8) as usize {
            world.step(number);
        }
        world.finish(seed);
        for (fault, count) in world.faults {
            *faults.entry(fault).or_insert(0) += count;
        }
    }
    println!("{count} schedules: {faults:?}");
    assert!(count < 20 || faults.len() == 5, "{faults:?}");
}
