//! Programs of a member who means harm: everything they send is sealed with the record's own key and
//! signed as it should be. After each of them honest people open the record, write, seal, and meet,
//! and end with the same.

use std::collections::BTreeMap;

use fallaway::{Instrument, Role, Workshop, WorkshopOptions, WriteOptions};
use fallaway_changes::limits::{MAX_TIME, MIN_TIME};
use fallaway_changes::{Change, ChangeId, Container, DeviceId, MemberHash, Put, RecordId};
use fallaway_order::Set;
use fallaway_record::EntryId;
use fallaway_sharing::{Action, DeviceKeys, MemberOp, Payload, bundle_file};

use crate::own_program::OwnProgram;
use crate::realistic::Dice;
use crate::work;
use crate::world::{HandClock, Seeded};

/// When all of it happens, in seconds since 1970.
pub const NOW: i64 = 1_790_000_000;
/// Most changes of one person that a device keeps beside the record, as the library has it.
const SHARE: usize = 512;

/// Two honest people with a record, and a third one.
pub struct House {
    /// The owner.
    pub tech: Workshop,
    /// The record there.
    pub bass: Instrument,
    /// The other honest one, a contributor.
    pub player: Workshop,
    /// The record there.
    pub theirs: Instrument,
    /// The third one.
    pub mallory: OwnProgram,
    /// The owner has removed the third one.
    removed: bool,
    folder: Option<std::path::PathBuf>,
}

fn workshop(label: &str, seed: u64) -> Workshop {
    let clock = Box::new(HandClock::at(NOW));
    Workshop::in_memory(label, clock, Box::new(Seeded::new(seed))).unwrap()
}

fn on_disk(folder: &std::path::Path, seed: u64) -> Workshop {
    Workshop::open(WorkshopOptions {
        clock: Box::new(HandClock::at(NOW)),
        random: Box::new(Seeded::new(seed)),
        ..WorkshopOptions::new(folder, "tech")
    })
    .unwrap()
}

impl House {
    /// A record with two visits, of which everybody has everything. Of some seeds the owner's device
    /// keeps it on disk.
    pub fn new(seed: u64, role: Role, disk: bool) -> Self {
        let folder = disk.then(|| {
            let name = format!("fallaway-hostile-{}-{seed}", std::process::id());
            std::env::temp_dir().join(name)
        });
        let tech = folder.as_deref().map_or_else(|| workshop("tech", seed), |at| on_disk(at, seed));
        let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
        for reading in [9, 12] {
            bass.begin_visit(None, None).unwrap();
            bass.add_pass(work::relief_pass(reading), WriteOptions::sure().by("tech")).unwrap();
            bass.end_visit(None, None).unwrap();
        }
        let everything = || bass.bundle_out().unwrap().file;
        let player = workshop("player", seed ^ 0xff);
        let invitation = bass.invite(Role::Contributor, 9).unwrap();
        let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
        let invitation = bass.invite(role, 9).unwrap();
        let mallory = OwnProgram::join(&invitation.words, &everything(), (0x66, "ours"), NOW);
        tech.bundle_in(&mallory.file(&[Payload::Member(mallory.join.clone())])).unwrap();
        player.bundle_in(&everything()).unwrap();
        tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
        Self { tech, bass, player, theirs, mallory, removed: false, folder }
    }

