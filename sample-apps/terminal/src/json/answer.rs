//! Answers of the questions that need no record.

use serde::Serialize;
use serde_json::{Map, Value};

/// An answer. The fields of `answer` differ from question to question; each number's field ends in
/// its unit (`_mm`, `_newton`, `_hz`, `_cent`, `_turn`, `_eighths`, `_percent`).
#[derive(Debug, Serialize)]
pub struct AnswerJson {
    /// Which question.
    pub question: &'static str,
    /// The numbers.
    pub answer: Map<String, Value>,
    /// Readings and models they rest on.
    pub rests_on: Vec<String>,
    /// What was taken for granted.
    pub assumed: Vec<String>,
    /// What can harm, or mislead.
    pub cautions: Vec<String>,
}
