//! The pages for who embeds the library: how it is installed, and where everything is found at midnight.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test may fail in this way")]

use std::fs;
use std::path::{Path, PathBuf};

fn docs() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/embedding")
}

fn page(name: &str) -> String {
    fs::read_to_string(docs().join(name)).unwrap()
}

#[test]
fn each_page_says_in_one_command_how_to_install_and_what_that_takes() {
    for language in ["kotlin", "python", "swift"] {
        let text = page(&format!("{language}.md"));
        let install = text.split_once("\n## Install\n").unwrap().1;
        let install = install.split_once("\n## ").map_or(install, |(section, _)| section);
        let block = install.split_once("```sh\n").unwrap().1;
        let command = block.lines().next().unwrap();
        assert!(command.starts_with(&format!("cargo tool install {language}")), "{command}");
        for row in ["comes from", "needs", "gives", "weighs", "runs on"] {
            assert!(install.contains(&format!("\n| {row} | ")), "{language}: {row}?");
        }
    }
}

/// The name under which a heading is linked to: what is neither letter, number nor hyphen falls away
/// (as hosts of Markdown do; common practice, no source).
fn anchor(heading: &str) -> String {
    let lower = heading.trim().to_lowercase().replace(' ', "-");
    lower.chars().filter(|c| c.is_alphanumeric() || *c == '-').collect()
}

/// A line of the table, and what its code has to call: where a word of it is in none of the code that is
/// linked, somebody who looks at midnight does not find it. Names as Python writes them.
const AT_MIDNIGHT: [(&str, &[&str]); 22] = [
    ("undo, redo", &["undo", "redo", "retract"]),
    ("delete", &["archive_instrument", "remove_from_this_device"]),
    ("know when to redraw", &["changed", "cancel"]),
    ("write with another date", &["at", "by", "facts_written"]),
    ("call off the thread that draws", &["plan"]),
    ("go to the background", &["pause"]),
    ("back up", &["back_up", "restore"]),
    ("bring old data in", &["check_table", "import_table"]),
    ("upgrade", &["version"]),
    ("answer *unsure*", &["doubts", "accept"]),
    ("show cautions", &["cautions", "sentences"]),
    ("settle a step", &["done", "could_not"]),
    ("stop the clock", &["now", "in_memory"]),
    ("previews and fakes", &["card"]),
    ("two processes", &["open_workshop"]),
    ("share", &["bundle_unsent", "delivered", "unsent"]),
    ("hand a page over", &["sheet"]),
    ("draw", &["draw_neck", "sentences"]),
    ("export", &["export"]),
    ("jobs of a shop", &["open_work"]),
    ("search", &["search"]),
    ("exchange by a relay", &["sync"]),
];

/// How a language writes a call of the table: Kotlin and Swift in one word, and some by a way of their own.
fn in_words_of(file: &str, call: &str) -> Vec<String> {
    let mut camel = String::new();
    for (place, word) in call.split('_').enumerate() {
        let mut letters = word.chars();
        match letters.next().filter(|_| place > 0) {
            Some(first) => camel.extend(first.to_uppercase().chain(letters)),
            None => camel.push_str(word),
        }
    }
    let own: &[&str] = match (file, call) {
        ("cookbook/kotlin.md" | "cookbook/swift.md", "changed" | "cancel") => {
            &["changes()", "cancel"]
        }
        ("cookbook/rust.md", "changed") => &["instruments", "ChangeListener"],
        ("cookbook/rust.md", "sentences") => &["text(", "sentences"],
        ("cookbook/rust.md", "accept") => &["accepting", "accept"],
        (_, "open_workshop") => &["openOn", "Workshop.open", "Workshop::open"],
        (_, "version") => &["VERSION", "version"],
        (_, "in_memory") => &["inMemory", "in_memory", "Clock"],
        _ => &[],
    };
    own.iter().map(|own| (*own).to_owned()).chain([call.to_owned(), camel]).collect()
}

/// The task of a page that a link leads to.
fn task<'a>(page: &'a str, to: &str) -> Option<&'a str> {
    page.split("\n## ").skip(1).find(|task| anchor(task.lines().next().unwrap_or_default()) == to)
}

/// From the first page of the project it is three clicks to the code: the table, the row, the task; or the
/// cookbook itself.
#[test]
fn the_first_page_leads_to_the_table_and_to_each_cookbook() {
    let readme = docs().join("../../README.md");
    let readme = fs::read_to_string(readme).unwrap();
    assert!(readme.contains("](docs/embedding/README.md)"));
    for language in ["kotlin", "swift", "python", "rust"] {
        assert!(
            readme.contains(&format!("](docs/embedding/cookbook/{language}.md)")),
            "{language}"
        );
    }
}

/// Every cell leads to a task whose code (which the tests of that language run, as `cargo tool cookbook` takes
/// it from there) makes the calls that do the thing.
#[test]
fn what_is_looked_for_at_midnight_is_done_there_in_every_language() {
    let text = page("README.md");
    let table = text.split_once("\n## Find it at midnight\n").unwrap().1;
    let table = table.split_once("\n## ").unwrap().0;
    let rows: Vec<&str> = table.lines().filter(|line| line.starts_with("| ")).skip(1).collect();
    let mut missing = Vec::new();
    for row in &rows {
        let Some((_, calls)) =
            AT_MIDNIGHT.iter().find(|(words, _)| row.starts_with(&format!("| {words}")))
        else {
            missing.push(format!("nothing is asked of the line: {row}"));
            continue;
        };
        let links: Vec<&str> =
            row.split("](").skip(1).filter_map(|rest| rest.split(')').next()).collect();
        assert_eq!(links.len(), 4, "{row}");
        for link in links {
            let (file, to) = link.split_once('#').unwrap();
            let target = page(file);
            let Some(task) = task(&target, to) else {
                missing.push(format!("{link} leads nowhere"));
                continue;
            };
            let code: String = task.split("```").skip(1).step_by(2).collect();
            for call in *calls {
                if !in_words_of(file, call).iter().any(|word| code.contains(word.as_str())) {
                    missing.push(format!("{link} has no {call}"));
                }
            }
        }
    }
    for (words, _) in AT_MIDNIGHT {
        if !rows.iter().any(|row| row.starts_with(&format!("| {words}"))) {
            missing.push(format!("no line about: {words}"));
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}
