//! What Prometheus reads.

use std::sync::atomic::AtomicU64;

use prometheus_client::encoding::text::encode;
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::{Histogram, exponential_buckets};
use prometheus_client::metrics::info::Info;
use prometheus_client::registry::{Registry, Unit};

type Labels<const N: usize> = [(&'static str, String); N];
type Whole = Gauge<i64, std::sync::atomic::AtomicI64>;

/// All of it.
pub(super) struct Metrics {
    registry: Registry,
    requests: Family<Labels<3>, Counter>,
    refused: Family<Labels<1>, Counter>,
    pushed: Family<Labels<1>, Counter>,
    /// Seconds from the first of a group until it is on the disk.
    pub(super) commit: Histogram,
    /// How many works one commit kept.
    pub(super) group: Histogram,
    pub(super) waiters: Whole,
    pub(super) connections: Whole,
    pub(super) logs: Whole,
    pub(super) bundles: Whole,
    pub(super) blobs: Whole,
    pub(super) bytes: Whole,
    pub(super) knocks: Whole,
    pub(super) disk_free: Gauge<u64, AtomicU64>,
}

impl Metrics {
    pub(super) fn new() -> Self {
        let mut registry = Registry::with_prefix("fallaway_relay");
        let new = Self {
            registry: Registry::default(),
            requests: Family::default(),
            refused: Family::default(),
            pushed: Family::default(),
            commit: Histogram::new(exponential_buckets(0.000_25, 2.0, 16)),
            group: Histogram::new(exponential_buckets(1.0, 2.0, 9)),
            waiters: Gauge::default(),
            connections: Gauge::default(),
            logs: Gauge::default(),
            bundles: Gauge::default(),
            blobs: Gauge::default(),
            bytes: Gauge::default(),
            knocks: Gauge::default(),
            disk_free: Gauge::default(),
        };
        registry.register("requests", "Requests by route, method and status", new.requests.clone());
        registry.register("refused", "What was refused, by reason", new.refused.clone());
        registry.register("pushed_bundles", "Bundles pushed, new or repeated", new.pushed.clone());
        let (commit, group) = (new.commit.clone(), new.group.clone());
        registry.register_with_unit("commit", "From work to disk", Unit::Seconds, commit);
        registry.register("group", "Works that one commit kept", group);
        for (name, help, gauge) in [
            ("waiters", "Requests that wait for news", &new.waiters),
            ("connections", "Open connections", &new.connections),
            ("logs", "Logs", &new.logs),
            ("bundles", "Bundles in all logs", &new.bundles),
            ("blobs", "Photos in all logs", &new.blobs),
            ("log_bytes", "Bytes of all logs and parcels", &new.bytes),
            ("knocks", "Knocks without an answer", &new.knocks),
        ] {
            registry.register(name, help, gauge.clone());
        }
        registry.register("disk_free_bytes", "Free where the data are", new.disk_free.clone());
        let build = Info::new([("version", env!("CARGO_PKG_VERSION"))]);
        registry.register("build", "What runs", build);
        Self { registry, ..new }
    }

    pub(super) fn request(&self, route: &str, method: &str, status: u16) {
        let labels = [
            ("route", route.to_owned()),
            ("method", method.to_owned()),
            ("status", status.to_string()),
        ];
        self.requests.get_or_create(&labels).inc();
    }

    pub(super) fn refused(&self, why: &str) {
        self.refused.get_or_create(&[("why", why.to_owned())]).inc();
    }

    pub(super) fn pushed(&self, new: usize, all: usize) {
        for (kind, count) in [("new", new), ("repeat", all.saturating_sub(new))] {
            self.pushed.get_or_create(&[("kind", kind.to_owned())]).inc_by(count as u64);
        }
    }

    pub(super) fn text(&self) -> String {
        let mut text = String::new();
        match encode(&mut text, &self.registry) {
            Ok(()) => text,
            Err(_) => String::new(),
        }
    }
}
