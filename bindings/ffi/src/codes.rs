//! A file as a series of QR codes, for two devices that can show and see and nothing else.

use std::sync::{Mutex, PoisonError};

use crate::Result;
use crate::numbers::count;

/// The texts of the QR codes for the bytes of a bundle file or a welcome, in order: show one after the
/// other, again and again. Draw them in alphanumeric mode, error correction L is enough on a screen.
///
/// # Errors
/// `Refused` for no bytes, and for more than 19,200.
#[uniffi::export]
pub fn codes(bytes: &[u8]) -> Result<Vec<String>> {
    Ok(fallaway::codes(bytes).map_err(fallaway::Error::from)?)
}

/// How far a series has been seen.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct CodesSeen {
    /// How many of its codes.
    pub seen: u32,
    /// How many there are.
    pub count: u32,
    /// The file, when all were seen; `None` before.
    pub file: Option<Vec<u8>>,
}

/// Puts a series of codes together from what a camera sees, in any order and however often.
#[derive(Default, uniffi::Object)]
pub struct CodeCollector {
    seen: Mutex<fallaway::CodeCollector>,
}

#[uniffi::export]
impl CodeCollector {
    /// Nothing was seen yet.
    #[uniffi::constructor]
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes the text of one code. One of another series begins that series.
    ///
    /// # Errors
    /// `Refused` for a text that is no such code, and for one that was misread; go on with the next one
    /// that the camera sees.
    pub fn take(&self, text: &str) -> Result<CodesSeen> {
        let mut collector = self.seen.lock().unwrap_or_else(PoisonError::into_inner);
        let seen = collector.take(text).map_err(fallaway::Error::from)?;
        Ok(CodesSeen { seen: count(seen.seen), count: count(seen.count), file: seen.bytes })
    }
}
