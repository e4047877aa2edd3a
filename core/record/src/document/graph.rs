//! The graph of admitted changes: who wrote what after which.

use std::collections::HashMap;

use fallaway_changes::{ChangeHash, Writer};

/// One admitted change.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub hash: ChangeHash,
    /// Index of the writer; 0 is the genesis.
    pub writer: u32,
    pub seq: u32,
    pub start_op: u64,
    pub max_op: u64,
    pub time: i64,
    /// Indices of the dependencies, always smaller than the node's own.
    pub deps: Vec<u32>,
}

/// What is known of a change when it enters the graph.
pub(crate) struct NewNode {
    pub hash: ChangeHash,
    pub writer: Writer,
    pub seq: u64,
    pub start_op: u64,
    pub max_op: u64,
    pub time: i64,
    pub deps: Vec<ChangeHash>,
}

/// Admitted changes in an order in which every change follows its dependencies.
#[derive(Debug, Clone, Default)]
pub(crate) struct Graph {
    nodes: Vec<Node>,
    index: HashMap<ChangeHash, u32>,
    writers: Vec<Writer>,
    writer_index: HashMap<Writer, u32>,
    /// Nodes of each writer, by rising sequence number.
    by_writer: Vec<Vec<u32>>,
}

impl Graph {
    /// Adds a change whose dependencies are there. `None` if one is not, or if the change does not
    /// follow its writer's previous one.
    pub fn add(&mut self, new: &NewNode) -> Option<u32> {
        let deps = new.deps.iter().map(|dep| self.position(dep)).collect::<Option<Vec<u32>>>()?;
        let writer = if let Some(writer) = self.writer_index.get(&new.writer) {
            *writer
        } else {
            let writer = u32::try_from(self.writers.len()).ok()?;
            self.writers.push(new.writer);
            self.writer_index.insert(new.writer, writer);
            self.by_writer.push(Vec::new());
            writer
        };
        let position = u32::try_from(self.nodes.len()).ok()?;
        let seq = u32::try_from(new.seq).ok()?;
        let own = self.by_writer.get_mut(writer as usize)?;
        if own.len() as u64 + 1 != new.seq {
            return None;
        }
        own.push(position);
        self.index.insert(new.hash, position);
        self.nodes.push(Node {
            hash: new.hash,
            writer,
            seq,
            start_op: new.start_op,
            max_op: new.max_op,
            time: new.time,
            deps,
        });
        Some(position)
    }

    pub fn position(&self, hash: &ChangeHash) -> Option<u32> {
        self.index.get(hash).copied()
    }

    pub fn contains(&self, hash: &ChangeHash) -> bool {
        self.index.contains_key(hash)
    }

    pub fn get(&self, hash: &ChangeHash) -> Option<&Node> {
        self.node(self.position(hash)?)
    }

    pub fn node(&self, position: u32) -> Option<&Node> {
        self.nodes.get(position as usize)
    }

    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    pub fn writers(&self) -> &[Writer] {
        &self.writers
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

    /// For every change the greatest sequence number of each writer in its past, itself included.
    /// Rows have as many columns as there are writers.
    pub fn clocks(&self) -> Vec<u32> {
        let width = self.writers.len();
        let mut clocks = vec![0_u32; width * self.nodes.len()];
        for (position, node) in self.nodes.iter().enumerate() {
            let (before, rest) = clocks.split_at_mut(position * width);
            let Some(row) = rest.get_mut(..width) else { continue };
            for dep in &node.deps {
                let start = *dep as usize * width;
                for (own, seen) in row.iter_mut().zip(before.get(start..).unwrap_or_default()) {
                    *own = (*own).max(*seen);
                }
            }
            if let Some(own) = row.get_mut(node.writer as usize) {
                *own = (*own).max(node.seq);
            }
        }
        clocks
    }
}
