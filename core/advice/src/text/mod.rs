//! Advice in words. Every sentence is made from typed data and names the reading or the model it rests
//! on; apps that render the data themselves need none of it.

mod changed;
mod learned;
mod plan;

pub use changed::changed;
pub use learned::{forecast, learned};
pub use plan::{
    StepText, drift, measurand, moment, number, quantity, read, repeats, step, stop_text, text,
    title, tool_word, undersides, verdict, way, why_text,
};
