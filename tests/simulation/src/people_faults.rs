//! The faults of [`crate::people`]: what happens to people, devices and files.

use std::fs;
use std::ops::ControlFlow;
use std::path::Path;

use fallaway::{Error, ProgressListener, Role, Workshop};
use fallaway_sharing::{Action, MemberOp, Payload, bundle_file};

use crate::hostile_program::{To, any_sent};
use crate::newer::Newer;
use crate::own_program::OwnProgram;
use crate::people::{Parcel, START, World, remove};
use crate::work;
use crate::world::copy_folder;

/// Every fault that a schedule may draw.
pub const FAULTS: [&str; 29] = [
    "parcel lost",
    "parcel twice",
    "parcel late and out of order",
    "partition",
    "clock jumped",
    "removed",
    "removed by two at once",
    "removed one another",
    "left",
    "made a viewer",
    "made an owner",
    "viewer joined",
    "own device joined",
    "invitation used twice",
    "invitation stolen",
    "invitation withdrawn",
    "forgot and came back",
    "copied with its keys",
    "restored without its keys",
    "killed in a call",
    "disk full",
    "call stopped",
    "trimmed",
    "held work accepted",
    "program of its own",
    "removed one's program",
    "more than is kept of one",
    "newer version",
    "recovered by words",
];

/// Breaks a call off at a step.
struct StopAt(u64);

