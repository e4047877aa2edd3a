//! The graph of admitted changes: who wrote what after which.

use fallaway_order::Set;
use std::collections::HashMap;

use fallaway_changes::{ChangeId, Writer};

use super::clock::VectorClock;

#[cfg(test)]
thread_local! {
    /// How often it was asked whether one change had seen another, for tests.
    pub(crate) static ASKED: std::cell::Cell<u64> = const { std::cell::Cell::new(0) };
}

/// One admitted change.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub id: ChangeId,
    /// Index of the writer; 0 is the founding's.
    pub writer: u32,
    pub seq: u32,
    /// Counter of the first operation: one more than the greatest in its past.
    pub start_op: u64,
    /// Counter of the last operation; of a change without one the greatest in its past.
    max_op: u64,
    pub time: i64,
    /// Indices of the dependencies, always smaller than the node's own.
    pub deps: Vec<u32>,
    /// What the other writers had written in its past.
    pub clock: VectorClock,
}

/// What is known of a change when it enters the graph.
pub(crate) struct NewNode {
    pub id: ChangeId,
    pub writer: Writer,
    pub seq: u64,
    /// How many operations it has.
    pub ops: u32,
    pub time: i64,
    /// Positions of the dependencies.
    pub deps: Vec<u32>,
}

/// Admitted changes in an order in which every change follows its dependencies.
#[derive(Debug, Clone, Default)]
pub(crate) struct Graph {
    nodes: Vec<Node>,
    index: HashMap<ChangeId, u32>,
    writers: Vec<Writer>,
    writer_index: HashMap<Writer, u32>,
    /// Nodes of each writer, by rising sequence number.
    by_writer: Vec<Vec<u32>>,
    /// Nodes that no other one depends on.
    heads: Set<u32>,
}

/// The writer of the founding, which writes nothing else.
pub(super) const FOUNDER: Writer = Writer::from_bytes([0; Writer::LEN]);

impl Graph {
    /// A graph that begins with the founding of a record.
    pub(crate) fn founded(id: ChangeId) -> Self {
        let mut graph = Self::default();
        graph.add(NewNode { id, writer: FOUNDER, seq: 1, ops: 0, time: 0, deps: Vec::new() });
        graph
    }

    /// Adds a change whose dependencies are there. `None` if one is not, or if the change does not
    /// follow its writer's previous one.
    pub(crate) fn add(&mut self, new: NewNode) -> Option<u32> {
        let position = u32::try_from(self.nodes.len()).ok()?;
        let seq = u32::try_from(new.seq).ok()?;
        if new.deps.iter().any(|dep| *dep >= position) {
            return None;
        }
        if self.own(&new.writer).len() as u64 + 1 != new.seq {
            return None;
        }
        let writer = if let Some(writer) = self.writer_index.get(&new.writer) {
            *writer
        } else {
            let writer = u32::try_from(self.writers.len()).ok()?;
            self.writers.push(new.writer);
            self.writer_index.insert(new.writer, writer);
            self.by_writer.push(Vec::new());
            writer
        };
        self.by_writer.get_mut(writer as usize)?.push(position);
        let clock = self.clock_after(&new.deps);
        self.index.insert(new.id, position);
        for dep in &new.deps {
            self.heads.remove(dep);
        }
        self.heads.insert(position);
        // Counters grow along every path, so the direct dependencies hold the greatest of the past.
        let before =
            new.deps.iter().filter_map(|dep| self.node(*dep)).map(|node| node.max_op).max();
        let before = before.unwrap_or(0);
        self.nodes.push(Node {
            id: new.id,
            writer,
            seq,
            start_op: before + 1,
            max_op: before + u64::from(new.ops),
            time: new.time,
            deps: new.deps,
            clock,
        });
        Some(position)
    }

    /// What a change with these dependencies has seen.
    pub(crate) fn clock_after(&self, deps: &[u32]) -> VectorClock {
        let mut clock = VectorClock::default();
        for node in deps.iter().filter_map(|dep| self.node(*dep)) {
            clock.join(&node.clock);
        }
        for node in deps.iter().filter_map(|dep| self.node(*dep)) {
            clock.raise(node.writer, node.seq);
        }
        clock
    }

    pub(crate) fn position(&self, id: &ChangeId) -> Option<u32> {
        self.index.get(id).copied()
    }

    pub(crate) fn contains(&self, id: &ChangeId) -> bool {
        self.index.contains_key(id)
    }

    pub(crate) fn node(&self, position: u32) -> Option<&Node> {
        self.nodes.get(position as usize)
    }

    pub(crate) fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// The changes that no other one has seen.
    pub(crate) fn heads(&self) -> impl Iterator<Item = &Node> {
        self.heads.iter().filter_map(|position| self.node(*position))
    }

    pub(crate) fn writers(&self) -> &[Writer] {
        &self.writers
    }

