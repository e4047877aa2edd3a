//! Lines of JSON on the standard error. No address below a warning, and never a token, an id or a body:
//! a log shows as a hash under a key that is drawn at each start.

use std::io::Write as _;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{SystemTime, UNIX_EPOCH};

use data_encoding::HEXLOWER;
use fallaway_changes::LogId;
use serde_json::{Value, json};

/// Where the lines go.
pub(super) struct RequestLog {
    key: [u8; 32],
    count: AtomicU64,
    /// Whether each request has a line.
    requests: bool,
}

/// What became of a request.
pub(super) struct Served<'a> {
    pub(super) method: &'a str,
    pub(super) route: &'static str,
    pub(super) log: Option<&'a LogId>,
    pub(super) status: u16,
    pub(super) code: &'a str,
    pub(super) micros: u64,
    pub(super) received: usize,
    pub(super) sent: usize,
}

impl RequestLog {
    pub(super) fn new(requests: bool) -> Result<Self, getrandom::Error> {
        let mut key = [0; 32];
        getrandom::fill(&mut key)?;
        Ok(Self { key, count: AtomicU64::new(0), requests })
    }

    /// A request.
    pub(super) fn request(&self, served: &Served<'_>) {
        let number = self.count.fetch_add(1, Ordering::Relaxed);
        if self.requests {
            line(&json!({
                "level": "info", "what": "request", "number": number, "method": served.method,
                "route": served.route, "log": served.log.map(|log| self.log_name(log)),
                "status": served.status, "code": served.code, "micros": served.micros,
                "received": served.received, "sent": served.sent,
            }));
        }
    }

    /// Lines of one run about one log can be joined; two runs or machines cannot.
    fn log_name(&self, log: &LogId) -> String {
        let hash = blake3::keyed_hash(&self.key, log.as_bytes());
        HEXLOWER.encode(hash.as_bytes().get(..8).unwrap_or_default())
    }
}

/// Something about the relay itself.
pub(super) fn say(level: &str, what: &str, more: &Value) {
    line(&json!({ "level": level, "what": what, "more": more }));
}

fn line(line: &Value) {
    let time = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default().as_millis();
    let mut line = line.clone();
    if let Some(fields) = line.as_object_mut() {
        fields.insert("time_ms".to_owned(), json!(u64::try_from(time).unwrap_or(u64::MAX)));
    }
    // Where nobody reads, nothing can be said.
    let _ = writeln!(std::io::stderr().lock(), "{line}");
}
