//! Why a change is not applied: a word in the store, a sentence for a person.

use fallaway_record::Refusal;
use fallaway_sharing::HeldBy;
use fallaway_text::messages::sharing as say;
use fallaway_text::{Phrase, Word};

/// Why a change is not applied. The store keeps the word, so that a person reads the reason in their
/// own language later too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyAside {
    /// The invitation of its author has not arrived.
    Invitation,
    /// Changes that it depends on have not arrived.
    Missing,
    /// It, or its author's membership, needs a newer version.
    NeedsNewer,
    /// Its author may only read.
    Reader,
    /// Its author was removed, or made a reader, before anybody else had it.
    Removed,
    /// Its writer has written another change under the same number: a device was copied.
    Fork,
    /// It builds on a change that is held.
    Behind,
    /// It breaks a rule of the record.
    Rule,
}

impl WhyAside {
    /// Every reason, in no order that means anything.
    pub const ALL: [Self; 8] = [
        Self::Invitation,
        Self::Missing,
        Self::NeedsNewer,
        Self::Reader,
        Self::Removed,
        Self::Fork,
        Self::Behind,
        Self::Rule,
    ];

    /// Its word in the store; it never changes.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Invitation => "invitation",
            Self::Missing => "missing",
            Self::NeedsNewer => "newer",
            Self::Reader => "reader",
            Self::Removed => "removed",
            Self::Fork => "fork",
            Self::Behind => "behind",
            Self::Rule => "rule",
        }
    }

    /// What stands in the store.
    pub fn stored(word: Option<&str>) -> Self {
        Self::ALL.into_iter().find(|why| Some(why.word()) == word).unwrap_or(Self::Rule)
    }

    /// The reason as a sentence to show.
    pub fn phrase(self) -> Phrase {
        say::aside(Word(self.word()))
    }
}

impl From<&Refusal> for WhyAside {
    fn from(refusal: &Refusal) -> Self {
        match refusal {
            Refusal::Missing(_) => Self::Missing,
            Refusal::UnknownContainer(_) => Self::NeedsNewer,
            Refusal::Fork { .. } => Self::Fork,
            Refusal::NoDependencies
            | Refusal::ReservedWriter
            | Refusal::Sequence { .. }
            | Refusal::Unchained { .. }
            | Refusal::EntryExists { .. }
            | Refusal::Entry { .. }
            | Refusal::Unread
            | Refusal::Format { .. } => Self::Rule,
        }
    }
}

impl From<&HeldBy> for WhyAside {
    fn from(by: &HeldBy) -> Self {
        match by {
            HeldBy::NoWriter => Self::Reader,
            HeldBy::KnewOfRemoval(_) | HeldBy::Removal(_) => Self::Removed,
            HeldBy::Fork(_) => Self::Fork,
            HeldBy::Behind(_) => Self::Behind,
        }
    }
}

#[cfg(test)]
mod tests {
    use fallaway_order::Set;

    use fallaway_text::{Language, Voice};

    use super::*;

    #[test]
    fn every_reason_has_a_word_and_a_sentence_of_its_own_in_every_language() {
        for language in Language::all() {
            let said: Set<String> =
                WhyAside::ALL.map(|why| Voice::new(language).say(&why.phrase())).into();
            assert_eq!(said.len(), WhyAside::ALL.len(), "{said:?}");
        }
        for why in WhyAside::ALL {
            assert_eq!(WhyAside::stored(Some(why.word())), why);
        }
        assert_eq!(WhyAside::stored(None), WhyAside::Rule);
    }
}
