//! The cookbook: one text for each task, and the code of each language, taken out of its tests. The pages
//! are in the repository, so that people can read them there; a test asks that they are up to date.

use std::fs;

use crate::calls;
use crate::steps::{Outcome, root};
use crate::words::camel_in_code;

/// The text of the tasks, without code.
const TASKS: &str = "docs/embedding/cookbook/tasks.md";

/// A language: its word, its name, the test that holds its code, and how a comment begins there.
struct Language {
    word: &'static str,
    name: &'static str,
    test: &'static str,
    comment: &'static str,
    camel: bool,
}

const LANGUAGES: [Language; 4] = [
    Language {
        word: "kotlin",
        name: "Kotlin",
        test: "bindings/kotlin/src/test/kotlin/fallaway/CookbookTest.kt",
        comment: "//",
        camel: true,
    },
    Language {
        word: "swift",
        name: "Swift",
        test: "bindings/swift/Tests/FallawayTests/CookbookTests.swift",
        comment: "//",
        camel: true,
    },
    Language {
        word: "python",
        name: "Python",
        test: "bindings/python/tests/test_cookbook.py",
        comment: "#",
        camel: false,
    },
    Language {
        word: "rust",
        name: "Rust",
        test: "core/fallaway/tests/cookbook.rs",
        comment: "//",
        camel: false,
    },
];

/// Writes the pages anew.
pub fn write() -> Outcome {
    for (file, page) in pages()? {
        fs::write(root().join(&file), page).map_err(|error| format!("{file}: {error}"))?;
        eprintln!("{file}");
    }
    Ok(())
}

/// Each page, and the list of calls: its file, and what stands in it.
fn pages() -> Outcome<Vec<(String, String)>> {
    let tasks = read(TASKS)?;
    let of = |language: &Language| {
        let file = format!("docs/embedding/cookbook/{}.md", language.word);
        Ok((file, page(language, &tasks, &read(language.test)?)?))
    };
    let list = calls::page().map(|page| (calls::PAGE.to_owned(), page));
    LANGUAGES.iter().map(of).chain([list]).collect()
}

/// The page of a language.
fn page(language: &Language, tasks: &str, test: &str) -> Outcome<String> {
    let Language { word, name, test: file, .. } = language;
    let mut sections = tasks.split("\n## ");
    let (_, head) = sections.next().unwrap_or_default().split_once('\n').unwrap_or_default();
    let head = told(language, head);
    let mut page = format!(
        "<!-- Written by `cargo tool cookbook` from {TASKS} and\n{file}. -->\n\n\
         # Cookbook: tasks in {name}\n{head}"
    );
    for (number, section) in (1..).zip(sections) {
        let code = code(language, number, test)
            .ok_or_else(|| format!("{file} has no code for task {number}"))?;
        let (title, text) = section.split_once('\n').unwrap_or((section, ""));
        if !title.starts_with(&format!("{number}. ")) {
            return Err(format!("{TASKS}: task {number} is called {title:?}"));
        }
        let text = told(language, text);
        page += &["\n## ", title, "\n", &text, "\n```", word, "\n", &code, "```\n"].concat();
    }
    Ok(page)
}

/// The paragraphs for a language, with calls in its own spelling. A paragraph that begins with words in
/// brackets is for these languages only.
fn told(language: &Language, text: &str) -> String {
    let mut told = String::new();
    for paragraph in text.trim().split("\n\n").filter(|paragraph| !paragraph.is_empty()) {
        let only = paragraph.strip_prefix('[').and_then(|rest| rest.split_once("] "));
        let (for_it, paragraph) = match only {
            Some((words, rest)) => (words.split(' ').any(|word| word == language.word), rest),
            None => (true, paragraph),
        };
        if for_it {
            let paragraph =
                if language.camel { camel_in_code(paragraph) } else { paragraph.to_owned() };
            told += &["\n", paragraph.trim_end(), "\n"].concat();
        }
    }
    told
}

/// The code of a task: the lines between `// task 7` and `// end`, as far left as they go.
fn code(language: &Language, number: usize, test: &str) -> Option<String> {
    let begin = format!("{} task {number}", language.comment);
    let end = format!("{} end", language.comment);
    let mut blocks = Vec::new();
    let mut lines = test.lines();
    while lines.by_ref().any(|line| line.trim() == begin) {
        let block: Vec<&str> = lines.by_ref().take_while(|line| line.trim() != end).collect();
        let indents = block.iter().filter(|line| !line.trim().is_empty());
        let left = indents.map(|line| line.len() - line.trim_start().len()).min().unwrap_or(0);
        let cut = block.iter().map(|line| line.get(left..).unwrap_or_default());
        blocks.push(cut.flat_map(|line| [line, "\n"]).collect::<String>());
    }
    (!blocks.is_empty()).then(|| blocks.join("\n"))
}

fn read(file: &str) -> Outcome<String> {
    fs::read_to_string(root().join(file)).map_err(|error| format!("{file}: {error}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pages_are_those_of_the_tests() {
        for (file, page) in pages().unwrap() {
            assert!(page.matches("\n## ").count() >= 20, "{file}");
            assert!(read(&file).unwrap() == page, "{file} is old: run `cargo tool cookbook`");
        }
    }

    /// What a heading is called in a link.
    fn slug(heading: &str) -> String {
        let kept = |c: &char| c.is_ascii_alphanumeric() || matches!(c, ' ' | '-');
        heading.to_lowercase().chars().filter(kept).collect::<String>().replace(' ', "-")
    }

    #[test]
    fn what_is_looked_for_at_midnight_is_where_the_page_says() {
        let readme = read("docs/embedding/README.md").unwrap();
        let links: Vec<(&str, &str)> = readme
            .split("](cookbook/")
            .skip(1)
            .filter_map(|rest| rest.split_once(')')?.0.split_once('#'))
            .collect();
        assert_eq!(links.len() % 4, 0, "one for each language");
        for (page, anchor) in links {
            let page = read(&format!("docs/embedding/cookbook/{page}")).unwrap();
            let mut headings = page.lines().filter_map(|line| line.strip_prefix("## "));
            assert!(headings.any(|heading| slug(heading) == anchor), "{anchor}");
        }
    }

    #[test]
    fn a_page_has_the_code_and_what_is_said_of_its_language() {
        let tasks = "# Cookbook\n\nHead.\n\n[python] Not here.\n\n## 1. Undo\n\n[kotlin swift] Call `shut_down`.\n";
        let test = "x\n    // task 1\n    a()\n      b()\n    // end\n    // task 1\n    c()\n    // end\n";
        let page = page(&LANGUAGES[0], tasks, test).unwrap();
        let said = "\n## 1. Undo\n\nCall `shutDown`.\n\n```kotlin\na()\n  b()\n\nc()\n```\n";
        assert!(page.ends_with(said), "{page}");
        assert!(page.contains("\nHead.\n") && !page.contains("Not here"), "{page}");
        assert!(super::page(&LANGUAGES[2], tasks, test).unwrap_err().contains("task 1"));
    }
}
