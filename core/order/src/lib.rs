#![forbid(unsafe_code)]
#![warn(unreachable_pub)]
//! Sorting, maps and sets that are compiled once for many types.
//!
//! Rust's own sorts are compiled anew for each type and each way to compare, some 2 to 4 kB a time, and the
//! library for phones sorts in sixty places. Here places are sorted by Rust's stable sort, once; what
//! stands at them is then moved where it belongs.

pub mod map;
pub mod set;

use std::cmp::Ordering;

pub use map::Map;
pub use set::Set;

/// Puts what stands in a slice in order. What compares as equal stays as it stood.
pub trait PutInOrder<T> {
    /// The least first.
    fn put_in_order(&mut self)
    where
        T: Ord;

    /// In the order that `compare` says.
    fn put_in_order_by(&mut self, compare: impl FnMut(&T, &T) -> Ordering);

    /// The one with the least key first. The key is made anew at each comparison.
    fn put_in_order_by_key<K: Ord>(&mut self, key: impl FnMut(&T) -> K);
}

impl<T> PutInOrder<T> for [T] {
    fn put_in_order(&mut self)
    where
        T: Ord,
    {
        self.put_in_order_by(Ord::cmp);
    }

    fn put_in_order_by(&mut self, mut compare: impl FnMut(&T, &T) -> Ordering) {
        let mut places = places(self.len(), &mut |one, other| {
            // Both are places of this slice.
            self.get(one).zip(self.get(other)).map_or(Ordering::Equal, |(a, b)| compare(a, b))
        });
        arrange(&mut places, &mut |one, other| self.swap(one, other));
    }

    fn put_in_order_by_key<K: Ord>(&mut self, mut key: impl FnMut(&T) -> K) {
        self.put_in_order_by(|one, other| key(one).cmp(&key(other)));
    }
}

/// Puts what comes into a map or a set, one by one. Rust's own `collect` sorts first, with a sort that is
/// compiled anew for each type.
pub trait OneByOne: Iterator + Sized {
    /// By what stands first in each pair; of two that are equal the later one stays.
    fn in_map<K: Ord, V>(self) -> Map<K, V>
    where
        Self: Iterator<Item = (K, V)>,
    {
        self.collect()
    }

    /// Each once.
    fn in_set(self) -> Set<Self::Item>
    where
        Self::Item: Ord,
    {
        self.collect()
    }
}

impl<I: Iterator> OneByOne for I {}

/// Which of `len` belongs at each place.
fn places(len: usize, compare: &mut dyn FnMut(usize, usize) -> Ordering) -> Vec<usize> {
    let mut places: Vec<usize> = (0..len).collect();
    places.sort_by(|one, other| compare(*one, *other));
    places
}

/// Moves everything to its place, along the cycles of the permutation: each is swapped once.
fn arrange(places: &mut [usize], swap: &mut dyn FnMut(usize, usize)) {
    for start in 0..places.len() {
        let mut at = start;
        while let Some(place) = places.get_mut(at) {
            let from = std::mem::replace(place, at);
            if from == start {
                break;
            }
            swap(at, from);
            at = from;
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::{BTreeMap, BTreeSet};

    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn maps_and_sets_are_those_that_rust_collects(
            values in prop::collection::vec((0_u8..20, any::<u16>()), 0..200),
        ) {
            let collected: BTreeMap<_, _> = values.iter().copied().collect();
            prop_assert!(values.iter().copied().in_map().into_iter().eq(collected));
            let collected: BTreeSet<_> = values.iter().copied().collect();
            prop_assert!(values.into_iter().in_set().into_iter().eq(collected));
        }

        #[test]
        fn it_is_the_order_of_the_stable_sort(values in prop::collection::vec((0_u8..20, any::<u16>()), 0..200)) {
            let mut sorted = values.clone();
            sorted.sort_by_key(|(key, _)| *key);
            let mut here = values.clone();
            here.put_in_order_by_key(|(key, _)| *key);
            prop_assert_eq!(&here, &sorted);
            sorted.sort_unstable();
            here.put_in_order();
            prop_assert_eq!(&here, &sorted);
            sorted.sort_by_key(|one| std::cmp::Reverse(one.1));
            here.put_in_order_by(|a, b| b.1.cmp(&a.1));
            prop_assert_eq!(here, sorted);
        }
    }
}
