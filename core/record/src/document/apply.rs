//! Admitting changes, a round at once.
//!
//! The document library can panic on hostile input, and can accept what it cannot read back. So a
//! round goes into a copy under a guard; the copy is saved, loaded and compared before it takes the
//! place of the document. If that fails the round is halved until the change at fault stands alone.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use automerge::Automerge;
use fallaway_changes::{Change, ChangeHash, Container};

use super::check::{self, Pending, Refusal};
use super::graph::{Graph, NewNode};
use super::rebuild;
use super::record::{Record, guarded};
use crate::EntryId;
use crate::registers::is_contested;

/// What became of a round of changes. Places are those in the round, from 0.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Applied {
    /// Admitted now, in the order in which they entered.
    pub admitted: Vec<ChangeHash>,
    /// Already in the record.
    pub already: Vec<ChangeHash>,
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
    /// Its hash.
    pub hash: ChangeHash,
    /// What it waits for.
    pub reason: Refusal,
}

/// A change that will never be admitted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Its place in the round.
    pub index: usize,
    /// Its hash, if it has one.
    pub hash: Option<ChangeHash>,
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

/// How it is known that the document library reads back what it takes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Proof {
    /// By doing it.
    SavedAndLoaded,
    /// It was done when the changes first came.
    Earlier,
}

/// A change of the round that has passed its checks.
struct Ready<'a> {
    index: usize,
    hash: ChangeHash,
    change: &'a Change,
    built: automerge::Change,
}

impl Record {
    /// Admits what can be admitted of a round of changes, in any order, with duplicates. The record
    /// is either as it was, or holds every admitted change; each change's fate is told.
    ///
    /// # Errors
    /// [`ApplyError`] if the document library cannot even copy the document; the record is as it
    /// was.
    pub fn apply(&mut self, round: &[Change]) -> Result<Applied, ApplyError> {
        self.take(round, Proof::SavedAndLoaded)
    }

    /// As [`Record::apply`], for changes that have been through it on this device before, or that
    /// [`Record::prepare`] made: every rule is checked, but the document is not saved, loaded and
    /// compared once more.
    ///
    /// # Errors
    /// As [`Record::apply`].
    pub fn replay(&mut self, round: &[Change]) -> Result<Applied, ApplyError> {
        self.take(round, Proof::Earlier)
    }

    fn take(&mut self, round: &[Change], proof: Proof) -> Result<Applied, ApplyError> {
        let mut applied = Applied::default();
        let ready = self.sort(round, &mut applied);
        // Contested before, by register that the round may touch.
        let mut before = BTreeMap::new();
        for ready in &ready {
            for put in &ready.change.ops {
                if !put.container.is_append_only() && put.container.is_known() {
                    let key = (put.container, put.key.clone());
                    before.entry(key).or_insert_with_key(|(container, key)| {
                        is_contested(*container, key, &self.versions(*container, key))
                    });
                }
            }
        }
        let mut entered = Vec::new();
        self.admit(ready, proof, &mut entered, &mut applied)?;
        self.tell(&entered, &before, &mut applied);
        Ok(applied)
    }

