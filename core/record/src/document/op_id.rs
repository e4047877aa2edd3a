//! Names of writes.

use std::fmt;
use std::str::FromStr;

use fallaway_changes::Writer;

/// Names one operation. The order follows the counter, then the writer; the counter of an operation is
/// greater than every one that its writer had seen, so that the order follows causality.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OpId {
    /// One more than the greatest in the past of its change, for the first operation of that; then
    /// counted on.
    pub counter: u64,
    /// Who wrote it.
    pub writer: Writer,
}

/// Counter and writer, joined by `@`.
impl fmt::Display for OpId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}@{}", self.counter, self.writer)
    }
}

/// A text that names no operation.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("not the name of a write: expected its number, @ and its writer, as it was shown")]
pub struct OpIdError;

impl FromStr for OpId {
    type Err = OpIdError;

    fn from_str(text: &str) -> Result<Self, OpIdError> {
        let (counter, writer) = text.split_once('@').ok_or(OpIdError)?;
        let plain = counter.bytes().all(|byte| byte.is_ascii_digit());
        let counter = counter.parse().ok().filter(|_| plain).ok_or(OpIdError)?;
        Ok(Self { counter, writer: writer.parse().map_err(|_| OpIdError)? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_write_can_be_named_in_text() {
        let writer = Writer::from_bytes([7; 16]);
        let op = OpId { counter: u64::MAX, writer };
        assert_eq!(op.to_string().parse(), Ok(op));
        for wrong in ["", "@", "3", "+3@", "3@x", &format!("-3@{writer}"), &format!("@{writer}")] {
            assert_eq!(wrong.parse::<OpId>(), Err(OpIdError), "{wrong}");
        }
    }
}
