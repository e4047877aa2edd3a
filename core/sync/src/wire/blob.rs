//! Photos on a relay: each part is a request of its own, so that none is large and a slow line goes on where it
//! was cut.

use fallaway_changes::{BlobId, LogId};
use fallaway_sharing::limits::{MAX_BLOB_PARTS, SEALED_PART_BYTES};

use super::access::LogToken;
use super::http::{HttpMethod, HttpRequest};
use super::route::{BLOB_PART, BYTES, PARTS, of_blob, of_log};

/// One part of a photo that lies at a relay.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BlobPlace {
    /// In which log.
    pub log: LogId,
    /// The photo, by the hash of all its parts.
    pub blob: BlobId,
    /// Which part, from 0.
    pub part: u32,
}

impl BlobPlace {
    /// Its path at a relay, with which a request's address goes on.
    pub fn path(&self) -> String {
        let path = of_log(BLOB_PART, &self.log).replacen("{id}", &self.blob.to_string(), 1);
        path.replacen("{part}", &self.part.to_string(), 1)
    }

    /// Asks which parts of its photo are there.
    pub fn ask(&self, url: &str, token: &LogToken) -> HttpRequest {
        let headers = vec![("Authorization", token.header())];
        let url = format!("{url}{}", of_blob(&self.log, &self.blob));
        HttpRequest { method: HttpMethod::Get, url, headers, body: Vec::new() }
    }

    /// Asks for it.
    pub fn get(&self, url: &str, token: &LogToken) -> HttpRequest {
        let headers = vec![("Authorization", token.header())];
        let url = format!("{url}{}", self.path());
        HttpRequest { method: HttpMethod::Get, url, headers, body: Vec::new() }
    }

    /// Brings it; the photo has so many.
    pub fn put(&self, url: &str, token: &LogToken, parts: u32, sealed: Vec<u8>) -> HttpRequest {
        let headers = vec![("Authorization", token.header()), ("Content-Type", BYTES.to_owned())];
        let url = format!("{url}{}?{PARTS}={parts}", self.path());
        HttpRequest { method: HttpMethod::Put, url, headers, body: sealed }
    }
}

/// Whether a part can be one of a photo with so many: all but the last are full.
pub fn is_part(part: u32, parts: u32, bytes: usize) -> bool {
    let full = part.checked_add(1) == Some(parts) || bytes == SEALED_PART_BYTES;
    part < parts && parts <= MAX_BLOB_PARTS && (1..=SEALED_PART_BYTES).contains(&bytes) && full
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_last_part_is_short() {
        assert!(is_part(0, 1, 1) && is_part(0, 2, SEALED_PART_BYTES) && is_part(1, 2, 20));
        assert!(is_part(MAX_BLOB_PARTS - 1, MAX_BLOB_PARTS, SEALED_PART_BYTES));
        for (part, parts, bytes) in [
            (0, 0, 1),
            (1, 1, 1),
            (0, 2, 20),
            (0, 1, 0),
            (0, 1, SEALED_PART_BYTES + 1),
            (0, MAX_BLOB_PARTS + 1, SEALED_PART_BYTES),
            (u32::MAX, u32::MAX, SEALED_PART_BYTES),
        ] {
            assert!(!is_part(part, parts, bytes), "{part} of {parts}, {bytes} bytes");
        }
    }
}
