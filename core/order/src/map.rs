//! A map whose code is compiled once for all kinds of values under one kind of key.

use std::borrow::Borrow;
use std::collections::btree_map::{self, BTreeMap};
use std::iter;
use std::ops::RangeBounds;

/// A [`BTreeMap`] with each value in a box of its own.
///
/// Rust compiles a map anew for each pair of types, some 2 to 6 kB a time, and the library for phones has
/// more than a hundred. Boxes are all alike, so that the linker keeps one of all maps under keys of one
/// size. What it does, and in which order, is what [`BTreeMap`] does.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Map<K, V>(BTreeMap<K, Box<V>>);

/// Every pair, in the order of the keys.
pub type Iter<'a, K, V> =
    iter::Map<btree_map::Iter<'a, K, Box<V>>, fn((&'a K, &'a Box<V>)) -> (&'a K, &'a V)>;

/// Every pair, in the order of the keys; the values can be changed.
pub type IterMut<'a, K, V> =
    iter::Map<btree_map::IterMut<'a, K, Box<V>>, fn((&'a K, &'a mut Box<V>)) -> (&'a K, &'a mut V)>;

/// Every pair, in the order of the keys.
pub type IntoIter<K, V> = iter::Map<btree_map::IntoIter<K, Box<V>>, fn((K, Box<V>)) -> (K, V)>;

impl<K, V> Map<K, V> {
    /// Nothing in it.
    #[must_use]
    pub const fn new() -> Self {
        Self(BTreeMap::new())
    }
}

impl<K, V> Default for Map<K, V> {
    fn default() -> Self {
        Self::new()
    }
}

impl<K: Ord, V> Map<K, V> {
    /// How many keys.
    #[must_use]
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is no key.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The value under a key.
    pub fn get<Q: Ord + ?Sized>(&self, key: &Q) -> Option<&V>
    where
        K: Borrow<Q>,
    {
        self.0.get(key).map(|value| &**value)
    }

    /// The value under a key, to be changed.
    pub fn get_mut<Q: Ord + ?Sized>(&mut self, key: &Q) -> Option<&mut V>
    where
        K: Borrow<Q>,
    {
        self.0.get_mut(key).map(|value| &mut **value)
    }

    /// Whether there is something under a key.
    pub fn contains_key<Q: Ord + ?Sized>(&self, key: &Q) -> bool
    where
        K: Borrow<Q>,
    {
        self.0.contains_key(key)
    }

    /// Puts a value under a key; what was there before comes back.
    pub fn insert(&mut self, key: K, value: V) -> Option<V> {
        self.0.insert(key, Box::new(value)).map(|value| *value)
    }

    /// Takes out what is under a key.
    pub fn remove<Q: Ord + ?Sized>(&mut self, key: &Q) -> Option<V>
    where
        K: Borrow<Q>,
    {
        self.0.remove(key).map(|value| *value)
    }

