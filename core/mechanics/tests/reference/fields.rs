//! Reading a JSON object while noticing which of its fields were never asked for.

use std::cell::RefCell;
use std::collections::BTreeSet;

use serde_json::{Map, Value};

use crate::{Report, Unreadable};

/// A JSON object at a known place in the file.
///
/// Each getter marks its field as read. [`Fields::finish`] tells the report about the rest, so that
/// no field is skipped silently.
#[derive(Debug)]
pub struct Fields<'a> {
    path: String,
    map: &'a Map<String, Value>,
    read: RefCell<BTreeSet<&'a str>>,
}

impl<'a> Fields<'a> {
    /// The object `value` at `path`.
    ///
    /// # Errors
    ///
    /// [`Unreadable::Field`] when it is not an object.
    pub fn new(path: impl Into<String>, value: &'a Value) -> Result<Self, Unreadable> {
        let path = path.into();
        match value {
            Value::Object(map) => Ok(Self { path, map, read: RefCell::default() }),
            _ => Err(Unreadable::Field { path, wanted: "an object" }),
        }
    }

    /// Where this object lies in the file.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Where `key` lies in the file.
    pub fn path_of(&self, key: &str) -> String {
        format!("{}/{key}", self.path)
    }

    /// All keys, in the file's order, none marked as read.
    pub fn keys(&self) -> impl Iterator<Item = &'a str> + use<'a> {
        self.map.keys().map(String::as_str)
    }

    /// The raw value, if present and not null.
    pub fn value(&self, key: &str) -> Option<&'a Value> {
        let (key, value) = self.map.get_key_value(key)?;
        self.read.borrow_mut().insert(key);
        if value.is_null() { None } else { Some(value) }
    }

    /// Marks a field that is only for people, such as a remark.
    pub fn remark(&self, key: &str) {
        let _ = self.value(key);
    }

    /// A number that may be missing or null.
    ///
    /// # Errors
    ///
    /// [`Unreadable::Field`] when it is there and not a number.
    pub fn number(&self, key: &str) -> Result<Option<f64>, Unreadable> {
        self.value(key).map(|v| v.as_f64().ok_or_else(|| self.wrong(key, "a number"))).transpose()
    }

    /// A number that must be there.
    ///
    /// # Errors
    ///
    /// [`Unreadable::Field`] when it is missing, null or not a number.
    pub fn need_number(&self, key: &str) -> Result<f64, Unreadable> {
        self.number(key)?.ok_or_else(|| self.wrong(key, "a number"))
    }

    /// A whole number of zero or more that must be there.
    ///
    /// # Errors
    ///
    /// [`Unreadable::Field`] otherwise.
    pub fn need_count(&self, key: &str) -> Result<usize, Unreadable> {
        let number = self.need_number(key)?;
        if number.fract() == 0.0 && (0.0..1e6).contains(&number) {
            Ok(number as usize)
        } else {
            Err(self.wrong(key, "a whole number of zero or more"))
        }
    }

    /// A text, or `""` when missing.
    pub fn text(&self, key: &str) -> &'a str {
        self.value(key).and_then(Value::as_str).unwrap_or("")
    }

    /// An object that may be missing or null.
    ///
    /// # Errors
    ///
    /// [`Unreadable::Field`] when it is there and not an object.
    pub fn object(&self, key: &str) -> Result<Option<Fields<'a>>, Unreadable> {
        self.value(key).map(|v| Fields::new(self.path_of(key), v)).transpose()
    }

    /// An object that must be there.
    ///
    /// # Errors
    ///
    /// [`Unreadable::Field`] otherwise.
    pub fn need_object(&self, key: &str) -> Result<Fields<'a>, Unreadable> {
        self.object(key)?.ok_or_else(|| self.wrong(key, "an object"))
    }

    /// A list of objects; empty when missing or null.
    ///
    /// # Errors
    ///
    /// [`Unreadable::Field`] when it is there and something else.
    pub fn objects(&self, key: &str) -> Result<Vec<Fields<'a>>, Unreadable> {
        let Some(value) = self.value(key) else {
            return Ok(Vec::new());
        };
        value
            .as_array()
            .ok_or_else(|| self.wrong(key, "a list"))?
            .iter()
            .enumerate()
            .map(|(i, v)| Fields::new(format!("{}[{i}]", self.path_of(key)), v))
            .collect()
    }

    /// A list of numbers; empty when missing or null.
    ///
    /// # Errors
    ///
    /// [`Unreadable::Field`] when it is there and something else.
    pub fn numbers(&self, key: &str) -> Result<Vec<f64>, Unreadable> {
        let Some(value) = self.value(key) else {
            return Ok(Vec::new());
        };
        value
            .as_array()
            .ok_or_else(|| self.wrong(key, "a list of numbers"))?
            .iter()
            .map(|v| v.as_f64().ok_or_else(|| self.wrong(key, "a list of numbers")))
            .collect()
    }

    /// Tells the report about every field that nothing asked for.
    pub fn finish(self, report: &mut Report) {
        let read = self.read.into_inner();
        for key in self.map.keys() {
            if !read.contains(key.as_str()) {
                report.not_checked(format!("{}/{key}", self.path));
            }
        }
    }

    /// An error about `key`.
    pub fn wrong(&self, key: &str, wanted: &'static str) -> Unreadable {
        Unreadable::Field { path: self.path_of(key), wanted }
    }
}
