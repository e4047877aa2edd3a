//! Who may ask how often.

use std::net::IpAddr;
use std::time::{Duration, Instant};

use fallaway_changes::LogId;
use hyper::HeaderMap;

use super::buckets::Buckets;
use super::options::Allowance;
use crate::desk::RelayPath;

const MINUTE: Duration = Duration::from_mins(1);
const HOUR: Duration = Duration::from_hours(1);
/// For how long whoever guesses is not listened to.
const SHUT: Duration = Duration::from_mins(15);

/// All limits of how often.
pub(super) struct Gate {
    /// By log and the hash of what is shown for it, so that a stranger uses up nobody's.
    pushes: Buckets<(LogId, [u8; 32])>,
    wrong: Buckets<IpAddr>,
    shut: Buckets<IpAddr>,
    new_logs: Buckets<IpAddr>,
    knocks: Buckets<IpAddr>,
    parcels: Buckets<IpAddr>,
}

impl Gate {
    pub(super) fn new(allowance: &Allowance) -> Self {
        let Allowance { pushes, wrong_tokens, new_logs, knocks, parcels } = *allowance;
        let each = |all: Duration, count: u32| all / count.max(1);
        Self {
            pushes: Buckets::new(pushes.saturating_mul(10), each(Duration::from_secs(1), pushes)),
            wrong: Buckets::new(wrong_tokens, each(MINUTE, wrong_tokens)),
            shut: Buckets::new(1, SHUT),
            new_logs: Buckets::new(new_logs, each(24 * HOUR, new_logs)),
            knocks: Buckets::new(knocks, each(HOUR, knocks)),
            parcels: Buckets::new(parcels, each(HOUR, parcels)),
        }
    }

    /// Lets a request through, or says how long to wait.
    pub(super) fn pass(
        &self,
        place: &RelayPath,
        method: &str,
        from: IpAddr,
        headers: &HeaderMap,
        now: Instant,
    ) -> Result<(), Duration> {
        if place.log().is_some() && !self.shut.has_room(&from, now) {
            return Err(SHUT);
        }
        match (place, method) {
            (RelayPath::Exchange(log), "POST") | (RelayPath::BlobPart(log, ..), "PUT") => {
                let shown = headers.get("authorization").map_or(&b""[..], |shown| shown.as_bytes());
                self.pushes.take((*log, *blake3::hash(shown).as_bytes()), now)
            }
            // One that is there already is nothing new: it is counted when it is made.
            (RelayPath::Log(_), "PUT") if !self.new_logs.has_room(&from, now) => Err(HOUR),
            (RelayPath::Knocks(_), "POST") => self.knocks.take(from, now),
            (RelayPath::Parcel(_), "PUT") => self.parcels.take(from, now),
            _ => Ok(()),
        }
    }

    /// Counts what only the answer shows.
    pub(super) fn passed(
        &self,
        place: &RelayPath,
        method: &str,
        from: IpAddr,
        status: u16,
        now: Instant,
    ) {
        match (place, method, status) {
            // Somebody else's may have been faster: then one more was made, and the next is refused.
            (RelayPath::Log(_), "PUT", 201) => self.new_logs.count(from, now),
            (_, _, 401) if self.wrong.take(from, now).is_err() => self.shut.count(from, now),
            _ => {}
        }
    }
}
