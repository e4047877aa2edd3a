//! What is listed for each string stands in the person's order in data too.

use fallaway::measure::StringPlace;
use fallaway_text::{AboutStrings, Voice};
use serde_json::Value;

use crate::parse::places;
use crate::voice;

/// Lists whose order says something itself: the likeliest first, the oldest first.
const RANKED: &[&str] = &["likely", "causes", "observed"];
/// What makes two objects of one kind: then they may differ in the string.
const KIND: &[&str] = &["quantity", "step", "part"];

/// The same with every list of objects that name a string, and every list of strings, in the person's
/// order.
pub fn in_order(mut value: Value) -> Value {
    put(&mut value, "", &voice::get());
    value
}

fn put(value: &mut Value, key: &str, voice: &Voice) {
    match value {
        Value::Array(items) => {
            for item in items.iter_mut() {
                put(item, "", voice);
            }
            if !RANKED.contains(&key) {
                let names = key.ends_with("strings");
                *items = voice.by_string(std::mem::take(items), |item| about(item, names));
            }
        }
        Value::Object(fields) => {
            for (key, value) in fields {
                put(value, key, voice);
            }
        }
        _ => {}
    }
}

/// What kind of thing an element is, and of which string.
fn about(item: &Value, names: bool) -> Option<(Vec<Value>, AboutStrings)> {
    match item {
        // A line of the history has its place in time.
        Value::Object(fields) if fields.contains_key("short") => None,
        Value::Object(fields) => {
            let kind = KIND.iter().filter_map(|key| fields.get(*key).cloned()).collect();
            Some((kind, place(fields.get("string")?)?.into()))
        }
        Value::String(_) if names => Some((Vec::new(), place(item)?.into())),
        _ => None,
    }
}

/// `4`, `"3a"`, `"4 (E)"`.
fn place(value: &Value) -> Option<StringPlace> {
    let text = match value {
        Value::Number(number) => number.to_string(),
        Value::String(text) => text.split(' ').next().unwrap_or_default().to_owned(),
        _ => return None,
    };
    places::string(&text).ok()
}
