//! The golden vectors that all languages read, against this crate.
//!
//! Their millimetres are exact arithmetic: one inch is 25.4 mm (international yard and pound
//! agreement of 1959; NIST Special Publication 811, appendix B.8).

#![allow(clippy::unwrap_used, reason = "a test that fails here has found something")]

use fallaway_measure::{
    Amount, AmountFormat, Dimension, Length, Reading, Tool, Unit, in_unit, parse_reading,
};
use serde_json::Value;
use uom::si::length::millimeter;

fn vectors() -> Vec<Value> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/vectors/lengths.json");
    let text = std::fs::read_to_string(path).unwrap();
    let file: Value = serde_json::from_str(&text).unwrap();
    file.get("cases").unwrap().as_array().unwrap().clone()
}

fn check_mm(amount: Amount, wanted: &Value, text: &str) {
    let wanted = wanted.as_str().unwrap();
    let shown =
        in_unit(amount, AmountFormat::Decimal { unit: Unit::Millimetre, places: 6 }).unwrap();
    assert_eq!(shown.to_string(), format!("{wanted} mm"), "{text}");
    let length: Length = amount.length().unwrap();
    let difference = length.get::<millimeter>() - wanted.parse::<f64>().unwrap();
    assert!(difference.abs() <= 5.1e-7, "{text}: {difference}");
}

#[test]
fn lengths() {
    let vectors = vectors();
    assert!(vectors.len() > 100);
    for vector in vectors {
        let (given, expected) = (&vector["given"], &vector["expected"]);
        let text = given["text"].as_str().unwrap();
        let tool: Option<Tool> = given["tool"].as_str().map(|label| label.parse().unwrap());
        let found = parse_reading(text, tool.as_ref(), Dimension::Length);
        if let Some(code) = vector.get("problem") {
            let error = found.expect_err(text);
            assert_eq!(error.problem().code(), code.as_str().unwrap(), "{text:?}: {error}");
            continue;
        }
        let reading = found.unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(reading.to_string(), expected["shown"].as_str().unwrap(), "{text}");
        let (low, high) = (&expected["low"], &expected["high"]);
        match (expected["form"].as_str().unwrap(), reading) {
            ("value", Reading::Value(amount)) => {
                assert_eq!(low, high, "{text}");
                check_mm(amount, low, text);
            }
            ("at most", Reading::AtMost(amount)) => check_mm(amount, high, text),
            ("at least", Reading::AtLeast(amount)) => check_mm(amount, low, text),
            ("between", Reading::Between { low: from, high: to }) => {
                check_mm(from, low, text);
                check_mm(to, high, text);
            }
            (form, reading) => panic!("{text}: {form} wanted, {reading:?} found"),
        }
    }
}
