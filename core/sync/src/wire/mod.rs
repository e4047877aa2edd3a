//! What client and relay share: addresses, headers, tokens, the chain of a log, pages, limits.
//!
//! A relay keeps one **log** for a record: sealed bundles, numbered from 1 without gaps, and a hash
//! chain over their ids. It can read none of them. Whoever holds the key of the record's epoch may
//! read and write the log; the relay knows only the hash of what they show.

pub mod access;
pub mod chain;
pub mod http;
pub mod limits;
pub mod page;
pub mod problem;
pub mod route;

#[cfg(test)]
mod tests {
    use fallaway_changes::{BundleId, LogId};
    use fallaway_sharing::EpochKey;

    use super::access::LogToken;
    use super::chain::Position;

    /// What `docs/sync-protocol.md` shows.
    #[test]
    fn the_example_of_the_protocol() {
        let (log, key) = (LogId::from_bytes([7; 16]), EpochKey::from_bytes([1; 32]));
        let start = Position::start(&log);
        let lines = [
            format!("access {}", LogToken::access(&key, &log).header()),
            format!("admin  {}", LogToken::admin(&key, &log).header()),
            format!("chain 0 {}", start.chain),
            format!("chain 1 {}", start.next(&BundleId::from_bytes([2; 32])).chain),
        ];
        let page = include_str!("../../../../docs/sync-protocol.md");
        for line in lines {
            assert!(page.contains(&line), "{line}");
        }
    }
}