    /// Rebuilds the changes of a round and brings them into an order in which each follows its
    /// dependencies; of two that are ready the one with the lower hash goes first.
    fn sort<'a>(&self, round: &'a [Change], applied: &mut Applied) -> Vec<Ready<'a>> {
        let mut found: BTreeMap<ChangeHash, Ready<'a>> = BTreeMap::new();
        for (index, change) in round.iter().enumerate() {
            let built = match guarded(|| rebuild::build(change)) {
                Ok(Ok(built)) => built,
                Ok(Err(error)) => {
                    applied.refused.push(Refused { index, hash: None, reason: error.into() });
                    continue;
                }
                Err(reason) => {
                    let reason = Refusal::Document { reason };
                    applied.refused.push(Refused { index, hash: None, reason });
                    continue;
                }
            };
            let hash = rebuild::hash(&built.hash());
            if self.contains(&hash) {
                applied.already.push(hash);
            } else {
                found.entry(hash).or_insert(Ready { index, hash, change, built });
            }
        }
        let mut open: HashMap<ChangeHash, usize> = HashMap::new();
        let mut followers: HashMap<ChangeHash, Vec<ChangeHash>> = HashMap::new();
        let mut next = BTreeSet::new();
        for ready in found.values() {
            let inside = ready.change.deps.iter().filter(|dep| found.contains_key(dep));
            let count =
                inside.map(|dep| followers.entry(*dep).or_default().push(ready.hash)).count();
            if count == 0 {
                next.insert(ready.hash);
            }
            open.insert(ready.hash, count);
        }
        let mut sorted = Vec::new();
        while let Some(hash) = next.pop_first() {
            sorted.extend(found.remove(&hash));
            for follower in followers.remove(&hash).unwrap_or_default() {
                if let Some(count) = open.get_mut(&follower) {
                    *count -= 1;
                    if *count == 0 {
                        next.insert(follower);
                    }
                }
            }
        }
        sorted
    }

    /// Checks and admits sorted changes; halves them where the document does not take them.
    fn admit<'a>(
        &mut self,
        sorted: Vec<Ready<'a>>,
        proof: Proof,
        entered: &mut Vec<&'a Change>,
        applied: &mut Applied,
    ) -> Result<(), ApplyError> {
        let mut passed = Vec::new();
        let mut pending = Pending::default();
        for ready in sorted {
            let verdict = guarded(|| check::check(self, &pending, ready.change))
                .map_err(|reason| Refusal::Document { reason });
            match verdict.and_then(|verdict| verdict) {
                Ok(()) => {
                    pending.push(ready.hash, ready.change);
                    passed.push(ready);
                }
                Err(reason) if reason.is_waiting() => {
                    applied.waiting.push(Waiting { index: ready.index, hash: ready.hash, reason });
                }
                Err(reason) => applied.refused.push(Refused {
                    index: ready.index,
                    hash: Some(ready.hash),
                    reason,
                }),
            }
        }
        if passed.is_empty() {
            return Ok(());
        }
        match self.attempt(&passed, proof)? {
            Ok((doc, graph)) => {
                applied.admitted.extend(passed.iter().map(|ready| ready.hash));
                entered.extend(passed.iter().map(|ready| ready.change));
                self.swap(doc, graph);
                Ok(())
            }
            Err(reason) if passed.len() == 1 => {
                applied.refused.extend(passed.iter().map(|ready| Refused {
                    index: ready.index,
                    hash: Some(ready.hash),
                    reason: Refusal::Document { reason: reason.clone() },
                }));
                Ok(())
            }
            Err(_) => {
                let second = passed.split_off(passed.len() / 2);
                self.admit(passed, proof, entered, applied)?;
                // What depends on a refused change waits for it from now on.
                self.admit(second, proof, entered, applied)
            }
        }
    }

    /// Applies changes to a copy, saves it, loads it and compares. The inner error tells what went
    /// wrong with the changes, the outer one that the document itself cannot be copied.
    #[allow(clippy::type_complexity)]
    fn attempt(
        &self,
        passed: &[Ready<'_>],
        proof: Proof,
    ) -> Result<Result<(Automerge, Graph), String>, ApplyError> {
        let mut copy = guarded(|| self.doc().clone()).map_err(|reason| ApplyError { reason })?;
        let loaded = guarded(|| -> Result<Automerge, String> {
            #[cfg(test)]
            tests::poison(passed.iter().map(|ready| ready.hash));
            let built: Vec<_> = passed.iter().map(|ready| ready.built.clone()).collect();
            copy.apply_changes(built).map_err(|error| error.to_string())?;
            if proof == Proof::Earlier {
                return Ok(copy);
            }
            let loaded =
                Automerge::load(&copy.save_nocompress()).map_err(|error| error.to_string())?;
            if loaded.get_heads() != copy.get_heads() {
                return Err("its heads differ after saving and loading".to_owned());
            }
            Ok(loaded)
        });
        Ok(loaded.and_then(|loaded| loaded).and_then(|loaded| {
            let mut graph = self.graph().clone();
            for ready in passed {
                let change = ready.change;
                let added = graph.add(&NewNode {
                    hash: ready.hash,
                    writer: change.writer,
                    seq: change.seq,
                    start_op: change.start_op,
                    max_op: change.end_op(),
                    time: change.time,
                    deps: change.deps.clone(),
                });
                added.ok_or_else(|| "it does not follow its dependencies".to_owned())?;
            }
            let stats = automerge::ReadDoc::stats(&loaded);
            if stats.num_changes != graph.nodes().len() as u64 {
                return Err("it holds another number of changes after loading".to_owned());
            }
            Ok((loaded, graph))
        }))
    }

    /// Tells what the admitted changes did.
    fn tell(
        &self,
        entered: &[&Change],
        before: &BTreeMap<(Container, String), bool>,
        applied: &mut Applied,
    ) {
        let mut touched = BTreeSet::new();
        for change in entered {
            for put in &change.ops {
                match put.container {
                    Container::LOG => applied.entries.extend(put.key.parse::<EntryId>()),
                    Container::STRUCK => applied.retracted.extend(put.key.parse::<EntryId>()),
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

#[cfg(test)]
mod tests {
    use super::*;
    use fallaway_changes::{Put, RecordId, Writer};
    use std::cell::Cell;

    thread_local! {
        static POISONED: Cell<Option<ChangeHash>> = const { Cell::new(None) };
    }

    /// Stands for a defect of the document library: panics on one change.
    pub(super) fn poison(mut hashes: impl Iterator<Item = ChangeHash>) {
        let poisoned = POISONED.get();
        assert!(!hashes.any(|hash| Some(hash) == poisoned), "poisoned");
    }

    fn chain(record: &mut Record, number: u8, length: i64) -> Vec<Change> {
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
                record.apply(std::slice::from_ref(&prepared.change)).unwrap();
                prepared.change
            })
            .collect()
    }

    #[test]
    fn a_change_that_breaks_the_library_is_found_and_left_out() {
        let id = RecordId::from_bytes([1; 16]);
        let founded = || Record::create(id).unwrap();
        let ours = chain(&mut founded(), 1, 9);
        let theirs = chain(&mut founded(), 2, 4);
        let bad = Record::hash_of(&ours[4]).unwrap();
        let round: Vec<_> = ours.iter().chain(&theirs).cloned().collect();
        POISONED.set(Some(bad));
        let mut record = founded();
        let applied = record.apply(&round).unwrap();
        POISONED.set(None);

        assert_eq!(applied.admitted.len(), 4 + 4);
        assert_eq!(applied.refused.len(), 1);
        assert_eq!((applied.refused[0].index, applied.refused[0].hash), (4, Some(bad)));
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
    fn what_was_admitted_before_is_put_back_the_same_and_still_checked() {
        let id = RecordId::from_bytes([1; 16]);
        let founded = || Record::create(id).unwrap();
        let ours = chain(&mut founded(), 1, 5);
        let (mut applied, mut replayed) = (founded(), founded());
        applied.apply(&ours).unwrap();
        let told = replayed.replay(&ours[..4]).unwrap();
        assert_eq!(told.admitted.len(), 4);
        let mut wrong = ours[4].clone();
        wrong.start_op += 1;
        assert_eq!(replayed.replay(&[wrong]).unwrap().refused.len(), 1);
        replayed.replay(&ours[4..]).unwrap();
        assert_eq!(replayed.heads(), applied.heads());
        assert_eq!(replayed.state().registers(), applied.state().registers());
    }
}
