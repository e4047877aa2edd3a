#![forbid(unsafe_code)]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "tests")]
//! Checks of the set-up mathematics against reference files.
//!
//! A reference file is JSON of a known [form](form::Form): neck and gaps ("geometry"), board
//! ("board") and so on. It is recognised by its keys, not by its name, so that any file of the
//! same form with other numbers can be checked (`FALLAWAY_REFERENCE`, see the README of these tests).
//! Every output is computed anew from the inputs and compared; the [`Report`] keeps the worst
//! deviation per quantity and names every field that nothing compared.
//!
//! # Adding a form
//!
//! Write a module with a type that implements [`form::Form`] and add it to [`form::all`]. Read the
//! file through [`fields::Fields`], which notices what was never asked for.

mod board;
mod fields;
mod form;
mod geometry;
mod pluck;
mod report;
mod strings;

use form::{check_text, check_value};
use report::{Report, Tolerance};
use serde_json::Value;

/// Why a file cannot be checked at all.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unreadable {
    /// The text is not JSON.
    #[error("not readable as JSON: {0}")]
    NotJson(String),
    /// The JSON is of no known form.
    #[error("not a file of a known form (known: {known}); its keys are: {keys}")]
    UnknownForm {
        /// The forms that are known.
        known: String,
        /// The keys that were found.
        keys: String,
    },
    /// A field without which nothing can be computed is missing or of the wrong type.
    #[error("{path}: {wanted} is needed here")]
    Field {
        /// Where in the file.
        path: String,
        /// What was expected there.
        wanted: &'static str,
    },
}

fn shipped(name: &str) -> String {
    let path = format!("{}/tests/reference/data/{name}.json", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).unwrap()
}

/// Every number outside of "inputs", by JSON pointer.
fn numbers(value: &Value, at: String, found: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                // Inputs of the board form that stand beside their outputs.
                if key != "inputs" && key != "y_mm" {
                    numbers(value, format!("{at}/{}", key.replace('/', "~1")), found);
                }
            }
        }
        Value::Array(list) => {
            for (index, value) in list.iter().enumerate() {
                numbers(value, format!("{at}/{index}"), found);
            }
        }
        Value::Number(_) => found.push(at),
        _ => {}
    }
}

fn passes(name: &str) {
    let (form, report) = check_text(&shipped(name)).unwrap();
    assert_eq!(form, name);
    assert!(!report.failed(), "{report}");
    assert!(report.unchecked().is_empty(), "{report}");
}

/// Changes one number after the other and expects each change to be found.
fn notices_every_change(name: &str, every: usize) {
    let file: Value = serde_json::from_str(&shipped(name)).unwrap();
    let mut places = Vec::new();
    numbers(&file, String::new(), &mut places);
    assert_ne!(places.len(), 0);
    for place in places.iter().step_by(every) {
        let mut changed = file.clone();
        let number = changed.pointer_mut(place).unwrap();
        let was = number.as_f64().unwrap();
        *number = Value::from(was + 0.01 + 0.1 * was.abs());
        let noticed = match check_value(&changed) {
            Ok((_, report)) => report.failed(),
            Err(_) => true,
        };
        assert!(noticed, "nobody noticed {name}{place} changed from {was}");
    }
}

#[test]
fn geometry_passes() {
    passes("geometry");
}

#[test]
fn geometry_is_compared_throughout() {
    notices_every_change("geometry", 1);
}

#[test]
fn board_passes() {
    passes("board");
}

#[test]
fn board_is_compared_throughout() {
    notices_every_change("board", 1);
}

#[test]
fn a_change_of_half_a_micrometre_times_a_thousand_is_beyond() {
    let mut file: Value = serde_json::from_str(&shipped("geometry")).unwrap();
    let number = file.pointer_mut("/cases/1/outputs/actions/g(0,12)").unwrap();
    *number = Value::from(number.as_f64().unwrap() + 5e-4);
    let (_, report) = check_value(&file).unwrap();
    assert!(report.failed());
    assert!(report.to_string().contains("BEYOND"));
}

#[test]
fn null_outputs_are_left_open_and_unknown_ones_are_named() {
    let mut file: Value = serde_json::from_str(&shipped("geometry")).unwrap();
    *file.pointer_mut("/cases/1/outputs/relief_fret").unwrap() = Value::Null;
    file.pointer_mut("/cases/1/outputs")
        .unwrap()
        .as_object_mut()
        .unwrap()
        .insert("something_new_mm".into(), Value::from(1.0));
    let (_, report) = check_value(&file).unwrap();
    assert!(!report.failed(), "{report}");
    assert_eq!(report.unchecked(), ["/cases[1]/outputs/something_new_mm"]);
}

#[test]
fn what_cannot_be_read_says_why() {
    assert!(matches!(check_text("not json"), Err(Unreadable::NotJson(_))));
    assert!(matches!(check_text("{\"a\": 1}"), Err(Unreadable::UnknownForm { .. })));
    let mut file: Value = serde_json::from_str(&shipped("geometry")).unwrap();
    *file.pointer_mut("/cases/0/inputs/scale_mm").unwrap() = Value::Null;
    let Err(Unreadable::Field { path, .. }) = check_value(&file) else {
        panic!("accepted a case without scale");
    };
    assert_eq!(path, "/cases[0]/inputs/scale_mm");
}

/// Other files of a known form, their paths in `FALLAWAY_REFERENCE`, a space between them.
#[test]
fn files_named_in_the_environment_pass() {
    for path in std::env::var("FALLAWAY_REFERENCE").unwrap_or_default().split_whitespace() {
        let (form, report) = check_text(&std::fs::read_to_string(path).expect(path)).expect(path);
        println!("{path}: {form}\n{report}");
        assert!(!report.failed(), "{path}: {form}\n{report}");
    }
}
