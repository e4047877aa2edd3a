//! Admitting changes, a round at once.

use std::collections::HashMap;
use std::sync::Arc;

use fallaway_changes::{ChangeId, Container, VerifiedChange};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};

use super::check::{self, Refusal};
use super::contents::{Entering, Stored};
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
    /// The id of the change that waits.
    pub id: ChangeId,
    /// What it waits for.
    pub reason: Refusal,
}

/// A change that will never be admitted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Its place in the round.
    pub index: usize,
    /// The id of the change that is refused.
    pub id: ChangeId,
    /// What is wrong with it.
    pub reason: Refusal,
}

impl Record {
    /// Admits what can be admitted of a round of changes, in any order, with duplicates. Each change's
    /// fate is told.
    pub fn apply(&mut self, round: &[VerifiedChange]) -> Applied {
        let mut applied = Applied::default();
        let ready = self.sort(round, &mut applied);
        // Contested before, by register that the round may touch.
        let mut before = Map::new();
        for put in ready.iter().flat_map(|(_, change)| &change.ops) {
            if !put.container.is_append_only() && put.container.is_known() {
                let key = (put.container, put.key.clone());
                before.entry(key).or_insert_with_key(|(container, key)| {
                    is_contested(*container, key, &self.versions(*container, key))
                });
            }
        }
        let mut entered = Vec::new();
        for (index, change) in ready {
            let id = change.id();
            match self.admit(change) {
                Ok(()) => {
                    applied.admitted.push(id);
                    entered.push(change);
                }
                Err(reason) if reason.is_waiting() => {
                    applied.waiting.push(Waiting { index, id, reason });
                }
                Err(reason) => applied.refused.push(Refused { index, id, reason }),
            }
        }
        self.changed(entered.iter().flat_map(|change| &change.ops));
        self.tell(&entered, &before, &mut applied);
        applied
    }

    /// Brings the changes of a round into an order in which each follows its dependencies; of two
    /// that are ready the one with the lower id goes first. Each with its place in the round.
    fn sort<'a>(
        &self,
        round: &'a [VerifiedChange],
        applied: &mut Applied,
    ) -> Vec<(usize, &'a VerifiedChange)> {
        let mut found: Map<ChangeId, (usize, &'a VerifiedChange)> = Map::new();
        for (index, change) in round.iter().enumerate() {
            if self.contains(&change.id()) {
                applied.already.push(change.id());
            } else {
                found.entry(change.id()).or_insert((index, change));
            }
        }
        let order = in_order(found.values().map(|(_, change)| *change));
        order.iter().filter_map(|id| found.remove(id)).collect()
    }

    fn admit(&mut self, change: &VerifiedChange) -> Result<(), Refusal> {
        let deps = check::check(self.document(), change)?;
        let bytes: Arc<[u8]> = Arc::from(change.operations());
        let whole = 0..bytes.len();
        let unread = || Refusal::Unread;
        let entering = Entering {
            id: change.id(),
            writer: change.writer,
            seq: change.seq,
            time: change.time,
            deps,
            stored: Stored::new(bytes, whole).ok_or_else(unread)?,
        };
        let added = self.document_mut().add(entering).map_err(|_| unread())?;
        added.map(drop).ok_or_else(unread)
    }

    /// Tells what the admitted changes did.
    fn tell(
        &self,
        entered: &[&VerifiedChange],
        before: &Map<(Container, String), bool>,
        applied: &mut Applied,
    ) {
        let mut touched = Set::new();
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
    let inside: Set<ChangeId> = changes.clone().map(VerifiedChange::id).in_set();
    let mut open: HashMap<ChangeId, usize> = HashMap::new();
    let mut followers: HashMap<ChangeId, Vec<ChangeId>> = HashMap::new();
    let mut next = Set::new();
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
    use fallaway_changes::{Change, Container, Put, RecordId, VerifiedChange, Writer};

    use super::super::graph::ASKED;
    use super::*;

    /// A round of so many changes of one writer that set one fact each; how often it was asked what one
    /// of them had seen.
    fn asked_for(changes: u64) -> u64 {
        let id = RecordId::from_bytes([7; 16]);
        let mut deps = vec![ChangeId::founding(&id)];
        let mut round = Vec::new();
        for seq in 1..=changes {
            let key = format!("wood/{}", seq % 7);
            let ops = vec![Put { container: Container::SPEC, key, value: vec![0x18, 99] }];
            let change = Change {
                writer: Writer::from_bytes([3; 16]),
                seq,
                time: 0,
                deps: deps.clone(),
                ops,
            };
            let change = VerifiedChange::own(&id, change).unwrap();
            deps = vec![change.id()];
            round.push(change);
        }
        ASKED.set(0);
        let mut record = Record::create(id);
        assert_eq!(record.apply(&round).admitted.len() as u64, changes);
        ASKED.get()
    }

    /// One bundle may bring tens of thousands of changes: a round walks no past of them.
    #[test]
    fn a_long_chain_in_one_round_takes_a_step_or_two_a_change() {
        for changes in [1_000, 8_000] {
            let asked = asked_for(changes);
            assert!(asked <= 2 * changes, "{changes} changes: {asked}");
        }
    }
}
