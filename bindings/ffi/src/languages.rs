//! The languages in which the library speaks.

use fallaway::Accepted;
use fallaway::text::messages::errors;
use fallaway::text::{Language, List, Voice};

use crate::error::field;
use crate::voice::set;
use crate::{FallawayError, Result, Units};

/// The tags of the languages in which the library speaks, English first: "en", "de".
#[uniffi::export]
pub fn languages() -> Vec<String> {
    Language::all().into_iter().map(|language| language.tag().to_owned()).collect()
}

/// The language of a tag.
pub(crate) fn named(tag: &str) -> Result<Language> {
    Language::named(tag).ok_or_else(|| {
        let accepted = List::comma(Language::all().into_iter().map(|one| one.tag().into()));
        let accepted = Accepted::one_of(languages()).said(accepted);
        FallawayError::bad_input(&field("language"), &errors::not_spoken(tag), accepted)
    })
}

/// Speaks this language from now on (a tag such as "de" or "de-AT"), in every text of this library
/// and of every workshop of this process; in these units, or as everything is read if `None`. For the
/// system's language, before a workshop is opened: what its person prefers is kept by the preferences,
/// and a workshop that is opened or told later speaks by them.
///
/// # Errors
/// `BadInput` for a language that the library does not speak: the voice stays as it was.
#[uniffi::export(default(units = None))]
pub fn set_voice(language: &str, units: Option<Units>) -> Result<()> {
    set(Voice::new(named(language)?).in_units(units.unwrap_or_default()));
    Ok(())
}
