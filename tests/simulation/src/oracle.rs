//! What must come of a schedule, told without the library's graph, document or hashes.
//!
//! The oracle numbers changes, writes and member operations in the order in which they were made,
//! so causes always have lower numbers than effects. For each device it keeps what has arrived, and
//! says what of that counts (everything that it rests on has arrived too), which values of a
//! register nobody has superseded, and which entries there are.

use std::collections::{BTreeMap, BTreeSet};

use fallaway::record::EntryId;

/// A value of a register as its author wrote it.
#[derive(Debug, Clone)]
pub struct Write {
    /// Its number.
    pub id: usize,
    /// The register, as `Contested::field` names it.
    pub field: String,
    /// The value in words.
    pub shown: String,
    /// Writes that its author saw, and that it takes the place of.
    pub supersedes: BTreeSet<usize>,
}

/// What becomes one change.
#[derive(Debug, Clone, Default)]
pub struct Work {
    /// Registers.
    pub writes: Vec<Write>,
    /// Entries with a known name.
    pub entries: BTreeSet<EntryId>,
    /// Entries whose name the library did not tell.
    pub nameless: usize,
    /// Entries crossed out.
    pub retracted: BTreeSet<EntryId>,
    /// When the first of it was written, by the author's clock.
    pub begun: i64,
}

impl Work {
    fn is_empty(&self) -> bool {
        self.writes.is_empty()
            && self.entries.is_empty()
            && self.nameless == 0
            && self.retracted.is_empty()
    }
}

#[derive(Debug)]
struct Change {
    author: usize,
    /// Changes that counted for its author when it was sealed.
    seen: BTreeSet<usize>,
    /// Member operations that counted for its author then.
    members: BTreeSet<usize>,
    work: Work,
}

/// What a bundle file carries.
#[derive(Debug, Clone, Default)]
pub struct Load {
    changes: BTreeSet<usize>,
    members: BTreeSet<usize>,
}

impl Load {
    /// Whether it carries nothing.
    pub fn is_empty(&self) -> bool {
        self.changes.is_empty() && self.members.is_empty()
    }
}

#[derive(Debug, Default)]
struct Device {
    changes: BTreeSet<usize>,
    members: BTreeSet<usize>,
    /// What this device has made and not put out yet.
    outgoing: Load,
    draft: Option<Work>,
    /// The member operation that makes it a member.
    joined: Option<usize>,
}

/// Everything that was done.
#[derive(Debug, Default)]
pub struct Oracle {
    changes: Vec<Change>,
    /// Member operations by what they saw.
    members: Vec<BTreeSet<usize>>,
    devices: Vec<Device>,
    writes: usize,
}

impl Oracle {
    /// Devices that know nothing, but the first, which founds the record.
    pub fn new(devices: usize) -> Self {
        let mut oracle = Self::default();
        oracle.devices.resize_with(devices, Device::default);
        oracle.members.push(BTreeSet::new());
        oracle.devices[0].members.insert(0);
        oracle.devices[0].outgoing.members.insert(0);
        oracle.devices[0].joined = Some(0);
        oracle
    }

    /// The device makes an invitation; its number.
    pub fn invite(&mut self, device: usize) -> usize {
        let seen = self.known_members(device);
        self.member_op(device, seen)
    }

    /// The device uses an invitation.
    pub fn join(&mut self, device: usize, invitation: usize) {
        let join = self.member_op(device, [invitation].into());
        self.devices[device].joined = Some(join);
    }

    fn member_op(&mut self, device: usize, seen: BTreeSet<usize>) -> usize {
        let op = self.members.len();
        self.members.push(seen);
        self.devices[device].members.insert(op);
        self.devices[device].outgoing.members.insert(op);
        op
    }

    /// Whether the device is a member as far as it can see.
    pub fn is_member(&self, device: usize) -> bool {
        let joined = self.devices[device].joined;
        joined.is_some_and(|op| self.known_members(device).contains(&op))
    }

    fn known_members(&self, device: usize) -> BTreeSet<usize> {
        let mut known = BTreeSet::new();
        for op in &self.devices[device].members {
            if self.members[*op].is_subset(&known) {
                known.insert(*op);
            }
        }
        known
    }

    /// Changes that count at a device.
    fn admitted(&self, device: usize) -> BTreeSet<usize> {
        let members = self.known_members(device);
        let mut admitted = BTreeSet::new();
        for number in &self.devices[device].changes {
            let change = &self.changes[*number];
            if change.seen.is_subset(&admitted) && change.members.is_subset(&members) {
                admitted.insert(*number);
            }
        }
        admitted
    }

    /// How many changes have arrived at a device and cannot count yet.
    pub fn waiting(&self, device: usize) -> usize {
        self.devices[device].changes.len() - self.admitted(device).len()
    }

    /// Whether the device has the change that founds the instrument's facts.
    pub fn has_facts(&self, device: usize) -> bool {
        self.admitted(device).contains(&0) || (device == 0 && self.changes.is_empty())
    }

    /// All work that a device sees, its draft last, with who did it.
    fn seen_work(&self, device: usize) -> Vec<(usize, &Work)> {
        let sealed = self.admitted(device).into_iter().map(|number| {
            let change = &self.changes[number];
            (change.author, &change.work)
        });
        let draft = self.devices[device].draft.iter().map(|draft| (device, draft));
        sealed.chain(draft).collect()
    }

