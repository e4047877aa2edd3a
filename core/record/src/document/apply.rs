//! Admitting changes, a round at once.
//!
//! Every rule is checked before the document library is touched. The library could still panic, or
//! take what it cannot read back: so a round goes into a copy under a guard, and if that fails the
//! round is halved until the change at fault stands alone. That the library reads back what it took
//! is proved once for many rounds, before a snapshot is replaced: see [`Record::read_back`], and
//! [`Record::apply_proved`] for the way back.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use automerge::{Automerge, ChangeHash as LibraryHash};
use fallaway_changes::{ChangeId, Container, VerifiedChange};

use super::append;
use super::check::{self, Pending, Refusal};
use super::contents::{Document, guarded};
use super::rebuild::{self, Wide};
use super::record::Record;
use crate::EntryId;
use crate::registers::is_contested;

/// What became of a round of changes. Places are those in the round, from 0.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Applied {
    /// Admitted now, in the order in which they entered.
    pub admitted: Vec<ChangeId>,
    /// Already in the record.
    pub already: Vec<ChangeId>,
    /// To be kept and tried again.
    pub waiting: Vec<Waiting>,
    /// Never to be admitted.
    pub refused: Vec<Refused>,
    /// Registers that the admitted changes wrote.
    pub touched: Vec<(Container, String)>,
    /// Those of them that have differing values now and had not before.
    pub newly_contested: Vec<(Container, String)>,
    /// Entries that came in.
    pub entries: Vec<EntryId>,
    /// Entries that were crossed out.
    pub retracted: Vec<EntryId>,
}

/// A change that may be admitted later.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiting {
    /// Its place in the round.
    pub index: usize,
    /// Its id.
    pub id: ChangeId,
    /// What it waits for.
    pub reason: Refusal,
}

/// A change that will never be admitted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Its place in the round.
    pub index: usize,
    /// Its id.
    pub id: ChangeId,
    /// Why.
    pub reason: Refusal,
}

/// The document could not be worked on at all; it is as it was.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the document could not be copied: {reason}")]
pub struct ApplyError {
    /// What the document library said.
    pub reason: String,
}

/// What is done to know that the document library reads back what it takes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Proof {
    /// Nothing yet: it is done before the changes get into a snapshot.
    Later,
    /// The document is saved, loaded and compared.
    Now,
}

/// A change of the round that has passed its checks and stands in the graph.
struct Ready<'a> {
    index: usize,
    change: &'a VerifiedChange,
    wide: Wide,
}

impl Record {
    /// Admits what can be admitted of a round of changes, in any order, with duplicates. The record
    /// is either as it was, or holds every admitted change; each change's fate is told.
    ///
    /// # Errors
    /// [`ApplyError`] if the document library cannot even copy the document; the record is as it
    /// was.
    pub fn apply(&mut self, round: &[VerifiedChange]) -> Result<Applied, ApplyError> {
        self.take(round, Proof::Later)
    }

    /// As [`Record::apply`], and admits only changes that the document library reads back as they
    /// are: the document is saved, loaded and compared. The way back if a snapshot turned out not to
    /// be what was put in: open the one before it, and bring the changes in again by this.
    ///
    /// # Errors
    /// As [`Record::apply`].
    pub fn apply_proved(&mut self, round: &[VerifiedChange]) -> Result<Applied, ApplyError> {
        self.take(round, Proof::Now)
    }

    fn take(&mut self, round: &[VerifiedChange], proof: Proof) -> Result<Applied, ApplyError> {
        let mut applied = Applied::default();
        let ready = self.sort(round, &mut applied);
        // Contested before, by register that the round may touch.
        let mut before = BTreeMap::new();
        for put in ready.iter().flat_map(|ready| &ready.change.ops) {
            if !put.container.is_append_only() && put.container.is_known() {
                let key = (put.container, put.key.clone());
                before.entry(key).or_insert_with_key(|(container, key)| {
                    is_contested(*container, key, &self.versions(*container, key))
                });
            }
        }
        let mut entered = Vec::new();
        self.admit(ready, proof, &mut entered, &mut applied)?;
        self.tell(&entered, &before, &mut applied);
        Ok(applied)
    }

