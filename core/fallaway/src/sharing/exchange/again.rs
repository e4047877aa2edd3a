//! Lines of this device that are out of the record through no doing of its own are written again, by a
//! new writer: when they leave, or later, where that could not be done just then or somebody else had
//! them.

use std::collections::{HashMap, HashSet};

use fallaway_changes::{ChangeError, ChangeId, Container, Put, VerifiedChange, Writer};
use fallaway_order::PutInOrder as _;
use fallaway_order::{Map, Set};
use fallaway_record::{Entry, EntryId, PrepareError, Record};
use fallaway_sharing::{ChainProof, Role};
use fallaway_store::{Batch, ChangeStanding, Outgoing, OutgoingEdit, StoredSignature};

use super::candidates::{Candidate, Gathered};
use super::outcome::{MergeOutcome, stored};
use super::quotas::DevicesOf;
use super::why_aside::WhyAside;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::secrets::{Identity, SEALED};
use crate::keeping::workshop_state::{own_join, rename_within, renamed_put};

/// What is written again.
#[derive(Default)]
pub(super) struct SaidAgain {
    /// Oldest first.
    lines: Vec<Line>,
    /// Under which names entries were said again before, by their first ones.
    names: Map<EntryId, EntryId>,
}

/// Operations of a change that was written before.
struct Line {
    writer: Writer,
    time: i64,
    puts: Vec<Put>,
}

impl Line {
    fn of(change: &VerifiedChange, puts: Vec<Put>) -> Self {
        Self { writer: change.writer, time: change.time, puts }
    }
}

impl SaidAgain {
    /// The changes of this device that left the document with a fork, or with what somebody else wrote
    /// who was no member in the end; and those that stand beside it for such a reason, or because another
    /// device had used its invitation, as far as they are not said again yet.
    pub(super) fn of(
        loaded: &LoadedRecord,
        identity: &Identity,
        gathered: &Gathered,
        outcome: &MergeOutcome,
    ) -> Self {
        if loaded.role(identity) < Some(Role::Contributor) {
            return Self::default();
        }
        let device = identity.keys.device();
        // Its first invitation had been used: what it wrote in good faith was nobody's.
        let came_second = own_join(loaded, identity).is_some();
        let is_late = |(id, one): &(&ChangeId, &Candidate)| {
            let held = outcome.aside.get(*id);
            one.proof.device == device
                && held.is_some_and(|(standing, why)| {
                    *standing == ChangeStanding::Held
                        && (matches!(why, WhyAside::Fork | WhyAside::Behind)
                            || came_second && *why == WhyAside::Reader)
                })
        };
        let late = gathered.candidates.iter().filter(is_late);
        let mut late: Vec<&VerifiedChange> = late.map(|(_, one)| &one.change).collect();
        if outcome.before.is_none() && late.is_empty() {
            return Self::default();
        }
        late.put_in_order_by_key(|change| (change.time, change.seq, change.id()));
        let devices = DevicesOf::new(loaded);
        let is_own =
            |writer: &Writer| *writer == loaded.writer || devices.of(writer) == Some(device);
        let left = outcome.before.as_ref().map(|before| leaving(before, outcome, &is_own));
        let mut this = Self { lines: left.unwrap_or_default(), names: Map::new() };
        if !late.is_empty() {
            this.add_late(loaded, gathered, &late, &is_own);
        }
        this
    }

    /// Whether something of this writer is written again: its branch ends here.
    pub(super) fn is_of(&self, writer: &Writer) -> bool {
        self.lines.iter().any(|line| line.writer == *writer)
    }

