//! Messages in files, one folder a language, one file a theme.

use std::sync::OnceLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentError, FluentResource, FluentValue};

use crate::Language;

/// What the build script lists: languages, English first, each with its themes and their texts,
/// deflated.
pub type Folders = &'static [(&'static str, &'static [(&'static str, &'static [u8])])];

type Bundle = FluentBundle<FluentResource>;

/// The messages of one crate, in every language. A theme is read when it is first needed: the first
/// line that an app shows does not wait for sentences about string changes.
pub struct Catalogue {
    folders: Folders,
    bundles: OnceLock<Vec<OnceLock<Bundle>>>,
}

impl Catalogue {
    /// A catalogue of the folders that the build script found; see [`crate::folders`].
    pub const fn new(folders: Folders) -> Self {
        Self { folders, bundles: OnceLock::new() }
    }

    /// The tags of the languages that there are, English first.
    pub fn languages(&self) -> impl Iterator<Item = &'static str> {
        self.folders.iter().map(|(tag, _)| *tag)
    }

    /// Every file as the build script found it (language, theme, text), for checks of the files
    /// themselves.
    pub fn files(&self) -> impl Iterator<Item = (&'static str, &'static str, String)> {
        let themes = |(tag, themes): &(&'static str, &'static [(&'static str, &'static [u8])])| {
            let tag = *tag;
            themes.iter().map(move |(theme, packed)| (tag, *theme, unpacked(packed)))
        };
        self.folders.iter().flat_map(themes)
    }

    /// A message without arguments by its name, such as a help text; `None` if no file has it.
    /// What a language lacks is said in English.
    pub fn text(&self, language: Language, theme: &str, id: &str) -> Option<String> {
        self.format(language, theme, id, None)
    }

    pub(crate) fn format(
        &self,
        language: Language,
        theme: &str,
        id: &str,
        arguments: Option<&FluentArgs<'_>>,
    ) -> Option<String> {
        let english = Language::ENGLISH;
        let mut wanted = [Some(language), (language != english).then_some(english)].into_iter();
        wanted.by_ref().flatten().find_map(|language| {
            let bundle = self.bundle(language, theme)?;
            let pattern = bundle.get_message(id)?.value()?;
            let mut errors: Vec<FluentError> = Vec::new();
            let text = bundle.format_pattern(pattern, arguments, &mut errors).into_owned();
            debug_assert!(errors.is_empty(), "{theme}/{id}: {errors:?}");
            Some(text)
        })
    }

    fn bundle(&self, language: Language, theme: &str) -> Option<&Bundle> {
        let themes = self.folders.iter().flat_map(|(tag, themes)| {
            themes.iter().map(move |(name, packed)| (*tag, *name, *packed))
        });
        let bundles =
            self.bundles.get_or_init(|| themes.clone().map(|_| OnceLock::new()).collect());
        let at =
            themes.clone().position(|(tag, name, _)| tag == language.tag() && name == theme)?;
        let (_, _, packed) = themes.clone().nth(at)?;
        Some(bundles.get(at)?.get_or_init(|| bundle(language, unpacked(packed))))
    }
}

/// A text as it stood in its file. What cannot be read is left out and falls back; a test rules it out.
fn unpacked(packed: &[u8]) -> String {
    let bytes = miniz_oxide::inflate::decompress_to_vec(packed).unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

fn bundle(language: Language, text: String) -> Bundle {
    // A tag that names no language has the rules of English; a test rules it out.
    let locale = language.tag().parse().unwrap_or_default();
    let mut bundle = FluentBundle::new_concurrent(vec![locale]);
    // Marks around each argument would be for texts that mix directions of writing.
    bundle.set_use_isolating(false);
    // What cannot be read is left out and falls back; a test rules it out.
    let resource = match FluentResource::try_new(text) {
        Ok(resource) | Err((resource, _)) => resource,
    };
    bundle.add_resource_overriding(resource);
    bundle
}

/// An argument as Fluent takes it: numbers choose plural forms, texts stand as they are.
pub(crate) fn number(value: i64) -> FluentValue<'static> {
    FluentValue::from(value)
}
