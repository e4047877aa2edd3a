//! `--json` carries every fact that the text carries: each number with a unit that a command prints
//! stands in its JSON too, as a number (or, for readings as entered and facts in words, as text); the
//! finished sentences do not count.

// Helpers of tests fail loudly.
#![allow(clippy::panic, clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::Device;
use serde_json::Value;

const UNITS: [&str; 5] = ["mm", "N", "cent", "%", "in"];

/// Numbers with their units, in the order of the text.
fn numbers(text: &str) -> Vec<(String, String)> {
    let plain = |word: &str| word.trim_matches(['(', ')', ',', ';', ':', '.', '!']).to_owned();
    let words: Vec<String> = text.split_whitespace().map(plain).collect();
    let mut found = Vec::new();
    for pair in words.windows(2) {
        let number = pair[0].trim_start_matches(['+', '±']).to_owned();
        let is_number =
            number.trim_start_matches('-').parse::<f64>().is_ok() || number.contains('/');
        if is_number
            && UNITS.contains(&pair[1].as_str())
            && number.chars().any(|c| c.is_ascii_digit())
        {
            found.push((number, pair[1].clone()));
        }
    }
    found
}

/// All texts and all numbers of a value, the finished sentences left out.
fn leaves(value: &Value, texts: &mut Vec<String>, values: &mut Vec<f64>) {
    match value {
        Value::Object(object) => {
            for (key, value) in object.iter().filter(|(key, _)| *key != "sentences") {
                leaves(value, texts, values);
                // The least that will do is printed rounded up: below it the string touches.
                if key.starts_with("lowest_clean_action") {
                    values.extend(value.as_f64().map(|mm| (mm * 100.0).ceil() / 100.0));
                }
            }
        }
        Value::Array(items) => items.iter().for_each(|item| leaves(item, texts, values)),
        Value::String(text) => texts.push(text.split_whitespace().collect::<Vec<_>>().join(" ")),
        Value::Number(number) => values.extend(number.as_f64()),
        _ => {}
    }
}

fn carried(number: &str, unit: &str, texts: &[String], values: &[f64]) -> bool {
    let phrase = format!("{number} {unit}");
    if texts.iter().any(|text| text.contains(&phrase)) {
        return true;
    }
    let Ok(shown) = number.parse::<f64>() else { return false };
    let places = number.split_once('.').map_or(0, |(_, part)| part.len());
    let half = 0.5 * 10f64.powi(-i32::try_from(places).unwrap()) * 1.001;
    // As it is, for a quarter turn of a turn, for ten newtons of one, and twice a standard uncertainty.
    values.iter().any(|value| {
        [1.0, 0.25, 10.0, 2.0]
            .iter()
            .any(|factor| (value.abs() * factor - shown.abs()).abs() <= half)
    })
}

#[test]
fn every_number_that_is_printed_stands_in_the_json() {
    let folder = tempfile::tempdir().unwrap();
    let mut world = Device::new(folder.path(), "nobody");
    world.ok("demo|--into|play");
    let mut tech = Device::new(&folder.path().join("play"), "tech");
    // A summer's visit: another air, a reading that disagrees, a string that moved by itself.
    for words in [
        "climate|24C|55%|--hours|72",
        "tuned",
        "read|relief|0.20 mm|--tool|feeler 0.01 mm|--as-found",
        "read|relief|0.31 mm|--tool|feeler 0.01 mm|--by|player",
        "read|action|1.85 1.87 1.95 2.25 2.90 mm|--tool|dial 0.01 mm|--as-found",
        "read|intonation|3|0|-2|1|0",
        "setup|target|stage|intonation|all|0 cent",
        "buzz|5|3-5",
    ] {
        tech.ok(words);
    }
    let visit = tech.run("history|--json|--last|60").json();
    let since = visit[0]["short"].as_str().unwrap().to_owned();
    let asked = [
        "plan|--all".to_owned(),
        "plan".to_owned(),
        "next".to_owned(),
        "changed".to_owned(),
        format!("changed|--since|{since}"),
        "learned".to_owned(),
        "forecast|20C|25%".to_owned(),
        "clearance|--relief|0.30 mm|--saddle|4=-0.2mm|--player|player".to_owned(),
        "why-buzz|5|3-5".to_owned(),
        "before-strings|--gauges|0.040 0.060 0.080 0.100 0.125 in".to_owned(),
        "before-strings|--notes|5=A0".to_owned(),
    ];
    let mut counted = 0;
    let mut missing = Vec::new();
    for words in asked {
        let text = tech.ok(&words);
        let json = tech.run(&format!("{}|--json", words.trim_end_matches("|--all"))).json();
        let (mut texts, mut values) = (Vec::new(), Vec::new());
        leaves(&json, &mut texts, &mut values);
        for (number, unit) in numbers(&text) {
            counted += 1;
            if !carried(&number, &unit, &texts, &values) {
                missing.push(format!("{words}: {number} {unit}"));
            }
        }
    }
    assert!(counted > 200, "{counted}");
    assert!(missing.is_empty(), "{missing:#?}");
}
