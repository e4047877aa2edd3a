//! A relay: it keeps sealed bundles for devices that are never online together, and reads none.
//!
//! [`Engine`] holds the rules, over rows in memory ([`Engine::in_memory`]) or in a SQLite file
//! ([`Engine::in_folder`]); [`Desk`] answers requests of the protocol with it. Plain data in and out: no network, no clock, no randomness, and no
//! cryptography but the hashes that number a log. The protocol is that of
//! `fallaway_sync::wire`; how a relay is run, in `docs/running-a-relay.md`.

#![forbid(unsafe_code)]
#![warn(unreachable_pub)]

mod desk;
mod engine;
mod entry;
mod memory;
mod model;
mod objects;
mod photo_rows;
mod photos;
#[cfg(feature = "postgres")]
mod postgres;
mod rows;
#[cfg(feature = "server")]
mod server;
mod sqlite;
#[cfg(feature = "s3")]
mod stores;

pub use desk::{Ask, Desk, Fields, ItemsAsked, Policy, RelayPath, page_of, refuse};
pub use engine::Engine;
pub use memory::MemoryShelves;
pub use model::{
    BlobPush, BlobTaken, EngineError, Exchanged, Held, Made, Portion, Push, Pushed, Quotas,
    ShelvesError, Tell,
};
pub use objects::{ObjectName, ObjectPlace};
pub use rows::CommitWatch;
#[cfg(feature = "server")]
pub use server::{Allowance, DataPlace, ServeError, ServeOptions, serve};
pub use sqlite::backup;
#[cfg(feature = "s3")]
pub use stores::{ObjectsError, StoredObjects};
