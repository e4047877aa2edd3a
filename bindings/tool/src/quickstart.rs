//! The code of the quickstart, taken out of the page as files, so that what people copy is what runs.

use std::fs;
use std::path::Path;

use crate::steps::Outcome;

/// Writes the code blocks of `page` into `folder`. A block is a file if the line before it names one:
/// `<!-- file: Sources/App/main.swift -->`; blocks that name the same file follow each other in it.
pub fn extract(page: &Path, folder: &Path) -> Outcome {
    let text = fs::read_to_string(page).map_err(|error| format!("{}: {error}", page.display()))?;
    let files = blocks(&text);
    if files.is_empty() {
        return Err(format!("{} names no file before a code block", page.display()));
    }
    let say = |error: std::io::Error| format!("{}: {error}", folder.display());
    for (name, code) in files {
        let path = folder.join(name);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(say)?;
        }
        fs::write(&path, code).map_err(say)?;
    }
    Ok(())
}

/// All code blocks of a language, one after the other: a page that is one program.
pub fn code(page: &str, language: &str) -> String {
    let begin = format!("```{language}\n");
    let blocks = page.split(begin.as_str()).skip(1);
    let code: Vec<&str> = blocks.filter_map(|rest| Some(rest.split_once("```")?.0)).collect();
    code.join("\n\n")
}

fn blocks(text: &str) -> Vec<(String, String)> {
    let mut files: Vec<(String, String)> = Vec::new();
    let mut lines = text.lines();
    let mut named = None;
    while let Some(line) = lines.next() {
        if let Some(name) =
            line.strip_prefix("<!-- file: ").and_then(|name| name.strip_suffix(" -->"))
        {
            named = Some(name.to_owned());
        } else if line.starts_with("```") {
            let mut code = String::new();
            for line in lines.by_ref().take_while(|line| *line != "```") {
                code.push_str(line);
                code.push('\n');
            }
            if let Some(name) = named.take() {
                match files.iter_mut().find(|(known, _)| *known == name) {
                    Some((_, before)) => {
                        before.push('\n');
                        before.push_str(&code);
                    }
                    None => files.push((name, code)),
                }
            }
        }
    }
    files
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_blocks_of_a_language_are_one_program() {
        let page = "Text.\n```sh\nls\n```\n```python\na = 1\n```\n```python\nprint(a)\n```\n";
        assert_eq!(super::code(page, "python"), "a = 1\n\n\nprint(a)\n");
    }

    #[test]
    fn blocks_that_name_a_file_are_taken() {
        let page = "Text.\n<!-- file: a.swift -->\n```swift\nlet a = 1\n```\n```sh\nls\n```\n<!-- file: a.swift -->\n```swift\nlet b = 2\n```\n";
        let files = super::blocks(page);
        assert_eq!(files, [("a.swift".to_owned(), "let a = 1\n\nlet b = 2\n".to_owned())]);
    }
}
