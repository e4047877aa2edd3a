#![forbid(unsafe_code)]
//! Fallaway at the bench: the terminal app as a library, so that tests and the demo run the real
//! commands in-process.
//!
//! | idea | where |
//! |---|---|
//! | one run of the app: arguments in, text and an exit code out | [`app`] |
//! | what a run needs from the world: streams, folders, clock, terminal | [`surroundings`] |
//! | the commands, their options and help | [`grammar`] |
//! | words of the hand into values: "an eighth clockwise", "3-5", "21C 45%" | [`words`] |
//! | one module per group of commands | `commands` |
//! | values into text for people: tables, cards, plans | [`say`] |
//! | values into JSON for programs | [`json`] |
//! | what this device remembers between runs: tools, order of strings, label | [`habits`] |
//! | why a run failed, and with which exit code | [`failure`] |
//! | the story of two devices | `demo` |

pub mod app;
mod commands;
mod demo;
pub mod failure;
pub mod grammar;
pub mod habits;
pub mod json;
pub mod say;
pub mod surroundings;
pub mod words;
