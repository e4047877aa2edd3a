//! What a change has seen: for each writer the greatest sequence number in its past.
//!
//! A record of many writers would need a table of changes by writers. Here the clocks of neighbouring
//! changes share what is equal: a clock is a tree of small blocks, and raising one number copies the
//! blocks on the way to it and no others.

use std::sync::Arc;

const WIDTH: usize = 16;

#[derive(Debug)]
enum Block {
    Numbers([u32; WIDTH]),
    Blocks([Option<Arc<Block>>; WIDTH]),
}

/// Sequence numbers by the index of their writer; 0 for those that were never raised.
#[derive(Debug, Clone, Default)]
pub(crate) struct VectorClock {
    root: Option<Arc<Block>>,
    /// Levels above the numbers.
    height: u32,
}

impl VectorClock {
    /// The greatest sequence number of a writer.
    pub(crate) fn get(&self, writer: u32) -> u32 {
        let mut block = &self.root;
        let mut height = self.height;
        if !fits(writer, height) {
            return 0;
        }
        while let Some(here) = block {
            match here.as_ref() {
                Block::Numbers(numbers) => {
                    return numbers.get(digit(writer, 0)).copied().unwrap_or(0);
                }
                Block::Blocks(blocks) => {
                    block = blocks.get(digit(writer, height)).unwrap_or(&None);
                    height = height.saturating_sub(1);
                }
            }
        }
        0
    }

    /// Raises the number of a writer, if it is below `seq`.
    pub(crate) fn raise(&mut self, writer: u32, seq: u32) {
        if self.get(writer) >= seq {
            return;
        }
        while !fits(writer, self.height) {
            self.grow();
        }
        self.root = Some(raised(self.root.as_ref(), self.height, writer, seq));
    }

    /// Raises every number to that of the other clock.
    pub(crate) fn join(&mut self, other: &Self) {
        let Some(theirs) = &other.root else { return };
        let Some(_) = &self.root else {
            *self = other.clone();
            return;
        };
        while self.height < other.height {
            self.grow();
        }
        let mut theirs = Arc::clone(theirs);
        for _ in other.height..self.height {
            theirs = under(theirs);
        }
        self.root = joined(self.root.as_ref(), Some(&theirs));
    }

    /// Counts the blocks of a clock that were not counted before.
    #[cfg(test)]
    pub(super) fn count_blocks(&self, counted: &mut std::collections::HashSet<usize>) {
        let mut open: Vec<&Arc<Block>> = self.root.iter().collect();
        while let Some(block) = open.pop() {
            if counted.insert(Arc::as_ptr(block) as usize)
                && let Block::Blocks(blocks) = block.as_ref()
            {
                open.extend(blocks.iter().flatten());
            }
        }
    }

    fn grow(&mut self) {
        self.root = self.root.take().map(under);
        self.height += 1;
    }
}

/// A block as the first one of a block above it.
fn under(block: Arc<Block>) -> Arc<Block> {
    let mut blocks: [Option<Arc<Block>>; WIDTH] = Default::default();
    if let Some(first) = blocks.first_mut() {
        *first = Some(block);
    }
    Arc::new(Block::Blocks(blocks))
}

fn digit(writer: u32, level: u32) -> usize {
    (writer >> (4 * level).min(31)) as usize % WIDTH
}

fn fits(writer: u32, height: u32) -> bool {
    4 * (height + 1) >= u32::BITS || writer >> (4 * (height + 1)) == 0
}

fn raised(block: Option<&Arc<Block>>, height: u32, writer: u32, seq: u32) -> Arc<Block> {
    if height == 0 {
        let mut numbers = match block.map(Arc::as_ref) {
            Some(Block::Numbers(numbers)) => *numbers,
            _ => [0; WIDTH],
        };
        if let Some(own) = numbers.get_mut(digit(writer, 0)) {
            *own = seq;
        }
        return Arc::new(Block::Numbers(numbers));
    }
    let mut blocks = match block.map(Arc::as_ref) {
        Some(Block::Blocks(blocks)) => blocks.clone(),
        _ => Default::default(),
    };
    if let Some(own) = blocks.get_mut(digit(writer, height)) {
        *own = Some(raised(own.as_ref(), height - 1, writer, seq));
    }
    Arc::new(Block::Blocks(blocks))
}

