//! Paths, queries and headers.

use fallaway_changes::{BlobId, BundleId, LogId};

use super::chain::Position;
use super::limits::MAX_PAGE_BYTES;

/// Path of a log: opened (PUT), deleted (DELETE). `{log}` stands for its id in templates.
pub const LOG: &str = "/v1/logs/{log}";
/// Push, and what follows (POST).
pub const EXCHANGE: &str = "/v1/logs/{log}/exchange";
/// What follows, now or when there is something (GET).
pub const ITEMS: &str = "/v1/logs/{log}/items";
/// Who may use it from now on (PUT). It names a place, so that nobody is locked out by a log that has
/// lost what they would need.
pub const ACCESS: &str = "/v1/logs/{log}/access";
/// Knocks of those who cannot read on (POST, GET).
pub const KNOCKS: &str = "/v1/logs/{log}/knocks";
/// The answer to one (PUT, GET).
pub const ANSWER: &str = "/v1/logs/{log}/knocks/{id}/answer";
/// A photo: which of its parts are there (GET), taken away (DELETE).
pub const BLOB: &str = "/v1/logs/{log}/blobs/{id}";
/// A sealed part of a photo, from 0 (PUT, GET).
pub const BLOB_PART: &str = "/v1/logs/{log}/blobs/{id}/{part}";
/// A drop (PUT, GET, DELETE).
pub const PARCEL: &str = "/v1/parcels/{id}";
/// Limits and policy of the relay (GET).
pub const RELAY: &str = "/v1/relay";

/// Query: the number after which a page begins.
pub const AFTER: &str = "after";
/// Query: the chain up to that number, as the client knows it.
pub const CHAIN: &str = "chain";
/// Query: bytes of bundles wanted at most; see [`super::limits::MAX_PAGE_BYTES`].
pub const MAX: &str = "max";
/// Query: seconds to wait for news, up to [`super::limits::MAX_WAIT_S`].
pub const WAIT: &str = "wait";

/// Query: how many parts a photo has.
pub const PARTS: &str = "parts";

/// Media type of bundle files.
pub const BUNDLES: &str = "application/vnd.fallaway.bundles";
/// Media type of [`super::access::AccessBody`], and of what only the client reads.
pub const BYTES: &str = "application/octet-stream";
/// Media type of problems (RFC 9457).
pub const PROBLEM: &str = "application/problem+json";

/// Header: the number at which an answer's page ends.
pub const SEQ_HEADER: &str = "Fallaway-Seq";
/// Header: the chain up to it.
pub const CHAIN_HEADER: &str = "Fallaway-Chain";
/// Header: how many bundles follow that number.
pub const MORE_HEADER: &str = "Fallaway-More";
/// Header: the numbers of the pushed bundles, in their order, separated by commas.
pub const ACCEPTED_HEADER: &str = "Fallaway-Accepted";
/// Header: the last number that this capability reads, if it is retired.
pub const RETIRED_HEADER: &str = "Fallaway-Retired";
/// Header: how many parts a photo has.
pub const PARTS_HEADER: &str = "Fallaway-Parts";
/// Header: the parts of it that are there, separated by commas.
pub const HERE_HEADER: &str = "Fallaway-Here";
/// Header: the code of a problem, so that a client needs to read no JSON.
pub const PROBLEM_HEADER: &str = "Fallaway-Problem";
/// Header: what an operator asks for before a log is opened.
pub const ADMISSION_HEADER: &str = "Fallaway-Admission";
/// Header: who may replace or delete a parcel, 32 bytes as base64url; the relay keeps their hash.
pub const OWNER_HEADER: &str = "Fallaway-Owner";
/// Header: days that a parcel is kept.
pub const DAYS_HEADER: &str = "Fallaway-Days";

/// The path of one log by a template of this module.
pub fn of_log(template: &str, log: &LogId) -> String {
    template.replacen("{log}", &log.to_string(), 1)
}

/// The path of a photo.
pub fn of_blob(log: &LogId, blob: &BlobId) -> String {
    of_log(BLOB, log).replacen("{id}", &blob.to_string(), 1)
}

/// The path of the answer to one knock.
pub fn of_answer(log: &LogId, knock: &BundleId) -> String {
    of_log(ANSWER, log).replacen("{id}", &knock.to_string(), 1)
}

/// The query that names a place, and how much may follow it in one page, unless it is a whole one.
pub fn query(after: &Position, max: usize) -> String {
    let place = format!("?{AFTER}={}&{CHAIN}={}", after.seq, after.chain);
    if max == MAX_PAGE_BYTES { place } else { format!("{place}&{MAX}={max}") }
}

/// The value of [`ACCEPTED_HEADER`].
pub fn accepted(numbers: &[u64]) -> String {
    numbers.iter().map(u64::to_string).collect::<Vec<_>>().join(",")
}

/// Reads a value of [`ACCEPTED_HEADER`] with at most `most` numbers; `None` for anything else.
pub fn read_accepted(value: &str, most: usize) -> Option<Vec<u64>> {
    if value.trim().is_empty() {
        return Some(Vec::new());
    }
    let mut numbers = Vec::new();
    for one in value.split(',') {
        if numbers.len() == most {
            return None;
        }
        numbers.push(one.trim().parse().ok().filter(|n| *n > 0)?);
    }
    Some(numbers)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_and_lists() {
        let log = LogId::from_bytes([0xab; 16]);
        assert_eq!(of_log(EXCHANGE, &log), format!("/v1/logs/{log}/exchange"));
        let whole = query(&Position::start(&log), MAX_PAGE_BYTES);
        assert!(!whole.contains("max"), "{whole}");
        let query = query(&Position::start(&log), 9);
        assert!(query.starts_with("?after=0&chain="), "{query}");
        assert_eq!(read_accepted(&accepted(&[17, 18, 3]), 3), Some(vec![17, 18, 3]));
        assert_eq!(read_accepted("", 3), Some(Vec::new()));
        for wrong in ["17,18,3,4", "0", "x", "1,,2", "-1"] {
            assert_eq!(read_accepted(wrong, 3), None, "{wrong}");
        }
    }
}