    /// The index of a writer; the one that it would get, if it has not written yet.
    pub(crate) fn writer_index(&self, writer: &Writer) -> u32 {
        let next = u32::try_from(self.writers.len()).unwrap_or(u32::MAX);
        self.writer_index.get(writer).copied().unwrap_or(next)
    }

    fn own(&self, writer: &Writer) -> &[u32] {
        let own = self.writer_index.get(writer).and_then(|w| self.by_writer.get(*w as usize));
        own.map_or(&[], Vec::as_slice)
    }

    /// The writer's last change.
    pub(crate) fn last_of(&self, writer: &Writer) -> Option<&Node> {
        self.own(writer).last().and_then(|position| self.node(*position))
    }

    /// The writer's change with this sequence number.
    pub(crate) fn of_seq(&self, writer: &Writer, seq: u64) -> Option<&Node> {
        let place = usize::try_from(seq.checked_sub(1)?).ok()?;
        self.own(writer).get(place).and_then(|position| self.node(*position))
    }

    /// All changes of a writer in order.
    pub(crate) fn changes_of(&self, writer: &Writer) -> impl Iterator<Item = &Node> {
        self.own(writer).iter().filter_map(|position| self.node(*position))
    }

    /// Whether the change at `later` has the one at `earlier` in its past.
    pub(crate) fn has_seen(&self, later: u32, earlier: u32) -> bool {
        #[cfg(test)]
        ASKED.with(|asked| asked.set(asked.get() + 1));
        let (Some(later), Some(earlier)) = (self.node(later), self.node(earlier)) else {
            return false;
        };
        if earlier.writer == later.writer {
            earlier.seq < later.seq
        } else {
            earlier.seq <= later.clock.get(earlier.writer)
        }
    }

    /// For every change the latest stated time of a change in its past, itself left out.
    pub(crate) fn latest_seen(&self) -> Vec<i64> {
        let mut latest: Vec<i64> = Vec::with_capacity(self.nodes.len());
        for node in &self.nodes {
            let of_dep = |dep: &u32| {
                let before = latest.get(*dep as usize).copied()?;
                Some(before.max(self.node(*dep)?.time))
            };
            latest.push(node.deps.iter().filter_map(of_dep).max().unwrap_or(i64::MIN));
        }
        latest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn node(number: u8, seq: u64, deps: &[u32]) -> NewNode {
        NewNode {
            id: ChangeId::from_bytes([number.wrapping_mul(16).wrapping_add(seq as u8); 32]),
            writer: Writer::from_bytes([number; 16]),
            seq,
            ops: 2,
            time: 0,
            deps: deps.to_vec(),
        }
    }

    #[test]
    fn counters_and_clocks_follow_the_dependencies() {
        let mut graph = Graph::founded(ChangeId::from_bytes([9; 32]));
        graph.add(node(1, 1, &[0])).unwrap();
        graph.add(node(2, 1, &[0])).unwrap();
        assert_eq!(graph.heads().count(), 2);
        graph.add(node(1, 2, &[1, 2])).unwrap();
        assert_eq!(graph.heads().count(), 1);
        assert_eq!(
            graph.nodes().iter().map(|node| node.start_op).collect::<Vec<_>>(),
            [1, 1, 1, 3]
        );
        let seen = |later, earlier| graph.has_seen(later, earlier);
        assert!(seen(3, 1) && seen(3, 2) && seen(3, 0) && !seen(2, 1) && !seen(1, 3));
        assert_eq!(graph.clone().add(node(1, 4, &[3])), None, "numbers have no gaps");
        assert_eq!(graph.clone().add(node(1, 3, &[9])), None, "dependencies come first");
    }

    /// So many writers, each with one change that has seen two of the last forty; how many blocks their
    /// clocks take.
    fn blocks_of(writers: u32) -> usize {
        let mut graph = Graph::founded(ChangeId::from_bytes([9; 32]));
        for number in 1..=writers {
            let (mut id, mut writer) = ([1; 32], [1; 16]);
            id[..4].copy_from_slice(&number.to_be_bytes());
            writer[..4].copy_from_slice(&number.to_be_bytes());
            let near = |step: u32| number - 1 - number.wrapping_mul(step) % number.min(40);
            let mut deps = vec![near(7), near(11)];
            deps.sort_unstable();
            deps.dedup();
            let (id, writer) = (ChangeId::from_bytes(id), Writer::from_bytes(writer));
            graph.add(NewNode { id, writer, seq: 1, ops: 1, time: 0, deps }).unwrap();
        }
        let mut counted = std::collections::HashSet::new();
        graph.nodes().iter().for_each(|node| node.clock.count_blocks(&mut counted));
        counted.len()
    }

    /// A member can have any number of writers. A table of writers by changes would be a hundred times
    /// as large for ten times as many.
    #[test]
    fn what_thousands_of_writers_have_seen_takes_a_few_blocks_a_change() {
        for writers in [1_000, 10_000] {
            let blocks = blocks_of(writers);
            assert!(blocks < 24 * writers as usize, "{writers} writers: {blocks} blocks");
        }
    }
}
