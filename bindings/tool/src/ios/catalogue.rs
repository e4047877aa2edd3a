//! The string catalogue of the iOS app: Android's texts, in the form that Xcode reads ("Localizing and
//! varying text with a string catalog", Apple's documentation of Xcode).

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;

use crate::steps::{Outcome, root};

/// The catalogue, in the repository.
pub const FILE: &str = "sample-apps/ios/App/Localizable.xcstrings";

const LANGUAGES: [(&str, &str); 2] = [("de", "values-de"), ("en", "values")];

/// A text, or one for each form of its number.
enum Worded {
    One(String),
    Counted(BTreeMap<String, String>),
}

/// What the catalogue has to be.
pub fn made() -> Outcome<String> {
    let mut names: BTreeMap<String, Vec<(&str, Worded)>> = BTreeMap::new();
    for (language, folder) in LANGUAGES {
        let file = root().join("sample-apps/android/app/res").join(folder).join("strings.xml");
        let xml =
            fs::read_to_string(&file).map_err(|error| format!("{}: {error}", file.display()))?;
        for (name, worded) in texts(&xml)? {
            names.entry(name).or_default().push((language, worded));
        }
    }
    let entries: Vec<String> = names.iter().map(|(name, words)| entry(name, words)).collect();
    let strings = entries.join(",\n");
    Ok(format!(
        "{{\n  \"sourceLanguage\" : \"en\",\n  \"strings\" : {{\n{strings}\n  }},\n  \"version\" : \"1.0\"\n}}\n"
    ))
}

/// The texts of an Android file, one element to a line.
fn texts(xml: &str) -> Outcome<Vec<(String, Worded)>> {
    let mut found = Vec::new();
    let mut forms: Option<(String, BTreeMap<String, String>)> = None;
    for line in xml.lines().map(str::trim) {
        let parts = || tagged(line).ok_or_else(|| format!("not understood in strings.xml: {line}"));
        if line.starts_with("<string ") {
            let (name, text) = parts()?;
            found.push((name, Worded::One(text.replace("$s", "$@").replace("$d", "$@"))));
        } else if line.starts_with("<plurals ") {
            let name = line.split('"').nth(1).unwrap_or_default();
            forms = Some((name.to_owned(), BTreeMap::new()));
        } else if line.starts_with("<item ") {
            let (form, text) = parts()?;
            let Some((_, known)) = &mut forms else {
                return Err(format!("outside plurals: {line}"));
            };
            known.insert(form, text.replace("%1$d", "%lld"));
        } else if line == "</plurals>" {
            found.extend(forms.take().map(|(name, forms)| (name, Worded::Counted(forms))));
        }
    }
    Ok(found)
}

/// The first attribute of an element on one line, and its text.
fn tagged(line: &str) -> Option<(String, String)> {
    let name = line.split('"').nth(1)?;
    let text = line.split_once('>')?.1.rsplit_once("</")?.0;
    let plain = text.replace("\\'", "'").replace("&lt;", "<").replace("&gt;", ">");
    Some((name.to_owned(), plain.replace("&amp;", "&")))
}

fn entry(name: &str, words: &[(&str, Worded)]) -> String {
    let mut text = format!(
        "    \"{name}\" : {{\n      \"extractionState\" : \"manual\",\n      \"localizations\" : {{\n"
    );
    for (at, (language, worded)) in words.iter().enumerate() {
        let end = if at + 1 < words.len() { "," } else { "" };
        let inner = match worded {
            Worded::One(one) => unit(one, 10),
            Worded::Counted(forms) => {
                let forms: Vec<String> = forms
                    .iter()
                    .map(|(form, one)| {
                        format!(
                            "              \"{form}\" : {{\n{}\n              }}",
                            unit(one, 16)
                        )
                    })
                    .collect();
                format!(
                    "          \"variations\" : {{\n            \"plural\" : {{\n{}\n            }}\n          }}",
                    forms.join(",\n")
                )
            }
        };
        let _ = writeln!(text, "        \"{language}\" : {{\n{inner}\n        }}{end}");
    }
    text.push_str("      }\n    }");
    text
}

fn unit(text: &str, indent: usize) -> String {
    let space = " ".repeat(indent);
    let text = text.replace('\\', "\\\\").replace('"', "\\\"");
    format!(
        "{space}\"stringUnit\" : {{\n{space}  \"state\" : \"translated\",\n{space}  \"value\" : \"{text}\"\n{space}}}"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_apps_have_the_same_texts() {
        let there = fs::read_to_string(root().join(FILE)).unwrap();
        assert!(
            there == made().unwrap(),
            "{FILE} is not made from Android's texts: cargo tool record texts"
        );
    }
}
