//! A set whose code is that of the maps.

use std::borrow::Borrow;
use std::collections::btree_map;
use std::fmt;
use std::iter;
use std::ops::RangeBounds;

use crate::Map;
use crate::map;

/// A [`Map`] without values: to the linker it is one more map under keys of its size, where Rust's own
/// set would be compiled anew. What it does, and in which order, is what Rust's `BTreeSet` does.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Set<T>(Map<T, ()>);

/// Each element, in order.
pub type Iter<'a, T> = btree_map::Keys<'a, T, Box<()>>;

/// Each element, in order.
pub type IntoIter<T> = iter::Map<map::IntoIter<T, ()>, fn((T, ())) -> T>;

impl<T> Set<T> {
    /// Nothing in it.
    #[must_use]
    pub const fn new() -> Self {
        Self(Map::new())
    }
}

impl<T> Default for Set<T> {
    fn default() -> Self {
        Self::new()
    }
}

impl<T: fmt::Debug + Ord> fmt::Debug for Set<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_set().entries(self).finish()
    }
}

impl<T: Ord> Set<T> {
    /// How many elements.
    #[must_use]
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is no element.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Whether it is there.
    pub fn contains<Q: Ord + ?Sized>(&self, element: &Q) -> bool
    where
        T: Borrow<Q>,
    {
        self.0.contains_key(element)
    }

    /// Puts it in; `false` if it was there.
    pub fn insert(&mut self, element: T) -> bool {
        self.0.insert(element, ()).is_none()
    }

    /// Takes it out; `false` if it was not there.
    pub fn remove<Q: Ord + ?Sized>(&mut self, element: &Q) -> bool
    where
        T: Borrow<Q>,
    {
        self.0.remove(element).is_some()
    }

    /// Each element, in order.
    pub fn iter(&self) -> Iter<'_, T> {
        self.0.keys()
    }

    /// The elements that lie in a range.
    ///
    /// # Panics
    ///
    /// As [`Map::range`], if the range ends before it begins.
    pub fn range<Q: Ord + ?Sized, R: RangeBounds<Q>>(
        &self,
        range: R,
    ) -> impl DoubleEndedIterator<Item = &T>
    where
        T: Borrow<Q>,
    {
        self.0.range(range).map(|(element, ())| element)
    }

    /// The least element.
    #[must_use]
    pub fn first(&self) -> Option<&T> {
        self.0.first_key_value().map(|(element, ())| element)
    }

    /// The greatest element.
    #[must_use]
    pub fn last(&self) -> Option<&T> {
        self.0.last_key_value().map(|(element, ())| element)
    }

    /// Takes out the least element.
    pub fn pop_first(&mut self) -> Option<T> {
        self.0.pop_first().map(|(element, ())| element)
    }

    /// Takes out everything.
    pub fn clear(&mut self) {
        self.0.clear();
    }

    /// Keeps what it is told to keep.
    pub fn retain(&mut self, mut keep: impl FnMut(&T) -> bool) {
        self.0.retain(|element, ()| keep(element));
    }

    /// Whether everything here is there too.
    #[must_use]
    pub fn is_subset(&self, other: &Self) -> bool {
        self.iter().all(|element| other.contains(element))
    }

    /// What is here and not there, in order.
    pub fn difference(&self, other: &Self) -> impl Iterator<Item = &T> {
        self.iter().filter(|element| !other.contains(*element))
    }
}

impl<T: Ord> Extend<T> for Set<T> {
    fn extend<I: IntoIterator<Item = T>>(&mut self, elements: I) {
        for element in elements {
            self.insert(element);
        }
    }
}

impl<'a, T: Ord + Copy> Extend<&'a T> for Set<T> {
    fn extend<I: IntoIterator<Item = &'a T>>(&mut self, elements: I) {
        self.extend(elements.into_iter().copied());
    }
}

impl<T: Ord> FromIterator<T> for Set<T> {
    fn from_iter<I: IntoIterator<Item = T>>(elements: I) -> Self {
        let mut set = Self::new();
        set.extend(elements);
        set
    }
}

impl<T: Ord, const N: usize> From<[T; N]> for Set<T> {
    fn from(elements: [T; N]) -> Self {
        elements.into_iter().collect()
    }
}

impl<T: Ord> IntoIterator for Set<T> {
    type Item = T;
    type IntoIter = IntoIter<T>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter().map(|(element, ())| element)
    }
}

impl<'a, T: Ord> IntoIterator for &'a Set<T> {
    type Item = &'a T;
    type IntoIter = Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn it_answers_as_the_set_of_the_standard_library(
            asks in prop::collection::vec((0_u8..5, 0_u8..12), 0..60),
            others in prop::collection::vec(0_u8..12, 0..12),
        ) {
            let (mut ours, mut theirs) = (Set::new(), BTreeSet::new());
            for (ask, element) in asks {
                match ask {
                    0 | 1 => prop_assert_eq!(ours.insert(element), theirs.insert(element)),
                    2 => prop_assert_eq!(ours.remove(&element), theirs.remove(&element)),
                    3 => prop_assert_eq!(ours.pop_first(), theirs.pop_first()),
                    _ => {
                        ours.retain(|one| one % 5 != element % 5);
                        theirs.retain(|one| one % 5 != element % 5);
                    }
                }
                prop_assert!(ours.iter().eq(&theirs));
                prop_assert_eq!(ours.contains(&element), theirs.contains(&element));
                prop_assert_eq!((ours.first(), ours.last()), (theirs.first(), theirs.last()));
                prop_assert!(ours.range(element..).rev().eq(theirs.range(element..).rev()));
            }
            prop_assert_eq!(format!("{ours:?}"), format!("{theirs:?}"));
            let other: Set<u8> = others.iter().copied().collect();
            let others: BTreeSet<u8> = others.into_iter().collect();
            prop_assert_eq!(ours.is_subset(&other), theirs.is_subset(&others));
            prop_assert!(ours.difference(&other).eq(theirs.difference(&others)));
            ours.extend(&other);
            theirs.extend(&others);
            prop_assert_eq!(ours.len(), theirs.len());
            prop_assert!(ours.clone().into_iter().rev().eq(theirs.into_iter().rev()));
            ours.clear();
            prop_assert!(ours.is_empty());
        }
    }
}
