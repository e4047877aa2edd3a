//! What this device remembers between runs of the app, in one small file in the data folder: the
//! tools in use, the order in which strings are read, how the device is shown to others. None of it
//! belongs to an instrument; all of it can be deleted.

use std::collections::BTreeMap;
use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use fallaway::measure::{Tool, ToolKind};
use fallaway_text::{Language, Voice};
use serde::{Deserialize, Serialize};

use crate::cli::{Order, What};
use crate::error::{Error, Outcome};
use crate::messages::app as say;

/// The file's name within the data folder.
const FILE: &str = "settings.json";

/// What this device remembers.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// How the device is shown to others.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// The language of the app, by its tag; the system's if there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub language: Option<String>,
    /// The units of computed numbers.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub units: Option<String>,
    /// Whether the lowest string is read first.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub low_first: bool,
    /// The tool for each kind of reading, by its word on the command line.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub tools: BTreeMap<String, String>,
}

impl Settings {
    /// Reads them; a folder without the file has none yet.
    ///
    /// # Errors
    /// If the file cannot be read or is not what this app writes.
    pub fn load(folder: &Path) -> Outcome<Self> {
        let path = folder.join(FILE);
        match fs::read(&path) {
            Ok(bytes) => serde_json::from_slice(&bytes).map_err(|error| {
                Error::Refused(say::not_ours(path.display().to_string(), error.to_string()))
            }),
            Err(error) if error.kind() == ErrorKind::NotFound => Ok(Self::default()),
            Err(error) => Err(Error::file(&path, say::cannot_read)(error)),
        }
    }

    /// Writes them, whole or not at all.
    ///
    /// # Errors
    /// If the folder may not be written.
    pub fn save(&self, folder: &Path) -> Outcome {
        let path = folder.join(FILE);
        let failed = Error::file(&path, say::cannot_write);
        let text = serde_json::to_vec_pretty(self).map_err(|e| failed(e.into()))?;
        fs::create_dir_all(folder).map_err(&failed)?;
        let fresh = path.with_extension("new");
        fs::write(&fresh, text).map_err(&failed)?;
        fs::rename(&fresh, &path).map_err(failed)
    }

    /// How to speak to whoever uses this device; `system` is the language that it is set to.
    pub fn voice(&self, system: Option<Language>) -> Voice {
        let own = self.language.as_deref().and_then(Language::named);
        let units = self.units.as_deref().and_then(|text| text.parse().ok()).unwrap_or_default();
        Voice::new(own.or(system).unwrap_or_default()).in_units(units)
    }

    /// The tool for a kind of reading.
    pub fn tool(&self, what: What) -> Option<Tool> {
        self.tools.get(word(what)).and_then(|label| label.parse().ok())
    }

    /// Takes a tool in hand for some kinds of reading.
    pub fn take(&mut self, tool: Tool, readings: &[What]) {
        for what in readings {
            self.tools.insert(word(*what).to_owned(), tool.to_string());
        }
    }

    /// The order in which strings are read.
    pub fn order(&self) -> Order {
        if self.low_first { Order::LowFirst } else { Order::HighFirst }
    }
}

/// What a tool is for unless the person says otherwise.
pub fn usual_readings(kind: ToolKind) -> &'static [What] {
    match kind {
        ToolKind::Feeler => &[What::Relief, What::Nut],
        ToolKind::Tuner => &[What::Pitch, What::Intonation],
        _ => &[What::Action, What::Gap, What::Spacing, What::NutSpacing, What::Pickup],
    }
}

/// The word of the command line for a kind of reading.
pub fn word(what: What) -> &'static str {
    match what {
        What::Relief => "relief",
        What::Action => "action",
        What::Nut => "nut",
        What::Gap => "gap",
        What::Pitch => "pitch",
        What::Intonation => "intonation",
        What::Spacing => "spacing",
        What::NutSpacing => "nut-spacing",
        What::Pickup => "pickup",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_survive_the_file() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(Settings::load(folder.path()).unwrap(), Settings::default());
        let mut settings = Settings { label: Some("tech".into()), ..Settings::default() };
        settings.take(Tool::RULE_64, usual_readings(ToolKind::SteelRule));
        settings.save(folder.path()).unwrap();
        let loaded = Settings::load(folder.path()).unwrap();
        assert_eq!(loaded, settings);
        assert_eq!(loaded.tool(What::Action), Some(Tool::RULE_64));
        assert_eq!(loaded.tool(What::Relief), None);
    }

    #[test]
    fn a_file_that_is_not_ours_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(FILE), "\u{0}garbage").unwrap();
        assert_eq!(Settings::load(folder.path()).unwrap_err().code(), 1);
    }
}
