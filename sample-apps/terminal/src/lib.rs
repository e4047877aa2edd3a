#![forbid(unsafe_code)]
//! Fallaway at the bench: the terminal app as a library, so that tests and the demo run the real
//! commands in-process.
//!
//! | idea | where |
//! |---|---|
//! | one run of the app: arguments in, text and an exit code out | [`app`] |
//! | what a run needs from the world: streams, folders, clock, terminal | `env` |
//! | the commands, their options and help | `cli` |
//! | words of the hand into values: "an eighth clockwise", "3-5", "21C 45%" | `parse` |
//! | one module per group of commands | `commands` |
//! | values into text for people: tables, cards, plans | `render` |
//! | values into JSON for programs | `json` |
//! | what this app says of its own, in every language | `messages` |
//! | which questions were shown and not answered yet | `asked` |
//! | what this device remembers beside its workshop: its name | `settings` |
//! | why a run failed, and with which exit code | `error` |
//! | the language and the units of a run | `voice` |
//! | a prompt for the hands: short words, the next step after each line | `prompt` |
//! | the story of two devices | `demo` |

pub mod app;
mod asked;
mod cli;
mod commands;
mod demo;
pub mod env;
mod error;
mod json;
mod listening;
mod messages;
mod parse;
mod prompt;
mod render;
mod settings;
mod voice;
mod web;