/// The greater of each two numbers; one of the two blocks itself where it holds them all.
fn joined(ours: Option<&Arc<Block>>, theirs: Option<&Arc<Block>>) -> Option<Arc<Block>> {
    let (Some(a), Some(b)) = (ours, theirs) else { return ours.or(theirs).cloned() };
    if Arc::ptr_eq(a, b) {
        return Some(Arc::clone(a));
    }
    let block = match (a.as_ref(), b.as_ref()) {
        (Block::Numbers(one), Block::Numbers(other)) => {
            let mut both = *one;
            for (own, seen) in both.iter_mut().zip(other) {
                *own = (*own).max(*seen);
            }
            if both == *one {
                return Some(Arc::clone(a));
            }
            if both == *other {
                return Some(Arc::clone(b));
            }
            Block::Numbers(both)
        }
        (Block::Blocks(one), Block::Blocks(other)) => {
            let mut both: [Option<Arc<Block>>; WIDTH] = Default::default();
            for (own, (ours, theirs)) in both.iter_mut().zip(one.iter().zip(other)) {
                *own = joined(ours.as_ref(), theirs.as_ref());
            }
            if same(&both, one) {
                return Some(Arc::clone(a));
            }
            if same(&both, other) {
                return Some(Arc::clone(b));
            }
            Block::Blocks(both)
        }
        // Clocks of one height have blocks of one kind on each level.
        _ => return Some(Arc::clone(a)),
    };
    Some(Arc::new(block))
}

fn same(one: &[Option<Arc<Block>>; WIDTH], other: &[Option<Arc<Block>>; WIDTH]) -> bool {
    one.iter().zip(other).all(|pair| match pair {
        (Some(one), Some(other)) => Arc::ptr_eq(one, other),
        (None, None) => true,
        _ => false,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    fn clock(raises: &[(u32, u32)]) -> (VectorClock, BTreeMap<u32, u32>) {
        let (mut clock, mut plain) = (VectorClock::default(), BTreeMap::new());
        for (writer, seq) in raises {
            clock.raise(*writer, *seq);
            let own: &mut u32 = plain.entry(*writer).or_default();
            *own = (*own).max(*seq);
        }
        (clock, plain)
    }

    fn raises() -> impl Strategy<Value = Vec<(u32, u32)>> {
        let writer = prop_oneof![0..40_u32, 0..70_000_u32, any::<u32>()];
        prop::collection::vec((writer, 1..9_u32), 0..60)
    }

    proptest! {
        #[test]
        fn a_clock_is_a_table(one in raises(), other in raises()) {
            let ((mut ours, mut plain), (theirs, more)) = (clock(&one), clock(&other));
            ours.join(&theirs);
            for (writer, seq) in more {
                let own = plain.entry(writer).or_default();
                *own = (*own).max(seq);
            }
            for (writer, seq) in &plain {
                prop_assert_eq!(ours.get(*writer), *seq);
                let next = writer.wrapping_add(1);
                prop_assert_eq!(ours.get(next), plain.get(&next).copied().unwrap_or(0));
            }
        }
    }

    #[test]
    fn clocks_share_what_is_equal() {
        let mut first = VectorClock::default();
        (0..5_000).for_each(|writer| first.raise(writer, 1));
        let mut second = first.clone();
        second.join(&first);
        let (Some(one), Some(other)) = (&first.root, &second.root) else { panic!("no numbers") };
        assert!(Arc::ptr_eq(one, other));
        second.raise(17, 2);
        let mut third = first.clone();
        third.join(&second);
        let (Some(one), Some(other)) = (&second.root, &third.root) else { panic!("no numbers") };
        assert!(Arc::ptr_eq(one, other), "what holds all is taken as it is");
    }
}