    /// Honest people read, write, and hand everything over, also to somebody new; all end with the
    /// same.
    pub fn look(&mut self, seed: u64) {
        if let Some(folder) = &self.folder {
            self.tech.shut_down().unwrap();
            self.tech = on_disk(folder, seed);
            self.bass = self.tech.instrument(self.bass.id()).unwrap();
            assert_eq!(self.tech.notices().unwrap(), []);
        }
        let everything = |one: &Instrument| one.bundle_out().unwrap().file;
        // Before they meet both have built on what they got; but whoever is no owner waits where
        // somebody asks for a newer version.
        let apart = self.theirs.add_remark(work::remark("not met yet"), None).is_ok();
        drop(everything(&self.theirs));
        self.bass.write_anyway().unwrap();
        self.bass.add_remark(work::remark("still here"), None).unwrap();
        self.player.bundle_in(&everything(&self.bass)).unwrap();
        self.theirs.add_remark(work::remark("here too"), None).unwrap();
        for _ in 0..2 {
            self.tech.bundle_in(&everything(&self.theirs)).unwrap();
            self.player.bundle_in(&everything(&self.bass)).unwrap();
        }
        if self.removed {
            let file = everything(&self.bass);
            let sealed = bundle_file::read(&file).unwrap();
            assert!(!sealed.iter().any(|one| self.mallory.opens(one)), "the removed one reads on");
        }
        let told = work::told(&self.bass);
        assert_eq!(work::told(&self.theirs), told, "two honest devices differ");
        for line in ["still here", "here too"].into_iter().chain(apart.then_some("not met yet")) {
            assert!(told.contains(line), "honest work is missing: {line}");
        }
        let reader = workshop("reader", seed ^ 0xaa);
        let invitation = self.bass.invite(Role::Viewer, 9).unwrap();
        let copy = reader.accept(&invitation.words, &invitation.welcome).unwrap();
        reader.bundle_in(&everything(&self.bass)).unwrap();
        assert_eq!(
            copy.details().unwrap().history_digest,
            self.bass.details().unwrap().history_digest,
            "the newcomer's"
        );
        for one in [&self.bass, &self.theirs] {
            let view = one.details().unwrap();
            // A member's share, and that of all strangers.
            assert!(view.waiting + view.set_aside <= 2 * SHARE, "{view:?}");
        }
    }
}

impl Drop for House {
    fn drop(&mut self) {
        if let Some(folder) = &self.folder {
            drop(self.tech.shut_down());
            drop(std::fs::remove_dir_all(folder));
        }
    }
}

/// Whom a file is given to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum To {
    /// Everybody.
    Both,
    /// The owner, and not the other one.
    Tech,
    /// The other one.
    Player,
}

/// What a program sends.
pub type Sent = Vec<(To, Vec<Payload>)>;

/// A program, and its name.
type Program = (&'static str, fn(&mut Hand<'_>) -> Sent);

const PROGRAMS: [Program; 15] = [
    ("many writers side by side", |hand| hand.many(|hand, _| hand.base())),
    ("many writers in a lattice", |hand| hand.lattice(2)),
    ("as much in the past as can be named", |hand| hand.lattice(256)),
    ("builds on what nobody has", |hand| hand.many(|hand, _| vec![hand.nobodys()])),
    ("the first of a chain is kept back", |hand| hand.chain(true)),
    ("a chain with a signature for each", |hand| hand.chain(false)),
    ("heads that nobody has seen", |hand| hand.unseen_heads()),
    ("heads that go back", |hand| hand.heads_go_back()),
    ("facts that no version can read", |hand| hand.unreadable()),
    ("hundreds of values of one fact", |hand| hand.many_values()),
    ("a version that nobody has", |hand| hand.versions()),
    ("everything crossed out", |hand| hand.strike()),
    ("clocks at both ends", |hand| hand.times()),
    ("member operations without end", |hand| hand.operations()),
    ("another change for each of the two", |hand| hand.fork()),
];

/// How often each program ran, by its name, and what it sent.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Ran {
    /// Times by name.
    pub programs: BTreeMap<&'static str, u64>,
    /// Payloads that were signed and sealed.
    pub payloads: u64,
    /// Times that the owner took the author's role away between two programs.
    pub demoted: u64,
    /// Times that it removed the author.
    pub removed: u64,
}

