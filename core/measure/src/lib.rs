#![forbid(unsafe_code)]
//! To be written.