    /// Values of each register that nobody has superseded, as far as a device sees: number, author,
    /// value in words.
    pub fn standing(&self, device: usize) -> BTreeMap<String, Vec<(usize, usize, String)>> {
        let work = self.seen_work(device);
        let gone: BTreeSet<usize> = work
            .iter()
            .flat_map(|(_, work)| &work.writes)
            .flat_map(|write| write.supersedes.iter().copied())
            .collect();
        let mut standing: BTreeMap<String, Vec<(usize, usize, String)>> = BTreeMap::new();
        for (author, work) in work {
            for write in work.writes.iter().filter(|write| !gone.contains(&write.id)) {
                let values = standing.entry(write.field.clone()).or_default();
                values.push((write.id, author, write.shown.clone()));
            }
        }
        standing
    }

    /// Registers with two or more different values, with every value and its author, sorted.
    pub fn contested(&self, device: usize) -> BTreeMap<String, Vec<(usize, String)>> {
        let standing = self.standing(device).into_iter();
        let contested = standing.filter_map(|(field, values)| {
            let differ = values.iter().any(|(_, _, shown)| *shown != values[0].2);
            let mut values: Vec<_> = values.into_iter().map(|(_, by, shown)| (by, shown)).collect();
            values.sort();
            differ.then_some((field, values))
        });
        contested.collect()
    }

    /// Entries that a device sees by name, and how many there are in all.
    pub fn entries(&self, device: usize) -> (BTreeSet<EntryId>, usize) {
        let work = self.seen_work(device);
        let named: BTreeSet<EntryId> =
            work.iter().flat_map(|(_, work)| work.entries.iter().copied()).collect();
        let nameless: usize = work.iter().map(|(_, work)| work.nameless).sum();
        let all = named.len() + nameless;
        (named, all)
    }

    /// How many have crossed out each entry, as far as a device sees.
    pub fn retracted(&self, device: usize) -> BTreeMap<EntryId, Vec<usize>> {
        let mut retracted: BTreeMap<EntryId, Vec<usize>> = BTreeMap::new();
        for (author, work) in self.seen_work(device) {
            for id in &work.retracted {
                retracted.entry(*id).or_default().push(author);
            }
        }
        retracted
    }

    /// Whether an entry is a line of the device's draft.
    pub fn is_drafted(&self, device: usize, entry: EntryId) -> bool {
        let draft = self.devices[device].draft.as_ref();
        draft.is_some_and(|draft| draft.entries.contains(&entry))
    }

    /// An edit begins, whatever comes of it: a draft older than half an hour becomes a change.
    pub fn edit_begins(&mut self, device: usize, now: i64) {
        if self.devices[device].draft.as_ref().is_some_and(|draft| now - draft.begun > 1800) {
            self.seal(device);
        }
    }

    /// The draft, for one more edit at a time by the device's clock.
    fn draft(&mut self, device: usize, now: i64) -> &mut Work {
        self.edit_begins(device, now);
        self.devices[device].draft.get_or_insert_with(|| Work { begun: now, ..Work::default() })
    }

    /// The device writes an entry.
    pub fn entry(&mut self, device: usize, now: i64, id: EntryId) {
        self.draft(device, now).entries.insert(id);
    }

    /// The device ends a visit.
    pub fn end_visit(&mut self, device: usize, now: i64) {
        self.draft(device, now).nameless += 1;
        self.seal(device);
    }

    /// The device erases a line of its draft.
    pub fn erase(&mut self, device: usize, id: EntryId) {
        let draft = &mut self.devices[device].draft;
        if let Some(work) = draft {
            work.entries.remove(&id);
            if work.is_empty() {
                *draft = None;
            }
        }
    }

    /// The device crosses an entry out.
    pub fn retract(&mut self, device: usize, now: i64, id: EntryId) {
        self.draft(device, now).retracted.insert(id);
    }

    /// The device writes a register: what it sees there is superseded.
    pub fn write(&mut self, device: usize, now: i64, field: &str, shown: String) {
        self.edit_begins(device, now);
        let draft = self.devices[device].draft.iter_mut().flat_map(|work| &mut work.writes);
        if let Some(write) = draft.into_iter().find(|write| write.field == field) {
            // Still the same edit: what its author saw at first stays superseded.
            write.shown = shown;
            return;
        }
        let standing = self.standing(device).remove(field).unwrap_or_default();
        let supersedes = standing.into_iter().map(|(id, _, _)| id).collect();
        let id = self.writes;
        self.writes += 1;
        let write = Write { id, field: field.to_owned(), shown, supersedes };
        self.draft(device, now).writes.push(write);
    }

    /// The device's draft, if there is one, becomes a change.
    pub fn seal(&mut self, device: usize) {
        let Some(work) = self.devices[device].draft.take() else { return };
        let number = self.changes.len();
        let seen = self.admitted(device);
        let members = self.known_members(device);
        self.changes.push(Change { author: device, seen, members, work });
        self.devices[device].changes.insert(number);
        self.devices[device].outgoing.changes.insert(number);
    }

    /// The device puts a bundle file out.
    pub fn bundle_out(&mut self, device: usize, everything: bool) -> Load {
        self.seal(device);
        let changes = self.handed_on(device);
        let device = &mut self.devices[device];
        let new = std::mem::take(&mut device.outgoing);
        if everything { Load { changes, members: device.members.clone() } } else { new }
    }

    /// What a device has of people whom it knows, and what that builds on.
    fn handed_on(&self, device: usize) -> BTreeSet<usize> {
        let members = self.known_members(device);
        let here = &self.devices[device].changes;
        let mut handed_on = BTreeSet::new();
        for number in here {
            let change = &self.changes[*number];
            if change.author == device || change.members.is_subset(&members) {
                handed_on.insert(*number);
                handed_on.extend(change.seen.intersection(here));
            }
        }
        handed_on
    }

    /// A bundle file comes in at a device.
    pub fn bundle_in(&mut self, device: usize, load: &Load) {
        self.seal(device);
        let device = &mut self.devices[device];
        device.changes.extend(&load.changes);
        device.members.extend(&load.members);
    }
}
