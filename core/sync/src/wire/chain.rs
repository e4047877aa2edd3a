//! A log is a hash chain: a place in it commits to everything before it.

use std::fmt;
use std::str::FromStr;

use data_encoding::HEXLOWER;
use fallaway_changes::{BundleId, LogId, derive};

/// Domain separation; frozen with the protocol.
const CONTEXT: &str = "fallaway v1 log chain";

/// The hash over everything in a log up to a number.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Chain(pub [u8; 16]);

impl Chain {
    /// Bytes of it.
    pub const LEN: usize = 16;

    /// That of a log in which nothing is.
    pub fn start(log: &LogId) -> Self {
        Self(derive(CONTEXT, &[log.as_bytes()]))
    }

    /// That after one more bundle.
    #[must_use]
    pub fn next(&self, id: &BundleId) -> Self {
        Self(derive(CONTEXT, &[&self.0, id.as_bytes()]))
    }
}

impl fmt::Display for Chain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&HEXLOWER.encode(&self.0))
    }
}

impl fmt::Debug for Chain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Chain({self})")
    }
}

/// A text that is no chain.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("not a place in a log: expected 32 hexadecimal digits")]
pub struct NoChain;

impl FromStr for Chain {
    type Err = NoChain;

    fn from_str(text: &str) -> Result<Self, NoChain> {
        if text.len() != 2 * Self::LEN {
            return Err(NoChain);
        }
        let bytes = HEXLOWER.decode(text.as_bytes()).map_err(|_| NoChain)?;
        bytes.as_slice().try_into().map(Self).map_err(|_| NoChain)
    }
}

/// A place in a log: behind the bundle of this number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Position {
    /// How many bundles are before it; 0 at the beginning.
    pub seq: u64,
    /// The chain over them.
    pub chain: Chain,
}

impl Position {
    /// Before the first bundle.
    pub fn start(log: &LogId) -> Self {
        Self { seq: 0, chain: Chain::start(log) }
    }

    /// Behind one more.
    #[must_use]
    pub fn next(&self, id: &BundleId) -> Self {
        Self { seq: self.seq.saturating_add(1), chain: self.chain.next(id) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn order_and_log_make_a_chain() {
        let start = Position::start(&LogId::from_bytes([1; 16]));
        let (a, b) = (BundleId::from_bytes([2; 32]), BundleId::from_bytes([3; 32]));
        let both = start.next(&a).next(&b);
        assert_eq!(both.seq, 2);
        assert_ne!(both, start.next(&b).next(&a));
        assert_ne!(both, Position::start(&LogId::from_bytes([9; 16])).next(&a).next(&b));
        assert_eq!(both.chain.to_string().parse(), Ok(both.chain));
        for wrong in ["", "00", &both.chain.to_string().to_uppercase(), &"g".repeat(32)] {
            assert_eq!(wrong.parse::<Chain>(), Err(NoChain));
        }
    }
}
