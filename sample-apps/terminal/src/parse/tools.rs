//! Tools, as they are typed and as they are shown in any language: "feeler 1 thou", "feeler gauge 1 thou".

use fallaway::measure::{NameError, Tool};
use fallaway_text::{Language, Voice, names};

/// Reads a tool.
///
/// # Errors
/// For what is no tool, with those that are accepted.
pub fn tool(text: &str) -> Result<Tool, NameError> {
    text.parse().or_else(|error| as_shown(text.trim()).ok_or(error))
}

/// A tool by the name that this app prints.
fn as_shown(text: &str) -> Option<Tool> {
    let read = |usual: &Tool, language: Language| {
        let voice = Voice::new(language);
        let (name, graduation) =
            (voice.say(&names::tool(*usual)), voice.say(&names::amount(usual.graduation())));
        // A usual one may be shown in units of another language.
        if text == name {
            return Some(*usual);
        }
        let kind = name.strip_suffix(&graduation)?;
        let rest = text.strip_prefix(kind)?;
        format!("{} {rest}", usual.kind()).parse().ok()
    };
    let all = || Language::all().into_iter();
    Tool::USUAL.iter().find_map(|usual| all().find_map(|language| read(usual, language)))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn every_tool_is_read_as_it_is_shown_in_every_language() {
        for usual in Tool::USUAL {
            for language in Language::all() {
                let shown = Voice::new(language).say(&names::tool(usual));
                assert_eq!(tool(&shown), Ok(usual), "{shown}");
            }
        }
        assert!(tool("feeler").is_err());
    }
}
