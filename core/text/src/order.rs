//! Which string comes first: the one place where it is decided. Whatever is listed for each string, in a
//! sentence, a table or data, is put in order here.

use fallaway_measure::StringPlace;
use fallaway_order::PutInOrder as _;

use crate::phrase::Arg;
use crate::{List, Phrase, Voice};

/// The strings that something is about: the highest and the lowest of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AboutStrings {
    highest: StringPlace,
    lowest: StringPlace,
}

impl AboutStrings {
    fn with(self, other: Self) -> Self {
        Self { highest: self.highest.min(other.highest), lowest: self.lowest.max(other.lowest) }
    }
}

impl From<StringPlace> for AboutStrings {
    fn from(place: StringPlace) -> Self {
        Self { highest: place, lowest: place }
    }
}

impl Voice {
    /// What there is for each string, the highest first, in the person's order; and back.
    #[must_use]
    pub fn in_order<T>(&self, mut highest_first: Vec<T>) -> Vec<T> {
        if self.low_first {
            highest_first.reverse();
        }
        highest_first
    }

    /// Neighbours of one kind that are each about a string, in the person's order. What is about no string
    /// stays where it stands, and nothing is moved past it.
    #[must_use]
    pub fn by_string<T, K: PartialEq>(
        &self,
        mut items: Vec<T>,
        about: impl Fn(&T) -> Option<(K, AboutStrings)>,
    ) -> Vec<T> {
        let alike = |a: &T, b: &T| match (about(a), about(b)) {
            (Some((a, _)), Some((b, _))) => a == b,
            _ => false,
        };
        for run in items.chunk_by_mut(alike) {
            run.put_in_order_by(|a, b| {
                let (a, b) = (about(a).map(|of| of.1), about(b).map(|of| of.1));
                if self.low_first {
                    b.map(|of| of.lowest).cmp(&a.map(|of| of.lowest))
                } else {
                    a.map(|of| of.highest).cmp(&b.map(|of| of.highest))
                }
            });
        }
        items
    }

    /// Sentences, those of one kind in the person's order of strings.
    #[must_use]
    pub fn phrases_by_string<'p>(
        &self,
        phrases: impl IntoIterator<Item = &'p Phrase>,
    ) -> Vec<&'p Phrase> {
        self.by_string(phrases.into_iter().collect(), |phrase| {
            Some((phrase.kind(), phrase.about()?))
        })
    }
}

impl Phrase {
    /// The strings that it names.
    pub fn about(&self) -> Option<AboutStrings> {
        let about = |argument: &Arg| match argument {
            Arg::Place(place) => Some(AboutStrings::from(*place)),
            Arg::Phrase(phrase) => phrase.about(),
            Arg::List(list) => list.items.iter().filter_map(Self::about).reduce(AboutStrings::with),
            _ => None,
        };
        self.arguments.iter().find_map(about)
    }

    /// The label of the string that a sentence begins with, "string 4 (E): ...", if it is of one string.
    pub(crate) fn of_one_string(&self) -> Option<Self> {
        match self.arguments.first() {
            Some(Arg::Phrase(place)) if place.id() == "string" => {
                match place.arguments.as_slice() {
                    [Arg::Phrase(label)] => Some(label.clone()),
                    _ => None,
                }
            }
            _ => None,
        }
    }

    /// What it says, whatever it says it of: of a row, what its first phrase says.
    fn kind(&self) -> &'static str {
        match self.arguments.as_slice() {
            [Arg::List(List { items, .. })] => items.first().map_or(self.id(), Self::kind),
            _ => self.id(),
        }
    }
}
