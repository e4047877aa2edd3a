//! The shipped reference files pass, and each of their outputs is really compared.
#![allow(clippy::unwrap_used, reason = "tests")]

use fallaway_reference::{Unreadable, check_text, check_value};
use serde_json::Value;

fn shipped(name: &str) -> String {
    let path = format!("{}/data/{name}.json", env!("CARGO_MANIFEST_DIR"));
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
    assert!(!places.is_empty());
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
