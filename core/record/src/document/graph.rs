//! The graph of admitted changes: who wrote what after which.

use std::collections::{BTreeSet, HashMap};

use fallaway_changes::{ChangeId, Writer};

use super::clock::Clock;

/// One admitted change.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub id: ChangeId,
    /// The document library's own hash of the change that it holds in its place.
    pub library: [u8; 32],
    /// Index of the writer; 0 is the founding's.
    pub writer: u32,
    pub seq: u32,
    pub start_op: u64,
    pub max_op: u64,
    pub time: i64,
    /// Indices of the dependencies, always smaller than the node's own.
    pub deps: Vec<u32>,
    /// What the other writers had written in its past.
    pub clock: Clock,
}

/// What is known of a change when it enters the graph.
pub(crate) struct NewNode {
    pub id: ChangeId,
    pub library: [u8; 32],
    pub writer: Writer,
    pub seq: u64,
    pub start_op: u64,
    pub max_op: u64,
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
    heads: BTreeSet<u32>,
    greatest_op: u64,
}

impl Graph {
    /// Adds a change whose dependencies are there. `None` if one is not, or if the change does not
    /// follow its writer's previous one.
    pub fn add(&mut self, new: NewNode) -> Option<u32> {
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
        self.greatest_op = self.greatest_op.max(new.max_op);
        self.nodes.push(Node {
            id: new.id,
            library: new.library,
            writer,
            seq,
            start_op: new.start_op,
            max_op: new.max_op,
            time: new.time,
            deps: new.deps,
            clock,
        });
        Some(position)
    }

    /// What a change with these dependencies has seen.
    pub fn clock_after(&self, deps: &[u32]) -> Clock {
        let mut clock = Clock::default();
        for node in deps.iter().filter_map(|dep| self.node(*dep)) {
            clock.join(&node.clock);
        }
        for node in deps.iter().filter_map(|dep| self.node(*dep)) {
            clock.raise(node.writer, node.seq);
        }
        clock
    }

    /// Takes the changes from this position on out again.
    pub fn truncate(&mut self, len: usize) {
        if self.nodes.len() <= len {
            return;
        }
        for node in self.nodes.drain(len..).rev() {
            self.index.remove(&node.id);
            if let Some(own) = self.by_writer.get_mut(node.writer as usize) {
                own.pop();
            }
        }
        // Writers that came with them were added last.
        while self.by_writer.last().is_some_and(Vec::is_empty) {
            self.by_writer.pop();
            if let Some(writer) = self.writers.pop() {
                self.writer_index.remove(&writer);
            }
        }
        self.greatest_op = self.nodes.iter().map(|node| node.max_op).max().unwrap_or(0);
        self.heads = (0_u32..).zip(&self.nodes).map(|(position, _)| position).collect();
        for node in &self.nodes {
            for dep in &node.deps {
                self.heads.remove(dep);
            }
        }
    }

    /// Says what the document library calls a change.
    pub fn set_library(&mut self, position: u32, library: [u8; 32]) {
        if let Some(node) = self.nodes.get_mut(position as usize) {
            node.library = library;
        }
    }

    pub fn position(&self, id: &ChangeId) -> Option<u32> {
        self.index.get(id).copied()
    }

    pub fn contains(&self, id: &ChangeId) -> bool {
        self.index.contains_key(id)
    }

    pub fn get(&self, id: &ChangeId) -> Option<&Node> {
        self.node(self.position(id)?)
    }

    pub fn node(&self, position: u32) -> Option<&Node> {
        self.nodes.get(position as usize)
    }

    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// Positions of the changes that no other one has seen, rising.
    pub fn head_positions(&self) -> impl Iterator<Item = u32> {
        self.heads.iter().copied()
    }

    /// The changes that no other one has seen.
    pub fn heads(&self) -> impl Iterator<Item = &Node> {
        self.heads.iter().filter_map(|position| self.node(*position))
    }

    /// Number of the last operation.
    pub fn greatest_op(&self) -> u64 {
        self.greatest_op
    }

    pub fn writers(&self) -> &[Writer] {
        &self.writers
    }

    /// The index of a writer; the one that it would get, if it has not written yet.
    pub fn writer_index(&self, writer: &Writer) -> u32 {
        let next = u32::try_from(self.writers.len()).unwrap_or(u32::MAX);
        self.writer_index.get(writer).copied().unwrap_or(next)
    }

    fn own(&self, writer: &Writer) -> &[u32] {
        let own = self.writer_index.get(writer).and_then(|w| self.by_writer.get(*w as usize));
        own.map_or(&[], Vec::as_slice)
    }

    /// The writer's last change.
    pub fn last_of(&self, writer: &Writer) -> Option<&Node> {
        self.own(writer).last().and_then(|position| self.node(*position))
    }

    /// The writer's change with this sequence number.
    pub fn of_seq(&self, writer: &Writer, seq: u64) -> Option<&Node> {
        let place = usize::try_from(seq.checked_sub(1)?).ok()?;
        self.own(writer).get(place).and_then(|position| self.node(*position))
    }

    /// All changes of a writer in order.
    pub fn changes_of(&self, writer: &Writer) -> impl Iterator<Item = &Node> {
        self.own(writer).iter().filter_map(|position| self.node(*position))
    }

    /// The change that contains an operation.
    pub fn of_op(&self, writer: &Writer, counter: u64) -> Option<u32> {
        let own = self.own(writer);
        let place = own.partition_point(|position| {
            self.node(*position).is_some_and(|node| node.max_op < counter)
        });
        let position = *own.get(place)?;
        self.node(position).filter(|node| node.start_op <= counter).map(|_| position)
    }

    /// For every change the latest stated time of a change in its past, itself left out.
    pub fn latest_seen(&self) -> Vec<i64> {
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
        let op = 10 * seq + u64::from(number);
        NewNode {
            id: ChangeId::from_bytes([number.wrapping_mul(16).wrapping_add(seq as u8); 32]),
            library: [0; 32],
            writer: Writer::from_bytes([number; 16]),
            seq,
            start_op: op,
            max_op: op,
            time: 0,
            deps: deps.to_vec(),
        }
    }

    #[test]
    fn what_is_taken_out_leaves_no_trace() {
        let mut graph = Graph::default();
        graph.add(node(0, 1, &[])).unwrap();
        graph.add(node(1, 1, &[0])).unwrap();
        let before = format!("{graph:?}");
        graph.add(node(2, 1, &[0])).unwrap();
        graph.add(node(1, 2, &[1, 2])).unwrap();
        assert_eq!(graph.heads().count(), 1);
        assert_eq!((graph.nodes()[3].clock.get(2), graph.nodes()[1].clock.get(2)), (1, 0));
        assert_eq!(graph.add(node(1, 4, &[3])), None, "numbers have no gaps");
        assert_eq!(graph.add(node(1, 3, &[9])), None, "dependencies come first");
        graph.truncate(2);
        assert_eq!(graph.heads().count(), 1);
        assert_eq!(format!("{graph:?}").len(), before.len());
        assert_eq!(graph.last_of(&Writer::from_bytes([2; 16])).map(|node| node.seq), None);
        assert_eq!(graph.greatest_op(), 11);
    }
}
