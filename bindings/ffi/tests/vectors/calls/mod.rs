//! One function for each file of vectors: from a call's name and what is given to what it answers.

#![allow(clippy::result_large_err, reason = "an error crosses by value once, with what it takes")]

mod drawings;
mod formulas;
mod record;
mod workshop;

use std::collections::BTreeMap;

use fallaway_ffi::FallawayError;
use serde_json::Value;

/// What a call answered, field by field.
pub type Answer = BTreeMap<&'static str, Actual>;

/// A value of an answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Actual {
    Number(f64),
    Text(String),
    Yes(bool),
    Nothing,
    List(Vec<Actual>),
}

impl From<f64> for Actual {
    fn from(value: f64) -> Self {
        Self::Number(value)
    }
}

impl From<u32> for Actual {
    fn from(value: u32) -> Self {
        Self::Number(value.into())
    }
}

impl From<i32> for Actual {
    fn from(value: i32) -> Self {
        Self::Number(value.into())
    }
}

impl From<bool> for Actual {
    fn from(value: bool) -> Self {
        Self::Yes(value)
    }
}

impl From<&str> for Actual {
    fn from(value: &str) -> Self {
        Self::Text(value.to_owned())
    }
}

impl From<String> for Actual {
    fn from(value: String) -> Self {
        Self::Text(value)
    }
}

impl<T: Into<Actual>> From<Option<T>> for Actual {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Nothing, Into::into)
    }
}

impl<T: Into<Actual>> From<Vec<T>> for Actual {
    fn from(values: Vec<T>) -> Self {
        Self::List(values.into_iter().map(Into::into).collect())
    }
}

/// What is given to a call.
#[derive(Clone, Copy)]
pub struct Given<'a>(pub &'a Value);

impl Given<'_> {
    pub fn number(self, field: &str) -> f64 {
        self.0[field].as_f64().unwrap_or_else(|| panic!("{field} is not given"))
    }

    pub fn number_or(self, field: &str, usual: f64) -> f64 {
        self.0[field].as_f64().unwrap_or(usual)
    }

    pub fn maybe(self, field: &str) -> Option<f64> {
        self.0[field].as_f64()
    }

    pub fn count(self, field: &str) -> u32 {
        u32::try_from(self.0[field].as_u64().unwrap_or_else(|| panic!("{field} is not given")))
            .unwrap()
    }

    pub fn numbers(self, field: &str) -> Vec<f64> {
        let list = self.0[field].as_array().map_or(&[][..], Vec::as_slice);
        list.iter().map(|value| value.as_f64().unwrap()).collect()
    }

    pub fn text(self, field: &str) -> String {
        self.0[field].as_str().unwrap_or_else(|| panic!("{field} is not given")).to_owned()
    }

    pub fn maybe_text(self, field: &str) -> Option<String> {
        self.0[field].as_str().map(str::to_owned)
    }

    pub fn yes(self, field: &str) -> bool {
        self.0[field].as_bool().unwrap_or(false)
    }
}

/// A refusal, field by field.
pub fn refusal(error: &FallawayError) -> Answer {
    let mut answer = Answer::new();
    let mut put = |error: &'static str, field: &str, accepted: &str| {
        answer.insert("error", error.into());
        answer.insert("field", field.into());
        answer.insert("accepted", accepted.into());
    };
    match error {
        FallawayError::NotFound { what, accepted, .. } => {
            put("not_found", &format!("{what:?}").to_lowercase(), accepted);
        }
        FallawayError::BadInput { field, accepted, .. } => put("bad_input", field, accepted),
        FallawayError::Unsure { field, .. } => put("unsure", field, ""),
        FallawayError::Contested { field } => put("contested", field, ""),
        FallawayError::PlanMoved { .. } => put("plan_moved", "", ""),
        FallawayError::ReadOnly { .. } => put("read_only", "", ""),
        FallawayError::Refused { .. } => put("refused", "", ""),
        FallawayError::NotAllowed { .. } => put("not_allowed", "", ""),
        FallawayError::Busy { .. } => put("busy", "", ""),
        FallawayError::Full { .. } => put("full", "", ""),
        FallawayError::Storage { .. } => put("storage", "", ""),
        FallawayError::Keys { .. } => put("keys", "", ""),
        FallawayError::Closed => put("closed", "", ""),
        FallawayError::Cancelled => put("cancelled", "", ""),
        FallawayError::Internal { .. } => put("internal", "", ""),
    }
    answer
}

/// The answer to a call, or its refusal.
pub fn answer(call: &str, given: &Value) -> Answer {
    let given = Given(given);
    formulas::answer(call, given)
        .or_else(|| workshop::answer(call, given))
        .or_else(|| drawings::look_answer(call, given))
        .or_else(|| record::answer(call, given))
        .unwrap_or_else(|| panic!("no such call: {call}"))
}
