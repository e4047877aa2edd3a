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

/// Maven's own documentation: what is in the local repository is not looked for elsewhere
/// ("Introduction to Repositories", https://maven.apache.org/guides/introduction/introduction-to-repositories.html).
#[test]
fn the_page_for_kotlin_says_what_maven_keeps_and_its_build_leaves_nothing_running() {
    let text = page("kotlin.md");
    assert!(text.contains("delete `~/.m2/repository/dev/fallaway`"));
    let (_, pom) = text.split_once("<!-- file: pom.xml -->").unwrap();
    let (pom, _) = pom.split_once("</project>").unwrap();
    assert!(pom.contains("<kotlin.compiler.daemon>false</kotlin.compiler.daemon>"));
}

/// The name under which a heading is linked to: what is neither letter, number nor hyphen falls away
/// (as hosts of Markdown do; common practice, no source).
fn anchor(heading: &str) -> String {
    let lower = heading.trim().to_lowercase().replace(' ', "-");
    lower.chars().filter(|c| c.is_alphanumeric() || *c == '-').collect()
}

#[test]
fn what_is_looked_for_at_midnight_is_there_in_every_language() {
    let text = page("README.md");
    let table = text.split_once("\n## Find it at midnight\n").unwrap().1;
    let table = table.split_once("\n## ").unwrap().0;
    let rows: Vec<&str> = table.lines().filter(|line| line.starts_with("| ")).skip(1).collect();
    for wanted in
        ["undo", "delete", "redraw", "thread", "back up", "old data", "unsure", "cautions", "clock"]
    {
        assert!(rows.iter().any(|row| row.contains(wanted)), "no line about: {wanted}");
    }
    for row in rows {
        let links: Vec<&str> =
            row.split("](").skip(1).filter_map(|rest| rest.split(')').next()).collect();
        assert_eq!(links.len(), 4, "{row}");
        for link in links {
            let (file, to) = link.split_once('#').unwrap();
            let target = page(file);
            let headings = target.lines().filter_map(|line| line.strip_prefix("## "));
            let found = headings.map(anchor).any(|one| one == to);
            assert!(found, "{link} leads nowhere");
        }
    }
}
