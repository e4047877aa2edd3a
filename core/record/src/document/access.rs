//! What this version may do with a record, by what the record itself says.

use fallaway_changes::cbor::Builder;
use minicbor::Decoder;

/// The version of the record format that this library reads and writes.
pub const FORMAT_VERSION: u32 = 1;

/// Key of the least version that may read.
pub(super) const MIN_READER: &str = "min_reader";
/// Key of the least version that may write.
pub(super) const MIN_WRITER: &str = "min_writer";

/// What this version may do with a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    /// Read and write.
    Full,
    /// Read only: writing needs a newer version.
    ReadOnly {
        /// The version of the format that may write.
        needs: u32,
    },
    /// What is shown may be wrong: even reading needs a newer version.
    Outdated {
        /// The version of the format that may read.
        needs: u32,
    },
}

impl Access {
    pub(super) fn of(min_reader: u32, min_writer: u32) -> Self {
        if min_reader > FORMAT_VERSION {
            Self::Outdated { needs: min_reader }
        } else if min_writer > FORMAT_VERSION {
            Self::ReadOnly { needs: min_writer }
        } else {
            Self::Full
        }
    }
}

/// Reads a version of the format: one CBOR unsigned integer above 0 and nothing else.
pub(super) fn version(value: &[u8]) -> Option<u32> {
    let mut d = Decoder::new(value);
    let version = d.u32().ok()?;
    (version > 0 && d.position() == value.len()).then_some(version)
}

/// A version of the format as a value.
pub(super) fn value(version: u32) -> Vec<u8> {
    let mut value = Builder::new();
    value.uint(version.into());
    value.finish()
}
