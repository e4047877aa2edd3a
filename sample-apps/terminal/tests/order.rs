//! One order of strings for a person: whatever lists strings, in words, tables or data, lists them from the
//! highest to the lowest, or the other way round.

#![allow(clippy::panic, clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::winter;
use fallaway_text::Language;
use serde_json::Value;

/// Lists that have an order of their own: the likeliest first, the oldest first.
const RANKED: &[&str] = &["likely", "causes", "observed"];

/// Where a string is named by number and note, `4 (E)`: the text before it, and its number.
fn labels(text: &str) -> Vec<(&str, u32)> {
    let mut found = Vec::new();
    let mut from = 0;
    for (at, _) in text.match_indices(" (") {
        let front = &text[..at];
        let digits = front.len() - front.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        let behind = &text[at + 2..];
        let note = behind.split(')').next().unwrap_or_default();
        let is_note = note.len() <= 2 && note.starts_with(|c: char| ('A'..='H').contains(&c));
        if digits == 0 || !is_note {
            continue;
        }
        let start = at - digits;
        found.push((&text[from..start], front[start..].parse().unwrap()));
        from = at + 2 + note.len() + 1;
    }
    found
}

/// Pairs of strings that stand side by side in one list: `1 (G), 2 (D)`, or at the beginning of two lines
/// of a table, or in the same place of two sentences.
fn neighbours(text: &str) -> Vec<(u32, u32, String)> {
    let mut pairs = Vec::new();
    for line in text.lines() {
        let labels = labels(line);
        for pair in labels.windows(2) {
            let between = pair[1].0;
            if between.trim().is_empty() || between == ", " || between.starts_with(": ") {
                pairs.push((pair[0].1, pair[1].1, line.to_owned()));
            }
        }
    }
    let lines: Vec<&str> = text.lines().collect();
    for pair in lines.windows(2) {
        // A row or a sentence is about one string; what names several is a line of the history.
        if let ([a], [b]) = (labels(pair[0]).as_slice(), labels(pair[1]).as_slice()) {
            let (a_front, b_front) = (a.0.trim_end(), b.0.trim_end());
            let starts = a.0 == b.0 || (b_front.is_empty() && !a_front.ends_with(','));
            if starts && a_front.len() < 40 {
                pairs.push((a.1, b.1, format!("{} / {}", pair[0], pair[1])));
            }
        }
    }
    pairs
}

fn string_of(value: &Value) -> Option<u32> {
    let text = match value {
        Value::Number(number) => number.to_string(),
        Value::String(text) => text.clone(),
        _ => return None,
    };
    text.split(' ').next()?.parse().ok()
}

/// The same in data: neighbours in an array that name a string and agree in what is said of it.
fn in_data(value: &Value, path: &str, pairs: &mut Vec<(u32, u32, String)>) {
    match value {
        Value::Object(fields) => {
            for (key, value) in fields {
                in_data(value, &format!("{path}.{key}"), pairs);
            }
        }
        Value::Array(items) => {
            let key = path.rsplit('.').next().unwrap_or_default();
            for item in items {
                in_data(item, path, pairs);
            }
            // Of the history each line has its time.
            let is_history = items.iter().any(|item| item.get("short").is_some());
            if RANKED.contains(&key) || is_history {
                return;
            }
            for pair in items.windows(2) {
                let alike = ["quantity", "step", "part"]
                    .iter()
                    .all(|key| pair[0].get(key) == pair[1].get(key));
                let of = |item: &Value| match item {
                    Value::Object(fields) => string_of(fields.get("string")?),
                    Value::String(_) if key.ends_with("strings") => string_of(item),
                    _ => None,
                };
                if let (true, Some(a), Some(b)) = (alike, of(&pair[0]), of(&pair[1])) {
                    pairs.push((a, b, format!("{path}: {a}, {b}")));
                }
            }
        }
        Value::String(text) => {
            pairs.extend(
                neighbours(text).into_iter().map(|(a, b, _)| (a, b, format!("{path}: {text}"))),
            );
        }
        _ => {}
    }
}

const MORE: &[&str] = &[
    "read|action|5|5|5|6|7",
    "read|nut|0.2|0.2|0.2|0.2|0.2|mm",
    "targets|usual|--into|other",
    "setup|drop|other|action|all",
    "did|saddles|1,2,4|down|1/8|ccw",
    "tuned|5=A0|1=F#2",
    "undo",
    "redo",
    "frets",
    "sheet",
    "set|gauges|0.045|0.065|0.085|0.105|0.130|in",
    "calc|tension|--gauges|.045|.065|.085|.105|.130|in",
];

fn walk(low_first: bool, json: bool) -> usize {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = winter::device(folder.path());
    tech.ok(if low_first { "order|low-first" } else { "order|high-first" });
    tech.width = 200;
    let (mut faults, mut seen) = (Vec::new(), 0);
    for language in Language::all() {
        tech.language = Some(language);
        for command in winter::SHOWN.iter().chain(MORE) {
            // Which is changed here.
            if *command == "order" {
                continue;
            }
            let mut pairs = Vec::new();
            if json {
                let ran = tech.run(&format!("{command}|--json"));
                if let Ok(value) = serde_json::from_str::<Value>(&ran.out) {
                    in_data(&value, "", &mut pairs);
                }
            } else {
                let ran = tech.run(command);
                pairs = neighbours(&ran.out);
                pairs.extend(neighbours(&ran.err));
            }
            seen += pairs.len();
            let wrong = |(a, b, _): &&(u32, u32, String)| if low_first { a < b } else { a > b };
            faults.extend(pairs.iter().filter(wrong).map(|one| format!("{command}: {}", one.2)));
        }
    }
    faults.dedup();
    assert!(faults.is_empty(), "low first {low_first}, data {json}:\n{}", faults.join("\n"));
    seen
}

#[test]
fn words_and_tables_list_strings_in_one_order() {
    assert!(walk(false, false) > 100);
    assert!(walk(true, false) > 100);
}

#[test]
fn data_lists_strings_in_the_same_order() {
    assert!(walk(false, true) > 100);
    assert!(walk(true, true) > 100);
}

/// The position of the next step is one in the list as it is printed.
#[test]
fn the_next_step_of_the_data_is_the_same_in_either_order() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = winter::device(folder.path());
    let mut next = |order: &str| {
        tech.ok(order);
        let plan = tech.run("plan|--setup|club|--json").json();
        let at = usize::try_from(plan["next"].as_u64().unwrap()).unwrap();
        plan["steps"][at]["id"].clone()
    };
    assert_eq!(next("order|high-first"), next("order|low-first"));
}