impl ProgressListener for StopAt {
    fn at(&self, done: u64, _: u64) -> ControlFlow<()> {
        if done >= self.0 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

impl World {
    /// Now and then a member's library is newer, and one's program is its own; of those some become
    /// owners, and get ready to take the record from its founder.
    pub(crate) fn strangers_programs(&mut self) {
        let everything = |world: &Self| world.file_of(0, true).unwrap();
        if self.chance(30) {
            let invitation = self.invite(Role::Contributor).unwrap();
            let file = everything(self);
            let mut program = OwnProgram::join(&invitation.words, &file, (0x66, "ours"), START);
            self.bring_in(0, &program.file(&[Payload::Member(program.join.clone())]));
            if self.chance(40) {
                let bass = self.bass(0).unwrap();
                bass.set_role(&program.device().fingerprint(), Role::Owner).unwrap();
                program.hear(&everything(self));
                let founder = program.members.iter().find(|op| op.seen().is_empty()).unwrap();
                let action = Action::Remove {
                    devices: vec![*founder.device()],
                    frontier: Vec::new(),
                    invites: Vec::new(),
                    reason: None,
                };
                let op = MemberOp::sign(&program.keys, program.id, &program.heads, START, action);
                self.coup = op.ok().map(Payload::Member);
            }
            self.hostile = Some(program);
        }
        if self.chance(15) {
            let invitation = self.invite(Role::Contributor).unwrap();
            let newer = Newer::join(&invitation.words, &everything(self), 0x4e, START);
            self.bring_in(0, &newer.file(START + 60));
            self.count("newer version");
        }
        for device in 1..self.devices.len() {
            self.carry(0, device, true);
        }
    }

    pub(crate) fn fault(&mut self) {
        match self.dice.between(1, 25) {
            1 => self.partition(),
            2 => self.jump(),
            3 | 4 => self.removal(),
            5 => self.two_remove(),
            6 => self.leave(),
            7 => self.demote(),
            8 => self.promote(),
            9 => self.newcomer(),
            10 => self.own_device(),
            11 => self.joined_twice(),
            12 => self.stolen(),
            13 => self.withdrawn(),
            14 => self.come_back(),
            15 => self.copy(),
            16 | 17 => self.restore(),
            18 | 19 => self.kill(),
            20 => self.fill(),
            21 => self.stop(),
            22 => self.trim(),
            23 => self.accept_held(),
            24 => self.program(),
            _ => self.coup(),
        }
    }

    /// A file leaves, and gets there once, twice, late or never.
    pub(crate) fn post(&mut self, from: usize) {
        let everything = self.dice.roll().is_multiple_of(3);
        let Some(file) = self.file_of(from, everything) else { return };
        for to in (0..self.devices.len()).filter(|to| *to != from).collect::<Vec<_>>() {
            match self.dice.between(1, 10) {
                1..=4 => self.count("parcel lost"),
                5..=8 => self.parcels.push(Parcel { from, to, file: file.clone() }),
                _ => {
                    self.count("parcel twice");
                    for _ in 0..2 {
                        self.parcels.push(Parcel { from, to, file: file.clone() });
                    }
                }
            }
        }
    }

    /// Any of the parcels arrives, not the oldest first.
    pub(crate) fn deliver(&mut self) {
        if self.parcels.is_empty() {
            return;
        }
        let at = (self.dice.roll() % self.parcels.len() as u64) as usize;
        if !self.reach(self.parcels[at].from, self.parcels[at].to) {
            return;
        }
        if at > 0 {
            self.count("parcel late and out of order");
        }
        let parcel = self.parcels.swap_remove(at);
        self.tell(&format_args!("a parcel of {}", parcel.from));
        self.bring_in(parcel.to, &parcel.file);
    }

    fn partition(&mut self) {
        if !self.cut.is_empty() {
            self.cut.clear();
            return;
        }
        self.count("partition");
        for one in 0..self.devices.len() {
            for other in one + 1..self.devices.len() {
                if self.chance(50) {
                    self.cut.insert((one, other));
                }
            }
        }
    }

    fn jump(&mut self) {
        let device = self.any();
        let far = [7_200, 31_000_000, 300_000_000][self.dice.between(0, 2) as usize];
        let seconds = self.dice.between(-far, far);
        self.devices[device].clock.clock.wind(seconds);
        self.count("clock jumped");
    }

    /// An owner, as it sees itself.
    fn owner(&mut self) -> Option<usize> {
        let device = if self.chance(60) { self.head } else { self.any() };
        let role = self.bass(device)?.details().unwrap().role;
        (role == Some(Role::Owner)).then_some(device)
    }

    /// One owner removes one device.
    fn remove_by(&mut self, owner: usize, device: usize) -> bool {
        let fingerprint = self.devices[device].fingerprint.clone();
        let (all, before) = (self.chance(30), self.people(owner));
        match self.bass(owner).unwrap().remove_member(&fingerprint, all, None) {
            Ok(()) => {}
            // It was there before, or it is oneself that would go with it.
            Err(Error::NotAllowed { .. } | Error::NotFound { .. }) => return false,
            Err(error) => panic!("{error}"),
        }
        // With the person's other devices.
        let left = self.people(owner);
        for one in before.difference(&left).cloned().collect::<Vec<_>>() {
            self.put_out(owner, &one, true);
        }
        true
    }

    fn removal(&mut self) {
        let Some(owner) = self.owner() else { return };
        let Some(device) = self.member(owner) else { return };
        if self.remove_by(owner, device) {
            self.count("removed");
            self.write(device);
            self.write(owner);
        }
    }

    fn two_remove(&mut self) {
        let head = self.head;
        let Some(device) = self.member(head) else { return };
        let owners: Vec<usize> = (0..self.devices.len())
            .filter(|one| *one != head && *one != device && !self.is_out(*one))
            .filter(|one| {
                let role = self.bass(*one).and_then(|bass| bass.details().unwrap().role);
                role == Some(Role::Owner)
            })
            .collect();
        let other = if let Some(other) = owners.first() {
            *other
        } else {
            let Some(other) = self.member(head).filter(|one| *one != device) else { return };
            let fingerprint = self.devices[other].fingerprint.clone();
            self.bass(head).unwrap().set_role(&fingerprint, Role::Owner).unwrap();
            self.carry(head, other, true);
            other
        };
        if self.remove_by(other, device) {
            self.write(other);
            if self.remove_by(head, device) {
                self.count("removed by two at once");
                self.write(head);
            }
            self.write(device);
        }
    }

    fn leave(&mut self) {
        let Some(device) = self.member(self.head) else { return };
        let Some(bass) = self.bass(device) else { return };
        // Others may have built on what nobody else has; it is handed over, as leaving asks for.
        if bass.leave().is_ok() {
            let fingerprint = self.devices[device].fingerprint.clone();
            self.put_out(device, &fingerprint, true);
            self.out.entry(fingerprint).or_default().left = true;
            self.carry(device, self.head, true);
            self.count("left");
            self.write(device);
        }
    }

    fn demote(&mut self) {
        let Some(owner) = self.owner() else { return };
        let Some(device) = self.member(owner) else { return };
        let fingerprint = self.devices[device].fingerprint.clone();
        if self.bass(owner).unwrap().set_role(&fingerprint, Role::Viewer).is_ok() {
            self.put_out(owner, &fingerprint, false);
            self.count("made a viewer");
            self.write(device);
        }
    }

    fn promote(&mut self) {
        let head = self.head;
        let Some(device) = self.member(head) else { return };
        let fingerprint = self.devices[device].fingerprint.clone();
        self.bass(head).unwrap().set_role(&fingerprint, Role::Owner).unwrap();
        self.carry(head, device, true);
        self.count("made an owner");
    }

    fn newcomer(&mut self) {
        let device = self.add();
        let viewer = self.chance(50);
        self.join_as(device, if viewer { Role::Viewer } else { Role::Contributor });
        if viewer {
            self.count("viewer joined");
            assert_eq!(self.write(device), None, "a viewer writes nothing");
        }
    }

    fn own_device(&mut self) {
        let device = self.any();
        let Some(bass) = self.bass(device) else { return };
        let role = bass.details().unwrap().role.unwrap_or(Role::Viewer).min(Role::Contributor);
        let Ok(invitation) = bass.invite_own_device(role, 300) else { return };
        let second = self.add();
        if self.accept(second, &invitation) {
            self.guests.insert(self.devices[second].fingerprint.clone());
            self.carry(device, second, true);
            self.carry(second, device, true);
            self.count("own device joined");
            self.write(second);
        }
    }

    fn joined_twice(&mut self) {
        let Some(invitation) = self.invite(Role::Contributor) else { return };
        for _ in 0..2 {
            let device = self.add();
            if self.accept(device, &invitation) {
                self.rivals.insert(self.devices[device].fingerprint.clone());
                self.carry(self.head, device, true);
                self.write(device);
                let to = self.any();
                self.carry(device, to, true);
                self.write(to);
            }
        }
        self.count("invitation used twice");
    }

    /// Somebody else has read words and file, and is quicker than the guest; the head sees who has come,
    /// and removes it.
    fn stolen(&mut self) {
        let Some(invitation) = self.invite(Role::Contributor) else { return };
        let (thief, guest) = (self.add(), self.add());
        if self.accept(thief, &invitation) {
            self.carry(self.head, thief, true);
            self.carry(thief, self.head, true);
            self.accept(guest, &invitation);
            if self.remove_by(self.head, thief) {
                self.count("invitation stolen");
            }
            self.write(thief);
            self.write(self.head);
            self.join_as(guest, Role::Contributor);
        }
    }

    fn withdrawn(&mut self) {
        let Some(invitation) = self.invite(Role::Contributor) else { return };
        let late = self.add();
        self.bass(self.head).unwrap().withdraw(&invitation.id).unwrap();
        if self.accept(late, &invitation) {
            self.write(late);
            self.carry(late, self.head, true);
            let known = self.people(self.head);
            assert!(!known.contains(&self.devices[late].fingerprint), "it was withdrawn");
            self.count("invitation withdrawn");
        }
    }

    fn come_back(&mut self) {
        let Some(device) = self.member(self.head) else { return };
        // What nobody else has is forgotten with it: that is meant.
        self.carry(device, self.head, true);
        if self.bass(device).is_none() {
            return;
        }
        let known = self.said(self.head);
        self.devices[device].lines.retain(|line| known.contains_key(line));
        self.devices[device].workshop.remove_from_this_device(self.id).unwrap();
        self.join_as(device, Role::Contributor);
        if self.bass(device).is_none() {
            // By its clock the invitation has expired.
            self.away.insert(self.devices[device].fingerprint.clone());
        }
        self.write(device);
        self.carry(device, self.head, true);
        self.count("forgot and came back");
    }

    fn copy(&mut self) {
        let Some(device) = self.member(self.head) else { return };
        let label = self.devices[device].label.clone();
        let folder = self.home.join(format!("copy {}", self.devices.len()));
        self.devices[device].workshop.shut_down().unwrap();
        copy_folder(&self.devices[device].folder, &folder);
        self.reopen(device);
        let fingerprint = self.devices[device].fingerprint.clone();
        self.doubled.insert(fingerprint);
        let other = self.add_from(folder, label);
        self.count("copied with its keys");
        for one in [device, other] {
            self.write(one);
            // One that forgot the record and could not come back has none.
            drop(self.bass(one).map(|bass| bass.bundle_out().unwrap()));
        }
    }

    /// A backup is made, or one comes back whose keys are those of today.
    fn restore(&mut self) {
        let device = self.any();
        let Some((backup, met)) = self.devices[device].backup.take() else {
            let folder = self.home.join(format!("backup {device}"));
            self.devices[device].workshop.pause().unwrap();
            copy_folder(&self.devices[device].folder, &folder);
            let met = self.devices[device].met.clone();
            self.devices[device].backup = Some((folder, met));
            return;
        };
        self.write(device);
        let to = if device == self.head { self.any() } else { self.head };
        if to != device {
            self.carry(device, to, true);
        }
        drop(self.devices[device].workshop.shut_down());
        let folder = self.devices[device].folder.clone();
        remove(&backup.join("keys"));
        copy_folder(&folder.join("keys"), &backup.join("keys"));
        remove(&folder);
        fs::rename(&backup, &folder).unwrap();
        self.reopen(device);
        // Of who came and went since it has not heard.
        self.devices[device].met = met;
        self.doubled.insert(self.devices[device].fingerprint.clone());
        // What had reached nobody is gone with the disk.
        let (own, others) = (self.said(device), self.said(to));
        let is_somewhere = |line: &String| own.contains_key(line) || others.contains_key(line);
        self.devices[device].lines.retain(is_somewhere);
        let lines = &self.devices[device].lines;
        let away = lines.iter().filter(|line| !own.contains_key(*line)).cloned();
        self.only_at.extend(away.map(|line| (line, to)));
        self.count("restored without its keys");
    }

    /// A device dies in the middle of a call, and begins again with what was on its disk just then.
    fn kill(&mut self) {
        let device = self.any();
        let (before, met) = (self.said(device), self.devices[device].met.clone());
        let (folder, image) = (self.devices[device].folder.clone(), self.home.join("image"));
        let clock = self.devices[device].clock.clone();
        let after = self.dice.between(0, 4) as u32;
        let call = self.dice.between(1, 3);
        clock.crash_after(after, &folder, &image);
        let mut under_way = None;
        match call {
            1 => under_way = self.write(device),
            2 => drop(self.bass(device).map(|bass| bass.bundle_out().unwrap())),
            _ => {
                let from = self.any();
                if from != device {
                    self.carry(from, device, true);
                }
            }
        }
        if !clock.crashed() {
            return;
        }
        drop(self.devices[device].workshop.shut_down());
        remove(&folder);
        fs::rename(&image, &folder).unwrap();
        self.reopen(device);
        // What came with the call may be gone with it, and who came by it.
        self.devices[device].met = met;
        let known = self.people(device);
        self.devices[device].met.extend(known);
        let found = self.said(device);
        if call < 3 {
            let lost = before.keys().find(|line| !found.contains_key(*line));
            assert_eq!(lost, None, "what had returned is gone ({device})");
        }
        if let Some(text) = under_way.filter(|text| !found.contains_key(text)) {
            self.devices[device].lines.remove(&text);
        }
        self.count("killed in a call");
    }

    fn fill(&mut self) {
        let device = self.any();
        drop(self.devices[device].workshop.shut_down());
        let one = &self.devices[device];
        let (folder, label, clock) = (one.folder.clone(), one.label.clone(), one.clock.clone());
        let bytes = database(&folder);
        let pages = (bytes / 4096) as u32 + self.dice.between(0, 2) as u32;
        if let Ok(workshop) = self.open(&folder, (&label, &clock), Some(pages)) {
            self.devices[device].workshop = workshop;
            if self.fill_up(device) {
                self.count("disk full");
            }
        }
        self.reopen(device);
        let said = self.said(device);
        let known = self.people(device);
        if known.contains(&self.devices[device].fingerprint) && !self.is_doubtful(device) {
            let lost = self.devices[device].lines.iter().find(|line| !said.contains_key(*line));
            assert_eq!(lost, None, "what had returned is gone ({device})");
        }
    }

    /// Whether work of a device may be held for a good reason.
    fn is_doubtful(&self, device: usize) -> bool {
        let fingerprint = &self.devices[device].fingerprint;
        self.out.contains_key(fingerprint) || self.doubled.contains(fingerprint)
    }

    /// Writes until there is no room.
    fn fill_up(&mut self, device: usize) -> bool {
        let Some(bass) = self.bass(device) else { return false };
        self.speak_for(device);
        for number in 0..40 {
            let long =
                format!("long {} {number} {}", self.devices[device].label, "x".repeat(1_500));
            match bass.add_remark(work::remark(&long), None) {
                Ok(_) => {}
                Err(Error::Full { .. }) => return true,
                Err(Error::NotAllowed { .. } | Error::ReadOnly { .. }) => return false,
                Err(error) => panic!("{error:?}"),
            }
        }
        false
    }

    fn stop(&mut self) {
        let (from, to) = (self.any(), self.any());
        let before = self.said(to);
        let Some(file) = self.file_of(from, true).filter(|_| from != to) else { return };
        let at = self.dice.between(0, 2) as u64;
        let workshop: &Workshop = &self.devices[to].workshop;
        if let Err(Error::Cancelled) = workshop.bundle_in_watched(&file, &StopAt(at)) {
            assert_eq!(self.said(to), before, "a call that was stopped did nothing");
            self.count("call stopped");
        }
        self.bring_in(to, &file);
    }

    fn trim(&mut self) {
        let device = self.any();
        self.devices[device].workshop.trim().unwrap();
        self.count("trimmed");
    }

    fn accept_held(&mut self) {
        let bass = self.bass(self.head).unwrap();
        let held = bass.held().unwrap();
        let Some(one) = held.first() else { return };
        match bass.accept_held(&one.fingerprint) {
            Ok(_) => {
                self.count("held work accepted");
                // Whatever of theirs is late may be in from now on: an owner has looked at it.
                let late = self.out.get(&one.fingerprint).map(|out| out.late.clone());
                self.evidence.extend(late.into_iter().flatten());
            }
            Err(Error::NotFound { .. }) => {}
            Err(error) => panic!("{error}"),
        }
    }

    /// A member's own program sends what it likes to some of the others, before or after it was removed.
    fn program(&mut self) {
        let Some(program) = self.hostile.take() else { return };
        let fingerprint = program.device().fingerprint();
        let head = self.head;
        if self.chance(40) && self.people(head).contains(&fingerprint) {
            self.bass(head).unwrap().remove_member(&fingerprint, false, None).unwrap();
            self.count("removed one's program");
            self.write(head);
        }
        let (sent, most) = any_sent(&program, &mut self.dice);
        // It begins with the same numbers each time.
        let again = self.faults.get("program of its own").is_some_and(|times| *times > 0);
        self.forked |= again || sent.iter().any(|(to, _)| *to != To::Both);
        for (to, payloads) in sent {
            let file = program.file(&payloads);
            for device in 0..self.devices.len() {
                let half = device.is_multiple_of(2);
                if to == To::Both || (to == To::Tech) == half {
                    self.bring_in(device, &file);
                }
            }
        }
        self.count("program of its own");
        if most {
            self.hostile_held = true;
            self.count("more than is kept of one");
        }
        let file = self.file_of(head, true).unwrap();
        let sealed = bundle_file::read(&file).unwrap();
        if !self.people(head).contains(&fingerprint) {
            let opens = sealed.iter().any(|one| program.opens(one));
            assert!(!opens, "the removed one reads on");
        }
        self.hostile = Some(program);
    }

    /// The founder removes an owner who says that it has removed the founder just before.
    fn coup(&mut self) {
        let Some(op) = self.coup.take() else { return };
        let Some(program) = &self.hostile else { return };
        let (file, fingerprint) = (program.file(&[op]), program.device().fingerprint());
        for device in 1..self.devices.len() {
            if self.chance(50) {
                self.bring_in(device, &file);
                self.write(device);
            }
        }
        if self.people(0).contains(&fingerprint) {
            self.bass(0).unwrap().remove_member(&fingerprint, false, None).unwrap();
        }
        self.bring_in(0, &file);
        let known = self.people(0);
        assert!(known.contains(&self.devices[0].fingerprint) && !known.contains(&fingerprint));
        self.count("removed one another");
    }

    /// The founder's device is lost: whoever has the words goes on with a new one.
    pub(crate) fn recover(&mut self) {
        let Some(bass) = self.bass(0) else { return };
        let Some(words) = bass.recovery_words().unwrap() else { return };
        let file = bass.bundle_out().unwrap().file;
        let new = self.add();
        self.devices[new].workshop.recover(&words, &file).unwrap();
        let lost = self.devices[0].fingerprint.clone();
        let bass = self.bass(new).unwrap();
        self.put_out(new, &lost, true);
        bass.remove_with_words(&words, &[lost], Some("lost")).unwrap();
        bass.renew_recovery_words(&words).unwrap();
        self.head = new;
        self.write(0);
        self.write(new);
        self.count("recovered by words");
    }
}

/// How large a device's database is, in bytes.
fn database(folder: &Path) -> u64 {
    fs::metadata(folder.join("fallaway.db")).map_or(0, |file| file.len())
}
