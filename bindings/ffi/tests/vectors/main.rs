//! The golden vectors, through the functions that cross to other languages: tests/vectors/README.md
//! says what each call takes and answers.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that fails here has found something"
)]

mod calls;
mod record;

use calls::{Actual, answer};
use serde_json::Value;

/// Half a unit of the last digit that is stated, and a little for the binary fraction.
fn agrees(stated: &str, value: f64) -> bool {
    let Ok(expected) = stated.parse::<f64>() else { return false };
    let decimals = stated.split_once('.').map_or(0, |(_, digits)| digits.len());
    let unit = 10f64.powi(-i32::try_from(decimals).unwrap());
    (value - expected).abs() <= 0.5 * unit * (1.0 + 1e-6)
}

fn matches(expected: &Value, actual: &Actual) -> bool {
    match (expected, actual) {
        (Value::String(stated), Actual::Number(value)) => agrees(stated, *value),
        (Value::String(stated), Actual::Text(text)) => stated == text,
        (Value::Bool(stated), Actual::Yes(yes)) => stated == yes,
        (Value::Null, Actual::Nothing) => true,
        (Value::Array(stated), Actual::List(list)) => {
            stated.len() == list.len() && stated.iter().zip(list).all(|(s, a)| matches(s, a))
        }
        _ => false,
    }
}

/// Every case of a file; how many there were.
fn check(file: &str) -> usize {
    let path = format!("{}/../../tests/vectors/{file}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).unwrap();
    let whole: Value = serde_json::from_str(&text).unwrap();
    assert!(whole["about"].is_string() && whole["source"].is_string(), "{file}");
    let cases = whole["cases"].as_array().unwrap();
    let mut wrong = Vec::new();
    for case in cases {
        let name = case["name"].as_str().unwrap();
        let call = case["call"].as_str().unwrap();
        let found = answer(call, &case["given"]);
        for (field, expected) in case["expected"].as_object().unwrap() {
            let actual = found.get(field.as_str());
            if !actual.is_some_and(|actual| matches(expected, actual)) {
                wrong.push(format!(
                    "{name}: {call}: {field}: {expected} expected, {actual:?} found"
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{file}:\n{}", wrong.join("\n"));
    cases.len()
}

#[test]
fn lengths() {
    assert!(check("lengths.json") > 100);
}

#[test]
fn geometry() {
    assert!(check("geometry.json") > 50);
}

#[test]
fn strings() {
    assert!(check("strings.json") > 50);
}

#[test]
fn clearance() {
    assert!(check("clearance.json") > 5);
}

#[test]
fn errors() {
    assert!(check("errors.json") > 10);
}

#[test]
fn plans() {
    assert!(check("plan.json") > 5);
}

#[test]
fn changes() {
    assert!(check("changed.json") > 3);
}

#[test]
fn drawings() {
    assert!(check("drawings.json") > 5);
}

#[test]
fn merges() {
    assert!(check("merges.json") > 5);
}