    /// Brings the changes of a round into an order in which each follows its dependencies; of two
    /// that are ready the one with the lower id goes first.
    fn sort<'a>(&self, round: &'a [VerifiedChange], applied: &mut Applied) -> Vec<Ready<'a>> {
        let mut found: BTreeMap<ChangeId, Ready<'a>> = BTreeMap::new();
        for (index, change) in round.iter().enumerate() {
            if self.contains(&change.id()) {
                applied.already.push(change.id());
            } else {
                found.entry(change.id()).or_insert(Ready { index, change, wide: Wide::new() });
            }
        }
        let order = in_order(found.values().map(|ready| ready.change));
        order.iter().filter_map(|id| found.remove(id)).collect()
    }

    /// Checks and admits sorted changes; halves them where the document does not take them.
    fn admit<'a>(
        &mut self,
        sorted: Vec<Ready<'a>>,
        proof: Proof,
        entered: &mut Vec<&'a VerifiedChange>,
        applied: &mut Applied,
    ) -> Result<(), ApplyError> {
        let first = self.document().graph.nodes().len();
        let mut pending = Pending::new(&self.document().graph);
        let mut passed = Vec::new();
        for Ready { index, change, .. } in sorted {
            let verdict = guarded(|| check::check(self.document(), &mut pending, change))
                .map_err(|reason| Refusal::Document { reason })
                .and_then(|verdict| verdict);
            let verdict = verdict.and_then(|checked| {
                let entered = checked.enter(&mut self.document_mut().graph, &mut pending, change);
                let reason = "it does not follow its dependencies".to_owned();
                entered.ok_or(Refusal::Document { reason })
            });
            match verdict {
                Ok(wide) => passed.push(Ready { index, change, wide }),
                Err(reason) if reason.is_waiting() => {
                    applied.waiting.push(Waiting { index, id: change.id(), reason });
                }
                Err(reason) => applied.refused.push(Refused { index, id: change.id(), reason }),
            }
        }
        if passed.is_empty() {
            return Ok(());
        }
        match self.attempt(first, &passed, proof) {
            Ok(Ok(doc)) => {
                applied.admitted.extend(passed.iter().map(|ready| ready.change.id()));
                entered.extend(passed.iter().map(|ready| ready.change));
                let changes = passed.iter().map(|ready| ready.change);
                let registers = changes.flat_map(|change| &change.ops);
                let registers = registers.into_iter().any(|put| !put.container.is_append_only());
                self.swap(doc, registers);
                Ok(())
            }
            Ok(Err(reason)) => {
                self.document_mut().graph.truncate(first);
                if let [ready] = passed.as_slice() {
                    applied.refused.push(Refused {
                        index: ready.index,
                        id: ready.change.id(),
                        reason: Refusal::Document { reason },
                    });
                    return Ok(());
                }
                let second = passed.split_off(passed.len() / 2);
                self.admit(passed, proof, entered, applied)?;
                // What depends on a refused change waits for it from now on.
                self.admit(second, proof, entered, applied)
            }
            Err(error) => {
                self.document_mut().graph.truncate(first);
                Err(error)
            }
        }
    }

    /// Builds the changes, which stand in the graph from position `first` on, and applies them to a
    /// copy of the document. The inner error tells what went wrong with the changes, the outer one
    /// that the document itself cannot be copied.
    fn attempt(
        &mut self,
        first: usize,
        passed: &[Ready<'_>],
        proof: Proof,
    ) -> Result<Result<Automerge, String>, ApplyError> {
        let Document { doc, graph } = self.document_mut();
        let mut copy = guarded(|| doc.clone()).map_err(|reason| ApplyError { reason })?;
        let taken = guarded(|| -> Result<Automerge, String> {
            #[cfg(test)]
            tests::poison(passed.iter().map(|ready| ready.change.id()));
            let mut built = Vec::with_capacity(passed.len());
            for (position, ready) in (first as u32..).zip(passed) {
                let deps = graph.node(position).map(|node| node.deps.as_slice());
                let deps = deps.unwrap_or_default().iter().filter_map(|dep| graph.node(*dep));
                let deps = deps.map(|node| LibraryHash(node.library)).collect();
                let change =
                    rebuild::build(ready.change, &ready.wide, deps).ok_or("counted from zero")?;
                graph.set_library(position, change.hash().0);
                built.push((ready.change, change));
            }
            let fits = append::fits(&copy, &built);
            let written = fits && guarded(|| append::write(&mut copy, &built)) == Ok(true);
            if !written {
                if fits {
                    copy = doc.clone();
                }
                let built: Vec<_> = built.into_iter().map(|(_, change)| change).collect();
                copy.apply_changes(built).map_err(|error| error.to_string())?;
            }
            let heads: BTreeSet<_> = graph.heads().map(|node| LibraryHash(node.library)).collect();
            if !copy.get_heads().iter().eq(heads.iter()) {
                return Err("it has other heads than the changes".to_owned());
            }
            Ok(copy)
        });
        let taken = taken.and_then(|taken| taken);
        if proof == Proof::Later {
            return Ok(taken);
        }
        let changes: Vec<_> = passed.iter().map(|ready| ready.change.id()).collect();
        Ok(taken.and_then(|doc| {
            let bytes = guarded(|| doc.save())?;
            self.read_back_from(&bytes, &changes).map(|()| doc)
        }))
    }

    /// Tells what the admitted changes did.
    fn tell(
        &self,
        entered: &[&VerifiedChange],
        before: &BTreeMap<(Container, String), bool>,
        applied: &mut Applied,
    ) {
        let mut touched = BTreeSet::new();
        for change in entered {
            for put in &change.ops {
                match put.container {
                    Container::LOG => applied.entries.extend(put.key.parse::<EntryId>()),
                    Container::RETRACTED => applied.retracted.extend(put.key.parse::<EntryId>()),
                    container => drop(touched.insert((container, put.key.clone()))),
                }
            }
        }
        for (container, key) in touched {
            let was = before.get(&(container, key.clone())).copied().unwrap_or(false);
            if !was && is_contested(container, &key, &self.versions(container, &key)) {
                applied.newly_contested.push((container, key.clone()));
            }
            applied.touched.push((container, key));
        }
    }
}

