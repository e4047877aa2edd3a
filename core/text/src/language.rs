//! Languages: each is a folder of messages.

use crate::CATALOGUE;

/// A language in which this library speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Language(&'static str);

impl Default for Language {
    fn default() -> Self {
        Self::ENGLISH
    }
}

impl Language {
    /// English: what messages are written in first, and what other languages fall back to.
    pub const ENGLISH: Self = Self("en");

    /// Every language that there is, English first.
    pub fn all() -> Vec<Self> {
        CATALOGUE.languages().map(Self).collect()
    }

    /// The language for a tag (BCP 47, `de-AT`) or a locale of POSIX (`de_AT.UTF-8`): the exact one,
    /// else the one without its region; `None` if this library does not speak it.
    ///
    /// ```
    /// use fallaway_text::Language;
    /// assert_eq!(Language::named("de_AT.UTF-8").map(Language::tag), Some("de"));
    /// assert_eq!(Language::named("C"), Some(Language::ENGLISH));
    /// assert_eq!(Language::named("tlh"), None);
    /// ```
    pub fn named(tag: &str) -> Option<Self> {
        let plain = tag.split(['.', '@']).next().unwrap_or_default().replace('_', "-");
        if plain == "C" || plain == "POSIX" {
            return Some(Self::ENGLISH);
        }
        let fits = |wanted: &str| {
            CATALOGUE.languages().find(|tag| tag.eq_ignore_ascii_case(wanted)).map(Self)
        };
        fits(&plain).or_else(|| fits(plain.split('-').next().unwrap_or_default()))
    }

    /// Its tag, such as `de`.
    pub const fn tag(self) -> &'static str {
        self.0
    }
}
