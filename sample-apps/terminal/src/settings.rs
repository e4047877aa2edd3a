//! What this device remembers beside the preferences of its workshop, in one small file in the data
//! folder: how the device is shown to others. It can be deleted.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use serde::{Deserialize, Serialize};

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
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_survive_the_file() {
        let folder = tempfile::tempdir().unwrap();
        assert_eq!(Settings::load(folder.path()).unwrap(), Settings::default());
        let settings = Settings { label: Some("tech".into()) };
        settings.save(folder.path()).unwrap();
        assert_eq!(Settings::load(folder.path()).unwrap(), settings);
    }

    #[test]
    fn a_file_that_is_not_ours_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(FILE), "\u{0}garbage").unwrap();
        assert_eq!(Settings::load(folder.path()).unwrap_err().code(), 1);
    }
}
