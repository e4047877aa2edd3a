//! What this device keeps: its keys, the records in memory and on disk, what screens read at once, and what is the shop's own.

pub(crate) mod archive;
pub(crate) mod backup;
pub(crate) mod callbacks;
pub(crate) mod diagnostics;
pub mod environment;
pub(crate) mod journal;
pub(crate) mod loaded_record;
pub(crate) mod notice;
pub(crate) mod preferences;
pub(crate) mod projection;
pub(crate) mod secrets;
pub(crate) mod session;
pub(crate) mod shop;
pub(crate) mod subscription;
pub(crate) mod workshop_state;