    fn add_late(
        &mut self,
        loaded: &LoadedRecord,
        gathered: &Gathered,
        late: &[&VerifiedChange],
        is_own: &dyn Fn(&Writer) -> bool,
    ) {
        let mut said = Said::of(&loaded.record, is_own, late);
        let mut now: HashSet<EntryId> = HashSet::new();
        for entry in self.lines.iter().flat_map(|line| &line.puts).filter_map(entry_of) {
            now.insert(entry.id);
            said.says(&entry);
        }
        let mut pasts = Pasts::of(loaded, gathered);
        for change in late {
            let entries: Vec<Entry> = change.ops.iter().filter_map(entry_of).collect();
            // Two copies of a device give one name to two entries: one of them comes with the next merge.
            if entries.iter().any(|entry| now.contains(&entry.id)) {
                continue;
            }
            let new: Set<EntryId> =
                entries.iter().filter(|entry| said.says(entry)).map(|entry| entry.id).collect();
            now.extend(&new);
            let mut is_unsaid = |put: &&Put| match (put.container, put.key.parse::<EntryId>()) {
                (Container::LOG, Ok(id)) => new.contains(&id),
                (Container::RETRACTED, Ok(id)) => {
                    let id = said.names.get(&id).copied().unwrap_or(id);
                    !loaded.record.retracted_by(id).iter().any(is_own)
                }
                (Container::LOG | Container::RETRACTED | Container::FORMAT, _) => false,
                _ => pasts.has_last_word(change, put),
            };
            let puts: Vec<Put> = change.ops.iter().filter(|put| is_unsaid(put)).cloned().collect();
            if !puts.is_empty() {
                self.lines.push(Line::of(change, puts));
            }
        }
        self.names = said.names;
    }

    /// Writes the lines on top of what is in the document now; whether there was anything. Entries get
    /// new names and say which they say again.
    pub(super) fn write(
        self,
        loaded: &mut LoadedRecord,
        identity: &Identity,
        batch: &mut Batch,
    ) -> bool {
        let Self { lines, mut names } = self;
        let mut next_entry = loaded.next_entry;
        for put in lines.iter().flat_map(|line| &line.puts) {
            if let (Container::LOG, Ok(old)) = (put.container, put.key.parse::<EntryId>()) {
                names.insert(old, EntryId::new(loaded.writer, next_entry));
                next_entry += 1;
            }
        }
        let mut written = Vec::new();
        for line in lines {
            // What only a newer version can write stays where it is: kept beside the record, and shown.
            let puts = line.puts.iter().filter_map(|put| renamed_put(put, &names, true).ok());
            put_in(loaded, line.time, puts.collect(), &mut written);
        }
        let Some(last) = written.last() else { return false };
        let heads = loaded.members.heads();
        let (keys, incarnation) = (&identity.keys, identity.incarnation);
        let proof = ChainProof::sign(keys, loaded.id, incarnation, last.seq, last.id(), &heads);
        batch.signatures.push(StoredSignature {
            writer: loaded.writer,
            seq: last.seq,
            hash: last.id(),
            bytes: proof.encode(),
        });
        for change in &written {
            batch.changes.push(stored(change, ChangeStanding::Admitted, None));
            batch.outgoing.push(OutgoingEdit::Add(Outgoing::Change(change.id())));
        }
        batch.writers.push(loaded.stored_writer(&identity.incarnation, next_entry));
        batch.counters.push(SEALED);
        loaded.next_entry = next_entry;
        true
    }
}

/// What leaves the document; of values those that were shown.
fn leaving(before: &Record, outcome: &MergeOutcome, is_own: &dyn Fn(&Writer) -> bool) -> Vec<Line> {
    let own = before.links().filter(|link| {
        let left = outcome.left.get(&link.id);
        left.is_some_and(|(_, why)| {
            matches!(why, WhyAside::Fork | WhyAside::Behind | WhyAside::Invitation)
        }) && is_own(&link.writer)
    });
    let line = |change: VerifiedChange| {
        let shown = |put: &&Put| {
            put.container.is_append_only() || {
                let versions = before.versions(put.container, &put.key);
                versions.last().and_then(|version| version.change) == Some(change.id())
            }
        };
        let puts = change.ops.iter().filter(shown).cloned().collect();
        Line::of(&change, puts)
    };
    own.filter_map(|link| before.change(&link.id)).map(line).collect()
}

fn entry_of(put: &Put) -> Option<Entry> {
    let id = put.key.parse().ok().filter(|_| put.container == Container::LOG)?;
    Entry::decode(id, &put.value).ok()
}

/// What entries say, by the names that they had first.
struct Said {
    entries: HashSet<(EntryId, Vec<u8>)>,
    /// The first name of each that says one again.
    firsts: HashMap<EntryId, EntryId>,
    /// Of those in the document the other way round.
    names: Map<EntryId, EntryId>,
}