    /// The place of a key, taken or free.
    pub fn entry(&mut self, key: K) -> MapEntry<'_, K, V> {
        match self.0.entry(key) {
            btree_map::Entry::Occupied(place) => MapEntry::Occupied(Occupied(place)),
            btree_map::Entry::Vacant(place) => MapEntry::Vacant(Vacant(place)),
        }
    }

    /// Every pair, in the order of the keys.
    pub fn iter(&self) -> Iter<'_, K, V> {
        self.0.iter().map(|(key, value)| (key, &**value))
    }

    /// Every pair, in the order of the keys; the values can be changed.
    pub fn iter_mut(&mut self) -> IterMut<'_, K, V> {
        self.0.iter_mut().map(|(key, value)| (key, &mut **value))
    }

    /// Every key, in order.
    pub fn keys(&self) -> btree_map::Keys<'_, K, Box<V>> {
        self.0.keys()
    }

    /// Every value, in the order of the keys.
    pub fn values(&self) -> impl DoubleEndedIterator<Item = &V> + ExactSizeIterator + Clone {
        self.0.values().map(|value| &**value)
    }

    /// Every value, in the order of the keys, to be changed.
    pub fn values_mut(&mut self) -> impl DoubleEndedIterator<Item = &mut V> + ExactSizeIterator {
        self.0.values_mut().map(|value| &mut **value)
    }

    /// Every key, in order.
    pub fn into_keys(self) -> btree_map::IntoKeys<K, Box<V>> {
        self.0.into_keys()
    }

    /// Every value, in the order of the keys.
    pub fn into_values(self) -> impl DoubleEndedIterator<Item = V> + ExactSizeIterator {
        self.0.into_values().map(|value| *value)
    }

    /// The pairs whose keys lie in a range.
    ///
    /// # Panics
    ///
    /// As [`BTreeMap::range`], if the range ends before it begins.
    pub fn range<Q: Ord + ?Sized, R: RangeBounds<Q>>(
        &self,
        range: R,
    ) -> impl DoubleEndedIterator<Item = (&K, &V)>
    where
        K: Borrow<Q>,
    {
        self.0.range(range).map(|(key, value)| (key, &**value))
    }

    /// The pairs whose keys lie in a range; the values can be changed.
    ///
    /// # Panics
    ///
    /// As [`BTreeMap::range_mut`], if the range ends before it begins.
    pub fn range_mut<Q: Ord + ?Sized, R: RangeBounds<Q>>(
        &mut self,
        range: R,
    ) -> impl DoubleEndedIterator<Item = (&K, &mut V)>
    where
        K: Borrow<Q>,
    {
        self.0.range_mut(range).map(|(key, value)| (key, &mut **value))
    }

    /// The least key with its value.
    #[must_use]
    pub fn first_key_value(&self) -> Option<(&K, &V)> {
        self.0.first_key_value().map(|(key, value)| (key, &**value))
    }

    /// The greatest key with its value.
    #[must_use]
    pub fn last_key_value(&self) -> Option<(&K, &V)> {
        self.0.last_key_value().map(|(key, value)| (key, &**value))
    }

    /// Takes out the least key with its value.
    pub fn pop_first(&mut self) -> Option<(K, V)> {
        self.0.pop_first().map(|(key, value)| (key, *value))
    }

    /// Takes out everything.
    pub fn clear(&mut self) {
        self.0.clear();
    }

    /// Keeps what it is told to keep.
    pub fn retain(&mut self, mut keep: impl FnMut(&K, &mut V) -> bool) {
        self.0.retain(|key, value| keep(key, value));
    }
}

/// The place of a key in a map.
pub enum MapEntry<'a, K, V> {
    /// Something is there.
    Occupied(Occupied<'a, K, V>),
    /// Nothing is there.
    Vacant(Vacant<'a, K, V>),
}

/// A place where something is.
pub struct Occupied<'a, K, V>(btree_map::OccupiedEntry<'a, K, Box<V>>);

/// A place where nothing is.
pub struct Vacant<'a, K, V>(btree_map::VacantEntry<'a, K, Box<V>>);

impl<'a, K: Ord, V> Occupied<'a, K, V> {
    /// What is there.
    #[must_use]
    pub fn get(&self) -> &V {
        self.0.get()
    }

    /// What is there, to be changed.
    pub fn get_mut(&mut self) -> &mut V {
        self.0.get_mut()
    }

    /// What is there, to be changed for as long as the map is borrowed.
    #[must_use]
    pub fn into_mut(self) -> &'a mut V {
        self.0.into_mut()
    }

    /// Takes it out.
    #[must_use]
    pub fn remove(self) -> V {
        *self.0.remove()
    }
}

impl<'a, K: Ord, V> Vacant<'a, K, V> {
    /// Puts a value there.
    pub fn insert(self, value: V) -> &'a mut V {
        self.0.insert(Box::new(value))
    }
}

impl<'a, K: Ord, V> MapEntry<'a, K, V> {
    /// What is there, or else what is made now of the key.
    pub fn or_insert_with_key(self, make: impl FnOnce(&K) -> V) -> &'a mut V {
        match self {
            Self::Occupied(place) => place.into_mut(),
            Self::Vacant(place) => {
                let value = make(place.0.key());
                place.insert(value)
            }
        }
    }

    /// What is there, or else what is made now.
    pub fn or_insert_with(self, make: impl FnOnce() -> V) -> &'a mut V {
        self.or_insert_with_key(|_| make())
    }

    /// What is there, or else this.
    pub fn or_insert(self, value: V) -> &'a mut V {
        self.or_insert_with_key(|_| value)
    }

    /// What is there, or else the usual value.
    pub fn or_default(self) -> &'a mut V
    where
        V: Default,
    {
        self.or_insert_with_key(|_| V::default())
    }
}

impl<K: Ord, V> Extend<(K, V)> for Map<K, V> {
    fn extend<I: IntoIterator<Item = (K, V)>>(&mut self, pairs: I) {
        for (key, value) in pairs {
            self.insert(key, value);
        }
    }
}

impl<K: Ord, V> FromIterator<(K, V)> for Map<K, V> {
    fn from_iter<I: IntoIterator<Item = (K, V)>>(pairs: I) -> Self {
        let mut map = Self::new();
        map.extend(pairs);
        map
    }
}

