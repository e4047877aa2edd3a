#![forbid(unsafe_code)]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::missing_panics_doc,
    clippy::missing_errors_doc,
    reason = "a simulation that cannot go on has found something"
)]
//! What a whole life of the library is simulated with: a clock wound by hand, random numbers that
//! repeat, random schedules of several devices and the oracle that knows what must come of them.

pub mod by_relay;
pub mod cbor_tree;
pub mod day;
pub mod freeze;
pub mod fuzz;
pub mod hostile_member;
pub mod hostile_program;
pub mod lane;
pub mod met;
pub mod newer;
pub mod oracle;
pub mod own_program;
pub mod people;
pub mod people_faults;
pub mod realistic;
pub mod record_folder;
pub mod schedule;
pub mod work;
pub mod world;