impl Said {
    /// What this device's own entries in the document say again.
    fn of(record: &Record, is_own: &dyn Fn(&Writer) -> bool, late: &[&VerifiedChange]) -> Self {
        let writers = record.writers().into_iter().filter(is_own);
        let own: Vec<Entry> = writers
            .flat_map(|writer| record.changes_of(&writer))
            .flat_map(|change| change.ops.iter().filter_map(entry_of).collect::<Vec<_>>())
            .filter(|entry| entry.again.is_some())
            .collect();
        let late = late.iter().flat_map(|change| change.ops.iter().filter_map(entry_of));
        let first = |entry: &Entry| entry.again.map(|first| (entry.id, first));
        let firsts = late.filter_map(|entry| first(&entry)).chain(own.iter().filter_map(first));
        let names = own.iter().filter_map(first).map(|(id, first)| (first, id)).collect();
        let mut this = Self { entries: HashSet::new(), firsts: firsts.collect(), names };
        for entry in &own {
            this.says(entry);
        }
        this
    }

    /// Notes what an entry says; whether it is new. What this version cannot write is never that.
    fn says(&mut self, entry: &Entry) -> bool {
        let mut plain = entry.clone();
        let first = |id| self.firsts.get(&id).copied().unwrap_or(id);
        let id = plain.again.take().unwrap_or(plain.id);
        rename_within(&mut plain, first);
        plain.encode().is_ok_and(|bytes| self.entries.insert((id, bytes)))
    }
}

/// What changes follow, to tell whether anybody has said something since.
struct Pasts<'a> {
    loaded: &'a LoadedRecord,
    gathered: &'a Gathered,
    deps: HashMap<ChangeId, Vec<ChangeId>>,
    known: HashMap<ChangeId, HashSet<ChangeId>>,
}

impl<'a> Pasts<'a> {
    fn of(loaded: &'a LoadedRecord, gathered: &'a Gathered) -> Self {
        Self { loaded, gathered, deps: HashMap::new(), known: HashMap::new() }
    }

    /// Whether nobody has put another value in the place of a change's: what stands in the document is
    /// what the change took the place of, and nothing that follows it says more.
    fn has_last_word(&mut self, change: &VerifiedChange, put: &Put) -> bool {
        let id = change.id();
        let versions = self.loaded.record.versions(put.container, &put.key);
        let before = self.of_change(&id);
        if !versions.iter().filter_map(|version| version.change).all(|one| before.contains(&one)) {
            return false;
        }
        let same = |other: &Put| other.container == put.container && other.key == put.key;
        let others = self.gathered.candidates.values().map(|one| &one.change);
        let others = others.filter(|one| one.id() != id && one.ops.iter().any(same));
        let others: Vec<ChangeId> = others.map(VerifiedChange::id).collect();
        !others.iter().any(|other| self.of_change(other).contains(&id))
    }

    fn of_change(&mut self, id: &ChangeId) -> &HashSet<ChangeId> {
        if self.deps.is_empty() {
            let links = self.loaded.record.links().map(|link| (link.id, link.deps));
            let beside = self.gathered.candidates.iter();
            let beside = beside.map(|(id, one)| (*id, one.change.deps.clone()));
            self.deps = links.chain(beside).collect();
        }
        let deps = &self.deps;
        self.known.entry(*id).or_insert_with(|| {
            let mut past = HashSet::new();
            let mut open = vec![*id];
            while let Some(next) = open.pop() {
                let before = deps.get(&next).into_iter().flatten();
                open.extend(before.filter(|dep| past.insert(**dep)));
            }
            past
        })
    }
}

/// Makes one change of these, or two where they are too much for one.
fn put_in(
    loaded: &mut LoadedRecord,
    time: i64,
    mut puts: Vec<Put>,
    written: &mut Vec<VerifiedChange>,
) {
    match loaded.record.prepare(loaded.writer, time, puts.clone()) {
        Ok(prepared) => {
            loaded.record.apply(&prepared);
            written.extend(prepared);
        }
        Err(PrepareError::Malformed(ChangeError::TooLarge(_))) if puts.len() > 1 => {
            let rest = puts.split_off(puts.len() / 2);
            put_in(loaded, time, puts, written);
            put_in(loaded, time, rest, written);
        }
        // They stay where they are, and are tried again with the next merge.
        Err(_) => {}
    }
}
