//! The questions that were shown last, by their ids, and not answered yet: what `--sure` answers.

use std::fs;
use std::io;
use std::path::Path;

/// The file's name within the data folder.
const FILE: &str = "asked.json";

/// Whether all of these were shown; what cannot be read was not.
pub fn were_shown(folder: &Path, doubts: &[String]) -> bool {
    let bytes = fs::read(folder.join(FILE)).unwrap_or_default();
    let shown: Vec<String> = serde_json::from_slice(&bytes).unwrap_or_default();
    doubts.iter().all(|doubt| shown.contains(doubt))
}

/// Keeps those that were shown.
///
/// # Errors
/// If the folder may not be written.
pub fn keep(folder: &Path, doubts: &[String]) -> io::Result<()> {
    fs::write(folder.join(FILE), serde_json::to_vec(doubts)?)
}