impl<K: Ord, V, const N: usize> From<[(K, V); N]> for Map<K, V> {
    fn from(pairs: [(K, V); N]) -> Self {
        pairs.into_iter().collect()
    }
}

impl<K: Ord, V> IntoIterator for Map<K, V> {
    type Item = (K, V);
    type IntoIter = IntoIter<K, V>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter().map(|(key, value)| (key, *value))
    }
}

impl<'a, K: Ord, V> IntoIterator for &'a Map<K, V> {
    type Item = (&'a K, &'a V);
    type IntoIter = Iter<'a, K, V>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl<'a, K: Ord, V> IntoIterator for &'a mut Map<K, V> {
    type Item = (&'a K, &'a mut V);
    type IntoIter = IterMut<'a, K, V>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter_mut()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// What is asked of a map.
    #[derive(Debug, Clone)]
    enum Ask {
        Insert(u8, String),
        Remove(u8),
        Get(u8),
        AddTo(u8, String),
        Change(u8),
        KeepBelow(u8),
        Between(u8, u8),
        First,
        Clear,
    }

    fn ask() -> impl Strategy<Value = Ask> {
        let key = 0_u8..12;
        let text = "[a-c]{0,3}";
        prop_oneof![
            (key.clone(), text).prop_map(|(key, text)| Ask::Insert(key, text)),
            key.clone().prop_map(Ask::Remove),
            key.clone().prop_map(Ask::Get),
            (key.clone(), text).prop_map(|(key, text)| Ask::AddTo(key, text)),
            key.clone().prop_map(Ask::Change),
            key.clone().prop_map(Ask::KeepBelow),
            Just(Ask::First),
            Just(Ask::Clear),
            (key.clone(), key)
                .prop_map(|(one, other)| Ask::Between(one.min(other), one.max(other))),
        ]
    }

    /// Asks a map, of either kind, and says what it answers.
    macro_rules! asked {
        ($map:ident, $entry:ident, $ask:expr) => {
            match $ask {
                Ask::Insert(key, text) => format!("{:?}", $map.insert(key, text)),
                Ask::Remove(key) => format!("{:?}", $map.remove(&key)),
                Ask::Get(key) => {
                    format!("{:?} {:?} {}", $map.get(&key), $map.contains_key(&key), $map.len())
                }
                Ask::AddTo(key, text) => {
                    let value = $map.entry(key).or_default();
                    value.push_str(&text);
                    value.clone()
                }
                Ask::Change(key) => match $map.entry(key) {
                    $entry::Occupied(mut place) => {
                        place.get_mut().push('!');
                        place.get().clone()
                    }
                    $entry::Vacant(place) => place.insert("new".to_owned()).clone(),
                },
                Ask::KeepBelow(most) => {
                    $map.retain(|key, value| *key < most || value.len() > 1);
                    for value in $map.values_mut() {
                        value.push('.');
                    }
                    format!("{:?}", $map.is_empty())
                }
                Ask::Between(from, to) => {
                    for (_, value) in $map.range_mut(from..=to) {
                        value.push('-');
                    }
                    let back: Vec<_> = $map.range(from..=to).rev().collect();
                    format!("{back:?}")
                }
                Ask::First => {
                    let ends = format!("{:?} {:?}", $map.first_key_value(), $map.last_key_value());
                    format!("{ends} {:?}", $map.pop_first())
                }
                Ask::Clear => {
                    $map.clear();
                    String::new()
                }
            }
        };
    }

    proptest! {
        #[test]
        fn it_answers_as_the_map_of_the_standard_library(
            asks in prop::collection::vec(ask(), 0..60),
        ) {
            use btree_map::Entry as Theirs;

            let mut ours = Map::new();
            let mut theirs = BTreeMap::new();
            for ask in asks {
                let answer = asked!(ours, MapEntry, ask.clone());
                prop_assert_eq!(answer, asked!(theirs, Theirs, ask));
                prop_assert!(ours.iter().eq(&theirs));
            }
            prop_assert!(ours.keys().eq(theirs.keys()) && ours.values().eq(theirs.values()));
            let again: Map<_, _> = theirs.clone().into_iter().collect();
            prop_assert_eq!(&again, &ours);
            for ((_, one), (_, other)) in ours.iter_mut().zip(theirs.iter_mut()) {
                one.push('~');
                other.push('~');
            }
            prop_assert!(ours.clone().into_keys().eq(theirs.clone().into_keys()));
            prop_assert!(ours.clone().into_values().eq(theirs.clone().into_values()));
            prop_assert!(ours.into_iter().eq(theirs));
        }
    }
}