/// Runs the programs of these numbers.
///
/// # Panics
/// If anything panics, or honest people cannot go on.
pub fn run(numbers: std::ops::Range<u64>) -> Ran {
    let mut ran = Ran::default();
    for number in numbers {
        let mut dice = Dice::new(number ^ 0x7072_6f67);
        let roles = [Role::Contributor, Role::Contributor, Role::Contributor, Role::Viewer];
        let role = roles[below(&mut dice, roles.len())];
        let disk = dice.roll().is_multiple_of(8);
        let mut house = House::new(number, role, disk);
        // One program, now and then another one after it, which may come after the owner has made
        // its author a viewer or removed it, and says not to have heard of that.
        let again = dice.roll().is_multiple_of(4);
        for second in (0..=u64::from(again)).map(|turn| turn > 0) {
            if second && dice.roll().is_multiple_of(2) {
                let fingerprint = house.mallory.device().fingerprint();
                if dice.roll().is_multiple_of(2) {
                    house.bass.set_role(&fingerprint, Role::Viewer).unwrap();
                    ran.demoted += 1;
                } else {
                    house.bass.remove_member(&fingerprint, true, None).unwrap();
                    house.removed = true;
                    ran.removed += 1;
                }
            }
            let program = any(&mut dice);
            let name = program.0;
            println!("program {number}: {name} ({role})");
            *ran.programs.entry(name).or_default() += 1;
            for (to, payloads) in sent(&house.mallory, program, &mut dice, 16) {
                ran.payloads += payloads.len() as u64;
                let file = house.mallory.file(&payloads);
                for (workshop, not_for) in [(&house.tech, To::Player), (&house.player, To::Tech)] {
                    if to != not_for {
                        drop(workshop.bundle_in(&file));
                    }
                }
            }
            house.look(number);
        }
    }
    ran
}

/// One of the programs.
fn any(dice: &mut Dice) -> Program {
    PROGRAMS[below(dice, PROGRAMS.len())]
}

/// What a program of a member sends; once in so many times it is more than is kept of one person.
fn sent(of: &OwnProgram, program: Program, dice: &mut Dice, large_once_in: u64) -> Sent {
    let large = dice.roll().is_multiple_of(large_once_in);
    (program.1)(&mut Hand { program: of, dice, large })
}

/// What some program of a member sends, and whether it was more than is kept of one person.
pub fn any_sent(of: &OwnProgram, dice: &mut Dice) -> (Sent, bool) {
    let sent = sent(of, any(dice), dice, 6);
    let most = sent.iter().map(|(_, payloads)| payloads.len()).sum::<usize>() > SHARE;
    (sent, most)
}

fn below(dice: &mut Dice, count: usize) -> usize {
    (dice.roll() % count.max(1) as u64) as usize
}

struct Hand<'a> {
    program: &'a OwnProgram,
    dice: &'a mut Dice,
    /// Beyond what is kept of one person.
    large: bool,
}

fn put(container: Container, key: &str, value: &[u8]) -> Put {
    Put { container, key: key.to_owned(), value: value.to_vec() }
}

