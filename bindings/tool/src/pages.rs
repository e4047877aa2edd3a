//! The pages for embedders that a package carries: what holds everywhere, and its own language.

use std::fs;
use std::path::Path;

use crate::steps::{Outcome, root};

/// Pages of every package, beside those of its language.
const COMMON: [&str; 4] = ["README.md", "calls.md", "compatibility.md", "relay.md"];

/// Lays the pages into a folder, in the order of the checkout, so that links between them hold.
pub fn lay_into(folder: &Path, language: &str) -> Outcome {
    let pages = root().join("docs/embedding");
    let own = [format!("{language}.md"), format!("cookbook/{language}.md")];
    for page in COMMON.into_iter().chain(own.iter().map(String::as_str)) {
        let (from, to) = (pages.join(page), folder.join(page));
        let failed = |error: std::io::Error| format!("{}: {error}", from.display());
        fs::create_dir_all(to.parent().unwrap_or(folder)).map_err(failed)?;
        fs::copy(&from, &to).map_err(failed)?;
    }
    Ok(())
}
