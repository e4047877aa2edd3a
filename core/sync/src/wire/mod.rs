//! What client and relay share: addresses, headers, tokens, the chain of a log, pages, limits.
//!
//! A relay keeps one **log** for a record: sealed bundles, numbered from 1 without gaps, and a hash
//! chain over their ids. It can read none of them. Whoever holds the key of the record's epoch may
//! read and write the log; the relay knows only the hash of what they show.

pub mod access;
pub mod blob;
pub mod chain;
pub mod http;
pub mod limits;
pub mod page;
pub mod problem;
pub mod route;
