//! Sets of places in the order of a record's member operations.

#[cfg(test)]
thread_local! {
    /// How many sets were asked or changed: what work costs, for tests.
    pub(crate) static STEPS: std::cell::Cell<u64> = const { std::cell::Cell::new(0) };
}

/// Counts a step in tests.
fn step() {
    #[cfg(test)]
    STEPS.with(|steps| steps.set(steps.get() + 1));
}

/// A set of places, a bit for each.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Places(Vec<u64>);

impl Places {
    /// Nothing.
    pub(crate) const fn none() -> Self {
        Self(Vec::new())
    }

    /// Puts a place in.
    pub(crate) fn insert(&mut self, place: usize) {
        step();
        let word = place / 64;
        if self.0.len() <= word {
            self.0.resize(word + 1, 0);
        }
        if let Some(bits) = self.0.get_mut(word) {
            *bits |= 1 << (place % 64);
        }
    }

    /// Whether a place is in it.
    pub(crate) fn contains(&self, place: usize) -> bool {
        step();
        self.0.get(place / 64).is_some_and(|bits| bits & (1 << (place % 64)) != 0)
    }

    /// Puts all places of another set in.
    pub(crate) fn add_all(&mut self, other: &Self) {
        step();
        if self.0.len() < other.0.len() {
            self.0.resize(other.0.len(), 0);
        }
        for (bits, more) in self.0.iter_mut().zip(&other.0) {
            *bits |= more;
        }
    }

    /// Whether the two have a place in common.
    pub(crate) fn meets(&self, other: &Self) -> bool {
        step();
        self.0.iter().zip(&other.0).any(|(bits, others)| bits & others != 0)
    }

    /// How many there are.
    pub(crate) fn len(&self) -> usize {
        self.0.iter().map(|bits| bits.count_ones() as usize).sum()
    }
}