/// The ids of changes in an order in which each follows its dependencies among them; of two that are
/// ready the lower one goes first.
pub fn in_order<'a>(changes: impl Iterator<Item = &'a VerifiedChange> + Clone) -> Vec<ChangeId> {
    let inside: BTreeSet<ChangeId> = changes.clone().map(VerifiedChange::id).collect();
    let mut open: HashMap<ChangeId, usize> = HashMap::new();
    let mut followers: HashMap<ChangeId, Vec<ChangeId>> = HashMap::new();
    let mut next = BTreeSet::new();
    for change in changes {
        let known = change.deps.iter().filter(|dep| inside.contains(dep));
        let count = known.map(|dep| followers.entry(*dep).or_default().push(change.id())).count();
        if count == 0 {
            next.insert(change.id());
        }
        open.insert(change.id(), count);
    }
    let mut order = Vec::with_capacity(open.len());
    while let Some(id) = next.pop_first() {
        order.push(id);
        for follower in followers.remove(&id).unwrap_or_default() {
            if let Some(count) = open.get_mut(&follower) {
                *count -= 1;
                if *count == 0 {
                    next.insert(follower);
                }
            }
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use fallaway_changes::{Change, OpId, Put, RecordId, Writer};
    use std::cell::Cell;

    thread_local! {
        static POISONED: Cell<Option<ChangeId>> = const { Cell::new(None) };
    }

    /// Stands for a defect of the document library: panics on one change.
    pub(super) fn poison(mut ids: impl Iterator<Item = ChangeId>) {
        let poisoned = POISONED.get();
        assert!(!ids.any(|id| Some(id) == poisoned), "poisoned");
    }

    fn chain(record: &mut Record, number: u8, length: i64) -> Vec<VerifiedChange> {
        let name = |time: i64| Put {
            container: Container::SPEC,
            key: format!("field-{number}-{time}"),
            value: vec![1],
            pred: Vec::new(),
        };
        (0..length)
            .map(|time| {
                let writer = Writer::from_bytes([number; 16]);
                let prepared = record.prepare(writer, time, vec![name(time)]).unwrap();
                record.apply(std::slice::from_ref(&prepared)).unwrap();
                prepared
            })
            .collect()
    }

    #[test]
    fn a_change_that_breaks_the_library_is_found_and_left_out() {
        let id = RecordId::from_bytes([1; 16]);
        let founded = || Record::create(id).unwrap();
        let ours = chain(&mut founded(), 1, 9);
        let theirs = chain(&mut founded(), 2, 4);
        let bad = ours[4].id();
        let round: Vec<_> = ours.iter().chain(&theirs).cloned().collect();
        POISONED.set(Some(bad));
        let mut record = founded();
        let applied = record.apply(&round).unwrap();
        POISONED.set(None);

        assert_eq!(applied.admitted.len(), 4 + 4);
        assert_eq!(applied.refused.len(), 1);
        assert_eq!((applied.refused[0].index, applied.refused[0].id), (4, bad));
        assert!(
            matches!(&applied.refused[0].reason, Refusal::Document { reason } if reason == "panic: poisoned")
        );
        assert_eq!(applied.waiting.len(), 4, "what follows the bad change waits");
        assert_eq!(record.change_count(), 8);
        // With the defect gone the rest enters.
        assert_eq!(record.apply(&round).unwrap().admitted.len(), 5);
        assert_eq!(record.change_count(), 13);
    }

    #[test]
    fn what_the_library_does_not_read_back_is_found_and_left_out() {
        let id = RecordId::from_bytes([1; 16]);
        let founded = || Record::create(id).unwrap();
        let ours = chain(&mut founded(), 1, 9);
        let theirs = chain(&mut founded(), 2, 4);
        let bad = ours[4].id();
        let round: Vec<_> = ours.iter().chain(&theirs).cloned().collect();
        let mut record = founded();
        assert_eq!(record.apply(&round).unwrap().admitted.len(), 13);
        let ids: Vec<_> = round.iter().map(VerifiedChange::id).collect();
        assert_eq!(record.read_back(&record.save().unwrap(), &ids), Ok(()));

        super::super::record::FORGOTTEN.set(Some(bad));
        assert!(record.read_back(&record.save().unwrap(), &ids).is_err());
        let mut again = founded();
        let applied = again.apply_proved(&round).unwrap();
        super::super::record::FORGOTTEN.set(None);
        assert_eq!(applied.admitted.len(), 4 + 4);
        assert_eq!(applied.refused.iter().map(|one| one.id).collect::<Vec<_>>(), [bad]);
        assert_eq!(applied.waiting.len(), 4, "what follows the bad change waits");
        let kept: Vec<_> = applied.admitted;
        assert_eq!(again.read_back(&again.save().unwrap(), &kept), Ok(()));
    }

    /// A writer's changes of one bundle, each putting one value: the same field again and again, or
    /// every field once.
    fn puts(record: &Record, count: u64, keys: u64) -> Vec<VerifiedChange> {
        let writer = Writer::from_bytes([7; 16]);
        let mut deps = record.heads();
        let mut last: BTreeMap<u64, u64> = BTreeMap::new();
        (0..count)
            .map(|number| {
                let start_op = record.next_op() + number;
                let before = last.insert(number % keys, start_op);
                let change = Change {
                    writer,
                    seq: number + 1,
                    start_op,
                    time: 0,
                    deps: std::mem::take(&mut deps),
                    ops: vec![Put {
                        container: Container::SPEC,
                        key: format!("field-{}", number % keys),
                        value: vec![1],
                        pred: before.map(|counter| OpId { counter, writer }).into_iter().collect(),
                    }],
                };
                let change = VerifiedChange::own(&record.id(), change).unwrap();
                deps = vec![change.id()];
                change
            })
            .collect()
    }

    #[test]
    fn what_is_looked_at_grows_with_the_changes_of_a_round_and_no_faster() {
        for keys in [1, u64::MAX] {
            let steps = |count| {
                let mut record = Record::create(RecordId::from_bytes([1; 16])).unwrap();
                let round = puts(&record, count, keys);
                check::STEPS.set(0);
                assert_eq!(record.apply(&round).unwrap().admitted.len() as u64, count);
                check::STEPS.get()
            };
            let (few, many) = (steps(250), steps(2_000));
            assert!(many <= 9 * few.max(250), "{few} steps for 250 changes, {many} for 2000");
        }
    }
}
