//! Short words for the commands of the day.

/// A short word, and what it stands for.
type Short = (&'static str, &'static [&'static str]);

/// The first word of a line, and what stands in its place.
pub const SHORT: &[Short] = &[
    ("r", &["read", "relief"]),
    ("a", &["read", "action"]),
    ("n", &["read", "nut"]),
    ("i", &["read", "intonation"]),
    ("f", &["read", "pitch"]),
    ("s", &["read", "spacing"]),
    ("relief", &["read", "relief"]),
    ("fall-away", &["read", "fall-away"]),
    ("action", &["read", "action"]),
    ("intonation", &["read", "intonation"]),
    ("pitch", &["read", "pitch"]),
    ("spacing", &["read", "spacing"]),
    ("gap", &["read", "gap"]),
    ("rod", &["did", "rod"]),
    ("saddle", &["did", "saddle"]),
    ("saddles", &["did", "saddles"]),
    ("post", &["did", "post"]),
    ("posts", &["did", "posts"]),
    ("springs", &["did", "springs"]),
    ("neck", &["did", "neck"]),
    ("frets", &["did", "frets"]),
    ("t", &["tuned"]),
    ("d", &["done"]),
    ("l", &["as-left"]),
    ("u", &["undo"]),
    ("p", &["plan"]),
    ("c", &["card"]),
    ("h", &["history", "--visit"]),
    ("b", &["visit", "begin"]),
    ("e", &["visit", "end"]),
    ("air", &["climate"]),
    ("w", &["setup", "target", "-"]),
    ("want", &["setup", "target", "-"]),
    ("target", &["setup", "target", "-"]),
    ("note", &["remark"]),
];

/// What takes a text in a person's words, which needs no quotes here.
const TEXTS: [&[&str]; 2] = [&["visit", "begin"], &["remark"]];

/// Words that are a reading or an adjustment, by what follows them.
const EITHER: [(&str, &str); 4] =
    [("nut", "nut"), ("slot", "nut"), ("pickup", "pickup"), ("bridge", "bridge")];

/// Commands that show something, or change nothing that a plan rests on: what is next need not be said
/// again.
const SHOWING: &[&str] = &[
    "plan",
    "next",
    "card",
    "history",
    "show",
    "list",
    "templates",
    "changed",
    "learned",
    "forecast",
    "clearance",
    "why-buzz",
    "before-strings",
    "calc",
    "people",
    "two-values",
    "held",
    "usual",
    "desk",
    "search",
    "owner",
    "job",
    "care",
    "spec",
    "pack",
    "sheet",
    "export",
    "backup",
    "fret",
];

/// Whether a command only shows.
pub fn shows(command: &str) -> bool {
    SHOWING.contains(&command)
}

/// The command that a line stands for, word by word. A line that begins with a number is what the plan
/// asks for; an empty one says that its step was done as proposed.
pub fn command(line: &str) -> Vec<String> {
    let mut words = split(line);
    // As the answers write a command.
    if words.first().is_some_and(|first| first == "fallaway") {
        words.remove(0);
    }
    let Some((first, rest)) = words.split_first() else { return vec!["done".to_owned()] };
    let front: &[&str] =
        if let Some((_, stands_for)) = SHORT.iter().find(|(short, _)| short == first) {
            stands_for
        } else if let Some((_, what)) = EITHER.iter().find(|(word, _)| word == first) {
            let done = |word: &String| {
                let word = word.as_str();
                ["cw", "ccw", "clockwise", "anticlockwise", "up", "down", "filed", "filled", "cut"]
                    .contains(&word)
            };
            if rest.iter().any(done) { &["did", what] } else { &["read", what] }
        } else if first == "remark" {
            &["remark"]
        } else if is_reading(first) {
            return ["done".to_owned()].into_iter().chain(words).collect();
        } else {
            return words;
        };
    let mut rest = rest.to_vec();
    if TEXTS.contains(&front) {
        rest = in_one(rest);
    }
    front.iter().map(|word| (*word).to_owned()).chain(rest).collect()
}

/// A text that was typed without quotes: all words up to an option are one.
fn in_one(mut words: Vec<String>) -> Vec<String> {
    let end = words.iter().position(|word| word.starts_with('-')).unwrap_or(words.len());
    let options = words.split_off(end);
    let text = (!words.is_empty()).then(|| words.join(" "));
    text.into_iter().chain(options).collect()
}

/// A line of the help as it fits: what stands apart, and else each word, goes on in the next line where there
/// is no room.
pub fn fitted(line: &str, width: usize) -> Vec<String> {
    if line.chars().count() <= width {
        return vec![line.to_owned()];
    }
    let text = line.trim_start();
    let (gap, indent) = if text.contains("  ") { ("  ", "  ") } else { (" ", "") };
    let mut lines: Vec<String> = Vec::new();
    for cell in text.split(gap).map(str::trim).filter(|cell| !cell.is_empty()) {
        match lines.last_mut() {
            Some(last) if last.chars().count() + gap.len() + cell.chars().count() <= width => {
                last.push_str(gap);
                last.push_str(cell);
            }
            _ => lines.push(format!("{indent}{cell}")),
        }
    }
    lines
}

/// Where in a line the name of an instrument begins, if it ends in one.
pub fn name_at(line: &str) -> Option<usize> {
    const BEFORE: [&str; 2] = ["-i ", "--instrument "];
    const FIRST: [&str; 5] = ["on ", "copy ", "rename ", "archive ", "forget "];
    let first = FIRST.iter().find_map(|word| line.starts_with(word).then_some(word.len()));
    let option = BEFORE.iter().find_map(|word| Some(line.rfind(word)? + word.len()));
    let begin = option.or(first)?;
    // A name that is complete is followed by something else.
    let (rest, quoted) = (line.get(begin..)?, line.get(begin..)?.starts_with('"'));
    let complete = if quoted {
        rest.get(1..)?.contains('"')
    } else {
        rest.contains(' ') && !line.starts_with("on ")
    };
    (!complete).then_some(begin)
}

fn is_reading(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit() || ".,-=<>\u{2212}\u{2264}½¼¾⅛⅜⅝⅞".contains(c))
        || word == "touches"
}

/// Splits a line into words as a shell does: spaces separate, quotes keep together. An inch sign behind a
/// number is none.
pub fn split(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word: Option<String> = None;
    let mut quote = None;
    for c in line.chars() {
        match (quote, c) {
            (Some(open), c) if c == open => quote = None,
            (None, '"' | '\'') if word.is_none() => {
                quote = Some(c);
                word = Some(String::new());
            }
            (None, c) if c.is_whitespace() => words.extend(word.take()),
            (_, c) => word.get_or_insert_default().push(c),
        }
    }
    words.extend(word);
    words
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    use super::*;
    use crate::cli::Cli;

    #[test]
    fn lines_of_the_hand() {
        for (line, wanted) in [
            ("a 5 5 5 6", "read|action|5|5|5|6"),
            ("rod 1/8 cw", "did|rod|1/8|cw"),
            ("t", "tuned"),
            ("", "done"),
            ("12", "done|12"),
            ("= 5/64 - 6", "done|=|5/64|-|6"),
            ("nut 4 filed", "did|nut|4|filed"),
            ("nut 8 8 9 9", "read|nut|8|8|9|9"),
            ("pickup 1 bass up 1/2 cw", "did|pickup|1|bass|up|1/2|cw"),
            ("w action all 5/64", "setup|target|-|action|all|5/64"),
            ("target relief 0.2 mm", "setup|target|-|relief|0.2|mm"),
            ("remark \"the nut is low\"", "remark|the nut is low"),
            ("remark the nut is low --by tech", "remark|the nut is low|--by|tech"),
            ("b buzzes, high action", "visit|begin|buzzes, high action"),
            ("b", "visit|begin"),
            ("fallaway set saddle-clockwise more", "set|saddle-clockwise|more"),
            ("note \"the nut is low\"", "remark|the nut is low"),
            ("a 3/32\" 5/64\"", "read|action|3/32\"|5/64\""),
            ("read relief 0.3 mm", "read|relief|0.3|mm"),
        ] {
            assert_eq!(command(line).join("|"), wanted, "{line}");
        }
    }

    #[test]
    fn the_help_fits_a_phone() {
        let table = "  p  plan          c  card       h  this visit      Enter  the next step";
        assert_eq!(fitted(table, 80), [table]);
        assert_eq!(
            fitted(table, 40),
            ["  p  plan  c  card  h  this visit  Enter", "  the next step"]
        );
        assert_eq!(fitted("one two three", 8), ["one two", "three"]);
    }

    #[test]
    fn every_short_word_stands_for_a_command_and_hides_none() {
        let grammar = Cli::command();
        let names: Vec<&str> = grammar.get_subcommands().map(clap::Command::get_name).collect();
        for (short, stands_for) in SHORT {
            assert!(!names.contains(short), "{short} is a command");
            assert!(names.contains(&stands_for[0]), "{short}: {stands_for:?}");
        }
        for shown in SHOWING.iter().filter(|name| cfg!(feature = "calc") || **name != "calc") {
            assert!(names.contains(shown), "{shown} is no command");
        }
    }
}
