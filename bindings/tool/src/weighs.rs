//! What a package weighs, beside what its page says: who packs it learns that the page is wrong.

use std::fs;
use std::path::Path;

use crate::steps::{Outcome, output, root};

/// Fails if a number in the row "weighs" of a language's page is off by more than a tenth. `bytes` are in
/// the order of the row; what was not weighed is `None`.
pub fn as_its_page_says(language: &str, bytes: &[Option<u64>]) -> Outcome {
    let page = format!("docs/embedding/{language}.md");
    let text =
        fs::read_to_string(root().join(&page)).map_err(|error| format!("{page}: {error}"))?;
    let said = row(&text).ok_or_else(|| format!("{page} has no row \"weighs\""))?;
    agree(&said, bytes).map_err(|reason| format!("{page}: {reason}"))?;
    let weighed: Vec<String> = bytes.iter().flatten().map(|&bytes| in_mb(bytes)).collect();
    eprintln!("{language}: weighs {}, as its page says", weighed.join(", "));
    Ok(())
}

/// What a file weighs, or a folder with all that is in it, directories themselves not counted.
pub fn of(path: &Path) -> Outcome<u64> {
    let failed = |error: std::io::Error| format!("{}: {error}", path.display());
    let found = fs::symlink_metadata(path).map_err(failed)?;
    if !found.is_dir() {
        return Ok(found.len());
    }
    let mut sum = 0;
    for entry in fs::read_dir(path).map_err(failed)? {
        sum += of(&entry.map_err(failed)?.path())?;
    }
    Ok(sum)
}

/// The same of the one file under a folder that is called so; `*` stands for anything.
pub fn of_the_one(folder: &Path, name: &str) -> Outcome<u64> {
    let mut find = std::process::Command::new("find");
    find.arg(folder).args(["-type", "f", "-name", name]);
    let found = output(&mut find)?;
    match found.lines().collect::<Vec<_>>()[..] {
        [one] => of(Path::new(one)),
        ref several => {
            let (folder, count) = (folder.display(), several.len());
            Err(format!("{folder} holds {count} of {name}, not one"))
        }
    }
}

/// The numbers before "MB" in the row "weighs".
fn row(page: &str) -> Option<Vec<f64>> {
    let row = page.lines().find_map(|line| line.strip_prefix("| weighs | "))?;
    let before = row.split(" MB").map(|part| part.split_whitespace().last().unwrap_or_default());
    Some(before.filter_map(|word| word.parse().ok()).collect())
}

fn agree(said: &[f64], bytes: &[Option<u64>]) -> Outcome {
    if said.len() != bytes.len() {
        return Err(format!("{} weights are said, {} are known", said.len(), bytes.len()));
    }
    for (said, weighed) in said.iter().zip(bytes) {
        let Some(bytes) = *weighed else { continue };
        let mb = bytes as f64 / 1e6;
        if (said - mb).abs() > mb / 10.0 {
            return Err(format!("{said} MB is said of what weighs {}", in_mb(bytes)));
        }
    }
    Ok(())
}

fn in_mb(bytes: u64) -> String {
    format!("{:.1} MB", bytes as f64 / 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_that_is_off_by_more_than_a_tenth_is_found() {
        let page = "| needs | 3 MB |\n| weighs | 4.9 MB as a wheel, 12 MB installed; no more |\n";
        let said = row(page).unwrap();
        assert_eq!(said, [4.9, 12.0]);
        assert_eq!(agree(&said, &[Some(5_100_000), None]), Ok(()));
        assert_eq!(agree(&said, &[Some(4_700_000), Some(11_200_000)]), Ok(()));
        assert!(agree(&said, &[Some(5_500_000), None]).unwrap_err().contains("weighs 5.5 MB"));
        assert!(agree(&said, &[None, Some(10_000_000)]).is_err());
        assert!(agree(&said, &[None]).is_err(), "a number that nothing stands for");
        assert_eq!(row("weighs 3 MB"), None);
    }

    /// All three carry the same library: what two pages say of it is the same.
    #[test]
    fn the_pages_say_the_same_of_the_library() {
        let last = |language: &str, place: usize| {
            let page = root().join(format!("docs/embedding/{language}.md"));
            row(&fs::read_to_string(page).unwrap()).unwrap()[place]
        };
        let library = last("python", 2);
        assert_eq!((last("kotlin", 1), last("swift", 1)), (library, library));
    }
}