impl<'a> Hand<'a> {
    const fn mallory(&self) -> &'a OwnProgram {
        self.program
    }

    fn base(&self) -> Vec<ChangeId> {
        self.mallory().base.heads()
    }

    fn count(&mut self) -> u64 {
        if self.large { 600 } else { 2 + self.dice.roll() % 40 }
    }

    fn nobodys(&mut self) -> ChangeId {
        ChangeId::from_bytes([self.dice.roll() as u8; 32])
    }

    fn harmless(&mut self) -> Vec<Put> {
        let value = [0x19, self.dice.roll() as u8, self.dice.roll() as u8 | 1];
        let value = if value[1] == 0 { vec![0x18, value[2].max(24)] } else { value.to_vec() };
        vec![put(Container::SPEC, "wood/top", &value)]
    }

    /// A change of its writer of this number, signed with these heads.
    fn change(
        &self,
        number: u64,
        (seq, time): (u64, i64),
        mut deps: Vec<ChangeId>,
        ops: Vec<Put>,
        heads: &Set<MemberHash>,
    ) -> Option<(ChangeId, Payload)> {
        deps.sort_unstable();
        deps.dedup();
        let (incarnation, writer) = self.mallory().writer(number);
        self.mallory().signed(incarnation, Change { writer, seq, time, deps, ops }, heads)
    }

    /// The first change of a writer.
    fn first(
        &self,
        number: u64,
        deps: Vec<ChangeId>,
        ops: Vec<Put>,
    ) -> Option<(ChangeId, Payload)> {
        self.change(number, (1, NOW), deps, ops, &self.mallory().heads)
    }

    fn many(&mut self, deps: impl Fn(&mut Self, u64) -> Vec<ChangeId>) -> Sent {
        let count = self.count();
        let mut sent = Vec::new();
        for number in 0..count {
            let (deps, ops) = (deps(self, number), self.harmless());
            sent.extend(self.first(number, deps, ops).map(|(_, payload)| payload));
        }
        vec![(To::Both, sent)]
    }

    fn lattice(&mut self, width: usize) -> Sent {
        let count = self.count();
        let mut known = self.base();
        let mut sent = Vec::new();
        for number in 0..count {
            let many = 1 + below(self.dice, width);
            let deps = (0..many).map(|_| known[below(self.dice, known.len())]).collect();
            let ops = self.harmless();
            if let Some((id, payload)) = self.first(number, deps, ops) {
                known.push(id);
                sent.push(payload);
            }
        }
        vec![(To::Both, sent)]
    }

    fn chain(&mut self, without_the_first: bool) -> Sent {
        let mut deps = self.base();
        let mut sent = Vec::new();
        for seq in 1..=self.count() {
            let ops = self.harmless();
            let heads = &self.mallory().heads;
            let (id, payload) = self.change(0, (seq, NOW), deps, ops, heads).unwrap();
            deps = vec![id];
            sent.push(payload);
        }
        vec![(To::Both, sent.split_off(usize::from(without_the_first)))]
    }

    fn unseen_heads(&mut self) -> Sent {
        let mut sent = Vec::new();
        for number in 0..self.count() {
            let heads = [MemberHash::from_bytes([self.dice.roll() as u8; 32])].into();
            let (deps, ops) = (self.base(), self.harmless());
            sent.extend(self.change(number, (1, NOW), deps, ops, &heads).map(|(_, one)| one));
        }
        vec![(To::Both, sent)]
    }

    fn heads_go_back(&mut self) -> Sent {
        let founding = self.mallory().members.iter().find(|op| op.seen().is_empty()).unwrap();
        let earlier = [founding.hash()].into();
        let (deps, ops) = (self.base(), self.harmless());
        let (id, first) = self.first(0, deps, ops).unwrap();
        let ops = self.harmless();
        let (_, second) = self.change(0, (2, NOW), vec![id], ops, &earlier).unwrap();
        vec![(To::Both, vec![first]), (To::Both, vec![second])]
    }

    fn unreadable(&mut self) -> Sent {
        let names = ["name", "frets", "scale", "board", "bridge", "pickups", "courses"];
        let mut ops: Vec<Put> = names
            .iter()
            .map(|key| put(Container::SPEC, key, &[0x82, 0x18, 99, 0x18, 99]))
            .collect();
        ops.extend((1..10).map(|n| put(Container::SPEC, &format!("string/{n}"), &[0x18, 99])));
        ops.push(put(Container::SETUPS, "main/name", &[0x18, 99]));
        let sent = self.first(0, self.base(), ops);
        vec![(To::Both, sent.into_iter().map(|(_, payload)| payload).collect())]
    }

    fn many_values(&mut self) -> Sent {
        let count = self.count();
        let value = |n: u64| [&[0x63][..], format!("{:03}", n % 1000).as_bytes()].concat();
        let sent = (0..count).filter_map(|number| {
            let ops = vec![put(Container::SPEC, "name", &value(number))];
            self.first(number, self.base(), ops).map(|(_, payload)| payload)
        });
        vec![(To::Both, sent.collect())]
    }

    fn versions(&mut self) -> Sent {
        let most = [0x1a, 0xff, 0xff, 0xff, 0xff];
        let demand = |key| put(Container::FORMAT, key, &most);
        let ops = vec![demand("min_reader"), demand("min_writer")];
        let (id, first) = self.first(0, self.base(), ops).unwrap();
        let container = Container(5 + below(self.dice, 250) as u8);
        let newer = vec![put(container, "x", &[0x18, 99])];
        let second = self.change(0, (2, NOW), vec![id], newer, &self.mallory().heads);
        let mut sent = vec![first];
        sent.extend(second.map(|(_, payload)| payload));
        sent.extend((3..20).map(|kind| Payload::Unknown { kind, body: vec![0x82, 1, 2] }));
        vec![(To::Both, sent)]
    }

    fn strike(&mut self) -> Sent {
        let entries = self.mallory().base.state();
        let entries = entries.entries().map(|placed| placed.entry.id.to_string());
        let reason = [0xa2, 0, 0x82, 0, 0, 2, 0x61, b'x'];
        let ops = entries.map(|key| put(Container::RETRACTED, &key, &reason)).collect();
        let sent = self.first(0, self.base(), ops);
        vec![(To::Both, sent.into_iter().map(|(_, payload)| payload).collect())]
    }

    fn times(&mut self) -> Sent {
        let mut sent = Vec::new();
        let mut deps = self.base();
        for (seq, time) in (1..).zip([MAX_TIME, MIN_TIME, 0, -1, NOW]) {
            let (_, writer) = self.mallory().writer(0);
            let key = EntryId::new(writer, [seq, u64::MAX >> 1][below(self.dice, 2)]).to_string();
            let mut value = vec![0x86, 8, 0x1b];
            value.extend(MAX_TIME.to_be_bytes());
            value.extend([0x39, 0x04, 0x37, 0xf6, 0xf6, 0xa1, 0, 0x62, b'o', b'k']);
            let ops = vec![put(Container::LOG, &key, &value)];
            let heads = &self.mallory().heads;
            let Some((id, one)) = self.change(0, (seq, time), deps.clone(), ops, heads) else {
                break;
            };
            deps = vec![id];
            sent.push(one);
        }
        vec![(To::Both, sent)]
    }

    fn operations(&mut self) -> Sent {
        let strangers = DeviceKeys::from_seed(&[0x77; 32]);
        let mut seen = self.mallory().heads.clone();
        let mut sent = Vec::new();
        for number in 0..self.count() {
            let stranger = self.dice.roll().is_multiple_of(2);
            let keys = if stranger { &strangers } else { &self.mallory().keys };
            let device = DeviceId::from_bytes([self.dice.roll() as u8; 32]);
            let action = match self.dice.roll() % 6 {
                0 => Action::Unknown { kind: 13 + self.dice.roll() % 200, body: vec![1] },
                1 => Action::Leave,
                2 => Action::Accept { frontier: Vec::new() },
                3 => Action::Remove {
                    devices: vec![device],
                    frontier: Vec::new(),
                    invites: Vec::new(),
                    reason: Some("because".to_owned()),
                },
                4 => Action::SetRole { device, role: Role::Owner, frontier: Vec::new() },
                _ => Action::Add {
                    device,
                    exchange: keys.exchange(),
                    role: Role::Owner,
                    label: "tech".to_owned(),
                },
            };
            // One of them leaves for good: nothing that it does afterwards counts.
            let action = match action {
                Action::Leave if !stranger && number < 500 => {
                    Action::Accept { frontier: Vec::new() }
                }
                action => action,
            };
            if self.dice.roll().is_multiple_of(3) {
                seen.insert(MemberHash::from_bytes([self.dice.roll() as u8; 32]));
            }
            let id: RecordId = self.mallory().id;
            if let Ok(op) = MemberOp::sign(keys, id, &seen, NOW, action) {
                seen = [op.hash()].into();
                sent.push(Payload::Member(op));
            }
            if self.dice.roll().is_multiple_of(8) {
                seen.clone_from(&self.mallory().heads);
            }
        }
        vec![(To::Both, sent)]
    }

    fn fork(&mut self) -> Sent {
        let mut sent = Vec::new();
        for to in [To::Tech, To::Player] {
            let (base, ops) = (self.base(), self.harmless());
            let (id, one) = self.first(0, base, ops).unwrap();
            let ops = self.harmless();
            let heads = &self.mallory().heads;
            let (_, two) = self.change(0, (2, NOW), vec![id], ops, heads).unwrap();
            sent.push((to, vec![one, two]));
        }
        sent
    }
}
