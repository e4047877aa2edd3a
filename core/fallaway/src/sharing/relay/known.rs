//! What a relay's log is known to have of a record: everything else is to be sent there, whoever wrote
//! it and however it came.

use fallaway_changes::{BundleId, ChangeId, EpochId, MemberHash, Writer};
use fallaway_order::{Map, Set};
use fallaway_record::Record;
use fallaway_sharing::{Action, Payload};

/// One thing that a log can have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum LogUnit {
    /// An operation on the members.
    Op(MemberHash),
    /// One that begins an epoch, sealed under the key of that epoch.
    OwnForm(MemberHash),
    /// A change, with its writer and its number.
    Change(ChangeId, Writer, u64),
}

/// What is in a bundle that is sealed under the key of `epoch`.
pub(crate) fn units_of(payload: &Payload, epoch: &EpochId) -> Vec<LogUnit> {
    match payload {
        Payload::Member(op) => match op.action() {
            // The first one has one form.
            Action::NewEpoch { parents, .. } if parents.is_empty() => {
                vec![LogUnit::Op(op.hash()), LogUnit::OwnForm(op.hash())]
            }
            Action::NewEpoch { epoch: begun, .. } if begun == epoch => {
                vec![LogUnit::OwnForm(op.hash())]
            }
            _ => vec![LogUnit::Op(op.hash())],
        },
        Payload::Changes(bundle) => {
            let changes = bundle.changes().iter();
            changes.map(|change| LogUnit::Change(change.id(), change.writer, change.seq)).collect()
        }
        // The newest one of a device counts, wherever it lies.
        Payload::Receipt(_) | Payload::Unknown { .. } => Vec::new(),
    }
}

/// What a log is known to have.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Known {
    pub ops: Set<MemberHash>,
    pub own_forms: Set<MemberHash>,
    /// Of the document, by writer: numbers from and to, in order, apart from each other.
    pub inside: Map<Writer, Vec<(u64, u64)>>,
    /// Changes that were not in the document.
    pub beside: Set<ChangeId>,
    /// Bundles of the log that could not be opened yet.
    pub unread: Set<BundleId>,
}

impl Known {
    /// Whether the log has it. Numbers stand for the changes that the document has under them: where
    /// one leaves the document, what is known is void.
    pub(crate) fn has(&self, record: &Record, unit: &LogUnit) -> bool {
        match unit {
            LogUnit::Op(hash) => self.ops.contains(hash),
            LogUnit::OwnForm(hash) => self.own_forms.contains(hash),
            LogUnit::Change(id, writer, seq) => {
                self.beside.contains(id)
                    || record.contains(id)
                        && self.inside.get(writer).is_some_and(|runs| {
                            runs.iter().any(|(from, to)| (*from..=*to).contains(seq))
                        })
            }
        }
    }

    /// Notes that the log has it. `record` is the document as it is after the merge.
    pub(crate) fn add(&mut self, record: &Record, unit: &LogUnit) {
        match unit {
            LogUnit::Op(hash) => {
                self.ops.insert(*hash);
            }
            LogUnit::OwnForm(hash) => {
                self.own_forms.insert(*hash);
            }
            LogUnit::Change(id, writer, seq) if record.contains(id) => {
                self.beside.remove(id);
                insert(self.inside.entry(*writer).or_default(), *seq);
            }
            LogUnit::Change(id, ..) => {
                self.beside.insert(*id);
            }
        }
    }
}

fn insert(runs: &mut Vec<(u64, u64)>, number: u64) {
    let place = runs.partition_point(|(_, to)| to.saturating_add(1) < number);
    match runs.get_mut(place) {
        Some((from, to)) if *from <= number.saturating_add(1) => {
            *from = (*from).min(number);
            *to = (*to).max(number);
            // The gap to the next one may be closed now.
            if let (Some((_, to)), Some((next, end))) =
                (runs.get(place).copied(), runs.get(place + 1).copied())
                && to.saturating_add(1) >= next
            {
                runs.remove(place + 1);
                if let Some(run) = runs.get_mut(place) {
                    run.1 = end.max(to);
                }
            }
        }
        _ => runs.insert(place, (number, number)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn runs_hold_the_numbers_that_were_put_in(
            numbers in prop::collection::vec(1..40_u64, 0..60)
        ) {
            let mut runs = Vec::new();
            for number in &numbers {
                insert(&mut runs, *number);
            }
            let held: Vec<u64> = runs.iter().flat_map(|(from, to)| *from..=*to).collect();
            let wanted: Set<u64> = numbers.into_iter().collect();
            prop_assert_eq!(held, wanted.into_iter().collect::<Vec<_>>());
            for pair in runs.windows(2) {
                prop_assert!(pair[0].1 + 1 < pair[1].0);
            }
        }
    }
}
